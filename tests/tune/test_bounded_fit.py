"""Least squares between bounds, held against scipy's solver, which is of another method."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares

from wheelgeo.tune.bounded_fit import fit_between

near = st.floats(-3.0, 3.0)


@settings(max_examples=60, deadline=None)
@given(st.lists(near, min_size=8, max_size=8), st.lists(near, min_size=4, max_size=4), st.data())
def test_it_finds_what_a_trust_region_finds(numbers, aims, data):
    """Two unknowns, four bent misses; a slight pull to the middle leaves one least only."""
    slopes, aim = np.array(numbers).reshape(4, 2), np.array(aims)

    def miss(x):
        bent = slopes @ x - aim + 0.05 * np.sin(x).sum()
        return np.concatenate([bent, 0.3 * x])

    low = [data.draw(st.floats(-2.0, -0.01)) for _ in range(2)]
    high = [data.draw(st.floats(0.01, 2.0)) for _ in range(2)]
    reference = least_squares(
        miss, [0.0, 0.0], "3-point", (low, high), xtol=1e-15, ftol=1e-15, gtol=1e-15
    )
    found = fit_between(miss, [0.0, 0.0], (low, high), 1.0)
    assert np.all((found >= low) & (found <= high))
    assert np.sum(miss(found) ** 2) <= 2.0 * reference.cost + 1e-9
    assert found == pytest.approx(reference.x, abs=1e-5)


def test_rosenbrock_valley_and_a_bound_across_it():
    """H. H. Rosenbrock, Computer Journal 3 (1960): least 0 at (1, 1)."""

    def miss(x):
        return np.array([10.0 * (x[1] - x[0] ** 2), 1.0 - x[0]])

    wide = ([-5.0, -5.0], [5.0, 5.0])
    assert fit_between(miss, [-1.2, 1.0], wide, 1.0) == pytest.approx([1.0, 1.0], abs=1e-9)
    # Held at x <= 0.5 the least lies at the bound, on the floor of the valley.
    cut = ([-5.0, -5.0], [0.5, 5.0])
    assert fit_between(miss, [-1.2, 1.0], cut, 1.0) == pytest.approx([0.5, 0.25], abs=1e-9)


def test_what_nothing_holds_stays_where_it_was():
    found = fit_between(lambda x: np.array([x[0] - 2.0]), [0.0, 7.0], ([-9.0] * 2, [9.0] * 2), 1.0)
    assert found == pytest.approx([2.0, 7.0], abs=1e-9)
