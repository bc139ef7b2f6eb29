"""How close each size must be kept for the twist that is wanted: what drawings and lists carry.

The general tolerance is ISO 2768-1 class m. Where all sizes at that tolerance would spoil the
twist, each takes an equal part of what may be lost (see ``tune.tightness``); a size that must be
kept closer than the general tolerance is *critical*.
"""

from __future__ import annotations

from collections.abc import Mapping

from wheelgeo.design.limits import limit_value
from wheelgeo.drive.train import Solution
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.tune.iso2768 import linear_tolerance_mm
from wheelgeo.tune.result_spread import ratio_model
from wheelgeo.tune.size_tolerances import Allowed, Uncertain, uncertain_of
from wheelgeo.tune.tightness import Allowance, tightness
from wheelgeo.tune.uncertainty import propagate

COVERAGE = 0.95


@dataclass(frozen=True)
class NeededSize:
    """A size that somebody makes, and how close it must be.

    Attributes:
        what: its name, as every list of the wheel's numbers has it.
        part: the pulley, shaft or band that it belongs to.
        value: the size.
        within: plus or minus.
        unit: of both: mm or deg.
        critical: it must be closer than the general tolerance, or the twist is not kept.
    """

    what: str
    part: str
    value: float
    within: float
    unit: str
    critical: bool


def needed_sizes(solution: Solution) -> Mapping[str, NeededSize]:
    """Return every size that has a part in the ratio, by name, the weightiest first.

    Args:
        solution: the solved wheel.

    Returns:
        Nothing where the spindle is not driven: there is no ratio that sizes could spoil.
    """
    if solution.ratio is None:
        return {}
    allowed = Allowed()
    uncertain, _ = uncertain_of(solution, allowed)
    model, inputs = ratio_model(solution, uncertain)
    if not inputs:
        return {}
    budget = propagate(model, inputs, COVERAGE)[0]
    wanted = limit_value("twist_error_fraction", solution.design.limits)
    tight = tightness(solution, allowed, uncertain, budget, wanted)
    by_name = {one.what: one for one in uncertain}
    return {a.what: _needed(by_name[a.what], a) for a in tight.allowances}


def _needed(one: Uncertain, allowance: Allowance) -> NeededSize:
    """Return a size; where cords alone spoil the twist, the fine class is asked for."""
    within = min(allowance.shared, one.tolerance)
    if within <= 0.0:
        within = _fine(one)
    critical = allowance.shared < one.tolerance
    return NeededSize(one.what, one.part, one.value, within, one.unit, critical)


def _fine(one: Uncertain) -> float:
    """Return the fine general tolerance; of an angle and beyond the table half the usual one."""
    if one.unit != "mm":
        return 0.5 * one.tolerance
    try:
        return linear_tolerance_mm(abs(one.value), "f")
    except SearchError:
        return 0.5 * one.tolerance
