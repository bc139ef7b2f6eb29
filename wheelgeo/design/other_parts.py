"""What a wheel has beside its drive: spindle, bobbin, brakes, yarn, case, shop, measurements.

Each field declares its key: what it means, its bounds, an example, the usual tolerance.
"""

from __future__ import annotations

from dataclasses import field
from typing import Literal

from wheelgeo.design.drive_parts import Bearing, Side, Twist, Vector
from wheelgeo.design.file_kinds import (
    FACTOR,
    Count,
    CountKind,
    Fineness,
    FinenessKind,
    MeasuredKind,
)
from wheelgeo.units.keys import (
    choice,
    flag,
    force,
    fraction,
    frequency,
    gap,
    headed,
    key,
    length,
    mass,
    number,
    point,
    record,
    size,
    speed,
    table,
    tables,
    text,
)
from wheelgeo.units.kinds import BOX
from wheelgeo.units.number_kinds import ABOVE_ZERO, FILE_UNIT, NUMBER, Bounds, NumberKind
from wheelgeo.units.quantity import ANGLE_DEG, FRACTION, LENGTH_MM, TWIST_PER_M

SpinningMethod = Literal["combed ring", "carded ring", "rotor", "hand"]


@record
class Section:
    """One stretch of a stepped spindle, from and to along the axis, mm, with its diameter."""

    from_mm: float = length("start along the spindle", '"0 mm"', "linear")
    to_mm: float = length("end along the spindle", '"80 mm"', "linear")
    diameter_mm: float = size("diameter of the spindle there", '"6 mm"', "linear")


@record
class Washer:
    """A disc on the spindle that stops the cop: place, diameter and thickness, mm."""

    at_mm: float = length("place along the spindle", '"40 mm"', "linear")
    diameter_mm: float = size("diameter of the washer", '"30 mm"', "linear")
    thickness_mm: float = size("thickness of the washer", '"2 mm"', "linear")
    material: str | None = text("its material", '"brass"', default=None)


@record
class Cop:
    """The yarn wound on the spindle when full: from and to along the axis, diameter, mass."""

    from_mm: float = length("start of the cop along the spindle", '"42 mm"')
    to_mm: float = length("end of the cop along the spindle", '"110 mm"')
    diameter_mm: float = size("diameter of the full cop", '"25 mm"')
    mass_g: float = mass("mass of the full cop", '"15 g"')


@record
class Spindle:
    """What puts in the twist: which shaft, and whether yarn leaves over a tip or a flyer.

    A natural frequency that was heard, bare and at rest in its bearings, tells how they give way.
    """

    shaft: str = text("the spindle's shaft", '"spindle"')
    kind: Literal["tip", "flyer"] = choice(
        "whether the yarn leaves over a tip or a flyer", '"tip"', ("tip", "flyer")
    )
    bearings: tuple[Bearing, ...] = tables("the spindle's bearings", Bearing, default=())
    sections: tuple[Section, ...] = tables("stretches of a stepped spindle", Section, default=())
    washers: tuple[Washer, ...] = tables("discs that stop the cop", Washer, default=())
    cop: Cop | None = table("the yarn on the full spindle", Cop, default=None)
    bobbin: str | None = text(
        "the shaft that the bobbin of a flyer is on", '"bobbin"', default=None
    )
    natural_frequency_hz: float | None = frequency(
        "natural frequency of the bare spindle in its bearings, as a tap on it sounds",
        '"94 Hz"', default=None,
    )  # fmt: skip


@record
class Bobbin:
    """The bobbin of a flyer: diameters of its bare core, and over the yarn when it is full, mm."""

    empty_mm: float = size("diameter of the bare bobbin", '"25 mm"', "linear")
    full_mm: float = size("diameter over the yarn of the full bobbin", '"80 mm"')


@record
class DragBrake:
    """A brake on the bobbin or the flyer: net pull of its cord, N, over a groove's diameter, mm.

    Which end its spring or peg holds decides what it pulls when the wheel is turned back.
    """

    shaft: str = text("the shaft that it brakes", '"bobbin"')
    pull_n: float = force(
        "net pull of the brake band at its groove; 0 where it is off", '"2 N"', may_be_none=True
    )
    diameter_mm: float = size("diameter of that groove", '"60 mm"')
    spring: Literal["slack", "tight"] | None = choice(
        "the end of its cord that a spring or peg holds, in spinning: the slack or the tight one",
        '"slack"', ("slack", "tight"), default=None,
    )  # fmt: skip
    wrap_deg: float = key(
        "arc over which its cord lies in the groove",
        NumberKind(ANGLE_DEG, "deg", Bounds(0.0, 1080.0, "more than 0 and at most 1 080 degrees")),
        '"180 deg"',
        listed=False,
        default=180.0,
    )
    material: str = text("what its cord is of", '"cotton cord"', default="cotton cord")


@record
class Measurement:
    """A result that was measured: its name, and what it is, as written with its uncertainty."""

    what: str = text("name of the result", '"drive band.length"')
    is_: float | str = key("what was measured", MeasuredKind(), '"76 1/2 +- 1/4 in"', name="is")


@record
class OwnFibre:
    """A fibre of one's own; its density turns a fineness in um into one by mass."""

    name: str = text("name of the fibre", '"alpaca"')
    density_kg_m3: float | None = key(
        "its density, kg/m3",
        NumberKind(NUMBER, "", Bounds(200.0, 5000.0, "from 200 to 5000 kg/m3", low_allowed=True)),
        "1300",
        default=None,
    )


@record
class Yarn:
    """The yarn that is wanted.

    Attributes:
        count: its fineness.
        fibre: name of the fibre.
        twist: S or Z as ISO 2 defines them.
        turns_per_metre: twist; None where ``twist_factor`` is given or neither is.
        twist_factor: twist factor in the convention of the count's system, or None.
        draw_mm: length of yarn made in one draw, or None.
        fineness: of its fibres, or None.
        method: how it is spun, which decides how few fibres still hold together.
        use: what it is for, or None.
        ply_share: ply twist over the singles' twist; None: of two plies what balances them, of
            more what gives plies and singles one helix angle.
    """

    count: Count = key("its fineness: Nm, Ne, tex or denier", CountKind(), '"40 Nm"')
    fibre: str = text("its fibre", '"cotton"')
    twist: Twist = choice("direction of the twist (ISO 2)", '"Z"', ("S", "Z"))
    turns_per_metre: float | None = key(
        "twist, turns per metre", NumberKind(TWIST_PER_M, TWIST_PER_M.unit, ABOVE_ZERO), "850",
        default=None,
    )  # fmt: skip
    twist_factor: float | None = number(
        "twist factor, in the convention of the count's system", "134", extra=FACTOR, default=None
    )
    draw_mm: float | None = size("length of yarn made in one draw", '"650 mm"', default=None)
    fineness: Fineness | None = key(
        "fineness of its fibres: micronaire, dtex, mtex, or um across",
        FinenessKind(),
        '"21 um"',
        default=None,
    )
    method: SpinningMethod = choice(
        "how it is spun", '"hand"', ("hand", "combed ring", "carded ring", "rotor"), default="hand"
    )
    use: Literal["knitting", "weft", "warp"] | None = choice(
        "what it is for", '"weft"', ("knitting", "weft", "warp"), default=None
    )
    ply_share: float | None = key(
        "ply twist over the singles' twist",
        NumberKind(FRACTION, "", Bounds(0.05, 2.0, "from 0.05 to 2", low_allowed=True)),
        "0.7",
        default=None,
    )


@record
class Habits:
    """How the spinner works, beside the speed of the hand while drafting.

    What is left out is common practice, no source.

    Attributes:
        given: keys that the file says, though it may say what is usual.
    """

    backing_rpm: float = speed("speed of the hand while backing off", '"30 rpm"', default=30.0)
    winding_rpm: float = speed("speed of the hand while winding on", '"30 rpm"', default=30.0)
    draft_share: float = fraction(
        "part of the twist that goes in while drafting", '"80 %"', default=0.8
    )
    pause: float = number("seconds lost in a draw: joins, looks, changes", "1.5", default=1.5)
    spiral_mm: float = size(
        "how far the yarn's spiral from cop to tip climbs in a turn", '"6 mm"', default=6.0
    )
    hook_every: float = number(
        "metres of yarn between two stops of a flyer wheel, for the next hook", "4", default=4.0
    )
    hook_stop: float = number("seconds of such a stop", "8", default=8.0)
    turns_off: float = number(
        "scatter of the hand's turns in a draw, as a standard deviation", "0.5", default=0.5
    )
    draw_off: float = fraction(
        "scatter of a draw's length, as a standard deviation", '"5 %"', default=0.05
    )
    given: frozenset[str] = field(default=frozenset(), compare=False, repr=False)


@record
class Case:
    """The case that the wheel stands in: inside size, lowest corner, mm, and the spinner's side.

    Its floor is as thick as ``Shop.floor_mm``; walls and lid, where the file is silent, as
    ``wheelgeo.built.case`` says.
    """

    inside_mm: Vector = key("inside size of the case", BOX, "[340, 170, 60]")
    corner_mm: Vector = point("lowest corner of the case", "[-85, -85, -10]")
    spinner: Side = choice(
        "the side where the spinner sits",
        '"front"',
        ("front", "back", "left", "right"),
        default="front",
    )
    wall_mm: float | None = size("thickness of the walls", '"9 mm"', "linear", default=None)
    lid_mm: float | None = size("thickness of the lid", '"6 mm"', "linear", default=None)


@record
class Stand:
    """What a wheel without a case stands on: a table on legs with posts, or the builder's own."""

    kind: Literal["table", "own"] = choice(
        "what a wheel without a case stands on", '"table"', ("table", "own"), default="table"
    )
    across_mm: float | None = size(
        "least reach of its feet across the axle; a third of the highest shaft's height where "
        "left out", '"400 mm"', default=None
    )  # fmt: skip
    deep_mm: float | None = size(
        "least reach of its feet along the axle; likewise", '"300 mm"', default=None
    )


@record
class Stock:
    """Sheet to cut parts from: length, width and thickness, mm."""

    name: str = text("name of the sheet", '"birch ply"')
    length_mm: float = size("its length", '"600 mm"')
    width_mm: float = size("its width", '"300 mm"')
    thickness_mm: float = size("its thickness", '"6 mm"')
    material: str | None = text("its material", '"plywood"', default=None)


@record
class Shop:
    """How the parts are to be made: sheets at hand, kerf, spacing and edge margin, mm.

    An ``old_wheel`` is there already: what hangs on rods, bearings and wood, which nobody measured,
    is not judged, and only what its bands are cut and tried by is made. What hangs on a distance
    that was assumed is a note, while its pulleys stand so.
    """

    sheets: tuple[Stock, ...] = headed("the sheets at hand", Stock, name="sheet", default=())
    kerf_mm: float = gap("width of the cut that the outlines allow for", '"0.2 mm"', default=0.0)
    spacing_mm: float = gap("between parts on a sheet", '"3 mm"', default=3.0)
    margin_mm: float = gap("from parts to the edge of a sheet", '"5 mm"', default=5.0)
    knob_hole_mm: float = size("hole for the crank's knob", '"6 mm"', default=6.0)
    floor_mm: float = size("thickness of the case floor", '"6 mm"', default=6.0)
    reel: bool = flag("whether a reel is wanted too", "true", default=False)
    old_wheel: bool = flag(
        "whether the wheel is there already, so that only its bands are made", "true", default=False
    )
    reel_round_mm: float = key(
        "yarn that one turn of that reel takes",
        NumberKind(LENGTH_MM, FILE_UNIT, Bounds(200.0, 5000.0, "between 200 and 5 000 mm", True)),
        '"1.5 m"',
        default=1000.0,
    )
    grooves_apart_assumed_mm: float | None = size(
        "distance of an old wheel's two grooves that nobody measured", '"12.35 mm"', default=None
    )
    whorls_apart_assumed_mm: float | None = size(
        "distance of its flyer's and bobbin's whorls that nobody measured", '"14.35 mm"',
        default=None,
    )  # fmt: skip
