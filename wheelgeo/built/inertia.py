"""Mass and moments of inertia of what turns: pulleys with their grooves, rods, discs, cops.

A pulley is the solid of revolution of its half-section with its true groove, less its bore and its
lightening holes, all in closed form.

Glossary: the *polar* moment is about the axis of rotation, the *diametral* one about a diameter
through the centre of mass. Lengths go in as mm; results are kg and kg m2.
"""

from __future__ import annotations

import math
from functools import lru_cache

from wheelgeo.geometry.groove import CutGroove
from wheelgeo.geometry.revolve import Hole, drilled, solid_of_revolution
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class Inertia:
    """Mass (kg) and moments of inertia (kg m2) about the axis and about a diameter."""

    mass_kg: float
    polar_kg_m2: float
    diametral_kg_m2: float

    def __add__(self, other: Inertia) -> Inertia:
        """Return both together, where their centres of mass coincide."""
        return Inertia(
            self.mass_kg + other.mass_kg,
            self.polar_kg_m2 + other.polar_kg_m2,
            self.diametral_kg_m2 + other.diametral_kg_m2,
        )


def cylinder(
    outer_mm: float, length_mm: float, density_kg_m3: float, bore_mm: float = 0.0
) -> Inertia:
    """Return the inertia of a hollow cylinder.

    Args:
        outer_mm: outside diameter.
        length_mm: its length.
        density_kg_m3: its density.
        bore_mm: diameter of the bore.
    """
    outer, inner, length = outer_mm / 2e3, bore_mm / 2e3, length_mm / 1e3
    mass = density_kg_m3 * math.pi * (outer**2 - inner**2) * length
    squares = outer**2 + inner**2
    return Inertia(mass, mass * squares / 2.0, mass * (squares / 4.0 + length**2 / 12.0))


@lru_cache(maxsize=256)
def revolved(
    groove: CutGroove,
    width_mm: float,
    holes: tuple[Hole, ...],
    density_kg_m3: float,
) -> Inertia:
    """Return the inertia of a pulley as it is turned and drilled.

    Remembered: a change to a wheel leaves most of its pulleys as they are.

    Args:
        groove: the groove that is cut, with the rim.
        width_mm: its overall width.
        holes: its bore and whatever else is drilled through it along the axis.
        density_kg_m3: its density.
    """
    half = 0.5 * width_mm
    solid = drilled(solid_of_revolution(groove.half_section(half)), holes, -half, half)
    return Inertia(
        solid.volume_mm3 * density_kg_m3 * 1e-9,
        solid.axial_kg_m2(density_kg_m3),
        solid.transverse_kg_m2(density_kg_m3),
    )
