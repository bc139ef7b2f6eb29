"""Lengths told in inches, as a rule shows them or in decimals."""

from __future__ import annotations

from fractions import Fraction

from wheelgeo.units.quantity import LENGTH_UNITS

_NOTHING_MM = 1e-3
"""A length below it is what rounding leaves of none."""


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
    size = abs(length_mm)
    near = round(64.0 * size / LENGTH_UNITS["in"]) * LENGTH_UNITS["in"] / 64.0
    off = abs(near - size)
    if (near > 0.0 and off <= max(0.01 * size, 0.0127)) or size < _NOTHING_MM:
        return format_inches(length_mm)
    return f"{length_mm / LENGTH_UNITS['in']:.{3 if size >= 0.1 else 4}f} in"
