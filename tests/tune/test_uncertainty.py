"""The law of propagation against closed forms, and where it is asked for the impossible."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelgeo.tune.uncertainty import Input, coverage_factor, propagate


def _ratio(x):
    return x[0] / x[1]


@given(
    a=st.floats(50.0, 500.0), b=st.floats(5.0, 50.0),
    ua=st.floats(0.001, 0.02), ub=st.floats(0.001, 0.02),
)  # fmt: skip
def test_relative_uncertainties_of_a_quotient_add_in_squares(a, b, ua, ub):
    budget = propagate(_ratio, [Input("a", a, ua * a), Input("b", b, ub * b)])[0]
    assert budget.value == a / b
    assert budget.standard_uncertainty / budget.value == pytest.approx(math.hypot(ua, ub), rel=1e-6)
    assert budget.contributions[0].share == pytest.approx(ua**2 / (ua**2 + ub**2), rel=1e-6)
    assert budget.expanded_uncertainty == budget.coverage_factor * budget.standard_uncertainty


def test_several_outputs_keep_their_own_budgets():
    def model(x):
        return np.stack([x[0] + x[1], x[0] * x[1]])

    plus, times = propagate(model, [Input("a", 3.0, 0.1), Input("b", 5.0, 0.2)])
    assert (plus.value, times.value) == (8.0, 15.0)
    assert plus.standard_uncertainty == pytest.approx(math.hypot(0.1, 0.2))
    assert times.standard_uncertainty == pytest.approx(math.hypot(0.5, 0.6))


def test_a_quartic_is_differentiated_without_error():
    # Five-point differences are exact up to the fourth power.
    budget = propagate(lambda x: x[0] ** 4, [Input("x", 2.0, 0.5)])[0]
    assert budget.contributions[0].sensitivity == pytest.approx(32.0, rel=1e-13)


def test_full_correlation_adds_and_full_anticorrelation_takes_away():
    inputs = [Input("a", 1.0, 0.3), Input("b", 1.0, 0.4)]
    table = np.array([[1.0, 1.0], [1.0, 1.0]])
    together = propagate(lambda x: x[0] + x[1], inputs, correlation=table)[0]
    apart = propagate(lambda x: x[0] - x[1], inputs, correlation=table)[0]
    assert together.standard_uncertainty == pytest.approx(0.7)
    assert apart.standard_uncertainty == pytest.approx(0.1)
    assert math.fsum(c.share for c in apart.contributions) == pytest.approx(1.0)
    assert min(c.share for c in apart.contributions) < 0.0


@pytest.mark.parametrize(
    ("model", "exact"),
    [
        # variance of the second-order terms in closed form, u = 0.1, 0.2 at x = 1, y = 2
        (lambda x: x[0] ** 2, 0.5 * (2 * 0.1**2) ** 2),
        (lambda x: x[0] ** 3, 0.5 * (6 * 0.1**2) ** 2 + 3 * 6 * 0.1**4),
        (lambda x: x[0] * x[1], (0.1 * 0.2) ** 2),
        (lambda x: x[0] * x[1] ** 2, 0.5 * (2 * 0.2**2) ** 2 + (4 * 0.1 * 0.2) ** 2
         + 4 * 2 * (0.1 * 0.2) ** 2),
    ],
)  # fmt: skip
def test_second_order_terms_in_closed_form(model, exact):
    inputs = [Input("x", 1.0, 0.1), Input("y", 2.0, 0.2)]
    budget = propagate(model, inputs, second_order=True)[0]
    extra = budget.second_order_uncertainty**2 - budget.standard_uncertainty**2
    assert extra == pytest.approx(exact, rel=1e-9)


def test_no_doubt_gives_no_doubt():
    budget = propagate(_ratio, [Input("a", 6.0, 0.0), Input("b", 2.0, 0.0)], second_order=True)[0]
    assert (budget.value, budget.standard_uncertainty, budget.expanded_uncertainty) == (
        3.0,
        0.0,
        0.0,
    )
    assert budget.second_order_uncertainty == 0.0
    assert all(c.share == 0.0 for c in budget.contributions)


def test_few_degrees_of_freedom_widen_the_interval():
    known, guessed = (
        propagate(lambda x: x[0], [Input("x", 0.0, 1.0, degrees_of_freedom=nu)])[0]
        for nu in (math.inf, 3.0)
    )
    assert guessed.degrees_of_freedom == pytest.approx(3.0)
    assert guessed.coverage_factor == pytest.approx(3.182, abs=0.001)
    assert known.coverage_factor == pytest.approx(1.960, abs=0.001)


def test_less_than_one_degree_of_freedom_is_not_cut_to_none():
    assert coverage_factor(0.95, 0.9) > coverage_factor(0.95, 1.0)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ({"coverage": 1.0}, "between 0 and 1"),
        ({"coverage": 95.0}, "not at 95"),
        ({"correlation": np.eye(3)}, "square table"),
        ({"correlation": np.array([[1.0, 0.5], [0.2, 1.0]])}, "cannot all hold"),
        ({"correlation": np.array([[1.0, 1.5], [1.5, 1.0]])}, "cannot all hold"),
        ({"correlation": np.array([[2.0, 0.0], [0.0, 1.0]])}, "ones on its diagonal"),
        ({"correlation": np.eye(2), "second_order": True}, "independent inputs only"),
    ],
)
def test_the_impossible_is_refused(arguments, says):
    with pytest.raises(ValueError, match=says):
        propagate(_ratio, [Input("a", 6.0, 0.1), Input("b", 2.0, 0.1)], **arguments)


def test_welch_satterthwaite_is_refused_for_correlated_inputs():
    inputs = [Input("a", 6.0, 0.1, degrees_of_freedom=5.0), Input("b", 2.0, 0.1)]
    with pytest.raises(ValueError, match="Welch-Satterthwaite"):
        propagate(_ratio, inputs, correlation=np.array([[1.0, 0.5], [0.5, 1.0]]))


@pytest.mark.filterwarnings("ignore:divide by zero")
def test_a_model_that_breaks_near_the_estimates_says_so():
    with pytest.raises(ValueError, match="no finite number"):
        propagate(_ratio, [Input("a", 6.0, 0.1), Input("b", 0.0, 0.0)])


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ((math.nan, 0.1), "finite value"),
        ((1.0, -0.1), "finite value"),
        ((1.0, math.inf), "finite value"),
        ((1.0, 0.1, "normal", 0.0), "degrees of freedom above 0"),
        ((1.0, 0.1, "t"), "t distribution without"),
    ],
)
def test_an_input_that_makes_no_sense_is_refused(arguments, says):
    with pytest.raises(ValueError, match=says):
        Input("x", *arguments)
