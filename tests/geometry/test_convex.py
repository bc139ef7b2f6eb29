"""Signed distance of convex bodies: closed forms, brute force over directions, invariances."""

import math
import random
from itertools import chain

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import nnls

from wheelgeo.geometry.convex import (
    SIDES,
    Capsule,
    ConvexBody,
    Cylinder,
    gap_mm,
    half_width_mm,
    overhangs_mm,
)
from wheelgeo.geometry.vectors import add, along, cross, scale, unit

X, Y, Z = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)


# --- closed forms -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("centre", "gap"),
    [
        ((100.0, 0.0, 0.0), 100.0 - 20 - 30),  # side by side
        ((0.0, 0.0, 60.0), 60.0 - 5 - 10),  # one above the other
        ((100.0, 0.0, 27.0), math.hypot(50.0, 12.0)),  # rim to rim
        ((40.0, 0.0, 0.0), -10.0),  # deep by 10 sideways, by 15 along
        ((40.0, 0.0, 8.0), -7.0),  # parted soonest along the axes
        ((0.0, 0.0, 0.0), -15.0),
    ],
)
def test_parallel_cylinders(centre, gap):
    a = Cylinder((0.0, 0.0, 0.0), Z, 20.0, 5.0)
    assert gap_mm(a, Cylinder(centre, Z, 30.0, 10.0)) == pytest.approx(gap, abs=1e-12)
    assert gap_mm(a, Cylinder(centre, scale(Z, -1.0), 30.0, 10.0)) == pytest.approx(gap, abs=1e-12)


@pytest.mark.parametrize(
    ("start", "end", "gap"),
    [
        ((-10.0, 9.0, 50.0), (10.0, 9.0, 50.0), 9.0 - 3),  # crossing in front
        ((20.0, 3.0, 50.0), (30.0, 3.0, 50.0), math.hypot(20.0, 3.0) - 3),  # past the end
        ((0.0, 0.0, 104.0), (0.0, 8.0, 110.0), 4.0 - 3),  # end to end
        ((-5.0, 0.0, 0.0), (5.0, 0.0, 0.0), -3.0),  # centre-lines meet
        ((0.0, 6.0, 20.0), (0.0, 6.0, 20.0), 6.0 - 3),  # a ball
    ],
)
def test_capsules(start, end, gap):
    upright = Capsule((0.0, 0.0, 0.0), (0.0, 0.0, 100.0), 2.0)
    assert gap_mm(upright, Capsule(start, end, 1.0)) == pytest.approx(gap, abs=1e-12)


@pytest.mark.parametrize(
    ("centre", "axis", "gap"),
    [
        ((0.0, 0.0, 40.0), X, 40.0 - 5 - 8),  # a rod lying over a face
        ((60.0, 0.0, 0.0), Y, 60.0 - 20 - 8),  # a rod across the side, touching the rim's middle
        ((60.0, 0.0, 0.0), X, 60.0 - 20 - 30),  # a rod that points at the side
        ((35.0, 0.0, 0.0), X, -13.0),  # the same, in it: lifting it clear takes 5 + 8
        ((80.0, 0.0, 17.0), X, math.hypot(30.0, 4.0)),  # a rod's edge above a rim's edge
    ],
)
def test_rod_across_a_disc(centre, axis, gap):
    disc = Cylinder((0.0, 0.0, 0.0), Z, 20.0, 5.0)
    assert gap_mm(disc, Cylinder(centre, axis, 8.0, 30.0)) == pytest.approx(gap, abs=1e-9)


def test_ball_over_every_part_of_a_cylinder():
    disc = Cylinder((0.0, 0.0, 0.0), Z, 20.0, 5.0)
    for rho, z in ((3.0, 9.0), (25.0, 0.0), (24.0, 8.0), (10.0, 4.0), (19.0, 1.0)):
        radial, axial = rho - 20.0, z - 5.0
        exact = math.hypot(radial, axial) if min(radial, axial) > 0 else max(radial, axial)
        ball = Capsule((rho, 0.0, z), (rho, 0.0, z), 1.5)
        assert gap_mm(disc, ball) == pytest.approx(exact - 1.5, abs=1e-12)


def test_tilted_disc_dips_its_edge_towards_a_face():
    # a thin disc tilted by t above a wide face: its lowest edge is R sin t + h cos t below centre
    tilt = math.radians(20.0)
    face = Cylinder((0.0, 0.0, 0.0), Z, 500.0, 10.0)
    disc = Cylinder((0.0, 0.0, 80.0), (math.sin(tilt), 0.0, math.cos(tilt)), 40.0, 2.0)
    exact = 80.0 - 10.0 - (40.0 * math.sin(tilt) + 2.0 * math.cos(tilt))
    assert gap_mm(face, disc) == pytest.approx(exact, abs=1e-9)


# --- against brute force ----------------------------------------------------------------------


def _sphere(count):
    i = np.arange(count) + 0.5
    height = 1.0 - 2.0 * i / count
    turn = math.pi * (1.0 + math.sqrt(5.0)) * i
    ring = np.sqrt(1.0 - height**2)
    return np.stack((np.cos(turn) * ring, np.sin(turn) * ring, height), axis=-1)


SPHERE = _sphere(20_000)


def _reach(body: ConvexBody, n):
    """Half-width for directions (k, 3), written down from the definition of each body."""
    if isinstance(body, Capsule):
        rod = np.subtract(body.end, body.start)
        return 0.5 * np.abs(n @ rod) + body.radius
    across = np.linalg.norm(np.cross(n, body.axis), axis=-1)
    return body.half_length * np.abs(n @ np.array(body.axis)) + body.radius * across


def _centre(body: ConvexBody):
    if isinstance(body, Capsule):
        return 0.5 * np.add(body.start, body.end)
    return np.array(body.centre)


def _axis(body: ConvexBody):
    return np.array(
        unit(np.subtract(body.end, body.start)) if isinstance(body, Capsule) else body.axis
    )


CAP = np.random.default_rng(4).normal(size=(150, 3))


def _brute(a: ConvexBody, b: ConvexBody) -> float:
    """Largest separation over directions: a dense sphere, then ever smaller caps."""
    between = _centre(b) - _centre(a)

    def separation(n):
        return n @ between - _reach(a, n) - _reach(b, n)

    values = separation(SPHERE)
    ends = [_axis(a), -_axis(a), _axis(b), -_axis(b)]
    return max(_zoom(separation, s) for s in [*SPHERE[np.argsort(values)[-120::30]], *ends])


def _zoom(separation, best):
    value, radius = separation(best[None, :])[0], 0.05
    while radius > 1e-7:
        near = best + radius * CAP
        near /= np.linalg.norm(near, axis=-1, keepdims=True)
        values = separation(near)
        if values.max() > value:
            best, value = near[values.argmax()], values.max()
        else:
            radius *= 0.5
    return value


def _random_body(rng: random.Random, spread: float) -> ConvexBody:
    centre = tuple(rng.uniform(-spread, spread) for _ in range(3))
    axis = unit(tuple(rng.gauss(0.0, 1.0) for _ in range(3)))
    if rng.random() < 0.3:
        centre = tuple(round(c, -1) for c in centre)
        axis = rng.choice((X, Y, Z))
    if rng.random() < 0.7:
        return Cylinder(centre, axis, rng.choice((1.0, 5, 20, 90)), rng.choice((0.5, 3.0, 10, 100)))
    return Capsule(centre, along(centre, axis, rng.uniform(1.0, 150.0)), rng.choice((0.0, 3.0, 30)))


@pytest.mark.parametrize("spread", [25.0, 60.0, 120.0])
def test_nothing_beats_it_and_it_is_reached(spread):
    rng = random.Random(20 + spread)
    apart = 0
    for _ in range(40):
        a, b = _random_body(rng, spread), _random_body(rng, spread)
        gap, brute = gap_mm(a, b), _brute(a, b)
        apart += gap > 0.0
        assert brute <= gap + 1e-9  # no direction parts them further
        assert gap <= brute + 2e-2  # and a direction comes near it (the search is coarse at ridges)
    assert 0 < apart < 40 or spread == 120.0


def test_distance_is_that_of_the_nearest_points():
    # found another way: the least distance between a point of one solid and a point of the other
    rng = random.Random(8)
    for _ in range(12):
        a, b = _random_body(rng, 150.0), _random_body(rng, 150.0)
        if gap_mm(a, b) > 1.0:
            assert gap_mm(a, b) == pytest.approx(_nearest(a, b), rel=1e-6)


def _nearest(a: ConvexBody, b: ConvexBody) -> float:
    """Least distance of two bodies by walking from support point to support point (Frank-Wolfe)."""
    difference = np.zeros(3) + _centre(b) - _centre(a)
    corners = [difference]
    for _ in range(400):
        n = difference / np.linalg.norm(difference)
        corners.append(_support(b, -n) - _support(a, n))
        difference, corners = _nearest_in_hull(corners)
    return float(np.linalg.norm(difference))


def _support(body: ConvexBody, n):
    centre = _centre(body)
    if isinstance(body, Capsule):
        rod = np.subtract(body.end, body.start)
        return centre + 0.5 * np.sign(n @ rod) * rod + body.radius * n
    axis = np.array(body.axis)
    side = n - (n @ axis) * axis
    size = np.linalg.norm(side)
    rim = body.radius * side / size if size > 1e-15 else 0.0
    return centre + np.sign(n @ axis) * body.half_length * axis + rim


def _nearest_in_hull(corners):
    """Nearest point to the origin of a hull of at most 8 points (kept small), by NNLS."""
    points = np.array(corners[-8:])
    size = np.abs(points).max()
    matrix = np.vstack((points.T / size, np.full(len(points), 1e3)))
    weights, _ = nnls(matrix, np.array([0.0, 0.0, 0.0, 1e3]))
    weights = weights / weights.sum()
    used = [p for p, w in zip(points, weights, strict=True) if w > 1e-12]
    return weights @ points, used


# --- properties -------------------------------------------------------------------------------

coordinate = st.floats(-100.0, 100.0)
point = st.tuples(coordinate, coordinate, coordinate)
direction = point.filter(lambda v: math.hypot(*v) > 1.0).map(unit)
size = st.floats(0.5, 80.0)
cylinders = st.builds(Cylinder, point, direction, size, size)
capsules = st.builds(Capsule, point, point, size)
bodies = st.one_of(cylinders, capsules)


def _move(body: ConvexBody, turn, shift) -> ConvexBody:
    def place(p):
        return add(turn(p), shift)

    if isinstance(body, Capsule):
        return Capsule(place(body.start), place(body.end), body.radius)
    return Cylinder(place(body.centre), turn(body.axis), body.radius, body.half_length)


def _rotation(axis, angle):
    def turn(p):
        c, s = math.cos(angle), math.sin(angle)
        k = (1.0 - c) * sum(a * b for a, b in zip(axis, p, strict=True))
        return add(add(scale(p, c), scale(cross(axis, p), s)), scale(axis, k))

    return turn


@given(bodies, bodies)
@settings(max_examples=60, deadline=None)
def test_symmetric(a, b):
    assert gap_mm(a, b) == pytest.approx(gap_mm(b, a), abs=1e-7)


@given(bodies, bodies, direction, st.floats(-3.0, 3.0), point)
@settings(max_examples=60, deadline=None)
def test_moving_both_changes_nothing(a, b, axis, angle, shift):
    turn = _rotation(axis, angle)
    moved = gap_mm(_move(a, turn, shift), _move(b, turn, shift))
    assert moved == pytest.approx(gap_mm(a, b), abs=1e-7)


@given(bodies, bodies, st.floats(0.01, 20.0), direction)
@settings(max_examples=60, deadline=None)
def test_moving_one_by_d_changes_the_gap_by_d_at_most(a, b, distance, way):
    moved = _move(b, lambda p: p, scale(way, distance))
    if isinstance(b, Cylinder):
        moved = Cylinder(along(b.centre, way, distance), b.axis, b.radius, b.half_length)
    assert abs(gap_mm(a, moved) - gap_mm(a, b)) <= distance + 1e-7


@given(bodies, bodies, st.floats(-50.0, 150.0))
@settings(max_examples=60, deadline=None)
def test_enough_never_changes_the_answer(a, b, limit):
    exact, early = gap_mm(a, b), gap_mm(a, b, enough=limit)
    assert (early >= limit) == (exact >= limit)
    assert early <= exact + 1e-9


def test_enough_decides_as_the_exact_gap_does():
    rng = random.Random(31)
    for _ in range(200):
        a, b = _random_body(rng, 90.0), _random_body(rng, 90.0)
        exact = gap_mm(a, b)
        for limit in (exact - 5.0, exact - 1e-6, exact + 1e-6, exact + 5.0):
            assert (gap_mm(a, b, enough=limit) >= limit) == (exact >= limit)


# --- in a box ---------------------------------------------------------------------------------

BOX = ((-50.0, -40.0, 0.0), (100.0, 80.0, 60.0))


@pytest.mark.parametrize(
    ("centre", "mm", "side"),
    [
        ((0.0, 0.0, 3.0), 2.0, "floor"),
        ((0.0, 0.0, 58.0), 3.0, "top"),
        ((-45.0, 0.0, 30.0), 15.0, "left"),
        ((41.0, 0.0, 30.0), 11.0, "right"),
        ((0.0, -25.0, 30.0), 5.0, "front"),
        ((0.0, 39.0, 30.0), 19.0, "back"),
        ((0.0, 0.0, 30.0), -20.0, "front"),
    ],
)
def test_beyond_box(centre, mm, side):
    low, high = overhangs_mm(Cylinder(centre, Z, 20.0, 5.0), *BOX)
    beyond = dict(zip(chain(*SIDES), chain(*zip(low, high, strict=True)), strict=True))
    worst = max(beyond, key=beyond.__getitem__)
    assert (beyond[worst], worst) == (pytest.approx(mm), side)


def test_half_width_of_a_tilted_cylinder():
    body = Cylinder((0.0, 0.0, 0.0), (0.6, 0.0, 0.8), 10.0, 5.0)
    assert half_width_mm(body, Z) == pytest.approx(5.0 * 0.8 + 10.0 * 0.6)
    assert half_width_mm(Capsule((0.0, 0.0, 0.0), (6.0, 0.0, 8.0), 1.0), Z) == pytest.approx(5.0)
