"""Gaps of boxes: against closed forms, and against a dense search over directions."""

import math
import random

import numpy as np
import pytest

from wheelgeo.geometry.boxes import (
    Box,
    middle_of,
    moved,
    solid_gap_mm,
    solids_meet,
)
from wheelgeo.geometry.convex import Capsule, Cylinder
from wheelgeo.geometry.near import box_of
from wheelgeo.geometry.vectors import across, scale, unit

UPRIGHT = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def box_between(low, high):
    """The box along the axes between its lowest and its highest corner."""
    ends = list(zip(low, high, strict=True))
    middle, halves = (tuple((b + s * a) / 2.0 for a, b in ends) for s in (1, -1))
    return Box(middle, UPRIGHT, halves)


BOX = box_between((0.0, 0.0, 0.0), (10.0, 20.0, 30.0))
UP, ALONG = (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)


@pytest.mark.parametrize(
    ("other", "gap"),
    [
        (box_between((13.0, 0.0, 0.0), (20.0, 20.0, 30.0)), 3.0),
        (box_between((13.0, 24.0, 0.0), (20.0, 30.0, 30.0)), 5.0),
        (box_between((12.0, 23.0, 36.0), (20.0, 30.0, 40.0)), 7.0),
        (box_between((8.0, -5.0, -5.0), (20.0, 30.0, 40.0)), -2.0),
        (box_between((10.0, 0.0, 0.0), (20.0, 20.0, 30.0)), 0.0),
        (Cylinder((5.0, -7.0, 15.0), ALONG, 4.0, 3.0), 3.0),
        (Cylinder((5.0, 10.0, 33.0), UP, 4.0, 6.0), -3.0),
        (Cylinder((13.0, -4.0, 15.0), UP, 3.0, 5.0), 2.0),
        (Capsule((5.0, 10.0, 35.0), (5.0, 10.0, 50.0), 2.0), 3.0),
        (Capsule((-5.0, 10.0, 15.0), (15.0, 10.0, 15.0), 1.0), -11.0),
    ],
)
def test_closed_forms(other, gap):
    assert solid_gap_mm(BOX, other) == pytest.approx(gap, abs=1e-7)
    assert solid_gap_mm(other, BOX) == pytest.approx(gap, abs=1e-7)


def half_widths(body, directions):
    """Return how far a body reaches along each direction, by its own formula on arrays."""
    if isinstance(body, Box):
        pairs = zip(body.axes, body.halves, strict=True)
        return sum(h * abs(directions @ np.array(a)) for a, h in pairs)
    if isinstance(body, Capsule):
        rod = np.array(body.end) - np.array(body.start)
        return 0.5 * abs(directions @ rod) + body.radius
    ahead = directions @ np.array(body.axis)
    return body.half_length * abs(ahead) + body.radius * np.sqrt(1.0 - np.minimum(ahead**2, 1.0))


def searched(a, b):
    """Return the largest separation over many directions, narrowed down round the best."""
    rng = np.random.default_rng(7)
    between = np.array(middle_of(b)) - np.array(middle_of(a))
    best, centre, spread = -math.inf, np.zeros(3), 1.0
    for size in (40_000, 4_000, 4_000, 4_000, 4_000, 4_000):
        n = centre + spread * rng.normal(size=(size, 3))
        n /= np.linalg.norm(n, axis=1)[:, None]
        values = n @ between - half_widths(a, n) - half_widths(b, n)
        if values.max() > best:
            best, centre = float(values.max()), n[values.argmax()]
        spread *= 0.2
    return best


def test_any_pair_against_a_dense_search():
    """The search gives a lower bound, near the true gap; ours is never below it."""
    rng = random.Random(3)

    def vector(size):
        return tuple(rng.uniform(-size, size) for _ in range(3))

    def any_box():
        axis = unit(vector(1.0))
        return Box(vector(25.0), (*across(axis), axis), tuple(rng.uniform(2, 15) for _ in "xyz"))

    into = 0
    for number in range(60):
        one = any_box()
        other = (
            any_box(), Cylinder(vector(25.0), unit(vector(1.0)), rng.uniform(1, 15), 9.0),
            Capsule(vector(30.0), vector(30.0), rng.uniform(0.5, 5)),
        )[number % 3]  # fmt: skip
        gap, bound = solid_gap_mm(one, other), searched(one, other)
        assert bound - 1e-6 <= gap <= bound + 0.05, (one, other)
        into += gap < 0.0
        assert solids_meet(one, other) == solids_meet(other, one) == (gap < 0.0)
        shift = scale(unit(vector(1.0)), 12.0)
        assert solid_gap_mm(moved(one, shift), moved(other, shift)) == pytest.approx(gap, abs=1e-6)
    assert 5 < into < 55


def test_the_box_round_a_turned_box_holds_its_corners():
    axis = unit((1.0, 2.0, 2.0))
    u, v = across(axis)
    low, high = box_of(Box((1.0, 2.0, 3.0), (u, v, axis), (4.0, 5.0, 6.0)))
    corners = [
        np.array((1.0, 2.0, 3.0)) + a * 4.0 * np.array(u) + b * 5.0 * np.array(v)
        + c * 6.0 * np.array(axis)
        for a in (-1, 1) for b in (-1, 1) for c in (-1, 1)
    ]  # fmt: skip
    assert np.min(corners, axis=0) == pytest.approx(low)
    assert np.max(corners, axis=0) == pytest.approx(high)


def test_bodies_square_to_one_another_against_the_same_hardly_askew():
    """Tilted by a hundred-millionth they are searched as all others are: nothing may jump."""
    rng = random.Random(5)
    into = apart = 0
    for number in range(300):
        axis = unit(tuple(rng.uniform(-1, 1) for _ in "xyz"))
        axes = (*across(axis), axis)
        box = Box((1.0, 2.0, 3.0), axes, tuple(rng.uniform(2, 15) for _ in "xyz"))
        middle = tuple(rng.uniform(-25, 25) for _ in "xyz")
        order = [axes[i] for i in rng.sample(range(3), 3)]
        straight, turned = order[0], unit(tuple(
            a + 1e-8 * b + 2e-8 * c for a, b, c in zip(*order, strict=True)
        ))  # fmt: skip
        if number % 2:
            sizes = rng.uniform(1, 15), rng.uniform(2, 15)
            pair = Cylinder(middle, straight, *sizes), Cylinder(middle, turned, *sizes)
        else:
            sizes = tuple(rng.uniform(2, 15) for _ in "xyz")
            aside = unit(tuple(b - 1e-8 * a for a, b in zip(order[0], order[1], strict=True)))
            third = tuple(np.cross(turned, aside))
            pair = Box(middle, tuple(order), sizes), Box(middle, (turned, aside, third), sizes)
        gap = solid_gap_mm(box, pair[0])
        assert gap == pytest.approx(solid_gap_mm(box, pair[1]), abs=3e-6), (box, pair)
        assert gap == pytest.approx(solid_gap_mm(pair[0], box), abs=1e-9)
        assert solids_meet(box, pair[0]) == (gap < 0.0)
        into, apart = into + (gap < 0.0), apart + (gap > 0.0)
    assert into > 50
    assert apart > 50
