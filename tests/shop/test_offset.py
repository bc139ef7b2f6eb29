"""Kerf moves true arcs and lines, outward for parts and inward for holes, once."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from wheelgeo.errors import ShapeError
from wheelgeo.geometry.segments import Arc, Line
from wheelgeo.shop.floor import slot
from wheelgeo.shop.offset import NOTHING_MM, offset, with_kerf
from wheelgeo.shop.outlines import Circle, Outline, Part, polygon_outline, rectangle

NOTCH = polygon_outline(
    [(0, 0), (30, 0), (30, 20), (18, 20), (18, 10), (12, 10), (12, 20), (0, 20)]
)


def test_a_square_grown_has_quarter_circles_at_its_corners() -> None:
    grown = offset(rectangle((0, 0, 20, 10)), 1.0)
    assert isinstance(grown, Outline)
    assert grown.area_mm2 == pytest.approx(22 * 12 - (4 - math.pi), rel=1e-14)
    assert grown.length_mm == pytest.approx(60 + 2 * math.pi, rel=1e-14)
    assert [round(s.sweep_deg) for s in grown.segments if isinstance(s, Arc)] == [90] * 4


def _is_an_offset(by: float) -> bool:
    return abs(by) > NOTHING_MM  # less is no offset at all


@given(
    st.floats(0.5, 20.0),
    st.floats(2.0, 60.0),
    st.floats(-0.2, 3.0).filter(_is_an_offset),
    st.floats(-180, 180),
)
@settings(max_examples=60, deadline=None)
def test_a_slot_offset_is_the_wider_slot(
    width: float, length: float, by: float, turn: float
) -> None:
    end = (length * math.cos(math.radians(turn)), length * math.sin(math.radians(turn)))
    moved = offset(slot((0.0, 0.0), end, width), by)
    wide = width + 2.0 * by
    assert moved.area_mm2 == pytest.approx(length * wide + math.pi / 4 * wide**2, rel=1e-9)
    assert len(moved.segments) == 4


@pytest.mark.parametrize("by", [0.1, 1.0, 2.9, -0.1, -1.0, -4.0])
def test_corners_in_and_out_agree_with_a_buffer_of_fine_chords(by: float) -> None:
    ours = offset(NOTCH, by).area_mm2
    theirs = Polygon(NOTCH.points(0.1)).buffer(by, quad_segs=3000).area
    assert ours == pytest.approx(theirs, rel=1e-6)


def test_growing_in_two_steps_is_growing_once() -> None:
    square = rectangle((0, 0, 20, 10))  # convex: an inner corner grown and shrunk comes out round
    there, back = offset(offset(square, 0.75), -0.5), offset(square, 0.25)
    assert there.area_mm2 == pytest.approx(back.area_mm2, rel=1e-12)
    assert there.length_mm == pytest.approx(back.length_mm, rel=1e-12)


@pytest.mark.parametrize("by", [3.1, 5.0, -6.1, -20.0])
def test_a_cut_too_wide_for_the_shape_is_refused(by: float) -> None:
    with pytest.raises(ShapeError, match="wide"):
        offset(NOTCH, by)


def test_an_inner_arc_smaller_than_the_cutter_is_refused() -> None:
    bay = Outline(
        (
            *rectangle((0, 0, 20, 20)).segments[:2],
            Line((20, 20), (12, 20)),
            Arc((10.0, 20.0), 2.0, 0.0, 180.0, counter_clockwise=False),
            Line((8, 20), (0, 20)),
            Line((0, 20), (0, 0)),
        )
    )
    assert offset(bay, 1.9).area_mm2 > bay.area_mm2
    with pytest.raises(ShapeError, match="too fine"):
        offset(bay, 2.1)


def test_kerf_is_taken_once_and_on_the_waste_side() -> None:
    part = Part(
        "plate",
        "plate",
        rectangle((0, 0, 100, 50)),
        holes=(Circle((50, 25), 10.0),),
        drills=(Circle((20, 25), 3.0),),
    )
    cut = with_kerf(part, 0.4)
    assert cut.outside is not None
    assert cut.outside.box == pytest.approx((-0.2, -0.2, 100.2, 50.2))
    assert cut.holes == (Circle((50, 25), 9.8),)
    assert cut.drills == part.drills  # a drill makes its own size
    assert with_kerf(part, 0.0) == part


def test_a_kerf_wider_than_a_hole_or_below_nothing_is_refused() -> None:
    part = Part("plate", "plate", rectangle((0, 0, 9, 9)), holes=(Circle((4, 4), 0.1),))
    with pytest.raises(ShapeError, match=r"round hole of 0\.2 mm"):
        with_kerf(part, 0.3)
    with pytest.raises(ShapeError, match="less than nothing"):
        with_kerf(part, -0.1)
