"""All sizes of one part, and of two, at once: ratios, and which bands they would keep.

A ratio is a product of powers of pitch radii, so that the ratios of all sizes of a part are one
table, and those of two parts the products of two tables. A path's length depends on the radii of
its own band only: again a table of the sizes of one part, or, where both parts carry the same
band, of the pairs that are looked at.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from wheelgeo.design.model import Band, Design
from wheelgeo.drive.train import solve_drive
from wheelgeo.immutable import dataclass
from wheelgeo.tune.bandfit import Reach, choose_travel, kept_mask, lengths_of, slopes
from wheelgeo.tune.path_lengths import path_lengths
from wheelgeo.tune.remakes import MadePart
from wheelgeo.tune.sliding import travels

Array = NDArray[np.float64]
Indices = NDArray[np.int64]

MOST_PAIRS = 60_000
"""Pairs of sizes of two parts that are compared at most; the nearest to the ratio are kept."""

Powers = Mapping[tuple[str, str], int]


@dataclass(frozen=True)
class Batch:
    """Combinations of sizes of one set of parts, all within the allowed twist error.

    Attributes:
        parts: the parts that change.
        picks: for each combination the index of each part's size, shape (combinations, parts).
        errors: by what fraction the ratio of each is off, without sign.
    """

    parts: tuple[MadePart, ...]
    picks: Indices
    errors: Array

    def __len__(self) -> int:
        return len(self.errors)


def ratio_factors(part: MadePart, powers: Powers) -> Array:
    """Return by what each size of a part multiplies the ratio, shape (sizes,)."""
    factors = np.ones(len(part.sizes_mm))
    for stop, radii in part.radii_mm.items():
        factors *= (np.array(radii) / part.radii_now_mm[stop]) ** powers.get(stop, 0)
    return factors


def one_part(parts: tuple[MadePart, ...], powers: Powers, goal: float, allowed: float) -> Batch:
    """Return the sizes of one part that bring the ratio to within the allowed fraction of a goal.

    Args:
        parts: the part.
        powers: how each pitch radius stands in the ratio.
        goal: the wanted ratio over today's.
        allowed: the fraction by which the ratio is off must stay below this.
    """
    errors = np.abs(ratio_factors(parts[0], powers) / goal - 1.0)
    good = np.flatnonzero(errors < allowed)
    return Batch(parts, good[:, None], errors[good])


def two_parts(parts: tuple[MadePart, ...], powers: Powers, goal: float, allowed: float) -> Batch:
    """Return the pairs of sizes of two parts that do so; see ``one_part``.

    The second part's factors are sorted, so that for each size of the first those that fit are a
    range. Where there are more than ``MOST_PAIRS``, the allowed error is narrowed.
    """
    first, second = (ratio_factors(part, powers) for part in parts)
    order = np.argsort(second, kind="stable")
    rising = second[order]
    while True:
        low = np.searchsorted(rising, goal * (1.0 - allowed) / first, side="left")
        high = np.searchsorted(rising, goal * (1.0 + allowed) / first, side="right")
        if (high - low).sum() <= MOST_PAIRS:
            break
        allowed *= 0.5
    picks = _ranges(low, high)
    picks[:, 1] = order[picks[:, 1]]
    errors = np.abs(first[picks[:, 0]] * second[picks[:, 1]] / goal - 1.0)
    inside = errors < allowed
    return Batch(parts, picks[inside], errors[inside])


def _ranges(low: Indices, high: Indices) -> Indices:
    """Return every (i, j) with low[i] <= j < high[i], shape (pairs, 2)."""
    counts = high - low
    row = np.repeat(np.arange(len(low)), counts)
    start = np.repeat(low - np.concatenate(([0], np.cumsum(counts)[:-1])), counts)
    return np.stack([row, start + np.arange(len(row))], axis=1)


def promising(
    design: Design,
    batch: Batch,
    reach: Mapping[str, Reach],
    room_mm: Mapping[str, float],
    most: int,
) -> Indices:
    """Return the combinations of a batch that promise most, in that order.

    Those with a path and room for their parts come first, then few bands to remake, then a small
    twist error. Sliding is reckoned here with the slopes of today's wheel; the combinations that
    are built are put together exactly.

    Args:
        design: the wheel with today's sizes, led as it shall be.
        batch: the combinations.
        reach: what each band of the old wheel serves.
        room_mm: for each part, by name, the largest size that has room.
        most: how many to return at most.
    """
    names = [b.name for b in design.bands if b.name in reach]
    cramped = _cramped(batch, room_mm)
    order = np.lexsort((batch.errors, cramped))
    if not len(batch) or not names:
        return order[:most]
    now, slope = lengths_of(design), slopes(design, names)
    bad, remade = np.ones(len(batch), dtype=bool), np.zeros(len(batch), dtype=np.int64)
    done = 0
    # The nearest in twist are looked at first. None of the others comes before enough of those
    # that keep every band, nor one without room before enough with a path and room.
    for stop in _stops(len(batch), int(np.sum(~cramped))):
        rows = order[done:stop]
        few = Batch(batch.parts, batch.picks[rows], batch.errors[rows])
        columns = [_lengths(design, design.band(n), few, now.get(n, np.nan)) for n in names]
        lengths = np.stack(columns, axis=1)
        bad[rows] = cramped[rows] | np.isnan(lengths).any(axis=1)
        remade[rows] = _remade(design, lengths, [reach[n] for n in names], slope)
        done, good = stop, ~bad[order[:stop]]
        kept = good & (remade[order[:stop]] == 0)
        if kept.sum() >= most or (good.sum() >= most and stop >= np.sum(~cramped)):
            break
    seen = order[:done]
    return seen[np.lexsort((batch.errors[seen], remade[seen], bad[seen]))][:most]


FIRST_LOOK = 512
"""Combinations whose bands are reckoned first; each further look takes eight times as many."""


def _stops(count: int, roomy: int) -> Iterator[int]:
    """Yield how many combinations are looked at in turn: those with room, then all."""
    stop = FIRST_LOOK
    while stop < roomy:
        yield stop
        stop *= 8
    if roomy:
        yield roomy
    if count > roomy:
        yield count


def _cramped(batch: Batch, room_mm: Mapping[str, float]) -> NDArray[np.bool_]:
    """Return which combinations have a part larger than there is room for."""
    cramped = np.zeros(len(batch), dtype=bool)
    for k, part in enumerate(batch.parts):
        sizes = np.array(part.sizes_mm, dtype=float)[batch.picks[:, k]]
        cramped |= sizes > room_mm.get(part.name, np.inf)
    return cramped


def _remade(
    design: Design, lengths: Array, wanted: Sequence[Reach], slope: Array
) -> Indices:
    """Return how many bands each combination makes useless, shape (combinations,)."""
    ranges = [(t.from_mm, t.to_mm) for t in travels(design)]
    moved = lengths + choose_travel(lengths, wanted, slope, ranges) @ slope.T
    low = np.array([r.low_mm for r in wanted])
    high = np.array([r.high_mm for r in wanted])
    kept: Indices = kept_mask(moved, low, high).sum(axis=1)
    return len(wanted) - kept


def _lengths(design: Design, band: Band, batch: Batch, now: float) -> Array:
    """Return the length of a band's path for each combination, shape (combinations,), mm."""
    names = [stop.pulley for stop in band.route]
    touching = [k for k, p in enumerate(batch.parts) if set(names) & set(p.every_pulley)]
    if not touching:
        return np.full(len(batch), now)
    picks, back = np.unique(batch.picks[:, touching], axis=0, return_inverse=True)
    return path_lengths(design, band, _radii(design, band, batch, touching, picks))[back.ravel()]


def _radii(
    design: Design, band: Band, batch: Batch, touching: Sequence[int], picks: Indices
) -> Array:
    """Return the pitch radii along a band's route, shape (combinations, stops), mm."""
    motion = solve_drive(design).band(band.name)
    columns = []
    for stop, seat in zip(band.route, motion.seats, strict=True):
        column = np.full(len(picks), seat.pitch_radius_mm)
        for place, k in enumerate(touching):
            radii = batch.parts[k].radii_mm.get((stop.pulley, band.name))
            if radii is not None:
                column = np.array(radii)[picks[:, place]]
        columns.append(column)
    return np.stack(columns, axis=1)
