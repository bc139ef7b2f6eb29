"""The order of work, the lists and the cautions name only what the wheel has, whatever is left out.

Each word below stands for a thing; a step that has it needs a body of such a kind in the wheel.
"""

import re
from dataclasses import replace
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.design.model import Stand
from wheelgeo.shop.parts import parts_of
from wheelgeo.shop.sheet import Listing, Notice, Table
from wheelgeo.shop.sheet_content import shop_sheet
from wheelgeo.shop.sheet_order import order

DESIGNS = Path(__file__).parents[2] / "designs"
BOARDS = {"floor", "table", "wall", "lid", "post", "support", "maiden", "bridge", "block", "slide",
          "bed", "mother-of-all", "crank", "flyer", "leg", "trestle foot", "treadle",
          "footman"}  # fmt: skip
STANDS = BOARDS - {"crank", "flyer", "treadle", "footman"}
NEEDS = {
    r"[Ss]aw and drill the boards": BOARDS, r"its board's note|that board's drawing": STANDS,
    r"the board that all stands on": {"floor", "table"}, r"screw it|for every screw": STANDS,
    r"bolts or screws": {"slide", "bridge", "block", "mother-of-all", "post"},
    r"\btreadle\b": {"treadle"}, r"\bcrank\b": {"crank"}, r"footman": {"footman"},
    r"\blid\b": {"lid"}, r"\bwalls?\b": {"wall"},
    r"\bposts?\b": {"post"}, r"table on|legs": {"leg"}, r"\bbush": {"bearing"}, r"knob": {"knob"},
}  # fmt: skip
LEFT_OUT = {
    "as it is": lambda d: d,
    "a stand of one's own": lambda d: replace(d, case=None, stand=Stand(kind="own")),
    "no floor known": lambda d: replace(d, case=None, stand=None, shafts=tuple(
        replace(s, at_mm=(*s.at_mm[:2], s.at_mm[2] - 400.0)) for s in d.shafts)),
    "turned by a motor": lambda d: replace(d, drive=replace(d.drive, by="motor", radius_mm=None)),
    "no throw": lambda d: replace(d, drive=replace(d.drive, radius_mm=None, treadle=None)),
    "no bearings": lambda d: replace(
        d, case=None, stand=Stand(kind="own"),
        shafts=tuple(replace(s, bearings=()) for s in d.shafts),
        spindle=replace(d.spindle, bearings=())),
}  # fmt: skip


def made(name, left_out):
    wheel = wheelgeo.load(DESIGNS / f"{name}.toml")
    return wheel.with_design(LEFT_OUT[left_out](wheel.design))


NAMES = sorted(p.stem for p in DESIGNS.glob("*.toml"))


@pytest.mark.parametrize("left_out", LEFT_OUT)
@pytest.mark.parametrize("name", NAMES)
def test_each_step_names_only_what_that_wheel_has(name, left_out):
    wheel = made(name, left_out)
    kinds = {body.kind for body in bodies(build(wheel.design))}
    (steps,) = (b for b in order(wheel.check(), "mm") if isinstance(b, Listing) and b.numbered)
    for step in steps.items:
        plain = re.sub(r'"[^"]*"', "", step)
        for words, any_of in NEEDS.items():
            assert not re.search(words, plain) or any_of & kinds, (words, step)


@pytest.mark.parametrize("left_out", ["a stand of one's own", "no floor known"])
@pytest.mark.parametrize("name", NAMES)
def test_a_wheel_without_floor_has_none_to_saw_to_buy_or_to_lay_out(name, left_out):
    wheel = made(name, left_out)
    assert "floor" not in {part.name for part in parts_of(wheel.design)}
    answer = wheel.check()
    sheet = shop_sheet(answer)
    (steps,) = (b for b in sheet.blocks if isinstance(b, Listing) and b.numbered)
    assert steps in order(answer, "mm")
    cells = [cell for block in sheet.blocks if isinstance(block, Table)
             and not block.caption.startswith(("Grooves", "Plan of", "1 finding"))
             and "finding" not in block.caption for row in block.rows for cell in row]  # fmt: skip
    assert not [c for c in cells if c == "floor" or "footman" in c]
    (plan,) = (b for b in sheet.blocks if isinstance(b, Table) and b.caption.startswith("Plan of"))
    assert plan.caption.startswith("Plan of where the shafts stand")
    cautions = next(b for b in sheet.blocks if isinstance(b, Notice))
    assert not [words for words in cautions.items if "lid" in words]


def test_heights_are_told_above_the_floor_that_is_known_and_else_above_the_lowest_part():
    """The axle of the floor wheel lies at z = 420 or so: above the floor, not above its rim."""
    wheel = made("floor-wheel", "a stand of one's own")
    axle = wheel.design.shaft("axle").at_mm[2]
    notes = [cell for b in shop_sheet(wheel.check()).blocks if isinstance(b, Table)
             for row in b.rows for cell in row if cell.startswith("axis ")]  # fmt: skip
    assert any(note.startswith(f"axis {axle:.4g} mm above the floor") for note in notes)
    lower = made("floor-wheel", "no floor known")
    notes = [cell for b in shop_sheet(lower.check()).blocks if isinstance(b, Table)
             for row in b.rows for cell in row if cell.startswith("axis ")]  # fmt: skip
    assert any("axis 280 mm above the lowest part" in note for note in notes)
