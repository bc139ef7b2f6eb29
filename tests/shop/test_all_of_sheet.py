"""A wheel whose pulleys are all of layers is cut wholly from sheet, as thick as it is sold."""

import pytest

from wheelgeo.built.held import SHEETS_MM
from wheelgeo.design.library import design_text
from wheelgeo.design.reader import parse_design
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import ShapeError
from wheelgeo.shop.board_parts import from_sheet
from wheelgeo.shop.fixing_words import fixing_words
from wheelgeo.shop.jigs import sheets_of
from wheelgeo.shop.outlines import Circle
from wheelgeo.shop.parts import held_on_rods, parts_of
from wheelgeo.shop.sheet_cut import offcut_mm

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


def test_a_flange_lies_in_a_hole_of_one_cheek_and_not_in_the_core():
    design = parse_design(SHEET)
    parts = {p.name: p for p in parts_of(design)}
    held = held_on_rods(design)["wheel"]
    flange, plain = parts["wheel flange cheek"], parts["wheel cheek"]
    assert (held.fixing.way, held.fixing.thick_mm) == ("flange", flange.thickness_mm)
    assert flange.holes[0] == Circle((0.0, 0.0), 9.0)  # three rods of 6 mm
    assert plain.holes[0] == parts["wheel core"].holes[0]
    assert (flange.quantity, plain.quantity) == (1, 1)
    assert "screw" not in fixing_words(held)  # 2 mm of plywood behind it hold none


def test_no_lightening_hole_reaches_into_the_flange():
    """Holes of 20 on a circle of 56 leave 18 - 9 = 9 mm; on one of 42 but 11 - 9 = 2."""
    build = 'build = "layers"              #'
    holes = "lightening = {{ holes = 4, diameter = 20, circle = {} }}\n"
    parts_of(parse_design(SHEET.replace(build, holes.format(56) + build)))
    with pytest.raises(ShapeError, match="2 mm to the hole of 18 mm for its flange"):
        parts_of(parse_design(SHEET.replace(build, holes.format(42) + build)))


def test_for_one_small_part_an_offcut_is_told_that_holds_it():
    """The block of the spindle is 24 mm square, 10 mm thick: nobody buys a sheet for it."""
    layout = sheets_of(solve_drive(parse_design(SHEET)))
    (alone,) = (laid for laid in layout.sheets if laid.stock.thickness_mm == 10.0)
    (block,) = alone.parts
    (x0, y0, x1, _), (long, wide) = block.box, offcut_mm(alone)
    assert x1 - x0 == pytest.approx(24.0)
    assert 24.0 + 2.0 * x0 <= long < 24.0 + 2.0 * x0 + 1.0
    assert 24.0 + 2.0 * y0 <= wide < 24.0 + 2.0 * y0 + 1.0
