"""Published adjustments and calibrations.

Sources: F. Krumm, Geodetic Network Adjustment Examples (2020), 2.1, after Ghilani 12.6: a levelling
net. JCGM 100:2008 (GUM), H.3: the calibration line of a thermometer, data and results from memory.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from wheelgeo.tune.adjust import ResultBefore, ValueBefore, adjust

H1 = 437.596
LEVELLED = (
    (0, 1, 10.509, 0.006), (0, 2, 15.881, 0.012), (1, 2, 5.360, 0.004),
    (1, 3, -3.167, 0.004), (2, 3, -8.523, 0.005), (3, 0, -7.348, 0.003),
)  # fmt: skip
"""From, to, difference of height and its standard uncertainty, m."""


def test_levelling_net() -> None:
    heights = [ValueBefore(name, 440.0, None) for name in ("H2", "H3", "H4")]
    results = [ResultBefore(f"{a}-{b}", d, u) for a, b, d, u in LEVELLED]

    def model(x: np.ndarray) -> np.ndarray:
        h = np.array([H1, *x])
        return np.array([h[b] - h[a] for a, b, _, _ in LEVELLED])

    done = adjust(heights, results, model)
    assert [v.after for v in done.values] == pytest.approx(
        [448.10871, 453.46847, 444.94361], abs=6e-6
    )
    assert done.unit_weight == pytest.approx(0.6512, abs=5e-5)
    assert done.spare == 3
    # The published deviations are scaled by the unit weight found from the residuals.
    assert done.unit_weight is not None
    sigma = done.unit_weight * np.sqrt(np.diag(done.covariance)) * 1000.0
    assert sigma == pytest.approx([2.30, 2.64, 1.76], abs=0.006)


THERMOMETER = (
    (21.521, -0.171), (22.012, -0.169), (22.512, -0.166), (23.003, -0.159), (23.507, -0.164),
    (23.999, -0.165), (24.513, -0.156), (25.002, -0.157), (25.503, -0.159), (26.010, -0.161),
    (26.511, -0.160),
)  # fmt: skip
"""Reading and correction, degrees Celsius."""


def test_thermometer_line() -> None:
    readings = np.array([t for t, _ in THERMOMETER])
    results = [ResultBefore(f"{t}", b, 0.0035) for t, b in THERMOMETER]
    line = [ValueBefore("y1", 0.0, None), ValueBefore("y2", 0.0, None)]
    done = adjust(line, results, lambda y: y[0] + y[1] * (readings - 20.0))
    y1, y2 = (v.after for v in done.values)
    assert done.unit_weight is not None
    covariance = done.covariance * done.unit_weight**2
    u1, u2 = np.sqrt(np.diag(covariance))
    assert (y1, u1) == pytest.approx((-0.1712, 0.0029), abs=6e-5)
    assert (y2, u2) == pytest.approx((0.00218, 0.00067), abs=6e-6)
    assert covariance[0, 1] / (u1 * u2) == pytest.approx(-0.930, abs=6e-4)
    at_30 = np.array([1.0, 10.0])
    assert at_30 @ [y1, y2] == pytest.approx(-0.1494, abs=6e-5)
    assert math.sqrt(at_30 @ covariance @ at_30) == pytest.approx(0.0041, abs=6e-5)
