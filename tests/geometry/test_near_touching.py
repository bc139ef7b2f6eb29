"""Pulleys on nearly parallel shafts that nearly touch: refused by name, or right to 50 digits.

The reference is in mpmath: with the leaving angle alpha, the arriving direction follows from two
linear equations; that it has length 1 is a polynomial of degree 8 in exp(i alpha), of whose
coefficients 17 samples tell, and all of its roots come from mpmath.polyroots. Nothing of the
package is used in it.
"""

import math
import random

import mpmath as mp
import numpy as np
import pytest

from wheelgeo.errors import PathError
from wheelgeo.geometry.path import PitchCircle, solve_path
from wheelgeo.geometry.path_array import solve_runs
from wheelgeo.geometry.tangent import NEARLY_PARALLEL, NEARLY_TOUCHING

SHORT, LONG = 24, 600


def mp_dot(a, b):
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def mp_frame(circle):
    """Unit vectors across and along an axis, at 50 digits."""
    axis = [mp.mpf(v) for v in circle.axis]
    seed = [mp.mpf(int(i == min(range(3), key=lambda j: abs(axis[j])))) for i in range(3)]
    along = [v / mp.sqrt(mp_dot(axis, axis)) for v in axis]
    u = [along[i - 2] * seed[i - 1] - along[i - 1] * seed[i - 2] for i in range(3)]
    u = [v / mp.sqrt(mp_dot(u, u)) for v in u]
    return u, [along[i - 2] * u[i - 1] - along[i - 1] * u[i - 2] for i in range(3)], along


def longest_run(a, b):
    """Length and both lead angles, degrees, of the longest run from a to b; None where none is."""
    (ua, va, na), (ub, vb, nb) = mp_frame(a), mp_frame(b)
    c = [mp.mpf(y) - mp.mpf(x) for x, y in zip(a.centre_mm, b.centre_mm, strict=True)]
    ra, rb = mp.mpf(a.radius_mm), mp.mpf(b.radius_mm)

    def arriving(x, y):
        leaving = [x * p + y * q for p, q in zip(ua, va, strict=True)]
        arm = [ra * p - q for p, q in zip(leaving, c, strict=True)]
        w, v = [[mp_dot(e, of) for e in (ub, vb)] for of in (leaving, arm)]
        h = (ra - mp_dot(c, leaving)) / rb
        return h * v[1] - w[1] * rb, w[0] * rb - h * v[0], w[0] * v[1] - w[1] * v[0]

    samples = []
    for k in range(17):
        x, y, d = arriving(mp.cos(2 * mp.pi * k / 17), mp.sin(2 * mp.pi * k / 17))
        samples.append(x * x + y * y - d * d)
    powers = [
        sum(s * mp.expjpi(mp.mpf(-2) * n * k / 17) for k, s in enumerate(samples)) / 17
        for n in range(4, -5, -1)
    ]
    while abs(powers[0]) < mp.mpf(10) ** -35 * max(abs(p) for p in powers):
        powers = powers[1:]  # exactly parallel axes: it is of a lower degree
    runs = []
    for z in mp.polyroots(powers, maxsteps=500, extraprec=400):
        if abs(abs(z) - 1) > mp.mpf(10) ** -15:
            continue
        alpha = z / abs(z)
        x, y, d = arriving(alpha.real, alpha.imag)
        if abs(d) < mp.mpf(10) ** -25:
            continue
        x, y = x / d, y / d
        p = [alpha.real * s + alpha.imag * t for s, t in zip(ua, va, strict=True)]
        q = [x * s + y * t for s, t in zip(ub, vb, strict=True)]
        run = [k + rb * t - ra * s for k, s, t in zip(c, p, q, strict=True)]
        goes_a = [alpha.real * t - alpha.imag * s for s, t in zip(ua, va, strict=True)]
        goes_b = [x * t - y * s for s, t in zip(ub, vb, strict=True)]
        if a.sense * mp_dot(run, goes_a) > 0 and b.sense * mp_dot(run, goes_b) > 0:
            length = mp.sqrt(mp_dot(run, run))
            leads = (mp.degrees(mp.asin(mp_dot(run, n) / length)) for n in (na, nb))
            runs.append((length, *leads))
    return max(runs, default=None)


def nearly_touching(seed, count):
    """Pairs whose circles nearly touch from inside, seen along the first axis, and by how much."""
    rng = random.Random(seed)
    for _ in range(count):
        ra = rng.uniform(20.0, 200.0)
        rb = ra * rng.choice((rng.uniform(0.05, 0.95), rng.uniform(1.05, 3.0)))
        tilt, turn = 10 ** rng.uniform(-13, -2), rng.uniform(0.0, 2 * math.pi)
        lean = math.sin(tilt)
        axis = (lean * math.cos(turn), lean * math.sin(turn), math.cos(tilt))
        room, where = 10 ** rng.uniform(-13, -4), rng.uniform(0.0, 2 * math.pi)
        apart = abs(ra - rb) + room * (ra + rb)
        beside = rng.choice((0.0, rng.uniform(-1.0, 1.0) * ra, 10 ** rng.uniform(-4, 1)))
        sense = rng.choice((1, -1))
        middle = (apart * math.cos(where), apart * math.sin(where), beside)
        first = PitchCircle("a", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), ra, sense)
        yield room, tilt, first, PitchCircle("b", middle, axis, rb, sense)


def told_of(a, b):
    """The run from a to b and None, or None and why there is none."""
    try:
        return solve_path((a, b)).runs[0], None
    except PathError as error:
        return None, error


@pytest.mark.filterwarnings("ignore:Descending")  # newer mpmath would have the powers ascend
@pytest.mark.parametrize(
    "count", [SHORT, pytest.param(LONG, marks=pytest.mark.long)], ids=("short", "long")
)
def test_it_is_refused_by_name_or_right_to_fifty_digits(count):
    refused = told = 0
    for room, tilt, a, b in nearly_touching(7, count):
        both = [
            np.array([[getattr(c, name) for c in (a, b)]])
            for name in ("centre_mm", "axis", "radius_mm", "sense")
        ]
        there = solve_runs(*both)
        run, trouble = told_of(a, b)
        assert there.valid[0] == (trouble is None)
        if room < NEARLY_TOUCHING and tilt < NEARLY_PARALLEL:
            assert "nearly touch" in str(trouble)
            assert trouble.shortfall_mm > 0.0
            refused += 1
        if trouble is not None:
            continue
        with mp.workdps(50):
            exact = longest_run(a, b)
            assert exact is not None
            assert abs(run.length_mm - exact[0]) < 1e-8
            assert abs(run.leaving_deg - exact[1]) < 1e-5
            assert abs(run.arriving_deg - exact[2]) < 1e-5
        assert there.length_mm[0] == pytest.approx(run.length_mm, rel=1e-9, abs=1e-9)
        told += 1
    assert min(refused, told) > count / 8


@pytest.mark.parametrize(("seed", "index"), [(7, 261), (7, 441), (9, 542), (10, 402)])
def test_pairs_once_told_wrongly_are_refused(seed, index):
    """Tilts of 1e-4 to 4e-4: lengths 3e-7 mm off, leads 11.7 degrees, a run where none is."""
    _, _, a, b = list(nearly_touching(seed, index + 1))[-1]
    run, trouble = told_of(a, b)
    assert run is None
    assert "nearly touch" in str(trouble)


def test_moved_as_far_as_is_told_there_is_a_run():
    a = PitchCircle("large", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 90.0, 1)
    near = PitchCircle("small", (60.0 + 1e-9, 0.0, 5.0), (0.0, 0.0, 1.0), 30.0, 1)
    with pytest.raises(PathError, match="nearly touch") as caught:
        solve_path((a, near))
    way = 60.0 + 1e-9 + 1.001 * caught.value.shortfall_mm
    moved = PitchCircle("small", (way, 0.0, 5.0), (0.0, 0.0, 1.0), 30.0, 1)
    assert solve_path((a, moved)).length_mm > 0.0
