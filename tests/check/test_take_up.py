"""One owner for how much a slide must take up: `check`, its remedy and `bands` agree."""

from functools import cache
from pathlib import Path

import pytest

import wheelgeo

SHIPPED = sorted((Path(__file__).resolve().parents[2] / "designs").glob("*-wheel.toml"))


@cache
def of(path):
    wheel = wheelgeo.load(path)
    return wheel, [f for f in wheel.check().findings if f.rule == "no-take-up"]


@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.stem)
def test_what_check_says_of_a_slide_is_what_bands_says(path):
    wheel, found = of(path)
    short = {f'band "{b.name}"' for b in wheel.bands().bands if not b.take_up.enough}
    assert {f.where for f in found} == short


@pytest.mark.parametrize("name", ["farm-wheel", "floor-wheel", "two-band-wheel"])
def test_the_slide_that_is_offered_is_enough_and_that_of_a_millimetre_less_is_not(name):
    _, found = of(next(p for p in SHIPPED if p.stem == name))
    finding = found[0]
    band = finding.where.split('"')[1]
    changed = finding.remedy.apply()
    took = next(b.take_up for b in changed.bands().bands if b.name == band)
    assert took.enough
    assert took.room - took.growth < 2.5 / next(b.length_mm for b in changed.bands().bands)
    assert all(one.key.endswith("slide") for one in finding.remedy.edits)
    sleeves = {s.name for s in changed.design.shafts if s.runs_on is not None}
    assert not sleeves & {one.key.partition(".")[0] for one in finding.remedy.edits}, "on their rod"


def test_a_shaft_between_two_bands_is_let_slide_for_neither():
    _, found = of(next(p for p in SHIPPED if p.stem == "box-wheel"))
    assert len(found) == 2
    keys = {edit.key for f in found for way in f.remedy.ways for edit in way.edits}
    assert "middle.slide" not in keys


def test_a_stretch_that_was_assumed_already_is_no_remedy():
    wheel = wheelgeo.old_wheel(
        wheel="21 1/2 in", groove="1/4 in", whorl="1 3/8 in", whorl_groove="3/16 in",
        apart="17 3/4 in", cord="3 mm cotton cord",
    ).wheel  # fmt: skip
    (finding,) = (f for f in wheel.check().findings if f.rule == "no-take-up")
    assert [way.edits[0].key for way in finding.remedy.ways] == ["spindle.slide"]
    changed = finding.remedy.apply()
    assert all(b.take_up.enough for b in changed.bands().bands)
