"""Directions in the words of a workshop: the sides of the wheel, and degrees off towards one."""

from __future__ import annotations

import math

from wheelgeo.geometry.vectors import Vector, unit

TOWARDS = (("to the left", "to the right"), ("to the front", "to the back"), ("down", "up"))
"""The ways along x, y and z, to the low and to the high side."""
ENDS = (("left", "right"), ("front", "back"), ("lower", "upper"))
"""What the ends of a rod are called that lies along x, y or z."""
_STRAIGHT_DEG = 0.05
"""A direction off by less is told as straight."""


def lies_along(way: Vector) -> int:
    """Return which of x, y and z a direction lies nearest to: 0, 1 or 2."""
    return max(range(3), key=lambda i: abs(way[i]))


def leans_deg(way: Vector) -> tuple[float, float, float]:
    """Return how far a direction leans towards high x, y and z, degrees from -90 to 90."""
    x, y, z = (math.degrees(math.asin(max(-1.0, min(1.0, c)))) for c in unit(way))
    return x, y, z


def way_in_words(way: Vector) -> str:
    """Return a direction in words: "to the right", "to the right and 30 deg up".

    Args:
        way: the direction, of any length but none.
    """
    main, told = lies_along(way), []
    for i, lean in enumerate(leans_deg(way)):
        if i != main and abs(lean) >= _STRAIGHT_DEG:
            degrees = f"{abs(lean):.1f}".removesuffix(".0")
            told.append(f"{degrees} deg {TOWARDS[i][lean > 0.0]}")
    return " and ".join([TOWARDS[main][way[main] > 0.0], *told])
