"""What a design holds of a shaft only by implication: where it is on its slide, how it leans."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from wheelgeo.design.model import Design, Shaft, Vector
from wheelgeo.design.side_words import TOWARDS
from wheelgeo.numbers.part_field import PartField, Range
from wheelgeo.units import ANGLE_DEG, LENGTH_MM
from wheelgeo.units.number_kinds import Bounds, NumberKind
from wheelgeo.units.quantity import without_noise


def _place_on_slide(_: Design, shaft: Shaft) -> float | None:
    return None if shaft.slide is None else -shaft.slide.from_mm


def slid(shaft: Shaft, travel_mm: float) -> Shaft:
    """Return a shaft at another place of its slide, which itself stays where it is in space.

    Args:
        shaft: a shaft with a slide.
        travel_mm: its place, mm from the slide's start.
    """
    assert shaft.slide is not None
    moved = travel_mm + shaft.slide.from_mm
    x, y, z = (_short(a + moved * d) for a, d in zip(shaft.at_mm, shaft.slide.along, strict=True))
    slide = replace(shaft.slide, from_mm=-travel_mm, to_mm=_short(shaft.slide.to_mm - moved))
    return replace(shaft, at_mm=(x, y, z), slide=slide)


def only_slid(was: Shaft, now: Shaft) -> bool:
    """Tell whether a shaft stands elsewhere on its slide, which itself stays where it is."""
    if was.slide is None or now.slide is None or was.at_mm == now.at_mm:
        return False
    there = slid(was, -now.slide.from_mm)
    assert there.slide is not None
    places = zip((*there.at_mm, there.slide.to_mm), (*now.at_mm, now.slide.to_mm), strict=True)
    alike = all(abs(one - other) <= _SET_MM for one, other in places)
    return alike and there.slide.along == now.slide.along


_SET_MM = 0.02
"""So near is a place on an askew slide written, which is set to a hundredth of a millimetre."""


def _short(length_mm: float) -> float:
    """Return a length that sums gave as it may stand in a file; not in steps, for searches."""
    return 0.0 if abs(length_mm) < 1e-9 else without_noise(length_mm)


def travel_field(shaft: Shaft) -> Iterator[PartField]:
    """Yield the field of a shaft's place on its slide, where it has one."""
    if shaft.slide is None:
        return
    yield PartField(
        "travel", "place along its slide, counted from the slide's start",
        NumberKind(LENGTH_MM, "", Bounds(-1e6, 1e6, "within its slide", True)),
        _place_on_slide, lambda _, shaft, value: slid(shaft, value), bounds=_travel_range,
    )  # fmt: skip


def _travel_range(_: Design, shaft: Shaft) -> Range:
    slide = shaft.slide
    return (0.0, 0.0) if slide is None else (0.0, slide.to_mm - slide.from_mm)


_SLOPE = NumberKind(ANGLE_DEG, "deg", Bounds(-90.0, 90.0, "between -90 and 90 degrees", True))


def _lean(index: int, name: str) -> PartField:
    """Return the field of the angle by which a shaft's axis leans towards x, y or z."""

    def across(shaft: Shaft) -> float:
        return math.hypot(*(c for i, c in enumerate(shaft.axis) if i != index))

    def get(_: Design, shaft: Shaft) -> float:
        return math.degrees(math.atan2(shaft.axis[index], across(shaft)))

    def put(_: Design, shaft: Shaft, value: float) -> Shaft:
        return replace(shaft, axis=_leaning(shaft.axis, index, math.radians(value)))

    def bounds(design: Design, shaft: Shaft) -> Range:
        """Return no room where the axis lies along that direction: no plane is given to lean in."""
        only = get(design, shaft)
        return (-90.0, 90.0) if across(shaft) > 0.0 else (only, only)

    means = f"how far the axis leans {TOWARDS[index][True]}"
    return PartField(f"lean.{name}", means, _SLOPE, get, put, bounds=bounds)


def _leaning(axis: Vector, index: int, angle: float) -> Vector:
    """Return the axis turned, in the plane of itself and a coordinate direction, to that lean."""
    across = math.hypot(*(c for i, c in enumerate(axis) if i != index))
    if across == 0.0:
        return axis
    shrink = math.cos(angle) / across
    x, y, z = (math.sin(angle) if i == index else c * shrink for i, c in enumerate(axis))
    return (x, y, z)


LEANS = tuple(_lean(index, name) for index, name in enumerate("xyz"))
"""The fields of the three angles."""
