"""A design as the tables of its file, still in millimetres, degrees, rpm, newtons and grams.

``file_value`` then turns a number into what stands in the file, in the file's unit of length.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields
from typing import Any

from wheelgeo.design import model
from wheelgeo.design.materials import FIBRES, Figure, Material
from wheelgeo.errors import QuantityError
from wheelgeo.units import LENGTH_UNITS

OWN_SOURCE = "the design file"
"""Source of a material figure for which the file names none."""

Place = tuple[str | int, ...]
"""Keys that lead to a value; items of lists go by index or, where said, by name."""

LISTS = ("shaft", "pulley", "band", "material", "fibre")
"""Lists of tables at the top of the file; their items go by name."""

_LENGTHS = frozenset({
    "at", "diameter", "from", "to", "ends", "offset", "rim", "depth", "bottom", "radius", "width",
    "pitch", "core", "cheek", "bore", "circle", "joint", "draw", "inside", "corner", "length",
    "thickness", "kerf", "spacing", "margin", "knob_hole", "floor",
})  # fmt: skip
_UNITS = {"speed": "rpm", "mass": "g", "measured": "N", "weight": "N", "spring": "N"}


def design_tables(design: model.Design) -> dict[str, Any]:
    """Return a design as nested tables with the keys of the file, defaults left out.

    Args:
        design: the design.

    Returns:
        The tables; numbers in mm, degrees, rpm, N and g, whatever the file's unit is.
    """
    return _given(
        title=design.title,
        unit=design.unit,
        drive=_drive(design.drive),
        shaft=[_shaft(shaft) for shaft in design.shafts],
        pulley=[_pulley(pulley) for pulley in design.pulleys],
        band=[_band(band) for band in design.bands],
        spindle=_spindle(design.spindle),
        yarn=_yarn(design.yarn) if design.yarn else None,
        case=_case(design.case) if design.case else None,
        shop=_shop(design.shop) or None,
        limits=dict(sorted(design.limits.items())) or None,
        material=[_material(material) for material in design.materials] or None,
        fibre=_own_fibres(design.yarn) or None,
    )


_SHORT_DIGITS = 7
"""A length that needs more digits in the file's unit is written in mm, as ``"100 mm"``."""


def file_value(place: Place, value: Any, unit: str) -> Any:
    """Return a value as it stands in a file of that unit of length.

    Args:
        place: where it stands; its keys tell what it is.
        value: the value; numbers in mm, degrees, rpm, N and g.
        unit: the file's unit of length.

    Returns:
        The value that reads back as exactly the same number: a bare number in the file's unit, or
        text with a unit where a bare number would not do.

    Raises:
        QuantityError: the file's unit is none.
    """
    key = next((step for step in reversed(place) if isinstance(step, str)), "")
    if isinstance(value, dict):
        return {name: file_value((*place, name), item, unit) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return [file_value(place, item, unit) for item in value]
    if isinstance(value, bool | str) or not isinstance(value, int | float):
        return value
    if key in _UNITS:
        return f"{number_text(value)} {_UNITS[key]}"
    if key in _LENGTHS:
        return _length(float(value), unit)
    return _plain(float(value))


def _length(length_mm: float, unit: str) -> float | int | str:
    """Return a short number that reads back as exactly this length, or text in mm."""
    factor = LENGTH_UNITS.get(unit)
    if factor is None:
        raise QuantityError(f'"{unit}" is no unit of length')
    quotient = length_mm / factor
    for digits in range(1, 18 if factor == 1.0 else _SHORT_DIGITS + 1):
        number = float(f"{quotient:.{digits}g}")
        if number * factor == length_mm:
            return _plain(number)
    return f"{number_text(length_mm)} mm"


def _plain(number: float) -> float | int:
    return int(number) if number.is_integer() and abs(number) < 1e15 else number


def number_text(number: float) -> str:
    """Return a number as text that reads back as exactly the same number."""
    return repr(_plain(float(number)))


def _given(**values: Any) -> dict[str, Any]:
    return {key: value for key, value in values.items() if value is not None}


def _drive(drive: model.Drive) -> dict[str, Any]:
    return _given(
        shaft=drive.shaft,
        by=drive.by,
        speed=drive.speed_rpm,
        turns=drive.turns,
        radius=drive.radius_mm,
        offset=drive.offset_mm,
    )


def _shaft(shaft: model.Shaft) -> dict[str, Any]:
    slide = shaft.slide
    travel = (
        {"along": list(slide.along), "from": slide.from_mm, "to": slide.to_mm} if slide else None
    )
    return _given(
        name=shaft.name,
        at=list(shaft.at_mm),
        axis=list(shaft.axis),
        diameter=shaft.diameter_mm,
        slide=travel,
        ends=list(shaft.ends_mm) if shaft.ends_mm else None,
        material=shaft.material,
    )


def _pulley(pulley: model.Pulley) -> dict[str, Any]:
    holes = pulley.lightening
    return _given(
        name=pulley.name,
        shaft=pulley.shaft,
        offset=pulley.offset_mm,
        **_groove(pulley.groove),
        width=pulley.width_mm,
        material=pulley.material,
        build=pulley.build,
        core=pulley.core_mm,
        cheek=pulley.cheek_mm,
        bore=pulley.bore_mm,
        lightening={"holes": holes.holes, "diameter": holes.diameter_mm, "circle": holes.circle_mm}
        if holes
        else None,
    )


def _groove(groove: model.Groove) -> dict[str, Any]:
    if not groove.can_be_cut:
        return {**groove.sizes()}
    return {"groove": {"shape": groove.shape, **groove.sizes()}}


def _band(band: model.Band) -> dict[str, Any]:
    return _given(
        name=band.name,
        route=[_stop(stop, band.crossed) for stop in band.route],
        crossed=True if band.crossed else None,
        material=band.material,
        diameter=band.diameter_mm,
        slip=band.slip,
        stretch=band.stretch,
        tension={band.tension.kind: band.tension.pull_n} if band.tension else None,
        joint=band.joint_mm,
    )


def _stop(stop: model.Stop, crossed: bool) -> str | dict[str, str]:
    if stop.turns == "with" or crossed:
        return stop.pulley
    return {"pulley": stop.pulley, "turns": stop.turns}


def _spindle(spindle: model.Spindle) -> dict[str, Any]:
    cop = spindle.cop
    return _given(
        shaft=spindle.shaft,
        kind=spindle.kind,
        bearings=[
            _given(at=b.at_mm, kind=b.kind, stiffness=b.stiffness_n_mm) for b in spindle.bearings
        ]
        or None,
        sections=[
            {"from": s.from_mm, "to": s.to_mm, "diameter": s.diameter_mm} for s in spindle.sections
        ]
        or None,
        washers=[
            _given(
                at=w.at_mm, diameter=w.diameter_mm, thickness=w.thickness_mm, material=w.material
            )
            for w in spindle.washers
        ]
        or None,
        cop={"from": cop.from_mm, "to": cop.to_mm, "diameter": cop.diameter_mm, "mass": cop.mass_g}
        if cop
        else None,
    )


def _yarn(yarn: model.Yarn) -> dict[str, Any]:
    return _given(
        count=f"{number_text(yarn.count.value)} {yarn.count.system}",
        fibre=yarn.fibre,
        twist=yarn.twist,
        turns_per_metre=yarn.turns_per_metre,
        twist_factor=yarn.twist_factor,
        draw=yarn.draw_mm,
    )


def _own_fibres(yarn: model.Yarn | None) -> list[dict[str, str]]:
    return [{"name": yarn.fibre}] if yarn and yarn.fibre not in FIBRES else []


def _case(case: model.Case) -> dict[str, Any]:
    return {"inside": list(case.inside_mm), "corner": list(case.corner_mm)}


def _shop(shop: model.Shop) -> dict[str, Any]:
    usual = model.Shop()
    table = {
        field.name.removesuffix("_mm"): getattr(shop, field.name)
        for field in fields(shop)
        if field.name != "sheets" and getattr(shop, field.name) != getattr(usual, field.name)
    }
    sheets = [_sheet(sheet) for sheet in shop.sheets]
    return {**table, "sheet": sheets} if sheets else table


def _sheet(sheet: model.Stock) -> dict[str, Any]:
    return _given(
        name=sheet.name,
        length=sheet.length_mm,
        width=sheet.width_mm,
        thickness=sheet.thickness_mm,
        material=sheet.material,
    )


def _material(material: Material) -> dict[str, Any]:
    return {"name": material.name, "kind": material.kind, **dict(_figures(material))}


_FIGURES: Mapping[str, str] = {
    "density": "density_kg_m3",
    "modulus": "modulus_mpa",
    "strength": "strength_mpa",
    "friction": "friction",
    "stretch": "stretch",
    "bend_ratio": "bend_ratio",
}
"""Attribute of a material that each key under ``[[material]]`` gives."""


def _figures(material: Material) -> Iterator[tuple[str, Any]]:
    for key, attribute in _FIGURES.items():
        figure: Figure | None = getattr(material, attribute)
        if figure is not None:
            yield key, _figure(figure)


def _figure(figure: Figure) -> Any:
    spread = {} if figure.low == figure.value == figure.high else {
        "low": figure.low, "high": figure.high
    }  # fmt: skip
    source = {} if figure.source == OWN_SOURCE else {"source": figure.source}
    table = {"value": figure.value, **spread, **source}
    return table if len(table) > 1 else figure.value
