"""Drag of the air against the laws that it is made of."""

import math

import pytest

from wheelgeo.drive.air import (
    AIR_DENSITY_KG_M3,
    AIR_VISCOSITY_M2_S,
    DISC_TURNS_TURBULENT,
    TurningBody,
    body_torque_nm,
    cylinder_torque_nm,
    disc_torque_nm,
    drag_law,
    turbulent_coefficient,
)


def test_slow_thin_rod_is_exact():
    # T = 4 pi mu omega R^2 L, exact for a long cylinder in laminar flow.
    mu = AIR_DENSITY_KG_M3 * AIR_VISCOSITY_M2_S
    omega, radius, length = 20.0, 1e-3, 0.1
    expected = 4 * math.pi * mu * omega * radius**2 * length
    assert cylinder_torque_nm(2.0, 100.0, omega) == pytest.approx(expected, rel=1e-12)


def test_turbulent_coefficient_solves_its_equation():
    # Theodorsen & Regier, NACA Report 793, from memory.
    for number in (100.0, 1e4, 1e6):
        c = turbulent_coefficient(number)
        assert 1 / math.sqrt(c) == pytest.approx(
            -0.6 + 4.07 * math.log10(number * math.sqrt(c)), rel=1e-10
        )


def test_disc_laminar_coefficient():
    # 0.616 pi is half of von Karman's 3.87 for both faces: T = 3.87 / sqrt(Re) rho w^2 R^5 / 2.
    omega, radius = 500.0, 0.02
    number = omega * radius**2 / AIR_VISCOSITY_M2_S
    karman = 3.87 / math.sqrt(number) * AIR_DENSITY_KG_M3 * omega**2 * radius**5 / 2
    assert disc_torque_nm(40.0, omega) == pytest.approx(karman, rel=1e-3)


def test_both_faces_of_a_pulley_count():
    # Bird, Stewart & Lightfoot, Transport Phenomena: 3.870 / sqrt(Re) of both faces; a body of two
    # faces has all of it, one of none the drag of its curved surface alone.
    omega, radius = 500.0, 0.02
    number = omega * radius**2 / AIR_VISCOSITY_M2_S
    both = 3.870 / math.sqrt(number) * AIR_DENSITY_KG_M3 * omega**2 * radius**5 / 2
    plain, faced = (body_torque_nm(TurningBody(40.0, 10.0, n), omega) for n in (0, 2))
    assert faced - plain == pytest.approx(both, rel=1e-3)
    assert plain == pytest.approx(cylinder_torque_nm(40.0, 10.0, omega))


def test_disc_grows_through_transition():
    critical = DISC_TURNS_TURBULENT * AIR_VISCOSITY_M2_S / 0.1**2
    below, above = (disc_torque_nm(200.0, critical * f) for f in (0.999, 1.001))
    assert above > below


def test_law_meets_working_and_half_speed():
    bodies = (TurningBody(25.0, 60.0, 2), TurningBody(4.0, 150.0))
    law = drag_law(bodies, 940.0)
    for omega in (940.0, 470.0):
        exact = sum(body_torque_nm(b, omega) for b in bodies)
        assert law.torque_nm(omega) == pytest.approx(exact, rel=1e-12)
    between = sum(body_torque_nm(b, 700.0) for b in bodies)
    assert law.torque_nm(700.0) == pytest.approx(between, rel=0.01)
    assert 1.0 < law.power < 2.0


def test_at_rest_there_is_none():
    assert drag_law((TurningBody(25.0, 60.0, 2),), 0.0).torque_nm(10.0) == 0.0
    assert cylinder_torque_nm(25.0, 60.0, 0.0) == 0.0
