"""The crank as a mass: by hand, and what its weight does to the turn by closed forms."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.built.as_built import build
from wheelgeo.built.crank import crank_mass
from wheelgeo.built.crank_arm import crank_bodies
from wheelgeo.design.model import Treadle
from wheelgeo.design.reader import read_design
from wheelgeo.drive.driven_by import driver_of
from wheelgeo.drive.driver import crank_driver, hand_driver
from wheelgeo.drive.effort import crank_weight_nm
from wheelgeo.drive.running import load_wheel
from wheelgeo.drive.start_of_wheel import reflected_inertia

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
MAPLE = 1.12 * 0.63 * 1000.0  # Wood Handbook (2010): specific gravity 0.63 at 12 % moisture


def shipped(name):
    return read_design(DESIGNS / f"{name}.toml")


def test_arm_and_knob_by_hand():
    # The box wheel's: an arm of maple as drawn, bored for the axle and at 60 mm for the pin; a knob
    # of 20 by 30 mm on a spigot 0.2 mm thinner than its hole, 5.3 mm long. A rectangle's moment
    # about its middle is m (a^2 + b^2) / 12, about the axis m d^2 more.
    design = shipped("box-wheel")
    arm_body = next(b for b in crank_bodies(build(design)) if b.kind == "crank")
    (low, side), (end, _) = arm_body.shape.outline[0], arm_body.shape.outline[2]
    long, wide, thick = end - low, -2.0 * side, arm_body.shape.thickness_mm
    off = 0.5 * (end + low)
    pin = min(design.shop.knob_hole_mm, 8.0)
    cm3 = 1e-9 * MAPLE
    arm = long * wide * thick * cm3
    bore, hole = math.pi * 16 * thick * cm3, math.pi * (pin / 2) ** 2 * thick * cm3
    knob = math.pi * 100 * 30 * cm3
    spigot = math.pi * (pin / 2 - 0.1) ** 2 * (8.0 - 3.0 + 0.3) * cm3
    crank = crank_mass(build(design))
    assert crank.mass_kg == pytest.approx(arm - bore - hole + (spigot + knob), rel=1e-9)
    moment = off * arm + 60 * (knob + spigot - hole)
    assert crank.unbalance_kg_m == pytest.approx(1e-3 * moment, rel=1e-9)
    arm_polar = arm * ((long**2 + wide**2) / 12 + off**2) - bore * 8
    arm_polar -= hole * (pin**2 / 8 + 60**2)
    knob_polar = knob * (50 + 60**2) + spigot * ((pin / 2 - 0.1) ** 2 / 2 + 60**2)
    assert crank.polar_kg_m2 == pytest.approx(1e-6 * (arm_polar + knob_polar), rel=1e-9)


def test_start_and_bearings_have_it():
    # About the shaft the crank's moment is felt whole; its weight presses on the shaft's collar.
    design = shipped("box-wheel")
    shafts = tuple(replace(s, ends_mm=s.ends_mm or (0.0, 50.0)) for s in design.shafts)
    design = replace(design, shafts=shafts)
    crank, with_it = crank_mass(build(design)), load_wheel(design)
    without = load_wheel(replace(design, drive=replace(design.drive, by="motor")))
    assert with_it.effort.inertia_kg_m2 == pytest.approx(
        reflected_inertia(with_it.solution, with_it.rotors)
    )
    felt = [reflected_inertia(x.solution, x.rotors) for x in (with_it, without)]
    gained = felt[0] - felt[1]
    assert gained == pytest.approx(crank.polar_kg_m2, rel=1e-6)
    thrusts = [x.load.shaft("main").thrust_n for x in (with_it, without)]
    assert thrusts[0] - thrusts[1] == pytest.approx(9.80665 * crank.mass_kg, rel=1e-6)


def test_a_weight_alone_gives_back_what_it_takes():
    # It falls by twice its arm: 2 U g.
    assert crank_driver(60.0).surplus_j(0.3, 0.02) == pytest.approx(0.04, rel=1e-6)
    assert crank_driver(60.0).surplus_j(0.3, -0.02) == pytest.approx(0.04, rel=1e-6)
    assert crank_driver(60.0).surplus_j(0.3) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("weight", [-0.05, 0.0, 0.03, 0.2])
def test_surplus_with_a_weight_by_scanning(weight):
    # A hand that pushes through 120 degrees, by its work at each angle in closed form.
    force, load = 3.0, 3.0 * 0.3 / 3.0
    pushed = [(a, min(a, 120.0)) for a in (0.01 * i for i in range(36001))]
    left = [
        force * 0.3 * math.radians(p) - load * math.radians(a) - weight * math.sin(math.radians(a))
        for a, p in pushed
    ]
    assert hand_driver(300.0, 120.0).surplus_j(load, weight) == pytest.approx(
        max(left) - min(left), rel=2e-5
    )


def test_the_mirror_image_of_a_treadle_wheel_swings_alike():
    # A heavy crank's weight has a phase: the mirrored wheel, turned the other way, is the same.
    def swing(across, turns):
        design = shipped("floor-wheel")
        treadle = Treadle(pivot_across_mm=across, pivot_below_mm=440.0, lever_mm=275.0)
        drive = replace(design.drive, treadle=treadle, turns=turns)
        built = build(replace(design, drive=drive))
        return driver_of(built).surplus_j(0.5, crank_weight_nm(built))

    one, other = swing(275.0, "clockwise"), swing(-275.0, "counter-clockwise")
    wrong = swing(275.0, "counter-clockwise")
    assert one == pytest.approx(other, rel=1e-5)
    assert one != pytest.approx(wrong, rel=1e-4)


def test_an_upright_shaft_and_two_opposite_cranks_have_no_weight_to_lift():
    assert crank_weight_nm(build(shipped("box-wheel"))) == 0.0
    design = shipped("floor-wheel")
    single = build(design)
    assert abs(crank_weight_nm(single)) == pytest.approx(
        9.80665 * crank_mass(single).unbalance_kg_m, rel=1e-9
    )
    drive = replace(design.drive, treadle=Treadle(kind="double"))
    double = build(replace(design, drive=drive))
    assert crank_weight_nm(double) == 0.0
    assert crank_mass(double).mass_kg == pytest.approx(2.0 * crank_mass(single).mass_kg)
