"""How a flyer wheel winds on, from its file: what is driven, what is braked, empty and full."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from wheelgeo.design.model import Design
from wheelgeo.design.twist import wanted_turns_per_metre
from wheelgeo.drive.train import Solution
from wheelgeo.immutable import dataclass
from wheelgeo.units.in_full import figures
from wheelgeo.yarn.wind_on import (
    Leads,
    WindOn,
    WindOnBy,
    bobbin_braked,
    both_driven,
    flyer_braked,
)


@dataclass(frozen=True)
class WheelWindOn:
    """How a flyer wheel takes yarn in.

    Attributes:
        leads: the faster of the two, with the empty bobbin.
        by: what makes them differ.
        empty: with the bare bobbin.
        full: with the full one.
    """

    leads: Leads
    by: WindOnBy
    empty: WindOn
    full: WindOn

    @property
    def twist_growth(self) -> float:
        """How much more twist the full bobbin has than the empty one, as a fraction."""
        empty, full = self.empty.turns_per_metre, self.full.turns_per_metre
        return 0.0 if empty is None or full is None else full / empty - 1.0

    @property
    def says(self) -> str:
        """Who leads, how fast yarn is taken in, what slips or pulls, in words."""
        empty, full = self.empty, self.full
        text = "none: flyer and bobbin turn alike" if self.leads == "neither" else (
            f"the {self.leads} leads"
        )
        text += f" ({self.by})"
        if empty.least_turns_per_metre is not None and full.least_turns_per_metre is not None:
            least = [f"{at.least_turns_per_metre:,.0f}".replace(",", " ") for at in (empty, full)]
            text += (
                f"; can take in so fast that {least[0]} (empty bobbin) to {least[1]} (full) turns "
                "per metre come out"
            )
        if empty.slip_share is not None and full.slip_share is not None and empty.slip_share >= 0.0:
            text += (
                f"; for the wanted twist {100 * empty.slip_share:.0f} to "
                f"{100 * full.slip_share:.0f} % of the lead must slip"
            )
        if self.by == "flyer brake" and empty.turns_per_metre and full.turns_per_metre:
            text += (
                "; as many turns of the drive to a metre make "
                f"{empty.turns_per_metre:.0f} turns per metre, empty, and "
                f"{full.turns_per_metre:.0f}, full"
            )
        if empty.yarn_pull_n is not None and full.yarn_pull_n is not None:
            text += (
                f"; the brake pulls the yarn with {figures(empty.yarn_pull_n)} N, empty, to "
                f"{figures(full.yarn_pull_n)} N, full"
            )
        return text


def wheel_wind_on(solution: Solution) -> WheelWindOn | None:
    """Return how a solved wheel winds on; None where it is no flyer or its file tells too little.

    Turns are without the bands' slip. What is missing is told by ``missing_for_wind_on``.
    """
    design = solution.design
    if design.spindle.kind != "flyer" or missing_for_wind_on(solution):
        return None
    assert design.bobbin is not None
    at = _at_diameter(solution)
    empty, full = at(design.bobbin.empty_mm), at(design.bobbin.full_mm)
    twist = None if design.yarn is None else wanted_turns_per_metre(design.yarn)
    drawn = None if twist is None else _drawn_twist(empty, full, twist)
    return WheelWindOn(
        empty.leads, empty.by, replace(empty, turns_per_metre=twist),
        replace(full, turns_per_metre=drawn),
    )  # fmt: skip


def _drawn_twist(empty: WindOn, full: WindOn, twist: float) -> float:
    """Return the twist on the full bobbin that as many turns of the drive to a metre give.

    A flyer that the bobbin draws on by the yarn misses one turn of the bobbin for each girth of
    yarn taken in: turns of the bobbin to a metre less 1000/(pi d). Others turn as they are driven.
    """
    if empty.by != "flyer brake":
        return twist
    missed = [1000.0 / (math.pi * at.bobbin_diameter_mm) for at in (empty, full)]
    return twist + missed[0] - missed[1]


def mean_ratio(solution: Solution) -> float | None:
    """Return flyer turns per drive turn over a whole bobbin; None where the flyer is not driven.

    Where the bobbin draws the flyer on, the turns of the drive to a metre hang on 1/d; the yarn on
    the bobbin grows with d squared, so that their mean over its length is that at the mean of the
    bare and the full diameter. Others have the same ratio from empty to full.
    """
    ratio, wound, bobbin = solution.ratio, wheel_wind_on(solution), solution.design.bobbin
    if ratio is None or wound is None or bobbin is None or wound.by != "flyer brake":
        return ratio
    middle = _at_diameter(solution)((bobbin.empty_mm + bobbin.full_mm) / 2.0)
    turns = middle.flyer_turns_per_drive_turn
    return ratio * turns / wound.empty.flyer_turns_per_drive_turn


def slipped_take_in_mm(solution: Solution, wound: WheelWindOn) -> float | None:
    """Return what the empty bobbin takes in a flyer turn with the slip that the bands have, mm.

    Below 0 where the other of the two then leads; None where a brake makes them differ. With one
    band over both, its slip is the same for both and changes nothing.
    """
    design, at = solution.design, wound.empty
    pair = (solution.shaft(n) for n in (design.spindle.shaft, design.spindle.bobbin or ""))
    flyer, bobbin = (shaft.turns_per_drive_turn for shaft in pair)
    if at.least_turns_per_metre is None or not flyer or bobbin is None:
        return None
    lead = bobbin / flyer - 1.0
    nominal = (at.bobbin_turns_per_drive_turn or 0.0) / at.flyer_turns_per_drive_turn - 1.0
    return math.copysign(1.0, nominal) * lead * math.pi * at.bobbin_diameter_mm


def lead_change(
    before: WheelWindOn | None, after: WheelWindOn | None
) -> tuple[Leads, Leads] | None:
    """Return which of flyer and bobbin led and which leads then, where that is another one.

    Yarn that was wound on while one led unwinds while the other does.
    """
    if before is None or after is None or before.leads == after.leads:
        return None
    return before.leads, after.leads


def missing_for_wind_on(solution: Solution) -> str:
    """Return what the file of a flyer wheel must tell for its wind-on; empty where it tells all."""
    design = solution.design
    if design.bobbin is None:
        return "the diameters of the bobbin, empty and full: add a [bobbin] table"
    if design.spindle.bobbin is None:
        return "which shaft the bobbin is on: give bobbin under [spindle]"
    pair = design.spindle.bobbin, design.spindle.shaft
    if any(_turns(solution, name) is None for name in pair):
        return "what turns flyer and bobbin: a band to each, or a [[drag]] on the one without"
    return ""


def _at_diameter(solution: Solution) -> Callable[[float], WindOn]:
    """Return the wind-on as a function of the diameter over the yarn, mm."""
    design = solution.design
    flyer, bobbin = design.spindle.shaft, design.spindle.bobbin or ""
    flyer_turns, bobbin_turns = _turns(solution, flyer) or 0.0, _turns(solution, bobbin) or 0.0
    twist = None if design.yarn is None else wanted_turns_per_metre(design.yarn)
    if not _driven(solution, bobbin):
        brake = _brake_nm(design, bobbin)
        return lambda diameter: bobbin_braked(flyer_turns, diameter, twist, brake)
    if not _driven(solution, flyer):
        brake = _brake_nm(design, flyer)
        return lambda diameter: flyer_braked(bobbin_turns, diameter, twist, brake)
    bands = {solution.shaft(name).driven_by for name in (flyer, bobbin)}
    if len(bands) == 1:
        return lambda diameter: both_driven(
            "double band", flyer_turns, bobbin_turns, diameter, twist
        )
    return lambda diameter: both_driven("two bands", flyer_turns, bobbin_turns, diameter, twist)


def _turns(solution: Solution, shaft: str) -> float | None:
    return solution.shaft(shaft).turns_without_slip


def _driven(solution: Solution, shaft: str) -> bool:
    """Tell whether a band drives a shaft, or the person does."""
    return solution.shaft(shaft).driven_by is not None or shaft == solution.design.drive.shaft


def _brake_nm(design: Design, shaft: str) -> float:
    """Return the torque of all brakes on a shaft, N m: pull times the radius of their groove."""
    return sum(d.pull_n * d.diameter_mm / 2e3 for d in design.drags if d.shaft == shaft)
