"""Rods as they are sold: the sizes that a remedy may name. All common practice, no source."""

from __future__ import annotations

import math

from wheelgeo.units.quantity import INCHES
from wheelgeo.units.written import MM_PER_INCH

_FINE_TO_MM, _FINE_MM, _COARSE_MM = 6.0, 0.5, 1.0
"""By halves up to 6 mm, by whole millimetres above."""
_FINE_TO_IN, _FINE_IN, _COARSE_IN = 1.0 / 4.0, 1.0 / 64.0, 1.0 / 16.0
"""By sixty-fourths up to 1/4 in, by sixteenths above."""
_LEAST_STEPS = 2
"""Of the fine steps, in the thinnest rod."""
_SAME = 1e-6
"""Of a step, by which a rod may be off and be one that is sold."""


def thicker_rods_mm(rod_mm: float, most_mm: float, unit: str) -> tuple[float, ...]:
    """Return the rods that are sold and thicker than one, up to a thickness, mm, rising.

    Args:
        rod_mm: the rod, mm.
        most_mm: the thickest, mm.
        unit: unit of the file: rods are bought by it.
    """
    found, size = [], _at_most(rod_mm, unit)
    while (size := _next(size, unit)) <= most_mm:
        found.append(size)
    return tuple(found)


def rod_within_mm(most_mm: float, unit: str) -> float | None:
    """Return the thickest rod that is sold and no thicker than so much, mm; None: none is.

    Args:
        most_mm: the thickest, mm.
        unit: unit of the file.
    """
    size = _at_most(most_mm, unit)
    return size if size >= (_LEAST_STEPS - _SAME) * _scale(unit)[1] else None


def _scale(unit: str) -> tuple[float, float, float]:
    """Return up to where rods are sold by fine steps, those, and the coarse ones, mm."""
    if unit in INCHES:
        fine_to, fine, coarse = (MM_PER_INCH * x for x in (_FINE_TO_IN, _FINE_IN, _COARSE_IN))
        return fine_to, fine, coarse
    return _FINE_TO_MM, _FINE_MM, _COARSE_MM


def _at_most(most_mm: float, unit: str) -> float:
    """Return the largest step that is not above a thickness, mm."""
    fine_to, fine, coarse = _scale(unit)
    step = coarse if most_mm > fine_to else fine
    return step * math.floor(most_mm / step + _SAME)


def _next(rod_mm: float, unit: str) -> float:
    """Return the rod that is sold next above one that is a step, mm."""
    fine_to, fine, coarse = _scale(unit)
    step = fine if rod_mm < fine_to - _SAME else coarse
    return step * (round(rod_mm / step) + 1)
