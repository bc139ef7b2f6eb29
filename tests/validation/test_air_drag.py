"""Drag of the air on turning discs and cylinders against published coefficients.

Discs: T. von Karman's solution as W. G. Cochran worked it out (1934), and the turbulent law, both
as given by Bird, Stewart & Lightfoot, Transport Phenomena, and by H. Schlichting, Boundary-Layer
Theory, rotating disc: C_T = T / (rho omega^2 R^5 / 2) for both faces, 3.870 / sqrt(Re) laminar and
0.146 / Re^0.2 turbulent, Re = omega R^2 / nu. Cylinders: T. Theodorsen & A. Regier, Experiments on
Drag of Revolving Disks, Cylinders and Streamline Rods at High Speeds, NACA Report 793 (1944),
from memory: C = tau / (rho omega^2 R^2 / 2), 1/sqrt(C) = -0.6 + 4.07 log10(Re sqrt(C)).
"""

import math

import pytest

from wheelgeo.drive.air import (
    AIR_DENSITY_KG_M3,
    AIR_VISCOSITY_M2_S,
    TurningBody,
    body_torque_nm,
    cylinder_torque_nm,
    disc_torque_nm,
    turbulent_coefficient,
)

RADIUS = 0.05
"""Radius of the body in these checks, m; the coefficients do not hang on it."""


def omega_at(reynolds: float) -> float:
    return reynolds * AIR_VISCOSITY_M2_S / RADIUS**2


@pytest.mark.parametrize(
    ("reynolds", "moment"),
    [
        (1e3, 3.870 / math.sqrt(1e3)),
        (1e5, 3.870 / math.sqrt(1e5)),
        (1e6, 0.146 * 1e6**-0.2),
        (1e7, 0.146 * 1e7**-0.2),
    ],
)
def test_moment_coefficient_of_a_disc_with_both_faces(reynolds, moment):
    omega = omega_at(reynolds)
    dynamic = 0.5 * AIR_DENSITY_KG_M3 * omega**2 * RADIUS**5
    assert disc_torque_nm(2e3 * RADIUS, omega) / dynamic == pytest.approx(moment, rel=1e-3)
    # a body of two open faces and no length is that disc; of one face, half of it
    flat = TurningBody(2e3 * RADIUS, 0.0, 2)
    assert body_torque_nm(flat, omega) / dynamic == pytest.approx(moment, rel=1e-3)
    one = TurningBody(2e3 * RADIUS, 0.0, 1)
    assert body_torque_nm(one, omega) / dynamic == pytest.approx(moment / 2.0, rel=1e-3)


@pytest.mark.parametrize(("reynolds", "friction"), [(1e3, 0.01584), (1e5, 0.00446)])
def test_friction_coefficient_of_a_cylinder(reynolds, friction):
    """The values solve the report's formula to the digits given."""
    assert turbulent_coefficient(reynolds) == pytest.approx(friction, abs=6e-6)


@pytest.mark.parametrize(
    ("reynolds", "friction"), [(10.0, 0.4), (40.0, 0.1), (1e3, 0.01584), (1e5, 0.00446)]
)
def test_torque_is_the_shear_on_the_surface_times_its_radius(reynolds, friction):
    """tau = C rho omega^2 R^2 / 2 on 2 pi R L at the arm R; laminar C = 4 / Re."""
    omega, length = omega_at(reynolds), 0.3
    shear = friction * 0.5 * AIR_DENSITY_KG_M3 * (omega * RADIUS) ** 2
    by_hand = shear * 2.0 * math.pi * RADIUS * length * RADIUS
    assert cylinder_torque_nm(2e3 * RADIUS, 1e3 * length, omega) == pytest.approx(by_hand, rel=1e-3)


def test_slope_is_that_of_a_wall_law():
    """d(1/sqrt(C)) / d(ln(Re sqrt(C))) = 1 / (kappa sqrt(2)), kappa = 0.40: 1.768."""
    ends = [(n, turbulent_coefficient(n)) for n in (1e4, 1e5)]
    (low, high) = ((1 / math.sqrt(c), math.log(n * math.sqrt(c))) for n, c in ends)
    slope = (high[0] - low[0]) / (high[1] - low[1])
    assert slope == pytest.approx(1.0 / (0.40 * math.sqrt(2.0)), rel=2e-3)
