"""What a wheel takes to turn, shaft by shaft and band by band: the figures that a load is told by.

Glossary: a shaft's *own* torque is what its bearings, the air and the yarn take; the torque that
it *asks for* is that and what the bands take that it drives; a band's *pulls* are those of its
runs.
"""

from __future__ import annotations

import math

from wheelgeo.drive.air import Drag
from wheelgeo.drive.tension import RestBand
from wheelgeo.immutable import dataclass


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
