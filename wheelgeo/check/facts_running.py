"""A wheel under a hand as one JSON document; keys hold their unit, what is not known is null."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import Any

from wheelgeo.check.finding import Facts, finding_facts
from wheelgeo.check.report import RunReport
from wheelgeo.drive.balance import permissible_unbalance_g_mm, standard_grade
from wheelgeo.drive.load import BandLoad, ShaftLoad, StopLoad
from wheelgeo.drive.outset import Start
from wheelgeo.drive.running import PartBalance, PartRim, Running
from wheelgeo.drive.spindle import Whirl
from wheelgeo.drive.startup import Instant
from wheelgeo.drive.tension import RestBand

_SHAFT_KEYS = (
    "bearing_force_n", "thrust_n", "bearing_nm", "air_nm", "yarn_nm", "driven_nm", "torque_nm",
)  # fmt: skip
TRACE_POINTS = 40
"""Moments of the start that the document holds, at most."""


def running_facts(report: RunReport) -> Facts:
    """Return the facts of a wheel under a hand.

    A number that cannot be computed is None, and a finding says why.
    """
    running = report.running
    return {
        "title": running.loaded.design.title,
        "tension": [_tension(running, b) for b in running.loaded.rest],
        "load": _load(running),
        "start": _start(running.start),
        "spindle": _spindle(running.whirl),
        "balance": [_balance(b) for b in running.balance],
        "rim": [_rim(r) for r in running.rims],
        "assumed": [asdict(a) for a in running.assumed],
        "findings": [finding_facts(f) for f in report.findings],
    }


def _tension(running: Running, rest: RestBand) -> Facts:
    load = next((b for b in running.loaded.load.bands if b.rest is rest), None)
    return {
        "name": rest.band.name,
        "held_by": rest.held,
        "stretch": rest.stretch,
        "rest_n": rest.rest_n,
        "centrifugal_n": rest.centrifugal_n,
        "stiffness_n": rest.stiffness_n,
        "force_n": None if load is None else load.force_n,
        "margin": None if load is None else load.margin,
        "least_margin": None if load is None else load.least_margin,
        "runs": [_run(rest, load, i) for i in range(len(rest.directions))],
        "pulleys": [_stop(running, rest, load, i) for i in range(len(rest.contacts))],
    }


def _holds(load: BandLoad | None) -> bool:
    return load is not None and (load.margin is None or load.margin >= 1.0)


def _run(rest: RestBand, load: BandLoad | None, index: int) -> Facts:
    names = [s.pulley for s in rest.band.route]
    return {
        "from": names[index],
        "to": names[(index + 1) % len(names)],
        "pull_n": load.pulls_n[index] if load is not None and _holds(load) else None,
    }


def _stop(running: Running, rest: RestBand, load: BandLoad | None, index: int) -> Facts:
    contact = rest.contacts[index]
    stop: StopLoad | None = None if load is None else load.stops[index]
    return {
        "name": contact.pulley,
        "wrap_deg": contact.wrap_deg,
        "cord_on": contact.grip.contact,
        "friction": contact.friction,
        "wedge_factor": contact.grip.wedge,
        "grip_ratio": contact.ratio,
        "torque_nm": None if stop is None else stop.torque_nm,
        "capacity_nm": None if stop is None else stop.capacity_nm,
        "margin": None if stop is None else stop.margin,
        "least_margin": None if stop is None else stop.least_margin,
        "start_margin": None if load is None else _start_margin(running.start, load, index),
        "creep": load.creep[index] if load is not None and _holds(load) else None,
    }


def _start_margin(start: Start, load: BandLoad, index: int) -> float | None:
    """Return a pulley's margin in the start: the band's, shared out as at working speed."""
    links = [k.margin for k in start.links if k.band == load.rest.band.name]
    known = [m for m in links if m is not None]
    margin, weakest = load.stops[index].margin, load.margin
    if not known or margin is None or not weakest:
        return min(known, default=None)
    return min(known) * margin / weakest


def _load(running: Running) -> Facts:
    effort = running.loaded.effort
    return {
        "by": effort.by,
        "torque_nm": effort.torque_nm,
        "force_n": effort.force_n,
        "force_limit_n": effort.force_limit_n,
        "power_w": effort.power_w,
        "power_limit_w": effort.power_limit_w,
        "speed_swing": effort.speed_swing,
        "spindle_speed_rpm": running.spindle_rpm,
        "shafts": [_shaft(s, effort.torque_nm is not None) for s in running.loaded.load.shafts],
    }


def _shaft(load: ShaftLoad, known: bool) -> Facts:
    """Return what a shaft takes; nothing is known of it while a band's pull is not."""
    if not known:
        return dict.fromkeys(("name", *_SHAFT_KEYS)) | {"name": load.shaft}
    return {
        "name": load.shaft,
        "bearing_force_n": load.bearing_n,
        "thrust_n": load.thrust_n,
        "bearing_nm": load.bearing_nm,
        "air_nm": load.air_nm,
        "yarn_nm": load.yarn_nm,
        "driven_nm": load.driven_nm,
        "torque_nm": load.torque_nm,
    }


def _start(start: Start) -> Facts:
    trace = start.trace
    return {
        "torque_nm": None if start.push is None else start.push.torque_nm,
        "ramp_s": None if start.push is None else start.push.ramp_s,
        "time_s": None if trace is None else trace.time_s,
        "bands": [
            {
                "name": k.band, "to": k.shaft, "margin": k.margin, "slips": k.slip_s > 0.0,
                "slip_s": k.slip_s, "slip_j": k.slip_j,
            }
            for k in start.links
        ],
        "energy": None if trace is None else {
            "hand_j": trace.balance.hand_j,
            "kinetic_j": trace.balance.kinetic_j,
            "friction_j": trace.balance.friction_j,
            "air_j": trace.balance.air_j,
            "bands_j": sum(trace.balance.band_j),
            "error": trace.balance.energy_error,
        },
        "shafts": list(start.shafts),
        "trace": [] if trace is None else [_instant(i) for i in _thinned(trace.instants)],
    }  # fmt: skip


def _thinned(instants: tuple[Instant, ...]) -> list[Instant]:
    """Return first, last and evenly between, no more than the document holds."""
    if len(instants) <= TRACE_POINTS:
        return list(instants)
    last = len(instants) - 1
    return [instants[round(i * last / (TRACE_POINTS - 1))] for i in range(TRACE_POINTS)]


def _instant(instant: Instant) -> Facts:
    rpm = 30.0 / math.pi
    return {
        "t_s": instant.t_s,
        "speed_rpm": [w * rpm for w in instant.omega_rad_s],
        "hand_nm": instant.hand_nm,
        "slips": list(instant.slips),
    }


def _spindle(whirl: Whirl) -> Facts:
    natural: tuple[Any, Any] = whirl.natural_hz or (None, None)
    return {
        "speed_rpm": whirl.working_rpm,
        "margin": whirl.margin,
        "natural_empty_hz": natural[0],
        "natural_full_hz": natural[1],
        "cop": [
            {
                "share": p.share, "mass_g": p.mass_g, "diameter_mm": p.diameter_mm,
                "critical_rpm": list(p.critical_rpm),
            }
            for p in whirl.points
        ],
    }  # fmt: skip


def _balance(part: PartBalance) -> Facts:
    return {
        "name": part.pulley,
        "mass_g": 1000.0 * part.mass_kg,
        "speed_rpm": part.speed_rpm,
        "grade_mm_s": part.grade_mm_s,
        "permissible_eccentricity_mm": part.permissible_mm,
        "permissible_unbalance_g_mm": permissible_unbalance_g_mm(
            part.grade_mm_s, part.speed_rpm, part.mass_kg
        ),
        "expected_eccentricity_mm": part.expected_mm,
        "expected_grade_mm_s": part.expected_grade_mm_s,
        "expected_standard_grade": standard_grade(part.expected_grade_mm_s),
        "force_n": part.force_n,
    }


def _rim(part: PartRim) -> Facts:
    return {
        "name": part.pulley,
        "material": part.material,
        "speed_m_s": part.speed_m_s,
        "stress_mpa": part.stress_mpa,
        "stress_at_twice_mpa": part.stress_at_twice_mpa,
        "strength_mpa": part.strength_mpa,
        "bursts_at_m_s": part.bursts_at_m_s,
        "factor_at_twice": part.factor_at_twice,
    }
