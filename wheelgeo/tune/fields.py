"""The numbers that each kind of part holds: how to read one, and how to change it.

``parameters`` gives them their keys. A field never changes a design in place: ``put`` returns the
part anew. No field's name may be the tail of another's behind a dot (``at.x`` and ``x``): that is
what lets a part's own name hold dots and spaces; a test holds the tables to it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Literal

from wheelgeo.design.model import (
    Count,
    Design,
    Pulley,
    Shaft,
    Vector,
)
from wheelgeo.geometry.extents import running_groove
from wheelgeo.units import (
    ANGLE_DEG,
    FORCE_N,
    FRACTION,
    LENGTH_MM,
    MASS_G,
    SPEED_RPM,
    Dimension,
)

Tolerated = Literal["linear", "angular"]
Range = tuple[float, float]

_ANY: Range = (-math.inf, math.inf)
_POSITIVE: Range = (0.0, math.inf)
"""With ``closed``: not negative."""
_AXES = ("x", "y", "z")


@dataclass(frozen=True, slots=True)
class Field:
    """One number of a kind of part.

    Attributes:
        name: the tail of its key, for example ``rim`` or ``at.x``.
        means: what it is, in plain words.
        quantity: the units in which it may be written; None: a bare number.
        get: the number, or None where the file is silent; of (design, part).
        put: the part with another number; of (design, part, value).
        bounds: the range in which the number makes sense; of (design, part).
        tolerated: the kind of general tolerance that governs it; None: it is no dimension of a
            part that somebody makes.
        closed: the ends of the range belong to it.
        has: whether a part has such a number at all (a flat rim has no depth).
    """

    name: str
    means: str
    quantity: Dimension | None
    get: Callable[[Design, Any], float | None]
    put: Callable[[Design, Any, float], Any]
    bounds: Callable[[Design, Any], Range]
    tolerated: Tolerated | None = None
    closed: bool = False
    has: Callable[[Any], bool] = lambda _: True


def _plain(
    name: str,
    attribute: str,
    quantity: Dimension | None,
    means: str,
    bounds: Range = _POSITIVE,
    tolerated: Tolerated | None = None,
    closed: bool = False,
) -> Field:
    """Return the field that is one attribute of the part."""
    return Field(
        name,
        means,
        quantity,
        lambda _, part: getattr(part, attribute),
        lambda _, part, value: replace(part, **{attribute: value}),
        lambda *_: bounds,
        tolerated,
        closed,
    )


def _component(
    name: str,
    attribute: str,
    index: int,
    means: str,
    tolerated: Tolerated | None = None,
    bounds: Range = _ANY,
) -> Field:
    """Return the field that is one component of a vector of the part."""

    def put(_: Design, part: Any, value: float) -> Any:
        vector = list(getattr(part, attribute))
        vector[index] = value
        return replace(part, **{attribute: tuple(vector)})

    return Field(
        f"{name}.{_AXES[index]}",
        f"{means}, {_AXES[index]}",
        LENGTH_MM,
        lambda _, part: float(getattr(part, attribute)[index]),
        put,
        lambda *_: bounds,
        tolerated,
    )


# --- shafts --------------------------------------------------------------------------------------


def _lean(index: int) -> Field:
    """Return the field of the angle by which a shaft's axis leans towards x, y or z."""

    def get(_: Design, shaft: Shaft) -> float:
        across = [c for i, c in enumerate(shaft.axis) if i != index]
        return math.degrees(math.atan2(shaft.axis[index], math.hypot(*across)))

    def put(_: Design, shaft: Shaft, value: float) -> Shaft:
        return replace(shaft, axis=_leaning(shaft.axis, index, math.radians(value)))

    return Field(
        f"lean.{_AXES[index]}",
        f"how far the axis leans towards {_AXES[index]}",
        ANGLE_DEG,
        get,
        put,
        _lean_bounds(index),
    )


def _lean_bounds(index: int) -> Callable[[Design, Shaft], Range]:
    """Return the bounds of a lean: none to move in where the axis lies along that direction."""

    def bounds(_: Design, shaft: Shaft) -> Range:
        across = math.hypot(*(c for i, c in enumerate(shaft.axis) if i != index))
        lean = math.degrees(math.atan2(shaft.axis[index], across))
        return (-90.0, 90.0) if across > 0.0 else (lean, lean)

    return bounds


def _leaning(axis: Vector, index: int, angle: float) -> Vector:
    """Return the axis turned, in the plane of itself and a coordinate direction, to that lean."""
    across = math.hypot(*(c for i, c in enumerate(axis) if i != index))
    if across == 0.0:
        return axis
    shrink = math.cos(angle) / across
    x, y, z = (math.sin(angle) if i == index else c * shrink for i, c in enumerate(axis))
    return (x, y, z)


def _travel(_: Design, shaft: Shaft) -> float | None:
    return None if shaft.slide is None else -shaft.slide.from_mm


def _put_travel(_: Design, shaft: Shaft, value: float) -> Shaft:
    if shaft.slide is None:
        raise ValueError("the shaft has no slide")
    moved = value + shaft.slide.from_mm
    x, y, z = (a + moved * d for a, d in zip(shaft.at_mm, shaft.slide.along, strict=True))
    slide = replace(shaft.slide, from_mm=-value, to_mm=shaft.slide.to_mm - moved)
    return replace(shaft, at_mm=(x, y, z), slide=slide)


def _travel_bounds(_: Design, shaft: Shaft) -> Range:
    slide = shaft.slide
    return (0.0, 0.0) if slide is None else (0.0, slide.to_mm - slide.from_mm)


SHAFT_FIELDS: tuple[Field, ...] = (
    *(_component("at", "at_mm", i, "place of the shaft", "linear") for i in range(3)),
    Field(
        "travel",
        "place along its slide, counted from the slide's start",
        LENGTH_MM,
        _travel,
        _put_travel,
        _travel_bounds,
        closed=True,
        has=lambda shaft: shaft.slide is not None,
    ),
    *(_lean(i) for i in range(3)),
    _plain("diameter", "diameter_mm", LENGTH_MM, "diameter of the rod", tolerated="linear"),
)


# --- pulleys -------------------------------------------------------------------------------------


def _on_groove(
    name: str,
    attribute: str,
    quantity: Dimension,
    means: str,
    bounds: Callable[[Any], Range],
    tolerated: Tolerated | None = "linear",
    closed: bool = False,
) -> Field:
    """Return the field that is one attribute of the pulley's groove, where it has that one."""

    def put(_: Design, pulley: Pulley, value: float) -> Pulley:
        changes: dict[str, Any] = {attribute: value}
        return replace(pulley, groove=replace(pulley.groove, **changes))

    return Field(
        name,
        means,
        quantity,
        lambda _, pulley: getattr(pulley.groove, attribute, None),
        put,
        lambda _, pulley: bounds(pulley.groove),
        tolerated,
        closed,
        has=lambda pulley: hasattr(pulley.groove, attribute),
    )


def _pitch(design: Design, pulley: Pulley) -> float:
    cord = design.cord_on(pulley.name)
    return running_groove(pulley, cord).seat(cord).pitch_diameter_mm


def _put_pitch(design: Design, pulley: Pulley, value: float) -> Pulley:
    """Give the pulley that pitch diameter; depth and shape of a groove stay, the rim changes."""
    groove = pulley.groove
    size = groove.size_mm + (value - _pitch(design, pulley)) if groove.can_be_cut else value
    return replace(pulley, groove=groove.with_size(size))


def _pitch_bounds(design: Design, pulley: Pulley) -> Range:
    groove = pulley.groove
    if not groove.can_be_cut:
        return _POSITIVE
    return (2.0 * groove.deep_mm + _pitch(design, pulley) - groove.size_mm, math.inf)


PULLEY_FIELDS: tuple[Field, ...] = (
    _on_groove(
        "rim", "rim_mm", LENGTH_MM, "diameter of the rim", lambda g: (2.0 * g.deep_mm, math.inf)
    ),
    _on_groove(
        "depth",
        "depth_mm",
        LENGTH_MM,
        "depth of the groove",
        lambda g: (0.0, getattr(g, "rim_mm", math.inf) / 2.0),
    ),
    _on_groove(
        "angle",
        "angle_deg",
        ANGLE_DEG,
        "included angle of the vee",
        lambda _: (0.0, 180.0),
        "angular",
    ),
    _on_groove(
        "bottom",
        "bottom_mm",
        LENGTH_MM,
        "width of the vee's flat bottom",
        lambda _: _POSITIVE,
        closed=True,
    ),
    _on_groove("radius", "radius_mm", LENGTH_MM, "radius of the round groove", lambda _: _POSITIVE),
    _on_groove("face", "width_mm", LENGTH_MM, "width of the flat rim", lambda _: _POSITIVE),
    Field("pitch", "pitch diameter", LENGTH_MM, _pitch, _put_pitch, _pitch_bounds),
    _plain("offset", "offset_mm", LENGTH_MM, "place of the groove along the shaft", _ANY, "linear"),
    _plain("width", "width_mm", LENGTH_MM, "overall width", tolerated="linear"),
    _plain("core", "core_mm", LENGTH_MM, "thickness of the core sheet", tolerated="linear"),
    _plain("cheek", "cheek_mm", LENGTH_MM, "thickness of each cheek sheet", tolerated="linear"),
    _plain("bore", "bore_mm", LENGTH_MM, "diameter of the bore", tolerated="linear"),
)

# --- bands, drive, yarn and the rest -------------------------------------------------------------

BAND_FIELDS: tuple[Field, ...] = (
    _plain("diameter", "diameter_mm", LENGTH_MM, "diameter of the cord", tolerated="linear"),
    _plain("slip", "slip", FRACTION, "slip, as a fraction", (0.0, 0.99), closed=True),
    _plain("stretch", "stretch", FRACTION, "installed stretch, as a fraction", closed=True),
    _plain("joint", "joint_mm", LENGTH_MM, "cord used up by the joint", closed=True),
    Field(
        "pull",
        "pull that tightens the band",
        FORCE_N,
        lambda _, band: None if band.tension is None else band.tension.pull_n,
        lambda _, band, value: replace(band, tension=replace(band.tension, pull_n=value)),
        lambda *_: _POSITIVE,
        has=lambda band: band.tension is not None,
    ),
)

DRIVE_FIELDS: tuple[Field, ...] = (
    _plain("speed", "speed_rpm", SPEED_RPM, "speed of the shaft that a person turns"),
    _plain("radius", "radius_mm", LENGTH_MM, "throw of the crank", tolerated="linear"),
    _plain("offset", "offset_mm", LENGTH_MM, "plane of the crank along its shaft", _ANY, "linear"),
)


def _put_count(_: Design, yarn: Any, value: float) -> Any:
    return replace(yarn, count=Count(value, yarn.count.system))


YARN_FIELDS: tuple[Field, ...] = (
    Field(
        "count",
        "count of the yarn, in the file's system",
        None,
        lambda _, yarn: yarn.count.value,
        _put_count,
        lambda *_: _POSITIVE,
    ),
    Field(
        "turns_per_metre",
        "twist, turns per metre",
        None,
        lambda _, yarn: yarn.turns_per_metre,
        lambda _, yarn, value: replace(yarn, turns_per_metre=value, twist_factor=None),
        lambda *_: _POSITIVE,
    ),
    Field(
        "twist_factor",
        "twist factor, in the convention of the count's system",
        None,
        lambda _, yarn: yarn.twist_factor,
        lambda _, yarn, value: replace(yarn, twist_factor=value, turns_per_metre=None),
        lambda *_: _POSITIVE,
    ),
    _plain("draw", "draw_mm", LENGTH_MM, "length of yarn made in one draw"),
)

CASE_FIELDS: tuple[Field, ...] = (
    *(
        _component("inside", "inside_mm", i, "inside size of the case", None, _POSITIVE)
        for i in range(3)
    ),
    *(_component("corner", "corner_mm", i, "lowest corner of the case") for i in range(3)),
)

BEARING_FIELDS: tuple[Field, ...] = (
    _plain("at", "at_mm", LENGTH_MM, "place along the spindle", _ANY, "linear"),
    _plain("stiffness", "stiffness_n_mm", None, "stiffness, N/mm"),
)
SECTION_FIELDS: tuple[Field, ...] = (
    _plain("from", "from_mm", LENGTH_MM, "start along the spindle", _ANY, "linear"),
    _plain("to", "to_mm", LENGTH_MM, "end along the spindle", _ANY, "linear"),
    _plain(
        "diameter", "diameter_mm", LENGTH_MM, "diameter of the spindle there", tolerated="linear"
    ),
)
WASHER_FIELDS: tuple[Field, ...] = (
    _plain("at", "at_mm", LENGTH_MM, "place along the spindle", _ANY, "linear"),
    _plain("diameter", "diameter_mm", LENGTH_MM, "diameter of the washer", tolerated="linear"),
    _plain("thickness", "thickness_mm", LENGTH_MM, "thickness of the washer", tolerated="linear"),
)
COP_FIELDS: tuple[Field, ...] = (
    _plain("from", "from_mm", LENGTH_MM, "start of the cop along the spindle", _ANY),
    _plain("to", "to_mm", LENGTH_MM, "end of the cop along the spindle", _ANY),
    _plain("diameter", "diameter_mm", LENGTH_MM, "diameter of the full cop"),
    _plain("mass", "mass_g", MASS_G, "mass of the full cop"),
)
