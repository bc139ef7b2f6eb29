"""Gauges are the negatives of their grooves; the banding board is right by the path solver."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box

from wheelgeo.design.model import Design, FlatRim, RoundGroove, Stock, VeeGroove
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import ShapeError
from wheelgeo.geometry.groove import CutGroove
from wheelgeo.geometry.path import PitchCircle, solve_path
from wheelgeo.shop.jigs import (
    HANDLE_MM,
    banding_board,
    disc_blanks,
    gauge_outline,
    groove_gauges,
    peg_spacing_mm,
    sheets_of,
)
from wheelgeo.shop.outlines import Arc
from wheelgeo.shop.section import half_section, wheels
from wheelgeo.shop.tables import band_rows

GROOVES = st.one_of(
    st.builds(VeeGroove, st.just(100.0), st.floats(1, 9), st.floats(20, 90), st.floats(0, 5)),
    st.builds(RoundGroove, st.just(100.0), st.floats(1, 9), st.floats(0.5, 6)),
)


@given(groove=GROOVES)
@settings(max_examples=100, deadline=None)
def test_a_gauge_is_a_plate_and_what_fills_the_groove(groove: CutGroove) -> None:
    width = groove.mouth_mm + 16.0
    tongue = gauge_outline(groove, width).area_mm2 - width * HANDLE_MM
    if isinstance(groove, VeeGroove):
        expected = 0.5 * groove.depth_mm * (groove.bottom_mm + groove.mouth_mm)
    else:
        assert isinstance(groove, RoundGroove)
        r, d = groove.radius_mm, groove.depth_mm
        half = math.acos(max(r - d, 0.0) / r)
        expected = r * r * (half - math.sin(half) * math.cos(half)) + 2.0 * r * max(d - r, 0.0)
    assert tongue == pytest.approx(expected, rel=1e-9, abs=1e-9)


def test_a_gauge_fills_the_groove_of_the_half_section(bench: Design) -> None:
    """Laid on the section, gauge and pulley overlap nowhere and leave no gap in the groove."""
    for index in (0, 1):  # the vee and the round groove
        wheel = wheels(bench)[index]
        pulley = wheel.pulleys[0]
        section = Polygon(half_section(bench, wheel).points(1e-5))
        outline = gauge_outline(pulley.groove, pulley.groove.mouth_mm + 3.0)  # type: ignore[arg-type]
        rim = 0.5 * pulley.groove.rim_mm  # type: ignore[union-attr]
        gauge = Polygon([(14.0 + x, rim - y) for x, y in outline.points(1e-5)])
        assert section.intersection(gauge).area < 1e-3
        low, _, high, _ = gauge.bounds
        ring = box(low, rim - 8.0, high, rim)
        assert ring.difference(section.union(gauge)).area < 1e-3


def test_a_round_gauge_has_a_true_arc(bench: Design) -> None:
    gauge = next(g for g in groove_gauges(bench) if g.name == "hub gauge")
    assert gauge.outside is not None
    assert [s.radius_mm for s in gauge.outside.segments if isinstance(s, Arc)] == [2.0]


def test_flat_rims_and_layers_need_no_gauge(bench: Design) -> None:
    assert [g.name for g in groove_gauges(bench)] == ["wheel gauge", "hub gauge", "disc gauge"]
    layers = replace(bench.pulleys[0], build="layers")
    names = [g.name for g in groove_gauges(replace(bench, pulleys=(layers, *bench.pulleys[1:])))]
    assert "wheel gauge" not in names


def test_a_flat_rim_has_no_gauge_outline() -> None:
    with pytest.raises(ShapeError, match="needs a groove"):
        gauge_outline(FlatRim(50.0, 9.0), 30.0)


@given(st.floats(80, 4000), st.floats(0.5, 5), st.floats(2, 10))
@settings(max_examples=80, deadline=None)
def test_a_band_on_its_pegs_has_its_length_by_the_path_solver(
    length: float, cord: float, peg: float
) -> None:
    spacing = peg_spacing_mm(length, cord, peg)
    radius, up = 0.5 * (peg + cord), (0.0, 0.0, 1.0)
    pegs = [PitchCircle(str(x), (x, 0.0, 0.0), up, radius, 1) for x in (0.0, spacing)]
    assert solve_path(pegs).length_mm == pytest.approx(length, rel=1e-12)


def test_the_board_has_two_pegs_for_each_band_at_the_cut_length(bench: Design) -> None:
    solution = solve_drive(bench)
    board = banding_board(solution)
    rows = band_rows(solution)
    assert len(board.drills) == 2 * len(rows)
    for i, row in enumerate(rows):
        left, right = board.drills[2 * i : 2 * i + 2]
        apart = math.dist(left.centre, right.centre)
        once = 2.0 * apart + math.pi * (2.0 * left.radius_mm + row.band.diameter_mm)
        assert once == pytest.approx(row.path_mm / (1.0 + (row.band.stretch or 0.0)), rel=1e-12)


def test_short_bands_get_thinner_pegs() -> None:
    with pytest.raises(ShapeError, match="too short for 10 mm pegs"):
        peg_spacing_mm(50.0, 2.0, 10.0)
    assert peg_spacing_mm(50.0, 2.0, 3.0) > 6.0


def with_sheets(design: Design, *thick_mm: float) -> Design:
    """Return a wheel with sheets at hand, its wheel of plywood and 9 mm wide."""
    first = replace(design.pulleys[0], width_mm=9.0, material="plywood")
    sheets = tuple(Stock(f"ply {t:g}", 600.0, 400.0, t, "plywood") for t in thick_mm)
    return replace(
        design, pulleys=(first, *design.pulleys[1:]), shop=replace(design.shop, sheets=sheets)
    )


def test_a_disc_as_wide_as_a_sheet_is_thick_is_sawn_from_that_sheet(bench: Design) -> None:
    design = with_sheets(bench, 6.0, 9.0)
    (blank,) = disc_blanks(design)
    rim = design.pulleys[0].groove.rim_mm
    assert (blank.name, blank.thickness_mm) == ("wheel blank", 9.0)
    assert rim + 6.0 <= blank.box[2] - blank.box[0] < rim + 7.0
    layout = sheets_of(solve_drive(design))
    on = [s.stock.name for s in layout.sheets if blank.name in {p.name for p in s.parts}]
    assert on == ["ply 9"]
    assert not disc_blanks(with_sheets(bench, 6.0, 12.0))
    assert not disc_blanks(bench)


def test_a_gauge_is_thin_whatever_sheets_there_are(bench: Design) -> None:
    thick, both = with_sheets(bench, 9.0), with_sheets(bench, 4.0, 9.0)
    assert {g.thickness_mm for g in groove_gauges(thick)} == {3.0}
    assert "offcut of any stiff sheet" in groove_gauges(thick)[0].notes[-1]
    assert not any("gauge" in words for words in sheets_of(solve_drive(thick)).unplaced)
    assert {g.thickness_mm for g in groove_gauges(both)} == {4.0}
    laid = {p.name for s in sheets_of(solve_drive(both)).sheets for p in s.parts}
    assert {g.name for g in groove_gauges(both)} <= laid
