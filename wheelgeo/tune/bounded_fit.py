"""Least squares of a few unknowns between bounds.

By steps of Gauss and Newton, damped as Levenberg and Marquardt do, an unknown being held at a bound
for as long as the sum of squares falls towards it (the active-set method; J. Nocedal and S. J.
Wright, Numerical Optimization, 2nd ed., 10.3 and 16.5). A general library's solver does the same
and takes longer to load than such a problem takes to solve; the tests hold this one against it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

NEAR = 6e-6
"""Step of the differences as a part of an unknown's scale: the cube root of the rounding error,
where the errors of central differences by truncation and by rounding are of one size."""
SETTLED = 1e-11
"""A step so small, as a part of the scale, ends the search."""
STEPS = 300
MOST_DAMPED = 1e12
"""Beyond such a damping no step however short goes downhill any more."""


def fit_between(
    miss: Callable[[Floats], Floats],
    start: Sequence[float] | Floats,
    bounds: tuple[Sequence[float], Sequence[float]],
    scale: float,
) -> Floats:
    """Return the unknowns, shape (unknowns,), that make the sum of squares of a miss least.

    Args:
        miss: what should be nothing, shape (misses,), of the unknowns.
        start: where to begin; beyond a bound it is brought to it.
        bounds: least and greatest value of each unknown.
        scale: by how much an unknown has to change to matter.
    """
    low, high = (np.asarray(b, float) for b in bounds)
    x: Floats = np.clip(np.asarray(start, float), low, high)
    misses = miss(x)
    cost, damping = float(misses @ misses), 1e-6
    for _ in range(STEPS):
        slopes = scale * _slopes(miss, x, (low, high), NEAR * scale)
        downhill = -(slopes.T @ misses)
        free = ~(((x <= low) & (downhill < 0.0)) | ((x >= high) & (downhill > 0.0)))
        if not np.any(free):
            break
        while True:
            step = _step(slopes[:, free], misses, damping)
            tried: Floats = x.copy()
            tried[free] = np.clip(x[free] + scale * step, low[free], high[free])
            after = miss(tried)
            cost_after = float(after @ after)
            if cost_after <= cost or damping > MOST_DAMPED:
                break
            damping *= 10.0
        if cost_after > cost:
            break
        moved = float(np.max(np.abs(tried - x))) / scale
        x, misses, cost = tried, after, cost_after
        damping = max(0.1 * damping, 1e-14)
        if moved < SETTLED:
            break
    return x


def _step(slopes: Floats, misses: Floats, damping: float) -> Floats:
    """Return the damped step of Gauss and Newton; the shortest where several do as well."""
    count = slopes.shape[1]
    size = max(float(np.max(np.abs(slopes))), np.finfo(float).tiny)
    rows = np.vstack([slopes, np.sqrt(damping) * size * np.eye(count)])
    aims = np.concatenate([-misses, np.zeros(count)])
    return np.asarray(np.linalg.lstsq(rows, aims, rcond=None)[0], float)


def _slopes(
    miss: Callable[[Floats], Floats], x: Floats, bounds: tuple[Floats, Floats], near: float
) -> Floats:
    """Return the slopes by differences, shape (misses, unknowns), without leaving the bounds."""
    columns = []
    for i in range(len(x)):
        up, down = x.copy(), x.copy()
        up[i], down[i] = min(x[i] + near, bounds[1][i]), max(x[i] - near, bounds[0][i])
        width = up[i] - down[i]
        columns.append((miss(up) - miss(down)) / width if width else np.zeros_like(miss(x)))
    return np.column_stack(columns)
