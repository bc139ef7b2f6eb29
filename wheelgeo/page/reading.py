"""What stands in a question of the page, read and held to its kind."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from wheelgeo.drawing.scene import Scene
from wheelgeo.drawing.view import View
from wheelgeo.page import seen
from wheelgeo.units.written import UNITS, LengthUnit

Ask = Mapping[str, Any]
"""A question: its blanks by name."""
Said = dict[str, Any]
"""An answer, fit for JSON."""


class BadAskError(Exception):
    """A question that makes no sense: it comes from no page of ours."""


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
