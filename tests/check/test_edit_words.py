"""A remedy is told in the unit of the file, to be typed there as it stands."""

from __future__ import annotations

import re

import pytest

import wheelgeo
from wheelgeo.check.edit_words import edits_in_words
from wheelgeo.check.edits import Edit

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
        'move shaft "spindle" 0.543 in, by [0.5433, 0, 0] in (at = [18.2598, 0, 0] in)'
    )
    rim = Edit("whorl.rim", 57.0, 76.2)
    assert edits_in_words(design, [rim]) == 'make "whorl" larger, rim 3 in'
