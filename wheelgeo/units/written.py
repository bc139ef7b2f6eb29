"""How lengths are written on drawings and sheets: metric, decimal inches or nearest 1/64."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Literal

from wheelgeo.immutable import dataclass
from wheelgeo.units import format_inches, in_inches
from wheelgeo.units.in_full import unrounded
from wheelgeo.units.quantity import INCHES

LengthUnit = Literal["mm", "in", "in/64"]
"""Millimetres, decimal inches, or inches to the nearest 1/64 where that is near enough."""
MM_PER_INCH = 25.4

UNITS: tuple[LengthUnit, ...] = ("mm", "in", "in/64")


def bare_unit(unit: LengthUnit) -> str:
    """Return the unit of what is typed without one where lengths are written so."""
    return "mm" if unit == "mm" else "in"


@dataclass(frozen=True)
class LengthWriter:
    """Writes a length in millimetres on a drawing, and what is turned as ``turned_length`` has it.

    Millimetres with one decimal at most and without the unit, which the drawing tells once;
    inches with three decimals likewise, or as ``in_inches`` has it, with its unit.
    """

    unit: LengthUnit

    def __call__(self, length_mm: float) -> str:
        """Return a length."""
        if self.unit == "in/64":
            return in_inches(length_mm)
        if self.unit == "in":
            return f"{length_mm / MM_PER_INCH:.3f}"
        return f"{length_mm:.1f}".removesuffix(".0")

    def turned(self, length_mm: float) -> str:
        """Return a size that is turned, on which a ratio hangs."""
        told = turned_length(self.unit)(length_mm)
        return told if self.unit == "in/64" else told.rpartition(" ")[0].removesuffix(".0")


def length_writer(unit: LengthUnit) -> LengthWriter:
    """Return what writes a length in millimetres as a bare number of a drawing."""
    return LengthWriter(unit)


def length_with_unit(unit: LengthUnit, decimals: int = 1) -> Callable[[float], str]:
    """Return what writes a length in millimetres with its unit.

    Args:
        unit: the unit.
        decimals: decimals of millimetres; decimal inches have two more.
    """
    if unit == "in/64":
        return in_inches
    if unit == "in":
        return lambda mm: f"{grouped(mm / MM_PER_INCH, decimals + 2)} in"
    return lambda mm: f"{grouped(mm, decimals)} mm"


def turned_length(unit: LengthUnit, decimals: int = 1) -> Callable[[float], str]:
    """Return what writes a turned or bored length with its unit.

    A 1/64 of an inch is 0.4 mm, and in the groove of a small whorl a twentieth of the ratio: such
    lengths are written in thousandths of an inch where the others are in sixty-fourths, unless
    they are some of these; and in hundredths of a millimetre, unless tenths are as true.

    Args:
        unit: the unit of the other lengths.
        decimals: decimals of millimetres; decimal inches have two more.
    """
    if unit == "in/64":
        return lambda mm: format_inches(mm) if _is_of_64(mm) else f"{mm / MM_PER_INCH:.3f} in"
    plain, finer = length_with_unit(unit, decimals), length_with_unit(unit, 2)
    if unit == "in" or decimals > 1:
        return plain
    return lambda mm: plain(mm) if abs(round(mm, decimals) - mm) < _OFF_MM else finer(mm)


_OFF_MM = 0.005
"""What is nearer to its tenths of a millimetre is told in these, else in hundredths."""


def _is_of_64(mm: float) -> bool:
    steps = 64.0 * mm / MM_PER_INCH
    return abs(steps - round(steps)) < 1e-3


def grouped(value: float, digits: int = 0) -> str:
    """Return a number with its thousands set apart, 8 934, and no minus before a zero."""
    return _no_minus_zero(f"{value:,.{digits}f}".replace(",", " "))


_THOUSANDS = re.compile(
    r"(?<![\w.])(\d{4,})(?=(?:\.\d+)?(?: (?:to|and|or) [\d. ]*\d)?"
    r" (?:mm|m|g|N|rpm|Hz|MPa|turns|per|hours)\b)"
)
"""Numbers of a unit: not those of a standard, a screw or a file."""


def thousands_apart(text: str) -> str:
    """Return a sentence with the thousands of its numbers set apart, as ``grouped`` has them.

    What stands in quotation marks is a name and stays as it is.
    """
    pieces = re.split(r'("[^"]*")', text)
    pieces[::2] = (_THOUSANDS.sub(lambda found: grouped(int(found[1])), p) for p in pieces[::2])
    return "".join(pieces)


def grouped_as_set(value: float, digits: int = 0, within: float = 1e-9) -> str:
    """Return a number that was set, its thousands set apart, with as many decimals as it has.

    Args:
        value: the number.
        digits: decimals that it has at least; at most six.
        within: what is told may be off by this fraction.
    """
    while digits < _MOST_DIGITS and not math.isclose(round(value, digits), value, rel_tol=within):
        digits += 1
    return grouped(value, digits)


_MOST_DIGITS = 6


def _no_minus_zero(text: str) -> str:
    """Return a number as written, without its minus where all its digits are noughts."""
    return text if any(c in "123456789" for c in text) else text.lstrip("-")


def in_both(
    value_mm: float, unit: str, digits: int = 1, inch: Callable[[float], str] = in_inches
) -> str:
    """Return a length in millimetres and in inches, the unit given first.

    Args:
        value_mm: the length.
        unit: of somebody's file or rule: that of the first of the two.
        digits: decimals of millimetres.
        inch: writes it in inches.
    """
    metric, inches = f"{grouped(value_mm, digits)} mm", inch(value_mm)
    return f"{inches} ({metric})" if unit in INCHES else f"{metric} ({inches})"


_ONE_MM = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) mm\b")


def with_lengths(text: str, write: Callable[[float], str]) -> str:
    """Return a sentence with each length in it written anew.

    Args:
        text: the sentence, its lengths in mm.
        write: writes a length in mm, with its unit.
    """
    return _ONE_MM.sub(lambda found: write(float(found[1])), unrounded(text))


def unit_note(unit: LengthUnit) -> str:
    """Return the unit in words."""
    return {"mm": "millimetres", "in": "inches", "in/64": "inches, small ones in decimals"}[unit]


def bought_length(unit: LengthUnit) -> Callable[[float], str]:
    """Return what writes the size of a thing that is bought or bored by that size.

    An 8 mm rod is asked for as such, on a sheet in inches too: "8 mm (0.315 in)", as a 3/8 in rod
    is on a sheet in millimetres. A size that is neither tenths of a millimetre nor sixteenths of
    an inch is written as any other.
    """
    plain = turned_length(unit) if unit != "mm" else length_with_unit(unit, 2)

    def write(mm: float) -> str:
        sixteenths = 16.0 * mm / MM_PER_INCH
        imperial = abs(sixteenths - round(sixteenths)) < 1e-6 and mm > 0.0
        metric = abs(10.0 * mm - round(10.0 * mm)) < 1e-6 and not (imperial and mm % 0.5 > 1e-6)
        if metric:
            return f"{mm:g} mm" if unit == "mm" else f"{mm:g} mm ({plain(mm)})"
        if imperial:
            own = format_inches(mm)
            return f"{own} ({plain(mm)})" if unit == "mm" else own
        return plain(mm)

    return write


_NUMBER = r"[-+]?\d[\d.]*"
_BETWEEN = r" ?(?:to|x|×|and|or|by|±|/) ?"
_IN_MM = re.compile(
    rf"(?<![\w.])({_NUMBER}(?:{_BETWEEN}{_NUMBER})*) mm(?![/²³\w])(?! \([\d./ ]+ in\))"
)


def told_in(text: str, unit: LengthUnit, fits: bool = False) -> str:
    """Return a sentence whose lengths are in millimetres with its lengths in another unit.

    Lengths that were told rounded are turned as they were before (``units.in_full``).

    Sixty-fourths are told as ``in_inches`` has them; what is turned or bored, and all of a note on
    how parts fit, in decimals: three, and four below a tenth of a millimetre. What stands in
    quotation marks is a name and stays as it is, and so does a size that is bought, told in both
    units already; a rod, cord, dowel or screw keeps its own size. Thousands are set apart.

    Args:
        text: the sentence.
        unit: of the page or sheet that it stands on.
        fits: it is a note on how parts are made and fit into one another.
    """
    if unit == "mm":
        return thousands_apart(str(text))

    pieces = re.split(r'("[^"]*")', unrounded(text))
    tape = unit == "in/64" and not fits
    return thousands_apart("".join(
        p if i % 2 else _IN_MM.sub(lambda found: _inches(found, tape), p)
        for i, p in enumerate(pieces)
    ))  # fmt: skip


def _inches(found: re.Match[str], tape: bool) -> str:
    """Return lengths in inches, as a tape shows them or in decimals."""
    before = found.string[: found.start()]
    turned = _TURNED.search(before) is not None

    def inch(number: re.Match[str]) -> str:
        sign, mm = "+" if number[0][0] == "+" else "", float(number[0].rstrip("."))
        if tape and (not turned or _is_of_64(mm)):
            return sign + in_inches(mm).removesuffix(" in")
        return f"{sign}{mm / MM_PER_INCH:.{3 if abs(mm) >= 0.1 or mm == 0.0 else 4}f}"

    bought = _ITS.match(found.string, found.end()) or _OF.search(before)
    if bought and re.fullmatch(r"[\d.]+", found[1]):
        return bought_length("in/64" if tape else "in")(float(found[1]))
    return re.sub(_NUMBER, inch, found[1]) + " in"


_TURNED = re.compile(r"\b(?:rim|pitch|depth|radius|bottom|bore|bored|hole|groove)(?: of)? $")
"""What stands before a turned or bored size, as in "rim 30.48 mm"."""


_GOODS = r"(?:rod|shaft|cord|dowel|screw|bolt|peg|pin)s?"
_ITS = re.compile(rf" {_GOODS}\b")
_OF = re.compile(rf"\b{_GOODS} of $")
"""What is bought by its size, as in "two 4 mm dowels" and "a rod of 3 mm"."""
