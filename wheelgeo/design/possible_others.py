"""Rules of what can exist: the spindle with all on it, yarn, bobbin, brakes, sheets."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from wheelgeo.design.key_places import Place
from wheelgeo.design.material import Figure, Material
from wheelgeo.design.model import DragBrake
from wheelgeo.design.possible_drive import span
from wheelgeo.design.possible_names import (
    Found,
    KnownParts,
    each_name_once,
    known_bearing,
    known_material,
    known_name,
)
from wheelgeo.units.unknown import UNKNOWN


def on_the_spindle(whole: KnownParts) -> Iterator[Found]:
    """Yield the rules of the spindle and of all that it carries, not yet asked."""
    spindle = whole.design.spindle
    if spindle is UNKNOWN:
        return
    if spindle.bearings is not UNKNOWN:
        for index, bearing in enumerate(spindle.bearings):
            yield known_bearing(("spindle", "bearings", index), bearing)
    for index, section in enumerate(() if spindle.sections is UNKNOWN else spindle.sections):
        if section is not UNKNOWN:
            yield _stretch(("spindle", "sections", index), section)
    for index, washer in enumerate(() if spindle.washers is UNKNOWN else spindle.washers):
        if washer is not UNKNOWN:
            here = ("spindle", "washers", index, "material")
            yield known_material(whole, here, washer.material)
    if spindle.cop is not None and spindle.cop is not UNKNOWN:
        yield _stretch(("spindle", "cop"), spindle.cop)
    yield _on_a_flyer(whole)


def _stretch(place: Place, part: Any) -> Found:
    yield from span(place, part.from_mm, part.to_mm)


def _on_a_flyer(whole: KnownParts) -> Found:
    spindle = whole.design.spindle
    if spindle.bobbin is None:
        return
    here = ("spindle", "bobbin")
    yield from known_name(here, spindle.bobbin, whole.shafts, "shaft")
    if spindle.bobbin == spindle.shaft:
        yield here, "the bobbin turns apart from the flyer", "it needs a shaft of its own"
    if spindle.kind == "tip":
        yield here, "a spindle with a tip has no bobbin", 'write kind = "flyer", or leave it out'


def bobbin_grows(whole: KnownParts) -> Found:
    """Yield the fault of a full bobbin that is no thicker than the bare one."""
    bobbin = whole.design.bobbin
    if bobbin is not None and bobbin.full_mm <= bobbin.empty_mm:
        yield (
            ("bobbin", "full"),
            f"{bobbin.full_mm:g} mm is not more than the bare bobbin's {bobbin.empty_mm:g} mm",
            "give the diameter over the yarn",
        )


def braked_shaft(whole: KnownParts, place: Place, drag: DragBrake) -> Found:
    """Yield the faults of a brake on a shaft that is not there, or of a cord that is none."""
    yield from known_name((*place, "shaft"), drag.shaft, whole.shafts, "shaft")
    yield from known_material(whole, (*place, "material"), drag.material, cord=True)


def twist_said_once(whole: KnownParts) -> Found:
    """Yield the fault of a twist that is given in two ways."""
    yarn = whole.design.yarn
    if yarn is not None and yarn.turns_per_metre is not None and yarn.twist_factor is not None:
        yield (
            ("yarn", "twist_factor"), "turns_per_metre and twist_factor are both given",
            "keep one of the two",
        )  # fmt: skip


def sheets_known(whole: KnownParts) -> Found:
    """Yield the faults of the sheets at hand: names twice, unknown materials."""
    sheets = whole.design.shop.sheets
    known = [(index, sheet) for index, sheet in enumerate(sheets) if sheet is not UNKNOWN]
    yield from each_name_once(("shop", "sheet"), known)
    for index, sheet in known:
        yield from known_material(whole, ("shop", "sheet", index, "material"), sheet.material)


_FIGURES = ("density_kg_m3", "modulus_mpa", "strength_mpa", "friction", "stretch", "bend_ratio")
_FIGURE_KEYS = ("density", "modulus", "strength", "friction", "stretch", "bend_ratio")


def spreads_rise(place: Place, material: Material) -> Found:
    """Yield the faults of figures whose least, usual and greatest value do not rise."""
    for attribute, key in zip(_FIGURES, _FIGURE_KEYS, strict=True):
        figure: Figure | None = getattr(material, attribute)
        if figure is None or figure is UNKNOWN:
            continue
        known = [n for n in (figure.low, figure.value, figure.high) if n is not UNKNOWN]
        if known != sorted(known):
            yield (
                (*place, key), "low, value and high do not rise in this order",
                "low is at most the value, and high at least",
            )  # fmt: skip
