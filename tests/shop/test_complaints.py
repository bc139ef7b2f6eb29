"""What cutting shops and hobbyists complain of, one test each, over the whole set of cut files.

The complaints are those of public issue threads about cut files: no unit, circles in little
lines, lines drawn twice, outlines that do not close, text on the cutting layer, kerf taken twice.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf.document import Drawing

from wheelgeo.check.answering import answer_of
from wheelgeo.check.report import check_design
from wheelgeo.design.model import Design, Lightening, Shop
from wheelgeo.design.reader import read_design
from wheelgeo.shop.bench_set import MakeOptions, plan_make

DESIGNS = Path(__file__).parents[2] / "designs"
CUTS = ("dxf", "parts", "jigs", "sheets", "tables")


def whole_wheel() -> Design:
    design = read_design(DESIGNS / "box-wheel.toml")
    layered = replace(design.pulleys[0], build="layers", lightening=Lightening(5, 30.0, 100.0))
    shop = Shop(kerf_mm=0.2, reel=True)
    return replace(design, pulleys=(layered, *design.pulleys[1:]), shop=shop)


@pytest.fixture(scope="module", params=["R2010", "R12"])
def files(request: Any) -> dict[str, Drawing]:
    report = check_design(whole_wheel())
    made = plan_make(answer_of(report), MakeOptions(only=CUTS, dxf=request.param))
    return {
        f.name: ezdxf.read(io.StringIO(f.content.decode("utf-8")))
        for f in made
        if f.name.endswith(".dxf")
    }


def cuts(files: dict[str, Drawing]) -> Iterator[tuple[str, Any]]:
    for name, document in files.items():
        for entity in document.modelspace():
            if "CUT" in entity.dxf.layer:
                yield name, entity


def test_the_set_is_the_whole_one(files: dict[str, Drawing]) -> None:
    for stem in ("pulley-wheel", "floor", "part-wheel-core", "part-wheel-cheek", "part-crank",
                 "part-support-spindle-1-to-2", "part-reel-arm", "banding-board", "groove-gauges",
                 "bands"):  # fmt: skip
        assert f"{stem}.dxf" in files
    assert any(name.startswith("sheet-1-") for name in files)


def test_no_file_is_without_its_unit(files: dict[str, Drawing]) -> None:
    for name, document in files.items():
        assert document.header.get("$INSUNITS", 4) == 4, name
        texts = [e.dxf.text for e in document.modelspace().query("TEXT")]
        assert any("100 mm" in text for text in texts), name
    assert "$INSUNITS" in _raw()


def _raw() -> str:
    report = check_design(whole_wheel())
    (file, *_) = plan_make(answer_of(report), MakeOptions(only=("dxf",), dxf="R12"))
    return file.content.decode("utf-8")


def test_no_circle_is_broken_into_little_lines(files: dict[str, Drawing]) -> None:
    round_ones = 0
    for name, entity in cuts(files):
        kind = entity.dxftype()
        assert kind in ("CIRCLE", "LWPOLYLINE", "POLYLINE"), name
        if kind == "CIRCLE":
            round_ones += 1
        else:
            # a wall with a notch and fingers at both ends has 16 edges, and its outer corners are
            # rounded by the kerf; no outline of ours has more pieces
            assert len(entity) <= 26, (name, len(entity))
    assert round_ones > 20


def test_no_line_is_drawn_twice(files: dict[str, Drawing]) -> None:
    for name, document in files.items():
        seen: set[object] = set()
        for entity in document.modelspace():
            key = _key(entity)
            assert key not in seen, (name, key)
            seen.add(key)


def _key(entity: Any) -> object:
    kind = entity.dxftype()
    if kind == "CIRCLE":
        return (kind, *_near(entity.dxf.center), round(entity.dxf.radius, 6))
    if kind == "ARC":
        turns = round(entity.dxf.start_angle, 6), round(entity.dxf.end_angle, 6)
        return (kind, *_near(entity.dxf.center), round(entity.dxf.radius, 6), *turns)
    if kind == "LINE":
        return (kind, frozenset((_near(entity.dxf.start), _near(entity.dxf.end))))
    if kind == "TEXT":
        return (kind, entity.dxf.text, _near(entity.dxf.align_point))
    if kind == "DIMENSION":
        ends = (_near(entity.dxf.defpoint2), _near(entity.dxf.defpoint3))
        return (kind, *ends, _near(entity.dxf.defpoint), entity.dxf.text)
    points = _corners(entity)
    return (kind, frozenset((round(x, 6), round(y, 6), round(b, 6)) for x, y, b in points))


def _corners(polyline: Any) -> list[tuple[float, float, float]]:
    """Return x, y and bulge of each corner."""
    if polyline.dxftype() == "LWPOLYLINE":
        return list(polyline.get_points("xyb"))
    dxf = [vertex.dxf for vertex in polyline.vertices]
    return [(d.location.x, d.location.y, d.get("bulge", 0.0)) for d in dxf]


def _near(p: Any) -> tuple[float, float]:
    return round(p[0], 6), round(p[1], 6)


def test_every_outline_closes(files: dict[str, Drawing]) -> None:
    for name, entity in cuts(files):
        if entity.dxftype() == "LWPOLYLINE":
            assert entity.closed, name
        elif entity.dxftype() == "POLYLINE":
            assert entity.is_closed, name


def test_no_text_is_on_a_cutting_layer(files: dict[str, Drawing]) -> None:
    for name, document in files.items():
        for entity in document.modelspace().query("TEXT MTEXT"):
            assert "CUT" not in entity.dxf.layer, name
            assert entity.dxf.layer != "DRILL", name


def test_kerf_is_taken_on_the_sheets_alone_and_once(files: dict[str, Drawing]) -> None:
    for name, document in files.items():
        radii = {
            round(e.dxf.radius, 6)
            for e in document.modelspace().query("CIRCLE")
            if e.dxf.layer == "CUT_INSIDE"
        }
        if name.startswith("sheet-"):
            assert name.endswith("kerf-0.2-mm.dxf")
            assert 15.0 not in radii
        elif name == "part-wheel-core.dxf":
            assert 15.0 in radii
    on_sheets = {
        round(e.dxf.radius, 6)
        for name, document in files.items()
        if name.startswith("sheet-")
        for e in document.modelspace().query("CIRCLE")
        if e.dxf.layer == "CUT_INSIDE"
    }
    assert 14.9 in on_sheets


def test_colours_tell_the_layers_apart(files: dict[str, Drawing]) -> None:
    for document in files.values():
        used = {e.dxf.layer for e in document.modelspace()}
        colours = [document.layers.get(layer).color for layer in used]
        assert len(set(colours)) == len(used)


def test_holes_come_before_outlines(files: dict[str, Drawing]) -> None:
    for document in files.values():
        layers = [e.dxf.layer for e in document.modelspace()]
        inside = [i for i, layer in enumerate(layers) if layer in ("CUT_INSIDE", "DRILL")]
        outside = [i for i, layer in enumerate(layers) if layer == "CUT_OUTSIDE"]
        assert not inside or not outside or max(inside) < min(outside)


def test_every_file_carries_the_100_mm_square(files: dict[str, Drawing]) -> None:
    for name, document in files.items():
        squares = []
        for entity in document.modelspace():
            if entity.dxf.layer == "REFERENCE" and entity.dxftype() in ("LWPOLYLINE", "POLYLINE"):
                points = _corners(entity)
                wide = max(p[0] for p in points) - min(p[0] for p in points)
                tall = max(p[1] for p in points) - min(p[1] for p in points)
                squares.append((round(wide, 6), round(tall, 6)))
        assert (100.0, 100.0) in squares, name
