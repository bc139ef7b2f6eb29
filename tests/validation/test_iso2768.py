"""ISO 2768-1:1989, general tolerances: table 1 (lengths) and table 3 (angles).

Classes f, m and c of table 1 as published; class v, and the whole of table 3, from memory.
"""

import pytest

from wheelgeo.errors import SearchError
from wheelgeo.tune.iso2768 import angular_tolerance_deg, check_class, linear_tolerance_mm

# nominal size up to, mm: f, m, c, v; None where the standard gives nothing
TABLE_1 = [
    (3.0, 0.05, 0.1, 0.2, None),
    (6.0, 0.05, 0.1, 0.3, 0.5),
    (30.0, 0.1, 0.2, 0.5, 1.0),
    (120.0, 0.15, 0.3, 0.8, 1.5),
    (400.0, 0.2, 0.5, 1.2, 2.5),
    (1000.0, 0.3, 0.8, 2.0, 4.0),
    (2000.0, 0.5, 1.2, 3.0, 6.0),
    (4000.0, None, 2.0, 4.0, 8.0),
]
CELLS = [
    (row[0], low, letter, value)
    for row, low in zip(TABLE_1, [0.5, *(r[0] * (1 + 1e-9) for r in TABLE_1)], strict=False)
    for letter, value in zip("fmcv", row[1:], strict=True)
]


@pytest.mark.parametrize(("upper", "lower", "letter", "value"), CELLS)
def test_table_1_at_both_ends_of_each_row(upper, lower, letter, value):
    if value is None:
        for nominal in (lower, upper):
            with pytest.raises(SearchError, match=rf"gives no value .* class {letter}"):
                linear_tolerance_mm(nominal, letter)
    else:
        assert linear_tolerance_mm(lower, letter) == value
        assert linear_tolerance_mm(upper, letter) == value


@pytest.mark.parametrize("letter", list("fmcv"))
@pytest.mark.parametrize("nominal", [0.499, 4000.1, 0.0, -20.0, float("nan")])
def test_outside_table_1(nominal, letter):
    with pytest.raises(SearchError, match=r"from 0\.5 to 4000 mm"):
        linear_tolerance_mm(nominal, letter)


# shorter side up to, mm: f and m, c, v, in minutes of arc
TABLE_3 = [
    (10.0, 60, 90, 180),
    (50.0, 30, 60, 120),
    (120.0, 20, 30, 60),
    (400.0, 10, 15, 30),
    (5000.0, 5, 10, 20),
]


@pytest.mark.parametrize(("upper", "fine", "coarse", "very"), TABLE_3)
def test_table_3(upper, fine, coarse, very):
    minutes = [60.0 * angular_tolerance_deg(upper, letter) for letter in ("f", "m", "c", "v")]
    assert minutes == pytest.approx([fine, fine, coarse, very])


def test_table_3_rows_begin_just_above_the_last():
    assert angular_tolerance_deg(10.001, "m") == pytest.approx(0.5)
    assert angular_tolerance_deg(400.1, "c") == pytest.approx(10.0 / 60.0)


def test_an_angle_needs_a_side():
    with pytest.raises(SearchError, match="cannot be 0 mm long"):
        angular_tolerance_deg(0.0, "m")


@pytest.mark.parametrize("letter", ["", "M", "x", "fine"])
def test_no_such_class(letter):
    with pytest.raises(SearchError, match=r"known: f \(fine\), m \(medium\)"):
        check_class(letter)


def test_the_four_classes():
    assert [check_class(letter) for letter in "fmcv"] == ["f", "m", "c", "v"]
