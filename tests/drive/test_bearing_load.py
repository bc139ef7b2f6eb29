"""Bearings under what hangs over them: statics worked by hand, as for any beam on two supports.

Moments about one support give the other's force, Beer & Johnston, Vector Mechanics for Engineers:
Statics ch. 4; the beams here are ours and their answers are worked in the comments.
"""

import math
from pathlib import Path

import pytest

from wheelgeo.built.assumed import Chosen
from wheelgeo.built.shaft import BuiltBearing
from wheelgeo.design.materials import find_bearing
from wheelgeo.design.reader import read_design
from wheelgeo.drive.bearing_load import HandForce, bearing_loads, hand_place_mm
from wheelgeo.drive.running import load_wheel
from wheelgeo.drive.statics import reactions
from wheelgeo.geometry.vectors import norm

FLOOR = Path(__file__).resolve().parents[2] / "designs" / "floor-wheel.toml"

LEVEL, UP = (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)


def journals(*places):
    pair, soft = Chosen(find_bearing("brass")), Chosen(100.0)
    return [BuiltBearing(x, 4.0, "brass", pair, soft) for x in places]


def test_a_load_beyond_a_bearing_lifts_the_other():
    # 10 N down at 150, bearings at 0 and 100: 10 * 150 / 100 = 15 N on the near one, and the far
    # one holds the rod down with 5 N.
    forces, thrust = reactions(LEVEL, journals(0.0, 100.0), [(150.0, (0.0, 0.0, -10.0))])
    assert forces[1] == pytest.approx((0.0, 0.0, -15.0))
    assert forces[0] == pytest.approx((0.0, 0.0, 5.0))
    assert thrust == 0.0


def test_two_overhangs_and_a_load_between():
    # 4 N down at -50, 6 N down at 30, 2 N up at 140, bearings at 0 and 80.
    # Moments about 0: (-4)(-50) + (-6)(30) + (2)(140) = 200 - 180 + 280 = 300,
    # so 80 carries 300 / 80 = 3.75 up; the sum is -8, so R(0) = -11.75.
    loads = [(-50.0, (0.0, 0.0, -4.0)), (30.0, (0.0, 0.0, -6.0)), (140.0, (0.0, 0.0, 2.0))]
    forces, _ = reactions(LEVEL, journals(0.0, 80.0), loads)
    assert forces[1] == pytest.approx((0.0, 0.0, 3.75))
    assert forces[0] == pytest.approx((0.0, 0.0, -11.75))


def test_weight_and_pull_in_two_planes():
    # 3 N down in the middle and 4 N sideways in the middle: 2.5 N on each bearing, not 3.5.
    loads = [(50.0, (0.0, 0.0, -3.0)), (50.0, (4.0, 0.0, 0.0))]
    found = bearing_loads(LEVEL, journals(0.0, 100.0), loads)
    assert found.forces_n == pytest.approx((2.5, 2.5))
    assert found.friction_nm == pytest.approx(0.08 * 0.002 * 5.0)


def test_an_upright_shaft_stands_on_its_collar():
    # 3 N of weight along the axis: friction 0.08 on a collar 1.5 * 4 mm across.
    found = bearing_loads(UP, journals(0.0, 100.0), [(50.0, (0.0, 0.0, -3.0))])
    assert found.forces_n == (0.0, 0.0)
    assert found.friction_nm == pytest.approx(0.08 * 3.0 * 0.003)


def test_the_collar_is_taken_at_the_rougher_bearing():
    # 3 N of weight; steel in oiled leather 0.15 on 4 mm against brass 0.08 on 6 mm: 0.6 to 0.48,
    # and with brass on 10 mm 0.8: half of 1.5 times that is the arm.
    pairs = [Chosen(find_bearing(kind)) for kind in ("leather", "brass")]
    for thick, rougher in ((6.0, 0.6), (10.0, 0.8)):
        both = [
            BuiltBearing(x, d, p.value.name, p, Chosen(100.0))
            for x, d, p in zip((0.0, 100.0), (4.0, thick), pairs, strict=True)
        ]
        found = bearing_loads(UP, both, [(50.0, (0.0, 0.0, -3.0))])
        assert found.friction_nm == pytest.approx(3.0 * 1.5 * rougher / 2e3)


def test_a_foot_does_its_work_in_half_of_the_turn():
    # By energy: 2 pi M in a turn, done by the force F on a way of two throws: F = pi M / r. While
    # it pushes it pulls the crank's pin down; the bearings' forces are told as the mean of both.
    design = read_design(FLOOR)
    loaded = load_wheel(design)
    axle = next(r for r in loaded.rotors if r.shaft.name == design.drive.shaft)
    taken = loaded.load.shaft(axle.shaft.name)
    push = 2.0 * math.pi * taken.torque_nm / (2.0 * design.drive.radius_mm / 1e3)
    steady = [(at, (0.0, 0.0, -9.80665 * mass)) for at, mass in axle.masses]
    for band in loaded.load.bands:
        net = [p - band.rest.centrifugal_n for p in band.pulls_n]
        for k, stop in enumerate(band.rest.band.route):
            pulley, (to, on) = design.pulley(stop.pulley), (band.rest.directions[k - 1], k)
            if pulley.shaft == axle.shaft.name:
                leaves = band.rest.directions[on]
                pull = tuple(net[k] * a - net[k - 1] * b for a, b in zip(leaves, to, strict=True))
                steady.append((pulley.offset_mm, pull))
    foot = (hand_place_mm(loaded.built), (0.0, 0.0, -push))
    rests, pushed = (
        reactions(axle.shaft.axis, axle.journals, loads)[0] for loads in (steady, [*steady, foot])
    )
    for (_, force), one, other in zip(taken.bearings_n, rests, pushed, strict=True):
        assert force == pytest.approx(0.5 * (norm(one) + norm(other)), rel=1e-9)


def test_a_crank_beyond_its_bearing():
    # 10 N at 125, bearings at 0 and 100, nothing else: 12.5 N and 2.5 N at every angle.
    found = bearing_loads(LEVEL, journals(0.0, 100.0), [], HandForce(125.0, 10.0, "crank"))
    assert found.forces_n == pytest.approx((2.5, 12.5))


def test_a_foot_pulls_half_of_the_turn():
    # 8 N of weight between the bearings; the foot adds 10 N there for half of the turn, downwards.
    weight = [(50.0, (0.0, 0.0, -8.0))]
    found = bearing_loads(LEVEL, journals(0.0, 100.0), weight, HandForce(50.0, 10.0, "treadle"))
    assert found.forces_n == pytest.approx((0.5 * (4.0 + 9.0),) * 2)


@pytest.mark.parametrize("steady", [0.0, 3.0, 40.0])
def test_what_goes_round_against_steps_of_a_thousandth_of_a_turn(steady):
    loads = [(50.0, (steady, 0.0, 0.0))]
    found = bearing_loads(LEVEL, journals(0.0, 100.0), loads, HandForce(50.0, 10.0, "crank"))
    angles = [2 * math.pi * i / 1000 for i in range(1000)]
    mean = sum(math.hypot(steady + 10 * math.cos(a), 10 * math.sin(a)) for a in angles) / 2000
    assert found.forces_n == pytest.approx((mean, mean), rel=1e-3)
