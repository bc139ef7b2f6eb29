"""Yarn against published figures; the source stands beside each check."""

from __future__ import annotations

import math

import pytest

from wheelgeo.design.counts import (
    convert,
    diameter_mm,
    metric_count,
    ply,
    tex,
    trade_number,
    wraps_per_inch,
    yards_per_pound,
)
from wheelgeo.design.model import Count
from wheelgeo.design.twist import direction, factor_from_turns, turns_from_factor
from wheelgeo.yarn.cloth import Threads, cloth_mass_g_m2, diameters_per_inch, sett_per_inch
from wheelgeo.yarn.winders import HANK_M, reel_turns, yarn_length_m, yarn_mass_g

POUND_G = 453.59237
GRAIN_G = POUND_G / 7000.0
YARD_M = 0.9144
PER_INCH = 1000.0 / 25.4


def ne(value: float) -> Count:
    return Count(value, "Ne")


# ASTM D2260-03(2013), Standard Tables of Conversion Factors and Equivalent Yarn Numbers, Table 1.
# Published to six figures; ours within half of the last one.


@pytest.mark.parametrize(
    ("system", "product", "half_digit"), [("Ne", 590.541, 0.0005), ("Nm", 1000.0, 1e-9)]
)
def test_astm_d2260_tex_times_count(system, product, half_digit):
    assert 7.0 * tex(Count(7.0, system)) == pytest.approx(product, abs=half_digit)


def test_astm_d2260_denier_times_cotton_count():
    assert 7.0 * convert(ne(7.0), "denier").value == pytest.approx(5314.87, abs=0.005)


@pytest.mark.parametrize(
    ("trade", "product", "half_digit"),
    [("worsted", 885.812, 0.0005), ("woollen run", 310.034, 0.0005), ("linen lea", 1653.52, 0.005)],
)
def test_astm_d2260_tex_times_trade_number(trade, product, half_digit):
    assert 7.0 * trade_number(Count(7.0, "tex"), trade) == pytest.approx(product, abs=half_digit)


def test_astm_d2260_yards_per_pound_of_one_metric_count():
    assert yards_per_pound(Count(1.0, "Nm")) == pytest.approx(496.055, abs=0.0005)


def test_astm_d2260_ten_cotton_is_fifteen_worsted():
    assert trade_number(ne(10.0), "worsted") == pytest.approx(15.0, rel=1e-14)


def test_astm_d2260_thirty_tex_in_cotton_count():
    assert convert(Count(30.0, "tex"), "Ne").value == pytest.approx(19.7, abs=0.05)


# tex = denier/9 and tex = 1000/Nm are the definitions (ISO 1144, from memory).


def test_denier_is_nine_times_tex():
    assert tex(Count(225.0, "denier")) == pytest.approx(25.0, rel=1e-15)


def test_nm_80_two_fold_is_two_yarns_of_12_5_tex():
    single = Count(80.0, "Nm")
    assert tex(single) == 12.5
    assert ply([single, single]) == Count(40.0, "Nm")


# C. P. Brooks, Cotton Manufacturing, p. 91 and the chapter on wrapping.


@pytest.mark.parametrize(
    ("trade", "printed", "half_digit"),
    [
        ("worsted", 30.0, 1e-9),
        ("linen lea", 56.0, 1e-9),
        ("French", 16.93, 0.005),  # exact 16.9336; the book divides by a rounded 1.181
    ],
)
def test_brooks_twenties_cotton_in_other_trades(trade, printed, half_digit):
    assert trade_number(ne(20.0), trade) == pytest.approx(printed, abs=half_digit)


@pytest.mark.parametrize(
    ("singles", "printed", "digit"),
    [
        ((40.0, 20.0), 13.0 + 1.0 / 3.0, 1e-9),
        ((40.0, 80.0, 120.0), 21.81, 0.01),  # exact 21.818; the book cuts the last figures off
        ((24.0, 40.0), 15.0, 1e-9),
        ((300.0, 300.0, 300.0), 100.0, 1e-9),
    ],
)
def test_brooks_resultant_count_of_plies(singles, printed, digit):
    assert ply([ne(s) for s in singles]).value == pytest.approx(printed, abs=digit)


def test_brooks_weight_of_9240_yards_of_44s_is_a_quarter_pound():
    assert yarn_mass_g(9240.0 * YARD_M, ne(44.0)) == pytest.approx(POUND_G / 4.0, rel=1e-14)


def test_brooks_a_lea_of_120_yards_of_40s_weighs_25_grains():
    assert yarn_mass_g(120.0 * YARD_M, ne(40.0)) == pytest.approx(25.0 * GRAIN_G, rel=1e-14)


def test_brooks_a_wrap_reel_of_a_yard_and_a_half_makes_a_lea_in_80_turns():
    assert reel_turns(120.0 * YARD_M, 1.5 * YARD_M * 1000.0) == pytest.approx(80.0, rel=1e-14)


# Twist.


def test_iso_2_clockwise_from_the_yarn_is_z():
    # ISO 2:1973: in a yarn held upright the fibres slope as the middle stroke of the letter, Z
    # from lower left to upper right. Derived here from the helix itself: the spindle points
    # along +z at a viewer who is the yarn, the yarn's far end is held, and the end at the
    # spindle turns with it. The fibre that the held end has at angle 0 has turned by less and
    # less towards the held end: angle(z) = turn × (1 − z/length).
    for speed_rpm in (-1200.0, 1200.0):
        turn = math.copysign(0.2, speed_rpm)
        # The fibre seen at the front of the upright yarn by someone who looks along +y (x to the
        # right, z up): the front is at y = -1, that is at angle -90°.
        low, high = (-math.pi / 2 + turn * (1.0 - z) for z in (0.4, 0.6))
        leans_right = math.cos(high) > math.cos(low)
        assert direction(speed_rpm) == ("Z" if leans_right else "S")


def test_gate_2021_turns_per_inch_of_36s_with_multiplier_three_and_a_half():
    # GATE 2021, paper TF (Textile Engineering): 36 Ne, twist multiplier 3.5: 21 turns per inch.
    assert turns_from_factor(3.5, ne(36.0)) / PER_INCH == pytest.approx(21.0, rel=1e-14)


def test_gate_2021_multiplier_of_36s_with_fifteen_turns_per_inch():
    # The same paper: 36 Ne, 15 turns per inch: twist multiplier 2.5.
    assert factor_from_turns(15.0 * PER_INCH, ne(36.0)) == pytest.approx(2.5, rel=1e-14)


def test_tex_twist_factor_of_one_twist_multiplier():
    # N. Balasubramanian, Useful Conversion Factors: turns/cm × √tex = 9.57 × twist multiplier.
    # Exact 9.5673; per metre 956.73.
    yarn = ne(30.0)
    factor = factor_from_turns(turns_from_factor(1.0, yarn), convert(yarn, "tex"))
    assert factor == pytest.approx(9.57, abs=0.005)
    assert factor == pytest.approx(9.5673, abs=0.00005)


# Diameter, sett and cloth.


def test_peirce_diameter_of_a_cotton_yarn():
    # F. T. Peirce, The Geometry of Cloth Structure, 1937: d = 1/(28 √Ne) inch, at 1.1 cm3/g.
    # The 28 is rounded: 1.1 cm3/g gives 27.93, so ours is 0.25 % thicker.
    for count in (6.0, 20.0, 80.0):
        ours_in = diameter_mm(ne(count)) / 25.4
        assert ours_in == pytest.approx(1.0 / (28.0 * math.sqrt(count)), rel=0.003)
        assert ours_in * 28.0 * math.sqrt(count) == pytest.approx(1.00254, abs=0.00001)


def test_diameter_at_one_cubic_centimetre_to_the_gram():
    # d = √tex/280.2 cm at 1 cm3/g (from memory); exact 280.25, cut to four figures in print.
    assert math.sqrt(20.0) / (diameter_mm(Count(20.0, "tex"), 1.0) / 10.0) == pytest.approx(
        280.2, abs=0.06
    )
    assert diameter_mm(Count(20.0, "tex")) == pytest.approx(0.1674, abs=0.00005)


def test_wraps_per_inch_are_peirces_28_roots():
    # Peirce's rule turned over: 28 √Ne diameters lie in an inch (27.93 unrounded).
    assert wraps_per_inch(ne(25.0)) == pytest.approx(28.0 * 5.0, rel=0.003)


@pytest.mark.parametrize(("count", "printed"), [(46.0, 177), (36.0, 157), (16.0, 104)])
def test_ashenhurst_diameters_of_cotton(count, printed):
    # T. R. Ashenhurst's rule, 0.9 √(yards per pound), as tabulated for weavers.
    assert diameters_per_inch(ne(count)) == pytest.approx(printed, abs=0.5)


def test_ashenhurst_sett_of_two_fold_eights():
    # Medieval Textiles study group (medievaltextiles.org), Ashenhurst's formula, the example of
    # 8/2 cotton with 3 360 yards per pound: 52 diameters, 26 ends per inch in plain weave, 34 in
    # 2/2 twill. The page cuts fractions off (52 × 4/6 is 34.67); exact 52.17, 26.09, 34.78.
    yarn = ply([ne(8.0), ne(8.0)])
    assert yards_per_pound(yarn) == pytest.approx(3360.0, rel=1e-14)
    assert math.floor(diameters_per_inch(yarn)) == 52
    assert math.floor(sett_per_inch(yarn)) == 26
    assert math.floor(sett_per_inch(yarn, ends=4, intersections=2)) == 34
    assert sett_per_inch(yarn, ends=4, intersections=2) == pytest.approx(34.78, abs=0.005)


@pytest.mark.parametrize(("count", "printed", "half_digit"), [(32, 156, 0.5), (15, 106.5, 0.25)])
def test_taylor_diameters_of_cotton(count, printed, half_digit):
    # J. T. Taylor, Cotton Weaving and Designing, 6th ed.: the root of the yards in a pound less
    # 5 per cent; his table gives 156 for 32's and 106½ for 15's.
    assert diameters_per_inch(ne(count), share=0.95) == pytest.approx(printed, abs=half_digit)


def test_mass_of_a_cotton_cloth():
    # N. Balasubramanian, Useful Conversion Factors:
    # g/m2 = 23.25 × [p1 (1 + r1)/c1 + p2 (1 + r2)/c2]; the factor unrounded is 23.2497.
    warp, weft = Threads(ne(40.0), 120.0, 0.03), Threads(ne(30.0), 70.0, 0.05)
    ours = cloth_mass_g_m2(warp, weft)
    per_count = 120.0 * 1.03 / 40.0 + 70.0 * 1.05 / 30.0
    assert ours / per_count == pytest.approx(23.25, abs=0.005)
    assert ours == pytest.approx(23.25 * per_count, rel=2e-5)


# Common practice, no source.


def test_forty_hanks_of_forties_weigh_a_kilogram():
    assert yarn_mass_g(40.0 * HANK_M, Count(40.0, "Nm")) == pytest.approx(1000.0, rel=1e-14)
    assert metric_count(Count(25.0, "tex")) == 40.0


def test_a_metric_hank_is_five_bunches_of_200_turns_of_a_metre():
    assert reel_turns(1000.0) == 5 * 200
    assert yarn_length_m(25.0, Count(40.0, "Nm")) == pytest.approx(1000.0, rel=1e-14)
