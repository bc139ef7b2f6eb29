"""Wood to buy, and what a little is needed of."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.design.model import Stock
from wheelgeo.design.reader import read_design
from wheelgeo.drive.train import solve_drive
from wheelgeo.shop.parts import held_on_rods
from wheelgeo.shop.sheet_shopping import tools_of
from wheelgeo.shop.wood_to_buy import blank_rows, little_of, sheet_rows, wood_rows

DESIGNS = Path(__file__).parents[2] / "designs"
FARM = read_design(DESIGNS / "farm-wheel.toml")
BOX = read_design(DESIGNS / "box-wheel.toml")


def test_wood_is_bought_by_kind_and_thickness_with_something_for_waste():
    """Farm, oak 36 mm: rail 120 x 100, four legs 134 x 36, two feet 355 x 36: 0.0569 m2 and 0.3 of
    it for waste make 0.0739, which is 0.796 square feet."""
    rows = {row[3]: row for row in wood_rows(FARM, "mm")}
    names = "hinge rail, leg 1 to 4, trestle foot 1, trestle foot 2"
    assert rows[names][0] == "oak, planed"
    assert rows[names][2] == "36.0 mm thick, 0.08 m², longest piece 355 mm"
    inches = {row[3]: row for row in wood_rows(FARM, "in")}
    assert inches[names][2].startswith("1.417 in thick, 0.8 sq ft")
    assert all("plywood" not in row[0] for row in wood_rows(FARM, "mm"))


def bought_of(rows):
    """Return what is bought for each thing by its name, and how much of it."""
    return {name: (row[0], row[2]) for row in rows for name in row[3].split(", ")}


def test_what_is_turned_has_a_blank_and_what_is_flat_a_sheet():
    """The hub's blank is 6 mm more than the hub, whole; leather is bought as thick as it is."""
    blanks = bought_of(blank_rows(BOX, "mm"))
    hub = next(p for p in BOX.pulleys if p.name == "hub").groove.rim_mm
    assert blanks["hub"][0].endswith("blank to turn")
    assert blanks["hub"][1].startswith(f"{math.ceil(hub + 6.0)}.0 mm diameter")
    farm = bought_of(blank_rows(FARM, "mm"))
    ring = next(b.shape for b in bodies(build(FARM)) if b.name == "collar axle 1")
    thick = max(z for z, _ in ring.outline) - min(z for z, _ in ring.outline)
    assert farm["collar axle 1"][0] == "leather, sheet"
    assert farm["collar axle 1"][1].endswith(f", {thick:.1f} mm thick")
    assert "rim" not in farm  # of segments
    sheets = bought_of(sheet_rows(solve_drive(BOX), "mm"))
    assert sheets["banding board"][0] == "sheet: any that is stiff"
    assert sheets["lid"][0] == "sheet: plywood"


def test_what_fits_on_no_sheet_at_hand_is_bought_too():
    small = replace(BOX, shop=replace(BOX.shop, sheets=(Stock("ply", 400.0, 200.0, 9.0, None),)))
    rows = {row[3]: row for row in sheet_rows(solve_drive(small), "mm")}
    assert rows["lid"][0].endswith("larger or thicker than at hand")
    assert rows["lid"][2].startswith("6 mm × ")


def test_glues_are_named_by_what_they_fix():
    box, farm = (little_of(d, held_on_rods(d)) for d in (BOX, FARM))
    assert {"epoxy", "retaining compound"} <= set(box)  # hub and flange; whorl and collars
    assert "beeswax" not in box
    assert "beeswax" in farm  # the pin of the whorl that comes off
    floor = read_design(DESIGNS / "floor-wheel.toml")
    assert "thread lock" not in little_of(floor, held_on_rods(floor))


def test_no_lathe_is_asked_to_swing_a_great_wheel(tmp_path):
    """1 100 mm over the rim, 1 106 as a blank, 1 197 over the corners of its eight segments."""
    text = (DESIGNS / "floor-wheel.toml").read_text(encoding="utf-8")
    assert "rim = 560" in text
    text = text.replace("rim = 560", "rim = 1100").replace("at = [0, 0, 480]", "at = [0, 0, 720]")
    path = tmp_path / "great.toml"
    path.write_text(text.replace("at = [-520, 0, 700]", "at = [-800, 0, 950]"), encoding="utf-8")
    said = [line for line in tools_of(read_design(path)) if "lathe" in line or "axle" in line]
    assert said[0] == "lathe that swings 40 mm"
    assert "1200 mm over its corners is turned slowly on its own axle" in said[1]
    assert "lathe that swings 660 mm" in tools_of(FARM)
