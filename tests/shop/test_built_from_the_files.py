"""A wheel is built from the files of its set, by who never saw the model: cut, placed, turned.

Outlines, holes and profiles are read from the cut files by another library; solids and their
intersections are made by a general one for solids (manifold3d), and each step of the order of work
is walked in samples, which is another method than the sweeps by which it was found.
"""

from __future__ import annotations

import csv
import io
import json
import math
from functools import cache
from itertools import combinations
from pathlib import Path

import ezdxf
import ezdxf.path
import numpy as np
import pytest
from manifold3d import CrossSection, FillRule
from shapely.geometry import LineString, Polygon

from wheelgeo.check.answering import answer_of
from wheelgeo.check.report import check_design
from wheelgeo.design.reader import read_design
from wheelgeo.geometry.path import PitchCircle, solve_path
from wheelgeo.shop.bench_set import MakeOptions, plan_make

DESIGNS = sorted((Path(__file__).parents[2] / "designs").glob("*.toml"))
ROUND = 256
"""Sides of a circle: a 16 mm rod then bulges out of its chords by less than a thousandth."""
TOUCH_MM3 = 2.0
"""Less than this is the roughness of such polygons, not an overlap."""
SOON = ("box-wheel", "flyer-wheel")
"""Built at every run; all others in the long tests."""
EACH = [
    pytest.param(p, id=p.stem, marks=() if p.stem in SOON else pytest.mark.long) for p in DESIGNS
]


@cache
def files(path):
    report = check_design(read_design(path))
    wanted = MakeOptions(only=("dxf", "parts", "assembly", "tables", "facts"))
    return {f.name: f.content for f in plan_make(answer_of(report), wanted)}


@cache
def document(path, name):
    return ezdxf.read(io.StringIO(files(path)[name].decode("utf-8")))


def told(path):
    return json.loads(files(path)["assembly.json"])


def points(entity):
    return [(p.x, p.y) for p in ezdxf.path.make_path(entity).flattening(0.005)][:-1]


def circle(centre, radius):
    """Return a polygon round a hole, which leaves room for the whole circle."""
    wide = radius / math.cos(math.pi / ROUND)
    turns = [2.0 * math.pi * i / ROUND for i in range(ROUND)]
    return [(centre[0] + wide * math.cos(t), centre[1] + wide * math.sin(t)) for t in turns]


def placed(solid, origin, x_axis, y_axis, z_axis):
    columns = np.array([x_axis, y_axis, z_axis, origin], dtype=float).T
    return solid.transform(columns)


def board(path, one):
    """Return a board as cut: its outline less its holes, as thick as it is told to be."""
    space = document(path, one["file"]).modelspace()
    (outside,) = [e for e in space if e.dxf.layer == "CUT_OUTSIDE"]
    holes = [e for e in space.query("CIRCLE") if e.dxf.layer in ("DRILL", "CUT_INSIDE")]
    loops = [points(outside), *(circle(h.dxf.center, h.dxf.radius) for h in holes)]
    solid = CrossSection(loops, FillRule.EvenOdd).extrude(one["high"] - one["low"])
    x, y = np.array(one["x_axis"]), np.array(one["y_axis"])
    z = np.cross(x, y)
    whole = placed(solid, np.array(one["origin"]) + one["low"] * z, x, y, z)
    if "half" not in one:
        return whole
    # sawn through level, through the middle of its one hole
    (hole,) = holes
    height = float((np.array(one["origin"]) + hole.dxf.center.x * x + hole.dxf.center.y * y)[2])
    up = 1.0 if one["half"] == "upper" else -1.0
    return whole.trim_by_plane((0.0, 0.0, up), up * height)


def revolved(outline, origin, axis):
    """Return what an outline of (place, radius) sweeps round an axis."""
    rising = [(max(r, 0.0), z) for z, r in outline]
    solid = CrossSection([rising], FillRule.NonZero).revolve(ROUND)
    axis = np.array(axis)
    x = np.cross(axis, (1.0, 0.0, 0.0) if abs(axis[0]) < 0.9 else (0.0, 1.0, 0.0))
    x /= np.linalg.norm(x)
    return placed(solid, origin, x, np.cross(axis, x), axis)


def profile(path, one):
    """Return the profile of a pulley as its cut file has it, from its left face."""
    space = document(path, one["file"]).modelspace()
    found = [e for e in space.query("LWPOLYLINE") if e.dxf.layer == "PROFILE"]
    if not found:  # of one glued up from layers nothing is cut in this file
        found = [e for e in space.query("LWPOLYLINE") if min(y for _, y in points(e)) > 0.0]
    (outline,) = (points(e) for e in found)
    left = min(x for x, _ in outline)
    return [(x - left, y) for x, y in outline]


@cache
def solids(path):
    found = {one["name"]: board(path, one) for one in told(path)["boards"]}
    for one in told(path)["turned"]:
        found[one["name"]] = revolved(one["outline"], one["origin"], one["axis"])
    for one in told(path)["pulleys"]:
        found[one["name"]] = revolved(profile(path, one), one["left_face"], one["axis"])
    return found


def meet(a, b):
    """Return the volume that two solids share, mm3; boxes apart share none."""
    low, high = np.array(a.bounding_box()), np.array(b.bounding_box())
    if (low[:3] >= high[3:]).any() or (high[:3] >= low[3:]).any():
        return 0.0
    return (a ^ b).volume()


@pytest.mark.parametrize("path", EACH)
def test_what_is_cut_and_placed_meets_nowhere(path):
    for (name, a), (other, b) in combinations(solids(path).items(), 2):
        assert a.volume() > 0.0, name
        assert meet(a, b) < TOUCH_MM3, (name, other, meet(a, b))


@pytest.mark.parametrize("path", EACH)
def test_every_step_can_be_reached_from_the_one_before(path):
    found, standing, bands = solids(path), {}, set()
    assert told(path)["cannot_be_put_together"] == []
    for step in told(path)["steps"]:
        assert step["says"].endswith(".")
        if step["kind"] == "band":
            bands.add(step["put"])
            continue
        unit = {name: found[name] for name in step["bodies"]}
        for far in (0.0, 0.5, 2.0, 6.0, 15.0, 40.0, 100.0, 250.0, 600.0):
            if far and step["drawn_out_along"] is None:
                continue
            way = far * np.array(step["drawn_out_along"] or (0.0, 0.0, 0.0))
            for name, solid in unit.items():
                there = solid.translate(tuple(way))
                for other, stands in standing.items():
                    assert meet(there, stands) < TOUCH_MM3, (step["put"], name, other, far)
        standing |= unit
    assert standing.keys() == found.keys()
    assert bands == {row["band"] for row in rows(path)}


def rows(path):
    return list(csv.DictReader(io.StringIO(files(path)["bands.csv"].decode("utf-8"))))


def pitch_radius(path, pulley, cord):
    """Return where the cord's centre comes to lie: as deep as a round cord goes into the profile.

    The profile grown by the cord's radius is where its centre cannot be.
    """
    one = next(p for p in told(path)["pulleys"] if pulley in p["grooves"])
    barred = Polygon(profile(path, one)).buffer(0.5 * cord, quad_segs=256)
    middle = one["grooves"][pulley]
    down = LineString([(middle, 0.0), (middle, 10_000.0)]).intersection(barred)
    return down.bounds[3], one


@pytest.mark.parametrize("path", EACH)
def test_the_pulleys_as_cut_give_the_bands_their_lengths(path):
    design = read_design(path)
    for row in rows(path):
        band = design.band(row["band"])
        circles = []
        for stop in band.route:
            radius, one = pitch_radius(path, stop.pulley, float(row["cord_diameter_mm"]))
            axis = np.array(one["axis"])
            centre = np.array(one["left_face"]) + one["grooves"][stop.pulley] * axis
            circles.append((stop, radius, tuple(axis), tuple(centre)))
        length = solve_path(
            [PitchCircle(s.pulley, c, a, r, sense(path, s.pulley)) for s, r, a, c in circles]
        ).length_mm
        assert length == pytest.approx(float(row["path_length_mm"]), abs=0.15), row["band"]


def sense(path, pulley):
    facts = json.loads(files(path)["facts.json"])
    shaft = next(p["shaft"] for p in told(path)["pulleys"] if pulley in p["grooves"])
    speed = next(s["speed_rpm"] for s in facts["shafts"] if s["name"] == shaft)
    return 1 if speed > 0 else -1


@pytest.mark.parametrize("path", EACH)
def test_the_pulleys_as_cut_give_the_ratio(path):
    """Driver over driven, band by band from the hand: in tenths of a per cent."""
    facts = json.loads(files(path)["facts.json"])
    design = read_design(path)
    turns = {design.drive.shaft: 1.0}
    for _ in rows(path):
        for row in rows(path):
            names = [s.pulley for s in design.band(row["band"]).route]
            found = [pitch_radius(path, n, float(row["cord_diameter_mm"])) for n in names]
            known = [(r, one["shaft"]) for r, one in found if one["shaft"] in turns]
            for radius, one in found:
                if known and one["shaft"] not in turns:
                    turns[one["shaft"]] = turns[known[0][1]] * known[0][0] / radius
    ratio, shaft = facts["ratio_without_slip"], design.spindle.shaft
    if shaft not in turns:  # a braked flyer: the band drives its bobbin
        shaft = design.spindle.bobbin
        ratio = facts["wind_on"]["empty"]["bobbin_turns_per_drive_turn"]
    assert turns[shaft] == pytest.approx(abs(ratio), rel=2e-3)
