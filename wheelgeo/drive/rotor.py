"""Each shaft as what turns: its mass, its moment of inertia, its bearings, and the air it stirs."""

from __future__ import annotations

from dataclasses import replace

from wheelgeo.built.crank import CrankMass
from wheelgeo.built.flyer import ARM_MM, BAR_MM, BAR_WIDTH_MM, FlyerPlan
from wheelgeo.built.inertia import Inertia, cylinder
from wheelgeo.built.shaft import BuiltBearing, BuiltShaft
from wheelgeo.built.spindle import BuiltSpindle
from wheelgeo.design.model import Shaft
from wheelgeo.drive.air import SweptRods, TurningBody
from wheelgeo.immutable import dataclass

_NOTHING = Inertia(0.0, 0.0, 0.0)


@dataclass(frozen=True)
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
    bodies: tuple[TurningBody | SweptRods, ...]
    masses: tuple[tuple[float, float], ...]


def rotor(built: BuiltShaft, crank: CrankMass | None = None) -> Rotor:
    """Return a shaft with all that turns with it.

    Args:
        built: the shaft.
        crank: the crank on it, or None; the air that its arm stirs is left out, for it is slow.
    """
    density = built.density.value.value
    parts: list[tuple[Inertia, TurningBody | SweptRods, float]] = [
        (p.inertia, TurningBody(p.rim_mm, p.width_mm, 2), p.pulley.offset_mm)
        for p in built.carries
    ]
    for s in built.sections if not built.is_pin else ():  # a pin stands still
        length = s.to_mm - s.from_mm
        rod = cylinder(s.diameter_mm, length, density, built.bore_mm)
        parts.append((rod, TurningBody(s.diameter_mm, length), 0.5 * (s.from_mm + s.to_mm)))
    if isinstance(built, BuiltSpindle):
        for w in built.washers:
            body = TurningBody(w.washer.diameter_mm, w.washer.thickness_mm, 2)
            parts.append((w.inertia, body, w.washer.at_mm))
        if built.flyer_plan is not None:
            parts.extend(_flyer(built.flyer_plan, density))
        cop = built.cop.value
        parts.append((*_cop(built), 0.5 * (cop.from_mm + cop.to_mm)))
    inertia = sum((i for i, _, _ in parts), _NOTHING)
    masses = [(at, i.mass_kg) for i, _, at in parts]
    if crank is not None:
        inertia += Inertia(crank.mass_kg, crank.polar_kg_m2, 0.0)
        masses.append((crank.at_mm, crank.mass_kg))
    bodies = tuple(b for _, b, _ in parts)
    journals = built.bearings
    if built.shaft.runs_on is not None:
        # A sleeve rubs on the rod inside it.
        inside = built.design.shaft(built.shaft.runs_on).diameter_mm
        journals = tuple(replace(j, diameter_mm=inside) for j in journals)
    return Rotor(built.shaft, inertia, journals, bodies, tuple(masses))


def _flyer(
    plan: FlyerPlan, density: float
) -> tuple[tuple[Inertia, SweptRods, float], tuple[Inertia, SweptRods, float]]:
    """Return the two arms and the bar of a flyer, as dense as its rod, with their places."""
    length, radius = plan.bar_to - plan.bobbin_from, plan.arm_radius
    arm, middle = cylinder(ARM_MM, length, density), 0.5 * (plan.bobbin_from + plan.bar_to)
    # Two arms on opposite sides of the axis: about the axis and about the diameter through both
    # they add m r^2 each by Steiner's rule; the mean of the two diameters is taken.
    carried = arm.mass_kg * (radius / 1e3) ** 2
    arms = Inertia(
        2.0 * arm.mass_kg,
        2.0 * (arm.polar_kg_m2 + carried),
        2.0 * arm.diametral_kg_m2 + carried,
    )
    span, width, thick = 2.0 * radius / 1e3, BAR_WIDTH_MM / 1e3, BAR_MM / 1e3
    mass = density * span * width * thick
    about = mass * (span**2 + width**2) / 12.0
    bar = Inertia(mass, about, 0.5 * about + mass * thick**2 / 12.0)
    return (
        (arms, SweptRods(ARM_MM, length, radius, 2), middle),
        (bar, SweptRods(BAR_MM, radius, 0.0, 2), 0.5 * (plan.bar_from + plan.bar_to)),
    )


def _cop(spindle: BuiltSpindle) -> tuple[Inertia, TurningBody]:
    """Return the full cop: a hollow cylinder of the file's mass."""
    cop = spindle.cop.value
    length = cop.to_mm - cop.from_mm
    outer, inner = spindle.cop_diameter_mm(1.0), spindle.cop_bore_mm
    squares = (outer / 2e3) ** 2 + (inner / 2e3) ** 2
    mass = cop.mass_g / 1e3
    moments = (mass * squares / 2.0, mass * (squares / 4.0 + (length / 1e3) ** 2 / 12.0))
    return Inertia(mass, *moments), TurningBody(outer, length, 2)
