"""Tables of a design file that make the drive: shafts, pulleys, bands, and what is turned."""

from typing import Annotated

from pydantic import BeforeValidator, ConfigDict, Discriminator, Tag

from wheelgeo.design import fields as f
from wheelgeo.design import model
from wheelgeo.design.table import Short, Table, key
from wheelgeo.design.wording import fault, nearest, shown


class SlideFile(Table):
    """Travel of a shaft for tensioning."""

    along: f.Direction = key("direction of the travel", "[1, 0, 0]")
    from_: f.Length = key("one end of the travel", '"-2 mm"', alias="from")
    to: f.Length = key("the other end of the travel", '"6 mm"')

    def build(self) -> model.Slide:
        """Return the slide."""
        return model.Slide(self.along, self.from_, self.to)


class ShaftFile(Table):
    """A straight axis with everything that turns with it."""

    name: f.Name = key("name of the shaft", '"main"')
    at: f.Point = key("a point on the axis", "[0, 0, 0]")
    axis: f.Direction = key(
        "direction of the axis; the spindle's points out of the tip", "[0, 0, 1]"
    )
    diameter: f.Size = key("diameter of the rod", '"8 mm"')
    slide: SlideFile | None = key("travel for tensioning", default=None)
    ends: f.Ends | None = key(
        "the rod's two ends, along the axis from at", "[-10, 50]", default=None
    )
    material: f.Name | None = key("material of the rod", '"steel"', default=None)

    def build(self) -> model.Shaft:
        """Return the shaft."""
        slide = self.slide.build() if self.slide else None
        return model.Shaft(
            self.name, self.at, self.axis, self.diameter, slide, self.ends, self.material
        )


class VeeFile(Table):
    """A vee groove."""

    shape: f.Vee = key("a vee", '"vee"')
    rim: f.Size = key("outside diameter", '"180 mm"')
    depth: f.Size = key("from the rim to the groove's bottom", '"4 mm"')
    angle: f.Angle = key("included angle of the flanks", "40")
    bottom: f.Gap = key("width of the flat bottom", '"0 mm"', default=0.0)

    def build(self) -> model.Groove:
        """Return the groove."""
        return model.VeeGroove(self.rim, self.depth, self.angle, self.bottom)


class RoundFile(Table):
    """A groove with a round bottom."""

    shape: f.Round = key("round", '"round"')
    rim: f.Size = key("outside diameter", '"180 mm"')
    depth: f.Size = key("from the rim to the groove's bottom", '"3 mm"')
    radius: f.Size = key("radius of the round bottom", '"2 mm"')

    def build(self) -> model.Groove:
        """Return the groove."""
        return model.RoundGroove(self.rim, self.depth, self.radius)


class FlatFile(Table):
    """A flat rim."""

    shape: f.Flat = key("flat", '"flat"')
    rim: f.Size = key("outside diameter", '"176 mm"')
    width: f.Size = key("width of the rim", '"8 mm"')

    def build(self) -> model.Groove:
        """Return the groove."""
        return model.FlatRim(self.rim, self.width)


class PitchFile(Table):
    """Only the pitch diameter is known."""

    pitch: f.Size = key(
        "pitch diameter: twice from the axis to the cord's centre-line", '"178.2 mm"'
    )

    def build(self) -> model.Groove:
        """Return the groove."""
        return model.GivenPitch(self.pitch)


TAG = "groove:"
"""What the kinds of groove are tagged with in the places of pydantic's errors."""

_TELLING = {"pitch": "pitch", "angle": "vee", "bottom": "vee", "radius": "round", "width": "flat"}


def groove_kind(value: object) -> str:
    """Return which groove a table describes: vee, round, flat or pitch.

    A misspelt or missing shape is taken for the likeliest, so that the other keys are checked too.
    """
    if not isinstance(value, dict):
        return str(getattr(value, "shape", "pitch"))
    shape = value.get("shape")
    if isinstance(shape, str):
        return shape if shape in f.SHAPES else nearest(shape, f.SHAPES) or "vee"
    return next((kind for key, kind in _TELLING.items() if key in value), "vee")


def _tag(value: object) -> str:
    return TAG + groove_kind(value)


def _a_table(value: object) -> object:
    if isinstance(value, dict):
        return value
    raise fault(
        f"{shown(value)} is no groove",
        'write it as { shape = "vee", rim = 180, depth = 4, angle = 40 }',
    )


GrooveFile = Annotated[
    Annotated[VeeFile, Tag(TAG + "vee")]
    | Annotated[RoundFile, Tag(TAG + "round")]
    | Annotated[FlatFile, Tag(TAG + "flat")]
    | Annotated[PitchFile, Tag(TAG + "pitch")],
    Discriminator(_tag),
    BeforeValidator(_a_table),
]


class LighteningFile(Table):
    """Holes through the web of a pulley."""

    holes: f.Whole = key("how many holes", "5")
    diameter: f.Size = key("diameter of each hole", '"30 mm"')
    circle: f.Size = key("diameter of the circle of their centres", '"110 mm"')

    def build(self) -> model.Lightening:
        """Return the holes."""
        return model.Lightening(self.holes, self.diameter, self.circle)


class PulleyFile(Table):
    """One groove on a shaft; two grooves on one wheel are two pulleys."""

    model_config = ConfigDict(
        json_schema_extra={"oneOf": [{"required": ["groove"]}, {"required": ["pitch"]}]}
    )

    name: f.Name = key("name of the pulley", '"wheel"')
    shaft: f.Name = key("the shaft that it sits on", '"main"')
    offset: f.Length = key("the groove's mid-plane, along the axis from the shaft's at", '"12 mm"')
    groove: GrooveFile | None = key(
        "the groove", '{ shape = "vee", rim = 180, depth = 4, angle = 40 }', default=None
    )
    pitch: f.Size | None = key("pitch diameter, instead of a groove", '"178.2 mm"', default=None)
    width: f.Size | None = key("overall width along the axis", '"10 mm"', default=None)
    material: f.Name | None = key("material of the pulley", '"beech"', default=None)
    build_: f.Build | None = key("how it is made", '"turned"', default=None, alias="build")
    core: f.Size | None = key("thickness of the core sheet of a layered pulley", '"4 mm"', None)
    cheek: f.Size | None = key("thickness of each cheek sheet of a layered pulley", '"3 mm"', None)
    bore: f.Size | None = key("diameter of the bore", '"8 mm"', default=None)
    lightening: LighteningFile | None = key("holes through the web", default=None)

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

    pulley: f.Name = key("name of the pulley", '"whorl"')
    turns: f.Relation = key(
        "whether the pulley turns, about its own axis, as the route's first does",
        '"against"', default="with",
    )  # fmt: skip

    def build(self) -> model.Stop:
        """Return the stop."""
        return model.Stop(self.pulley, self.turns)


class TensionFile(Table):
    """What pulls a band tight besides its stretch: one of the three."""

    model_config = ConfigDict(json_schema_extra={"minProperties": 1, "maxProperties": 1})

    measured: f.Force | None = key("pull of the strand at rest", '"4 N"', default=None)
    weight: f.Weight | None = key(
        "weight that pulls on the shaft that slides", '"300 g"', default=None
    )
    spring: f.Force | None = key(
        "force of the spring that pulls on the shaft that slides", '"5 N"', default=None
    )

    def build(self) -> model.Tensioner:
        """Return the tensioner; exactly one of the three keys must be there."""
        if self.measured is not None:
            return model.Tensioner("measured", self.measured)
        if self.weight is not None:
            return model.Tensioner("weight", self.weight)
        return model.Tensioner("spring", self.spring or 0.0)


RouteStop = Annotated[StopFile, Short("pulley", f.TEXT_SCHEMA)]


class BandFile(Table):
    """An endless cord round pulleys."""

    name: f.Name = key("name of the band", '"first band"')
    route: list[RouteStop] = key(
        "the pulleys in the order in which the moving band meets them", '["wheel", "hub"]',
        schema={"minItems": 2},
    )  # fmt: skip
    material: f.Name = key("material of the cord", '"cotton cord"')
    diameter: f.Size = key("diameter of the cord", '"3 mm"')
    crossed: f.Flag = key("crossed between two pulleys on parallel shafts", "true", default=False)
    slip: f.Slip | None = key(
        "fraction by which each driven pulley is slower", '"1 %"', default=None
    )
    stretch: f.Stretch | None = key("installed stretch", '"5 %"', default=None)
    tension: TensionFile | None = key("what pulls it tight besides its stretch", default=None)
    joint: f.Gap | None = key("length of cord used up by the joint", '"12 mm"', default=None)

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

    shaft: f.Name = key("the shaft that is turned", '"main"')
    by: f.By = key("what turns it", '"crank"')
    speed: f.Speed = key("its speed", '"60 rpm"')
    turns: f.Sense = key("its sense, seen with the axis pointing at the viewer", '"clockwise"')
    radius: f.Size | None = key("throw of the crank", '"65 mm"', default=None)
    offset: f.Length | None = key(
        "plane in which the crank turns, along the axis from the shaft's at", "-15", default=None
    )

    def build(self) -> model.Drive:
        """Return the drive."""
        return model.Drive(self.shaft, self.by, self.speed, self.turns, self.radius, self.offset)
