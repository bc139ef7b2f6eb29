"""What the air takes: torque on smooth discs and cylinders turning in still air.

Sources: discs, laminar, von Karman's solution (Cochran 1934) as given by Bird, Stewart & Lightfoot,
Transport Phenomena: T = 0.616 pi rho R^4 sqrt(nu omega^3), both faces; turbulent, same book:
T = 0.073 rho omega^2 R^5 (nu / (omega R^2))^(1/5). Cylinders, with the friction coefficient
C = tau / (rho omega^2 R^2 / 2), so that T = C pi rho R^4 omega^2 L: laminar, C = 4 / Re (exact);
turbulent, Theodorsen & Regier, NACA Report 793 (1944): 1/sqrt(C) = -0.6 + 4.07 log10(Re sqrt(C)),
the formula from memory; its slope is that of a wall law with kappa = 0.40. A hairy cop takes more
than a smooth one; by how much is not known to us. A flyer's arms: a long round rod across the
stream has a drag coefficient near 1.2 at Reynolds numbers of 1e3 to 1e5 (White, Fluid Mechanics,
drag of two-dimensional bodies; from memory).
"""

from __future__ import annotations

import math
from functools import lru_cache

from wheelgeo.immutable import dataclass

AIR_DENSITY_KG_M3 = 1.2
AIR_VISCOSITY_M2_S = 1.5e-5
"""Kinematic viscosity of air near 20 degrees C."""
DISC_TURNS_TURBULENT = 3e5
"""Reynolds number omega R^2 / nu above which a disc's boundary layer is turbulent."""


@dataclass(frozen=True)
class TurningBody:
    """A turning body: ``faces`` of its two ends lie open to the air."""

    diameter_mm: float
    length_mm: float
    faces: int = 0


ROD_DRAG = 1.2
"""Drag coefficient of a long rod across the stream."""


@dataclass(frozen=True)
class SweptRods:
    """Rods that are carried round sideways: a flyer's arms, along the axis, or its bar, across it.

    Attributes:
        thickness_mm: of a rod, across the stream.
        length_mm: of each of them.
        radius_mm: from the axis to an arm; of a bar that stands out from the axis, 0.
        count: how many there are.
    """

    thickness_mm: float
    length_mm: float
    radius_mm: float
    count: int


@dataclass(frozen=True)
class Drag:
    """Torque of the air as a power of the speed: ``factor * omega**power``, N m and rad/s.

    The law goes through the torques at working speed and at half of it.
    """

    factor: float
    power: float

    def torque_nm(self, omega: float) -> float:
        """Return the torque against the motion, N m."""
        return self.factor * math.pow(abs(omega), self.power)


def reynolds(diameter_mm: float, omega: float) -> float:
    """Return omega R^2 / nu."""
    return abs(omega) * (diameter_mm / 2e3) ** 2 / AIR_VISCOSITY_M2_S


def disc_torque_nm(diameter_mm: float, omega: float) -> float:
    """Return the torque on both faces of a disc, N m.

    Args:
        diameter_mm: its diameter.
        omega: speed, rad/s.
    """
    omega, radius = abs(omega), diameter_mm / 2e3
    if reynolds(diameter_mm, omega) <= DISC_TURNS_TURBULENT:
        return (
            0.616 * math.pi * AIR_DENSITY_KG_M3 * radius**4
            * math.sqrt(AIR_VISCOSITY_M2_S * omega**3)
        )  # fmt: skip
    slow = AIR_VISCOSITY_M2_S / (omega * radius**2)
    return 0.073 * AIR_DENSITY_KG_M3 * omega**2 * radius**5 * math.pow(slow, 0.2)


def cylinder_torque_nm(diameter_mm: float, length_mm: float, omega: float) -> float:
    """Return the torque on the curved surface of a cylinder, N m; the larger of the two laws.

    Args:
        diameter_mm: its diameter.
        length_mm: its length.
        omega: speed, rad/s.
    """
    number = reynolds(diameter_mm, omega)
    if number == 0.0:
        return 0.0
    radius, length = diameter_mm / 2e3, length_mm / 1e3
    laminar = 4.0 / number
    coefficient = max(laminar, turbulent_coefficient(number))
    return coefficient * math.pi * AIR_DENSITY_KG_M3 * radius**4 * omega**2 * length


def turbulent_coefficient(number: float) -> float:
    """Return the friction coefficient of a turning cylinder in turbulent flow; 0 below Re 30."""
    if number < 30.0:
        return 0.0
    root = 8.0
    # 1/sqrt(C) by Newton's rule: nearly a straight line of the root, it is there in five rounds.
    for _ in range(6):
        amiss = root + 0.6 - 4.07 * math.log10(number / root)
        root -= amiss / (1.0 + 4.07 / (math.log(10.0) * root))
    return root**-2


def swept_torque_nm(rods: SweptRods, omega: float) -> float:
    """Return the torque on rods that are carried round, N m; omega in rad/s.

    A piece at radius r meets the air with omega r: its torque is C rho d (omega r)^2 r / 2 of its
    length, constant along an arm, and summed from the axis out, r^4 / 4, along half a bar.
    """
    length, radius = rods.length_mm / 1e3, rods.radius_mm / 1e3
    cubes = length * radius**3 if radius > 0.0 else length**4 / 4.0
    pressure = 0.5 * ROD_DRAG * AIR_DENSITY_KG_M3 * omega**2
    return rods.count * pressure * rods.thickness_mm / 1e3 * cubes


def body_torque_nm(body: TurningBody | SweptRods, omega: float) -> float:
    """Return the torque on a body, N m."""
    if isinstance(body, SweptRods):
        return swept_torque_nm(body, omega)
    faces = 0.5 * body.faces * disc_torque_nm(body.diameter_mm, omega)
    return faces + cylinder_torque_nm(body.diameter_mm, body.length_mm, omega)


@lru_cache(maxsize=256)  # a change that is tried leaves most bodies and speeds as they are
def drag_law(bodies: tuple[TurningBody | SweptRods, ...], omega: float) -> Drag:
    """Return the drag of bodies on one shaft near a working speed.

    Args:
        bodies: what turns.
        omega: working speed, rad/s; at 0 there is no drag.
    """
    full = sum(body_torque_nm(b, omega) for b in bodies)
    half = sum(body_torque_nm(b, omega / 2.0) for b in bodies)
    if full == 0.0 or half == 0.0:
        return Drag(0.0, 1.0)
    power = math.log2(full / half)
    return Drag(full / math.pow(abs(omega), power), power)
