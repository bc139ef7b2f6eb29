"""Which shafts slide as one: those on one axis with one slide, such as a flyer and its bobbin."""

from __future__ import annotations

from dataclasses import replace

from wheelgeo.design.file_forms import settled
from wheelgeo.design.model import Design, Shaft
from wheelgeo.geometry.vectors import cross, norm, sub
from wheelgeo.numbers.slides_and_leans import slid
from wheelgeo.units.quantity import without_noise

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


_PLACE_DIGITS = 2
"""A place that a hand sets is in hundredths of a millimetre."""


def as_set(before: Design, slid_so: Design) -> Design:
    """Return a design whose shafts were slid by hand, with them at places that can be measured.

    Along a slide that lies askew a round travel leads to a place of seventeen figures. Shafts
    that slide as one step alike, so that they stay in line.
    """
    shafts = (
        _stepped(was, now) for was, now in zip(before.shafts, slid_so.shafts, strict=True)
    )
    return replace(slid_so, shafts=tuple(shafts))


def _stepped(before: Shaft, now: Shaft) -> Shaft:
    if before.at_mm == now.at_mm or now.slide is None:
        return now
    slide = replace(now.slide, to_mm=round(now.slide.to_mm, 9))
    askew = sum(along != 0.0 for along in slide.along) > 1
    steps = (round(b - a, _PLACE_DIGITS) for a, b in zip(before.at_mm, now.at_mm, strict=True))
    x, y, z = (without_noise(a + step) for a, step in zip(before.at_mm, steps, strict=True))
    return replace(now, at_mm=(x, y, z) if askew else now.at_mm, slide=slide)
