"""How lengths are written on drawings and sheets: metric, decimal inches or nearest 1/64."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from wheelgeo.units import format_inches

LengthUnit = Literal["mm", "in", "in/64"]
"""Millimetres, decimal inches, or inches to the nearest 1/64."""
MM_PER_INCH = 25.4

UNITS: tuple[LengthUnit, ...] = ("mm", "in", "in/64")


def length_writer(unit: LengthUnit) -> Callable[[float], str]:
    """Return what writes a length in millimetres as a bare number of a drawing.

    Millimetres with one decimal at most and without the unit, which the drawing tells once;
    inches with three decimals likewise, or as a fraction to the nearest 1/64 with its unit.
    """
    if unit == "in/64":
        return format_inches
    if unit == "in":
        return lambda mm: f"{mm / MM_PER_INCH:.3f}"
    return lambda mm: f"{mm:.1f}".removesuffix(".0")


def length_with_unit(unit: LengthUnit, decimals: int = 1) -> Callable[[float], str]:
    """Return what writes a length in millimetres with its unit.

    Args:
        unit: the unit.
        decimals: decimals of millimetres; decimal inches have two more.
    """
    if unit == "in/64":
        return format_inches
    if unit == "in":
        return lambda mm: f"{mm / MM_PER_INCH:.{decimals + 2}f} in"
    return lambda mm: f"{mm:.{decimals}f} mm"


def turned_length(unit: LengthUnit, decimals: int = 1) -> Callable[[float], str]:
    """Return what writes a turned or bored length with its unit.

    A 1/64 of an inch is 0.4 mm, and in the groove of a small whorl a twentieth of the ratio: such
    lengths are written in thousandths of an inch where the others are in sixty-fourths.

    Args:
        unit: the unit of the other lengths.
        decimals: decimals of millimetres; decimal inches have two more.
    """
    return length_with_unit("in") if unit == "in/64" else length_with_unit(unit, decimals)


def unit_note(unit: LengthUnit) -> str:
    """Return the unit in words."""
    return {"mm": "millimetres", "in": "inches", "in/64": "inches to the nearest 1/64"}[unit]
