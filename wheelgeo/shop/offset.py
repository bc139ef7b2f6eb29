"""Offset of outlines by half a kerf, with arcs kept as true arcs.

The path of a round cutter (or beam) whose edge follows an outline: lines shift, arcs change their
radius, an outer corner becomes an arc round it, an inner corner moves to where its neighbours
meet. Where such a path does not exist - an inner arc smaller than the cutter, a slot narrower than
it - there is no answer, and ShapeError says so.
"""

from __future__ import annotations

import math
from dataclasses import replace

from wheelgeo.errors import ShapeError
from wheelgeo.geometry.segments import (
    SAME_MM,
    Arc,
    Line,
    Point,
    Segment,
    arc_between,
    corner_points,
    meetings,
)
from wheelgeo.shop.outlines import Circle, Loop, Outline, Part, loops_meet

NOTHING_MM = 1e-7
"""An offset of less than this leaves a loop as it is, mm."""
_STRAIGHT = 1e-9
"""Sine of the turn at a corner below which two pieces run on smoothly."""


def offset(loop: Loop, distance_mm: float) -> Loop:
    """Return a loop moved outward by a distance, inward where it is negative.

    Args:
        loop: a circle or an outline.
        distance_mm: how far, mm.

    Raises:
        ShapeError: no cutter of that radius can follow the loop.
    """
    if abs(distance_mm) <= NOTHING_MM:
        return loop
    if isinstance(loop, Circle):
        return _offset_circle(loop, distance_mm)
    return _offset_outline(loop, distance_mm)


def with_kerf(part: Part, kerf_mm: float) -> Part:
    """Return a part with its cuts moved by half a kerf: the outside out, the holes in.

    Drilled holes are left as they are: a drill makes its own diameter.

    Args:
        part: the part.
        kerf_mm: width that the cut removes, mm; 0 leaves the part as it is.

    Raises:
        ShapeError: the kerf is negative, or a cut is too fine for it.
    """
    if kerf_mm < 0.0:
        raise ShapeError(f"a kerf cannot be less than nothing ({kerf_mm:g} mm)")
    outside = None if part.outside is None else offset(part.outside, 0.5 * kerf_mm)
    holes = tuple(offset(hole, -0.5 * kerf_mm) for hole in part.holes)
    return replace(part, outside=outside, holes=holes)


def _offset_circle(circle: Circle, distance_mm: float) -> Circle:
    radius = circle.radius_mm + distance_mm
    if radius <= SAME_MM:
        raise ShapeError(
            f"a round hole of {2.0 * circle.radius_mm:g} mm is too small for a cut "
            f"{2.0 * abs(distance_mm):g} mm wide"
        )
    return Circle(circle.centre, radius)


def _offset_outline(outline: Outline, distance_mm: float) -> Outline:
    """Shift every piece, then join neighbours: with an arc, at their meeting, or as they are."""
    pieces = [_shift(s, distance_mm) for s in outline.segments]
    joins = [
        _join(a, b, first, second, distance_mm)
        for (a, b), (first, second) in zip(
            corner_points(outline.segments), corner_points(tuple(pieces)), strict=True
        )
    ]
    chain: list[Segment] = []
    for i, piece in enumerate(pieces):
        start, end = joins[i - 1][1], joins[i][0]
        chain.append(_trimmed(piece, start, end))
        chain += joins[i][2]
    try:
        result = Outline(tuple(chain))
    except ShapeError as error:
        raise _too_fine(distance_mm) from error
    if loops_meet(result, outline):
        raise _too_fine(distance_mm)
    return result


def _shift(piece: Segment, distance_mm: float) -> Segment:
    """Move a piece to the right of its travel, which is outward."""
    if isinstance(piece, Line):
        ux, uy = piece.tangent(False)
        dx, dy = uy * distance_mm, -ux * distance_mm
        return Line(
            (piece.start[0] + dx, piece.start[1] + dy), (piece.end[0] + dx, piece.end[1] + dy)
        )
    radius = piece.radius_mm + (distance_mm if piece.counter_clockwise else -distance_mm)
    if radius <= SAME_MM:
        raise _too_fine(distance_mm)
    return replace(piece, radius_mm=radius)


def _join(
    a: Segment, b: Segment, first: Segment, second: Segment, distance_mm: float
) -> tuple[Point, Point, list[Segment]]:
    """Return where the first shifted piece ends, where the second starts, and what lies between."""
    (ux, uy), (vx, vy) = a.tangent(True), b.tangent(False)
    turn, onward = ux * vy - uy * vx, ux * vx + uy * vy
    if abs(turn) <= _STRAIGHT and onward > 0.0:
        return first.end, first.end, []
    if turn * distance_mm > 0.0:
        between = arc_between(a.end, first.end, second.start, distance_mm > 0.0)
        return first.end, second.start, [between]
    near = [(math.dist(p, a.end), p) for p in meetings(first, second)]
    if not near:
        raise _too_fine(distance_mm)
    corner = min(near)[1]
    return corner, corner, []


def _trimmed(piece: Segment, start: Point, end: Point) -> Segment:
    """Return a piece between two of its points; it may get shorter but not turn round."""
    if isinstance(piece, Line):
        ux, uy = piece.tangent(False)
        if (end[0] - start[0]) * ux + (end[1] - start[1]) * uy <= 0.0:
            raise ShapeError("a piece of the outline is shorter than the cut is wide")
        return Line(start, end)
    trimmed = arc_between(piece.centre, start, end, piece.counter_clockwise)
    if abs(trimmed.sweep_deg) > abs(piece.sweep_deg) + 1e-6:
        raise ShapeError("an arc of the outline is shorter than the cut is wide")
    return _with_radius(trimmed, piece)


def _with_radius(arc: Arc, like: Arc) -> Arc:
    return replace(arc, radius_mm=like.radius_mm)


def _too_fine(distance_mm: float) -> ShapeError:
    return ShapeError(
        f"part of the outline is too fine for a cut {2.0 * abs(distance_mm):g} mm wide; "
        "make the corner or slot wider, or the kerf smaller"
    )
