"""Read quantities that a person writes: ``9.5``, ``"9.5 mm"``, ``"1 1/2 in"``, ``"2 %"``.

Inches are read as a tape is read: ``"21½ in"``, ``"21-1/2 in"``, ``21 1/2"``, ``"1 ft 3 in"``,
``1' 3"``; and a quantity that was measured with its uncertainty at 95 %: ``"21 1/2 +- 1/8 in"``.

A small table of exact factors is read here rather than by a general unit library, for two
reasons: a mixed number ("1 1/2 in") is a sum to a woodworker and a product to such a library,
and a command has to start faster than such a library loads. The tests hold the table against
that library.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from fractions import Fraction

from wheelgeo.errors import QuantityError
from wheelgeo.immutable import dataclass


@dataclass(frozen=True, eq=False)
class Dimension:
    """A kind of quantity and the units in which it may be written.

    Attributes:
        name: what it is called in messages ("length").
        unit: the unit of the number returned.
        factors: for each unit name, how many ``unit`` it is (exact by definition unless noted).
        example: a value as a person would write it.
    """

    name: str
    unit: str
    factors: Mapping[str, float]
    example: str


LENGTH_UNITS: Mapping[str, float] = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": 25.4,
    '"': 25.4,
    "ft": 304.8,
    "'": 304.8,
    "yd": 914.4,
}
"""Millimetres in each length unit. Inch, foot and yard: international yard and pound, 1959."""
INCHES = ("in", '"')
"""How a file's ``unit`` names inches."""

_COMMA = re.compile(r"(\d+),(\d+\D*)", re.ASCII)
_SPOKEN = (
    (re.compile(r"\b(inches|inch|ins)\b", re.IGNORECASE), "in"),
    (re.compile(r"\b(feet|foot)\b", re.IGNORECASE), "ft"),
    (re.compile(r"\byards?\b", re.IGNORECASE), "yd"),
    (re.compile(r"\bmillimet(re|er)s?\b", re.IGNORECASE), "mm"),
    (re.compile(r"\bcentimet(re|er)s?\b", re.IGNORECASE), "cm"),
    (re.compile(r"\bmet(re|er)s?\b", re.IGNORECASE), "m"),
    (re.compile(r"(?<=[\d\s](?:in|ft|yd|mm|cm))\.(?=\s|$)", re.IGNORECASE), ""),
)


def as_on_the_rule(text: str) -> str:
    """Return what somebody says of a length, its units as they are written: "21 inches" as 21 in.

    A design file is read without it: there a unit has one name.
    """
    for spoken, unit in _SPOKEN:
        text = spoken.sub(unit, text)
    return text


_FIGURES = r"[\d .,/+±½¼¾⅛⅜⅝⅞⁄−-]+"
_POWER = r"(?:\d+\.?\d*|\.\d+)[eE][+-]?\d{1,2}"
_BARE = re.compile(rf"\s*(?=[^/]*[\d½¼¾⅛⅜⅝⅞])(?:{_FIGURES}|{_POWER})\s*")
"""Figures alone, as in 9, 3/8, 1 1/2, 21 1/2 +- 1/8, 1e3."""
_BARE_FRACTION = re.compile(rf"(?:{_FIGURES})?(?:[½¼¾⅛⅜⅝⅞]|\d[/⁄]\d)(?:{_FIGURES})?")


def with_unit(text: str, bare_unit: str = "") -> str:
    """Return a length with its unit, where it was written without one.

    Halves and eighths are of inches, whatever else is measured in: nobody's rule has an eighth of a
    millimetre. Other figures alone are in ``bare_unit``; as they stand where that is empty.
    """
    if len(text) > _LONGEST:  # no length: it is refused as such
        return text
    if _BARE_FRACTION.fullmatch(text):
        return f"{_keyed(text)} in"
    return f"{_keyed(text)} {bare_unit}" if bare_unit and _BARE.fullmatch(text) else text


def _keyed(figures: str) -> str:
    """Return bare figures in the digits of a keyboard, those of 1e3 written out."""
    keyed = "".join(str(int(c)) if c.isdecimal() else c for c in figures.strip())
    return f"{float(keyed):.12g}" if "e" in keyed.casefold() else keyed


LENGTH_MM = Dimension("length", "mm", LENGTH_UNITS, '"9.5 mm" or "3/8 in"')
SPEED_RPM = Dimension(
    "speed",
    "rpm",
    {"rpm": 1.0, "rev/min": 1.0, "1/min": 1.0, "rev/s": 60.0, "Hz": 60.0, "rad/s": 30.0 / math.pi},
    '"60 rpm"',
)
FREQUENCY_HZ = Dimension(
    "frequency", "Hz", {"Hz": 1.0, "1/s": 1.0, "rpm": 1.0 / 60.0, "1/min": 1.0 / 60.0}, '"94 Hz"'
)
ANGLE_DEG = Dimension("angle", "deg", {"deg": 1.0, "°": 1.0, "rad": 180.0 / math.pi}, '"40 deg"')
FRACTION = Dimension("fraction", "", {"%": 0.01, "": 1.0}, '0.02 or "2 %"')
MASS_G = Dimension(
    "mass", "g", {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}, '"25 g"'
)
GRAVITY_M_S2 = 9.80665
"""Standard gravity, 3rd General Conference on Weights and Measures, 1901."""
FORCE_N = Dimension(
    "force",
    "N",
    {
        "N": 1.0, "mN": 0.001, "kgf": GRAVITY_M_S2, "gf": 0.00980665, "lbf": 4.4482216152605,
        # A spring balance shows what would hang from it: a mass stands for its weight.
        **{unit: grams * GRAVITY_M_S2 / 1e3 for unit, grams in MASS_G.factors.items()},
    },
    '"4 N" or "300 g"',
)  # fmt: skip
_PER_INCH = 1.0 / 0.0254
TWIST_PER_M = Dimension(
    "twist",
    "per m",
    {
        "per m": 1.0, "/m": 1.0, "tpm": 1.0,
        "per cm": 100.0, "/cm": 100.0, "tpcm": 100.0,
        "per in": _PER_INCH, "per inch": _PER_INCH, "/in": _PER_INCH, "tpi": _PER_INCH,
    },
    '850 or "20 tpi"',
)  # fmt: skip
SETT_PER_CM = Dimension(
    "sett",
    "per cm",
    {
        "per cm": 1.0, "/cm": 1.0, "epcm": 1.0, "ppcm": 1.0,
        "per in": 1.0 / 2.54, "per inch": 1.0 / 2.54, "/in": 1.0 / 2.54,
        "epi": 1.0 / 2.54, "ppi": 1.0 / 2.54,
    },
    '24, "24 per cm" or "60 epi"',
)  # fmt: skip
"""Ends or picks of a cloth."""
PRESSURE_MPA = Dimension(
    "pressure",
    "MPa",
    {"MPa": 1.0, "GPa": 1000.0, "kPa": 0.001, "psi": 0.006894757293168},
    '"10 MPa"',
)

_AMOUNT = r"""(?: (?P<whole>\d+)(?:[ \t]+|-)(?P<mnum>\d+)/(?P<mden>\d+)  # 1 1/2, 1-1/2
          | (?P<num>\d+)/(?P<den>\d+)                            # 3/8
          | (?P<dec>(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?) )      # 9.5
       """
_NUMBER = re.compile(rf"^(?P<sign>[+-]?)\s*{_AMOUNT}\s*(?P<unit>1/min|\D*?)\s*$", re.VERBOSE)
_FEET = re.compile(r"^(?P<feet>[^'f]*?\d)\s*(?:ft|')[\s,]*(?P<inches>[\d.].*)$")
_PLUS_MINUS = re.compile(r"\+\s*/?\s*-|±")
_LONGEST = 200
"""A longer text is no quantity."""
_PLAIN_MARKS = str.maketrans(
    {"⁄": "/", "′": "'", "″": '"', "’": "'", "”": '"', "−": "-", "\u00a0": " "}
)


def plain_signs(text: str) -> str:
    """Return a text with ½, primes, minus and the digits of any script as a keyboard has them."""
    if text.isascii():
        return text.replace("''", '"')
    return "".join(map(_plain_sign, text)).translate(_PLAIN_MARKS)


def _plain_sign(sign: str) -> str:
    if sign.isdecimal():
        return str(unicodedata.decimal(sign))
    if unicodedata.decomposition(sign)[:10] == "<fraction>":
        return f" {unicodedata.normalize('NFKC', sign)}"
    return sign


def _number(match: re.Match[str]) -> float:
    """Return the signed value of a matched number; a mixed number is a sum, its sign covers all."""
    sign = -1 if match["sign"] == "-" else 1
    if match["dec"] is not None:
        return sign * float(match["dec"])
    whole = int(match["whole"] or 0)
    numerator, denominator = match["mnum"] or match["num"], match["mden"] or match["den"]
    if int(denominator) == 0:
        parts = "below the stroke stands in how many parts one is divided, as in 3/8"
        raise QuantityError(f'"{match.string}" divides by nothing; {parts}')
    return float(sign * (whole + Fraction(int(numerator), int(denominator))))


def _factor(unit: str, dimension: Dimension, bare_unit: str | None, text: str = "") -> float:
    """Return how many of the dimension's unit one written unit is; ``text`` is all as written."""
    name = unit or bare_unit
    written = f'"{text}": ' if text else ""
    if name is None:
        raise QuantityError(
            f"{written}a {dimension.name} needs its unit, as in {dimension.example}"
        )
    if name not in dimension.factors:
        known = ", ".join(u for u in dimension.factors if u)
        says, asks = _meant(text, dimension, bare_unit)
        if says:
            raise QuantityError("; ".join(filter(None, (f"{written}{says}", asks))))
        asks = f"; {asks}" if asks else ""
        no_unit = f'"{unit}" is no unit of {dimension.name}; known: {known}'
        raise QuantityError(f"{written}{no_unit}{asks}")
    return dimension.factors[name]


def _meant(text: str, dimension: Dimension, bare_unit: str | None) -> tuple[str, str]:
    """Return what is wrong with a text, and what it was meant as; both may be empty."""
    from wheelgeo.units.meant import meant  # of what cannot be read alone

    def reads(guess: str) -> bool:
        match = _NUMBER.match(guess)
        if match is None or (match["unit"] or bare_unit) not in dimension.factors:
            return False
        return int(match["mden"] or match["den"] or 1) > 0

    def told(guess: str) -> str:
        return with_unit(guess, bare_unit or "") if dimension is LENGTH_MM else guess

    if not text or len(text) > _LONGEST:
        return "", ""
    return meant(as_on_the_rule(plain_signs(text.strip())), dimension.factors, reads, told)


def parse_quantity(value: object, dimension: Dimension, bare_unit: str | None = None) -> float:
    """Read a number, or a string with its own unit.

    Args:
        value: a number, or a string such as ``"1 1/2 in"``.
        dimension: what is being read.
        bare_unit: the unit of a bare number; None where a bare number is not enough.

    Returns:
        The value in the dimension's unit.

    Raises:
        QuantityError: it is no number, not finite, has an unknown unit, or lacks one.
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise QuantityError(f"{value!r} is no {dimension.name}; write it as {dimension.example}")
    if isinstance(value, str):
        number = _from_text(value, dimension, bare_unit)
    else:
        number = _scaled(value, _factor("", dimension, bare_unit), dimension)
    if not math.isfinite(number):
        raise QuantityError(f"{value!r} is not a finite {dimension.name}")
    return number


def _from_text(text: str, dimension: Dimension, bare_unit: str | None) -> float:
    plain = plain_signs(text.strip()) if len(text) <= _LONGEST else ""
    feet = _FEET.match(plain) if dimension is LENGTH_MM else None
    if feet is not None:
        return _feet_and_inches(feet, text)
    match = _NUMBER.match(plain)
    if match is None:
        # 1,500 may be one and a half or fifteen hundred: nobody is to guess which.
        comma = _COMMA.fullmatch(plain)
        how, says = f"write it as {dimension.example}", ""
        if comma is not None:
            how = f'write it as "{comma[1]}.{comma[2]}", with a point, or "{comma[1]}{comma[2]}"'
        else:
            says, asks = _meant(text, dimension, bare_unit)
            how = asks or how
        why = f": {says}" if says else ""
        raise QuantityError(f'"{text}" is no {dimension.name}{why}; {how}')
    return times(_number(match), _factor(match["unit"], dimension, bare_unit, text))


def _feet_and_inches(found: re.Match[str], text: str) -> float:
    """Return feet and inches as one length, mm; the sign of the feet covers both."""
    feet, inches = (_NUMBER.match(found[part].strip()) for part in ("feet", "inches"))
    if feet is None or inches is None or feet["unit"] or inches["unit"] not in ("in", '"', ""):
        raise QuantityError(f'"{text}" is no length; write feet and inches as "1 ft 3 in"')
    sign = -1.0 if feet["sign"] == "-" else 1.0
    return sign * times(12.0 * abs(_number(feet)) + _number(inches), LENGTH_UNITS["in"])


def last_digit(text: str, dimension: Dimension, bare_unit: str | None = None) -> float:
    """Return what one step of the last digit of a written quantity is: of ``"2.0 oz"`` 0.1 oz.

    Of a fraction it is one over its denominator: of ``"2 1/4 oz"`` 1/4 oz.

    Args:
        text: a quantity with or without its unit, no uncertainty.
        dimension: what is read.
        bare_unit: the unit of a bare number.

    Returns:
        That step, in the dimension's unit.

    Raises:
        QuantityError: it is no such quantity.
    """
    match = _NUMBER.match(plain_signs(text.strip())) if len(text) <= _LONGEST else None
    if match is None:
        raise QuantityError(f'"{text}" is no {dimension.name}; write it as {dimension.example}')
    factor = _factor(match["unit"], dimension, bare_unit, text)
    if match["dec"] is None:
        return factor / int(match["mden"] or match["den"])
    digits, _, power = match["dec"].lower().partition("e")
    # As text, since a power of ten that is too large is an error there: "0e400" is a quantity.
    return float(f"1e{int(power or 0) - len(digits.partition('.')[2])}") * factor


def parse_measured(
    value: object, dimension: Dimension, bare_unit: str | None = None
) -> tuple[float, float | None]:
    """Read a quantity that may tell how well it is known, such as ``"21 1/2 +- 1/8 in"``.

    Args:
        value: a number or a text; a unit that stands on one side of the sign holds for both.
        dimension: what is being read.
        bare_unit: the unit of a bare number; None where a bare number is not enough.

    Returns:
        The value and the half width of its uncertainty at 95 %, both in the dimension's unit; the
        half width is None where none is given.

    Raises:
        QuantityError: as ``parse_quantity``, or the uncertainty is not above 0.
    """
    if not isinstance(value, str) or not (sign := _PLUS_MINUS.search(value)):
        return parse_quantity(value, dimension, bare_unit), None
    sides = [value[: sign.start()].strip(), value[sign.end() :].strip()]
    units = [m["unit"] if (m := _NUMBER.match(plain_signs(s[:_LONGEST]))) else "" for s in sides]
    middle, half = (
        parse_quantity(side if unit or not (units[0] or units[1]) or _FEET.match(side)
                       else f"{side} {units[0] or units[1]}", dimension, bare_unit)
        for side, unit in zip(sides, units, strict=True)
    )  # fmt: skip
    if half <= 0.0:
        raise QuantityError(f'"{value}" has no width; what follows +- must be more than 0')
    return middle, half


def _scaled(value: float, factor: float, dimension: Dimension) -> float:
    """Return value times factor; a whole number too long for a float is an error, not infinity."""
    try:
        return times(float(value), factor)
    except OverflowError as error:
        # Python itself refuses to print a whole number of more than 4300 digits.
        said = "a whole number of more than 300 digits"
        raise QuantityError(f"{said} is not a finite {dimension.name}") from error


def times(number: float, factor: float) -> float:
    """Return a number of some unit in another: the float nearest to the product of both decimals.

    In floats 4.125 times 25.4 is 104.77499999999999, and so it would stand in a file; as decimals
    it is 104.775, and every 1/64 of an inch a number of eight digits at most.

    Args:
        number: as it was written.
        factor: how many of the other unit one is.
    """
    plain = number * factor
    if factor == 1.0 or not math.isfinite(plain):
        return plain
    return float(Fraction(repr(number)) * Fraction(repr(factor)))


def without_noise(number: float) -> float:
    """Return the decimal of twelve digits that a float misses by a few roundings; else itself.

    What a sum of 0.1 and 0.2 leaves, 0.30000000000000004, is meant as 0.3.
    """
    if not math.isfinite(number):
        return number
    short = float(f"{number:.12g}")
    return short if abs(short - number) <= _ROUNDINGS * math.ulp(number) else number


_ROUNDINGS = 4
"""Units in the last place that a few sums and products may lose."""


def in_file_unit(length_mm: float, unit: str, digits: int) -> tuple[float, int]:
    """Return a length in a file's unit, and how many digits that needs to be as fine.

    Args:
        length_mm: the length, mm.
        unit: unit of the file.
        digits: after the point, in mm.
    """
    factor = LENGTH_UNITS[unit]
    return length_mm / factor, digits + max(round(math.log10(factor)), 0)
