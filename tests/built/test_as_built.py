"""What a band is taken to be where its file does not say."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.built.as_built import build

DESIGNS = Path(__file__).parents[2] / "designs"


@pytest.mark.parametrize(("stretch", "least"), [(0.03, 0.01), (0.01, 0.01), (0.005, 0.0025)])
def test_a_band_put_on_slack_may_grow_to_half_of_its_own_stretch(stretch, least):
    # Cotton cord is put on with 1 to 3 % (common practice, no source).
    wheel = wheelgeo.load(DESIGNS / "flyer-wheel.toml").put("double band.stretch", stretch)
    assert build(wheel.design).bands["double band"].least_stretch == pytest.approx(least)


@pytest.mark.parametrize(
    ("name", "left_out", "what", "taken"),
    [
        ("box-wheel", 'slip = "2 %"', 'slip of band "second band"', "0 % in ratio and twist"),
        ("flyer-wheel", "diameter = 16", 'diameter of shaft "bobbin"', "14 mm, a wall of 2 mm"),
    ],
)
def test_what_a_file_leaves_out_is_told_as_assumed(name, left_out, what, taken):
    text = (DESIGNS / f"{name}.toml").read_text(encoding="utf-8")
    whole, silent = (wheelgeo.read(t) for t in (text, text.replace(left_out, "", 1)))
    (told,) = [a for a in silent.run().assumed if a.what == what]
    assert told.taken.startswith(taken)
    assert all(a.what != what for a in whole.run().assumed)
    if what.startswith("slip"):  # whatever tells of ratio and twist says it alike
        assert told in silent.solve().assumed
        assert told in silent.check().assumed
        assert told in silent.bands().bands[1].assumed


@pytest.mark.parametrize("name", sorted(p.stem for p in DESIGNS.glob("*.toml")))
def test_what_is_assumed_says_where_it_comes_from_and_not_that_the_file_is_silent(name):
    """That stands above the list; and an old wheel on the page never had a file."""
    wheel = wheelgeo.load(DESIGNS / f"{name}.toml")
    bare = replace(
        wheel.design,
        shafts=tuple(replace(s, material=None, bearings=()) for s in wheel.design.shafts),
        pulleys=tuple(replace(p, material=None) for p in wheel.design.pulleys),
        bands=tuple(replace(b, slip=None, stretch=None) for b in wheel.design.bands),
        drive=replace(wheel.design.drive, radius_mm=None, treadle=None),
    )
    assumed = wheel.with_design(bare).run().assumed
    assert any(one.what.startswith("slip of band") for one in assumed)
    assert not [one for one in assumed if "the file" in one.source]
