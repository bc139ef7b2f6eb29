"""Rules on what a wheel asks of hand or foot: force, power, and an even turn."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wheelgeo.check.adjustments import Adjustment, thinner_cord
from wheelgeo.check.adjustments_running import (
    eased_brakes,
    longer_throw,
    measured_at,
    slacker,
    slower_hand,
    usual_throws,
)
from wheelgeo.check.finding import Finding, Looking, Mend, Remedy, advice
from wheelgeo.check.heavier_wheel import carries_better, weight_in_words
from wheelgeo.check.pulls_to_measure import (
    held_at,
    pulls_that_settle,
    settled_by_pulls,
    times_too_tight,
    to_measure,
)
from wheelgeo.check.remedy_words import in_words
from wheelgeo.check.rules_running import how_sure, mend_running
from wheelgeo.check.rules_start import comes_up_to_speed
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.limits import LIMITS
from wheelgeo.drive import rim
from wheelgeo.units.in_full import figures, full, plain


def effort_large(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where the wheel asks more force or power than a person keeps up."""
    effort = wheel.loaded.effort
    limb = "foot" if effort.by == "treadle" else "hand"
    if wheel.loaded.load.locks:
        throw = wheel.design.drive.radius_mm
        yield Finding(
            "hand-locks", "fault", "drive", throw, None, "mm",
            f"no force at the {effort.by} turns the wheel: with a throw of "
            f"{full(throw or 0.0, 3)} mm the {limb} presses the bearings by more friction than it "
            "turns the shaft",
            "friction circle of a journal, textbook mechanics",
            mend_running(wheel, effort_large, usual_throws(wheel.design), "lengthen the throw"),
        )  # fmt: skip
        return
    if effort.torque_nm is None:
        yield Finding(
            "load-unknown", "note", "drive", None, None, "N m",
            f"the effort that the wheel needs cannot be computed, because "
            f"{wheel.loaded.load.unknown}",
            "", advice("mend that band first"),
        )  # fmt: skip
        return
    if wheel.design.drive.radius_mm is None and effort.by != "motor":
        yield Finding(
            "throw-unknown", "note", "drive", None, None, "N",
            f"the force at the {effort.by} cannot be computed, because the file gives no throw",
            "", advice("give its throw (drive.radius)"),
        )  # fmt: skip
    yield from _beyond(wheel, limb, "force", effort.force_n, effort.force_limit_n)
    yield from _beyond(wheel, limb, "power", effort.power_w, effort.power_limit_w)


def _beyond(
    wheel: WheelUnderCheck, limb: str, kind: str, value: float | None, limit: float | None
) -> Iterator[Finding]:
    """Say where force or power is more than can be kept up."""
    if value is None or limit is None or value <= limit:
        return
    unit, by = ("N" if kind == "force" else "W"), wheel.design.drive.by
    certainty = how_sure(_effort_ends(wheel, value)[0] > limit)
    yield Finding(
        f"{limb}-{kind}", "warning", "drive", value, limit, unit,
        f"needed at the {by}: {plain(value, 1)} {unit}; a {limb} can keep up "
        f"{plain(limit, 1)} {unit}",
        LIMITS[f"{limb}_{kind}_{unit.lower()}"].source,
        mend_running(
            wheel, effort_large, _lighter(wheel, kind),
            "pull the bands less, or ease the bearings",
        ),
        certainty, "" if certainty == "sure" else _settled_by(wheel, value, limit),
    )  # fmt: skip


def _settled_by(wheel: WheelUnderCheck, value: float, limit: float) -> str:
    """Return what to measure to know on which side of a limit force or power is."""
    pulls = pulls_that_settle(wheel, _torque_at(wheel, value, limit))
    return settled_by_pulls(wheel.design.drive.by, pulls)


def _torque_at(wheel: WheelUnderCheck, value: float, limit: float) -> float:
    """Return the torque at which force or power comes to a limit: they go with it."""
    return (wheel.loaded.effort.torque_nm or 0.0) * limit / value


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
    torque, rough = effort.torque_nm, wheel.ranges.rough.hand_nm
    if not torque or rough is None or force * rough / torque <= limit:
        return  # so it is with most wheels, and the other end need not be asked
    least, most = _effort_ends(wheel, force)
    if most <= limit:
        return
    stuck = wheel.ranges.stuck_at_worst and comes_up_to_speed(wheel)
    pulls = pulls_that_settle(wheel, _torque_at(wheel, force, limit))
    yield Finding(
        "effort-doubtful", "note", "drive", most, limit, "N",
        f"the {effort.by} needs {plain(force, 1)} N as usual, but anything from {plain(least, 1)} "
        f"to {plain(most, 1)} N with the softest to the stiffest cords and the easiest to the "
        f"roughest bearings; {plain(limit, 1)} N can be kept up"
        + (", and at the worst the wheel would not start" if stuck else ""),
        "ranges of modulus and friction in the table of materials",
        _measured_pulls(wheel, pulls, force, limit),
        "possible", settled_by_pulls(effort.by, pulls),
    )  # fmt: skip


def _measured_pulls(
    wheel: WheelUnderCheck, pulls_n: dict[str, float] | None, force: float, limit: float
) -> Mend:
    """Return what asks to measure the pulls that matter, and to draw them as is usual."""

    def look(finding: Finding) -> Looking:
        if pulls_n is None:
            return Remedy(_bearings_remain(wheel, force))
        tight = times_too_tight(wheel, pulls_n, _torque_at(wheel, force, limit))
        tells = "which is as usual"
        if tight is not None:
            tells += (
                f"; with {_said(pulls_n, tight)} the {wheel.design.drive.by} would need "
                f"{plain(limit, 1)} N"
            )
        ways = [measured_at(wheel.design, pulls_n)]
        otherwise = f"measure what a strand pulls at rest: {_said(pulls_n)}, {tells}"
        mend = mend_running(wheel, effort_doubtful, ways, otherwise, tells)
        # Nothing on the wheel changes: it is drawn as was reckoned with.
        return (yield from in_words(mend)(finding))

    return look


def _bearings_remain(wheel: WheelUnderCheck, force: float) -> str:
    """Return what to do where the friction of the bearings alone leaves it open."""
    by = held_at(wheel.design.drive.by)
    oiled = "keep the bearings clean and oiled"
    pulls = {rest.band.name: rest.rest_n or 0.0 for rest in to_measure(wheel)}
    ends = wheel.ranges.torque_if_measured_nm(pulls)
    if not pulls or ends is None:
        return f"{oiled}, and hang a spring balance at the {by}: their friction is what is left"
    low, high = (force * end / (wheel.loaded.effort.torque_nm or math.inf) for end in ends)
    return (
        f"{oiled}, and hang a spring balance at the {by}, since no pull of a band settles it: "
        f"drawn as usual, with {_said(pulls)}, it needs {plain(low, 1)} to {plain(high, 1)} N, "
        "as its bearings are"
    )


def _said(pulls_n: dict[str, float], times: float = 1.0) -> str:
    return " and ".join(f'{figures(times * n)} N in "{name}"' for name, n in pulls_n.items())


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
            wheel, treadle_uneven, (*lighter_head(wheel), *carries_better(wheel)),
            weight_in_words(wheel, enough),
        ),
    )  # fmt: skip
