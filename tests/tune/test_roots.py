"""Roots of functions whose roots are known, with gaps, jumps and touches."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelgeo.geometry.golden import least
from wheelgeo.tune.roots import bracketed_root, roots_between, with_edges

TOLERANCE = 1e-9


def _roots(function, low=-10.0, high=10.0, count=21):
    places = [low + (high - low) * i / (count - 1) for i in range(count)]
    return roots_between(function, places, [function(x) for x in places], TOLERANCE)


@given(
    roots=st.lists(st.floats(-9.5, 9.5), min_size=1, max_size=3, unique=True).filter(
        lambda r: all(abs(a - b) > 1.1 for i, a in enumerate(r) for b in r[:i])
    )
)
def test_all_roots_of_a_polynomial(roots):
    found = _roots(lambda x: math.prod(x - r for r in roots))
    assert found == pytest.approx(sorted(roots), abs=1e-8)


def test_a_touch_is_a_root():
    assert _roots(lambda x: (x - 1.234) ** 2) == pytest.approx([1.234], abs=1e-4)
    assert _roots(lambda x: -((x - 1.234) ** 2)) == pytest.approx([1.234], abs=1e-4)


def test_two_roots_between_neighbours():
    found = _roots(lambda x: (x - 1.3) * (x - 1.4) * (40.0 + x))
    assert found == pytest.approx([1.3, 1.4], abs=1e-9)


def test_a_jump_is_no_root():
    assert _roots(lambda x: math.copysign(1.0, x - 0.3)) == []
    assert _roots(lambda x: 1.0 / (x - 0.3) if x != 0.3 else math.inf) == []


def test_a_root_between_the_edge_and_the_first_place_inside():
    # no value below 0.1; root at 0.3; the places looked at are whole numbers
    found = _roots(lambda x: math.nan if x < 0.1 else x - 0.3)
    assert found == pytest.approx([0.3], abs=1e-12)


def test_two_roots_between_the_edge_and_the_first_place_inside():
    found = _roots(lambda x: math.nan if x < 0.1 else (x - 0.3) * (x - 0.6))
    assert found == pytest.approx([0.3, 0.6], abs=1e-9)


def test_a_root_in_the_gap_is_none():
    assert _roots(lambda x: math.nan if abs(x) < 1.5 else x) == []


def test_edges_are_put_in_where_a_value_ends():
    def function(x):
        return math.nan if 0.25 < x < 2.5 else 7.0

    xs, ys = with_edges(function, [0.0, 1.0, 2.0, 3.0], [7.0, math.nan, math.nan, 7.0])
    assert xs == pytest.approx([0.0, 0.25, 1.0, 2.0, 2.5, 3.0], abs=1e-9)
    assert [not math.isnan(y) for y in ys] == [True, True, False, False, True, True]


def test_a_place_that_happens_to_be_the_root():
    assert _roots(lambda x: x - 3.0) == pytest.approx([3.0], abs=1e-12)
    assert len(_roots(lambda x: x - 3.0)) == 1


def test_nothing_anywhere():
    assert _roots(lambda _: math.nan) == []
    assert _roots(lambda _: 5.0) == []


@pytest.mark.parametrize(
    ("function", "root"),
    [
        (lambda x: x**9, 0.0),
        (lambda x: math.exp(x) - 1e-3, math.log(1e-3)),
        (lambda x: math.atan(50.0 * (x - 1.7)), 1.7),
    ],
)
def test_hard_brackets(function, root):
    found = bracketed_root(function, -9.0, 8.0, function(-9.0), function(8.0))
    assert found == pytest.approx(root, abs=1e-12) or abs(function(found)) < 1e-100


def test_least_passes_over_what_has_no_value():
    assert least(lambda x: math.nan if x > 4.0 else (x - 2.0) ** 2, 0.0, 6.0) == pytest.approx(
        2.0, abs=1e-6
    )
