"""Every pulley of a shipped wheel is held by a way that its wall allows and that holds enough."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.design.model import VeeGroove
from wheelgeo.design.reader import read_design
from wheelgeo.design.ways_to_fix import SAFETY
from wheelgeo.drive.fixing import HARDEST_PUSH, TURNED_TRUE_MM, fixed_pulleys
from wheelgeo.drive.running import load_wheel, part_balances

DESIGNS = Path(__file__).parents[2] / "designs"
BOX = read_design(DESIGNS / "box-wheel.toml")


def held(design):
    loaded = load_wheel(design)
    return fixed_pulleys(loaded.built, loaded.load), loaded


@pytest.mark.parametrize("path", sorted(DESIGNS.glob("*.toml")), ids=lambda p: p.stem)
def test_every_fixing_holds_twice_what_its_pulley_carries(path):
    found, _ = held(read_design(path))
    for one in found.values():
        assert one.torque_nm > 0.0
        assert one.fixing.holds_nm >= SAFETY * one.torque_nm
        assert one.fixing.way != "one piece"


def test_no_torque_is_larger_than_the_hardest_push_or_a_slipping_band():
    """60 mm and 15 N, pushed twice as hard: 1.8 N m at the crank, less friction at the wheel."""
    found, loaded = held(BOX)
    assert found["wheel"].torque_nm <= HARDEST_PUSH * 15.0 * 0.060
    hub = next(s for b in loaded.load.bands for s in b.stops if s.pulley == "hub")
    assert found["hub"].torque_nm <= hub.capacity_nm * (1.0 + 1e-9)


def test_what_the_wall_is_too_thin_for_is_not_pinned():
    found, _ = held(BOX)
    assert found["accelerator"].fixing.way == "push fit, glued"  # 30 mm to drill with 1.5 mm
    assert found["hub"].fixing.way == "push fit, glued"  # 1.4 mm of wood
    assert found["whorl"].fixing.way == "push fit, glued"  # 0.65 mm of brass: no set screw


def test_a_wheel_too_large_to_drill_to_its_rod_has_a_flange():
    """Box: 3 mm of brass on 8 mm, 8 MPa x pi x 8 x 3 x 4 mm = 2.41 N m; its glued face
    1 MPa x 2 pi/3 x (12^3 - 4^3) = 3.5 N m."""
    found, _ = held(BOX)
    wheel = found["wheel"].fixing
    assert wheel.way == "flange"
    assert wheel.size == "brass flange, 24 mm across, 3 mm thick, bore 8 mm"
    assert wheel.holds_nm == pytest.approx(2.41, abs=0.005)


def test_nothing_is_driven_through_a_sleeve_into_the_rod_it_turns_on():
    """A pin through the bobbin's whorl would pierce the flyer's rod: nothing would wind on."""
    for path in sorted(DESIGNS.glob("*.toml")):
        for one in held(read_design(path))[0].values():
            if one.pulley.shaft.runs_on is not None:
                assert one.fixing.way not in ("pin", "set screw", "flange")


def test_the_whorl_of_a_flyer_can_be_taken_off_again():
    """The bobbin comes off behind it. The same whorl on a rod without a bobbin may be glued."""
    flyer = read_design(DESIGNS / "flyer-wheel.toml")
    assert held(flyer)[0]["flyer whorl"].fixing.way == "pin"


def test_two_grooves_of_one_piece_are_fixed_together():
    found, _ = held(read_design(DESIGNS / "flyer-wheel.toml"))
    back, front = found["back groove"], found["front groove"]
    assert back.piece == front.piece == ("back groove", "front groove")
    assert back.fixing == front.fixing


def test_a_boss_of_metal_takes_a_set_screw():
    whorl = replace(BOX.pulley("whorl"), groove=VeeGroove(16.0, 2.4, 60.0, 0.6))
    pulleys = tuple(whorl if p.name == "whorl" else p for p in BOX.pulleys)
    found, _ = held(replace(BOX, pulleys=pulleys))
    assert found["whorl"].fixing.size == "M3 set screw"


def test_the_balance_takes_what_the_fixing_leaves_off_centre():
    found, loaded = held(BOX)
    for part in part_balances(loaded):
        play = found[part.pulley].fixing.eccentricity_mm
        assert part.expected_mm == pytest.approx(play + TURNED_TRUE_MM)
    _, own = held(replace(BOX, limits={"bore_eccentricity_mm": 0.3}))
    assert {part.expected_mm for part in part_balances(own)} == {0.3}
    assert all(math.isfinite(part.rattles_at_mm) for part in part_balances(loaded))
