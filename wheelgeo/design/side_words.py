"""Directions in the words of a workshop: the sides of the wheel, and degrees off towards one."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wheelgeo.geometry.vectors import Vector, unit

if TYPE_CHECKING:
    from wheelgeo.design.model import Design

TOWARDS = (("to the left", "to the right"), ("to the front", "to the back"), ("down", "up"))
"""The ways along x, y and z, to the low and to the high side."""
ENDS = (("left", "right"), ("front", "back"), ("lower", "upper"))
"""What the ends of a rod are called that lies along x, y or z."""
_FROM = (("the left", "the right"), ("the front", "the back"), ("below", "above"))
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


def end_of_shaft(axis: Vector) -> str:
    """Return what the end of a rod is called to which its axis points: "back end of its shaft"."""
    main = lies_along(axis)
    return f"{ENDS[main][axis[main] > 0.0]} end of its shaft"


def seen_from(axis: Vector) -> str:
    """Return from where a turning is told: the side to which its axis points, "seen from the back".

    Senses are told with the axis pointing at whoever looks, and in words by the side of the wheel
    where that is: clockwise from there is counter-clockwise from the other side.

    Args:
        axis: of the shaft that turns.
    """
    main = lies_along(axis)
    return f"seen from {_FROM[main][axis[main] > 0.0]}"


def drive_seen_from(design: Design) -> str:
    """Return from where the sense is told in which a person turns a wheel, "seen from the back"."""
    return seen_from(design.shaft(design.drive.shaft).axis)
