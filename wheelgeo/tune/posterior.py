"""Intervals of adjusted values by simulation, where the straight lines of ``adjust`` are too rough.

Wheels are drawn from a wide distribution round the best fit and weighted by how well each agrees
with everything that was measured; the distribution is fitted to what was drawn, and drawn again.
Source: importance sampling with a Student t proposal, as in O. Cappe et al., Population Monte Carlo
(2004), from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from wheelgeo.immutable import dataclass
from wheelgeo.tune.adjust import Adjusted, Floats1, ResultBefore, ResultModel, ValueBefore

ManyWheels = Callable[[NDArray[np.float64]], NDArray[np.float64]]
"""Takes values, shape (wheels, values); returns results and what else is wanted, a row a wheel."""
HEAVY = 5.0
"""Degrees of freedom of the proposal: its tails are heavier than those of what is looked for."""
WIDER = 1.3
"""The proposal is this much wider than the spread that it was fitted to."""
ROUNDS = 3
ENOUGH = 150.0
"""Effective number of draws below which the ends of a 95 % interval are not told."""


@dataclass(frozen=True)
class SimulatedValues:
    """The simulated 95 % intervals, in the order of the values.

    Attributes:
        low: lower ends: 2.5 % lie below, shape (values,).
        high: upper ends, likewise.
        wanted_low: lower ends of what ``at_once`` gives beyond the results.
        wanted_high: upper ends, likewise.
        effective: how many independent draws the weighted ones are worth.
    """

    low: Floats1
    high: Floats1
    wanted_low: Floats1
    wanted_high: Floats1
    effective: float


def simulated_values(
    values: Sequence[ValueBefore],
    results: Sequence[ResultBefore],
    model: ResultModel,
    done: Adjusted,
    trials: int = 2000,
    seed: int = 1,
    at_once: ManyWheels | None = None,
) -> SimulatedValues | None:
    """Return the values' intervals by drawing wheels; the same seed gives the same numbers.

    Args:
        values: as for ``adjust``.
        results: as for ``adjust``.
        model: as for ``adjust``.
        done: what ``adjust`` made of them, with no value left open.
        trials: wheels drawn in each round.
        seed: of the generator.
        at_once: the model of many wheels in one call, with further columns that are wanted.

    Returns:
        The intervals; None where too few of the wheels drawn agree with the measurements.

    Raises:
        ValueError: a value is left open: its interval has no ends.
    """
    if done.unknown:
        raise ValueError("a value that is left open has no interval")
    generator = np.random.Generator(np.random.SFC64(seed))
    centre, covariance = np.array([v.after for v in done.values]), done.covariance
    every = at_once or (lambda drawn: np.array([model(x) for x in drawn]))
    for _ in range(ROUNDS):
        root = WIDER * np.linalg.cholesky(covariance)
        normal = generator.standard_normal((trials, len(centre)))
        stretch = np.sqrt(HEAVY / generator.chisquare(HEAVY, trials))
        spread = normal * stretch[:, None]
        drawn = centre + spread @ root.T
        # Density of the draws up to a constant, which the weights do not need.
        proposed = -0.5 * (HEAVY + len(centre)) * np.log1p(np.sum(spread**2, axis=1) / HEAVY)
        made = every(drawn)
        agrees = _log_likelihoods(values, results, drawn, made)
        if not np.any(np.isfinite(agrees)):
            return None
        weights = np.exp(agrees - proposed - np.max(agrees - proposed))
        weights /= np.sum(weights)
        effective = float(1.0 / np.sum(weights**2))
        if not effective > 2.0 * len(centre):
            return None
        centre = weights @ drawn
        off = drawn - centre
        covariance = (off * weights[:, None]).T @ off
    if effective < ENOUGH:
        return None
    ends = np.array([_ends(column, weights) for column in drawn.T])
    wanted = np.array([_ends(c, weights) for c in made.T[len(results) :]]).reshape(-1, 2)
    return SimulatedValues(ends[:, 0], ends[:, 1], wanted[:, 0], wanted[:, 1], effective)


def _log_likelihoods(
    values: Sequence[ValueBefore],
    results: Sequence[ResultBefore],
    drawn: NDArray[np.float64],
    made: NDArray[np.float64],
) -> Floats1:
    """Return minus half the weighted sums of squares; minus infinity where there is no wheel."""
    square = np.zeros(len(drawn))
    for value, column in zip(values, drawn.T, strict=True):
        if value.standard_uncertainty is not None:
            square += ((value.value - column) / value.standard_uncertainty) ** 2
    for result, column in zip(results, made.T[: len(results)], strict=True):
        square += ((result.value - column) / result.standard_uncertainty) ** 2
    exists = np.all(np.isfinite(made), axis=1)
    return np.where(exists, -0.5 * square, -np.inf)


def _ends(column: Floats1, weights: Floats1) -> NDArray[np.float64]:
    """Return the 2.5 % and 97.5 % points of weighted draws; what weighs nothing does not count."""
    column, weights = column[weights > 0.0], weights[weights > 0.0]
    order = np.argsort(column)
    passed = np.cumsum(weights[order]) - 0.5 * weights[order]
    return np.interp([0.025, 0.975], passed, column[order])
