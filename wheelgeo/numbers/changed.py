"""What differs between two states of one wheel, by the names of its numbers and choices."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from wheelgeo.design.model import Design, Shaft
from wheelgeo.numbers.fields_of_parts import fields_of
from wheelgeo.numbers.named_parts import ALL_KINDS, PartKind
from wheelgeo.numbers.part_field import PartField
from wheelgeo.numbers.slides_and_leans import only_slid

_FOLLOWS = ("pitch", "lean", "travel", "pull")
"""Heads of names that a design holds only by implication."""
_FOLLOWS_SLIDING = ("lean", "at", "slide")
"""The same of a shaft that is slid: there its place along the slide is what is set."""


class ChangedField(NamedTuple):
    """A number or a choice of one part that is another one now."""

    kind: str
    part: str
    field: PartField
    was: Any
    now: Any


def changed_fields(was: Design, now: Design) -> Iterator[ChangedField]:
    """Yield what differs of the parts that both have, part by part.

    A number that only follows from others of its part, and a table or vector whose numbers are
    told, is left out; not so a band that is led over other pulleys, which no number tells. Of a
    shaft that was slid its place along the slide is told, and not those that follow from it.
    """
    for kind in ALL_KINDS:
        old = dict(kind.parts(was))
        for name, part in kind.parts(now):
            if name in old and old[name] != part:
                yield from _of_part(kind, name, (was, old[name]), (now, part))


def _of_part(
    kind: PartKind, name: str, was: tuple[Design, Any], now: tuple[Design, Any]
) -> Iterator[ChangedField]:
    before = {field.name: field.get(*was) for field in fields_of(was[1])}
    differ = [
        ChangedField(kind.name, name, field, before[field.name], value)
        for field in fields_of(now[1])
        if field.name in before and (value := field.get(*now)) != before[field.name]
    ]
    plain = [one for one in differ if one.field.number or isinstance(one.was or one.now, str)]
    moved = isinstance(was[1], Shaft) and only_slid(was[1], now[1])
    follows = _FOLLOWS_SLIDING if moved else _FOLLOWS
    own = [one for one in plain if one.field.name.partition(".")[0] not in follows]
    shapes = [one for one in differ if one.field.name == "groove"
              and type(one.was) is not type(one.now)]  # fmt: skip
    led = [one for one in differ if one.field.name == "route"
           and pulleys_of(one.was) != pulleys_of(one.now)]  # fmt: skip
    yield from led
    yield from shapes or own or plain or ([] if led else differ)


def pulleys_of(route: Iterable[Any]) -> tuple[str, ...]:
    """Return the names of the pulleys that a route leads over, in its order."""
    return tuple(stop.pulley for stop in route)
