"""A pulley of which too little would be left is warned of, and what the remedy names mends it."""

import dataclasses
import re
from pathlib import Path

import pytest

from wheelgeo.check.report import check_design
from wheelgeo.design.reader import read_design

DESIGN = read_design(Path(__file__).resolve().parents[2] / "designs" / "box-wheel.toml")


def with_shaft(name, diameter, **limits):
    shafts = tuple(
        dataclasses.replace(s, diameter_mm=diameter) if s.name == name else s for s in DESIGN.shafts
    )
    return dataclasses.replace(DESIGN, shafts=shafts, limits=limits)


def thin(design):
    return [f for f in check_design(design).findings if f.rule == "thin-wall"]


@pytest.mark.parametrize(
    ("shaft", "pulley", "wall"), [("middle", "hub", 1.2), ("spindle", "whorl", 0.5)]
)
def test_wood_wants_more_than_metal(shaft, pulley, wall):
    groove = DESIGN.pulley(pulley).groove
    bottom = groove.rim_mm - 2 * groove.depth_mm
    assert thin(with_shaft(shaft, bottom - 2 * wall)) == []
    (found,) = thin(with_shaft(shaft, bottom - 2 * wall + 0.02))
    assert found.value == pytest.approx(wall - 0.01)
    assert found.limit == wall
    assert found.where == f'pulley "{pulley}"'


def test_the_rod_that_the_remedy_names_is_thin_enough():
    (found,) = thin(with_shaft("middle", 8.0))
    thickness = float(re.search(r'shaft "middle" ([\d.]+) mm thick', found.remedy)[1])
    assert thin(with_shaft("middle", thickness)) == []


def test_the_groove_that_the_remedy_names_is_large_enough():
    design = with_shaft("middle", 8.0)
    (found,) = thin(design)
    bottom = float(re.search(r"larger: ([\d.]+) mm at the bottom", found.remedy)[1])
    hub = design.pulley("hub")
    groove = dataclasses.replace(hub.groove, rim_mm=bottom + 2 * hub.groove.depth_mm)
    larger = dataclasses.replace(hub, groove=groove)
    pulleys = tuple(larger if p.name == "hub" else p for p in design.pulleys)
    assert thin(dataclasses.replace(design, pulleys=pulleys)) == []


def test_metal_is_named_only_where_it_is_enough():
    (enough,) = thin(with_shaft("middle", 7.0))
    (too_thin,) = thin(with_shaft("middle", 8.6))
    assert "metal" in enough.remedy
    assert "metal" not in too_thin.remedy


def test_limits_of_the_file_are_used():
    assert thin(with_shaft("middle", 8.0, wood_wall_mm=0.4)) == []
    assert len(thin(with_shaft("spindle", 3.5, metal_wall_mm=0.9))) == 1
