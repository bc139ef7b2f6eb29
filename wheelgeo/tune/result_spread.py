"""A result with its uncertainty, by the law of propagation and by drawing wheels."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from wheelgeo.drive.train import Solution
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.tune.montecarlo import Simulation, agree, simulate
from wheelgeo.tune.size_tolerances import Uncertain
from wheelgeo.tune.trials import BAND_TRIALS, TRIALS
from wheelgeo.tune.uncertainty import Budget, Input, Model, propagate
from wheelgeo.tune.wheels_at_once import Cases, ratio_keys, ratio_of

AGREE_DIGITS = 1
"""Digits of the standard uncertainty to which the two ways must agree (JCGM 101:2008, 8.1)."""


@dataclass(frozen=True)
class Drawing:
    """How wheels are drawn: how many, from which seed, and the coverage probability."""

    trials: int = TRIALS
    band_trials: int = BAND_TRIALS
    seed: int = 1
    coverage: float = 0.95


@dataclass(frozen=True)
class Spread:
    """A result with its uncertainty.

    Attributes:
        what: what it is.
        unit: its unit.
        budget: by the law of propagation.
        drawn: by drawing wheels.
        agree: the second confirms the first, to one digit of its standard uncertainty.
    """

    what: str
    unit: str
    budget: Budget
    drawn: Simulation
    agree: bool


def inputs_of(uncertain: Sequence[Uncertain]) -> list[Input]:
    """Return uncertainties as inputs of a model, each rectangular between its limits."""
    return [Input(d.what, d.value, d.standard_uncertainty, "rectangular") for d in uncertain]


def model_of(of: Callable[[Cases], Any], uncertain: Sequence[Uncertain]) -> Model:
    """Return a function of cases as a model of an array with one row for each."""
    keys = [d.key for d in uncertain]
    return lambda x: np.asarray(of(Cases(dict(zip(keys, x, strict=True)))))


def ratio_model(solution: Solution, uncertain: Sequence[Uncertain]) -> tuple[Model, list[Input]]:
    """Return the ratio as a model, and its inputs: those that have a part in it."""
    having_part = ratio_keys(solution)
    taking_part = [d for d in uncertain if d.key in having_part]
    ratio = ratio_of(solution)

    def of(cases: Cases) -> Any:
        value = ratio(cases)
        return value if np.ndim(value) else np.array([value])

    return model_of(of, taking_part), inputs_of(taking_part)


def ratio_spread(solution: Solution, uncertain: Sequence[Uncertain], drawing: Drawing) -> Spread:
    """Return the ratio with its uncertainty; SearchError where nothing that makes it may be off."""
    model, inputs = ratio_model(solution, uncertain)
    if not inputs:
        raise SearchError("nothing that makes the ratio is allowed to be off")
    budget = propagate(model, inputs, drawing.coverage)[0]
    drawn = simulate(model, inputs, drawing.trials, drawing.seed, drawing.coverage)[0]
    return Spread("ratio", "", budget, drawn, agree(budget, drawn, AGREE_DIGITS))


def scaled(spread: Spread, scale: float, what: str, unit: str) -> Spread:
    """Return a result that is another one times a number that is sure."""
    budget, drawn = _scaled_budget(spread.budget, scale), _scaled_drawn(spread.drawn, scale)
    return Spread(what, unit, budget, drawn, spread.agree)


def _scaled_budget(budget: Budget, scale: float) -> Budget:
    contributions = tuple(
        replace(c, sensitivity=c.sensitivity * scale, uncertainty=c.uncertainty * scale)
        for c in budget.contributions
    )
    return replace(
        budget,
        value=budget.value * scale,
        standard_uncertainty=budget.standard_uncertainty * scale,
        contributions=contributions,
    )


def _scaled_drawn(drawn: Simulation, scale: float) -> Simulation:
    low, high = drawn.symmetric
    first, last = drawn.shortest
    return replace(
        drawn,
        mean=drawn.mean * scale,
        standard_uncertainty=drawn.standard_uncertainty * scale,
        symmetric=(low * scale, high * scale),
        shortest=(first * scale, last * scale),
    )
