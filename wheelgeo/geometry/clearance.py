"""How far apart two runs of one band pass, and the tilt of a shaft that parts them.

The two runs of a crossed band on parallel shafts are mirror images of each other in the plane of
the two axes, so they always meet there, whatever the pulleys' offsets. Only a tilt of one shaft
about the line that joins the two pulleys breaks the mirror: one run goes up, the other down.
"""

from __future__ import annotations

import math
from dataclasses import replace

from wheelgeo.errors import PathError
from wheelgeo.geometry.convex import Capsule, gap_mm
from wheelgeo.geometry.path import Path, PitchCircle, Run, solve_path
from wheelgeo.geometry.vectors import Vector, add, cross, dot, norm, scale, sub, unit

MOST_TILT_DEG = 20.0
"""A shaft tilted further is another wheel, not an adjustment; degrees."""


def distance_between_runs_mm(first: Run, second: Run) -> float:
    """Return the least distance between the centre-lines of two runs, mm."""
    return gap_mm(
        Capsule(first.start_mm, first.end_mm, 0.0), Capsule(second.start_mm, second.end_mm, 0.0)
    )


def turned(vector: Vector, axis: Vector, angle_rad: float) -> Vector:
    """Return a vector turned about a unit axis by the right-hand rule (Rodrigues' formula)."""
    c, s = math.cos(angle_rad), math.sin(angle_rad)
    parallel = scale(axis, dot(axis, vector) * (1.0 - c))
    return add(add(scale(vector, c), scale(cross(axis, vector), s)), parallel)


def parting_tilt_deg(path: Path, apart_mm: float) -> float | None:
    """Return the tilt of the second pulley's shaft that parts the two runs of a band.

    Args:
        path: the path of a band on two pulleys.
        apart_mm: how far apart the centre-lines of the runs shall pass, mm.

    Returns:
        The least tilt about the line that joins the two pulleys, degrees, to 0.01; None where no
        tilt up to ``MOST_TILT_DEG`` is enough, or where the two pulleys share a centre.
    """
    first, second = path.circles
    between = sub(second.centre_mm, first.centre_mm)
    if norm(between) == 0.0:
        return None
    line = unit(between)
    if _parted_mm(first, second, line, MOST_TILT_DEG) < apart_mm:
        return None
    low, high = 0.0, MOST_TILT_DEG
    while high - low > 0.01:
        middle = 0.5 * (low + high)
        enough = _parted_mm(first, second, line, middle) >= apart_mm
        low, high = (low, middle) if enough else (middle, high)
    return high


def _parted_mm(first: PitchCircle, second: PitchCircle, line: Vector, tilt_deg: float) -> float:
    """Return how far apart the runs pass with the second shaft tilted; 0 where no path is left."""
    axis = turned(second.axis, line, math.radians(tilt_deg))
    try:
        path = solve_path((first, replace(second, axis=axis)))
    except PathError:
        return 0.0
    return distance_between_runs_mm(path.runs[0], path.runs[1])
