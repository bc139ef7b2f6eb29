"""Cord materials against published figures."""

import math

import pytest

from wheelgeo.design.materials import (
    BEARINGS,
    CORDS,
    MATERIALS,
    SHORE_SPREAD,
    find_bearing,
    find_material,
    modulus_from_shore_a,
)


def figure(cord, attribute):
    return getattr(find_material(cord), attribute)


def test_shore_relation():
    # After H. J. Qi, K. Joyce & M. C. Boyce, Rubber Chemistry and Technology 76 (2003), 419-435,
    # the coefficients from memory: log10 E = 0.0235 S - 0.6403; 70A gives 10.11 MPa. Some copies of
    # it have e for 10, and 2.73.
    assert modulus_from_shore_a(70.0) == pytest.approx(10.11, abs=5e-3)
    assert math.exp(0.0235 * 70.0 - 0.6403) == pytest.approx(2.73, abs=5e-3)
    assert figure("nitrile ring", "modulus_mpa").value == modulus_from_shore_a(70.0)
    assert figure("nitrile ring", "modulus_mpa").low < (1 - SHORE_SPREAD) * 10.11


@pytest.mark.parametrize("hardness", [0.0, 19.9, 90.1, 100.0, -5.0, math.nan])
def test_shore_relation_ends_where_its_fit_ends(hardness):
    with pytest.raises(ValueError, match="20 to 90"):
        modulus_from_shore_a(hardness)


def test_polyurethane():
    # From memory: TPU 20 to 400 MPa, 1.10 to 1.25 g/cm3; 85A 1.18 g/cm3, 7 MPa at 100 % strain.
    # A cord is of the soft end, and stiffer at small strain than its pull at 100 % says.
    modulus = figure("polyurethane cord", "modulus_mpa")
    assert 20.0 <= modulus.low < modulus.value < modulus.high <= 400.0
    assert modulus.low > 7.0
    density = figure("polyurethane cord", "density_kg_m3")
    assert (density.value, density.high) == (1180.0, 1250.0)


def test_friction():
    # Khurmi & Gupta, Theory of Machines, table of friction on wood, from memory: leather 0.30,
    # rubber 0.32, cotton 0.25.
    assert figure("leather cord", "friction").value == 0.30
    assert figure("rubber cord", "friction").value == 0.32
    assert figure("cotton cord", "friction").value == 0.25
    # on cast iron 0.25 leather, 0.22 cotton; leather on leather 0.45; from memory
    assert figure("leather cord", "friction").low == 0.25
    assert figure("leather cord", "friction").high == 0.45
    assert figure("cotton cord", "friction").low == 0.22
    # rubber-coated flat belts 0.3 to 0.8; from memory
    assert figure("rubber cord", "friction").high == 0.80
    # hemp rope on iron pulleys without wedge 0.28 to 0.18, A Text-Book of Mechanical Engineering
    hemp = figure("hemp cord", "friction")
    assert (hemp.low, hemp.high) == (0.18, 0.28)
    # plastic belt on steel, static 0.25 to 0.45, sliding 0.25; from memory
    plastic = figure("polyurethane cord", "friction")
    assert (plastic.low, plastic.high) == (0.25, 0.45)


def test_rings_as_drive_bands():
    # Apple Rubber Seal Design Guide, drive-belt page: stretch 8 to 12 % of the inside diameter,
    # groove bottom at least 4 times the section.
    stretch = figure("nitrile ring", "stretch")
    assert (stretch.low, stretch.high) == (0.08, 0.12)
    assert figure("nitrile ring", "bend_ratio").value == 4.0


def test_densities_of_belts():
    # Khurmi & Gupta, from memory: leather 1000, rubber 1140, single woven 1170 kg/m3.
    assert figure("leather cord", "density_kg_m3").value == 1000.0
    assert figure("rubber cord", "density_kg_m3").high == 1140.0
    assert figure("cotton cord", "density_kg_m3").high == 1170.0


def test_every_cord_has_every_figure():
    for cord in CORDS:
        for name in ("density_kg_m3", "modulus_mpa", "strength_mpa", "friction", "stretch",
                     "bend_ratio"):  # fmt: skip
            assert getattr(cord, name) is not None, (cord.name, name)


def test_every_figure_lies_within_its_spread_and_has_a_source():
    held = [
        getattr(m, a)
        for m in MATERIALS
        for a in ("density_kg_m3", "modulus_mpa", "strength_mpa", "friction", "stretch",
                  "bend_ratio")
    ]  # fmt: skip
    held += [f for b in BEARINGS for f in (b.friction, b.stiffness_n_mm)]
    for value in (f for f in held if f is not None):
        assert 0.0 < value.low <= value.value <= value.high
        assert len(value.source) > 5


def test_names_are_unique():
    names = [m.name for m in MATERIALS]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize(
    ("kind", "name"),
    [
        ("steel on brass", "brass"), ("leather", "leather"), ("oiled cotton cord", "cord"),
        ("ball", "ball"), ("Brass", "brass"),
    ],
)  # fmt: skip
def test_bearing_pairs_by_name_or_in_words(kind, name):
    assert find_bearing(kind).name == name


def test_unknown_bearing():
    assert find_bearing("butter") is None
