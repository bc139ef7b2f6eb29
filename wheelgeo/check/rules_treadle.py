"""Rules on the treadle as a linkage: whether its crank turns, carries over, and suits a foot."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wheelgeo.check.adjustments_treadle import longer_footman, longer_lever, lower_lift
from wheelgeo.check.finding import Finding
from wheelgeo.check.heavier_wheel import carries_better, weight_in_words
from wheelgeo.check.remedies import mend
from wheelgeo.check.rules_effort import lighter_head
from wheelgeo.check.rules_running import mend_running
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.limits import LIMITS
from wheelgeo.drive.driven_by import treadle_geometry, treadle_trouble
from wheelgeo.units.in_full import figures, full, plain

LINKAGE = "four-bar linkage, Shigley & Uicker, Theory of Machines and Mechanisms; from memory"
FLYWHEEL = "energy of what turns against the load over the angle in which nothing drives"


def treadle_turns(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where crank, footman and lever do not let the crank turn fully."""
    trouble = treadle_trouble(wheel.solution.built)
    if trouble:
        yield Finding(
            "treadle-jams", "fault", "drive", None, None, "",
            f"the treadle does not let its crank turn fully: {trouble}", LINKAGE,
            mend(wheel, treadle_turns, longer_footman(wheel),
                 "give footman, lever and pivot other lengths, or a shorter throw of the crank"),
        )  # fmt: skip


def treadle_suits_foot(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn where the footman pushes across its lever, or the foot is lifted or rocked too far."""
    if treadle_trouble(wheel.solution.built):
        return
    found = treadle_geometry(wheel.solution.built)
    if found is None:
        return
    least, limit = found.linkage.least_transmission_deg, wheel.limit("transmission_deg")
    if least < limit:
        yield Finding(
            "treadle-transmission", "warning", "drive", least, limit, "deg",
            f"footman and lever come within {plain(least, 1)}° of one line, where the foot only "
            f"strains its pins; {plain(limit)}° is the least that pushes well",
            LIMITS["transmission_deg"].source,
            mend(wheel, treadle_suits_foot, longer_lever(wheel),
                 "set the pivot farther aside or lower, or lengthen the lever"),
        )  # fmt: skip
    rocks, rest = found.linkage.swing_deg, wheel.limit("foot_rock_deg")
    if rocks > rest:
        throw, lever = found.linkage.crank_mm, found.linkage.lever_mm
        longer = throw / math.sin(math.radians(0.5 * rest))
        yield Finding(
            "foot-rock", "warning", "drive", rocks, rest, "deg",
            f"the treadle rocks the foot through {plain(rocks, 0)}° in each turn; "
            f"{plain(rest, 0)}° tires no ankle", LIMITS["foot_rock_deg"].source,
            mend(wheel, treadle_suits_foot, longer_lever(wheel),
                 f"lengthen its lever from {full(lever, 0)} to about {full(longer, 0)} mm, or "
                 "shorten the throw of the crank"),
        )  # fmt: skip
    lift, most = found.linkage.foot_lift_mm, wheel.limit("foot_lift_mm")
    if lift > most:
        yield Finding(
            "foot-lift", "warning", "drive", lift, most, "mm",
            f"the foot is lifted {full(lift, 0)} mm in each turn; {full(most, 0)} mm tires it",
            LIMITS["foot_lift_mm"].source,
            mend(wheel, treadle_suits_foot, lower_lift(wheel),
                 "shorten the throw of the crank, or set the foot nearer to the pivot"),
        )  # fmt: skip


def carries_over(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn where what turns does not carry the wheel over the angle in which nothing drives."""
    effort = wheel.loaded.effort
    least, driver = effort.least_inertia_kg_m2, effort.driver
    if least is None or driver is None or effort.inertia_kg_m2 >= least:
        return
    yield Finding(
        "dead-point", "warning", "drive", effort.inertia_kg_m2, least, "kg m²",
        f"for {plain(driver.longest_idle_deg, 0)}° of each turn nothing drives the wheel, and at "
        f"its speed what turns has too little in it to carry the load over: "
        f"{figures(effort.inertia_kg_m2, 3)} kg m² about the driven shaft, and "
        f"{figures(least, 3)} kg m² carry it",
        FLYWHEEL,
        mend_running(
            wheel, carries_over, (*lighter_head(wheel), *carries_better(wheel)),
            f"{weight_in_words(wheel, least)}; or give it a second treadle",
        ),
    )  # fmt: skip
