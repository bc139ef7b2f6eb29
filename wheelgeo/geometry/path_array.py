"""Band paths of many drives at once: the formulas of ``tangent``, on arrays.

Where ``path`` raises an error, here the drive is marked and its numbers are NaN. Both take the
same run of the same pair of pulleys. The work goes in blocks that stay in the processor's cache.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wheelgeo.geometry import tangent
from wheelgeo.geometry.branches import all_runs_array
from wheelgeo.geometry.path import NEWTON_STEPS, RESIDUAL
from wheelgeo.geometry.tangent import Frame, Pair, Pairing, Settled, Triple
from wheelgeo.immutable import dataclass

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Rows = slice | NDArray[np.intp]

BLOCK = 8192
"""Runs worked on at a time: the few arrays in use at once, 64 KB each, fit a second-level cache."""

_NEAR_STEPS = 2
"""Steps of Newton's rule in single precision for all runs of a block."""
_STILL = 1e-2
"""The quick way is good enough where a run is off by less than this times the tolerance."""


@dataclass(frozen=True)
class PathArrays:
    """The paths of n drives, each a band on k pulleys.

    Attributes:
        length_mm: length of the centre-line, shape (n,).
        run_mm: length of the run from pulley i to i + 1, the last back to the first, (n, k).
        wrap_rad: arc of contact on each pulley, (n, k).
        leaving_rad: lead angle at which the band leaves each pulley, (n, k).
        arriving_rad: lead angle at which the band arrives at each pulley, (n, k).
        valid: whether the drive has a path, (n,); where it has none, all its numbers are NaN.
        unique: whether there is one run only from pulley i to i + 1 with these senses, (n, k);
            where there are several, the longest is taken.
    """

    length_mm: Array
    run_mm: Array
    wrap_rad: Array
    leaving_rad: Array
    arriving_rad: Array
    valid: Flags
    unique: Flags


@dataclass(frozen=True)
class RunArrays:
    """The runs of n pairs of pulleys.

    Attributes:
        length_mm: length, shape (n,).
        leaving_rad: lead angle at the first pulley of each pair, (n,).
        arriving_rad: lead angle at the second, (n,).
        valid: whether there is a run, (n,); where there is none, its numbers are NaN.
        unique: whether it is the only one with these senses, (n,); otherwise the longest.
    """

    length_mm: Array
    leaving_rad: Array
    arriving_rad: Array
    valid: Flags
    unique: Flags


class _Circles(NamedTuple):
    """Pulleys of one block, each number an array of one shape."""

    centre: Triple
    axis: Triple
    radius: Array
    frame: Frame

    def take(self, rows: NDArray[np.intp]) -> _Circles:
        """Return the circles at the given places, with a second axis of length 1."""

        def pick(v: Triple) -> Triple:
            return (v[0][rows, None], v[1][rows, None], v[2][rows, None])

        u, v = self.frame
        return _Circles(
            pick(self.centre), pick(self.axis), self.radius[rows, None], Frame(pick(u), pick(v))
        )


class _Runs(NamedTuple):
    """The runs of one block: their ends, lengths as seen along either axis, and what they are."""

    leaving: Pair
    arriving: Pair
    length_a: Array
    length_b: Array
    stands: Flags
    unique: Flags


def solve_paths(
    centres_mm: ArrayLike, axes: ArrayLike, radii_mm: ArrayLike, senses: ArrayLike
) -> PathArrays:
    """Solve the paths of n drives of k pulleys each.

    Args:
        centres_mm: centres of the grooves' mid-planes, shape (n, k, 3).
        axes: unit vectors, (n, k, 3).
        radii_mm: pitch radii, (n, k).
        senses: +1 counter-clockwise about the axis, -1 clockwise, (n, k).
            Any of the four may leave out n where it is the same for all drives.

    Returns:
        The paths; see ``PathArrays``.

    Raises:
        ValueError: the shapes do not fit, or there are fewer than two pulleys.
    """
    inputs = _broadcast(centres_mm, axes, radii_mm, senses)
    n, k = inputs[2].shape
    if k < 2:
        raise ValueError("a band needs two pulleys or more")
    run, wrap, leaving, arriving = (np.empty((n, k)) for _ in range(4))
    valid, unique = np.empty(n, dtype=bool), np.empty((n, k), dtype=bool)

    def solve(rows: Rows, careful: bool) -> Flags:
        a = _circles(*(v[rows].reshape(-1, *v.shape[2:]) for v in inputs))
        b = _next(a, k)
        runs = _runs(a, b, careful)
        run[rows], leaving[rows], arriving[rows] = (v.reshape(-1, k) for v in _measures(a, b, runs))
        wrap[rows] = _wraps(runs, k)
        unique[rows] = runs.unique.reshape(-1, k)
        valid[rows] = np.all(runs.stands.reshape(-1, k), axis=1)
        return valid[rows]

    _in_blocks(solve, n, max(1, BLOCK // k))
    for numbers in (run, wrap, leaving, arriving):
        numbers[~valid] = np.nan
    arriving = np.roll(arriving, 1, axis=1)
    length = np.sum(run, axis=1) + np.sum(inputs[2] * wrap, axis=1)
    return PathArrays(length, run, wrap, leaving, arriving, valid, unique)


def solve_runs(
    centres_mm: ArrayLike, axes: ArrayLike, radii_mm: ArrayLike, senses: ArrayLike
) -> RunArrays:
    """Solve the run from the first to the second pulley of each of n pairs.

    Args:
        centres_mm: centres of the grooves' mid-planes, shape (n, 2, 3).
        axes: unit vectors, (n, 2, 3).
        radii_mm: pitch radii, (n, 2).
        senses: +1 counter-clockwise about the axis, -1 clockwise, (n, 2).
            Any of the four may leave out n where it is the same for all pairs.

    Returns:
        The runs; see ``RunArrays``.

    Raises:
        ValueError: the shapes do not fit.
    """
    inputs = _broadcast(centres_mm, axes, radii_mm, senses)
    n, k = inputs[2].shape
    if k != 2:
        raise ValueError(f"a run has two pulleys, not {k}")
    length, leaving, arriving = (np.empty(n) for _ in range(3))
    valid, unique = np.empty(n, dtype=bool), np.empty(n, dtype=bool)

    def solve(rows: Rows, careful: bool) -> Flags:
        a, b = (_circles(*(v[rows, end] for v in inputs)) for end in (0, 1))
        runs = _runs(a, b, careful)
        length[rows], leaving[rows], arriving[rows] = _measures(a, b, runs)
        valid[rows], unique[rows] = runs.stands, runs.unique
        return valid[rows]

    _in_blocks(solve, n, BLOCK)
    for numbers in (length, leaving, arriving):
        numbers[~valid] = np.nan
    return RunArrays(length, leaving, arriving, valid, unique)


def _in_blocks(solve: Callable[[Rows, bool], Flags], n: int, step: int) -> None:
    """Solve all rows quickly, block by block, and then those that were not proven so carefully."""
    settled = np.empty(n, dtype=bool)
    for low in range(0, n, step):
        rows = slice(low, low + step)
        settled[rows] = solve(rows, False)
    left = np.flatnonzero(~settled)
    for low in range(0, len(left), step):
        solve(left[low : low + step], True)


def _broadcast(
    centres_mm: ArrayLike, axes: ArrayLike, radii_mm: ArrayLike, senses: ArrayLike
) -> tuple[Array, Array, Array, Array]:
    """Return the four inputs with all their axes; ValueError where they do not fit together."""
    vectors = [np.asarray(v, dtype=float) for v in (centres_mm, axes)]
    numbers = [np.asarray(v, dtype=float) for v in (radii_mm, senses)]
    if any(v.ndim < 2 or v.shape[-1] != 3 for v in vectors):
        raise ValueError("centres and axes have three components, shape (n, k, 3)")
    shape = np.broadcast_shapes(*(v.shape[:-1] for v in vectors), *(v.shape for v in numbers))
    n_by_k = shape if len(shape) == 2 else (1, *shape)
    if len(n_by_k) != 2:
        raise ValueError(f"drives and pulleys make two axes, not {len(n_by_k)}")
    centre, axis = (np.broadcast_to(v, (*n_by_k, 3)) for v in vectors)
    radius, sense = (np.broadcast_to(v, n_by_k) for v in numbers)
    return centre, axis, radius, sense


def _circles(centres: Array, axes: Array, radii: Array, senses: Array) -> _Circles:
    centre, axis = _components(centres), _components(axes)
    return _Circles(centre, axis, np.ascontiguousarray(radii), tangent.frame(axis, senses, np))


def _components(vectors: Array) -> Triple:
    x, y, z = (np.ascontiguousarray(vectors[:, i]) for i in range(3))
    return x, y, z


def _next(a: _Circles, k: int) -> _Circles:
    """Return, for each pulley of drives of k pulleys, the one that follows it."""

    def follow(v: Array) -> Array:
        return np.roll(v.reshape(-1, k), -1, axis=1).reshape(-1)

    def triple(v: Triple) -> Triple:
        return (follow(v[0]), follow(v[1]), follow(v[2]))

    u, v = a.frame
    return _Circles(triple(a.centre), triple(a.axis), follow(a.radius), Frame(triple(u), triple(v)))


def _runs(a: _Circles, b: _Circles, careful: bool) -> _Runs:
    """Return the runs that are proven to be the only ones; if careful, all others as well."""
    between = _minus(b.centre, a.centre)
    pair = tangent.pairing(a.frame, b.frame, between, a.radius, b.radius)
    tolerance = RESIDUAL * (np.sqrt(tangent.dot(between, between)) + a.radius + b.radius)
    if careful:
        return _careful_runs(a, b, pair, tolerance)
    near = _each(pair, lambda v: v.astype(np.float32))
    proven = tangent.certificate(near, np, slack=1e-5)
    rows = np.flatnonzero(~proven)
    parallel = tangent.parallel(_picked(a.axis, rows), _picked(b.axis, rows))
    proven[rows] = tangent.proven(_rows_of(pair, rows), parallel, np)
    run = _quick_newton(pair, near)
    found = proven & (run.off <= _STILL * tolerance)
    return _Runs(*run[:4], found, found)


def _careful_runs(a: _Circles, b: _Circles, pair: Pairing, tolerance: Array) -> _Runs:
    """Return all runs, by Newton's rule where it is proven to be right, else by counting."""
    parallel = tangent.parallel(a.axis, b.axis)
    proven = tangent.proven(pair, parallel, np)
    run = _newton(pair, proven)
    found = proven & (run.off <= tolerance)
    runs = _Runs(*run[:4], found, found.copy())
    rows = np.flatnonzero(~(found | tangent.hopeless(pair, parallel, np)))
    _count(a.take(rows), b.take(rows), tolerance[rows, None], runs, rows)
    return runs


def _quick_newton(pair: Pairing, near: Pairing) -> Settled:
    """Return the runs by Newton's rule: near in single precision, then exact in double.

    Where the run is not proven the numbers may be anything, and are not used.
    """
    with np.errstate(all="ignore"):
        e_b, _ = tangent.arrive(near, tangent.first_guess(near, np), np)
        for _ in range(_NEAR_STEPS):
            e_b, _ = tangent.newton(near, e_b, np)
        e_a, _ = tangent.leave(near, e_b, np)
        return tangent.settle(pair, *tangent.newton_both(pair, _doubled(e_a), _doubled(e_b), np))


def _newton(pair: Pairing, proven: Flags) -> Settled:
    """Return the runs by Newton's rule in double precision, as many steps as the proven take."""
    e_b, _ = tangent.arrive(pair, tangent.first_guess(pair, np), np)
    for _ in range(NEWTON_STEPS):
        e_b, moved = tangent.newton(pair, e_b, np)
        if np.max(np.abs(moved[proven]), initial=0.0) < tangent.NEAR:
            break
    e_a, _ = tangent.leave(pair, e_b, np)
    return tangent.settle(pair, *tangent.newton_both(pair, e_a, e_b, np))


def _doubled(e: Pair) -> Pair:
    """Return directions of single precision as unit vectors of double precision."""
    x, y = e[0].astype(float), e[1].astype(float)
    to_length_1 = 1.5 - 0.5 * (x * x + y * y)
    return x * to_length_1, y * to_length_1


def _picked(v: Triple, rows: NDArray[np.intp]) -> Triple:
    return (v[0][rows], v[1][rows], v[2][rows])


def _rows_of(pair: Pairing, rows: NDArray[np.intp]) -> Pairing:
    return _each(pair, lambda v: v[rows])


def _each(pair: Pairing, turn: Callable[[Array], Array]) -> Pairing:
    """Return a pairing with the same done to each of its arrays."""

    def apply(part: Any) -> Any:
        return tuple(apply(v) for v in part) if isinstance(part, tuple) else turn(part)

    return Pairing(*(apply(part) for part in pair))


def _count(a: _Circles, b: _Circles, tolerance: Array, runs: _Runs, rows: NDArray[np.intp]) -> None:
    """Write the longest of all runs of some pairs into their rows of ``runs``."""
    between = _minus(b.centre, a.centre)
    pair = tangent.pairing(a.frame, b.frame, between, a.radius, b.radius)
    e_a, e_b, stands = all_runs_array(pair, tolerance)
    _, _, length_a, length_b, _ = tangent.settle(pair, e_a, e_b)
    height = tangent.rise(between, a.axis, b.frame, e_b, b.radius)
    longest = np.argmax(np.where(stands, length_a**2 + height**2, -1.0), axis=1)
    here = np.arange(len(rows))
    targets = (*runs.leaving, *runs.arriving, runs.length_a, runs.length_b)
    for target, source in zip(targets, (*e_a, *e_b, length_a, length_b), strict=True):
        target[rows] = source[here, longest]
    runs.stands[rows] = np.any(stands, axis=1)
    runs.unique[rows] = np.sum(stands, axis=1) == 1


def _measures(a: _Circles, b: _Circles, runs: _Runs) -> tuple[Array, Array, Array]:
    """Return length, leaving and arriving lead angle of runs."""
    between = _minus(b.centre, a.centre)
    at_a = tangent.rise(between, a.axis, b.frame, runs.arriving, b.radius)
    at_b = tangent.rise(between, b.axis, a.frame, runs.leaving, -a.radius)
    length = np.sqrt(at_a * at_a + runs.length_a * runs.length_a)
    return length, np.arctan2(at_a, runs.length_a), np.arctan2(at_b, runs.length_b)


def _minus(v: Triple, w: Triple) -> Triple:
    return (v[0] - w[0], v[1] - w[1], v[2] - w[2])


def _wraps(runs: _Runs, k: int) -> Array:
    """Return the arcs of contact, shape (drives, k)."""
    out_x, out_y = (v.reshape(-1, k) for v in runs.leaving)
    in_x, in_y = (np.roll(v.reshape(-1, k), 1, axis=1) for v in runs.arriving)
    wraps: Array = tangent.wrap_angle((in_x, in_y), (out_x, out_y), np.arctan2)
    return wraps
