"""The room that pulleys and shafts take, and the grooves that are cut."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from wheelgeo.built.as_built import build
from wheelgeo.built.pulley import BuiltPulley
from wheelgeo.design.model import (
    Band,
    Bearing,
    Cop,
    Design,
    Drive,
    FlatRim,
    GivenPitch,
    Pulley,
    RoundGroove,
    Section,
    Shaft,
    Spindle,
    Stop,
    VeeGroove,
    Washer,
)
from wheelgeo.drive.train import solve_drive
from wheelgeo.geometry.groove import SquareGroove

UP = (0.0, 0.0, 1.0)
X = (1.0, 0.0, 0.0)
VEE = VeeGroove(100.0, 5.0, 40.0, 1.0)
MOUTH = 1.0 + 10.0 * math.tan(math.radians(20.0))


def pulley(groove: object = VEE, **more: object) -> Pulley:
    return Pulley("p", "s", 10.0, groove, **more)  # type: ignore[arg-type]


def cut(made: Pulley, cord_mm: float = 3.0) -> BuiltPulley:
    return BuiltPulley(made, Shaft("s", (0.0, 0.0, 0.0), UP, 8.0), cord_mm)


def ends_of(made: Design, shaft: Shaft) -> tuple[float, float]:
    shafts = tuple(shaft if s.name == shaft.name else s for s in made.shafts)
    return build(replace(made, shafts=shafts)).shafts[shaft.name].ends_mm


@pytest.mark.parametrize(
    ("made", "width"),
    [
        (pulley(), MOUTH + 4.0),  # cheeks of 2 mm
        (pulley(VeeGroove(100.0, 20.0, 0.0, 6.0)), 6.0 + 8.0),  # a fifth of the depth each
        (pulley(width_mm=15.0), 15.0),
        (pulley(RoundGroove(60.0, 3.0, 2.0)), 8.0),
        (pulley(FlatRim(60.0, 9.0)), 9.0),
        (pulley(GivenPitch(50.0)), 3.3 + 4.0),  # a tenth wider than the 3 mm cord
        (pulley(build="layers", core_mm=4.0, cheek_mm=2.5), 9.0),
        (pulley(build="layers"), 3.0 + 6.0),  # the cord's own thickness is a common sheet
        (pulley(FlatRim(60.0, 9.0), build="layers", core_mm=6.0), 6.0),
        (pulley(build="layers", width_mm=99.0, core_mm=4.0, cheek_mm=2.5), 9.0),
    ],
)
def test_widths(made: Pulley, width: float) -> None:
    assert cut(made).width_mm == pytest.approx(width, rel=1e-12)


def test_a_layered_pulley_has_a_square_groove_as_wide_as_its_core() -> None:
    made = pulley(build="layers", core_mm=4.0)
    assert cut(made).groove == SquareGroove(100.0, 5.0, 4.0)
    seated = cut(made).runs_in.seat(3.0)
    assert seated.seated
    assert seated.pitch_radius_mm == 45.0 + 1.5  # on the bottom, whatever the file's angle
    assert seated.mouth_mm == 4.0


def test_a_cord_wider_than_the_core_rides_on_the_edges() -> None:
    seated = cut(pulley(build="layers", core_mm=4.0), 5.0).groove.seat(5.0)
    assert not seated.seated
    assert "square groove 4 mm wide" in seated.trouble
    assert seated.pitch_radius_mm == pytest.approx(50.0 + 1.5)  # 3-4-5


@pytest.mark.parametrize(("cord", "core"), [(1.2, 1.5), (3.0, 3.0), (3.1, 4.0), (30.0, 30.0)])
def test_a_core_is_the_thinnest_sheet_that_holds_the_cord(cord: float, core: float) -> None:
    assert cut(pulley(build="layers"), cord).core_mm == core


def test_a_given_pitch_stays_what_it_is_for_the_solver() -> None:
    assert cut(pulley(GivenPitch(50.0))).runs_in == GivenPitch(50.0)
    layered = pulley(GivenPitch(50.0), build="layers")
    assert cut(layered).groove.seat(3.0).pitch_diameter_mm == pytest.approx(50.0)


def test_cheeks_share_what_a_given_width_leaves() -> None:
    assert cut(pulley(width_mm=15.0)).cheek_mm == pytest.approx(0.5 * (15.0 - MOUTH))
    assert cut(pulley(FlatRim(60.0, 9.0))).cheek_mm == 0.0


def test_the_rim_of_a_given_pitch_is_flush_with_its_cord() -> None:
    assert cut(pulley(GivenPitch(50.0))).rim_mm == 53.0


def wheel() -> Design:
    shafts = (Shaft("s", (0.0, 0.0, 0.0), UP, 8.0), Shaft("t", (150.0, 0.0, 0.0), UP, 6.0))
    pulleys = (pulley(width_mm=12.0), Pulley("q", "t", 10.0, FlatRim(20.0, 9.0)))
    bands = (Band("b", (Stop("p"), Stop("q")), "cotton cord", 2.0),)
    drive = Drive("s", "crank", 60.0, "clockwise", 50.0, offset_mm=30.0)
    return Design("w", "mm", drive, shafts, pulleys, bands, Spindle("t", "tip"))


def test_a_rod_reaches_over_its_pulleys_and_the_crank() -> None:
    made = wheel()
    # a washer of 1.5 mm and a bearing of 12 mm on either side of a pulley from 4 to 16 mm; the
    # crank's arm, 8 mm thick, turns at 30 mm
    assert ends_of(made, made.shaft("s")) == (4.0 - 13.5, 34.0)
    other = replace(made, spindle=Spindle("s", "tip"))
    assert ends_of(other, made.shaft("t")) == (5.5 - 13.5, 14.5 + 13.5)


def test_a_spindle_without_ends_has_bearings_a_tail_and_a_tip() -> None:
    """Bearings 2 diameters and 5 mm astride its pulley; 10 mm behind them, 120 mm before."""
    made = wheel()
    assert [b.at_mm for b in build(made).spindle.bearings] == [10.0 - 17.0, 10.0 + 17.0]
    assert ends_of(made, made.shaft("t")) == (-7.0 - 10.0, 27.0 + 120.0)


def test_a_bare_rod_reaches_past_every_pulley_along_its_own_axis() -> None:
    """Upright, past both faces of the lower and the higher; level, past the rims of both."""
    made = wheel()
    bodies = [(made.shaft(p.shaft), p.offset_mm, cut(p, 2.0).width_mm, cut(p, 2.0).rim_mm)
              for p in made.pulleys]  # fmt: skip
    upright, level = Shaft("u", (70.0, 55.0, -3.0), UP, 8.0), Shaft("v", (0.0, 0.0, 0.0), X, 8.0)
    heights = [s.at_mm[2] + at + sign * wide / 2 for s, at, wide, _ in bodies for sign in (-1, 1)]
    sides = [s.at_mm[0] + sign * rim / 2 for s, _, _, rim in bodies for sign in (-1, 1)]
    for rod, reach in ((upright, [h + 3.0 for h in heights]), (level, sides)):
        wide = replace(made, shafts=(*made.shafts, rod))
        ends = (min(0.0, *reach), max(0.0, *reach))
        assert ends_of(wide, rod) == pytest.approx(ends, abs=1e-12)


def test_the_files_ends_win_whichever_way_round() -> None:
    made = wheel()
    assert ends_of(made, replace(made.shafts[0], ends_mm=(40.0, -7.0))) == (-7.0, 40.0)


def test_a_spindle_reaches_over_all_that_it_carries() -> None:
    spindle = Spindle(
        "t", "tip", (Bearing(-20.0, "leather"),), (Section(0.0, 90.0, 5.0),),
        (Washer(60.0, 30.0, 2.0),), Cop(62.0, 160.0, 30.0, 40.0),
    )  # fmt: skip
    made = replace(wheel(), spindle=spindle)
    assert ends_of(made, made.shaft("t")) == (-30.0, 160.0)  # a tail behind its one bearing


def test_the_ratio_of_a_layered_wheel_is_that_of_its_square_groove() -> None:
    made = wheel()
    layered = replace(made.pulleys[0], build="layers", core_mm=3.0, cheek_mm=3.0, width_mm=None)
    solved = solve_drive(replace(made, pulleys=(layered, made.pulleys[1])))
    assert solved.ratio == pytest.approx((45.0 + 1.0) / (10.0 + 1.0), rel=1e-12)
    drawn = solve_drive(made).ratio
    assert drawn is not None
    assert drawn > (45.0 + 1.0) / 11.0  # the vee of the drawing holds the cord higher
