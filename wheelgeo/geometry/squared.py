"""The signed distance of a box from a body that stands square to it, in closed form.

Where a body's axes lie along those of a box, what brings the one into the other is a product: of an
interval along each axis that they share and, of a cylinder, of a rectangle with round corners
across it. From outside a product the way to it is the ways to its factors taken together, after
Pythagoras; out of it the least way is the least of theirs.
"""

from __future__ import annotations

import math

from wheelgeo.geometry.vectors import Vector, dot

_ALONG = 1e-12
"""Cosine with what it stands square to, within which a direction lies along the third axis: a body
of a metre is then nowhere 1e-9 mm from where it is taken to be."""


def squared_boxes_gap_mm(
    between: Vector, axes: tuple[Vector, Vector, Vector], halves: Vector,
    other_axes: tuple[Vector, Vector, Vector], other_halves: Vector,
) -> float | None:  # fmt: skip
    """Return the gap of two boxes, mm, negative where they overlap; None where askew.

    Args:
        between: from the middle of one to that of the other, mm.
        axes: of the one, unit vectors.
        halves: half its size along each of them, mm.
        other_axes: of the other.
        other_halves: half its size along those, mm.
    """
    gaps = []
    for axis, half in zip(other_axes, other_halves, strict=True):
        along = _along(axis, axes)
        if along is None:
            return None
        gaps.append(abs(dot(between, axis)) - half - halves[along])
    return _taken_together(gaps)


def squared_cylinder_gap_mm(
    between: Vector, axes: tuple[Vector, Vector, Vector], halves: Vector,
    axis: Vector, radius: float, half_length: float,
) -> float | None:  # fmt: skip
    """Return the gap of a box and a cylinder, mm, negative where they overlap; None where askew.

    Args:
        between: from the middle of one to that of the other, mm.
        axes: of the box, unit vectors.
        halves: half its size along each of them, mm.
        axis: of the cylinder, a unit vector.
        radius: of the cylinder, mm.
        half_length: of the cylinder, mm.
    """
    along = _along(axis, axes)
    if along is None:
        return None
    one, other = (
        abs(dot(between, axes[i])) - halves[i] for i in range(3) if i != along
    )  # beyond the sides of the box, each
    across = (math.hypot(one, other) if one > 0.0 and other > 0.0 else max(one, other)) - radius
    return _taken_together([abs(dot(between, axis)) - halves[along] - half_length, across])


def _along(axis: Vector, axes: tuple[Vector, Vector, Vector]) -> int | None:
    """Return which of three axes a direction lies along; None where it lies askew to them."""
    aside = [abs(dot(axis, other)) > _ALONG for other in axes]
    return aside.index(True) if sum(aside) == 1 else None


def _taken_together(gaps: list[float]) -> float:
    apart = [gap for gap in gaps if gap > 0.0]
    return math.hypot(*apart) if apart else max(gaps)
