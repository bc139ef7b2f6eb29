"""Every run between two pulleys, by elimination: a count that does not depend on a first guess.

With the leaving direction as the angle alpha, the two conditions "the run stands across both
radii" are linear in the arriving direction. Solving them and asking for a unit vector leaves one
trigonometric polynomial of degree 4 in alpha, so at most 8 runs over all four pairs of senses.
Half the angle's tangent turns it into a plain polynomial of degree 8, whose roots are the
eigenvalues of its companion matrix. Each root is then polished with the formulas of ``tangent``.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from wheelgeo.geometry.tangent import Pair, Pairing, arrive, newton_both, settle

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

POLISH_STEPS = 6

_OFF_CIRCLE = 1e-3
"""A double root (two runs that are about to vanish) may come out this far off the real angles."""
_PROMISING = 1e9
"""Times the tolerance of a run: a root further off belongs to other senses."""
_SAMPLES = 16


def _half_angle_matrix() -> NDArray[np.complex128]:
    """Return row k: exp(i (k - 4) theta) (1 + t^2)^4 as a polynomial in t = tan(theta / 2)."""
    rows = []
    for k in range(-4, 5):
        row = np.array([1.0 + 0j])
        for factor in [[1.0, 1j]] * (4 + k) + [[1.0, -1j]] * (4 - k):
            row = np.convolve(row, factor)
        rows.append(row)
    return np.array(rows)


_HALF_ANGLE = _half_angle_matrix()
_ORDERS = np.arange(-4, 5)
_ALPHA = np.arange(_SAMPLES) * (2.0 * np.pi / _SAMPLES)
_COSINES, _SINES = np.cos(_ALPHA), np.sin(_ALPHA)
_SPECTRUM = np.exp(-1j * np.outer(_ALPHA, _ORDERS)) / _SAMPLES


def all_runs(pair: Pairing, tolerance: float) -> list[tuple[Pair, Pair]]:
    """Return every run from A to B that points along the travel at both ends.

    Args:
        pair: the two pulleys, floats.
        tolerance: largest residual of a run, in the unit of length.

    Returns:
        (leaving direction, arriving direction) of each run; empty where there is none.
    """
    found: list[tuple[Pair, Pair]] = []
    for alpha in candidate_angles(_as_arrays(pair))[0].tolist():
        e_a = (math.cos(alpha), math.sin(alpha))
        if not _promising(pair, e_a, tolerance, math):
            continue
        e_a, e_b, stands = _polish(pair, e_a, tolerance, math)
        if stands and not any(_same(e_a, e_b, *other) for other in found):
            found.append((e_a, e_b))
    return found


def all_runs_array(pair: Pairing, tolerance: Array) -> tuple[Pair, Pair, NDArray[np.bool_]]:
    """Return every run of many pairs, as ``all_runs`` does for one.

    Args:
        pair: n pairs of pulleys, arrays of shape (n, 1).
        tolerance: largest residual of a run, shape (n, 1).

    Returns:
        Leaving directions and arriving directions, components of shape (n, 8), and which of
        those places hold a run, shape (n, 8).
    """
    alpha = candidate_angles(pair)
    leaving = (np.cos(alpha), np.sin(alpha))
    places = np.nonzero(_promising(pair, leaving, tolerance, np))
    few = _taken(pair, places[0])
    start = (leaving[0][places], leaving[1][places])
    e_a, e_b, stands = _polish(few, start, tolerance[places[0], 0], np)
    spread = [np.full(alpha.shape, np.nan) for _ in range(4)]
    for target, values in zip(spread, (*e_a, *e_b), strict=True):
        target[places] = values
    real = np.zeros(alpha.shape, dtype=bool)
    real[places] = stands
    return _without_repeats((spread[0], spread[1]), (spread[2], spread[3]), real)


def _without_repeats(
    e_a: Pair, e_b: Pair, real: NDArray[np.bool_]
) -> tuple[Pair, Pair, NDArray[np.bool_]]:
    """Strike out each run that stands in an earlier place of its row already."""
    for i in range(1, real.shape[1]):
        this = [(e[0][:, i : i + 1], e[1][:, i : i + 1]) for e in (e_a, e_b)]
        before = [(e[0][:, :i], e[1][:, :i]) for e in (e_a, e_b)]
        again = _same(this[0], this[1], before[0], before[1]) & real[:, :i]
        real[:, i] &= ~np.any(again, axis=1)
    return e_a, e_b, real


def _taken(pair: Pairing, rows: NDArray[np.intp]) -> Pairing:
    """Return some rows of pairs given in columns, flat."""

    def pick(part: Any) -> Any:
        return tuple(pick(v) for v in part) if isinstance(part, tuple) else part[rows, 0]

    return Pairing(*(pick(part) for part in pair))


def _promising(pair: Pairing, e_a: Pair, tolerance: Any, xp: Any) -> Any:
    """Return whether a root may be a run of these senses: to 1 % of the size of the drive."""
    return settle(pair, e_a, arrive(pair, e_a, xp)[0]).off < _PROMISING * tolerance


def candidate_angles(pair: Pairing) -> Array:
    """Return the leaving angles at which a run may stand, whatever its senses.

    Args:
        pair: n pairs of pulleys, arrays of shape (n, 1).

    Returns:
        Angles, shape (n, 8), radians; NaN in unused places.
    """
    values = _eliminant(pair, _COSINES, _SINES)
    largest = np.argmax(np.abs(values), axis=1)
    scale = np.abs(values[np.arange(len(values)), largest])[:, None]
    values = values / np.where(scale > 0.0, scale, 1.0)
    far_side = _ALPHA[largest][:, None] + np.pi
    turned = (values @ _SPECTRUM) * np.exp(1j * _ORDERS * far_side)
    t = _roots((turned @ _HALF_ANGLE).real)
    off = np.abs(t.imag) * 2.0 / (1.0 + np.abs(t) ** 2)
    angles: Array = 2.0 * np.arctan(t.real) + far_side
    angles[off >= _OFF_CIRCLE] = np.nan
    return angles


def _roots(coefficients: Array) -> NDArray[np.complex128]:
    """Return the roots of polynomials, lowest power first, (n, 9) to (n, 8).

    The leading coefficient is the largest sample of the function, hence never small; a function
    that is 0 all round has no roots worth having, and yields the imaginary unit.
    """
    leading = coefficients[:, 8:]
    nothing = leading[:, 0] == 0.0
    companion = np.zeros((len(coefficients), 8, 8))
    companion[:, np.arange(1, 8), np.arange(7)] = 1.0
    companion[:, :, 7] = -coefficients[:, :8] / np.where(leading == 0.0, 1.0, leading)
    roots = np.linalg.eigvals(companion).astype(np.complex128)
    roots[nothing] = 1j
    return roots


def _as_arrays(pair: Pairing) -> Pairing:
    """Return the same pair with arrays of shape (1, 1) for its floats."""
    flat = np.array([*pair.m, *pair.ma, *pair.mb, *pair.to_b, *pair.to_a, *pair[5:]])
    v = iter(flat.reshape(-1, 1, 1))
    m, ma, mb = ((next(v), next(v), next(v), next(v)) for _ in range(3))
    return Pairing(m, ma, mb, (next(v), next(v)), (next(v), next(v)), next(v), next(v))


def _eliminant(pair: Pairing, x: Array, y: Array) -> Array:
    """Return |numerator|^2 - determinant^2 for leaving directions (x, y), arrays of one shape."""
    ma, mb = pair.ma, pair.mb
    wx, wy = mb[0] * x + mb[2] * y, mb[1] * x + mb[3] * y
    vx = -pair.to_a[0] - (ma[0] * x + ma[2] * y)
    vy = -pair.to_a[1] - (ma[1] * x + ma[3] * y)
    h = pair.radius_a - (pair.to_b[0] * x + pair.to_b[1] * y)
    determinant = vx * wy - vy * wx
    top_x = -pair.radius_b * wy - h * vy
    top_y = h * vx + pair.radius_b * wx
    return top_x**2 + top_y**2 - determinant**2  # type: ignore[no-any-return]


def _polish(pair: Pairing, e_a: Pair, tolerance: Any, xp: Any) -> tuple[Pair, Pair, Any]:
    """Return the runs near leaving directions, by Newton's rule, and which of them are runs."""
    e_b, _ = arrive(pair, e_a, xp)
    for _ in range(POLISH_STEPS):
        e_a, e_b = newton_both(pair, e_a, e_b, xp)
    return e_a, e_b, settle(pair, e_a, e_b).off <= tolerance


def _same(e_a: Pair, e_b: Pair, other_a: Pair, other_b: Pair) -> Any:
    """Return whether two runs are one and the same, found from two candidates."""
    apart = (
        (e_a[0] - other_a[0]) ** 2
        + (e_a[1] - other_a[1]) ** 2
        + (e_b[0] - other_b[0]) ** 2
        + (e_b[1] - other_b[1]) ** 2
    )
    return apart < 1e-12
