"""Quantities as people write them; factors against pint, an independent library of units."""

from __future__ import annotations

import math
import re
from fractions import Fraction

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wheelgeo.errors import QuantityError, WheelError
from wheelgeo.units import (
    ANGLE_DEG,
    FORCE_N,
    FRACTION,
    LENGTH_MM,
    LENGTH_UNITS,
    MASS_G,
    PRESSURE_MPA,
    SETT_PER_CM,
    SPEED_RPM,
    TWIST_PER_M,
    Dimension,
    format_inches,
    in_inches,
    last_digit,
    parse_quantity,
    with_unit,
)
from wheelgeo.units.inches import in_inches_alike
from wheelgeo.units.written import turned_length

DIMENSIONS = (LENGTH_MM, SPEED_RPM, ANGLE_DEG, FRACTION, MASS_G, FORCE_N, PRESSURE_MPA)
PINT_NAMES = {
    '"': "inch", "'": "foot", "in": "inch", "rpm": "revolution/minute",
    "rev/min": "revolution/minute",
    "1/min": "revolution/minute", "rev/s": "revolution/second", "Hz": "revolution/second",
    "gf": "gram_force", "kgf": "kilogram_force", "lbf": "pound_force", "lb": "pound",
    "oz": "ounce", "°": "degree", "%": "percent",
}  # fmt: skip
"""What pint calls a unit where it has another name; a hertz of a shaft is a turn a second."""


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry()


@pytest.mark.parametrize(
    ("dimension", "unit"),
    [(d, u) for d in DIMENSIONS for u in d.factors if u],
    ids=[f"{d.name} {u}" for d in DIMENSIONS for u in d.factors if u],
)
def test_every_unit_agrees_with_pint(
    registry: pint.UnitRegistry[float], dimension: Dimension, unit: str
) -> None:
    target = PINT_NAMES.get(dimension.unit, dimension.unit) or "dimensionless"
    written = registry.Quantity(7.25, PINT_NAMES.get(unit, unit))
    if dimension is FORCE_N and unit in MASS_G.factors:
        written = written * registry.Quantity("standard_gravity")  # what hangs there pulls so
    expected = written.to(target).magnitude
    assert parse_quantity(f"7.25 {unit}", dimension) == pytest.approx(expected, rel=1e-12)


def test_the_inch_is_exact() -> None:
    """International yard and pound agreement, 1959: an inch is 25.4 mm, a yard 914.4 mm."""
    assert parse_quantity("1 in", LENGTH_MM) == 25.4
    assert parse_quantity("1 ft", LENGTH_MM) == 304.8
    assert parse_quantity("1 yd", LENGTH_MM) == 914.4


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("1 1/2 in", 1.5),
        ("-4 1/2 in", -4.5),
        ("- 4 1/2 in", -4.5),
        ("+4 1/2 in", 4.5),
        ("3/8 in", 0.375),
        ("-3/8 in", -0.375),
        ("1 33/64in", 1 + 33 / 64),
        ("0 1/2 in", 0.5),
        ("  1   1/2   in  ", 1.5),
        ("1\t1/2 in", 1.5),
        (".5 in", 0.5),
        ("5. in", 5.0),
        ("1.5e1 in", 15.0),
        ('1 1/2"', 1.5),
    ],
)
def test_ways_of_writing_inches(text: str, inches: float) -> None:
    assert parse_quantity(text, LENGTH_MM) == pytest.approx(inches * 25.4, rel=1e-15)


def test_a_mixed_number_is_a_sum_where_a_unit_library_makes_a_product(
    registry: pint.UnitRegistry[float],
) -> None:
    """The reason why lengths are not left to a general parser."""
    assert registry.Quantity("1 1/2 inch").to("mm").magnitude == pytest.approx(12.7)
    assert parse_quantity("1 1/2 in", LENGTH_MM) == pytest.approx(38.1)


@given(whole=st.integers(0, 999), over=st.integers(0, 63), sign=st.sampled_from(["", "-"]))
def test_every_mixed_number_is_its_fraction(whole: int, over: int, sign: str) -> None:
    value = Fraction(whole) + Fraction(over, 64)
    exact = float((-value if sign else value) * Fraction("25.4"))  # 4 1/8 in are 104.775 mm
    assert parse_quantity(f"{sign}{whole} {over}/64 in", LENGTH_MM) == exact


@given(number=st.floats(-1e9, 1e9), unit=st.sampled_from(sorted(LENGTH_UNITS)))
def test_any_number_reads_back(number: float, unit: str) -> None:
    exact = float(Fraction(repr(number)) * Fraction(repr(LENGTH_UNITS[unit])))
    assert parse_quantity(f"{number!r} {unit}", LENGTH_MM) == exact
    assert parse_quantity(number, LENGTH_MM, unit) == exact


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("", "is no length"),
        ("mm", "is no length"),
        ("a quarter", "is no length"),
        ("1,5 mm", "is no length"),
        ("1/2/3 in", "is no length"),
        ("1 1.5/2 in", "is no length"),
        ("1.5 1/2 in", "is no length"),
        ("1 -1/2 in", "is no length"),
        ("--1 in", "is no length"),
        ("1 2 mm", "is no length"),
        ("1/0 in", "divides by nothing; below the stroke stands in how many parts"),
        ("1 1/0 in", "divides by nothing"),
        ("12 inches", '"12 inches": "inches" is no unit of length; known: mm, cm, m, in'),
        ("12 kg", '"kg" is no unit of length'),
        ("12 MM", '"MM" is no unit of length'),
        ("nan", "is no length"),
        ("inf mm", "is no length"),
        ("1e999 mm", "not a finite length"),
        (math.nan, "not a finite length"),
        (-math.inf, "not a finite length"),
        (10**400, "not a finite length"),
        (True, "is no length"),
        (None, "is no length"),
        ([1], "is no length"),
        (b"1 mm", "is no length"),
    ],
)
def test_what_is_no_length(value: object, words: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(value, LENGTH_MM, "mm")
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("18.1/2", 'a point or comma stands before its fraction; did you mean "18 1/2 in"?'),
        ("18.1/2 in", 'did you mean "18 1/2 in"?'),
        ("18,1/2 in", 'did you mean "18 1/2 in"?'),
        ("18/1/2 in", 'a fraction has one stroke; did you mean "18 1/2 in"?'),
        ("18 1/2/3 in", 'a fraction has one stroke; did you mean "18 1/2 in"?'),
        ("3/8/2 in", "a fraction has one stroke; write it as"),
        ("9 mm in", 'it has two units, mm and in; did you mean "9 mm" or "9 in"?'),
        ("3/4 in in", 'it has the same unit twice; did you mean "3/4 in"?'),
        ("21 5 in", 'two numbers stand side by side; did you mean "21.5 in"?'),
        ("1 000 mm", 'its thousands are set apart; did you mean "1000 mm"?'),
        ("18 and 1/2 in", 'did you mean "18 1/2 in"?'), ("3 / 8 in", 'did you mean "3/8 in"?'),
        ("about 5 mm", 'did you mean "5 mm"?'), ("1..5 mm", 'did you mean "1.5 mm"?'),
        ("12 mm (15/32 in)", 'did you mean "12 mm"?'), ("12 MM", 'did you mean "12 mm"?'),
        ("12 inches", 'did you mean "12 in"?'), ("5 mm.", 'did you mean "5 mm"?'),
        ("5 cm 3 mm", "two lengths stand there, and one is asked for"),
    ],
)
def test_a_muddled_length_is_told_what_is_wrong_and_how_to_write_it(value: str, words: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(value, LENGTH_MM, "mm")
    assert words in str(caught.value)
    for guess in re.findall(r'"([^"]+)"', str(caught.value).partition("did you mean")[2]):
        assert parse_quantity(guess, LENGTH_MM) > 0.0  # what is proposed can be typed


@given(st.text(alphabet="0123456789 ./,-_minftMN()'\"+~½٣３", max_size=14))
@settings(max_examples=400)
def test_whatever_is_proposed_can_be_read(text: str) -> None:
    try:
        parse_quantity(text, LENGTH_MM, "mm")
    except QuantityError as error:
        for guess in re.findall(r'"([^"]+)"', str(error).partition("did you mean ")[2]):
            if '"' not in text and "'" not in text:
                assert math.isfinite(parse_quantity(guess, LENGTH_MM, "mm"))


@pytest.mark.parametrize("digits", ["٢١", "２１", "२१"])
def test_digits_of_any_script_are_the_same_number_with_and_without_a_unit(digits: str) -> None:
    assert parse_quantity(f"{digits} 1/2 in", LENGTH_MM) == 21.5 * 25.4
    assert with_unit(digits, "mm") == "21 mm"
    assert with_unit(f"{digits} 1/2", "mm") == "21 1/2 in"


def test_a_power_of_ten_is_bare_too() -> None:
    assert with_unit("1e3", "mm") == "1000 mm"
    assert with_unit("2.5e-1", "in") == "0.25 in"
    assert with_unit("1.2.3e5", "mm") == "1.2.3e5"


def test_a_bare_number_needs_a_unit_where_none_is_given() -> None:
    for value in (60, "60"):
        with pytest.raises(QuantityError, match='a speed needs its unit, as in "60 rpm"'):
            parse_quantity(value, SPEED_RPM)
    assert parse_quantity(60, SPEED_RPM, "rpm") == 60.0


def test_fractions_with_and_without_their_sign() -> None:
    assert parse_quantity("2 %", FRACTION, "") == pytest.approx(0.02, rel=1e-15)
    assert parse_quantity("2%", FRACTION, "") == parse_quantity(0.02, FRACTION, "")
    assert parse_quantity("0.02", FRACTION, "") == 0.02


def test_the_error_is_one_of_ours_and_a_value_error() -> None:
    assert issubclass(QuantityError, WheelError)
    assert issubclass(QuantityError, ValueError)


@pytest.mark.parametrize(
    ("length_mm", "text"),
    [
        (25.4, "1 in"),
        (38.1, "1 1/2 in"),
        (9.525, "3/8 in"),
        (-114.3, "-4 1/2 in"),
        (0.0, "0 in"),
        (0.1, "0 in"),
        (-0.1, "0 in"),
        (25.4 / 64, "1/64 in"),
    ],
)
def test_inches_as_written(length_mm: float, text: str) -> None:
    assert format_inches(length_mm) == text


@given(length_mm=st.floats(-1e5, 1e5), power=st.integers(0, 7))
def test_inches_as_written_are_the_nearest(length_mm: float, power: int) -> None:
    text = format_inches(length_mm, 2**power)
    assert abs(parse_quantity(text, LENGTH_MM) - length_mm) <= 25.4 / 2**power / 2 + 1e-9


@pytest.mark.parametrize(
    ("text", "dimension", "says"),
    [
        ("20 tpi", TWIST_PER_M, 20.0 / 0.0254), ("8 tpcm", TWIST_PER_M, 800.0),
        ("850", TWIST_PER_M, 850.0), ("8.5 per cm", TWIST_PER_M, 850.0),
        ("60 epi", SETT_PER_CM, 60.0 / 2.54), ("24 per cm", SETT_PER_CM, 24.0),
        ("58 ppi", SETT_PER_CM, 58.0 / 2.54),
    ],
)  # fmt: skip
def test_turns_and_threads_to_the_inch_and_to_the_centimetre(text, dimension, says):
    # An inch is 25.4 mm exactly.
    assert parse_quantity(text, dimension, dimension.unit) == pytest.approx(says, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "step_g"),
    [
        ("2 oz", 28.349523125), ("2.0 oz", 2.8349523125), ("2 1/4 oz", 28.349523125 / 4),
        ("1/2 lb", 226.796185), ("33", 1.0), ("5.10 g", 0.01), ("0.033 kg", 1.0), ("5e1 g", 10.0),
        ("0e400 g", math.inf),
    ],
)  # fmt: skip
def test_the_last_digit_of_what_was_written(text, step_g):
    assert last_digit(text, MASS_G, "g") == pytest.approx(step_g, rel=1e-12)


@pytest.mark.parametrize(
    ("length_mm", "text"),
    [
        (0.6, "0.024 in"),  # 1/32 in is 0.79 mm, a third more
        (3.5, "0.138 in"),  # 9/64 in is 3.57 mm
        (2.5, "0.098 in"),
        (25.4 / 8, "1/8 in"),
        (0.4, "1/64 in"),  # 0.3969 mm: the same to half a thousandth of an inch
        (617.8, "24 21/64 in"),
        (-617.8, "-24 21/64 in"),
        (0.05, "0.0020 in"),
        (0.0, "0 in"),
    ],
)
def test_inches_are_sixty_fourths_where_these_are_near_enough(length_mm: float, text: str) -> None:
    assert in_inches(length_mm) == text


def test_lengths_of_one_sentence_are_all_of_a_rule_or_all_in_decimals() -> None:
    for lengths, told in (
        ((20.6, 8.6), ["0.81 in", "0.34 in"]), ((20.6, 0.5, 0.0), ["0.811 in", "0.020 in"]),
        ((20.6, 0.05), ["0.8110 in", "0.0020 in"]), ((20.64, 7.94, 0.0), ["13/16 in", "5/16 in"]),
    ):  # fmt: skip
        assert list(map(in_inches_alike(lengths), lengths[:2])) == told


@pytest.mark.parametrize(("mm", "unit", "text"), [
    (7.6, "in/64", "0.299 in"), (12.0, "in/64", "0.472 in"), (25.4 * 15 / 32, "in/64", "15/32 in"),
    (7.6, "mm", "7.6 mm"), (7.62, "mm", "7.62 mm"), (25.4 * 15 / 32, "mm", "11.91 mm"),
])  # fmt: skip
def test_what_is_turned_is_told_so_that_a_ratio_that_hangs_on_it_is_the_same(mm, unit, text):
    assert turned_length(unit)(mm) == text
    assert parse_quantity(text, LENGTH_MM) == pytest.approx(mm, rel=2e-3, abs=0.005)


@given(length_mm=st.floats(0.001, 5000.0))
def test_inches_as_they_are_told_are_never_far_off(length_mm: float) -> None:
    """One per cent, or half a thousandth of an inch (a tenth of that below 0.1 mm)."""
    read = parse_quantity(in_inches(length_mm), LENGTH_MM)
    allowed = 0.0127 if length_mm >= 0.1 else 0.00127
    assert abs(read - length_mm) <= max(0.01 * length_mm, allowed) * (1.0 + 1e-9)
