"""What a step did, in words: the numbers and choices that are others now."""

from __future__ import annotations

from typing import Any

from wheelgeo.design.model import Design
from wheelgeo.numbers.changed import ChangedField, changed_fields
from wheelgeo.page.choices import shape_of
from wheelgeo.page.told import input_text
from wheelgeo.units.written import LengthUnit

_MOST = 2
"""So many are named; the rest are counted."""


def step_in_words(was: Design, now: Design, unit: LengthUnit) -> str:
    """Return what became of one state of a wheel in the next; empty where they are one.

    Args:
        was: the wheel before.
        now: the wheel after.
        unit: how lengths are written.
    """
    if was == now:
        return ""
    all_told = [_one(one, unit) for one in changed_fields(was, now)]
    if was.title != now.title:
        all_told.append(f"title: {now.title}, was {was.title}")
    if not all_told:
        return "parts were put in or taken out"
    told = all_told[:_MOST]
    more = len(all_told) - len(told)
    return "; ".join(told) + (f"; and {more} more" if more else "")


def _one(one: ChangedField, unit: LengthUnit) -> str:
    now, was = (_text(one, value, unit) for value in (one.now, one.was))
    counted = one.part.isdecimal()
    part = f"{one.kind} {one.part}" if counted else one.part or one.kind
    return f"{part}, {one.field.means}: " + (f"{now}, was {was}" if now != was else "another one")


def _text(one: ChangedField, value: Any, unit: LengthUnit) -> str:
    """Return a value in words; alike for what has no words of its own."""
    if value is None:
        return "not given"
    if one.field.name == "groove":
        return shape_of(value)
    if one.field.number is not None:
        kind = one.field.number.dimension.unit
        if not kind:
            return f"{value:g}"
        return input_text(one.kind, one.field.name, value, kind, unit)
    return value if isinstance(value, str) else ""
