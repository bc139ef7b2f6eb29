from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelgeo.errors import QuantityError
from wheelgeo.yarn.wind_on import (
    FlyerHead,
    bobbin_braked,
    both_driven,
    flyer_braked,
    flyer_power,
    lead_changes,
    pull_at_rest_of_forces_n,
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
    assert lead_changes(at, both_driven("two bands", 10.0, 11.0, 25.0))


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


# Power.


def test_power_of_a_braked_bobbin_by_hand():
    # Flyer 100 rad/s, bobbin of 60 mm braked with 0.06 N m: pull 2 N. Let the bobbin fall behind
    # by 2 rad/s: 0.06 m/s go in with 0.12 W; the brake eats 98 × 0.06 = 5.88 W; the band gives 6.
    head = FlyerHead(100.0, 98.0, 100.0, None, 60.0, bobbin_brake_nm=0.06)
    pull = pull_at_rest_of_forces_n(head)
    power = flyer_power(head, pull)
    assert pull == pytest.approx(2.0, rel=1e-12)
    assert (power.driven_w, power.yarn_w, power.brake_w, power.slip_w) == pytest.approx(
        (6.0, 0.12, 5.88, 0.0), rel=1e-12
    )


def test_power_of_a_braked_flyer_by_hand():
    # The bobbin at 100 rad/s, the flyer at 98 braked with 0.06 N m: the same pull, the same sums.
    head = FlyerHead(98.0, 100.0, None, 100.0, 60.0, flyer_brake_nm=0.06)
    power = flyer_power(head, pull_at_rest_of_forces_n(head))
    assert (power.driven_w, power.yarn_w, power.brake_w) == pytest.approx((6.0, 0.12, 5.88))


def test_power_of_a_double_band_whose_bobbin_slips_by_hand():
    # Whorls 100 and 120 rad/s, the bobbin held to 102; pull 2 N, arm 30 mm: 0.06 N m. The bobbin's
    # whorl is given 7.2 W, the flyer's gives 6 back; 0.12 W pull the yarn, 18 × 0.06 = 1.08 W slip.
    power = flyer_power(FlyerHead(100.0, 102.0, 100.0, 120.0, 60.0), 2.0)
    assert (power.driven_w, power.yarn_w, power.slip_w) == pytest.approx((1.2, 0.12, 1.08))


def test_power_of_two_bands_whose_flyer_leads_by_hand():
    # Whorls 100 (flyer) and 80: the bobbin is dragged on to 98 over its own band.
    power = flyer_power(FlyerHead(100.0, 98.0, 100.0, 80.0, 60.0), 2.0)
    assert (power.driven_w, power.yarn_w, power.slip_w) == pytest.approx((1.2, 0.12, 1.08))


@given(
    flyer=st.floats(-300.0, 300.0).filter(lambda x: abs(x) > 1.0),
    bobbin=st.floats(-300.0, 300.0).filter(lambda x: abs(x) > 1.0),
    slips=st.tuples(st.floats(0.5, 1.5), st.floats(0.5, 1.5)),
    diameter=diameters,
    torques=st.tuples(*[st.floats(0.0, 0.2)] * 4),
    pull=st.floats(0.0, 5.0),
)
def test_energy_in_is_energy_out_with_two_whorls(flyer, bobbin, slips, diameter, torques, pull):
    head = FlyerHead(flyer, bobbin, flyer * slips[0], bobbin * slips[1], diameter, *torques)
    power = flyer_power(head, pull)
    out = power.yarn_w + power.brake_w + power.friction_w + power.slip_w
    assert power.driven_w == pytest.approx(out, rel=1e-9, abs=1e-9)


@given(
    fast=st.floats(10.0, 300.0),
    behind=st.floats(0.01, 9.0),
    diameter=diameters,
    brake=st.floats(0.001, 0.2),
    friction=st.floats(0.0, 0.05),
)
def test_energy_in_is_energy_out_with_a_brake(fast, behind, diameter, brake, friction):
    slow = fast - behind
    heads = (
        FlyerHead(fast, slow, fast, None, diameter, 0.0, brake, friction, friction / 2),
        FlyerHead(slow, fast, None, fast * 1.02, diameter, brake, 0.0, friction, friction / 2),
    )
    for head in heads:
        power = flyer_power(head, pull_at_rest_of_forces_n(head))
        out = power.yarn_w + power.brake_w + power.friction_w + power.slip_w
        assert power.driven_w == pytest.approx(out, rel=1e-9, abs=1e-9)
        assert power.take_in_m_s > 0.0


def test_a_pull_that_does_not_balance_the_brake_is_told():
    head = FlyerHead(100.0, 98.0, 100.0, None, 60.0, bobbin_brake_nm=0.06)
    with pytest.raises(QuantityError, match="nothing drives the bobbin"):
        flyer_power(head, 1.0)
