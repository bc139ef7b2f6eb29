"""Steps of flyer's and bobbin's whorls side by side, and a brake that is off."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import wheelgeo

STEP = """
[[pulley]]
name = "small step"
shaft = "flyer"
offset = -22
width = 12
groove = { shape = "vee", rim = 44, depth = 6, angle = 50, bottom = 1 }
"""


def test_pairs_agree_with_the_wheel_whose_band_lies_on_them() -> None:
    text = Path("designs/flyer-wheel.toml").read_text(encoding="utf-8") + STEP
    answer = wheelgeo.read(text).solve()
    now, other = answer.whorl_pairs
    assert (now.in_use, other.in_use) == (True, False)
    assert answer.wind_on is not None
    assert now.least_turns_per_metre_empty == answer.wind_on.empty.least_turns_per_metre
    on_it = text.replace('"back groove", "flyer whorl"', '"back groove", "small step"')
    moved = wheelgeo.read(on_it)
    laid = moved.solve().wind_on
    assert laid is not None
    assert other.flyer_turns_per_drive_turn == pytest.approx(laid.empty.flyer_turns_per_drive_turn)
    # 44 mm is less than the bobbin's 50 mm: the flyer is then the faster one.
    assert (now.leads, other.leads, laid.leads) == ("bobbin", "flyer", "flyer")
    assert [f.where for f in answer.findings if f.rule == "lead-changes"] == [
        "small step with bobbin whorl"
    ]


def test_one_step_each_changes_no_lead_and_a_braked_wheel_has_no_pairs() -> None:
    plain = wheelgeo.load("designs/flyer-wheel.toml").solve()
    assert not [f for f in plain.findings if f.rule in ("lead-changes", "brake-off")]
    assert wheelgeo.load("designs/braked-bobbin-wheel.toml").solve().whorl_pairs == ()


@pytest.mark.parametrize("name", ["braked-bobbin-wheel", "braked-flyer-wheel"])
def test_a_brake_may_be_off_and_is_told(name: str) -> None:
    wheel = wheelgeo.load(f"designs/{name}.toml")
    drags = tuple(replace(d, pull_n=0.0) for d in wheel.design.drags)
    off = wheelgeo.read(wheel.with_design(replace(wheel.design, drags=drags)).to_toml())
    assert [f.level for f in off.check().findings if f.rule == "brake-off"] == ["fault"]
    assert not [f for f in wheel.check().findings if f.rule == "brake-off"]
    assert off.run().load.torque_nm is not None


def test_each_step_of_a_braked_wheel_tells_its_travel_and_whether_the_loop_serves() -> None:
    text = Path("designs/braked-bobbin-wheel.toml").read_text(encoding="utf-8")
    assert wheelgeo.read(text).solve().whorl_steps == ()
    stepped = wheelgeo.read(text + STEP.replace("rim = 44", "rim = 40"))
    answer = stepped.solve()
    now, then = answer.whorl_steps
    told = [(s.flyer_whorl, s.bobbin_whorl, s.in_use, s.slides) for s in (now, then)]
    assert told == [("flyer whorl", None, True, "flyer"), ("small step", None, False, "flyer")]
    assert (now.travel_mm, now.band_serves) == (pytest.approx(stepped.get("flyer.travel")), True)
    # Second method: the wheel whose band lies there, slid so far, has the same path.
    on_it = wheelgeo.read(stepped.to_toml().replace('"rim", "flyer whorl"', '"rim", "small step"'))
    assert then.band_serves
    assert then.travel_mm is not None
    laid = on_it.put("flyer.travel", then.travel_mm).solve()
    assert laid["drive band.length"] == pytest.approx(answer["drive band.length"], abs=1e-6)
    assert laid.ratio == pytest.approx(then.ratio, rel=1e-12)


def test_a_step_beyond_the_slide_asks_for_another_loop() -> None:
    # On a whorl of 160 mm the same loop would want the flyer about 75 mm nearer; the slide lets it
    # in by 10 mm.
    text = Path("designs/braked-bobbin-wheel.toml").read_text(encoding="utf-8")
    big = wheelgeo.read(text + STEP.replace("rim = 44", "rim = 160"))
    then = big.solve().whorl_steps[1]
    assert then.says.endswith('"flyer" 0.0 mm along its slide; today\'s band does not serve')
    assert (then.travel_mm, then.band_serves) == (0.0, False)


def test_a_step_round_which_no_band_fits_has_no_place_on_the_slide() -> None:
    # A whorl of 2 m would stand round the wheel of 480 mm, whose axis is 0.5 m away.
    text = Path("designs/braked-bobbin-wheel.toml").read_text(encoding="utf-8")
    then = wheelgeo.read(text + STEP.replace("rim = 44", "rim = 2000")).solve().whorl_steps[1]
    assert (then.travel_mm, then.band_serves) == (None, False)
    assert then.says.endswith("; today's band does not serve")
