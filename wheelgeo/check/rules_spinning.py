"""Rules on what spins: the spindle's critical speeds, balance, and the stress of rims."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from wheelgeo.check.adjustments import Adjustment, smaller_rim
from wheelgeo.check.adjustments_running import (
    lesser_cop,
    other_wheel_material,
    shorter_spindle,
    slower_hand,
    thicker_spindle,
)
from wheelgeo.check.finding import Finding, Level, Mend, advice
from wheelgeo.check.remedies import mend
from wheelgeo.check.remedy_words import words_before
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.limits import LIMITS
from wheelgeo.drive.running import PartBalance, PartRim, part_balances, part_rims, shakes_at_work
from wheelgeo.drive.shake import cop_shake
from wheelgeo.drive.whirl import Whirl, tap_of, whirl_trouble
from wheelgeo.units.in_full import figures, full, plain

TAP = (
    "the natural frequency of the bare spindle, by a tap on it in its bearings: as "
    "spindle.natural_frequency"
)
RUN_OUT = (
    "by how much the full cop runs out, turned slowly past a fixed point: half of that, as "
    "limits.cop_eccentricity_mm"
)
BEAM = "critical speed of a beam on its bearings, Euler-Bernoulli"
BORES_WITHIN_MM = 0.02
"""Truer than this no bore is made on a small lathe; common practice, no source."""
WINDS_WITHIN_MM = 0.3
"""Truer than this no hand winds a cop; common practice, no source."""
CLEARLY = 10.0
"""So many times what presses a spindle into its bearings an untrue cop lifts it surely: the truest
is off by a third of the usual, and the band pulls three times as hard as reckoned at most; common
practice, no source."""
ISO_BALANCE = "ISO 21940-11, permissible residual unbalance"
RING = "stress of a thin ring, density times speed squared"


def spindle_bearings(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where the critical speeds cannot be computed."""
    trouble = whirl_trouble(wheel.solution.built.spindle)
    if trouble:
        yield Finding(
            "spindle-bearings", "warning", "spindle", None, None, "rpm",
            f"the critical speeds cannot be computed, because {trouble}",
            BEAM, advice("give the spindle two bearings, at two places"),
        )  # fmt: skip


def tap_unlikely(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn where the spindle of the file cannot sound as was heard, whatever its bearings."""
    heard = wheel.design.spindle.natural_frequency_hz
    if heard is None:
        return
    tap = wheel.whirl.tap
    if not tap.trouble or wheel.whirl.natural_hz is None:
        return
    usual = wheel.whirl.natural_hz[0]
    yield Finding(
        "tap", "warning", "spindle", heard, usual, "Hz",
        f"the bare spindle of the file cannot sound at {plain(heard, 0)} Hz: {tap.trouble}; its "
        "critical speeds are told with bearings as usual",
        BEAM, advice("measure the rod and where its bearings stand, and tap it without yarn"),
    )  # fmt: skip


def whirl(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where a critical speed of the spindle is too near its working speed."""
    for found in _near_critical(wheel):
        sure = _near_at_both_ends(wheel, found.limit or 0.0)
        yield replace(
            found,
            certainty="sure" if sure else "likely",
            settled_by="" if sure else TAP,
            mend=mend(
                wheel, _near_critical, _stiffer(wheel),
                "set the bearings nearer to the tip, or take a thicker rod",
            ),
        )  # fmt: skip


def _near_critical(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Yield the finding as the usual bearings have it: all that a changed wheel is asked."""
    limit, least = wheel.limit("whirl_margin"), wheel.limit("least_whirl_margin")
    if wheel.spins_clear(max(limit, least)):
        return
    found = wheel.whirl
    margin = found.margin
    if margin is None or margin >= max(limit, least):
        return
    level: Level = "fault" if margin < least else "warning"
    yield Finding(
        "whirl", level, "spindle", margin, least if margin < least else limit, "",
        _whirl_says(found, margin, margin < least), BEAM,
    )  # fmt: skip


def _near_at_both_ends(wheel: WheelUnderCheck, wants: float) -> bool:
    """Tell whether the first critical speed is too near with the softest and stiffest bearings."""
    ranges, working = wheel.ranges, wheel.whirl.working_rpm
    if ranges.empty_rpm is None or ranges.full_rpm is None or not working:
        return False
    return all(
        full <= working * (1.0 + wants) and empty >= working * (1.0 - wants)
        for empty, full in zip(ranges.empty_rpm, ranges.full_rpm, strict=True)
    )


def whirl_doubtful(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Note where the spindle runs well as usual, but might shake within what is known of it."""
    ranges, least = wheel.ranges, wheel.limit("least_whirl_margin")
    working = abs(wheel.solution.spindle.speed_rpm or 0.0)
    # with a full cop first: of most spindles that speed is high enough
    if ranges.full_rpm is None or not working or ranges.full_rpm[0] > working * (1.0 + least):
        return
    low, high = ranges.full_rpm[0], (ranges.empty_rpm or ranges.full_rpm)[1]
    if high < working * (1.0 - least) or wheel.found(whirl):
        return
    away = max(0.0, low / working - 1.0, 1.0 - high / working)
    yield Finding(
        "whirl-doubtful", "note", "spindle", away, least, "",
        f"the spindle might shake at {plain(working, 0)} rpm: as its bearings give way, its first "
        f"critical speed lies anywhere from {plain(low, 0)} to {plain(high, 0)} rpm",
        "ranges of stiffness and modulus in the table of materials",
        advice(
            "tap the bare spindle in its bearings: as usual it sounds at "
            f"{plain((wheel.whirl.natural_hz or (0.0, 0.0))[0], 0)} Hz"
        ),
        "possible", TAP,
    )  # fmt: skip


def _whirl_says(found: Whirl, margin: float, shakes: bool) -> str:
    first = [p.critical_rpm[0] for p in found.points]
    working = found.working_rpm or 0.0
    verb = "shakes" if shakes else "may shake"
    near = (
        "the working speed lies between" if margin == 0.0
        else f"{plain(100 * margin, 0)} % from the working speed"
    )  # fmt: skip
    return (
        f"the spindle {verb} at {plain(working, 0)} rpm: its first critical speed falls from "
        f"{plain(first[0], 0)} rpm, empty, to {plain(first[-1], 0)} rpm with a full cop; {near}"
    )


def _stiffer(wheel: WheelUnderCheck) -> Iterator[Adjustment]:
    yield thicker_spindle(wheel.design)
    yield from shorter_spindle(wheel.design)
    yield slower_hand(wheel.design)


def whirl_passed(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Note where the spindle passes a critical speed on its way up."""
    bounds, speed = wheel.critical_bounds, wheel.solution.spindle.speed_rpm
    if speed and bounds and bounds.least_rpm and bounds.least_rpm[0] > abs(speed):
        return
    passed = wheel.whirl.passed
    if passed is None or wheel.found(whirl):
        return
    yield Finding(
        "whirl-passed", "note", "spindle", passed[1], wheel.whirl.working_rpm, "rpm",
        f"the spindle passes its first critical speed, {plain(passed[0], 0)} to "
        f"{plain(passed[1], 0)} rpm, on its way up: it shakes there for a moment",
        BEAM, advice(f"bring it briskly past {plain(passed[1], 0)} rpm"
                     f"{_at_the_drive(wheel, passed[1])} and do not dwell there"),
    )  # fmt: skip


def _at_the_drive(wheel: WheelUnderCheck, spindle_rpm: float) -> str:
    """Return how fast crank or wheel turns at a speed of the spindle, in words: what is counted."""
    drive, working = wheel.design.drive, wheel.whirl.working_rpm
    if drive.speed_rpm is None or not working or drive.by == "motor":
        return ""
    turned = "crank" if drive.by == "crank" else "wheel"
    return f" ({plain(drive.speed_rpm * spindle_rpm / working, 0)} rpm of the {turned})"


def unbalance(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say how true a bore must be where it is expected to be less true than that.

    A warning where the unbalance lifts the shaft in its bearings once a turn; otherwise a note.
    """
    for part in part_balances(wheel.loaded):
        if part.expected_mm <= part.permissible_mm:
            continue
        rattles = part.force_n > part.bearing_n
        level: Level = "warning" if rattles else "note"
        limit = part.rattles_at_mm if rattles else part.permissible_mm
        where = f'pulley "{part.pulley}"'
        yield Finding(
            "unbalance", level, where, part.expected_mm, limit, "mm",
            _unbalance_says(part, rattles),
            ISO_BALANCE,
            advice(_true_bore(part)),
        )  # fmt: skip


def _true_bore(part: PartBalance) -> str:
    """Say how to make a pulley run true: by its bore where a hand can, else on its own rod."""
    turned = "turn its groove true on its own rod, in the bearings that it will run in"
    within = part.permissible_mm
    if within < BORES_WITHIN_MM:
        return f"{turned}: no bore alone is true within {figures(within)} mm"
    return f"bore it true within {full(within, 3)} mm, or {turned}"


def _unbalance_says(part: PartBalance, rattles: bool) -> str:
    grade = (
        f"off centre by {full(part.expected_mm, 3)} mm it runs in grade "
        f"G {plain(part.expected_grade_mm_s, 1)}, and G {plain(part.grade_mm_s, 1)} allows "
        f"{figures(part.permissible_mm)} mm at {plain(part.speed_rpm, 0)} rpm"
    )
    if not rattles:
        return f'"{part.pulley}": {grade}; it shakes the bearings with {figures(part.force_n)} N'
    return (
        f'"{part.pulley}" rattles: {grade}; it shakes the bearings with '
        f"{figures(part.force_n)} N, more than the {figures(part.bearing_n)} N that hold it in them"
    )


def cop_unbalance(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where a cop wound on untrue shakes the spindle harder than its bearings are loaded.

    A note where its eccentricity is only the usual one, a warning where the file gives it or where
    it shakes them clearly harder, however true it is wound and however hard the band pulls.
    """
    shakes = not wheel.spins_clear(wheel.limit("least_whirl_margin")) and shakes_at_work(
        wheel.solution.built, wheel.whirl
    )
    shake = cop_shake(wheel.solution, tap_of(wheel.solution.built.spindle), shakes)
    carried = wheel.loaded.load.shaft(wheel.solution.spindle.name)
    if shake is None or carried is None or shake.eccentricity_mm == 0.0:
        return
    held = dict(carried.bearings_n)
    # What goes round lifts the rod once a turn where it is more than what presses it down; where
    # no bearing's share is known, at a critical speed, the whole is held against the whole.
    shares = [(held[at], force) for at, force in shake.bearings_n if force > 0.0]
    shares.append((carried.bearing_n, shake.stiff_n))
    still, goes_round = min(shares, key=lambda s: s[0] / s[1])
    if goes_round <= still:
        return
    within = shake.eccentricity_mm * still / goes_round
    what = "yarn of the bobbin" if wheel.design.spindle.kind == "flyer" else "full cop"
    shaken = " and ".join(f"{plain(force, 1)} N" for _, force in shake.bearings_n)
    carry = " and ".join(f"{plain(held[at], 1)} N" for at, _ in shake.bearings_n)
    clearly = bool(shake.bearings_n) and goes_round >= CLEARLY * still
    level: Level = "warning" if shake.given or clearly else "note"
    yield Finding(
        "cop-unbalance", level, "cop", shake.eccentricity_mm, within, "mm",
        f"the {what}, {plain(shake.mass_g, 1)} g, off centre by {full(shake.eccentricity_mm)} mm "
        f"pulls with {plain(shake.stiff_n, 1)} N as it goes round at {plain(shake.speed_rpm, 0)} "
        "rpm: "
        + (f"{shaken} in the bearings (they carry {carry})" if shaken else "the spindle rattles"),
        BEAM + "; centrifugal force, mass times eccentricity times speed squared",
        _calmer(wheel, within),
        "possible" if level == "note" else "likely", "" if shake.given else RUN_OUT,
    )  # fmt: skip


def _calmer(wheel: WheelUnderCheck, within_mm: float) -> Mend:
    """Return what makes a cop shake less: to wind it truer where a hand can, or what else helps."""
    ways = (thicker_spindle(wheel.design), *lesser_cop(wheel.design), slower_hand(wheel.design))
    look = mend(
        wheel, cop_unbalance, ways,
        f"turn it slower, or wind less on it: no hand winds true within {figures(within_mm)} mm",
    )  # fmt: skip
    if within_mm < WINDS_WITHIN_MM:
        return look
    return words_before(f"wind it true within {math.floor(100.0 * within_mm) / 100.0:g} mm", look)


def bursting(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where a rim's stress comes too near the strength of its wood, or that is not known."""
    limit = wheel.limit("burst_factor")
    for part in part_rims(wheel.loaded):
        where = f'pulley "{part.pulley}"'
        if part.strength_mpa is None:
            yield Finding(
                "strength-unknown", "note", where, None, limit, "",
                f"how safe {where} is from bursting cannot be computed, because the strength of "
                f"{part.material} across the grain is not known; its rim "
                f"stress at twice its speed is {figures(part.stress_at_twice_mpa, 3)} MPa",
                RING, advice("give the strength of its material"),
            )  # fmt: skip
        elif part.factor_at_twice is not None and part.factor_at_twice < limit:
            yield _bursts(wheel, part, part.factor_at_twice, limit, where)


def _bursts(
    wheel: WheelUnderCheck, part: PartRim, factor: float, limit: float, where: str
) -> Finding:  # fmt: skip
    return Finding(
        "burst", "fault", where, factor, limit, "",
        f"{where} runs at {plain(part.speed_m_s, 1)} m/s; at twice that its rim stress is "
        f"{plain(part.stress_at_twice_mpa, 2)} MPa, and {part.material} breaks across the grain at "
        f"{plain(part.strength_mpa or 0.0, 1)} MPa: a safety factor of {plain(factor)}, where "
        f"{plain(limit)} is wanted. A wheel that bursts wounds: "
        "never stand in its plane, and put a guard round it",
        f"{RING}; strength: {part.strength_source}; factor: {LIMITS['burst_factor'].source}",
        mend(
            wheel, bursting, _less_stress(wheel, part.pulley),
            "make it smaller, slower, or of plywood",
        ),
    )  # fmt: skip


def _less_stress(wheel: WheelUnderCheck, pulley: str) -> Iterator[Adjustment]:
    yield from other_wheel_material(wheel.design, pulley)
    yield slower_hand(wheel.design)
    yield from smaller_rim(wheel.design, pulley)
