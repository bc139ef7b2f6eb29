"""Bands laid on steps that are there, before any part is made."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.drive.train import solve_drive
from wheelgeo.tune.directions import directions
from wheelgeo.tune.whorl_moves import whorl_moves

DESIGNS = Path(__file__).parents[2] / "designs"
FAST = """
[[pulley]]
name = "fast whorl"
shaft = "flyer"
offset = -20
width = 12
groove = { shape = "vee", rim = 46, depth = 6, angle = 50, bottom = 1 }
"""


@pytest.fixture(scope="module")
def stepped():
    text = (DESIGNS / "braked-bobbin-wheel.toml").read_text(encoding="utf-8")
    return wheelgeo.read(text + FAST)


@pytest.fixture(scope="module")
def moved(stepped):
    # The fast whorl's cord runs as deep below its rim as the slow one's: 16 mm less across.
    slow, fast = (stepped.solve()["flyer whorl.pitch"] - d for d in (0.0, 16.0))
    return stepped.retune(ratio=stepped.solve().ratio * slow / fast, most=3)


def test_the_band_is_laid_over_before_a_whorl_is_made(stepped, moved):
    first = moved.options[0]
    (change,) = first.changes
    told = change.what, change.from_, change.to
    assert told == ("drive band.route", "flyer whorl", "fast whorl")
    assert (first.parts_made, first.labour_hours, first.bands_remade) == (0, 0.0, 0)
    assert first.twist_error == pytest.approx(0.0, abs=1e-9)
    assert not [c for o in moved.options for c in o.changes if c.what == "flyer whorl.rim"]


def test_written_it_solves_to_what_was_printed_and_the_loop_is_the_same(stepped, moved):
    first = moved.options[0]
    wheel = wheelgeo.read(first.wheel.to_toml())
    answer = wheel.check()
    assert answer.ratio == pytest.approx(first.ratio, rel=1e-9)
    assert {f.rule for f in answer.findings if f.level == "fault"} == set(first.faults)
    assert {f.rule for f in answer.findings if f.level == "warning"} == set(first.warnings)
    # By hand: an open band over radii R and r at distance c.
    (travel,) = (s.to for s in first.settings if s.what == "flyer.travel")
    # the band is as tight as it was, within 2 %, and the table of whorls says the same place
    assert answer.bands[0].stretch == pytest.approx(stepped.solve().bands[0].stretch, rel=0.021)
    assert travel == pytest.approx(stepped.solve().whorl_steps[1].travel_mm, abs=0.3)
    arm = (travel - 10.0) / math.hypot(1.0, 0.64)
    apart = math.hypot(420.0 + arm, 270.0 + 0.64 * arm)
    big, small = (
        answer[f"{name}.pitch"] / 2.0 for name in ("rim", "fast whorl")
    )
    lean = math.asin((big - small) / apart)
    path = (
        2.0 * apart * math.cos(lean) + (math.pi + 2 * lean) * big + (math.pi - 2 * lean) * small
    )
    cut = stepped.solve().bands[0].cut_length_mm
    # The steps stand 14 mm apart along the axis: that lengthens a run of 0.4 m by a quarter of a
    # millimetre.
    assert path / cut - 1.0 == pytest.approx(answer.bands[0].stretch, abs=5e-4)
    assert answer.bands[0].cut_length_mm == pytest.approx(cut, abs=0.01)


def test_a_step_that_comes_nearer_leaves_the_rest_to_the_draft(stepped):
    # 9 Nm of 6 Nm takes sqrt(3/2) of the twist, 1.225. By hand: the cord of 2.5 mm lies
    # 1.25/sin 25° - 0.5/tan 25° = 1.89 mm above the bottoms of 50 and 34 mm: on 53.77 and 37.77 mm,
    # 1.424 times the ratio.
    answer = stepped.retune(count="9 Nm", only=["flyer whorl"], most=1)
    step = answer.nearest_step
    assert [c.to for c in step.changes] == ["fast whorl"]
    assert "draft 1.16 times faster at the same speed" in answer.step_in_words()
    written = wheelgeo.read(step.wheel.to_toml()).check()
    assert written.ratio == pytest.approx(step.ratio, rel=1e-12)
    told = {f.rule for f in written.findings if f.level == "warning"}
    assert (told, step.faults) == (set(step.warnings), ())
    assert answer.to_json()["nearest_step"]["ratio"] == step.ratio


def test_a_step_that_a_band_lies_on_is_not_free(stepped):
    # A wheel with one step on each shaft has no band to lay elsewhere.
    plain = wheelgeo.load(DESIGNS / "braked-bobbin-wheel.toml")
    options = plain.retune(ratio=9.0, most=3).options
    assert not [c for o in options for c in o.changes if c.what.endswith(".route")]


def test_every_pair_of_steps_of_a_double_drive_is_found_and_its_ratio_foreseen():
    text = (DESIGNS / "flyer-wheel.toml").read_text(encoding="utf-8")
    small = FAST.replace("fast whorl", "bobbin step").replace('"flyer"', '"bobbin"')
    wheel = wheelgeo.read(text + FAST + small)
    foreseen = []

    def wanted(times):
        foreseen.append(times)
        return True

    now = wheel.solve()
    laid = list(whorl_moves(directions(wheel.design)[0], wanted))
    told = [{(old, new) for _, old, new in way.changes} for way in laid]
    flyer, bobbin = ("flyer whorl", "fast whorl"), ("bobbin whorl", "bobbin step")
    # the bobbin's step alone leaves the ratio, the flyer's turns, as it is
    assert sorted(map(len, told)) == [1, 2]
    assert {flyer} in told
    assert {flyer, bobbin} in told
    for way, times in zip(laid, foreseen, strict=True):
        assert solve_drive(way.design).ratio == pytest.approx(times * now.ratio, rel=1e-12)
    # the table of whorls has the same pairs, and the one that changes the bobbin's step alone
    assert len(now.whorl_steps) == 4


def test_a_bobbin_with_a_band_of_its_own_is_turned_with_its_flyer():
    design = wheelgeo.load(DESIGNS / "two-band-wheel.toml").design
    ways = directions(replace(design, yarn=replace(design.yarn, twist="S")))
    assert len(ways) == 2  # the hand the other way, or both bands crossed
    for way in ways:
        solution = solve_drive(way.design)
        flyer, bobbin = (solution.shaft(name).speed_rpm for name in ("flyer", "bobbin"))
        assert flyer * bobbin > 0.0
        assert flyer * solve_drive(design).shaft("flyer").speed_rpm < 0.0
