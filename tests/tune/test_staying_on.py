"""Untrue old wheels over a turn: hulls by another library, angles by first-order geometry."""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import fsolve
from shapely import Point, multipoints

import wheelgeo
from wheelgeo.drive.untrue_wheel import oval_lengths_mm

WHEEL = {
    "wheel": "500 mm", "groove": "6 mm", "whorl": "40 mm", "whorl_groove": "5 mm",
    "apart": "450 mm", "cord": "3 mm cotton cord",
}  # fmt: skip


def hull_mm(a, b, turned, small, apart):
    """Length of the convex hull of an ellipse and a circle, as a polygon of many corners."""
    t = np.linspace(0.0, math.tau, 2000, endpoint=False)
    x, y, c, s = a * np.cos(t), b * np.sin(t), math.cos(turned), math.sin(turned)
    oval = np.stack([x * c - y * s, x * s + y * c], axis=1)
    circle = np.array(Point(apart, 0).buffer(small, quad_segs=500).exterior.coords)
    return multipoints(np.concatenate([oval, circle])).convex_hull.length


def test_an_oval_rim_by_convex_hulls():
    low, high = oval_lengths_mm(255, 245, [20], 450)
    lengths = [hull_mm(255, 245, math.pi * i / 24, 20, 450) for i in range(24)]
    assert (low, high) == pytest.approx((min(lengths), max(lengths)), rel=1e-6)


def crossed_mm(a, b, turned, small, apart):
    """A crossed band by the ellipse's own parameter and scipy: tangents solved, arcs by quad."""
    def on_oval(u):
        x, y = a * math.cos(u), b * math.sin(u)
        c, s = math.cos(turned), math.sin(turned)
        dx, dy = -a * math.sin(u), b * math.cos(u)
        return (x * c - y * s, x * s + y * c), (dx * c - dy * s, dx * s + dy * c)

    def on_whorl(v):
        c, s = math.cos(v), math.sin(v)
        return (apart + small * c, small * s), (-s, c)

    def run(guess):
        def off(at):
            (px, py), (dx, dy) = on_oval(at[0])
            (qx, qy), (ex, ey) = on_whorl(at[1])
            return (qx - px) * dy - (qy - py) * dx, (qx - px) * ey - (qy - py) * ex

        u, v = fsolve(off, guess, xtol=1e-13)
        return u, v, math.dist(on_oval(u)[0], on_whorl(v)[0])

    lean = math.acos((0.5 * (a + b) + small) / apart)
    u1, v1, first = run((lean - turned, math.pi + lean))
    u2, v2, second = run((-lean - turned, math.pi - lean))
    oval, _ = quad(lambda u: math.hypot(*on_oval(u)[1]), u1, u2 + math.tau, epsabs=1e-9, limit=200)
    return oval + small * (math.tau - (v1 - v2)) + first + second


def test_an_oval_rim_with_a_crossed_band_by_another_solver():
    low, high = oval_lengths_mm(255, 245, [20], 450, crossed=True)
    lengths = [crossed_mm(255, 245, math.pi * i / 24, 20, 450) for i in range(24)]
    assert (low, high) == pytest.approx((min(lengths), max(lengths)), rel=1e-9)


@pytest.mark.parametrize("crossed", [False, True])
def test_a_round_rim_by_the_textbooks_belt(crossed):
    # Encyclopaedia Britannica, 11th ed., vol. 17, Mechanics: length of a belt
    lean = math.asin((250 + (20 if crossed else -20)) / 450)
    arcs = (250 + 20) * (math.pi + 2 * lean) if crossed else (
        250 * (math.pi + 2 * lean) + 20 * (math.pi - 2 * lean))  # fmt: skip
    low, high = oval_lengths_mm(250, 250, [20], 450, crossed)
    assert low == pytest.approx(2 * 450 * math.cos(lean) + arcs, rel=1e-10)
    assert high == pytest.approx(low, rel=1e-12)


def test_an_oval_rim_of_a_band_twice_round_is_met_by_both_of_its_loops():
    double = {**WHEEL, "wheel": "505 mm", "least": "495 mm", "double": "50 mm"}
    low, high = wheelgeo.old_wheel(**double).staying_on.length_mm
    turned = [math.pi * i / 24 for i in range(24)]
    pitch = 250 - 6 + 3
    loops = [hull_mm(pitch + 2.5, pitch - 2.5, t, 18, 450)
             + hull_mm(pitch + 2.5, pitch - 2.5, t, 25 - 5 + 3, 450) for t in turned]
    assert high - low == pytest.approx(max(loops) - min(loops), rel=1e-3)
    length = wheelgeo.old_wheel(**double).answer.bands[0].length_mm
    assert low < length < high


def test_an_oval_rim_of_a_crossed_band_is_told():
    found = wheelgeo.old_wheel(**WHEEL | {"wheel": "505 mm", "least": "495 mm"}, crossed=True)
    low, high = found.staying_on.length_mm
    assert low < found.answer.bands[0].length_mm < high
    assert found.staying_on.left_out == ""


def test_a_round_rim_is_no_oval():
    low, high = oval_lengths_mm(250, 250, [20], 450)
    assert high == pytest.approx(low, rel=1e-12)


def test_an_oval_rim_is_reckoned_as_the_round_one_between():
    oval = wheelgeo.old_wheel(**{**WHEEL, "wheel": "505 mm", "least": "495 mm"})
    round_ = wheelgeo.old_wheel(**WHEEL)
    length = round_.answer.bands[0].length_mm
    assert oval.answer.bands[0].length_mm == pytest.approx(length)
    low, high = oval.staying_on.length_mm
    pitch = 250 - 6 + 3  # half a cord over sin 30 above the bottom
    expected = oval_lengths_mm(pitch + 2.5, pitch - 2.5, [18], 450)
    assert (low, high) == pytest.approx(expected, abs=1e-6)
    assert low < length < high


def test_a_whorl_aside_is_met_at_an_angle_and_the_axle_tilted_by_it():
    found = wheelgeo.old_wheel(**WHEEL, aside="10 mm").staying_on
    run = math.sqrt(450**2 - (247 - 18) ** 2)
    angle = math.degrees(math.atan(10 / run))
    whorl = next(p for p in found.pulleys if p.pulley == "whorl")
    assert whorl.spinning_deg == pytest.approx((angle, angle), rel=1e-3)
    assert whorl.backing_off_deg == pytest.approx((-angle, -angle), rel=1e-3)
    assert whorl.holds


@pytest.mark.parametrize("aside", [10, -25])
def test_an_axle_tilted_as_told_has_the_whorl_in_the_wheels_plane(aside):
    """The proof is the path in space of the wheel so tilted: it arrives at the wheel true.

    A whorl aside towards the tip (+y): the axle's end there goes away from the spindle, which
    stands at +x.
    """
    found = wheelgeo.old_wheel(**WHEEL, aside=f"{aside} mm")
    tilt = math.radians(found.staying_on.aside_deg)
    leaning = found.wheel.put({"axle.axis.x": -math.sin(tilt), "axle.axis.y": math.cos(tilt)})
    at_wheel = next(p for p in leaning.solve().bands[0].pulleys if p.name == "wheel")
    assert at_wheel.arriving_deg == pytest.approx(0.0, abs=0.1)
    assert tilt == pytest.approx(math.atan(aside / 450))


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


@pytest.mark.parametrize(
    "untrue", [{"wobble": "200 mm"}, {"eccentric": "1 m"}, {"least": "300 mm"}]
)
def test_a_wheel_that_is_no_wheel_is_refused(untrue):
    with pytest.raises(wheelgeo.DesignError, match="quarter of the wheel"):
        wheelgeo.old_wheel(**WHEEL, **untrue)


def test_a_wheel_that_runs_out_into_its_whorl_has_no_path_all_round():
    near = {**WHEEL, "apart": "240 mm"}
    found = wheelgeo.old_wheel(**near, eccentric="60 mm").staying_on
    assert "no path all round" in found.left_out
    assert found.pulleys == ()


def test_an_oval_rim_that_touches_its_whorl_is_said_and_not_reckoned():
    near = {**WHEEL, "wheel": "560 mm", "least": "500 mm", "apart": "285 mm"}
    found = wheelgeo.old_wheel(**near, crossed=True).staying_on
    assert "touch" in found.left_out
