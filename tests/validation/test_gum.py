"""JCGM 100:2008 (GUM), example H.1, and JCGM 101:2008, clause 9.

H.1, an end gauge calibrated against a standard: l = ls + d - ls (da theta + as dt), in nm and
degrees Celsius. Inputs and results of H.1 as printed in JCGM 100:2008, H.1; the degrees of
freedom of d (25.6) and all figures of JCGM 101 from memory.
"""

import math

import numpy as np
import pytest

from wheelgeo.tune.montecarlo import agree, draw_outputs, simulate
from wheelgeo.tune.uncertainty import (
    Input,
    coverage_factor,
    effective_degrees_of_freedom,
    propagate,
)

LS_NM = 50_000_623.0
END_GAUGE = (
    Input("length of the standard", LS_NM, 25.0, degrees_of_freedom=18.0),
    Input("difference", 215.0, 9.7, degrees_of_freedom=25.6),
    Input("expansion of the standard", 11.5e-6, 1.2e-6),
    Input("temperature of the bed", -0.1, 0.41),
    Input("difference of expansion", 0.0, 0.58e-6, degrees_of_freedom=50.0),
    Input("difference of temperature", 0.0, 0.029, degrees_of_freedom=2.0),
)


def end_gauge(x):
    ls, d, alpha, theta, d_alpha, d_theta = x
    return ls + d - ls * (d_alpha * theta + alpha * d_theta)


@pytest.fixture(scope="module")
def h1():
    return propagate(end_gauge, END_GAUGE, coverage=0.99, second_order=True)[0]


def test_h1_length(h1):
    # H.1.7: l = 50.000 838 mm
    assert h1.value == pytest.approx(50_000_838.0, abs=1e-6)


def test_h1_combined_standard_uncertainty(h1):
    # H.1.4: uc = 32 nm, uc^2 = 1002 nm^2. With the inputs rounded as they are printed above,
    # uc^2 comes to 1005.6 nm^2.
    assert round(h1.standard_uncertainty) == 32
    assert h1.standard_uncertainty**2 == pytest.approx(1005.6, abs=0.05)


def test_h1_components(h1):
    # Table H.1: 25, 9.7, 0, 0, 2.9 and 16.6 nm
    found = [c.uncertainty for c in h1.contributions]
    assert found == pytest.approx([25.0, 9.7, 0.0, 0.0, 2.9, 16.6], abs=0.1)
    assert math.fsum(c.share for c in h1.contributions) == pytest.approx(1.0, abs=1e-12)


def test_h1_sensitivities_in_closed_form(h1):
    # The derivatives of the model at the estimates.
    exact = [1.0, 1.0, 0.0, 0.0, LS_NM * 0.1, -LS_NM * 11.5e-6]
    assert [c.sensitivity for c in h1.contributions] == pytest.approx(exact, rel=1e-7, abs=1e-3)


def test_h1_effective_degrees_of_freedom(h1):
    # H.1.6: 16.7, cut to 16; from the rounded inputs 16.66
    assert round(h1.degrees_of_freedom, 1) == 16.7


def test_h1_coverage_factor_and_expanded_uncertainty(h1):
    # H.1.6: t99(16) = 2.92; U99 = 93 nm
    assert h1.coverage_factor == pytest.approx(2.92, abs=0.005)
    assert round(h1.expanded_uncertainty) == 93


def test_h1_second_order_terms(h1):
    # H.1.7: two terms, 11.7 and 1.7 nm, raise uc from 32 to 34 nm
    assert round(h1.second_order_uncertainty) == 34
    extra = h1.second_order_uncertainty**2 - h1.standard_uncertainty**2
    exact = (LS_NM * 0.58e-6 * 0.41) ** 2 + (LS_NM * 1.2e-6 * 0.029) ** 2
    assert extra == pytest.approx(exact, rel=1e-6)
    assert extra == pytest.approx(11.7**2 + 1.7**2, rel=0.05)


def test_h1_degrees_of_freedom_of_the_difference():
    # H.1.3.2, from memory: components 13/sqrt(5) = 5.8, 10/2.57 = 3.9 and 20/3 = 6.7 nm with 24, 5
    # and 8 degrees of freedom give 9.7 nm and 25.6 (25.4 from the rounded components).
    parts = [(13.0 / math.sqrt(5.0), 24.0), (10.0 / 2.57, 5.0), (20.0 / 3.0, 8.0)]
    variance = sum(u * u for u, _ in parts)
    assert math.sqrt(variance) == pytest.approx(9.7, abs=0.05)
    assert round(effective_degrees_of_freedom(variance, parts), 1) == 25.6


@pytest.mark.parametrize(
    ("coverage", "freedom", "printed"),
    [
        # JCGM 100:2008, table G.2, from memory: t for 95 % and 99 %
        (0.95, 1, 12.71), (0.95, 5, 2.57), (0.95, 10, 2.23), (0.95, 50, 2.01),
        (0.95, math.inf, 1.960), (0.99, 8, 3.36), (0.99, 16, 2.92), (0.99, math.inf, 2.576),
        (0.95, 10.9, 2.23),  # cut to 10, G.4.1
    ],
)  # fmt: skip
def test_table_g2(coverage, freedom, printed):
    assert coverage_factor(coverage, freedom) == pytest.approx(printed, abs=0.0051)


# --- JCGM 101:2008, clause 9 -----------------------------------------------------------------


DRAWS = 1_000_000
"""As many as the supplement drew; the printed digits hang on it."""


def total(x):
    return x.sum(axis=0)


def four(shape, last=1.0):
    return [Input(f"x{i}", 0.0, 1.0 if i < 4 else last, shape) for i in (1, 2, 3, 4)]


def test_9_2_2_four_normal_inputs():
    # u = 2.00, [-3.92, 3.92] both ways
    linear, drawn = propagate(total, four("normal"))[0], simulate(total, four("normal"), DRAWS)[0]
    assert linear.standard_uncertainty == pytest.approx(2.0, abs=1e-12)
    assert linear.interval == pytest.approx((-3.92, 3.92), abs=0.005)
    assert drawn.symmetric == pytest.approx((-3.92, 3.92), abs=0.02)
    assert agree(linear, drawn, digits=2)


def test_9_2_3_four_rectangular_inputs():
    # u = 2.00; drawn [-3.88, 3.88], linear [-3.92, 3.92]: they agree to one digit, not to three
    linear = propagate(total, four("rectangular"))[0]
    drawn = simulate(total, four("rectangular"), DRAWS)[0]
    assert drawn.standard_uncertainty == pytest.approx(2.0, abs=0.01)
    assert drawn.symmetric == pytest.approx((-3.88, 3.88), abs=0.015)
    assert agree(linear, drawn, digits=1)
    assert not agree(linear, drawn, digits=3)


def test_9_2_4_one_rectangular_input_rules():
    # u = 10.1; drawn [-17.0, 17.0], linear [-19.9, 19.9]: they must not agree
    inputs = four("rectangular", last=10.0)
    linear, drawn = propagate(total, inputs)[0], simulate(total, inputs, DRAWS)[0]
    assert linear.standard_uncertainty == pytest.approx(math.sqrt(103.0), abs=1e-9)
    assert linear.interval == pytest.approx((-19.9, 19.9), abs=0.05)
    assert drawn.symmetric == pytest.approx((-17.0, 17.0), abs=0.05)
    assert not agree(linear, drawn, digits=2)


def test_9_4_squares_at_nought_must_not_agree():
    # Comparison loss of a power meter, y = x1^2 + x2^2, both 0 with u = 0.005. The law of
    # propagation gives 0, with none. Exactly, y is exponential with mean 2 u^2 = 50e-6, so that its
    # standard deviation is 50e-6 and its shortest 95 % interval [0, 50e-6 ln 20] = [0, 150e-6].
    inputs = [Input("x1", 0.0, 0.005), Input("x2", 0.0, 0.005)]

    def loss(x):
        return x[0] ** 2 + x[1] ** 2

    linear = propagate(loss, inputs, second_order=True)[0]
    drawn = simulate(loss, inputs, DRAWS)[0]
    assert (linear.value, linear.standard_uncertainty) == (0.0, 0.0)
    assert linear.second_order_uncertainty == pytest.approx(50e-6, rel=1e-9)
    assert drawn.mean == pytest.approx(50e-6, rel=0.01)
    assert drawn.standard_uncertainty == pytest.approx(50e-6, rel=0.01)
    assert drawn.shortest[0] == pytest.approx(0.0, abs=1e-7)
    assert drawn.shortest[1] == pytest.approx(50e-6 * math.log(20.0), rel=0.01)
    assert not agree(linear, drawn)


def _trapezoid(lower, upper, loose):
    """Limits that are themselves uncertain, JCGM 101 6.4.3: bounds within ``loose`` of a and b."""

    def draw(first, second):
        low = lower - loose + 2.0 * loose * first
        return low + (upper + lower - 2.0 * low) * second

    return draw


def test_9_5_gauge_block_with_the_distributions_of_the_supplement():
    # 838 nm, u = 36 nm, 99 % from 745 to 932 nm: as a published recomputation of this example
    # with 1e6 draws prints it (a paper on digital calibration certificates that carry Monte Carlo
    # results, clause 4.1). The law of propagation gives 32 nm.
    unit = math.sqrt(1.0 / 12.0)
    inputs = [
        Input("standard", LS_NM, 25.0, "t", 18.0),
        Input("observations", 215.0, 6.0, "t", 24.0),
        Input("comparator, random", 0.0, 4.0, "t", 5.0),
        Input("comparator, systematic", 0.0, 7.0, "t", 8.0),
        Input("expansion", 11.5e-6, 2.0e-6 / math.sqrt(3.0), "rectangular"),
        Input("mean temperature", -0.1, 0.2),
        Input("cycle of temperature", 0.0, 0.5 / math.sqrt(2.0), "arc sine"),
        *(Input(name, 0.5, unit, "rectangular") for name in ("a1", "a2", "t1", "t2")),
    ]
    expansion, warmth = _trapezoid(-1e-6, 1e-6, 0.1e-6), _trapezoid(-0.050, 0.050, 0.025)

    def deviation(x):
        ls, d, d1, d2, alpha, mean, cycle, a1, a2, t1, t2 = x
        spread = expansion(a1, a2) * (mean + cycle) + alpha * warmth(t1, t2)
        return ls + d + d1 + d2 - ls * spread - 50e6

    drawn = simulate(deviation, inputs, DRAWS, coverage=0.99)[0]
    assert round(drawn.mean) == 838
    assert drawn.standard_uncertainty == pytest.approx(36.0, abs=0.5)
    assert drawn.shortest == pytest.approx((745.0, 932.0), abs=1.5)


def test_the_same_seed_gives_the_same_wheels():
    one, again = (draw_outputs(total, four("normal"), 5_000, seed=7) for _ in range(2))
    other = draw_outputs(total, four("normal"), 5_000, seed=8)
    assert np.array_equal(one, again)
    assert not np.array_equal(one, other)
