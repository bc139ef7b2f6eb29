"""How the uncertainties of the inputs become the uncertainty of a result, by drawing cases.

Source: JCGM 101:2008: drawing, 6.4; propagation of distributions, clause 7; the comparison with
the law of propagation, clause 8.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from wheelgeo.immutable import dataclass
from wheelgeo.tune.trials import TRIALS
from wheelgeo.tune.uncertainty import (
    Array,
    Budget,
    Input,
    Model,
    check_coverage,
    correlation_matrix,
    spreads,
)

BATCH = 1 << 14
"""Cases per call of the model in a Monte Carlo run: what a processor's cache holds."""


@dataclass(frozen=True)
class Simulation:
    """The result of a Monte Carlo run.

    Attributes:
        trials: how many cases were drawn.
        mean: their mean.
        standard_uncertainty: their standard deviation.
        coverage_probability: of both intervals.
        symmetric: the probabilistically symmetric interval (as much beyond either end).
        shortest: the shortest interval.
    """

    trials: int
    mean: float
    standard_uncertainty: float
    coverage_probability: float
    symmetric: tuple[float, float]
    shortest: tuple[float, float]


def simulate(
    model: Model,
    inputs: Sequence[Input],
    trials: int = TRIALS,
    seed: int = 1,
    coverage: float = 0.95,
    correlation: Array | None = None,
) -> tuple[Simulation, ...]:
    """Propagate distributions through a model by Monte Carlo.

    The same seed gives the same numbers.

    Args:
        model: see the module's page.
        inputs: one or more inputs.
        trials: how many cases to draw, at least 1 / (1 - coverage) times 100.
        seed: of the generator.
        coverage: coverage probability, between 0 and 1.
        correlation: as for ``propagate``; all inputs must then be normal.

    Returns:
        One result for each output of the model.

    Raises:
        ValueError: too few trials, a correlation of inputs that are not normal, or a case for
            which the model gives no finite number.
    """
    check_coverage(coverage)
    if trials * (1.0 - coverage) < 100.0:
        raise ValueError(f"{trials} trials are too few for a coverage of {coverage:g}")
    return tuple(
        summary(row, coverage) for row in draw_outputs(model, inputs, trials, seed, correlation)
    )


def draw_outputs(
    model: Model,
    inputs: Sequence[Input],
    trials: int,
    seed: int,
    correlation: Array | None = None,
    may_fail: bool = False,
) -> Array:
    """Return the outputs of ``trials`` random cases, shape (outputs, trials).

    Args:
        model: see the page of ``uncertainty``.
        inputs: one or more inputs.
        trials: how many cases to draw.
        seed: of the generator.
        correlation: as for ``simulate``.
        may_fail: a case for which the model gives NaN is kept as NaN instead of an error.

    Raises:
        ValueError: a case for which the model gives no finite number, unless it may fail.
    """
    generator = np.random.Generator(np.random.SFC64(seed))
    draw = _drawer(inputs, correlation)
    results: Array | None = None
    for start in range(0, trials, BATCH):
        size = min(BATCH, trials - start)
        out = np.atleast_2d(model(draw(generator, size)))
        if results is None:
            results = np.empty((out.shape[0], trials))
        results[:, start : start + size] = out
    if results is None or not (may_fail or np.all(np.isfinite(results))):
        raise ValueError("the model gives no finite number for some of the cases drawn")
    return results


def _drawer(
    inputs: Sequence[Input], correlation: Array | None
) -> Callable[[np.random.Generator, int], Array]:
    """Return a function that draws cases, shape (inputs, size)."""
    if correlation is not None:
        return _normal_drawer(inputs, correlation_matrix(correlation, inputs))

    def draw(generator: np.random.Generator, size: int) -> Array:
        cases = np.empty((len(inputs), size))
        for row, one in zip(cases, inputs, strict=True):
            _fill(row, one, generator)
        return cases

    return draw


def _normal_drawer(
    inputs: Sequence[Input], mixing: Array
) -> Callable[[np.random.Generator, int], Array]:
    if any(i.shape != "normal" for i in inputs):
        raise ValueError("correlated inputs are drawn from normal distributions only")
    values, vectors = np.linalg.eigh(mixing)
    root = spreads(inputs)[:, None] * vectors * np.sqrt(np.maximum(values, 0.0))
    estimates = np.array([i.value for i in inputs])[:, None]
    return lambda generator, size: estimates + root @ generator.standard_normal((len(inputs), size))


def _fill(row: Array, one: Input, generator: np.random.Generator) -> None:
    """Fill a row with draws of one input. Sources: JCGM 101:2008, 6.4."""
    u = one.standard_uncertainty
    if u == 0.0:
        row[:] = one.value
    elif one.shape == "rectangular":
        generator.random(out=row)
        row *= 2.0 * math.sqrt(3.0) * u
        row += one.value - math.sqrt(3.0) * u
    elif one.shape == "normal":
        generator.standard_normal(out=row)
        row *= u
        row += one.value
    else:
        row[:] = one.value + u * _standard_draw(one, generator, row.size)


def _standard_draw(one: Input, generator: np.random.Generator, size: int) -> Any:
    """Return draws of unit standard deviation (of unit scale for ``t``)."""
    if one.shape == "triangular":
        return math.sqrt(6.0) * (generator.random(size) + generator.random(size) - 1.0)
    if one.shape == "t":
        return generator.standard_t(one.degrees_of_freedom, size)
    return math.sqrt(2.0) * np.sin(2.0 * math.pi * generator.random(size))


def summary(outputs: Array, coverage: float) -> Simulation:
    """Return mean, standard deviation and coverage intervals of drawn outputs, shape (trials,)."""
    ordered = np.sort(outputs)
    trials = ordered.size
    inside = int(coverage * trials + 0.5)
    widths = ordered[inside:] - ordered[: trials - inside]
    low = (trials - inside) // 2
    start = int(np.argmin(widths))
    return Simulation(
        trials,
        float(ordered.mean()),
        float(ordered.std(ddof=1)),
        coverage,
        (float(ordered[low]), float(ordered[low + inside])),
        (float(ordered[start]), float(ordered[start + inside])),
    )


def numerical_tolerance(standard_uncertainty: float, digits: int = 2) -> float:
    """Return half a unit of the last of ``digits`` digits of a standard uncertainty.

    Source: JCGM 101:2008, 7.9.2.
    """
    if standard_uncertainty <= 0.0:
        return 0.0
    exponent = math.floor(math.log10(standard_uncertainty)) - digits + 1
    if round(standard_uncertainty / 10.0**exponent) >= 10**digits:
        exponent += 1
    return 0.5 * 10.0**exponent


def agree(budget: Budget, simulation: Simulation, digits: int = 2) -> bool:
    """Tell whether the law of propagation is confirmed by the Monte Carlo run.

    Both ends of the coverage interval must agree to the given digits of the standard
    uncertainty. Source: JCGM 101:2008, clause 8.
    """
    tolerance = numerical_tolerance(budget.standard_uncertainty, digits)
    ends = zip(budget.interval, simulation.symmetric, strict=True)
    return all(abs(linear - drawn) <= tolerance for linear, drawn in ends)
