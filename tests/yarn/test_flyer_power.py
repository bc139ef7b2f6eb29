from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from wheelgeo.errors import QuantityError
from wheelgeo.yarn.flyer_power import (
    FlyerHead,
    flyer_power,
    pull_at_rest_of_forces_n,
    running_head,
)
from wheelgeo.yarn.wind_on import bobbin_braked, both_driven, flyer_braked

diameters = st.floats(15.0, 120.0)


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


@given(
    flyer=st.floats(1.0, 20.0),
    bobbin=st.floats(-20.0, 20.0).filter(lambda x: abs(x) > 1.0),
    diameter=diameters,
    twist=st.floats(50.0, 2000.0),
    slips=st.sampled_from(["bobbin", "flyer"]),
    torque=st.floats(0.001, 0.1),
)
def test_the_running_wheel_takes_in_what_the_twist_asks(
    flyer, bobbin, diameter, twist, slips, torque
):
    fast = abs(bobbin)
    ways = [
        both_driven("two bands", flyer, bobbin, diameter, twist),
        bobbin_braked(flyer, diameter, twist, torque),
        flyer_braked(fast, diameter, twist, torque),
    ]
    for at in ways:
        if at.trouble or at.leads == "neither" or (bobbin < 0 and slips == "flyer"):
            continue
        braked = "brake" in at.by
        if not braked and slips == "flyer" and at.leads == "flyer":
            assume(1000.0 / twist < math.pi * diameter)
        head = running_head(at, 8.0, twist, slips, torque if braked else 0.0)
        # Flyer and bobbin hold the yarn between them: either whorl's torque over the radius.
        pull = at.yarn_pull_n if braked else torque / (diameter / 2000.0)
        power = flyer_power(head, pull)
        # Yarn taken in = twist asked.
        turns_s = head.flyer_rad_s / math.tau
        assert turns_s / power.take_in_m_s == pytest.approx(twist, rel=1e-9)
        # Energy in = energy out; a slipping band only ever loses.
        out = power.yarn_w + power.brake_w + power.friction_w + power.slip_w
        assert power.driven_w == pytest.approx(out, rel=1e-9, abs=1e-12)
        assert power.slip_w >= -1e-9


def test_a_wheel_that_cannot_wind_on_is_not_run():
    with pytest.raises(QuantityError, match="equal speeds"):
        running_head(both_driven("double band", 11.0, 11.0, 25.0, 400.0), 8.0, 400.0)
