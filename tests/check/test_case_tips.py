"""A case on a table: whether the hand at its crank tips it over, and what holds it."""

from __future__ import annotations

from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.built.as_built import build
from wheelgeo.built.crank_arm import crank_plane_mm
from wheelgeo.drive.standing import in_case

DESIGNS = Path(__file__).parents[2] / "designs"
BOX = wheelgeo.load(DESIGNS / "box-wheel.toml")


def told(wheel):
    return next((f for f in wheel.check().findings if f.rule == "case-tips"), None)


def test_the_weight_holds_against_the_hand_as_two_moments_say():
    """Weight times its lever over the back feet, 12 mm in from the outside; 15 N times its height.

    The knob is 30 mm long on an arm of 8; floor 6 mm, feet 5.
    """
    found, case = in_case(build(BOX.design)), BOX.design.case
    back = case.corner_mm[1] + case.inside_mm[1] + 9.0 - 12.0
    lever = back - found.weight.centre_mm[1]
    height = crank_plane_mm(build(BOX.design)) + 4.0 + 15.0 - (case.corner_mm[2] - 6.0 - 5.0)
    by_hand = found.weight.mass_kg * 9.80665 * lever / (15.0 * height)
    note = told(BOX)
    assert note.value == pytest.approx(by_hand, abs=6e-4)
    assert (note.level, note.where, note.limit) == ("note", "case", 1.5)
    assert "tips over to the back" in note.says
    assert "two cramps" in note.remedy.says


def test_just_held_nothing_is_said_and_a_heavier_floor_holds_it():
    value = told(BOX).value
    assert told(BOX.put("limits.tipping_factor", value - 0.002)) is None
    assert told(BOX.put("limits.tipping_factor", value + 0.002)) is not None
    assert told(BOX.put("shop.floor", "18 mm")).value > value
    assert told(BOX.put("limits.start_force_n", "5 N")) is None


def test_a_little_wider_case_is_named_and_need_not_be_held():
    near = BOX.put("limits.tipping_factor", 0.9)
    remedy = told(near).remedy
    assert {e.key for e in remedy.edits} == {"case.inside", "case.corner"}
    assert "two cramps" in remedy.says
    wider = remedy.apply()
    assert told(wider) is None
    assert {f.rule for f in wider.check().findings} < {f.rule for f in near.check().findings}


@pytest.mark.parametrize("name", ["farm-wheel", "floor-wheel"])
def test_what_stands_on_a_floor_has_rules_of_its_own(name):
    assert told(wheelgeo.load(DESIGNS / f"{name}.toml")) is None
