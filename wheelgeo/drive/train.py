"""The train: which shaft turns how fast and which way, and where every band runs.

Speeds go out from the shaft that a person turns, through one band after another. On each band one
pulley *drives* (its shaft already turns); the others are *driven*, each slower by the band's slip.
Counter-clockwise about a shaft's own axis is positive.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import field
from functools import cached_property, lru_cache
from typing import Literal

from wheelgeo.built.as_built import Built, build
from wheelgeo.design.model import Band, Design
from wheelgeo.design.twist import wanted_turns_per_metre
from wheelgeo.errors import PathError
from wheelgeo.geometry.groove_base import Groove, Seat
from wheelgeo.geometry.path import Path, PitchCircle, solve_path
from wheelgeo.geometry.vectors import along
from wheelgeo.immutable import dataclass

FIGHT_TOLERANCE = 1e-3
"""Two speeds asked of one shaft that differ by less than this fraction are the same speed: so
little is taken up by the creep of the cords (common practice, no source)."""


@dataclass(frozen=True)
class Fight:
    """Two drives that ask different speeds of one shaft.

    Attributes:
        shaft: the shaft.
        bands: the two bands, or one band twice.
        speeds_rpm: what each asks for, signed.
    """

    shaft: str
    bands: tuple[str, str]
    speeds_rpm: tuple[float, float]


@dataclass(frozen=True)
class ShaftMotion:
    """How a shaft turns.

    Attributes:
        name: the shaft.
        speed_rpm: signed speed about its own axis; None where nothing drives it.
        turns_per_drive_turn: speed over the driving shaft's speed, signed; None likewise.
        turns_without_slip: the same for bands that do not slip.
        driven_by: name of the band that drives it; None for the driving shaft, for a braked flyer
            or bobbin that the yarn draws after it, and for one that nothing drives.
    """

    name: str
    speed_rpm: float | None
    turns_per_drive_turn: float | None
    turns_without_slip: float | None
    driven_by: str | None


@dataclass(frozen=True)
class BandMotion:
    """How a band runs.

    Attributes:
        band: the band of the design.
        seats: how the cord lies on each pulley, in route order.
        senses: +1 or -1 for each stop: how that pulley turns about its axis. Where nothing drives
            the band, the first pulley is taken to turn counter-clockwise.
        path: where it runs; None where no path exists.
        no_path: why there is no path; None where there is one.
        driver: index in the route of the pulley that drives; None where nothing drives the band.
        speed_m_s: speed of the cord; None likewise.
    """

    band: Band
    seats: tuple[Seat, ...]
    senses: tuple[int, ...]
    path: Path | None
    no_path: PathError | None
    driver: int | None
    speed_m_s: float | None

    @cached_property
    def shorter_backwards_mm(self) -> float:
        """By how much the path would be shorter with the route read backwards; 0 where not."""
        path = self.path
        if path is None or len(path.circles) < 3:
            return 0.0
        backwards, _ = try_path(path.circles[::-1])
        if backwards is None:
            return 0.0
        gain = path.length_mm - backwards.length_mm
        return gain if gain > 1e-6 * path.length_mm else 0.0


@dataclass(frozen=True)
class Solution:
    """A solved drive.

    Attributes:
        built: what was solved, as built.
        shafts: motion of each shaft, in file order.
        bands: motion of each band, in file order.
        fights: shafts of which two drives ask different speeds.
    """

    built: Built = field(repr=False)
    shafts: tuple[ShaftMotion, ...]
    bands: tuple[BandMotion, ...]
    fights: tuple[Fight, ...]

    @property
    def design(self) -> Design:
        """What was solved, as the file has it."""
        return self.built.design

    def shaft(self, name: str) -> ShaftMotion:
        """Return the motion of a shaft; KeyError where there is none of that name."""
        return self._by_shaft[name]

    def band(self, name: str) -> BandMotion:
        """Return the motion of a band; KeyError where there is none of that name."""
        return self._by_band[name]

    @property
    def pathless(self) -> tuple[str, ...]:
        """Names of the bands that have no path: with one of them the wheel cannot run."""
        return tuple(motion.band.name for motion in self.bands if motion.path is None)

    @cached_property
    def _by_shaft(self) -> dict[str, ShaftMotion]:
        return {motion.name: motion for motion in self.shafts}

    @cached_property
    def _by_band(self) -> dict[str, BandMotion]:
        return {motion.band.name: motion for motion in self.bands}

    @property
    def spindle(self) -> ShaftMotion:
        """Motion of the spindle; its speed is about the axis that points out of the tip."""
        return self.shaft(self.design.spindle.shaft)

    @property
    def drawn_by(self) -> str | None:
        """The shaft whose yarn draws the spindle after it: a braked flyer's bobbin; or None."""
        drawn, bobbin = self.spindle, self.design.spindle.bobbin
        driven = drawn.driven_by is not None or drawn.name == self.design.drive.shaft
        return None if driven or drawn.speed_rpm is None else bobbin

    @property
    def drawn_share(self) -> float:
        """Turns of the spindle for each of the shaft that draws it; 1 where a band drives it."""
        if self.drawn_by is None or self.spindle.speed_rpm is None:
            return 1.0
        return self.spindle.speed_rpm / (self.shaft(self.drawn_by).speed_rpm or 1.0)

    @cached_property
    def to_spindle(self) -> frozenset[str]:
        """The bands in the chain from the driving shaft to the spindle, by name."""
        chain: set[str] = set()
        by = self.shaft(self.drawn_by or self.spindle.name).driven_by
        while by is not None and by not in chain:
            chain.add(by)
            motion = self.band(by)
            driver = motion.band.route[motion.driver or 0].pulley
            by = self.shaft(self.design.pulley(driver).shaft).driven_by
        return frozenset(chain)

    @property
    def ratio(self) -> float | None:
        """Spindle turns per turn of the driving shaft, positive; None where it is not reached."""
        turns = self.spindle.turns_per_drive_turn
        return None if turns is None else abs(turns)

    @property
    def ratio_without_slip(self) -> float | None:
        """The same for bands that do not slip."""
        turns = self.spindle.turns_without_slip
        return None if turns is None else abs(turns)

    @property
    def spindle_turns(self) -> Literal["clockwise", "counter-clockwise"] | None:
        """Sense of the spindle as seen from the yarn; None where it is not reached."""
        speed = self.spindle.speed_rpm
        if speed is None:
            return None
        return "clockwise" if speed < 0.0 else "counter-clockwise"


def solve_drive(wheel: Design | Built) -> Solution:
    """Solve a wheel: speeds with sign, with and without slip, and the path of every band.

    Args:
        wheel: the wheel, of the file or as built.

    Returns:
        The solution. Whatever cannot be had is None in it, with the reason beside it (``no_path``,
        ``driven_by``, ``fights``); nothing is raised for a drive that does not work.
    """
    built = wheel if isinstance(wheel, Built) else build(wheel)
    design = built.design
    seats = {band.name: _seats(built, band) for band in design.bands}
    train = _Train(design, seats, slips=True)
    ideal = _Train(design, seats, slips=False)
    drive_speed = train.turns[design.drive.shaft]
    shafts = tuple(_shaft_motion(s.name, train, ideal, drive_speed) for s in design.shafts)
    bands = tuple(_band_motion(design, band, seats[band.name], train) for band in design.bands)
    return Solution(built, shafts, bands, tuple(train.fights))


def _seats(built: Built, band: Band) -> tuple[Seat, ...]:
    grooves = (built.pulleys[stop.pulley].runs_in for stop in band.route)
    return tuple(_seat(groove, band.diameter_mm) for groove in grooves)


@lru_cache(maxsize=1024)  # the band laid the other way and changes that are tried ask it again
def _seat(groove: Groove, cord_mm: float) -> Seat:
    return groove.seat(cord_mm)


class _Train:
    """Speeds carried outward from the driving shaft, band by band.

    Attributes:
        turns: signed speed of each shaft reached, rpm.
        reached: those shafts, in the order in which they are reached.
        driven_by: the band that drives each shaft reached, but for the driving shaft.
        drivers: for each band reached, the index in its route of the pulley that drives.
        fights: shafts of which two drives ask different speeds.
    """

    def __init__(self, design: Design, seats: Mapping[str, tuple[Seat, ...]], slips: bool) -> None:
        drive = design.drive
        sign = 1.0 if drive.turns == "counter-clockwise" else -1.0
        self.design = design
        self.bands = sorted(design.bands, key=lambda b: b.name)  # the file's order changes nothing
        self.seats = seats
        self.slips = slips
        self.turns: dict[str, float] = {drive.shaft: sign * drive.speed_rpm}
        self.reached = [drive.shaft]
        self.driven_by: dict[str, str] = {}
        self.drivers: dict[str, int] = {}
        self.fights: list[Fight] = []
        on_shaft: dict[str, list[tuple[Band, int]]] = {}
        for band in self.bands:
            for index in range(len(band.route)):  # the first of its stops on a shaft drives
                on_shaft.setdefault(self._shaft_of(band, index), []).append((band, index))
        # Outward, shaft by shaft in the order in which they are reached: a shaft that is reached
        # is put behind the others, and its own bands wait until those before it are carried.
        for shaft in self.reached:
            for band, index in on_shaft.get(shaft, []):
                if band.name not in self.drivers:
                    self._carry(band, index)
        self._let_yarn_turn()

    def _let_yarn_turn(self) -> None:
        """Give a braked flyer or bobbin, which no band drives, the speed that the yarn gives it.

        The yarn draws it after the driven one. It falls behind by the turns that take in what the
        twist makes, 1000/(turns per metre) of yarn a turn of the flyer, on the empty bobbin; where
        neither twist nor bobbin is told it turns as fast as the other.
        """
        spindle, braked = self.design.spindle, {d.shaft for d in self.design.drags}
        bobbin = spindle.bobbin
        if spindle.kind != "flyer" or bobbin is None:
            return
        part = _take_in_turns(self.design)
        pairs = ((bobbin, spindle.shaft, 1.0 - part), (spindle.shaft, bobbin, 1.0 / (1.0 + part)))
        for held, driven, share in pairs:
            if held in braked and held not in self.turns and driven in self.turns:
                self.turns[held] = share * self.turns[driven]

    def _shaft_of(self, band: Band, index: int) -> str:
        return self.design.pulley(band.route[index].pulley).shaft

    def _carry(self, band: Band, driver: int) -> None:
        """Give every other shaft on a band its speed; note where it has another one already."""
        self.drivers[band.name] = driver
        driving_shaft = self._shaft_of(band, driver)
        for index in range(len(band.route)):
            shaft = self._shaft_of(band, index)
            slips = self.slips and shaft != driving_shaft
            speed = self._speed_at(band, driver, index, band.slip if slips else None)
            self._give(band, shaft, speed)

    def _speed_at(self, band: Band, driver: int, index: int, slip: float | None) -> float:
        seats = self.seats[band.name]
        relative = 1.0 if band.route[driver].turns == band.route[index].turns else -1.0
        circumference = seats[driver].pitch_radius_mm / seats[index].pitch_radius_mm
        speed = self.turns[self._shaft_of(band, driver)] * circumference * relative
        return speed * (1.0 - (slip or 0.0))

    def _give(self, band: Band, shaft: str, speed: float) -> None:
        known = self.turns.get(shaft)
        if known is None:
            self.turns[shaft] = speed
            self.reached.append(shaft)
            self.driven_by[shaft] = band.name
        elif abs(speed - known) > FIGHT_TOLERANCE * abs(known):
            self.fights.append(
                Fight(shaft, (self.driven_by.get(shaft, band.name), band.name), (known, speed))
            )


def _take_in_turns(design: Design) -> float:
    """Return by how many turns bobbin and flyer must differ for each turn of the flyer."""
    twist = None if design.yarn is None else wanted_turns_per_metre(design.yarn)
    if twist is None or design.bobbin is None:
        return 0.0
    return 1000.0 / twist / (math.pi * design.bobbin.empty_mm)


def _shaft_motion(name: str, train: _Train, ideal: _Train, drive_speed: float) -> ShaftMotion:
    speed, without = train.turns.get(name), ideal.turns.get(name)
    return ShaftMotion(
        name,
        speed,
        None if speed is None else speed / drive_speed,
        None if without is None else without / drive_speed,
        train.driven_by.get(name),
    )


def pitch_circles(
    design: Design, band: Band, seats: tuple[Seat, ...], first_sense: int
) -> tuple[PitchCircle, ...]:
    """Return the pitch circles of a band's route, in route order.

    Args:
        design: the wheel.
        band: one of its bands.
        seats: how the cord lies on each pulley of the route.
        first_sense: +1 or -1, how the route's first pulley turns.
    """
    return tuple(
        _circle(design, stop.pulley, s, first_sense * (1 if stop.turns == "with" else -1))
        for stop, s in zip(band.route, seats, strict=True)
    )


def _circle(design: Design, name: str, seated: Seat, sense: int) -> PitchCircle:
    pulley = design.pulley(name)
    shaft = design.shaft(pulley.shaft)
    centre = along(shaft.at_mm, shaft.axis, pulley.offset_mm)
    return PitchCircle(name, centre, shaft.axis, seated.pitch_radius_mm, sense)


def _band_motion(design: Design, band: Band, seats: tuple[Seat, ...], train: _Train) -> BandMotion:
    driver = train.drivers.get(band.name)
    sense, speed = 1, None
    if driver is not None:
        pulley = design.pulley(band.route[driver].pulley)
        turns = train.turns[pulley.shaft]
        sense = int(math.copysign(1.0, turns)) * (1 if band.route[driver].turns == "with" else -1)
        speed = abs(turns) / 60.0 * 2.0 * math.pi * seats[driver].pitch_radius_mm / 1000.0
    circles = pitch_circles(design, band, seats, sense)
    path, no_path = try_path(circles)
    senses = tuple(c.sense for c in circles)
    return BandMotion(band, seats, senses, path, no_path, driver, speed)


@lru_cache(maxsize=256)  # a change that is tried leaves most bands where they are
def try_path(circles: tuple[PitchCircle, ...]) -> tuple[Path | None, PathError | None]:
    """Return the path over pitch circles, or None with the reason why there is none."""
    try:
        return solve_path(circles), None
    except PathError as error:
        return None, error
