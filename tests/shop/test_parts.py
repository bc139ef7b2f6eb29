"""Flat parts: closed forms, fits, and what is said of the defaults."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.design.model import (
    Case,
    Design,
    FlatRim,
    Lightening,
    RoundGroove,
    Shop,
    Stock,
    VeeGroove,
)
from wheelgeo.design.reader import read_design
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import ShapeError
from wheelgeo.shop.drafting import check_items, part_items
from wheelgeo.shop.faces import WEB_MM, face
from wheelgeo.shop.fastenings import knob_screw_mm
from wheelgeo.shop.outlines import Circle, Part
from wheelgeo.shop.part_files import hole_words
from wheelgeo.shop.parts import parts_of, sheet_thickness_mm
from wheelgeo.shop.pulleys import pulley_sheet
from wheelgeo.shop.reel import reel_rows
from wheelgeo.shop.section import wheels

DESIGNS = Path(__file__).parents[2] / "designs"


def named(design: Design, name: str) -> Part:
    return next(part for part in parts_of(design) if part.name == name)


def layered(design: Design, **more: object) -> Design:
    first = replace(design.pulleys[0], build="layers", core_mm=4.0, cheek_mm=3.0, **more)  # type: ignore[arg-type]
    return replace(design, pulleys=(first, *design.pulleys[1:]))


def lying_spindle(design: Design, height: float = 30.0) -> Design:
    last = replace(design.shafts[2], axis=(0.0, 1.0, 0.0), at_mm=(330.0, 60.0, height))
    case = Case((400.0, 190.0, 80.0), (0.0, 0.0, 0.0))
    return replace(design, shafts=(*design.shafts[:2], last), case=case)


def test_layers_are_a_core_as_wide_as_the_bottom_and_two_cheeks(bench: Design) -> None:
    design = layered(bench)
    core, cheek = named(design, "wheel core"), named(design, "wheel cheek")
    assert core.outside == Circle((0.0, 0.0), 76.0)
    assert cheek.outside == Circle((0.0, 0.0), 80.0)
    assert (core.thickness_mm, core.quantity) == (4.0, 1)
    assert (cheek.thickness_mm, cheek.quantity) == (3.0, 2)
    assert core.drills == cheek.drills  # drilled together


def test_the_ratio_is_that_of_the_layers_and_not_of_the_drawing(bench: Design) -> None:
    drawn, cut = solve_drive(bench), solve_drive(layered(bench))
    assert drawn.ratio is not None
    assert cut.ratio is not None
    # the vee holds the 3 mm cord higher than the square groove, whose bottom is at 76 mm
    vee = 76.0 + 1.5 / math.sin(math.radians(20)) - 0.5 / math.tan(math.radians(20))
    assert cut.ratio / drawn.ratio == pytest.approx(77.5 / vee, rel=1e-12)


def test_a_flat_rim_of_layers_is_its_core_alone(bench: Design) -> None:
    last = replace(bench.pulleys[3], build="layers", groove=FlatRim(60.0, 6.0))
    design = replace(bench, pulleys=(*bench.pulleys[:3], last))
    discs = [p for p in parts_of(design) if p.name.startswith("whorl")]
    assert [(p.name, p.thickness_mm) for p in discs] == [("whorl core", 6.0)]


def test_dowels_stand_clear_of_lightening_holes(bench: Design) -> None:
    design = layered(bench, lightening=Lightening(4, 30.0, 84.0))
    core = named(design, "wheel core")
    assert len(core.drills) == 2
    assert len(core.holes) == 5
    for dowel in core.drills:
        for hole in core.holes:
            gap = math.dist(dowel.centre, hole.centre) - dowel.radius_mm - hole.radius_mm
            assert gap >= 3.0


def test_layers_of_solid_wood_are_drawn_to_be_glued_crosswise(bench: Design) -> None:
    """Turned by a quarter, each cheek's holes lie over the core's; those of plywood lie alike."""
    for material in ("oak", "plywood"):
        wheel = replace(bench.pulleys[0], build="layers", material=material)
        design = replace(bench, pulleys=(wheel, *bench.pulleys[1:]))
        core, cheek = named(design, "wheel core"), named(design, "wheel cheek")
        quarter = material == "oak"
        assert core.grain == cheek.grain == ("along" if quarter else "any")
        assert len(core.drills) == 2
        for own, its in zip(core.drills, cheek.drills, strict=True):
            (x, y), wanted = own.centre, its.centre
            assert wanted == pytest.approx((-y, x) if quarter else (x, y))
        assert any("square across" in note for note in cheek.notes) == quarter


def test_a_core_too_small_for_dowels_says_so(bench: Design) -> None:
    hub = replace(bench.pulleys[1], build="layers")
    design = replace(bench, pulleys=(bench.pulleys[0], hub, *bench.pulleys[2:]))
    core = named(design, "hub core")
    assert core.drills == ()
    assert "No room for dowels" in core.notes[-1]


def test_a_core_no_larger_than_its_bore_is_refused(bench: Design) -> None:
    hub = replace(bench.pulleys[1], build="layers", groove=RoundGroove(12.0, 4.0, 2.0))
    with pytest.raises(ShapeError, match="no larger than its bore"):
        parts_of(replace(bench, pulleys=(bench.pulleys[0], hub, *bench.pulleys[2:])))


def test_the_crank_has_its_holes_at_the_throw(bench: Design) -> None:
    arm = named(bench, "crank")
    rod, knob = arm.drills
    assert math.dist(rod.centre, knob.centre) == 55.0
    assert (rod.radius_mm, knob.radius_mm) == pytest.approx((4.0, 3.0))
    assert "8 mm push fit on the rod, 6 mm for the knob" in arm.notes[0]
    assert "11 mm across and 3 mm deep" in arm.notes[1]  # a washer of 10 mm, on 5 mm of arm
    assert "before the crank goes on its rod" in arm.notes[2]


def test_a_knob_turns_in_its_arm_and_is_kept_there(bench: Design) -> None:
    """A spigot of 5.8 in a hole of 6 mm, 0.3 mm longer than the 5 mm of arm under the recess."""
    found = {b.name: b for b in bodies(build(bench))}
    spigot = [(z, r) for z, r in found["knob"].shape.outline if 0.0 < r < 5.0]
    assert [r for _, r in spigot] == pytest.approx([2.9, 2.9])
    assert abs(spigot[1][0] - spigot[0][0]) == pytest.approx(5.3)
    assert found["crank"].shape.holes[-1][1] == pytest.approx(3.0)
    assert (knob_screw_mm(6.0), knob_screw_mm(8.0)) == (2.0, 3.0)  # 2.5 of them in the spigot


@pytest.mark.parametrize("by", ["motor", "hand"])
def test_without_a_crank_there_is_no_arm(bench: Design, by: str) -> None:
    design = replace(bench, drive=replace(bench.drive, by=by))  # type: ignore[arg-type]
    assert not [p for p in parts_of(design) if p.role == "crank"]


def test_a_level_shaft_gets_supports_whose_grain_runs_up(bench: Design) -> None:
    """One with its grain across would snap at the bush."""
    part = named(lying_spindle(bench), "support spindle 1 to 2")
    (bush,) = part.drills
    x1, y1, x2, y2 = part.box
    assert (part.quantity, part.grain) == (2, "along")
    assert x2 - x1 > y2 - y1  # laid down: x is up the support
    assert bush.centre[0] - x1 == pytest.approx(30.0)  # the axis stands 30 mm above the floor
    assert bush.centre[1] == pytest.approx(0.5 * (y1 + y2))


def test_like_boards_are_one_part_with_their_number(bench: Design) -> None:
    parts = {p.name: p.quantity for p in parts_of(lying_spindle(bench))}
    assert parts["wall left + wall right"] == 2
    assert parts["wall front"] == 1


def test_walls_are_as_built_with_the_notch_for_the_rod() -> None:
    """The box wheel's rod passes the front wall in a notch open at the top."""
    design = read_design(DESIGNS / "box-wheel.toml")
    walls = [p for p in parts_of(design) if p.role == "wall"]
    # three fingers at either end have 8 corners more; a notch open at the top has 4
    notched = [p for p in walls if p.outside is not None and len(p.outside.segments) > 12]
    assert [p.name for p in notched] == ["wall front"]
    assert sum(p.quantity for p in walls) == 4


def test_a_reel_is_made_when_asked_for_and_takes_a_metre(bench: Design) -> None:
    assert not [p for p in parts_of(bench) if p.role == "reel arm"]
    arm = named(replace(bench, shop=Shop(reel=True)), "reel arm")
    left, axle = arm.drills
    assert axle.centre == (0.0, 0.0)
    # four pegs of 8 mm on a square: four straight pieces and once round a peg
    side = math.dist(left.centre, axle.centre) * math.sqrt(2.0)
    assert 4.0 * side + math.pi * 8.0 == pytest.approx(1000.0, rel=1e-12)
    # the peg across from it stands in a slot, at its outer end, which is half a screw beyond it
    low, _, high, _ = arm.holes[0].box
    assert high == pytest.approx(-left.centre[0] + 2.75, abs=1e-9)
    # let in, its two runs are together 3 % of a metre shorter: both go to pegs on the other arm
    let_in, on = low + 2.75, -left.centre[0]
    assert 2.0 * (math.hypot(on, on) - math.hypot(on, let_in)) == pytest.approx(30.0, rel=1e-9)
    assert arm.quantity == 2
    assert not [*reel_rows(bench)]
    bought = {row[4]: row[1] for row in reel_rows(replace(bench, shop=Shop(reel=True)))}
    assert bought == {"pegs of the reel": "4", "axle of the reel": "1",
                      "pegs in slots of the reel": "2"}  # fmt: skip
    wide = named(replace(bench, shop=Shop(reel=True, reel_round_mm=1500.0)), "reel arm")
    side = math.dist(wide.drills[0].centre, (0.0, 0.0)) * math.sqrt(2.0)
    assert 4.0 * side + math.pi * 8.0 == pytest.approx(1500.0, rel=1e-12)
    assert "666.7 turns take 1000 m" in wide.notes[0]
    assert "5 bunches" in arm.notes[0]


def test_thickness_comes_from_the_sheets_at_hand(bench: Design) -> None:
    shop = Shop(sheets=tuple(Stock(f"{t}", 600, 300, t) for t in (3.0, 6.0, 12.0)))
    design = replace(bench, shop=shop)
    assert sheet_thickness_mm(design, 9.0) == 12.0
    assert sheet_thickness_mm(design, 20.0) == 12.0
    assert sheet_thickness_mm(bench, 9.0) == 9.0


def test_lightening_holes_keep_their_web(bench: Design) -> None:
    ok = replace(bench.pulleys[0], lightening=Lightening(6, 30.0, 90.0))
    made = face(bench, wheels(replace(bench, pulleys=(ok, *bench.pulleys[1:])))[0])
    assert len(made.holes) == 7
    assert made.area_mm2 == pytest.approx(math.pi * (80.0**2 - 4.0**2 - 6 * 15.0**2), rel=1e-12)


@pytest.mark.parametrize(
    ("holes", "where"),
    [
        (Lightening(6, 30.0, 120.0), "bottom of the groove"),
        (Lightening(3, 30.0, 42.0), "the bore"),
        (Lightening(9, 30.0, 90.0), "the next hole"),
    ],
)
def test_lightening_holes_that_leave_too_little_are_refused(
    bench: Design, holes: Lightening, where: str
) -> None:
    weak = replace(bench.pulleys[0], lightening=holes, groove=VeeGroove(160.0, 4.0, 40.0))
    design = replace(bench, pulleys=(weak, *bench.pulleys[1:]))
    with pytest.raises(ShapeError, match=f"{where}; leave at least {WEB_MM:g} mm"):
        face(design, wheels(design)[0])


def test_every_part_can_be_cut_as_it_is(bench: Design) -> None:
    design = replace(layered(lying_spindle(bench)), shop=Shop(reel=True))
    parts = parts_of(design)
    assert {p.role for p in parts} >= {
        "core", "cheek", "crank", "floor", "wall", "lid", "block", "bridge", "support", "reel arm",
    }  # fmt: skip
    for part in parts:
        check_items(part_items(part))
        assert part.area_mm2 > 0.0


def test_the_notes_count_the_round_holes(bench: Design) -> None:
    core = named(layered(bench, lightening=Lightening(4, 30.0, 84.0)), "wheel core")
    said = "wheel core: round holes: cut 1 x 8 mm, cut 4 x 30 mm, drill 2 x 4 mm."
    assert hole_words(core) == [said]


def test_a_layered_pulley_is_cut_from_the_files_of_its_discs_alone(bench: Design) -> None:
    """A shop that cuts the whole folder must not cut a disc twice."""
    design = layered(bench)
    glued, *turned = (pulley_sheet(design, wheel) for wheel in wheels(design))
    assert {item.layer for item in glued.items} == {"REFERENCE", "DIMENSION"}
    assert all("CUT_OUTSIDE" in {item.layer for item in sheet.items} for sheet in turned)


def test_only_the_core_carries_the_long_notes(bench: Design) -> None:
    core, cheek = (named(layered(bench), f"wheel {role}") for role in ("core", "cheek"))
    assert any("glued up from sheet" in note for note in core.notes)
    assert len(cheek.notes) == 1
    assert cheek.notes[0].startswith("Bored as the core.")
