"""Rules on what a wheel stands on, a stand or its case: whether it stays upright, also in use."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from wheelgeo.built.stand import no_stand
from wheelgeo.built.table import LEAST_TABLE_MM, STEP_MM, TABLE_MM
from wheelgeo.check.adjustments import Adjustment, larger_case
from wheelgeo.check.edits import Edit, edit
from wheelgeo.check.finding import Finding, Looking, Remedy
from wheelgeo.check.remedies import mend
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.limits import LIMITS, PRACTICE
from wheelgeo.design.model import Design, Stand
from wheelgeo.drive.standing import Standing, in_case, pushes, standing
from wheelgeo.geometry.vectors import along
from wheelgeo.units.in_full import full, part_of, plain

_WIDER_MM = 60.0
"""So much wider on every side a case may be made so that it need not be held."""
_HOLD = (
    "stand it on a table and hold it there by two cramps over walls that no band or hand comes near"
)


def posts_joined(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn where no board fits under the wheel, so that every post stands by itself."""
    found = standing_of(wheel)
    if found is None or any(b.kind == "table" for b in wheel.placements.as_in_file.bodies):
        return
    yield Finding(
        "posts-apart", "warning", "stand", 0.0, TABLE_MM, "mm",
        f"what turns comes so near to the floor that no board of {full(TABLE_MM)} mm goes under "
        "it: its posts stand on the floor by themselves, and nothing holds them", PRACTICE,
        mend(wheel, posts_joined, [_higher(wheel.design)],
             "set all shafts higher, so that a board goes under the largest rim"),
    )  # fmt: skip


def _higher(design: Design) -> Adjustment:
    """Set every shaft higher by as much."""

    def edits(amount: float) -> tuple[Edit, ...]:
        return tuple(
            edit(design, "shaft", s.name, "at", (s.at_mm[0], s.at_mm[1], s.at_mm[2] + amount))
            for s in design.shafts
            if s.runs_on is None
        )

    return Adjustment(edits, LEAST_TABLE_MM, 1.0)


def stands_firm(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn of a stand that a small slope, or a nudge at the tip, tips over."""
    found, limit = standing_of(wheel), wheel.limit("tilt_deg")
    if found is None:
        return
    tilt, side = found.tilt
    if tilt >= limit:
        return
    made = wheel.solution.built.spindle
    tip = along(made.shaft.at_mm, made.shaft.axis, made.ends_mm[1])[2]
    push, way = found.sideways_n(tip)
    yield Finding(
        "stand-tips", "warning", "stand", round(tilt, 1), limit, "deg",
        f"it tips over to the {side} on a slope of {plain(tilt, 1)}°, or when "
        f"{plain(max(push, 0.0), 1)} N push it to the {way} at the height of the tip "
        f"({_weighs(found)})",
        LIMITS["tilt_deg"].source,
        mend(wheel, stands_firm, [_longer(wheel.design, found, side)], "give it longer feet"),
    )  # fmt: skip


def pulled_over(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where the greatest force of hand or foot tips the stand over."""
    found, limit = standing_of(wheel), wheel.limit("tipping_factor")
    if found is None:
        return
    each = [found.factor(push) for push in pushes(wheel.solution.built)]
    factor, side = min(each, default=(math.inf, ""))
    if factor >= limit:
        return
    foot = wheel.design.drive.by == "treadle"
    key = "foot_start_force_n" if foot else "start_force_n"
    limb = "foot" if foot else "hand"
    yield Finding(
        "stand-pulled-over", "fault", "stand", round(factor, 3), limit, "",
        f"started with {plain(wheel.limit(key))} N of the {limb} it goes over to the {side}: its "
        f"weight holds against it {plain(factor)} times ({_weighs(found)})",
        LIMITS["tipping_factor"].source,
        mend(wheel, pulled_over, [_longer(wheel.design, found, side)], "give it longer feet"),
    )  # fmt: skip


def case_tipped(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Tell of a case that the hand at its crank tips over where nothing holds it."""
    case, limit = wheel.design.case, wheel.limit("tipping_factor")
    if case is None or wheel.design.drive.by == "motor":
        return
    built = wheel.solution.built
    found, at = in_case(built), pushes(built)
    factor, side = min((found.factor(push) for push in at), default=(math.inf, ""))
    if factor >= limit:
        return

    def held(finding: Finding) -> Looking:
        """Name a wider case only where that is all that must be changed: a cramp does it too."""
        each = [found.lacking_mm(push, limit) for push in at]
        more = [STEP_MM * math.ceil(max(both) / STEP_MM) for both in zip(*each, strict=True)]
        grown = larger_case(wheel.design, case, (more[0], more[1], 0.0), (more[0], more[1], 0.0))
        look = mend(wheel, case_tipped, [grown] if max(more) <= _WIDER_MM else [], _HOLD)
        remedy = yield from look(finding)
        if not remedy.edits or not remedy.sound:
            return Remedy(_HOLD)
        return replace(remedy, says=f"{_HOLD}; or {part_of(remedy.says)}")

    yield Finding(
        "case-tips", "note", "case", round(factor, 3), limit, "",
        f"started with {plain(wheel.limit('start_force_n'))} N at the knob it "
        f"{'tips' if factor < 1.0 else 'is near to tipping'} over to the {side} unless it is held: "
        f"its weight, {plain(found.weight.mass_kg, 1)} kg, holds against that {plain(factor)} "
        f"times, and {plain(limit)} are asked", LIMITS["tipping_factor"].source, held,
    )  # fmt: skip


def _weighs(found: Standing) -> str:
    mass, height = found.weight.mass_kg, found.weight.centre_mm[2]
    return f"{plain(mass, 1)} kg, centred {full(height, 0)} mm above the floor"


def standing_of(wheel: WheelUnderCheck) -> Standing | None:
    """Return how a wheel stands; None for one in a case or without a stand of ours."""
    built = wheel.solution.built
    return None if wheel.design.case is not None or no_stand(built) else standing(built)


def _longer(design: Design, found: Standing, side: str) -> Adjustment:
    """Make the feet reach farther along the axle or across it, whichever parts them there."""
    axis = design.shaft(design.drive.shaft).axis
    lengthwise = (side in ("front", "back")) == (abs(axis[1]) > abs(axis[0]))
    u, v = (axis[0], axis[1]) if lengthwise else (-axis[1], axis[0])
    places = [x * u + y * v for x, y in found.corners]
    reach, given = max(places) - min(places), design.stand or Stand()

    def edits(amount: float) -> tuple[Edit, ...]:
        # a whole step of the workshop, beyond what it reaches now
        long = STEP_MM * math.ceil((reach + amount) / STEP_MM - 1e-9)
        longer = replace(given, deep_mm=long) if lengthwise else replace(given, across_mm=long)
        return (Edit("stand", design.stand, longer),)

    return Adjustment(edits, 600.0, STEP_MM)
