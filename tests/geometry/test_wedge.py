"""The wedge of a groove, by the balance of the forces on the cord."""

import math

import pytest

from wheelgeo.design.model import FlatRim, GivenPitch, RoundGroove, VeeGroove


def pressed(lean_rad):
    """Sum of the two forces of walls that lean so much from the radius, over the pull inward."""
    return 1.0 / math.cos(lean_rad)


@pytest.mark.parametrize("angle", [30.0, 40.0, 60.0])
def test_flanks_press_by_one_over_the_sine_of_half_the_angle(angle):
    held = VeeGroove(100.0, 6.0, angle).seat(3.0)
    assert held.contact == "flanks"
    assert held.wedge == pytest.approx(1.0 / math.sin(math.radians(angle / 2)), rel=1e-14)
    assert held.wedge == pytest.approx(pressed(math.radians(90.0 - angle / 2)), rel=1e-13)


def test_a_cord_on_the_bottom_of_a_vee_has_no_wedge():
    held = VeeGroove(100.0, 6.0, 40.0, bottom_mm=3.0).seat(2.0)
    assert (held.contact, held.wedge) == ("bottom", 1.0)


def test_just_off_the_bottom_it_has():
    # The flanks are touched where the bottom is narrower than 2 r (1/sin - 1) tan (half angle).
    half = math.radians(20.0)
    widest = 2.0 * (1.0 / math.sin(half) - 1.0) * math.tan(half)
    assert VeeGroove(100.0, 6.0, 40.0, widest - 1e-6).seat(2.0).contact == "flanks"
    assert VeeGroove(100.0, 6.0, 40.0, widest + 1e-6).seat(2.0).contact == "bottom"


def test_a_cord_too_thick_rides_on_the_edges():
    held = RoundGroove(100.0, 2.0, 1.5).seat(4.0)
    assert held.contact == "edges"
    assert held.wedge == pytest.approx(pressed(math.asin(1.5 / 2.0)), rel=1e-13)
    vee = VeeGroove(100.0, 1.0, 40.0).seat(4.0)
    assert vee.contact == "edges"
    assert vee.wedge == pytest.approx(pressed(math.asin(math.tan(math.radians(20.0)) / 2.0)))


def test_square_groove_of_a_layered_pulley():
    assert VeeGroove(100.0, 3.0, 0.0, 2.0).seat(1.5).contact == "bottom"
    assert VeeGroove(100.0, 3.0, 0.0, 2.0).seat(2.5).contact == "edges"


@pytest.mark.parametrize("groove", [FlatRim(100.0, 8.0), RoundGroove(100.0, 3.0, 2.0)])
def test_no_wedge_on_a_flat_rim_or_a_wide_round_groove(groove):
    assert groove.seat(3.0).wedge == 1.0


def test_an_unknown_groove_is_said_to_be():
    assert GivenPitch(100.0).seat(3.0).contact == "not known"
