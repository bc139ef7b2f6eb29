"""How tight the dimensions must be for the twist that is wanted."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from wheelgeo.drive.train import Solution
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.tune.iso2768 import CLASSES, ToleranceClass
from wheelgeo.tune.result_spread import ratio_model
from wheelgeo.tune.size_tolerances import Allowed, Uncertain, uncertain_of
from wheelgeo.tune.uncertainty import Budget, propagate


@dataclass(frozen=True)
class Allowance:
    """How tight a dimension must be for the twist that is wanted.

    Attributes:
        what: the dimension.
        tolerance: what it is now, plus or minus.
        unit: its unit.
        shared: plus or minus, where every dimension takes the same part of what is allowed.
        alone: plus or minus, where only this one is held closer (or may be looser); None where
            the others alone are too much.
    """

    what: str
    tolerance: float
    unit: str
    shared: float
    alone: float | None


@dataclass(frozen=True)
class ClassVerdict:
    """What a class of general tolerance would do: the twist's expanded uncertainty, a fraction."""

    letter: ToleranceClass
    twist_error: float
    enough: bool


@dataclass(frozen=True)
class Tightness:
    """How tight the dimensions must be.

    Attributes:
        wanted_error: twist error that is to be kept, a fraction.
        twist_error: the expanded uncertainty of twist now, a fraction; where the law of propagation
            is too rough, the larger part of the simulated interval.
        factor: the tolerances of everything that somebody makes, times this, would just do; 0
            where cords and slip alone are too much, None where nothing made has a part in it.
        allowances: one a dimension that somebody makes, the weightiest first.
        classes: the general classes compared, own tolerances kept.
    """

    wanted_error: float
    twist_error: float
    factor: float | None
    allowances: tuple[Allowance, ...]
    classes: tuple[ClassVerdict, ...]


def tightness(
    solution: Solution, allowed: Allowed, uncertain: Sequence[Uncertain], ratio: Budget,
    wanted: float, coverage: float | None = None,
) -> Tightness:
    """Return how tight the dimensions must be.

    Args:
        solution: the solved wheel.
        allowed: what may be off.
        uncertain: every number that is off.
        ratio: the ratio with its uncertainty.
        wanted: twist error to be kept, a fraction: the expanded uncertainty that is aimed at.
        coverage: half of what covers the ratio over its standard uncertainty, from a simulation;
            None takes the budget's own factor.

    Raises:
        SearchError: the wanted error is not above 0.
    """
    if not (math.isfinite(wanted) and wanted > 0.0):
        raise SearchError(f"the twist error that is wanted must be above 0, not {wanted:g}")
    by_name = {d.what: d for d in uncertain}
    factor = ratio.coverage_factor if coverage is None else coverage
    target = (wanted * abs(ratio.value) / factor) ** 2
    bought = math.fsum(c.uncertainty**2 for c in ratio.contributions if not by_name[c.name].made)
    made = ratio.standard_uncertainty**2 - bought
    left = max(target - bought, 0.0)
    return Tightness(
        wanted,
        factor * ratio.standard_uncertainty / abs(ratio.value),
        math.sqrt(left / made) if made > 0.0 else None,
        _allowances(by_name, ratio, target, left),
        tuple(_verdict(solution, allowed, c, wanted, ratio, factor) for c in CLASSES),
    )


def _allowances(
    by_name: Mapping[str, Uncertain], ratio: Budget, target: float, left: float
) -> tuple[Allowance, ...]:
    """Return how tight each dimension that somebody makes must be, the weightiest first."""
    parts = sorted(ratio.contributions, key=lambda c: -c.uncertainty)
    made = [c for c in parts if by_name[c.name].made and c.sensitivity != 0.0]
    total = ratio.standard_uncertainty**2
    return tuple(
        Allowance(
            c.name, by_name[c.name].tolerance, by_name[c.name].unit,
            shared=math.sqrt(3.0 * left / len(made)) / abs(c.sensitivity),
            alone=_alone(target - (total - c.uncertainty**2), c.sensitivity),
        )
        for c in made
    )  # fmt: skip


def _alone(left: float, sensitivity: float) -> float | None:
    return math.sqrt(3.0 * left) / abs(sensitivity) if left > 0.0 else None


def _verdict(
    solution: Solution,
    allowed: Allowed,
    letter: ToleranceClass,
    wanted: float,
    ratio: Budget,
    factor: float,
) -> ClassVerdict:
    uncertain, _ = uncertain_of(solution, replace(allowed, general=letter))
    model, inputs = ratio_model(solution, uncertain)
    budget = propagate(model, inputs, ratio.coverage_probability)[0]
    error = factor * budget.standard_uncertainty / abs(budget.value)
    return ClassVerdict(letter, error, error <= wanted)
