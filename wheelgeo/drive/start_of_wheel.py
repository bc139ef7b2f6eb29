"""The start of a solved wheel: its train as shafts and links, its hand, and what comes of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from wheelgeo.built.as_built import Built
from wheelgeo.built.assumed import Assumption
from wheelgeo.drive.driven_by import driver_of
from wheelgeo.drive.load import BandLoad, Load
from wheelgeo.drive.rotor import Rotor
from wheelgeo.drive.start_bounds import StartBounds, start_bounds
from wheelgeo.drive.startup import Push, Rotating, StartLink, Trace, start
from wheelgeo.drive.statics import margin_at, pulls_under_load
from wheelgeo.drive.train import Solution
from wheelgeo.immutable import dataclass
from wheelgeo.units.in_full import figures

LONGEST_S = 30.0
MOTOR_START = 2.0
"""Torque of a motor in starting over what the wheel takes; the file does not describe it."""


@dataclass(frozen=True)
class LinkStart:
    """How a band fares in the start.

    Attributes:
        band: its name.
        shaft: the shaft that it drives.
        margin: force at which it slips over the greatest force that the start would put on it;
            None where it never slips.
        slip_s: how long it slips.
        slip_j: what slip and creep turn into heat.
    """

    band: str
    shaft: str
    margin: float | None
    slip_s: float
    slip_j: float


@dataclass(frozen=True)
class Start:
    """The start of a wheel.

    Attributes:
        trouble: why there is none to tell of; empty where there is.
        shafts: names of the shafts, as in the trace.
        push: the hand; None where there is trouble.
        trace: the start as it went; None likewise.
        links: how each band fares.
    """

    trouble: str
    shafts: tuple[str, ...]
    push: Push | None
    trace: Trace | None
    links: tuple[LinkStart, ...]


def reflected_inertia(solution: Solution, rotors: Sequence[Rotor]) -> float:
    """Return the inertia of all that turns as felt at the driving shaft, kg m2."""
    total = 0.0
    for r in rotors:
        turns = solution.shaft(r.shaft.name).turns_per_drive_turn
        total += r.inertia.polar_kg_m2 * (turns or 0.0) ** 2
    return total


def solve_start(solution: Solution, load: Load, rotors: Sequence[Rotor]) -> Start:
    """Start a wheel from rest.

    Args:
        solution: its solved drive.
        load: what it takes at working speed.
        rotors: its shafts with all that turns with them.
    """
    trouble = _trouble(solution, load)
    if trouble:
        return _none(trouble)
    return _told([s.shaft for s in load.shafts], *_train(solution, load, rotors))


def bounds_of_start(
    solution: Solution, load: Load, rotors: Sequence[Rotor]
) -> StartBounds | None:
    """Return what the start of a wheel keeps to if no band slips; None where it is not known.

    Args:
        solution: its solved drive.
        load: what it takes at working speed.
        rotors: its shafts with all that turns with them.
    """
    if _trouble(solution, load):
        return None
    return start_bounds(*_train(solution, load, rotors))


def _trouble(solution: Solution, load: Load) -> str:
    if load.hand_nm is None:
        return load.unknown
    return "nothing drives the spindle" if solution.spindle.speed_rpm is None else ""


def _train(
    solution: Solution, load: Load, rotors: Sequence[Rotor]
) -> tuple[tuple[Rotating, ...], tuple[StartLink, ...], Push]:
    assert load.hand_nm is not None
    names = [s.shaft for s in load.shafts]
    shafts = tuple(_with_drawn(solution, rotors, _rotating(load, rotors, name)) for name in names)
    links = tuple(_link(solution, load, names, i) for i in range(1, len(names)))
    return shafts, links, push_of(solution.built, load.hand_nm)


def _none(trouble: str) -> Start:
    return Start(trouble, (), None, None, ())


def _told(
    names: list[str], shafts: tuple[Rotating, ...], links: tuple[StartLink, ...], push: Push
) -> Start:
    """Start once as if no band could slip, for the margins, and again where one would."""
    trace = start(shafts, tuple(replace(k, grip=None) for k in links), push, LONGEST_S)
    margins = [_margin(trace, i, link) for i, link in enumerate(links)]
    if any(m is not None and m <= 1.0 for m in margins):
        trace = start(shafts, links, push, LONGEST_S)
    told = tuple(
        LinkStart(link.band, names[link.driven], m, trace.slip_s[i], trace.balance.band_j[i])
        for i, (link, m) in enumerate(zip(links, margins, strict=True))
    )
    return Start("", tuple(names), push, trace, told)


def _margin(trace: Trace, index: int, link: StartLink) -> float | None:
    if link.grip is None:
        return None
    margins = [
        link.force_at_slip_n(i.omega_rad_s[link.driver]) / i.force_n[index]
        for i in trace.instants
        if i.force_n[index] > 0.0
    ]
    return min(margins, default=None)


def _with_drawn(solution: Solution, rotors: Sequence[Rotor], shaft: Rotating) -> Rotating:
    """Return a shaft with the inertia of what the yarn draws round after it, as it feels it.

    A braked flyer or bobbin turns at a fixed share of the driven one's speed: its inertia counts
    by that share squared.
    """
    spindle, bobbin = solution.spindle, solution.design.spindle.bobbin
    pair = {spindle.name, bobbin}
    if bobbin is None or shaft.name not in pair:
        return shaft
    (other,) = pair - {shaft.name}
    drawn, speed = solution.shaft(other or ""), solution.shaft(shaft.name).speed_rpm
    held = drawn.driven_by is None and drawn.name != solution.design.drive.shaft
    if not held or drawn.speed_rpm is None or not speed:
        return shaft
    body = next(r for r in rotors if r.shaft.name == drawn.name)
    more = body.inertia.polar_kg_m2 * (drawn.speed_rpm / speed) ** 2
    return replace(shaft, inertia_kg_m2=shaft.inertia_kg_m2 + more)


def _rotating(load: Load, rotors: Sequence[Rotor], name: str) -> Rotating:
    taken = load.shaft(name)
    body = next(r for r in rotors if r.shaft.name == name)
    assert taken is not None
    friction = taken.own_nm - taken.air_nm
    return Rotating(name, body.inertia.polar_kg_m2, friction, taken.drag.factor, taken.drag.power)


def _link(solution: Solution, load: Load, names: list[str], driven: int) -> StartLink:
    """Return the link that drives a shaft."""
    motion = solution.shaft(names[driven])
    band = next(b for b in load.bands if b.rest.band.name == motion.driven_by)
    stops = [solution.design.pulley(s.pulley).shaft for s in band.rest.band.route]
    here = stops.index(motion.name)
    source = band.rest.motion.driver or 0
    driver = names.index(stops[source])
    ratio = abs(motion.turns_per_drive_turn or 0.0) / abs(
        solution.shaft(stops[source]).turns_per_drive_turn or math.inf
    )
    creep = band.creep[here] if band.rest.band.slip is None and _holds(band) else 0.0
    radius = band.rest.contacts[here].radius_mm / 1e3
    net, mass = _net_and_mass(band)
    grip = _grip(band, stops, source, here)
    if load.whorl_slips is not None and motion.name in _head(solution):
        # Its load is what the slipping whorl lets it: that takes the same torque of the driver
        # whether it turns with the whorl or slips, so that it is started as if it turned with it.
        grip = None
    return StartLink(
        band.rest.band.name, driver, driven, band.rest.contacts[source].radius_mm / 1e3, radius,
        ratio * (1.0 - creep), grip, net, mass,
    )  # fmt: skip


def _head(solution: Solution) -> tuple[str, str | None]:
    """Return flyer and bobbin."""
    return solution.spindle.name, solution.design.spindle.bobbin


def _holds(band: BandLoad) -> bool:
    return band.margin is None or band.margin >= 1.0


def _net_and_mass(band: BandLoad) -> tuple[float, float]:
    """Return the net pull at rest, N, and what speed squared takes from it, kg/m."""
    rest = band.rest
    speed = rest.motion.speed_m_s or 0.0
    fixed = rest.held in ("stretch", "measured")
    mass = rest.centrifugal_n / speed**2 if fixed and speed > 0.0 else 0.0
    return rest.rest_n or 0.0, mass


def _grip(band: BandLoad, stops: list[str], source: int, here: int) -> float | None:
    """Return the force at slip over the net pull, with a load on one shaft alone."""
    radii = [c.radius_mm / 1e3 for c in band.rest.contacts]
    asked = {s: float(s == stops[here]) for s in dict.fromkeys(stops) if s != stops[source]}
    change = pulls_under_load(radii, stops, stops[source], asked, band.rest.shares)
    margins = [
        margin_at(1.0, c.ratio, max(change[k], change[k - 1]), min(change[k], change[k - 1]))
        for k, c in enumerate(band.rest.contacts)
    ]
    least = min((m for m in margins if m is not None), default=None)
    return None if least is None else least / radii[here]


def push_of(built: Built, hand_nm: float) -> Push:
    """Return the push: the force of hand or foot in starting on the driver's mean arm.

    Args:
        built: the wheel.
        hand_nm: what it takes at working speed; of a motor all that its push is known by.
    """
    drive, driver = built.design.drive, driver_of(built)
    omega, ramp = drive.speed_rpm * math.pi / 30.0, built.limit("start_ramp_s")
    if drive.by == "motor" or driver is None:
        return Push(MOTOR_START * hand_nm, ramp, omega)
    force = built.limit("foot_start_force_n" if drive.by == "treadle" else "start_force_n")
    return Push(force * driver.mean_arm_mm / 1e3, ramp, omega)


def assumed_in_starting(built: Built, push: Push) -> tuple[Assumption, ...]:
    """Return what the start assumes of the hand."""
    drive = built.design.drive
    if drive.by == "motor" or drive.radius_mm is None:
        taken = f"{figures(push.torque_nm, 3)} N m, twice what the wheel takes"
        why = "no motor is described"
        if drive.by != "motor":
            why = "no throw is given to reckon it from"
        return (Assumption("torque in starting", taken, why),)
    if drive.by in ("treadle", "hand"):
        why = f"the start is worked out with the mean torque of the {drive.by}"
        return (Assumption("push in starting", "even all round", why),)
    return ()
