"""A turning rod bent by an unbalance, against closed forms; an untrue cop on whole wheels."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.check.report import mechanics_findings, put_under_check
from wheelgeo.design.reader import read_design
from wheelgeo.drive.beam import Beam, Disc, Eccentric, Stretch, Support
from wheelgeo.drive.beam_speeds import turned_shapes_m
from wheelgeo.drive.running import load_wheel, shakes_at_work, whirl_of
from wheelgeo.drive.shake import cop_shake

DESIGNS = Path(__file__).resolve().parents[2] / "designs"


@pytest.mark.parametrize("share", [0.3, 0.9, 1.4, 3.0])
def test_a_rod_off_centre_all_along_is_bent_as_in_closed_form(share):
    # EI y'''' - mu w^2 y = mu w^2 e on two firm bearings, solved by hand:
    # y = e/2 [cos b(x - L/2)/cos(bL/2) + cosh b(x - L/2)/cosh(bL/2)] - e, with b^4 = mu w^2/EI.
    length, ei, mu, e = 0.4, 3.0, 0.2, 5e-4
    omega = share * (math.pi / length) ** 2 * math.sqrt(ei / mu)
    firm = 1e9
    beam = Beam((Stretch(0.0, length, ei, mu),), (Support(0.0, firm), Support(length, firm)))
    shape = turned_shapes_m([beam], omega, [Eccentric(0.0, length, mu * e)], 60)[0]
    b = (mu * omega**2 / ei) ** 0.25
    for x, y in shape.items():
        s, half = b * (x - length / 2), b * length / 2
        exact = e / 2 * (math.cos(s) / math.cos(half) + math.cosh(s) / math.cosh(half)) - e
        assert y == pytest.approx(exact, rel=1e-4, abs=1e-7)
    force = ei * e * b**3 / 2 * (math.tan(b * length / 2) + math.tanh(b * length / 2))
    assert firm * shape[0.0] == pytest.approx(force, rel=1e-3)


def test_a_disc_between_bearings_at_three_quarters_of_its_critical_speed():
    # Khurmi & Gupta, Theory of Machines, ex. 23.13 (from memory): a shaft of 5 mm by 200 mm in
    # long bearings, 50 kg in the middle, 0.25 mm off centre, 200 GN/m2: critical speed 8.64 rev/s;
    # at 75 % of it the additional deflection is 0.25 / ((1/0.75)^2 - 1) = 0.32 mm.
    ei = 200e9 * math.pi * 0.005**4 / 64
    long_bearings = (Support(0.0, tilts=False), Support(0.2, tilts=False))
    near = 1e-3
    rod, patch = Stretch(0.0, 0.2, ei, 0.0), Stretch(0.1 - near, 0.1 + near, 0.0, 0.0)
    beam = Beam((rod, patch), long_bearings, (Disc(0.1, 50.0),))
    uneven = Eccentric(0.1 - near, 0.1 + near, 50.0 * 0.25e-3 / (2 * near))
    shape = turned_shapes_m([beam], 0.75 * 8.64 * 2 * math.pi, [uneven], 40)[0]
    assert 1e3 * shape[min(shape, key=lambda x: abs(x - 0.1))] == pytest.approx(0.32, abs=0.005)


def box(**limits):
    design = read_design(DESIGNS / "box-wheel.toml")
    return replace(design, limits={**design.limits, **limits})


def shake_of(design):
    loaded = load_wheel(design)
    whirl = whirl_of(loaded)
    return cop_shake(loaded.solution, whirl.tap, shakes_at_work(loaded.built, whirl))


def test_nine_grams_one_millimetre_off_are_eight_newtons_at_nine_thousand():
    # m e w^2 by hand: 0.009 kg * 0.001 m * (8934 * pi / 30)^2 = 7.88 N.
    shake = shake_of(box())
    assert not shake.given
    assert shake.stiff_n == pytest.approx(0.009 * 0.001 * (8934.4 * math.pi / 30) ** 2, rel=1e-4)
    # Above its critical speed the rod bends until the cop turns about its own middle, nearly:
    # less than the stiff force reaches the bearings, in all.
    assert 0.0 < sum(f for _, f in shake.bearings_n) < shake.stiff_n


def test_turned_slowly_it_is_a_load_on_a_beam():
    # At 75 rpm, far below its first critical speed, the rod hardly bends: 9 g at 92.5 mm, bearings
    # at -14 and 24, moments by hand: (92.5 + 14) / 38 of the force on the front one, and
    # (92.5 - 24) / 38, the other way, on the other.
    design = box()
    shake = shake_of(replace(design, drive=replace(design.drive, speed_rpm=0.5)))
    force = 0.009 * 0.001 * (shake.speed_rpm * math.pi / 30) ** 2
    assert shake.stiff_n == pytest.approx(force, rel=1e-9)
    by_hand = {-14.0: force * 68.5 / 38.0, 24.0: force * 106.5 / 38.0}
    assert dict(shake.bearings_n) == pytest.approx(by_hand, rel=2e-3)


def test_it_grows_with_the_eccentricity_and_is_named_only_where_it_lifts_the_rod():
    one, half = shake_of(box(cop_eccentricity_mm=1.0)), shake_of(box(cop_eccentricity_mm=0.5))
    assert one.given
    assert [f for _, f in one.bearings_n] == pytest.approx([2 * f for _, f in half.bearings_n])
    assert one.tip_mm == pytest.approx(2 * half.tip_mm)

    def told(design):
        found = mechanics_findings(put_under_check(design))
        return [f for f in found if f.rule == "cop-unbalance"]

    (usual,), (given,) = told(box()), told(box(cop_eccentricity_mm=1.0))
    assert (usual.level, usual.certainty) == ("note", "possible")
    assert "runs out" in usual.settled_by
    assert given.level == "warning"
    assert told(given.remedy.apply()) == []
    assert told(box(cop_eccentricity_mm=0.99 * given.limit)) == []
    assert told(box(cop_eccentricity_mm=1.01 * given.limit)) != []


@pytest.mark.parametrize(("mass_g", "level"), [(8.5, "note"), (9.0, "warning")])
def test_more_than_ten_times_what_the_bearings_carry_is_a_warning_however_true_it_is_wound(
    mass_g, level
):
    wheel = wheelgeo.load(DESIGNS / "parallel-box-wheel.toml").put("cop.mass", mass_g)
    (found,) = [f for f in wheel.check().findings if f.rule == "cop-unbalance"]
    assert found.level == level
    assert (found.value > 10.0 * found.limit) == (level == "warning")
    assert found.certainty == ("likely" if level == "warning" else "possible")
    assert "runs out" in found.settled_by
    assert found.remedy.edits
    mended = found.remedy.apply().check().findings
    assert [f for f in mended if f.rule == "cop-unbalance"] == []


def test_the_yarn_of_a_bobbin_turns_with_the_bobbin():
    design = read_design(DESIGNS / "flyer-wheel.toml")
    loaded, shake = load_wheel(design), shake_of(design)
    spindle, bobbin = loaded.solution.spindle, loaded.solution.shaft("bobbin")
    assert shake.speed_rpm == pytest.approx(abs(bobbin.speed_rpm))
    assert shake.speed_rpm != pytest.approx(abs(spindle.speed_rpm))
