"""The shape of a design file: one pydantic model for each table, and the JSON schema of it all.

Each model reads one table and builds the plain data of :mod:`wheelgeo.design.model` from it. What
concerns several tables or keys at once (names that must exist, keys that exclude each other) is
in :mod:`wheelgeo.design.crosscheck`. The first example of a key is what a message about a missing
key shows.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Discriminator,
    Field,
    Tag,
    create_model,
)

from wheelgeo.design import fields as f
from wheelgeo.design import materials as m
from wheelgeo.design import model
from wheelgeo.design.limits import LIMITS

OWN_SOURCE = "the design file"
"""Source of a material figure for which the file names none."""


def _key(means: str, example: str = "", default: Any = ..., alias: str | None = None) -> Any:
    """Return a field: what the key means, an example as written in the file, and its default."""
    examples = [example] if example else None
    return Field(default, alias=alias, description=means, examples=examples)


class Table(BaseModel):
    """A table of the file; keys that it does not know are faults."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True)


class SlideFile(Table):
    """Travel of a shaft for tensioning."""

    along: f.Direction = _key("direction of the travel", "[1, 0, 0]")
    from_: f.Length = _key("one end of the travel", "-2", alias="from")
    to: f.Length = _key("the other end of the travel", "6")

    def build(self) -> model.Slide:
        """Return the slide."""
        return model.Slide(self.along, self.from_, self.to)


class ShaftFile(Table):
    """A straight axis with everything that turns with it."""

    name: f.Name = _key("name of the shaft", '"main"')
    at: f.Point = _key("a point on the axis", "[0, 0, 0]")
    axis: f.Direction = _key(
        "direction of the axis; the spindle's points out of the tip", "[0, 0, 1]"
    )
    diameter: f.Size = _key("diameter of the rod", "8")
    slide: SlideFile | None = _key("travel for tensioning", default=None)
    ends: f.Ends | None = _key(
        "the rod's two ends, along the axis from at", "[-10, 50]", default=None
    )
    material: f.Name | None = _key("material of the rod", '"steel"', default=None)

    def build(self) -> model.Shaft:
        """Return the shaft."""
        slide = self.slide.build() if self.slide else None
        return model.Shaft(
            self.name, self.at, self.axis, self.diameter, slide, self.ends, self.material
        )


_SHAPES = ("vee", "round", "flat")


class VeeFile(Table):
    """A vee groove."""

    shape: Literal["vee"] = _key("a vee", '"vee"')
    rim: f.Size = _key("outside diameter", "180")
    depth: f.Size = _key("from the rim to the groove's bottom", "4")
    angle: f.Angle = _key("included angle of the flanks", "40")
    bottom: f.Gap = _key("width of the flat bottom", "0", default=0.0)

    def build(self) -> model.Groove:
        """Return the groove."""
        return model.VeeGroove(self.rim, self.depth, self.angle, self.bottom)


class RoundFile(Table):
    """A groove with a round bottom."""

    shape: Literal["round"] = _key("round", '"round"')
    rim: f.Size = _key("outside diameter", "180")
    depth: f.Size = _key("from the rim to the groove's bottom", "3")
    radius: f.Size = _key("radius of the round bottom", "2")

    def build(self) -> model.Groove:
        """Return the groove."""
        return model.RoundGroove(self.rim, self.depth, self.radius)


class FlatFile(Table):
    """A flat rim."""

    shape: Literal["flat"] = _key("flat", '"flat"')
    rim: f.Size = _key("outside diameter", "176")
    width: f.Size = _key("width of the rim", "8")

    def build(self) -> model.Groove:
        """Return the groove."""
        return model.FlatRim(self.rim, self.width)


class PitchFile(Table):
    """Only the pitch diameter is known."""

    pitch: f.Size = _key("pitch diameter: twice from the axis to the cord's centre-line", "178.2")

    def build(self) -> model.Groove:
        """Return the groove."""
        return model.GivenPitch(self.pitch)


TAG = "groove:"
"""What the kinds of groove are tagged with in the places of pydantic's errors."""


def _groove_tag(value: object) -> str:
    if isinstance(value, dict):
        return TAG + str(value.get("shape", "pitch"))
    return TAG + str(getattr(value, "shape", "pitch"))


def _known_shape(value: object) -> object:
    if not isinstance(value, dict):
        raise f.fault(
            f"{f.shown(value)} is no groove",
            'write it as { shape = "vee", rim = 180, depth = 4, angle = 40 }',
        )
    if "shape" in value:
        f.one_of(*_SHAPES)(value["shape"])
    elif "pitch" not in value:
        raise f.fault("the groove's shape is missing", 'add for example shape = "vee"')
    return value


GrooveFile = Annotated[
    Annotated[VeeFile, Tag(TAG + "vee")]
    | Annotated[RoundFile, Tag(TAG + "round")]
    | Annotated[FlatFile, Tag(TAG + "flat")]
    | Annotated[PitchFile, Tag(TAG + "pitch")],
    Discriminator(_groove_tag),
    BeforeValidator(_known_shape),
]


class LighteningFile(Table):
    """Holes through the web of a pulley."""

    holes: f.Whole = _key("how many holes", "5")
    diameter: f.Size = _key("diameter of each hole", "30")
    circle: f.Size = _key("diameter of the circle of their centres", "110")

    def build(self) -> model.Lightening:
        """Return the holes."""
        return model.Lightening(self.holes, self.diameter, self.circle)


class PulleyFile(Table):
    """One groove on a shaft; two grooves on one wheel are two pulleys."""

    model_config = ConfigDict(
        json_schema_extra={"oneOf": [{"required": ["groove"]}, {"required": ["pitch"]}]}
    )

    name: f.Name = _key("name of the pulley", '"wheel"')
    shaft: f.Name = _key("the shaft that it sits on", '"main"')
    offset: f.Length = _key("the groove's mid-plane, along the axis from the shaft's at", "12")
    groove: GrooveFile | None = _key(
        "the groove", '{ shape = "vee", rim = 180, depth = 4, angle = 40 }', default=None
    )
    pitch: f.Size | None = _key("pitch diameter, instead of a groove", "178.2", default=None)
    width: f.Size | None = _key("overall width along the axis", "10", default=None)
    material: f.Name | None = _key("material of the pulley", '"beech"', default=None)
    build_: f.Build | None = _key("how it is made", '"turned"', default=None, alias="build")
    core: f.Size | None = _key("thickness of the core sheet of a layered pulley", "4", None)
    cheek: f.Size | None = _key("thickness of each cheek sheet of a layered pulley", "3", None)
    bore: f.Size | None = _key("diameter of the bore", "8", default=None)
    lightening: LighteningFile | None = _key("holes through the web", default=None)

    def build(self) -> model.Pulley:
        """Return the pulley; its groove or its pitch must be there."""
        groove = self.groove.build() if self.groove else model.GivenPitch(self.pitch or 0.0)
        return model.Pulley(
            name=self.name, shaft=self.shaft, offset_mm=self.offset, groove=groove,
            width_mm=self.width, material=self.material, build=self.build_, core_mm=self.core,
            cheek_mm=self.cheek, bore_mm=self.bore,
            lightening=self.lightening.build() if self.lightening else None,
        )  # fmt: skip


class StopFile(Table):
    """One meeting of a band with a pulley."""

    pulley: f.Name = _key("name of the pulley", '"whorl"')
    turns: f.Relation = _key(
        "whether the pulley turns, about its own axis, as the route's first does",
        '"against"', default="with",
    )  # fmt: skip

    def build(self) -> model.Stop:
        """Return the stop."""
        return model.Stop(self.pulley, self.turns)


class TensionFile(Table):
    """What pulls a band tight besides its stretch: one of the three."""

    model_config = ConfigDict(json_schema_extra={"minProperties": 1, "maxProperties": 1})

    measured: f.Force | None = _key("pull of the strand at rest", '"4 N"', default=None)
    weight: f.Weight | None = _key(
        "weight that pulls on the shaft that slides", '"300 g"', default=None
    )
    spring: f.Force | None = _key(
        "force of the spring that pulls on the shaft that slides", '"5 N"', default=None
    )

    def build(self) -> model.Tensioner:
        """Return the tensioner; exactly one of the three keys must be there."""
        if self.measured is not None:
            return model.Tensioner("measured", self.measured)
        if self.weight is not None:
            return model.Tensioner("weight", self.weight)
        return model.Tensioner("spring", self.spring or 0.0)


RouteStop = Annotated[StopFile, f.Short("pulley", f.TEXT_SCHEMA)]


class BandFile(Table):
    """An endless cord round pulleys."""

    name: f.Name = _key("name of the band", '"first band"')
    route: list[RouteStop] = _key(
        "the pulleys in the order in which the moving band meets them", '["wheel", "hub"]'
    )
    material: f.Name = _key("material of the cord", '"cotton cord"')
    diameter: f.Size = _key("diameter of the cord", "3")
    crossed: f.Flag = _key("crossed between two pulleys on parallel shafts", "true", default=False)
    slip: f.Slip | None = _key(
        "fraction by which each driven pulley is slower", '"1 %"', default=None
    )
    stretch: f.Stretch | None = _key("installed stretch", '"5 %"', default=None)
    tension: TensionFile | None = _key("what pulls it tight besides its stretch", default=None)
    joint: f.Gap | None = _key("length of cord used up by the joint", "12", default=None)

    def build(self) -> model.Band:
        """Return the band; a crossed one turns the second pulley against the first."""
        stops = [stop.build() for stop in self.route]
        if self.crossed:
            stops[1] = model.Stop(stops[1].pulley, "against")
        return model.Band(
            name=self.name, route=tuple(stops), material=self.material, crossed=self.crossed,
            diameter_mm=self.diameter, slip=self.slip, stretch=self.stretch, joint_mm=self.joint,
            tension=self.tension.build() if self.tension else None,
        )  # fmt: skip


class DriveFile(Table):
    """What a person turns."""

    shaft: f.Name = _key("the shaft that is turned", '"main"')
    by: f.By = _key("what turns it", '"crank"')
    speed: f.Speed = _key("its speed", '"60 rpm"')
    turns: f.Sense = _key("its sense, seen with the axis pointing at the viewer", '"clockwise"')
    radius: f.Size | None = _key("throw of the crank", "65", default=None)
    offset: f.Length | None = _key(
        "plane in which the crank turns, along the axis from the shaft's at", "-15", default=None
    )

    def build(self) -> model.Drive:
        """Return the drive."""
        return model.Drive(
            self.shaft, self.by, self.speed, self.turns, self.radius, self.offset
        )


class BearingFile(Table):
    """One bearing of the spindle."""

    at: f.Length = _key("place along the axis from the shaft's at", "0")
    kind: f.Name = _key("what it is made of", '"brass"')
    stiffness: f.Number | None = _key("stiffness, N/mm", "50", default=None)

    def build(self) -> model.Bearing:
        """Return the bearing."""
        return model.Bearing(self.at, self.kind, self.stiffness)


class SectionFile(Table):
    """One stretch of a stepped spindle."""

    from_: f.Length = _key("where it begins, along the axis from the shaft's at", "0", alias="from")
    to: f.Length = _key("where it ends", "80")
    diameter: f.Size = _key("its diameter", "6")

    def build(self) -> model.Section:
        """Return the stretch."""
        return model.Section(self.from_, self.to, self.diameter)


class WasherFile(Table):
    """A disc on the spindle that stops the cop."""

    at: f.Length = _key("place along the axis from the shaft's at", "40")
    diameter: f.Size = _key("its diameter", "30")
    thickness: f.Size = _key("its thickness", "2")
    material: f.Name | None = _key("its material", '"brass"', default=None)

    def build(self) -> model.Washer:
        """Return the washer."""
        return model.Washer(self.at, self.diameter, self.thickness, self.material)


class CopFile(Table):
    """The yarn wound on the spindle when it is full."""

    from_: f.Length = _key("its beginning, along the axis from the shaft's at", "42", alias="from")
    to: f.Length = _key("where it ends", "110")
    diameter: f.Size = _key("its largest diameter", "25")
    mass: f.Mass = _key("its mass", '"15 g"')

    def build(self) -> model.Cop:
        """Return the cop."""
        return model.Cop(self.from_, self.to, self.diameter, self.mass)


class SpindleFile(Table):
    """What puts in the twist."""

    shaft: f.Name = _key("the spindle's shaft", '"spindle"')
    kind: f.SpindleKind = _key("whether the yarn leaves over a tip or a flyer", '"tip"')
    bearings: list[BearingFile] = _key("the spindle's bearings", default=[])
    sections: list[SectionFile] = _key("stretches of a stepped spindle", default=[])
    washers: list[WasherFile] = _key("discs that stop the cop", default=[])
    cop: CopFile | None = _key("the yarn on the full spindle", default=None)

    def build(self) -> model.Spindle:
        """Return the spindle."""
        return model.Spindle(
            self.shaft, self.kind,
            bearings=tuple(b.build() for b in self.bearings),
            sections=tuple(s.build() for s in self.sections),
            washers=tuple(w.build() for w in self.washers),
            cop=self.cop.build() if self.cop else None,
        )  # fmt: skip


class YarnFile(Table):
    """The yarn that is wanted."""

    model_config = ConfigDict(
        json_schema_extra={"not": {"required": ["turns_per_metre", "twist_factor"]}}
    )

    count: f.YarnCount = _key("its fineness: Nm, Ne, tex or denier", '"40 Nm"')
    fibre: f.Name = _key("its fibre", '"cotton"')
    twist: f.TwistLetter = _key("direction of the twist (ISO 2)", '"Z"')
    turns_per_metre: f.Number | None = _key("the twist", "850", default=None)
    twist_factor: f.Number | None = _key("the twist, as a twist factor", "134", default=None)
    draw: f.Size | None = _key("length of yarn made in one draw", "650", default=None)

    def build(self) -> model.Yarn:
        """Return the yarn."""
        return model.Yarn(
            self.count, self.fibre, self.twist, self.turns_per_metre, self.twist_factor, self.draw
        )


class CaseFile(Table):
    """The case that the wheel stands in."""

    inside: f.Box = _key("its inside size", "[340, 170, 60]")
    corner: f.Point = _key("its lowest corner", "[-85, -85, -10]")

    def build(self) -> model.Case:
        """Return the case."""
        return model.Case(self.inside, self.corner)


class SheetFile(Table):
    """A sheet to cut parts from."""

    name: f.Name = _key("name of the sheet", '"birch ply"')
    length: f.Size = _key("its length", "600")
    width: f.Size = _key("its width", "300")
    thickness: f.Size = _key("its thickness", "6")
    material: f.Name | None = _key("its material", '"plywood"', default=None)

    def build(self) -> model.Stock:
        """Return the sheet."""
        return model.Stock(self.name, self.length, self.width, self.thickness, self.material)


class ShopFile(Table):
    """How the parts are to be made."""

    sheet: list[SheetFile] = _key("the sheets at hand", default=[])
    kerf: f.Gap = _key("width of the cut that the outlines allow for", "0.2", default=None)
    spacing: f.Gap = _key("between parts on a sheet", "3", default=None)
    margin: f.Gap = _key("from parts to the edge of a sheet", "5", default=None)
    knob_hole: f.Size = _key("hole for the crank's knob", "6", default=None)
    floor: f.Size = _key("thickness of the case floor", "6", default=None)
    reel: f.Flag = _key("whether a reel is wanted too", "true", default=None)

    def build(self) -> model.Shop:
        """Return the shop; what the file leaves out is as :class:`model.Shop` has it."""
        given = {
            "kerf_mm": self.kerf, "spacing_mm": self.spacing, "margin_mm": self.margin,
            "knob_hole_mm": self.knob_hole, "floor_mm": self.floor, "reel": self.reel,
        }  # fmt: skip
        kept: dict[str, Any] = {key: value for key, value in given.items() if value is not None}
        return model.Shop(sheets=tuple(s.build() for s in self.sheet), **kept)


class FigureFile(Table):
    """A material figure with its spread and its source."""

    value: f.Number = _key("the value to use", "0.25")
    low: f.Number | None = _key("least value to be expected", "0.2", default=None)
    high: f.Number | None = _key("greatest value to be expected", "0.3", default=None)
    source: f.Name | None = _key("where it comes from", '"measured"', default=None)

    def build(self, source: str) -> m.Figure:
        """Return the figure; without a spread it is taken as exact."""
        low = self.value if self.low is None else self.low
        high = self.value if self.high is None else self.high
        return m.Figure(self.value, low, high, self.source or source)


class PressureFigureFile(FigureFile):
    """A strength or modulus with its spread and its source."""

    value: f.Pressure = _key("the value to use, MPa", "10")
    low: f.Pressure | None = _key("least value to be expected, MPa", "8", default=None)
    high: f.Pressure | None = _key("greatest value to be expected, MPa", "12", default=None)


class StretchFigureFile(FigureFile):
    """A stretch with its spread and its source."""

    value: f.Stretch = _key("the value to use", '"5 %"')
    low: f.Stretch | None = _key("least value to be expected", '"3 %"', default=None)
    high: f.Stretch | None = _key("greatest value to be expected", '"8 %"', default=None)


_Figure = Annotated[FigureFile, f.Short("value", f.NUMBER_SCHEMA)]
_PressureFigure = Annotated[PressureFigureFile, f.Short("value", f.PRESSURE_SCHEMA)]
_StretchFigure = Annotated[StretchFigureFile, f.Short("value", f.FRACTION_SCHEMA)]


class MaterialFile(Table):
    """A material of one's own; it goes before a known one of the same name."""

    name: f.Name = _key("name of the material", '"linen cord"')
    kind: f.Use = _key("what it is used for", '"cord"')
    density: _Figure | None = _key("density, kg per cubic metre", "1100", default=None)
    modulus: _PressureFigure | None = _key(
        "modulus of elasticity in tension, MPa", "500", default=None
    )
    strength: _PressureFigure | None = _key(
        "tensile strength, MPa; for wheels across the grain", "3", default=None
    )
    friction: _Figure | None = _key("coefficient of friction on wood", "0.3", default=None)
    stretch: _StretchFigure | None = _key("usual installed stretch", '"2 %"', default=None)
    bend_ratio: _Figure | None = _key(
        "least pulley diameter over the cord's diameter", "4", default=None
    )
    source: f.Name | None = _key("where the figures come from", '"measured"', default=None)

    def build(self) -> m.Material:
        """Return the material."""
        source = self.source or OWN_SOURCE

        def figure(given: FigureFile | None) -> m.Figure | None:
            return given.build(source) if given else None

        return m.Material(
            self.name, self.kind, density_kg_m3=figure(self.density),
            modulus_mpa=figure(self.modulus), strength_mpa=figure(self.strength),
            friction=figure(self.friction), stretch=figure(self.stretch),
            bend_ratio=figure(self.bend_ratio),
        )  # fmt: skip


class FibreFile(Table):
    """A fibre of one's own."""

    name: f.Name = _key("name of the fibre", '"alpaca"')

    def build(self) -> str:
        """Return its name."""
        return self.name


class _LimitsBase(Table):
    """Limits that findings hold the wheel against, where they differ from practice."""

    def given(self) -> dict[str, float]:
        """Return the limits that the file sets."""
        return {name: getattr(self, name) for name in LIMITS if name in self.model_fields_set}


def _limits_model() -> type[_LimitsBase]:
    """Return the model of ``[limits]``: one key for each limit of the table of limits."""
    keys: dict[str, Any] = {
        limit.name: (f.limit_type(limit.unit), _key(limit.means, f"{limit.default:g}", None))
        for limit in LIMITS.values()
    }
    return create_model("LimitsFile", __base__=_LimitsBase, __doc__=_LimitsBase.__doc__, **keys)


if TYPE_CHECKING:

    class LimitsFile(_LimitsBase):
        """Limits by their keys; the table of limits gives them."""
else:
    LimitsFile = _limits_model()


class DesignFile(Table):
    """A design file: one wheel."""

    title: f.Name = _key("title of the wheel", '"Picnic box wheel"')
    unit: f.FileUnit = _key("unit of every bare length", '"mm"', default="mm")
    drive: DriveFile = _key("what a person turns")
    shaft: list[ShaftFile] = _key("the shafts")
    pulley: list[PulleyFile] = _key("the pulleys")
    band: list[BandFile] = _key("the bands")
    spindle: SpindleFile = _key("what puts in the twist")
    yarn: YarnFile | None = _key("the yarn that is wanted", default=None)
    case: CaseFile | None = _key("the case that the wheel stands in", default=None)
    shop: ShopFile | None = _key("how the parts are to be made", default=None)
    limits: LimitsFile | None = _key("limits that findings hold the wheel against", default=None)
    material: list[MaterialFile] = _key("materials of one's own", default=[])
    fibre: list[FibreFile] = _key("fibres of one's own", default=[])

    def build(self) -> model.Design:
        """Return the design; its names must have been checked."""
        return model.Design(
            title=self.title, unit=self.unit, drive=self.drive.build(),
            shafts=tuple(s.build() for s in self.shaft),
            pulleys=tuple(p.build() for p in self.pulley),
            bands=tuple(b.build() for b in self.band),
            spindle=self.spindle.build(),
            yarn=self.yarn.build() if self.yarn else None,
            case=self.case.build() if self.case else None,
            shop=self.shop.build() if self.shop else model.Shop(),
            limits=self.limits.given() if self.limits else {},
            materials=tuple(own.build() for own in self.material),
        )  # fmt: skip


def json_schema() -> dict[str, Any]:
    """Return the JSON schema (draft 2020-12) of a design file, for editors."""
    schema = DesignFile.model_json_schema(by_alias=True)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
