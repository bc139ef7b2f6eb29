"""A wheel under a hand, whole: tension, load, start, spindle, balance and rims in one result."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from wheelgeo.built.as_built import Built
from wheelgeo.built.assumed import Assumption, each_once
from wheelgeo.built.crank import crank_mass
from wheelgeo.built.kept import kept_with
from wheelgeo.design.materials import PRACTICE
from wheelgeo.design.model import Design
from wheelgeo.drive import balance, rim
from wheelgeo.drive.bearing_load import YARN_OFF_AXIS_DEG
from wheelgeo.drive.driven_by import assumed_of_driver
from wheelgeo.drive.effort import Effort, effort
from wheelgeo.drive.fixing import fixed_pulleys
from wheelgeo.drive.load import Load
from wheelgeo.drive.ranges import Ranges
from wheelgeo.drive.rotor import Rotor, rotor
from wheelgeo.drive.shake import CopShake, cop_shake
from wheelgeo.drive.solve_load import solve_load
from wheelgeo.drive.start_bounds import StartBounds
from wheelgeo.drive.start_of_wheel import (
    Start,
    assumed_in_starting,
    bounds_of_start,
    reflected_inertia,
    solve_start,
)
from wheelgeo.drive.tension import RestBand, rest_bands
from wheelgeo.drive.train import Solution, solve_drive
from wheelgeo.drive.turning import TurningShaft, turning_shafts
from wheelgeo.drive.whirl import Whirl, spindle_whirl
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class Loaded:
    """A wheel at work, without its start and its spindle's whirl: quick to work out.

    Attributes:
        solution: its solved drive.
        rest: every band that has a path, at rest.
        rotors: every shaft with what turns with it.
        turning: those of them that turn, with what they take whatever the bands pull.
        load: what it takes at working speed.
        effort: what it asks of the person.
    """

    solution: Solution
    rest: tuple[RestBand, ...]
    rotors: tuple[Rotor, ...]
    turning: Mapping[str, TurningShaft]
    load: Load
    effort: Effort

    @property
    def design(self) -> Design:
        """The wheel."""
        return self.solution.design

    @property
    def built(self) -> Built:
        """The wheel as built."""
        return self.solution.built


@dataclass(frozen=True)
class PartBalance:
    """How true a part must be.

    Attributes:
        pulley: its name.
        mass_kg: its mass.
        speed_rpm: its speed, positive.
        grade_mm_s: the balance quality grade asked of it.
        permissible_mm: how far off centre its bore may be for that grade.
        expected_mm: how far off the chosen fixing leaves it, or what the file's limit says.
        expected_grade_mm_s: the grade that makes.
        force_n: the force that goes round with it then.
        bearing_n: what its shaft's bearings carry besides.
    """

    pulley: str
    mass_kg: float
    speed_rpm: float
    grade_mm_s: float
    permissible_mm: float
    expected_mm: float
    expected_grade_mm_s: float
    force_n: float
    bearing_n: float

    @property
    def rattles_at_mm(self) -> float:
        """Return how far off centre would lift the shaft in its bearings once a turn, mm."""
        return self.expected_mm * self.bearing_n / self.force_n


@dataclass(frozen=True)
class PartRim:
    """The stress that spinning makes in a pulley.

    Attributes:
        pulley: its name.
        material: its material.
        speed_m_s: speed of its rim.
        stress_mpa: hoop stress at working speed: that of a thin ring, which no disc exceeds, or
            three times as much where holes are cut through it.
        strength_mpa: strength across the grain; None where it is not known.
        bursts_at_m_s: speed of the rim at which its stress is that strength; None likewise.
        strength_source: where that comes from.
    """

    pulley: str
    material: str
    speed_m_s: float
    stress_mpa: float
    strength_mpa: float | None
    bursts_at_m_s: float | None
    strength_source: str

    @property
    def stress_at_twice_mpa(self) -> float:
        """Stress at twice the working speed."""
        return 4.0 * self.stress_mpa

    @property
    def factor_at_twice(self) -> float | None:
        """Strength over the stress at twice the working speed; None where it is not known."""
        if self.strength_mpa is None or self.stress_mpa == 0.0:
            return None
        return self.strength_mpa / self.stress_at_twice_mpa


@dataclass(frozen=True)
class Running:
    """A wheel under a hand, whole.

    Attributes:
        loaded: tension, load and effort.
        start: from rest to speed.
        whirl: critical speeds of the spindle.
        balance: every pulley that turns.
        rims: every pulley that turns.
        cop: what an untrue cop does; None where the spindle is not driven.
        ranges: how far all of it may lie from the usual.
    """

    loaded: Loaded
    start: Start
    whirl: Whirl
    balance: tuple[PartBalance, ...]
    rims: tuple[PartRim, ...]
    cop: CopShake | None
    ranges: Ranges

    @property
    def assumed(self) -> tuple[Assumption, ...]:
        """Whatever the file left out, with what was taken: of the parts, then of the mechanics."""
        built, push = self.loaded.built, self.start.push
        starting = () if push is None else assumed_in_starting(built, push)
        return each_once((*built.assumed, *assumed_at_work(built), *starting))

    @property
    def spindle_rpm(self) -> float | None:
        """Spindle speed, positive, with creep where the file gives no slip."""
        solution, load = self.loaded.solution, self.loaded.load
        speed = solution.spindle.speed_rpm
        if speed is None:
            return None
        return abs(speed) * creep_factor(solution, load, solution.spindle.name)


def load_wheel(design: Design, solution: Solution | None = None) -> Loaded:
    """Return a wheel's tension, load and effort.

    Args:
        design: the wheel.
        solution: its solved drive; solved here where it is None.

    Returns:
        The wheel at work; of the same solution the same one.
    """
    solution = solve_drive(design) if solution is None else solution
    if solution.design is not design:
        return _load_wheel(design, solution)
    return kept_with(solution, "loaded", partial(_load_wheel, design, solution))


def _load_wheel(design: Design, solution: Solution) -> Loaded:
    rest = rest_bands(solution)
    crank = crank_mass(solution.built)
    rotors = tuple(
        kept_with(s, "rotor", partial(rotor, s, crank if s.name == design.drive.shaft else None))
        for s in solution.built.shafts.values()
    )
    turning = turning_shafts(solution, rotors)
    load = solve_load(solution, rest, turning)
    asked = effort(solution.built, load.hand_nm, reflected_inertia(solution, rotors))
    return Loaded(solution, rest, rotors, turning, load, asked)


def assumed_at_work(built: Built) -> tuple[Assumption, ...]:
    """Return what the mechanics of a wheel leave out or take, besides what its parts assume."""
    design, told = built.design, []
    for pulley in built.pulleys.values():
        if pulley.groove is not pulley.runs_in:
            what = f'groove of pulley "{pulley.name}"'
            told.append(Assumption(what, "no wedge", "only its pitch is known"))
    if design.drive.by in ("crank", "treadle"):
        crank = crank_mass(built)
        taken, why = "none", "no throw is given to reckon it from"
        if crank is not None:
            taken, why = f"{1e3 * crank.mass_kg:.0f} g, {crank.says}", PRACTICE + ", as it is cut"
        told.append(Assumption("mass of the crank", taken, why))
    if design.spindle.kind == "flyer":
        known = built.spindle.flyer_plan is not None
        arms = "two arms and a bar, as dense as its rod" if known else "none"
        why = PRACTICE if known else "nothing is told of where the bobbin is"
        told.append(Assumption("mass and drag of the flyer", arms, why))
        taken, why = "turns with the flyer's shaft", "the bobbin follows the flyer"
        told.append(Assumption("the cop of the flyer", taken, why))
    if "yarn_pull_n" not in design.limits:
        pull = f"{built.limit('yarn_pull_n'):g} N"
        told.append(Assumption("pull of the yarn", pull, PRACTICE))
    if "cop_eccentricity_mm" not in design.limits:
        off = f"{built.limit('cop_eccentricity_mm'):g} mm off centre"
        told.append(Assumption("middle of the full cop", off, PRACTICE))
    angle = YARN_OFF_AXIS_DEG[design.spindle.kind]
    taken = f"{angle:g} degrees off the axis, upwards"
    told.append(Assumption("direction of the yarn's pull", taken, PRACTICE))
    return (*told, *assumed_of_driver(built))


def run_wheel(design: Design, solution: Solution | None = None) -> Running:
    """Return everything about a wheel under a hand.

    Args:
        design: the wheel.
        solution: its solved drive; solved here where it is None.

    Returns:
        The result. Whatever cannot be had is None in it, with the reason beside it; nothing is
        raised for a wheel that does not work.
    """
    loaded = load_wheel(design, solution)
    return gather(loaded, start_of(loaded), whirl_of(loaded), ranges_within(loaded))


def ranges_within(loaded: Loaded) -> Ranges:
    """Return how far what a wheel takes may lie from the usual."""
    return Ranges(loaded.solution, loaded.rotors, loaded.turning, loaded.load)


def start_of(loaded: Loaded) -> Start:
    """Return the start of a loaded wheel."""
    return solve_start(loaded.solution, loaded.load, loaded.rotors)


def bounds_within(loaded: Loaded) -> StartBounds | None:
    """Return what the start of a loaded wheel keeps to if no band slips; None: not known."""
    return bounds_of_start(loaded.solution, loaded.load, loaded.rotors)


def whirl_of(loaded: Loaded) -> Whirl:
    """Return the critical speeds of a loaded wheel's spindle."""
    return spindle_whirl(loaded.built.spindle, loaded.solution.spindle.speed_rpm)


def shakes_at_work(built: Built, whirl: Whirl) -> bool:
    """Return whether a critical speed is so near the working speed that it shakes, or not known."""
    margin = whirl.margin
    return margin is None or margin < built.limit("least_whirl_margin")


def gather(loaded: Loaded, begun: Start, whirl: Whirl, ranges: Ranges) -> Running:
    """Return the whole result from its parts."""
    balances, rims = part_balances(loaded), part_rims(loaded)
    cop = cop_shake(loaded.solution, whirl.tap, shakes_at_work(loaded.built, whirl))
    return Running(loaded, begun, whirl, balances, rims, cop, ranges)


def creep_factor(solution: Solution, load: Load, shaft: str) -> float:
    """Return what elastic creep leaves of a shaft's speed; bands whose slip is given add none."""
    factor = 1.0
    by_name = {b.rest.band.name: b for b in load.bands}
    motion = solution.shaft(shaft)
    while motion.driven_by is not None:
        band = by_name.get(motion.driven_by)
        carrier = solution.band(motion.driven_by)
        stops = [solution.design.pulley(s.pulley).shaft for s in carrier.band.route]
        if band is not None and carrier.band.slip is None and _holds(band.margin):
            factor *= 1.0 - band.creep[stops.index(motion.name)]
        motion = solution.shaft(stops[carrier.driver or 0])
    return factor


def _holds(margin: float | None) -> bool:
    return margin is None or margin >= 1.0


def part_balances(loaded: Loaded) -> tuple[PartBalance, ...]:
    """Return how true every pulley that turns must be."""
    built = loaded.built
    grade, given = built.limit("balance_grade_mm_s"), built.design.limits
    held = fixed_pulleys(built, loaded.load)
    parts = []
    for pulley in built.pulleys.values():
        expected = given.get("bore_eccentricity_mm", held[pulley.name].eccentricity_mm)
        shaft = loaded.load.shaft(pulley.shaft.name)
        if shaft is None:
            continue
        speed, mass = shaft.omega_rad_s / balance.RAD_S, pulley.inertia.mass_kg
        parts.append(
            PartBalance(
                pulley.name, mass, speed, grade,
                balance.permissible_eccentricity_mm(grade, speed),
                expected, balance.grade_mm_s(expected, speed),
                balance.unbalance_force_n(expected, mass, speed), shaft.bearing_n,
            )
        )  # fmt: skip
    return tuple(parts)


def part_rims(loaded: Loaded) -> tuple[PartRim, ...]:
    """Return the stress of every pulley that turns."""
    parts = []
    for pulley in loaded.built.pulleys.values():
        shaft = loaded.load.shaft(pulley.shaft.name)
        if shaft is None:
            continue
        material, density = pulley.material.value, pulley.density.value.value
        speed = rim.rim_speed_m_s(pulley.rim_mm, shaft.omega_rad_s / rim.RAD_S)
        holes = rim.HOLE_FACTOR if pulley.pulley.lightening is not None else 1.0
        stress = holes * rim.ring_stress_mpa(density, speed)
        strength = material.strength_mpa
        parts.append(
            PartRim(
                pulley.name, material.name, speed, stress,
                strength.value if strength else None,
                rim.ring_speed_m_s(strength.value / holes, density) if strength else None,
                strength.source if strength else "",
            )
        )  # fmt: skip
    return tuple(parts)
