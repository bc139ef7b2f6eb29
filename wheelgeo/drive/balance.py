"""Balance: how true a bore must be, and what an untrue one does.

Source: ISO 21940-11 (formerly ISO 1940-1): the permissible residual specific unbalance times the
angular speed is the balance quality grade, e_per * omega = G, in mm/s. For a bore that is off
centre by e the specific unbalance is e itself.
"""

from __future__ import annotations

import math

GRADES_MM_S = (0.4, 1.0, 2.5, 6.3, 16.0, 40.0, 100.0, 250.0, 630.0, 1600.0, 4000.0)
"""Balance quality grades of ISO 21940-11, mm/s."""
RAD_S = math.pi / 30.0
"""Radians a second in one rpm."""


def permissible_eccentricity_mm(grade_mm_s: float, speed_rpm: float) -> float:
    """Return how far the centre of mass may lie off the axis, mm.

    Args:
        grade_mm_s: balance quality grade, mm/s.
        speed_rpm: speed, rpm, not 0.

    Raises:
        ValueError: the speed is 0: anything at rest is in balance.
    """
    if speed_rpm == 0.0:
        raise ValueError("a part at rest has no permissible eccentricity")
    return grade_mm_s / (abs(speed_rpm) * RAD_S)


def permissible_unbalance_g_mm(grade_mm_s: float, speed_rpm: float, mass_kg: float) -> float:
    """Return the permissible residual unbalance, g mm."""
    return 1000.0 * mass_kg * permissible_eccentricity_mm(grade_mm_s, speed_rpm)


def standard_grade(reached_mm_s: float) -> float | None:
    """Return the finest grade of the standard that is kept to; None where it keeps to none."""
    return next((grade for grade in GRADES_MM_S if reached_mm_s <= grade), None)


def unbalance_force_n(eccentricity_mm: float, mass_kg: float, speed_rpm: float) -> float:
    """Return the force that goes round with a part whose bore is off centre, N."""
    return mass_kg * eccentricity_mm / 1e3 * (speed_rpm * RAD_S) ** 2


def grade_mm_s(eccentricity_mm: float, speed_rpm: float) -> float:
    """Return the grade that an eccentricity makes at a speed, mm/s."""
    return eccentricity_mm * abs(speed_rpm) * RAD_S
