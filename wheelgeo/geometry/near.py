"""Which bodies may be near each other: by the boxes round them, swept along the longest side.

A wheel of a hundred bands has tens of thousands of pairs of bodies, of which a few hundred are
near. Bodies sorted along one axis are looked at in turn; only those whose boxes still overlap along
it are compared (sweep and prune: D. Baraff, Dynamic Simulation of Non-Penetrating Rigid Bodies,
PhD thesis, Cornell 1992, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from wheelgeo.geometry.boxes import Box as SolidBox
from wheelgeo.geometry.boxes import Solid
from wheelgeo.geometry.convex import Capsule

Box = tuple[tuple[float, float, float], tuple[float, float, float]]
"""Lowest and highest corner, mm."""


@lru_cache(maxsize=4096)
def box_of(body: Solid) -> Box:
    """Return the smallest box along the axes that holds a body, mm.

    Remembered: most bodies stand where they did when a wheel slides, packs or is changed a little.
    """
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
    firsts = len(bodies)
    boxes = [box_of(body) for body in (*bodies, *(others or ()))]
    if len(boxes) < 2:
        return []
    lows, highs = ([box[end] for box in boxes] for end in (0, 1))
    along = max(range(3), key=lambda i: max(h[i] for h in highs) - min(low[i] for low in lows))
    one, two = (i for i in range(3) if i != along)
    found: list[tuple[int, int]] = []
    open_: list[int] = []
    for here in sorted(range(len(boxes)), key=lambda i: lows[i][along]):
        low, high = lows[here], highs[here]
        start, low_one, low_two = (low[i] - within_mm for i in (along, one, two))
        end_one, end_two = high[one] + within_mm, high[two] + within_mm
        open_ = [i for i in open_ if highs[i][along] > start]
        found += [
            (here, there) if here < there else (there, here)
            for there in open_
            if low_one < highs[there][one]
            and lows[there][one] < end_one
            and low_two < highs[there][two]
            and lows[there][two] < end_two
            and (others is None or (here < firsts) != (there < firsts))
        ]
        open_.append(here)
    shift = firsts if others is not None else 0
    return sorted((i, j - shift) for i, j in found)
