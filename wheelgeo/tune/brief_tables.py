"""The tables of a brief's file, each key declared as those of a wheel's file are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Literal

from wheelgeo.design.file_kinds import LimitsKind
from wheelgeo.design.json_schema import json_schema as schema_of
from wheelgeo.design.model import Bearing, Cop, Stock, Vector, Washer, Yarn
from wheelgeo.tune.brief import MATTERS, Cord, Lies, Matter
from wheelgeo.units.keys import (
    Form,
    choice,
    form_of,
    headed,
    key,
    number,
    record,
    shaped,
    size,
    speed,
    table,
    tables,
    text,
)
from wheelgeo.units.kind import Schema
from wheelgeo.units.kinds import BOX, ENDS, FILES_UNIT, SIZE, ChoiceKind, ListKind, WholeKind

PART_SIZES = ("wheel", "hub", "accelerator", "whorl")


@record
class SizeRange:
    """Sizes that can be made: a list, or from one to another by steps."""

    from_: float | None = size("smallest size", "150", name="from", default=None)
    to: float | None = size("largest size", "190", default=None)
    step: float | None = size("from one size to the next", '"0.5 mm"', default=None)
    sizes: tuple[float, ...] | None = key(
        "the sizes at hand", ListKind(SIZE), "[6, 8, 10]", default=None
    )


@record
class MakeableSizes:
    """What can be made."""

    wheel: SizeRange = table(
        "rims of the wheel", SizeRange, example="{ from = 150, to = 190, step = 2 }"
    )
    whorl: SizeRange = table(
        "rims of the whorl", SizeRange, example="{ from = 9, to = 14, step = 0.5 }"
    )
    place: float = size("step of the places of the shafts", "5")
    hub: SizeRange | None = table(
        "rims of the hub, for two stages", SizeRange, example="[14, 16, 18]", default=None
    )
    accelerator: SizeRange | None = table(
        "rims of the accelerator, for two stages",
        SizeRange,
        example="{ from = 60, to = 90, step = 2 }",
        default=None,
    )
    rod: float | None = size("largest rim that the turning stock gives", "40", default=None)


@record
class Hand:
    """The hand that turns the wheel."""

    speed: float = speed("speed of the hand", '"60 rpm"')
    crank: float = size("throw of the crank", "60")
    seconds_per_draw: float | None = number(
        "time of a draw, in place of a ratio", "3.6", default=None
    )


@record
class RodSizes:
    """Diameters of the shafts."""

    main: float = size("main shaft", "8", default=8.0)
    middle: float = size("middle shaft", "6", default=6.0)


@record
class MountedSpindle:
    """The spindle as it will be mounted; places are counted from the whorl towards the tip."""

    lies: Lies = choice(
        "horizontal: level over flat discs; flat: parallel to the other shafts",
        '"horizontal"',
        ("horizontal", "flat"),
    )
    diameter: float = size("diameter of the rod", "4")
    ends: tuple[float, float] = key("the rod's two ends", ENDS, "[-20, 175]")
    kind: Literal["tip", "flyer"] = choice(
        "whether the yarn leaves over a tip or a flyer", '"tip"', ("tip", "flyer"), default="tip"
    )
    bearings: tuple[Bearing, ...] = tables("the spindle's bearings", Bearing, default=())
    washers: tuple[Washer, ...] = tables("discs that stop the cop", Washer, default=())
    cop: Cop | None = table("the yarn on the full spindle", Cop, default=None)


@record
class Room:
    """The case."""

    inside: Vector = key("its inside size", BOX, "[385, 190, 70]")


_STAGES = WholeKind(1, 2, "number of stages", "it is 1 or 2")
_WHEELS = WholeKind(1, 20, "number of wheels", "write a whole number from 1 to 20")


@record
class BriefTables:
    """A brief: what a wheel must do, and what there is to make it of."""

    title: str = text("title of the wheels", '"Lunch box wheel"')
    stages: Literal[1, 2] = key("one band or two", _STAGES, "2")
    hand: Hand = table("the hand that turns it", Hand)
    yarn: Yarn = table("the yarn that is wanted", Yarn)
    case: Room = table("the case", Room)
    cord: tuple[Cord, ...] = headed("the cords at hand", Cord)
    sizes: MakeableSizes = table("what can be made", MakeableSizes)
    spindle: MountedSpindle = table("the spindle as it will be mounted", MountedSpindle)
    unit: str = key("unit of every bare length", FILES_UNIT, '"mm"', default="mm")
    ratio: float | None = number(
        "wanted ratio, in place of the time of a draw", "150", default=None
    )
    matters: tuple[Matter, ...] = key(
        "what matters, most first",
        ListKind(ChoiceKind(tuple(MATTERS))),
        '["ratio", "slip"]',
        default=(),
    )
    wheels: int = key("how many wheels to find", _WHEELS, "4", default=4)
    rods: RodSizes = table("diameters of the shafts", RodSizes, default=RodSizes())
    sheet: tuple[Stock, ...] = headed("the sheets that the discs are cut from", Stock, default=())
    limits: Mapping[str, float] = key(
        "limits that differ from practice", LimitsKind(), default_factory=dict
    )


shaped(SizeRange, lambda form: replace(form, short="sizes"))
BRIEF: Form = form_of(BriefTables)
"""How a brief stands in its file."""


def json_schema() -> Schema:
    """Return the JSON schema (draft 2020-12) of a brief, for editors."""
    return schema_of(BRIEF)
