from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelgeo.design.counts import convert, diameter_mm, tex
from wheelgeo.design.model import Count
from wheelgeo.design.twist import turns_from_factor
from wheelgeo.errors import QuantityError
from wheelgeo.yarn import fibre, helix

kinds = st.sampled_from(sorted(fibre.FIBRES))
counts_nm = st.floats(2.0, 300.0)


@given(st.floats(0.5, 20.0), st.floats(0.8, 2.0))
def test_fineness_of_a_round_fibre_is_its_section_times_its_density(fineness_dtex, density):
    width = 20.0 * math.sqrt(fineness_dtex / (math.pi * density))
    assert fibre.dtex_from_um(width, density) == pytest.approx(fineness_dtex, rel=1e-12)
    assert fibre.dtex_from_mtex(100.0 * density) == pytest.approx(density, rel=1e-12)


@given(st.floats(10.0, 60.0), st.floats(0.01, 0.6))
def test_uneven_fibres_weigh_more_than_their_mean(width_um, spread):
    even = fibre.dtex_from_um(width_um, 1.31)
    assert fibre.dtex_from_um(width_um, 1.31, spread) / even == pytest.approx(1.0 + spread**2)


@given(st.floats(1.0, 10.0), st.floats(5.0, 200.0))
def test_the_finest_count_has_the_least_fibres(fineness_dtex, least):
    finest = Count(fibre.finest_count_nm(fineness_dtex, least=least), "Nm")
    assert fibre.fibres_in_section(finest, fineness_dtex) == pytest.approx(least, rel=1e-12)


@given(kinds, counts_nm)
def test_strength_goes_with_the_mass(kind, count_nm):
    weak, strong = fibre.singles_strength_n(Count(count_nm, "Nm"), kind)
    half = fibre.singles_strength_n(Count(2.0 * count_nm, "Nm"), kind)
    assert 0.0 < weak < strong
    assert (weak, strong) == pytest.approx((2.0 * half[0], 2.0 * half[1]), rel=1e-12)


def test_cotton_warp_twist_holds_the_textbook_multiplier():
    # Textbooks, from memory: twist multipliers of cotton warp 4.0 to 4.75 turns per inch to √Ne.
    thirty = Count(30.0, "Ne")
    low, high = fibre.usual_twist_per_metre(convert(thirty, "Nm").value, "cotton", "warp")
    assert low < turns_from_factor(4.0, thirty) < turns_from_factor(4.75, thirty) < high


@given(kinds, counts_nm)
def test_a_warp_is_twisted_harder_than_a_weft_and_that_than_knitting(kind, count_nm):
    rows = [
        fibre.usual_twist_per_metre(count_nm, kind, use) for use in ("knitting", "weft", "warp")
    ]
    assert rows == sorted(rows)
    assert all(low < high for low, high in rows)


def test_usual_twist_stands_at_a_spinnable_angle():
    # Textbooks, from memory: outer fibres of usual singles lie at some 15 to 30 degrees.
    for kind in ("cotton", "wool", "flax", "silk"):
        low, high = fibre.usual_twist_per_metre(40.0, kind, "weft")
        thickness = diameter_mm(Count(40.0, "Nm"))
        assert helix.twist_angle_deg(low, thickness) > 12.0
        assert helix.twist_angle_deg(high, thickness) < 30.0


@given(counts_nm, st.floats(20.0, 120.0))
def test_one_factor_is_one_angle_at_any_count(count_nm, factor):
    count = Count(count_nm, "Nm")
    angle = helix.twist_angle_deg(turns_from_factor(factor, count), diameter_mm(count))
    other = Count(7.0, "Nm")
    same = helix.twist_angle_deg(turns_from_factor(factor, other), diameter_mm(other))
    assert angle == pytest.approx(same, rel=1e-9)


@given(counts_nm, st.floats(40.0, 120.0), st.integers(2, 6))
def test_equal_angles_and_the_mass_that_length_gives(count_nm, factor, plies):
    single = Count(count_nm, "Nm")
    one_angle = 1.0 / math.sqrt(plies)
    plied = helix.ply_yarn(single, turns_from_factor(factor, single), "Z", plies, one_angle)
    assert plied.factor_ratio == pytest.approx(1.0)
    assert tex(plied.count) * plied.length_share == pytest.approx(plies * tex(single), rel=1e-12)
    assert plied.direction == "S"


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: fibre.dtex_from_um(20.0, 1.3, -0.1), "spread"),
        (lambda: helix.contraction_factor(90.0), "twist angle"),
        (lambda: helix.ply_yarn(Count(40.0, "Nm"), 500.0, "Z", 1), "at least 2"),
        (lambda: helix.twist_angle_deg(500.0, math.nan), "diameter"),
        (lambda: fibre.finest_count_nm(1.7, least=0.0), "least number"),
    ],
)
def test_what_cannot_be_is_refused(call, says):
    with pytest.raises(QuantityError, match=says):
        call()
