"""Outlines hold exact figures, and refuse what could not be cut."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from wheelgeo.errors import ShapeError
from wheelgeo.geometry.segments import Arc, Line, Point, arc_between, meetings, on_circle
from wheelgeo.shop.outlines import (
    Circle,
    Label,
    Outline,
    Part,
    Place,
    loops_meet,
    polygon_outline,
    rectangle,
)

SLOT = Outline(
    (
        Line((0.0, 0.0), (10.0, 0.0)),
        Arc((10.0, 5.0), 5.0, -90.0, 90.0),
        Line((10.0, 10.0), (0.0, 10.0)),
        Arc((0.0, 5.0), 5.0, 90.0, 270.0),
    )
)
NOTCHED = Outline(  # a square with a half circle taken out of its upper side
    (
        Line((0.0, 0.0), (20.0, 0.0)),
        Line((20.0, 0.0), (20.0, 20.0)),
        Line((20.0, 20.0), (14.0, 20.0)),
        Arc((10.0, 20.0), 4.0, 0.0, 180.0, counter_clockwise=False),
        Line((6.0, 20.0), (0.0, 20.0)),
        Line((0.0, 20.0), (0.0, 0.0)),
    )
)
PLACES = st.builds(
    Place,
    st.tuples(st.floats(-500, 500), st.floats(-500, 500)),
    st.floats(-360, 360),
    st.booleans(),
)


def test_area_and_length_of_a_slot_are_the_closed_form() -> None:
    assert SLOT.area_mm2 == pytest.approx(100.0 + 25.0 * math.pi, rel=1e-14)
    assert SLOT.length_mm == pytest.approx(20.0 + 10.0 * math.pi, rel=1e-14)
    assert SLOT.box == (-5.0, 0.0, 15.0, 10.0)


def test_a_clockwise_arc_takes_area_away() -> None:
    assert NOTCHED.area_mm2 == pytest.approx(400.0 - 8.0 * math.pi, rel=1e-14)
    assert NOTCHED.length_mm == pytest.approx(72.0 + 4.0 * math.pi, rel=1e-14)


@pytest.mark.parametrize("outline", [SLOT, NOTCHED], ids=["slot", "notched"])
@given(place=PLACES)
@settings(max_examples=40, deadline=None)
def test_a_move_changes_neither_area_nor_length(outline: Outline, place: Place) -> None:
    moved = outline.moved(place)
    assert moved.area_mm2 == pytest.approx(outline.area_mm2, rel=1e-10)
    assert moved.length_mm == pytest.approx(outline.length_mm, rel=1e-12)


def test_a_mirrored_part_lies_on_the_other_side_and_its_text_still_reads() -> None:
    part = Part("p", "plate", SLOT, marks=((3.0, 1.0),), labels=(Label("p", (3.0, 1.0)),))
    mirrored = part.moved(Place(mirror=True))
    assert mirrored.box == (-15.0, 0.0, 5.0, 10.0)
    assert mirrored.marks == ((-3.0, 1.0),)
    assert mirrored.labels[0].turn_deg == 0.0


@given(chord=st.floats(1e-4, 1.0))
@settings(max_examples=30, deadline=None)
def test_chords_stay_within_what_they_say(chord: float) -> None:
    ring = Polygon(NOTCHED.points(chord))
    assert ring.is_valid
    assert abs(ring.area - NOTCHED.area_mm2) <= chord * 4.0 * math.pi
    assert ring.hausdorff_distance(Polygon(NOTCHED.points(1e-5))) <= 1.01 * chord


@pytest.mark.parametrize(
    ("segments", "says"),
    [
        ([Line((0, 0), (10, 0)), Line((10, 0), (10, 10)), Line((10, 10), (0, 0.1))], "open by"),
        ([Line((0, 0), (10, 0)), Line((10, 0), (10, 0)), Line((10, 0), (0, 0))], "no length"),
        ([Line((0, 0), (0, 10)), Line((0, 10), (10, 0)), Line((10, 0), (0, 0))], "counter"),
        ([Line((0, 0), (1, 0))], "at least two"),
    ],
)
def test_what_could_not_be_cut_is_refused(segments: list[Line], says: str) -> None:
    with pytest.raises(ShapeError, match=says):
        Outline(tuple(segments))


@pytest.mark.parametrize(
    "corners",
    [
        [(0, 0), (20, 0), (20, 10), (5, -5), (0, 10)],  # a side crosses the first
        [(0, 0), (20, 0), (20, 10), (10, 0), (0, 10)],  # a corner touches a side
        [(0, 0), (10, 0), (10, 10), (10, 5), (0, 5)],  # a side runs back over another
    ],
)
def test_an_outline_that_meets_itself_is_refused(corners: list[Point]) -> None:
    with pytest.raises(ShapeError, match="meets itself"):
        polygon_outline(corners)


@pytest.mark.parametrize("radius", [0.0, -1.0, math.nan, math.inf])
def test_a_circle_needs_a_radius(radius: float) -> None:
    with pytest.raises(ShapeError):
        Circle((0.0, 0.0), radius)


@given(
    angles=st.tuples(st.floats(0, 360), st.floats(1, 359), st.floats(0, 360), st.floats(1, 359)),
    apart=st.floats(0.5, 12.0),
    radius=st.floats(1.0, 6.0),
)
@settings(max_examples=150, deadline=None)
def test_meetings_of_arcs_lie_on_both(
    angles: tuple[float, float, float, float], apart: float, radius: float
) -> None:
    a = Arc((0.0, 0.0), 5.0, angles[0], angles[0] + angles[1])
    b = Arc((apart, 0.0), radius, angles[2] + angles[3], angles[2], counter_clockwise=False)
    for p in meetings(a, b):
        assert math.dist(p, a.centre) == pytest.approx(5.0, abs=1e-6)
        assert math.dist(p, b.centre) == pytest.approx(radius, abs=1e-6)
    assert len(meetings(a, b)) == len(meetings(b, a))


def test_meetings_of_line_and_arc() -> None:
    half = Arc((0.0, 0.0), 5.0, 0.0, 180.0)
    assert meetings(Line((-10, 3), (10, 3)), half) == [(-4.0, 3.0), (4.0, 3.0)]
    assert meetings(Line((-10, -3), (10, -3)), half) == []
    assert meetings(Line((0, 0), (0, 4)), half) == []
    assert meetings(half, Line((0, 0), (0, 7))) == [(0.0, 5.0)]


def test_the_ends_of_an_arc_belong_to_it() -> None:
    quarter = Arc((0.0, 0.0), 5.0, 0.0, 90.0)
    assert meetings(Line((0, 3), (0, 7)), quarter) == [(0.0, 5.0)]
    assert meetings(Line((3, 0), (7, 0)), quarter) == [(5.0, 0.0)]
    back = Arc((0.0, 0.0), 5.0, 90.0, 0.0, counter_clockwise=False)
    assert meetings(Line((0, 3), (0, 7)), back) == [(0.0, 5.0)]
    assert meetings(Line((3, 0), (7, 0)), back) == [(5.0, 0.0)]


def test_loops_that_touch_are_told_from_loops_apart() -> None:
    square = rectangle((0.0, 0.0, 10.0, 10.0))
    assert loops_meet(square, rectangle((10.0, 2.0, 20.0, 8.0)))
    assert loops_meet(square, Circle((5.0, 5.0), 5.0))
    assert not loops_meet(square, Circle((5.0, 5.0), 4.9))
    assert not loops_meet(square, rectangle((10.1, 0.0, 20.0, 10.0)))


def test_quarter_turns_are_exact() -> None:
    assert on_circle((1.0, 2.0), 3.0, -90.0) == (1.0, -1.0)
    assert on_circle((1.0, 2.0), 3.0, 540.0) == (-2.0, 2.0)


def test_an_arc_between_points_keeps_its_sense() -> None:
    quarter = arc_between((0.0, 0.0), (2.0, 0.0), (0.0, 2.0), counter_clockwise=True)
    rest = arc_between((0.0, 0.0), (2.0, 0.0), (0.0, 2.0), counter_clockwise=False)
    assert quarter.sweep_deg == pytest.approx(90.0)
    assert rest.sweep_deg == pytest.approx(-270.0)
    assert quarter.bulge == pytest.approx(math.tan(math.pi / 8.0))
