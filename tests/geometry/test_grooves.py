"""Where a cord seats, when it does not get in, and at what angle the mouth still catches it."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wheelgeo.design.model import FlatRim, GivenPitch, RoundGroove, VeeGroove
from wheelgeo.geometry.groove import catch_angle_deg

# --- vee --------------------------------------------------------------------------------------


def test_vee_sharp_by_hand():
    # 60 degrees: the centre stands r / sin 30 = 2 r above the sharp bottom
    seated = VeeGroove(rim_mm=100.0, depth_mm=6.0, angle_deg=60.0).seat(3.0)
    assert seated.seated
    assert seated.trouble == ""
    assert seated.rim_radius_mm == 50.0
    assert seated.bottom_radius_mm == pytest.approx(44.0)
    assert seated.pitch_radius_mm == pytest.approx(44.0 + 3.0)
    assert seated.pitch_diameter_mm == pytest.approx(94.0)
    assert seated.mouth_mm == pytest.approx(2 * 6.0 * math.tan(math.radians(30.0)))


def test_vee_with_a_flat_bottom_by_hand():
    # 90 degrees: r sqrt(2) above the sharp bottom, which lies half the flat below the flat
    groove = VeeGroove(rim_mm=100.0, depth_mm=6.0, angle_deg=90.0, bottom_mm=1.0)
    assert groove.seat(4.0).pitch_radius_mm == pytest.approx(44.0 + 2.0 * math.sqrt(2.0) - 0.5)
    assert groove.mouth_mm == pytest.approx(1.0 + 12.0)


def test_thin_cord_lies_on_the_flat_bottom():
    groove = VeeGroove(rim_mm=100.0, depth_mm=6.0, angle_deg=40.0, bottom_mm=5.0)
    assert groove.seat(2.0).pitch_radius_mm == pytest.approx(44.0 + 1.0)


def test_a_cord_thicker_than_a_shallow_mouth_lies_on_the_bottom_between_the_edges():
    # 3.6 mm cord, mouth 3.53 mm wide and 1 mm deep: at the height of the rim, 0.8 mm below its
    # middle, the cord is only 2 sqrt(1.8^2 - 0.8^2) = 3.22 mm wide
    groove = VeeGroove(rim_mm=200.0, depth_mm=1.0, angle_deg=30.0, bottom_mm=3.0)
    assert groove.mouth_mm < 3.6
    seated = groove.seat(3.6)
    assert seated.seated
    assert seated.pitch_radius_mm == pytest.approx(99.0 + 1.8)


@given(st.floats(0.3, 5.0), st.floats(0.0, 90.0), st.floats(0.0, 4.0), st.floats(0.3, 12.0))
@settings(deadline=None)
def test_no_cord_cuts_into_its_groove(radius, angle, bottom, depth):
    """Bottom, flanks and edges all lie outside the cord, whether it gets in or rides above."""
    groove = VeeGroove(rim_mm=200.0, depth_mm=depth, angle_deg=angle, bottom_mm=bottom)
    up = groove.seat(2 * radius).pitch_radius_mm - (100.0 - depth)
    height = np.linspace(0.0, depth, 2001)
    flank = np.hypot(bottom / 2 + height * math.tan(math.radians(angle) / 2), up - height)
    nearest = min(flank.min(), up if bottom > 0.0 else math.inf)
    assert nearest >= radius - 1e-9


@pytest.mark.parametrize("angle", [0.0, 5e-324, 1e-200, 1e-12])
def test_flanks_all_but_parallel_are_parallel(angle):
    groove = VeeGroove(rim_mm=200.0, depth_mm=5.0, angle_deg=angle, bottom_mm=3.0)
    assert groove.seat(2.0).pitch_radius_mm == pytest.approx(95.0 + 1.0)
    assert groove.seat(4.0).contact == "edges"  # too thick to get in
    assert groove.seat(np.array([2.0, 4.0])[0]).seated


def test_a_cord_that_would_clear_the_edges_on_the_bottom_is_still_held_by_the_flanks():
    groove = VeeGroove(rim_mm=200.0, depth_mm=8.806, angle_deg=20.0, bottom_mm=16.764)
    half = math.radians(10.0)
    by_flanks = 10.0 / math.sin(half) - 8.382 / math.tan(half)  # 10.05 mm: just off the bottom
    assert by_flanks > 10.04
    assert groove.seat(20.0).contact == "flanks"
    assert groove.seat(20.0).pitch_radius_mm == pytest.approx(100.0 - 8.806 + by_flanks)


def test_thick_cord_rides_on_the_edges():
    groove = VeeGroove(rim_mm=100.0, depth_mm=3.0, angle_deg=60.0)
    mouth = 6.0 * math.tan(math.radians(30.0))
    riding = groove.seat(8.0)
    assert not riding.seated
    assert "above the rim" in riding.trouble
    # it would touch at 2 r - r sin 30 = 6 mm above the bottom, 3 mm above the rim
    assert "3 mm" in riding.trouble
    # both edges lie on the cord's outline
    height = riding.pitch_radius_mm - 50.0
    assert math.hypot(height, mouth / 2) == pytest.approx(4.0)
    assert riding.catch_deg is None


def test_just_seated_is_seated():
    # a cord whose flank contact lies at the rim: height - r sin(a/2) = depth
    half = math.radians(20.0)
    radius = 3.0
    depth = radius / math.sin(half) - radius * math.sin(half)
    for change, expected in ((1e-6, True), (-1e-6, False)):
        groove = VeeGroove(rim_mm=80.0, depth_mm=depth + change, angle_deg=40.0)
        assert groove.seat(2 * radius).seated == expected


@given(st.floats(0.3, 10.0), st.floats(20.0, 120.0), st.floats(0.0, 8.0))
@settings(deadline=None)
def test_the_seated_cord_touches_and_does_not_cut_in(radius, angle, bottom):
    """Its nearest distance to flanks and bottom is its own radius, by sampling the outline."""
    groove = VeeGroove(rim_mm=500.0, depth_mm=120.0, angle_deg=angle, bottom_mm=bottom)
    centre = groove.seat(2 * radius).pitch_radius_mm - (250.0 - 120.0)
    half = math.radians(angle) / 2
    by_wires = radius / math.sin(half) - bottom / 2 / math.tan(half)
    assert centre == pytest.approx(max(by_wires, radius), rel=1e-9)
    up = np.linspace(0.0, 119.0, 200_001)
    flank = np.hypot(bottom / 2 + up * math.tan(math.radians(angle) / 2), up - centre)
    nearest = min(flank.min(), centre if bottom > 0.0 else math.inf)
    assert nearest == pytest.approx(radius, abs=1e-5)


@given(st.floats(0.3, 5.0), st.floats(20.0, 90.0), st.floats(0.0, 4.0), st.floats(1.0, 12.0))
@settings(deadline=None)
def test_a_thicker_cord_never_seats_lower(radius, angle, bottom, depth):
    groove = VeeGroove(rim_mm=200.0, depth_mm=depth, angle_deg=angle, bottom_mm=bottom)
    thin, thick = groove.seat(2 * radius), groove.seat(2.2 * radius)
    assert thick.pitch_radius_mm >= thin.pitch_radius_mm - 1e-9


# --- round, flat, given -----------------------------------------------------------------------


def test_round_groove():
    groove = RoundGroove(rim_mm=60.0, depth_mm=4.0, radius_mm=2.0)
    assert groove.seat(3.0).pitch_radius_mm == pytest.approx(26.0 + 1.5)
    assert groove.seat(4.0).seated
    assert groove.seat(4.0).pitch_radius_mm == pytest.approx(28.0)
    assert groove.mouth_mm == pytest.approx(4.0)


def test_shallow_round_groove_has_a_narrower_mouth():
    groove = RoundGroove(rim_mm=60.0, depth_mm=1.0, radius_mm=2.0)
    assert groove.mouth_mm == pytest.approx(2.0 * math.sqrt(4.0 - 1.0))


def test_cord_too_wide_for_a_round_groove():
    riding = RoundGroove(rim_mm=60.0, depth_mm=3.0, radius_mm=2.0).seat(5.0)
    assert not riding.seated
    assert "5 mm thick" in riding.trouble
    assert "4 mm wide" in riding.trouble
    assert math.hypot(riding.pitch_radius_mm - 30.0, 2.0) == pytest.approx(2.5)


def test_flat_rim():
    seated = FlatRim(rim_mm=176.0, width_mm=8.0).seat(3.0)
    assert seated.seated
    assert seated.pitch_radius_mm == pytest.approx(88.0 + 1.5)
    assert (seated.mouth_mm, seated.catch_deg) == (None, None)
    wide = FlatRim(rim_mm=176.0, width_mm=2.0).seat(3.0)
    assert not wide.seated
    assert "only 2 mm wide" in wide.trouble


@pytest.mark.parametrize("cord", [0.5, 3.0, 12.0])
def test_a_given_pitch_is_taken_as_it_is(cord):
    seated = GivenPitch(pitch_mm=178.2).seat(cord)
    assert seated.pitch_diameter_mm == 178.2
    assert seated.seated
    assert (seated.rim_radius_mm, seated.bottom_radius_mm, seated.mouth_mm) == (None,) * 3


# --- the mouth --------------------------------------------------------------------------------


def sideways_at_the_rim(rim: float, pitch: float, lead_deg: float) -> float:
    """Walk a cord's centre-line backwards from where it touches, until it leaves the rim.

    The cord touches the pitch cylinder at (pitch, 0, 0) and comes along a line that stands across
    that radius, at the lead angle out of the mid-plane z = 0.
    """
    lead = math.radians(lead_deg)
    way = np.array([0.0, math.cos(lead), math.sin(lead)])
    low, high = 0.0, 10.0 * rim
    for _ in range(200):
        middle = 0.5 * (low + high)
        point = np.array([pitch, 0.0, 0.0]) - middle * way
        low, high = (middle, high) if math.hypot(point[0], point[1]) < rim else (low, middle)
    return abs(-low * way[2])


@given(st.floats(10.0, 300.0), st.floats(0.005, 0.6), st.floats(0.2, 30.0))
@settings(deadline=None)
def test_at_the_catch_angle_the_cord_crosses_the_rim_at_the_edge_of_the_mouth(rim, deep, mouth):
    pitch = rim * (1.0 - deep)
    angle = catch_angle_deg(rim, pitch, mouth)
    assert sideways_at_the_rim(rim, pitch, angle) == pytest.approx(mouth / 2.0, rel=1e-9)
    assert sideways_at_the_rim(rim, pitch, angle * 0.99) < mouth / 2.0
    assert sideways_at_the_rim(rim, pitch, min(angle * 1.01, 89.9)) > mouth / 2.0 or angle > 88.0


def test_no_catch_angle_where_the_cord_stands_at_the_rim_or_above():
    assert catch_angle_deg(50.0, 50.0, 6.0) is None
    assert catch_angle_deg(50.0, 51.0, 6.0) is None
    # a seated cord may still stand so high that its centre-line is above the rim
    shallow = VeeGroove(rim_mm=100.0, depth_mm=2.0, angle_deg=90.0, bottom_mm=2.0).seat(4.5)
    assert shallow.seated
    assert shallow.pitch_radius_mm > 50.0
    assert shallow.catch_deg is None


def test_a_wide_shallow_mouth_catches_more():
    narrow = VeeGroove(rim_mm=100.0, depth_mm=6.0, angle_deg=36.0).seat(2.0)
    wide = VeeGroove(rim_mm=100.0, depth_mm=6.0, angle_deg=60.0).seat(2.0)
    assert wide.catch_deg > narrow.catch_deg > 0.0
