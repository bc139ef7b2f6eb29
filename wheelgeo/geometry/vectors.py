"""Vectors of three numbers as plain tuples; lengths in whatever unit the caller uses."""

from __future__ import annotations

import math

Vector = tuple[float, float, float]


def add(a: Vector, b: Vector) -> Vector:
    """Return a + b."""
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def sub(a: Vector, b: Vector) -> Vector:
    """Return a - b."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def scale(a: Vector, k: float) -> Vector:
    """Return k a."""
    return (a[0] * k, a[1] * k, a[2] * k)


def dot(a: Vector, b: Vector) -> float:
    """Return the scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Return the vector product, right-handed."""
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


def norm(a: Vector) -> float:
    """Return the length of a."""
    return math.hypot(*a)


def unit(a: Vector) -> Vector:
    """Return a at length 1; ZeroDivisionError where a has no length."""
    length = norm(a)
    return (a[0] / length, a[1] / length, a[2] / length)


def along(point: Vector, axis: Vector, distance: float) -> Vector:
    """Return the point at ``distance`` from ``point`` along ``axis``."""
    return (
        point[0] + axis[0] * distance,
        point[1] + axis[1] * distance,
        point[2] + axis[2] * distance,
    )


def across(axis: Vector) -> tuple[Vector, Vector]:
    """Return two unit vectors that make a right-handed frame (u, v, axis) with a unit axis."""
    x, y, z = abs(axis[0]), abs(axis[1]), abs(axis[2])
    seed = _SEEDS[0 if x <= y and x <= z else 1 if y <= z else 2]
    u = unit(cross(seed, axis))
    return u, cross(axis, u)


_SEEDS: tuple[Vector, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
