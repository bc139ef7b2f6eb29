"""What is known of a material: figures with their spread and source, and how a file gives them."""

from __future__ import annotations

from dataclasses import field, replace
from functools import cache
from typing import Any, Literal

from wheelgeo.units import FRACTION, PRESSURE_MPA
from wheelgeo.units.keys import Form, Key, TableKind, choice, key, record, text
from wheelgeo.units.kinds import TEXT
from wheelgeo.units.number_kinds import ABOVE_ZERO, NUMBER, UP_TO_ALL, NumberKind
from wheelgeo.units.unknown import UNKNOWN

RUBBER_LIKE_MPA = 45.0
"""Modulus under which a cord is taken as an elastomer; common practice, no source."""
MaterialKind = Literal["cord", "shaft", "wheel"]


@record
class Figure:
    """A material figure: the value to use, its spread, and where it comes from."""

    value: float
    low: float
    high: float
    source: str


OWN_SOURCE = "the design file"
"""Source of a figure for which the file names none."""


@record
class FigureKind(TableKind):
    """A figure as a file gives it: a bare value, or a table with its spread and its source."""

    of: NumberKind = field(default_factory=lambda: NumberKind(NUMBER, "", ABOVE_ZERO))
    owner: type = Figure

    @property
    def form(self) -> Form:
        """Its keys; without a spread it is taken as exact."""
        return _figure_form(self)

    @property
    def name(self) -> str:
        """Its name in the JSON schema."""
        named = {PRESSURE_MPA.name: "PressureFigure", FRACTION.name: "StretchFigure"}
        return named.get(self.of.dimension.name, "Figure")


@cache
def _figure_form(kind: FigureKind) -> Form:
    unit = f", {kind.of.dimension.unit}" if kind.of.dimension.unit else ""
    example = '"2 %"' if kind.of.dimension is FRACTION else "1"
    value = Key(f"the value to use{unit}", kind.of, example, "value", attribute="value")
    low, high = (
        replace(value, means=f"{which} value to be expected{unit}", name=name, attribute=name,
                default=None)
        for name, which in (("low", "least"), ("high", "greatest"))
    )  # fmt: skip
    source = Key(
        "where it comes from", TEXT, '"measured"', "source", attribute="source", default=None
    )
    keys = (value, low, high, source)
    means = "A material figure with its spread and its source."
    return Form(kind.name, means, keys, _figure, _figure_parts, short="value")


def _figure(value: float, low: float | None, high: float | None, source: str | None) -> Figure:
    low, high = (value if end is None else end for end in (low, high))
    return Figure(value, low, high, "" if source is None else source)


def _figure_parts(figure: Figure) -> dict[str, Any]:
    spread = (figure.low, figure.value, figure.high)
    exact = all(number is not UNKNOWN for number in spread) and len(set(spread)) == 1
    return {
        "value": figure.value,
        "low": None if exact else figure.low,
        "high": None if exact else figure.high,
        "source": None if figure.source == OWN_SOURCE else figure.source,
    }


_PLAIN = FigureKind()
_PRESSURE = FigureKind(of=NumberKind(PRESSURE_MPA, "MPa", ABOVE_ZERO))
_STRETCH = FigureKind(of=NumberKind(FRACTION, "", UP_TO_ALL))


@record
class Material:
    """One material.

    Attributes:
        name: as a design file writes it.
        kind: what it is used for.
        density_kg_m3: density.
        modulus_mpa: modulus of elasticity in tension (cord: of the cord as made, over the full
            circle of its diameter); None where not known.
        strength_mpa: tensile strength; for wheels across the grain; None where not known.
        friction: coefficient of friction of a cord on a wooden pulley, or None.
        stretch: usual installed stretch as a fraction, or None.
        bend_ratio: least pulley diameter (groove bottom) over the cord diameter, or None.
        bending_share: part of its pull that a cord of fibres loses at a pulley as large as itself,
            or None.
        loss_factor: loss factor of an elastomer in bending, tan(delta), or None.
    """

    name: str = text("name of the material", '"linen cord"')
    kind: MaterialKind = choice("what it is used for", '"cord"', ("cord", "shaft", "wheel"))
    density_kg_m3: Figure | None = key("density, kg per cubic metre", _PLAIN, "1100", default=None)
    modulus_mpa: Figure | None = key(
        "modulus of elasticity in tension, MPa", _PRESSURE, "500", default=None
    )
    strength_mpa: Figure | None = key(
        "tensile strength, MPa; for wheels across the grain", _PRESSURE, "3", default=None
    )
    friction: Figure | None = key("coefficient of friction on wood", _PLAIN, "0.3", default=None)
    stretch: Figure | None = key("usual installed stretch", _STRETCH, '"2 %"', default=None)
    bend_ratio: Figure | None = key(
        "least pulley diameter over the cord's diameter", _PLAIN, "4", default=None
    )
    bending_share: Figure | None = key(
        "part of its pull that a cord loses in bending round a pulley as large as itself",
        _PLAIN, "0.1", default=None,
    )  # fmt: skip
    loss_factor: Figure | None = key(
        "loss factor of an elastomer in bending, tan delta", _PLAIN, "0.1", default=None
    )

    @property
    def keeps_volume(self) -> bool:
        """Whether it is rubber-like, so that a cord of it grows thinner as it is stretched.

        An elastomer hardly changes its volume (Poisson's ratio 0.5). One that a file describes
        without a loss factor is known by its modulus: no cord of fibres or hide is so soft.
        """
        soft = self.modulus_mpa is not None and self.modulus_mpa.value < RUBBER_LIKE_MPA
        return self.loss_factor is not None or (self.kind == "cord" and soft)
