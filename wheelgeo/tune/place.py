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
from wheelgeo.numbers.inputs import changer, get
from wheelgeo.numbers.nearest import nearest_keys
from wheelgeo.tune.bounded_fit import fit_between

WEIGHTS: tuple[float, ...] = (0.0, 0.05, 0.1, 0.2, 0.35, 0.5, 1.0)
"""How much backing off counts in each row of the table, spinning having the rest."""

TRUE_DEG = 1e-7
"""A band arrives true where it is within this of the mid-plane, degrees."""


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
        moves_mm: how far each thing is moved from where the design has it.
        spinning_deg: angle at which the band arrives at each pulley in spinning, in route order.
        backing_deg: the same in backing off.
        length_mm: length of the band.
        design: the wheel so placed.
    """

    weight: float
    moves_mm: tuple[float, ...]
    spinning_deg: tuple[float, ...]
    backing_deg: tuple[float, ...]
    length_mm: float
    design: Design

    @property
    def worst_spinning_deg(self) -> float:
        """Largest angle of arrival in spinning, without sign."""
        return max(abs(a) for a in self.spinning_deg)


@dataclass(frozen=True)
class Placing:
    """The choice between spinning and backing off.

    Attributes:
        band: the band's name.
        pulleys: its pulleys, in route order.
        now: the wheel as it is.
        catch_deg: what the mouth of each pulley's groove catches; None where it has no mouth.
        rows: the placements, from spinning alone to backing off alone.
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
            out of range, or a band without a path where the search starts.
    """
    if band not in [b.name for b in design.bands]:
        near = nearest_keys(band, [b.name for b in design.bands])
        hint = f'; did you mean "{near[0]}"?' if near else ""
        raise SearchError(f'there is no band "{band}"{hint}')
    if not moves or not all(0.0 <= w <= 1.0 for w in weights):
        raise SearchError("a placing needs something to move, and weights from 0 to 1")
    search = _PlaceSearch(design, band, tuple(moves), tuple(_mover(design, move) for move in moves))
    motion = search.motion(np.zeros(len(moves)))
    if motion.path is None:
        raise SearchError(f'"{band}" has no path to start from: {motion.no_path}')
    return Placing(
        band,
        tuple(stop.pulley for stop in motion.band.route),
        search.placement(0.5, np.zeros(len(moves))),
        tuple(seat.catch_deg for seat in motion.seats),
        tuple(search.placement(w, search.best(w)) for w in weights),
    )


def _mover(design: Design, move: Move) -> Callable[[Design, float], Design]:
    """Return a function that moves a thing of a design by so many millimetres."""
    if move.along is None:
        start, change = get(design, move.what), changer(design, move.what)
        return lambda other, distance: change(other, start + distance)
    if move.what not in [s.name for s in design.shafts]:
        near = nearest_keys(move.what, [s.name for s in design.shafts])
        hint = f'; did you mean "{near[0]}"?' if near else ""
        raise SearchError(f'there is no shaft "{move.what}"{hint}')
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

        bounds = ([m.low_mm for m in self.moves], [m.high_mm for m in self.moves])
        return fit_between(miss, start, bounds, 10.0)

    def placement(self, weight: float, distances: NDArray[np.float64]) -> PlacedWheel:
        design = self.moved(distances)
        wrong = faults(design)
        if wrong:
            raise SearchError(f"where it would arrive best such a wheel cannot exist: {wrong[0]}")
        spinning, backing = self.angles(distances)
        path = solve_drive(design).band(self.band).path
        if path is None:
            raise SearchError(f'"{self.band}" has no path where it would arrive best')
        return PlacedWheel(
            weight, tuple(float(d) for d in distances), tuple(spinning), tuple(backing),
            path.length_mm, design,
        )  # fmt: skip
