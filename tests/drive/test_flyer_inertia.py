"""A flyer's arms and bar as masses: by hand, from rods and Steiner's rule."""

import math

import pytest

from wheelgeo.built.flyer import ARM_MM, BAR_MM, BAR_WIDTH_MM, FlyerPlan
from wheelgeo.drive.rotor import _flyer


def test_two_arms_and_a_bar():
    # Arms of steel 5 mm thick, 114 mm long, 50 mm off the axis: m (r^2 + 2.5^2 / 2) each about the
    # axis; across it m (L^2/12 + 2.5^2/4) each, and m r^2 more about one of the two diameters. The
    # bar is a plate of 100 by 22 by 14 mm turning about its middle: m (100^2 + 22^2) / 12.
    plan, density = FlyerPlan("bobbin", 0.0, 100.0, 100.0, 114.0, 50.0), 7850.0
    (arms, _, middle), (bar, _, at_bar) = _flyer(plan, density)
    assert (ARM_MM, BAR_MM, BAR_WIDTH_MM) == (5.0, 14.0, 22.0)
    one = density * math.pi * 2.5**2 * 114.0 * 1e-9
    assert arms.mass_kg == pytest.approx(2.0 * one, rel=1e-12)
    assert arms.polar_kg_m2 == pytest.approx(2e-6 * one * (50.0**2 + 2.5**2 / 2), rel=1e-12)
    about = [114.0**2 / 12 + 2.5**2 / 4 + r * r for r in (0.0, 50.0)]
    assert arms.diametral_kg_m2 == pytest.approx(1e-6 * one * sum(about), rel=1e-12)
    plate = density * 100.0 * 22.0 * 14.0 * 1e-9
    assert bar.mass_kg == pytest.approx(plate, rel=1e-12)
    assert bar.polar_kg_m2 == pytest.approx(1e-6 * plate * (100.0**2 + 22.0**2) / 12, rel=1e-12)
    across = [(14.0**2 + side**2) / 12 for side in (100.0, 22.0)]
    assert bar.diametral_kg_m2 == pytest.approx(1e-6 * plate * sum(across) / 2, rel=1e-12)
    assert (middle, at_bar) == (57.0, 107.0)
