"""Paths of one band of a wheel for many pitch radii at once, for sorting candidates.

The same formulas as everywhere (``wheelgeo.geometry.tangent``), on arrays. Where two pulleys all
but touch and several runs are possible, a row is given up (NaN) instead of counting the runs: what
a search then builds is solved as every wheel is.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from wheelgeo.design.model import Band, Design
from wheelgeo.drive.train import pitch_circles, solve_drive
from wheelgeo.geometry import tangent
from wheelgeo.geometry.path import PitchCircle
from wheelgeo.geometry.vectors import sub

Array = NDArray[np.float64]

_STEPS = 12
_RESIDUAL = 1e-9


def path_lengths(design: Design, band: Band, radii: Array) -> Array:
    """Return the length of a band's path for each row of radii.

    Args:
        design: the wheel that the band runs on.
        band: one of its bands.
        radii: pitch radii along the route, shape (many, stops), mm.

    Returns:
        Lengths, shape (many,), mm; NaN where no path was found.
    """
    motion = solve_drive(design).band(band.name)
    circles = pitch_circles(design, band, motion.seats, motion.senses[0])
    count = len(circles)
    following = [(i + 1) % count for i in range(count)]
    with np.errstate(all="ignore"):
        runs = [_run(circles, radii, i, j) for i, j in enumerate(following)]
        total = sum(length for _, _, length in runs)
        for i in range(count):
            wrap = tangent.wrap_angle(runs[i - 1][1], runs[i][0], np)
            total = total + radii[:, i] * wrap
    return total  # type: ignore[return-value]


def _run(circles: tuple[PitchCircle, ...], radii: Array, i: int, j: int) -> tuple[Any, Any, Array]:
    """Return leaving direction, arriving direction and length of the run from stop i to stop j."""
    a, b = circles[i], circles[j]
    frame_a, frame_b = (tangent.frame(_row(c.axis), np.array([float(c.sense)]), np) for c in (a, b))
    between = _row(sub(b.centre_mm, a.centre_mm))
    pair = tangent.pairing(frame_a, frame_b, between, radii[:, i], radii[:, j])
    arriving = tangent.first_guess(pair, np)
    for _ in range(_STEPS):
        arriving, _moved = tangent.newton(pair, arriving, np)
    leaving, length_a = tangent.leave(pair, arriving, np)
    arriving, length_b = tangent.arrive(pair, leaving, np)
    size = np.sqrt(tangent.dot(between, between)) + radii[:, i] + radii[:, j]
    found = (length_a > 0.0) & (length_b > 0.0)
    found &= tangent.residual(pair, leaving, arriving, np) <= _RESIDUAL * size
    length = _distance(frame_a, frame_b, between, leaving, arriving, radii[:, i], radii[:, j])
    return leaving, arriving, np.where(found, length, np.nan)


def _row(vector: tuple[float, float, float]) -> tuple[Any, Any, Any]:
    x, y, z = (np.array([component]) for component in vector)
    return (x, y, z)


def _distance(
    frame_a: tangent.Frame,
    frame_b: tangent.Frame,
    between: Any,
    leaving: Any,
    arriving: Any,
    radius_a: Array,
    radius_b: Array,
) -> Array:
    """Return the straight distance between the two touching points, shape (many,)."""
    p, q = tangent.in_space(frame_a, leaving), tangent.in_space(frame_b, arriving)
    parts = [d + radius_b * qk - radius_a * pk for d, pk, qk in zip(between, p, q, strict=True)]
    x, y, z = parts
    distance: Array = np.sqrt(x * x + y * y + z * z)
    return distance
