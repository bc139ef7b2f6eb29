"""Mass figures of turned parts against textbook solids."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelgeo.geometry.groove import RoundGroove
from wheelgeo.geometry.revolve import Hole, drilled, solid_of_revolution
from wheelgeo.geometry.segments import Segment, arc_between, chain

NEAR = 1e-12
length = st.floats(0.5, 400.0)


def polygon(*points: tuple[float, float]) -> tuple[Segment, ...]:
    return chain(*points, points[0])


def tube(outer: float, inner: float, height: float, at: float = 0.0) -> tuple[Segment, ...]:
    return polygon((at, inner), (at + height, inner), (at + height, outer), (at, outer))


@given(length, length, st.floats(0.0, 0.99), st.floats(-500.0, 500.0))
def test_tube_has_the_textbook_figures(
    outer: float, height: float, hollow: float, at: float
) -> None:
    inner = hollow * outer
    solid = solid_of_revolution(tube(outer, inner, height, at))
    volume = math.pi * (outer**2 - inner**2) * height
    assert solid.volume_mm3 == pytest.approx(volume, rel=1e-11)
    assert solid.centroid_mm == pytest.approx(at + height / 2, abs=1e-9)
    assert solid.axial_mm5 == pytest.approx(volume * (outer**2 + inner**2) / 2, rel=1e-11)
    across = volume * (3 * (outer**2 + inner**2) + height**2) / 12
    assert solid.transverse_mm5 == pytest.approx(across, rel=1e-10)


def test_cone_has_its_centre_at_a_quarter_of_its_height() -> None:
    solid = solid_of_revolution(polygon((0, 0), (12, 0), (0, 5)))
    volume = math.pi * 25 * 12 / 3
    assert solid.volume_mm3 == pytest.approx(volume, rel=NEAR)
    assert solid.centroid_mm == pytest.approx(3.0, rel=NEAR)
    assert solid.axial_mm5 == pytest.approx(0.3 * volume * 25, rel=NEAR)
    assert solid.transverse_mm5 == pytest.approx(volume * (3 / 20 * 25 + 3 / 80 * 144), rel=NEAR)


@pytest.mark.parametrize("reverse", [False, True])
def test_ball_from_one_half_circle(reverse: bool) -> None:
    half = arc_between((0.0, 0.0), (5.0, 0.0), (-5.0, 0.0), counter_clockwise=True)
    section = (*chain((-5.0, 0.0), (5.0, 0.0)), half)
    solid = solid_of_revolution([p.reversed() for p in section[::-1]] if reverse else section)
    volume = 4 / 3 * math.pi * 125
    assert solid.volume_mm3 == pytest.approx(volume, rel=NEAR)
    assert solid.axial_mm5 == pytest.approx(0.4 * volume * 25, rel=NEAR)
    assert solid.transverse_mm5 == pytest.approx(0.4 * volume * 25, rel=NEAR)


@given(st.floats(1.0, 20.0), st.floats(1.01, 30.0), st.floats(-60.0, 60.0))
def test_ring_obeys_pappus_and_the_textbook(cord: float, times: float, at: float) -> None:
    centre = cord * times
    ends = ((at - cord, centre), (at + cord, centre))
    halves = [arc_between((at, centre), *way, True) for way in (ends, ends[::-1])]
    solid = solid_of_revolution(halves)
    volume = 2 * math.pi**2 * centre * cord**2
    assert solid.volume_mm3 == pytest.approx(volume, rel=1e-11)
    assert solid.axial_mm5 == pytest.approx(volume * (centre**2 + 0.75 * cord**2), rel=1e-11)
    across = volume * (centre**2 / 2 + 5 / 8 * cord**2)
    assert solid.transverse_mm5 == pytest.approx(across, rel=1e-10)


def test_hemisphere_has_its_centre_at_three_eighths() -> None:
    quarter = arc_between((0.0, 0.0), (8.0, 0.0), (0.0, 8.0), counter_clockwise=True)
    origin = (0.0, 0.0)
    solid = solid_of_revolution(
        (*chain(origin, (8.0, 0.0)), quarter, *chain((0.0, 8.0), origin))
    )
    assert solid.centroid_mm == pytest.approx(3.0, rel=NEAR)


@given(st.floats(-100.0, 100.0))
def test_moving_along_the_axis_changes_only_the_centre(shift: float) -> None:
    section = RoundGroove(60.0, 4.0, 2.8).half_section(4.5)
    here = solid_of_revolution(section)
    there = solid_of_revolution([piece.moved(shift, 0.0) for piece in section])
    assert there.volume_mm3 == pytest.approx(here.volume_mm3, rel=1e-11)
    assert there.transverse_mm5 == pytest.approx(here.transverse_mm5, rel=1e-11)
    assert there.centroid_mm - here.centroid_mm == pytest.approx(shift, abs=1e-9)


def test_densities_turn_figures_into_grams_and_kilogram_square_metres() -> None:
    solid = solid_of_revolution(tube(100.0, 0.0, 10.0))  # 0.1 m steel disc, 10 mm thick
    mass_kg = math.pi * 0.1**2 * 0.01 * 7850
    assert solid.mass_g(7850) == pytest.approx(1000 * mass_kg, rel=NEAR)
    assert solid.axial_kg_m2(7850) == pytest.approx(mass_kg * 0.1**2 / 2, rel=NEAR)
    across = mass_kg * (3 * 0.1**2 + 0.01**2) / 12
    assert solid.transverse_kg_m2(7850) == pytest.approx(across, rel=NEAR)


def test_a_bore_drilled_makes_the_tube() -> None:
    made = drilled(solid_of_revolution(tube(50, 0, 12, 3)), [Hole(0.0, 8.0)], 3, 15)
    want = solid_of_revolution(tube(50, 8, 12, 3))
    for name in ("volume_mm3", "centroid_mm", "axial_mm5", "transverse_mm5"):
        assert getattr(made, name) == pytest.approx(getattr(want, name), rel=NEAR)


def test_a_hole_takes_away_a_rod_by_the_parallel_axis_rule() -> None:
    # a cone, so that its centre moves along the axis as the holes are drilled
    cone = solid_of_revolution(polygon((0, 0), (12, 0), (0, 50)))
    made = drilled(cone, [Hole(20.0, 2.0)] * 4, 0, 1)
    rods = 4 * math.pi * 4 * 1
    assert made.volume_mm3 == pytest.approx(cone.volume_mm3 - rods, rel=NEAR)
    assert made.axial_mm5 == pytest.approx(cone.axial_mm5 - rods * (4 / 2 + 400), rel=NEAR)
    centre = (cone.volume_mm3 * 3.0 - rods * 0.5) / made.volume_mm3
    assert made.centroid_mm == pytest.approx(centre, rel=NEAR)
    # all about the face at 0: two of the four rods lie 20 mm aside of a line across the axis
    about_face = cone.transverse_mm5 + cone.volume_mm3 * 9.0
    about_face -= rods * (4 / 4 + 1 / 12 + 0.5**2 + 400 / 2)
    assert made.transverse_mm5 + made.volume_mm3 * centre**2 == pytest.approx(about_face, rel=NEAR)


def test_section_that_crosses_the_axis_is_refused() -> None:
    with pytest.raises(ValueError, match="across its axis"):
        solid_of_revolution(polygon((0, -1), (1, 2), (0, 2)))


def test_section_without_area_is_refused() -> None:
    with pytest.raises(ValueError, match="encloses nothing"):
        solid_of_revolution(polygon((0, 1), (1, 1)))
