"""What a step did, in words: the numbers and choices that are others now."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from wheelgeo.design.drive_parts import Slide
from wheelgeo.design.model import Design
from wheelgeo.design.side_words import drive_seen_from
from wheelgeo.numbers.changed import ChangedField, changed_fields, pulleys_of
from wheelgeo.numbers.inputs import find_input, is_input
from wheelgeo.numbers.named_parts import meant_by
from wheelgeo.page.choices import shape_of
from wheelgeo.page.told import in_digits, in_short, input_text, named, with_half
from wheelgeo.units.written import LengthUnit, told_in

_MOST = 2
_MOST_SET = 6
"""So many are named, or all that were set, up to so many; the rest are counted."""


def step_in_words(was: Design, now: Design, unit: LengthUnit, sets: Iterable[str] = ()) -> str:
    """Return what became of one state of a wheel in the next; empty where they are one.

    Args:
        was: the wheel before.
        now: the wheel after.
        unit: how lengths are written.
        sets: names of what was set: told first, before what only followed from it.
    """
    if was == now:
        return ""
    heads = tuple(spot.full_key for key in sets for spot in meant_by(was, key.strip()))
    changed = sorted(changed_fields(was, now), key=lambda one: _place_in(one, heads))
    all_told = [_one(one, (was, now), unit) for one in changed]
    if was.title != now.title:
        all_told.append(f"title: {now.title}, was {was.title}")
    if (was.yarn is None) != (now.yarn is None):
        all_told.append("yarn: told" if now.yarn else "yarn: not told any more")
    all_told += _only_surer(was, now, unit)
    if not all_told:
        return "parts were put in or taken out"
    were_set = sum(_place_in(one, heads) < len(heads) for one in changed)
    told = all_told[: max(_MOST, min(were_set, _MOST_SET))]
    more = len(all_told) - len(told)
    return "; ".join(told) + (f"; and {more} more" if more else "")


def _place_in(one: ChangedField, heads: tuple[str, ...]) -> int:
    """Return the place of what is changed, or of what it is a number of, among some names."""
    name = f"{_key(one)}."
    of_it = (n for n, head in enumerate(heads) if name.startswith(f"{head}."))
    return next(of_it, len(heads))


def _key(one: ChangedField) -> str:
    name = f"{one.part}.{one.field.name}" if one.part else one.field.name
    return f"{one.kind}:{name}"


def _only_surer(was: Design, now: Design, unit: LengthUnit) -> Iterator[str]:
    """Yield the numbers that are what they were, but known better or worse."""
    before, after = was.uncertainties, now.uncertainties
    for key in dict.fromkeys([*before, *after]):
        if before.get(key) != after.get(key) and is_input(was, key) and is_input(now, key):
            one, old = find_input(now, key), find_input(was, key)
            if one.value == old.value:
                text = input_text(one.kind, one.field, one.value, one.unit, unit)
                told, told_was = (with_half(text, of.get(key), one.unit, unit)
                                  for of in (after, before))  # fmt: skip
                yield f"{named(now, key)}: {told}, was {told_was}"


def _one(one: ChangedField, wheels: tuple[Design, Design], unit: LengthUnit) -> str:
    texts = [_text(one, value, unit) for value in (one.was, one.now)]
    if texts[0] == texts[1] and one.field.number is not None:
        texts = _told_apart(one, unit)
    was, now = (
        _sure(one, text, design, unit) for text, design in zip(texts, wheels, strict=True)
    )
    counted = one.part.isdecimal()
    part = f"{one.kind} {one.part}" if counted else one.part or one.kind
    told = f"{now}, was {was}" if now and was and now != was else "another one"
    turned = (one.kind, one.field.name) == ("drive", "turns")
    means = f"turns, {drive_seen_from(wheels[1])}" if turned else one.field.means
    return f"{part}, {means}: {told}"


def _number(one: ChangedField, value: float, unit: LengthUnit) -> str:
    kind = _kind(one)
    if kind == "mm":
        return input_text(one.kind, one.field.name, value, kind, unit)
    return in_short(value, kind) if kind else f"{value:g}"


def _told_apart(one: ChangedField, unit: LengthUnit) -> list[str]:
    """Return two numbers that are told alike with as many digits as tell them apart."""
    kind = _kind(one)
    for digits in range(1, _MOST_DIGITS):
        texts = [in_digits(value, kind, digits, unit) for value in (one.was, one.now)]
        if texts[0] != texts[1]:
            return texts
    return ["", ""]


_MOST_DIGITS = 12


def _kind(one: ChangedField) -> str:
    return "" if one.field.number is None else one.field.number.dimension.unit


def _sure(one: ChangedField, text: str, design: Design, unit: LengthUnit) -> str:
    """Return a value's words with how sure it is."""
    half = design.uncertainties.get(_key(one))
    return with_half(text, half, _kind(one), unit)


def _text(one: ChangedField, value: Any, unit: LengthUnit) -> str:
    """Return a value in words; alike for what has no words of its own."""
    if value is None:
        return "not given"
    if one.field.name == "groove":
        return shape_of(value)
    if one.field.name == "route":
        return " to ".join(f'"{name}"' for name in pulleys_of(value))
    if isinstance(value, Slide):
        return told_in(f"from {value.from_mm + 0.0:g} to {value.to_mm + 0.0:g} mm", unit)
    if one.field.number is not None:
        return _number(one, value, unit)
    return value if isinstance(value, str) else ""
