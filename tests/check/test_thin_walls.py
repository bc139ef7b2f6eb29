"""A pulley of which too little would be left is warned of, and what the remedy names mends it."""

import dataclasses
import re
from pathlib import Path

import pytest

from wheelgeo.check.report import check_design
from wheelgeo.design.reader import read_design
from wheelgeo.geometry.extents import wall_mm
from wheelgeo.shop.section import wheels

DESIGN = read_design(Path(__file__).resolve().parents[2] / "designs" / "box-wheel.toml")


def with_shaft(name, diameter, **limits):
    shafts = tuple(
        dataclasses.replace(s, diameter_mm=diameter) if s.name == name else s for s in DESIGN.shafts
    )
    return dataclasses.replace(DESIGN, shafts=shafts, limits=limits)


def thin(design):
    return [f for f in check_design(design).findings if f.rule == "thin-wall"]


@pytest.mark.parametrize(
    ("shaft", "pulley", "wall", "gap"),
    [("middle", "hub", 1.2, 0.2), ("spindle", "whorl", 0.5, 0.0)],
)
def test_wood_wants_more_than_metal_and_is_bored_with_a_gap(shaft, pulley, wall, gap):
    groove = DESIGN.pulley(pulley).groove
    bottom = groove.rim_mm - 2 * groove.depth_mm - gap
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
    assert thin(with_shaft("middle", 8.0, wood_wall_mm=0.3)) == []
    assert len(thin(with_shaft("spindle", 3.5, metal_wall_mm=0.9))) == 1


def test_a_bore_of_its_own_is_what_counts_and_what_the_remedy_names():
    hub = dataclasses.replace(DESIGN.pulley("hub"), bore_mm=8.0)
    pulleys = tuple(hub if p.name == "hub" else p for p in DESIGN.pulleys)
    (found,) = thin(dataclasses.replace(DESIGN, pulleys=pulleys))
    assert found.value == pytest.approx(0.4)
    bore = float(re.search(r"bore it ([\d.]+) mm or less", found.remedy)[1])
    bored = dataclasses.replace(hub, bore_mm=bore)
    pulleys = tuple(bored if p.name == "hub" else p for p in DESIGN.pulleys)
    assert thin(dataclasses.replace(DESIGN, pulleys=pulleys)) == []


@pytest.mark.parametrize(("shaft", "pulley"), [("middle", "hub"), ("spindle", "whorl")])
def test_the_bench_is_told_of_a_thin_wall_exactly_where_the_check_finds_one(shaft, pulley):
    for thickness in (2.0, 3.5, 3.82, 5.5, 6.2, 6.3, 7.0, 8.0):
        design = with_shaft(shaft, thickness)
        if wall_mm(design, design.pulley(pulley)) <= 0.0:
            continue
        told = {w.name for w in wheels(design) if any("is left between" in n for n in w.notes)}
        assert (pulley in told) == any(pulley in f.where for f in thin(design)), thickness
