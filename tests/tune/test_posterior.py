"""Simulated intervals against integration on a grid, and against the straight case."""

from __future__ import annotations

import numpy as np
import pytest

from wheelgeo.tune.adjust import ResultBefore, ValueBefore, adjust
from wheelgeo.tune.posterior import simulated_values

BIG, SMALL = 270.0, 17.0


def length(x: np.ndarray) -> np.ndarray:
    """Return the length of an open band at a distance, mm; NaN where the wheels overlap."""
    over = (BIG - SMALL) / x[0]
    if not 0.0 < over < 1.0:
        return np.array([np.nan])
    lean = np.arcsin(over)
    return np.array(
        [2.0 * x[0] * np.cos(lean) + np.pi * (BIG + SMALL) + 2.0 * lean * (BIG - SMALL)]
    )


def test_a_short_band_on_a_large_wheel_as_integrated_on_a_grid() -> None:
    """Where the small wheel nearly touches the large one, length hardly tells the distance."""
    values = [ValueBefore("C", 275.0, 15.0)]
    results = [ResultBefore("length", float(length(np.array([260.0]))[0]), 10.0)]
    done = adjust(values, results, length)
    found = simulated_values(values, results, length, done)
    assert found is not None
    grid = np.linspace(253.0001, 400.0, 200_001)
    made = np.array([length(np.array([c]))[0] for c in grid[::20]])
    square = ((grid[::20] - 275.0) / 15.0) ** 2 + ((made - results[0].value) / 10.0) ** 2
    share = np.cumsum(np.exp(-0.5 * square))
    low, high = np.interp([0.025, 0.975], share / share[-1], grid[::20])
    assert (found.low[0], found.high[0]) == pytest.approx((low, high), abs=0.06 * (high - low))
    # The straight lines reach where no such wheel exists.
    assert done.value("C").after - (done.value("C").uncertainty or 0.0) < found.low[0]


def test_the_straight_case_agrees_with_the_formula() -> None:
    values = [ValueBefore("x", 10.0, 1.0), ValueBefore("y", 5.0, 2.0)]
    results = [ResultBefore("sum", 16.0, 0.5)]
    done = adjust(values, results, lambda x: np.array([x[0] + x[1]]))
    found = simulated_values(values, results, lambda x: np.array([x[0] + x[1]]), done, 8000)
    assert found is not None
    for i, value in enumerate(done.values):
        half = value.uncertainty or 0.0
        ends = (value.after - half, value.after + half)
        assert (found.low[i], found.high[i]) == pytest.approx(ends, abs=0.1 * half)


def test_the_same_seed_gives_the_same_numbers() -> None:
    values = [ValueBefore("x", 10.0, 1.0)]
    results = [ResultBefore("twice", 20.0, 1.0)]
    done = adjust(values, results, lambda x: 2.0 * x)
    first, second = (simulated_values(values, results, lambda x: 2.0 * x, done) for _ in range(2))
    assert first is not None
    assert second is not None
    assert first.low == second.low


def test_a_value_left_open_has_no_interval() -> None:
    values = [ValueBefore("x", 1.0, None), ValueBefore("y", 1.0, None)]
    results = [ResultBefore("sum", 2.0, 0.1)]
    done = adjust(values, results, lambda x: np.array([x[0] + x[1]]))
    with pytest.raises(ValueError, match="no interval"):
        simulated_values(values, results, lambda x: np.array([x[0] + x[1]]), done)
