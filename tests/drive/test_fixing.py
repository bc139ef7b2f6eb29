"""Every pulley of a shipped wheel is held by a way that its wall allows and that holds enough."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.design.model import VeeGroove
from wheelgeo.design.reader import read_design
from wheelgeo.design.rod_fits import SAFETY
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
    assert found["accelerator"].fixing.size == "1.5 mm pin"
    assert found["hub"].fixing.way == "push fit, glued"  # 1.4 mm of wood
    assert found["whorl"].fixing.way == "push fit, glued"  # 0.65 mm of brass: no set screw


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
