"""Untrue old wheels over a turn: hulls by another library, angles by first-order geometry."""

import math

import pytest
from shapely import MultiPoint, Point

import wheelgeo
from wheelgeo.drive.untrue_wheel import oval_lengths_mm

WHEEL = {
    "wheel": "500 mm", "groove": "6 mm", "whorl": "40 mm", "whorl_groove": "5 mm",
    "apart": "450 mm", "cord": "3 mm cotton cord",
}  # fmt: skip


def hull_mm(a, b, turned, small, apart):
    """Length of the convex hull of an ellipse and a circle, as a polygon of many corners."""
    corners = []
    for i in range(2000):
        t = math.tau * i / 2000
        x, y = a * math.cos(t), b * math.sin(t)
        corners.append((x * math.cos(turned) - y * math.sin(turned),
                        x * math.sin(turned) + y * math.cos(turned)))  # fmt: skip
    circle = Point(apart, 0).buffer(small, quad_segs=500).exterior.coords
    return MultiPoint([*corners, *circle]).convex_hull.length


def test_an_oval_rim_by_convex_hulls():
    low, high = oval_lengths_mm(255, 245, 20, 450)
    lengths = [hull_mm(255, 245, math.pi * i / 24, 20, 450) for i in range(24)]
    assert (low, high) == pytest.approx((min(lengths), max(lengths)), rel=2e-5)


def test_a_round_rim_is_no_oval():
    low, high = oval_lengths_mm(250, 250, 20, 450)
    assert high == pytest.approx(low, rel=1e-5)


def test_an_oval_rim_is_reckoned_as_the_round_one_between():
    oval = wheelgeo.old_wheel(**{**WHEEL, "wheel": "505 mm", "least": "495 mm"})
    round_ = wheelgeo.old_wheel(**WHEEL)
    length = round_.answer.bands[0].length_mm
    assert oval.answer.bands[0].length_mm == pytest.approx(length)
    low, high = oval.staying_on.length_mm
    pitch = 250 - 6 + 3  # half a cord over sin 30 above the bottom
    expected = oval_lengths_mm(pitch + 2.5, pitch - 2.5, 18, 450)
    assert (low, high) == pytest.approx(expected, abs=0.02)
    assert low < length < high


def test_a_whorl_aside_is_met_at_an_angle_and_the_axle_tilted_by_it():
    found = wheelgeo.old_wheel(**WHEEL, aside="10 mm").staying_on
    run = math.sqrt(450**2 - (247 - 18) ** 2)
    angle = math.degrees(math.atan(10 / run))
    whorl = next(p for p in found.pulleys if p.pulley == "whorl")
    assert whorl.spinning_deg == pytest.approx((angle, angle), rel=1e-3)
    assert whorl.backing_off_deg == pytest.approx((-angle, -angle), rel=1e-3)
    assert found.aside_deg == pytest.approx(angle, rel=1e-3)
    assert whorl.holds


def test_a_great_wobble_throws_the_band():
    found = wheelgeo.old_wheel(**WHEEL, wobble="60 mm").staying_on
    assert found.wobble_deg == pytest.approx(math.degrees(math.asin(30 / 247)))
    assert not all(p.holds for p in found.pulleys)
    small = wheelgeo.old_wheel(**WHEEL, wobble="2 mm").staying_on
    assert all(p.holds for p in small.pulleys)


def test_a_true_wheel_has_nothing_to_tell():
    assert wheelgeo.old_wheel(**WHEEL).staying_on is None


@pytest.mark.parametrize("least", ["500 mm", "510 mm"])
def test_the_least_diameter_is_less(least):
    with pytest.raises(wheelgeo.DesignError, match="greatest diameter"):
        wheelgeo.old_wheel(**WHEEL, least=least)


@pytest.mark.parametrize("untrue", [{"wobble": "200 mm"}, {"eccentric": "1 m"}])
def test_a_wheel_that_is_no_wheel_is_refused(untrue):
    with pytest.raises(wheelgeo.DesignError, match="quarter of the wheel"):
        wheelgeo.old_wheel(**WHEEL, **untrue)


def test_a_wheel_that_runs_out_into_its_whorl_has_no_path_all_round():
    near = {**WHEEL, "apart": "240 mm"}
    found = wheelgeo.old_wheel(**near, eccentric="60 mm").staying_on
    assert "no path all round" in found.left_out
    assert found.pulleys == ()
