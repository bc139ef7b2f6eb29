"""Paper templates measured by a reader that did not write them (pdfplumber)."""

from __future__ import annotations

import io
import math
from typing import Any

import pdfplumber
import pytest

from wheelgeo.design.model import Design
from wheelgeo.drive.train import solve_drive
from wheelgeo.geometry.segments import Arc, Line
from wheelgeo.shop.drafting import text_width_mm
from wheelgeo.shop.outlines import Circle, Outline, Part, Place, rectangle
from wheelgeo.shop.paper import (
    EDGE_MM,
    FOOT_MM,
    OVERLAP_MM,
    PAPERS_MM,
    Paper,
    Tile,
    pages_of,
    window_mm,
)
from wheelgeo.shop.templates import template_parts, template_pdf

PT = 72.0 / 25.4
PAPERS: list[Paper] = ["A4", "Letter"]


def pages(parts: list[Part], paper: Paper = "A4") -> list[Any]:
    return pdfplumber.open(io.BytesIO(template_pdf(parts, "Test", paper))).pages


def size_mm(shape: dict[str, Any]) -> tuple[float, float]:
    return (shape["x1"] - shape["x0"]) / PT, (shape["bottom"] - shape["top"]) / PT


def disc(radius: float, **more: Any) -> Part:
    return Part("disc", "disc", Circle((0.0, 0.0), radius), **more)


@pytest.mark.parametrize("paper", PAPERS)
def test_the_paper_has_its_size_and_the_bars_their_length(paper: Paper) -> None:
    for page in pages([disc(30.0), disc(150.0)], paper):
        assert (page.width / PT, page.height / PT) == pytest.approx(PAPERS_MM[paper], abs=0.01)
        flat = [size_mm(line)[0] for line in page.lines if size_mm(line)[1] < 0.01]
        assert min(abs(length - 100.0) for length in flat) < 0.1
        assert min(abs(length - 101.6) for length in flat) < 0.1
        text = page.extract_text()
        assert "this bar is 100 mm long" in text
        assert "this bar is 4 in long" in text
        assert "print at 100 %" in text


def test_a_disc_measures_what_its_outline_says() -> None:
    (page,) = pages([disc(61.5, holes=(Circle((0.0, 0.0), 4.1),))])
    sizes = sorted(size_mm(curve) for curve in page.curves)
    assert sizes[0] == pytest.approx((8.2, 8.2), abs=0.01)
    assert sizes[-1] == pytest.approx((123.0, 123.0), abs=0.01)


def test_every_outline_of_a_wheel_is_there_at_its_size(bench: Design) -> None:
    """The same outlines as in the cut files: each box is found among the shapes on the pages."""
    parts = [p for p in template_parts(solve_drive(bench)) if _small(p)]
    found = [
        size_mm(shape)
        for page in pages(parts)
        for shape in (*page.curves, *page.rects, *page.lines)
    ]
    assert len(parts) > 8
    for part in parts:
        assert part.outside is not None
        for loop in (part.outside, *part.holes, *part.drills):
            x1, y1, x2, y2 = loop.box
            near = min(max(abs(a - (x2 - x1)), abs(b - (y2 - y1))) for a, b in _either_way(found))
            assert near < 0.02, (part.name, x2 - x1, y2 - y1)


def _small(part: Part) -> bool:
    return max(part.box[2] - part.box[0], part.box[3] - part.box[1]) < 180.0


def _either_way(sizes: list[tuple[float, float]]) -> list[tuple[float, float]]:
    return [*sizes, *((b, a) for a, b in sizes)]


def test_curves_leave_true_arcs_by_less_than_a_thousandth_of_a_millimetre() -> None:
    (page,) = pages([disc(90.0)])
    curve = max(page.curves, key=lambda c: size_mm(c)[0])
    cx, cy = (curve["x0"] + curve["x1"]) / 2, (curve["top"] + curve["bottom"]) / 2
    on = [math.dist((x, y), (cx, cy)) / PT for x, y in _ends(curve)]
    assert len(on) >= 12
    assert on == pytest.approx([90.0] * len(on), abs=1e-3)
    for one, two, three, four in _cubics(curve):
        middle = [
            (a + 3 * b + 3 * c + d) / 8 for a, b, c, d in zip(one, two, three, four, strict=True)
        ]
        assert math.dist(middle, (cx, cy)) / PT == pytest.approx(90.0, abs=1e-3)


def _ends(curve: dict[str, Any]) -> list[tuple[float, float]]:
    return [step[-1] for step in curve["path"] if step[0] in ("m", "l", "c")]


def _cubics(curve: dict[str, Any]) -> list[tuple[Any, Any, Any, Any]]:
    here, found = None, []
    for step in curve["path"]:
        if step[0] == "c":
            found.append((here, *step[1:]))
        if len(step) > 1:
            here = step[-1]
    assert found
    return found


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("radius", [97.0, 140.0, 280.0])
def test_tiles_cover_a_large_part_with_the_overlap_between_them(
    paper: Paper, radius: float
) -> None:
    window = window_mm(paper)
    tiles = pages_of([disc(radius)], paper)
    whole, centres = set(), set()
    for page in tiles:
        tile, (part,) = page.tile, page.parts
        assert tile is not None
        whole.add(tile.name)
        assert isinstance(part.outside, Circle)
        x = part.outside.centre[0] + tile.column * (window[0] - OVERLAP_MM)
        y = part.outside.centre[1] + tile.row * (window[1] - OVERLAP_MM)
        centres.add((round(x, 6), round(y, 6)))
        reach_x = tile.columns * (window[0] - OVERLAP_MM) + OVERLAP_MM
        reach_y = tile.rows * (window[1] - OVERLAP_MM) + OVERLAP_MM
        assert radius <= x + 1e-9
        assert x + radius <= reach_x + 1e-9
        assert radius <= y + 1e-9
        assert y + radius <= reach_y + 1e-9
    assert len(whole) == len(tiles) == tiles[0].tile.columns * tiles[0].tile.rows  # type: ignore[union-attr]
    assert len(centres) == 1  # laid edge over edge, the tiles show one disc
    assert tiles[0].tile.name == "A1"  # type: ignore[union-attr]


def test_no_hole_lies_on_a_seam() -> None:
    """Holes of 16 mm, wider than the overlap, where a board in the middle of its pages is cut."""
    holes = tuple(Circle((x, 40.0), 8.0) for x in (157.0, 190.0, 382.0, 520.0))
    plate = Part("plate", "plate", rectangle((0.0, 0.0, 540.0, 80.0)), drills=holes)
    tiles = pages_of([plate], "A4")
    step = window_mm("A4")[1] - OVERLAP_MM
    for page in tiles:
        for hole in page.parts[0].drills:
            low = hole.box[1]  # turned, so that it takes two pages
            assert low > step + OVERLAP_MM or low + 16.0 < step or page.tile.row > 0  # type: ignore[union-attr]
            assert low > OVERLAP_MM or low + 16.0 < 0.0 or page.tile.row == 0  # type: ignore[union-attr]


def test_every_page_tells_size_wood_grain_and_how_the_part_lies() -> None:
    board = Part(
        "board", "board", rectangle((0.0, 0.0, 230.0, 40.0)), thickness_mm=9.0, grain="along",
        material="beech", sides=("right", "back", "left", "front", "top"),
    )  # fmt: skip
    (page,) = pages([board])  # too long for the width of the page: it is turned
    text = page.extract_text()
    assert "40 × 230 mm, 9 mm thick, beech, grain up and down" in text
    assert "seen from the top: back at left, left below" in text
    small = Part("small", "board", rectangle((0, 0, 90, 40)), sides=board.sides, grain="along")
    assert "grain from side to side, seen from the top: left at left, front below" in (
        pages([small])[0].extract_text()
    )
    long = Part("long", "board", rectangle((0, 0, 430, 40)), thickness_mm=9.0, material="oak")
    for page in pages([long]):
        assert "40 × 430 mm, 9 mm thick, oak" in page.extract_text()


def test_a_tile_has_its_name_its_map_and_cut_marks() -> None:
    found = pages([disc(140.0)])
    assert len(found) == 4
    for page, name in zip(found, ("A1", "B1", "A2", "B2"), strict=True):
        assert f"tile {name}" in page.extract_text()
        grey = [
            r
            for r in page.rects
            if r.get("fill") and r["non_stroking_color"] not in ((1,), 1, (1.0,))
        ]
        assert len(grey) == 1
        corner_y = (PAPERS_MM["A4"][1] - EDGE_MM - FOOT_MM) * PT
        at_corner = [
            line for line in page.lines
            if abs(line["x0"] - EDGE_MM * PT) < 0.1 and abs(line["top"] - corner_y) < 0.1
            and size_mm(line)[1] == pytest.approx(5.0, abs=0.05)
        ]  # fmt: skip
        assert at_corner


def test_holes_to_drill_have_a_centre_mark() -> None:
    plate = Part("plate", "plate", rectangle((0, 0, 60, 40)), drills=(Circle((20, 20), 3.0),))
    (page,) = pages([plate])
    arms = [line for line in page.lines if max(size_mm(line)) == pytest.approx(9.0, abs=0.01)]
    assert len(arms) == 2


def test_a_part_is_named_with_how_many_to_cut() -> None:
    (page,) = pages([disc(20.0, quantity=3)])
    assert "disc (cut 3)" in page.extract_text()


def test_small_parts_share_a_page_and_do_not_overlap() -> None:
    parts = [Part(f"p{i}", "plate", rectangle((0, 0, 20 + i, 15 + i))) for i in range(30)]
    found = pages_of(parts, "A4")
    assert len(found) < 4
    width, height = window_mm("A4")
    assert sum(len(page.parts) for page in found) == 30
    for page in found:
        for i, a in enumerate(page.parts):
            x1, y1, x2, y2 = a.box
            assert x1 >= -1e-9
            assert y1 >= 0.0
            assert x2 <= width + 1e-9
            assert y2 <= height + 1e-9
            for b in page.parts[:i]:
                u1, v1, u2, v2 = b.box
                assert max(u1 - x2, x1 - u2, v1 - y2, y1 - v2) > 1.0


def test_names_below_small_parts_do_not_run_into_each_other() -> None:
    parts = [
        Part(f"a very long name, number {i}", "plate", rectangle((0, 0, 6, 5))) for i in range(9)
    ]
    (page,) = pages_of(parts, "A4")
    rooms = []
    for part in page.parts:
        x1, y1, _, _ = part.box
        rooms.append((x1, y1 - 6.0, x1 + text_width_mm(part.name, 3.0), y1))
    for i, (x1, y1, x2, y2) in enumerate(rooms):
        assert all(max(u1 - x2, x1 - u2, v1 - y2, y1 - v2) >= 0.0 for u1, v1, u2, v2 in rooms[:i])


def test_a_long_part_is_turned_where_that_saves_pages() -> None:
    window = window_mm("A4")
    bar = Part("bar", "bar", rectangle((0.0, 0.0, window[1] - 8.0, 30.0)))
    (page,) = pages_of([bar], "A4")
    x1, y1, x2, y2 = page.parts[0].box
    assert (x2 - x1, y2 - y1) == pytest.approx((30.0, window[1] - 8.0))


def test_the_same_parts_give_the_same_bytes(bench: Design) -> None:
    parts = list(template_parts(solve_drive(bench)))
    assert template_pdf(parts, "Test") == template_pdf(parts, "Test")


def test_names_in_any_script_are_drawn() -> None:
    part = Part("Прялка ∅", "disc", Circle((0.0, 0.0), 20.0))
    page = pdfplumber.open(io.BytesIO(template_pdf([part], "Kołowrotek", "A4"))).pages[0]
    assert "Прялка" in page.extract_text()
    assert "Kołowrotek" in page.extract_text()


def test_tiles_are_lettered_beyond_z() -> None:
    assert Tile(27, 0, 30, 1).name == "AB1"


def test_an_arc_run_clockwise_is_drawn_on_its_own_side() -> None:
    bay = Outline(
        (
            Line((0, 0), (40, 0)),
            Line((40, 0), (40, 30)),
            Line((40, 30), (30, 30)),
            Arc((20.0, 30.0), 10.0, 0.0, 180.0, counter_clockwise=False),
            Line((10, 30), (0, 30)),
            Line((0, 30), (0, 0)),
        )
    ).moved(Place(turn_deg=0.0))
    (page,) = pages([Part("bay", "plate", bay)])
    curve = max(page.curves, key=lambda c: size_mm(c)[0])
    assert size_mm(curve) == pytest.approx((40.0, 30.0), abs=0.01)
