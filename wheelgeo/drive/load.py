"""What the wheel takes to turn: from the spindle's friction back through every band to the hand.

Glossary: a shaft's *own* torque is what its bearings, the air and the yarn take; the torque that
it *asks for* is that and what the bands take that it drives; a band's *pulls* are those of its
runs; *net* is without the centrifugal part. The bearings carry the true resultant of the pulls in
space, and the pulls follow from the torques, bearings included: the two are settled in turn.
A *sleeve* turns on the rod of another shaft: it rubs there at the difference of their speeds, which
holds the faster back and draws the slower on, and the rod's bearings carry what it carries.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from wheelgeo.drive.air import Drag
from wheelgeo.drive.band_order import driving_shaft, order_of_bands
from wheelgeo.drive.bearing_load import (
    BearingLoads,
    HandForce,
    Placed,
    bearing_loads,
)
from wheelgeo.drive.rotor import Rotor
from wheelgeo.drive.statics import margin_at, pulls_under_load, torque_at_slip_nm
from wheelgeo.drive.tension import RestBand, pull_on_pulley
from wheelgeo.drive.train import Solution
from wheelgeo.drive.turning import TurningShaft, turning_shafts
from wheelgeo.drive.yarn_hold import YarnHold, yarn_hold
from wheelgeo.immutable import dataclass

_ROUNDS = 1000
_SETTLED = 1e-12
_AT_REST = 1e-6
_LOCKED_NM = 1e9
"""Bearing friction that no wheel has: it grows with each round, and will not settle."""


@dataclass(frozen=True)
class ShaftLoad:
    """What a shaft takes at working speed.

    Attributes:
        shaft: its name.
        omega_rad_s: its speed, positive.
        bearings_n: place along the shaft, mm, and force, N, of each of them, mean over a turn.
        thrust_n: force along its axis, weight included.
        bearing_nm: friction of its bearings, and of the sleeves on it; below 0 where they draw it
            on more than its bearings hold it back.
        bending_nm: what bending the cords round its pulleys takes.
        air_nm: drag of the air.
        yarn_nm: pull of the yarn.
        driven_nm: what the bands take that it drives.
        drag: the air's drag at other speeds.
    """

    shaft: str
    omega_rad_s: float
    bearings_n: tuple[tuple[float, float], ...]
    thrust_n: float
    bearing_nm: float
    bending_nm: float
    air_nm: float
    yarn_nm: float
    driven_nm: float
    drag: Drag

    @property
    def bearing_n(self) -> float:
        """Sum of the forces on its bearings across the axis."""
        return math.fsum(force for _, force in self.bearings_n)

    @property
    def own_nm(self) -> float:
        """What the shaft itself takes."""
        return self.bearing_nm + self.bending_nm + self.air_nm + self.yarn_nm

    @property
    def torque_nm(self) -> float:
        """What it asks for in all."""
        return self.own_nm + self.driven_nm


@dataclass(frozen=True)
class StopLoad:
    """What a pulley carries of a band.

    Attributes:
        pulley: its name.
        torque_nm: torque that the band puts on it, positive where it is driven.
        tight_n: larger pull of the two runs that meet it.
        slack_n: smaller one.
        margin: load at which it begins to slip over the load; None where no load makes it slip.
        capacity_nm: torque at which it begins to slip; None likewise.
        least_margin: the margin with the softest and smoothest cord of the material's spread; None
            likewise, and where a whorl of the band slips as wind-on asks: the load is then what
            that whorl holds, and falls with the cord's pull.
    """

    pulley: str
    torque_nm: float
    tight_n: float
    slack_n: float
    margin: float | None
    capacity_nm: float | None
    least_margin: float | None


@dataclass(frozen=True)
class BandLoad:
    """What a band carries at working speed.

    Attributes:
        rest: the band at rest.
        pulls_n: pull of each run, in the order of the path, centrifugal part included.
        change_n: what the load adds to the pull of each run.
        stops: what each of its pulleys carries, in route order.
        creep: by what fraction each stop is slower than the driver because the cord is elastic.
        slips_at: by how much its load would have to grow before the first of its pulleys slips,
            where that load is what a whorl that slips as wind-on asks lets it: 1 where that whorl
            is one of them. None of other bands.
    """

    rest: RestBand
    pulls_n: tuple[float, ...]
    change_n: tuple[float, ...]
    stops: tuple[StopLoad, ...]
    creep: tuple[float, ...]
    slips_at: float | None = None

    @property
    def margin(self) -> float | None:
        """Margin of the pulley that slips first; None where none ever slips."""
        return min((s.margin for s in self.stops if s.margin is not None), default=None)

    @property
    def least_margin(self) -> float | None:
        """The same with the softest and smoothest cord of the material's spread."""
        return min((s.least_margin for s in self.stops if s.least_margin is not None), default=None)

    @property
    def force_n(self) -> float:
        """Largest less smallest pull."""
        return max(self.pulls_n) - min(self.pulls_n)


@dataclass(frozen=True)
class Load:
    """What the whole wheel takes.

    Attributes:
        shafts: every shaft that turns, the driving one first.
        bands: every band that carries a load, from the hand to the spindle.
        hand_nm: torque at the driving shaft; None where a band that is driven has no path or no
            known pull, and where the hand locks.
        without: those bands.
        whorl_slips: the shaft, flyer or bobbin, whose whorl slips so that the wanted twist comes
            out; None where none does.
        locks: whether the throw is so small that hand or foot presses its bearings by more than
            it turns them: no force turns the wheel, and the bearings are loaded without it.
    """

    shafts: tuple[ShaftLoad, ...]
    bands: tuple[BandLoad, ...]
    hand_nm: float | None
    without: tuple[str, ...]
    whorl_slips: str | None = None
    locks: bool = False

    @property
    def unknown(self) -> str:
        """Why there is no torque at the driving shaft; nothing where there is."""
        if self.locks:
            return "no force at so short a throw turns the wheel"
        return f"the pull of {', '.join(self.without)} is not known" if self.without else ""

    def shaft(self, name: str) -> ShaftLoad | None:
        """Return the load of a shaft, or None where it does not turn."""
        return next((s for s in self.shafts if s.shaft == name), None)


def solve_load(solution: Solution, rest: Sequence[RestBand], rotors: Sequence[Rotor]) -> Load:
    """Return what a wheel takes at working speed.

    Args:
        solution: its solved drive.
        rest: its bands at rest.
        rotors: its shafts with all that turns with them.
    """
    bands = order_of_bands(solution, rest)
    known = tuple(b for b in bands if b.rest_n is not None)
    torques = _Torques(solution, known, turning_shafts(solution, rotors))
    carry = {b.band.name for b in known}
    driven = [m.band.name for m in solution.bands if m.driver is not None]
    without = tuple(name for name in driven if name not in carry)
    return torques.settle(without)


class _Torques:
    """Settles pulls and bearing friction in turn."""

    def __init__(
        self, solution: Solution, bands: tuple[RestBand, ...], turning: Mapping[str, TurningShaft]
    ) -> None:
        self.design = solution.design
        self.solution = solution
        self.bands = bands
        self.turning = turning
        self.hold: YarnHold = yarn_hold(solution)
        self.locks = False
        self.settled = True
        self.yarn: Mapping[str, float] = {}
        self.yarn_nm = self.hold.torque_nm
        self.whorl_slips: str | None = None
        self.at_slip_nm: dict[str, tuple[float, ...]] = {}
        self.friction = dict.fromkeys(turning, 0.0)
        self.bending = dict.fromkeys(turning, 0.0)
        self.driven = dict.fromkeys(turning, 0.0)
        self.change: dict[str, tuple[float, ...]] = {}

    def settle(self, without: tuple[str, ...]) -> Load:
        """Return the load once friction and pulls agree."""
        forces = self._in_rounds()
        if not self.settled:
            # The hand's force presses the bearings on which it turns: where a newton more asks for
            # more than a newton more (the throw is within the friction circle), no force is enough.
            self.locks = True
            self.friction = dict.fromkeys(self.turning, 0.0)
            forces = self._in_rounds()
        shafts = tuple(self._shaft_load(n, forces[n]) for n in self.turning)
        bands = tuple(
            _band_load(b, self.change[b.band.name], self._stops(b), self._over_yarn(b))
            for b in self.bands
        )  # fmt: skip
        hand = None if without or self.locks else self._asks(self.design.drive.shaft)
        return Load(shafts, bands, hand, without, self.whorl_slips, self.locks)

    def _in_rounds(self) -> dict[str, BearingLoads]:
        """Settle friction and pulls in turn, and say whether they came to rest."""
        forces: dict[str, BearingLoads] = {}
        for _ in range(_ROUNDS):
            self._hold_yarn()
            self._carry_back()
            before = dict(self.friction)
            forces = self._bearings()
            most = max(map(abs, self.friction.values()))
            step = max(abs(self.friction[n] - before[n]) for n in before)
            self.settled = step <= _AT_REST * most
            if step <= _SETTLED * most or most > _LOCKED_NM:
                break
        return forces

    def _hold_yarn(self) -> None:
        """Set what the yarn asks: what is given, or what the first whorl to slip lets it."""
        if self.hold.whorl_slips:
            # Without the yarn first: what each whorl has left to give is what the yarn gets.
            self.yarn = {}
            self._carry_back()
            held: dict[str, float] = {}
            for band in self.bands:
                held |= self._at_slip(band)
            if held:
                slips = min(held, key=lambda name: held[name])
                self.yarn_nm = held[slips]
                self.whorl_slips = slips if self.yarn_nm > 0.0 else None
        self.yarn = {name: sign * self.yarn_nm for name, sign in self.hold.signs.items()}

    def _at_slip(self, band: RestBand) -> dict[str, float]:
        """Return the yarn's torque at which flyer's and bobbin's whorl slip, of those it drives."""
        stops = self._stops(band)
        signs = {
            s: sign for s, sign in self.hold.signs.items()
            if self.solution.shaft(s).driven_by == band.band.name
        }  # fmt: skip
        if not signs:
            return {}
        grows = self._pulls(band, {s: signs.get(s, 0.0) for s in stops})
        ratios, still = [c.ratio for c in band.contacts], self.change[band.band.name]
        at_slip = torque_at_slip_nm(band.net_n or 0.0, ratios, still, grows)
        self.at_slip_nm[band.band.name] = at_slip
        return {s: held for s, held in zip(stops, at_slip, strict=True) if s in signs}

    def _over_yarn(self, band: RestBand) -> tuple[float, ...] | None:
        """Return the yarn's torque at which each pulley slips over the one there is.

        None where no whorl that slips sets that torque, or the band carries none of it.
        """
        at_slip = self.at_slip_nm.get(band.band.name)
        if at_slip is None or self.whorl_slips is None:
            return None
        return tuple(held / self.yarn_nm for held in at_slip)

    def _pulls(self, band: RestBand, asked: Mapping[str, float]) -> tuple[float, ...]:
        radii = [c.radius_mm / 1e3 for c in band.contacts]
        source = driving_shaft(self.solution, band)
        return pulls_under_load(radii, self._stops(band), source, asked, band.shares)

    def _own(self, shaft: str) -> float:
        t = self.turning[shaft]
        yarn = self.yarn.get(shaft, 0.0)
        return self.friction[shaft] + self.bending[shaft] + t.drag.torque_nm(t.omega) + yarn

    def _asks(self, shaft: str) -> float:
        return self._own(shaft) + self.driven[shaft]

    def _shaft_of(self, band: RestBand, index: int) -> str:
        return self.design.pulley(band.band.route[index].pulley).shaft

    def _stops(self, band: RestBand) -> tuple[str, ...]:
        return tuple(self._shaft_of(band, i) for i in range(len(band.contacts)))

    def _carry_back(self) -> None:
        """Carry the torques from the spindle back to the hand, band by band."""
        self.driven = dict.fromkeys(self.turning, 0.0)
        for band in reversed(self.bands):
            stops, source = self._stops(band), driving_shaft(self.solution, band)
            asked = {s: self._asked_of(band, s) for s in dict.fromkeys(stops) if s != source}
            change = self._pulls(band, asked)
            self.change[band.band.name] = change
            self.driven[source] -= sum(
                band.contacts[k].radius_mm / 1e3 * (change[k] - change[k - 1])
                for k, s in enumerate(stops) if s == source
            )  # fmt: skip

    def _asked_of(self, band: RestBand, shaft: str) -> float:
        """Return the torque asked of a band by a shaft: nothing where another band drives it."""
        driven_by = self.solution.shaft(shaft).driven_by
        return self._asks(shaft) if driven_by == band.band.name else 0.0

    def _bearings(self) -> dict[str, BearingLoads]:
        """Work out every shaft's bearing friction anew; return what its bearings carry.

        With it what bending takes, for both hang on the pulls.
        """
        self.bending = dict.fromkeys(self.turning, 0.0)
        pulls: dict[str, list[Placed]] = {n: list(t.steady) for n, t in self.turning.items()}
        for band in self.bands:
            net = tuple((band.net_n or 0.0) + c for c in self.change[band.band.name])
            for k, shaft in enumerate(self._stops(band)):
                offset = self.design.pulley(band.band.route[k].pulley).offset_mm
                pulls[shaft].append((offset, pull_on_pulley(band, k, net)))
                self.bending[shaft] += self._bending_nm(band, k)
        for name, t in self.turning.items():  # a rod carries what its sleeves do
            pulls[name] += [pull for sleeve in t.sleeves for pull in pulls[sleeve]]
        found = {name: self._on_bearings(name, pulls[name]) for name in self.turning}
        self.friction = {name: loads.friction_nm for name, loads in found.items()}
        for name, t in self.turning.items():
            for sleeve, (on_rod, on_sleeve) in t.sleeves.items():
                rubs = found[sleeve].friction_nm
                self.friction[sleeve] = on_sleeve * rubs
                self.friction[name] += on_rod * rubs
        return found

    def _bending_nm(self, band: RestBand, k: int) -> float:
        """Return the torque that bending the band takes on one of its pulleys, by its mean pull."""
        contact, change = band.contacts[k], self.change[band.band.name]
        pull = max((band.running_n or 0.0) + 0.5 * (change[k] + change[k - 1]), 0.0)
        force = contact.bending_share * pull + contact.bending_n
        return force * contact.radius_mm / 1e3

    def _on_bearings(self, name: str, pulls: list[Placed]) -> BearingLoads:
        t, hand = self.turning[name], None
        if t.hand is not None and not self.locks:
            at, arm_mm = t.hand
            by = self.design.drive.by
            # A foot pushes for half of the turn, with pi times the mean over one stroke.
            share = math.pi if by == "treadle" else 1.0
            hand = HandForce(at, share * self._asks(name) / (arm_mm / 1e3), by)
        return bearing_loads(t.rotor.shaft.axis, t.rotor.journals, pulls, hand)

    def _shaft_load(self, name: str, carried: BearingLoads) -> ShaftLoad:
        t = self.turning[name]
        places = (j.at_mm for j in t.rotor.journals)
        forces = tuple(zip(places, carried.forces_n, strict=True))
        return ShaftLoad(
            name, t.omega, forces, carried.thrust_n, self.friction[name],
            self.bending[name], t.drag.torque_nm(t.omega), self.yarn.get(name, 0.0),
            self.driven[name], t.drag,
        )  # fmt: skip


def _band_load(
    band: RestBand,
    change: tuple[float, ...],
    stops: tuple[str, ...],
    at_slip: tuple[float, ...] | None,
) -> BandLoad:
    running = band.running_n or 0.0
    pulls = tuple(running + c for c in change)
    loads = tuple(_stop_load(band, k, change, at_slip) for k in range(len(stops)))
    driver = band.motion.driver or 0
    arriving = band.stiffness_n + pulls[driver - 1]
    creep = tuple(1.0 - (band.stiffness_n + pulls[k - 1]) / arriving for k in range(len(stops)))
    return BandLoad(band, pulls, change, loads, creep, None if at_slip is None else min(at_slip))


def _stop_load(
    band: RestBand, k: int, change: tuple[float, ...], at_slip: tuple[float, ...] | None
) -> StopLoad:
    contact, running = band.contacts[k], band.running_n or 0.0
    tight, slack = max(change[k], change[k - 1]), min(change[k], change[k - 1])
    torque = contact.radius_mm / 1e3 * (change[k] - change[k - 1])
    margin = least = None
    if at_slip is None:
        margin = margin_at(band.net_n or 0.0, contact.ratio, tight, slack)
        least = margin_at(band.least_net_n or 0.0, contact.least_ratio, tight, slack)
    elif at_slip[k] < 1.0:
        # It slips before the whorl that must; any other never does: that whorl lets go first.
        margin = at_slip[k]
    capacity = None if margin is None else abs(torque) * margin
    return StopLoad(
        contact.pulley, torque, running + tight, running + slack, margin, capacity, least
    )
