"""The crank as a mass: its arm and its knob or pin, which go round beside the axis they turn on."""

from __future__ import annotations

import math
from itertools import pairwise

from wheelgeo.built.as_built import Built
from wheelgeo.built.body import BoardShape, TurnedShape
from wheelgeo.built.crank_arm import arm_axes, crank_bodies, crank_plane_mm
from wheelgeo.built.kept import kept_with
from wheelgeo.built.weight import body_weight, volume_of
from wheelgeo.geometry.revolve import solid_of_revolution
from wheelgeo.geometry.segments import Line
from wheelgeo.geometry.vectors import dot, sub
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
    # all that it hangs on is seen from the shaft that it is on
    shaft = built.shafts[built.design.drive.shaft]
    return kept_with(shaft, "crank mass", lambda: _weighed(built))


def _weighed(built: Built) -> CrankMass | None:
    plane, drive = crank_plane_mm(built), built.design.drive
    if plane is None or drive.radius_mm is None:
        return None
    mass = polar = unbalance = 0.0
    made: list[str] = []
    shaft, (arm, _) = built.design.shaft(drive.shaft), arm_axes(built)
    for body in crank_bodies(built):
        piece = "arm" if not made else "pin" if drive.by == "treadle" else "knob"
        made.append(f"{piece} of {body.material}")
        weight = body_weight(built, body)
        out_m = dot(sub(weight.centre_mm, shaft.at_mm), arm) / 1e3
        mass, unbalance = mass + weight.mass_kg, unbalance + weight.mass_kg * out_m
        polar += weight.mass_kg * _squared_m2(body.shape)
        if isinstance(body.shape, TurnedShape):
            polar += weight.mass_kg * out_m**2  # Steiner: the knob turns beside the axis
    if drive.treadle is not None and drive.treadle.kind == "double":
        return CrankMass(2.0 * mass, 2.0 * polar, 0.0, plane, "two times " + " and ".join(made))
    return CrankMass(mass, polar, unbalance, plane, " and ".join(made))


def _squared_m2(shape: TurnedShape | BoardShape) -> float:
    """Return the mean square of the distance from a turned shape's axis, from a board's 0, m2."""
    volume = volume_of(shape)[0]
    corners = (*shape.outline, shape.outline[0])
    if isinstance(shape, TurnedShape):
        solid = solid_of_revolution([Line(a, b) for a, b in pairwise(corners) if a != b])
        return solid.axial_mm5 / volume / 1e6
    # The polar second moment of an outline by Green's theorem, its holes taken off.
    second = 0.0
    for (x, y), (u, v) in pairwise(corners):
        second += (x * v - u * y) * (x * x + x * u + u * u + y * y + y * v + v * v) / 12.0
    for (x, y), radius in shape.holes:
        second -= math.pi * radius**2 * (radius**2 / 2.0 + x * x + y * y)
    return second * shape.thickness_mm / volume / 1e6
