"""The answer to ``run``: a wheel under a hand.

Its fields are the keys of the JSON document that the command prints; what is not known is None.
"""

from __future__ import annotations

from dataclasses import field

from wheelgeo.as_json import NOT_IN_JSON, AsJson
from wheelgeo.built.assumed import Assumption
from wheelgeo.check.answer import Answer, next_named
from wheelgeo.check.answer_driver import DriverAnswer
from wheelgeo.check.answer_parts import TwistAnswer
from wheelgeo.check.finding import Finding
from wheelgeo.door import door
from wheelgeo.drive.ranges import KnownFigure
from wheelgeo.drive.running import Running
from wheelgeo.drive.tension import Held
from wheelgeo.errors import DesignError
from wheelgeo.immutable import dataclass
from wheelgeo.yarn.head_at_work import FlyerAtWork

Between = tuple[float, float] | None
"""Least and greatest within what is known of the materials; None where it cannot be had."""


@dataclass(frozen=True)
class PullAnswer:
    """The straight piece of a band between two pulleys, and its pull at work."""

    from_: str
    to: str
    pull_n: float | None


@dataclass(frozen=True)
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


@dataclass(frozen=True)
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
    rest_range_n: Between = None
    tight_n: float | None = None
    tight_range_n: Between = None
    stress_mpa: float | None = None
    stress_range_mpa: Between = None


@dataclass(frozen=True)
class BearingAnswer:
    """Force on one bearing across its shaft, mean over a turn; its place along the shaft."""

    at_mm: float
    force_n: float


@dataclass(frozen=True)
class ShaftLoadAnswer:
    """What a shaft carries and where its torque goes; None where a band's pull is not known.

    ``turns_on`` is the shaft on whose rod it turns, as a bobbin does on its flyer's: it rubs there
    at the difference of their speeds, which draws the slower on.
    """

    name: str
    bearing_force_n: float | None = None
    thrust_n: float | None = None
    bearing_nm: float | None = None
    bending_nm: float | None = None
    air_nm: float | None = None
    yarn_nm: float | None = None
    driven_nm: float | None = None
    torque_nm: float | None = None
    bearings: tuple[BearingAnswer, ...] = ()
    bearing_range_n: Between = None
    turns_on: str | None = None


@dataclass(frozen=True)
class CrankAnswer:
    """The crank as a mass: what goes round with it, and the torque of its weight, arm level."""

    mass_g: float
    unbalance_g_mm: float
    force_n: float
    weight_nm: float


@dataclass(frozen=True)
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
    torque_range_nm: Between = None
    force_range_n: Between = None
    power_range_w: Between = None
    driver: DriverAnswer | None = None
    crank: CrankAnswer | None = None


@dataclass(frozen=True)
class BandStartAnswer:
    """A band in the start: its least slip margin, whether it slips, how long, and the heat."""

    name: str
    to: str
    margin: float | None
    slips: bool
    slip_s: float
    slip_j: float


@dataclass(frozen=True)
class EnergyAnswer:
    """Where the work of the start goes, J; ``error`` is what the sum is off, as a fraction."""

    hand_j: float
    kinetic_j: float
    friction_j: float
    air_j: float
    bands_j: float
    error: float


@dataclass(frozen=True)
class InstantAnswer:
    """One moment of the start: speeds in the order of the shafts, which bands slip."""

    t_s: float
    speed_rpm: tuple[float, ...]
    hand_nm: float
    slips: tuple[bool, ...]


@dataclass(frozen=True)
class StartAnswer:
    """The start from rest; ``time_s`` is None where the wheel does not come up to speed.

    The second of ``time_range_s`` is None where it may not, with all that is stiff and rough.
    """

    torque_nm: float | None
    ramp_s: float | None
    time_s: float | None
    bands: tuple[BandStartAnswer, ...]
    energy: EnergyAnswer | None
    shafts: tuple[str, ...]
    trace: tuple[InstantAnswer, ...]
    time_range_s: tuple[float, float | None] | None = None


@dataclass(frozen=True)
class CopStageAnswer:
    """The spindle with so much yarn on it, and its critical speeds, the lowest first."""

    share: float
    mass_g: float
    diameter_mm: float
    critical_rpm: tuple[float, ...]


@dataclass(frozen=True)
class CopShakeAnswer:
    """What a full cop off centre does: its force on a stiff rod, and what bearings and tip take.

    Of the bearings' forces and the tip's radius the greatest as the cop grows.
    """

    mass_g: float
    eccentricity_mm: float
    speed_rpm: float
    force_n: float
    bearings: tuple[BearingAnswer, ...]
    tip_mm: float | None


@dataclass(frozen=True)
class WhirlAnswer:
    """The spindle's vibration: working speed, margin to the nearest critical, frequencies."""

    speed_rpm: float | None
    margin: float | None
    natural_empty_hz: float | None
    natural_full_hz: float | None
    cop: tuple[CopStageAnswer, ...]
    critical_empty_range_rpm: Between = None
    critical_full_range_rpm: Between = None
    cop_shake: CopShakeAnswer | None = None


@dataclass(frozen=True)
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


@dataclass(frozen=True)
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
class RunningAnswer(AsJson):
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
        known: the figures known within a range only, which make the ranges of the others.
        solved: what ``solve`` answers for the same wheel.
        running: the mechanics in full.
        flyer: where the power of a flyer wheel goes; None of others, and where it is not known.
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
    known: tuple[KnownFigure, ...]
    solved: Answer = field(repr=False, compare=False, metadata=NOT_IN_JSON)
    running: Running = field(repr=False, compare=False, metadata=NOT_IN_JSON)
    flyer: FlyerAtWork | None = None

    @door(DesignError)
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
