"""How a band lies on its whorl, against cases worked in the head and against the path itself."""

from __future__ import annotations

import pytest

import wheelgeo
from wheelgeo.drawing.figure import svg_text
from wheelgeo.drawing.whorl_close import whorl_figure
from wheelgeo.drive.lay import laid_other_way, last_band, lays_of, other_lay
from wheelgeo.drive.train import solve_drive

WHEEL = """
title = "a"
unit = "mm"
[drive]
shaft = "axle"
by = "treadle"
speed = "60 rpm"
turns = "{turns}"
[[shaft]]
name = "axle"
at = [0, 0, 0]
axis = [0, -1, 0]
diameter = 12
[[shaft]]
name = "spindle"
at = [-500, 0, 0]
axis = [0, -1, 0]
diameter = 8
[[pulley]]
name = "wheel"
shaft = "axle"
offset = 0
groove = {{ shape = "flat", rim = 400, width = 10 }}
[[pulley]]
name = "whorl"
shaft = "spindle"
offset = 0
groove = {{ shape = "flat", rim = 30, width = 10 }}
[[band]]
name = "band"
route = ["wheel", "whorl"]
crossed = {crossed}
material = "cotton cord"
diameter = 2
[spindle]
shaft = "spindle"
kind = "tip"
[yarn]
count = "10 Nm"
fibre = "wool"
twist = "Z"
turns_per_metre = 300
"""


@pytest.mark.parametrize(
    ("turns", "crossed", "comes_above", "twist"),
    [
        # The wheel stands to the right, both axes towards the viewer. Clockwise, the top of the
        # wheel goes right, away from the whorl: open, the upper run leaves the whorl.
        ("clockwise", "false", False, "Z"),
        ("counter-clockwise", "false", True, "S"),
        ("clockwise", "true", True, "S"),
        ("counter-clockwise", "true", False, "Z"),
    ],
)
def test_which_run_passes_above(turns: str, crossed: str, comes_above: bool, twist: str) -> None:
    solution = wheelgeo.read(WHEEL.format(turns=turns, crossed=crossed)).solve().solution
    (lay,) = lays_of(solution, "band")
    assert lay.side == "above"
    assert lay.comes_on is comes_above
    assert lay.heads == ("from right to left" if comes_above else "from left to right")
    assert lay.twist == twist
    other = other_lay(solution, "band")
    assert other is not None
    assert other.twist == ("S" if twist == "Z" else "Z")
    assert other.how == ("laid open" if crossed == "true" else "crossed")


@pytest.mark.parametrize("name", ["box-wheel", "flyer-wheel", "floor-wheel", "braked-flyer-wheel"])
def test_laid_the_other_way_makes_the_other_twist_and_back_again_the_same(name: str) -> None:
    solution = wheelgeo.load(f"designs/{name}.toml").solve().solution
    band = last_band(solution)
    assert band is not None
    changed = solve_drive(laid_other_way(solution, band))
    assert changed.spindle.speed_rpm == pytest.approx(-(solution.spindle.speed_rpm or 0.0))
    assert laid_other_way(changed, band) == solution.design
    for lay in lays_of(solution, band):
        # Where the cord comes over the whorl to the right, its top goes right: with the axis
        # towards the viewer, x to the right, that is clockwise. Checked by the speed's sign.
        speed = solution.shaft(solution.design.pulley(lay.pulley).shaft).speed_rpm or 0.0
        assert (lay.turns == "clockwise") is (speed < 0.0)


def test_a_band_that_cannot_lie_the_other_way_says_why() -> None:
    near = WHEEL.format(turns="clockwise", crossed="false").replace("-500", "-205")
    answer = wheelgeo.read(near).solve()
    other = answer.twist.laid_other_way
    assert other is not None
    assert "apart" in other.says
    wrong = wheelgeo.read(near.replace('twist = "Z"', 'twist = "S"')).solve()
    remedy = next(f for f in wrong.findings if f.rule == "wrong-twist").remedy
    assert "is no way" in remedy.says
    assert "turn" in remedy.says


def test_the_close_drawing_shows_both_ways() -> None:
    figure = whorl_figure(wheelgeo.load("designs/box-wheel.toml").solve().solution)
    assert figure is not None
    drawn = svg_text(figure)
    for words in ("Z twist", "S twist", "to &quot;accelerator&quot;", "from &quot;accelerator"):
        assert words in drawn


@pytest.mark.parametrize(
    ("name", "edits"),
    [("flyer-wheel", 1), ("two-band-wheel", 2), ("braked-flyer-wheel", 1)],
)
def test_a_flyer_wheel_may_have_its_bands_laid_the_other_way_too(name: str, edits: int) -> None:
    # Both remedies, each tried: turn the wheel, or lay what drives flyer and bobbin the other way.
    wheel = wheelgeo.load(f"designs/{name}.toml")
    wrong = wheel.put("yarn.twist", "S").solve()
    remedy = next(f for f in wrong.findings if f.rule == "wrong-twist").remedy
    turned, (laid,) = remedy, remedy.others
    assert "turn the wheel" in turned.says
    assert len(laid.edits) == edits
    for way in (turned, laid):
        answer = way.apply().solve()
        assert answer.twist.direction == "S"
        assert not [f for f in answer.findings if f.level == "fault"]
        # Flyer and bobbin still turn together, as fast as they did.
        before, after = (a.wind_on.empty.bobbin_turns_per_drive_turn for a in (wrong, answer))
        assert after == pytest.approx(before, rel=1e-12)
