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
