"""Tables of a brief's file: one pydantic model for each, built on those of the design file.

Without postponed annotations, as all models of files here.
"""

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from wheelgeo.design import fields as f
from wheelgeo.design.other_tables import BearingFile, CopFile, SheetFile, WasherFile, YarnFile
from wheelgeo.design.schema import LimitsFile
from wheelgeo.design.table import Table, key
from wheelgeo.design.wording import fault, shown
from wheelgeo.tune.brief import MATTERS, Cord, Rods

PART_SIZES = ("wheel", "hub", "accelerator", "whorl")


def _stages(value: object) -> object:
    if value in (1, 2) and not isinstance(value, bool | float):
        return value
    raise fault(f"{shown(value)} is no number of stages", "it is 1 or 2")


def _wheels(value: object) -> object:
    if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= 20:
        return value
    raise fault(f"{shown(value)} is no number of wheels", "write a whole number from 1 to 20")


def _listed(value: object) -> object:
    """Let a plain list of sizes stand for the table that holds it."""
    return {"sizes": value} if isinstance(value, list) else value


class RangeFile(Table):
    """Sizes that can be made: a list, or from one to another by steps."""

    from_: f.Size | None = key("smallest size", "150", default=None, alias="from")
    to: f.Size | None = key("largest size", "190", default=None)
    step: f.Size | None = key("from one size to the next", '"0.5 mm"', default=None)
    sizes: list[f.Size] | None = key("the sizes at hand", "[6, 8, 10]", default=None)


_Range = Annotated[RangeFile, BeforeValidator(_listed)]


class SizesFile(Table):
    """What can be made."""

    wheel: _Range = key("rims of the wheel", "{ from = 150, to = 190, step = 2 }")
    hub: _Range | None = key("rims of the hub, for two stages", "[14, 16, 18]", default=None)
    accelerator: _Range | None = key(
        "rims of the accelerator, for two stages", "{ from = 60, to = 90, step = 2 }", default=None
    )
    whorl: _Range = key("rims of the whorl", "{ from = 9, to = 14, step = 0.5 }")
    place: f.Size = key("step of the places of the shafts", "5")
    rod: f.Size | None = key("largest rim that the turning stock gives", "40", default=None)


class CordFile(Table):
    """A cord at hand."""

    name: f.Name = key("name of the cord", '"thin cotton"')
    material: f.Name = key("its material", '"cotton cord"')
    diameter: f.Size = key("its diameter", "1.2")
    slip: f.Slip = key("fraction by which each driven pulley is slower", '"2 %"', default=0.0)
    stretch: f.Stretch = key("installed stretch", '"1 %"', default=0.0)

    def build(self) -> Cord:
        """Return the cord."""
        return Cord(self.name, self.material, self.diameter, self.slip, self.stretch)


class HandFile(Table):
    """The hand that turns the wheel."""

    speed: f.Speed = key("speed of the hand", '"60 rpm"')
    crank: f.Size = key("throw of the crank", "60")
    seconds_per_draw: f.Number | None = key("time of a draw, in place of a ratio", "3.6", None)


class RodsFile(Table):
    """Diameters of the shafts."""

    main: f.Size = key("main shaft", "8", default=8.0)
    middle: f.Size = key("middle shaft", "6", default=6.0)

    def build(self, spindle: float) -> Rods:
        """Return the rods, with that of the spindle."""
        return Rods(self.main, self.middle, spindle)


class MountFile(Table):
    """The spindle as it will be mounted; places are counted from the whorl towards the tip."""

    lies: Annotated[
        Literal["horizontal", "flat"], BeforeValidator(f.one_of("horizontal", "flat"))
    ] = key("horizontal: level over flat discs; flat: parallel to the other shafts", '"horizontal"')
    kind: f.SpindleKind = key("whether the yarn leaves over a tip or a flyer", '"tip"', "tip")
    diameter: f.Size = key("diameter of the rod", "4")
    ends: f.Ends = key("the rod's two ends", "[-20, 175]")
    bearings: list[BearingFile] = key("the spindle's bearings", default=[])
    washers: list[WasherFile] = key("discs that stop the cop", default=[])
    cop: CopFile | None = key("the yarn on the full spindle", default=None)


class RoomFile(Table):
    """The case."""

    inside: f.Box = key("its inside size", "[385, 190, 70]")


Matters = Annotated[
    Literal["ratio", "slip", "lead", "bend", "wood"], BeforeValidator(f.one_of(*MATTERS))
]


class BriefFile(Table):
    """A brief."""

    title: f.Name = key("title of the wheels", '"Lunch box wheel"')
    unit: f.FileUnit = key("unit of every bare length", '"mm"', default="mm")
    stages: Annotated[Literal[1, 2], BeforeValidator(_stages)] = key("one band or two", "2")
    ratio: f.Number | None = key("wanted ratio, in place of the time of a draw", "150", None)
    matters: list[Matters] = key("what matters, most first", '["ratio", "slip"]', default=[])
    wheels: Annotated[int, BeforeValidator(_wheels)] = key("how many wheels to find", "4", 4)
    hand: HandFile = key("the hand that turns it")
    yarn: YarnFile = key("the yarn that is wanted")
    case: RoomFile = key("the case")
    cord: list[CordFile] = key("the cords at hand")
    sizes: SizesFile = key("what can be made")
    rods: RodsFile = Field(default_factory=lambda: RodsFile.model_construct(main=8.0, middle=6.0))
    spindle: MountFile = key("the spindle as it will be mounted")
    sheet: list[SheetFile] = key("the sheets that the discs are cut from", default=[])
    limits: LimitsFile | None = key("limits that differ from practice", default=None)


def json_schema() -> dict[str, Any]:
    """Return the JSON schema (draft 2020-12) of a brief, for editors."""
    schema = BriefFile.model_json_schema(by_alias=True)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
