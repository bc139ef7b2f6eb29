"""Lengths told in inches, as a rule shows them or in decimals."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from fractions import Fraction

from wheelgeo.units.quantity import LENGTH_UNITS

_NOTHING_MM = 1e-3
"""A length below it is what rounding leaves of none."""
_FINE_MM = 0.1
"""A length below it is told in ten-thousandths of an inch."""


def format_inches(length_mm: float, denominator: int = 64) -> str:
    """Return a length as inches to the nearest binary fraction, for example ``1 33/64 in``.

    Args:
        length_mm: the length, mm.
        denominator: finest fraction of an inch, a power of two.

    Returns:
        The text, with its unit.
    """
    parts = Fraction(round(abs(length_mm) / 25.4 * denominator), denominator)
    whole, rest = divmod(parts, 1)
    sign = "-" if length_mm < 0 and parts else ""
    if not rest:
        return f"{sign}{whole} in"
    return f"{sign}{whole} {rest} in" if whole else f"{sign}{rest} in"


def in_inches(length_mm: float) -> str:
    """Return a length in inches as a bench reads it: ``12 33/64 in``, ``0.138 in``.

    The one rule for every length that is told in inches and that somebody may lay a tape to; what
    is turned or bored is told by ``units.written.turned_length``, which a calliper reads.

    A rule shows sixty-fourths, and a length to the nearest 1/64 may be off by 0.2 mm: it is told so
    where that is one per cent of it at most, or half a thousandth of an inch; else in
    thousandths, and in ten-thousandths below a tenth of a millimetre.

    Args:
        length_mm: the length, mm.

    Returns:
        The text, with its unit.
    """
    if _on_a_rule(length_mm):
        return format_inches(length_mm)
    return _in_decimals(length_mm, 3 if abs(length_mm) >= _FINE_MM else 4)


def in_inches_alike(lengths_mm: Iterable[float]) -> Callable[[float], str]:
    """Return what writes how unsure lengths are, in one sentence: in 64ths, or all in decimals.

    Decimals are hundredths of an inch, a quarter of a millimetre, where none is below a tenth.

    Args:
        lengths_mm: the half widths, mm; one that no rule shows near enough puts all in decimals.
    """
    halves = [abs(mm) for mm in lengths_mm if abs(mm) >= _NOTHING_MM]
    if all(map(_on_a_rule, halves)):
        return format_inches
    least = min(halves)
    digits = 2 if least >= 0.1 * LENGTH_UNITS["in"] else 3 if least >= _FINE_MM else 4
    return lambda mm: _in_decimals(mm, digits)


def _on_a_rule(length_mm: float) -> bool:
    """Tell whether a length to the nearest 1/64 is near enough."""
    size = abs(length_mm)
    near = round(64.0 * size / LENGTH_UNITS["in"]) * LENGTH_UNITS["in"] / 64.0
    return (near > 0.0 and abs(near - size) <= max(0.01 * size, 0.0127)) or size < _NOTHING_MM


def _in_decimals(length_mm: float, digits: int) -> str:
    return f"{length_mm / LENGTH_UNITS['in']:.{digits}f} in"
