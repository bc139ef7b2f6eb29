"""What a wheel has beside its drive: spindle, bobbin, brakes, yarn, case, shop, measurements.

Each field declares its key: what it means, its bounds, an example, the usual tolerance.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from wheelgeo.design.drive_parts import Bearing, Side, Twist, Vector
from wheelgeo.design.kinds import FACTOR, Count, CountKind, MeasuredKind
from wheelgeo.units.keys import (
    choice,
    flag,
    force,
    gap,
    headed,
    key,
    length,
    mass,
    number,
    point,
    size,
    table,
    tables,
    text,
)
from wheelgeo.units.kinds import BOX


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
