"""The rule on take-up: what is done as the cord of a band grows, and the slide that would do it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from wheelgeo.check.adjustments import Adjustment, coaxial, only
from wheelgeo.check.edits import apply_edits, edit
from wheelgeo.check.finding import Finding
from wheelgeo.check.remedies import mend
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.joints import CLOSED_RING
from wheelgeo.design.model import Design, Slide
from wheelgeo.drive.slides import far_enough_mm, robbed, slide_range, take_up
from wheelgeo.drive.train import solve_drive
from wheelgeo.geometry.vectors import Vector, dot, scale, sub
from wheelgeo.units.in_full import full


def no_take_up(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say which band grows longer than its slide and its stretch take up.

    A note where it can be shortened and joined anew, a warning of a closed ring.
    """
    solution = wheel.solution
    for motion in wheel.paths():
        name, made = motion.band.name, solution.built.bands[motion.band.name]
        taken = take_up(solution, name)
        if taken is None or taken.enough:
            continue
        slides = slide_range(solution, name) is not None
        ring = made.joint_kind.name == CLOSED_RING
        takes = "its slide and its stretch take up" if slides else (
            "nothing slides, and its stretch takes up")  # fmt: skip
        later = "take a smaller ring" if ring else "shorten it and join it anew"
        yield Finding(
            "no-take-up", "warning" if ring else "note", f'band "{name}"',
            round(100.0 * taken.room, 3), round(100.0 * taken.growth, 3), "%",
            f'"{name}" grows by some {full(taken.growth_mm, 1)} mm in its first months and over '
            f"the seasons; {takes} {full(taken.room_mm, 1)} mm of that: then {later}",
            f"{made.growth.says}; {made.growth.source}",
            mend(wheel, no_take_up, _slide_for(wheel, name),
                 f"{later} when it hangs slack"),
        )  # fmt: skip


def _slide_for(wheel: WheelUnderCheck, band: str) -> Iterator[Adjustment]:
    """Yield the slide, in whole millimetres, that takes up all the growth of a band.

    A longer one of the shaft that slides, with all that share its axis; where none slides, one of
    the shaft that is not the drive's, level and away from the other; none that slackens another
    band.
    """
    design, solution = wheel.design, wheel.solution
    moving = slide_range(solution, band)
    if moving is None:
        begun = _new_slide(design, {design.pulley(s.pulley).shaft for s in design.band(band).route})
        if begun is None:
            return
        shaft, slide = begun
        design = apply_edits(design, [edit(design, "shaft", shaft, "slide", slide)])
        solution = solve_drive(design)
    else:
        shaft = moving.shaft
    far = far_enough_mm(solution, band)
    first = design.shaft(shaft)
    if far is None or first.slide is None:
        return
    place, at_to = far
    if robbed(solution, band, place):
        return  # what tightens it slackens another
    more = math.ceil(abs(place - (first.slide.to_mm if at_to else first.slide.from_mm)))
    # A sleeve slides with its rod: whoever lengthens one slide has lengthened both.
    longer = [s for s in design.shafts
              if s.slide is not None and s.runs_on is None and coaxial(s, first)]  # fmt: skip
    yield only(
        *(edit(wheel.design, "shaft", s.name, "slide", _longer(s.slide, more, at_to))
          for s in longer if s.slide is not None)
    )  # fmt: skip


def _longer(slide: Slide, more_mm: float, at_to: bool) -> Slide:
    """Return a slide that goes farther at one of its ends."""
    more = more_mm if slide.to_mm >= slide.from_mm else -more_mm
    if at_to:
        return replace(slide, to_mm=round(slide.to_mm + more, 3))
    return replace(slide, from_mm=round(slide.from_mm - more, 3))


def _new_slide(design: Design, shafts: set[str]) -> tuple[str, Slide] | None:
    """Return the shaft of two that can be let slide, and the start of a slide: away, level."""
    names = [s.name for s in design.shafts if s.name in shafts and s.runs_on is None]
    if len(names) != 2:
        return None
    fixed, moving = (design.shaft(n) for n in sorted(names, key=lambda n: n != design.drive.shaft))
    apart = sub(moving.at_mm, fixed.at_mm)
    flat = sub(apart, scale(moving.axis, dot(apart, moving.axis)))
    axis = max(range(3), key=lambda i: abs(flat[i]))
    sign = 1.0 if flat[axis] > 0.0 else -1.0
    way: Vector = (sign * (axis == 0), sign * (axis == 1), sign * (axis == 2))
    # 2 mm towards the wheel, to slip the band on by.
    return moving.name, Slide(way, -2.0, 0.0)
