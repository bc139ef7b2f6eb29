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
from typing import Any, Literal

from wheelgeo.design.kinds import FACTOR, HOLES, CountKind, LimitsKind, MeasuredKind
from wheelgeo.design.kinds import Count as Count  # noqa: PLC0414 - these two belong to the model
from wheelgeo.design.kinds import CountSystem as CountSystem  # noqa: PLC0414
from wheelgeo.design.materials import Material
from wheelgeo.geometry.groove import GROOVE_KINDS
from wheelgeo.geometry.groove import FlatRim as FlatRim  # noqa: PLC0414 - read from here too
from wheelgeo.geometry.groove import GivenPitch as GivenPitch  # noqa: PLC0414 - read from here too
from wheelgeo.geometry.groove import Groove as Groove  # noqa: PLC0414 - read from here too
from wheelgeo.geometry.groove import RoundGroove as RoundGroove  # noqa: PLC0414 - read from here too
from wheelgeo.geometry.groove import VeeGroove as VeeGroove  # noqa: PLC0414 - read from here too
from wheelgeo.units.keys import (
    TablesKind,
    VariantKind,
    choice,
    flag,
    force,
    fraction,
    gap,
    headed,
    key,
    keys_of,
    length,
    mass,
    number,
    point,
    size,
    speed,
    table,
    tables,
    text,
)
from wheelgeo.units.kinds import BOX, DIRECTION, ENDS, FILES_UNIT, WholeKind
from wheelgeo.units.wording import nearest

Vector = tuple[float, float, float]
Turning = Literal["clockwise", "counter-clockwise"]
Relative = Literal["with", "against"]
Twist = Literal["S", "Z"]
Side = Literal["front", "back", "left", "right"]


def grooves() -> dict[str, type]:
    """Return the kinds of groove by the word that the file has for each."""
    return {kind.shape: kind for kind in GROOVE_KINDS}


def shape_of(value: Any) -> str:
    """Return which kind of groove a table is.

    A misspelt or missing shape is taken for the likeliest, so that the other keys are checked too.
    """
    kinds = grooves()
    shape = value.get("shape")
    if isinstance(shape, str):
        return shape if shape in kinds else nearest(shape, kinds) or "vee"

    def likeness(word: str) -> tuple[int, float]:
        keys = keys_of(kinds[word])
        met = sum(key.name in value for key in keys)
        return met, met / sum(key.required for key in keys)

    return max(kinds, key=likeness)


A_GROOVE = ("is no groove", 'write it as { shape = "vee", rim = 180, depth = 4, angle = 40 }')


@dataclass(frozen=True, slots=True)
class Slide:
    """The travel of a shaft for tensioning: along a unit vector, from and to, mm."""

    along: Vector = field(
        metadata=key("direction of the travel", DIRECTION, "[1, 0, 0]", listed=False)
    )
    from_mm: float = field(metadata=length("one end of the travel", '"-2 mm"', listed=False))
    to_mm: float = field(metadata=length("the other end of the travel", '"6 mm"', listed=False))


@dataclass(frozen=True, slots=True)
class Bearing:
    """One bearing of a shaft, ``at_mm`` along the axis from the shaft's ``at``."""

    at_mm: float = field(metadata=length("place along the spindle", '"0 mm"', "linear"))
    kind: str = field(metadata=text("what the shaft runs in", '"brass"'))
    stiffness_n_mm: float | None = field(
        default=None, metadata=number("stiffness, N/mm", "50", name="stiffness")
    )


SLEEVE = "runs_on"
"""Beside this key a shaft needs no place, axis or diameter of its own."""


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
        bearings: what it runs in; those of the spindle stand with the spindle.
        runs_on: name of the shaft on which it runs as a sleeve, or None; it then has that one's
            ``at_mm``, ``axis`` and ``slide``.
        diameter_given: False for a sleeve whose file leaves its diameter out.
    """

    name: str = field(metadata=text("name of the shaft", '"main"'))
    at_mm: Vector = field(
        metadata=point("place of the shaft", "[0, 0, 0]", "linear", unless=SLEEVE)
    )
    axis: Vector = field(
        metadata=key(
            "direction of the axis; the spindle's points out of the tip", DIRECTION, "[0, 0, 1]",
            listed=False, unless=SLEEVE,
        )
    )  # fmt: skip
    diameter_mm: float = field(
        metadata=size("diameter of the rod", '"8 mm"', "linear", unless=SLEEVE)
    )
    slide: Slide | None = field(
        default=None, metadata=table("travel for tensioning", Slide, listed=False)
    )
    ends_mm: tuple[float, float] | None = field(
        default=None,
        metadata=key("the rod's two ends, along the axis from at", ENDS, "[-10, 50]", listed=False),
    )
    material: str | None = field(default=None, metadata=text("material of the rod", '"steel"'))
    bearings: tuple[Bearing, ...] = field(
        default=(), metadata=tables("what the shaft runs in, and where", Bearing)
    )
    runs_on: str | None = field(
        default=None, metadata=text("the shaft on which this one runs, as a sleeve", '"flyer"')
    )
    diameter_given: bool = True


@dataclass(frozen=True, slots=True)
class Lightening:
    """Holes through the web of a pulley: how many, of what diameter, on what pitch circle, mm."""

    holes: int = field(
        metadata=key("how many holes", WholeKind(1, 10_000, "number of holes", HOLES), "5")
    )
    diameter_mm: float = field(metadata=size("diameter of each hole", '"30 mm"'))
    circle_mm: float = field(metadata=size("diameter of the circle of their centres", '"110 mm"'))


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

    name: str = field(metadata=text("name of the pulley", '"wheel"'))
    shaft: str = field(metadata=text("the shaft that it sits on", '"main"'))
    offset_mm: float = field(
        metadata=length("place of the groove along the shaft", '"12 mm"', "linear")
    )
    groove: Groove = field(metadata=key("the groove", VariantKind(grooves, shape_of, A_GROOVE)))
    width_mm: float | None = field(
        default=None, metadata=size("overall width", '"10 mm"', "linear")
    )
    material: str | None = field(default=None, metadata=text("material of the pulley", '"beech"'))
    build: Literal["turned", "layers"] | None = field(
        default=None, metadata=choice("how it is made", '"turned"', ("turned", "layers"))
    )
    core_mm: float | None = field(
        default=None, metadata=size("thickness of the core sheet", '"4 mm"', "linear")
    )
    cheek_mm: float | None = field(
        default=None, metadata=size("thickness of each cheek sheet", '"3 mm"', "linear")
    )
    bore_mm: float | None = field(
        default=None, metadata=size("diameter of the bore", '"8 mm"', "linear")
    )
    lightening: Lightening | None = field(
        default=None, metadata=table("holes through the web", Lightening, listed=False)
    )


@dataclass(frozen=True, slots=True)
class Stop:
    """One meeting of a band with a pulley; ``turns`` is relative to the route's first pulley."""

    pulley: str = field(metadata=text("name of the pulley", '"whorl"'))
    turns: Relative = field(
        default="with",
        metadata=choice(
            "whether the pulley turns, about its own axis, as the route's first does", '"against"',
            ("with", "against"),
        ),
    )  # fmt: skip


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

    name: str = field(metadata=text("name of the band", '"first band"'))
    route: tuple[Stop, ...] = field(
        metadata=key(
            "the pulleys in the order in which the moving band meets them", TablesKind(Stop),
            '["wheel", "hub"]', extra={"minItems": 2},
        )
    )  # fmt: skip
    material: str = field(metadata=text("material of the cord", '"cotton cord"'))
    diameter_mm: float = field(metadata=size("diameter of the cord", '"3 mm"', "linear"))
    crossed: bool = field(
        default=False, metadata=flag("crossed between two pulleys on parallel shafts", "true")
    )
    slip: float | None = field(
        default=None, metadata=fraction("slip, as a fraction", '"1 %"', below_one=True)
    )
    stretch: float | None = field(
        default=None, metadata=fraction("installed stretch, as a fraction", '"5 %"')
    )
    tension: Tensioner | None = field(
        default=None, metadata=table("what pulls it tight besides its stretch", Tensioner)
    )
    joint_mm: float | None = field(
        default=None, metadata=gap("cord used up by the joint", '"12 mm"')
    )


@dataclass(frozen=True, slots=True)
class Drive:
    """What a person turns.

    Attributes:
        shaft: name of the shaft.
        by: crank, treadle, motor, or the hand on the rim of a great wheel.
        speed_rpm: speed of that shaft, positive.
        turns: sense, seen with the shaft's axis pointing at the viewer.
        radius_mm: crank throw; None where there is none (motor) or the file is silent.
        offset_mm: plane in which the crank turns, along the axis from the shaft's ``at``.
        ratio: wanted turns of the spindle per turn of that shaft, or None.
    """

    shaft: str = field(metadata=text("the shaft that is turned", '"main"'))
    by: Literal["crank", "treadle", "motor", "hand"] = field(
        metadata=choice("what turns it", '"crank"', ("crank", "treadle", "motor", "hand"))
    )
    speed_rpm: float = field(metadata=speed("speed of the shaft that a person turns", '"60 rpm"'))
    turns: Turning = field(
        metadata=choice(
            "its sense, seen with the axis pointing at the viewer", '"clockwise"',
            ("clockwise", "counter-clockwise"),
        )
    )  # fmt: skip
    radius_mm: float | None = field(
        default=None, metadata=size("throw of the crank", '"65 mm"', "linear")
    )
    offset_mm: float | None = field(
        default=None, metadata=length("plane of the crank along its shaft", "-15", "linear")
    )
    ratio: float | None = field(
        default=None,
        metadata=number("wanted turns of the spindle per turn of this shaft", "140", listed=False),
    )


@dataclass(frozen=True, slots=True)
class Section:
    """One stretch of a stepped spindle, from and to along the axis, mm, with its diameter."""

    from_mm: float = field(metadata=length("start along the spindle", '"0 mm"', "linear"))
    to_mm: float = field(metadata=length("end along the spindle", '"80 mm"', "linear"))
    diameter_mm: float = field(metadata=size("diameter of the spindle there", '"6 mm"', "linear"))


@dataclass(frozen=True, slots=True)
class Washer:
    """A disc on the spindle that stops the cop: place, diameter and thickness, mm."""

    at_mm: float = field(metadata=length("place along the spindle", '"40 mm"', "linear"))
    diameter_mm: float = field(metadata=size("diameter of the washer", '"30 mm"', "linear"))
    thickness_mm: float = field(metadata=size("thickness of the washer", '"2 mm"', "linear"))
    material: str | None = field(default=None, metadata=text("its material", '"brass"'))


@dataclass(frozen=True, slots=True)
class Cop:
    """The yarn wound on the spindle when full: from and to along the axis, diameter, mass."""

    from_mm: float = field(metadata=length("start of the cop along the spindle", '"42 mm"'))
    to_mm: float = field(metadata=length("end of the cop along the spindle", '"110 mm"'))
    diameter_mm: float = field(metadata=size("diameter of the full cop", '"25 mm"'))
    mass_g: float = field(metadata=mass("mass of the full cop", '"15 g"'))


@dataclass(frozen=True, slots=True)
class Spindle:
    """What puts in the twist: which shaft, and whether yarn leaves over a tip or a flyer."""

    shaft: str = field(metadata=text("the spindle's shaft", '"spindle"'))
    kind: Literal["tip", "flyer"] = field(
        metadata=choice("whether the yarn leaves over a tip or a flyer", '"tip"', ("tip", "flyer"))
    )
    bearings: tuple[Bearing, ...] = field(
        default=(), metadata=tables("the spindle's bearings", Bearing)
    )
    sections: tuple[Section, ...] = field(
        default=(), metadata=tables("stretches of a stepped spindle", Section)
    )
    washers: tuple[Washer, ...] = field(
        default=(), metadata=tables("discs that stop the cop", Washer)
    )
    cop: Cop | None = field(default=None, metadata=table("the yarn on the full spindle", Cop))
    bobbin: str | None = field(
        default=None, metadata=text("the shaft that the bobbin of a flyer is on", '"bobbin"')
    )


@dataclass(frozen=True, slots=True)
class Bobbin:
    """The bobbin of a flyer: diameters of its bare core, and over the yarn when it is full, mm."""

    empty_mm: float = field(metadata=size("diameter of the bare bobbin", '"25 mm"'))
    full_mm: float = field(metadata=size("diameter over the yarn of the full bobbin", '"80 mm"'))


@dataclass(frozen=True, slots=True)
class DragBrake:
    """A brake on the bobbin or the flyer: net pull of its cord, N, over a groove's diameter, mm."""

    shaft: str = field(metadata=text("the shaft that it brakes", '"bobbin"'))
    pull_n: float = field(metadata=force("net pull of the brake band at its groove", '"2 N"'))
    diameter_mm: float = field(metadata=size("diameter of that groove", '"60 mm"'))


@dataclass(frozen=True, slots=True)
class Measurement:
    """A result that was measured: its name, and what it is, as written with its uncertainty."""

    what: str = field(metadata=text("name of the result", '"drive band.length"'))
    is_: float | str = field(
        metadata=key("what was measured", MeasuredKind(), '"76 1/2 +- 1/4 in"', name="is")
    )


@dataclass(frozen=True, slots=True)
class OwnFibre:
    """A fibre of one's own."""

    name: str = field(metadata=text("name of the fibre", '"alpaca"'))


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

    count: Count = field(
        metadata=key("its fineness: Nm, Ne, tex or denier", CountKind(), '"40 Nm"')
    )
    fibre: str = field(metadata=text("its fibre", '"cotton"'))
    twist: Twist = field(metadata=choice("direction of the twist (ISO 2)", '"Z"', ("S", "Z")))
    turns_per_metre: float | None = field(
        default=None, metadata=number("twist, turns per metre", "850")
    )
    twist_factor: float | None = field(
        default=None,
        metadata=number(
            "twist factor, in the convention of the count's system", "134", extra=FACTOR
        ),
    )
    draw_mm: float | None = field(
        default=None, metadata=size("length of yarn made in one draw", '"650 mm"')
    )


@dataclass(frozen=True, slots=True)
class Case:
    """The case that the wheel stands in: inside size, lowest corner, mm, and the spinner's side."""

    inside_mm: Vector = field(metadata=key("inside size of the case", BOX, "[340, 170, 60]"))
    corner_mm: Vector = field(metadata=point("lowest corner of the case", "[-85, -85, -10]"))
    spinner: Side = field(
        default="front",
        metadata=choice(
            "the side where the spinner sits", '"front"', ("front", "back", "left", "right")
        ),
    )


@dataclass(frozen=True, slots=True)
class Stock:
    """Sheet to cut parts from: length, width and thickness, mm."""

    name: str = field(metadata=text("name of the sheet", '"birch ply"'))
    length_mm: float = field(metadata=size("its length", '"600 mm"'))
    width_mm: float = field(metadata=size("its width", '"300 mm"'))
    thickness_mm: float = field(metadata=size("its thickness", '"6 mm"'))
    material: str | None = field(default=None, metadata=text("its material", '"plywood"'))


@dataclass(frozen=True, slots=True)
class Shop:
    """How the parts are to be made: sheets at hand, kerf, spacing and edge margin, mm."""

    sheets: tuple[Stock, ...] = field(
        default=(), metadata=headed("the sheets at hand", Stock, name="sheet")
    )
    kerf_mm: float = field(
        default=0.0, metadata=gap("width of the cut that the outlines allow for", '"0.2 mm"')
    )
    spacing_mm: float = field(default=3.0, metadata=gap("between parts on a sheet", '"3 mm"'))
    margin_mm: float = field(
        default=5.0, metadata=gap("from parts to the edge of a sheet", '"5 mm"')
    )
    knob_hole_mm: float = field(default=6.0, metadata=size("hole for the crank's knob", '"6 mm"'))
    floor_mm: float = field(default=6.0, metadata=size("thickness of the case floor", '"6 mm"'))
    reel: bool = field(default=False, metadata=flag("whether a reel is wanted too", "true"))


@dataclass(frozen=True)
class Design:
    """One wheel, whole. Names are unique within shafts, within pulleys and within bands.

    Its parts and their numbers are declared field by field: units, bounds, meaning, an example.

    Attributes:
        uncertainties: half width at 95 % of what was measured, by the full name of the input
            (``pulley:whorl.rim``), in the input's unit.
    """

    title: str = field(metadata=text("title of the wheel", '"Picnic box wheel"'))
    unit: str = field(metadata=key("unit of every bare length", FILES_UNIT, '"mm"'))
    drive: Drive = field(metadata=table("what a person turns", Drive))
    shafts: tuple[Shaft, ...] = field(metadata=headed("the shafts", Shaft, name="shaft"))
    pulleys: tuple[Pulley, ...] = field(metadata=headed("the pulleys", Pulley, name="pulley"))
    bands: tuple[Band, ...] = field(metadata=headed("the bands", Band, name="band"))
    spindle: Spindle = field(metadata=table("what puts in the twist", Spindle))
    yarn: Yarn | None = field(default=None, metadata=table("the yarn that is wanted", Yarn))
    case: Case | None = field(
        default=None, metadata=table("the case that the wheel stands in", Case)
    )
    shop: Shop = field(
        default_factory=Shop, metadata=table("how the parts are to be made", Shop, listed=False)
    )
    limits: Mapping[str, float] = field(
        default_factory=dict,
        metadata=key("limits that findings hold the wheel against", LimitsKind(), listed=False),
    )
    materials: tuple[Material, ...] = field(
        default=(), metadata=headed("materials of one's own", Material, name="material")
    )
    bobbin: Bobbin | None = field(default=None, metadata=table("the bobbin of a flyer", Bobbin))
    drags: tuple[DragBrake, ...] = field(
        default=(), metadata=headed("brakes on bobbin or flyer", DragBrake, name="drag")
    )
    fibres: tuple[OwnFibre, ...] = field(
        default=(), metadata=headed("fibres of one's own", OwnFibre, name="fibre")
    )
    measured: tuple[Measurement, ...] = field(
        default=(), metadata=headed("results that were measured", Measurement)
    )
    uncertainties: Mapping[str, float] = field(default_factory=dict)

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
