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
