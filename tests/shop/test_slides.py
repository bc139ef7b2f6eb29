"""Slides as cut: slots in the floor, bolts through the board that slides."""

from __future__ import annotations

from pathlib import Path

import pytest
from shapely.geometry import Point, Polygon

from wheelgeo.design.reader import parse_design, read_design
from wheelgeo.shop.board_parts import board_parts, boards
from wheelgeo.shop.plan import floor_part, plan_rows

DESIGNS = Path(__file__).parents[2] / "designs"


def test_the_slots_in_the_floor_take_the_bolts_of_the_slide_over_its_whole_travel() -> None:
    """The bolts' holes, carried along the travel in steps, lie in a slot and nowhere else."""
    design = read_design(DESIGNS / "box-wheel.toml")
    slide = design.shaft("spindle").slide
    assert slide is not None
    part = floor_part(design)
    cuts = [Polygon(hole.points(0.001)) for hole in part.holes]
    assert len(cuts) == 2
    board = next(b for b in boards(design) if b.name == "slide spindle").shape
    wall = 9.0  # the board reaches beneath the walls, and is told from its own corner
    for (x, y), radius in board.holes:
        for share in (0.0, 0.25, 0.5, 0.75, 1.0):
            way = slide.from_mm + share * (slide.to_mm - slide.from_mm)
            at = board.point(x, y, 0.0)
            here = Point(at[0] + way * slide.along[0] + wall, at[1] + way * slide.along[1] + wall)
            bolt = here.buffer(radius - 0.01)
            assert sum(cut.contains(bolt) for cut in cuts) == 1
    travel = abs(slide.to_mm - slide.from_mm)
    for cut in cuts:
        x1, y1, x2, y2 = cut.bounds
        assert (x2 - x1, y2 - y1) == pytest.approx((travel + 5.5, 5.5), abs=5e-3)  # chords
    assert [r.what for r in plan_rows(design)].count("slot of slide spindle") == 2


def test_supports_too_near_for_bolts_are_clamped() -> None:
    text = (DESIGNS / "box-wheel.toml").read_text(encoding="utf-8")
    near = parse_design(text.replace("at = -14, kind", "at = 12, kind"))
    assert floor_part(near).holes == ()
    (slide,) = [p for p in board_parts(near) if p.role == "slide"]
    assert any("clamp it" in note for note in slide.notes)


def test_a_block_that_slides_is_not_glued() -> None:
    sheet = read_design(DESIGNS / "sheet-wheel.toml")
    notes = {p.name: " ".join(p.notes) for p in board_parts(sheet)}
    assert "slides with its shaft from -2 to 3 mm" in notes["block middle"]
    assert "lue it" not in notes["block middle"]
    assert "Glue it" in notes["block main"]


def test_what_slides_on_screws_has_its_slots_in_floor_and_walls() -> None:
    """Sheet wheel: screws 7.5 mm to either side of the rod, 7 mm of travel, 3 mm and 2 mm thick."""
    design = read_design(DESIGNS / "sheet-wheel.toml")
    slide = design.shaft("spindle").slide
    assert slide is not None
    rows = [r for r in plan_rows(design) if r.what == "slot of block spindle"]
    work = "slot 3.5 mm wide, 7 mm from centre to centre of its ends, front to back"
    assert {r.work for r in rows} == {work}
    x, y = design.shaft("spindle").at_mm[:2]
    half = 0.5 * (slide.from_mm + slide.to_mm)
    places = sorted((r.at[0] - 9.0 - x, r.at[1] - 9.0 - y) for r in rows)  # beyond the wall
    wanted = [(half * slide.along[0] + s * 7.5 * slide.along[1],
               half * slide.along[1] + s * 7.5 * slide.along[0]) for s in (-1.0, 1.0)]  # fmt: skip
    assert places == [pytest.approx(w, abs=1e-6) for w in sorted(wanted)]
    wall = next(p for p in board_parts(design) if p.name.startswith("wall left"))
    (cut,) = wall.holes
    x1, y1, x2, y2 = cut.box
    # two screws 15 mm apart share the slot: 15 + 7 mm from end to end, and half a screw beyond
    assert (x2 - x1, y2 - y1) == pytest.approx((15.0 + 7.0 + 2.5, 2.5))


def test_a_bridge_that_stays_has_no_slot_and_walls_with_other_slots_are_other_parts() -> None:
    box = read_design(DESIGNS / "box-wheel.toml")
    assert not any(p.holes for p in board_parts(box) if p.role == "wall" and "left" in p.name)
    names = [p.name for p in board_parts(read_design(DESIGNS / "sheet-wheel.toml"))]
    assert {"wall front", "wall back"} <= set(names)
