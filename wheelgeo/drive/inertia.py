"""Mass and moments of inertia of what turns: pulleys with their grooves, rods, discs, cops.

A pulley is the solid of revolution of its half-section with its true groove, less its bore and its
lightening holes, all in closed form.

Glossary: the *polar* moment is about the axis of rotation, the *diametral* one about a diameter
through the centre of mass. Lengths go in as mm; results are kg and kg m2.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from wheelgeo.design.model import Pulley
from wheelgeo.geometry.extents import groove_to_cut, pulley_width_mm
from wheelgeo.geometry.revolve import Hole, drilled, solid_of_revolution


@dataclass(frozen=True, slots=True)
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


def pulley_inertia(
    pulley: Pulley, cord_mm: float, density_kg_m3: float, bore_mm: float = 0.0
) -> Inertia:
    """Return the inertia of a pulley as it is cut, with its groove, bore and lightening holes.

    Args:
        pulley: the pulley; what its file leaves out is chosen as for the cut.
        cord_mm: diameter of the thickest cord that runs on it, mm.
        density_kg_m3: its density.
        bore_mm: diameter of the bore, mm, used where the file names none.
    """
    groove, half = groove_to_cut(pulley, cord_mm), 0.5 * pulley_width_mm(pulley, cord_mm)
    bore = bore_mm if pulley.bore_mm is None else pulley.bore_mm
    holes = [Hole(0.0, 0.5 * bore), *_lightening(pulley)]
    solid = drilled(solid_of_revolution(groove.half_section(half)), holes, -half, half)
    return Inertia(
        solid.volume_mm3 * density_kg_m3 * 1e-9,
        solid.axial_kg_m2(density_kg_m3),
        solid.transverse_kg_m2(density_kg_m3),
    )


def _lightening(pulley: Pulley) -> list[Hole]:
    light = pulley.lightening
    if light is None:
        return []
    return [Hole(0.5 * light.circle_mm, 0.5 * light.diameter_mm)] * light.holes
