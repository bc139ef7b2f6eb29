from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelgeo.yarn.wind_on import (
    bobbin_braked,
    both_driven,
    flyer_braked,
)

ROUND_100_MM = 100.0 / math.pi
"""A bobbin that is 100 mm round, so that the cases can be worked by hand."""

positive = st.floats(0.5, 30.0)
diameters = st.floats(15.0, 120.0)
twists = st.floats(50.0, 2000.0)


def test_double_band_by_hand():
    # Bobbin 12, flyer 10: a fifth of a turn of lead, 20 mm of a bobbin 100 mm round; least twist
    # 1000/20 = 50; 400 turns ask 2.5 mm, so 17.5 of 20 slip.
    at = both_driven("double band", 10.0, 12.0, ROUND_100_MM, 400.0)
    assert at.leads == "bobbin"
    assert at.take_in_mm_per_flyer_turn == pytest.approx(20.0, rel=1e-12)
    assert at.least_turns_per_metre == pytest.approx(50.0, rel=1e-12)
    assert at.slip_share == pytest.approx(0.875, rel=1e-12)
    assert at.trouble is None
    assert at.yarn_pull_n is None


def test_two_bands_that_lead_with_the_flyer_by_hand():
    # Flyer 10, bobbin 8.
    at = both_driven("two bands", -10.0, -8.0, ROUND_100_MM, 40.0)
    assert at.leads == "flyer"
    assert at.take_in_mm_per_flyer_turn == pytest.approx(20.0, rel=1e-12)
    # 40 turns ask 25 mm to the turn, of which the wheel takes 20.
    assert at.slip_share == pytest.approx(-0.25, rel=1e-12)
    assert at.trouble == "takes in too slowly"


def test_bobbin_brake_by_hand():
    # 400 turns: 2.5 mm, 0.025 of the bobbin's 100 mm; flyer 10, bobbin 9.75.
    at = bobbin_braked(10.0, ROUND_100_MM, 400.0, 0.06)
    assert at.leads == "flyer"
    assert at.bobbin_turns_per_drive_turn == pytest.approx(9.75, rel=1e-12)
    assert at.take_in_mm_per_flyer_turn == 2.5
    # 2 N at a groove of 60 mm are 0.06 N m, on a bobbin of 60 mm again 2 N.
    assert bobbin_braked(10.0, 60.0, 400.0, 0.06).yarn_pull_n == pytest.approx(2.0, rel=1e-12)
    assert at.slip_share is None
    assert at.least_turns_per_metre is None


def test_flyer_brake_by_hand():
    # The bobbin at 10.25 leads a flyer at 10 by 0.025 of its turn.
    at = flyer_braked(10.25, ROUND_100_MM, 400.0, None)
    assert at.leads == "bobbin"
    assert at.flyer_turns_per_drive_turn == pytest.approx(10.0, rel=1e-12)
    assert at.yarn_pull_n is None


def test_equal_whorls_take_nothing_in():
    at = both_driven("double band", 11.07, 11.07, 25.0, 400.0)
    assert at.trouble == "equal speeds"
    assert at.leads == "neither"
    assert at.take_in_mm_per_flyer_turn == 0.0
    assert at.least_turns_per_metre is None


def test_a_brake_cannot_turn_a_bobbin_backwards():
    # 8 turns to the metre ask 125 mm of a bobbin 100 mm round at each turn.
    assert bobbin_braked(10.0, ROUND_100_MM, 8.0, None).trouble == "bobbin must turn backwards"


@given(flyer=positive, bobbin=positive, diameter=diameters, twist=twists)
def test_yarn_taken_in_is_the_twist_asked(flyer, bobbin, diameter, twist):
    both = both_driven("two bands", flyer, bobbin, diameter, twist)
    if both.trouble != "equal speeds":
        let_in = both.take_in_mm_per_flyer_turn * (1.0 - both.slip_share)
        assert 1000.0 / let_in == pytest.approx(twist, rel=1e-9)
    for at in (
        bobbin_braked(flyer, diameter, twist, None),
        flyer_braked(bobbin, diameter, twist, None),
    ):
        apart = abs(at.bobbin_turns_per_drive_turn - at.flyer_turns_per_drive_turn)
        taken_in = apart * math.pi * diameter / at.flyer_turns_per_drive_turn
        assert 1000.0 / taken_in == pytest.approx(twist, rel=1e-9)


@given(flyer=positive, bobbin=positive, diameter=diameters)
def test_turning_the_wheel_the_other_way_changes_nothing(flyer, bobbin, diameter):
    one = both_driven("double band", flyer, bobbin, diameter)
    assert one == both_driven("double band", -flyer, -bobbin, diameter)
