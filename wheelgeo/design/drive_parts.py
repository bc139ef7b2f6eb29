"""The parts that make a drive: shafts and what they run in, pulleys, bands, and what turns them.

Each field declares its key: what it means, its bounds, an example, the usual tolerance.
"""

from __future__ import annotations

from typing import Any, Literal

from wheelgeo.design.file_kinds import HOLES, MOST_SPOKES, SPOKES
from wheelgeo.design.joints import JOINT_NAMES
from wheelgeo.geometry.groove import GROOVE_KINDS, Groove
from wheelgeo.units.keys import (
    TablesKind,
    VariantKind,
    choice,
    flag,
    fraction,
    gap,
    key,
    keys_of,
    length,
    number,
    point,
    record,
    size,
    speed,
    table,
    tables,
    text,
)
from wheelgeo.units.kinds import DIRECTION, ENDS, WholeKind
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


@record
class Slide:
    """The travel of a shaft for tensioning: along a unit vector, from and to, mm."""

    along: Vector = key("direction of the travel", DIRECTION, "[1, 0, 0]", listed=False)
    from_mm: float = length("one end of the travel", '"-2 mm"', listed=False)
    to_mm: float = length("the other end of the travel", '"6 mm"', listed=False)


@record
class Bearing:
    """One bearing of a shaft, ``at_mm`` along the axis from the shaft's ``at``."""

    at_mm: float = length("place along the spindle", '"0 mm"', "linear")
    kind: str = text("what the shaft runs in", '"brass"')
    stiffness_n_mm: float | None = number("stiffness, N/mm", "50", name="stiffness", default=None)
    split: bool = flag(
        "what holds it is sawn through at the hole, its upper half a cap that comes off", "true",
        default=False,
    )


SLEEVE = "runs_on"
"""Beside this key a shaft needs no place, axis or diameter of its own."""


@record
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
        fixed: the rod is a pin that stands still; what it carries turns on it, in its bearings.
        diameter_given: False for a sleeve whose file leaves its diameter out.
    """

    name: str = text("name of the shaft", '"main"')
    at_mm: Vector = point("place of the shaft", "[0, 0, 0]", "linear", unless=SLEEVE)
    axis: Vector = key(
        "direction of the axis; the spindle's points out of the tip",
        DIRECTION,
        "[0, 0, 1]",
        listed=False,
        unless=SLEEVE,
    )
    diameter_mm: float = size("diameter of the rod", '"8 mm"', "linear", unless=SLEEVE)
    slide: Slide | None = table("travel for tensioning", Slide, listed=False, default=None)
    ends_mm: tuple[float, float] | None = key(
        "the rod's two ends, along the axis from at", ENDS, "[-10, 50]", listed=False, default=None
    )
    material: str | None = text("material of the rod", '"steel"', default=None)
    bearings: tuple[Bearing, ...] = tables("what the shaft runs in, and where", Bearing, default=())
    runs_on: str | None = text(
        "the shaft on which this one runs, as a sleeve", '"flyer"', default=None
    )
    fixed: bool = flag(
        "the rod is a pin that stands still; what it carries turns on it", "true", default=False
    )
    diameter_given: bool = True


@record
class Lightening:
    """Holes through the web of a pulley: how many, of what diameter, on what pitch circle, mm."""

    holes: int = key("how many holes", WholeKind(1, 10_000, "number of holes", HOLES), "5")
    diameter_mm: float = size("diameter of each hole", '"30 mm"')
    circle_mm: float = size("diameter of the circle of their centres", '"110 mm"')


@record
class Pulley:
    """One groove on a shaft.

    Attributes:
        name: its name in the file.
        shaft: name of its shaft.
        offset_mm: the groove's mid-plane, along the axis from the shaft's ``at``.
        groove: the groove.
        width_mm: overall width along the axis; None where the file is silent.
        material: name of its material, or None.
        build: how it is made: turned from one board, glued up from sheet (``layers``), a rim of
            segments round a middle of plywood, boards glued with battens, or a rim of segments
            with spokes and a hub; None: by its size.
        spokes: how many spokes; None: as many as is usual for its size.
        core_mm: thickness of the core sheet of a layered pulley, None otherwise.
        cheek_mm: thickness of each cheek sheet of a layered pulley, None otherwise.
        bore_mm: diameter of the bore; None takes the shaft's diameter and the usual fit.
        lightening: holes through the web, or None.
    """

    name: str = text("name of the pulley", '"wheel"')
    shaft: str = text("the shaft that it sits on", '"main"')
    offset_mm: float = length("place of the groove along the shaft", '"12 mm"', "linear")
    groove: Groove = key("the groove", VariantKind(grooves, shape_of, A_GROOVE))
    width_mm: float | None = size("overall width", '"10 mm"', "linear", default=None)
    material: str | None = text("material of the pulley", '"beech"', default=None)
    build: Literal["turned", "layers", "segments", "boards", "spokes"] | None = choice(
        "how it is made", '"segments"', ("turned", "layers", "segments", "boards", "spokes"),
        default=None,
    )
    spokes: int | None = key(
        "how many spokes", WholeKind(5, MOST_SPOKES, "number of spokes", SPOKES), "10",
        listed=False, default=None,
    )
    core_mm: float | None = size("thickness of the core sheet", '"4 mm"', "linear", default=None)
    cheek_mm: float | None = size("thickness of each cheek sheet", '"3 mm"', "linear", default=None)
    bore_mm: float | None = size("diameter of the bore", '"8 mm"', "linear", default=None)
    lightening: Lightening | None = table(
        "holes through the web", Lightening, listed=False, default=None
    )


@record
class Stop:
    """One meeting of a band with a pulley; ``turns`` is relative to the route's first pulley."""

    pulley: str = text("name of the pulley", '"whorl"')
    turns: Relative = choice(
        "whether the pulley turns, about its own axis, as the route's first does",
        '"against"',
        ("with", "against"),
        default="with",
    )


@record
class Tensioner:
    """What pulls a band tight besides its own stretch.

    Attributes:
        kind: ``measured`` is the strand's pull at rest; ``weight`` and ``spring`` pull on the
            shaft that slides, so that all strands on it share the pull.
        pull_n: the pull, N.
    """

    kind: Literal["measured", "weight", "spring"]
    pull_n: float


@record
class Band:
    """An endless cord round pulleys.

    Attributes:
        name: its name in the file.
        route: the pulleys in the order in which the moving band meets them.
        crossed: the file said ``crossed = true`` (the second stop is then ``against``).
        material: name of the cord's material.
        diameter_mm: diameter of the cord as it lies, stretched on.
        slip: fraction by which each driven pulley is slower; None where the file is silent.
        stretch: installed stretch as a fraction; None where the file is silent.
        tension: what pulls it tight besides its stretch, or None.
        joint_mm: cord used up by the joint (overlap, knot or splice), mm; None: as is usual for
            the way that it is joined.
        joined: how its ends are joined, by name; None: as is usual for the material.
    """

    name: str = text("name of the band", '"first band"')
    route: tuple[Stop, ...] = key(
        "the pulleys in the order in which the moving band meets them",
        TablesKind(Stop),
        '["wheel", "hub"]',
        extra={"minItems": 2},
    )
    material: str = text("material of the cord", '"cotton cord"')
    diameter_mm: float = size(
        "diameter of the cord as it lies, stretched on", '"3 mm"', "linear"
    )
    crossed: bool = flag("crossed between two pulleys on parallel shafts", "true", default=False)
    slip: float | None = fraction("slip, as a fraction", '"1 %"', below_one=True, default=None)
    stretch: float | None = fraction("installed stretch, as a fraction", '"5 %"', default=None)
    tension: Tensioner | None = table(
        "what pulls it tight besides its stretch", Tensioner, default=None
    )
    joint_mm: float | None = gap("cord used up by the joint", '"12 mm"', default=None)
    joined: str | None = choice(
        "how its ends are joined", '"splice"', JOINT_NAMES, default=None
    )


@record
class Treadle:
    """A treadle as a linkage, seen with the driven shaft's axis towards the viewer.

    Attributes:
        pivot_across_mm: from the axle to the treadle's pivot, level; positive to the right.
        pivot_below_mm: from the axle down to the pivot.
        lever_mm: from the pivot to the footman's lower pin.
        footman_mm: length of the footman, pin to pin.
        foot_mm: from the pivot to the middle of the foot.
        kind: one treadle, or two whose cranks stand opposite.
    """

    pivot_across_mm: float | None = length(
        "from the axle to the treadle's pivot, level; right is positive", '"250 mm"', listed=False,
        default=None,
    )
    pivot_below_mm: float | None = size(
        "from the axle down to the treadle's pivot", '"400 mm"', listed=False, default=None
    )
    lever_mm: float | None = size(
        "from the treadle's pivot to the footman's pin", '"250 mm"', listed=False, default=None
    )
    footman_mm: float | None = size(
        "length of the footman, pin to pin", '"400 mm"', listed=False, default=None
    )
    foot_mm: float | None = size(
        "from the treadle's pivot to the middle of the foot", '"230 mm"', listed=False, default=None
    )
    kind: Literal["single", "double"] = choice(
        "one treadle, or two", '"single"', ("single", "double"), default="single"
    )


COUNTED = {"crank": "crank", "treadle": "wheel", "motor": "motor", "hand": "wheel"}
"""What a person counts the turns of, by what turns it; a treadle makes its wheel turn once a
stroke."""


@record
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
        hand: the hand that turns it, or None; the other one draws the yarn.
        treadle: its linkage, or None: the usual one is taken.
    """

    shaft: str = text("the shaft that is turned", '"main"')
    by: Literal["crank", "treadle", "motor", "hand"] = choice(
        "what turns it", '"crank"', ("crank", "treadle", "motor", "hand")
    )
    speed_rpm: float = speed("speed of the shaft that a person turns", '"60 rpm"')
    turns: Turning = choice(
        "its sense, seen with the axis pointing at the viewer",
        '"clockwise"',
        ("clockwise", "counter-clockwise"),
    )
    radius_mm: float | None = size("throw of the crank", '"65 mm"', "linear", default=None)
    offset_mm: float | None = length(
        "plane of the crank along its shaft", "-15", "linear", default=None
    )
    ratio: float | None = number(
        "wanted turns of the spindle per turn of this shaft", "140", listed=False, default=None
    )
    hand: Literal["right", "left"] | None = choice(
        "the hand that turns it; the other one draws", '"right"', ("right", "left"), default=None
    )
    treadle: Treadle | None = table(
        "the treadle as a linkage", Treadle, listed=False, default=None
    )
