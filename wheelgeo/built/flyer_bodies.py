"""The bodies of a flyer: its bar and arms, the disc of its brake, and its bobbin."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from wheelgeo.built.body import BuiltBody, board, rod_outside, turned
from wheelgeo.built.flyer import ARM_MM, BAR_WIDTH_MM, FLANGE_MM, brake_outside
from wheelgeo.geometry.vectors import across, along, scale

if TYPE_CHECKING:
    from wheelgeo.built.as_built import Built


def flyer_bodies(built: Built) -> Iterator[BuiltBody]:
    """Yield the bodies of a wheel's flyer and of the bobbin on it; none of a spindle with a tip."""
    made, design = built.spindle, built.design
    plan = made.flyer_plan
    if plan is None:
        return
    shaft, rod = made.shaft, f"rod {made.name}"
    u, v = across(shaft.axis)
    reach = plan.arm_radius + ARM_MM
    half = 0.5 * BAR_WIDTH_MM
    arms = ("flyer arm 1", "flyer arm 2")
    holes = (
        ((0.0, 0.0), 0.5 * made.diameter_mm),
        ((plan.arm_radius, 0.0), 0.5 * ARM_MM),
        ((-plan.arm_radius, 0.0), 0.5 * ARM_MM),
    )
    outline = ((-reach, -half), (reach, -half), (reach, half), (-reach, half))
    yield board(
        "flyer", "flyer", shaft.at_mm, u, v, outline, plan.bar_from, plan.bar_to, "maple",
        holes=holes, part=shaft.name, turns=True, fits_in=(rod, *arms),
    )  # fmt: skip
    for name, sign in zip(arms, (1.0, -1.0), strict=True):
        origin = along(shaft.at_mm, scale(u, sign), plan.arm_radius)
        yield turned(
            name, "flyer", origin, shaft.axis,
            rod_outside(plan.yarn_from, plan.bar_to, 0.5 * ARM_MM), "steel",
            part=shaft.name, turns=True, fits_in=("flyer",),
        )  # fmt: skip
    if plan.flyer_brake:
        yield turned(
            "flyer brake", "flyer", shaft.at_mm, shaft.axis,
            brake_outside(plan.bar_to, plan.flyer_brake), "maple", bore=0.5 * made.diameter_mm,
            part=shaft.name, turns=True, fits_in=(rod, "flyer"),
        )  # fmt: skip
    sleeve = built.shafts[plan.bobbin]
    empty = 0.5 * (design.bobbin.empty_mm if design.bobbin else sleeve.diameter_mm + 4.0)
    full = plan.arm_radius - 0.5 * ARM_MM - 6.0
    core = max(empty, 0.5 * sleeve.diameter_mm + 0.5)
    brake = brake_outside(plan.bobbin_from, plan.bobbin_brake) if plan.bobbin_brake else ()
    outer = (
        *brake, (plan.yarn_from - FLANGE_MM, full), (plan.yarn_from, full), (plan.yarn_from, core),
        (plan.yarn_to, core), (plan.yarn_to, full), (plan.bobbin_to, full),
    )  # fmt: skip
    yield turned(
        "bobbin", "bobbin", sleeve.shaft.at_mm, sleeve.shaft.axis, outer, "maple",
        bore=0.5 * sleeve.diameter_mm, part=plan.bobbin, turns=True,
        fits_in=(f"rod {plan.bobbin}", rod),
    )  # fmt: skip
