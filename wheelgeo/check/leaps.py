"""What a groove leaps over that a change shifts along its shaft: nobody slides it past that."""

from __future__ import annotations

from collections.abc import Iterator

from wheelgeo.built.as_built import Built
from wheelgeo.built.bodies import same_axis
from wheelgeo.built.crank_arm import crank_plane_mm
from wheelgeo.built.pulley import BuiltPulley
from wheelgeo.check.adjustments import Edits
from wheelgeo.check.edits import place_of
from wheelgeo.geometry.vectors import Vector, along, dot

_SAME_MM = 1e-6
"""Middles nearer than this stand in one place: neither is before the other."""


def leapt_over(before: Built, after: Built, edits: Edits) -> tuple[str, ...]:
    """Return what shifted grooves pass along their axis, by what it is called; nothing: empty.

    Args:
        before: the wheel as it is.
        after: the changed wheel.
        edits: the change.
    """
    places = [place_of(before.design, one.key) for one in edits]
    shifted = [p.part for p in places if (p.kind, p.field) == ("pulley", "offset")]
    passed = {
        name: None
        for moving in shifted
        for name, side in _sides(before, before.pulleys[moving]).items()
        if name in (now := _sides(after, after.pulleys[moving])) and side * now[name] < 0.0
    }
    return tuple(passed)


def _sides(built: Built, moving: BuiltPulley) -> dict[str, float]:
    """Return on which side of a groove the others on its axis stand, and bearings and the crank."""
    axis, here = moving.shaft.axis, moving.centre_mm
    apart = {name: dot(there, axis) - dot(here, axis) for name, there in _on_axis(built, moving)}
    return {name: far for name, far in apart.items() if abs(far) > _SAME_MM}


def _on_axis(built: Built, moving: BuiltPulley) -> Iterator[tuple[str, Vector]]:
    """Yield what stands on the axis of a groove, and its middle, mm."""
    plane = crank_plane_mm(built)
    for made in built.shafts.values():
        shaft = made.shaft
        if not same_axis(shaft, moving.shaft):
            continue
        for pulley in made.carries:
            yield f'"{pulley.name}"', pulley.centre_mm
        # the bushes of a sleeve, or of what turns on a pin, are within what the groove is on
        held = () if made.is_pin or shaft.runs_on is not None else made.bearings
        for number, bearing in enumerate(held, 1):
            yield f"bearing {made.name} {number}", along(shaft.at_mm, shaft.axis, bearing.at_mm)
        if plane is not None and made.name == built.design.drive.shaft:
            yield "the crank", along(shaft.at_mm, shaft.axis, plane)
