"""Sizes that can be made: every so many millimetres, or the cutters and dowels at hand."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.units import LENGTH_MM, parse_quantity
from wheelgeo.units.quantity import INCHES

MOST_SIZES = 100_000
"""A range that holds more sizes than this was asked for by mistake."""


@dataclass(frozen=True)
class Makeable:
    """Sizes that can be made.

    Attributes:
        step_mm: every whole multiple of this can be made; None where only ``sizes_mm`` can.
        sizes_mm: the sizes at hand, rising; empty where there is a step.
    """

    step_mm: float | None
    sizes_mm: tuple[float, ...] = ()

    def between(self, low_mm: float, high_mm: float) -> tuple[float, ...]:
        """Return every size from low to high, both included, rising; mm.

        Raises:
            SearchError: there are more than ``MOST_SIZES`` of them.
        """
        if self.step_mm is None:
            first, last = bisect_left(self.sizes_mm, low_mm), bisect_right(self.sizes_mm, high_mm)
            return self.sizes_mm[first:last]
        # a size that rounding puts a hair outside the range belongs to it
        first = math.ceil(low_mm / self.step_mm - 1e-9)
        last = math.floor(high_mm / self.step_mm + 1e-9)
        if last - first >= MOST_SIZES:
            raise SearchError(
                f"a step of {self.step_mm:g} mm makes {last - first + 1} sizes between "
                f"{low_mm:g} and {high_mm:g} mm; take a coarser one"
            )
        return tuple(round(i * self.step_mm, 9) for i in range(first, last + 1))


def usual_step(unit: str) -> str:
    """Return the step in which sizes are made where none is told; common practice, no source.

    Args:
        unit: of the lengths of who makes them.
    """
    return "1/32 in" if unit in INCHES else "0.5 mm"


def parse_makeable(given: str | float | Sequence[str | float], bare_unit: str = "mm") -> Makeable:
    """Read which sizes can be made.

    Args:
        given: one length is a step (``"0.5 mm"``, ``"1/32 in"``); a list, or a text with commas,
            are the sizes at hand (``"6, 8, 3/8 in"``), each with its own unit.
        bare_unit: the unit of a bare number.

    Returns:
        The sizes.

    Raises:
        QuantityError: something in it is no length.
        SearchError: a step or a size is not above 0.
    """
    if isinstance(given, str) and "," in given:
        given = [part for part in given.split(",") if part.strip()]
    if isinstance(given, str | float | int):
        return Makeable(_length(given, bare_unit, "the step"))
    sizes = sorted({_length(size, bare_unit, "a size at hand") for size in given})
    if not sizes:
        raise SearchError("the list of sizes at hand is empty")
    return Makeable(None, tuple(sizes))


def _length(value: str | float, bare_unit: str, what: str) -> float:
    length = parse_quantity(value, LENGTH_MM, bare_unit)
    if length <= 0.0:
        raise SearchError(f"{what} is {value}; it must be above 0")
    return round(length, 9)
