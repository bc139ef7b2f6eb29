"""Values and measured results made to agree: weighted least squares, and what it can tell.

Glossary: a *value* is a number that is looked for (a diameter, a distance), known before with some
uncertainty or not at all; a *result* is what a model makes of the values (a band's length) and was
measured too. Both kinds of knowledge are *observations*. A *residual* is an observation after the
adjustment less before; its *normalised residual* is the residual over its own standard uncertainty;
a *redundancy number* is the share, 0 to 1, of an error that shows in the observation's own residual
and so can be noticed.

Sources: weighted adjustment, redundancy numbers and data snooping: W. Baarda, A testing procedure
for use in geodetic networks (1968), from memory; K.-R. Koch, Parameter estimation and hypothesis
testing in linear models, from memory. Units are those of the observations.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import field

import numpy as np
from numpy.typing import NDArray

from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.agreeing import COVERAGE_FACTOR, DISAGREES

Floats1 = NDArray[np.float64]
ResultModel = Callable[[Floats1], Floats1]
"""Takes values, shape (values,), and returns results, shape (results,); NaN where none exist."""

TWENTY_TO_ONE = 2.0 * math.log(20.0)
"""Two observations are both suspected while neither is twenty times as likely to be the one."""
RANK = 1e-7
"""A direction that moves the observations by less than this, over the most that any does, moves
none: derivatives by differences are good to about 1e-9."""
STEPS = 200
SETTLED = 1e-9
STALLED = 1e-15


@dataclass(frozen=True)
class ValueBefore:
    """A value before: ``standard_uncertainty`` None where ``value`` is only a start."""

    name: str
    value: float
    standard_uncertainty: float | None


@dataclass(frozen=True)
class ResultBefore:
    """A result as it was measured."""

    name: str
    value: float
    standard_uncertainty: float


@dataclass(frozen=True)
class ValueAfter:
    """A value after the adjustment.

    Attributes:
        name: its name.
        before: what it was.
        after: what it is now.
        uncertainty: half width of its interval at 95 %; None where it cannot be known.
    """

    name: str
    before: float
    after: float
    uncertainty: float | None


@dataclass(frozen=True)
class ObservationAfter:
    """An observation after the adjustment.

    Attributes:
        name: its name.
        before: as it was measured.
        after: as the adjusted values have it.
        residual: after less before.
        normalised: the residual over its own standard uncertainty; None where nothing checks it.
        redundancy: its redundancy number.
    """

    name: str
    before: float
    after: float
    residual: float
    normalised: float | None
    redundancy: float

    @property
    def disagrees(self) -> bool:
        """Whether its normalised residual is larger than ``DISAGREES``."""
        return self.normalised is not None and abs(self.normalised) > DISAGREES


@dataclass(frozen=True)
class Suspicion:
    """Observations of which one is wrong.

    Attributes:
        names: those that may be it, the likeliest first; several where they cannot be told apart.
        normalised: normalised residual of the likeliest.
        sure: probability that it is one of these rather than another one, if just one is wrong.
        errors: by how much each of them would be off if it is the one, in its unit.
    """

    names: tuple[str, ...]
    normalised: float
    sure: float
    errors: tuple[float, ...]


@dataclass(frozen=True)
class Adjusted:
    """Values and observations after the adjustment.

    Attributes:
        values: in the order given.
        observations: values known before, in their order, then the results.
        covariance: of the values, (values, values); without the parts that cannot be known.
        slopes: of the observations by the values, (observations, values).
        residual_correlation: correlations of the residuals, (observations, observations).
        spare: observations beyond those that are needed: 0 means that nothing is checked.
        unit_weight: root of the weighted sum of squares over ``spare``; None where that is 0.
        unknown: values that these observations leave open, in groups that hang together.
    """

    values: tuple[ValueAfter, ...]
    observations: tuple[ObservationAfter, ...]
    covariance: NDArray[np.float64] = field(repr=False)
    slopes: NDArray[np.float64] = field(repr=False)
    residual_correlation: NDArray[np.float64] = field(repr=False)
    spare: int
    unit_weight: float | None
    unknown: tuple[tuple[str, ...], ...]

    def value(self, name: str) -> ValueAfter:
        """Return the value of that name; KeyError where there is none."""
        return {v.name: v for v in self.values}[name]

    def observation(self, name: str) -> ObservationAfter:
        """Return the observation of that name; KeyError where there is none."""
        return {o.name: o for o in self.observations}[name]

    @property
    def suspicion(self) -> Suspicion | None:
        """The observation that most likely disagrees, with those that may be it instead."""
        return _suspicion(self.observations)


def adjust(
    values: Sequence[ValueBefore], results: Sequence[ResultBefore], model: ResultModel
) -> Adjusted:
    """Adjust values and measured results to one another.

    Args:
        values: one or more; their names differ.
        results: what was measured, in the order in which the model returns it.
        model: gives the results of values.

    Returns:
        Everything after the adjustment. Where the observations leave something open, the values
        nearest to those before are taken and ``unknown`` names what is open.

    Raises:
        SearchError: the model has no results at the values before, or no best fit is found.
        ValueError: no values, a name twice, or an uncertainty that is not above 0.
    """
    problem = _Problem.of(values, results, model)
    x = _fit(problem)
    return _after(problem, x)


@dataclass(frozen=True)
class _Problem:
    """Observations as arrays: measured, their uncertainties, and how values give them."""

    values: tuple[ValueBefore, ...]
    results: tuple[ResultBefore, ...]
    model: ResultModel
    known: tuple[int, ...]
    start: Floats1
    scale: Floats1
    measured: Floats1
    spread: Floats1

    @classmethod
    def of(
        cls, values: Sequence[ValueBefore], results: Sequence[ResultBefore], model: ResultModel
    ) -> _Problem:
        known = tuple(i for i, v in enumerate(values) if v.standard_uncertainty is not None)
        spreads = [values[i].standard_uncertainty or 0.0 for i in known]
        spreads += [r.standard_uncertainty for r in results]
        measured = [*(values[i].value for i in known), *(r.value for r in results)]
        names = [v.name for v in values]
        if not values or len(set(names)) < len(names):
            raise ValueError("an adjustment needs values, each of another name")
        if not all(0.0 < s < math.inf for s in spreads) or not np.all(np.isfinite(measured)):
            raise ValueError("every observation needs a number and an uncertainty above 0")
        start = np.array([v.value for v in values])
        # Columns in one scale, so that rank does not hang on the units of the values.
        scale = np.array([v.standard_uncertainty or max(abs(v.value), 1.0) for v in values])
        return cls(
            tuple(values), tuple(results), model, known, start, scale,
            np.array(measured), np.array(spreads),
        )  # fmt: skip

    def observed(self, x: Floats1) -> Floats1:
        """Return the observations that values make; NaN where they make none."""
        results = np.asarray(self.model(x), dtype=float) if self.results else np.empty(0)
        return np.concatenate([x[list(self.known)], results])

    def misfit(self, x: Floats1) -> Floats1:
        """Return measured less observed, each over its standard uncertainty."""
        return (self.measured - self.observed(x)) / self.spread

    def cost(self, x: Floats1) -> float:
        """Return the weighted sum of squares; infinite where the values make no results."""
        square = float(np.sum(self.misfit(x) ** 2))
        return square if math.isfinite(square) else math.inf

    def slopes(self, x: Floats1) -> NDArray[np.float64]:
        """Return the derivatives of the observations by the values, (observations, values)."""
        columns = [self._slope(x, i) for i in range(len(x))]
        return np.stack(columns, axis=1)

    def _slope(self, x: Floats1, i: int) -> Floats1:
        # A step of the cube root of the rounding error balances it against the third derivative;
        # half an uncertainty would smear a curve, a smaller step would drown in rounding.
        step = 6e-6 * max(abs(x[i]), 1.0)
        move = np.zeros_like(x)
        move[i] = step
        up, down = self.observed(x + move), self.observed(x - move)
        if np.all(np.isfinite(up)) and np.all(np.isfinite(down)):
            return np.asarray((up - down) / (2.0 * step))
        here = self.observed(x)  # at the edge of what exists only one side has results
        side = up - here if np.all(np.isfinite(up)) else here - down
        if not np.all(np.isfinite(side)):
            raise SearchError(f'nothing exists beside "{self.values[i].name}" = {x[i]:g}')
        return np.asarray(side / step)


def _fit(problem: _Problem) -> Floats1:
    """Return the values of least squares, by Gauss-Newton steps, damped where they overshoot.

    Damping: Levenberg and Marquardt; it also leaves what the observations do not hold where it was.
    Where no step however short goes downhill, the best fit lies at the edge of what exists.
    """
    x, cost = problem.start, problem.cost(problem.start)
    if not math.isfinite(cost):
        raise SearchError("the values as they stand make no results: there is nothing to adjust")
    damping = 0.0
    for _ in range(STEPS):
        weighted = problem.slopes(x) * (problem.scale / problem.spread[:, None])
        misfit = problem.misfit(x)
        while True:
            rows = np.vstack([weighted, math.sqrt(damping) * np.eye(len(x))])
            aims = np.concatenate([misfit, np.zeros(len(x))])
            step = problem.scale * np.linalg.lstsq(rows, aims, rcond=RANK)[0]
            after = problem.cost(x + step)
            if after <= cost * (1.0 + 1e-12):
                break
            damping = max(10.0 * damping, 1e-3)
            if damping > 1e15:
                return np.asarray(x)
        gained, x, cost = cost - after, np.asarray(x + step), after
        damping = damping / 10.0 if damping > 1e-6 else 0.0
        # At an edge the steps never settle; what they still gain is then below rounding.
        settled = float(np.max(np.abs(step) / problem.scale)) < SETTLED
        if settled or gained <= STALLED * (1.0 + cost):
            return x
    raise SearchError("no best fit was found: these measurements contradict what can exist")


def _after(problem: _Problem, x: Floats1) -> Adjusted:
    slopes = problem.slopes(x)
    weighted = slopes * (problem.scale / problem.spread[:, None])
    left, singular, right = np.linalg.svd(weighted, full_matrices=True)
    rank = int(np.sum(singular > RANK * (singular[0] if singular.size else 0.0)))
    # Seen through the singular values the normal equations need not be inverted: their condition
    # is the square of this one.
    half = right[:rank].T / singular[:rank]
    covariance = np.outer(problem.scale, problem.scale) * (half @ half.T)
    # What of the observations is left to the residuals: the rest of the space.
    residuals = np.eye(len(problem.measured)) - left[:, :rank] @ left[:, :rank].T
    share = np.clip(np.diag(residuals), 0.0, 1.0)
    after, misfit = problem.observed(x), -problem.misfit(x)
    checked = share > RANK
    root = np.sqrt(np.where(checked, share, 1.0))
    normalised = misfit / root
    names = [*(problem.values[i].name for i in problem.known), *(r.name for r in problem.results)]
    observations = tuple(
        ObservationAfter(
            name,
            float(problem.measured[i]),
            float(after[i]),
            float(after[i] - problem.measured[i]),
            float(normalised[i]) if checked[i] else None,
            float(share[i]),
        )
        for i, name in enumerate(names)
    )
    open_, groups = _open(problem, right[rank:])
    values = tuple(
        ValueAfter(v.name, v.value, float(x[i]), None if open_[i] else
                   COVERAGE_FACTOR * math.sqrt(covariance[i, i]))
        for i, v in enumerate(problem.values)
    )  # fmt: skip
    spare = len(problem.measured) - rank
    weight = math.sqrt(float(np.sum(misfit**2)) / spare) if spare else None
    correlation = residuals / np.outer(root, root)
    return Adjusted(values, observations, covariance, slopes, correlation, spare, weight, groups)


def _open(
    problem: _Problem, null: NDArray[np.float64]
) -> tuple[NDArray[np.bool_], tuple[tuple[str, ...], ...]]:
    """Return which values nothing holds, and their names in groups that hang together."""
    # The projector on what is open: it does not hang on the basis that the SVD happened to choose.
    free = null.T @ null
    open_: NDArray[np.bool_] = np.diag(free) > 1e-8
    groups = _groups(np.abs(free) > 1e-6, list(open_))
    return open_, tuple(tuple(problem.values[i].name for i in group) for group in groups)


def _groups(linked: NDArray[np.bool_], counts: Sequence[bool]) -> list[list[int]]:
    """Return the indices that count, in groups linked directly or through others."""
    left, groups = [i for i, c in enumerate(counts) if c], []
    while left:
        group = [left.pop(0)]
        for i in group:
            group += [j for j in left if linked[i, j]]
            left = [j for j in left if j not in group]
        groups.append(sorted(group))
    return groups


def _suspicion(observations: Sequence[ObservationAfter]) -> Suspicion | None:
    """Return what most likely disagrees; None where all agree.

    If one observation alone is wrong by an unknown amount, taking it out lowers the weighted sum
    of squares by the square of its normalised residual: that is twice the logarithm of its
    likelihood, by which the observations are compared.
    """
    checked = [(o, abs(o.normalised)) for o in observations if o.normalised is not None]
    checked.sort(key=lambda one: -one[1])
    if not checked or checked[0][1] <= DISAGREES:
        return None
    most, size = checked[0]
    assert most.normalised is not None
    likelihood = [math.exp(0.5 * (other**2 - size**2)) for _, other in checked]
    named = [o for o, other in checked if size**2 - other**2 < TWENTY_TO_ONE]
    sure = sum(likelihood[: len(named)]) / sum(likelihood)
    errors = tuple(-o.residual / o.redundancy for o in named)
    return Suspicion(tuple(o.name for o in named), most.normalised, sure, errors)
