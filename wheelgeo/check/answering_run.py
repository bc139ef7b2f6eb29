"""Fill the answer to ``run`` from the mechanics of a wheel."""

from __future__ import annotations

import math

from wheelgeo.built.crank import crank_mass
from wheelgeo.check.answer import Answer
from wheelgeo.check.answer_driver import driver_answer
from wheelgeo.check.answer_run import (
    BalanceAnswer,
    BandStartAnswer,
    BearingAnswer,
    Between,
    CopShakeAnswer,
    CopStageAnswer,
    CrankAnswer,
    EnergyAnswer,
    GripAnswer,
    InstantAnswer,
    LoadAnswer,
    PullAnswer,
    RimAnswer,
    RunningAnswer,
    ShaftLoadAnswer,
    StartAnswer,
    TensionAnswer,
    WhirlAnswer,
)
from wheelgeo.check.report import RunReport
from wheelgeo.drive.balance import (
    permissible_unbalance_g_mm,
    standard_grade,
    unbalance_force_n,
)
from wheelgeo.drive.effort import crank_weight_nm
from wheelgeo.drive.load import BandLoad, ShaftLoad, StopLoad
from wheelgeo.drive.ranges import Ranges
from wheelgeo.drive.running import PartBalance, PartRim, Running
from wheelgeo.drive.shake import CopShake
from wheelgeo.drive.start_of_wheel import Start
from wheelgeo.drive.startup import Instant, Trace
from wheelgeo.drive.tension import RestBand
from wheelgeo.drive.whirl import Whirl
from wheelgeo.yarn.head_at_work import flyer_at_work

TRACE_POINTS = 40
"""Moments of the start that the answer holds, at most."""


def running_answer(report: RunReport, solved: Answer) -> RunningAnswer:
    """Return what is to be told of a wheel under a hand.

    Args:
        report: the wheel with its mechanics.
        solved: what ``solve`` answers for it.
    """
    running = report.running
    return RunningAnswer(
        title=running.loaded.design.title,
        tension=tuple(_tension(running, b) for b in running.loaded.rest),
        load=_load(running),
        start=_start(running.start, running.ranges),
        spindle=_spindle(running.whirl, running.ranges, running.cop),
        balance=tuple(_balance(b) for b in running.balance),
        rim=tuple(_rim(r) for r in running.rims),
        assumed=running.assumed,
        findings=report.findings,
        known=running.ranges.known,
        solved=solved,
        running=running,
        flyer=flyer_at_work(running.loaded, solved.wind_on),
    )


def _tension(running: Running, rest: RestBand) -> TensionAnswer:
    load = next((b for b in running.loaded.load.bands if b.rest is rest), None)
    tight = None if load is None else max(load.pulls_n)
    tights = running.ranges.tight_n(rest.band.name)
    return TensionAnswer(
        name=rest.band.name,
        held_by=rest.held,
        stretch=rest.stretch,
        rest_n=rest.rest_n,
        centrifugal_n=rest.centrifugal_n,
        stiffness_n=rest.stiffness_n,
        force_n=None if load is None else load.force_n,
        margin=None if load is None else load.margin,
        least_margin=None if load is None else load.least_margin,
        runs=tuple(_run(rest, load, i) for i in range(len(rest.directions))),
        pulleys=tuple(_stop(running, rest, load, i) for i in range(len(rest.contacts))),
        rest_range_n=running.ranges.rest_n(rest.band.name),
        tight_n=tight,
        tight_range_n=tights,
        stress_mpa=None if tight is None else tight / rest.section_mm2,
        stress_range_mpa=_times(tights, 1.0 / rest.section_mm2),
    )


def _times(ends: Between, factor: float) -> Between:
    return None if ends is None else (ends[0] * factor, ends[1] * factor)


def _holds(load: BandLoad | None) -> bool:
    """Tell whether a band does not slip at work: only then are its pulls those of the load."""
    return load is not None and (load.margin is None or load.margin >= 1.0)


def _run(rest: RestBand, load: BandLoad | None, index: int) -> PullAnswer:
    names = [s.pulley for s in rest.band.route]
    pull = load.pulls_n[index] if load is not None and _holds(load) else None
    return PullAnswer(names[index], names[(index + 1) % len(names)], pull)


def _stop(running: Running, rest: RestBand, load: BandLoad | None, index: int) -> GripAnswer:
    contact = rest.contacts[index]
    stop: StopLoad | None = None if load is None else load.stops[index]
    return GripAnswer(
        name=contact.pulley,
        wrap_deg=contact.wrap_deg,
        cord_on=contact.grip.contact,
        friction=contact.friction,
        wedge_factor=contact.grip.wedge,
        grip_ratio=contact.ratio,
        torque_nm=None if stop is None else stop.torque_nm,
        capacity_nm=None if stop is None else stop.capacity_nm,
        margin=None if stop is None else stop.margin,
        least_margin=None if stop is None else stop.least_margin,
        start_margin=None if load is None else _start_margin(running.start, load, index),
        creep=load.creep[index] if load is not None and _holds(load) else None,
    )


def _start_margin(start: Start, load: BandLoad, index: int) -> float | None:
    """Return a pulley's margin in the start: the band's, shared out as at working speed."""
    links = [k.margin for k in start.links if k.band == load.rest.band.name]
    known = [m for m in links if m is not None]
    margin, weakest = load.stops[index].margin, load.margin
    if margin is None and weakest:
        return None  # no load makes this pulley slip, nor does the start
    if not known or margin is None or not weakest:
        return min(known, default=None)
    return min(known) * margin / weakest


def _load(running: Running) -> LoadAnswer:
    effort, torques = running.loaded.effort, running.ranges.torque_nm
    # Force and power go with the torque: the throw and the speed are the file's.
    scaled = None if torques is None or not effort.torque_nm else _times(
        torques, 1.0 / effort.torque_nm
    )
    return LoadAnswer(
        by=effort.by,
        torque_nm=effort.torque_nm,
        force_n=effort.force_n,
        force_limit_n=effort.force_limit_n,
        power_w=effort.power_w,
        power_limit_w=effort.power_limit_w,
        speed_swing=effort.speed_swing,
        spindle_speed_rpm=running.spindle_rpm,
        shafts=tuple(
            _shaft(
                s, running.loaded.design.shaft(s.shaft).runs_on, running.ranges,
                effort.torque_nm is not None,
            )
            for s in running.loaded.load.shafts
        ),
        torque_range_nm=torques,
        force_range_n=None if effort.force_n is None else _times(scaled, effort.force_n),
        power_range_w=None if effort.power_w is None else _times(scaled, effort.power_w),
        driver=driver_answer(running.loaded.built, effort),
        crank=_crank(running),
    )


def _crank(running: Running) -> CrankAnswer | None:
    built = running.loaded.built
    crank, speed = crank_mass(built), built.design.drive.speed_rpm
    if crank is None:
        return None
    force = unbalance_force_n(1e3, crank.unbalance_kg_m, speed)
    return CrankAnswer(
        1e3 * crank.mass_kg, 1e6 * crank.unbalance_kg_m, force, abs(crank_weight_nm(built))
    )


def _shaft(
    load: ShaftLoad, turns_on: str | None, ranges: Ranges, known: bool
) -> ShaftLoadAnswer:
    """Return what a shaft takes; nothing is known of it while a band's pull is not."""
    if not known:
        return ShaftLoadAnswer(load.shaft)
    return ShaftLoadAnswer(
        name=load.shaft,
        bearing_force_n=load.bearing_n,
        thrust_n=load.thrust_n,
        bearing_nm=load.bearing_nm,
        bending_nm=load.bending_nm,
        air_nm=load.air_nm,
        yarn_nm=load.yarn_nm,
        driven_nm=load.driven_nm,
        torque_nm=load.torque_nm,
        bearings=tuple(BearingAnswer(at, force) for at, force in load.bearings_n),
        bearing_range_n=ranges.bearing_n(load.shaft),
        turns_on=turns_on,
    )


def _start(start: Start, ranges: Ranges) -> StartAnswer:
    trace, times = start.trace, ranges.start_s(start)
    within = None
    if times is not None and math.isfinite(times[0]):
        within = times[0], times[1] if math.isfinite(times[1]) else None
    return StartAnswer(
        torque_nm=None if start.push is None else start.push.torque_nm,
        ramp_s=None if start.push is None else start.push.ramp_s,
        time_s=None if trace is None else trace.time_s,
        bands=tuple(
            BandStartAnswer(k.band, k.shaft, k.margin, k.slip_s > 0.0, k.slip_s, k.slip_j)
            for k in start.links
        ),
        energy=None if trace is None else _energy(trace),
        shafts=tuple(start.shafts),
        trace=() if trace is None else tuple(_instant(i) for i in _thinned(trace.instants)),
        time_range_s=within,
    )


def _energy(trace: Trace) -> EnergyAnswer:
    sums = trace.balance
    return EnergyAnswer(
        sums.hand_j, sums.kinetic_j, sums.friction_j, sums.air_j, sum(sums.band_j),
        sums.energy_error,
    )  # fmt: skip


def _thinned(instants: tuple[Instant, ...]) -> list[Instant]:
    """Return first, last and evenly between, no more than the answer holds."""
    if len(instants) <= TRACE_POINTS:
        return list(instants)
    last = len(instants) - 1
    return [instants[round(i * last / (TRACE_POINTS - 1))] for i in range(TRACE_POINTS)]


def _instant(instant: Instant) -> InstantAnswer:
    rpm = 30.0 / math.pi
    speeds = tuple(w * rpm for w in instant.omega_rad_s)
    return InstantAnswer(instant.t_s, speeds, instant.hand_nm, tuple(instant.slips))


def _spindle(whirl: Whirl, ranges: Ranges, cop: CopShake | None) -> WhirlAnswer:
    empty, full = whirl.natural_hz or (None, None)
    return WhirlAnswer(
        speed_rpm=whirl.working_rpm,
        margin=whirl.margin,
        natural_empty_hz=empty,
        natural_full_hz=full,
        cop=tuple(
            CopStageAnswer(p.share, p.mass_g, p.diameter_mm, tuple(p.critical_rpm))
            for p in whirl.points
        ),
        critical_empty_range_rpm=ranges.empty_rpm,
        critical_full_range_rpm=ranges.full_rpm,
        cop_shake=None if cop is None else _cop(cop),
    )


def _cop(shake: CopShake) -> CopShakeAnswer:
    return CopShakeAnswer(
        shake.mass_g, shake.eccentricity_mm, shake.speed_rpm, shake.stiff_n,
        tuple(BearingAnswer(at, force) for at, force in shake.bearings_n), shake.tip_mm,
    )  # fmt: skip


def _balance(part: PartBalance) -> BalanceAnswer:
    return BalanceAnswer(
        name=part.pulley,
        mass_g=1000.0 * part.mass_kg,
        speed_rpm=part.speed_rpm,
        grade_mm_s=part.grade_mm_s,
        permissible_eccentricity_mm=part.permissible_mm,
        permissible_unbalance_g_mm=permissible_unbalance_g_mm(
            part.grade_mm_s, part.speed_rpm, part.mass_kg
        ),
        expected_eccentricity_mm=part.expected_mm,
        expected_grade_mm_s=part.expected_grade_mm_s,
        expected_standard_grade=standard_grade(part.expected_grade_mm_s),
        force_n=part.force_n,
    )


def _rim(part: PartRim) -> RimAnswer:
    return RimAnswer(
        name=part.pulley,
        material=part.material,
        speed_m_s=part.speed_m_s,
        stress_mpa=part.stress_mpa,
        stress_at_twice_mpa=part.stress_at_twice_mpa,
        strength_mpa=part.strength_mpa,
        bursts_at_m_s=part.bursts_at_m_s,
        factor_at_twice=part.factor_at_twice,
    )
