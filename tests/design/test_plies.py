from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelgeo.design.counts import resulting, tex, trade_number
from wheelgeo.design.file_kinds import CountKind, read_count
from wheelgeo.design.model import Count
from wheelgeo.design.plies import read_plies
from wheelgeo.errors import QuantityError


@pytest.mark.parametrize(
    ("text", "plies", "single_tex"),
    [
        # Customs of the systems: common practice, no source. ISO 1139 notation from memory.
        ("28 Nm", 1, 1000 / 28),
        ("2/28 Nm", 2, 1000 / 28),
        ("28/2 Nm", 2, 1000 / 28),
        ("Nm 80/2", 2, 12.5),  # ISO 1144, from memory: 12.5 tex x 2
        ("2 x 28 Nm", 2, 1000 / 28),
        ("2 × 28 Nm", 2, 1000 / 28),
        ("28 Nm x 2", 2, 1000 / 28),
        ("2/2 Nm", 2, 500.0),
        ("30/2 Ne", 2, 590.5412 / 30),
        ("8/2 Ne", 2, 590.5412 / 8),  # both could be plies: cotton names the singles first
        ("10/4 Ne", 4, 590.5412 / 10),
        ("1680 ypp", 1, 590.5412 / 2),  # two cotton hanks of 840 yards to the pound
        ("2 x 1680 yards per pound", 2, 590.5412 / 2),
        ("R 1680 ypp / 2", 2, 590.5412 / 4),
        ("2/30 Ne", 2, 590.5412 / 30),  # 30 is no number of plies
        ("2/28 worsted", 2, 885.8119 / 28),
        ("2/8 worsted", 2, 885.8119 / 8),  # worsted names the plies first
        ("R 50 tex / 2", 2, 25.0),
        ("R 50 tex/2", 2, 25.0),
        ("25 tex x 2", 2, 25.0),
        ("1/28 Nm", 1, 1000 / 28),
        # Hanks of 300 and of 1 600 yd to the pound, kilometres to 500 g (ASTM D2260): 16 leas are
        # 4 800 yd/lb, 12.4 runs 19 840 yd/lb; a tex is 496 054.65 yd/lb.
        ("16 linen lea", 1, 496054.65 / 4800),
        ("2 x 16 lea", 2, 496054.65 / 4800),
        ("12.4 woollen run", 1, 496054.65 / 19840),
        ("14 French", 1, 500 / 14),
        ("Nm 40", 1, 25.0),
        ("Ne 20", 1, 590.5412 / 20),
    ],
)
def test_plies_by_the_custom_of_the_system(text, plies, single_tex):
    read = read_plies(text)
    assert read.plies == plies
    assert tex(read.single) == pytest.approx(single_tex, rel=1e-6)


@pytest.mark.parametrize("text", ["16 linen lea", "12.4 woollen run", "14 French", "Nm 40"])
def test_a_file_and_a_command_read_them_too(text):
    assert tex(read_count(text)) == pytest.approx(tex(read_plies(text).single), rel=1e-12)


def test_wraps_to_the_inch_are_no_count_but_a_thickness():
    # 12 to the inch are 2.117 mm, 3.519 mm2: at 8 cm3/g 2.27 Nm, at 1.5 cm3/g 0.426 Nm.
    with pytest.raises(QuantityError, match="thickness") as told:
        read_count("12 wpi")
    assert "0.43 Nm" in str(told.value)
    assert "2.3 Nm" in str(told.value)


def test_what_may_be_two_yarns_is_not_read_as_a_fraction():
    with pytest.raises(QuantityError) as told:
        read_count("2/6 Nm")
    assert "0.33" not in str(told.value)


def test_two_fold_28_metric_comes_to_14():
    assert resulting(read_plies("2/28 Nm").single) == Count(14.0, "Nm")


def test_two_fold_28_worsted_comes_to_14_worsted():
    result = trade_number(resulting(read_plies("2/28 worsted").single), "worsted")
    assert result == pytest.approx(14.0, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("2/8 Nm", '"2 x 8 Nm" or "8 x 2 Nm"'),
        ("25/2 tex", '"25 tex x 2" or "R 25 tex / 2"'),
        ("70/2 den", '"70 denier x 2" or "R 70 denier / 2"'),
        ("70/34 den", '"70 denier"'),
        ("28/40 Nm", "neither 28 nor 40"),
        ("0/28 Nm", '"28 Nm"'),
        ("1/2 Nm", 'a single of 2 or 2 plies of 1'),
        ("28/2/3 Nm", "its last plying only"),
        ("1.5 x 3 Nm", "1.5 is no number of plies"),
        ("20 x 3 Nm", "20 is no number of plies"),
        ("R 50 tex", "a resulting count"),
        ("0 Nm", "above 0"),
        ("twenty-eights", "is no count"),
        ("28", "is no count"),
    ],
)
def test_a_count_that_may_mean_two_things_is_asked_about(text, asks):
    with pytest.raises(QuantityError, match=re.escape(asks)):
        read_plies(text)


@given(
    plies=st.integers(1, 12),
    single=st.floats(0.1, 500.0),
    system=st.sampled_from(["Nm", "Ne", "tex", "denier"]),
)
def test_what_is_advised_reads_as_it_says(plies, single, system):
    read = read_plies(f"{plies} x {single:.6f} {system}")
    assert read.plies == plies
    assert tex(resulting(read.single)) == pytest.approx(
        plies * tex(Count(float(f"{single:.6f}"), system)), rel=1e-12
    )


@given(single=st.integers(13, 300), plies=st.integers(1, 12))
def test_no_plied_metric_count_comes_out_as_a_fraction(single, plies):
    for text in (f"{plies}/{single} Nm", f"{single}/{plies} Nm"):
        assert resulting(read_plies(text).single).value == pytest.approx(single / plies, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "value", "system"),
    [
        ("2/28 Nm", 28.0, "Nm"), ("28/2 Nm", 28.0, "Nm"), ("2 x 28 Nm", 28.0, "Nm"),
        ("30/2 Ne", 30.0, "Ne"), ("25 tex x 2", 25.0, "tex"), ("R 50 tex / 2", 25.0, "tex"),
    ],
)  # fmt: skip
def test_a_plied_count_in_a_file_is_that_of_a_strand(text, value, system):
    count = read_count(text)
    assert (count.value, count.system, count.plies) == (value, system, 2)


def test_a_plied_count_is_written_and_read_with_its_plies_and_its_uncertainty():
    kind = CountKind()
    count, half = kind.read_measured("3X28 +- 1 Nm", "mm")
    assert (count, half) == (Count(28.0, "Nm", 3), 1.0)
    assert kind.read_measured(kind.written(count, "mm", half), "mm") == (count, half)


@pytest.mark.parametrize("text", ["2/8 Nm", "25/2 tex", "1/2 Nm"])
def test_what_may_mean_two_yarns_is_asked_about(text):
    with pytest.raises(QuantityError, match="may be"):
        read_count(text)
