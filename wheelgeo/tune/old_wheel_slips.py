"""What a length may have been meant as, by the slips of who reads a tape and writes it down.

A guess is a reading that a tape or a rule shows, of the figures that were written: in another unit,
ten times as much or a tenth of it, or with two digits exchanged. A number reckoned back from
elsewhere is none: nobody has ever read 2.8575 mm off a tape.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator
from fractions import Fraction

from wheelgeo.immutable import dataclass
from wheelgeo.units import LENGTH_MM, as_on_the_rule, format_inches, parse_quantity, with_unit
from wheelgeo.units.quantity import LENGTH_UNITS, plain_signs

TAPE_PARTS = 16
"""Parts of an inch that a tape is divided in."""
RULE_TO_MM = 100.0
"""Rule and callipers read tenths of a millimetre up to this, a tape halves beyond."""
_FIGURES = re.compile(r"\d+(?:\.\d+)?|(?:\d+[ -]+)?\d+/\d+")
_UNIT = re.compile(r'mm|cm|in|"')
_ONE = re.compile(rf"\s*(?P<figures>{_FIGURES.pattern})\s*(?P<unit>{_UNIT.pattern})?\s*")
_PLUS_MINUS = re.compile(r"\+\s*/?\s*-|±")


@dataclass(frozen=True)
class WrittenLength:
    """A length as it was written.

    Attributes:
        figures: its figures: "9", "17.5", "1 1/8".
        unit: its unit: "mm", "cm" or "in".
    """

    figures: str
    unit: str

    @property
    def is_fraction(self) -> bool:
        """Whether it is written in halves or eighths, which are of inches alone."""
        return "/" in self.figures

    @property
    def is_of_inches(self) -> bool:
        """Whether it can be of inches alone, and its unit is another: that is what is wrong."""
        return self.is_fraction and self.unit != "in"

    @property
    def number(self) -> float:
        """Its figures as a number, in its unit."""
        return parse_quantity(f"{self.figures} {self.unit}", LENGTH_MM) / LENGTH_UNITS[self.unit]


Slip = Callable[[WrittenLength, Collection[str]], Iterator[tuple[str, float]]]
"""What undoes a slip: from what was written, and the units that its writer uses, to what a tape
then shows, as it would be written, and that in mm."""


def written_length(text: str, bare_unit: str) -> WrittenLength | None:
    """Return the figures and the unit of a length; None where it has not one of each.

    Args:
        text: as written; how sure it is may stand behind it.
        bare_unit: the unit of what was written without one.
    """
    value, *sure = _PLUS_MINUS.split(plain_signs(with_unit(as_on_the_rule(text), bare_unit)), 1)
    found = _ONE.fullmatch(value)
    if found is None:
        return None
    # A unit that stands on one side of +- holds for both.
    unit = found["unit"] or next(iter(_UNIT.findall("".join(sure))), "")
    return WrittenLength(found["figures"], "in" if unit == '"' else unit) if unit else None


def in_another_unit(written: WrittenLength, units: Collection[str]) -> Iterator[tuple[str, float]]:
    """Yield the same figures in another unit: 9 in where 9 mm was written.

    Wheels are told in millimetres or in inches; in centimetres by who tells something else so.
    Halves and eighths are of inches, whatever stands behind them.
    """
    if written.is_fraction:
        if written.is_of_inches:
            yield from _on_the_tape(written.number, "in")
        return
    for unit in ("mm", "cm", "in"):
        if unit != written.unit and (unit != "cm" or unit in units):
            yield from _on_the_tape(written.number, unit)


def of_ten(written: WrittenLength, _units: Collection[str]) -> Iterator[tuple[str, float]]:
    """Yield a tenth and ten times as much: a point, or a nought, too few or too many."""
    if written.is_of_inches:
        return
    for ten in (Fraction(1, 10), Fraction(10)):
        yield from _on_the_tape(float(Fraction(repr(written.number)) * ten), written.unit)


def digits_exchanged(
    written: WrittenLength, _units: Collection[str]
) -> Iterator[tuple[str, float]]:
    """Yield it with two neighbouring digits before the point exchanged: 81 where 18 was meant."""
    whole = re.match(r"\d+(?![\d/])", written.figures)
    digits = "" if whole is None or written.is_of_inches else whole[0]
    for first in range(len(digits) - 1):
        one, other = digits[first], digits[first + 1]
        swapped = digits[:first] + other + one + digits[first + 2 :]
        if one != other and swapped[0] != "0":
            meant = WrittenLength(swapped + written.figures[len(digits) :], written.unit)
            yield from _on_the_tape(meant.number, meant.unit)


SLIPS: tuple[Slip, ...] = (in_another_unit, of_ten, digits_exchanged)
"""The commonest first."""


def _on_the_tape(number: float, unit: str) -> Iterator[tuple[str, float]]:
    """Yield a length as a tape shows it, and in mm; nothing where none shows it."""
    mm = parse_quantity(f"{number!r} {unit}", LENGTH_MM)
    if unit == "in":
        if _is_whole(TAPE_PARTS * number):
            yield format_inches(mm, TAPE_PARTS), mm
        elif number > 1.0 and _is_whole(10.0 * number):
            # Who writes inches with a point tells tenths of them, but no part of one inch so.
            yield f"{number:.10g} in", mm
        return
    parts = 1.0 if unit == "cm" else 10.0 if mm < RULE_TO_MM else 2.0
    if _is_whole(parts * mm):
        yield f"{number:.10g} {unit}", mm


def _is_whole(number: float) -> bool:
    return number >= 0.5 and abs(number - round(number)) < 1e-6
