"""Mass figures of turned parts against textbook solids and against the file's own grooves."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelgeo.design.model import (
    Band,
    Design,
    Drive,
    FlatRim,
    Lightening,
    Pulley,
    RoundGroove,
    Shaft,
    Spindle,
    Stop,
    VeeGroove,
)
from wheelgeo.geometry.halfsection import pulley_section, pulley_solid, section_of
from wheelgeo.geometry.revolve import Corner, solid_of_revolution

NEAR = 1e-12
length = st.floats(0.5, 400.0)


def tube(outer: float, inner: float, height: float, at: float = 0.0) -> tuple[Corner, ...]:
    return (
        Corner(at, inner),
        Corner(at + height, inner),
        Corner(at + height, outer),
        Corner(at, outer),
    )


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
    solid = solid_of_revolution((Corner(0, 0), Corner(12, 0), Corner(0, 5)))
    volume = math.pi * 25 * 12 / 3
    assert solid.volume_mm3 == pytest.approx(volume, rel=NEAR)
    assert solid.centroid_mm == pytest.approx(3.0, rel=NEAR)
    assert solid.axial_mm5 == pytest.approx(0.3 * volume * 25, rel=NEAR)
    assert solid.transverse_mm5 == pytest.approx(volume * (3 / 20 * 25 + 3 / 80 * 144), rel=NEAR)


@pytest.mark.parametrize("reverse", [False, True])
def test_ball_from_one_half_circle(reverse: bool) -> None:
    corners = (Corner(-5, 0), Corner(5, 0, 1.0))
    backwards = (Corner(5, 0), Corner(-5, 0, -1.0))
    solid = solid_of_revolution(backwards if reverse else corners)
    volume = 4 / 3 * math.pi * 125
    assert solid.volume_mm3 == pytest.approx(volume, rel=NEAR)
    assert solid.axial_mm5 == pytest.approx(0.4 * volume * 25, rel=NEAR)
    assert solid.transverse_mm5 == pytest.approx(0.4 * volume * 25, rel=NEAR)


@given(st.floats(1.0, 20.0), st.floats(1.01, 30.0), st.floats(-60.0, 60.0))
def test_ring_obeys_pappus_and_the_textbook(cord: float, times: float, at: float) -> None:
    centre = cord * times
    solid = solid_of_revolution((Corner(at - cord, centre, 1.0), Corner(at + cord, centre, 1.0)))
    volume = 2 * math.pi**2 * centre * cord**2
    assert solid.volume_mm3 == pytest.approx(volume, rel=1e-11)
    assert solid.axial_mm5 == pytest.approx(volume * (centre**2 + 0.75 * cord**2), rel=1e-11)
    across = volume * (centre**2 / 2 + 5 / 8 * cord**2)
    assert solid.transverse_mm5 == pytest.approx(across, rel=1e-10)


def test_hemisphere_has_its_centre_at_three_eighths() -> None:
    quarter = math.tan(math.radians(90) / 4)
    solid = solid_of_revolution((Corner(0, 0), Corner(8, 0, quarter), Corner(0, 8)))
    assert solid.centroid_mm == pytest.approx(3.0, rel=NEAR)


@given(st.floats(-100.0, 100.0))
def test_moving_along_the_axis_changes_only_the_centre(shift: float) -> None:
    section = section_of(RoundGroove(60.0, 2.0, 3.0), 9.0, 8.0)
    here = solid_of_revolution(section)
    there = solid_of_revolution([c._replace(z_mm=c.z_mm + shift) for c in section])
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


def test_section_that_crosses_the_axis_is_refused() -> None:
    with pytest.raises(ValueError, match="across its axis"):
        solid_of_revolution((Corner(0, -1), Corner(1, 2), Corner(0, 2)))


def test_section_without_area_is_refused() -> None:
    with pytest.raises(ValueError, match="encloses nothing"):
        solid_of_revolution((Corner(0, 1), Corner(1, 1), Corner(0, 1)))


def frustum_ring(mouth: float, floor: float, rim: float, bottom: float) -> float:
    """Volume of a vee groove: its section's area times the path of the section's centre."""
    depth = rim - bottom
    area = 0.5 * (mouth + floor) * depth
    centre = bottom + depth / 3 * (2 * mouth + floor) / (mouth + floor)
    return 2 * math.pi * centre * area


@pytest.mark.parametrize("floor", [0.0, 2.0])
def test_vee_groove_takes_out_its_trapezium_by_pappus(floor: float) -> None:
    groove = VeeGroove(100.0, 5.0, 40.0, floor)
    mouth = floor + 10 * math.tan(math.radians(20))
    cut = solid_of_revolution(section_of(groove, 12.0, 8.0))
    blank = math.pi * (50**2 - 4**2) * 12
    expected = blank - frustum_ring(mouth, floor, 50.0, 45.0)
    assert cut.volume_mm3 == pytest.approx(expected, rel=NEAR)
    assert cut.centroid_mm == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("depth", [1.5, 3.0, 7.0])
def test_round_groove_takes_out_its_segment_by_pappus(depth: float) -> None:
    radius, rim = 3.0, 40.0
    cut = solid_of_revolution(section_of(RoundGroove(2 * rim, depth, radius), 12.0, 8.0))
    sunk = min(depth, radius)
    half = math.acos((radius - sunk) / radius)
    segment = radius**2 * (half - math.sin(half) * math.cos(half))
    centre = rim - depth + radius - 2 * (radius * math.sin(half)) ** 3 / (3 * segment)
    walls = 2 * radius * (depth - sunk)
    expected = math.pi * (rim**2 - 16) * 12 - 2 * math.pi * (
        segment * centre + walls * (rim - (depth - sunk) / 2)
    )
    assert cut.volume_mm3 == pytest.approx(expected, rel=NEAR)


def test_groove_down_to_the_bore_is_refused() -> None:
    with pytest.raises(ValueError, match="within the bore"):
        section_of(VeeGroove(12.0, 3.0, 40.0), 8.0, 8.0)


def test_round_groove_down_to_the_bore_is_refused() -> None:
    with pytest.raises(ValueError, match="within the bore"):
        section_of(RoundGroove(12.0, 3.0, 3.0), 8.0, 8.0)


def test_mouth_wider_than_the_body_is_refused() -> None:
    with pytest.raises(ValueError, match="wider than the body"):
        section_of(VeeGroove(60.0, 5.0, 90.0), 8.0, 8.0)


def wheel_with(pulley: Pulley) -> Design:
    shaft = Shaft("main", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 8.0)
    band = Band("band", (Stop(pulley.name), Stop(pulley.name)), "cotton cord", 2.0)
    drive = Drive("main", "crank", 60.0, "clockwise")
    return Design("t", "mm", drive, (shaft,), (pulley,), (band,), Spindle("main", "tip"))


def test_lightening_holes_are_taken_out_by_the_parallel_axis_rule() -> None:
    plain = Pulley("wheel", "main", 0.0, FlatRim(180.0, 10.0))
    holed = Pulley(
        "wheel", "main", 0.0, FlatRim(180.0, 10.0), lightening=Lightening(6, 40.0, 110.0)
    )
    a, b = (pulley_solid(wheel_with(p), p) for p in (plain, holed))
    hole = math.pi * 20**2 * 10
    assert a.volume_mm3 - b.volume_mm3 == pytest.approx(6 * hole, rel=NEAR)
    assert a.axial_mm5 - b.axial_mm5 == pytest.approx(6 * hole * (200 + 55**2), rel=NEAR)
    # Each hole by itself, then moved to its place: the sum over six directions.
    across = sum(
        hole * (400 / 4 + 100 / 12 + (55 * math.sin(math.radians(60 * i))) ** 2) for i in range(6)
    )
    assert a.transverse_mm5 - b.transverse_mm5 == pytest.approx(across, rel=NEAR)


def test_a_bore_in_the_file_is_used_before_the_shaft() -> None:
    narrow = Pulley("wheel", "main", 0.0, FlatRim(50.0, 10.0))
    wide = Pulley("wheel", "main", 0.0, FlatRim(50.0, 10.0), bore_mm=20.0)
    a, b = (pulley_solid(wheel_with(p), p) for p in (narrow, wide))
    assert a.volume_mm3 - b.volume_mm3 == pytest.approx(math.pi * (100 - 16) * 10, rel=NEAR)


def test_layered_pulley_has_its_square_groove() -> None:
    groove = VeeGroove(80.0, 4.0, 40.0)
    pulley = Pulley("w", "main", 0.0, groove, build="layers", core_mm=3.0, cheek_mm=4.0)
    solid = solid_of_revolution(pulley_section(pulley, 2.0, 8.0))
    expected = math.pi * ((40**2 - 16) * 8 + (36**2 - 16) * 3)
    assert solid.volume_mm3 == pytest.approx(expected, rel=NEAR)
