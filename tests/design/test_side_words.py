"""Directions told by the sides of a wheel: front is low y, left low x, up is z."""

import math

import pytest

from wheelgeo.design.side_words import leans_deg, seen_from, way_in_words
from wheelgeo.geometry.vectors import across, add, cross, dot, scale, unit


@pytest.mark.parametrize(
    ("way", "told"),
    [
        ((1.0, 0.0, 0.0), "to the right"),
        ((0.0, -2.5, 0.0), "to the front"),
        ((0.0, 0.0, -1.0), "down"),
        ((math.sqrt(3.0), 0.0, 1.0), "to the right and 30 deg up"),
        ((-math.cos(math.radians(12.5)), math.sin(math.radians(12.5)), 0.0),
         "to the left and 12.5 deg to the back"),
        ((0.0, 1.0, -1e-4), "to the back"),
    ],
)  # fmt: skip
def test_a_way_is_told_by_the_side_it_goes_to_and_the_degrees_off(way, told):
    assert way_in_words(way) == told


def test_leans_are_the_angles_to_the_planes():
    """The diagonal of a cube leans by asin(1/sqrt 3), 35.26 degrees, towards each of its edges."""
    assert leans_deg((3.0, -3.0, 3.0)) == pytest.approx((35.2644, -35.2644, 35.2644), abs=1e-4)


@pytest.mark.parametrize(
    ("axis", "seen"),
    [
        ((0.0, 1.0, 0.0), "seen from the back"),
        ((0.0, -1.0, 0.0), "seen from the front"),
        ((-0.9, 0.1, 0.3), "seen from the left"),
        ((0.0, 0.0, 1.0), "seen from above"),
    ],
)
def test_a_sense_is_seen_from_where_the_axis_points(axis, seen):
    assert seen_from(axis) == seen


@pytest.mark.parametrize("axis", [(0.0, 1.0, 0.0), (-0.7, 0.2, 0.3), (0.1, 0.2, -0.9)])
def test_it_looks_counter_clockwise_from_there_where_it_is_so_about_the_axis(axis):
    """A point on the rim, a moment later: about the line of sight it went the same way round."""
    side = seen_from(axis).split()[-1]
    sight = {"left": (-1, 0, 0), "back": (0, 1, 0), "below": (0, 0, -1)}[side]
    one = across(unit(axis))[0]
    later = add(one, scale(cross(unit(axis), one), 0.1))
    assert dot(cross(one, later), sight) > 0.0
