"""Whether something can be drawn straight out of a wheel: what it would pass through on its way.

A body swept along a line is held against the others as one convex body: a cylinder drawn along its
own axis is a longer cylinder, everything else the box round it (so that a narrow way may be missed,
never one taken that is not there). A rod that is drawn through a hole of its own axis is no wall.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Iterator, Sequence
from functools import cached_property, partial
from typing import NamedTuple

from wheelgeo.built.body import BoardShape, BuiltBody, TurnedShape
from wheelgeo.built.kept import KeptOf
from wheelgeo.geometry.boxes import Box, Solid, axes_of, middle_of, reach_mm, solids_meet
from wheelgeo.geometry.convex import Cylinder
from wheelgeo.geometry.near import Box as Bounds
from wheelgeo.geometry.near import box_of, box_round
from wheelgeo.geometry.vectors import Vector, across, add, along, cross, dot, norm, scale, sub
from wheelgeo.immutable import dataclass

Hole = tuple[Vector, Vector, float]
"""A round hole: a point and the direction of its axis, its radius, mm."""
TOUCH_MM = 0.05
"""Bodies that touch, or fit into one another this closely, are not in each other's way."""
LINKAGE = {"crank", "knob", "footman", "treadle"}
"""Kinds that hang on each other by pins: none of them rests on anything."""
_DRAWN: KeptOf[tuple[Piece, Solid]] = KeptOf(4096)
_MEET: KeptOf[bool] = KeptOf(4096)


class Piece(NamedTuple):
    """A convex piece of a unit, where it stands or swept along a way.

    Attributes:
        solid: the piece where it stands.
        radius: its radius where it is round, mm; else 0.
        box: the box round it, or round what it sweeps.
    """

    solid: Solid
    radius: float
    box: Bounds


Swept = tuple[Bounds, tuple[tuple[Piece, Solid], ...]]
"""The box round all that a unit sweeps, and its pieces with the body that each sweeps."""


@dataclass(frozen=True)
class Unit:
    """What stays together on the bench.

    Attributes:
        name: its name: that of its rod or its board.
        kind: its kind.
        parts: its bodies.
    """

    name: str
    kind: str
    parts: tuple[BuiltBody, ...]

    @cached_property
    def directions(self) -> tuple[Vector, ...]:
        """Ways along which it may be drawn: its own axes, both ways, up and down first."""
        first = self.parts[0].shape
        if isinstance(first, TurnedShape):
            u, v = across(first.axis)
            lines: tuple[Vector, ...] = (first.axis, (0.0, 0.0, 1.0), u, v)
        else:
            lines = ((0.0, 0.0, 1.0), first.x_axis, first.y_axis, first.z_axis)
            lines += tuple(axis for _, axis, _ in self.holes)
        both = [way for line in lines for way in (line, scale(line, -1.0))]
        return tuple(sorted(dict.fromkeys(both), key=lambda d: (-abs(d[2]), -d[2])))

    @cached_property
    def holes(self) -> tuple[Hole, ...]:
        """Every round hole through it: a point and the direction of its axis, its radius."""
        return tuple(hole for body in self.parts for hole in _holes(body))

    @cached_property
    def may_hold_rods(self) -> bool:
        """Whether it has any hole, or half of one."""
        return bool(self.holes) or any(body.whole is not None for body in self.parts)

    @cached_property
    def character(self) -> Hashable:
        """All of it that the order of taking apart hangs on, but where it is and how large."""
        parts = [(b.name, b.kind, b.part, b.turns, b.material, b.fits_in, b.whole is None)
                 for b in self.parts]  # fmt: skip
        return self.name, self.kind, self.directions, self.is_sleeve, tuple(parts)

    @cached_property
    def is_sleeve(self) -> bool:
        """Whether it is a hollow shaft that turns on another, with what is on it."""
        return self.kind == "rod" and any(_holes(self.parts[0]))

    @cached_property
    def rods_held(self) -> frozenset[str]:
        """The rods that turn in its bushes."""
        if self.kind in ("wheel", "rod"):  # bushes on their rod hold nothing of themselves
            return frozenset()
        names = {name for b in self.parts if b.kind == "bearing" for name in b.fits_in}
        return frozenset(name for name in names if name.startswith("rod "))

    @cached_property
    def solids(self) -> tuple[Piece, ...]:
        """Its convex pieces."""
        return tuple([Piece(p, _radius(p), box) for b in self.parts
                      for p, box in zip(b.pieces, b.boxes, strict=True)])  # fmt: skip

    @cached_property
    def box(self) -> Bounds:
        """The box round all of it."""
        return box_round([piece.box for piece in self.solids])

    def swept(self, way: Vector, far: float) -> Swept:
        """Return the box round what it sweeps when it is drawn so far along a way, and each piece.

        Args:
            way: unit vector.
            far: how far, mm.
        """
        known = self._swept.get(way)
        if known is None or known[0] != far:
            pieces = tuple([_DRAWN.get((p.solid,), partial(_drawn, p.solid, way, far), way, far)
                            for p in self.solids])  # fmt: skip
            known = self._swept[way] = (far, (box_round([p.box for p, _ in pieces]), pieces))
        return known[1]

    @cached_property
    def _swept(self) -> dict[Vector, tuple[float, Swept]]:
        return {}

    @cached_property
    def middle_height(self) -> float:
        """The height of the middle of its board or rod, mm."""
        low, high = self.parts[0].box
        return 0.5 * (low[2] + high[2])


_Asked = tuple[str, Vector | None, str]
"""Whether one unit is barred by another on a way, or rests on it (no way)."""


class WaysOut:
    """Which unit of one wheel is in which other's way, and which rests on which.

    Neither hangs on what else is left, so each pair of units is held together at most once for each
    way, however often the taking apart comes back to it.

    Args:
        all_units: every unit of the wheel.
        before: the same of another wheel, all by itself: what two units are to each other that
            both wheels have is known.
    """

    def __init__(self, all_units: Sequence[Unit], before: WaysOut | None = None) -> None:
        low, high = box_round([unit.box for unit in all_units])
        self._far = math.dist(low, high) + 1.0  # longer than everything together
        self._answers: dict[_Asked, bool] = {}
        self._asked_about: dict[str, list[_Asked]] = {}
        self._units = {unit.name: unit for unit in all_units}
        self._before = before
        self._same = frozenset[str]() if before is None else self._shared_with(before)

    def _shared_with(self, other: WaysOut) -> frozenset[str]:
        units = other._units.get
        return frozenset([name for name, unit in self._units.items() if units(name) is unit])

    def stand_alone(self, *others: WaysOut) -> None:
        """Take over what is known of the wheel before, and of others, to be asked by others then.

        Args:
            others: the same of other wheels, all by itself.
        """
        for other in (*others, *([] if self._before is None else [self._before])):
            same = self._shared_with(other)
            for key, answer in list(other._answers.items()):
                if key[0] in same and key[2] in same:
                    self._answers.setdefault(key, answer)
        self._before, self._same = None, frozenset()
        for key in list(self._answers):  # another thread may ask meanwhile
            for name in (key[0], key[2]):
                self._asked_about.setdefault(name, []).append(key)

    def answers_as(self, other: WaysOut) -> bool:
        """Return whether all that was asked of another wheel's units is answered alike by these.

        Args:
            other: the same of a wheel whose units have the same names, all by itself.
        """
        same = self._same if other is self._before else self._shared_with(other)
        for name, unit in self._units.items():
            if name in same:
                continue
            for key in other._asked_about.get(name, ()):
                one, way, two = key
                second = self._units[two] if one == name else unit
                first = unit if one == name else self._units[one]
                asked = self.rests_on(first, second) if way is None else (
                    self._barred(first, way, second))  # fmt: skip
                if asked != other._answers[key]:
                    return False
        return True

    def _known(self, key: _Asked) -> bool | None:
        known, before = self._answers.get(key), self._before
        if known is None and before is not None and key[0] in self._same and key[2] in self._same:
            known = before._answers.get(key)
        return known

    def rests_on(self, upper: Unit, lower: Unit) -> bool:
        """Return whether one unit stands on another, which then cannot go first."""
        key = (upper.name, None, lower.name)
        known = self._known(key)
        if known is None:
            known = self._answers[key] = _rests_on(upper, lower)
        return known

    def free(self, unit: Unit, way: Vector, left: Iterable[Unit]) -> bool:
        """Return whether a unit can be drawn out along a way, past all that is left."""
        return not any(self._barred(unit, way, other) for other in left)

    def in_the_way(self, unit: Unit, way: Vector, left: Iterable[Unit]) -> tuple[str, ...]:
        """Return the names of the units that something of this one would pass through."""
        return tuple(other.name for other in left if self._barred(unit, way, other))

    def _barred(self, unit: Unit, way: Vector, other: Unit) -> bool:
        if other is unit:
            return False
        key = (unit.name, way, other.name)
        known = self._known(key)
        if known is None:
            known = self._answers[key] = self._meets(unit, way, other)
        return known

    def _meets(self, unit: Unit, way: Vector, other: Unit) -> bool:
        box, swept = unit.swept(way, self._far)
        if _apart(box, other.box):
            return False
        for there in other.solids:
            if _apart(box, there.box):
                continue
            for own, body in swept:
                if _apart(own.box, there.box) or _through(unit, own, other, there, way):
                    continue
                pair = body, there.solid
                if _MEET.get(pair, partial(solids_meet, *pair)):
                    return True
        return False


def _rests_on(upper: Unit, lower: Unit) -> bool:
    if upper is lower or upper.kind == "rod" or {upper.kind, lower.kind} & LINKAGE:
        return False
    if (upper.kind, lower.kind) == ("wall", "bridge"):  # it is higher, and holds the bridge
        return False
    if lower.kind == "trestle foot":  # it is glued on legs that stand upside down
        return False
    if upper.middle_height <= lower.middle_height + 1.0:  # asked first: it is told at once
        return False
    return any(a.may_touch(b) for a in upper.parts for b in lower.parts)


def _through(unit: Unit, own: Piece, other: Unit, there: Piece, way: Vector) -> bool:
    """Return whether one of the two passes the other within a hole of the same axis."""
    return _passes(own.solid, own.radius, other.holes, way) or _passes(
        there.solid, there.radius, unit.holes, way
    )


def _passes(
    solid: Solid, radius: float, holes: Iterable[Hole], way: Vector
) -> bool:
    if radius <= 0.0 or not isinstance(solid, Cylinder):
        return False
    line = (solid.centre, solid.axis)
    return any(
        wide >= radius - TOUCH_MM
        and abs(dot(axis, way)) > 1.0 - 1e-6
        and coaxial(line, (point, axis))
        for point, axis, wide in holes
    )


def coaxial(a: tuple[Vector, Vector], b: tuple[Vector, Vector]) -> bool:
    """Return whether two lines (a point and a direction each) are one."""
    if norm(cross(a[1], b[1])) >= 1e-6:
        return False
    apart = sub(b[0], a[0])
    ahead = dot(apart, a[1])
    return math.sqrt(max(dot(apart, apart) - ahead * ahead, 0.0)) < TOUCH_MM


def open_hole(body: BuiltBody) -> Hole | None:
    """Return the hole that the lower half of a split board has only half of; None of any other."""
    if body.whole is None or body.kind == "cap":
        return None
    return next(_round_holes(body.whole))


def _round_holes(board: BoardShape) -> Iterator[Hole]:
    middle = 0.5 * (board.low + board.high)
    for (x, y), radius in board.holes:
        yield board.point(x, y, middle), board.z_axis, radius


def _holes(body: BuiltBody) -> Iterator[Hole]:
    """Yield the holes of a body: its bore, or the round holes of a board, by their middles."""
    # a cap closes the whole hole; the lower half alone is open
    shape = body.whole if body.kind == "cap" and body.whole is not None else body.shape
    if isinstance(shape, BoardShape):
        yield from _round_holes(shape)
        return
    bore = min(r for _, r in shape.outline)
    if bore > 0.0:
        places = [z for z, _ in shape.outline]
        middle = 0.5 * (min(places) + max(places))
        yield add(shape.origin, scale(shape.axis, middle)), shape.axis, bore


def _radius(solid: Solid) -> float:
    return 0.0 if isinstance(solid, Box) else solid.radius


def _drawn(solid: Solid, way: Vector, far: float) -> tuple[Piece, Solid]:
    sweeps = _swept(solid, way, far)
    return Piece(solid, _radius(solid), box_of(sweeps)), sweeps


def _swept(solid: Solid, way: Vector, far: float) -> Solid:
    """Return what a body, ``TOUCH_MM`` smaller all round, sweeps when it is drawn so far."""
    if isinstance(solid, Cylinder) and abs(dot(solid.axis, way)) > 1.0 - 1e-9:
        centre = along(solid.centre, way, 0.5 * far)
        radius = max(solid.radius - TOUCH_MM, 1e-3)
        return Cylinder(centre, solid.axis, radius, solid.half_length + 0.5 * far - TOUCH_MM)
    axes = _axes(solid, way)
    a, b, c = [max(reach_mm(solid, axis) - TOUCH_MM, 1e-3) for axis in axes]
    return Box(along(middle_of(solid), way, 0.5 * far), axes, (a + 0.5 * far, b, c))


def _axes(solid: Solid, way: Vector) -> tuple[Vector, Vector, Vector]:
    """Return axes that begin with the way, along the body's own where one is square to it."""
    for axis in axes_of(solid):
        if abs(dot(axis, way)) < 1e-9:
            return way, axis, cross(way, axis)
    second, third = across(way)
    return way, second, third


def _apart(a: Bounds, b: Bounds) -> bool:
    """Return whether two boxes have nothing in common."""
    (ax, ay, az), (au, av, aw) = a
    (bx, by, bz), (bu, bv, bw) = b
    return ax > bu or bx > au or ay > bv or by > av or az > bw or bz > aw
