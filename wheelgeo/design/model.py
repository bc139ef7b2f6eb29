"""What a wheel is: plain immutable data, lengths in millimetres, angles in degrees.

Words: a *shaft* is an axis with all that turns with it; a *pulley* is one groove on a shaft; a
*band* is an endless cord round pulleys; a *stop* is one meeting of a band with a pulley; the
*whorl* is the small pulley on the spindle. Counter-clockwise, seen with the axis pointing at the
viewer, is positive.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from wheelgeo.design.materials import Material
from wheelgeo.geometry.groove import FlatRim as FlatRim  # noqa: PLC0414 - read from here too
from wheelgeo.geometry.groove import GivenPitch as GivenPitch  # noqa: PLC0414 - read from here too
from wheelgeo.geometry.groove import Groove as Groove  # noqa: PLC0414 - read from here too
from wheelgeo.geometry.groove import RoundGroove as RoundGroove  # noqa: PLC0414 - read from here too
from wheelgeo.geometry.groove import VeeGroove as VeeGroove  # noqa: PLC0414 - read from here too

Vector = tuple[float, float, float]
Turning = Literal["clockwise", "counter-clockwise"]
Relative = Literal["with", "against"]
Twist = Literal["S", "Z"]
CountSystem = Literal["Nm", "Ne", "tex", "denier"]


@dataclass(frozen=True, slots=True)
class Slide:
    """The travel of a shaft for tensioning: along a unit vector, from and to, mm."""

    along: Vector
    from_mm: float
    to_mm: float


@dataclass(frozen=True, slots=True)
class Shaft:
    """A straight axis.

    Attributes:
        name: its name in the file.
        at_mm: a point on the axis.
        axis: unit vector; for the spindle it points out of the tip.
        diameter_mm: diameter of the rod.
        slide: travel for tensioning, or None.
        ends_mm: the rod's two ends, along the axis from ``at``; None where the file is silent.
        material: name of its material, or None.
    """

    name: str
    at_mm: Vector
    axis: Vector
    diameter_mm: float
    slide: Slide | None = None
    ends_mm: tuple[float, float] | None = None
    material: str | None = None


@dataclass(frozen=True, slots=True)
class Lightening:
    """Holes through the web of a pulley: how many, of what diameter, on what pitch circle, mm."""

    holes: int
    diameter_mm: float
    circle_mm: float


@dataclass(frozen=True, slots=True)
class Pulley:
    """One groove on a shaft.

    Attributes:
        name: its name in the file.
        shaft: name of its shaft.
        offset_mm: the groove's mid-plane, along the axis from the shaft's ``at``.
        groove: the groove.
        width_mm: overall width along the axis; None where the file is silent.
        material: name of its material, or None.
        build: how it is made; None leaves the choice to the shop (turned).
        core_mm: thickness of the core sheet of a layered pulley, None otherwise.
        cheek_mm: thickness of each cheek sheet of a layered pulley, None otherwise.
        bore_mm: diameter of the bore; None takes the shaft's diameter and the usual fit.
        lightening: holes through the web, or None.
    """

    name: str
    shaft: str
    offset_mm: float
    groove: Groove
    width_mm: float | None = None
    material: str | None = None
    build: Literal["turned", "layers"] | None = None
    core_mm: float | None = None
    cheek_mm: float | None = None
    bore_mm: float | None = None
    lightening: Lightening | None = None


@dataclass(frozen=True, slots=True)
class Stop:
    """One meeting of a band with a pulley; ``turns`` is relative to the route's first pulley."""

    pulley: str
    turns: Relative = "with"


@dataclass(frozen=True, slots=True)
class Tensioner:
    """What pulls a band tight besides its own stretch.

    Attributes:
        kind: ``measured`` is the strand's pull at rest; ``weight`` and ``spring`` pull on the
            shaft that slides, so that all strands on it share the pull.
        pull_n: the pull, N.
    """

    kind: Literal["measured", "weight", "spring"]
    pull_n: float


@dataclass(frozen=True, slots=True)
class Band:
    """An endless cord round pulleys.

    Attributes:
        name: its name in the file.
        route: the pulleys in the order in which the moving band meets them.
        crossed: the file said ``crossed = true`` (the second stop is then ``against``).
        material: name of the cord's material.
        diameter_mm: diameter of the cord as installed.
        slip: fraction by which each driven pulley is slower; None where the file is silent.
        stretch: installed stretch as a fraction; None where the file is silent.
        tension: what pulls it tight besides its stretch, or None.
        joint_mm: cord used up by the joint (overlap, knot or splice), mm; None: none known.
    """

    name: str
    route: tuple[Stop, ...]
    material: str
    diameter_mm: float
    crossed: bool = False
    slip: float | None = None
    stretch: float | None = None
    tension: Tensioner | None = None
    joint_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Drive:
    """What a person turns.

    Attributes:
        shaft: name of the shaft.
        by: crank, treadle or motor.
        speed_rpm: speed of that shaft, positive.
        turns: sense, seen with the shaft's axis pointing at the viewer.
        radius_mm: crank throw; None where there is none (motor) or the file is silent.
        offset_mm: plane in which the crank turns, along the axis from the shaft's ``at``.
    """

    shaft: str
    by: Literal["crank", "treadle", "motor"]
    speed_rpm: float
    turns: Turning
    radius_mm: float | None = None
    offset_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Bearing:
    """One bearing of the spindle, ``at_mm`` along the axis from the shaft's ``at``."""

    at_mm: float
    kind: str
    stiffness_n_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Section:
    """One stretch of a stepped spindle, from and to along the axis, mm, with its diameter."""

    from_mm: float
    to_mm: float
    diameter_mm: float


@dataclass(frozen=True, slots=True)
class Washer:
    """A disc on the spindle that stops the cop: place, diameter and thickness, mm."""

    at_mm: float
    diameter_mm: float
    thickness_mm: float
    material: str | None = None


@dataclass(frozen=True, slots=True)
class Cop:
    """The yarn wound on the spindle when full: from and to along the axis, diameter, mass."""

    from_mm: float
    to_mm: float
    diameter_mm: float
    mass_g: float


@dataclass(frozen=True, slots=True)
class Spindle:
    """What puts in the twist: which shaft, and whether yarn leaves over a tip or a flyer."""

    shaft: str
    kind: Literal["tip", "flyer"]
    bearings: tuple[Bearing, ...] = ()
    sections: tuple[Section, ...] = ()
    washers: tuple[Washer, ...] = ()
    cop: Cop | None = None


@dataclass(frozen=True, slots=True)
class Count:
    """Fineness of a yarn, as written: a value and its system."""

    value: float
    system: CountSystem


@dataclass(frozen=True, slots=True)
class Yarn:
    """The yarn that is wanted.

    Attributes:
        count: its fineness.
        fibre: name of the fibre.
        twist: S or Z as ISO 2 defines them.
        turns_per_metre: twist; None where ``twist_factor`` is given or neither is.
        twist_factor: twist factor in the convention of the count's system, or None.
        draw_mm: length of yarn made in one draw, or None.
    """

    count: Count
    fibre: str
    twist: Twist
    turns_per_metre: float | None = None
    twist_factor: float | None = None
    draw_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Case:
    """The case that the wheel stands in: inside size and lowest corner, mm."""

    inside_mm: Vector
    corner_mm: Vector


@dataclass(frozen=True, slots=True)
class Stock:
    """Sheet to cut parts from: length, width and thickness, mm."""

    name: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    material: str | None = None


@dataclass(frozen=True, slots=True)
class Shop:
    """How the parts are to be made: sheets at hand, kerf, spacing and edge margin, mm."""

    sheets: tuple[Stock, ...] = ()
    kerf_mm: float = 0.0
    spacing_mm: float = 3.0
    margin_mm: float = 5.0
    knob_hole_mm: float = 6.0
    floor_mm: float = 6.0
    reel: bool = False


@dataclass(frozen=True)
class Design:
    """One wheel, whole. Names are unique within shafts, within pulleys and within bands."""

    title: str
    unit: str
    drive: Drive
    shafts: tuple[Shaft, ...]
    pulleys: tuple[Pulley, ...]
    bands: tuple[Band, ...]
    spindle: Spindle
    yarn: Yarn | None = None
    case: Case | None = None
    shop: Shop = field(default_factory=Shop)
    limits: Mapping[str, float] = field(default_factory=dict)
    materials: tuple[Material, ...] = ()

    def shaft(self, name: str) -> Shaft:
        """Return the shaft of that name; KeyError where there is none."""
        return self._shafts[name]

    def pulley(self, name: str) -> Pulley:
        """Return the pulley of that name; KeyError where there is none."""
        return self._pulleys[name]

    def band(self, name: str) -> Band:
        """Return the band of that name; KeyError where there is none."""
        return self._bands[name]

    def pulleys_on(self, shaft: str) -> tuple[Pulley, ...]:
        """Return the pulleys on a shaft, in the order of the file."""
        return tuple(p for p in self.pulleys if p.shaft == shaft)

    def cord_on(self, pulley: str) -> float:
        """Return the largest cord diameter, mm, that runs on a pulley; 0 where none does."""
        return self._cords.get(pulley, 0.0)

    # By name, so that a wheel of many parts is solved in a time that grows with their number.

    @cached_property
    def _shafts(self) -> dict[str, Shaft]:
        return {s.name: s for s in reversed(self.shafts)}

    @cached_property
    def _pulleys(self) -> dict[str, Pulley]:
        return {p.name: p for p in reversed(self.pulleys)}

    @cached_property
    def _bands(self) -> dict[str, Band]:
        return {b.name: b for b in reversed(self.bands)}

    @cached_property
    def _cords(self) -> dict[str, float]:
        cords: dict[str, float] = {}
        for band in self.bands:
            for stop in band.route:
                cords[stop.pulley] = max(band.diameter_mm, cords.get(stop.pulley, 0.0))
        return cords
