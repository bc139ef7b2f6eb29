"""A natural frequency that was heard tells the bearings, and so the critical speeds."""

from dataclasses import replace
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.built.as_built import build
from wheelgeo.design.model import Bearing
from wheelgeo.drive.running import run_wheel
from wheelgeo.drive.whirl import spindle_whirl, tap_of

BOX = Path(__file__).resolve().parents[2] / "designs" / "box-wheel.toml"
CORD = ("cord", "cord")


def box(tapped=None, kinds=("brass", "brass"), stiffness=None):
    design = wheelgeo.load(BOX).design
    places = [b.at_mm for b in design.spindle.bearings]
    bearings = tuple(Bearing(p, k, stiffness) for p, k in zip(places, kinds, strict=True))
    spindle = replace(design.spindle, bearings=bearings, natural_frequency_hz=tapped)
    return replace(design, spindle=spindle)


def whirl(design):
    spindle = build(design).spindle
    return spindle_whirl(spindle, 8934.0)


@pytest.mark.parametrize("stiffness", [20.0, 50.0, 110.0])
def test_what_a_known_bearing_sounds_tells_that_bearing(stiffness):
    # The way back: a spindle in bearings of a known stiffness is heard, its stiffness forgotten.
    truth = whirl(box(kinds=CORD, stiffness=stiffness))
    found = whirl(box(truth.natural_hz[0], CORD))
    assert found.tap.factor * 50.0 == pytest.approx(stiffness, rel=2e-3)  # 50 N/mm: cord as usual
    for a, b in zip(truth.points, found.points, strict=True):
        assert b.critical_rpm[0] == pytest.approx(a.critical_rpm[0], rel=1e-3)


def test_it_narrows_the_critical_speeds_and_nothing_else_is_told_of_the_bearings():
    heard = whirl(box(kinds=CORD)).natural_hz[0]
    wide, narrow = (run_wheel(box(f, CORD)) for f in (None, heard))
    spread = [r.ranges.full_rpm[1] - r.ranges.full_rpm[0] for r in (wide, narrow)]
    assert spread[0] > 1000.0
    assert spread[1] < 5.0
    assert wide.ranges.full_rpm[0] < narrow.ranges.full_rpm[0] < wide.ranges.full_rpm[1]
    told = [[k.what for k in r.ranges.known if "stiffness of" in k.what] for r in (wide, narrow)]
    assert told == [["stiffness of cord bearings"], []]


def test_its_uncertainty_is_that_of_the_critical_speed():
    # The bare spindle's critical speed goes with its frequency, but for the spin of the whorl.
    wheel = wheelgeo.load(BOX).put("spindle.natural_frequency", "85 +- 2 Hz")
    low, high = run_wheel(wheel.design).ranges.empty_rpm
    assert high / low == pytest.approx(87.0 / 83.0, rel=3e-3)


def test_what_cannot_sound_so_is_told_and_reckoned_as_usual():
    spindle = build(box(190.0)).spindle
    tap = tap_of(spindle)
    assert tap.factor == 1.0
    assert "whatever its bearings" in tap.trouble
    found = [f for f in wheelgeo.load(BOX).with_design(box(190.0)).check().findings
             if f.rule == "tap"]  # fmt: skip
    assert [f.level for f in found] == ["warning"]
    heard = whirl(box()).natural_hz[0]
    near = wheelgeo.load(BOX).with_design(box(heard)).check().findings
    assert not [f for f in near if f.rule == "tap"]


def test_the_finding_names_the_key_that_settles_it():
    design = box(kinds=CORD)
    slow = replace(design, drive=replace(design.drive, speed_rpm=26.0))  # near 4 000 rpm
    soft = wheelgeo.load(BOX).with_design(slow)
    (doubtful,) = [f for f in soft.check().findings if f.rule in ("whirl", "whirl-doubtful")]
    assert "spindle.natural_frequency" in doubtful.settled_by


def test_the_file_holds_it():
    wheel = wheelgeo.load(BOX).put("spindle.natural_frequency", "93 Hz")
    assert wheel.get("spindle.natural_frequency") == 93.0
    assert wheelgeo.read(wheel.to_toml()).design == wheel.design
