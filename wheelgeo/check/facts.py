"""The facts of a wheel as one JSON document; keys hold their unit."""

from __future__ import annotations

from wheelgeo.check.facts_yarn import yarn_facts
from wheelgeo.check.finding import Facts, finding_facts
from wheelgeo.check.report import Report
from wheelgeo.drive.train import BandMotion, ShaftMotion
from wheelgeo.yarn.twist import (
    direction,
    drive_turns_per_draw,
    drive_turns_per_metre,
    wanted_turns_per_metre,
)


def facts(report: Report) -> Facts:
    """Return the facts of a checked wheel.

    A number that cannot be computed is None, and a finding says why.
    """
    solution = report.solution
    return {
        "title": report.design.title,
        "ratio": solution.ratio,
        "ratio_without_slip": solution.ratio_without_slip,
        "shafts": [_shaft(s) for s in solution.shafts],
        "bands": [_band(b) for b in solution.bands],
        "spindle": _spindle(report),
        "twist": _twist(report),
        "yarn": yarn_facts(solution),
        "findings": [finding_facts(f) for f in report.findings],
    }


def _shaft(motion: ShaftMotion) -> Facts:
    return {
        "name": motion.name,
        "speed_rpm": motion.speed_rpm,
        "turns_per_drive_turn": motion.turns_per_drive_turn,
    }


def _band(motion: BandMotion) -> Facts:
    path = motion.path
    stretch = motion.band.stretch or 0.0
    length = None if path is None else path.length_mm
    return {
        "name": motion.band.name,
        "length_mm": length,
        "cut_length_mm": None if length is None else cut_length_mm(motion),
        "stretch": stretch,
        "speed_m_s": motion.speed_m_s,
        "pulleys": [_stop(motion, i) for i in range(len(motion.band.route))],
        "runs": []
        if path is None
        else [
            {
                "from": motion.band.route[r.first].pulley,
                "to": motion.band.route[r.second].pulley,
                "length_mm": r.length_mm,
            }
            for r in path.runs
        ],
    }


def cut_length_mm(motion: BandMotion) -> float | None:
    """Return the length of cord of a band before it is stretched on, without its joint, mm."""
    if motion.path is None:
        return None
    return motion.path.length_mm / (1.0 + (motion.band.stretch or 0.0))


def _stop(motion: BandMotion, index: int) -> Facts:
    path = motion.path
    return {
        "name": motion.band.route[index].pulley,
        "pitch_diameter_mm": motion.seats[index].pitch_diameter_mm,
        "wrap_deg": None if path is None else path.wraps_deg[index],
        "arriving_deg": None if path is None else path.arriving_deg(index),
        "leaving_deg": None if path is None else path.leaving_deg(index),
    }


def _spindle(report: Report) -> Facts:
    speed = report.solution.spindle.speed_rpm
    return {
        "speed_rpm": None if speed is None else abs(speed),
        "turns": report.solution.spindle_turns,
    }


def _twist(report: Report) -> Facts:
    yarn, ratio = report.design.yarn, report.solution.ratio
    speed = report.solution.spindle.speed_rpm
    per_metre = None if yarn is None else wanted_turns_per_metre(yarn)
    draw = None if yarn is None else yarn.draw_mm
    for_a_metre = for_a_draw = None
    if per_metre is not None and ratio is not None:
        for_a_metre = drive_turns_per_metre(per_metre, ratio)
        for_a_draw = None if draw is None else drive_turns_per_draw(per_metre, ratio, draw)
    return {
        "direction": None if speed is None else direction(speed),
        "wanted": None if yarn is None else yarn.twist,
        "turns_per_metre": per_metre,
        "drive_turns_per_metre": for_a_metre,
        "drive_turns_per_draw": for_a_draw,
    }
