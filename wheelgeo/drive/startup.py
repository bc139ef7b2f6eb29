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

from collections.abc import Callable, Sequence

from wheelgeo.drive.integrate import State, StepTolerance, advance
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
        self.order = sorted(range(len(links)), key=lambda i: links[i].driven, reverse=True)

    def break_away(self) -> float | None:
        """Find when the first shaft moves, and which others go with it; None where none does."""
        asks = [s.friction_nm for s in self.shafts]
        for i in self.order:
            link = self.links[i]
            needed = asks[link.driven] / link.driven_radius_m
            held = link.force_at_slip_n(0.0)
            self.slips[i] = needed >= held
            asks[link.driver] += link.driver_radius_m * min(needed, held)
        start = self.push.time_of(asks[0])
        if start is None:
            return None
        self.moving[0] = True
        for i in reversed(self.order):
            link = self.links[i]
            self.moving[link.driven] = self.moving[link.driver] and not self.slips[i]
        return start

    def forces(self, t: float, omega: State) -> tuple[list[float], list[float], float]:
        """Return slopes of the speeds, rad/s2, forces of the links, N, and the hand's torque."""
        return self._balance(t, omega, self._air_nm(omega))

    def _air_nm(self, omega: State) -> list[float]:
        """Return the torque of the air on each shaft."""
        return [
            s.drag_factor * w**s.drag_power if w > 0.0 else 0.0
            for s, w in zip(self.shafts, omega, strict=True)
        ]

    def _balance(
        self, t: float, omega: State, air_nm: Sequence[float]
    ) -> tuple[list[float], list[float], float]:
        shafts, links = self.shafts, self.links
        inertia = [s.inertia_kg_m2 for s in shafts]
        torque = [-s.friction_nm - air for s, air in zip(shafts, air_nm, strict=True)]
        force = [0.0] * len(links)
        for i in self.order:
            link = links[i]
            lever = link.driver_radius_m / link.driven_radius_m
            if self.slips[i]:
                force[i] = link.force_at_slip_n(omega[link.driver])
                torque[link.driver] -= link.driver_radius_m * force[i]
                torque[link.driven] += link.driven_radius_m * force[i]
            else:
                inertia[link.driver] += lever * link.ratio * inertia[link.driven]
                torque[link.driver] += lever * torque[link.driven]
        hand = -torque[0] if self.holds else self.push.at(t)
        slope = [0.0] * len(shafts)
        if self.moving[0]:
            slope[0] = (torque[0] + hand) / inertia[0]
        for i in reversed(self.order):
            link = links[i]
            if self.slips[i]:
                moves = self.moving[link.driven]
                slope[link.driven] = torque[link.driven] / inertia[link.driven] if moves else 0.0
            else:
                slope[link.driven] = link.ratio * slope[link.driver]
                needed = inertia[link.driven] * slope[link.driven] - torque[link.driven]
                force[i] = needed / link.driven_radius_m
        return slope, force, hand

    def slope(self, t: float, y: State) -> list[float]:
        """Return the slopes of the whole state: speeds, work, impulses."""
        n = len(self.shafts)
        omega = y[:n]
        air_nm = self._air_nm(omega)
        slope, force, hand = self._balance(t, omega, air_nm)
        friction = air = 0.0
        impulses = [0.0] * n
        for i, shaft in enumerate(self.shafts):
            air += air_nm[i] * omega[i]
            if self.moving[i]:
                friction += shaft.friction_nm * omega[i]
                impulses[i] = -shaft.friction_nm - air_nm[i]
        impulses[0] += hand
        lost = []
        for link, f in zip(self.links, force, strict=True):
            impulses[link.driver] -= f * link.driver_radius_m
            impulses[link.driven] += f * link.driven_radius_m if self.moving[link.driven] else 0.0
            lost.append(f * self._sliding(link, omega))
        return [*slope, hand * omega[0], friction, air, *lost, *impulses]

    @staticmethod
    def _sliding(link: StartLink, omega: State) -> float:
        """Return how much faster the driver's groove goes than the driven one's, m/s."""
        return link.driver_radius_m * omega[link.driver] - link.driven_radius_m * omega[link.driven]

    def events(self) -> list[Callable[[float, State], float]]:
        """Return the functions whose fall to 0 changes the law, in the order of ``happen``."""
        found: list[Callable[[float, State], float]] = [self._to_speed]
        found += [self._link_event(i) for i in range(len(self.links))]
        found += [self._stop_event(i) for i in range(1, len(self.shafts))]
        return found

    def _to_speed(self, _t: float, y: State) -> float:
        return -1.0 if self.holds else self.push.omega_rad_s - y[0]

    def _link_event(self, i: int) -> Callable[[float, State], float]:
        link, n = self.links[i], len(self.shafts)

        def gap(t: float, y: State) -> float:
            if self.slips[i]:
                return link.ratio * y[link.driver] - y[link.driven]
            return link.force_at_slip_n(y[link.driver]) - self.forces(t, y[:n])[1][i]

        return gap

    def _stop_event(self, i: int) -> Callable[[float, State], float]:
        def turns(_t: float, y: State) -> float:
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
    instants = [_instant(run, begin, y)]
    slip_s = [0.0] * len(links)
    t, h, reached = begin, _FIRST_STEP_S, None
    for _ in range(_MAX_STEPS):
        if run.at_speed():
            reached = t
            break
        if t >= longest_s:
            break
        before, slipping = t, tuple(run.slips)
        corner = push.ramp_s if t < push.ramp_s else longest_s
        went = advance(run.slope, t, y, min(h, corner - t), run.events(), tolerance)
        t = corner if went.event is None and h >= corner - before else went.t
        y, h = went.state, max(went.next_h, _FIRST_STEP_S)
        slip_s = [s + (t - before) * on for s, on in zip(slip_s, slipping, strict=True)]
        if went.event is not None:
            instants.append(_instant(run, t, y))
            y, h = run.happen(went.event, y), _FIRST_STEP_S
        instants.append(_instant(run, t, y))
    return Trace(True, reached, tuple(instants), tuple(slip_s), _balance(shafts, links, y))


def _instant(run: _Run, t: float, y: State) -> Instant:
    omega = y[: len(run.shafts)]
    _, force, hand = run.forces(t, omega)
    return Instant(t, omega, tuple(force), tuple(run.slips), hand)


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
