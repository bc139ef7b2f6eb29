"""Adjustments: against a general solver, and whether wrong measurements are found."""

from __future__ import annotations

import numpy as np
import pytest

from wheelgeo.errors import SearchError
from wheelgeo.tune.adjust import (
    ResultBefore,
    ValueBefore,
    adjust,
)
from wheelgeo.tune.snooping import gain, snoop

DIRECTIONS = np.random.default_rng(3).normal(size=(6, 2))


def open_band(x: np.ndarray) -> np.ndarray:
    """Return length, ratio and girth of an open band on radii R, r at distance C, mm."""
    big, small, apart = x
    over = (big - small) / apart
    if abs(over) >= 1.0:
        return np.full(3, np.nan)
    lean = np.arcsin(over)
    length = 2.0 * apart * np.cos(lean) + np.pi * (big + small) + 2.0 * lean * (big - small)
    return np.array([length, big / small, 2.0 * np.pi * big])


WHEEL = [ValueBefore("R", 270.0, 2.0), ValueBefore("r", 17.0, 0.5), ValueBefore("C", 455.0, 3.0)]


def band_results(truth: tuple[float, float, float]) -> list[ResultBefore]:
    length, ratio, girth = open_band(np.array(truth))
    return [
        ResultBefore("length", length + 1.0, 2.0),
        ResultBefore("ratio", ratio - 0.05, 0.05),
        ResultBefore("girth", girth + 1.5, 2.0),
    ]


def test_agrees_with_a_general_solver() -> None:
    from scipy.optimize import least_squares

    results = band_results((272.0, 16.8, 452.0))
    done = adjust(WHEEL, results, open_band)
    prior = np.array([v.value for v in WHEEL])
    spread = np.array([v.standard_uncertainty for v in WHEEL], dtype=float)
    is_ = np.array([r.value for r in results])
    u = np.array([r.standard_uncertainty for r in results])
    other = least_squares(
        lambda x: np.concatenate([(x - prior) / spread, (open_band(x) - is_) / u]),
        prior, xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale=spread,
    )  # fmt: skip
    assert [v.after for v in done.values] == pytest.approx(other.x, abs=1e-6)
    assert done.covariance == pytest.approx(np.linalg.inv(other.jac.T @ other.jac), rel=1e-5)


def test_redundancy_numbers_add_up_to_what_is_spare() -> None:
    done = adjust(WHEEL, band_results((272.0, 16.8, 452.0)), open_band)
    assert sum(o.redundancy for o in done.observations) == pytest.approx(done.spare) == 3.0
    assert done.suspicion is None


def test_one_spare_measurement_tells_that_something_is_wrong_but_not_what() -> None:
    """A band's length and the axles' distance enter one equation."""
    fixed = [ValueBefore("C", 455.0, 1.0)]
    off = open_band(np.array([270.0, 17.0, 455.0]))[0] + 20.0
    results = [ResultBefore("length", off, 1.0)]
    done = adjust(fixed, results, lambda x: open_band(np.array([270.0, 17.0, x[0]]))[:1])
    assert done.suspicion is not None
    assert set(done.suspicion.names) == {"C", "length"}


def test_too_few_measurements_name_what_is_open() -> None:
    unknown = [ValueBefore("R", 270.0, None), ValueBefore("r", 17.0, None), WHEEL[2]]
    done = adjust(unknown, [ResultBefore("ratio", 16.0, 0.1)], lambda x: x[:1] / x[1])
    assert done.unknown == (("R", "r"),)
    assert done.spare == 0
    assert done.unit_weight is None
    assert done.value("R").uncertainty is None
    assert done.value("C").uncertainty == pytest.approx(1.959964 * 3.0)
    assert done.observation("ratio").normalised is None
    assert done.value("R").after / done.value("r").after == pytest.approx(16.0)


def test_values_that_make_no_wheel_are_refused() -> None:
    too_near = [WHEEL[0], WHEEL[1], ValueBefore("C", 200.0, 3.0)]
    with pytest.raises(SearchError, match="make no results"):
        adjust(too_near, band_results((272.0, 16.8, 452.0)), open_band)


@pytest.mark.parametrize("spread", [0.0, -1.0, float("nan"), float("inf")])
def test_an_uncertainty_is_above_zero(spread: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        adjust(WHEEL, [ResultBefore("length", 1.0, spread)], lambda x: x[:1])


def test_two_wrong_measurements_are_found_one_after_the_other() -> None:
    values = [ValueBefore("x", 0.0, None)]
    readings = [0.1, -0.2, 0.3, 12.0, 0.0, -0.1, 20.0]
    results = [ResultBefore(f"m{i}", v, 1.0) for i, v in enumerate(readings)]
    done, wrong = snoop(values, results, lambda x: np.repeat(x, len(readings)))
    assert [w.names for w in wrong] == [("m6",), ("m3",)]
    assert done.value("x").after == pytest.approx(0.02)


def test_a_wrong_value_is_taken_as_unknown() -> None:
    results = band_results((270.0, 17.0, 455.0))
    values = [WHEEL[0], WHEEL[1], ValueBefore("C", 505.0, 3.0)]
    far = [*results, ResultBefore("over both", 455.0 + 287.0, 1.0)]
    done, wrong = snoop(
        values, far, lambda x: np.append(open_band(x), x[0] + x[1] + x[2])
    )
    assert wrong[0].names[0] == "C"
    assert wrong[0].errors[0] == pytest.approx(50.0, abs=4.0)
    assert done.value("C").after == pytest.approx(455.0, abs=2.0)


def share_found(trials: int) -> tuple[float, float]:
    """Return how often an error of ten uncertainties among six is noticed, and named alone.

    Six directions in a plane; an error is counted where its redundancy number lets it be located.
    """
    draw = np.random.default_rng(11)
    values = [ValueBefore("x", 0.0, None), ValueBefore("y", 0.0, None)]
    noticed = named = 0
    for trial in range(trials):
        readings = draw.normal(size=6)
        wrong = trial % 6
        readings[wrong] += 10.0
        results = [ResultBefore(f"m{i}", v, 1.0) for i, v in enumerate(readings)]
        done = adjust(values, results, lambda x: DIRECTIONS @ x)
        found = done.suspicion
        noticed += found is not None
        named += found is not None and found.names[0] == f"m{wrong}"
    return noticed / trials, named / trials


def test_an_error_of_ten_uncertainties_is_noticed_and_named() -> None:
    redundancy = 1.0 - np.diag(DIRECTIONS @ np.linalg.pinv(DIRECTIONS))
    assert np.min(redundancy) > 0.2  # each can be located
    noticed, named = share_found(300)
    assert noticed >= 0.95
    assert named >= 0.90


@pytest.mark.long
def test_an_error_of_ten_uncertainties_is_noticed_and_named_in_many_trials() -> None:
    noticed, named = share_found(12_000)
    assert noticed >= 0.95
    assert named >= 0.90


def test_intervals_hold_the_truth() -> None:
    """Values before, results and truth drawn anew: 95 % of the intervals hold it."""
    draw = np.random.default_rng(5)
    held = 0
    for _ in range(400):
        truth = np.array([270.0, 17.0, 455.0])
        before = [
            ValueBefore(v.name, t + (v.standard_uncertainty or 0.0) * draw.normal(),
                        v.standard_uncertainty)
            for v, t in zip(WHEEL, truth, strict=True)
        ]  # fmt: skip
        results = [
            ResultBefore(r.name, y + r.standard_uncertainty * draw.normal(), r.standard_uncertainty)
            for r, y in zip(band_results((1.0, 0.5, 2.0)), open_band(truth), strict=True)
        ]
        done = adjust(before, results, open_band)
        held += sum(
            abs(v.after - t) <= (v.uncertainty or 0.0)
            for v, t in zip(done.values, truth, strict=True)
        )
    assert 0.93 <= held / 1200 <= 0.97


def test_gain_is_what_the_measurement_then_brings() -> None:
    results = band_results((270.0, 17.0, 455.0))
    before = adjust(WHEEL, results[:1], lambda x: open_band(x)[:1])
    wanted = np.array([0.0, 0.0, 1.0])
    slope = np.array([2.0 * np.pi, 0.0, 0.0])
    promised = gain(before, wanted, slope, 2.0)
    both = [results[0], ResultBefore("girth", 2.0 * np.pi * before.value("R").after, 2.0)]
    after = adjust(WHEEL, both, lambda x: open_band(x)[[0, 2]])
    brought = 1.0 - after.covariance[2, 2] / before.covariance[2, 2]
    assert promised == pytest.approx(brought, rel=1e-3)
