"""The path of one band: what must hold of any path, closed forms, hulls, and paths that are not."""

import math
import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import Point
from shapely.ops import unary_union

from wheelgeo.errors import PathError
from wheelgeo.geometry import tangent
from wheelgeo.geometry.path import Path, PitchCircle, Run, shortfall_mm, solve_path
from wheelgeo.geometry.vectors import add, cross, dot, norm, scale, sub, unit

Z = (0.0, 0.0, 1.0)


def flat(name, x, y, radius, sense=1, z=0.0):
    """A pulley whose shaft stands upright."""
    return PitchCircle(name, (x, y, z), Z, radius, sense)


def pair(r1, r2, distance, crossed=False, z=0.0):
    return [flat("wheel", 0.0, 0.0, r1), flat("whorl", distance, 0.0, r2, -1 if crossed else 1, z)]


# --- drives to try things on ------------------------------------------------------------------

coordinate = st.floats(-300.0, 300.0)
point = st.tuples(coordinate, coordinate, coordinate)
direction = st.tuples(*[st.floats(-1.0, 1.0)] * 3).filter(lambda v: math.hypot(*v) > 0.1).map(unit)
circle = st.builds(
    PitchCircle, st.just("p"), point, direction, st.floats(2.0, 60.0), st.sampled_from((1, -1))
)


@st.composite
def drives(draw):
    """Two to five pulleys anywhere that have a path, well away from having none."""
    circles = draw(st.lists(circle, min_size=2, max_size=5))
    try:
        path = solve_path(circles)
    except PathError:
        assume(False)
    assume(all(r.choices == 1 and r.length_mm > 20.0 for r in path.runs))
    # a run along a shaft is about to vanish: it has no length left as seen along that shaft
    assume(all(abs(lead) < 85.0 for r in path.runs for lead in (r.leaving_deg, r.arriving_deg)))
    return path


def rotated(axis, angle):
    def turn(p):
        c, s = math.cos(angle), math.sin(angle)
        return add(
            add(scale(p, c), scale(cross(axis, p), s)), scale(axis, (1.0 - c) * dot(axis, p))
        )

    return turn


def same(one: Path, other: Path, length_factor=1.0, tolerance=1e-9):
    """Assert that two paths agree in all that does not depend on place."""
    size = one.length_mm
    assert other.length_mm == pytest.approx(length_factor * size, rel=1e-12)
    for first, second in zip(one.runs, other.runs, strict=True):
        assert second.length_mm == pytest.approx(length_factor * first.length_mm, rel=1e-10)
        assert second.leaving_deg == pytest.approx(first.leaving_deg, abs=tolerance)
        assert second.arriving_deg == pytest.approx(first.arriving_deg, abs=tolerance)
    assert other.wraps_deg == pytest.approx(one.wraps_deg, abs=tolerance)


# --- what makes it a path ---------------------------------------------------------------------


@given(drives())
@settings(deadline=None, max_examples=80)
def test_runs_are_tangent_closed_and_wrap_fully(path):
    for run in path.runs:
        a, b = path.circles[run.first], path.circles[run.second]
        way = unit(sub(run.end_mm, run.start_mm))
        for c, at in ((a, run.start_mm), (b, run.end_mm)):
            radius = sub(at, c.centre_mm)
            assert norm(radius) == pytest.approx(c.radius_mm, rel=1e-13)
            assert dot(radius, c.axis) == pytest.approx(0.0, abs=1e-12 * 600)
            assert dot(way, radius) == pytest.approx(0.0, abs=1e-11 * 600)
            assert dot(way, scale(cross(c.axis, radius), c.sense)) > 0.0
        assert norm(sub(run.end_mm, run.start_mm)) == pytest.approx(run.length_mm, rel=1e-13)
        for axis, lead in ((a.axis, run.leaving_deg), (b.axis, run.arriving_deg)):
            assert math.sin(math.radians(lead)) == pytest.approx(dot(way, axis), abs=1e-12)


@given(drives())
@settings(deadline=None, max_examples=80)
def test_wrap_carries_each_arriving_point_to_the_leaving_point(path):
    for i, (c, wrap) in enumerate(zip(path.circles, path.wraps_deg, strict=True)):
        arrives, leaves = path.runs[i - 1].end_mm, path.runs[i].start_mm
        turn = rotated(c.axis, math.radians(wrap) * c.sense)
        carried = add(c.centre_mm, turn(sub(arrives, c.centre_mm)))
        assert carried == pytest.approx(leaves, abs=1e-9)
        assert 0.0 <= wrap < 360.0
    arcs = sum(
        c.radius_mm * math.radians(w) for c, w in zip(path.circles, path.wraps_deg, strict=True)
    )
    assert path.length_mm == pytest.approx(sum(r.length_mm for r in path.runs) + arcs, rel=1e-14)


# --- what may not change it -------------------------------------------------------------------


@given(drives(), direction, st.floats(-3.0, 3.0), point)
@settings(deadline=None, max_examples=60)
def test_turned_and_moved(path, axis, angle, shift):
    turn = rotated(axis, angle)
    moved = [
        replace(c, centre_mm=add(turn(c.centre_mm), shift), axis=turn(c.axis)) for c in path.circles
    ]
    same(path, solve_path(moved), tolerance=1e-8)


@given(drives(), st.sampled_from((1e-3, 0.2, 7.0, 1e6)))
@settings(deadline=None, max_examples=60)
def test_scaled(path, factor):
    larger = [
        replace(c, centre_mm=scale(c.centre_mm, factor), radius_mm=c.radius_mm * factor)
        for c in path.circles
    ]
    same(path, solve_path(larger), factor)


@given(drives())
@settings(deadline=None, max_examples=60)
def test_mirrored(path):
    def mirror(v):
        return (-v[0], v[1], v[2])

    mirrored = [
        replace(c, centre_mm=mirror(c.centre_mm), axis=mirror(c.axis), sense=-c.sense)
        for c in path.circles
    ]
    same(path, solve_path(mirrored))


@given(drives())
@settings(deadline=None, max_examples=60)
def test_axis_turned_round_with_its_sense(path):
    turned = [replace(c, axis=scale(c.axis, -1.0), sense=-c.sense) for c in path.circles]
    other = solve_path(turned)
    assert other.length_mm == pytest.approx(path.length_mm, rel=1e-13)
    for i in range(len(turned)):
        assert other.arriving_deg(i) == pytest.approx(-path.arriving_deg(i), abs=1e-9)
        assert other.leaving_deg(i) == pytest.approx(-path.leaving_deg(i), abs=1e-9)


@given(drives())
@settings(deadline=None, max_examples=60)
def test_run_backwards_swaps_arriving_and_leaving(path):
    back = solve_path([replace(c, sense=-c.sense) for c in reversed(path.circles)])
    assert back.length_mm == pytest.approx(path.length_mm, rel=1e-12)
    n = len(path.circles)
    for i in range(n):
        assert back.arriving_deg(i) == pytest.approx(-path.leaving_deg(n - 1 - i), abs=1e-8)
        assert back.leaving_deg(i) == pytest.approx(-path.arriving_deg(n - 1 - i), abs=1e-8)
        assert back.wraps_deg[i] == pytest.approx(path.wraps_deg[n - 1 - i], abs=1e-8)


@given(drives(), st.integers(1, 4))
@settings(deadline=None, max_examples=40)
def test_the_route_may_start_anywhere(path, shift):
    k = shift % len(path.circles)
    other = solve_path(path.circles[k:] + path.circles[:k])
    assert other.length_mm == pytest.approx(path.length_mm, rel=1e-13)
    assert other.wraps_deg == pytest.approx(path.wraps_deg[k:] + path.wraps_deg[:k], abs=1e-9)


# --- closed forms on parallel shafts ----------------------------------------------------------


@given(st.floats(1.0, 200.0), st.floats(1.0, 200.0), st.floats(0.01, 500.0), st.floats(-80.0, 80.0))
@settings(deadline=None, max_examples=100)
def test_open_and_crossed_by_the_textbook(r1, r2, clear, z):
    for crossed, touching in ((False, abs(r1 - r2)), (True, r1 + r2)):
        distance = touching + clear
        path = solve_path(pair(r1, r2, distance, crossed, z))
        signed = r1 + r2 if crossed else r1 - r2
        tilt = math.asin(signed / distance)
        wraps = (math.pi + 2 * tilt, math.pi + (2 * tilt if crossed else -2 * tilt))
        in_plane = math.sqrt((distance - signed) * (distance + signed))
        assume(in_plane > 0.01 * (r1 + r2))
        run = math.hypot(in_plane, z)
        assert path.length_mm == pytest.approx(2 * run + r1 * wraps[0] + r2 * wraps[1], rel=1e-12)
        assert [math.radians(w) for w in path.wraps_deg] == pytest.approx(wraps, abs=1e-7)
        lead = math.degrees(math.atan2(z, in_plane))
        assert path.leaving_deg(0) == pytest.approx(lead, abs=1e-7)
        assert path.arriving_deg(0) == pytest.approx(-lead, abs=1e-7)


def hull_perimeter(circles) -> float:
    """Perimeter of the hull of discs, polygons with 16 384 corners: low by (pi/16384)^2 / 6."""
    discs = [
        Point(c.centre_mm[0], c.centre_mm[1]).buffer(c.radius_mm, quad_segs=4096) for c in circles
    ]
    return unary_union(discs).convex_hull.length


@pytest.mark.parametrize("seed", range(4))
def test_open_band_is_the_hull_of_its_discs(seed):
    rng = random.Random(seed)
    distance = rng.uniform(80.0, 300.0)
    circles = pair(rng.uniform(20.0, 60.0), rng.uniform(3.0, 15.0), distance)
    assert solve_path(circles).length_mm == pytest.approx(hull_perimeter(circles), rel=3e-8)


@pytest.mark.parametrize("count", [3, 4, 7])
def test_planar_band_round_many_is_their_hull(count):
    rng = random.Random(count)
    circles = [
        flat(str(i), 200 * math.cos(a), 150 * math.sin(a), rng.uniform(5.0, 30.0))
        for i in range(count)
        for a in [2 * math.pi * (i + rng.uniform(-0.1, 0.1)) / count]
    ]
    path = solve_path(circles)
    assert sum(path.wraps_deg) == pytest.approx(360.0, abs=1e-10)
    assert path.length_mm == pytest.approx(hull_perimeter(circles), rel=3e-8)


def test_route_written_backwards_winds_from_inside():
    forward = [flat("a", 0, 0, 40), flat("b", 300, 0, 30), flat("c", 120, 250, 20)]
    right, wrong = solve_path(forward), solve_path(forward[::-1])
    assert sum(right.wraps_deg) == pytest.approx(360.0)
    assert sum(wrong.wraps_deg) == pytest.approx(720.0)
    assert all(w > 180.0 for w in wrong.wraps_deg)
    assert wrong.length_mm > right.length_mm
    # its runs are the same tangents as those of the band turned the other way: from inside
    inside = hull_perimeter(forward) - right.length_mm
    assert inside == pytest.approx(0.0, abs=1e-4)


def test_a_wheel_met_twice_by_a_double_drive_band():
    wheel = [flat(f"groove {i}", 0.0, 0.0, 250.0, z=6.0 * i) for i in (0, 1)]
    bobbin, flyer = flat("bobbin", 420, 0, 30), flat("flyer", 420, 0, 40, z=6.0)
    path = solve_path([wheel[0], bobbin, wheel[1], flyer])
    assert len(path.runs) == 4
    assert sum(path.wraps_deg) == pytest.approx(720.0)
    single = [solve_path([wheel[0], bobbin]), solve_path([wheel[1], flyer])]
    assert path.length_mm == pytest.approx(sum(p.length_mm for p in single), rel=1e-4)


@pytest.mark.parametrize("angle", [0.1 * i for i in range(12)])
def test_a_pulley_that_is_only_touched_has_no_wrap(angle):
    c, s = math.cos(angle), math.sin(angle)
    path = solve_path([flat(str(x), x * c, x * s, 30.0) for x in (0.0, 70.0, 190.0)])
    assert path.wraps_deg[1] == pytest.approx(0.0, abs=1e-9)
    assert path.length_mm == pytest.approx(2 * 190 + 2 * math.pi * 30, rel=1e-13)


# --- no path ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("circles", "shortfall"),
    [
        (pair(60.0, 20.0, 25.0), 60.0 - 20.0 - 25.0),
        (pair(20.0, 60.0, 25.0), 60.0 - 20.0 - 25.0),
        (pair(60.0, 20.0, 70.0, crossed=True), 60.0 + 20.0 - 70.0),
        (pair(60.0, 20.0, 25.0, z=9.0), 60.0 - 20.0 - 25.0),
        (pair(60.0, 20.0, 0.0), 60.0 - 20.0),
    ],
)
def test_no_path_names_both_and_the_exact_shortfall(circles, shortfall):
    with pytest.raises(PathError) as caught:
        solve_path(circles)
    error = caught.value
    assert (error.first, error.second) == ("wheel", "whorl")
    assert '"wheel"' in str(error)
    assert '"whorl"' in str(error)
    assert error.shortfall_mm == pytest.approx(shortfall, abs=1e-6)
    assert f"{shortfall:.3f} mm" in str(error)


def test_no_path_at_the_third_pulley_names_that_pair():
    with pytest.raises(PathError) as caught:
        solve_path([flat("a", 0, 0, 30), flat("b", 200, 0, 20), flat("c", 205, 0, 60)])
    assert (caught.value.first, caught.value.second) == ("b", "c")


def test_shortfall_is_enough_and_not_too_much_for_shafts_at_an_angle():
    rng = random.Random(3)
    tried = 0
    while tried < 12:
        axis = unit(tuple(rng.gauss(0.0, 1.0) for _ in range(3)))
        a = flat("a", 0.0, 0.0, 50.0)
        b = PitchCircle("b", (rng.uniform(-40, 40), rng.uniform(-40, 40), 3.0), axis, 20.0, -1)
        missing = shortfall_mm(a, b)
        if missing == 0.0:
            continue
        tried += 1
        normal = unit(cross(a.axis, b.axis))
        way = normal if dot(normal, b.centre_mm) >= 0.0 else scale(normal, -1.0)
        for distance, found in ((missing + 1e-5, True), (missing - 1e-5, False)):
            moved = replace(b, centre_mm=add(b.centre_mm, scale(way, distance)))
            assert (shortfall_mm(a, moved) == 0.0) == found


@pytest.mark.parametrize(("radius", "z"), [(30.0, 0.0), (30.0, 40.0), (10.0, 0.0), (10.0, 40.0)])
@pytest.mark.parametrize("sense", [1, -1])
def test_pulleys_on_one_axis_are_an_error_not_a_crash(radius, z, sense):
    with pytest.raises(PathError):
        solve_path([flat("a", 0, 0, 30), flat("b", 0, 0, radius, sense, z)])


def test_one_pulley_is_no_drive():
    with pytest.raises(ValueError, match="two pulleys"):
        solve_path([flat("a", 0, 0, 30)])


# --- several runs -----------------------------------------------------------------------------


def sampled_runs(a: PitchCircle, b: PitchCircle, samples=400_000) -> list[float]:
    """Return the lengths of the runs from a to b, found by walking round B's circle.

    From each point of it the tangent to A, in A's plane; where that tangent stands across the
    radius of B, it is a run, if it points along B's travel.
    """
    beta = np.linspace(0.0, 2 * math.pi, samples, endpoint=False)

    def basis(axis):
        u = unit(cross(axis, (1.0, 0.0, 0.0) if abs(axis[0]) < 0.9 else (0.0, 1.0, 0.0)))
        return np.array(u), np.array(cross(axis, u))

    (ua, va), (ub, vb) = basis(a.axis), basis(b.axis)
    radius_b = np.cos(beta)[:, None] * ub + np.sin(beta)[:, None] * vb
    q = np.subtract(b.centre_mm, a.centre_mm) + b.radius_mm * radius_b
    x, y = q @ ua, a.sense * (q @ va)
    away = np.hypot(x, y)
    outside = away > a.radius_mm
    turn = np.arctan2(y, x) - np.arccos(np.where(outside, a.radius_mm / away, 0.0))
    p = a.radius_mm * (np.cos(turn)[:, None] * ua + a.sense * np.sin(turn)[:, None] * va)
    run = q - p
    across = np.einsum("ij,ij->i", run, radius_b)
    along = np.einsum("ij,ij->i", run, b.sense * np.cross(b.axis, radius_b))
    good = outside & (along > 0.0)
    crosses = (across * np.roll(across, -1) <= 0.0) & good & np.roll(good, -1)
    return sorted(np.linalg.norm(run[crosses], axis=1))


def close_pair(rng: random.Random) -> tuple[PitchCircle, PitchCircle]:
    axis, way = (unit(tuple(rng.gauss(0.0, 1.0) for _ in range(3))) for _ in range(2))
    r2 = 50.0 * 10 ** rng.uniform(-1.0, 0.0)
    centre = scale(way, rng.uniform(0.1, 1.2) * (50.0 + r2))
    return flat("a", 0.0, 0.0, 50.0), PitchCircle("b", centre, axis, r2, rng.choice((1, -1)))


def longest_and_choices(a, b) -> Run | None:
    try:
        return solve_path([a, b]).runs[0]
    except PathError as error:
        return None if error.first == "a" else solve_path([a, b, flat("c", 1e4, 3e3, 1.0)]).runs[0]


def test_every_run_of_a_close_pair_is_counted():
    rng = random.Random(6)
    seen = {0: 0, 1: 0, 2: 0}
    for _ in range(250):
        a, b = close_pair(rng)
        run = longest_and_choices(a, b)
        choices = run.choices if run else 0
        seen[choices] = seen.get(choices, 0) + 1
        # sampling sees only runs that stand clear of the edges of its steps: never more
        assert len(sampled_runs(a, b, 10_000)) <= choices
    assert seen[0] > 20
    assert seen[1] > 20


def largest_slope(pair, count=720) -> float:
    """Largest slope of the map of B's circle into itself, from differences of its angles."""
    beta = np.linspace(0.0, 2 * math.pi, count + 1)
    e_a, _ = tangent.leave(pair, (np.cos(beta), np.sin(beta)), np)
    (x, y), _ = tangent.arrive(pair, e_a, np)
    return float(np.max(np.abs(np.diff(np.unwrap(np.arctan2(y, x)))))) * count / (2 * math.pi)


def test_where_a_run_is_proven_the_map_contracts():
    rng = random.Random(12)
    proven, steepest = 0, 0.0
    for _ in range(3000):
        a, b = close_pair(rng)
        b = replace(b, centre_mm=scale(b.centre_mm, 1.8))
        frames = [tangent.frame(c.axis, float(c.sense), math) for c in (a, b)]
        pair = tangent.pairing(*frames, b.centre_mm, a.radius_mm, b.radius_mm)
        if tangent.certificate(pair, math):
            proven += 1
            steepest = max(steepest, largest_slope(pair))
    assert proven > 300
    assert 0.5 < steepest < 1.0


@pytest.mark.parametrize("ratio", [1.0, 3.0])
def test_the_bound_holds_from_just_where_the_two_tangents_make_up_for_the_two_radii(ratio):
    # shafts at right angles, both centres on their common perpendicular C long: seen along either
    # axis the other circle comes as near as C - r, so that (TA TB)^2 is the product of
    # (C - rB)^2 - rA^2 and (C - rA)^2 - rB^2; for equal radii the bound is C = r (1 + sqrt 2)
    ra, rb = 10.0 * ratio, 10.0
    low, high = ra + rb, 10.0 * (ra + rb)
    for _ in range(100):
        c = 0.5 * (low + high)
        enough = ((c - rb) ** 2 - ra**2) * ((c - ra) ** 2 - rb**2) > (ra * rb) ** 2
        low, high = (low, c) if enough else (c, high)
    if ratio == 1.0:
        assert high == pytest.approx(10.0 * (1.0 + math.sqrt(2.0)), rel=1e-12)
    for c, holds in ((high * (1.0 + 1e-9), True), (high * (1.0 - 1e-9), False)):
        frames = [tangent.frame(axis, 1.0, math) for axis in ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))]
        pair = tangent.pairing(*frames, (c, 0.0, 0.0), ra, rb)
        assert bool(tangent.certificate(pair, math)) == holds


def test_two_runs_and_the_longest_is_taken():
    # found by search: two pulleys that overlap, seen along either axis, and are not one in another
    a = flat("a", 0.0, 0.0, 50.0)
    b = PitchCircle("b", (-22.0, -26.0, -35.0), unit((0.24, 0.42, 0.876)), 25.0, 1)
    run = longest_and_choices(a, b)
    assert run is not None
    assert run.choices == 2
    short, long = sampled_runs(a, b)
    assert long > short + 1.0
    assert run.length_mm == pytest.approx(long, abs=1e-3)


def test_far_apart_there_is_one_run_only():
    rng = random.Random(9)
    for _ in range(60):
        a, b = close_pair(rng)
        b = replace(b, centre_mm=scale(unit(b.centre_mm), 400.0))
        run = longest_and_choices(a, b)
        seen_along_b = sub(b.centre_mm, scale(b.axis, dot(b.centre_mm, b.axis)))
        if run and math.hypot(*b.centre_mm[:2]) > 200.0 and norm(seen_along_b) > 200.0:
            assert run.choices == 1
            assert len(sampled_runs(a, b, 40_000)) == 1
