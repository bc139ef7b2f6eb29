"""What can be chosen and typed on the page: cords, woods, fibres, grooves, and every number."""

from __future__ import annotations

from functools import cache
from typing import Any

from wheelgeo.design.library import design_text, shipped_designs, what_it_is
from wheelgeo.design.materials import CORDS, WHEELS
from wheelgeo.design.model import Design
from wheelgeo.design.side_words import drive_seen_from
from wheelgeo.errors import DesignError, Fault
from wheelgeo.files import read
from wheelgeo.numbers.inputs import inputs
from wheelgeo.page.told import input_text, with_half, written
from wheelgeo.units.wording import shown
from wheelgeo.units.written import LengthUnit

_DEPTH_OVER_CORD = 1.5
"""Depth of a new groove over its cord: common practice, no source."""
_VEE_DEG = 40.0
"""Angle of a new vee; the shipped designs' usual one."""
_WORN = "worn round"
"""A vee that its cord has worn round at the bottom, as an old wheel's grooves are taken."""
_OF_WORN = 0.55
"""Radius of a worn bottom over its cord's diameter: common practice, no source."""
_LAYERED = "square, as wide as its core is thick"
"""The groove of a pulley built from layers, whatever its file says."""
_ROOM_MM = 0.2
"""A round groove's radius over that of its cord, mm, so that the cord lies on the bottom."""


@cache
def shipped() -> tuple[dict[str, Any], ...]:
    """Return of each shipped design its name, what it is, and its ratio as the page writes it."""
    return tuple(
        {"name": name, "is": what_it_is(name),
         "ratio": written(read(design_text(name), name).solve().ratio, "", "mm")}
        for name in shipped_designs()
    )  # fmt: skip


def settable(design: Design, unit: LengthUnit) -> list[dict[str, Any]]:
    """Return every number and every choice of a wheel: name, value, how written, what it is."""
    own = [m.name for m in design.materials]
    cords = list(dict.fromkeys([*own, *(m.name for m in CORDS)]))
    rows: list[dict[str, Any]] = [
        {"key": f"band:{b.name}.material", "part": b.name, "means": "cord", "value": b.material,
         "of": _with(cords, b.material)}
        for b in design.bands
    ]  # fmt: skip
    for p in design.pulleys:
        woods = list(dict.fromkeys([*own, *(m.name for m in WHEELS), "brass", "steel"]))
        rows.append({"key": f"pulley:{p.name}.material", "part": p.name, "means": "made of",
                     "value": p.material, "of": [None, *_with(woods, p.material)]})  # fmt: skip
        layered = p.build == "layers" and p.groove.has_mouth
        shape = _LAYERED if layered else shape_of(p.groove)
        kinds = [shape] if layered else _with(["vee", "round", _WORN, "flat"], shape)
        rows.append({"key": f"groove:{p.name}", "part": p.name, "means": "shape of the groove",
                     "value": shape, "of": kinds})  # fmt: skip
    rows.append({"key": "drive.turns", "part": "drive",
                 "means": f"turns, {drive_seen_from(design)}", "value": design.drive.turns,
                 "of": ["clockwise", "counter-clockwise"]})  # fmt: skip
    if design.yarn is not None:
        rows.append({"key": "yarn.twist", "part": "yarn", "means": "twist", "of": ["S", "Z"],
                     "value": design.yarn.twist})  # fmt: skip
    numbers = [
        {"key": i.key, "part": i.part or i.kind, "means": i.means, "value": i.value,
         "text": with_half(input_text(i.kind, i.field, i.value, i.unit, unit),
                           design.uncertainties.get(i.full_key), i.unit, unit), "unit": i.unit}
        for i in inputs(design)
    ]  # fmt: skip
    return [*rows, *numbers]


def _with(known: list[str], value: str | None) -> list[str]:
    return known if value is None or value in known else [value, *known]


def shape_of(groove: object) -> str:
    """Return the shape of a groove in a word."""
    shape = getattr(groove, "shape", "")
    return {"worn": _WORN, "pitch": "another"}.get(shape, shape)


def groove_table(design: Design, pulley: str, shape: str) -> dict[str, Any]:
    """Return a groove of another shape on the same rim, as a design file holds it, mm.

    Its sizes are taken from the thickest cord that lies in it; whoever wants others sets them then.

    Args:
        design: the wheel.
        pulley: name of the pulley.
        shape: vee, round, worn round or flat.
    """
    found = next((p for p in design.pulleys if p.name == pulley), None)
    cords = [b.diameter_mm for b in design.bands if any(s.pulley == pulley for s in b.route)]
    cord = max(cords, default=3.0)
    if found is None:
        raise DesignError((Fault("", f"there is no pulley {shown(pulley)}"),))
    rim = getattr(found.groove, "rim_mm", None)
    if rim is None:  # only the pitch diameter is known: the cord's middle then lies a cord deep
        rim = 2.0 * float(found.groove.pitch_radius_mm(cord)) + 2.0 * cord
    depth = _DEPTH_OVER_CORD * cord
    sizes: dict[str, dict[str, Any]] = {
        "vee": {"depth": f"{depth} mm", "angle": _VEE_DEG},
        "round": {"depth": f"{depth} mm", "radius": f"{0.5 * cord + _ROOM_MM} mm"},
        _WORN: {"depth": f"{depth} mm", "radius": f"{_OF_WORN * cord} mm", "angle": _VEE_DEG},
        "flat": {"width": f"{3.0 * cord} mm"},
    }
    named = "worn" if shape == _WORN else shape
    return {"shape": named, "rim": f"{rim} mm", **sizes.get(shape, {})}
