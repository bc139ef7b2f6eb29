"""Slots and holes for the bolts and screws by which a board slides on another.

Sizes are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BoardShape, BuiltBody
from wheelgeo.design.model import Design
from wheelgeo.geometry.vectors import Vector, along, cross, dot, sub
from wheelgeo.shop.fastenings import screwed
from wheelgeo.shop.floor import slot
from wheelgeo.shop.outlines import Circle, Loop

SCREW_ROOM_MM = 0.5
"""What the slot of a wood screw is wider than the screw."""
SCREW_IN_MM = 4.5
"""From a side of a block or bridge to the middle of a screw in it: common practice, no source."""


def in_slots(design: Design, body: BuiltBody) -> bool:
    """Return whether a board slides on screws in slots: a countersunk head would jam in one."""
    return body.kind in ("block", "bridge") and design.shaft(body.part).slide is not None


def bolt_cuts(
    design: Design, base: BuiltBody, resting: Iterable[BuiltBody]
) -> tuple[tuple[str, Loop], ...]:
    """Return the slots for bolts and screws of what slides on a board, with the name of that.

    Each is as long as the travel of its shaft, or a round hole where it has none, in the board's
    own x and y. A block that slides is held by two screws from under the floor, astride its bush;
    a bridge by two through each wall, which share one slot.

    Args:
        design: the wheel.
        base: the board.
        resting: what lies on it.
    """
    shape, found = base.shape, []
    assert isinstance(shape, BoardShape)
    for body in resting:
        other = body.shape
        if body.kind not in ("slide", "mother-of-all", "block", "bridge") or \
                not isinstance(other, BoardShape):
            continue
        slide = design.shaft(body.part).slide
        for points, radius in _held_through(design, base, body):
            stands = points if slide is None else [
                along(p, slide.along, t) for p in points for t in (slide.from_mm, slide.to_mm)
            ]
            stands = [min(stands), max(stands)]
            ends = [shape.flat_place(point) for point in stands]
            long = math.dist(ends[0], ends[-1]) > 1e-6
            cut: Loop = slot(ends[0], ends[-1], 2.0 * radius) if long else Circle(ends[0], radius)
            found.append((body.name, cut))
    return tuple(found)


def _held_through(
    design: Design, base: BuiltBody, body: BuiltBody
) -> Iterable[tuple[list[Vector], float]]:
    """Yield where bolts and screws that a board slides by go through another, and their radius.

    Points that share one slot stand together.
    """
    shape, slide = body.shape, design.shaft(body.part).slide
    assert isinstance(shape, BoardShape)
    if body.kind in ("slide", "mother-of-all"):
        for (x, y), radius in shape.holes:
            yield [shape.point(x, y, 0.0)], radius
        return
    own = screwed(body, {b.name: b for b in bodies(build(design))})
    if own is None or slide is None:
        return
    way, radius = slide.along, 0.5 * (own.across_mm + SCREW_ROOM_MM)
    corners = [shape.point(x, y, z) for x, y in shape.outline for z in (shape.low, shape.high)]
    middle = tuple(0.5 * (min(c[i] for c in corners) + max(c[i] for c in corners))
                   for i in range(3))  # fmt: skip
    centre = (middle[0], middle[1], middle[2])
    side = cross((0.0, 0.0, 1.0), way) if body.kind == "block" else way
    half = max(dot(sub(c, centre), side) for c in corners) - SCREW_IN_MM
    ends = [along(centre, side, -half), along(centre, side, half)]
    if body.kind == "block" and base.kind == "floor":
        yield [ends[0]], radius
        yield [ends[1]], radius
    elif body.kind == "bridge" and base.kind == "wall" and isinstance(base.shape, BoardShape) \
            and abs(dot(way, base.shape.z_axis)) < 1e-6:
        yield ends, radius
