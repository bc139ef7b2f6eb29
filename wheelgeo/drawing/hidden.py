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
_PAIRS = 100_000
"""Pairs of a point and a cylinder that are looked at in one go: they stay in the fast memory."""

Rod = tuple[Vector, Vector, float, float, float, float]
"""Origin, axis, lowest and highest z, radius, and radius of what is open within."""


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
                radius = min(r_low, r_high)
                stacks.append((body.origin, body.axis, low, high, radius, body.open_mm))
    return stacks


class Hiders:
    """Bodies as they hide what is behind them in one view, made ready once for many points.

    Args:
        cylinders: the cylinders.
        to_eye: unit vector towards the eye.
        boxes: boxes that hide as well.
    """

    def __init__(
        self, cylinders: Sequence[Rod], to_eye: Vector, boxes: Sequence[Box] = ()
    ) -> None:
        import numpy as np

        one, two = across(to_eye)
        self._picture = np.array((one, two, to_eye)).T
        columns = tuple(np.array(column) for column in zip(*cylinders, strict=True))
        self._rods = _rods(columns, self._picture) if columns else ()
        self._boxes = _slabs(boxes, self._picture) if boxes else ()

    def hide(self, points: Array) -> Array:
        """Return for points (n, 3), mm, whether a body is between them and the eye, (n,)."""
        import numpy as np

        found = np.zeros(len(points), dtype=bool)
        count = len(self._rods[0]) if self._rods else 0
        step = max(_PAIRS // max(len(points), 1), 8)
        for first in range(0, count, step):
            some = tuple(column[first : first + step] for column in self._rods)
            left = np.flatnonzero(~found)  # what is hidden already need not be asked again
            open_to = points[left]
            which, where = _near(open_to @ self._picture, *some[:2])
            *rods, inner = (column.take(which, axis=0) for column in some[2:])
            lengths = _inside_lengths(open_to[where], tuple(rods))
            rings = np.flatnonzero(inner)
            if len(rings):  # of what is open within, a ray runs no farther than the hole is wide
                holes = [column[rings] for column in rods]
                holes[4] = inner[rings]
                within = _inside_lengths(open_to[where[rings]], tuple(holes))
                lengths[rings] -= np.maximum(within, 0.0)
            found[left[where[lengths > DEPTH_MM]]] = True
        if self._boxes:
            left = np.flatnonzero(~found)
            open_to = points[left]
            which, where = _near(open_to @ self._picture, *self._boxes[:2])
            slabs = tuple(column.take(which, axis=0) for column in self._boxes[2:])
            found[left[where[_inside_boxes(open_to[where], slabs) > DEPTH_MM]]] = True
        return found


def _slabs(boxes: Sequence[Box], picture: Array) -> tuple[Array, ...]:
    """Return boxes as they meet rays to the eye.

    Args:
        boxes: the boxes, m of them.
        picture: unit vectors of the picture in columns, the last to the eye.

    Returns:
        From where and to where each reaches in the picture's frame, (m, 3), mm; its middle; its own
        axes in rows, (m, 3, 3); half its size along each; the eye's direction along each.
    """
    import numpy as np

    rows = ([getattr(box, name) for box in boxes] for name in ("centre", "axes", "halves"))
    centre, axes, halves = map(np.array, rows)
    reach = np.einsum("mi,mij->mj", halves, np.abs(axes @ picture)) + DEPTH_MM
    at = centre @ picture
    return at - reach, at + reach, centre, axes, halves, axes @ picture[:, 2]


def _inside_boxes(points: Array, slabs: tuple[Array, ...]) -> Array:
    """Return how far the rays p + t eye, t >= 0, run each within its own box, (n,), mm.

    The ray is within the box while it is between each of three pairs of planes; along a face of
    it, it is not within. 0 or less: it misses.
    """
    import numpy as np

    centre, axes, halves, eye = slabs
    q = np.einsum("nij,nj->ni", axes, points - centre)
    level = np.abs(eye) < LEVEL
    safe = np.where(level, 1.0, eye)
    one, other = (-halves - q) / safe, (halves - q) / safe
    between = np.where(np.abs(q) < halves - DEPTH_MM, np.inf, -1.0)
    start = np.where(level, 0.0, np.minimum(one, other)).max(axis=1, initial=0.0)
    return np.where(level, between, np.maximum(one, other)).min(axis=1) - start


def _rods(cylinders: tuple[Array, ...], picture: Array) -> tuple[Array, ...]:
    """Return cylinders as they meet rays to the eye.

    Args:
        cylinders: their origins (m, 3), axes (m, 3), lowest and highest z (m,), radii (m,), and
            radii of what is open within (m,), mm.
        picture: unit vectors of the picture in columns, the last to the eye.

    Returns:
        From where and to where each reaches in the picture's frame, (m, 3), mm; its origin; its own
        frame, (m, 3, 3), of which the last row is its axis and the first is where the eye leans
        from it; its ends and its radius; cosine and sine of the angle from its axis to the eye; the
        radius of what is open within.
    """
    import numpy as np

    origin, axis, low, high, radius, inner = cylinders
    at, lean = origin @ picture, axis @ picture
    round_it = radius[:, None] * np.sqrt(np.maximum(1.0 - lean * lean, 0.0)) + DEPTH_MM
    one, other = at + low[:, None] * lean, at + high[:, None] * lean
    least, most = np.minimum(one, other) - round_it, np.maximum(one, other) + round_it
    leaning = picture[:, 2] - lean[:, 2:] * axis
    sine = np.linalg.norm(leaning, axis=1)
    # Along the axis the eye leans nowhere: any direction across it serves.
    spare = np.eye(3)[np.abs(axis).argmin(axis=1)]
    spare = spare - np.einsum("nk,nk->n", spare, axis)[:, None] * axis
    first = np.where((sine < LEVEL)[:, None], spare, leaning)
    first = first / np.linalg.norm(first, axis=1)[:, None]
    frame = np.stack([first, np.cross(axis, first), axis], axis=1)
    return least, most, origin, frame, low, high, radius, lean[:, 2], sine, inner


def _near(fallen: Array, least: Array, most: Array) -> tuple[Array, Array]:
    """Return which cylinders may hide which points, as pairs of indices.

    A ray can only meet a cylinder whose box, as it falls in the picture, holds the point, and whose
    nearest part is nearer to the eye than the point. That leaves a tenth of all pairs or fewer.

    Args:
        fallen: the points in the frame of the picture, the eye's direction last, (n, 3), mm.
        least: from where the cylinders reach in it, (m, 3), mm.
        most: to where.
    """
    import numpy as np

    possible = fallen[:, 2] <= most[:, 2, None]
    for i in (0, 1):
        possible &= fallen[:, i] <= most[:, i, None]
        possible &= fallen[:, i] >= least[:, i, None]
    which, where = np.nonzero(possible)
    return which, where


def _inside_lengths(points: Array, rods: tuple[Array, ...]) -> Array:
    """Return how far the rays p + t eye, t >= 0, run each within its own cylinder, (n,), mm.

    In the frame of a cylinder, where the eye leans along x, the ray is cut by the two end planes
    and by the mantle, a quadratic in t; negative where it misses.
    """
    import numpy as np

    origin, frame, low, high, radius, cosine, sine = rods
    x, y, z = np.einsum("nij,nj->in", frame, points - origin)
    start, end = _between_planes(z, cosine, low, high)
    half_chord = radius * radius - y * y
    along = sine < LEVEL
    safe = np.where(along, 1.0, sine)
    root = np.sqrt(np.maximum(half_chord, 0.0))
    crossing = np.minimum(end, (root - x) / safe) - np.maximum(start, -(root + x) / safe)
    within = x * x - half_chord < -1e-9 * radius * radius
    return np.where(along, np.where(within, end - start, -1.0), crossing)


def _between_planes(z: Array, dz: Array, low: Array, high: Array) -> tuple[Array, Array]:
    """Return from where to where on rays z + t dz lies between two planes, t >= 0."""
    import numpy as np

    level = abs(dz) < LEVEL
    safe = np.where(level, 1.0, dz)
    first, second = (low - z) / safe, (high - z) / safe
    start, end = np.maximum(np.minimum(first, second), 0.0), np.maximum(first, second)
    inside = np.where((z > low + 1e-9) & (z < high - 1e-9), np.inf, -1.0)
    return np.where(level, 0.0, start), np.where(level, inside, end)
