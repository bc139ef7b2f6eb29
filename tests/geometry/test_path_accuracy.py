"""Length to 50 digits: the path against an evaluation of its own, in another formulation.

The reference is in mpmath: for each run the two raw conditions, run . radius = 0 at both ends,
in the two angles on bases of its own, by mpmath.findroot from the floating-point angles rounded
to six digits; the arcs from the angles. Nothing of the package is used in it.
"""

import math
import random

import mpmath as mp
import numpy as np
import pytest

from wheelgeo.errors import PathError
from wheelgeo.geometry.path import PitchCircle, solve_path
from wheelgeo.geometry.path_array import solve_paths
from wheelgeo.geometry.vectors import cross, dot, sub, unit

DRIVES = 1000
SHORT = 200


def random_drive(rng: random.Random) -> list[PitchCircle]:
    """Two to four pulleys in any planes, turning with and against, inches to floor wheels."""
    count = rng.choice((2, 2, 2, 3, 4))
    spread = 10 ** rng.uniform(1.3, 2.7)
    circles = []
    for i in range(count):
        axis = unit(tuple(rng.gauss(0.0, 1.0) for _ in range(3)))
        if rng.random() < 0.3:
            axis = rng.choice(((0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0)))
        centre = tuple(rng.uniform(-spread, spread) for _ in range(3))
        radius = spread * 10 ** rng.uniform(-1.7, -0.4)
        circles.append(PitchCircle(str(i), centre, axis, radius, rng.choice((1, -1))))
    return circles


def drives_with_a_path(seed: int, count: int):
    rng = random.Random(seed)
    found = []
    while len(found) < count:
        circles = random_drive(rng)
        try:
            path = solve_path(circles)
        except PathError:
            continue
        found.append(path)
    return found


def basis(axis):
    """Two 50-digit vectors across an axis, which is itself brought to length 1 at 50 digits."""
    axis = [mp.mpf(v) for v in axis]
    length = mp.sqrt(sum(v * v for v in axis))
    axis = [v / length for v in axis]
    seed = [mp.mpf(int(i == min(range(3), key=lambda j: abs(axis[j])))) for i in range(3)]
    u = mp_cross(axis, seed)
    length = mp.sqrt(sum(v * v for v in u))
    u = [v / length for v in u]
    return u, mp_cross(axis, u)


def mp_cross(a, b):
    return [a[i - 2] * b[i - 1] - a[i - 1] * b[i - 2] for i in range(3)]


def mp_dot(a, b):
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def angle_of(circle: PitchCircle, frame, point) -> float:
    arm = sub(point, circle.centre_mm)
    u, v = ([float(x) for x in w] for w in frame)
    return round(math.atan2(dot(arm, v), dot(arm, u)), 6)


def exact_run(a: PitchCircle, b: PitchCircle, frame_a, frame_b, guess):
    """Angles of the run from a to b, and its length, at 50 digits."""
    between = [mp.mpf(y) - mp.mpf(x) for x, y in zip(a.centre_mm, b.centre_mm, strict=True)]

    def parts(alpha, beta):
        ca, sa, cb, sb = mp.cos(alpha), mp.sin(alpha), mp.cos(beta), mp.sin(beta)
        arm_a = [ca * x + sa * y for x, y in zip(*frame_a, strict=True)]
        arm_b = [cb * x + sb * y for x, y in zip(*frame_b, strict=True)]
        run = [
            d + b.radius_mm * y - a.radius_mm * x
            for d, x, y in zip(between, arm_a, arm_b, strict=True)
        ]
        return arm_a, arm_b, run, (ca, sa, cb, sb)

    def conditions(alpha, beta):
        arm_a, arm_b, run, _ = parts(alpha, beta)
        return [mp_dot(run, arm_a), mp_dot(run, arm_b)]

    def jacobian(alpha, beta):
        arm_a, arm_b, run, (ca, sa, cb, sb) = parts(alpha, beta)
        turn_a = [ca * y - sa * x for x, y in zip(*frame_a, strict=True)]
        turn_b = [cb * y - sb * x for x, y in zip(*frame_b, strict=True)]
        return mp.matrix(
            [
                [mp_dot(run, turn_a), b.radius_mm * mp_dot(turn_b, arm_a)],
                [-a.radius_mm * mp_dot(turn_a, arm_b), mp_dot(run, turn_b)],
            ]
        )

    alpha, beta = mp.findroot(conditions, guess, J=jacobian, tol=1e-80, verify=False)
    assert max(abs(v) for v in conditions(alpha, beta)) < mp.mpf(10) ** -40
    run = parts(alpha, beta)[2]
    return alpha, beta, mp.sqrt(mp_dot(run, run))


def exact_length(path):
    """Length of a path at 50 digits."""
    frames = [basis(c.axis) for c in path.circles]
    leaving, arriving, total = {}, {}, mp.mpf(0)
    for run in path.runs:
        i, j = run.first, run.second
        a, b = path.circles[i], path.circles[j]
        guess = (angle_of(a, frames[i], run.start_mm), angle_of(b, frames[j], run.end_mm))
        leaving[i], arriving[j], length = exact_run(a, b, frames[i], frames[j], guess)
        total += length
    for i, c in enumerate(path.circles):
        total += mp.mpf(c.radius_mm) * ((c.sense * (leaving[i] - arriving[i])) % (2 * mp.pi))
    return total


@pytest.mark.parametrize("count", [SHORT, pytest.param(DRIVES, marks=pytest.mark.long)])
def test_length_to_1e_12_over_many_drives(count):
    paths = drives_with_a_path(1, count)
    worst = worst_array = 0.0
    with mp.workdps(50):
        for path in paths:
            exact = exact_length(path)
            worst = max(worst, float(abs(path.length_mm - exact) / exact))
            worst_array = max(worst_array, float(abs(array_length(path) - exact) / exact))
    assert worst <= 1e-12
    assert worst_array <= 1e-12


def array_length(path) -> float:
    circles = path.circles
    solved = solve_paths(
        np.array([[c.centre_mm for c in circles]]),
        np.array([[c.axis for c in circles]]),
        np.array([[c.radius_mm for c in circles]]),
        np.array([[c.sense for c in circles]]),
    )
    return float(solved.length_mm[0])


def test_the_reference_knows_the_closed_form():
    """Open, 18 and 6, 96 apart: 2 sqrt(C^2 - 12^2 / 4) + ... at 50 digits, by the textbook."""
    path = solve_path(
        [
            PitchCircle("D", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 9.0, 1),
            PitchCircle("d", (96.0, 0.0, 0.0), (0.0, 0.0, 1.0), 3.0, 1),
        ]
    )
    with mp.workdps(50):
        tilt = mp.asin(mp.mpf(6) / 96)
        textbook = 2 * mp.sqrt(96**2 - 6**2) + 9 * (mp.pi + 2 * tilt) + 3 * (mp.pi - 2 * tilt)
        assert abs(exact_length(path) - textbook) < mp.mpf(10) ** -45


def test_the_drives_are_of_every_kind():
    paths = drives_with_a_path(1, SHORT)
    kinds = {(len(p.circles), c.sense) for p in paths for c in p.circles[1:]}
    assert kinds == {(k, s) for k in (2, 3, 4) for s in (1, -1)}
    tilted = sum(math.hypot(*cross(p.circles[0].axis, p.circles[1].axis)) > 0.3 for p in paths)
    assert tilted > SHORT // 2
    assert max(len(p.circles) for p in paths) == pytest.approx(4)
