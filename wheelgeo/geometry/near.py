"""Which bodies may be near each other: by the boxes round them, swept along the longest side.

A wheel of a hundred bands has tens of thousands of pairs of bodies, of which a few hundred are
near. Bodies sorted along one axis are looked at in turn; only those whose boxes still overlap along
it are compared (sweep and prune: D. Baraff, Dynamic Simulation of Non-Penetrating Rigid Bodies,
PhD thesis, Cornell 1992, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from wheelgeo.geometry.boxes import Box as SolidBox
from wheelgeo.geometry.boxes import Solid
from wheelgeo.geometry.convex import Capsule

Box = tuple[tuple[float, float, float], tuple[float, float, float]]
"""Lowest and highest corner, mm."""
Ball = tuple[tuple[float, float, float], float]
"""Middle and radius, mm."""
_Sides = tuple[float, float, float, float, float, float, int]
"""Where a box begins and ends along three axes, mm, and which body's it is."""


def box_of(body: Solid) -> Box:
    """Return the smallest box along the axes that holds a body, mm.

    Kept with the body, which never changes: most stand where they did when a wheel slides, packs or
    is changed a little.
    """
    known: Box | None = body.__dict__.get("_box")
    if known is None:
        known = body.__dict__["_box"] = _box_of(body)
    return known


def _box_of(body: Solid) -> Box:
    if isinstance(body, Capsule):
        (x, y, z), (u, v, w), r = body.start, body.end, body.radius
        return (
            ((x if x < u else u) - r, (y if y < v else v) - r, (z if z < w else w) - r),
            ((u if x < u else x) + r, (v if y < v else y) + r, (w if z < w else z) + r),
        )
    x, y, z = body.centre
    if isinstance(body, SolidBox):
        ((ax, ay, az), (bx, by, bz), (cx, cy, cz)), (h, k, m) = body.axes, body.halves
        u = abs(ax) * h + abs(bx) * k + abs(cx) * m
        v = abs(ay) * h + abs(by) * k + abs(cy) * m
        w = abs(az) * h + abs(bz) * k + abs(cz) * m
    else:  # a cylinder reaches h |n.a| + R |n x a| along n
        (ax, ay, az), h, r = body.axis, body.half_length, body.radius
        u = h * abs(ax) + r * math.sqrt(max(0.0, 1.0 - ax * ax))
        v = h * abs(ay) + r * math.sqrt(max(0.0, 1.0 - ay * ay))
        w = h * abs(az) + r * math.sqrt(max(0.0, 1.0 - az * az))
    return (x - u, y - v, z - w), (x + u, y + v, z + w)


def box_round(boxes: Sequence[Box]) -> Box:
    """Return the box round several boxes."""
    if len(boxes) == 1:
        return boxes[0]
    lows, highs = zip(*boxes, strict=True)
    x, y, z = map(min, zip(*lows, strict=True))
    u, v, w = map(max, zip(*highs, strict=True))
    return (x, y, z), (u, v, w)


def boxes_near(a: Box, b: Box, within_mm: float) -> bool:
    """Return whether two boxes are nearer to each other than some distance, mm, along each axis."""
    (ax, ay, az), (au, av, aw) = a
    (bx, by, bz), (bu, bv, bw) = b
    return (
        ax - within_mm < bu and bx - within_mm < au and ay - within_mm < bv
        and by - within_mm < av and az - within_mm < bw and bz - within_mm < aw
    )  # fmt: skip


def ball_of(body: Solid) -> Ball:
    """Return a ball that holds a body: that round its middle."""
    if isinstance(body, Capsule):
        (x, y, z), (u, v, w) = body.start, body.end
        middle = (0.5 * (x + u), 0.5 * (y + v), 0.5 * (z + w))
        return middle, 0.5 * math.dist(body.start, body.end) + body.radius
    if isinstance(body, SolidBox):
        return body.centre, math.hypot(*body.halves)
    return body.centre, math.hypot(body.half_length, body.radius)


def beside_mm(run: Capsule, ball: Ball) -> float:
    """Return the distance of a capsule from a ball, mm; less than 0 where they meet."""
    (x, y, z), (u, v, w), ((a, b, c), radius) = run.start, run.end, ball
    u, v, w, a, b, c = u - x, v - y, w - z, a - x, b - y, c - z
    square = u * u + v * v + w * w
    share = min(max((a * u + b * v + c * w) / square, 0.0), 1.0) if square > 0.0 else 0.0
    return math.hypot(a - share * u, b - share * v, c - share * w) - radius - run.radius


def near_pairs(
    bodies: Sequence[Solid], within_mm: float, others: Sequence[Solid] | None = None
) -> list[tuple[int, int]]:
    """Return the pairs of bodies that may be nearer to each other than some distance.

    Args:
        bodies: the bodies.
        within_mm: the distance, mm.
        others: hold ``bodies`` against these instead of against each other.

    Returns:
        Indices, the first in ``bodies`` and the second in ``others`` (or, of ``bodies`` alone, a
        later one of them), in order. Every pair nearer than the distance is among them.
    """
    boxes = [box_of(body) for body in bodies]
    return near_boxes(boxes, within_mm, None if others is None else [box_of(o) for o in others])


_FEW_PAIRS = 500
"""So few pairs of two groups are compared before the boxes would be sorted."""


def _each_with_each(
    bodies: Sequence[Box], within_mm: float, others: Sequence[Box]
) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    for i, (low, high) in enumerate(bodies):
        x, y, z = low[0] - within_mm, low[1] - within_mm, low[2] - within_mm
        u, v, w = high[0] + within_mm, high[1] + within_mm, high[2] + within_mm
        found += [
            (i, j) for j, ((a, b, c), (d, e, f)) in enumerate(others)
            if x < d and a < u and y < e and b < v and z < f and c < w
        ]  # fmt: skip
    return found


def near_boxes(
    bodies: Sequence[Box], within_mm: float, others: Sequence[Box] | None = None
) -> list[tuple[int, int]]:
    """Return the same of the boxes round bodies; arguments and result as of ``near_pairs``."""
    if others is not None and len(bodies) * len(others) <= _FEW_PAIRS:
        return _each_with_each(bodies, within_mm, others)
    firsts, boxes = len(bodies), (*bodies, *(others or ()))
    if len(boxes) < 2:
        return []
    lows, highs = zip(*boxes, strict=True)
    ends = map(max, zip(*highs, strict=True)), map(min, zip(*lows, strict=True))
    reach = [high - low for high, low in zip(*ends, strict=True)]
    along = reach.index(max(reach))
    one, two = (i for i in range(3) if i != along)
    sides = sorted(
        [
            (low[along], high[along], low[one], high[one], low[two], high[two], i)
            for i, (low, high) in enumerate(boxes)
        ]
    )
    found: list[tuple[int, int]] = []
    # Those whose boxes may still reach what comes next; of two groups each meets the other alone.
    open_: list[list[_Sides]] = [[], []]
    for side in sides:
        begin, _, low_one, high_one, low_two, high_two, here = side
        own = int(others is not None and here >= firsts)
        met = own if others is None else 1 - own
        start, start_one, start_two = begin - within_mm, low_one - within_mm, low_two - within_mm
        end_one, end_two = high_one + within_mm, high_two + within_mm
        open_[met] = [each for each in open_[met] if each[1] > start]
        found += [
            (here, there) if here < there else (there, here)
            for _, _, low_1, high_1, low_2, high_2, there in open_[met]
            if start_one < high_1 and low_1 < end_one and start_two < high_2 and low_2 < end_two
        ]
        open_[own].append(side)
    shift = firsts if others is not None else 0
    return sorted([(i, j - shift) for i, j in found])
