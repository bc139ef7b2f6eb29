"""Every kind of groove by one set of questions: seat, wedge, outline, volume, gauge, edits.

What is expected comes from the outline (nearest points, by sampling), from Pappus's rule with the
textbook's areas and centroids, or from the balance of forces; never from the seat itself.
"""

import math
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from wheelgeo.errors import ShapeError
from wheelgeo.geometry.groove import (
    GROOVE_KINDS,
    FlatRim,
    GivenPitch,
    RoundGroove,
    SquareGroove,
    VeeGroove,
    WornGroove,
    sharp_vee,
)  # fmt: skip
from wheelgeo.geometry.revolve import solid_of_revolution
from wheelgeo.geometry.segments import Arc
from wheelgeo.shop.jigs import HANDLE_MM, gauge_outline

SUNK = {
    "sharp vee": VeeGroove(120.0, 6.0, 40.0),
    "vee": VeeGroove(120.0, 6.0, 60.0, 1.0),
    "wide vee": VeeGroove(200.0, 1.0, 30.0, 3.0),
    "upright vee": VeeGroove(80.0, 4.0, 0.0, 3.0),
    "square": SquareGroove(80.0, 4.0, 3.0),
    "round": RoundGroove(60.0, 4.0, 2.0),
    "half round": RoundGroove(60.0, 2.0, 2.0),
    "shallow round": RoundGroove(60.0, 1.0, 2.0),
    "worn vee": WornGroove(120.0, 6.0, 1.2, 40.0),
    "vee worn to the rim": WornGroove(120.0, 0.6, 1.5, 40.0),
}
CUT = {**SUNK, "flat": FlatRim(60.0, 8.0)}
ALL = {**CUT, "pitch": GivenPitch(55.0)}
CORDS = (0.4, 1.2, 2.0, 2.4, 2.9, 3.0, 3.1, 4.0, 5.0, 9.0)


def every(grooves):
    return pytest.mark.parametrize("groove", grooves.values(), ids=grooves.keys())


def sampled(pieces, count=4000):
    """Points of an outline; those of lines lie as close as those of arcs."""
    ends = [piece.split(count) for piece in pieces]
    for piece, points in zip(pieces, ends, strict=True):
        if not isinstance(piece, Arc):
            points[:] = np.linspace(piece.start, piece.end, count)
    return np.concatenate([np.asarray(points) for points in ends] + [[pieces[-1].end]])


@cache
def outline_of(groove, count):
    """Points of a groove's profile; every cord is held against the same."""
    return sampled(groove.profile(20.0), count)


def test_every_kind_of_a_file_is_asked():
    assert {type(groove) for groove in ALL.values()} - {SquareGroove} == set(GROOVE_KINDS)


@every(ALL)
def test_many_cords_and_many_sizes_seat_as_each_by_itself(groove):
    each = [groove.seat(cord).pitch_radius_mm for cord in CORDS]
    many = np.broadcast_to(groove.pitch_radius_mm(np.array(CORDS)), len(CORDS))
    assert many == pytest.approx(each, rel=1e-14)
    assert [groove.pitch_radius_mm(cord) for cord in CORDS] == pytest.approx(each, rel=1e-14)
    factors = np.linspace(0.9, 1.1, 7)
    for name in groove.seat_sizes():
        sizes = groove.sizes()[name] * factors
        each = [groove.put(**{name: float(size)}).seat(2.0).pitch_radius_mm for size in sizes]
        many = np.broadcast_to(groove.put(**{name: sizes}).pitch_radius_mm(2.0), len(sizes))
        assert many == pytest.approx(each, rel=1e-12)


@every(CUT)
@pytest.mark.parametrize("cord", CORDS)
def test_a_cord_touches_its_groove_and_does_not_cut_in(groove, cord):
    outline = outline_of(groove, 4000)
    centre = groove.seat(cord).pitch_radius_mm
    apart = np.hypot(outline[:, 0], outline[:, 1] - centre)
    assert apart.min() == pytest.approx(0.5 * cord, abs=2e-4)
    assert apart.min() >= 0.5 * cord - 1e-9


@every(CUT)
@pytest.mark.parametrize("cord", CORDS)
def test_the_wedge_balances_the_forces_at_the_points_of_contact(groove, cord):
    # two walls whose forces lean by the angle a from the radius press 1/cos(a) times the pull
    outline = outline_of(groove, 40_000)
    seated = groove.seat(cord)
    apart = np.hypot(outline[:, 0], outline[:, 1] - seated.pitch_radius_mm)
    x, y = outline[apart.argmin()]
    lean = math.atan2(abs(x), seated.pitch_radius_mm - y)
    if seated.contact != "bottom":
        assert seated.wedge == pytest.approx(1.0 / math.cos(lean), rel=1e-3)
    else:
        assert seated.wedge == 1.0
        lowest = 0.5 * groove.bottom_diameter_mm
        assert seated.pitch_radius_mm == pytest.approx(lowest + 0.5 * cord, abs=1e-9)


@every(CUT)
@pytest.mark.parametrize("width", [20.0, 2.0, 0.7])
def test_the_section_is_closed_and_its_two_sides_mirror_each_other(groove, width):
    section = groove.half_section(0.5 * width)
    for one, following in pairwise([*section, section[0]]):
        assert math.dist(one.end, following.start) < 1e-9
    profile = groove.profile(0.5 * width)
    for one, other in zip(profile, profile[::-1], strict=True):
        assert (-one.start[0], one.start[1]) == pytest.approx(other.end, abs=1e-9)
    places = [piece.start[0] for piece in profile]
    assert all(after <= before + 1e-12 for before, after in pairwise(places))
    assert max(places) <= 0.5 * width + 1e-12


@every(SUNK)
def test_mouth_and_depth_are_those_of_the_outline(groove):
    outline = sampled(groove.hollow())
    assert np.ptp(outline[:, 0]) == pytest.approx(groove.mouth_mm, rel=1e-9)
    assert outline[:, 1].min() == pytest.approx(-groove.depth_mm, abs=1e-6)
    assert outline[:, 1].max() == pytest.approx(0.0, abs=1e-12)


def trapezium(width: float, other: float, height: float, low: float) -> float:
    """Volume swept by a trapezium: its area times the way of its centroid (textbook)."""
    area = 0.5 * (width + other) * height
    centroid = low + height / 3.0 * (width + 2.0 * other) / (width + other)
    return 2.0 * math.pi * area * centroid


def segment(radius: float, half_angle: float, centre: float) -> float:
    """Volume swept by the segment of a circle below its chord (textbook centroid)."""
    turn = 2.0 * half_angle
    area = 0.5 * radius**2 * (turn - math.sin(turn))
    below = 4.0 * radius * math.sin(half_angle) ** 3 / (3.0 * (turn - math.sin(turn)))
    return 2.0 * math.pi * area * (centre - below)


HOLLOWS = {
    "vee": (SUNK["vee"], trapezium(1.0, 1.0 + 12.0 * math.tan(math.radians(30.0)), 6.0, 54.0)),
    "sharp vee": (SUNK["sharp vee"], trapezium(0.0, 12.0 * math.tan(math.radians(20)), 6.0, 54.0)),
    "square": (SUNK["square"], trapezium(3.0, 3.0, 4.0, 36.0)),
    "round": (
        SUNK["round"], segment(2.0, math.pi / 2, 28.0) + trapezium(4.0, 4.0, 2.0, 28.0)
    ),
    "shallow round": (SUNK["shallow round"], segment(2.0, math.acos(0.5), 31.0)),
    "worn vee": (
        # the arc meets the flanks, 70 degrees to either side of its lowest point, at their foot
        SUNK["worn vee"],
        segment(1.2, math.radians(70.0), 55.2)
        + trapezium(
            2.4 * math.cos(math.radians(20)),
            2.4 * math.cos(math.radians(20))
            + 2.0 * (4.8 + 1.2 * math.sin(math.radians(20))) * math.tan(math.radians(20)),
            4.8 + 1.2 * math.sin(math.radians(20)),
            55.2 - 1.2 * math.sin(math.radians(20)),
        ),
    ),
    "vee worn to the rim": (
        SUNK["vee worn to the rim"], segment(1.5, math.acos(0.9 / 1.5), 60.9)
    ),
    "flat": (CUT["flat"], 0.0),
}  # fmt: skip


@pytest.mark.parametrize(("groove", "hollow"), HOLLOWS.values(), ids=HOLLOWS.keys())
def test_the_solid_of_revolution_is_a_disc_less_what_pappus_says_of_the_hollow(groove, hollow):
    solid = solid_of_revolution(groove.half_section(9.0))
    disc = math.pi * (0.5 * groove.rim_mm) ** 2 * 18.0
    assert solid.volume_mm3 == pytest.approx(disc - hollow, rel=1e-12)
    assert disc - solid.volume_mm3 == pytest.approx(hollow, rel=1e-8, abs=1e-7)
    assert solid.centroid_mm == pytest.approx(0.0, abs=1e-9)


@every(SUNK)
def test_the_gauge_is_the_complement_of_the_groove(groove):
    gauge = gauge_outline(groove, 40.0)
    hollow = sum(piece.swept_mm2 for piece in groove.hollow())
    assert abs(gauge.area_mm2) == pytest.approx(40.0 * HANDLE_MM + abs(hollow), rel=1e-12)
    # on the pulley, its shoulders on the rim, it fills the groove: every point lies on the outline
    outline = sampled(groove.profile(20.0))
    for x, y in sampled([piece.flipped() for piece in groove.hollow()], 50):
        apart = np.hypot(outline[:, 0] - x, outline[:, 1] - (0.5 * groove.rim_mm - y))
        assert apart.min() < 5e-3


def test_a_flat_rim_has_no_gauge():
    with pytest.raises(ShapeError, match="a gauge needs a groove"):
        gauge_outline(CUT["flat"], 40.0)


@every(ALL)
def test_another_size_leaves_the_rest_as_it_is(groove):
    changed = groove.with_size(71.3)
    assert changed.size_mm == 71.3
    kept = {**changed.sizes(), groove.size_name: groove.size_mm}
    assert kept == groove.sizes()
    with pytest.raises(KeyError):
        groove.put(no_such_size=1.0)


@every({name: groove for name, groove in CUT.items() if name not in ("square", "upright vee")})
def test_room_grows_until_a_thicker_cord_gets_in(groove):
    growth = groove.room
    cord = next(cord for cord in (*CORDS, 20.0) if not groove.seat(cord).seated)
    name = {"face": "width"}.get(growth.number, growth.number)
    assert groove.sizes()[name] == growth.start
    assert groove.put(**{name: growth.start + growth.most}).seat(cord).seated


@every(SUNK)
def test_the_mouth_opens(groove):
    growth = groove.opening
    if growth is not None:
        wider = groove.put(**{growth.number: growth.start + growth.step})
        assert wider.mouth_mm >= groove.mouth_mm
        most = groove.put(**{growth.number: growth.start + growth.most})
        assert most.mouth_mm > groove.mouth_mm


@pytest.mark.parametrize("angle", [30.0, 40.0, 60.0])
def test_a_sharp_vee_keeps_the_pitch_and_holds_the_cord_flush_by_its_flanks(angle):
    vee = sharp_vee(71.3, angle, 1.7)
    seated = vee.seat(1.7)
    assert seated.contact == "flanks"
    assert seated.pitch_diameter_mm == pytest.approx(71.3, abs=1e-3)  # a rim in thousandths
    assert seated.pitch_radius_mm + 0.85 == pytest.approx(0.5 * vee.rim_mm, abs=6e-3)


def test_what_is_chosen_for_a_given_pitch_holds_the_cord_at_that_pitch():
    chosen = ALL["pitch"].to_cut(2.0)
    assert chosen.seat(2.0).seated
    assert chosen.seat(2.0).pitch_diameter_mm == pytest.approx(55.0, abs=1e-12)
    assert chosen.rim_mm == 57.0


# --- worn ---------------------------------------------------------------------------------------


def test_a_thin_cord_lies_on_the_worn_bottom_and_a_thick_one_on_the_flanks_still():
    worn, new = SUNK["worn vee"], SUNK["sharp vee"]
    assert worn.seat(2.0).contact == "bottom"
    assert worn.seat(2.0).wedge == 1.0
    assert worn.seat(2.0).pitch_radius_mm == pytest.approx(54.0 + 1.0)
    # flanks that touch a circle of radius 1.2 meet 1.2/sin 20 - 1.2 below it: a new vee cut so deep
    deeper = 1.2 / math.sin(math.radians(20.0)) - 1.2
    cut_anew = new.put(depth=new.depth_mm + deeper)
    assert worn.seat(3.0).contact == "flanks"
    assert worn.seat(3.0).pitch_radius_mm == pytest.approx(cut_anew.seat(3.0).pitch_radius_mm)
    assert worn.seat(3.0).wedge == pytest.approx(1.0 / math.sin(math.radians(20.0)))


def test_a_groove_hardly_worn_is_a_sharp_vee_and_upright_flanks_make_it_a_round_groove():
    for cord in CORDS:
        fresh = WornGroove(120.0, 6.0, 1e-12, 40.0).seat(cord)
        assert fresh.pitch_radius_mm == pytest.approx(SUNK["sharp vee"].seat(cord).pitch_radius_mm)
        upright = WornGroove(60.0, 4.0, 2.0, 0.0).seat(cord)
        assert upright.pitch_radius_mm == SUNK["round"].seat(cord).pitch_radius_mm
