"""What a flyer and its brakes take is in the wheel as built, and on the paper with its sizes."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.built.as_built import build
from wheelgeo.built.assembly import assembly
from wheelgeo.built.bodies import bodies
from wheelgeo.design.reader import read_design
from wheelgeo.drive.fixing import fixed_pulleys
from wheelgeo.drive.running import load_wheel
from wheelgeo.geometry.vectors import dot, sub
from wheelgeo.shop.board_parts import board_part
from wheelgeo.shop.brake_places import brake_places
from wheelgeo.shop.fixing_words import fixing_words
from wheelgeo.shop.flyer_work import brake_rows, brake_steps, flyer_steps, orifice_note
from wheelgeo.shop.order_of_work import step_words
from wheelgeo.shop.screw_places import contact
from wheelgeo.shop.sheet_words import before_assembly

DESIGNS = Path(__file__).parents[2] / "designs"
FARM = read_design(DESIGNS / "farm-wheel.toml")
DOUBLE = read_design(DESIGNS / "flyer-wheel.toml")
BRAKED = read_design(DESIGNS / "braked-flyer-wheel.toml")


def outline(design, name):
    return next(b for b in bodies(build(design)) if b.name == name).shape.outline


def test_a_braked_bobbin_has_the_groove_of_its_brake():
    """50 mm at the bottom between two lips, behind the flange; without a brake there is none."""
    radii = [r for _, r in outline(FARM, "bobbin")]
    assert radii.count(25.0) == 2
    assert 27.0 in radii
    said = " ".join(flyer_steps(FARM))
    assert "50 mm at its bottom, 4 mm wide between two lips of 2 mm" in said
    assert 25.0 not in [r for _, r in outline(DOUBLE, "bobbin")]
    plain = replace(FARM, drags=())
    assert build(plain).spindle.flyer_plan.yarn_from == pytest.approx(
        build(FARM).spindle.flyer_plan.yarn_from - 8.0
    )


def test_a_braked_flyer_has_a_disc_for_it_and_its_bearing_makes_room():
    assert 15.0 in [r for _, r in outline(BRAKED, "flyer brake")]
    plan = build(BRAKED).spindle.flyer_plan
    front = build(BRAKED).spindle.bearings[1]
    assert front.at_mm - 0.5 * front.length_mm > plan.front == plan.bar_to + 8.0
    assert not any(b.name == "flyer brake" for b in bodies(build(DOUBLE)))


def test_a_brake_no_larger_than_its_rod_lies_on_the_rod():
    thin = replace(BRAKED, drags=(replace(BRAKED.drags[0], diameter_mm=10.0),))
    assert build(thin).spindle.flyer_plan.flyer_brake == 0.0
    assert not any("groove" in step for step in flyer_steps(thin))


def test_orifice_and_eye_meet_in_the_bar_clear_of_its_pin():
    """34.5 mm to the bar's middle was 27.5 mm of bar and 7; the eye stands 5 mm behind its face."""
    made = build(FARM).spindle
    note = orifice_note(FARM)
    assert f"6 mm, {made.ends_mm[1] - made.flyer_plan.bar_to + 5.0:.4g} mm deep" in note
    # 14 mm of bar: the eye's edge is 5 + 3 mm, the pin's 14 - 3 - 1.25 mm behind the front face
    assert 5.0 + 3.0 < 14.0 - 3.0 - 1.25
    assert orifice_note(read_design(DESIGNS / "box-wheel.toml")) == ""


def test_hooks_cord_and_peg_of_a_brake_are_bought():
    rows = {row[0]: row for row in brake_rows(FARM)}
    assert rows["wire for hooks"][1] == "12"
    # half round the groove, 133 mm of maiden down on both sides, and 250 mm to tie
    down = -min(y for _, y in next(
        b for b in bodies(build(FARM)) if b.kind == "maiden").shape.outline)
    assert rows["cotton cord"][3] == pytest.approx(math.pi * 25.0 + 2.0 * down + 250.0)
    assert [row[0] for row in brake_rows(DOUBLE)] == ["wire for hooks"]
    (step,) = brake_steps(FARM)
    assert "shows 0.8 N when the bobbin just turns" in step
    assert "in mother-of-all flyer, straight under its groove" in step
    assert not list(brake_steps(DOUBLE))


@pytest.mark.parametrize("design", [FARM, DOUBLE, BRAKED], ids=lambda d: d.title)
def test_nothing_is_hung_on_what_comes_later(design):
    steps = assembly(build(design)).together
    order = [s.what for s in steps]
    assert order.index("knob") < order.index("footman") < order.index("treadle")
    band = next(s for s in steps if s.kind == "band")
    route = [stop.pulley for stop in design.band(band.what).route]
    laid = {name for s in steps[: steps.index(band)] for name in s.parts}
    on = {n for name in laid for n in name.removeprefix("pulley ").split(", ")}
    assert set(route) <= on
    assert order.index("leg 1") < order.index("rod axle")
    pin = next(s for s in steps if s.kind == "crank pin")
    assert "stands fast" in step_words(pin)
    assert "turns freely" not in step_words(pin)


@pytest.mark.parametrize("design", [DOUBLE, FARM], ids=["from behind", "lifted out"])
def test_the_whorl_that_comes_off_is_told_the_same_everywhere(design):
    """Its pin is neither sunk nor glued; before it goes on it is only drilled with its rod."""
    held = fixed_pulleys(build(design), load_wheel(design).load)
    words = fixing_words(held["flyer whorl"])
    assert "no glue" in words
    assert "pushes it out again" in words
    assert "fill the hole" not in words
    assert "mark hub and rod" in words
    assert any("only drilled with its rod" in step for step in before_assembly(True, True, "flyer"))
    assert not any("only drilled" in step for step in before_assembly(True, True, "tip"))
    steps = [*flyer_steps(design), *(step_words(s) for s in assembly(build(design)).together)]
    on = [step for step in steps if "by its mark" in step]
    assert len(on) == 1
    assert "without glue" in on[0]


@pytest.mark.parametrize(("wheel", "shaft"), [(FARM, "bobbin"), (BRAKED, "flyer")])
def test_hook_and_peg_of_a_brake_stand_in_wood_under_their_groove(wheel, shaft):
    """Both within the mother-of-all, clear of bolts and maidens; the peg below the flyer's arms."""
    (place,) = brake_places(wheel)
    assert place.drag.shaft == shaft
    found = {b.name: b for b in bodies(build(wheel))}
    mother = found[place.board]
    sides = [[p[i] for p in mother.shape.outline] for i in (0, 1)]
    for at in (place.hook, place.peg.centre):
        assert all(min(s) + 7.0 < x < max(s) - 7.0 for x, s in zip(at, sides, strict=True))
    for bolt, radius in mother.shape.holes:
        assert math.dist(bolt, place.peg.centre) > radius + 5.0 + 2.0
    for maiden in (b for b in found.values() if b.kind == "maiden"):
        x0, _, x1, _ = contact(mother, maiden)
        assert place.peg.centre[0] + 5.0 < x0 or place.peg.centre[0] - 5.0 > x1
    # straight under the groove: along the flyer's axis no way off it
    made = build(wheel).spindle
    plan = made.flyer_plan
    ends = (plan.bobbin_from, plan.bobbin_from + 8.0) if shaft == "bobbin" else (
        plan.bar_to, plan.bar_to + 8.0)  # fmt: skip
    apart = sub(mother.shape.point(*place.hook, 0.0), made.shaft.at_mm)
    assert ends[0] + 2.0 < dot(apart, made.shaft.axis) < ends[1] - 2.0
    peg = next(row for row in brake_rows(wheel) if row[0].startswith("hardwood peg"))
    over = peg[3] - mother.shape.thickness_mm
    lowest = made.shaft.at_mm[2] - plan.arm_radius - 2.5
    top = mother.shape.point(*place.peg.centre, mother.shape.high)[2]
    assert top + over < lowest
    drilled = [d for d in board_part(wheel, mother).drills if d.radius_mm == 5.0]
    assert len(drilled) == 1
