"""Wood to buy, and what a little is needed of."""

from __future__ import annotations

from pathlib import Path

from wheelgeo.design.reader import read_design
from wheelgeo.shop.parts import held_on_rods
from wheelgeo.shop.sheet_shopping import tools_of
from wheelgeo.shop.wood_to_buy import little_of, wood_rows

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
