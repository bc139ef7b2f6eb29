"""Rims of segments and spokes against closed forms and an independent geometry library."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, Polygon, affinity, unary_union

from wheelgeo.errors import ShapeError
from wheelgeo.geometry.built_rim import SegmentedRing, least_segments, spokes

RIM = SegmentedRing(550.0, 450.0, 12, layers=2, spare_mm=3.0)


@st.composite
def rings(draw: st.DrawFn) -> SegmentedRing:
    outer = draw(st.floats(100.0, 1200.0))
    inner = outer * draw(st.floats(0.4, 0.95))
    return SegmentedRing(outer, inner, draw(st.integers(3, 24)), spare_mm=draw(st.floats(0.0, 5.0)))


def test_hexagon_in_closed_form() -> None:
    # Six segments, R = 100, r = 80: mitre 30 degrees; long edge 2 R/sqrt(3), short edge r, width
    # R - r sqrt(3)/2, chord R.
    ring = SegmentedRing(200.0, 160.0, 6)
    assert ring.mitre_deg == pytest.approx(30.0)
    assert ring.long_edge_mm == pytest.approx(200.0 / math.sqrt(3.0))
    assert ring.short_edge_mm == pytest.approx(80.0)
    assert ring.board_width_mm == pytest.approx(100.0 - 80.0 * math.sqrt(3.0) / 2.0)
    assert ring.chord_mm == pytest.approx(100.0)
    assert ring.arc_mm == pytest.approx(100.0 * math.pi / 3.0)


def test_four_segments_are_a_frame() -> None:
    # A picture frame: mitres of 45 degrees; outer square of side 2 R.
    ring = SegmentedRing(200.0, 150.0, 4)
    assert (ring.mitre_deg, ring.long_edge_mm) == pytest.approx((45.0, 200.0))
    assert ring.short_edge_mm == pytest.approx(75.0 * math.sqrt(2.0))


@given(rings())
def test_the_trapeziums_hold_the_ring_and_do_not_overlap(ring: SegmentedRing) -> None:
    piece = Polygon(ring.outline_mm())
    share = 360.0 / ring.count
    pieces = [affinity.rotate(piece, share * i, origin=(0.0, 0.0)) for i in range(ring.count)]
    whole = unary_union([p.buffer(1e-7) for p in pieces])
    circle = Point(0.0, 0.0).buffer(ring.outer_radius_mm, quad_segs=90)
    hole = Point(0.0, 0.0).buffer(ring.inner_radius_mm + 1e-6, quad_segs=2000)
    assert circle.difference(hole).difference(whole).area < 1e-3
    assert pieces[0].intersection(pieces[1]).area < 1e-6
    assert piece.area == pytest.approx(ring.trapezium_area_mm2, rel=1e-12)
    x1, y1, x2, y2 = piece.bounds
    assert (x2 - x1, y2 - y1) == pytest.approx((ring.long_edge_mm, ring.board_width_mm), rel=1e-12)


@given(rings())
def test_no_narrower_board_would_hold_the_ring(ring: SegmentedRing) -> None:
    """The corner where inner circle and mitre meet lies on the board's edge, the middle above."""
    corner = ring.outline_mm()[1]
    assert math.hypot(*corner) == pytest.approx(ring.inner_radius_mm, rel=1e-12)
    assert ring.outer_radius_mm - ring.board_width_mm == pytest.approx(corner[1], rel=1e-9)


@given(rings())
def test_mitres_close_the_ring(ring: SegmentedRing) -> None:
    (x1, y1), (x2, y2) = ring.outline_mm()[1:3]
    slope = math.degrees(math.atan2(x2 - x1, y2 - y1))
    assert slope == pytest.approx(ring.mitre_deg, abs=1e-6)
    assert 2.0 * ring.mitre_deg * ring.count == pytest.approx(360.0)
    assert ring.chord_mm < ring.arc_mm < ring.long_edge_mm


@given(rings())
def test_waste_is_the_share_outside_the_ring(ring: SegmentedRing) -> None:
    rest = ring.count * ring.trapezium_area_mm2 * (1.0 - ring.waste)
    square = math.pi * (ring.outer_mm**2 - ring.inner_mm**2) / 4.0
    assert rest == pytest.approx(square, rel=1e-12)
    assert 0.0 < ring.waste < 1.0


def test_waste_falls_towards_none_with_the_number_of_segments() -> None:
    waste = [SegmentedRing(500.0, 400.0, n).waste for n in (3, 4, 6, 8, 12, 24, 96, 960)]
    assert waste == sorted(waste, reverse=True)
    assert waste[-1] < 1e-4


@given(rings(), st.floats(1.02, 3.0))
def test_fewest_segments_out_of_a_board(ring: SegmentedRing, wider: float) -> None:
    board = wider * (ring.outer_radius_mm - ring.inner_radius_mm)
    fewest = least_segments(ring.outer_mm, ring.inner_mm, board, ring.spare_mm)
    assert replace(ring, count=fewest).board_width_mm <= board + 1e-6
    if fewest > 3:
        assert replace(ring, count=fewest - 1).board_width_mm > board - 1e-6


def test_a_board_narrower_than_the_rim_gives_no_segment() -> None:
    with pytest.raises(ShapeError, match="no wider than the rim's 50 mm"):
        least_segments(550.0, 450.0, 50.0)


@pytest.mark.parametrize(
    "wrong",
    [
        {"count": 2}, {"layers": 0}, {"inner_mm": 550.0}, {"inner_mm": 0.0}, {"outer_mm": math.nan},
        {"spare_mm": -1.0}, {"spare_mm": 225.0},
    ],
)  # fmt: skip
def test_what_is_no_ring(wrong: dict[str, float]) -> None:
    with pytest.raises(ShapeError):
        replace(RIM, **wrong)


def test_spokes_reach_from_hub_to_rim() -> None:
    # Hub 80, rim inside 450: 185 mm between shoulders, 25 and 20 mm of tenons.
    made = spokes(8, 80.0, 450.0, 25.0, 20.0)
    assert [s.direction_deg for s in made] == pytest.approx([45.0 * i for i in range(8)])
    assert {(s.shoulder_mm, s.length_mm, s.dish_deg) for s in made} == {(185.0, 230.0, 0.0)}


def test_dished_spokes_are_longer() -> None:
    # 3-4-5: 120 mm out, 160 mm along: 200 mm at 36.87 degrees.
    (spoke, *_) = spokes(6, 80.0, 400.0, 20.0, 15.0, dish_mm=120.0)
    assert spoke.shoulder_mm == pytest.approx(200.0)
    assert spoke.dish_deg == pytest.approx(math.degrees(math.atan(0.75)))


def test_no_spoke_stands_at_a_joint() -> None:
    made = spokes(8, 80.0, 450.0, 25.0, 20.0, segments=RIM.count)
    # 12 segments, every second layer turned by half of one
    joints = [15.0 * i for i in range(24)]
    for spoke in made:
        assert min(abs((spoke.direction_deg - j + 180.0) % 360.0 - 180.0) for j in joints) > 1.0
    with pytest.raises(ShapeError, match="at 30 degrees stands at a joint"):
        spokes(16, 80.0, 450.0, 25.0, 20.0, segments=12)


def test_spokes_that_cannot_be() -> None:
    with pytest.raises(ShapeError, match="tenons of 40 mm meet"):
        spokes(8, 80.0, 450.0, 40.0, 20.0)
    with pytest.raises(ShapeError, match="make no wheel"):
        spokes(8, 80.0, 80.0, 20.0, 20.0)
    with pytest.raises(ShapeError, match="make no wheel"):
        spokes(1, 80.0, 450.0, 20.0, 20.0)
