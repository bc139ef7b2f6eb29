"""What hides what in a view: rays from points to the eye, held against cylinders and boxes.

Every body is taken as a stack of cylinders inscribed in it, so that no point of a surface ever
hides itself, and a band in its groove is seen through the mouth.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from wheelgeo.drawing.scene import TurnedBody
from wheelgeo.geometry.boxes import Box
from wheelgeo.geometry.vectors import Vector, across

Array = Any
"""A numpy array of floats."""

DEPTH_MM = 1e-3
"""A ray is stopped when it runs farther than this through a body, mm."""
FLANK_STEPS = 6
"""Cylinders that stand for one sloping flank."""
LEVEL = 1e-9
"""Sine of the angle below which a ray runs along an axis, or across it."""
_AT_ONCE = 64
"""Cylinders that are looked at in one go, to bound the memory."""

Rod = tuple[Vector, Vector, float, float, float]
"""Origin, axis, lowest and highest z, radius."""


def cylinders_of(bodies: Sequence[TurnedBody]) -> list[Rod]:
    """Return stacks of cylinders inscribed in bodies; equal neighbours are joined."""
    stacks: list[Rod] = []
    for body in bodies:
        for (z0, r0), (z1, r1) in pairwise(body.profile):
            if z1 - z0 < 1e-9:
                continue
            steps = 1 if r0 == r1 else FLANK_STEPS
            for i in range(steps):
                ends = [
                    (z0 + (z1 - z0) * k / steps, r0 + (r1 - r0) * k / steps) for k in (i, i + 1)
                ]
                (low, r_low), (high, r_high) = ends
                stacks.append((body.origin, body.axis, low, high, min(r_low, r_high)))
    return stacks


def hidden(
    points: Array, cylinders: Sequence[Rod], to_eye: Vector, boxes: Sequence[Box] = ()
) -> Array:
    """Return for points (n, 3) whether a cylinder or a box is between them and the eye, (n,)."""
    import numpy as np

    found = np.zeros(len(points), dtype=bool)
    eye = np.array(to_eye)
    for first in range(0, len(cylinders), _AT_ONCE):
        columns = zip(*cylinders[first : first + _AT_ONCE], strict=True)
        some = tuple(np.array(column) for column in columns)
        which, where = _near(points, eye, some)
        lengths = _inside_lengths(points[where], eye, tuple(column[which] for column in some))
        found[where[lengths > DEPTH_MM]] = True
    for box in boxes:
        found |= _inside_box(points, eye, box) > DEPTH_MM
    return found


def _inside_box(points: Array, eye: Array, box: Box) -> Array:
    """Return how far the rays p + t eye, t >= 0, run within a box, (n,); 0 or less: they miss it.

    The ray is within the box while it is between each of three pairs of planes; along a face of
    it, it is not within.
    """
    import numpy as np

    axes, halves = np.array(box.axes), np.array(box.halves)
    q, d = (points - np.array(box.centre)) @ axes.T, axes @ eye
    start, end = np.zeros(len(points)), np.full(len(points), np.inf)
    for i in range(3):
        if abs(d[i]) < LEVEL:
            end = np.where(np.abs(q[:, i]) < halves[i] - DEPTH_MM, end, -1.0)
            continue
        near, far = sorted((-halves[i] / d[i], halves[i] / d[i]))
        start, end = np.maximum(start, near - q[:, i] / d[i]), np.minimum(end, far - q[:, i] / d[i])
    return end - start


def _near(points: Array, eye: Array, cylinders: tuple[Array, ...]) -> tuple[Array, Array]:
    """Return which cylinders may hide which points, as pairs of indices.

    A ray can only meet a cylinder whose box, as it falls in the picture, holds the point, and whose
    nearest part is nearer to the eye than the point. That leaves a tenth of all pairs or fewer.
    """
    import numpy as np

    origin, axis, low, high, radius = cylinders
    possible = np.ones((len(origin), len(points)), dtype=bool)
    one, two = across((float(eye[0]), float(eye[1]), float(eye[2])))
    for direction, both in ((np.array(one), True), (np.array(two), True), (eye, False)):
        at, lean = points @ direction, axis @ direction
        round_it = radius * np.sqrt(np.maximum(1.0 - lean * lean, 0.0)) + DEPTH_MM
        ends = (origin @ direction)[:, None] + np.stack([low, high], axis=1) * lean[:, None]
        possible &= at <= (ends.max(axis=1) + round_it)[:, None]
        if both:
            possible &= at >= (ends.min(axis=1) - round_it)[:, None]
    which, where = np.nonzero(possible)
    return which, where


def _inside_lengths(points: Array, eye: Array, cylinders: tuple[Array, ...]) -> Array:
    """Return how far the rays p + t eye, t >= 0, run each within its own cylinder, (n,).

    In the frame of a cylinder the ray is cut by its two end planes and by its mantle, a quadratic
    in t; negative where it misses.
    """
    import numpy as np

    origin, axis, low, high, radius = cylinders
    q = points - origin
    z, dz = np.einsum("nk,nk->n", q, axis), axis @ eye
    flat, dflat = q - z[:, None] * axis, eye - dz[:, None] * axis
    start, end = _between_planes(z, dz, low, high)
    a = np.einsum("nk,nk->n", dflat, dflat)
    b = np.einsum("nk,nk->n", flat, dflat)
    square = radius**2
    c = np.einsum("nk,nk->n", flat, flat) - square
    along = a < LEVEL**2
    safe = np.where(along, 1.0, a)
    root = np.sqrt(np.maximum(b * b - a * c, 0.0))
    near, far = (-b - root) / safe, (-b + root) / safe
    crossing = np.minimum(end, far) - np.maximum(start, near)
    return np.where(along, np.where(c < -1e-9 * square, end - start, -1.0), crossing)


def _between_planes(z: Array, dz: Array, low: Array, high: Array) -> tuple[Array, Array]:
    """Return from where to where on rays z + t dz lies between two planes, t >= 0."""
    import numpy as np

    level = abs(dz) < LEVEL
    safe = np.where(level, 1.0, dz)
    first, second = (low - z) / safe, (high - z) / safe
    start, end = np.maximum(np.minimum(first, second), 0.0), np.maximum(first, second)
    inside = np.where((z > low + 1e-9) & (z < high - 1e-9), np.inf, -1.0)
    return np.where(level, 0.0, start), np.where(level, inside, end)
