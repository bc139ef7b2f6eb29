"""Draws have the moments and the ends that their distributions have."""

import math

import numpy as np
import pytest

from wheelgeo.tune.montecarlo import agree, draw_outputs, numerical_tolerance, simulate
from wheelgeo.tune.uncertainty import Budget, Input, propagate

TRIALS = 400_000


def _same(x):
    return x[0]


@pytest.mark.parametrize(
    ("shape", "freedom", "fourth"),
    [
        # standardised fourth moments, closed form
        ("normal", math.inf, 3.0),
        ("rectangular", math.inf, 9.0 / 5.0),
        ("triangular", math.inf, 12.0 / 5.0),
        ("arc sine", math.inf, 3.0 / 2.0),
        ("t", 12.0, 3.0 + 6.0 / (12.0 - 4.0)),
    ],
)
def test_moments_of_each_shape(shape, freedom, fourth):
    drawn = draw_outputs(_same, [Input("x", 5.0, 0.2, shape, freedom)], TRIALS, seed=3)[0]
    deviation = 0.2 * (math.sqrt(12.0 / 10.0) if shape == "t" else 1.0)
    assert drawn.mean() == pytest.approx(5.0, abs=5.0 * deviation / math.sqrt(TRIALS))
    assert drawn.std() == pytest.approx(deviation, rel=0.01)
    assert np.mean(((drawn - 5.0) / deviation) ** 4) == pytest.approx(fourth, rel=0.05)


@pytest.mark.parametrize(
    ("shape", "reach"),
    [("rectangular", math.sqrt(3.0)), ("triangular", math.sqrt(6.0)), ("arc sine", math.sqrt(2.0))],
)
def test_shapes_with_ends_keep_within_them_and_reach_them(shape, reach):
    drawn = draw_outputs(_same, [Input("x", -1.0, 2.0, shape)], TRIALS, seed=4)[0]
    assert np.max(np.abs(drawn + 1.0)) <= 2.0 * reach * (1.0 + 1e-12)
    assert np.max(np.abs(drawn + 1.0)) >= 2.0 * reach * 0.995


def test_intervals_of_an_exponential_in_closed_form():
    # -ln U is exponential: symmetric 95 % [-ln 0.975, -ln 0.025], shortest [0, -ln 0.05]
    half = math.sqrt(3.0) / 6.0
    drawn = simulate(lambda x: -np.log(x[0]), [Input("u", 0.5, half, "rectangular")])[0]
    assert drawn.symmetric == pytest.approx((-math.log(0.975), -math.log(0.025)), rel=0.01)
    assert drawn.shortest == pytest.approx((0.0, -math.log(0.05)), rel=0.01, abs=1e-4)


def test_correlated_normals_have_their_correlation():
    inputs = [Input("a", 1.0, 2.0), Input("b", 5.0, 0.5)]
    table = np.array([[1.0, -0.6], [-0.6, 1.0]])
    drawn = draw_outputs(lambda x: x.copy(), inputs, TRIALS, seed=5, correlation=table)
    assert np.corrcoef(drawn)[0, 1] == pytest.approx(-0.6, abs=0.01)
    assert drawn.mean(axis=1) == pytest.approx([1.0, 5.0], abs=0.02)
    assert drawn.std(axis=1) == pytest.approx([2.0, 0.5], rel=0.01)


def test_only_normals_are_drawn_correlated():
    with pytest.raises(ValueError, match="normal distributions only"):
        simulate(_same, [Input("x", 0.0, 1.0, "rectangular")], correlation=np.eye(1))


def test_batches_do_not_show():
    # 20 001 cases take more than one batch; every one of them must be filled.
    drawn = draw_outputs(_same, [Input("x", 10.0, 0.1)], 20_001, seed=1)
    assert drawn.shape == (1, 20_001)
    assert np.all(np.abs(drawn - 10.0) < 1.0)


def test_an_input_without_doubt_stays_where_it_is():
    assert np.all(draw_outputs(_same, [Input("x", 2.5, 0.0)], 1000, seed=1) == 2.5)


def test_too_few_trials_are_refused():
    with pytest.raises(ValueError, match="1000 trials are too few"):
        simulate(_same, [Input("x", 0.0, 1.0)], trials=1000)


@pytest.mark.filterwarnings("ignore:invalid value")
def test_a_case_without_a_number_is_not_dropped():
    with pytest.raises(ValueError, match="some of the cases"):
        simulate(lambda x: np.sqrt(x[0]), [Input("x", 0.0, 1.0)], trials=5000)


@pytest.mark.parametrize(
    ("uncertainty", "digits", "tolerance"),
    [
        # JCGM 101:2008, 7.9.2.2, examples from memory: u = 0.35 g -> 0.005 g; u = 2 K -> 0.5 K;
        # 32 nm with two digits -> 0.5 nm
        (0.35, 2, 0.005), (2.0, 1, 0.5), (32.0, 2, 0.5), (0.0996, 2, 0.005), (0.0, 2, 0.0),
    ],
)  # fmt: skip
def test_numerical_tolerance(uncertainty, digits, tolerance):
    assert numerical_tolerance(uncertainty, digits) == pytest.approx(tolerance)


def test_agreement_asks_for_both_ends():
    drawn = simulate(_same, [Input("x", 0.0, 1.0)], trials=TRIALS)[0]
    fitting = propagate(_same, [Input("x", 0.0, 1.0)])[0]
    shifted = Budget(0.3, 1.0, None, math.inf, 0.95, fitting.coverage_factor, ())
    assert agree(fitting, drawn)
    assert not agree(shifted, drawn)
    one_end = Budget(0.27, 2.23 / fitting.coverage_factor, None, math.inf, 0.95,
                     fitting.coverage_factor, ())  # fmt: skip
    assert one_end.interval[0] == pytest.approx(-1.96)
    assert not agree(one_end, drawn)
