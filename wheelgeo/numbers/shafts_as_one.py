"""Which shafts slide as one: those on one axis with one slide, such as a flyer and its bobbin."""

from __future__ import annotations

from dataclasses import replace

from wheelgeo.design.file_forms import settled
from wheelgeo.design.model import Design, Shaft
from wheelgeo.geometry.vectors import cross, norm, sub
from wheelgeo.numbers.slides_and_leans import slid

_SAME = 1e-6
"""Axes and slides closer than this are the same, mm."""


def move_as_one(design: Design, name: str) -> tuple[str, ...]:
    """Return the names of the shafts that slide as one with a shaft, its own among them."""
    shaft = design.shaft(name)
    return tuple(s.name for s in design.shafts if s.name == name or _shares_slide(s, shaft))


def _shares_slide(one: Shaft, other: Shaft) -> bool:
    a, b = one.slide, other.slide
    if a is None or b is None:
        return False
    apart = norm(cross(sub(one.at_mm, other.at_mm), other.axis))
    lean = norm(cross(one.axis, other.axis))
    ends = max(abs(a.from_mm - b.from_mm), abs(a.to_mm - b.to_mm), norm(sub(a.along, b.along)))
    return max(apart, lean, ends) < _SAME


def along_with(design: Design, changed: Shaft, before: Shaft) -> Design:
    """Return the design with every shaft moved that slides with one that has moved."""
    assert changed.slide is not None
    travel = -changed.slide.from_mm
    shafts = tuple(
        slid(s, travel) if s.name != changed.name and _shares_slide(s, before) else s
        for s in design.shafts
    )
    return settled(replace(design, shafts=shafts))
