"""What stands in a question of the page, read and held to its kind."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from wheelgeo.drawing.scene import Scene
from wheelgeo.drawing.view import View
from wheelgeo.errors import SearchError
from wheelgeo.page import seen
from wheelgeo.units.written import UNITS, LengthUnit

Ask = Mapping[str, Any]
"""A question: its blanks by name."""
Said = dict[str, Any]
"""An answer, fit for JSON."""


LONGEST_TEXT = 2_000
"""Characters of one blank; what may be a whole wheel (``_WHOLE``) has limits of its own."""
MOST_ENTRIES = 200
"""Entries of one list in a question."""
_WHOLE = ("text", "link")
_CAPITALS_ACROSS = 2_000
"""A capital is no smaller than such a part of what is drawn: the page has capitals of 8 pixels, and
the finest screens are some hundreds of those across. Labels are looked for in steps of a capital,
so that the price of a smaller one has no limit."""
_LEAST_MM = 1e-3


class BadAskError(Exception):
    """A question that makes no sense: it comes from no page of ours."""


def hold_short(ask: Ask) -> None:
    """Hold the blanks of a question to a length that no hand exceeds.

    Raises:
        SearchError: a text is too long.
        BadAskError: a list is.
    """
    for key, value in ask.items():
        inner = value.values() if isinstance(value, dict) else value
        many = list(inner) if isinstance(value, dict | list) else []
        if len(many) > MOST_ENTRIES:
            raise BadAskError(f"{key} has too many entries")
        if key not in _WHOLE and any(len(t) > LONGEST_TEXT for t in (value, *many)
                                     if isinstance(t, str)):  # fmt: skip
            raise SearchError(f"no more than {LONGEST_TEXT} characters can be read at a time")


def height_in(one: Ask, across_mm: float = 0.0) -> float:
    """Return the height of capitals in a view, mm.

    Args:
        one: the view as it was asked for.
        across_mm: the longer side of what is drawn in it.

    Raises:
        BadAskError: nobody could read them.
    """
    height = number_in(one, "capital", max(3.0, across_mm / _CAPITALS_ACROSS))
    if height < max(_LEAST_MM, across_mm / _CAPITALS_ACROSS):
        raise BadAskError("capital is no height")
    return height


def unit_in(ask: Ask) -> LengthUnit:
    """Return how lengths are to be written."""
    unit = ask.get("unit", "mm")
    if unit not in UNITS:
        raise BadAskError("no such unit")
    return cast("LengthUnit", unit)


def text_in(ask: Ask, key: str, default: str | None = None) -> str:
    """Return a text of a question; BadAskError where it is none."""
    value = ask.get(key, default)
    if not isinstance(value, str):
        raise BadAskError(f"{key} is no text")
    return value


def views_in(ask: Ask, scene: Scene) -> list[tuple[Ask, View]]:
    """Return the views that are asked for, each as it was asked and as it is."""
    wanted = ask.get("views", [])
    if not isinstance(wanted, list) or len(wanted) > 4:
        raise BadAskError("no views")
    found: list[tuple[Ask, View]] = []
    for one in wanted:
        if not isinstance(one, dict) or one.get("name") not in ("plan", "side", "turned"):
            raise BadAskError("no such view")
        turn, tilt = (number_in(one, key, given) for key, given in (("turn", 35.0), ("tilt", 30.0)))
        found.append((one, seen.view_named(one["name"], scene, turn, tilt)))
    return found


def number_in(ask: Ask, key: str, default: float) -> float:
    """Return a number of a question; BadAskError where it is none."""
    value = ask.get(key, default)
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e6:
        raise BadAskError(f"{key} is no number")
    return float(value)


def places_in(ask: Ask, key: str) -> frozenset[int] | None:
    """Return places in a list; None where none are given; BadAskError where they are no places."""
    value = ask.get(key)
    if value is None:
        return None
    if not isinstance(value, list) or not all(type(place) is int for place in value):
        raise BadAskError(f"{key} is no list of places")
    return frozenset(value)


def system_words(error: OSError | UnicodeError) -> str:
    """Return why the system would not do something, in words: with the name, without a number."""
    reason = getattr(error, "strerror", None) or "it is no name of a file"
    name = getattr(error, "filename", None)
    return f'"{name}": {reason}' if name else str(reason)
