"""Half-sections: closed forms of area and volume, and what cannot be cut."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wheelgeo.built.pulley import loose_pulley
from wheelgeo.design.model import (
    Band,
    Design,
    Drive,
    FlatRim,
    GivenPitch,
    Groove,
    Pulley,
    RoundGroove,
    Shaft,
    Spindle,
    Stop,
    VeeGroove,
)
from wheelgeo.errors import ShapeError
from wheelgeo.geometry.revolve import solid_of_revolution
from wheelgeo.geometry.segments import Arc
from wheelgeo.shop.outlines import Outline
from wheelgeo.shop.section import half_section, wheels

UP = (0.0, 0.0, 1.0)


def one_pulley(groove: Groove, cord_mm: float = 2.0, **more: object) -> Design:
    pulley = Pulley("p", "s", 10.0, groove, **more)  # type: ignore[arg-type]
    partner = Pulley("q", "t", 10.0, FlatRim(20.0, 9.0))
    band = Band("b", (Stop("p"), Stop("q")), "cotton cord", cord_mm)
    shafts = (Shaft("s", (0.0, 0.0, 0.0), UP, 6.0), Shaft("t", (200.0, 0.0, 0.0), UP, 6.0))
    drive = Drive("s", "crank", 60.0, "clockwise")
    return Design("d", "mm", drive, shafts, (pulley, partner), (band,), Spindle("t", "tip"))


def section(groove: Groove, **more: object) -> Outline:
    design = one_pulley(groove, **more)  # type: ignore[arg-type]
    return half_section(design, wheels(design)[0])


def volume_mm3(outline: Outline) -> float:
    """Volume of the turned solid."""
    return solid_of_revolution(outline.segments).volume_mm3


def test_vee_section_is_a_rectangle_less_a_trapezium() -> None:
    made = section(VeeGroove(100.0, 5.0, 40.0, 1.0), width_mm=12.0, bore_mm=8.0)
    mouth = 1.0 + 10.0 * math.tan(math.radians(20.0))
    assert made.area_mm2 == pytest.approx(12.0 * 46.0 - 2.5 * (1.0 + mouth), rel=1e-12)
    assert made.box == pytest.approx((4.0, 4.0, 16.0, 50.0))
    assert len(made.segments) == 8


def test_vee_volume_by_pappus() -> None:
    made = section(VeeGroove(100.0, 5.0, 40.0, 1.0), width_mm=12.0, bore_mm=8.0)
    t = math.tan(math.radians(20.0))
    # groove = a ring 1 mm wide and 5 deep, and two rings of triangular section 5 deep, 5 t wide
    ring = math.pi * (50.0**2 - 45.0**2)
    flanks = 2.0 * (2.0 * math.pi * (45.0 + 10.0 / 3.0) * (0.5 * 5.0 * 5.0 * t))
    whole = math.pi * (50.0**2 - 4.0**2) * 12.0
    assert volume_mm3(made) == pytest.approx(whole - ring - flanks, rel=1e-12)


@pytest.mark.parametrize(("depth", "pieces"), [(1.5, 6), (2.0, 6), (3.0, 8)])
def test_round_section_has_one_true_arc(depth: float, pieces: int) -> None:
    made = section(RoundGroove(60.0, depth, 2.0), width_mm=10.0, bore_mm=8.0)
    arcs = [s for s in made.segments if isinstance(s, Arc)]
    assert [a.radius_mm for a in arcs] == [2.0]
    assert len(made.segments) == pieces
    half = math.acos(max(2.0 - depth, 0.0) / 2.0)
    groove = 4.0 * (half - math.sin(half) * math.cos(half)) + 4.0 * max(depth - 2.0, 0.0)
    assert made.area_mm2 == pytest.approx(10.0 * 26.0 - groove, rel=1e-12)


def test_round_volume_by_pappus() -> None:
    made = section(RoundGroove(60.0, 3.0, 2.0), width_mm=10.0, bore_mm=8.0)
    # a half circle of radius 2 whose centre is 29 mm out, and straight walls 1 mm deep above it
    half_circle = 2.0 * math.pi * (29.0 - 8.0 / (3.0 * math.pi)) * (2.0 * math.pi)
    walls = 4.0 * math.pi * (30.0**2 - 29.0**2)
    whole = math.pi * (30.0**2 - 4.0**2) * 10.0
    assert volume_mm3(made) == pytest.approx(whole - half_circle - walls, rel=1e-12)


def test_flat_section_is_a_rectangle() -> None:
    made = section(FlatRim(40.0, 9.0), bore_mm=8.0)
    assert made.area_mm2 == pytest.approx(9.0 * 16.0, rel=1e-14)
    assert len(made.segments) == 4


@given(pitch=st.floats(15.0, 300.0), cord=st.floats(0.5, 6.0))
@settings(max_examples=60, deadline=None)
def test_a_groove_chosen_for_a_pitch_gives_exactly_that_pitch(pitch: float, cord: float) -> None:
    groove = loose_pulley(Pulley("p", "s", 0.0, GivenPitch(pitch)), cord).groove
    seated = groove.seat(cord)
    assert seated.seated
    assert seated.pitch_diameter_mm == pytest.approx(pitch, rel=1e-12)
    assert groove.rim_mm == pytest.approx(pitch + cord)  # the cord lies flush with the rim


def test_a_chosen_groove_is_said() -> None:
    design = one_pulley(GivenPitch(50.0))
    notes = " ".join(wheels(design)[0].notes)
    assert "only the pitch is given, 50 mm" in notes
    assert "radius 1.1 mm" in notes


def test_the_default_bore_is_a_push_fit_on_the_shaft_and_is_said() -> None:
    wheel = wheels(one_pulley(FlatRim(40.0, 9.0)))[0]
    assert wheel.bore_mm == 6.0
    assert "reamed to a push fit on the 6 mm shaft" in wheel.notes[0]


def test_a_metal_pulley_is_bored_h7() -> None:
    wheel = wheels(one_pulley(FlatRim(40.0, 9.0), material="brass"))[0]
    assert wheel.bore_mm == 6.0
    assert "6 H7 (+0.012 / 0 mm)" in wheel.notes[0]


def test_a_thin_wall_round_the_bore_is_said() -> None:
    thin = wheels(one_pulley(VeeGroove(20.0, 6.0, 40.0, 1.0), bore_mm=7.0))[0]
    assert "only 0.5 mm is left between bore and groove" in thin.notes[-1]
    brass = wheels(one_pulley(VeeGroove(20.0, 6.0, 40.0, 1.0), bore_mm=7.0, material="brass"))[0]
    assert not any("is left between" in note for note in brass.notes)
    stout = wheels(one_pulley(VeeGroove(24.0, 6.0, 40.0, 1.0), bore_mm=7.0))[0]
    assert not any("is left between" in note for note in stout.notes)


def test_layers_are_said_with_their_sheets() -> None:
    notes = wheels(one_pulley(VeeGroove(60.0, 5.0, 40.0), build="layers", core_mm=4.0))[0].notes
    assert "core 4 mm, two cheeks 3 mm" in notes[-1]


def two_grooves(gap: float, rims: tuple[float, float] = (100.0, 80.0)) -> Design:
    design = one_pulley(VeeGroove(rims[0], 5.0, 40.0, 1.0), width_mm=10.0, bore_mm=8.0)
    second = Pulley("r", "s", 20.0 + gap, RoundGroove(rims[1], 2.0, 2.0), 10.0, bore_mm=8.0)
    return replace(design, pulleys=(*design.pulleys, second))


def test_two_grooves_whose_faces_meet_are_one_piece() -> None:
    design = two_grooves(0.0)
    pieces = wheels(design)
    assert [w.name for w in pieces] == ["p + r", "q"]
    made = half_section(design, pieces[0])
    mouth = 1.0 + 10.0 * math.tan(math.radians(20.0))
    # the wall between them stands midway between their mouths, at the larger rim on its left
    wall = 0.5 * ((10.0 + 0.5 * mouth) + (20.0 - 2.0))
    area = (wall - 5.0) * 46.0 + (25.0 - wall) * 36.0 - 2.5 * (1.0 + mouth) - 2.0 * math.pi
    assert made.area_mm2 == pytest.approx(area, rel=1e-12)


def test_grooves_of_one_rim_share_an_edge_that_is_not_cut_in_two() -> None:
    design = two_grooves(0.0, (100.0, 100.0))
    made = half_section(design, wheels(design)[0])
    assert (
        len(made.segments) == 10
    )  # bore, two faces, three pieces of rim, three of the vee, one arc


def test_pulleys_apart_are_two_pieces() -> None:
    assert [w.name for w in wheels(two_grooves(0.5))] == ["p", "q", "r"]


def test_grooves_that_run_into_each_other_are_named() -> None:
    design = two_grooves(-7.0)
    with pytest.raises(ShapeError, match='"p" and "r": their grooves run into each other'):
        half_section(design, wheels(design)[0])


def test_bores_that_differ_on_one_piece_are_named() -> None:
    design = two_grooves(0.0)
    wider = replace(design.pulleys[2], bore_mm=9.0)
    with pytest.raises(ShapeError, match="bores of 8 mm and 9 mm"):
        wheels(replace(design, pulleys=(*design.pulleys[:2], wider)))


@pytest.mark.parametrize(
    ("build", "says"),
    [
        (lambda: one_pulley(VeeGroove(20.0, 7.0, 40.0, 1.0), bore_mm=7.0), "leaves nothing"),
        (lambda: one_pulley(VeeGroove(60.0, 7.0, 40.0, 1.0), width_mm=4.0), "only 4 mm"),
    ],
)
def test_what_cannot_be_turned_is_refused(build: Callable[[], Design], says: str) -> None:
    design = build()
    with pytest.raises(ShapeError, match=says):
        half_section(design, wheels(design)[0])


def test_a_pitch_without_a_band_has_no_groove() -> None:
    design = one_pulley(GivenPitch(50.0))
    design = replace(design, bands=())
    with pytest.raises(ShapeError, match="no band runs on it"):
        half_section(design, wheels(design)[0])


GROOVES = st.one_of(
    st.builds(VeeGroove, st.floats(30, 400), st.floats(1, 9), st.floats(20, 90), st.floats(0, 5)),
    st.builds(RoundGroove, st.floats(30, 400), st.floats(1, 9), st.floats(0.5, 6)),
    st.builds(FlatRim, st.floats(30, 400), st.floats(2, 40)),
    st.builds(GivenPitch, st.floats(30, 400)),
)


@given(groove=GROOVES, cord=st.floats(0.5, 5.0), layers=st.booleans())
@settings(max_examples=300, deadline=None, derandomize=True)
def test_random_pulleys_are_simple_and_closed(
    groove: Groove, cord: float, layers: bool
) -> None:
    """Outline checks itself: closed, no piece without length, nowhere meeting itself."""
    design = one_pulley(groove, cord, build="layers" if layers else "turned")
    made = half_section(design, wheels(design)[0])
    low, bore, high, rim = made.box
    assert bore == pytest.approx(3.0)
    assert rim == pytest.approx(0.5 * loose_pulley(design.pulleys[0], cord).rim_mm)
    assert 0.0 < made.area_mm2 <= (high - low) * (rim - bore) * (1.0 + 1e-12)
