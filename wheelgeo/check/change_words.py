"""One edit in words: what a value was and what it becomes, each with its unit."""

from __future__ import annotations

from typing import Any

from wheelgeo.check.edit_words import edit_alone, figure_of, length_of
from wheelgeo.check.edits import Edit, dimension_of, place_of
from wheelgeo.design.model import Design
from wheelgeo.units import ANGLE_DEG, FRACTION, LENGTH_MM, Dimension
from wheelgeo.units.in_full import plain

_DIGITS = 3
_DIRECTIONS = {"axis"}
"""Vectors that are no lengths: no person sees in them how far a rod leans, and to which side."""


def change_in_words(design: Design, one: Edit) -> str:
    """Return one edit as what was and what shall be; what has many numbers in a remedy's words.

    Lengths are in the file's unit, as fine as remedies tell them.

    Args:
        design: the wheel that the edit is made on.
        one: the edit.
    """
    place, dimension = place_of(design, one.key), dimension_of(design, one.key)
    if place.field not in _DIRECTIONS:
        was, becomes = (_value(design, v, dimension) for v in (one.before, one.after))
        if was and becomes:
            return f"{was} to {becomes}"
    told = edit_alone(design, place, one)
    assert told is not None, one.key
    return told


def _value(design: Design, value: Any, dimension: Dimension | None) -> str | None:
    """Return a value in words; None where it is more than a number, a word, or lengths in a row."""
    if value is None:
        return "not given"
    if isinstance(value, bool | str):
        return str(value).lower() if isinstance(value, bool) else value
    if isinstance(value, float | int):
        return _number(design, value, dimension)
    if isinstance(value, tuple) and value and all(isinstance(v, float | int) for v in value):
        return f"{', '.join(figure_of(design, v, _DIGITS) for v in value)} {design.unit}"
    return None


def _number(design: Design, value: float, dimension: Dimension | None) -> str:
    if dimension is LENGTH_MM:
        return length_of(design, value, _DIGITS)
    if dimension is FRACTION:
        return f"{plain(100.0 * value, _DIGITS)} %"
    if dimension is ANGLE_DEG:
        return f"{plain(value, _DIGITS)}°"
    unit = "" if dimension is None else dimension.unit
    return f"{plain(value, _DIGITS)} {unit}".rstrip()
