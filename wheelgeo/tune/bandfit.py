"""Which bands of a changed wheel still fit, by their stretch or by sliding a shaft.

Glossary: the *rest length* of a band is what it measures off the wheel; its *reach* is the range of
path lengths on which it runs with a stretch that its material is used at. A band whose path leaves
its reach, wherever the shafts slide, must be remade.

Sliding is chosen shaft by shaft, those that carry fewest bands first, so that a shaft that serves
one band is moved for that band before a shaft that would disturb another.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wheelgeo.built.as_built import build
from wheelgeo.built.band import BuiltBand
from wheelgeo.built.kept import kept_with
from wheelgeo.design.model import Band, Design
from wheelgeo.drive.train import Solution, solve_drive
from wheelgeo.immutable import dataclass
from wheelgeo.tune.sliding import Travel, set_along, slid, travels

Array = NDArray[np.float64]

_PROBE_MM = 0.05
"""Travel over which the change of a path's length is taken."""
_PASSES = 4
_SETTLED_MM = 1e-6
_MOVES = 1e-3
"""A slide along which a path changes by less, mm per mm, sets nothing."""
STRETCH_DIGITS = 6
"""Decimals of a reckoned stretch: a hundredth of a millimetre in ten metres of band."""
_PULL_DIGITS = 3
"""Decimals of a reckoned pull, N."""
INSET = 1e-4
"""A shaft is slid this fraction of the path further than just within reach, so that the travel may
be rounded."""
AS_TIGHT = 0.02
"""A stretch off by this fraction is the same to a hand; common practice, no source."""
_TOLERANCE = 1e-9
"""A path this fraction beyond a band's reach is within it."""


@dataclass(frozen=True)
class Reach:
    """The path lengths that a band of today can serve, mm, its rest length, and its path today."""

    rest_mm: float
    low_mm: float
    high_mm: float
    now_mm: float

    def as_tight(self) -> Reach:
        """Return the lengths on which the band pulls as today, within a few in a hundred."""
        off = AS_TIGHT * (self.now_mm - self.rest_mm)
        return Reach(self.rest_mm, self.now_mm - off, self.now_mm + off, self.now_mm)

    def holds(self, length_mm: float) -> bool:
        """Tell whether the band serves a path of that length."""
        slack = _TOLERANCE * length_mm
        return self.low_mm - slack <= length_mm <= self.high_mm + slack


@dataclass(frozen=True)
class BandFate:
    """What becomes of a band.

    Attributes:
        name: the band.
        length_mm: length of its path on the changed wheel; None where there is no path.
        rest_mm: what it measures off the wheel, without its joint; None likewise.
        stretch: its installed stretch.
        remade: it must be made anew.
    """

    name: str
    length_mm: float | None
    rest_mm: float | None
    stretch: float
    remade: bool


@dataclass(frozen=True)
class Fit:
    """A changed wheel put together: shafts slid, bands kept or remade.

    Attributes:
        design: the wheel as it stands then; its slides and stretches are set.
        bands: what becomes of each band, in file order.
        slid: how far each shaft was slid, mm; only those that were.
    """

    design: Design
    bands: tuple[BandFate, ...]
    slid: Mapping[str, float]

    @property
    def remade(self) -> int:
        """How many bands must be made anew."""
        return sum(b.remade for b in self.bands)


def reaches(solution: Solution) -> dict[str, Reach]:
    """Return what path lengths each band of a wheel can serve; none for a band without a path."""
    found: dict[str, Reach] = {}
    for motion in solution.bands:
        if motion.path is not None:
            found[motion.band.name] = _reach(solution.design, motion.band, motion.path.length_mm)
    return found


def _reach(design: Design, band: Band, length_mm: float) -> Reach:
    made = build(design).bands[band.name]
    stretch, rest = made.stretch.value, made.cut_length_mm(length_mm)
    figure = made.material.value.stretch if made.material.given else None
    low, high = (stretch, stretch) if figure is None else (figure.low, figure.high)
    # a stretch that its owner uses already is good, whatever practice says
    ends = (rest * (1.0 + min(low, stretch)), rest * (1.0 + max(high, stretch)))
    return Reach(rest, *ends, length_mm)


def lengths_of(design: Design) -> dict[str, float]:
    """Return the path length of each band that has a path, mm; nobody changes what it returns."""

    def lengths() -> dict[str, float]:
        motions = solve_drive(design).bands
        return {m.band.name: m.path.length_mm for m in motions if m.path is not None}

    return kept_with(build(design), "lengths of its bands", lengths)


def slopes(design: Design, names: Sequence[str]) -> Array:
    """Return how fast each named band grows as each sliding shaft moves, shape (bands, shafts)."""
    columns = [_slopes_along(design, travel, names) for travel in travels(design)]
    return np.array(columns, dtype=float).reshape(len(columns), len(names)).T


def _slopes_along(design: Design, travel: Travel, names: Sequence[str]) -> list[float]:
    """Return how fast each named band grows as one shaft moves."""
    step = _PROBE_MM if travel.to_mm >= _PROBE_MM else -min(_PROBE_MM, -travel.from_mm)
    before, after = lengths_of(design), lengths_of(slid(design, travel.shaft, step))
    return [(after.get(n, 0.0) - before.get(n, 0.0)) / step for n in names]


def choose_travel(
    lengths: Array, reach: Sequence[Reach], slope: Array, ranges: Sequence[tuple[float, float]]
) -> Array:
    """Return how far to slide each shaft so that most bands are kept, and no further than that.

    Args:
        lengths: path lengths with the shafts where they stand, shape (wheels, bands), mm.
        reach: what each band serves.
        slope: growth of each path as each shaft moves, shape (bands, shafts).
        ranges: travel of each shaft from where it stands, mm.

    Returns:
        Travels, shape (wheels, shafts), mm.
    """
    low = np.array([r.low_mm for r in reach])
    high = np.array([r.high_mm for r in reach])
    chosen = np.zeros((lengths.shape[0], len(ranges)))
    for k, (start, end) in enumerate(ranges):
        now = lengths + chosen @ slope.T
        tries = _tries(now, low, high, slope[:, k], start, end)
        paths = now[:, None, :] + tries[:, :, None] * slope[None, None, :, k]
        kept = kept_mask(paths, low, high).sum(axis=2)
        score = kept - np.abs(tries) / (10.0 * (abs(start) + abs(end) + 1.0))
        best = np.argmax(score, axis=1)
        chosen[:, k] = tries[np.arange(len(best)), best]
    return chosen


def kept_mask(paths: Array, low: Array, high: Array) -> NDArray[np.bool_]:
    """Return which paths lie within reach, shape of ``paths``, bands last."""
    slack = _TOLERANCE * paths
    result: Any = (paths >= low - slack) & (paths <= high + slack)
    return result  # type: ignore[no-any-return]


def _tries(now: Array, low: Array, high: Array, slope: Array, start: float, end: float) -> Array:
    """Return the travels worth trying: none, and where a band comes safely within its reach."""
    inset = np.minimum(INSET * high, (high - low) / 4.0)
    moves = np.abs(slope) > 1e-6
    safe = np.where(moves, slope, 1.0)
    ends = [np.where(moves, (limit - now) / safe, 0.0) for limit in (low + inset, high - inset)]
    tries: Array = np.concatenate([np.zeros((len(now), 1)), *ends], axis=1)
    return np.clip(tries, start, end)


def fit(design: Design, reach: Mapping[str, Reach]) -> Fit:
    """Put a changed wheel together: slide its shafts, keep what bands fit, remake the others.

    Args:
        design: the changed wheel, its shafts where they stood and its stretches as they were.
        reach: what each band of the old wheel serves.

    Returns:
        The fit. A band that is remade is made to the stretch that the file gives.
    """
    names = [n for n in lengths_of(design) if n in reach]
    wanted = [reach[n] for n in names]
    total: dict[str, float] = {}
    stands = design
    for _ in range(_PASSES):
        lengths = lengths_of(stands)
        row = np.array([[lengths.get(n, 0.0) for n in names]])
        moving = travels(stands)
        ranges = [(t.from_mm, t.to_mm) for t in moving]
        chosen = choose_travel(row, wanted, slopes(stands, names), ranges)[0]
        if not any(abs(t) > 1e-9 for t in chosen):
            break
        for travel, amount in zip(moving, chosen, strict=True):
            stands = slid(stands, travel.shaft, float(amount))
            total[travel.shaft] = total.get(travel.shaft, 0.0) + float(amount)
    return _fates(*_pulls_kept(design, *_settled(design, total, reach), reach), reach)


PULL_CHANGED = 0.2
"""A kept band that would pull harder by more than this fraction is let in to its old pull where a
slide can: a spinner does so by feel. Common practice, no source."""


def _pulls_kept(
    design: Design, stands: Design, total: Mapping[str, float], reach: Mapping[str, Reach]
) -> tuple[Design, dict[str, float]]:
    """Return the wheel with shafts let in where kept bands would pull far harder than before."""
    slid_by = dict(total)
    for name, made in build(design).bands.items():
        held, wanted = reach.get(name), made.stretch.value
        length = lengths_of(stands).get(name)
        if held is None or length is None or not held.holds(length):
            continue
        if made.band.tension is not None and made.band.tension.kind != "measured":
            continue  # its weight or spring sets it by itself
        if length / held.rest_mm - 1.0 <= (1.0 + PULL_CHANGED) * wanted:
            continue  # a slacker band is within its usual stretch too, and spares the hand
        target = max(held.rest_mm * (1.0 + wanted), held.low_mm * (1.0 + INSET))
        found = slide_for(stands, name, target)
        if found is None:
            continue
        shaft, amount = found
        moved = set_along(stands, shaft, amount)
        if _kept(moved, reach) >= _kept(stands, reach) and _off(moved, reach) < _off(stands, reach):
            stands = moved
            slid_by[shaft] = round(slid_by.get(shaft, 0.0) + amount, 9)
    return stands, slid_by


def _off(design: Design, reach: Mapping[str, Reach]) -> float:
    """Return how far the stretch of the kept bands is off what it was, all together."""
    lengths, made = lengths_of(design), build(design).bands
    return sum(
        abs(lengths[n] / r.rest_mm - 1.0 - made[n].stretch.value)
        for n, r in reach.items() if n in lengths and r.holds(lengths[n])
    )  # fmt: skip


def slide_for(design: Design, band: str, length_mm: float) -> tuple[str, float] | None:
    """Return the shaft to slide, and how far, so that a band's path has a length; None: none can.

    The shaft that carries fewest bands is taken; where its slide ends short, it goes to that end.
    Travel is in hundredths of a millimetre.

    Args:
        design: the wheel as it stands.
        band: the band.
        length_mm: the path that is wanted.
    """
    for travel in travels(design):
        (slope,) = _slopes_along(design, travel, [band])
        if abs(slope) < _MOVES:
            continue
        amount = 0.0
        for _ in range(_PASSES):  # a path is nearly straight in the travel: the chord will do
            now = lengths_of(slid(design, travel.shaft, amount)).get(band)
            if now is None:
                break
            wanted = amount + (length_mm - now) / slope
            before, amount = amount, min(max(wanted, travel.from_mm), travel.to_mm)
            if abs(amount - before) < _SETTLED_MM:
                break
        amount = min(max(round(amount, 2), travel.from_mm), travel.to_mm)
        if amount != 0.0:
            return travel.shaft, amount
    return None


def _settled(
    design: Design, total: Mapping[str, float], reach: Mapping[str, Reach]
) -> tuple[Design, dict[str, float]]:
    """Return the simplest of: not slid at all, slid by round numbers, slid as reckoned."""
    exact = {shaft: t for shaft, t in total.items() if abs(t) > 1e-6}
    ranges = {t.shaft: (t.from_mm, t.to_mm) for t in travels(design)}
    rounded = {s: min(max(round(t, 2), ranges[s][0]), ranges[s][1]) for s, t in exact.items()}
    tries: list[dict[str, float]] = [{}, rounded, exact]
    stands = [design, _all_slid(design, rounded, set_along), _all_slid(design, exact, slid)]
    counts = [_kept(each, reach) for each in stands]
    best = counts.index(max(counts))
    return stands[best], tries[best]


def _all_slid(
    design: Design, amounts: Mapping[str, float], by: Callable[[Design, str, float], Design]
) -> Design:
    for shaft, amount in amounts.items():
        design = by(design, shaft, amount)
    return design


def _kept(design: Design, reach: Mapping[str, Reach]) -> int:
    lengths = lengths_of(design)
    return sum(n in lengths and r.holds(lengths[n]) for n, r in reach.items())


def _fates(design: Design, total: Mapping[str, float], reach: Mapping[str, Reach]) -> Fit:
    fates, bands = [], []
    lengths = lengths_of(design)
    for name, made in build(design).bands.items():
        fate = _fate(made, lengths.get(name), reach.get(name))
        fates.append(fate)
        bands.append(_stretched(made, fate))
    return Fit(replace(design, bands=tuple(bands)), tuple(fates), total)


def _stretched(made: BuiltBand, fate: BandFate) -> Band:
    """Return the band with its new stretch; the same band where that is as it was.

    A pull that was measured was so at the old stretch, and grows with it (Hooke). Where there was
    no stretch to grow from, the pull follows from the new one.
    """
    band, before = made.band, made.stretch.value
    if fate.remade or abs(fate.stretch - before) < 1e-9:
        return band
    pulls = band.tension
    if pulls is not None and pulls.kind == "measured":
        pull_n = round(pulls.pull_n * fate.stretch / before, _PULL_DIGITS) if before > 0.0 else 0.0
        pulls = replace(pulls, pull_n=pull_n) if pull_n > 0.0 else None
    return replace(band, stretch=fate.stretch, tension=pulls)


def _fate(made: BuiltBand, length: float | None, reach: Reach | None) -> BandFate:
    stretch = made.stretch.value
    if length is None:
        return BandFate(made.name, None, None, stretch, True)
    if reach is not None and reach.holds(length):
        stretch = round(max(length / reach.rest_mm - 1.0, 0.0), STRETCH_DIGITS)
        return BandFate(made.name, length, reach.rest_mm, stretch, False)
    return BandFate(made.name, length, made.cut_length_mm(length), stretch, True)
