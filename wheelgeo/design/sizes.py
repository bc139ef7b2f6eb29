"""Sizes in a design file that must fit each other: grooves, bores, webs, travels, spreads."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from wheelgeo.design.faults import Located, locate
from wheelgeo.design.fields import NUMBER
from wheelgeo.design.model import RoundGroove, VeeGroove
from wheelgeo.design.rawfile import RawFile, Table, items_of, quantity_of, sub_table
from wheelgeo.design.tables import Place
from wheelgeo.units import ANGLE_DEG, FRACTION, PRESSURE_MPA, Dimension

_FIGURES: Mapping[str, Dimension] = {
    "density": NUMBER,
    "modulus": PRESSURE_MPA,
    "strength": PRESSURE_MPA,
    "friction": NUMBER,
    "stretch": FRACTION,
    "bend_ratio": NUMBER,
}


def check_sizes(raw: RawFile) -> Iterator[Located]:
    """Yield the faults of sizes that do not fit each other, and of keys that exclude each other."""
    for index, pulley in raw.items("pulley"):
        place: Place = ("pulley", index)
        yield from _groove_or_pitch(raw, place, pulley)
        yield from _depth(raw, place, pulley)
        yield from _wood_left(raw, place, pulley)
        yield from _build(raw, place, pulley)
        yield from _width(raw, place, pulley)
        yield from _holes(raw, place, pulley)
    yield from _spans(raw)
    yield from _twist(raw)
    yield from _hardness(raw)
    yield from _spreads(raw)


def _groove_or_pitch(raw: RawFile, place: Place, pulley: Table) -> Iterator[Located]:
    if "groove" in pulley and "pitch" in pulley:
        yield locate(
            raw.tables,
            (*place, "pitch"),
            "groove and pitch are both given",
            "keep the groove; pitch is for where only that is known",
        )
    if "groove" not in pulley and "pitch" not in pulley:
        yield locate(
            raw.tables, (*place, "groove"), "it is missing",
            'add for example groove = { shape = "vee", rim = "180 mm", depth = "4 mm", '
            'angle = 40 }, or pitch = "178.2 mm" where only that is known',
        )  # fmt: skip


def _depth(raw: RawFile, place: Place, pulley: Table) -> Iterator[Located]:
    groove = sub_table(pulley, "groove")
    rim, depth = raw.mm(groove, "rim"), raw.mm(groove, "depth")
    if rim is not None and depth is not None and 0 < rim <= 2 * depth:
        yield locate(
            raw.tables, (*place, "groove", "depth"),
            f"{depth:g} mm reaches the middle of a rim of {rim:g} mm",
            f"it must be less than {rim / 2:g} mm",
        )  # fmt: skip


def _bottom_diameter(raw: RawFile, pulley: Table) -> float | None:
    """Return the diameter of the wood under the cord, mm, or None where it cannot be told."""
    pitch = raw.mm(pulley, "pitch")
    if pitch is not None:
        return pitch
    groove = sub_table(pulley, "groove")
    if "pitch" in groove:
        return raw.mm(groove, "pitch")
    rim = raw.mm(groove, "rim")
    depth = 0.0 if groove.get("shape") == "flat" else raw.mm(groove, "depth")
    bottom = None if rim is None or depth is None else rim - 2 * depth
    return bottom if bottom is not None and bottom > 0 else None


def _shaft_diameter(raw: RawFile, pulley: Table) -> float | None:
    """Return the rod's diameter where the pulley sits, mm, or None where it cannot be told."""
    spindle = raw.table("spindle")
    offset = raw.mm(pulley, "offset")
    if pulley.get("shaft") == spindle.get("shaft") and offset is not None:
        for _, section in items_of(spindle, "sections"):
            low, high = raw.mm(section, "from"), raw.mm(section, "to")
            if low is not None and high is not None and low <= offset <= high:
                return raw.mm(section, "diameter")
    return raw.mm(raw.named("shaft", pulley.get("shaft")), "diameter")


def _wood_left(raw: RawFile, place: Place, pulley: Table) -> Iterator[Located]:
    bottom, bore = _bottom_diameter(raw, pulley), raw.mm(pulley, "bore")
    shaft = _shaft_diameter(raw, pulley)
    if bottom is None:
        return
    if bore is not None and bore >= bottom:
        yield locate(
            raw.tables, (*place, "bore"),
            f"a bore of {bore:g} mm leaves nothing of a groove whose bottom is {bottom:g} mm",
            "make the bore smaller or the pulley larger",
        )  # fmt: skip
    elif bore is None and shaft is not None and bottom < shaft:
        only_pitch = "pitch" in pulley or "pitch" in sub_table(pulley, "groove")
        what = "the cord's path" if only_pitch else "its bottom"
        yield locate(
            raw.tables, (*place, "pitch" if "pitch" in pulley else "groove"),
            f"{what}, {bottom:g} mm across, lies inside the shaft of {shaft:g} mm",
            "make the pulley larger, its groove shallower or the shaft thinner",
        )  # fmt: skip


def _build(raw: RawFile, place: Place, pulley: Table) -> Iterator[Located]:
    layered = pulley.get("build") == "layers"
    for key in ("core", "cheek") if pulley.get("build", "turned") == "turned" else ():
        if key in pulley:
            yield locate(
                raw.tables,
                (*place, key),
                "it is for a layered pulley only",
                f'add build = "layers", or leave {key} out',
            )
    if layered and "width" in pulley:
        yield locate(
            raw.tables,
            (*place, "width"),
            "a layered pulley is as wide as its sheets",
            "give core and cheek instead",
        )


def _width(raw: RawFile, place: Place, pulley: Table) -> Iterator[Located]:
    width, mouth = raw.mm(pulley, "width"), _mouth(raw, sub_table(pulley, "groove"))
    if width is not None and mouth is not None and 0 < width < mouth:
        yield locate(
            raw.tables, (*place, "width"),
            f"{width:g} mm is narrower than the groove, which is {mouth:.4g} mm wide at the rim",
            "make it wider, or the groove narrower",
        )  # fmt: skip


def _mouth(raw: RawFile, groove: Table) -> float | None:
    """Return the width of a groove at the rim, mm, or None where it cannot be told."""
    if groove.get("shape") == "flat":
        return raw.mm(groove, "width")
    depth = raw.mm(groove, "depth")
    if depth is None or depth <= 0:
        return None
    if groove.get("shape") == "round":
        radius = raw.mm(groove, "radius")
        return None if radius is None or radius <= 0 else RoundGroove(0.0, depth, radius).mouth_mm
    angle, bottom = (
        quantity_of(groove.get("angle"), ANGLE_DEG, "deg"),
        raw.mm_of(groove.get("bottom", 0)),
    )
    if angle is None or bottom is None or not 0 < angle < 180:
        return None
    return VeeGroove(0.0, depth, angle, bottom).mouth_mm


def _holes(raw: RawFile, place: Place, pulley: Table) -> Iterator[Located]:
    holes = sub_table(pulley, "lightening")
    diameter, circle = raw.mm(holes, "diameter"), raw.mm(holes, "circle")
    bottom = _bottom_diameter(raw, pulley)
    if diameter is None or circle is None:
        return
    here = (*place, "lightening")
    if bottom is not None and circle + diameter >= bottom:
        yield locate(
            raw.tables,
            here,
            f"the holes reach {circle + diameter:g} mm across, the "
            f"groove's bottom is {bottom:g} mm",
            "make their circle or them smaller",
        )
    inner = raw.mm(pulley, "bore") or _shaft_diameter(raw, pulley)
    if inner is not None and circle - diameter <= inner:
        yield locate(
            raw.tables,
            here,
            f"the holes reach into the bore of {inner:g} mm",
            "make their circle larger or them smaller",
        )
    count = holes.get("holes")
    if isinstance(count, int) and count > 1 and circle * math.sin(math.pi / count) <= diameter:
        yield locate(
            raw.tables,
            here,
            f"{count} holes of {diameter:g} mm run into each other on a circle of {circle:g} mm",
            "make them fewer or smaller",
        )


def _spans(raw: RawFile) -> Iterator[Located]:
    """Yield the faults of travels and stretches whose end lies before their beginning."""
    spindle = raw.table("spindle")
    for index, shaft in raw.items("shaft"):
        yield from _span(raw, ("shaft", index, "slide"), sub_table(shaft, "slide"), empty=True)
    for index, section in items_of(spindle, "sections"):
        yield from _span(raw, ("spindle", "sections", index), section, empty=False)
    yield from _span(raw, ("spindle", "cop"), sub_table(spindle, "cop"), empty=False)


def _span(raw: RawFile, place: Place, table: Table, empty: bool) -> Iterator[Located]:
    low, high = raw.mm(table, "from"), raw.mm(table, "to")
    if low is None or high is None or low < high or (empty and low == high):
        return
    word = "at" if low == high else "beyond"
    yield locate(
        raw.tables,
        (*place, "from"),
        f"from ({low:g} mm) lies {word} to ({high:g} mm)",
        "give the lower end first",
    )


def _twist(raw: RawFile) -> Iterator[Located]:
    yarn = raw.table("yarn")
    if "turns_per_metre" in yarn and "twist_factor" in yarn:
        yield locate(
            raw.tables,
            ("yarn", "twist_factor"),
            "turns_per_metre and twist_factor are both given",
            "keep one of the two",
        )


def _hardness(raw: RawFile) -> Iterator[Located]:
    for index, material in raw.items("material"):
        if "modulus" in material and "shore" in material:
            yield locate(
                raw.tables,
                ("material", index, "shore"),
                "modulus and shore are both given",
                "keep the modulus, if it was measured",
            )


def _spreads(raw: RawFile) -> Iterator[Located]:
    for index, material in raw.items("material"):
        for key, dimension in _FIGURES.items():
            figure = sub_table(material, key)
            read = (
                quantity_of(figure.get(k), dimension, dimension.unit)
                for k in ("low", "value", "high")
            )
            numbers = [number for number in read if number is not None]
            if numbers != sorted(numbers):
                yield locate(
                    raw.tables,
                    ("material", index, key),
                    "low, value and high do not rise in this order",
                    "low is at most the value, and high at least",
                )
