"""Rules on what a wheel asks of hand or foot: force, power, and an even turn."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wheelgeo.check.adjustments import Adjustment, thinner_cord
from wheelgeo.check.adjustments_running import eased_brakes, longer_throw, slacker, slower_hand
from wheelgeo.check.finding import Finding, advice, plain
from wheelgeo.check.rules_running import (
    heaviest_band,
    how_sure,
    mend_running,
    settle,
    settled_by_pull,
)
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.limits import LIMITS
from wheelgeo.drive import rim


def effort_large(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where the wheel asks more force or power than a person keeps up."""
    effort = wheel.loaded.effort
    limb = "foot" if effort.by == "treadle" else "hand"
    if effort.torque_nm is None:
        yield Finding(
            "load-unknown", "note", "drive", None, None, "N m",
            "the effort that the wheel needs cannot be computed, because the pull of "
            f"{', '.join(wheel.loaded.load.without)} is not known",
            "", advice("mend that band first"),
        )  # fmt: skip
        return
    if wheel.design.drive.radius_mm is None and effort.by != "motor":
        yield Finding(
            "throw-unknown", "note", "drive", None, None, "N",
            f"the force at the {effort.by} cannot be computed, because the file gives no throw",
            "", advice("give radius under [drive]"),
        )  # fmt: skip
    yield from _beyond(wheel, limb, "force", effort.force_n, effort.force_limit_n)
    yield from _beyond(wheel, limb, "power", effort.power_w, effort.power_limit_w)


def _beyond(
    wheel: WheelUnderCheck, limb: str, kind: str, value: float | None, limit: float | None
) -> Iterator[Finding]:
    """Say where force or power is more than can be kept up."""
    unit, by = ("N" if kind == "force" else "W"), wheel.design.drive.by
    least, _ = _effort_ends(wheel, value or 0.0)
    certainty = how_sure(limit is not None and least > limit)
    if value is not None and limit is not None and value > limit:
        yield Finding(
            f"{limb}-{kind}", "warning", "drive", value, limit, unit,
            f"needed at the {by}: {plain(value, 1)} {unit}; a {limb} can keep up "
            f"{plain(limit, 1)} {unit}",
            LIMITS[f"{limb}_{kind}_{unit.lower()}"].source,
            mend_running(
                wheel, effort_large, _lighter(wheel, kind),
                "pull the bands less, or ease the bearings",
            ),
            certainty, settle(certainty, heaviest_band(wheel)),
        )  # fmt: skip


def _effort_ends(wheel: WheelUnderCheck, usual: float) -> tuple[float, float]:
    """Return force or power at both ends of what is known: they go with the torque."""
    torque, ends = wheel.loaded.effort.torque_nm, wheel.ranges.torque_nm
    if not torque or ends is None:
        return usual, usual
    return usual * ends[0] / torque, usual * ends[1] / torque


def effort_doubtful(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Note where the effort is right as usual, but not with the stiffest cords and bearings."""
    effort = wheel.loaded.effort
    force, limit = effort.force_n, effort.force_limit_n
    if force is None or limit is None or force > limit:
        return
    least, most = _effort_ends(wheel, force)
    if most <= limit:
        return
    rest = wheel.loaded.load.bands[0].rest
    times = wheel.ranges.start_s(wheel.begun)
    stuck = times is not None and times[1] == math.inf
    # Force goes with the pull, near enough to tell how far it may be drawn.
    most_pull = (rest.rest_n or 0.0) * limit / force
    yield Finding(
        "effort-doubtful", "note", "drive", most, limit, "N",
        f"the {effort.by} needs {plain(force, 1)} N as usual, but anything from {plain(least, 1)} "
        f"to {plain(most, 1)} N with the softest to the stiffest cords and the easiest to the "
        f"roughest bearings; {plain(limit, 1)} N can be kept up"
        + (", and at the worst the wheel would not start" if stuck else ""),
        "ranges of modulus and friction in the table of materials",
        advice(
            f'hang a spring balance in a strand of "{rest.band.name}": at about '
            f"{plain(rest.rest_n or 0.0, 0)} N it is as usual, and over {plain(most_pull, 0)} N "
            "it is too tight"
        ),
        "possible", settled_by_pull(rest.band.name),
    )  # fmt: skip


def _lighter(wheel: WheelUnderCheck, kind: str) -> Iterator[Adjustment]:
    design = wheel.design
    heavy = sorted(wheel.loaded.rest, key=lambda r: -(r.rest_n or 0.0))
    yield from eased_brakes(design)
    for rest in heavy:
        yield from slacker(design, rest)
    if kind == "force":
        yield from longer_throw(design)
    else:
        yield slower_hand(design)
    for rest in heavy:
        yield thinner_cord(design, rest.band.name)


def lighter_head(wheel: WheelUnderCheck) -> Iterator[Adjustment]:
    """Yield the ways to take load off a flyer wheel: ease its brake, slacken what must slip."""
    yield from eased_brakes(wheel.design)
    if wheel.loaded.load.whorl_slips is not None:
        for rest in wheel.loaded.rest:
            yield from slacker(wheel.design, rest)


def treadle_uneven(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where a treadle wheel is too light to carry its turn over the dead points."""
    effort, limit = wheel.loaded.effort, wheel.limit("speed_swing")
    swing = effort.speed_swing
    if swing is None or swing <= limit or effort.swing_j is None or effort.by == "crank":
        return  # a hand at a crank evens its turn as it goes
    omega = wheel.design.drive.speed_rpm * rim.RAD_S
    enough = rim.flywheel_inertia_kg_m2(effort.swing_j, limit, omega)
    yield Finding(
        "treadle-uneven", "warning", "drive", swing, limit, "",
        f"as it is pushed the speed swings by {plain(100 * swing)} % of its mean; "
        f"{plain(100 * limit)} % is felt as even",
        "flywheel, Khurmi & Gupta, Theory of Machines ch. 16; the limit is common practice",
        mend_running(
            wheel, treadle_uneven, lighter_head(wheel),
            "make the rim heavier: all that turns needs a moment of inertia of "
            f"{enough:.3g} kg m² about the wheel's shaft, {plain(swing / limit, 1)} times what it "
            "has",
        ),
    )  # fmt: skip
