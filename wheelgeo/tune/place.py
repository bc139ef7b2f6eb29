"""Place two shafts so that a band arrives true, in spinning and as nearly as can be in backing off.

The old rule of belting: a band stays on a pulley when it *arrives* in the pulley's mid-plane. When
the wheel is turned back the band runs through the same path the other way, so that every run which
left now arrives. Where shafts are not parallel both cannot be true at once; this finds the places
between which to choose.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from wheelgeo.design.model import Design, Vector
from wheelgeo.design.possible import faults
from wheelgeo.drive.train import BandMotion, solve_drive
from wheelgeo.errors import SearchError
from wheelgeo.geometry.vectors import along, norm, unit
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.inputs import changer, get, inputs
from wheelgeo.numbers.nearest import nearest_keys
from wheelgeo.tune.bounded_fit import fit_between

WEIGHTS: tuple[float, ...] = (0.0, 0.05, 0.1, 0.2, 0.35, 0.5, 1.0)
"""How much backing off counts in each row of the table, spinning having the rest."""

TRUE_DEG = 1e-7
"""A band arrives true where it is within this of the mid-plane, degrees."""

HELPS = 0.05
"""What takes less than this part off an angle of arrival hardly changes it, and is no help."""
_SAME_MM = 0.005
_PROBE_MM = 0.5
_STEEP_DEG = 1.0
"""What changes no angle by so much over the whole length of a run does not matter."""


@dataclass(frozen=True)
class Move:
    """One thing that may move.

    Attributes:
        what: key of a length (``whorl.offset``, ``spindle.at.x``), or, with ``along``, a shaft.
        along: direction in which that shaft may move, of any length; None: ``what`` is a key.
        low_mm: how far it may move at least, from where it is; negative is backwards.
        high_mm: how far it may move at most.
    """

    what: str
    along: Vector | None = None
    low_mm: float = -math.inf
    high_mm: float = math.inf

    def __post_init__(self) -> None:
        if not self.low_mm <= 0.0 <= self.high_mm or self.low_mm == self.high_mm:
            raise SearchError(
                f'"{self.what}" must be free to move from where it is, not from '
                f"{self.low_mm:g} to {self.high_mm:g} mm"
            )


@dataclass(frozen=True)
class PlacedWheel:
    """One place of the shafts.

    Attributes:
        weight: how much backing off counted, 0 to 1.
        up_to_weight: the greatest weight for which this place is the best as well.
        moves_mm: how far each thing is moved from where the design has it.
        spinning_deg: angle at which the band arrives at each pulley in spinning, in route order.
        backing_deg: the same in backing off.
        length_mm: length of the band.
        design: the wheel so placed.
    """

    weight: float
    up_to_weight: float
    moves_mm: tuple[float, ...]
    spinning_deg: tuple[float, ...]
    backing_deg: tuple[float, ...]
    length_mm: float
    design: Design

    @property
    def worst_spinning_deg(self) -> float:
        """Largest angle of arrival in spinning, without sign."""
        return max(abs(a) for a in self.spinning_deg)

    @property
    def worst_backing_deg(self) -> float:
        """The same in backing off."""
        return max(abs(a) for a in self.backing_deg)


@dataclass(frozen=True)
class Placing:
    """The choice between spinning and backing off.

    Attributes:
        band: the band's name.
        pulleys: its pulleys, in route order.
        now: the wheel as it is.
        catch_deg: what the mouth of each pulley's groove catches; None where it has no mouth.
        rows: the placements, from spinning alone to backing off alone; those that are alike once.
    """

    band: str
    pulleys: tuple[str, ...]
    now: PlacedWheel
    catch_deg: tuple[float | None, ...]
    rows: tuple[PlacedWheel, ...]

    @property
    def true(self) -> bool:
        """Whether the first row arrives in the mid-plane of every pulley in spinning."""
        return self.rows[0].worst_spinning_deg <= TRUE_DEG

    @property
    def true_already(self) -> bool:
        """Whether the wheel as it is does so, in spinning and in backing off: nothing need move."""
        return max(self.now.worst_spinning_deg, self.now.worst_backing_deg) <= TRUE_DEG


def place(
    design: Design, band: str, moves: Sequence[Move], weights: Sequence[float] = WEIGHTS
) -> Placing:
    """Find where a band arrives true in spinning, and the compromise with backing off.

    Each row makes the sum of the squares of all angles of arrival least, those in backing off
    counted by the row's weight and those in spinning by the rest. With weight 0, of all places
    that do as well in spinning, one that does well in backing off is taken.

    Args:
        design: the wheel.
        band: name of one of its bands.
        moves: one or two (or more) things that may move.
        weights: how much backing off counts in each row, 0 to 1.

    Raises:
        SearchError: no band of that name, a key or shaft that is none, nothing to move, a weight
            out of range, a band without a path where the search starts, or something that may move
            as far as it likes and does not help.
    """
    _known(design, band)
    if not moves or not all(0.0 <= w <= 1.0 for w in weights):
        raise SearchError("a placing needs something to move, and weights from 0 to 1")
    search = _PlaceSearch(design, band, tuple(moves), tuple(_mover(design, move) for move in moves))
    motion = search.motion(np.zeros(len(moves)))
    if motion.path is None:
        raise SearchError(f'"{band}" has no path to start from: {motion.no_path}')
    now = search.placement(0.5, np.zeros(len(moves)))
    search = replace(search, reach_mm=max(run.length_mm for run in motion.path.runs))
    found = [(weight, search.best(weight)) for weight in weights]
    _refuse_what_does_not_help(search, now, found)
    return Placing(
        band,
        tuple(stop.pulley for stop in motion.band.route),
        now,
        tuple(seat.catch_deg for seat in motion.seats),
        _once(tuple(search.placement(weight, distances) for weight, distances in found)),
    )


def helpful_moves(design: Design, band: str) -> tuple[str, ...]:
    """Return what can be moved alone so that a band arrives straighter, the likeliest first.

    That are the places of its pulleys along their shafts, those on the drive's own last, and then
    of its shafts; a thing is left out by which the angles hardly change, or would only after
    a way longer than the band's own runs.

    Args:
        design: the wheel.
        band: name of one of its bands; it has a path.

    Raises:
        SearchError: no such band, or it has no path.
    """
    _known(design, band)
    route = {stop.pulley: design.pulley(stop.pulley).shaft for stop in design.band(band).route}
    shaft_of = {**{("pulley", p): s for p, s in route.items()},
                **{("shaft", s): s for s in route.values()}}  # fmt: skip
    keys = [
        (one.kind != "pulley", shaft_of[one.kind, one.part] == design.drive.shaft, one.key)
        for one in inputs(design)
        if (one.kind, one.part) in shaft_of and (one.field == "offset" or one.field[:3] == "at.")
    ]
    found = []
    for _, _, key in sorted(keys, key=lambda told: told[:2]):
        search = _PlaceSearch(design, band, (Move(key),), (_mover(design, Move(key)),))
        path = search.motion(np.zeros(1)).path
        if path is None:
            raise SearchError(f'"{band}" has no path to start from')
        reach = max(run.length_mm for run in path.runs)
        here, beside = (search.angles(np.array([d])) for d in (0.0, _PROBE_MM))
        if any(
            _helps(np.array(now), (np.array(then) - np.array(now)) / _PROBE_MM, reach)
            for now, then in zip(here, beside, strict=True)
        ):
            found.append(key)
    return tuple(found)


def _helps(
    angles_deg: NDArray[np.float64], slope_deg_mm: NDArray[np.float64], reach_mm: float
) -> bool:
    """Tell whether to go on along a slope makes angles less, not too far off."""
    steep, here = float(slope_deg_mm @ slope_deg_mm), float(angles_deg @ angles_deg)
    if steep * reach_mm**2 < _STEEP_DEG**2:
        return False
    # Where the squares would be least if the angles went straight on, and what is left there. As
    # shafts go apart the angles only fade: straight on, that seems to end as far off as they stand.
    way = -float(slope_deg_mm @ angles_deg) / steep
    left = angles_deg + way * slope_deg_mm
    less = float(left @ left) < (1.0 - HELPS) ** 2 * here
    return abs(way) < reach_mm / 3.0 and (less or here <= TRUE_DEG**2)


def _known(design: Design, band: str) -> None:
    """Raise a SearchError where a wheel has no band of that name."""
    _must_be("band", band, [b.name for b in design.bands])


def _must_be(what: str, name: str, known: list[str]) -> None:
    """Raise a SearchError where nothing of that kind has a name; it names the nearest."""
    if name not in known:
        near = nearest_keys(name, known)
        hint = f'; did you mean "{near[0]}"?' if near else ""
        raise SearchError(f'there is no {what} "{name}"{hint}')


def _once(rows: tuple[PlacedWheel, ...]) -> tuple[PlacedWheel, ...]:
    """Return placements, those that are alike told once."""
    told: list[PlacedWheel] = []
    for row in rows:
        if told and all(
            abs(a - b) < _SAME_MM for a, b in zip(row.moves_mm, told[-1].moves_mm, strict=True)
        ):
            told[-1] = replace(told[-1], up_to_weight=row.weight)
        else:
            told.append(row)
    return tuple(told)


def _refuse_what_does_not_help(
    search: _PlaceSearch, now: PlacedWheel, found: list[tuple[float, NDArray[np.float64]]]
) -> None:
    """Raise a SearchError where a thing would go on and on, or its best place is no better.

    Angles fall without end as shafts go apart: such a place is none.
    """
    for index, move in enumerate(search.moves):
        for _, distances in found:
            far = float(distances[index])
            if math.isinf(move.high_mm if far > 0.0 else move.low_mm) and (
                abs(far) > 0.99 * search.reach_mm
            ):
                raise SearchError(_does_not_help(search, now, move.what, distances))
    stays = all(float(np.max(np.abs(distances))) < _SAME_MM for _, distances in found)
    free = all(math.isinf(m.low_mm) and math.isinf(m.high_mm) for m in search.moves)
    if free and stays and max(now.worst_spinning_deg, now.worst_backing_deg) > TRUE_DEG:
        what = " and ".join(move.what for move in search.moves)
        raise SearchError(_does_not_help(search, now, what, found[0][1]))


def _does_not_help(
    search: _PlaceSearch, now: PlacedWheel, what: str, distances: NDArray[np.float64]
) -> str:
    """Say that moving a thing does not help, and what does."""
    there = max(map(abs, search.angles(distances)[0]))
    way = float(np.max(np.abs(distances)))
    others = [key for key in helpful_moves(search.design, search.band) if key != what][:3]
    helps = f"; what helps is {' or '.join(others)}" if others else ""
    does = "the band arrives no straighter for it" if way < _SAME_MM else (
        f"{way:.0f} mm of it take the worst angle in spinning from "
        f"{now.worst_spinning_deg:.2f}° to {there:.2f}°, and no place is best"
    )  # fmt: skip
    return f'moving "{what}" does not help: {does}{helps}'


def _mover(design: Design, move: Move) -> Callable[[Design, float], Design]:
    """Return a function that moves a thing of a design by so many millimetres."""
    if move.along is None:
        start, change = get(design, move.what), changer(design, move.what)
        return lambda other, distance: change(other, start + distance)
    _must_be("shaft", move.what, [s.name for s in design.shafts])
    if norm(move.along) == 0.0:
        raise SearchError(f'"{move.what}" needs a direction in which to move')
    direction = unit(move.along)

    def shift(other: Design, distance: float) -> Design:
        shafts = tuple(
            replace(s, at_mm=along(s.at_mm, direction, distance)) if s.name == move.what else s
            for s in other.shafts
        )
        return replace(other, shafts=shafts)

    return shift


@dataclass(frozen=True)
class _PlaceSearch:
    """Angles of arrival as a function of the moves."""

    design: Design
    band: str
    moves: tuple[Move, ...]
    movers: tuple[Callable[[Design, float], Design], ...]
    reach_mm: float = math.inf

    def moved(self, distances: NDArray[np.float64]) -> Design:
        design = self.design
        for mover, distance in zip(self.movers, distances, strict=True):
            design = mover(design, float(distance))
        return design

    def motion(self, distances: NDArray[np.float64]) -> BandMotion:
        return solve_drive(self.moved(distances)).band(self.band)

    def angles(self, distances: NDArray[np.float64]) -> tuple[list[float], list[float]]:
        """Return the angles of arrival in spinning and in backing off, degrees."""
        path = self.motion(distances).path
        if path is None:
            return [90.0] * len(self.stops), [90.0] * len(self.stops)
        order = range(len(path.circles))
        return [path.arriving_deg(i) for i in order], [-path.leaving_deg(i) for i in order]

    @property
    def stops(self) -> tuple[str, ...]:
        return tuple(stop.pulley for stop in self.design.band(self.band).route)

    def best(self, weight: float) -> NDArray[np.float64]:
        """Return the moves that make the weighted squares least."""
        start = self._least(max(weight, 1e-3), np.zeros(len(self.moves)))
        return start if weight >= 1e-3 else self._least(weight, start)

    def _least(self, weight: float, start: NDArray[np.float64]) -> NDArray[np.float64]:
        parts = np.repeat([math.sqrt(1.0 - weight), math.sqrt(weight)], len(self.stops))

        def miss(distances: NDArray[np.float64]) -> NDArray[np.float64]:
            return parts * np.radians(np.concatenate(self.angles(distances)))

        bounds = (
            [max(m.low_mm, -self.reach_mm) for m in self.moves],
            [min(m.high_mm, self.reach_mm) for m in self.moves],
        )
        return fit_between(miss, start, bounds, 10.0)

    def placement(self, weight: float, distances: NDArray[np.float64]) -> PlacedWheel:
        distances = np.round(distances, 9)  # a file holds no noise of the search
        design = self.moved(distances)
        wrong = faults(design)
        if wrong:
            raise SearchError(f"where it would arrive best such a wheel cannot exist: {wrong[0]}")
        spinning, backing = self.angles(distances)
        path = solve_drive(design).band(self.band).path
        if path is None:
            raise SearchError(f'"{self.band}" has no path where it would arrive best')
        return PlacedWheel(
            weight, weight, tuple(float(d) for d in distances), tuple(spinning), tuple(backing),
            path.length_mm, design,
        )  # fmt: skip
