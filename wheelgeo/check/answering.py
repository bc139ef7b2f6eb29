"""Fill the answer to ``solve`` and ``check`` from a checked wheel."""

from __future__ import annotations

from wheelgeo.check.answer import FORMAT, Answer, BandsAnswer
from wheelgeo.check.answer_parts import (
    BandAnswer,
    RunAnswer,
    ShaftAnswer,
    SpindleAnswer,
    StopAnswer,
    TwistAnswer,
)
from wheelgeo.check.band_uncertainty import BandUncertainty, uncertainty_of
from wheelgeo.check.quick_rules import FILE_RULES
from wheelgeo.check.report import Report
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.twist import (
    direction,
    drive_turns_per_draw,
    drive_turns_per_metre,
    wanted_turns_per_metre,
)
from wheelgeo.drive.train import BandMotion, Solution


def answer_of(report: Report) -> Answer:
    """Return what a checked wheel is to be told of."""
    solution = report.solution
    half = uncertainty_of(report.design, solution)
    return Answer(
        format=FORMAT,
        title=report.design.title,
        ratio=solution.ratio,
        ratio_without_slip=solution.ratio_without_slip,
        ratio_uncertainty=half.ratio,
        shafts=tuple(
            ShaftAnswer(s.name, s.speed_rpm, s.turns_per_drive_turn) for s in solution.shafts
        ),
        bands=tuple(
            band_answer(solution, motion, half.bands.get(motion.band.name))
            for motion in solution.bands
        ),
        spindle=_spindle(solution),
        twist=_twist(solution, half.turns_per_metre),
        findings=report.findings,
        report=report,
    )


def bands_answer(solved: Answer, wheel: WheelUnderCheck) -> BandsAnswer:
    """Return every band of a solved wheel in full, and what is found of its file."""
    told = [finding for rule in FILE_RULES for finding in wheel.found(rule.find)]
    return BandsAnswer(solved.title, solved.bands, tuple(told))


def band_answer(
    solution: Solution, motion: BandMotion, half: BandUncertainty | None = None
) -> BandAnswer:
    """Return what is to be told of one band; ``half``: how sure it is, None: nothing measured."""
    band, path = motion.band, motion.path
    made = solution.built.bands[band.name]
    length = None if path is None else path.length_mm
    runs = () if path is None else path.runs
    return BandAnswer(
        name=band.name,
        length_mm=length,
        cut_length_mm=None if length is None else made.cut_length_mm(length),
        stretch=made.stretch.value,
        stretch_assumed=not made.stretch.given,
        joint_mm=made.joint.value,
        joint_assumed=not made.joint.given,
        joint=made.joint_kind.name,
        joint_strength=made.joint_kind.strength,
        growth=made.growth.in_all,
        cut_with_joint_mm=None if length is None else made.cut_with_joint_mm(length),
        length_uncertainty_mm=None if half is None else half.length_mm,
        cut_length_uncertainty_mm=None if half is None else half.cut_length_mm,
        from_measuring_mm=None if half is None else half.measuring_mm,
        from_stretch_mm=None if half is None else half.stretch_mm,
        speed_m_s=motion.speed_m_s,
        pulleys=tuple(_stop(motion, i) for i in range(len(band.route))),
        runs=tuple(
            RunAnswer(band.route[r.first].pulley, band.route[r.second].pulley, r.length_mm)
            for r in runs
        ),
        bought_diameter_mm=made.bought_diameter_mm,
        assumed=made.assumed_unloaded,
        solution=solution,
    )


def _stop(motion: BandMotion, index: int) -> StopAnswer:
    name, path = motion.band.route[index].pulley, motion.path
    pitch = motion.seats[index].pitch_diameter_mm
    if path is None:
        return StopAnswer(name, pitch, None, None, None)
    angles = path.wraps_deg[index], path.arriving_deg(index), path.leaving_deg(index)
    return StopAnswer(name, pitch, *angles)


def _spindle(solution: Solution) -> SpindleAnswer:
    speed = solution.spindle.speed_rpm
    return SpindleAnswer(None if speed is None else abs(speed), solution.spindle_turns)


def _twist(solution: Solution, half: float | None = None) -> TwistAnswer:
    yarn, ratio, speed = solution.design.yarn, solution.ratio, solution.spindle.speed_rpm
    per_metre = None if yarn is None else wanted_turns_per_metre(yarn)
    draw = None if yarn is None else yarn.draw_mm
    for_a_metre = for_a_draw = None
    if per_metre is not None and ratio is not None:
        for_a_metre = drive_turns_per_metre(per_metre, ratio)
        for_a_draw = None if draw is None else drive_turns_per_draw(per_metre, ratio, draw)
    return TwistAnswer(
        None if speed is None else direction(speed),
        None if yarn is None else yarn.twist,
        per_metre,
        for_a_metre,
        for_a_draw,
        half,
        solution,
    )

