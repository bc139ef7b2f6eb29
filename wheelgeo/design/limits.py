"""Limits that findings hold a wheel against; a design overrides them under ``[limits]``."""

from __future__ import annotations

from collections.abc import Mapping

from wheelgeo.immutable import dataclass

PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Limit:
    """One limit.

    Attributes:
        name: its key under ``[limits]``; ends in its unit.
        default: the value used where a file is silent.
        unit: the unit of the value.
        means: what it limits, in plain words.
        source: where the default comes from.
    """

    name: str
    default: float
    unit: str
    means: str
    source: str = PRACTICE


_TABLE: tuple[Limit, ...] = (
    Limit("arriving_deg", 15.0, "deg", "angle at which a round cord may arrive at a groove"),
    Limit(
        "leaving_deg",
        25.0,
        "deg",
        "angle at which a band may leave a pulley",
        "lead-off angle of quarter-turn belts; from memory",
    ),
    Limit(
        "flat_arriving_deg",
        1.0,
        "deg",
        "angle at which a band may arrive at a flat rim",
        "law of belting (it must arrive in the mid-plane); the allowance is common practice, "
        "no source",
    ),
    Limit("wrap_deg", 90.0, "deg", "arc of contact below which a pulley is poorly driven"),
    Limit("least_wrap_deg", 45.0, "deg", "arc of contact below which a pulley is not driven"),
    Limit("clearance_mm", 1.0, "mm", "least gap between moving parts, and from parts to the case"),
    Limit("overhang_ratio", 2.0, "", "overhang of a pulley beyond its bearings, over their span"),
    Limit("wood_wall_mm", 1.2, "mm", "least wood between the bore and the groove of a pulley"),
    Limit("metal_wall_mm", 0.5, "mm", "the same for a pulley of metal"),
    Limit("knuckle_room_mm", 20.0, "mm", "room outside the crank circle for the hand"),
    Limit("hand_height_mm", 60.0, "mm", "height of the hand on the knob, along the crank's axis"),
    Limit(
        "least_twist_factor", 25.0, "turns/m/sqrt(Nm)", "twist factor below which yarn falls apart"
    ),
    Limit(
        "greatest_twist_factor", 300.0, "turns/m/sqrt(Nm)", "twist factor above which yarn kinks"
    ),
    Limit("twist_error_fraction", 0.05, "", "how far the twist may be from the wanted"),
    Limit(
        "least_fibres", 25.0, "", "fibres in the section below which hand-spun yarn falls apart"
    ),
    Limit("slip_margin", 1.5, "", "least load at which a pulley slips, over the load it carries"),
    Limit("start_slip_margin", 1.0, "", "the same for the hardest moment of the start"),
    Limit("yarn_pull_n", 0.3, "N", "pull of the yarn on the spindle while drafting"),
    Limit(
        "draft_pull_fraction", 0.5, "",
        "pull on the yarn above which it is hard to draft, over what the weakest such yarn bears",
    ),
    Limit(
        "slip_power_fraction", 0.6, "",
        "power lost in slip of a flyer wheel's bands, over all that is given to the wheel",
    ),
    Limit("hand_force_n", 15.0, "N", "force that a hand keeps up at a crank"),
    Limit(
        "hand_power_w",
        18.0,
        "W",
        "power that a hand keeps up at a crank",
        PRACTICE + ": one hand, for hours; two arms at a hand cycle kept up 90 W at 70 rpm in "
        "Krämer et al., Ergonomics 52 (2009), 1276-1286",
    ),
    Limit("foot_force_n", 40.0, "N", "force that a foot keeps up on a treadle"),
    Limit("foot_power_w", 30.0, "W", "power that a foot keeps up on a treadle"),
    Limit("crank_rpm", 120.0, "rpm", "speed at which a hand keeps turning a crank"),
    Limit("treadle_rpm", 100.0, "rpm", "speed at which a foot keeps treading"),
    Limit("rim_rpm", 60.0, "rpm", "speed at which a hand keeps turning a wheel by its rim"),
    Limit("start_force_n", 15.0, "N", "force of the hand in starting"),
    Limit("foot_start_force_n", 60.0, "N", "force of the foot in starting"),
    Limit("foot_lift_mm", 160.0, "mm", "how far a foot is lifted in each turn"),
    Limit(
        "foot_rock_deg", 30.0, "deg", "angle through which a treadle rocks the foot in each turn",
        "an ankle bends 20 degrees up and 50 down at most (American Academy of Orthopaedic "
        "Surgeons, joint motion; from memory); less than half of it for hours: common practice",
    ),
    Limit(
        "transmission_deg", 40.0, "deg", "least angle between footman and lever",
        "Shigley & Uicker, Theory of Machines and Mechanisms: 40 to 45 degrees; from memory",
    ),
    Limit(
        "tilt_deg", 10.0, "deg", "least slope on which a stand still stands",
        "IEC 60335-1, 20.1, stability of what stands on a floor: a slope of 10 degrees; from "
        "memory",
    ),
    Limit(
        "tipping_factor", 1.5, "",
        "least moment of its weight that keeps a stand upright, over that which tips it",
        "International Building Code, 1807.2.3, overturning: 1.5; from memory",
    ),
    Limit("start_ramp_s", 1.0, "s", "time in which that force is reached"),
    Limit("start_time_s", 6.0, "s", "time in which the wheel should be at speed"),
    Limit("speed_swing", 0.5, "", "greatest less least speed of a treadle wheel, over the mean"),
    Limit(
        "least_whirl_margin", 0.05, "", "distance of a critical speed below which a spindle shakes"
    ),
    Limit("whirl_margin", 0.2, "", "least distance of a critical speed from the working speed"),
    Limit(
        "balance_grade_mm_s",
        16.0,
        "mm/s",
        "balance quality grade of what turns",
        "grades of ISO 21940-11; the choice for wooden parts is common practice, no source",
    ),
    Limit(
        "bore_eccentricity_mm", 0.05, "mm", "how far off centre a bore is; if left out, its fit's"
    ),
    Limit(
        "cop_eccentricity_mm", 1.0, "mm", "how far a full cop's middle lies off the spindle's axis"
    ),
    Limit("out_of_round_mm", 1.0, "mm", "how far a wooden wheel may go out of round in a year"),
    Limit("burst_factor", 4.0, "", "least strength over the stress of a rim at twice its speed"),
    Limit("cord_strength_factor", 4.0, "", "least strength of a cord over its greatest stress"),
)

LIMITS: Mapping[str, Limit] = {limit.name: limit for limit in _TABLE}
"""Every limit by its key."""


CADENCE = {"crank": "crank_rpm", "treadle": "treadle_rpm", "hand": "rim_rpm"}
"""The limit of each driver's speed; a motor has none."""


def cadence_limit_rpm(by: str, overrides: Mapping[str, float]) -> float | None:
    """Return the speed that a person keeps up at a crank, treadle or rim; None of a motor."""
    return limit_value(CADENCE[by], overrides) if by in CADENCE else None


def limit_value(name: str, overrides: Mapping[str, float]) -> float:
    """Return the limit in force; KeyError where there is no limit of that name."""
    return overrides.get(name, LIMITS[name].default)
