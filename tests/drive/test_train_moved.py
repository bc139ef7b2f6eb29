"""What turning, moving, scaling, mirroring and reversing a whole wheel must and must not change."""

import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wheelgeo.design.model import FlatRim, GivenPitch, RoundGroove, VeeGroove
from wheelgeo.design.reader import read_design
from wheelgeo.design.twist import direction
from wheelgeo.drive.train import solve_drive

DESIGNS = sorted((Path(__file__).resolve().parents[2] / "designs").glob("*.toml"))
IDS = [path.stem for path in DESIGNS]


def turned(vector, axis, angle):
    c, s = math.cos(angle), math.sin(angle)
    dot = sum(a * v for a, v in zip(axis, vector, strict=True))
    cross = (
        axis[1] * vector[2] - axis[2] * vector[1],
        axis[2] * vector[0] - axis[0] * vector[2],
        axis[0] * vector[1] - axis[1] * vector[0],
    )
    return tuple(
        v * c + x * s + a * dot * (1.0 - c) for v, x, a in zip(vector, cross, axis, strict=True)
    )


def moved(design, place, direction):
    shafts = tuple(
        replace(
            s, at_mm=place(s.at_mm), axis=direction(s.axis),
            slide=s.slide and replace(s.slide, along=direction(s.slide.along)),
        )
        for s in design.shafts
    )  # fmt: skip
    return replace(design, shafts=shafts)


def scaled_groove(groove, k):
    if isinstance(groove, VeeGroove):
        return VeeGroove(
            k * groove.rim_mm, k * groove.depth_mm, groove.angle_deg, k * groove.bottom_mm
        )
    if isinstance(groove, RoundGroove):
        return RoundGroove(k * groove.rim_mm, k * groove.depth_mm, k * groove.radius_mm)
    if isinstance(groove, FlatRim):
        return FlatRim(k * groove.rim_mm, k * groove.width_mm)
    return GivenPitch(k * groove.pitch_mm)


def scaled(design, k):
    grown = moved(design, lambda p: tuple(k * c for c in p), lambda a: a)
    pulleys = tuple(
        replace(
            p, offset_mm=k * p.offset_mm, groove=scaled_groove(p.groove, k),
            core_mm=p.core_mm and k * p.core_mm,
        )
        for p in design.pulleys
    )  # fmt: skip
    bands = tuple(replace(b, diameter_mm=k * b.diameter_mm) for b in design.bands)
    return replace(grown, pulleys=pulleys, bands=bands)


def numbers(solution):
    """Return what must not change when a wheel is moved: lengths last."""
    turns = [s.turns_per_drive_turn for s in solution.shafts]
    angles, lengths = [], []
    for motion in solution.bands:
        count = len(motion.band.route)
        angles += motion.path.wraps_deg
        angles += [motion.path.arriving_deg(i) for i in range(count)]
        angles += [motion.path.leaving_deg(i) for i in range(count)]
        lengths += [motion.path.length_mm, *(r.length_mm for r in motion.path.runs)]
    return turns, angles, lengths


def assert_same(solution, other, scale=1.0, turn=1.0):
    turns, angles, lengths = numbers(solution)
    others = numbers(other)
    assert [turn * t for t in others[0]] == pytest.approx(turns, rel=1e-9)
    assert others[1] == pytest.approx(angles, rel=1e-7, abs=1e-6)
    assert others[2] == pytest.approx([scale * x for x in lengths], rel=1e-9)


unit_axes = st.tuples(*[st.floats(-1.0, 1.0)] * 3).filter(lambda v: math.hypot(*v) > 0.1)


@pytest.mark.parametrize("path", DESIGNS, ids=IDS)
@given(unit_axes, st.floats(-math.pi, math.pi), st.tuples(*[st.floats(-2000.0, 2000.0)] * 3))
@settings(max_examples=8, deadline=None)
def test_turning_and_moving_a_wheel_changes_nothing(path, axis, angle, by):
    length = math.hypot(*axis)
    axis = tuple(c / length for c in axis)
    design = read_design(path)
    other = moved(
        design,
        lambda p: tuple(c + b for c, b in zip(turned(p, axis, angle), by, strict=True)),
        lambda a: turned(a, axis, angle),
    )
    before, after = solve_drive(design), solve_drive(other)
    assert_same(before, after)
    assert [s.speed_rpm for s in after.shafts] == pytest.approx(
        [s.speed_rpm for s in before.shafts]
    )


@pytest.mark.parametrize("path", DESIGNS, ids=IDS)
@given(st.floats(0.05, 20.0))
@settings(max_examples=8, deadline=None)
def test_scaling_a_wheel_scales_its_lengths_and_nothing_else(path, factor):
    design = read_design(path)
    assert_same(solve_drive(design), solve_drive(scaled(design, factor)), scale=factor)


def other_way(design):
    turns = "clockwise" if design.drive.turns == "counter-clockwise" else "counter-clockwise"
    return replace(design, drive=replace(design.drive, turns=turns))


@pytest.mark.parametrize("path", DESIGNS, ids=IDS)
@pytest.mark.parametrize("index", [0, 1, 2])
def test_mirroring_a_wheel_swaps_s_and_z(path, index):
    # A mirror turns axes as it turns arrows, so that the spindle's still points out of its tip; it
    # turns senses of rotation over: seen with its own axis, every shaft turns the other way.
    def mirror(v):
        return tuple(-c if i == index else c for i, c in enumerate(v))

    design = read_design(path)
    mirrored = other_way(moved(design, mirror, mirror))
    before, after = solve_drive(design), solve_drive(mirrored)
    assert_same(before, after)
    assert after.spindle.speed_rpm == pytest.approx(-before.spindle.speed_rpm, rel=1e-12)
    twists = {direction(s.spindle.speed_rpm) for s in (before, after)}
    assert twists == {"S", "Z"}


@pytest.mark.parametrize("path", DESIGNS, ids=IDS)
def test_reversing_the_hand_swaps_s_and_z_and_arriving_with_leaving(path):
    # The order of a route is that in which the moving band meets its pulleys: a band on three or
    # more is met in the opposite order when the drive turns back.
    design = read_design(path)
    bands = tuple(replace(b, route=(b.route[0], *b.route[:0:-1])) for b in design.bands)
    before, after = solve_drive(design), solve_drive(replace(other_way(design), bands=bands))
    assert after.spindle.speed_rpm == pytest.approx(-before.spindle.speed_rpm, rel=1e-12)
    for one, other in zip(before.bands, after.bands, strict=True):
        assert other.path.length_mm == pytest.approx(one.path.length_mm, rel=1e-12)
        count = len(one.band.route)
        for i in range(count):
            j = -i % count
            assert other.path.wraps_deg[j] == pytest.approx(one.path.wraps_deg[i], rel=1e-9)
            assert other.path.arriving_deg(j) == pytest.approx(-one.path.leaving_deg(i), abs=1e-7)
            assert other.path.leaving_deg(j) == pytest.approx(-one.path.arriving_deg(i), abs=1e-7)


@pytest.mark.parametrize("path", DESIGNS, ids=IDS)
def test_crossing_one_band_swaps_s_and_z(path):
    design = read_design(path)
    for chosen in design.bands:
        shafts = {design.pulley(stop.pulley).shaft for stop in chosen.route}
        aside = design.spindle.bobbin in shafts and solve_drive(design).drawn_by is None
        if len(chosen.route) != 2 or aside:  # the bobbin's own band has no part in the twist
            continue
        last = chosen.route[1]
        turns = "with" if last.turns == "against" else "against"
        route = (chosen.route[0], replace(last, turns=turns))
        bands = tuple(replace(b, route=route) if b is chosen else b for b in design.bands)
        speeds = [solve_drive(d).spindle.speed_rpm for d in (design, replace(design, bands=bands))]
        assert speeds[0] == pytest.approx(-speeds[1], rel=1e-12)
