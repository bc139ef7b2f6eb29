"""Fibres and plies against published figures; the source stands beside each check."""

from __future__ import annotations

import math

import pytest

from wheelgeo.design.counts import tex
from wheelgeo.design.model import Count
from wheelgeo.yarn import fibre, helix


def test_rieter_dtex_of_a_micronaire():
    # Rieter, rikipedia: dtex = 0.394 × micronaire.
    assert fibre.dtex_from_micronaire(1.0) == pytest.approx(0.394, abs=0.0005)


def test_wool_of_21_micrometres():
    # textileschool.com/127: d = 20 √(dtex/(π ρ)); wool 21 µm at 1.31 g/cm3 is 4.537 dtex.
    assert fibre.dtex_from_um(21.0, 1.31) == pytest.approx(4.537, abs=0.0005)


def test_polypropylene_is_not_as_thick_as_printed():
    # The same page prints 30.66 µm for 6.7 dtex polypropylene; by its own formula it is 30.62.
    assert fibre.dtex_from_um(30.62, 0.91) == pytest.approx(6.7, abs=0.002)


@pytest.mark.parametrize(("spread", "printed", "factor"), [(0.0, 55.1, 972), (None, 52.0, 917)])
def test_wool_fibres_in_a_section(spread, printed, factor):
    # CSIRO practice, from memory: 972 tex/d², and 917 tex/d² with the spread of diameters.
    fineness = fibre.dtex_from_um(21.0, 1.31, fibre.WOOL_SPREAD if spread is None else spread)
    number = fibre.fibres_in_section(Count(25.0, "tex"), fineness)
    assert number == pytest.approx(printed, abs=0.05)
    assert number * 21.0**2 / 25.0 == pytest.approx(factor, abs=0.5)


@pytest.mark.parametrize(
    ("method", "least"), [("combed ring", 33), ("carded ring", 75), ("rotor", 100)]
)
def test_rieter_least_fibres_in_the_section(method, least):
    finest = Count(fibre.finest_count_nm(1.7, method), "Nm")
    assert fibre.fibres_in_section(finest, 1.7) == pytest.approx(least, rel=1e-12)


def test_120_metric_of_21_micrometre_wool_is_too_fine_for_any_method():
    # 18 fibres in the section; worked by hand: 972 × 8.333/441 = 18.4.
    number = fibre.fibres_in_section(Count(120.0, "Nm"), fibre.dtex_from_um(21.0, 1.31))
    assert number == pytest.approx(18.4, abs=0.05)
    assert number < min(fibre.LEAST_FIBRES.values())


@pytest.mark.parametrize(
    ("kind", "percent"),
    [("cotton", 8.5), ("flax", 12.0), ("hemp", 12.0), ("silk", 11.0), ("wool", 13.6)],
)
def test_astm_d1909_commercial_regain(kind, percent):
    # ASTM D1909-13, as tabled in doi 10.1186/s40643-020-00339-1.
    assert 100.0 * fibre.regain(kind) == pytest.approx(percent, rel=1e-12)


def test_regain_of_wool_depends_on_the_standard():
    # EU 96/74/EC: combed 18.25 %, carded 17 %.
    assert fibre.regain("wool", "EU 96/74/EC combed") == 0.1825
    assert fibre.regain("wool", "EU 96/74/EC carded") == 0.17


def test_contraction_at_20_degrees():
    # Hearle, Grosberg & Backer, from memory: (1 + sec α)/2.
    assert helix.contraction_factor(20.0) == pytest.approx(1.0321, abs=0.00005)


def test_contraction_is_the_mean_over_the_section():
    # Second method: fibres at radius r lie at tan θ = tan α · r/R and are sec θ long; packed
    # equally square to their own way, a ring holds cos θ as many. Summed by the midpoint rule.
    tangent, rings = math.tan(math.radians(35.0)), 2000
    radii = [(i + 0.5) / rings for i in range(rings)]
    number = math.fsum(r / math.hypot(1.0, tangent * r) for r in radii)
    length = math.fsum(radii)
    assert helix.contraction_factor(35.0) == pytest.approx(length / number, rel=1e-6)


def test_two_ply_lengthens_until_the_factors_stand_as_1_2():
    # Text. Res. J. 2024, doi 10.1177/00405175241246269: longer than its singles until the ratio
    # of twist factors is about 1.2, shorter beyond.
    single = Count(40.0, "Nm")
    below, above = (helix.ply_yarn(single, 500.0, "Z", share=r / math.sqrt(2)) for r in (1.1, 1.3))
    assert below.factor_ratio == pytest.approx(1.1)
    assert below.length_share > 1.0 > above.length_share
    at = helix.ply_yarn(single, 500.0, "Z", share=1.2 / math.sqrt(2))
    assert at.length_share == pytest.approx(1.0, abs=5e-4)


def test_two_plies_are_balanced_unless_asked_otherwise():
    # Textbooks, from memory: 0.65 to 0.70 of the singles' twist for balance. The helix angle of
    # the singles would take 1/√2, a little more.
    plied = helix.ply_yarn(Count(40.0, "Nm"), 600.0, "S")
    assert 0.65 * 600.0 < plied.ply_turns_per_metre < 0.70 * 600.0
    assert plied.direction == "Z"
    assert helix.ply_yarn(Count(40.0, "Nm"), 600.0, "S", 3).factor_ratio == pytest.approx(1.0)


def test_strength_of_a_singles_of_25_tex_wool():
    # By hand from Morton & Hearle's 11 to 14 cN/tex: 25 × 11/3 = 91.7 cN, 25 × 14/2 = 175 cN.
    assert fibre.singles_strength_n(Count(25.0, "tex"), "wool") == pytest.approx(
        (0.91667, 1.75), rel=1e-4
    )


def test_plied_mass_follows_its_length():
    plied = helix.ply_yarn(Count(40.0, "Nm"), 500.0, "Z")
    assert tex(plied.count) * plied.length_share == pytest.approx(50.0, rel=1e-12)
    assert tex(plied.count) < 50.0
