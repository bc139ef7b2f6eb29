"""Rims at speed: the stress that spinning makes in a wheel, and what a flywheel stores.

Sources: thin ring, sigma = rho v^2 (Singer & Pytel, Strength of Materials ch. 1); flywheel, Khurmi
& Gupta, Theory of Machines ch. 16. SI units but for names that say otherwise.
"""

from __future__ import annotations

import math

RAD_S = math.pi / 30.0
HOLE_FACTOR = 3.0
"""A small hole in a stretched sheet triples the stress at its edge (Kirsch, 1898)."""


def ring_stress_mpa(density_kg_m3: float, rim_speed_m_s: float) -> float:
    """Return the hoop stress of a thin ring, MPa: density times speed squared."""
    return density_kg_m3 * rim_speed_m_s**2 / 1e6


def ring_speed_m_s(stress_mpa: float, density_kg_m3: float) -> float:
    """Return the rim speed at which a thin ring has that stress, m/s."""
    return math.sqrt(stress_mpa * 1e6 / density_kg_m3)


def rim_speed_m_s(outer_mm: float, speed_rpm: float) -> float:
    """Return the speed of a rim, m/s."""
    return outer_mm / 2e3 * abs(speed_rpm) * RAD_S


def speed_swing(energy_j: float, inertia_kg_m2: float, mean_rad_s: float) -> float:
    """Return the coefficient of fluctuation of speed, (greatest - least) / mean.

    Args:
        energy_j: energy that the flywheel takes up and gives back in a cycle.
        inertia_kg_m2: its moment of inertia.
        mean_rad_s: its mean speed.
    """
    return energy_j / (inertia_kg_m2 * mean_rad_s**2)


def flywheel_inertia_kg_m2(energy_j: float, swing: float, mean_rad_s: float) -> float:
    """Return the moment of inertia that holds the coefficient of fluctuation to ``swing``."""
    return energy_j / (swing * mean_rad_s**2)


def single_push_energy_j(load_nm: float) -> float:
    """Return what a flywheel gives back in each turn of a wheel driven by one treadle, J.

    The foot pushes over half a turn with a torque pi M sin(angle), whose mean over the turn is
    the steady load M; the surplus between the two points where they are equal is stored.

    Args:
        load_nm: the steady load M, N m.
    """
    start = math.asin(1.0 / math.pi)
    return load_nm * (2.0 * math.pi * math.cos(start) - (math.pi - 2.0 * start))
