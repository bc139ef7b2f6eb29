"""Sizes that can be made."""

import pytest

from wheelgeo.errors import QuantityError, SearchError
from wheelgeo.tune.makeable import Makeable, parse_makeable


def test_a_step_gives_its_multiples():
    assert Makeable(0.5).between(9.9, 11.2) == (10.0, 10.5, 11.0)


def test_both_ends_belong_to_the_range_in_spite_of_rounding():
    assert Makeable(0.1).between(0.3, 0.7) == (0.3, 0.4, 0.5, 0.6, 0.7)


def test_thirty_seconds_of_an_inch_are_exact():
    sizes = parse_makeable("1/32 in").between(25.4, 26.2)
    assert sizes == (25.4, 26.19375)


def test_a_list_is_sorted_and_each_size_has_its_own_unit():
    assert parse_makeable("8 mm, 3/8 in, 6").sizes_mm == (6.0, 8.0, 9.525)
    assert parse_makeable(["1/2 in", 10.0]).sizes_mm == (10.0, 12.7)


def test_a_bare_number_is_in_the_unit_given():
    assert parse_makeable("0.5", "in") == Makeable(12.7)


def test_a_list_gives_only_what_lies_between():
    assert Makeable(None, (6.0, 8.0, 10.0)).between(8.0, 9.9) == (8.0,)


@pytest.mark.parametrize("given", ["0 mm", "-1 mm", "8 mm, 0 mm", ","])
def test_sizes_that_are_none(given):
    with pytest.raises(SearchError):
        parse_makeable(given)


@pytest.mark.parametrize("given", ["half", "8 mm, x", "3 kg"])
def test_text_that_is_no_length(given):
    with pytest.raises(QuantityError):
        parse_makeable(given)


def test_a_step_too_fine_says_how_many_sizes_it_makes():
    with pytest.raises(SearchError, match="step of 1e-05 mm makes"):
        Makeable(1e-5).between(1.0, 200.0)
