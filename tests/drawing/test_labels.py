"""On every cut file of every shipped design, no text lies on other text or on a cut."""

from __future__ import annotations

import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import ezdxf
import pytest

from wheelgeo.design.reader import read_design
from wheelgeo.drawing.strokes import text_width
from wheelgeo.drive.train import Solution, solve_drive
from wheelgeo.shop.drafting import CutSheet, Item, check_items, shape_box
from wheelgeo.shop.dxf import dxf_bytes
from wheelgeo.shop.jigs import banding_board, groove_gauges
from wheelgeo.shop.outlines import Circle, Label, Outline, loops_meet, rectangle
from wheelgeo.shop.part_files import part_sheet, single_parts
from wheelgeo.shop.parts import parts_of
from wheelgeo.shop.plan import plan_sheet
from wheelgeo.shop.pulleys import pulley_sheet
from wheelgeo.shop.section import wheels
from wheelgeo.shop.sheets import lay_out, sheet_drawing
from wheelgeo.shop.tables import tables_sheet

DESIGNS = sorted((Path(__file__).parents[2] / "designs").glob("*.toml"))


def sheets(solution: Solution) -> list[CutSheet]:
    design = solution.design
    gauges, board = groove_gauges(design), banding_board(solution)
    layout = lay_out(design, [*parts_of(design), *gauges, board])
    return [
        *(pulley_sheet(design, wheel) for wheel in wheels(design)),
        plan_sheet(design),
        tables_sheet(solution),
        *(part_sheet(part.name, [part]) for part in single_parts(design)),
        part_sheet("gauges", gauges),
        part_sheet("board", [board]),
        *(sheet_drawing(laid, 1, 1) for laid in layout.sheets),
    ]


@pytest.mark.parametrize("path", DESIGNS, ids=lambda p: p.stem)
def test_text_is_clear_of_text_and_of_cuts(path: Path) -> None:
    for sheet in sheets(solve_drive(read_design(path))):
        check_items(sheet.items)
        labels = [item.shape for item in sheet.items if isinstance(item.shape, Label)]
        for i, a in enumerate(labels):
            for b in labels[:i]:
                assert not _cover(a, b), (sheet.title, a.text, b.text)
            for cut in _cuts(sheet.items):
                assert not loops_meet(rectangle(shape_box(a)), cut), (sheet.title, a.text)


def _cuts(items: tuple[Item, ...]) -> list[Circle | Outline]:
    on = [item.shape for item in items if "CUT" in item.layer or item.layer == "DRILL"]
    return [shape for shape in on if isinstance(shape, Circle | Outline)]


def _cover(a: Label, b: Label) -> bool:
    x1, y1, x2, y2 = shape_box(a)
    u1, v1, u2, v2 = shape_box(b)
    return x1 < u2 and u1 < x2 and y1 < v2 and v1 < y2


def test_an_old_file_holds_names_in_its_own_code_page(tmp_path: Path) -> None:
    shapes = (Item("ENGRAVE", Label("roue à rayons", (0, 0))), Item("DRILL", Circle((50, 0), 2)))
    file = tmp_path / "old.dxf"
    file.write_bytes(dxf_bytes(CutSheet("x", shapes), "R12"))
    text = ezdxf.readfile(file).modelspace().query("TEXT")[0]
    assert text.dxf.text == "roue à rayons"


def test_text_is_as_wide_whichever_threads_ask():
    """The page draws views of several wheels at once, in one type."""
    words = [f"{'iW'[n % 2] * (n % 50 + 1)} {n}" for n in range(300)]
    width = text_width.__wrapped__  # asked anew each time
    alone = [width(word) for word in words]
    before = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        with ThreadPoolExecutor(4) as threads:
            found = list(threads.map(lambda _: [width(word) for word in words], range(4)))
    finally:
        sys.setswitchinterval(before)
    assert found == [alone] * 4
