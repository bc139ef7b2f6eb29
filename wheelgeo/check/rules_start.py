"""Rules on the start: does a wheel come up to speed, and with what."""

from __future__ import annotations

from collections.abc import Iterator

from wheelgeo.check.adjustments import Adjustment, by_steps
from wheelgeo.check.adjustments_running import eased_brakes, longer_throw, slacker
from wheelgeo.check.finding import Finding, Looking, Mend, advice
from wheelgeo.check.pulls_to_measure import pulls_that_settle, settled_by_pulls
from wheelgeo.check.remedy_words import in_words, words_before
from wheelgeo.check.rules_running import (
    BELT_EQUATION,
    SLIPS_AT,
    how_sure,
    mend_running,
    more_grip,
    weakest,
)
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.limits import LIMITS
from wheelgeo.drive.start_of_wheel import LONGEST_S
from wheelgeo.units.in_full import plain


def start_fails(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where the wheel does not come up to speed, or a band slips on the way."""
    margin, longest = wheel.limit("start_slip_margin"), wheel.limit("start_time_s")
    if _starts_within(wheel, margin, longest):
        return
    begun = wheel.begun
    if begun.trace is None or begun.push is None:
        yield Finding(
            "start-unknown", "note", "drive", None, None, "s",
            f"the start cannot be worked out: {begun.trouble}", "", advice("mend that first"),
        )  # fmt: skip
        return
    if not begun.trace.moves:
        yield _stands_still(wheel)
    elif begun.trace.time_s is None:
        yield _never_there(wheel)
    else:
        yield from _slips_in_start(wheel)
        yield from _slow_start(wheel)


def _starts_within(wheel: WheelUnderCheck, margin: float, longest_s: float) -> bool:
    """Tell whether bounds alone show that it starts so fast, and no band is so near slipping.

    Where they do not show it the start must be worked out.
    """
    bounds, margin = wheel.start_bounds, max(margin, SLIPS_AT)
    return (
        bounds is not None
        and bounds.longest_s <= min(longest_s, LONGEST_S)
        and all(least is None or least > margin for _, least in bounds.margins)
    )


def comes_up_to_speed(wheel: WheelUnderCheck) -> bool:
    """Tell whether a wheel, as usual, comes up to speed from rest."""
    if _starts_within(wheel, SLIPS_AT, LONGEST_S):
        return True
    return wheel.begun.trace is not None and wheel.begun.trace.time_s is not None


def _stands_still(wheel: WheelUnderCheck) -> Finding:
    push = wheel.begun.push
    assert push is not None
    asked, ends = wheel.loaded.effort.torque_nm, wheel.ranges.torque_nm
    certainty = how_sure(ends is not None and ends[0] >= push.torque_nm)
    settling = "" if certainty == "sure" else settled_by_pulls(
        wheel.design.drive.by, pulls_that_settle(wheel, push.torque_nm)
    )
    return Finding(
        "start", "fault", "drive", push.torque_nm, asked, "N m",
        f"the {wheel.design.drive.by} starts with {plain(push.torque_nm, 3)} N m, too little "
        "to move the wheel",
        "balance of torques",
        mend_running(
            wheel, start_fails, _easier_start(wheel),
            "pull the bands less, or lengthen the throw",
        ),
        certainty, settling,
    )  # fmt: skip


def _easier_start(wheel: WheelUnderCheck) -> Iterator[Adjustment]:
    yield from eased_brakes(wheel.design)
    yield from longer_throw(wheel.design)
    for rest in wheel.loaded.rest:
        yield from slacker(wheel.design, rest)


def _never_there(wheel: WheelUnderCheck) -> Finding:
    """Return the finding on the band that slips on and on."""
    begun, trace = wheel.begun, wheel.begun.trace
    assert trace is not None
    slips = [k for k, s in zip(begun.links, trace.instants[-1].slips, strict=True) if s]
    worst = min(slips, key=lambda k: k.margin or 0.0, default=None)
    where = f'band "{worst.band}"' if worst else "drive"
    says = (
        f"{where} slips on and on: \"{worst.shaft}\" does not come up to speed" if worst
        else f"the wheel does not come up to speed: the {_who(wheel)} gives too little"
    )  # fmt: skip
    ways = _more_hold(wheel, worst.band) if worst else _easier_start(wheel)
    return Finding(
        "start", "fault", where, None, None, "s", says,
        "start from rest, worked out step by step",
        mend_running(
            wheel, start_fails, ways,
            "pull the band tighter",
        ),
    )  # fmt: skip


def _who(wheel: WheelUnderCheck) -> str:
    """Return what moves the wheel."""
    return {"treadle": "foot", "motor": "motor"}.get(wheel.design.drive.by, "hand")


def _more_hold(wheel: WheelUnderCheck, band: str) -> Iterator[Adjustment]:
    load = next((b for b in wheel.loaded.load.bands if b.rest.band.name == band), None)
    stop = None if load is None else weakest(load)
    if load is not None and stop is not None:
        yield from more_grip(wheel, load, stop)


def _slips_in_start(wheel: WheelUnderCheck) -> Iterator[Finding]:
    limit = wheel.limit("start_slip_margin")
    for link in wheel.begun.links:
        if link.margin is None or link.margin >= limit:
            continue
        where = f'band "{link.band}" to "{link.shaft}"'
        slipping = f" and slips for {plain(link.slip_s, 1)} s" if link.slip_s > 0.0 else ""
        yield Finding(
            "slip-in-start", "warning", where, link.margin, limit, "",
            f"in starting, {where} has a slip margin of {plain(link.margin)} (load at which it "
            f"slips over the load that it must carry){slipping}",
            BELT_EQUATION,
            _softer_start(wheel, link.band),
        )  # fmt: skip


def _softer_start(wheel: WheelUnderCheck, band: str) -> Mend:
    """Return what looks for how gently to start, which is told, and for more hold of the band."""
    hold = mend_running(wheel, start_fails, _more_hold(wheel, band), "pull the band tighter")
    gentle = in_words(
        mend_running(wheel, start_fails, [_gentler(wheel)], "start more gently")
    )

    def look(finding: Finding) -> Looking:
        says = (yield from gentle(finding)).says
        return (yield from words_before(says, hold)(finding))

    return look


def _gentler(wheel: WheelUnderCheck) -> Adjustment:
    """Return the way to start with less force."""
    by_foot = wheel.design.drive.by == "treadle"
    name = "foot_start_force_n" if by_foot else "start_force_n"
    force = wheel.limit(name)
    return by_steps(wheel.design, ("limits", "", name), force, -1.0, force - 1.0, 0.5, digits=1)


def _slow_start(wheel: WheelUnderCheck) -> Iterator[Finding]:
    trace, limit = wheel.begun.trace, wheel.limit("start_time_s")
    if trace is None or trace.time_s is None or trace.time_s <= limit:
        return
    yield Finding(
        "start-slow", "warning", "drive", trace.time_s, limit, "s",
        f"the wheel takes {plain(trace.time_s, 1)} s to come up to speed; "
        f"{plain(limit, 1)} s is usual",
        LIMITS["start_time_s"].source,
        mend_running(
            wheel, start_fails, _easier_start(wheel),
            "make the wheels lighter, or the throw longer",
        ),
    )  # fmt: skip
