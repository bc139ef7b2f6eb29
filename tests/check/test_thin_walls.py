"""A pulley of which too little would be left is warned of, and what the remedy names mends it."""

import dataclasses
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.built.as_built import build
from wheelgeo.check.report import check_design
from wheelgeo.design.reader import read_design
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
    ("shaft", "pulley", "wall"),
    [("middle", "hub", 1.2), ("spindle", "whorl", 0.5)],
)
def test_wood_wants_more_than_metal(shaft, pulley, wall):
    groove = DESIGN.pulley(pulley).groove
    bottom = groove.rim_mm - 2 * groove.depth_mm
    assert thin(with_shaft(shaft, bottom - 2 * wall)) == []
    (found,) = thin(with_shaft(shaft, bottom - 2 * wall + 0.02))
    assert found.value == pytest.approx(wall - 0.01)
    assert found.limit == wall
    assert found.where == f'pulley "{pulley}"'


def ways(finding):
    return (finding.remedy, *finding.remedy.others)


def keys(finding):
    return {one.key for way in ways(finding) for one in way.edits}


def test_every_way_that_the_remedy_names_leaves_enough():
    (found,) = thin(with_shaft("middle", 8.0))
    assert keys(found) == {"middle.diameter", "hub.rim"}
    for way in ways(found):
        assert thin(way.apply()) == []


@pytest.mark.parametrize(("shaft", "pulley", "wall"), [("middle", "hub", 0.3),
                                                       ("spindle", "whorl", 0.125)])  # fmt: skip
def test_less_than_a_quarter_of_the_least_wall_is_a_fault(shaft, pulley, wall):
    groove = DESIGN.pulley(pulley).groove
    bottom = groove.rim_mm - 2 * groove.depth_mm
    (thin_yet_held,) = thin(with_shaft(shaft, bottom - 2 * wall))
    (breaks,) = thin(with_shaft(shaft, bottom - 2 * wall + 0.02))
    assert (thin_yet_held.level, thin_yet_held.limit) == ("warning", 4 * wall)
    assert (breaks.level, breaks.limit) == ("fault", wall)
    assert "falls in two" in breaks.says
    for way in ways(breaks):
        assert thin(way.apply()) == []


def test_no_rod_is_proposed_that_leaves_next_to_nothing_of_its_whorl():
    """A rod as thick as the groove's bottom was named, and warned of."""
    wheel = wheelgeo.Wheel(DESIGN).put(
        {"whorl.rim": 8.4, "spindle.diameter": 2.6, "drive.radius": 75, "accelerator.rim": 139.7,
         "case.inside.y": 217.9}
    )  # fmt: skip
    whirls = next(f for f in wheel.check().findings if f.rule == "whirl")
    assert whirls.level == "fault"
    assert whirls.remedy.edits
    for way in whirls.remedy.ways:
        assert [f for f in way.apply().check().findings if f.rule == "thin-wall"] == []


def test_metal_is_named_only_where_it_is_enough():
    (enough,) = thin(with_shaft("middle", 7.0))
    (too_thin,) = thin(with_shaft("middle", 8.6))
    assert "hub.material" in keys(enough)
    assert "hub.material" not in keys(too_thin)


def test_limits_of_the_file_are_used():
    assert thin(with_shaft("middle", 8.0, wood_wall_mm=0.3)) == []
    assert len(thin(with_shaft("spindle", 3.5, metal_wall_mm=0.9))) == 1


def test_a_bore_of_its_own_is_what_counts_and_what_the_remedy_names():
    hub = dataclasses.replace(DESIGN.pulley("hub"), bore_mm=8.0)
    pulleys = tuple(hub if p.name == "hub" else p for p in DESIGN.pulleys)
    (found,) = thin(dataclasses.replace(DESIGN, pulleys=pulleys))
    assert found.value == pytest.approx(0.4)
    assert "hub.bore" in keys(found)
    for way in ways(found):
        assert thin(way.apply()) == []


@pytest.mark.parametrize(("shaft", "pulley"), [("middle", "hub"), ("spindle", "whorl")])
def test_the_bench_is_told_of_a_thin_wall_exactly_where_the_check_finds_one(shaft, pulley):
    for thickness in (2.0, 3.5, 3.82, 5.5, 6.2, 6.3, 7.0, 8.0):
        design = with_shaft(shaft, thickness)
        if build(design).pulleys[pulley].wall_mm <= 0.0:
            continue
        told = {w.name for w in wheels(design) if any("is left between" in n for n in w.notes)}
        assert (pulley in told) == any(pulley in f.where for f in thin(design)), thickness
