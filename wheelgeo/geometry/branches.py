"""Every run between two pulleys, by elimination: a count that does not depend on a first guess.

With the leaving direction as z = exp(i alpha), the two conditions "the run stands across both
radii" are linear in the arriving direction. Solving them and asking for a unit vector leaves one
trigonometric polynomial of degree 4 in alpha, so at most 8 runs over all four pairs of senses.
"""

from __future__ import annotations

import math

from wheelgeo.geometry.tangent import Pair, Pairing, arrive, leave, newton, residual

_ON_CIRCLE = 1e-3
_SAMPLES = 16


def all_runs(pair: Pairing, tolerance: float) -> list[tuple[Pair, Pair]]:
    """Return every run from A to B that points along the travel at both ends.

    Args:
        pair: the two pulleys.
        tolerance: largest residual of a run, in the unit of length.

    Returns:
        (leaving direction, arriving direction) of each run; empty where there is none.
    """
    found: list[tuple[Pair, Pair]] = []
    for alpha in _candidate_angles(pair):
        run = _polish(pair, (math.cos(alpha), math.sin(alpha)), tolerance)
        if run is not None and not any(_same(run, other) for other in found):
            found.append(run)
    return found


def _candidate_angles(pair: Pairing) -> list[float]:
    """Return the angles of the roots near the unit circle; double roots lie a little off it."""
    import numpy as np

    alpha = 2.0 * np.pi * np.arange(_SAMPLES) / _SAMPLES
    values = _eliminant(pair, np.cos(alpha), np.sin(alpha))
    spectrum = np.fft.fft(values) / _SAMPLES
    coefficients = spectrum[np.arange(4, -5, -1)]
    largest = float(np.max(np.abs(coefficients)))
    if largest == 0.0:
        return []
    coefficients = coefficients / largest
    coefficients[np.abs(coefficients) < 1e-14] = 0.0
    roots = np.roots(coefficients)
    roots = roots[np.abs(roots) > 0.5]
    near = roots[np.abs(np.log(np.abs(roots))) < _ON_CIRCLE]
    return [float(a) for a in np.angle(near)]


def _eliminant(pair: Pairing, x: Pair, y: Pair) -> Pair:
    """Return |numerator|^2 - determinant^2 for leaving directions (x, y), arrays of one shape."""
    m, ra, rb = pair.m, pair.radius_a, pair.radius_b
    wx, wy = rb * (m[0] * x + m[2] * y), rb * (m[1] * x + m[3] * y)
    vx = -pair.to_a[0] - ra * (m[0] * x + m[2] * y)
    vy = -pair.to_a[1] - ra * (m[1] * x + m[3] * y)
    h = ra - (pair.to_b[0] * x + pair.to_b[1] * y)
    determinant = vx * wy - vy * wx
    top_x = -rb * wy - h * vy
    top_y = h * vx + rb * wx
    return top_x**2 + top_y**2 - determinant**2  # type: ignore[no-any-return]


def _polish(pair: Pairing, e_a: Pair, tolerance: float) -> tuple[Pair, Pair] | None:
    """Return the run near a leaving direction, by Newton's rule; None where it is of other senses."""
    e_b, _ = arrive(pair, e_a, math)
    for _ in range(40):
        e_b, moved = newton(pair, e_b, math)
        if abs(moved) < 1e-15:
            break
    e_a, length_a = leave(pair, e_b, math)
    e_b, length_b = arrive(pair, e_a, math)
    touching = length_a > 0.0 and length_b > 0.0
    return (e_a, e_b) if touching and residual(pair, e_a, e_b, math) <= tolerance else None


def _same(one: tuple[Pair, Pair], other: tuple[Pair, Pair]) -> bool:
    return all(
        math.hypot(a[0] - b[0], a[1] - b[1]) < 1e-6 for a, b in zip(one, other, strict=True)
    )
