"""From rest to speed: the train under a hand that ramps up, each band sticking or slipping.

Glossary: a *link* is a band between the shaft that drives it and one that it drives; it *sticks*
while the force that it must carry is below the force at which it slips, and *slips* otherwise,
carrying just that force until the two speeds meet again. The hand *pushes* with a torque that
rises over the ramp and then stays, until the shaft that it turns is at working speed; then it
*holds* that speed with whatever torque that takes.

The links form a tree that grows from the hand, for every shaft has one band that drives it. Each
shaft turns in its working sense, so that all speeds are positive. Friction of bearings and yarn is
constant; the air's drag grows with the speed. The state holds the speeds and, besides, the work
and the impulses, so that energy and momentum can be balanced at the end.

A band that drives several shafts counts as one link to each, and each link as if alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from wheelgeo.drive.integrate import Event, Known, State, StepTolerance, advance
from wheelgeo.immutable import dataclass

EXACT = StepTolerance()
_MAX_STEPS = 20000
_FIRST_STEP_S = 1e-6


@dataclass(frozen=True)
class Rotating:
    """A shaft: moment of inertia, constant friction, drag factor * omega**power; SI units."""

    name: str
    inertia_kg_m2: float
    friction_nm: float
    drag_factor: float = 0.0
    drag_power: float = 1.0


@dataclass(frozen=True)
class StartLink:
    """A band between two shafts.

    Attributes:
        band: its name.
        driver: index of the shaft that drives.
        driven: index of the driven shaft, larger than ``driver``.
        driver_radius_m: pitch radius on the driver.
        driven_radius_m: pitch radius on the driven shaft.
        ratio: speed of the driven over that of the driver while it sticks, creep included.
        grip: force at which it slips over the net pull; None where it never slips.
        net_n: net pull at rest.
        mass_kg_m: what the centrifugal part takes from the net pull, per speed squared.
    """

    band: str
    driver: int
    driven: int
    driver_radius_m: float
    driven_radius_m: float
    ratio: float
    grip: float | None
    net_n: float
    mass_kg_m: float = 0.0

    def force_at_slip_n(self, driver_omega: float) -> float:
        """Return the force at which the band slips when its driver turns so fast, N."""
        if self.grip is None:
            return float("inf")
        speed = self.driver_radius_m * driver_omega
        return self.grip * max(self.net_n - self.mass_kg_m * speed * speed, 0.0)


@dataclass(frozen=True)
class Push:
    """The hand: torque that rises evenly over ``ramp_s`` to ``torque_nm``; speed it brings up."""

    torque_nm: float
    ramp_s: float
    omega_rad_s: float

    def at(self, t: float) -> float:
        """Return the torque at a time, N m."""
        return self.torque_nm if t >= self.ramp_s else self.torque_nm * t / self.ramp_s

    def time_of(self, torque_nm: float) -> float | None:
        """Return when the torque is reached; None where it never is."""
        if torque_nm >= self.torque_nm:
            return None
        return self.ramp_s * torque_nm / self.torque_nm


@dataclass(frozen=True)
class Instant:
    """One moment of the start: speeds of the shafts, rad/s, forces of the links, N."""

    t_s: float
    omega_rad_s: tuple[float, ...]
    force_n: tuple[float, ...]
    slips: tuple[bool, ...]
    hand_nm: float


@dataclass(frozen=True)
class Balance:
    """Where the work went, J, and how well the balances close, as fractions.

    Attributes:
        hand_j: work of the hand.
        kinetic_j: energy of motion at the end.
        friction_j: lost in bearings and on the yarn.
        air_j: lost to the air.
        band_j: lost in each link by slip and creep.
        energy_error: work less all of that, over the work.
        momentum_error: largest |momentum less impulses| of a shaft, over its momentum.
    """

    hand_j: float
    kinetic_j: float
    friction_j: float
    air_j: float
    band_j: tuple[float, ...]
    energy_error: float
    momentum_error: float


@dataclass(frozen=True)
class Trace:
    """A start as it went.

    Attributes:
        moves: anything moves at all.
        time_s: when every shaft was at speed; None where that was not reached.
        instants: every step.
        slip_s: how long each link slipped.
        balance: energy and momentum.
    """

    moves: bool
    time_s: float | None
    instants: tuple[Instant, ...]
    slip_s: tuple[float, ...]
    balance: Balance


class AtWork(NamedTuple):
    """What is at work at one moment: forces of the links, N, and the hand's torque, N m."""

    force_n: list[float]
    hand_nm: float


class _Run:
    """A start in progress: which links slip, which shafts move, whether the hand holds."""

    def __init__(
        self, shafts: tuple[Rotating, ...], links: tuple[StartLink, ...], push: Push
    ) -> None:
        self.shafts = shafts
        self.links = links
        self.push = push
        self.holds = False
        self.slips = [False] * len(links)
        self.moving = [False] * len(shafts)
        self.into = {link.driven: i for i, link in enumerate(links)}
        order = sorted(range(len(links)), key=lambda i: links[i].driven, reverse=True)
        self.inward = [(i, links[i]) for i in order]
        self.outward = self.inward[::-1]
        self.inertia: list[float] = []
        self._takes = [(s.friction_nm, s.drag_factor, s.drag_power) for s in shafts]
        self._shaft_links = [(k.driver, k.driven, k.driver_radius_m, k.driven_radius_m)
                             for k in links]  # fmt: skip

    def break_away(self) -> float | None:
        """Find when the first shaft moves, and which others go with it; None where none does."""
        asks = [s.friction_nm for s in self.shafts]
        for i, link in self.inward:
            needed = asks[link.driven] / link.driven_radius_m
            held = link.force_at_slip_n(0.0)
            self.slips[i] = needed >= held
            asks[link.driver] += link.driver_radius_m * min(needed, held)
        start = self.push.time_of(asks[0])
        if start is None:
            return None
        self.moving[0] = True
        for i, link in self.outward:
            self.moving[link.driven] = self.moving[link.driver] and not self.slips[i]
        self._gather()
        return start

    def _gather(self) -> None:
        """Set what each shaft has to speed up: its own inertia and that of all that sticks to it.

        It changes only where a link begins or ends to slip.
        """
        self.inertia = [s.inertia_kg_m2 for s in self.shafts]
        for i, link in self.inward:
            if not self.slips[i]:
                lever = link.driver_radius_m / link.driven_radius_m
                self.inertia[link.driver] += lever * link.ratio * self.inertia[link.driven]

    def law(self, t: float, y: State) -> tuple[list[float], AtWork]:
        """Return the slopes of the whole state: speeds, work, impulses; and what is at work."""
        moving = self.moving
        omega = y[: len(moving)]
        friction = air = 0.0
        own, impulses = [], []
        for (rubs, factor, power), w, moves in zip(self._takes, omega, moving, strict=True):
            drag = factor * w**power if w > 0.0 else 0.0
            own.append(-rubs - drag)
            air += drag * w
            if moves:
                friction += rubs * w
            impulses.append(own[-1] if moves else 0.0)
        slope, force, hand = self._balance(t, omega, own)
        impulses[0] += hand
        lost = []
        for (driver, driven, inner, outer), f in zip(self._shaft_links, force, strict=True):
            impulses[driver] -= f * inner
            impulses[driven] += f * outer if moving[driven] else 0.0
            # how much faster the driver's groove goes than the driven one's
            lost.append(f * (inner * omega[driver] - outer * omega[driven]))
        return [*slope, hand * omega[0], friction, air, *lost, *impulses], AtWork(force, hand)

    def _balance(
        self, t: float, omega: State, own_nm: Sequence[float]
    ) -> tuple[list[float], list[float], float]:
        """Return slopes of the speeds, rad/s2, forces of the links, N, and the hand's torque."""
        inertia, slips = self.inertia, self.slips
        torque = list(own_nm)
        force = [0.0] * len(self.links)
        for i, link in self.inward:
            if slips[i]:
                force[i] = link.force_at_slip_n(omega[link.driver])
                torque[link.driver] -= link.driver_radius_m * force[i]
                torque[link.driven] += link.driven_radius_m * force[i]
            else:
                lever = link.driver_radius_m / link.driven_radius_m
                torque[link.driver] += lever * torque[link.driven]
        hand = -torque[0] if self.holds else self.push.at(t)
        slope = [0.0] * len(torque)
        if self.moving[0]:
            slope[0] = (torque[0] + hand) / inertia[0]
        for i, link in self.outward:
            driven = link.driven
            if slips[i]:
                slope[driven] = torque[driven] / inertia[driven] if self.moving[driven] else 0.0
            else:
                slope[driven] = link.ratio * slope[link.driver]
                force[i] = (inertia[driven] * slope[driven] - torque[driven]) / link.driven_radius_m
        return slope, force, hand

    def events(self) -> list[Event]:
        """Return the functions whose fall to 0 changes the law, in the order of ``happen``."""
        found: list[Event] = [self._to_speed]
        found += [self._link_event(i) for i in range(len(self.links))]
        found += [self._stop_event(i) for i in range(1, len(self.shafts))]
        return found

    def _to_speed(self, y: State, _: AtWork) -> float:
        return -1.0 if self.holds else self.push.omega_rad_s - y[0]

    def _link_event(self, i: int) -> Event:
        link = self.links[i]

        def gap(y: State, work: AtWork) -> float:
            if self.slips[i]:
                return link.ratio * y[link.driver] - y[link.driven]
            return link.force_at_slip_n(y[link.driver]) - work.force_n[i]

        return gap

    def _stop_event(self, i: int) -> Event:
        def turns(y: State, _: AtWork) -> float:
            slipping = i in self.into and self.slips[self.into[i]]
            return y[i] if slipping and self.moving[i] else 1.0

        return turns

    def happen(self, event: int, y: State) -> State:
        """Change the law at an event; return the state, exact where the event sets it."""
        values = list(y)
        if event == 0:
            self.holds = True
            values[0] = self.push.omega_rad_s
        elif event <= len(self.links):
            self._turn_link(event - 1, values)
        else:
            shaft = event - len(self.links)
            self.moving[shaft] = False
            values[shaft] = 0.0
        return tuple(values)

    def _turn_link(self, i: int, values: list[float]) -> None:
        link = self.links[i]
        self.slips[i] = not self.slips[i]
        if not self.slips[i]:
            values[link.driven] = link.ratio * values[link.driver]
        self._gather()

    def at_speed(self) -> bool:
        """Tell whether the hand holds and every shaft turns as it should."""
        return self.holds and not any(self.slips) and all(self.moving)


def start(
    shafts: tuple[Rotating, ...],
    links: tuple[StartLink, ...],
    push: Push,
    longest_s: float = 30.0,
    tolerance: StepTolerance = EXACT,
) -> Trace:
    """Start a train from rest.

    Args:
        shafts: the shafts, the driving one first.
        links: its bands; each driven shaft comes after its driver and has one band.
        push: the hand.
        longest_s: when to give up.
        tolerance: how exact each step must be.

    Returns:
        The trace, up to the moment when every shaft is at speed or ``longest_s``.
    """
    run = _Run(shafts, links, push)
    begin = run.break_away()
    y: State = (0.0,) * (2 * len(shafts) + 3 + len(links))
    if begin is None:
        return Trace(False, None, (), (0.0,) * len(links), _balance(shafts, links, y))
    known: Known = run.law(begin, y)
    instants = [_instant(run, begin, y, known[1])]
    slip_s, events = [0.0] * len(links), run.events()
    t, h, reached = begin, _FIRST_STEP_S, None
    for _ in range(_MAX_STEPS):
        if run.at_speed():
            reached = t
            break
        if t >= longest_s:
            break
        before, slipping = t, tuple(run.slips)
        corner = push.ramp_s if t < push.ramp_s else longest_s
        went = advance(run.law, t, y, min(h, corner - t), events, tolerance, known)
        t = corner if went.event is None and h >= corner - before else went.t
        y, known, h = went.state, went.known, max(went.next_h, _FIRST_STEP_S)
        slip_s = [s + (t - before) * on for s, on in zip(slip_s, slipping, strict=True)]
        if went.event is not None:
            instants.append(_instant(run, t, y, known[1]))
            y, h = run.happen(went.event, y), _FIRST_STEP_S
            known = run.law(t, y)
        instants.append(_instant(run, t, y, known[1]))
    return Trace(True, reached, tuple(instants), tuple(slip_s), _balance(shafts, links, y))


def _instant(run: _Run, t: float, y: State, work: AtWork) -> Instant:
    omega = y[: len(run.shafts)]
    return Instant(t, omega, tuple(work.force_n), tuple(run.slips), work.hand_nm)


def _balance(shafts: tuple[Rotating, ...], links: tuple[StartLink, ...], y: State) -> Balance:
    n, m = len(shafts), len(links)
    omega, (hand, friction, air), rest = y[:n], y[n : n + 3], y[n + 3 :]
    lost, impulses = rest[:m], rest[m:]
    kinetic = sum(0.5 * s.inertia_kg_m2 * w * w for s, w in zip(shafts, omega, strict=True))
    gone = kinetic + friction + air + sum(lost)
    momenta = [s.inertia_kg_m2 * w for s, w in zip(shafts, omega, strict=True)]
    amiss = [abs(p - j) / p for p, j in zip(momenta, impulses, strict=True) if p > 0.0]
    energy = (hand - gone) / hand if hand > 0.0 else 0.0
    return Balance(hand, kinetic, friction, air, tuple(lost), energy, max(amiss, default=0.0))
