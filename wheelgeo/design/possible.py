"""What a wheel must be in order to exist: the one owner of that question.

The reader asks it of what it could read of a file, ``put`` of a wheel with numbers set anew, every
search of what it is about to offer. A wheel may be a poor one and still exist: that is for the
rules of the check. What is refused here could not be made, or names what is not there.

Each rule is a small function of one part that yields faults. It may meet ``UNKNOWN`` where the
file could not be read, or where a value is out of its bounds; using that stops this one rule for
this one part, and every other rule still speaks.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import is_dataclass, replace
from typing import Any

from wheelgeo.design.bounds import Written, wrong_values
from wheelgeo.design.file_forms import DESIGN, part_names
from wheelgeo.design.key_places import Located, Place, in_words, input_name
from wheelgeo.design.model import Design
from wheelgeo.design.possible_drive import BAND_RULES, PULLEY_RULES, SHAFT_RULES
from wheelgeo.design.possible_names import (
    NAMED_LISTS,
    Found,
    KnownParts,
    asked,
    known_fibre,
    known_limits,
    names_once,
    too_few,
    turned_and_spun,
)
from wheelgeo.design.possible_others import (
    bobbin_grows,
    braked_shaft,
    on_the_spindle,
    sheets_known,
    spreads_rise,
    twist_said_once,
)
from wheelgeo.errors import DesignError, Fault
from wheelgeo.units.keys import keys_of
from wheelgeo.units.unknown import UNKNOWN


def faults(design: Design) -> tuple[Fault, ...]:
    """Return everything that keeps a wheel from existing, each fault with the input at fault."""
    return tuple(_told(design, found) for found in impossible(design))


def must_exist(design: Design, source: str = "") -> Design:
    """Return the design, or raise the DesignError that holds every fault that it has.

    Args:
        design: the wheel.
        source: what the error calls it.
    """
    found = faults(design)
    if found:
        raise DesignError(found, source)
    return design


def _told(design: Design, found: Located) -> Fault:
    place, says, remedy = found
    name_of = part_names(design)
    return Fault(in_words(place, name_of), says, remedy, input_name(DESIGN, place, name_of))


def impossible(design: Design, written: Written | None = None) -> list[Located]:
    """Return the faults of a wheel by their places, in no order.

    Args:
        design: the wheel; what could not be read in it is ``UNKNOWN``.
        written: tells a value as its owner wrote it; None: as the design has it.
    """
    wrong = list(wrong_values(DESIGN, design, (), written or (lambda _: None)))
    for place, *_ in wrong:
        design = _without(design, place)
    return wrong + [found for rule in _every_rule(KnownParts(design)) for found in asked(rule)]


def _without(part: Any, place: Place) -> Any:
    """Return a part with ``UNKNOWN`` at a place of the file; as it is where none is there."""
    if not place:
        return UNKNOWN
    step, rest = place[0], place[1:]
    if isinstance(part, tuple) and rest:
        return tuple(_without(p, rest) if i == step else p for i, p in enumerate(part))
    if not is_dataclass(part) or isinstance(part, type):
        return UNKNOWN
    name = next((k.attribute for k in keys_of(type(part)) if k.name == step), None)
    if name is None:  # a key that the file has under another name, such as that of a pull
        return UNKNOWN
    changes: dict[str, Any] = {name: _without(getattr(part, name), rest)}
    return replace(part, **changes)


def _every_rule(whole: KnownParts) -> Iterator[Found]:
    """Yield every rule of every part, not yet asked."""
    for rule in (
        too_few,
        turned_and_spun,
        known_fibre,
        twist_said_once,
        known_limits,
        bobbin_grows,
    ):
        yield rule(whole)
    for attribute, key in NAMED_LISTS:
        yield names_once(whole, attribute, key)
    for index, shaft in whole.parts("shafts"):
        for shaft_rule in SHAFT_RULES:
            yield shaft_rule(whole, ("shaft", index), shaft)
    for index, pulley in whole.parts("pulleys"):
        for pulley_rule in PULLEY_RULES:
            yield pulley_rule(whole, ("pulley", index), pulley)
    for index, band in whole.parts("bands"):
        for band_rule in BAND_RULES:
            yield band_rule(whole, ("band", index), band)
    for index, drag in whole.parts("drags"):
        yield braked_shaft(whole, ("drag", index), drag)
    for index, material in whole.parts("materials"):
        yield spreads_rise(("material", index), material)
    yield from on_the_spindle(whole)
    yield sheets_known(whole)
