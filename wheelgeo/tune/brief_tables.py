"""The tables of a brief's file, each key declared as those of a wheel's file are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from wheelgeo.design.json_schema import json_schema as schema_of
from wheelgeo.design.kinds import LimitsKind
from wheelgeo.design.model import Bearing, Cop, Stock, Vector, Washer, Yarn
from wheelgeo.tune.brief import MATTERS, Cord, Lies, Matter
from wheelgeo.units.keys import (
    Form,
    choice,
    form_of,
    headed,
    key,
    number,
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


@dataclass(frozen=True, slots=True)
class SizeRange:
    """Sizes that can be made: a list, or from one to another by steps."""

    from_: float | None = field(default=None, metadata=size("smallest size", "150", name="from"))
    to: float | None = field(default=None, metadata=size("largest size", "190"))
    step: float | None = field(default=None, metadata=size("from one size to the next", '"0.5 mm"'))
    sizes: tuple[float, ...] | None = field(
        default=None, metadata=key("the sizes at hand", ListKind(SIZE), "[6, 8, 10]")
    )


@dataclass(frozen=True, slots=True)
class MakeableSizes:
    """What can be made."""

    wheel: SizeRange = field(
        metadata=table("rims of the wheel", SizeRange, example="{ from = 150, to = 190, step = 2 }")
    )
    whorl: SizeRange = field(
        metadata=table("rims of the whorl", SizeRange, example="{ from = 9, to = 14, step = 0.5 }")
    )
    place: float = field(metadata=size("step of the places of the shafts", "5"))
    hub: SizeRange | None = field(
        default=None,
        metadata=table("rims of the hub, for two stages", SizeRange, example="[14, 16, 18]"),
    )
    accelerator: SizeRange | None = field(
        default=None,
        metadata=table(
            "rims of the accelerator, for two stages", SizeRange,
            example="{ from = 60, to = 90, step = 2 }",
        ),
    )  # fmt: skip
    rod: float | None = field(
        default=None, metadata=size("largest rim that the turning stock gives", "40")
    )


@dataclass(frozen=True, slots=True)
class Hand:
    """The hand that turns the wheel."""

    speed: float = field(metadata=speed("speed of the hand", '"60 rpm"'))
    crank: float = field(metadata=size("throw of the crank", "60"))
    seconds_per_draw: float | None = field(
        default=None, metadata=number("time of a draw, in place of a ratio", "3.6")
    )


@dataclass(frozen=True, slots=True)
class RodSizes:
    """Diameters of the shafts."""

    main: float = field(default=8.0, metadata=size("main shaft", "8"))
    middle: float = field(default=6.0, metadata=size("middle shaft", "6"))


@dataclass(frozen=True, slots=True)
class MountedSpindle:
    """The spindle as it will be mounted; places are counted from the whorl towards the tip."""

    lies: Lies = field(
        metadata=choice(
            "horizontal: level over flat discs; flat: parallel to the other shafts",
            '"horizontal"', ("horizontal", "flat"),
        )
    )  # fmt: skip
    diameter: float = field(metadata=size("diameter of the rod", "4"))
    ends: tuple[float, float] = field(metadata=key("the rod's two ends", ENDS, "[-20, 175]"))
    kind: Literal["tip", "flyer"] = field(
        default="tip",
        metadata=choice("whether the yarn leaves over a tip or a flyer", '"tip"', ("tip", "flyer")),
    )
    bearings: tuple[Bearing, ...] = field(
        default=(), metadata=tables("the spindle's bearings", Bearing)
    )
    washers: tuple[Washer, ...] = field(
        default=(), metadata=tables("discs that stop the cop", Washer)
    )
    cop: Cop | None = field(default=None, metadata=table("the yarn on the full spindle", Cop))


@dataclass(frozen=True, slots=True)
class Room:
    """The case."""

    inside: Vector = field(metadata=key("its inside size", BOX, "[385, 190, 70]"))


_STAGES = WholeKind(1, 2, "number of stages", "it is 1 or 2")
_WHEELS = WholeKind(1, 20, "number of wheels", "write a whole number from 1 to 20")


@dataclass(frozen=True, slots=True)
class BriefTables:
    """A brief: what a wheel must do, and what there is to make it of."""

    title: str = field(metadata=text("title of the wheels", '"Lunch box wheel"'))
    stages: Literal[1, 2] = field(metadata=key("one band or two", _STAGES, "2"))
    hand: Hand = field(metadata=table("the hand that turns it", Hand))
    yarn: Yarn = field(metadata=table("the yarn that is wanted", Yarn))
    case: Room = field(metadata=table("the case", Room))
    cord: tuple[Cord, ...] = field(metadata=headed("the cords at hand", Cord))
    sizes: MakeableSizes = field(metadata=table("what can be made", MakeableSizes))
    spindle: MountedSpindle = field(
        metadata=table("the spindle as it will be mounted", MountedSpindle)
    )
    unit: str = field(default="mm", metadata=key("unit of every bare length", FILES_UNIT, '"mm"'))
    ratio: float | None = field(
        default=None, metadata=number("wanted ratio, in place of the time of a draw", "150")
    )
    matters: tuple[Matter, ...] = field(
        default=(),
        metadata=key(
            "what matters, most first", ListKind(ChoiceKind(tuple(MATTERS))), '["ratio", "slip"]'
        ),
    )
    wheels: int = field(default=4, metadata=key("how many wheels to find", _WHEELS, "4"))
    rods: RodSizes = field(
        default_factory=RodSizes, metadata=table("diameters of the shafts", RodSizes)
    )
    sheet: tuple[Stock, ...] = field(
        default=(), metadata=headed("the sheets that the discs are cut from", Stock)
    )
    limits: Mapping[str, float] = field(
        default_factory=dict, metadata=key("limits that differ from practice", LimitsKind())
    )


shaped(SizeRange, lambda form: replace(form, short="sizes"))
BRIEF: Form = form_of(BriefTables)
"""How a brief stands in its file."""


def json_schema() -> Schema:
    """Return the JSON schema (draft 2020-12) of a brief, for editors."""
    return schema_of(BRIEF)
