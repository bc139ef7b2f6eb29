"""Tables of a design file beside the drive: spindle, yarn, case, shop, materials and fibres."""

from typing import Annotated, Any

from pydantic import ConfigDict

from wheelgeo.design import fields as f
from wheelgeo.design import materials as m
from wheelgeo.design import model
from wheelgeo.design.table import Short, Table, key
from wheelgeo.design.tables import OWN_SOURCE


class BearingFile(Table):
    """One bearing of the spindle."""

    at: f.Length = key("place along the axis from the shaft's at", '"0 mm"')
    kind: f.Name = key("what the shaft runs in", '"brass"')
    stiffness: f.Number | None = key("stiffness, N/mm", "50", default=None)

    def build(self) -> model.Bearing:
        """Return the bearing."""
        return model.Bearing(self.at, self.kind, self.stiffness)


class SectionFile(Table):
    """One stretch of a stepped spindle."""

    from_: f.Length = key(
        "where it begins, along the axis from the shaft's at", '"0 mm"', alias="from"
    )
    to: f.Length = key("where it ends", '"80 mm"')
    diameter: f.Size = key("its diameter", '"6 mm"')

    def build(self) -> model.Section:
        """Return the stretch."""
        return model.Section(self.from_, self.to, self.diameter)


class WasherFile(Table):
    """A disc on the spindle that stops the cop."""

    at: f.Length = key("place along the axis from the shaft's at", '"40 mm"')
    diameter: f.Size = key("its diameter", '"30 mm"')
    thickness: f.Size = key("its thickness", '"2 mm"')
    material: f.Name | None = key("its material", '"brass"', default=None)

    def build(self) -> model.Washer:
        """Return the washer."""
        return model.Washer(self.at, self.diameter, self.thickness, self.material)


class CopFile(Table):
    """The yarn wound on the spindle when it is full."""

    from_: f.Length = key(
        "its beginning, along the axis from the shaft's at", '"42 mm"', alias="from"
    )
    to: f.Length = key("where it ends", '"110 mm"')
    diameter: f.Size = key("its largest diameter", '"25 mm"')
    mass: f.Mass = key("its mass", '"15 g"')

    def build(self) -> model.Cop:
        """Return the cop."""
        return model.Cop(self.from_, self.to, self.diameter, self.mass)


class SpindleFile(Table):
    """What puts in the twist."""

    shaft: f.Name = key("the spindle's shaft", '"spindle"')
    kind: f.SpindleKind = key("whether the yarn leaves over a tip or a flyer", '"tip"')
    bearings: list[BearingFile] = key("the spindle's bearings", default=[])
    sections: list[SectionFile] = key("stretches of a stepped spindle", default=[])
    washers: list[WasherFile] = key("discs that stop the cop", default=[])
    cop: CopFile | None = key("the yarn on the full spindle", default=None)

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

    count: f.YarnCount = key("its fineness: Nm, Ne, tex or denier", '"40 Nm"')
    fibre: f.Name = key("its fibre", '"cotton"')
    twist: f.TwistLetter = key("direction of the twist (ISO 2)", '"Z"')
    turns_per_metre: f.Number | None = key("the twist", "850", default=None)
    twist_factor: f.Number | None = key(
        "the twist, as a twist factor in the count's own convention: turns per metre / √Nm, turns "
        "per inch / √Ne, or turns per centimetre × √tex (of denier too)",
        "134",
        default=None,
    )
    draw: f.Size | None = key("length of yarn made in one draw", '"650 mm"', default=None)

    def build(self) -> model.Yarn:
        """Return the yarn."""
        return model.Yarn(
            self.count, self.fibre, self.twist, self.turns_per_metre, self.twist_factor, self.draw
        )


class CaseFile(Table):
    """The case that the wheel stands in."""

    inside: f.Box = key("its inside size", "[340, 170, 60]")
    corner: f.Point = key("its lowest corner", "[-85, -85, -10]")

    def build(self) -> model.Case:
        """Return the case."""
        return model.Case(self.inside, self.corner)


class SheetFile(Table):
    """A sheet to cut parts from."""

    name: f.Name = key("name of the sheet", '"birch ply"')
    length: f.Size = key("its length", '"600 mm"')
    width: f.Size = key("its width", '"300 mm"')
    thickness: f.Size = key("its thickness", '"6 mm"')
    material: f.Name | None = key("its material", '"plywood"', default=None)

    def build(self) -> model.Stock:
        """Return the sheet."""
        return model.Stock(self.name, self.length, self.width, self.thickness, self.material)


class ShopFile(Table):
    """How the parts are to be made."""

    sheet: list[SheetFile] = key("the sheets at hand", default=[])
    kerf: f.Gap = key("width of the cut that the outlines allow for", '"0.2 mm"', default=None)
    spacing: f.Gap = key("between parts on a sheet", '"3 mm"', default=None)
    margin: f.Gap = key("from parts to the edge of a sheet", '"5 mm"', default=None)
    knob_hole: f.Size = key("hole for the crank's knob", '"6 mm"', default=None)
    floor: f.Size = key("thickness of the case floor", '"6 mm"', default=None)
    reel: f.Flag = key("whether a reel is wanted too", "true", default=None)

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

    value: f.Number = key("the value to use", "0.25")
    low: f.Number | None = key("least value to be expected", "0.2", default=None)
    high: f.Number | None = key("greatest value to be expected", "0.3", default=None)
    source: f.Name | None = key("where it comes from", '"measured"', default=None)

    def build(self, source: str) -> m.Figure:
        """Return the figure; without a spread it is taken as exact."""
        low = self.value if self.low is None else self.low
        high = self.value if self.high is None else self.high
        return m.Figure(self.value, low, high, self.source or source)


class PressureFigureFile(FigureFile):
    """A strength or modulus with its spread and its source."""

    value: f.Pressure = key("the value to use, MPa", "10")
    low: f.Pressure | None = key("least value to be expected, MPa", "8", default=None)
    high: f.Pressure | None = key("greatest value to be expected, MPa", "12", default=None)


class StretchFigureFile(FigureFile):
    """A stretch with its spread and its source."""

    value: f.Stretch = key("the value to use", '"5 %"')
    low: f.Stretch | None = key("least value to be expected", '"3 %"', default=None)
    high: f.Stretch | None = key("greatest value to be expected", '"8 %"', default=None)


_Figure = Annotated[FigureFile, Short("value", f.NUMBER_SCHEMA)]
_PressureFigure = Annotated[PressureFigureFile, Short("value", f.PRESSURE_SCHEMA)]
_StretchFigure = Annotated[StretchFigureFile, Short("value", f.FRACTION_SCHEMA)]


class MaterialFile(Table):
    """A material of one's own; it goes before a known one of the same name."""

    model_config = ConfigDict(json_schema_extra={"not": {"required": ["modulus", "shore"]}})

    name: f.Name = key("name of the material", '"linen cord"')
    kind: f.Use = key("what it is used for", '"cord"')
    density: _Figure | None = key("density, kg per cubic metre", "1100", default=None)
    modulus: _PressureFigure | None = key(
        "modulus of elasticity in tension, MPa", "500", default=None
    )
    shore: f.Shore | None = key(
        "hardness of a rubber, Shore A, in place of its modulus", "70", default=None
    )
    strength: _PressureFigure | None = key(
        "tensile strength, MPa; for wheels across the grain", "3", default=None
    )
    friction: _Figure | None = key("coefficient of friction on wood", "0.3", default=None)
    stretch: _StretchFigure | None = key("usual installed stretch", '"2 %"', default=None)
    bend_ratio: _Figure | None = key(
        "least pulley diameter over the cord's diameter", "4", default=None
    )
    source: f.Name | None = key("where the figures come from", '"measured"', default=None)

    def build(self) -> m.Material:
        """Return the material."""
        source = self.source or OWN_SOURCE

        def figure(given: FigureFile | None) -> m.Figure | None:
            return given.build(source) if given else None

        return m.Material(
            self.name, self.kind, density_kg_m3=figure(self.density),
            modulus_mpa=figure(self.modulus) if self.shore is None else m.shore_figure(self.shore),
            strength_mpa=figure(self.strength),
            friction=figure(self.friction), stretch=figure(self.stretch),
            bend_ratio=figure(self.bend_ratio),
        )  # fmt: skip


class FibreFile(Table):
    """A fibre of one's own."""

    name: f.Name = key("name of the fibre", '"alpaca"')

    def build(self) -> str:
        """Return its name."""
        return self.name
