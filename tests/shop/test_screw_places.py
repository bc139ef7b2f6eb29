"""Where the screws and bolts of boards stand: every one on a drawing, none in another's way."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.design.reader import read_design
from wheelgeo.shop.board_parts import base_of, board_part, boards
from wheelgeo.shop.fastenings import post_bolts, screwed
from wheelgeo.shop.outlines import Circle
from wheelgeo.shop.plan import floor_part, plan_rows, slots
from wheelgeo.shop.rod_seats import seats
from wheelgeo.shop.screw_places import contact, edge_screws_mm, screw_holes, without_place
from wheelgeo.shop.sheet_shopping import screw_rows
from wheelgeo.shop.sheet_words import BoardWork, before_assembly

DESIGNS = Path(__file__).parents[2] / "designs"
BOX = read_design(DESIGNS / "box-wheel.toml")
FARM = read_design(DESIGNS / "farm-wheel.toml")
SHEET = read_design(DESIGNS / "sheet-wheel.toml")
EACH = sorted(DESIGNS.glob("*.toml"))


def named(design, name):
    return next(b for b in boards(design) if b.name == name)


def gap(a, b):
    """Return the room between two holes, each a circle or the box of a slot, mm."""
    (ax, ay, au, av), (bx, by, bu, bv) = a.box, b.box
    if isinstance(a, Circle) and isinstance(b, Circle):
        return math.dist(a.centre, b.centre) - a.radius_mm - b.radius_mm
    return max(ax - bu, bx - au, ay - bv, by - av)


@pytest.mark.parametrize("path", EACH, ids=lambda p: p.stem)
def test_every_screw_has_its_place_and_no_hole_meets_another(path):
    design = read_design(path)
    assert without_place(design) == ()
    for board in boards(design):
        part = floor_part(design) if board is base_of(design) else board_part(design, board)
        for a, b in combinations((*part.drills, *part.holes), 2):
            assert gap(a, b) > 0.5, (board.name, a, b)
        x0, y0, x1, y1 = part.outside.box
        for hole in part.drills:
            x, y, u, v = hole.box
            assert x0 < x < u < x1
            assert y0 < y < v < y1


@pytest.mark.parametrize("path", EACH, ids=lambda p: p.stem)
def test_as_many_holes_as_screws_are_to_be_bought_each_within_what_it_holds(path):
    design = read_design(path)
    found = {b.name: b for b in bodies(build(design))}
    counted = {}
    for board in boards(design):
        for one in screw_holes(design, board):
            held = one.board if board.kind == "bed" else one.holds
            counted[held] = counted.get(held, 0) + len(one.at)
            x0, y0, x1, y1 = contact(board, found[one.holds])
            assert all(x0 < x < x1 and y0 < y < y1 for x, y in one.at)
    assert counted
    for name, count in counted.items():
        held = found[name]
        assert count == (post_bolts(held, found) or screwed(held, found)).count


def test_the_plan_has_the_screws_of_walls_blocks_and_posts():
    """Wall: 406 mm, so four at 406/8 and every 406/4; a quarter in: two in opposite corners."""
    rows = [r for r in plan_rows(BOX) if r.for_screws]
    front = next(r for r in rows if r.what == "screws of wall front")
    assert front.at == pytest.approx((406.0 / 8.0, 4.5))
    assert front.bored_mm == 3.0
    assert "the first of 4, each 101.5 mm further to the right; sunk from below" in front.note
    block = [r.at for r in rows if r.what == "screws of block main"]
    # 24 mm wide round a bush of 12: half way from corner (16.97 off) to bush (6 off) is 11.49
    off = [math.dist(p, (302.0, 104.0)) for p in block]
    assert off == pytest.approx([11.485, 11.485], abs=1e-3)
    post = [r for r in plan_rows(FARM) if r.what == "bolts of post axle 1"]
    # the post is 60 mm wide at 518: 15 mm from either end
    assert [(r.at[0], r.bored_mm) for r in post] == [(pytest.approx(503.0), 6.5)]
    assert "the first of 2, each 30 mm further to the right" in post[0].note


def test_a_screw_gives_way_to_a_foot_on_its_row_and_says_where_none_finds_a_place():
    """Sheet wheel, front wall 183 mm: 183/8 = 22.9 is 2.9 mm from the foot that reaches to 20."""
    sheet = read_design(DESIGNS / "sheet-wheel.toml")
    (row,) = [r for r in plan_rows(sheet) if r.what == "screws of wall front"]  # evenly still
    assert 20.0 + 3.0 + 0.5 <= row.at[0] < 25.0  # the head's 3 mm and some wood beyond the foot
    step = (183.0 - 2.0 * row.at[0]) / 3.0
    assert f"each {step:.4g} mm further to the right" in row.note
    tiny = replace(BOX, case=replace(BOX.case, inside_mm=(42.0, 190.0, 60.0)))
    unplaced = without_place(tiny)  # four in 60 mm, and a foot over the first and the last
    assert {"wall front", "wall back"} <= set(unplaced)
    assert "wall left" not in unplaced
    told = before_assembly(False, True, "tip", wood=BoardWork(unplaced=unplaced))
    assert any('those of "wall front", "wall back"' in step for step in told)


def test_what_slides_has_slots_and_no_holes_besides():
    sheet = read_design(DESIGNS / "sheet-wheel.toml")
    held = {one.holds for b in boards(sheet) for one in screw_holes(sheet, b)}
    assert {"block middle", "block spindle", "bridge spindle"}.isdisjoint(held)
    assert "block middle" in {name for name, _ in slots(sheet, base_of(sheet))}


def test_the_long_screws_of_legs_go_up_through_their_feet_and_miss_the_rails():
    found = bodies(build(FARM))
    foot = next(b for b in found if b.name == "trestle foot 2")
    legs = edge_screws_mm(foot, found)
    long = max(x for x, _ in foot.shape.outline) - min(x for x, _ in foot.shape.outline)
    table = next(b for b in found if b.kind == "table")
    deep = max(y for _, y in table.shape.outline) - min(y for _, y in table.shape.outline)
    # the legs stand under the table's edges, 36 mm thick
    assert legs[1] - legs[0] == pytest.approx(deep - 36.0)
    assert all(18.0 <= x <= long - 18.0 for x in legs)
    rail = next(one for one in screw_holes(FARM, foot) if one.holds == "hinge rail")
    left = min(x for x, _ in foot.shape.outline)
    assert all(abs(x - left - leg) > 5.0 for x, _ in rail.at for leg in legs)
    assert f"{legs[0]:.4g} mm and {legs[1]:.4g} mm from its" in " ".join(
        board_part(FARM, foot).notes
    )


def test_butted_corners_have_their_screws_told_and_bought():
    """Walls of 9 mm: a screw of 3 mm, 9 mm through one and 21 mm, seven diameters, into the other.

    4 at the corners of each of front and back; walls with fingers have none.
    """
    low = replace(BOX, case=replace(BOX.case, inside_mm=(388.0, 190.0, 28.0)))
    note = " ".join(board_part(low, named(low, "wall front")).notes)
    assert "at each corner 2 wood screws 3 x 30 mm through them" in note
    rows = {row[2]: row for row in screw_rows(low, bodies(build(low)), "mm")}
    assert rows["3 × 30 mm"][3].endswith("wall front, wall back")
    kept = {row[2]: row for row in screw_rows(BOX, bodies(build(BOX)), "mm")}
    assert "wall" not in kept["3 × 30 mm"][3]
    assert int(rows["3 × 30 mm"][1]) == 8 + (
        int(kept["3 × 30 mm"][1]) if "bridge" in rows["3 × 30 mm"][3] else 0)


@pytest.mark.parametrize("path", EACH, ids=lambda p: p.stem)
def test_no_screw_or_slot_meets_the_brass_that_a_rod_stands_on_and_its_place_is_drawn(path):
    design = read_design(path)
    if base_of(design) is None:
        return
    part = floor_part(design)
    for seat in seats(design):
        disc = Circle(seat.at, 0.5 * seat.across_mm)
        for cut in (*part.drills, *part.holes):
            x0, y0, x1, y1 = cut.box
            near = (min(max(seat.at[0], x0), x1), min(max(seat.at[1], y0), y1))
            away = gap(disc, cut) if isinstance(cut, Circle) else (
                math.dist(seat.at, near) - disc.radius_mm
            )
            assert away >= 0.5 - 1e-6, (seat, cut)
        made = build(design).shafts[seat.rod]
        slide = made.shaft.slide
        travel = 0.0 if slide is None else slide.to_mm - slide.from_mm
        assert seat.across_mm >= travel + 0.5 * made.diameter_mm
        assert seat.at in part.marks


def test_every_slot_of_the_floor_says_which_way_it_runs():
    rows = [r for r in plan_rows(SHEET) if r.what.startswith("slot of")]
    ways = {r.what: r.work.rpartition(", ")[2] for r in rows}
    assert ways["slot of block middle"] == "left to right"
    assert ways["slot of block spindle"] == "front to back"


def test_a_bush_that_is_not_flush_says_how_it_stands_in_its_block():
    """A bush of 5 mm about a place 8 mm over the floor, in a block of 10: from 5.5 to 10.5 mm."""
    (note,) = (n for n in board_part(SHEET, named(SHEET, "block spindle")).notes if "bush" in n)
    assert "5.5 mm inside its bottom face and 0.5 mm proud of its top face" in note
    (flush,) = (n for n in board_part(SHEET, named(SHEET, "block main")).notes if "bush" in n)
    assert "face" not in flush


def test_every_foot_has_its_place_and_its_height():
    feet = [r for r in plan_rows(BOX) if r.what.startswith("foot")]
    made = [b for b in bodies(build(BOX)) if b.kind == "foot"]
    assert len(feet) == len(made) > 0
    x0, y0, x1, y1 = floor_part(BOX).outside.box
    assert sorted({round(min(r.at[0] - x0, x1 - r.at[0]), 6) for r in feet}) == \
        sorted({round(min(r.at[1] - y0, y1 - r.at[1]), 6) for r in feet})
    assert all("mm across" in r.work and "mm high" in r.work for r in feet)
