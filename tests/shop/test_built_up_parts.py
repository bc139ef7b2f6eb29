"""The pieces of a built-up wheel: segments that close to a ring, boards that hold the wheel."""

from __future__ import annotations

import io
import math
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from shapely import affinity
from shapely.geometry import Point, Polygon
from shapely.ops import unary_union

from wheelgeo.design.reader import DesignError, parse_design, read_design
from wheelgeo.shop.built_up_parts import built_up_parts
from wheelgeo.shop.dxf import dxf_bytes
from wheelgeo.shop.notes_in import note_in
from wheelgeo.shop.paper import described
from wheelgeo.shop.part_files import part_sheet
from wheelgeo.shop.section import wheels
from wheelgeo.units.written import told_in

DESIGNS = Path(__file__).parents[2] / "designs"
FLOOR = read_design(DESIGNS / "floor-wheel.toml")
FLYER = read_design(DESIGNS / "flyer-wheel.toml")


def large(design, how=None):
    made = tuple(replace(p, build=how) if how and p.name == "rim" else p for p in design.pulleys)
    design = replace(design, pulleys=made)
    return built_up_parts(design, wheels(design)[0])


def cut(part):
    """Return a part's outline as another library reads it from its cut file."""
    document = ezdxf.read(io.StringIO(dxf_bytes(part_sheet(part.name, [part])).decode("utf-8")))
    (outside,) = document.modelspace().query('LWPOLYLINE[layer=="CUT_OUTSIDE"]')
    return Polygon([(x, y) for x, y, *_ in outside.get_points()])


@pytest.mark.parametrize(("design", "rim"), [(FLOOR, 560.0), (FLYER, 480.0)])
def test_segments_as_cut_close_to_a_ring_that_holds_the_rim(design, rim):
    """Laid side by side, each turned by 360/n about the wheel's middle, they neither gape nor meet,

    and the finished rim lies within them with 3 mm to spare: by areas, not by the closed form.
    """
    segment, middle = large(design)
    shape, count = cut(segment), segment.quantity // 2
    x1, _, x2, high = shape.bounds
    inner = 2.0 * middle.outside.radius_mm
    above = 0.5 * rim + 3.0 - high
    shape = affinity.translate(shape, -0.5 * (x1 + x2), above)
    ring = [affinity.rotate(shape, 360.0 * i / count, origin=(0, 0)) for i in range(count)]
    assert ring[0].intersection(ring[1]).area < 1e-6
    assert ring[0].distance(ring[1]) < 1e-6
    whole = unary_union([piece.buffer(1e-6) for piece in ring])
    wanted = Point(0, 0).buffer(0.5 * rim + 2.99, 512) - Point(0, 0).buffer(0.5 * inner - 2.99, 512)
    assert wanted.difference(whole).area < 1e-3
    assert f"{180.0 / count:.4g}\N{DEGREE SIGN}" in segment.notes[0]
    assert segment.grain == "along"
    assert segment.thickness_mm * 2 == pytest.approx(28.0 + 6.0), "3 mm to turn on either face"


def test_a_size_in_inches_is_that_of_the_outline_and_not_of_rounded_millimetres():
    """By ten rims: rounded to a tenth of a millimetre, every other would be off by a thousandth."""
    for rim in (0.05 * i + 560.0 for i in range(10)):
        grooves = (replace(p, groove=replace(p.groove, rim_mm=rim)) if p.name == "rim" else p
                   for p in FLOOR.pulleys)  # fmt: skip
        _, middle = large(replace(FLOOR, pulleys=tuple(grooves)))
        inner = 2.0 * middle.outside.radius_mm
        assert f"fit it, {inner:.1f}".removesuffix(".0") in middle.notes[0]
        assert f"fit it, {inner / 25.4:.3f} in," in note_in(middle.notes[0], "in")
        x1, _, x2, _ = middle.box
        assert f"{(x2 - x1) / 25.4:.3f} × " in told_in(described(middle), "in", fits=True)


def test_arcs_of_the_finished_rim_are_drawn_on_the_segment():
    segment, middle = large(FLOOR)
    outer, inner = segment.engraved
    assert outer.radius_mm == pytest.approx(280.0)
    assert inner.radius_mm == pytest.approx(middle.outside.radius_mm)


def test_boards_hold_the_blank_and_battens_lie_within_the_wheel():
    board, batten = large(FLOOR, "boards")
    _, _, long, wide = board.box
    assert long == pytest.approx(566.0)
    assert board.quantity * wide == pytest.approx(566.0)
    assert wide <= 120.0
    _, _, length, width = batten.box
    corner = math.hypot(0.5 * length, 560.0 / 4.0 + 0.5 * width)
    assert corner < 280.0 - 7.0, "it must end short of the groove"


@pytest.mark.parametrize("how", ["turned", "layers"])
def test_what_is_not_built_up_has_no_pieces(how):
    assert large(FLOOR, how) == ()


def test_a_small_wheel_is_not_built_up():
    text = (DESIGNS / "floor-wheel.toml").read_text(encoding="utf-8")
    small = text.replace('name = "whorl"\n', 'name = "whorl"\nbuild = "segments"\n')
    with pytest.raises(DesignError, match="32 mm has no room for segments"):
        parse_design(small)
