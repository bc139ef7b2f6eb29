"""Solve the load of a wheel: from the spindle's friction back through every band to the hand.

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
from functools import partial

from wheelgeo.built.kept import KeptOf, kept_with
from wheelgeo.drive.band_order import driving_shaft, order_of_bands
from wheelgeo.drive.bearing_load import BearingLoads, HandForce, LoadedRod, Placed
from wheelgeo.drive.load import BandLoad, Load, ShaftLoad, StopLoad
from wheelgeo.drive.statics import margin_at, pulls_under_load, torque_at_slip_nm
from wheelgeo.drive.tension import End, RestBand
from wheelgeo.drive.train import Solution
from wheelgeo.drive.turning import TurningShaft, braked_sleeve_nm
from wheelgeo.drive.yarn_hold import YarnHold, yarn_hold

_ROUNDS = 1000
_SETTLED = 1e-12
_AT_REST = 1e-6
_LOCKED_NM = 1e9
"""Bearing friction that no wheel has: it grows with each round, and will not settle."""
_PER_NM: KeptOf[dict[str, tuple[float, ...]]] = KeptOf(256)


def solve_load(
    solution: Solution,
    rest: Sequence[RestBand],
    turning: Mapping[str, TurningShaft],
    end: End = "value",
) -> Load:
    """Return what a wheel takes at working speed.

    Args:
        solution: its solved drive.
        rest: its bands at rest.
        turning: its shafts that turn.
        end: with the friction of each bearing as usual, or the least or the greatest.
    """
    bands = order_of_bands(solution, rest)
    known = tuple(b for b in bands if b.rest_n is not None)
    torques = _Torques(solution, known, turning, end)
    carry = {b.band.name for b in known}
    driven = [m.band.name for m in solution.bands if m.driver is not None]
    without = tuple(name for name in driven if name not in carry)
    return torques.settle(without)


class _Carrying:
    """A band between the shafts that it joins: what of it stays as pulls and friction settle.

    Attributes:
        rest: the band at rest.
        stops: the shaft of each stop.
        source: the shaft that drives it.
        asking: the shafts that ask their torque of it; those that another band drives ask nothing.
        met: of each stop its shaft, where it lies along that, mm, the directions of the runs that
            leave it and arrive there, and the contact.
        net_n: its net pull without load.
        running_n: its pull at speed without load.
        per_nm: by each shaft but the source, what a torque of 1 N m asked there adds to the pull
            of each run: pulls are linear in the torques.
    """

    def __init__(self, solution: Solution, rest: RestBand) -> None:
        pulleys = [solution.design.pulley(stop.pulley) for stop in rest.band.route]
        radii = [contact.radius_mm / 1e3 for contact in rest.contacts]
        self.rest = rest
        self.name = rest.band.name
        self.stops = tuple(pulley.shaft for pulley in pulleys)
        self.source = driving_shaft(solution, rest)
        offsets = [pulley.offset_mm for pulley in pulleys]
        ways, arriving = rest.directions, (rest.directions[-1], *rest.directions[:-1])
        self.met = tuple(zip(self.stops, offsets, ways, arriving, rest.contacts, strict=True))
        self.net_n, self.running_n = rest.net_n or 0.0, rest.running_n or 0.0
        self._at_source = [(k, radii[k]) for k, s in enumerate(self.stops) if s == self.source]
        others = [s for s in dict.fromkeys(self.stops) if s != self.source]
        self.asking = [s for s in others if solution.shaft(s).driven_by == self.name]
        self.per_nm = _PER_NM.get(
            (rest.contacts, rest.shares),
            lambda: {
                s: pulls_under_load(
                    radii, self.stops, self.source, {o: float(o == s) for o in others}, rest.shares
                )
                for s in others
            },
            self.source, *self.stops,
        )  # fmt: skip

    def change_n(self, asked_nm: Mapping[str, float]) -> tuple[float, ...]:
        """Return what torques, by shaft, add to the pull of each run, N."""
        total = [0.0] * len(self.stops)
        for shaft, torque in asked_nm.items():
            total = [t + torque * p for t, p in zip(total, self.per_nm[shaft], strict=True)]
        return tuple(total)

    def turned_nm(self, change: tuple[float, ...]) -> float:
        """Return the torque on the shaft that drives it, N m, by what each run's pull changes."""
        return sum([radius * (change[k] - change[k - 1]) for k, radius in self._at_source])


class _Torques:
    """Settles pulls and bearing friction in turn."""

    def __init__(
        self, solution: Solution, bands: tuple[RestBand, ...],
        turning: Mapping[str, TurningShaft], end: End,
    ) -> None:  # fmt: skip
        self.design = solution.design
        self.solution = solution
        self.bands = [_Carrying(solution, band) for band in bands]
        self.turning = turning
        self.end: End = end
        self.rods = {n: kept_with(t, end, partial(_loaded_rod, t, end)) for n, t in turning.items()}
        self.air_nm = {name: t.drag.torque_nm(t.omega) for name, t in turning.items()}
        self.braked_nm = {
            name: sum(braked_sleeve_nm(r, end) for r in t.braked) for name, t in turning.items()
        }
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
            _band_load(b.rest, self.change[b.name], self._over_yarn(b)) for b in self.bands
        )
        hand = None if without or self.locks else self._asks(self.design.drive.shaft)
        return Load(shafts, bands, hand, without, self.whorl_slips, self.locks)

    def _in_rounds(self) -> dict[str, BearingLoads]:
        """Settle friction and pulls in turn, and say whether they came to rest."""
        forces: dict[str, BearingLoads] = {}
        lately = [(self.friction, self.bending)]
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
            lately.append((self.friction, self.bending))
            if len(lately) == 3:
                self.friction, self.bending = map(_led_to, *lately)
                lately = [(self.friction, self.bending)]
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

    def _at_slip(self, band: _Carrying) -> dict[str, float]:
        """Return the yarn's torque at which flyer's and bobbin's whorl slip, of those it drives."""
        signs = {s: self.hold.signs[s] for s in band.asking if s in self.hold.signs}
        if not signs:
            return {}
        ratios, still = [c.ratio for c in band.rest.contacts], self.change[band.name]
        net, grows = band.rest.net_n or 0.0, band.change_n(signs)
        at_slip = torque_at_slip_nm(net, ratios, still, grows)
        self.at_slip_nm[band.name] = at_slip
        return {s: held for s, held in zip(band.stops, at_slip, strict=True) if s in signs}

    def _over_yarn(self, band: _Carrying) -> tuple[float, ...] | None:
        """Return the yarn's torque at which each pulley slips over the one there is.

        None where no whorl that slips sets that torque, or the band carries none of it.
        """
        at_slip = self.at_slip_nm.get(band.name)
        if at_slip is None or self.whorl_slips is None:
            return None
        return tuple(held / self.yarn_nm for held in at_slip)

    def _own(self, shaft: str) -> float:
        yarn = self.yarn.get(shaft, 0.0)
        return self.friction[shaft] + self.bending[shaft] + self.air_nm[shaft] + yarn

    def _asks(self, shaft: str) -> float:
        return self._own(shaft) + self.driven[shaft]

    def _carry_back(self) -> None:
        """Carry the torques from the spindle back to the hand, band by band."""
        self.driven = dict.fromkeys(self.turning, 0.0)
        for band in reversed(self.bands):
            change = band.change_n({s: self._asks(s) for s in band.asking})
            self.change[band.name] = change
            self.driven[band.source] -= band.turned_nm(change)

    def _bearings(self) -> dict[str, BearingLoads]:
        """Work out every shaft's bearing friction anew; return what its bearings carry.

        With it what bending takes, for both hang on the pulls.
        """
        self.bending = dict.fromkeys(self.turning, 0.0)
        pulls: dict[str, list[Placed]] = {name: [] for name in self.turning}
        for band in self.bands:
            still, running, change = band.net_n, band.running_n, self.change[band.name]
            for k, (shaft, offset, leaving, arriving, contact) in enumerate(band.met):
                # written out in plain floats: a load asks this for every stop in every round
                (x, y, z), (u, v, w), on, before = leaving, arriving, change[k], change[k - 1]
                out, into = still + on, still + before
                pull = x * out - u * into, y * out - v * into, z * out - w * into
                pulls[shaft].append((offset, pull))
                # what bending takes goes with the mean pull
                mean = max(running + 0.5 * (on + before), 0.0)
                force = contact.bending_share * mean + contact.bending_n
                self.bending[shaft] += force * contact.radius_mm / 1e3
        for name, t in self.turning.items():  # a rod carries what its sleeves do
            for sleeve in t.sleeves:
                pulls[name] += (*self.turning[sleeve].steady, *pulls[sleeve])
        found = {name: self._on_bearings(name, pulls[name]) for name in self.turning}
        self.friction = {name: loads.friction_nm for name, loads in found.items()}
        for name, t in self.turning.items():
            for sleeve, (on_rod, on_sleeve) in t.sleeves.items():
                rubs = found[sleeve].friction_nm
                self.friction[sleeve] = on_sleeve * rubs
                self.friction[name] += on_rod * rubs
            self.friction[name] += self.braked_nm[name]
        return found

    def _on_bearings(self, name: str, pulls: list[Placed]) -> BearingLoads:
        t, hand = self.turning[name], None
        if t.hand is not None and not self.locks:
            at, arm_mm = t.hand
            by = self.design.drive.by
            # A foot pushes for half of the turn, with pi times the mean over one stroke.
            share = math.pi if by == "treadle" else 1.0
            hand = HandForce(at, share * self._asks(name) / (arm_mm / 1e3), by)
        return self.rods[name].loads(pulls, hand)

    def _shaft_load(self, name: str, carried: BearingLoads) -> ShaftLoad:
        t = self.turning[name]
        places = (j.at_mm for j in t.rotor.journals)
        forces = tuple(zip(places, carried.forces_n, strict=True))
        return ShaftLoad(
            name, t.omega, forces, carried.thrust_n, self.friction[name],
            self.bending[name], self.air_nm[name], self.yarn.get(name, 0.0),
            self.driven[name], t.drag,
        )  # fmt: skip


def _loaded_rod(shaft: TurningShaft, end: End) -> LoadedRod:
    return LoadedRod(shaft.rotor.shaft.axis, shaft.rotor.journals, shaft.steady, end)


def _led_to(
    one: Mapping[str, float], two: Mapping[str, float], three: Mapping[str, float]
) -> dict[str, float]:
    """Return where three rounds lead, each torque by Aitken's rule, which halves their number.

    Only where they close in fast: what creeps, or runs away, shows whether the wheel locks.
    """
    found = dict(three)
    for name, last in three.items():
        before, step = two[name] - one[name], last - two[name]
        if abs(step) < 0.5 * abs(before):
            found[name] = last + step * step / (before - step)
    return found


def _band_load(
    band: RestBand, change: tuple[float, ...], at_slip: tuple[float, ...] | None
) -> BandLoad:
    running = band.running_n or 0.0
    pulls = tuple(running + c for c in change)
    stops = range(len(change))
    loads = tuple(_stop_load(band, k, change, at_slip) for k in stops)
    driver = band.motion.driver or 0
    arriving = band.stiffness_n + pulls[driver - 1]
    creep = tuple(1.0 - (band.stiffness_n + pulls[k - 1]) / arriving for k in stops)
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
