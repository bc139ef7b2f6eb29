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
from wheelgeo.geometry.vectors import Vector

Box = tuple[tuple[float, float, float], tuple[float, float, float]]
"""Lowest and highest corner, mm."""


def box_of(body: Solid) -> Box:
    """Return the smallest box along the axes that holds a body, mm."""
    if isinstance(body, Capsule):
        ends = tuple(zip(body.start, body.end, strict=True))
        (x, y, z) = (min(e) - body.radius for e in ends)
        (u, v, w) = (max(e) + body.radius for e in ends)
        return (x, y, z), (u, v, w)
    if isinstance(body, SolidBox):
        (a, b, c), (h, k, m) = body.axes, body.halves
        return _about(
            body.centre, [abs(a[i]) * h + abs(b[i]) * k + abs(c[i]) * m for i in range(3)]
        )
    # a cylinder reaches h |n.a| + R |n x a| along n
    return _about(
        body.centre,
        [
            body.half_length * abs(a) + body.radius * math.sqrt(max(0.0, 1.0 - a * a))
            for a in body.axis
        ],
    )


def _about(centre: Vector, reach: list[float]) -> Box:
    (x, y, z), (a, b, c) = centre, reach
    return (x - a, y - b, z - c), (x + a, y + b, z + c)


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
