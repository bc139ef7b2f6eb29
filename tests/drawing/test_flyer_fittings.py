"""A flyer is drawn with its hooks, its orifice and the cords of its brakes."""

from __future__ import annotations

from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.built.as_built import build
from wheelgeo.drawing.scene_of_wheel import flyer_fittings
from wheelgeo.geometry.vectors import cross, dot, norm, sub

DESIGNS = Path(__file__).parents[2] / "designs"


def fittings(name):
    design = wheelgeo.load(DESIGNS / f"{name}.toml").design
    return design, {body.name: body for body in flyer_fittings(design)}


def test_a_spindle_with_a_tip_has_none():
    assert fittings("box-wheel")[1] == {}


@pytest.mark.parametrize(("name", "behind"), [
    ("braked-bobbin-wheel", True), ("braked-flyer-wheel", False),
])  # fmt: skip
def test_hooks_stand_on_an_arm_and_the_brake_lies_in_its_groove(name, behind):
    design, drawn = fittings(name)
    made, plan = build(design).spindle, build(design).spindle.flyer_plan
    hooks = [body for part, body in drawn.items() if part.startswith("hook")]
    assert len(hooks) >= 4
    for hook in hooks:
        way = sub(hook.origin, made.shaft.at_mm)
        assert norm(cross(way, made.shaft.axis)) == pytest.approx(plan.arm_radius)
        assert plan.yarn_from < dot(way, made.shaft.axis) < plan.yarn_to
    assert sum(sub(h.origin, hooks[0].origin) == (0.0, 0.0, 0.0) for h in hooks) == 1
    (low, radius), (high, _) = drawn["brake 1"].profile
    # the cord's middle lies half a cord above the groove's bottom
    assert radius - 0.5 * (high - low) == pytest.approx(0.5 * design.drags[0].diameter_mm)
    assert (plan.bobbin_from < low and high < plan.yarn_from) == behind
    assert (plan.bar_to < low and high < plan.front) == (not behind)
    assert drawn["orifice"].profile[0][1] < 0.5 * made.shaft.diameter_mm


def test_a_double_band_has_no_brake_to_draw():
    assert not any(part.startswith("brake") for part in fittings("flyer-wheel")[1])
