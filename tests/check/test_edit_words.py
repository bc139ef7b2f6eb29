"""A remedy is told in the unit of the file, to be typed there as it stands."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.check.edit_words import edits_in_words
from wheelgeo.check.edits import Edit
from wheelgeo.units.written import told_in

DESIGNS = Path(__file__).parents[2] / "designs"

OLD = """
title = "Old spindle wheel of Larkfield"
unit = "{unit}"
drive = {{ shaft = "axle", by = "hand", speed = "60 rpm", turns = "clockwise" }}
spindle = {{ shaft = "spindle", kind = "tip" }}
shaft = [
  {{ name = "axle", at = [0, 0, 0], axis = [0, 1, 0], diameter = "12 mm" }},
  {{ name = "spindle", at = ["450 mm", 0, 0], axis = [0, 1, 0], diameter = "9 mm" }},
]
pulley = [
  {{ name = "wheel", shaft = "axle", offset = 0, groove = {{ shape = "vee", rim = "500 mm", depth = "6 mm", angle = 60 }} }},
  {{ name = "whorl", shaft = "spindle", offset = {offset}, groove = {{ shape = "vee", rim = "57 mm", depth = "5 mm", angle = 60 }} }},
]
band = [{{ name = "band", route = ["wheel", "whorl"], material = "cotton cord", diameter = "2.5 mm" }}]
"""  # noqa: E501 - a file as it is written


def thrown(text: str) -> list[str]:
    wheel = wheelgeo.read(text)
    return [f.remedy.says for f in wheel.solve().findings if f.rule == "mouth-spinning"]


@pytest.mark.parametrize(("unit", "offset"), [("in", "2"), ("mm", "50.8"), ("cm", "5.08")])
def test_an_offset_told_may_be_typed_bare_into_the_file(unit: str, offset: str) -> None:
    (says,) = thrown(OLD.format(unit=unit, offset=offset))
    told = re.search(rf'shift "whorl" by -\S+ {unit} along its shaft \(offset (\S+) {unit}\)', says)
    assert told is not None, says
    assert thrown(OLD.format(unit=unit, offset=told[1])) == []


def test_a_place_and_sizes_are_told_in_inches() -> None:
    """Inches of 25.4 mm exactly, by definition (international yard, 1959)."""
    design = wheelgeo.read(OLD.format(unit="in", offset="0")).design
    at = Edit("spindle.at", (450.0, 0.0, 0.0), (463.8, 0.0, 0.0))
    assert edits_in_words(design, [at]) == (
        'move shaft "spindle" 0.5433 in to the right (to x 18.2598 in)'
    )
    rim = Edit("whorl.rim", 57.0, 76.2)
    assert edits_in_words(design, [rim]) == 'make "whorl" larger, rim 3 in'


def test_sides_are_told_and_no_brackets_of_the_file() -> None:
    """Front is low y, left low x: 2 in to the right and 1 in to the front of 450, 0 mm."""
    design = wheelgeo.read(OLD.format(unit="mm", offset="0")).design
    at = Edit("spindle.at", (450.0, 0.0, 0.0), (500.8, -25.4, 0.0))
    says = edits_in_words(design, [at])
    assert says == (
        'move shaft "spindle" 50.8 mm to the right and 25.4 mm to the front '
        "(to x 500.8 mm, y -25.4 mm)"
    )
    assert told_in(says, "in") == (
        'move shaft "spindle" 2.000 in to the right and 1.000 in to the front '
        "(to x 19.717 in, y -1.000 in)"
    )


@pytest.mark.parametrize(
    ("axis", "says"),
    [
        # Angles between a unit vector and its coordinate planes are the arcs of its components.
        ((0.0, 0.99, 0.141), "by 8.1°, its back end up"),
        ((-0.05, 0.9913, 0.1219), "by 7.6°, its back end 2.9° to the left and 7° up"),
    ],
)
def test_a_tilt_is_told_by_angle_and_side_and_by_what_stays(axis: object, says: str) -> None:
    for offset, stays in (("0", 'the middle of "whorl"'), ("50.8", "its place at offset 0")):
        design = wheelgeo.read(OLD.format(unit="mm", offset=offset)).design
        told = edits_in_words(design, [Edit("spindle.axis", (0.0, 1.0, 0.0), axis)])
        assert told == f"tilt the spindle {says}, about {stays}"


def test_a_shaft_that_leans_is_told_how_much_further() -> None:
    """From 30° to 40° above the level: by 10°, and its front or back is not named beside."""
    design = wheelgeo.read(OLD.format(unit="mm", offset="0")).design
    was, shall = ((0.0, math.cos(math.radians(a)), math.sin(math.radians(a))) for a in (30, 40))
    told = edits_in_words(design, [Edit("spindle.axis", was, shall)])
    assert told.startswith("tilt the spindle by 10.0°, its back end up, about")


def test_no_remedy_tells_an_axis_as_a_vector() -> None:
    answer = wheelgeo.load(DESIGNS / "floor-wheel.toml").check()
    told = [way for f in answer.findings for way in f.remedy.ways]
    tilts = [way.says for way in told if any(e.key.endswith(".axis") for e in way.edits)]
    assert tilts
    assert not [says for says in tilts if "(axis" in says or "-0." in says]


def test_a_case_is_told_by_the_sides_at_which_it_grows() -> None:
    wheel = wheelgeo.load(DESIGNS / "travel-wheel.toml")
    edits = [Edit("case.inside", (165.0, 110.0, 52.0), (175.0, 116.0, 52.0)),
             Edit("case.corner", (0.0, 0.0, 0.0), (0.0, -6.0, 0.0))]  # fmt: skip
    assert edits_in_words(wheel.design, edits) == (
        "make the case larger by 10 mm on the right, 6 mm at the front "
        "(inside 175 × 116 × 52 mm; its lowest corner at x 0 mm, y -6 mm, z 0 mm)"
    )


def test_no_remedy_of_a_spoilt_wheel_has_the_brackets_of_a_file() -> None:
    wheel = wheelgeo.load(DESIGNS / "travel-wheel.toml").put("wheel.offset", 16.5)
    told = [f"{f.says} {f.remedy.says}" for f in wheel.check().findings]
    assert told
    assert not [words for words in told if re.search(r"[\[\]{}]|under \[", words)]
