"""The answer to ``run``: a wheel under a hand.

Its fields are the keys of the JSON document that the command prints; what is not known is None.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

from wheelgeo.as_json import NOT_IN_JSON, to_json
from wheelgeo.built.assumed import Assumption
from wheelgeo.check.answer import Answer, TwistAnswer, next_named
from wheelgeo.check.finding import Finding
from wheelgeo.check.report import RunReport
from wheelgeo.drive.balance import permissible_unbalance_g_mm, standard_grade
from wheelgeo.drive.load import BandLoad, ShaftLoad, StopLoad
from wheelgeo.drive.running import PartBalance, PartRim, Running
from wheelgeo.drive.spindle import Whirl
from wheelgeo.drive.start_of_wheel import Start
from wheelgeo.drive.startup import Instant, Trace
from wheelgeo.drive.tension import Held, RestBand

TRACE_POINTS = 40
"""Moments of the start that the answer holds, at most."""


@dataclass(frozen=True, slots=True)
class PullAnswer:
    """The straight piece of a band between two pulleys, and its pull at work."""

    from_: str
    to: str
    pull_n: float | None


@dataclass(frozen=True, slots=True)
class GripAnswer:
    """How a band grips a pulley.

    Attributes:
        name: the pulley.
        wrap_deg: arc of contact.
        cord_on: what the cord lies on.
        friction: coefficient of friction.
        wedge_factor: how many times more the groove presses than a flat rim would.
        grip_ratio: the greatest tension ratio, tight side over slack side.
        torque_nm: what the pulley gives or takes at work.
        capacity_nm: the most that it could before the band slips.
        margin: slip margin, the load at which it slips over the working load.
        least_margin: the same with the softest and smoothest cord of the material's spread.
        start_margin: the same at the hardest moment of the start.
        creep: by which fraction the pulley turns slower from the cord's stretching.
    """

    name: str
    wrap_deg: float
    cord_on: str
    friction: float
    wedge_factor: float
    grip_ratio: float
    torque_nm: float | None
    capacity_nm: float | None
    margin: float | None
    least_margin: float | None
    start_margin: float | None
    creep: float | None


@dataclass(frozen=True, slots=True)
class TensionAnswer:
    """A band's pull: at rest, from the cord's turning, at work; and its slip margins."""

    name: str
    held_by: Held
    stretch: float | None
    rest_n: float | None
    centrifugal_n: float
    stiffness_n: float
    force_n: float | None
    margin: float | None
    least_margin: float | None
    runs: tuple[PullAnswer, ...]
    pulleys: tuple[GripAnswer, ...]


@dataclass(frozen=True, slots=True)
class ShaftLoadAnswer:
    """What a shaft carries and where its torque goes; None where a band's pull is not known."""

    name: str
    bearing_force_n: float | None = None
    thrust_n: float | None = None
    bearing_nm: float | None = None
    air_nm: float | None = None
    yarn_nm: float | None = None
    driven_nm: float | None = None
    torque_nm: float | None = None


@dataclass(frozen=True, slots=True)
class LoadAnswer:
    """What the wheel takes at working speed, and what a person can keep up."""

    by: str
    torque_nm: float | None
    force_n: float | None
    force_limit_n: float | None
    power_w: float | None
    power_limit_w: float | None
    speed_swing: float | None
    spindle_speed_rpm: float | None
    shafts: tuple[ShaftLoadAnswer, ...]


@dataclass(frozen=True, slots=True)
class BandStartAnswer:
    """A band in the start: its least slip margin, whether it slips, how long, and the heat."""

    name: str
    to: str
    margin: float | None
    slips: bool
    slip_s: float
    slip_j: float


@dataclass(frozen=True, slots=True)
class EnergyAnswer:
    """Where the work of the start goes, J; ``error`` is what the sum is off, as a fraction."""

    hand_j: float
    kinetic_j: float
    friction_j: float
    air_j: float
    bands_j: float
    error: float


@dataclass(frozen=True, slots=True)
class InstantAnswer:
    """One moment of the start: speeds in the order of the shafts, which bands slip."""

    t_s: float
    speed_rpm: tuple[float, ...]
    hand_nm: float
    slips: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class StartAnswer:
    """The start from rest; ``time_s`` is None where the wheel does not come up to speed."""

    torque_nm: float | None
    ramp_s: float | None
    time_s: float | None
    bands: tuple[BandStartAnswer, ...]
    energy: EnergyAnswer | None
    shafts: tuple[str, ...]
    trace: tuple[InstantAnswer, ...]


@dataclass(frozen=True, slots=True)
class CopStageAnswer:
    """The spindle with so much yarn on it, and its critical speeds, the lowest first."""

    share: float
    mass_g: float
    diameter_mm: float
    critical_rpm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class WhirlAnswer:
    """The spindle's vibration: working speed, margin to the nearest critical, frequencies."""

    speed_rpm: float | None
    margin: float | None
    natural_empty_hz: float | None
    natural_full_hz: float | None
    cop: tuple[CopStageAnswer, ...]


@dataclass(frozen=True, slots=True)
class BalanceAnswer:
    """How true a pulley must run for its balance quality grade, and how true it is expected to."""

    name: str
    mass_g: float
    speed_rpm: float
    grade_mm_s: float
    permissible_eccentricity_mm: float
    permissible_unbalance_g_mm: float
    expected_eccentricity_mm: float
    expected_grade_mm_s: float
    expected_standard_grade: float | None
    force_n: float


@dataclass(frozen=True, slots=True)
class RimAnswer:
    """The stress of turning in a pulley, and its safety factor at twice the working speed."""

    name: str
    material: str
    speed_m_s: float
    stress_mpa: float
    stress_at_twice_mpa: float
    strength_mpa: float | None
    bursts_at_m_s: float | None
    factor_at_twice: float | None


@dataclass(frozen=True)
class RunningAnswer:
    """Whether a wheel works under a hand.

    Attributes:
        title: the wheel's title.
        tension: every band that has a path.
        load: what it takes at working speed.
        start: from rest to speed.
        spindle: its critical speeds.
        balance: every pulley that turns.
        rim: every pulley that turns.
        assumed: what was assumed, because the file does not say.
        findings: faults, then warnings, then notes, of the rules on mechanics.
        solved: what ``solve`` answers for the same wheel.
        running: the mechanics in full.
    """

    title: str
    tension: tuple[TensionAnswer, ...]
    load: LoadAnswer
    start: StartAnswer
    spindle: WhirlAnswer
    balance: tuple[BalanceAnswer, ...]
    rim: tuple[RimAnswer, ...]
    assumed: tuple[Assumption, ...]
    findings: tuple[Finding, ...]
    solved: Answer = field(repr=False, compare=False, metadata=NOT_IN_JSON)
    running: Running = field(repr=False, compare=False, metadata=NOT_IN_JSON)

    def __getitem__(self, name: str) -> float | None:
        """Return a result by its name; DesignError where there is none of that name."""
        return self.solved[name]

    def __repr__(self) -> str:
        force = self.load.force_n
        effort = "effort not known" if force is None else f"{force:.1f} N at the {self.load.by}"
        return f"<RunningAnswer {self.title!r}: {effort}, {len(self.findings)} findings>"

    @property
    def ratio(self) -> float | None:
        """Spindle turns per turn of the hand, slip included."""
        return self.solved.ratio

    @property
    def twist(self) -> TwistAnswer:
        """What it makes of the yarn."""
        return self.solved.twist

    @property
    def faults(self) -> tuple[Finding, ...]:
        """The findings that forbid building it so."""
        return tuple(f for f in self.findings if f.level == "fault")

    def band(self, name: str) -> TensionAnswer:
        """Return the pull of the band of that name; KeyError where there is none."""
        return next_named(self.tension, name)

    def to_json(self) -> dict[str, Any]:
        """Return what the command prints with ``--json``."""
        document: dict[str, Any] = to_json(self)
        return document


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
        start=_start(running.start),
        spindle=_spindle(running.whirl),
        balance=tuple(_balance(b) for b in running.balance),
        rim=tuple(_rim(r) for r in running.rims),
        assumed=running.assumed,
        findings=report.findings,
        solved=solved,
        running=running,
    )


def _tension(running: Running, rest: RestBand) -> TensionAnswer:
    load = next((b for b in running.loaded.load.bands if b.rest is rest), None)
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
    )


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
    if not known or margin is None or not weakest:
        return min(known, default=None)
    return min(known) * margin / weakest


def _load(running: Running) -> LoadAnswer:
    effort = running.loaded.effort
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
            _shaft(s, effort.torque_nm is not None) for s in running.loaded.load.shafts
        ),
    )


def _shaft(load: ShaftLoad, known: bool) -> ShaftLoadAnswer:
    """Return what a shaft takes; nothing is known of it while a band's pull is not."""
    if not known:
        return ShaftLoadAnswer(load.shaft)
    return ShaftLoadAnswer(
        name=load.shaft,
        bearing_force_n=load.bearing_n,
        thrust_n=load.thrust_n,
        bearing_nm=load.bearing_nm,
        air_nm=load.air_nm,
        yarn_nm=load.yarn_nm,
        driven_nm=load.driven_nm,
        torque_nm=load.torque_nm,
    )


def _start(start: Start) -> StartAnswer:
    trace = start.trace
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


def _spindle(whirl: Whirl) -> WhirlAnswer:
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
    )


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
