"""A wheel whose pulleys are all of layers is cut wholly from sheet, as thick as it is sold."""

import pytest

from wheelgeo.built.held import SHEETS_MM
from wheelgeo.design.library import design_text
from wheelgeo.design.reader import parse_design
from wheelgeo.drive.train import solve_drive
from wheelgeo.shop.board_parts import from_sheet
from wheelgeo.shop.jigs import sheets_of
from wheelgeo.shop.parts import parts_of

SHEET = design_text("sheet-wheel")


def test_every_part_lies_on_a_sheet_of_plywood_that_is_sold():
    design = parse_design(SHEET)
    parts = parts_of(design)
    assert all(from_sheet(part) and part.material == "plywood" for part in parts)
    assert {part.thickness_mm for part in parts} <= set(SHEETS_MM)
    layout = sheets_of(solve_drive(design))
    laid = {part.name for sheet in layout.sheets for part in sheet.parts}
    assert {part.name for part in parts} <= laid
    assert not layout.unplaced


@pytest.mark.parametrize("block", ["block main", "block middle"])
def test_a_block_is_of_a_sheet_at_hand_and_no_higher_than_there_is_room(block):
    """The wheel's lower face is at 7.5: a washer under it leaves 6.5 for the block."""
    named = "".join(
        f'\n[[shop.sheet]]\nname = "ply {t}"\nlength = 600\nwidth = 300\nthickness = {t}\n'
        for t in (1.5, 2, 3, 4, 9)
    )
    thick = {p.name: p.thickness_mm for p in parts_of(parse_design(SHEET + named))}
    assert thick[block] == 4.0
    assert {p.name: p.thickness_mm for p in parts_of(parse_design(SHEET))}[block] == 6.0


def test_one_turned_pulley_makes_it_a_wheel_of_solid_wood_again():
    turned = SHEET.replace('build = "layers"\ncore = 1.5\ncheek = 1.5\n\n[[band]]', "\n[[band]]")
    assert turned != SHEET
    woods = {p.name: p.material for p in parts_of(parse_design(turned))}
    assert (woods["block main"], woods["crank"], woods["wheel core"]) == (
        "beech", "maple", "plywood",
    )  # fmt: skip
