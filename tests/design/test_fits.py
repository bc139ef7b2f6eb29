"""Fits against ISO 286 and its formula; set screws, pins and the choice between them."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelgeo.design.rod_fits import (
    IT7_UM,
    SCREWS,
    STEPS_MM,
    WOOD_BEARING_MPA,
    Play,
    grade_um,
    it7_um,
    pin_mm,
    pin_shear_torque_nm,
    pin_wall_mm,
    set_screw_torque_nm,
)
from wheelgeo.design.ways_to_fix import SAFETY, Seating, choose, fixings, strongest
from wheelgeo.errors import ShapeError
from wheelgeo.units.written import told_in

HUB = Seating(12.0, 40.0, 20.0, 0.3, metal=False, least_wall_mm=1.2)


@pytest.mark.parametrize(("low", "high"), list(pairwise(STEPS_MM)))
def test_grade_7_is_the_formula_of_iso_286_1_rounded(low: float, high: float) -> None:
    # ISO 286-1, from memory: IT7 = 16 i, i = 0.45 D^(1/3) + 0.001 D, D the geometric mean.
    # The standard rounds its table by rules of its own: within 5 % of the formula here.
    mean = math.sqrt(low * high)
    formula = 16.0 * (0.45 * mean ** (1.0 / 3.0) + 0.001 * mean)
    assert it7_um(high) == pytest.approx(formula, rel=0.05)
    assert grade_um(high, 7) == pytest.approx(formula, rel=1e-12)


def test_grade_7_of_the_table_above_18_mm() -> None:
    # ISO 286-1, from memory: 18-30 21; ... 400-500 63; the formula: 20.9, 25.0, 29.7, ... 62.2.
    formula = [20.9, 25.0, 29.7, 34.8, 40.3, 46.3, 51.6, 56.7, 62.2]
    assert [grade_um(d, 7) for d in STEPS_MM[4:]] == pytest.approx(formula, abs=0.06)
    assert IT7_UM[4:] == (21.0, 25.0, 30.0, 35.0, 40.0, 46.0, 52.0, 57.0, 63.0)


def test_a_diameter_on_the_edge_of_a_step_belongs_to_the_lower_one() -> None:
    assert it7_um(18.0) == 18.0
    assert it7_um(18.001) == 21.0


@pytest.mark.parametrize("diameter", [0.0, -3.0, 500.1, math.nan])
def test_beyond_the_table_there_is_no_tolerance(diameter: float) -> None:
    with pytest.raises(ShapeError, match="no tolerance is tabled"):
        it7_um(diameter)


def test_a_grade_that_there_is_not() -> None:
    with pytest.raises(ShapeError, match="no tolerance grade 4"):
        grade_um(10.0, 4)


def test_a_bore_stands_off_centre_by_half_its_greatest_play_and_a_tight_one_does_not() -> None:
    assert Play(0.006, 0.035).eccentricity_mm == pytest.approx(0.0175)
    assert Play(-0.029, 0.0).eccentricity_mm == 0.0
    assert Play(-0.029, -0.002).eccentricity_mm == 0.0


def test_set_screws_hold_what_the_table_says_times_the_radius() -> None:
    # Shigley, table 7-4: number 10 holds 540 lbf: on a 1/2 in shaft 135 lbf in = 15.25 N m.
    assert set_screw_torque_nm("M5", 12.7) == pytest.approx(135.0 * 0.112984829, rel=1e-6)
    # Each metric size is at least as thick as the inch size whose figures it has (0.060 in and
    # 0.013 in a number).
    for (_, mm, _, _), number in zip(SCREWS, (4, 6, 10), strict=True):
        assert mm >= 25.4 * (0.060 + 0.013 * number)
    with pytest.raises(ShapeError, match="no set screw M6"):
        set_screw_torque_nm("M6", 10.0)


@given(st.floats(3.0, 30.0), st.floats(0.01, 20.0))
def test_a_pins_wall_carries_its_torque(shaft: float, torque: float) -> None:
    pin = pin_mm(shaft)
    wall = pin_wall_mm(shaft, pin, torque)
    carried = WOOD_BEARING_MPA * pin * wall * (shaft + wall) / 1e3
    assert carried >= torque * (1.0 - 1e-9)
    assert wall == pytest.approx(2.0 * pin) or carried == pytest.approx(torque, rel=1e-9)
    assert pin_wall_mm(shaft, pin, torque, metal=True) == pin


def test_pin_in_shear() -> None:
    # 3 mm pin through 12 mm: 2 x 7.0686 mm2 x 80 MPa x 6 mm = 6.786 N m.
    assert pin_shear_torque_nm(12.0, 3.0) == pytest.approx(6.786, abs=5e-4)


@pytest.mark.parametrize(
    ("changed", "way"),
    [
        ({}, "pin"),  # 14 mm of wood round a 12 mm rod
        ({"hub_mm": 20.0}, "push fit, glued"),  # 4 mm: a 3 mm pin wants 6
        ({"hub_mm": 14.0}, "one piece"),  # 1 mm of wood is too thin for any bore
        ({"metal": True, "hub_mm": 20.0}, "set screw"),
        ({"metal": True, "hub_mm": 13.0}, "one piece"),  # a grub screw in 0.5 mm of brass
        ({"torque_nm": 20.0, "hub_mm": 60.0}, "one piece"),
        ({"hub_mm": 120.0}, "push fit, glued"),  # 54 mm of wood: no drill of 4 mm goes so deep
        ({"hub_mm": 120.0, "torque_nm": 3.0}, "flange"),  # the glue holds 4.5 N m, not 6
        ({"length_mm": 8.0, "torque_nm": 0.1}, "push fit, glued"),  # 3 mm pin: 9 mm of wood
        ({"sleeve": True}, "push fit, glued"),
        ({"sleeve": True, "metal": True}, "push fit, glued"),
        ({"comes_off": True, "torque_nm": 0.1}, "pin"),
    ],
)
def test_the_way_that_wall_and_torque_allow(changed: dict[str, float], way: str) -> None:
    seat = replace(HUB, **changed)
    if way == "one piece" and seat.metal:
        seat = replace(seat, least_wall_mm=0.6)
    assert choose(seat).way == way


def test_a_pin_is_as_long_as_its_hole_lets_it_reach() -> None:
    # 12 mm rod, 3 mm pin, 0.3 N m twice: 6 mm on either side, 3 pins' breadth to spare.
    pin = fixings(replace(HUB, hub_mm=60.0))[1]  # 24 mm to the rod: 42 mm deep of 45
    assert (pin.allowed, pin.long_mm, pin.whole) == (True, 24.0, False)
    through = fixings(replace(HUB, hub_mm=28.0))[1]  # 8 mm: it goes right through
    assert (through.allowed, through.long_mm, through.whole) == (True, 28.0, True)
    deeper = fixings(replace(HUB, hub_mm=68.0))[1]  # 28 mm: 46 mm deep with 3 mm, 60 with 4
    assert (deeper.allowed, deeper.size) == (True, "4 mm pin")
    far = fixings(replace(HUB, hub_mm=100.0))[1]
    assert not far.allowed
    assert far.why == "3 mm pin: its hole is 62 mm deep, and 45 mm is the most"


def test_a_pin_that_is_drawn_out_again_is_reached_from_both_ends() -> None:
    """60 mm of hub is 20 pins of 3 mm deep: right through; glued up it would stop in the wood."""
    seat = replace(HUB, hub_mm=60.0)
    kept, drawn = fixings(seat)[1], fixings(replace(seat, comes_off=True))[1]
    assert (kept.whole, kept.comes_off) == (False, False)
    assert (drawn.allowed, drawn.whole, drawn.comes_off, drawn.long_mm) == (True, True, True, 60.0)
    deep = fixings(replace(HUB, hub_mm=80.0, comes_off=True))[1]  # beyond 75 mm it stays blind
    assert (deep.allowed, deep.whole, deep.long_mm) == (True, False, 24.0)


def test_every_way_says_why() -> None:
    for seat in (HUB, replace(HUB, hub_mm=14.0), replace(HUB, metal=True, hub_mm=16.0)):
        for fixing in fixings(seat):
            assert any(c.isdigit() for c in fixing.why) or fixing.way in ("one piece", "set screw")
            assert fixing.eccentricity_mm >= 0.0
            if fixing.allowed:
                assert fixing.holds_nm >= SAFETY * seat.torque_nm
    refused = fixings(replace(HUB, hub_mm=16.0))[1]
    assert (refused.allowed, refused.why) == (
        False,
        "3 mm pin: the wall is 2 mm and it needs 6 mm",
    )


def test_a_thinner_wall_never_allows_more() -> None:
    for metal in (False, True):
        before = 0
        for tenth in range(120, 600, 5):
            seat = replace(HUB, hub_mm=tenth / 10.0 + 0.2, metal=metal)
            allowed = sum(f.allowed for f in fixings(seat))
            assert allowed >= before
            before = allowed


def test_where_nothing_holds_twice_the_strongest_that_holds_at_all_is_taken():
    """A flange of 3 mm on a rod of 10 mm: 8 MPa x pi 10 mm 3 mm x 5 mm is 3.77 N m."""
    seat = Seating(10.0, 120.0, 7.0, 1.0, False, 1.2)
    holds = 8.0 * math.pi * 10.0 * 3.0 * 5.0 / 1e3
    usual, weak, none = (choose(replace(seat, torque_nm=t)) for t in (0.5 * holds - 1e-6,
                         0.9 * holds, 1.1 * holds))  # fmt: skip
    assert (usual.way, usual.thick_mm) == ("flange", 3.0)
    assert (weak.way, weak.thick_mm, weak.holds_nm) == ("flange", 3.0, pytest.approx(holds))
    assert "less than 2 times" in weak.why
    assert none.way == "one piece"
    assert strongest(replace(seat, torque_nm=9.0)).holds_nm == pytest.approx(holds)
    assert strongest(Seating(8.0, 9.0, 7.0, 0.1, False, 1.2)) is None  # 0.5 mm of wood


def test_a_reason_in_inches_is_of_the_wall_as_it_is_and_not_of_whole_millimetres():
    """(60.33 - 12.7) / 2 mm are 23.815 mm, 0.938 in; the 24 mm that are told would be 0.945 in."""
    why = choose(Seating(12.7, 60.33, 20.0, 0.3, False, 1.2)).why
    assert "wall 24 mm of " in why
    assert "wall 0.938 in of " in told_in(why, "in/64", fits=True)


def test_the_strongest_pin_holds_what_its_wood_bears_and_is_not_always_the_usual_one():
    """Both ends of a pin press on w of wood: 3 MPa x pin x w (d + w)."""
    # A whorl that comes off a rod of 12 mm, 10.5 mm of wood round it. A pin of 4 mm presses on
    # 3 x 4 x 10.5 x 22.5 N mm, 2.84 N m; one of 3 mm on 2.13 N m; a taper holds 0.62 N m.
    seat = Seating(12.0, 33.0, 13.65, 2.1, False, 1.2, comes_off=True)
    best, taken = strongest(seat), choose(seat)
    assert (best.way, best.across_mm, best.holds_nm) == ("pin", 4.0, pytest.approx(2.835))
    assert (taken.way, taken.across_mm) == ("pin", 4.0)
    assert choose(replace(seat, torque_nm=2.84)).way == "one piece"
