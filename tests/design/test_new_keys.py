"""Keys of flyers, sleeves, brakes and measurements: read, held to each other, written back."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.design import model as m
from wheelgeo.design.json_schema import json_schema
from wheelgeo.design.possible import faults
from wheelgeo.design.reader import parse_design
from wheelgeo.design.writer import design_to_toml, rewrite_as
from wheelgeo.errors import DesignError
from wheelgeo.numbers.inputs import get, put

FLYER = """\
title = "Ferry flyer"
unit = "in"

[drive]
shaft = "axle"
by = "hand"
speed = "50 rpm"
turns = "clockwise"
ratio = 7.5

[[shaft]]
name = "axle"
at = [0, 0, 0]
axis = [0, 1, 0]
diameter = "5/8 in"
bearings = [{ at = -2, kind = "wood" }, { at = 2, kind = "wood", stiffness = 900 }]

[[shaft]]
name = "flyer"
at = ["17 3/4 +- 1/8 in", 0, 0]   # taped twice
axis = [0, 1, 0]
diameter = 0.25
slide = { along = [1, 0, 0], from = -0.5, to = 0.5 }
bearings = [{ at = -1, kind = "leather" }, { at = 5, kind = "leather" }]

[[shaft]]
name = "bobbin"
runs_on = "flyer"

[[pulley]]
name = "rim"
shaft = "axle"
offset = 0
groove = { shape = "vee", rim = "21½ ± 1/8 in", depth = 0.25, angle = 60 }

[[pulley]]
name = "whorl"
shaft = "flyer"
offset = 0
groove = { shape = "worn", rim = 2.5, depth = 0.25, angle = 60, radius = 0.06 }

[[pulley]]
name = "bobbin whorl"
shaft = "bobbin"
offset = 0.75
groove = { shape = "flat", rim = 2, width = "3/8 in" }

[[band]]
name = "drive band"
route = ["rim", "whorl"]
material = "cotton cord"
diameter = "3 mm"
stretch = "2 +- 1 %"

[spindle]
shaft = "flyer"
kind = "flyer"
bobbin = "bobbin"

[bobbin]
empty = 1
full = 3

[[drag]]
shaft = "bobbin"
pull = "2 N"
diameter = 2.25

[case]
inside = [40, 12, 30]
corner = [-12, -6, -14]
spinner = "right"

[[measured]]
what = "drive band.length"
is = "76 1/2 +- 1/4 in"

[[measured]]
what = "ratio"
is = 8.4
"""


@pytest.fixture(scope="module")
def flyer() -> m.Design:
    return parse_design(FLYER)


def test_what_stands_there_is_read(flyer):
    assert (flyer.drive.by, flyer.drive.ratio) == ("hand", 7.5)
    assert flyer.shaft("axle").bearings == (
        m.Bearing(-50.8, "wood"), m.Bearing(50.8, "wood", 900.0),
    )  # fmt: skip
    assert flyer.bobbin == m.Bobbin(25.4, pytest.approx(76.2))
    assert flyer.drags == (m.DragBrake("bobbin", 2.0, pytest.approx(57.15)),)
    assert flyer.spindle.bobbin == "bobbin"
    assert flyer.case is not None
    assert flyer.case.spinner == "right"
    assert flyer.measured == (
        m.Measurement("drive band.length", "76 1/2 +- 1/4 in"), m.Measurement("ratio", 8.4),
    )  # fmt: skip


def test_the_spindles_bearings_may_stand_with_its_shaft(flyer):
    assert [b.at_mm for b in flyer.spindle.bearings] == [-25.4, 127.0]
    assert flyer.shaft("flyer").bearings == ()
    moved = put(flyer, {"bearing 2.at": "5 1/2 in"})
    text = rewrite_as(FLYER, moved)
    assert "at = 5.5, kind" in text
    assert parse_design(text) == moved


def test_a_sleeve_is_where_its_shaft_is(flyer):
    under, sleeve = flyer.shaft("flyer"), flyer.shaft("bobbin")
    assert (sleeve.at_mm, sleeve.axis, sleeve.slide) == (under.at_mm, under.axis, under.slide)
    assert not sleeve.diameter_given
    assert sleeve.diameter_mm > under.diameter_mm
    for changes in ({"flyer.at.x": 500.0}, {"flyer.travel": 3.0}, {"flyer.diameter": 8.0}):
        changed = put(flyer, changes)
        assert changed.shaft("bobbin").at_mm == changed.shaft("flyer").at_mm
        assert changed.shaft("bobbin").slide == changed.shaft("flyer").slide
        assert changed.shaft("bobbin").diameter_mm > changed.shaft("flyer").diameter_mm
        text = rewrite_as(FLYER, changed)
        assert parse_design(text) == changed
        assert tomllib.loads(text)["shaft"][2] == {"name": "bobbin", "runs_on": "flyer"}


def test_uncertainties_go_by_the_full_names_of_inputs(flyer):
    assert flyer.uncertainties == {
        "shaft:flyer.at.x": 3.175, "pulley:rim.rim": 3.175, "band:drive band.stretch": 0.01,
    }  # fmt: skip
    assert get(flyer, "rim.rim") == pytest.approx(546.1, rel=1e-15)
    assert get(flyer, "drive band.stretch") == 0.02


def test_what_is_written_reads_back(flyer):
    for unit in ("in", "mm", "ft"):
        in_unit = replace(flyer, unit=unit)
        assert parse_design(design_to_toml(in_unit)) == in_unit
    assert rewrite_as(FLYER, flyer) == FLYER


def test_a_number_put_anew_has_the_uncertainty_that_it_is_put_with(flyer):
    finer = put(flyer, {"rim.rim": "21 3/8 +- 1/16 in"})
    assert finer.uncertainties["pulley:rim.rim"] == pytest.approx(1.5875)
    text = rewrite_as(FLYER, finer)
    assert parse_design(text) == finer
    assert '"21.375 +- 0.0625 in"' in text
    bare = put(flyer, {"rim.rim": 540.0})
    assert "pulley:rim.rim" not in bare.uncertainties
    assert parse_design(rewrite_as(FLYER, bare)) == bare
    vector = put(flyer, {"flyer.at": ["17 1/2 +- 1/4 in", 0, "0 +- 1 mm"]})
    assert vector.uncertainties["shaft:flyer.at.x"] == pytest.approx(6.35)
    assert vector.uncertainties["shaft:flyer.at.z"] == 1.0
    assert parse_design(rewrite_as(FLYER, vector)) == vector


BROKEN = (
    ('runs_on = "flyer"', 'runs_on = "flier"', 'shaft 3 "bobbin": runs_on', 'no shaft "flier"'),
    ('runs_on = "flyer"', 'runs_on = "bobbin"', "runs_on", "in a circle"),
    ('runs_on = "flyer"', 'runs_on = "flyer"\nat = [0, 0, 0]', "at", "leave at out"),
    ('runs_on = "flyer"', 'runs_on = "flyer"\ndiameter = 0.2', "diameter", "does not go over"),
    ('bobbin = "bobbin"', 'bobbin = "bobin"', "spindle: bobbin", 'no shaft "bobin"'),
    ('bobbin = "bobbin"', 'bobbin = "flyer"', "spindle: bobbin", "a shaft of its own"),
    ('kind = "flyer"', 'kind = "tip"', "spindle: bobbin", "has no bobbin"),
    ("full = 3", "full = 0.5", "bobbin: full", "not more than"),
    ('[[drag]]\nshaft = "bobbin"', '[[drag]]\nshaft = "x"', "drag 1: shaft", 'no shaft "x"'),
    ('pull = "2 N"', 'pull = "2 mm"', "drag 1: pull", '"mm"'),
    ('spinner = "right"', 'spinner = "rigth"', "case: spinner", '"right"'),
    ('"76 1/2 +- 1/4 in"', '"long"', "measured 1: is", "is no quantity"),
    ('"2 +- 1 %"', '"2 +- 0 %"', "band 1", "must be more than 0"),
    ('"2 +- 1 %"', '"2 +- %"', "band 1", "stretch"),
    ('kind = "wood" }', 'kind = "woad" }', 'shaft 1 "axle": bearings 1 kind', '"wood"'),
    ("ratio = 7.5", "ratio = -1", "drive: ratio", "more than 0"),
    (
        'bobbin = "bobbin"\n', 'bobbin = "bobbin"\nbearings = [{ at = 0, kind = "wood" }]\n',
        'shaft 2 "flyer": bearings', "given twice",
    ),
)  # fmt: skip


@pytest.mark.parametrize(("old", "new", "place", "says"), BROKEN)
def test_what_does_not_go_together(old, new, place, says):
    assert FLYER.count(old) >= 1
    with pytest.raises(DesignError) as caught:
        parse_design(FLYER.replace(old, new, 1))
    assert place in str(caught.value)
    assert says in str(caught.value)


def test_a_wheel_made_by_hand_is_held_to_the_same(flyer):
    assert faults(flyer) == ()
    axle, spindle, sleeve = flyer.shafts
    apart = replace(flyer, shafts=(axle, spindle, replace(sleeve, at_mm=(0.0, 0.0, 9.0))))
    assert [f.key for f in faults(apart)] == ["shaft:bobbin.runs_on"]
    wrong = replace(flyer, drive=replace(flyer.drive, speed_rpm="fast", by="wind"))
    assert {f.key for f in faults(wrong)} == {"drive:speed", "drive:by"}


def test_shafts_of_one_slide_move_as_one():
    text = FLYER.replace(
        'runs_on = "flyer"',
        "at = [17.75, 1, 0]\naxis = [0, 1, 0]\ndiameter = 0.4\n"
        "slide = { along = [1, 0, 0], from = -0.5, to = 0.5 }",
    )
    moved = put(parse_design(text), {"flyer.travel": "1/4 in"})
    assert moved.shaft("bobbin").at_mm == pytest.approx((17.5 * 25.4, 25.4, 0.0))
    assert moved.shaft("bobbin").slide == moved.shaft("flyer").slide


def test_an_editor_takes_the_file_too():
    jsonschema = pytest.importorskip("jsonschema")
    validator = jsonschema.Draft202012Validator(json_schema())
    assert list(validator.iter_errors(tomllib.loads(FLYER))) == []


def test_a_joint_by_name_is_read_written_and_held_to_its_cord():
    text = (Path(__file__).parents[2] / "designs" / "box-wheel.toml").read_text("utf-8")
    cotton = 'material = "cotton cord"'
    assert text.count(cotton) == 2
    first = text.replace(cotton, f'{cotton}\njoined = "splice"', 1)
    design = parse_design(first)
    assert [b.joined for b in design.bands] == ["splice", None]
    assert parse_design(design_to_toml(design)) == design
    for wrong, says in (("hook", "cannot be joined by"), ("splize", "splice")):
        with pytest.raises(DesignError, match=says):
            parse_design(first.replace('"splice"', f'"{wrong}"'))
