"""What a question found untold of a wheel: the blanks that ask for it, and what was filled in."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from wheelgeo.design.model import Design, Yarn
from wheelgeo.errors import DesignError, UntoldError, WheelError
from wheelgeo.page.open_wheel import OpenWheel
from wheelgeo.page.reading import Ask, BadAskError, Said, unit_in
from wheelgeo.units import LENGTH_MM, with_unit
from wheelgeo.units.keys import Key, keys_of
from wheelgeo.units.kinds import ChoiceKind
from wheelgeo.units.number_kinds import NumberKind
from wheelgeo.units.written import bare_unit

_TABLE = "yarn"
"""The table of a file that a question may find untold."""
_KEYS = {f"{_TABLE}.{key.name}": key for key in keys_of(Yarn)}


def blanks(error: WheelError) -> Said:
    """Return what a refusal asks for, each with what it means and an example; else nothing."""
    if not isinstance(error, UntoldError):
        return {}
    return {"untold": [_blank(name, _KEYS[name]) for name in error.keys]}


def _blank(name: str, key: Key) -> Said:
    words = list(key.kind.words) if isinstance(key.kind, ChoiceKind) else None
    return {"key": name, "means": key.means, "example": key.example.strip('"'), "of": words}


def tell(opened: OpenWheel, ask: Ask) -> None:
    """Take a step: the wheel is told what was filled in; DesignError where that cannot be.

    A bare length is in the unit of the page.
    """
    given = ask.get("given")
    if not isinstance(given, dict) or not all(isinstance(text, str) for text in given.values()):
        raise BadAskError("nothing is told")
    if not given.keys() <= _KEYS.keys():
        raise BadAskError("no such blank")
    told = {name: _read(_KEYS[name], text, ask) for name, text in given.items() if text.strip()}
    try:
        opened.put(_changes(opened.now.design, told))
    except DesignError as error:  # at the blank that it is of
        raise DesignError(
            tuple(replace(fault, place=fault.place.replace(" ", ".", 1)) for fault in error.faults)
        ) from error


def _read(key: Key, text: str, ask: Ask) -> str:
    kind = key.kind
    is_length = isinstance(kind, NumberKind) and kind.dimension is LENGTH_MM
    return with_unit(text, bare_unit(unit_in(ask))) if is_length else text.strip()


def _changes(design: Design, told: dict[str, str]) -> dict[str, Any]:
    """Return what to put: a table of its own where the wheel has none yet."""
    if design.yarn is not None:
        return dict(told)
    return {_TABLE: {_KEYS[name].name: text for name, text in told.items()}}
