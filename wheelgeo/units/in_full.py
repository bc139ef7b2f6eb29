"""Lengths in sentences, kept unrounded: they are rounded once, for the unit they are told in.

A sentence is made of lengths in full, ``full(19.4471, 0)``, and told by ``Told``: as text it has
them rounded to millimetres as asked for, "grows by some 19 mm"; whoever tells it in inches turns
the lengths as they were, and says 49/64 in here as everywhere, and not the 3/4 in of 19 mm.
"""

from __future__ import annotations

import re

_KEPT = 9
"""Decimals that a length in full has: a millionth of a micrometre, below every rounding."""
_IN_FULL = re.compile(rf"(-?\d+\.\d{{{_KEPT}}})~(\d)")


def plain(value: float, digits: int = 2) -> str:
    """Return a number as a woodworker writes it: no more digits than asked for, no ``-0``.

    Example: ``plain(12.50)`` is ``"12.5"``, ``plain(-1e-14)`` is ``"0"``.
    """
    text = f"{value:.{digits}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def figures(value: float, digits: int = 2) -> str:
    """Return a number to so many figures, no power of ten: ``figures(112.0)`` is ``"110"``."""
    return plain(float(f"{value:.{digits}g}"), 9)


def full(length_mm: float, digits: int = 2) -> str:
    """Return a length for a sentence that ``Told`` tells.

    Args:
        length_mm: the length, mm.
        digits: decimals of millimetres that it is told with, none of them a nought at its end.
    """
    return f"{length_mm:.{_KEPT}f}~{digits}"


class Told(str):
    """A sentence as it is told in millimetres, which knows its lengths as they were before.

    Attributes:
        in_full: the sentence with every length in full, as it was made.
    """

    __slots__ = ("in_full",)
    in_full: str

    def __new__(cls, text: str) -> Told:
        """Return the sentence; one that was told already as it is."""
        if isinstance(text, Told):
            return text
        rounded = text
        if "~" in text:
            rounded = _IN_FULL.sub(lambda found: plain(float(found[1]), int(found[2])), text)
        told = super().__new__(cls, rounded)
        told.in_full = text
        return told


def part_of(text: str) -> str:
    """Return a sentence to make another of, its lengths in full where it knows them."""
    return text.in_full if isinstance(text, Told) else text


def unrounded(text: str) -> str:
    """Return a sentence with its lengths as they were before they were rounded, to be read."""
    return _IN_FULL.sub(lambda found: found[1], part_of(text))
