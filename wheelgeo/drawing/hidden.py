"""What hides what in a view: rays from points to the eye, held against cylinders and boxes.

Every body is taken as a stack of cylinders inscribed in it, so that no point of a surface ever
hides itself, and a band in its groove is seen through the mouth.

Glossary: the *frame of the picture* has two axes across the rays and one, the depth, towards the
eye. A ray is one point across in it, at which depth alone runs; so what a cylinder or a box cuts
out of a ray is a stretch of depth between surfaces that are known from that point.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
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
_STEEP = 1e30
"""Stands for 1/0, mm: a ray along a surface meets it nowhere, or it lies in front or behind."""
_PAIRS = 400
"""Pairs of a group of points and a body that are looked at in one go: they stay in fast memory."""

_BULGE_MM = 0.01
"""More than an arc bulges out of a box round its points: boxes are taken wider by it."""

Rod = tuple[Vector, Vector, float, float, float, float]
"""Origin, axis, lowest and highest z, radius, and radius of what is open within."""
_Lengths = Callable[[Array, Array], Array]
Near = list[tuple[_Lengths, Array, Array, Array]]
"""What may hide groups of points, some pairs of a group and a body at a time: what tells how far
rays run within, the groups, where among these another begins, and the bodies."""


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
        boxes: boxes that hide as well; in the order of all that hides they follow the cylinders.
    """

    def __init__(
        self, cylinders: Sequence[Rod], to_eye: Vector, boxes: Sequence[Box] = ()
    ) -> None:
        import numpy as np

        self.to_eye = to_eye
        self._picture = np.array((*across(to_eye), to_eye))
        self._kinds: list[tuple[_Lengths, int, Array, Array]] = []
        if cylinders:
            self._kinds.append((_in_cylinders, 0, *_rods(cylinders, self._picture)))
        if boxes:
            self._kinds.append((_in_boxes, len(cylinders), *_slabs(boxes, self._picture)))

    def fallen(self, vectors: Array) -> Array:
        """Return vectors (..., 3, n) in the frame of the picture."""
        return self._picture @ vectors

    def near(self, points: Array, first: Array | float = math.inf) -> Near:
        """Return what may hide which groups of points.

        Args:
            points: in the frame of the picture, (3, k, s), mm; the k of each of s groups near one
                another, since what can hide none of a group is looked for once.
            first: how many of what hides, in its order, can hide each group, (s,).
        """
        import numpy as np

        found: Near = []
        for (lengths, _, _, bodies), (group, which) in self._pairs(points, first):
            for some in (slice(i, i + _PAIRS) for i in range(0, len(group), _PAIRS)):
                starts = np.flatnonzero(np.diff(group[some], prepend=-1))
                found.append((lengths, group[some], starts, bodies.take(which[some], axis=1)))
        return found

    def _pairs(self, points: Array, first: Array | float) -> Iterable[tuple[Any, Any]]:
        """Yield of each kind of body which of them may hide which groups, as pairs of indices."""
        import numpy as np

        ends = points.min(axis=1), points.max(axis=1)
        for kind in self._kinds:
            _, before, reach, _ = kind
            yield kind, _near(ends, reach, np.subtract(first, before))

    def near_each(
        self, points: Array, first: Array, owner: Array, number: Callable[[bytes], int]
    ) -> list[bytes]:
        """Return of each owner of groups of points what may hide any of them, all as one name.

        Args:
            points: as of ``near``.
            first: as of ``near``.
            owner: whose each group is, from 0, rising, (s,).
            number: gives each body a number by all that is needed of it to tell whether it hides.
        """
        import numpy as np

        count = int(owner[-1]) + 1
        names = [b""] * count
        for (_, _, _, bodies), (group, which) in self._pairs(points, first):
            numbers = np.array([number(body.tobytes()) for body in bodies.T])
            may = np.zeros((count, len(numbers)), dtype=bool)
            may[owner[group], which] = True
            whose, each = np.nonzero(may)
            found, ends = numbers[each], np.searchsorted(whose, np.arange(count + 1)).tolist()
            names = [
                b"%b;%b" % (name, found[start:end].tobytes())
                for name, (start, end) in zip(names, pairwise(ends), strict=True)
            ]
        return names

    def hide(self, points: Array, near: Near) -> Array:
        """Return whether a body is between points and the eye, (k, s).

        Args:
            points: in the frame of the picture, (3, k, s), mm.
            near: what may hide which of the s groups.
        """
        import numpy as np

        found = np.zeros(points.shape[1:], dtype=bool)
        for lengths, group, starts, bodies in near:
            hit = lengths(points.take(group, axis=2), bodies) > DEPTH_MM
            found[:, group[starts]] |= np.logical_or.reduceat(hit, starts, axis=1)
        return found


def _near(ends: tuple[Array, Array], reach: Array, first: Array) -> tuple[Array, Array]:
    """Return which bodies may hide which groups of points, as pairs of indices, group by group.

    A ray can only meet a body whose box, as it falls in the picture, holds the point, and whose
    nearest part is nearer to the eye than the point. That leaves few of all pairs.

    Args:
        ends: from where and to where each group reaches in the frame of the picture, (3, s), mm.
        reach: from where and to where the bodies reach in it, (2, 3, m), mm.
        first: how many of the bodies can hide each group, (s,), or all groups.
    """
    import numpy as np

    (low, high), (least, most) = (each[..., None] for each in ends), reach
    possible = low[2] <= most[2]
    for i in (0, 1):
        possible &= low[i] <= most[i]
        possible &= high[i] >= least[i]
    possible &= np.arange(reach.shape[2]) < np.reshape(first, (-1, 1))
    at = np.flatnonzero(possible)
    return np.divmod(at, reach.shape[2])


def _rods(cylinders: Sequence[Rod], picture: Array) -> tuple[Array, Array]:
    """Return cylinders as they meet rays to the eye.

    The axis of a cylinder leans by a *rise* towards the eye and by a *run* across the rays. Across,
    a point has a place along the run and one beside it; the mantle is met where the latter is less
    than the radius, half a chord over the run before and behind the axis; the two ends are met
    where what the place along lacks of them is made up by the rise.

    Args:
        cylinders: the cylinders, m of them.
        picture: unit vectors of the picture in rows, the last to the eye.

    Returns:
        From where and to where each reaches in the frame of the picture, (2, 3, m), mm; and what
        `_in_cylinders` needs of each, (13, m).
    """
    import numpy as np

    table = np.array([(*o, *a, *rest) for o, a, *rest in cylinders]).T
    low, high, radius, inner = table[6:]
    at, lean = picture @ table[:3], picture @ table[3:6]
    round_it = radius * np.sqrt(np.maximum(1.0 - lean * lean, 0.0)) + _BULGE_MM
    one, other = at + low * lean, at + high * lean
    reach = np.stack([np.minimum(one, other) - round_it, np.maximum(one, other) + round_it])
    run, rise = np.hypot(lean[0], lean[1]), lean[2]
    end_on, level = run < LEVEL, np.abs(rise) < LEVEL
    # Along the axis the run has no direction: any will do.
    ways = np.where(end_on, [[1.0], [0.0]], lean[:2] / np.where(end_on, 1.0, run))
    over_run = np.where(end_on, _STEEP, 1.0 / np.where(end_on, 1.0, run))
    over_rise = np.where(level, _STEEP, 1.0 / np.where(level, 1.0, rise))
    # What a ray only grazes, along a mantle or along an end, it does not run through.
    low, high = np.where(level, low + 1e-9, low), np.where(level, high - 1e-9, high)
    shrink = np.where(end_on, 1.0 - 1e-9, 1.0)
    near, far = np.where(rise < -LEVEL, high, low), np.where(rise < -LEVEL, low, high)
    rows = (*at, *ways, run, rise * over_run, over_run, over_rise, near * over_rise,
            far * over_rise, shrink * radius * radius, shrink * inner * inner)  # fmt: skip
    return reach, np.stack(rows)


def _in_cylinders(points: Array, rods: Array) -> Array:
    """Return how far rays to the eye run each within its own cylinder, (k, p), mm; 0 or less: miss.

    Args:
        points: where the rays begin, in the frame of the picture, (3, k, p), mm.
        rods: the cylinders as `_rods` tells of them, (13, p).
    """
    import numpy as np

    a, b, c, way_a, way_b, run, slope, over_run, over_rise, near, far, square, hole = rods
    across_a, across_b = points[0] - a, points[1] - b
    along = across_a * way_a + across_b * way_b
    beside = across_b * way_a - across_a * way_b
    beside *= beside
    middle = along * slope
    along *= run * over_rise
    start, end = np.maximum(near - along, points[2] - c), far - along

    def chord(some: Any, squares: Array) -> Array:
        half = np.sqrt(np.maximum(squares - beside[:, some], 0.0)) * over_run[some]
        end_of_it = np.minimum(end[:, some], middle[:, some] + half)
        return end_of_it - np.maximum(start[:, some], middle[:, some] - half)

    lengths = chord(slice(None), square)
    # Of what is open within, a ray runs no farther than the hole is wide.
    rings = np.flatnonzero(hole)
    if len(rings):
        lengths[:, rings] -= np.maximum(chord(rings, hole[rings]), 0.0)
    return lengths


def _slabs(boxes: Sequence[Box], picture: Array) -> tuple[Array, Array]:
    """Return boxes as they meet rays to the eye, each the common part of three slabs.

    Args:
        boxes: the boxes, m of them.
        picture: unit vectors of the picture in rows, the last to the eye.

    Returns:
        From where and to where each reaches in the frame of the picture, (2, 3, m), mm; and what
        `_in_boxes` needs of each: its middle (3, m), then of each slab how far it is run into for
        each mm across, and half its thickness, along the ray (3 x 3, m).
    """
    import numpy as np

    centre = np.array([box.centre for box in boxes]).T
    halves = np.array([box.halves for box in boxes]).T
    axes = np.einsum("ij,msj->sim", picture, np.array([box.axes for box in boxes]))
    at, rise = picture @ centre, axes[:, 2]
    round_it = (halves[:, None] * np.abs(axes)).sum(axis=0) + _BULGE_MM
    level = np.abs(rise) < LEVEL
    over = np.where(level, _STEEP, 1.0 / np.where(level, 1.0, rise))
    # Along a face of it, a ray is not within.
    thick = np.where(level, halves - DEPTH_MM, halves) * np.abs(over)
    slabs = np.stack([-axes[:, 0] * over, -axes[:, 1] * over, thick], axis=1)
    reach = np.stack([at - round_it, at + round_it])
    return reach, np.concatenate([at, slabs.reshape(9, -1)])


def _in_boxes(points: Array, boxes: Array) -> Array:
    """Return how far rays to the eye run each within its own box, (k, p), mm; 0 or less: miss.

    Args:
        points: where the rays begin, in the frame of the picture, (3, k, p), mm.
        boxes: the boxes as `_slabs` tells of them, (12, p).
    """
    import numpy as np

    a, b, start = points - boxes[:3, None]
    end = np.full_like(a, math.inf)
    for slope_a, slope_b, thick in boxes[3:].reshape(3, 3, -1):
        middle = a * slope_a + b * slope_b
        start = np.maximum(start, middle - thick)
        end = np.minimum(end, middle + thick)
    return end - start
