"""In which order a wheel goes together, found by taking it apart: what can be drawn out, and how.

A *unit* is what stays together on the bench: a rod with all that is fixed on it, a board with the
bushes pressed into it. From the whole wheel one unit after another is drawn out along a straight
line, along an axis of its own, without passing through what is left; the order of assembly is that
order backwards. An endless band comes off when at each of its shafts one end, beyond its pulley, is
free of everything that holds the rod. What can never be drawn out is said, with what is in its way.

A body swept along a line is held against the others as one convex body: a cylinder drawn along its
own axis is a longer cylinder, everything else the box round it (so that a narrow way may be missed,
never one taken that is not there). A rod that is drawn through a hole of its own axis is no wall.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from wheelgeo.built.as_built import Built
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BoardShape, BuiltBody, TurnedShape
from wheelgeo.geometry.bodies import Capsule, Cylinder
from wheelgeo.geometry.boxes import Box, Solid, middle_of, reach_mm, solids_meet
from wheelgeo.geometry.near import box_of
from wheelgeo.geometry.vectors import Vector, across, add, cross, dot, norm, scale, sub

TOUCH_MM = 0.05
"""Bodies that touch, or fit into one another this closely, are not in each other's way."""
FIRST_OFF = (
    "lid", "knob", "crank", "footman", "treadle", "bridge", "maiden", "support", "whorl",
    "bobbin", "band", "rod", "slide", "mother-of-all", "bed", "post", "block", "wall", "leg",
    "foot",
)  # fmt: skip
"""What is taken off first where several could be: what is screwed on before what is glued."""
_LINKAGE = {"crank", "knob", "footman", "treadle"}
_TURNS_ON_ROD = ("pulley", "washer", "flyer")


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
    def holes(self) -> tuple[tuple[Vector, Vector, float], ...]:
        """Every round hole through it: a point and the direction of its axis, its radius."""
        return tuple(hole for body in self.parts for hole in _holes(body))

    @cached_property
    def solids(self) -> tuple[tuple[Solid, float], ...]:
        """Its convex pieces, each with its radius where it is round, else 0."""
        return tuple((p, _radius(p)) for body in self.parts for p in body.pieces)


@dataclass(frozen=True, slots=True)
class Step:
    """One step of taking apart.

    Attributes:
        what: the unit's or the band's name.
        kind: its kind; "band" of a band.
        along: the way it is drawn out; None of a band.
        parts: names of the bodies in it.
    """

    what: str
    kind: str
    along: Vector | None
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stuck:
    """What cannot be drawn out of what is left.

    Attributes:
        what: the unit's or the band's name.
        held_by: what is in its way, along the way with least.
    """

    what: str
    held_by: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Assembly:
    """How a wheel comes apart.

    Attributes:
        apart: the steps of taking it apart, in order.
        stuck: what is left and cannot be.
    """

    apart: tuple[Step, ...]
    stuck: tuple[Stuck, ...]

    @property
    def together(self) -> tuple[Step, ...]:
        """The steps of putting it together, in order."""
        return self.apart[::-1]


def assembly(built: Built) -> Assembly:
    """Return how a wheel comes apart, and so how it goes together.

    Args:
        built: the wheel.
    """
    left = list(units([b for b in bodies(built) if b.kind != "cop"]))  # yarn comes later
    bands = {
        band.name: tuple(dict.fromkeys(built.design.pulley(s.pulley).shaft for s in band.route))
        for band in built.design.bands
    }
    apart: list[Step] = []
    base = next((u for u in left if u.kind in ("floor", "table")), None)
    while left and left != [base]:
        step = next(_next(built, left, bands, base), None)
        if step is None:
            break
        apart.append(step)
        bands.pop(step.what, None)
        left = [u for u in left if u.name != step.what or step.kind == "band"]
    stuck = [_why(u, left, bands) for u in left if u is not base]
    stuck += [Stuck(name, tuple(_round_rods(built, name, on, left))) for name, on in bands.items()]
    if base is not None and not stuck:
        apart.append(Step(base.name, base.kind, None, tuple(b.name for b in base.parts)))
    return Assembly(tuple(apart), tuple(stuck))


def units(found: Sequence[BuiltBody]) -> Iterator[Unit]:
    """Yield the units of a wheel: boards with their bushes, rods with what is fixed on them.

    The whorl of a flyer is a unit of its own: a bobbin between it and the flyer could not be
    changed, so it is made to come off.
    """
    taken: set[str] = set()
    flyers = {b.part for b in found if b.kind == "flyer"}
    for rod in (b for b in found if b.kind == "rod"):
        fixed = [b for b in found if b.kind in _TURNS_ON_ROD and b.part == rod.part and b.turns]
        if rod.part in flyers:  # the bobbin comes off behind the whorl
            fixed = [b for b in fixed if b.kind != "pulley"]
        taken |= {rod.name, *(b.name for b in fixed)}
        yield Unit(rod.name, "rod", (rod, *fixed))
    for body in sorted(found, key=lambda b: b.kind in ("floor", "table")):  # which touch bushes
        if body.name in taken or body.kind == "bearing":
            continue
        bushes = [b for b in found if b.kind == "bearing" and b.name in body.fits_in]
        bushes = [b for b in bushes if b.name not in taken]
        taken |= {b.name for b in bushes}
        whorl = body.kind == "pulley"
        yield Unit(body.name, "whorl" if whorl else body.kind, (body, *bushes))
    for body in found:  # a bush in no board: a user's own stand holds it
        if body.kind == "bearing" and body.name not in taken:
            yield Unit(body.name, "support", (body,))


def _next(
    built: Built, left: Sequence[Unit], bands: dict[str, tuple[str, ...]], base: Unit | None
) -> Iterator[Step]:
    """Yield what can come off now, what is screwed on first."""
    order = {kind: i for i, kind in enumerate(FIRST_OFF)}
    things: list[tuple[int, str]] = [(order["band"], name) for name in bands]
    by_name = {u.name: u for u in left if u is not base}
    last = {u.name for u in by_name.values() if _holds_alone(u, left)}
    things += [
        (order.get(u.kind, len(order)) + (len(order) if name in last else 0), name)
        for name, u in by_name.items()
    ]
    for _, name in sorted(things, key=lambda t: t[0]):
        if name in bands:
            if not list(_round_rods(built, name, bands[name], left)):
                yield Step(name, "band", None, (name,))
            continue
        unit = by_name[name]
        if any(unit.name == f"rod {shaft}" for on in bands.values() for shaft in on):
            continue  # a rod comes out when its bands are off
        if any(_rests_on(other, unit) for other in left if other is not base):
            continue
        for way in unit.directions:
            if not any(True for _ in _in_the_way(unit, way, left)):
                yield Step(name, unit.kind, way, tuple(b.name for b in unit.parts))
                break


def _holds_alone(unit: Unit, left: Sequence[Unit]) -> bool:
    """Return whether a rod is left that nothing but this unit holds: the rod comes out first."""
    held = _rods_held(unit)
    others = {rod for u in left if u is not unit for rod in _rods_held(u)}
    return any(u.name in held and u.name not in others for u in left)


def _rods_held(unit: Unit) -> set[str]:
    names = {name for b in unit.parts if b.kind == "bearing" for name in b.fits_in}
    return {name for name in names if name.startswith("rod ")}


def _rests_on(upper: Unit, lower: Unit) -> bool:
    """Return whether one unit stands on another, which then cannot go first."""
    if upper is lower or upper.kind == "rod" or {upper.kind, lower.kind} & _LINKAGE:
        return False
    if not any(a.may_touch(b) for a in upper.parts for b in lower.parts):
        return False
    return _height(upper) > _height(lower) + 1.0


def _height(unit: Unit) -> float:
    """Return the height of the middle of its board or rod."""
    boxes = [box_of(solid) for solid in unit.parts[0].pieces]
    return 0.5 * (min(b[0][2] for b in boxes) + max(b[1][2] for b in boxes))


def _why(unit: Unit, left: Sequence[Unit], bands: dict[str, tuple[str, ...]]) -> Stuck:
    ways = [tuple(dict.fromkeys(_in_the_way(unit, way, left))) for way in unit.directions]
    on = [name for name, shafts in bands.items() if unit.name in (f"rod {s}" for s in shafts)]
    return Stuck(unit.name, (*min(ways, key=len), *on))


# --- bands ----------------------------------------------------------------------------------------


def _round_rods(
    built: Built, band: str, shafts: Sequence[str], left: Sequence[Unit]
) -> Iterator[str]:
    """Yield what keeps an endless band on: holders beyond its pulley at both ends of a rod."""
    places = {
        shaft: [p.pulley.offset_mm for p in built.pulleys.values() if p.pulley.shaft == shaft
                and p.name in (s.pulley for s in built.design.band(band).route)]
        for shaft in shafts
    }  # fmt: skip
    for shaft in shafts:
        below: list[str] = []
        above: list[str] = []
        made = built.shafts[shaft]
        axis, at = made.shaft.axis, made.shaft.at_mm
        for unit in left:
            if unit.kind == "rod":
                continue
            for point, along, radius in unit.holes:
                if not _coaxial((at, axis), (point, along)) or radius > 60.0:
                    continue
                place = dot(sub(point, at), axis)
                (below if place < min(places[shaft]) else above).append(unit.name)
        if below and above:
            yield from dict.fromkeys(above if len(above) <= len(below) else below)


# --- drawing a unit out ---------------------------------------------------------------------------


def _in_the_way(unit: Unit, way: Vector, left: Sequence[Unit]) -> Iterator[str]:
    """Yield the names of the units that something of this one would pass through."""
    far = _far(left)
    swept = [(s, r, _swept(s, way, far)) for s, r in unit.solids]
    boxes = [box_of(body) for _, _, body in swept]
    for other in left:
        if other is unit:
            continue
        for solid, radius in other.solids:
            near = box_of(solid)
            for (own, own_radius, body), box in zip(swept, boxes, strict=True):
                if _apart(box, near) or _through(unit, own, own_radius, other, solid, radius, way):
                    continue
                if solids_meet(body, solid):
                    yield other.name
                    break
            else:
                continue
            break


def _through(
    unit: Unit, own: Solid, own_radius: float, other: Unit, solid: Solid, radius: float, way: Vector
) -> bool:
    """Return whether one of the two passes the other within a hole of the same axis."""
    return _passes(own, own_radius, other.holes, way) or _passes(solid, radius, unit.holes, way)


def _passes(
    solid: Solid, radius: float, holes: Iterable[tuple[Vector, Vector, float]], way: Vector
) -> bool:
    if radius <= 0.0 or not isinstance(solid, Cylinder):
        return False
    line = (solid.centre, solid.axis)
    return any(
        wide >= radius - TOUCH_MM
        and abs(dot(axis, way)) > 1.0 - 1e-6
        and _coaxial(line, (point, axis))
        for point, axis, wide in holes
    )


def _coaxial(a: tuple[Vector, Vector], b: tuple[Vector, Vector]) -> bool:
    apart = sub(b[0], a[0])
    along = dot(apart, a[1])
    return (
        norm(cross(a[1], b[1])) < 1e-6
        and math.sqrt(max(dot(apart, apart) - along * along, 0.0)) < TOUCH_MM
    )


def _holes(body: BuiltBody) -> Iterator[tuple[Vector, Vector, float]]:
    """Yield the holes of a body: its bore, or the round holes of a board, by their middles."""
    shape = body.shape
    if isinstance(shape, BoardShape):
        middle = 0.5 * (shape.low + shape.high)
        for (x, y), radius in shape.holes:
            yield shape.point(x, y, middle), shape.z_axis, radius
        return
    bore = min(r for _, r in shape.outline)
    if bore > 0.0:
        places = [z for z, _ in shape.outline]
        middle = 0.5 * (min(places) + max(places))
        yield add(shape.origin, scale(shape.axis, middle)), shape.axis, bore


def _radius(solid: Solid) -> float:
    return 0.0 if isinstance(solid, Box) else solid.radius


def _swept(solid: Solid, way: Vector, far: float) -> Solid:
    """Return what a body, ``TOUCH_MM`` smaller all round, sweeps when it is drawn so far."""
    if isinstance(solid, Cylinder) and abs(dot(solid.axis, way)) > 1.0 - 1e-9:
        centre = add(solid.centre, scale(way, 0.5 * far))
        radius = max(solid.radius - TOUCH_MM, 1e-3)
        return Cylinder(centre, solid.axis, radius, solid.half_length + 0.5 * far - TOUCH_MM)
    axes = _axes(solid, way)
    middle = middle_of(solid)
    halves = tuple(max(reach_mm(solid, axis) - TOUCH_MM, 1e-3) for axis in axes)
    centre = add(middle, scale(way, 0.5 * far))
    return Box(centre, axes, (halves[0] + 0.5 * far, halves[1], halves[2]))


def _axes(solid: Solid, way: Vector) -> tuple[Vector, Vector, Vector]:
    """Return axes that begin with the way, along the body's own where one is square to it."""
    own: tuple[Vector, ...] = ()
    if isinstance(solid, Box):
        own = solid.axes
    elif isinstance(solid, Capsule):
        rod = sub(solid.end, solid.start)
        own = (scale(rod, 1.0 / norm(rod)),) if norm(rod) > 0.0 else ()
    else:
        own = (solid.axis,)
    second = next((axis for axis in own if abs(dot(axis, way)) < 1e-9), across(way)[0])
    return way, second, cross(way, second)


def _far(left: Sequence[Unit]) -> float:
    """Return a way longer than everything together."""
    boxes = [box_of(solid) for unit in left for solid, _ in unit.solids]
    low = [min(b[0][i] for b in boxes) for i in range(3)]
    high = [max(b[1][i] for b in boxes) for i in range(3)]
    return math.dist(low, high) + 1.0


def _apart(a: tuple[Vector, Vector], b: tuple[Vector, Vector]) -> bool:
    return any(a[0][i] > b[1][i] or b[0][i] > a[1][i] for i in range(3))
