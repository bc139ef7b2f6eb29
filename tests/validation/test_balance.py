"""Balance grades against makers' tables and the standard's example."""

import itertools

import pytest

from wheelgeo.drive.balance import (
    GRADES_MM_S,
    grade_mm_s,
    permissible_eccentricity_mm,
    permissible_unbalance_g_mm,
    standard_grade,
    unbalance_force_n,
)


def test_g63_at_10000_rpm():
    # ISO 21940-11: e times angular speed is G, so e (um) = 9549 G / n; 6.3, 10 000 rpm, 2 kg.
    assert 1000 * permissible_eccentricity_mm(6.3, 10_000) == pytest.approx(6.016, abs=5e-4)
    assert permissible_unbalance_g_mm(6.3, 10_000, 2.0) == pytest.approx(12.03, abs=5e-3)
    assert 1000 * permissible_eccentricity_mm(1.0, 1.0) == pytest.approx(9549, abs=0.5)


def test_constant_in_ounces_and_pounds():
    # U (oz in) = 6.015 G W (lb) / N, a constant of balancing practice; exactly 6.0153.
    grams_mm = permissible_unbalance_g_mm(1.0, 1.0, 0.45359237)
    assert grams_mm / 28.349523125 / 25.4 == pytest.approx(6.0153, abs=5e-5)


def test_example_of_the_standard():
    # ISO 21940-11 (formerly ISO 1940-1), annex, from memory: G 2.5, 3000 rpm, 3600 kg: 8 um and
    # 28.8e3 g mm, which is the 8 um rounded; exactly 7.958 um and 28.65e3 g mm.
    assert 1000 * permissible_eccentricity_mm(2.5, 3000) == pytest.approx(7.958, abs=5e-4)
    assert permissible_unbalance_g_mm(2.5, 3000, 3600.0) == pytest.approx(28.65e3, rel=1e-4)
    assert permissible_unbalance_g_mm(2.5, 3000, 3600.0) == pytest.approx(28.8e3, rel=6e-3)


def test_grades_rise_by_a_factor_of_two_and_a_half():
    # ISO 21940-11, table of grades: 0.4, 1, 2.5, 6.3, 16, 40 ... mm/s.
    assert GRADES_MM_S[:6] == (0.4, 1.0, 2.5, 6.3, 16.0, 40.0)
    for a, b in itertools.pairwise(GRADES_MM_S):
        assert b / a == pytest.approx(2.5, rel=0.02)


def test_the_grade_that_is_kept_to():
    assert [standard_grade(g) for g in (0.1, 6.3, 6.4, 4000.0)] == [0.4, 6.3, 16.0, 4000.0]
    assert standard_grade(4000.1) is None


def test_force_and_grade_of_an_eccentric_part():
    # 1 g mm at 100 rad/s pulls with 1e-6 * 1e4 = 0.01 N and makes G 100 e (mm).
    rpm = 100.0 * 30.0 / 3.141592653589793
    assert unbalance_force_n(0.1, 0.01, rpm) == pytest.approx(0.01, rel=1e-12)
    assert grade_mm_s(0.1, -rpm) == pytest.approx(10.0, rel=1e-12)


def test_at_rest_there_is_none():
    with pytest.raises(ValueError, match="at rest"):
        permissible_eccentricity_mm(6.3, 0.0)
