"""How uncertainties of inputs become the uncertainty of a result, by the law of propagation.

Source: JCGM 100:2008 (GUM): clause 5; second-order terms, 5.1.2 note; coverage factor by the
Welch-Satterthwaite formula, annex G. ``montecarlo`` does the same by drawing cases.

A *model* takes an array of shape (inputs, m), one row an input and one column a case, and returns
an array of shape (m,), or (outputs, m). Units are the model's own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from statistics import NormalDist
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wheelgeo.immutable import dataclass

Array = NDArray[np.float64]
Model = Callable[[Array], Array]
Shape = Literal["normal", "rectangular", "triangular", "t", "arc sine"]

STEP = 0.5
"""Step of the differences, in standard uncertainties of the input."""


@dataclass(frozen=True)
class Input:
    """One input quantity.

    Attributes:
        name: its name.
        value: its best estimate.
        standard_uncertainty: its standard uncertainty, not negative.
        shape: its distribution, for the Monte Carlo run. ``t`` is the scaled and shifted t
            distribution of ``degrees_of_freedom`` (JCGM 101, 6.4.9), ``standard_uncertainty``
            being its scale; for the other shapes it is the standard deviation.
        degrees_of_freedom: how well the standard uncertainty itself is known.
    """

    name: str
    value: float
    standard_uncertainty: float
    shape: Shape = "normal"
    degrees_of_freedom: float = math.inf

    def __post_init__(self) -> None:
        if not (math.isfinite(self.value) and 0.0 <= self.standard_uncertainty < math.inf):
            raise ValueError(f'input "{self.name}" needs a finite value and uncertainty')
        if not self.degrees_of_freedom > 0.0:
            raise ValueError(f'input "{self.name}" needs degrees of freedom above 0')
        if self.shape == "t" and math.isinf(self.degrees_of_freedom):
            raise ValueError(f'input "{self.name}" has a t distribution without degrees of freedom')


@dataclass(frozen=True)
class Contribution:
    """What one input adds.

    Attributes:
        name: the input.
        sensitivity: the derivative of the output by the input.
        uncertainty: |sensitivity| times the input's standard uncertainty, in the output's unit.
        share: its part of the output's variance; the shares of all inputs add up to 1. With
            correlated inputs a share may be negative: that input takes uncertainty away.
    """

    name: str
    sensitivity: float
    uncertainty: float
    share: float


@dataclass(frozen=True)
class Budget:
    """The result of the law of propagation.

    Attributes:
        value: the output at the best estimates.
        standard_uncertainty: combined standard uncertainty, first order.
        second_order_uncertainty: the same with the second-order terms of 5.1.2 note, for
            independent normal inputs; None where it was not asked for.
        degrees_of_freedom: effective degrees of freedom; infinite where nothing limits them.
        coverage_probability: of the expanded uncertainty.
        coverage_factor: k.
        contributions: one an input, in the order of the inputs.
    """

    value: float
    standard_uncertainty: float
    second_order_uncertainty: float | None
    degrees_of_freedom: float
    coverage_probability: float
    coverage_factor: float
    contributions: tuple[Contribution, ...]

    @property
    def expanded_uncertainty(self) -> float:
        """U = k u, the half-width of the coverage interval."""
        return self.coverage_factor * self.standard_uncertainty

    @property
    def interval(self) -> tuple[float, float]:
        """The coverage interval."""
        return (self.value - self.expanded_uncertainty, self.value + self.expanded_uncertainty)


def propagate(
    model: Model,
    inputs: Sequence[Input],
    coverage: float = 0.95,
    correlation: Array | None = None,
    second_order: bool = False,
) -> tuple[Budget, ...]:
    """Propagate standard uncertainties through a model.

    Args:
        model: see the module's page.
        inputs: one or more inputs.
        coverage: coverage probability, between 0 and 1.
        correlation: correlation coefficients, shape (inputs, inputs); None: independent.
        second_order: also work out the second-order terms; for independent inputs only.

    Returns:
        One budget for each output of the model.

    Raises:
        ValueError: a correlation matrix of the wrong kind, a coverage out of range, second-order
            terms asked for with correlated inputs, or a model that gives no finite number.
    """
    check_coverage(coverage)
    mixing = correlation_matrix(correlation, inputs)
    if second_order and correlation is not None:
        raise ValueError("second-order terms are for independent inputs only")
    value, slopes = _first(model, inputs)
    extra = _second(model, inputs) if second_order else [None] * len(value)
    return tuple(
        _budget(float(v), row, inputs, coverage, mixing, more)
        for v, row, more in zip(value, slopes, extra, strict=True)
    )


def check_coverage(coverage: float) -> None:
    """Raise ValueError where a coverage probability does not lie between 0 and 1."""
    if not 0.0 < coverage < 1.0:
        raise ValueError(f"a coverage probability lies between 0 and 1, not at {coverage:g}")


def correlation_matrix(correlation: Array | None, inputs: Sequence[Input]) -> Array:
    """Return the correlation coefficients, checked; ones on the diagonal where None are given."""
    if correlation is None:
        return np.eye(len(inputs))
    matrix = np.asarray(correlation, dtype=float)
    if matrix.shape != (len(inputs), len(inputs)) or not np.allclose(np.diag(matrix), 1.0):
        raise ValueError("correlation coefficients form a square table with ones on its diagonal")
    if not np.allclose(matrix, matrix.T) or np.min(np.linalg.eigvalsh(matrix)) < -1e-12:
        raise ValueError("these correlation coefficients cannot all hold at once")
    correlated = np.any(np.abs(matrix - np.eye(len(inputs))) > 0.0, axis=1)
    if any(
        c and math.isfinite(i.degrees_of_freedom) for c, i in zip(correlated, inputs, strict=True)
    ):
        raise ValueError("the Welch-Satterthwaite formula does not hold for correlated inputs")
    return matrix


def _cases(model: Model, inputs: Sequence[Input], steps: Array) -> Array:
    """Return the outputs, shape (outputs, cases), at estimates plus steps, (inputs, cases)."""
    estimates = np.array([i.value for i in inputs])
    outputs = np.atleast_2d(model(estimates[:, None] + steps))
    if not np.all(np.isfinite(outputs)):
        raise ValueError("the model gives no finite number close to the best estimates")
    return outputs


def spreads(inputs: Sequence[Input]) -> Array:
    """Return the standard uncertainties of the inputs, shape (inputs,)."""
    return np.array([i.standard_uncertainty for i in inputs])


def _first(model: Model, inputs: Sequence[Input]) -> tuple[Array, Array]:
    """Return the outputs, and their slopes times the inputs' uncertainties, (outputs, inputs).

    Five-point central differences; their error is of the fourth power of the step.
    """
    spread = np.diag(spreads(inputs)) * STEP
    count = len(inputs)
    steps = np.hstack([np.zeros((count, 1)), spread, -spread, 2.0 * spread, -2.0 * spread])
    out = _cases(model, inputs, steps)
    up, down, up2, down2 = (out[:, 1 + n * count : 1 + (n + 1) * count] for n in range(4))
    return out[:, 0], (8.0 * (up - down) - (up2 - down2)) / (12.0 * STEP)


def _second(model: Model, inputs: Sequence[Input]) -> list[float | None]:
    """Return the second-order terms' variance for each output.

    Source: JCGM 100:2008, 5.1.2 note: the sum over i and j of
    (f_ij^2 / 2 + f_i f_ijj) u_i^2 u_j^2.
    """
    count = len(inputs)
    h = np.diag(spreads(inputs)) * STEP

    def at(i: int, a: float, j: int, b: float) -> Array:
        return a * h[:, i] + b * h[:, j]

    pairs = [(i, j) for i in range(count) for j in range(count)]
    signs = ((1, 1), (1, -1), (-1, 1), (-1, -1), (1, 0), (-1, 0))
    steps = np.stack([at(i, a, j, b) for i, j in pairs for a, b in signs], axis=1)
    centre = _cases(model, inputs, np.zeros((count, 1)))[:, 0]
    out = _cases(model, inputs, steps).reshape(len(centre), count, count, len(signs))
    slopes = _first(model, inputs)[1]
    return [float(v) for v in _second_sum(out, slopes, centre)]


def _second_sum(out: Array, slopes: Array, centre: Array) -> Array:
    """Sum the second-order terms; ``out`` is (outputs, i, j, sign pair), in steps of STEP u."""
    both, left, right, neither, up, down = np.moveaxis(out, -1, 0)
    mixed = (both - left - right + neither) / (4.0 * STEP**2)
    third = ((both + left - 2.0 * up) - (right + neither - 2.0 * down)) / (2.0 * STEP**3)
    own = np.arange(out.shape[1])
    # i = j: the steps of i and j add up, so (1, 1) is a step of two and (1, -1) none.
    mixed[:, own, own] = (up + down)[:, own, own] / STEP**2 - 2.0 * centre[:, None] / STEP**2
    twice = (both - neither)[:, own, own]
    third[:, own, own] = (twice - 2.0 * (up - down)[:, own, own]) / (2.0 * STEP**3)
    return np.asarray((0.5 * mixed**2 + slopes[:, :, None] * third).sum(axis=(1, 2)))


def _budget(
    value: float,
    slopes: Array,
    inputs: Sequence[Input],
    coverage: float,
    mixing: Array,
    extra: float | None,
) -> Budget:
    parts = slopes * (mixing @ slopes)
    variance = float(max(parts.sum(), 0.0))
    freedom = effective_degrees_of_freedom(
        variance, [(float(s), i.degrees_of_freedom) for s, i in zip(slopes, inputs, strict=True)]
    )
    contributions = tuple(
        Contribution(
            i.name,
            float(s) / i.standard_uncertainty if i.standard_uncertainty else 0.0,
            abs(float(s)),
            float(p) / variance if variance else 0.0,
        )
        for i, s, p in zip(inputs, slopes, parts, strict=True)
    )
    second = None if extra is None else math.sqrt(max(variance + extra, 0.0))
    return Budget(
        value,
        math.sqrt(variance),
        second,
        freedom,
        coverage,
        coverage_factor(coverage, freedom),
        contributions,
    )


def effective_degrees_of_freedom(variance: float, parts: Sequence[tuple[float, float]]) -> float:
    """Return the effective degrees of freedom by the Welch-Satterthwaite formula (GUM G.4.1).

    Args:
        variance: the combined variance.
        parts: (contribution in the output's unit, its degrees of freedom) of each input.
    """
    shared = math.fsum(u**4 / freedom for u, freedom in parts)
    return variance**2 / shared if shared > 0.0 else math.inf


def coverage_factor(coverage: float, degrees_of_freedom: float) -> float:
    """Return k for a coverage probability: a quantile of the t distribution (GUM G.3, G.4).

    Effective degrees of freedom are cut to the whole number below, as G.4.1 has it; less than one
    stays as it is.
    """
    upper = 0.5 + coverage / 2.0
    if math.isinf(degrees_of_freedom) or degrees_of_freedom > 1e9:
        return NormalDist().inv_cdf(upper)
    from scipy.special import stdtrit  # scipy takes longer to load than all of this to compute

    whole = math.floor(degrees_of_freedom + 1e-6)  # 16 less a rounding error is 16
    return float(stdtrit(whole if whole >= 1 else degrees_of_freedom, upper))
