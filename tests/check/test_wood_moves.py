"""Wood that moves over a year is said, with a remedy that can be carried out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.built.as_built import build
from wheelgeo.built.assumed import Chosen
from wheelgeo.check.report import check_whole
from wheelgeo.design.reader import read_design
from wheelgeo.design.wood import equilibrium_moisture

BOX = read_design(Path(__file__).parents[2] / "designs" / "box-wheel.toml")


def moves(design):
    return [f for f in check_whole(design).findings if f.rule == "wood-moves"]


def made_of(material, **limits):
    pulleys = tuple(replace(p, material=material) if p.name == "wheel" else p for p in BOX.pulleys)
    return replace(BOX, pulleys=pulleys, limits=limits)


def test_a_disc_from_one_board_goes_oval_by_the_handbooks_coefficient():
    """Sugar maple, 0.00353 a point tangentially and 0.002/30 along: the wheel of 181.3 mm."""
    (found,) = moves(made_of("maple"))
    made, dry, damp = (equilibrium_moisture(h) for h in (0.50, 0.30, 0.65))
    worst = max(abs(made - dry), abs(damp - made))
    assert found.value == pytest.approx(181.3 * (0.00353 - 0.002 / 30.0) * worst, rel=1e-9)
    assert found.where == 'pulley "wheel"'
    assert found.level == "note"


def test_plywood_is_said_nothing_of_and_the_remedy_works():
    assert moves(made_of("plywood")) == []
    (found,) = moves(made_of("maple"))
    mended = found.remedy.apply()
    assert mended is not None
    assert moves(mended) == []


def test_the_near_miss_is_not_named():
    (found,) = moves(made_of("maple"))
    assert moves(made_of("maple", out_of_round_mm=found.value + 1e-6)) == []
    assert len(moves(made_of("maple", out_of_round_mm=found.value - 1e-6))) == 1


FLOOR = read_design(Path(__file__).parents[2] / "designs" / "floor-wheel.toml")


def built(how):
    made = tuple(replace(p, build=how) if p.name == "rim" else p for p in FLOOR.pulleys)
    return replace(FLOOR, pulleys=made)


def test_a_large_wheel_is_built_from_segments_where_the_file_is_silent_and_stays_round():
    assert build(FLOOR).pulleys["rim"].making.value == "segments"
    assert [a.taken for a in build(FLOOR).pulleys["rim"].making.assumed]
    assert build(FLOOR).pulleys["whorl"].making == Chosen("turned")
    assert moves(FLOOR) == []


@pytest.mark.parametrize("how", ["turned", "boards"])
def test_a_large_wheel_of_boards_moves_and_the_remedy_is_segments(how):
    (found,) = moves(built(how))
    assert found.remedy.edits[0].key == "rim.build"
    mended = found.remedy.apply()
    assert build(mended).pulleys["rim"].making.value == "segments"
    assert moves(mended) == []


TRAVEL = read_design(Path(__file__).parents[2] / "designs" / "travel-wheel.toml")


def test_layers_of_solid_wood_are_told_of_and_those_of_plywood_are_not():
    """White oak, 0.00365 a point tangentially: the wheel of 100 mm, its grain all one way."""
    assert moves(TRAVEL) == []
    oak = tuple(replace(p, material="oak") if p.name == "wheel" else p for p in TRAVEL.pulleys)
    (found,) = moves(replace(TRAVEL, pulleys=oak))
    made, dry, damp = (equilibrium_moisture(h) for h in (0.50, 0.30, 0.65))
    worst = max(abs(made - dry), abs(damp - made))
    assert found.value == pytest.approx(100.0 * (0.00365 - 0.002 / 30.0) * worst, rel=1e-9)
    assert "square across that of the cheeks" in found.says
    assert moves(found.remedy.apply()) == []
