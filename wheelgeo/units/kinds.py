"""Kinds of value beside numbers: texts, choices, flags, vectors, lists; and the usual kinds."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from wheelgeo.immutable import dataclass
from wheelgeo.units.kind import Kind, RefusedError, Schema, Wrong
from wheelgeo.units.number_kinds import (
    ANY_NUMBER,
    ANYWHERE,
    FILE_UNIT,
    NOT_NEGATIVE_MM,
    NUMBER,
    POSITIVE_MM,
    NumberKind,
)
from wheelgeo.units.quantity import LENGTH_MM, LENGTH_UNITS
from wheelgeo.units.wording import hidden_in, shown, suggestion


@dataclass(frozen=True)
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


@dataclass(frozen=True)
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


@dataclass(frozen=True)
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


@dataclass(frozen=True)
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
TEXT = TextKind()
FLAG = FlagKind()
FILES_UNIT = ChoiceKind(tuple(LENGTH_UNITS), "unit of length")
