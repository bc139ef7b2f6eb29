"""What a wheel takes: balances of torque, force and power, and what they must not depend on."""

import math
import random
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from wheelgeo.built.as_built import build
from wheelgeo.built.assumed import Chosen
from wheelgeo.built.shaft import BuiltBearing
from wheelgeo.design.materials import find_bearing
from wheelgeo.design.reader import read_design
from wheelgeo.drive import bearing_load
from wheelgeo.drive.belt import CordPutOn, WrapArc, carry, link
from wheelgeo.drive.running import load_wheel
from wheelgeo.drive.statics import bearing_forces, pulls_under_load, solve_linear
from wheelgeo.geometry.vectors import across, cross, dot, norm, unit

UP = (0.0, 0.0, 1.0)
BOX = Path(__file__).resolve().parents[2] / "designs" / "box-wheel.toml"


def turned(design, axis, angle):
    """The wheel turned about an axis through the origin (Rodrigues)."""
    k, c, s = unit(axis), math.cos(angle), math.sin(angle)

    def turn(v):
        kv, kd = cross(k, v), dot(k, v)
        return tuple(v[i] * c + kv[i] * s + k[i] * kd * (1 - c) for i in range(3))

    shafts = tuple(replace(x, at_mm=turn(x.at_mm), axis=turn(x.axis)) for x in design.shafts)
    return replace(design, shafts=shafts)


def test_power_in_is_power_out_and_slip(two_stage):
    loaded = load_wheel(two_stage)
    shafts = {s.shaft: s for s in loaded.load.shafts}
    own = sum(s.own_nm * s.omega_rad_s for s in shafts.values())
    lost = 0.0
    for band in loaded.load.bands:
        route = [two_stage.pulley(s.pulley).shaft for s in band.rest.band.route]
        for shaft, stop in zip(route, band.stops, strict=True):
            lost -= stop.torque_nm * shafts[shaft].omega_rad_s
    assert loaded.effort.power_w == pytest.approx(own + lost, rel=1e-9)
    # the second band slips 1 %: so much of what it takes in is heat, the first gives none
    second = loaded.load.bands[1]
    took = -second.stops[0].torque_nm * shafts["middle"].omega_rad_s
    assert lost == pytest.approx(0.01 * took, rel=1e-9)


def test_a_shaft_asks_for_its_own_and_what_it_drives(two_stage):
    loaded = load_wheel(two_stage)
    middle = loaded.load.shaft("middle")
    assert loaded.load.bands[0].stops[1].torque_nm == pytest.approx(middle.torque_nm, rel=1e-9)
    assert loaded.load.bands[1].stops[0].torque_nm == pytest.approx(-middle.driven_nm, rel=1e-9)
    assert loaded.effort.torque_nm == loaded.load.shaft("main").torque_nm
    assert loaded.effort.force_n == pytest.approx(loaded.effort.torque_nm / 0.060, rel=1e-12)


def test_bearing_friction_is_that_of_the_resultant(two_stage):
    # The spindle's bearings, at 5 and 47, stand alike on both sides of its whorl at 26: each takes
    # half of the band's pull. It stands upright, so that its weight rests on the collar, less what
    # the yarn lifts; and the yarn's 0.3 N at 45 degrees pulls the tip, at 130, sideways:
    # 125/42 of that on the upper bearing, 83/42 the other way on the lower one.
    loaded = load_wheel(two_stage)
    spindle, band = loaded.load.shaft("spindle"), loaded.load.bands[1]
    u0, u1 = band.rest.directions
    net = [p - band.rest.centrifugal_n for p in band.pulls_n]
    half = np.array([0.5 * (a * net[1] - b * net[0]) for a, b in zip(u1, u0, strict=True)])
    side = np.array(across(UP)[0]) * 0.3 * math.sin(math.radians(45.0))
    low, high = (norm(tuple(half + side * share)) for share in (-83 / 42, 125 / 42))
    assert dict(spindle.bearings_n) == pytest.approx({5.0: low, 47.0: high}, rel=1e-9)
    rotor = next(r for r in loaded.rotors if r.shaft.name == "spindle")
    thrust = rotor.inertia.mass_kg * 9.80665 - 0.3 * math.cos(math.radians(45.0))
    assert spindle.thrust_n == pytest.approx(abs(thrust), rel=1e-9)
    friction = rotor.journals[0].friction.value
    expected = friction * 0.002 * (low + high + 1.5 * abs(thrust))
    assert spindle.bearing_nm == pytest.approx(expected, rel=1e-9)


def test_a_quarter_turn_band_thrusts_along_its_shafts():
    """The skew runs of a box wheel push its shafts along: friction of the collar, 1.5 d across."""
    loaded = load_wheel(read_design(BOX))
    for name in ("middle", "spindle"):
        taken = loaded.load.shaft(name)
        rotor = next(r for r in loaded.rotors if r.shaft.name == name)
        along = 0.0
        for band in loaded.load.bands:
            net = [p - band.rest.centrifugal_n for p in band.pulls_n]
            for k, stop in enumerate(band.rest.band.route):
                if loaded.design.pulley(stop.pulley).shaft == name:
                    u = band.rest.directions
                    along += net[k] * dot(u[k], rotor.shaft.axis)
                    along -= net[k - 1] * dot(u[k - 1], rotor.shaft.axis)
        # the middle shaft stands upright, and its weight adds; the yarn pulls at the level spindle
        if name == "middle":
            along -= rotor.inertia.mass_kg * 9.80665
        else:
            along += 0.3 * math.cos(math.radians(45.0))
        assert taken.thrust_n == pytest.approx(abs(along), rel=1e-9)
        mu, d = rotor.journals[0].friction.value, rotor.shaft.diameter_mm / 1e3
        expected = mu * (taken.bearing_n * d / 2 + taken.thrust_n * 1.5 * d / 2)
        assert taken.bearing_nm == pytest.approx(expected, rel=1e-9)
    assert loaded.load.shaft("spindle").thrust_n > 0.01


def test_turning_the_whole_wheel_changes_nothing_but_where_down_is(two_stage, monkeypatch):
    plain = load_wheel(two_stage)
    lying = load_wheel(turned(two_stage, (1.0, 0.0, 0.0), math.pi / 2)).load
    # Upright the weight is on the collar, lying it is on the bearings.
    weight = sum(r.inertia.mass_kg for r in plain.rotors if r.shaft.name == "middle") * 9.80665
    assert plain.load.shaft("middle").thrust_n == pytest.approx(weight, rel=1e-9)
    assert lying.shaft("middle").thrust_n == pytest.approx(0.0, abs=1e-9)
    # Without yarn, whose side on an upright spindle is anybody's choice, and without a crank.
    drive = replace(two_stage.drive, by="motor", radius_mm=None)
    bare = replace(two_stage, limits={"yarn_pull_n": 1e-9}, drive=drive)
    rng = random.Random(4)
    for tilts in (0.0, 0.0, 1.0, 1.0):
        axis = (*(tilts * rng.gauss(0.0, 1.0) for _ in range(2)), 1.0)
        if tilts:
            monkeypatch.setattr(bearing_load, "GRAVITY_M_S2", 0.0)
        plain = load_wheel(bare)
        other = load_wheel(turned(bare, axis, rng.uniform(0.0, 6.0)))
        assert other.effort.torque_nm == pytest.approx(plain.effort.torque_nm, rel=1e-9)
        for a, b in zip(plain.load.bands, other.load.bands, strict=True):
            assert b.margin == pytest.approx(a.margin, rel=1e-9)


def test_at_the_margin_the_belt_equation_is_met(two_stage):
    band = load_wheel(two_stage).load.bands[0]
    net, changes = band.rest.net_n, band.change_n
    for contact, stop in zip(band.rest.contacts, band.stops, strict=True):
        tight, slack = (net + stop.margin * c for c in (max(changes), min(changes)))
        assert tight / slack == pytest.approx(contact.ratio, rel=1e-9)
        assert stop.capacity_nm == pytest.approx(stop.margin * abs(stop.torque_nm), rel=1e-12)


def test_double_drive(double_drive):
    loaded = load_wheel(double_drive)
    band = loaded.load.bands[0]
    shafts = {s.shaft: s for s in loaded.load.shafts}
    # around the band the differences close, and both driven shafts get what they ask for
    assert band.stops[1].torque_nm == pytest.approx(shafts["flyer"].torque_nm, rel=1e-9)
    assert band.stops[3].torque_nm == pytest.approx(shafts["bobbin"].torque_nm, rel=1e-9)
    forces = [
        s.torque_nm / c.radius_mm for s, c in zip(band.stops, band.rest.contacts, strict=True)
    ]
    assert sum(forces) == pytest.approx(0.0, abs=1e-12)
    # the cord arrives at both grooves of the wheel with the same pull
    assert band.pulls_n[-1] == pytest.approx(band.pulls_n[1], rel=1e-12)
    assert all(s.margin > 1.0 for s in band.stops)


def test_creep_is_the_change_of_stretch(two_stage):
    band = load_wheel(two_stage).load.bands[0]
    tight, slack = max(band.pulls_n), min(band.pulls_n)
    expected = (tight - slack) / (band.rest.stiffness_n + tight)
    assert band.creep == pytest.approx((0.0, expected), rel=1e-12)


def test_creep_slows_the_spindle_only_where_no_slip_is_given(two_stage):
    from wheelgeo.drive.running import run_wheel

    running = run_wheel(two_stage)
    creep = running.loaded.load.bands[0].creep[1]
    assert running.spindle_rpm == pytest.approx(running.whirl.working_rpm * (1 - creep), rel=1e-12)
    given = replace(two_stage, bands=tuple(replace(b, slip=0.02) for b in two_stage.bands))
    running = run_wheel(given)
    assert running.spindle_rpm == running.whirl.working_rpm


def test_bearings_are_in_balance():
    rng = random.Random(11)
    pair, soft = Chosen(find_bearing("brass")), Chosen(100.0)
    for _ in range(20):
        axis = unit(tuple(rng.gauss(0, 1) for _ in range(3)))
        places = (rng.uniform(-30, 0), rng.uniform(10, 60))
        journals = [BuiltBearing(x, 4.0, "brass", pair, soft) for x in places]
        pulls = [(rng.uniform(-50, 90), tuple(rng.gauss(0, 3) for _ in range(3))) for _ in range(3)]
        forces, thrust = bearing_forces(axis, journals, pulls)
        total = tuple(sum(p[i] for _, p in pulls) for i in range(3))
        assert thrust == pytest.approx(abs(dot(total, axis)))
        # moments about the first bearing give the second force
        arm = journals[1].at_mm - journals[0].at_mm
        moment = [
            sum(cross(axis, p)[i] * (x - journals[0].at_mm) for x, p in pulls) for i in range(3)
        ]
        assert forces[1] == pytest.approx(norm(tuple(moment)) / arm, rel=1e-9)
        other = [
            sum(cross(axis, p)[i] * (journals[1].at_mm - x) for x, p in pulls) for i in range(3)
        ]
        assert forces[0] == pytest.approx(norm(tuple(other)) / arm, rel=1e-9)


def test_linear_equations_against_numpy():
    rng = np.random.default_rng(3)
    for n in (1, 2, 4, 6):
        a, b = rng.normal(size=(n, n)), rng.normal(size=n)
        mine = solve_linear(
            [[*row, right] for row, right in zip(a.tolist(), b.tolist(), strict=True)]
        )
        assert mine == pytest.approx(np.linalg.solve(a, b).tolist(), rel=1e-9)


def test_pulls_of_a_band_of_two():
    change = pulls_under_load([0.08, 0.01], ["a", "b"], "a", {"b": 0.02}, [0.5, 0.5])
    # run 0 leaves the driver: slack; run 1 goes to it: tight
    assert change == pytest.approx((-1.0, 1.0), rel=1e-12)


def test_chain_and_whole_wheel_agree(two_stage):
    """The short form for searches gives what the whole wheel gives, on a chain of two bands."""
    loaded = load_wheel(two_stage)
    chain = [as_link(loaded, k) for k in range(2)]
    bands, hand = carry(chain)
    for short, whole in zip(bands, loaded.load.bands, strict=True):
        assert short.force_n == pytest.approx(whole.force_n, rel=1e-9)
        assert short.driver_margin == pytest.approx(whole.stops[0].margin, rel=1e-9)
        assert short.driven_margin == pytest.approx(whole.stops[1].margin, rel=1e-9)
    main = loaded.load.shaft("main")
    assert hand == pytest.approx(main.driven_nm, rel=1e-9)


def as_link(loaded, k, repeat=None):
    """A band of a loaded wheel as a link; with ``repeat`` as arrays of that many."""
    band = loaded.load.bands[k].rest
    driven = loaded.design.pulley(band.band.route[1].pulley).shaft
    driver = loaded.design.pulley(band.band.route[0].pulley).shaft
    as_many = float if repeat is None else lambda x: np.full(repeat, x)
    arcs = [
        WrapArc(as_many(c.radius_mm), as_many(math.radians(c.wrap_deg)), as_many(c.grip.wedge))
        for c in band.contacts
    ]
    cord = CordPutOn(
        as_many(band.band.diameter_mm), as_many(band.stretch),
        as_many(band.stiffness_n / band.section_mm2), as_many(1000.0),
        as_many(band.contacts[0].friction),
    )  # fmt: skip
    omega = loaded.load.shaft(driver).omega_rad_s
    return link(
        cord, *arcs, as_many(omega), as_many(loaded.load.shaft(driven).own_nm),
        math if repeat is None else np,
    )  # fmt: skip


def test_arrays_give_what_floats_give(two_stage):
    loaded = load_wheel(two_stage)
    one, hand = carry([as_link(loaded, k) for k in range(2)])
    many, hands = carry([as_link(loaded, k, repeat=3) for k in range(2)])
    assert hands.tolist() == pytest.approx([hand] * 3, rel=1e-14)
    for a, b in zip(one, many, strict=True):
        assert b.driven_margin.tolist() == pytest.approx([a.driven_margin] * 3, rel=1e-13)


def test_treadle_pushes_half_the_turn(double_drive):
    loaded = load_wheel(double_drive)
    effort = loaded.effort
    # the work of a turn is done in one stroke, of two throws but for the footman's slant
    turn_j = 2 * math.pi * effort.torque_nm
    assert effort.force_n * effort.driver.stroke_mm / 1e3 == pytest.approx(turn_j, rel=1e-12)
    assert effort.force_n * 2 * 0.060 == pytest.approx(turn_j, rel=0.02)
    assert effort.speed_swing > 0.0


def locking_throw_mm(design):
    """The friction circle by hand: at this throw a newton at the crank makes its own friction.

    A newton at ``x`` from the first of two bearings ``l`` apart presses them by |1 - x/l| and
    |x/l|; each rubs at its radius (statics of a beam, Coulomb's law).
    """
    built = build(design)
    one, two = built.shafts[design.drive.shaft].bearings
    share = (bearing_load.hand_place_mm(built) - one.at_mm) / (two.at_mm - one.at_mm)
    pressed = abs(1.0 - share), abs(share)
    return sum(
        b.friction.value * p * b.diameter_mm / 2.0
        for b, p in zip((one, two), pressed, strict=True)
    )


def with_throw(design, throw_mm):
    return replace(design, drive=replace(design.drive, radius_mm=throw_mm))


def test_a_throw_within_the_friction_circle_locks():
    design = read_design(BOX)
    circle = locking_throw_mm(design)
    assert 0.1 < circle < 5.0
    for share in (0.3, 0.98):
        loaded = load_wheel(with_throw(design, share * circle))
        assert loaded.load.locks
        assert loaded.effort.torque_nm is loaded.effort.force_n is None
        # what is told of the bearings is without the hand, so not more than with it at arm's length
        at_arm = load_wheel(design).load.shaft("main").bearing_n
        assert loaded.load.shaft("main").bearing_n < at_arm
    forces = []
    for share in (1.05, 1.2, 3.0):
        loaded = load_wheel(with_throw(design, share * circle))
        assert not loaded.load.locks
        forces.append(loaded.effort.force_n)
        # force times throw is the torque asked for, its own friction with it
        assert loaded.effort.torque_nm == pytest.approx(forces[-1] * share * circle / 1e3, rel=1e-9)
    # far above, friction goes with the force: F = T0 / (throw - circle)
    assert forces[0] / forces[1] == pytest.approx(0.2 / 0.05, rel=0.05)


def test_motor_has_no_handle(two_stage):
    drive = replace(two_stage.drive, by="motor", radius_mm=None)
    effort = load_wheel(replace(two_stage, drive=drive)).effort
    assert effort.force_n is None
    assert effort.power_w > 0.0
