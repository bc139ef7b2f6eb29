"""What one library wrote, others read: areas, lengths and counts come back.

Readers: trimesh's own DXF reader (arcs as three points, circles as closed arcs), and GDAL's
``ogrinfo`` where the machine has it. Areas and lengths are held against closed forms of the groove,
not against the outlines that were written.
"""

from __future__ import annotations

import io
import math
import re
import shutil
import subprocess
from collections import Counter
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from wheelgeo.design.model import (
    Band,
    Case,
    Design,
    Drive,
    FlatRim,
    Pulley,
    RoundGroove,
    Shaft,
    Slide,
    Spindle,
    Stop,
    VeeGroove,
)
from wheelgeo.shop.dxf import dxf_bytes
from wheelgeo.shop.plan import plan_sheet
from wheelgeo.shop.pulleys import pulley_sheet
from wheelgeo.shop.section import wheels

UP = (0.0, 0.0, 1.0)
BORE, WIDTH = 8.0, 12.0


def design(cased: bool = True) -> Design:
    grooves = {
        "vee": VeeGroove(120.0, 5.0, 40.0, 1.0),
        "shallow": RoundGroove(90.0, 2.0, 3.0),
        "deep": RoundGroove(70.0, 6.0, 3.0),
        "flat": FlatRim(50.0, WIDTH),
    }
    shafts = tuple(
        Shaft(f"{name} shaft", (100.0 + 150.0 * i, 100.0, 0.0), UP, 8.0)
        for i, name in enumerate(grooves)
    )
    sliding = Shaft("sliding", (100.0, 200.0, 0.0), UP, 6.0, Slide((1.0, 0.0, 0.0), -4.0, 9.0))
    pulleys = tuple(
        Pulley(name, f"{name} shaft", 20.0, groove, width_mm=WIDTH, bore_mm=BORE)
        for name, groove in grooves.items()
    )
    bands = (Band("band", (Stop("vee"), Stop("flat")), "cotton cord", 3.0),)
    drive = Drive("vee shaft", "crank", 60.0, "clockwise")
    case = Case((700.0, 250.0, 60.0), (0.0, 0.0, 0.0)) if cased else None
    return Design(
        "Readers", "mm", drive, (*shafts, sliding), pulleys, bands,
        Spindle("flat shaft", "tip"), case=case,
    )  # fmt: skip


def closed_form(name: str) -> tuple[float, float, float]:
    """Area and length of the half-section, and the rim radius, by hand."""
    tan, cos = math.tan(math.radians(20.0)), math.cos(math.radians(20.0))
    half = math.acos(1.0 / 3.0)  # of the arc of the shallow groove: 1 mm of 3 is cut off
    chord = 2.0 * 3.0 * math.sin(half)
    rim, groove, mouth, edge = {
        "vee": (60.0, 5.0 * (1.0 + 5.0 * tan), 1.0 + 10.0 * tan, 1.0 + 10.0 / cos),
        "shallow": (45.0, 9.0 * (half - math.sin(half) * math.cos(half)), chord, 6.0 * half),
        "deep": (35.0, 18.0 + 4.5 * math.pi, 6.0, 6.0 + 3.0 * math.pi),
        "flat": (25.0, 0.0, 0.0, 0.0),
    }[name]
    tall = rim - 0.5 * BORE
    return WIDTH * tall - groove, 2.0 * (WIDTH + tall) - mouth + edge, rim


def read(content: bytes) -> Any:
    return trimesh.load(io.BytesIO(content), file_type="dxf", process=False)


def section_pieces(path: Any) -> list[Any]:
    """Return the points of each piece of the half-section, in order round it.

    trimesh drops the layer of a polyline that has bulges or comes from R12; what has none and
    stands right of the face, above the axis, is the section.
    """
    loose = [
        path.vertices[e.points]
        for e in path.entities
        if type(e).__name__ != "Text" and str(e.layer) in ("None", "PROFILE")
    ]
    pieces = [p for p in loose if p[:, 1].min() > 0.0]
    chain = [pieces.pop(0)]
    while pieces:
        ends = [
            (math.dist(chain[-1][-1], p[k]), n, k) for n, p in enumerate(pieces) for k in (0, -1)
        ]
        gap, n, k = min(ends)
        assert gap < 1e-9, "the outline does not close"
        piece = pieces.pop(n)
        chain.append(piece if k == 0 else piece[::-1])
    assert math.dist(chain[-1][-1], chain[0][0]) < 1e-9
    return chain


def is_arc(points: Any) -> bool:
    """Whether three points of a piece are an arc rather than two lines: our arcs are rounder."""
    return len(points) == 3 and abs(_segment_area(points)) > 0.1


def area_and_length(pieces: list[Any]) -> tuple[float, float]:
    """Green's theorem over lines and three-point arcs, as the reader gives them."""
    area = length = 0.0
    for points in pieces:
        chord = points
        if is_arc(points):
            area += _segment_area(points)
            length += _arc_length(points)
            chord = points[[0, 2]]
        else:
            length += float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
        x, y = chord[:, 0], chord[:, 1]
        area += 0.5 * float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]))
    return abs(area), length


def _circle(points: Any) -> tuple[float, float, float]:
    """Turn, radius and sweep of the arc through three points."""
    (ax, ay), (bx, by), (cx, cy) = points
    a, b, c = (math.dist(points[i], points[j]) for i, j in ((1, 2), (0, 2), (0, 1)))
    turn = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    radius = a * b * c / (2.0 * abs(turn))
    sweep = 2.0 * sum(math.asin(min(1.0, side / 2.0 / radius)) for side in (a, c))
    return turn, radius, sweep


def _segment_area(points: Any) -> float:
    """Signed area between an arc and its chord."""
    turn, radius, sweep = _circle(points)
    return math.copysign(0.5 * radius**2 * (sweep - math.sin(sweep)), turn)


def _arc_length(points: Any) -> float:
    _, radius, sweep = _circle(points)
    return radius * sweep


@pytest.mark.parametrize("version", ["R2010", "R12"])
@pytest.mark.parametrize("name", ["vee", "shallow", "deep", "flat"])
def test_trimesh_reads_the_half_section_exactly(name: str, version: Any) -> None:
    made = design()
    wheel = next(w for w in wheels(made) if w.name == name)
    path = read(dxf_bytes(pulley_sheet(made, wheel), version))
    area, length, rim = closed_form(name)
    pieces = section_pieces(path)
    found_area, found_length = area_and_length(pieces)
    assert found_area == pytest.approx(area, rel=1e-9)
    assert found_length == pytest.approx(length, rel=1e-9)
    assert max(float(p[:, 1].max()) for p in pieces) == pytest.approx(rim, rel=1e-9)


@pytest.mark.parametrize("version", ["R2010", "R12"])
def test_trimesh_reads_true_circles_of_the_right_size(version: Any) -> None:
    made = design()
    for wheel in wheels(made):
        path = read(dxf_bytes(pulley_sheet(made, wheel), version))
        circles = {
            str(e.layer): float(e.center(path.vertices).radius)
            for e in path.entities
            if type(e).__name__ == "Arc" and e.closed
        }
        rim = closed_form(wheel.name)[2]
        assert circles == pytest.approx({"CUT_INSIDE": 0.5 * BORE, "CUT_OUTSIDE": rim}, rel=1e-9)


@pytest.mark.parametrize("version", ["R2010", "R12"])
def test_trimesh_takes_the_file_for_millimetres(version: Any) -> None:
    path = read(dxf_bytes(plan_sheet(design()), version))
    assert path.units == "millimeters"


def test_trimesh_finds_every_hole_of_the_floor() -> None:
    path = read(dxf_bytes(plan_sheet(design(cased=False))))
    drills = [e for e in path.entities if str(e.layer) == "DRILL"]
    centres = sorted(
        tuple(round(float(x), 9) for x in e.center(path.vertices).center) for e in drills
    )
    assert [b[0] - a[0] for a, b in pairwise(centres)] == pytest.approx([150.0] * 3)
    assert len({y for _, y in centres}) == 1
    slot = [e for e in path.entities if type(e).__name__ == "Arc" and not e.closed]
    assert [float(e.center(path.vertices).radius) for e in slot] == pytest.approx([3.1, 3.1])
    assert {round(float(e.length(path.vertices)), 9) for e in slot} == {round(3.1 * math.pi, 9)}


@pytest.mark.skipif(shutil.which("ogrinfo") is None, reason="GDAL's ogrinfo is not on this machine")
@pytest.mark.parametrize("version", ["R2010", "R12"])
def test_gdal_counts_the_same_entities_on_the_same_layers(tmp_path: Path, version: Any) -> None:
    made = design()
    for sheet in (plan_sheet(made), *(pulley_sheet(made, w) for w in wheels(made))):
        file = tmp_path / "sheet.dxf"
        file.write_bytes(dxf_bytes(sheet, version))
        run = subprocess.run(
            ["ogrinfo", "-ro", "-al", str(file)], capture_output=True, text=True, check=True
        )
        found = Counter(re.findall(r"^  Layer \(String\) = (\S+)$", run.stdout, re.MULTILINE))
        # this reader takes dimensions apart into their lines, and points without a picture
        sizes, _ = found.pop("DIMENSION"), found.pop("Defpoints")
        wanted = Counter(item.layer for item in sheet.items)
        assert sizes > wanted.pop("DIMENSION")
        assert found == wanted
        assert "ERROR" not in run.stderr


@pytest.mark.skipif(shutil.which("ogrinfo") is None, reason="GDAL's ogrinfo is not on this machine")
def test_gdal_finds_the_floor_where_it_is(tmp_path: Path) -> None:
    file = tmp_path / "floor.dxf"
    file.write_bytes(dxf_bytes(plan_sheet(design())))
    where = "Layer = 'CUT_OUTSIDE'"
    run = subprocess.run(
        ["ogrinfo", "-ro", "-al", "-where", where, str(file)],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert "Feature Count: 1" in run.stdout
    assert "LINESTRING (0 0,718 0,718 268,0 268,0 0)" in run.stdout
