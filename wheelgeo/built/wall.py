"""The walls of a case: where they stand, the notches that rods need in them, fingers at corners.

The walls stand on the floor round the inside. Where a rod passes a wall, an open-topped notch is
cut, wide and deep enough for the rod on all its travel, so that the rod can be lifted out. All
sizes are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING

from wheelgeo.built.body import BuiltBody, Point, board
from wheelgeo.built.held import USUAL_WALL_MM
from wheelgeo.built.kept import KeptOf, kept_with
from wheelgeo.built.shaft import BuiltShaft
from wheelgeo.design.model import Case
from wheelgeo.geometry.vectors import Vector, along

if TYPE_CHECKING:
    from wheelgeo.built.as_built import Built

PLYWOOD = "plywood"
NOTCH_ROOM_MM = 2.0
"""Between a rod and the sides of its notch."""
LEAST_FINGERED_MM = 30.0
"""Walls lower than this are butted and pinned; higher ones are joined by three fingers."""
FIVE_FINGERS_MM = 100.0
"""Walls as high as this have five."""
SIDES = ("front", "back", "left", "right")
Rectangles = tuple[tuple[Point, Point], ...]
Notch = tuple[float, float, float]
"""Begin and end along a wall, and its bottom, mm."""
_WALLS: KeptOf[BuiltBody] = KeptOf(128)


def wall_mm(case: Case) -> float:
    """Return the thickness of a case's walls: the file's or the usual one, mm."""
    return USUAL_WALL_MM if case.wall_mm is None else case.wall_mm


def wall_body(built: Built, case: Case, side: str, others: Sequence[str]) -> BuiltBody:
    """Return one wall.

    Args:
        built: the wheel.
        case: its case.
        side: front, back, left or right.
        others: names of the other walls, which it touches.
    """
    joined, notches = fingered(built), tuple(_notches(built, case, side))
    return _WALLS.get(
        (case,), lambda: _wall(case, side, notches, joined, others), side, notches, joined
    )


def _wall(
    case: Case, side: str, notches: tuple[Notch, ...], joined: bool, others: Sequence[str]
) -> BuiltBody:
    z, height, wall = case.corner_mm[2], case.inside_mm[2], wall_mm(case)
    place, start, stop, run = _stands(case, side)
    # seen from the front: x to the right, y of the board up, its z towards the viewer
    origin: Vector = (0.0, place + wall, 0.0) if run == 0 else (place, 0.0, 0.0)
    x_axis: Vector = (1.0, 0.0, 0.0) if run == 0 else (0.0, 1.0, 0.0)
    ends, heights = (start, stop), (z, z + height)
    outline, parts = notched(ends, heights, notches)
    if joined:
        outline, parts = _with_fingers(outline, parts, ends, heights, wall, run == 0)
    return board(
        f"wall {side}", "wall", origin, x_axis, (0.0, 0.0, 1.0), outline, 0.0, wall, PLYWOOD,
        parts=parts, fits_in=others,
    )  # fmt: skip


def _stands(case: Case, side: str) -> tuple[float, float, float, int]:
    """Return where a wall stands: its lower face, its two ends, mm, and the axis it runs along."""
    (x, y, _), (length, depth, _), wall = case.corner_mm, case.inside_mm, wall_mm(case)
    if side in ("front", "back"):
        return y - wall if side == "front" else y + depth, x - wall, x + length + wall, 0
    return x - wall if side == "left" else x + length, y, y + depth, 1


def _notches(built: Built, case: Case, side: str) -> list[Notch]:
    """Return the notches that the rods of a wheel need in a wall, those that meet as one."""
    return kept_with(built, ("notches", side), lambda: _notched_for(built, case, side))


def _notched_for(built: Built, case: Case, side: str) -> list[Notch]:
    found = [kept_with(made.as_cut, ("notch", side), partial(_notch_for, made, case, side))
             for made in built.shafts.values()]  # fmt: skip
    return _joined([notch for notch in found if notch is not None])


def _notch_for(made: BuiltShaft, case: Case, side: str) -> Notch | None:
    place, start, stop, run = _stands(case, side)
    slab = place, place + wall_mm(case)
    heights = case.corner_mm[2], case.corner_mm[2] + case.inside_mm[2]
    return _notch(made, slab, run, 1 - run, (start, stop), heights)


def fingered(built: Built) -> bool:
    """Return whether the walls of a case are joined finger in finger, and not butted and pinned.

    So they are where the walls are high enough for fingers, and no notch comes into a corner.
    """
    return kept_with(built, "fingered", lambda: _fingered(built))


def _fingered(built: Built) -> bool:
    case = built.design.case
    if case is None or case.inside_mm[2] < LEAST_FINGERED_MM:
        return False
    clear = wall_mm(case) + 2.0
    for side in SIDES:
        _, start, stop, run = _stands(case, side)
        room = clear if run == 0 else 2.0
        for begin, end, _ in _notches(built, case, side):
            if begin < start + room or end > stop - room:
                return False
    return min(case.inside_mm[:2]) > 2.0 * clear


def _with_fingers(
    outline: tuple[Point, ...], parts: Rectangles, ends: tuple[float, float],
    heights: tuple[float, float], wall: float, laps: bool,
) -> tuple[tuple[Point, ...], Rectangles]:  # fmt: skip
    """Return a wall with fingers at both ends, and the rectangles it is then made of.

    Front and back lap the others: they keep the corners' lowest and highest finger, and have gaps
    where left and right reach through.

    Args:
        outline: the wall with square ends, from its lower left corner, notches between its upper
            corners.
        parts: the rectangles it is made of, from left to right.
        ends: its two ends, mm.
        heights: its lower and upper edge, mm.
        wall: thickness of the walls, mm.
        laps: whether it is front or back.
    """
    (start, stop), (low, top) = ends, heights
    count = 3 if top - low < FIVE_FINGERS_MM else 5
    levels = [low + (top - low) * i / count for i in range(count + 1)]
    out = -wall if laps else wall
    right = [(stop + (out if i % 2 else 0.0), levels[k])
             for i in range(count) for k in (i, i + 1)]  # fmt: skip
    left = [(start + stop - x, height) for x, height in reversed(right)]
    tips = [((min(at, at + by), a), (max(at, at + by), b))
            for i, (a, b) in enumerate(pairwise(levels)) if (i % 2 == 0) == laps
            for at, by in ((start, -out), (stop, out))]  # fmt: skip
    if laps:
        parts = (((start + wall, low), parts[0][1]), *parts[1:])
        last = parts[-1]
        parts = (*parts[:-1], (last[0], (stop - wall, last[1][1])))
    return (*right, *outline[3:-1], *left), (*parts, *tips)


def _notch(
    made: BuiltShaft, slab: tuple[float, float], run: int, across: int,
    along_wall: tuple[float, float], heights: tuple[float, float],
) -> Notch | None:  # fmt: skip
    """Return the notch that a rod needs in a wall; None where it does not pass it."""
    shaft = made.shaft
    if abs(shaft.axis[across]) < 1e-6 or made.bore_mm > 0.0:
        return None
    low, high = made.ends_mm
    # where the axis enters and leaves the slab, as far as the rod goes
    places = sorted((face - shaft.at_mm[across]) / shaft.axis[across] for face in slab)
    enter, leave = max(places[0], low), min(places[1], high)
    if enter >= leave:
        return None
    radius = 0.5 * max(made.diameter_at_mm(p) for p in (enter, leave))
    room = radius / max(abs(shaft.axis[across]), 0.1) + NOTCH_ROOM_MM
    slide = shaft.slide
    travels = (0.0,) if slide is None else (slide.from_mm, slide.to_mm)
    way = (0.0, 0.0, 0.0) if slide is None else slide.along
    points = [along(along(shaft.at_mm, shaft.axis, p), way, t)
              for p in (enter, leave) for t in travels]  # fmt: skip
    begin = max(min(p[run] for p in points) - room, along_wall[0] + 5.0)
    end = min(max(p[run] for p in points) + room, along_wall[1] - 5.0)
    bottom = max(min(p[2] for p in points) - room, heights[0] + 2.0)
    return (begin, end, bottom) if begin < end and bottom < heights[1] else None


def _joined(notches: list[Notch]) -> list[Notch]:
    """Return notches in order along the wall, those that meet as one."""
    found: list[Notch] = []
    for begin, end, bottom in sorted(notches):
        if found and begin <= found[-1][1]:
            before = found.pop()
            found.append((before[0], max(before[1], end), min(before[2], bottom)))
        else:
            found.append((begin, end, bottom))
    return found


def notched(
    run: tuple[float, float], heights: tuple[float, float], notches: Sequence[Notch]
) -> tuple[tuple[Point, ...], tuple[tuple[Point, Point], ...]]:
    """Return the outline of a wall with notches from its top, and the rectangles it is made of."""
    (start, stop), (low, top) = run, heights
    outline = [(start, low), (stop, low), (stop, top)]
    for begin, end, bottom in reversed(notches):
        outline += [(end, top), (end, bottom), (begin, bottom), (begin, top)]
    outline.append((start, top))
    edges = [start, *(e for n in notches for e in n[:2]), stop]
    tops = [top, *(t for n in notches for t in (n[2], top))]
    parts = tuple(((a, low), (b, t)) for (a, b), t in zip(pairwise(edges), tops, strict=True))
    return tuple(outline), parts
