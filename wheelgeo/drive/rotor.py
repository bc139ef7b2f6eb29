"""Each shaft as what turns: its mass, its moment of inertia, its bearings, and the air it stirs."""

from __future__ import annotations

from dataclasses import dataclass

from wheelgeo.built.inertia import Inertia, cylinder
from wheelgeo.built.shaft import BuiltBearing, BuiltShaft
from wheelgeo.built.spindle import BuiltSpindle
from wheelgeo.design.model import Shaft
from wheelgeo.drive.air import TurningBody

_NOTHING = Inertia(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Rotor:
    """A shaft with all that turns with it.

    Attributes:
        shaft: the shaft.
        inertia: mass and moments of inertia; the spindle's with a full cop.
        journals: its bearings, one or more.
        bodies: what stirs the air; of the spindle the full cop is the last.
        masses: middle along the shaft, mm, and mass, kg, of everything on it.
    """

    shaft: Shaft
    inertia: Inertia
    journals: tuple[BuiltBearing, ...]
    bodies: tuple[TurningBody, ...]
    masses: tuple[tuple[float, float], ...]


def rotor(built: BuiltShaft) -> Rotor:
    """Return a shaft with all that turns with it."""
    density = built.density.value.value
    parts = [
        (p.inertia, TurningBody(p.rim_mm, p.width_mm, 2), p.pulley.offset_mm)
        for p in built.carries
    ]
    for s in built.sections:
        length = s.to_mm - s.from_mm
        rod = cylinder(s.diameter_mm, length, density, built.bore_mm)
        parts.append((rod, TurningBody(s.diameter_mm, length), 0.5 * (s.from_mm + s.to_mm)))
    if isinstance(built, BuiltSpindle):
        for w in built.washers:
            body = TurningBody(w.washer.diameter_mm, w.washer.thickness_mm, 2)
            parts.append((w.inertia, body, w.washer.at_mm))
        cop = built.cop.value
        parts.append((*_cop(built), 0.5 * (cop.from_mm + cop.to_mm)))
    inertia = sum((i for i, _, _ in parts), _NOTHING)
    masses = tuple((at, i.mass_kg) for i, _, at in parts)
    return Rotor(built.shaft, inertia, built.bearings, tuple(b for _, b, _ in parts), masses)


def _cop(spindle: BuiltSpindle) -> tuple[Inertia, TurningBody]:
    """Return the full cop: a hollow cylinder of the file's mass."""
    cop = spindle.cop.value
    length = cop.to_mm - cop.from_mm
    outer, inner = spindle.cop_diameter_mm(1.0), spindle.cop_bore_mm
    squares = (outer / 2e3) ** 2 + (inner / 2e3) ** 2
    mass = cop.mass_g / 1e3
    moments = (mass * squares / 2.0, mass * (squares / 4.0 + (length / 1e3) ** 2 / 12.0))
    return Inertia(mass, *moments), TurningBody(outer, length, 2)
