"""The drilling plan: where shafts stand in the floor."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wheelgeo.check.answer import Answer
from wheelgeo.design.model import Case, Design, Shaft, Slide
from wheelgeo.design.reader import read_design
from wheelgeo.shop.drafting import Item, Measure, items_box, shape_box
from wheelgeo.shop.floor import EDGE_MM, floor_of, footings, slot
from wheelgeo.shop.notes_in import note_in
from wheelgeo.shop.outlines import Circle, Label, Line, Outline, Part
from wheelgeo.shop.plan import floor_part, plan_rows, plan_sheet
from wheelgeo.shop.rod_seats import seats

Checked = Callable[[str], Answer]
DESIGNS = Path(__file__).parents[2] / "designs"
CASE = Case((400.0, 190.0, 60.0), (10.0, -5.0, -10.0))


def with_spindle(design: Design, **changes: object) -> Design:
    last = replace(design.shafts[2], **changes)  # type: ignore[arg-type]
    return replace(design, shafts=(*design.shafts[:2], last), case=CASE)


def floor(design: Design) -> Part:
    return floor_part(replace(design, case=CASE))


def test_blocks_are_pricked_out_from_the_left_and_front_edge(bench: Design) -> None:
    """Edges are those of the board: the walls stand on it, 9 mm thick, round the inside."""
    part = floor(bench)
    rows = {row.what: row for row in plan_rows(replace(bench, case=CASE))}
    assert rows["block main"].at == pytest.approx((99.0, 104.0))
    assert rows["block middle"].at == pytest.approx((239.0, 104.0))
    assert part.outside is not None
    assert part.outside.area_mm2 == pytest.approx(418.0 * 208.0)
    edges = [piece for piece in part.engraved if isinstance(piece, Line)]
    assert len(edges) == 8  # two blocks of four edges; the spindle stands in bridges
    assert len(part.engraved) == 8 + 2 * 3  # and the recess of each upright rod, two half circles


def test_dimensions_give_every_distance_from_both_edges(bench: Design) -> None:
    sheet = plan_sheet(replace(bench, case=CASE))
    sizes = [i.shape for i in sheet.items if isinstance(i.shape, Measure)]
    across = [s.length_mm for s in sizes if not s.upright]
    # at 329 the spindle's end stands on the floor, between its bridges
    assert across == pytest.approx([99.0, 239.0, 329.0, 418.0])
    assert [s.length_mm for s in sizes if s.upright] == pytest.approx([104.0, 208.0])
    texts = [i.shape.text for i in sheet.items if isinstance(i.shape, Label)]
    assert all(distance in texts for distance in ("99.00", "239.00"))  # the table


def test_a_table_of_a_stand_has_its_plan(checked: Checked) -> None:
    design = checked("floor-wheel").design
    part = floor_part(design)
    assert part.name == "table"
    rows = plan_rows(design)
    stands = {row.what for row in rows if not row.for_screws}
    assert stands == {"post axle 1", "post axle 2", "post spindle"}
    x1, y1, x2, y2 = part.box
    assert all(x1 < row.at[0] < x2 and y1 < row.at[1] < y2 for row in rows)


def test_a_sliding_shaft_gets_a_slot_of_true_arcs(bench: Design) -> None:
    slide = Slide((0.6, 0.8, 0.0), -5.0, 15.0)
    part = floor_part(replace(with_spindle(bench, slide=slide), case=None))
    (hole,) = part.holes
    assert isinstance(hole, Outline)
    assert [type(s).__name__ for s in hole.segments] == ["Line", "Arc", "Line", "Arc"]
    assert hole.area_mm2 == pytest.approx(20.0 * 4.2 + math.pi * 2.1**2, rel=1e-12)
    assert len(part.drills) == 2


@given(st.floats(1, 200), st.floats(-180, 180), st.floats(0.5, 30))
@settings(max_examples=60, deadline=None)
def test_slots_have_the_closed_form(length: float, turn: float, width: float) -> None:
    end = (3.0 + length * math.cos(turn), 4.0 + length * math.sin(turn))
    made = slot((3.0, 4.0), end, width)
    assert made.area_mm2 == pytest.approx(length * width + math.pi / 4 * width**2, rel=1e-9)
    assert made.length_mm == pytest.approx(2.0 * length + math.pi * width, rel=1e-9)


def test_a_lying_shaft_gets_its_centre_line_and_supports(bench: Design) -> None:
    design = with_spindle(bench, axis=(0.0, 1.0, 0.0), at_mm=(330.0, 60.0, 20.0))
    floor = floor_of(design)
    foot = footings(design, floor)[2]
    assert foot.cut is None
    line = foot.engraved[0]
    assert isinstance(line, Line)
    assert line.start[0] == line.end[0] == 320.0
    assert "axis 30 mm above the floor" in foot.note


def test_a_height_in_inches_is_that_of_the_shaft_and_not_of_rounded_millimetres(
    bench: Design,
) -> None:
    """30.96 mm are 1.219 in, the 31 mm that are told 1.220 in."""
    design = with_spindle(bench, axis=(0.0, 1.0, 0.0), at_mm=(330.0, 60.0, 20.96))
    note = footings(design, floor_of(design))[2].note
    assert note.startswith("axis 31 mm above")
    assert note_in(note, "in").startswith("axis 1.219 in above")


def test_a_lying_shaft_that_slides_says_how_far(bench: Design) -> None:
    slide = Slide((1.0, 0.0, 0.0), -5.0, 15.0)
    design = with_spindle(bench, axis=(0.0, 1.0, 0.0), at_mm=(330.0, 60.0, 20.0), slide=slide)
    note = footings(design, floor_of(design))[2].note
    assert note.endswith("slides -5 to 15 mm to the right")


def test_a_slanting_shaft_is_pricked_where_it_meets_the_floor(bench: Design) -> None:
    lean = (math.sin(math.radians(30.0)), 0.0, math.cos(math.radians(30.0)))
    design = with_spindle(bench, axis=lean, at_mm=(330.0, 60.0, 0.0))
    foot = footings(design, floor_of(design))[2]
    assert foot.at == pytest.approx((320.0 - 10.0 * math.tan(math.radians(30.0)), 65.0))
    assert "leans 30.00 deg from upright, to the right" in foot.note
    assert len(foot.engraved) == 2


def test_a_slanting_shaft_that_leans_past_the_floor_is_no_hole_to_drill(bench: Design) -> None:
    lean = (math.sin(math.radians(88.0)), 0.0, math.cos(math.radians(88.0)))
    design = with_spindle(bench, axis=lean, at_mm=(330.0, 60.0, 40.0))
    foot = footings(design, floor_of(design))[2]
    assert foot.at == pytest.approx((320.0, 65.0))
    assert foot.size.startswith("no hole")
    assert "make a holder for it of your own" in foot.note
    assert not foot.engraved


def test_a_shaft_that_stands_beyond_the_floor_is_said_and_not_drilled(bench: Design) -> None:
    design = with_spindle(bench, at_mm=(409.0, 60.0, 0.0))
    feet = footings(design, floor_of(design))
    assert "beyond the floor: not drilled" in feet[2].note
    assert feet[2].cut is None


def test_shafts_on_one_axis_share_one_hole_of_the_thicker(bench: Design) -> None:
    sleeve = Shaft("sleeve", (100.0, 90.0, 30.0), (0.0, 0.0, -1.0), 12.0)
    design = replace(bench, shafts=(*bench.shafts, sleeve), case=CASE)
    feet = footings(design, floor_of(design))
    assert [f.shafts for f in feet] == ["main, sleeve", "middle", "spindle"]
    assert feet[0].cut == Circle((90.0, 95.0), 6.1)


def test_without_a_case_the_floor_reaches_round_everything_and_says_so(bench: Design) -> None:
    floor = floor_of(bench)
    # the wheel's rim, 80 mm round x = 100, y = 90, is farthest left, front and back
    assert floor.corner_mm[:2] == (20.0 - EDGE_MM, 10.0 - EDGE_MM)
    assert floor.size_mm == pytest.approx((330.0 + 6.0 - 20.0 + 2 * EDGE_MM, 160.0 + 2 * EDGE_MM))
    assert "no case" in floor.note


@pytest.mark.parametrize("name", ["box-wheel", "flyer-wheel", "book-wheel", "travel-wheel"])
def test_no_text_lies_on_other_text(name: str, checked: object) -> None:
    report = checked(name)  # type: ignore[operator]
    labels = [i for i in plan_sheet(report.design).items if isinstance(i.shape, Label)]
    for i, a in enumerate(labels):
        for b in labels[:i]:
            assert not _cover(a, b), (a.shape, b.shape)


def _cover(a: Item, b: Item) -> bool:
    x1, y1, x2, y2 = shape_box(a.shape)
    u1, v1, u2, v2 = shape_box(b.shape)
    return x1 < u2 and u1 < x2 and y1 < v2 and v1 < y2


def test_the_square_and_the_notes_stand_clear_of_the_table(bench: Design) -> None:
    items = plan_sheet(bench).items
    square = next(i for i in items if i.layer == "REFERENCE" and isinstance(i.shape, Outline))
    others = [i for i in items if i.shape is not square.shape and isinstance(i.shape, Line)]
    assert square.shape.box[3] < items_box(others)[1]


def test_an_upright_rod_stands_on_brass_as_wide_as_it_travels() -> None:
    """Sheet wheel: 6 + 4 mm under the main rod; 5 + 5 + 4 = 14 under the one that slides by 5 mm,
    but its screws' slots begin 7.5 - 2.5 / 2 = 6.25 mm from it, and 0.5 mm of wood stays between:
    2 x 5.75 = 11.5. The spindle hangs in its collar."""
    found = seats(read_design(DESIGNS / "sheet-wheel.toml"))
    assert [(s.rod, s.across_mm) for s in found] == [("main", 10.0), ("middle", 11.0)]
    rows = {r.what: r for r in plan_rows(read_design(DESIGNS / "sheet-wheel.toml"))}
    seat, block = rows["seat of rod main"], rows["block main"]
    assert seat.work == "recess 10 mm, 1 mm deep"
    assert seat.at == pytest.approx(block.at)
    # the middle of a travel from -2 to 3 mm is half a millimetre right of where it is drawn
    assert rows["seat of rod middle"].at[0] == pytest.approx(rows["block middle"].at[0] + 0.5)
