"""The crank as a mass: its arm and its knob or pin, which go round beside the axis they turn on."""

from __future__ import annotations

import math
from itertools import pairwise

from wheelgeo.built.as_built import Built
from wheelgeo.built.bodies import crank_bodies, crank_plane_mm
from wheelgeo.built.body import BoardShape, TurnedShape
from wheelgeo.design.materials import find_material
from wheelgeo.geometry.revolve import solid_of_revolution
from wheelgeo.geometry.segments import Line
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class CrankMass:
    """What turns beside the axis of the driven shaft.

    Attributes:
        mass_kg: of the arm and its knob or pin; of both arms where two treadles drive.
        polar_kg_m2: moment of inertia about the shaft's axis.
        unbalance_kg_m: mass times the distance of its middle from the axis; 0 where two arms stand
            opposite.
        at_mm: the plane in which it turns, along the shaft.
        says: what it is made of.
    """

    mass_kg: float
    polar_kg_m2: float
    unbalance_kg_m: float
    at_mm: float
    says: str


def crank_mass(built: Built) -> CrankMass | None:
    """Return the crank of a wheel as a mass, as it is drawn and cut; None where there is none."""
    plane, drive = crank_plane_mm(built), built.design.drive
    if plane is None or drive.radius_mm is None:
        return None
    mass = polar = unbalance = 0.0
    made: list[str] = []
    for body in crank_bodies(built):
        material = find_material(body.material, built.design.materials)
        assert material is not None
        assert material.density_kg_m3 is not None
        density = material.density_kg_m3.value
        piece = "arm" if not made else "pin" if drive.by == "treadle" else "knob"
        made.append(f"{piece} of {body.material}")
        if isinstance(body.shape, BoardShape):
            kg, moment, about = _board(body.shape, density)
        else:
            kg, about = _turned(body.shape, density)
            moment = kg * drive.radius_mm / 1e3
            about += moment * drive.radius_mm / 1e3  # Steiner: the knob stands at the throw
        mass, polar, unbalance = mass + kg, polar + about, unbalance + moment
    if drive.treadle is not None and drive.treadle.kind == "double":
        return CrankMass(2.0 * mass, 2.0 * polar, 0.0, plane, "two times " + " and ".join(made))
    return CrankMass(mass, polar, unbalance, plane, " and ".join(made))


def _board(shape: BoardShape, density: float) -> tuple[float, float, float]:
    """Return mass, mass times its middle's x, and moment about the axis through 0; kg and m.

    An outline's area, first moment and second moments by Green's theorem, its holes taken off.
    """
    area = first = second = 0.0
    for (x, y), (u, v) in pairwise((*shape.outline, shape.outline[0])):
        turn = x * v - u * y
        area += turn / 2.0
        first += turn * (x + u) / 6.0
        second += turn * (x * x + x * u + u * u + y * y + y * v + v * v) / 12.0
    for (x, y), radius in shape.holes:
        hole = math.pi * radius**2
        area, first = area - hole, first - hole * x
        second -= hole * (radius**2 / 2.0 + x * x + y * y)
    sheet = density * shape.thickness_mm / 1e3  # kg per m2
    return sheet * area / 1e6, sheet * first / 1e9, sheet * second / 1e12


def _turned(shape: TurnedShape, density: float) -> tuple[float, float]:
    """Return mass, kg, and moment of inertia about its own axis, kg m2."""
    corners = (*shape.outline, shape.outline[0])
    solid = solid_of_revolution([Line(a, b) for a, b in pairwise(corners) if a != b])
    return solid.mass_g(density) / 1e3, solid.axial_kg_m2(density)
