"""The drive in space: bands close, arcs run with the pulleys, bodies have the sizes of the file."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from wheelgeo.built.pulley import loose_pulley
from wheelgeo.design.model import FlatRim, Pulley, RoundGroove, VeeGroove
from wheelgeo.design.reader import read_design
from wheelgeo.drawing.scene import Curve, Scene
from wheelgeo.drawing.scene_of_wheel import pulley_profile, scene_of
from wheelgeo.drive.train import Solution, solve_drive
from wheelgeo.geometry.vectors import cross, dot, norm, scale, sub

DESIGNS = sorted((Path(__file__).parents[2] / "designs").glob("*.toml"))


@pytest.fixture(params=DESIGNS, ids=lambda p: p.stem)
def solution(request: pytest.FixtureRequest) -> Solution:
    return solve_drive(read_design(request.param))


@pytest.fixture
def scene(solution: Solution) -> Scene:
    return scene_of(solution)


def test_every_band_closes_and_is_as_long_as_its_path(solution: Solution, scene: Scene) -> None:
    assert len(scene.cords) == len(solution.bands)
    for motion, cord in zip(solution.bands, scene.cords, strict=True):
        assert motion.path is not None
        total = math.fsum(c.length_mm for c in cord.curves)
        assert total == pytest.approx(motion.path.length_mm, rel=1e-9)
        for one, following in zip(cord.curves, [*cord.curves[1:], cord.curves[0]], strict=True):
            assert math.dist(one.at(one.end), following.at(following.start)) < 1e-6


def test_a_band_turns_no_corner_where_run_and_arc_meet(scene: Scene) -> None:
    """A run may lean out of a pulley's plane, but never against the pulley's travel."""
    for cord in scene.cords:
        for one, following in zip(cord.curves, [*cord.curves[1:], cord.curves[0]], strict=True):
            if one.length_mm > 1e-6 and following.length_mm > 1e-6:
                assert dot(one.direction(one.end), following.direction(following.start)) > 0.5


def test_arcs_travel_as_their_pulleys_turn(solution: Solution, scene: Scene) -> None:
    design = solution.design
    for motion, cord in zip(solution.bands, scene.cords, strict=True):
        arcs = [c for c in cord.curves if c.is_arc]
        order = [*range(1, len(arcs)), 0]
        for arc, stop in zip(arcs, order, strict=True):
            pulley = design.pulley(motion.band.route[stop].pulley)
            shaft = solution.shaft(pulley.shaft)
            assert shaft.speed_rpm is not None
            omega = scale(design.shaft(pulley.shaft).axis, shaft.speed_rpm)
            velocity = cross(omega, sub(arc.at(0.0), arc.base))
            assert dot(velocity, arc.direction(0.0)) == pytest.approx(norm(velocity), rel=1e-9)


def test_distances_of_shafts_are_least_distances(solution: Solution, scene: Scene) -> None:
    for spacing in scene.spacings:
        a, b = (solution.design.shaft(n) for n in (spacing.first, spacing.second))
        between = sub(spacing.end, spacing.start)
        assert abs(dot(between, a.axis)) < 1e-9
        assert abs(dot(between, b.axis)) < 1e-9
        for point, shaft in ((spacing.start, a), (spacing.end, b)):
            assert norm(cross(sub(point, shaft.at_mm), shaft.axis)) < 1e-9


def test_box_wheel_has_the_distances_that_its_file_gives() -> None:
    design = read_design(next(p for p in DESIGNS if p.stem == "box-wheel"))
    main, middle, spindle = (design.shaft(n).at_mm for n in ("main", "middle", "spindle"))
    lengths = [s.length_mm for s in scene_of(solve_drive(design)).spacings]
    # Main and middle stand upright; the spindle lies along y and passes the middle shaft in x.
    apart = math.hypot(main[0] - middle[0], main[1] - middle[1])
    assert lengths == pytest.approx([apart, abs(spindle[0] - middle[0])])


@pytest.mark.parametrize(
    ("groove", "lowest"),
    [
        (VeeGroove(60.0, 5.0, 40.0, 0.0), 25.0),
        (VeeGroove(60.0, 5.0, 40.0, 1.5), 25.0),
        (RoundGroove(60.0, 4.0, 2.0), 26.0),
        (RoundGroove(60.0, 1.0, 2.0), 29.0),
        (FlatRim(60.0, 8.0), 30.0),
    ],
)
def test_profile_reaches_from_rim_to_bottom(groove: VeeGroove, lowest: float) -> None:
    profile = pulley_profile(loose_pulley(Pulley("p", "s", 0.0, groove), 2.0))
    places = [z for z, _ in profile]
    assert places == sorted(places)
    assert max(r for _, r in profile) == pytest.approx(30.0)
    assert min(r for _, r in profile) == pytest.approx(lowest)
    for (z, r), (mirrored_z, mirrored_r) in zip(profile, profile[::-1], strict=True):
        assert (z, r) == pytest.approx((-mirrored_z, mirrored_r))


def test_the_crank_goes_round_in_its_plane() -> None:
    design = read_design(next(p for p in DESIGNS if p.stem == "box-wheel"))
    drive, scene = design.drive, scene_of(solve_drive(design))
    assert scene.crank is not None
    assert drive.radius_mm is not None
    assert drive.offset_mm is not None
    shaft, circle = design.shaft(drive.shaft), scene.crank.circle
    for t in (0.0, 1.0, 4.0):
        from_shaft = sub(circle.at(t), shaft.at_mm)
        assert dot(from_shaft, shaft.axis) == pytest.approx(drive.offset_mm)
        assert norm(cross(from_shaft, shaft.axis)) == pytest.approx(drive.radius_mm)


def test_curve_runs_at_the_pace_of_its_length() -> None:
    arc = Curve((1.0, 2.0, 3.0), u=(2.0, 0.0, 0.0), v=(0.0, 0.0, -2.0), end=math.pi / 2)
    assert arc.at(arc.end) == pytest.approx((1.0, 2.0, 1.0))
    assert arc.length_mm == pytest.approx(math.pi)
    assert arc.normal == pytest.approx((0.0, 1.0, 0.0))
    straight = Curve((1.0, 2.0, 3.0), (0.0, 3.0, 4.0))
    assert straight.length_mm == 5.0
    assert straight.direction(0.5) == pytest.approx((0.0, 0.6, 0.8))
