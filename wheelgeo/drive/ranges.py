"""How far what a wheel takes may lie from the usual: from the ranges of its materials.

Everything soft and slippery together is the one end, everything stiff and rough the other: pulls,
bearing loads, effort and stress grow with the modulus of every cord, its stretch, and the friction
of every bearing, critical speeds with every stiffness, so that these two corners hold all between
(the tests try that at random). What the file gives (a measured pull, a stretch, a bearing's
stiffness) has no range: measuring narrows what follows from it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import field
from functools import cached_property

from wheelgeo.built.as_built import Built
from wheelgeo.design.material import Figure
from wheelgeo.drive.load import Load
from wheelgeo.drive.rotor import Rotor
from wheelgeo.drive.solve_load import solve_load
from wheelgeo.drive.start_bounds import steady_start_s
from wheelgeo.drive.start_of_wheel import Start, push_of, reflected_inertia
from wheelgeo.drive.tension import End, rest_bands
from wheelgeo.drive.train import Solution
from wheelgeo.drive.turning import TurningShaft
from wheelgeo.drive.whirl import first_critical_rpm
from wheelgeo.immutable import dataclass

Ends2 = tuple[float, float]
"""Least and greatest."""


@dataclass(frozen=True)
class KnownFigure:
    """One figure that is known within a range only: what it is of, its range, where from."""

    what: str
    low: float
    usual: float
    high: float
    unit: str
    source: str


@dataclass(frozen=True)
class Ranges:
    """What a wheel takes at both ends of what is known, worked out as it is asked for.

    Attributes:
        solution: its solved drive.
        rotors: its shafts with all that turns with them.
        turning: those of them that turn.
        usual: its load as usual.
    """

    solution: Solution = field(repr=False)
    rotors: tuple[Rotor, ...] = field(repr=False)
    turning: Mapping[str, TurningShaft] = field(repr=False)
    usual: Load = field(repr=False)

    @property
    def loads(self) -> tuple[Load, Load]:
        """The load with all that is soft and smooth, and with all that is stiff and rough."""
        return self._soft, self.rough

    @cached_property
    def _soft(self) -> Load:
        return self._load_at("low")

    @cached_property
    def rough(self) -> Load:
        """The load with all that is stiff and rough: the greater one, asked first."""
        return self._load_at("high")

    @cached_property
    def known(self) -> tuple[KnownFigure, ...]:
        """The figures that make the ranges."""
        return tuple(dict.fromkeys(_known(self.solution.built)))

    @cached_property
    def empty_rpm(self) -> Ends2 | None:
        """First critical speed of the bare spindle; None where it has none."""
        return first_critical_rpm(self.solution.built.spindle, 0.0)

    @cached_property
    def full_rpm(self) -> Ends2 | None:
        """The same with a full cop."""
        return first_critical_rpm(self.solution.built.spindle, 1.0)

    def start_s(self, begun: Start) -> Ends2 | None:
        """Return the range of the start's time where no band slips.

        It is that of the simulation, scaled by the closed form. None where the wheel does not come
        up to speed; the greatest is infinite where it may not.

        Args:
            begun: the start as usual.
        """
        if begun.push is None or begun.trace is None or begun.trace.time_s is None:
            return None
        inertia = reflected_inertia(self.solution, self.rotors)
        usual, *torques = (load.hand_nm for load in (self.usual, *self.loads))
        if usual is None or None in torques:
            return None
        as_usual = steady_start_s(begun.push, usual, inertia)
        scale = begun.trace.time_s / as_usual if math.isfinite(as_usual) else 1.0
        low, high = (scale * steady_start_s(begun.push, t or 0.0, inertia) for t in torques)
        return low, high

    @property
    def stuck_at_worst(self) -> bool:
        """Whether the push in starting is known to be no more than the wheel takes at the worst."""
        usual, low, worst = (load.hand_nm for load in (self.usual, *self.loads))
        if usual is None or low is None or worst is None:
            return False
        return push_of(self.solution.built, usual).time_of(worst) is None

    @property
    def torque_nm(self) -> Ends2 | None:
        """Torque at the shaft that is driven."""
        low, high = (load.hand_nm for load in self.loads)
        return None if low is None or high is None else (low, high)

    def torque_if_measured_nm(self, pulls_n: Mapping[str, float]) -> Ends2 | None:
        """Return the range of that torque if the pulls of some bands had been measured.

        Args:
            pulls_n: pull of a strand at rest, by band.
        """
        low, high = self._load_at("low", pulls_n).hand_nm, self._load_at("high", pulls_n).hand_nm
        return None if low is None or high is None else (low, high)

    def settled_if_measured(self, limit_nm: float, pulls_n: Mapping[str, float]) -> bool:
        """Return whether that whole range would then lie on one side of a limit.

        The high end is asked first: where it keeps to the limit, so does the low one.
        """
        high = self._load_at("high", pulls_n).hand_nm
        if high is None or high <= limit_nm:
            return high is not None
        low = self._load_at("low", pulls_n).hand_nm
        return low is not None and low > limit_nm

    def usual_torque_nm(self, pulls_n: Mapping[str, float]) -> float | None:
        """Return that torque with bearings and cords as usual and such pulls at rest, by band."""
        return self._load_at("value", pulls_n).hand_nm

    def _load_at(self, end: End, measured_n: Mapping[str, float] | None = None) -> Load:
        rest = rest_bands(self.solution, end, measured_n)
        return solve_load(self.solution, rest, self.turning, end)

    def bearing_n(self, shaft: str) -> Ends2 | None:
        """Sum of the forces on a shaft's bearings."""
        found = [load.shaft(shaft) for load in self.loads]
        forces = sorted(s.bearing_n for s in found if s is not None)
        return (forces[0], forces[1]) if len(forces) == 2 else None

    def tight_n(self, band: str) -> Ends2 | None:
        """Greatest pull of a band at work."""
        pulls = sorted(
            max(b.pulls_n) for load in self.loads for b in load.bands if b.rest.band.name == band
        )
        return (pulls[0], pulls[1]) if len(pulls) == 2 else None

    def rest_n(self, band: str) -> Ends2 | None:
        """Pull of a band's strand at rest."""
        pulls = sorted(
            b.rest.rest_n or 0.0
            for load in self.loads
            for b in load.bands
            if b.rest.band.name == band
        )
        return (pulls[0], pulls[1]) if len(pulls) == 2 else None

    def greatest_margin(self, band: str) -> float | None:
        """Slip margin with the stiffest cords and the roughest bearings."""
        found = [b.margin for b in self.rough.bands if b.rest.band.name == band]
        return found[0] if found else None


def _known(built: Built) -> Iterator[KnownFigure]:
    """Yield the figures whose range makes the others'; those that the file gives have none."""
    for band in built.bands.values():
        tension = band.band.tension
        if tension is not None:
            continue
        modulus, stretch = band.modulus.value, band.usual_stretch.value
        if modulus.low < modulus.high:
            yield _figure(f"modulus of {band.material.value.name}", modulus, "MPa")
        for figure, name in ((band.bending_share.value, "share lost in bending"),
                             (band.loss_factor, "loss factor in bending")):  # fmt: skip
            if figure.low < figure.high:
                yield _figure(f"{name} of {band.material.value.name}", figure, "")
        if not band.stretch.given:
            yield _figure(f'stretch of band "{band.name}"', stretch, "")
    for shaft in built.shafts.values():
        for journal in shaft.bearings:
            pair = journal.pair.value
            yield _figure(f"friction of {pair.says}", pair.friction, "")
    tapped = built.design.spindle.natural_frequency_hz is not None
    for journal in built.spindle.bearings:
        if not tapped and not journal.stiffness.given:
            pair = journal.pair.value
            yield _figure(f"stiffness of {pair.name} bearings", pair.stiffness_n_mm, "N/mm")


def _figure(what: str, figure: Figure, unit: str) -> KnownFigure:
    return KnownFigure(what, figure.low, figure.value, figure.high, unit, figure.source)
