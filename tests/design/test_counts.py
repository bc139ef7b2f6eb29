from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

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
from wheelgeo.errors import QuantityError

SYSTEMS = ("Nm", "Ne", "tex", "denier")
values = st.floats(1e-3, 1e6)
systems = st.sampled_from(SYSTEMS)
counts = st.builds(Count, values, systems)


@pytest.fixture(scope="module")
def ureg():
    return pint.UnitRegistry()


@pytest.mark.parametrize("system", SYSTEMS)
def test_tex_agrees_with_pint(ureg, system):
    unit = {"Nm": "number_meter", "Ne": "number_english"}.get(system, system)
    theirs = (37.5 * ureg(unit)).to("tex", "textile").magnitude
    assert tex(Count(37.5, system)) == pytest.approx(theirs, rel=1e-14)


@pytest.mark.parametrize(
    ("trade", "per"),
    [
        ("worsted", "560 yard / pound"),
        ("linen lea", "300 yard / pound"),
        ("woollen run", "1600 yard / pound"),
        ("French", "1 km / (500 g)"),
    ],
)
def test_trade_numbers_agree_with_pint(ureg, trade, per):
    theirs = (1 / (29.5 * ureg.tex) / ureg(per)).to("").magnitude
    assert trade_number(Count(29.5, "tex"), trade) == pytest.approx(theirs, rel=1e-14)


def test_yards_per_pound_agree_with_pint(ureg):
    theirs = (1 / (29.5 * ureg.tex)).to("yard / pound").magnitude
    assert yards_per_pound(Count(29.5, "tex")) == pytest.approx(theirs, rel=1e-14)


@given(counts, systems)
def test_there_and_back_is_the_same_count(count, system):
    there = convert(count, system)
    assert there.system == system
    back = convert(there, count.system)
    assert back.system == count.system
    assert back.value == pytest.approx(count.value, rel=1e-13)


@given(counts)
def test_a_count_in_its_own_system_is_untouched(count):
    assert convert(count, count.system) is count


@given(counts, systems, systems)
def test_the_way_taken_does_not_matter(count, first, second):
    by_way = convert(convert(count, first), second)
    assert by_way.value == pytest.approx(convert(count, second).value, rel=1e-13)


@given(values, values)
def test_finer_is_higher_when_indirect_and_lower_when_direct(a, b):
    low, high = sorted((a, b))
    for system in ("Nm", "Ne"):
        assert tex(Count(low, system)) >= tex(Count(high, system))
    for system in ("tex", "denier"):
        assert tex(Count(low, system)) <= tex(Count(high, system))


@given(st.lists(counts, min_size=1, max_size=6))
def test_plies_add_their_tex_in_the_system_of_the_first(strands):
    plied = ply(strands)
    assert plied.system == strands[0].system
    assert tex(plied) == pytest.approx(sum(tex(s) for s in strands), rel=1e-12)


@given(values, st.integers(1, 12))
def test_alike_plies_divide_an_indirect_count(value, strands):
    plied = ply([Count(value, "Nm")] * strands)
    assert plied.value == pytest.approx(value / strands, rel=1e-12)


def test_no_plies_is_an_error():
    with pytest.raises(QuantityError, match="no yarns"):
        ply([])


@given(counts, st.floats(0.5, 5.0))
def test_a_centimetre_of_yarn_has_the_volume_of_its_weight(count, volume):
    area_cm2 = math.pi / 4.0 * (diameter_mm(count, volume) / 10.0) ** 2
    grams_per_cm = tex(count) / 100_000.0
    assert area_cm2 == pytest.approx(volume * grams_per_cm, rel=1e-12)


@given(counts)
def test_wraps_fill_an_inch(count):
    assert wraps_per_inch(count) * diameter_mm(count) == pytest.approx(25.4, rel=1e-12)


def test_a_loftier_yarn_is_thicker():
    yarn = Count(8.0, "Nm")
    assert diameter_mm(yarn, 2.2) == pytest.approx(diameter_mm(yarn) * math.sqrt(2.0), rel=1e-12)
    assert wraps_per_inch(yarn, 2.2) < wraps_per_inch(yarn)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("bad", [0.0, -40.0, math.nan, math.inf, -math.inf])
def test_a_count_that_is_none_is_refused_by_name(system, bad):
    with pytest.raises(QuantityError, match=f"count in {system}"):
        tex(Count(bad, system))
    with pytest.raises(QuantityError):
        convert(Count(bad, system), system)


def test_a_count_beyond_numbers_is_refused_instead_of_infinite():
    with pytest.raises(QuantityError, match="count in tex is inf"):
        metric_count(Count(1e-310, "Ne"))


def test_a_volume_of_nothing_is_refused():
    with pytest.raises(QuantityError, match="specific volume"):
        diameter_mm(Count(20.0, "tex"), 0.0)
