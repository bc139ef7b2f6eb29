"""Numbers with their dimension, their bounds, and how well they are known."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from typing import Any

from wheelgeo.errors import QuantityError
from wheelgeo.immutable import dataclass
from wheelgeo.units.kind import Kind, RefusedError, Schema, Wrong
from wheelgeo.units.quantity import (
    FRACTION,
    LENGTH_UNITS,
    Dimension,
    parse_measured,
    parse_quantity,
    times,
    without_noise,
)
from wheelgeo.units.wording import shown

NUMBER = Dimension("number", "", {"": 1.0}, "0.25")
FILE_UNIT = "the file's"
"""Stands for the unit of a bare length: that of the file."""


@dataclass(frozen=True)
class Bounds:
    """What a number must lie between; ``words`` says so to the file's owner."""

    low: float
    high: float
    words: str
    low_allowed: bool = False
    high_allowed: bool = True

    @property
    def closed(self) -> tuple[float, float]:
        """The least and the greatest float that lie within."""
        low = self.low if self.low_allowed else math.nextafter(self.low, math.inf)
        high = self.high if self.high_allowed else math.nextafter(self.high, -math.inf)
        return max(low, -_LARGEST), min(high, _LARGEST)


_LARGEST = math.nextafter(math.inf, 0.0)
_FAR_MM = 1e6
_FINE_MM = 1e-3
ANYWHERE = Bounds(-_FAR_MM, _FAR_MM, "within 1 km", low_allowed=True)
POSITIVE_MM = Bounds(_FINE_MM, _FAR_MM, "more than 0 (from 0.001 mm to 1 km)", low_allowed=True)
NOT_NEGATIVE_MM = Bounds(0.0, _FAR_MM, "0 or more (at most 1 km)", low_allowed=True)
_LEAST = 1e-6
POSITIVE = Bounds(_LEAST, 1e6, "more than 0 (from 0.000001 to 1 000 000)", low_allowed=True)
NOT_NEGATIVE = Bounds(0.0, 1e6, "0 or more (at most 1 000 000)", low_allowed=True)
ABOVE_ZERO = Bounds(0.0, 1e12, "more than 0")
ANY_NUMBER = Bounds(-math.inf, math.inf, "a number")
FLAT_ANGLE = Bounds(0.0, 180.0, "more than 0 and less than 180 degrees", high_allowed=False)
BELOW_ALL = Bounds(0.0, 1.0, "0 or more and less than 100 %", True, False)
UP_TO_ALL = Bounds(0.0, 1.0, "0 or more and at most 100 %", True)

_PLAIN = r"[+-]?\s*(\d+([ \t]+|-)\d+/\d+|\d+/\d+|(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?|\d*\s*[¼-¾⅐-⅞])"
_FEET = r"[+-]?\d[^'f]*\s*(ft|')[\s,]*\d[^'f]*\s*(in|\")?"


def text_schema(units: Iterable[str], optional: bool = False) -> Schema:
    """Return the schema of a number with its unit, and with its uncertainty where it has one."""
    names = "|".join(re.escape(u) for u in units if u)
    one = rf"{_PLAIN}\s*({names})?" if optional else rf"{_PLAIN}\s*({names})"
    first = rf"{_PLAIN}\s*({names})?"
    feet = rf"|{_FEET}" if "ft" in names else ""
    ends = rf"(\s*(\+\s*/?\s*-|±)\s*({one}))"
    return {"type": "string", "pattern": rf"^\s*({one}{feet}|({first}{feet}){ends})\s*$"}


@dataclass(frozen=True)
class NumberKind(Kind):
    """A number with its dimension.

    Attributes:
        dimension: what it measures.
        bare: unit of a bare number: a unit, ``FILE_UNIT``, or None where a bare number will not do.
        bounds: what it must lie between.
        tolerated: kind of general tolerance that governs it as a made dimension; None: none does.
    """

    dimension: Dimension
    bare: str | None
    bounds: Bounds
    tolerated: str | None = None

    def read(self, value: object, unit: str) -> float:
        """Return the number; one with an uncertainty is refused here."""
        return self._read(value, unit, lambda *a: (parse_quantity(*a), None))[0]

    def read_measured(self, value: object, unit: str) -> tuple[float, float | None]:
        """Return the number and the half width of its uncertainty, None where none is given."""
        return self._read(value, unit, parse_measured)

    def _read(
        self, value: object, unit: str, parse: Callable[..., tuple[float, float | None]]
    ) -> tuple[float, float | None]:
        dimension = self.dimension
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise RefusedError(
                f"{shown(value)} is no {dimension.name}", f"write it as {dimension.example}"
            )
        bare = unit if self.bare is FILE_UNIT else self.bare
        try:
            return parse(value, dimension, bare)
        except QuantityError as error:
            says, _, remedy = str(error).partition("; ")
            if len(says) > 200 or not says.isprintable():
                says = f"{shown(value)} is no {dimension.name}"
            elif dimension is NUMBER and isinstance(value, str):
                says, remedy = f"{shown(value)} is no bare number", "write it without unit, quotes"
            raise RefusedError(says, remedy) from error

    def wrong(self, value: Any, written: object = None) -> Wrong | None:
        """Return what is wrong with the number: out of bounds, not finite, or no number."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            return f"{shown(value)} is no {self.dimension.name}", f"it must be {self.bounds.words}"
        low, high = self.bounds.closed
        if low <= value <= high:
            return None
        said = shown(written)
        if written is None:
            said = f"{value:.9g} {self.dimension.unit}".rstrip()
        if self.dimension is FRACTION and value >= high and not isinstance(written, str):
            return (
                f"{said} would be {100 * value:g} %",
                f'a percentage is written with its sign: "{value:g} %"',
            )
        return f"{said} is out of range", f"it must be {self.bounds.words}"

    def meant(self, value: float) -> float:
        """Return a number without the noise of floating point, where it may be so."""
        low, high = self.bounds.closed
        clean = without_noise(value)
        return clean if low <= clean <= high else value

    def written(self, value: float, unit: str, half: float | None = None) -> Any:
        """Return the number, or text with a unit where a bare number will not do."""
        if half is not None:
            return self._measured(value, half, unit)
        if self.bare is None:
            return f"{number_text(value)} {self.dimension.unit}"
        if self.bare is FILE_UNIT:
            return _length(float(value), unit)
        return plain_number(float(value))

    def _measured(self, value: float, half: float, unit: str) -> str:
        """Return a number with its uncertainty, each in a unit that gives it back exactly.

        A rim of 22 1/16 in that is sure to 3 mm stays one of inches: "22.0625 in +- 3 mm".
        """
        mine = self.dimension.unit
        if self.bare is FILE_UNIT:
            both = [_length(x, unit) for x in (value, half)]
            texts = [isinstance(x, str) for x in both]
            if not any(texts):
                return f"{both[0]!r} +- {both[1]!r} {unit}"
            if not all(texts):
                one, other = (x if isinstance(x, str) else f"{x!r} {unit}" for x in both)
                return f"{one} +- {other}"
        return f"{number_text(value)} +- {number_text(half)} {mine}".rstrip()

    def schema(self) -> Schema:
        """Return the schema: a bare number within the bounds, or text with a unit."""
        dimension, bounds = self.dimension, self.bounds
        units = dimension.factors
        if self.bare is None:
            return text_schema(units)
        number: Schema = {"type": "number"}
        if bounds.low >= 0.0:
            exclusive = not bounds.low_allowed or bounds in (POSITIVE_MM, POSITIVE)
            number["exclusiveMinimum" if exclusive else "minimum"] = (
                0 if bounds in (POSITIVE_MM, POSITIVE) else plain_number(bounds.low)
            )
        if bounds.high < _FAR_MM and not (dimension is FRACTION and bounds.high_allowed):
            key = "maximum" if bounds.high_allowed else "exclusiveMaximum"
            number[key] = plain_number(bounds.high)
        if dimension is NUMBER:
            return number
        return {"anyOf": [number, text_schema(units, optional=True)]}


_SHORT_DIGITS = 7
"""A length that needs more digits in the file's unit is written in mm, as ``"100 mm"``."""


def _length(length_mm: float, unit: str) -> float | int | str:
    """Return a short number that reads back as exactly this length, or text in mm."""
    factor = LENGTH_UNITS.get(unit)
    if factor is None:
        raise QuantityError(f'"{unit}" is no unit of length')
    quotient = length_mm / factor
    for digits in range(1, 18 if factor == 1.0 else _SHORT_DIGITS + 1):
        number = float(f"{quotient:.{digits}g}")
        if times(number, factor) == length_mm:
            return plain_number(number)
    return f"{number_text(length_mm)} mm"


def plain_number(number: float) -> float | int:
    """Return a number that is whole as a whole number."""
    return int(number) if number.is_integer() and abs(number) < 1e15 else number


def number_text(number: float) -> str:
    """Return a number as text that reads back as exactly the same number."""
    return repr(plain_number(float(number)))
