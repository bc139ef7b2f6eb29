"""The kinds of value that a file holds: how each is read, what it may be, how it is written.

A kind knows one value and no more: ``read`` turns what the TOML parser gave into the plain value
in mm, degrees, rpm, N or g (``RefusedError`` where that cannot be done), ``wrong`` says what is
amiss with a plain value, wherever it came from, ``written`` gives it back as it stands in a file,
and ``schema`` describes it to an editor.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from wheelgeo.errors import QuantityError, WheelError
from wheelgeo.units.quantity import (
    FORCE_N,
    FRACTION,
    LENGTH_MM,
    LENGTH_UNITS,
    MASS_G,
    Dimension,
    parse_measured,
    parse_quantity,
)
from wheelgeo.units.wording import hidden_in, shown, suggestion

GRAVITY_M_S2 = 9.80665
"""Standard gravity, 3rd General Conference on Weights and Measures, 1901."""

NUMBER = Dimension("number", "", {"": 1.0}, "0.25")
FILE_UNIT = "the file's"
"""Stands for the unit of a bare length: that of the file."""

Wrong = tuple[str, str]
"""What is wrong with a value, and what would be right."""
Schema = dict[str, Any]


class RefusedError(WheelError, ValueError):
    """A value cannot be read; ``says`` and ``remedy`` are the two halves of the fault."""

    def __init__(self, says: str, remedy: str = "") -> None:
        self.says = says
        self.remedy = remedy
        super().__init__(says)


class Kind:
    """A kind of value; this one takes anything as it is."""

    __slots__ = ()

    def read(self, value: object, unit: str) -> Any:
        """Return the plain value of what stands in a file whose unit of length is ``unit``."""
        del unit
        wrong = self.wrong(value)
        if wrong is not None:
            raise RefusedError(*wrong)
        return value

    def wrong(self, value: Any, written: object = None) -> Wrong | None:
        """Return what is wrong with a plain value, or None; ``written``: as its owner wrote it."""
        del value, written
        return None

    def written(self, value: Any, unit: str, half: float | None = None) -> Any:
        """Return a plain value as it stands in a file; ``half`` is its uncertainty, if any."""
        del unit, half
        return value

    def schema(self) -> Schema:
        """Return the JSON schema of the value as written."""
        return {}


@dataclass(frozen=True, slots=True)
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
POSITIVE = Bounds(0.0, 1e6, "more than 0")
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


@dataclass(frozen=True, slots=True)
class NumberKind(Kind):
    """A number with its dimension.

    Attributes:
        dimension: what it measures.
        bare: unit of a bare number: a unit, ``FILE_UNIT``, or None where a bare number will not do.
        bounds: what it must lie between.
        tolerated: kind of general tolerance that governs it as a made dimension; None: none does.
        hangs: a mass stands for the weight that it has.
    """

    dimension: Dimension
    bare: str | None
    bounds: Bounds
    tolerated: str | None = None
    hangs: bool = False

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
        if self.hangs and isinstance(value, str):
            try:
                mass, half = parse(value, MASS_G)
                pull = GRAVITY_M_S2 / 1000.0
                return mass * pull, None if half is None else half * pull
            except QuantityError:
                pass  # it may still be a force, such as "300 gf"
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
        """Return a number with its uncertainty, both in a unit that gives them back exactly."""
        mine = self.dimension.unit
        if self.bare is FILE_UNIT:
            both = [_length(x, unit) for x in (value, half)]
            if not any(isinstance(x, str) for x in both):
                return f"{both[0]!r} +- {both[1]!r} {unit}"
        return f"{number_text(value)} +- {number_text(half)} {mine}".rstrip()

    def schema(self) -> Schema:
        """Return the schema: a bare number within the bounds, or text with a unit."""
        dimension, bounds = self.dimension, self.bounds
        units = (*MASS_G.factors, *dimension.factors) if self.hangs else dimension.factors
        if self.bare is None:
            return text_schema(units)
        number: Schema = {"type": "number"}
        if bounds.low >= 0.0:
            exclusive = not bounds.low_allowed or bounds is POSITIVE_MM
            number["exclusiveMinimum" if exclusive else "minimum"] = (
                0 if bounds is POSITIVE_MM else plain_number(bounds.low)
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
        if number * factor == length_mm:
            return plain_number(number)
    return f"{number_text(length_mm)} mm"


def plain_number(number: float) -> float | int:
    """Return a number that is whole as a whole number."""
    return int(number) if number.is_integer() and abs(number) < 1e15 else number


def number_text(number: float) -> str:
    """Return a number as text that reads back as exactly the same number."""
    return repr(plain_number(float(number)))


@dataclass(frozen=True, slots=True)
class WholeKind(Kind):
    """A whole number within bounds; ``noun`` is what it counts."""

    low: int
    high: int
    noun: str
    words: str

    def wrong(self, value: Any, written: object = None) -> Wrong | None:
        """Return what is wrong with the number."""
        del written
        if type(value) is int and self.low <= value <= self.high:
            return None
        return f"{shown(value)} is no {self.noun}", self.words

    def schema(self) -> Schema:
        """Return the schema."""
        return {"type": "integer", "minimum": self.low, "maximum": self.high}


class TextKind(Kind):
    """A text that shows: no control characters, line breaks, or characters without width."""

    __slots__ = ()

    def wrong(self, value: Any, written: object = None) -> Wrong | None:
        """Return what is wrong with the text."""
        del written
        if not isinstance(value, str):
            return f"{shown(value)} is no text", 'write it in quotation marks, as in "wheel"'
        if not value.strip():
            return "the text is empty", "write at least one letter"
        bad = hidden_in(value)
        if bad is None:
            return None
        what = (
            "a line break or control character"
            if bad < "\xa0" or bad in "  "
            else (f"a character that does not show (U+{ord(bad):04X})")
        )
        return f"{shown(value)} holds {what}", "leave it out"

    def schema(self) -> Schema:
        """Return the schema."""
        return {"type": "string", "minLength": 1}


class FlagKind(Kind):
    """Yes or no."""

    __slots__ = ()

    def wrong(self, value: Any, written: object = None) -> Wrong | None:
        """Return what is wrong with the value."""
        del written
        if isinstance(value, bool):
            return None
        return f"{shown(value)} is neither yes nor no", "write true or false, without quotes"

    def schema(self) -> Schema:
        """Return the schema."""
        return {"type": "boolean"}


@dataclass(frozen=True, slots=True)
class ChoiceKind(Kind):
    """One of some words; ``noun`` is what a wrong one fails to be."""

    words: tuple[str, ...]
    noun: str = ""

    def wrong(self, value: Any, written: object = None) -> Wrong | None:
        """Return what is wrong with the word, naming the nearest."""
        del written
        if isinstance(value, str) and value in self.words:
            return None
        word = value if isinstance(value, str) else ""
        if self.noun:
            return f"{shown(value)} is no {self.noun}", suggestion(word, self.words)
        return f"{shown(value)} is not possible here", suggestion(word, self.words, "it may be")

    def schema(self) -> Schema:
        """Return the schema."""
        return {"enum": list(self.words)}


@dataclass(frozen=True, slots=True)
class VectorKind(Kind):
    """A list of so many numbers of one kind; ``words`` is what it is.

    Attributes:
        of: the kind of each number.
        count: how many.
        words: what it is, in plain words.
        names: how each of them is called in the name of an input.
        rule: returns what is wrong with numbers that are each right, or None.
        made: returns the value that numbers which are each right give.
    """

    of: NumberKind
    count: int
    words: str
    names: tuple[str, ...] = ("x", "y", "z")
    rule: Callable[[Any], Wrong | None] = lambda _: None
    made: Callable[[Any], Any] = lambda value: value

    def items(self, value: object) -> list[object]:
        """Return the values of a list as written; RefusedError where there are not so many."""
        if isinstance(value, list | tuple) and len(value) == self.count:
            return list(value)
        got = f"a list of {len(value)}" if isinstance(value, list) else shown(value)
        raise RefusedError(
            f"{got} is not {self.words}",
            f"write {self.count} values, as in {[*range(self.count)]}",
        )

    def whole(self, numbers: tuple[float, ...]) -> Any:
        """Return the value that numbers give; RefusedError where the rule is broken."""
        wrong = self.rule(numbers)
        if wrong is not None:
            raise RefusedError(*wrong)
        return self.made(numbers)

    def read(self, value: object, unit: str) -> Any:
        """Return the numbers."""
        return self.whole(tuple(self.of.read(item, unit) for item in self.items(value)))

    def wrong(self, value: Any, written: object = None) -> Wrong | None:
        """Return what is wrong with the first number that is."""
        del written
        if not isinstance(value, tuple) or len(value) != self.count:
            return f"{shown(value)} is not {self.words}", f"it has {self.count} numbers"
        found = next((w for item in value if (w := self.of.wrong(item))), None)
        return found or self.rule(value)

    def written(self, value: Any, unit: str, half: float | None = None) -> Any:
        """Return the numbers as a list."""
        del half
        return [self.of.written(item, unit) for item in value]

    def schema(self) -> Schema:
        """Return the schema."""
        return {
            "type": "array", "items": self.of.schema(),
            "minItems": self.count, "maxItems": self.count,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class ListKind(Kind):
    """A list of any number of values of one kind."""

    of: Kind

    def read(self, value: object, unit: str) -> Any:
        """Return the values as a tuple."""
        if not isinstance(value, list):
            raise RefusedError(f"{shown(value)} is not a list", "put it in square brackets: [ … ]")
        return tuple(self.of.read(item, unit) for item in value)

    def wrong(self, value: Any, written: object = None) -> Wrong | None:
        """Return what is wrong with the first value that is."""
        del written
        return next((w for item in value if (w := self.of.wrong(item))), None)

    def written(self, value: Any, unit: str, half: float | None = None) -> Any:
        """Return the values as a list."""
        del half
        return [self.of.written(item, unit) for item in value]

    def schema(self) -> Schema:
        """Return the schema."""
        return {"type": "array", "items": self.of.schema()}


def unit_vector(value: tuple[float, float, float]) -> tuple[float, float, float]:
    """Return the vector made one long; one that is so already is returned as it is."""
    if abs(math.hypot(*value) - 1.0) <= 1e-15:
        return value
    longest = max(abs(c) for c in value)  # first divided by, so that no square overflows
    scaled = [c / longest for c in value]
    norm = math.hypot(*scaled)
    return (scaled[0] / norm, scaled[1] / norm, scaled[2] / norm)


def points_somewhere(value: tuple[float, float, float]) -> Wrong | None:
    """Return what is wrong with a direction: nothing but that it is none."""
    if any(value):
        return None
    return "[0, 0, 0] points nowhere", "at least one number must differ from 0"


def ordered(value: tuple[float, float]) -> Wrong | None:
    """Return what is wrong with two ends of which the second is not above the first."""
    if value[0] < value[1]:
        return None
    return (
        f"the first end ({value[0]:g} mm) is not below the second ({value[1]:g} mm)",
        "give the lower end first",
    )


LENGTH = NumberKind(LENGTH_MM, FILE_UNIT, ANYWHERE)
SIZE = NumberKind(LENGTH_MM, FILE_UNIT, POSITIVE_MM)
GAP = NumberKind(LENGTH_MM, FILE_UNIT, NOT_NEGATIVE_MM)
POINT = VectorKind(LENGTH, 3, "a point (x, y, z)")
BOX = VectorKind(SIZE, 3, "a size in x, y and z")
DIRECTION = VectorKind(
    NumberKind(NUMBER, "", ANY_NUMBER), 3, "a direction (x, y, z)",
    rule=points_somewhere, made=unit_vector,
)  # fmt: skip
ENDS = VectorKind(LENGTH, 2, "two ends", ("from", "to"), rule=ordered)
WEIGHT = NumberKind(
    Dimension("weight", "N", FORCE_N.factors, '"300 g" or "3 N"'), None, POSITIVE, hangs=True
)
TEXT = TextKind()
FLAG = FlagKind()
FILES_UNIT = ChoiceKind(tuple(LENGTH_UNITS), "unit of length")
