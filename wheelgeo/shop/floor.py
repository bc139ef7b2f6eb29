"""The case floor: where every shaft stands in it, as holes, slots and centre lines.

Axes of the floor: x from its left edge, y from its front edge, seen from above. A shaft that
stands upright on the floor gets a hole, or a slot where it slides; one that lies along the floor
gets its centre line and the places of its supports; a slanting one gets the point where its axis
meets the floor, and the angle to drill at.
"""

from __future__ import annotations

import math

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import same_axis
from wheelgeo.built.pulley import WOOD_GAP_MM
from wheelgeo.design.model import Design, Shaft
from wheelgeo.design.side_words import way_in_words
from wheelgeo.geometry.segments import Segment, arc_between
from wheelgeo.geometry.vectors import Vector, along
from wheelgeo.immutable import dataclass
from wheelgeo.shop.outlines import Arc, Box, Circle, Line, Loop, Outline, Point
from wheelgeo.units.in_full import Told, full

UPRIGHT = 1e-6
"""Sine of the angle within which a shaft stands upright or lies flat."""
EDGE_MM = 20.0
"""Room round everything where the file gives no case, mm."""


@dataclass(frozen=True)
class Floor:
    """The board that the shafts stand on.

    Attributes:
        corner_mm: its left front corner and the height of its upper side, in the file's axes.
        size_mm: its length along x and its depth along y.
        note: where its size was taken from.
        over: what heights are told above.
    """

    corner_mm: Vector
    size_mm: Point
    note: str
    over: str = "the floor"

    def point(self, p: Vector) -> Point:
        """Return a point as seen from above, from the floor's corner."""
        return (p[0] - self.corner_mm[0], p[1] - self.corner_mm[1])

    def holds(self, box: Box) -> bool:
        """Return whether a box lies within the floor's edges."""
        return (
            box[0] > 0.0 and box[1] > 0.0 and box[2] < self.size_mm[0] and box[3] < self.size_mm[1]
        )


@dataclass(frozen=True)
class Footing:
    """How one shaft meets the floor.

    Attributes:
        shafts: names of the shafts (several where they share one axis).
        shaft: the thickest of them.
        at: where it is measured to, from the left and the front edge, mm.
        cut: the hole or slot; None where there is none.
        engraved: centre line and places of supports.
        supports: middles of the supports of a shaft that lies along the floor.
        size: the hole's size in words.
        note: what to know about it; empty where all is plain.
    """

    shafts: str
    shaft: Shaft
    at: Point
    cut: Loop | None
    engraved: tuple[Segment, ...] = ()
    supports: tuple[Point, ...] = ()
    size: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        """Keep the lengths of its words as they are, and tell them rounded."""
        vars(self).update(size=Told(self.size), note=Told(self.note))


def floor_of(design: Design) -> Floor:
    """Return the floor: the case's, or where there is none the room that all parts take.

    Without a case it is z = 0 where everything stands above it; else nobody knows where it is, and
    heights are told above the lowest part.
    """
    if design.case is not None:
        (x, y, z), (length, depth, _) = design.case.corner_mm, design.case.inside_mm
        return Floor((x, y, z), (length, depth), "Floor: inside of the case.")
    x1, y1, x2, y2, z = _extents(design)
    note = f"No board to cut: no case or stand is made. Drawn {EDGE_MM:g} mm beyond all parts."
    corner = (x1 - EDGE_MM, y1 - EDGE_MM, min(z, 0.0))
    size = (x2 - x1 + 2.0 * EDGE_MM, y2 - y1 + 2.0 * EDGE_MM)
    return Floor(corner, size, note, "the floor" if z >= 0.0 else "the lowest part")


def _extents(design: Design) -> tuple[float, float, float, float, float]:
    """Return the room of all pulleys and rods in x and y, and their lowest point."""
    lows: list[Vector] = []
    highs: list[Vector] = []
    for made in build(design).shafts.values():
        _grow(lows, highs, made.shaft, made.ends_mm, 0.5 * made.diameter_mm)
        for pulley in made.carries:
            _grow(lows, highs, made.shaft, pulley.faces_mm, 0.5 * pulley.rim_mm)
    least = [min(p[i] for p in lows) for i in range(3)]
    most = [max(p[i] for p in highs) for i in range(2)]
    return least[0], least[1], most[0], most[1], least[2]


def _grow(
    lows: list[Vector], highs: list[Vector], shaft: Shaft, ends: tuple[float, float], radius: float
) -> None:
    """Add the box of a cylinder on a shaft."""
    reach = [radius * math.sqrt(max(1.0 - a * a, 0.0)) for a in shaft.axis]
    for end in ends:
        x, y, z = along(shaft.at_mm, shaft.axis, end)
        lows.append((x - reach[0], y - reach[1], z - reach[2]))
        highs.append((x + reach[0], y + reach[1], z + reach[2]))


def footings(design: Design, floor: Floor) -> tuple[Footing, ...]:
    """Return how every shaft meets the floor; shafts on one axis share one footing."""
    found = []
    for names, shaft in _by_axis(design):
        upright = math.hypot(shaft.axis[0], shaft.axis[1])
        if upright <= UPRIGHT:
            found.append(_upright(floor, names, shaft))
        elif abs(shaft.axis[2]) <= UPRIGHT:
            found.append(_lying(design, floor, names, shaft))
        else:
            found.append(_slanting(floor, names, shaft))
    return tuple(found)


def _by_axis(design: Design) -> list[tuple[str, Shaft]]:
    """Return shafts with their names, one for each axis: the thickest where several share it."""
    groups: list[list[Shaft]] = []
    for shaft in design.shafts:
        for group in groups:
            if same_axis(group[0], shaft):
                group.append(shaft)
                break
        else:
            groups.append([shaft])
    return [(", ".join(s.name for s in g), max(g, key=lambda s: s.diameter_mm)) for g in groups]


def _upright(floor: Floor, names: str, shaft: Shaft) -> Footing:
    at, diameter = floor.point(shaft.at_mm), shaft.diameter_mm + WOOD_GAP_MM
    cut: Loop = Circle(at, 0.5 * diameter)
    size = f"{full(diameter)} mm hole"
    if shaft.slide is not None:
        dx, dy = shaft.slide.along[0], shaft.slide.along[1]
        first, last = shaft.slide.from_mm, shaft.slide.to_mm
        start, end = (
            (at[0] + dx * first, at[1] + dy * first),
            (at[0] + dx * last, at[1] + dy * last),
        )
        if math.dist(start, end) > 1e-6:
            cut = slot(start, end, diameter)
            size = f"{full(diameter)} mm slot, {full(math.dist(start, end))} mm travel"
    if not floor.holds(cut.box):
        return Footing(
            names, shaft, at, None, size=size, note="reaches beyond the floor: not drilled"
        )
    return Footing(names, shaft, at, cut, size=size)


def slot(start: Point, end: Point, width_mm: float) -> Outline:
    """Return a slot with round ends, true arcs and lines, between the centres of its ends."""
    length = math.dist(start, end)
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    dx, dy = 0.5 * width_mm * uy, -0.5 * width_mm * ux
    right = (start[0] + dx, start[1] + dy), (end[0] + dx, end[1] + dy)
    left = (end[0] - dx, end[1] - dy), (start[0] - dx, start[1] - dy)
    far: Arc = arc_between(end, right[1], left[0], counter_clockwise=True)
    near: Arc = arc_between(start, left[1], right[0], counter_clockwise=True)
    return Outline((Line(*right), far, Line(*left), near))


def _lying(design: Design, floor: Floor, names: str, shaft: Shaft) -> Footing:
    made = build(design).shafts[shaft.name]
    start, end = (floor.point(along(shaft.at_mm, shaft.axis, x)) for x in made.ends_mm)
    line = _clipped(floor, start, end)
    points = [floor.point(along(shaft.at_mm, shaft.axis, b.at_mm)) for b in made.held_at]
    supports = tuple(p for p in points if floor.holds((*p, *p)))
    across = tuple(_across(p, shaft.axis) for p in supports)
    height = shaft.at_mm[2] - floor.corner_mm[2]
    note = f"axis {full(height, 1)} mm above {floor.over}; supports at its bearings{_slides(shaft)}"
    engraved = (*(() if line is None else (line,)), *across)
    at = supports[0] if supports else floor.point(shaft.at_mm)
    return Footing(names, shaft, at, None, engraved, supports, "centre line", note)


def _slides(shaft: Shaft) -> str:
    """Return the travel of a shaft that slides, in words."""
    if shaft.slide is None:
        return ""
    travel = f"{shaft.slide.from_mm:g} to {shaft.slide.to_mm:g} mm"
    return f"; slides {travel} {way_in_words(shaft.slide.along)}"


def _across(p: Point, axis: Vector) -> Line:
    """Return a short line across a centre line, where a support stands."""
    length = math.hypot(axis[0], axis[1])
    dx, dy = -axis[1] / length * 6.0, axis[0] / length * 6.0
    return Line((p[0] - dx, p[1] - dy), (p[0] + dx, p[1] + dy))


def _clipped(floor: Floor, start: Point, end: Point) -> Line | None:
    """Return the piece of a line that lies within the floor, or None."""
    low, high = 0.0, 1.0
    for i in range(2):
        step = end[i] - start[i]
        if abs(step) < 1e-9:
            if not 0.0 < start[i] < floor.size_mm[i]:
                return None
            continue
        ends = sorted((-start[i] / step, (floor.size_mm[i] - start[i]) / step))
        low, high = max(low, ends[0]), min(high, ends[1])
    if high - low < 1e-9:
        return None
    ends_at = [tuple(s + (e - s) * t for s, e in zip(start, end, strict=True)) for t in (low, high)]
    return Line((ends_at[0][0], ends_at[0][1]), (ends_at[1][0], ends_at[1][1]))


def _slanting(floor: Floor, names: str, shaft: Shaft) -> Footing:
    down = (floor.corner_mm[2] - shaft.at_mm[2]) / shaft.axis[2]
    at = floor.point(along(shaft.at_mm, shaft.axis, down))
    lean = math.degrees(math.acos(min(1.0, abs(shaft.axis[2]))))
    sign = math.copysign(1.0, shaft.axis[2])
    towards = way_in_words((sign * shaft.axis[0], sign * shaft.axis[1], 0.0))
    note = f"leans {lean:.2f} deg from upright, {towards}"
    size = f"{full(shaft.diameter_mm + WOOD_GAP_MM)} mm hole, drilled slanting"
    marks: tuple[Segment, ...] = ()
    if floor.holds((*at, *at)):
        x, y = at
        marks = (Line((x - 4.0, y), (x + 4.0, y)), Line((x, y - 4.0), (x, y + 4.0)))
    else:  # nobody drills a hole there: it is told where the file has the shaft instead
        at = floor.point(shaft.at_mm)
        height = shaft.at_mm[2] - floor.corner_mm[2]
        size = "no hole, leans past the floor's edges"
        note += (
            f"; axis {full(height, 1)} mm above {floor.over} there; make a holder for it of your "
            "own"
        )
    return Footing(names, shaft, at, None, marks, size=size, note=note)
