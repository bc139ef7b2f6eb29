"""Each shaft as what turns: its mass, its moment of inertia, its bearings, and the air it stirs."""

from __future__ import annotations

from dataclasses import dataclass

from wheelgeo.design.material import Figure
from wheelgeo.design.model import Design, Pulley, Shaft
from wheelgeo.drive.air import TurningBody
from wheelgeo.drive.assume import (
    USUAL_WASHER,
    Notes,
    bearing_pair,
    figure_of,
    material_of,
    pulley_density,
    shaft_figure,
)
from wheelgeo.drive.inertia import Inertia, cylinder, pulley_inertia
from wheelgeo.drive.spindle import SpindleLayout, cop_diameter_mm, rod_diameter_mm
from wheelgeo.geometry.extents import pulley_rim_mm, pulley_width_mm, shaft_ends_mm

_NOTHING = Inertia(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Journal:
    """One bearing: place along the axis, mm, diameter of the shaft there, and its friction."""

    at_mm: float
    diameter_mm: float
    friction: Figure


@dataclass(frozen=True, slots=True)
class Rotor:
    """A shaft with all that turns with it.

    Attributes:
        shaft: the shaft.
        inertia: mass and moments of inertia; the spindle's with a full cop.
        journals: its bearings, one or more.
        bodies: what stirs the air.
    """

    shaft: Shaft
    inertia: Inertia
    journals: tuple[Journal, ...]
    bodies: tuple[TurningBody, ...]


def rotor(design: Design, shaft: Shaft, layout: SpindleLayout, notes: Notes) -> Rotor:
    """Return a shaft with all that turns with it.

    Args:
        design: the wheel.
        shaft: one of its shafts.
        layout: the spindle as it was taken for its beam.
        notes: where assumptions are noted.
    """
    pulleys = [_pulley(design, shaft, p, notes) for p in design.pulleys_on(shaft.name)]
    is_spindle = shaft.name == design.spindle.shaft
    if is_spindle:
        parts = [*pulleys, *_spindle_parts(design, layout, notes)]
        journals = tuple(
            Journal(
                b.at_mm, rod_diameter_mm(layout, b.at_mm), _friction(b.kind, "the spindle", notes)
            )
            for b in layout.bearings
        )
    else:
        parts = [*pulleys, _rod(design, shaft, shaft_ends_mm(design, shaft), notes)]
        journals = _end_journals(design, shaft, notes)
    if design.drive.shaft == shaft.name and design.drive.by != "motor":
        notes.note(f"mass of the {design.drive.by}", "none", "the file does not describe its arm")
    inertia = sum((i for i, _ in parts), _NOTHING)
    return Rotor(shaft, inertia, journals, tuple(b for _, b in parts))


_Part = tuple[Inertia, TurningBody]


def _pulley(design: Design, shaft: Shaft, pulley: Pulley, notes: Notes) -> _Part:
    cord = design.cord_on(pulley.name)
    density = pulley_density(pulley, design, notes)
    solid = pulley_inertia(pulley, cord, density, shaft.diameter_mm)
    return solid, TurningBody(pulley_rim_mm(pulley, cord), pulley_width_mm(pulley, cord), 2)


def _rod(design: Design, shaft: Shaft, ends: tuple[float, float], notes: Notes) -> _Part:
    density = shaft_figure(shaft, "density_kg_m3", design, notes)
    length = ends[1] - ends[0]
    return cylinder(shaft.diameter_mm, length, density), TurningBody(shaft.diameter_mm, length)


def _spindle_parts(design: Design, layout: SpindleLayout, notes: Notes) -> list[_Part]:
    shaft = design.shaft(design.spindle.shaft)
    density = shaft_figure(shaft, "density_kg_m3", design, notes)
    parts = [
        (
            cylinder(s.diameter_mm, s.to_mm - s.from_mm, density),
            TurningBody(s.diameter_mm, s.to_mm - s.from_mm),
        )
        for s in layout.sections
    ]
    for washer in design.spindle.washers:
        material = material_of(washer.material, USUAL_WASHER, "the washers", design, notes)
        heavy = figure_of(material, "density_kg_m3", USUAL_WASHER, notes).value
        bore = rod_diameter_mm(layout, washer.at_mm)
        solid = cylinder(washer.diameter_mm, washer.thickness_mm, heavy, bore)
        parts.append((solid, TurningBody(washer.diameter_mm, washer.thickness_mm, 2)))
    if design.spindle.kind == "flyer":
        notes.note("mass and drag of the flyer", "none", "the file does not describe its arms")
        notes.note(
            "the cop of the flyer", "turns with the flyer's shaft", "the bobbin follows the flyer"
        )
    parts.append(_cop(layout))
    return parts


def _cop(layout: SpindleLayout) -> _Part:
    """Return the full cop: a hollow cylinder of the file's mass."""
    cop = layout.cop
    length = cop.to_mm - cop.from_mm
    outer = cop_diameter_mm(layout, 1.0)
    inner = rod_diameter_mm(layout, 0.5 * (cop.from_mm + cop.to_mm))
    squares = (outer / 2e3) ** 2 + (inner / 2e3) ** 2
    mass = cop.mass_g / 1e3
    moments = (mass * squares / 2.0, mass * (squares / 4.0 + (length / 1e3) ** 2 / 12.0))
    return Inertia(mass, *moments), TurningBody(outer, length, 2)


def _friction(kind: str | None, place: str, notes: Notes) -> Figure:
    return bearing_pair(kind, place, notes).friction


def _end_journals(design: Design, shaft: Shaft, notes: Notes) -> tuple[Journal, ...]:
    """Return bearings at the ends of a shaft's rod: the file describes the spindle's only."""
    low, high = shaft_ends_mm(design, shaft)
    pair = bearing_pair(None, f'shaft "{shaft.name}", at the ends of its rod', notes)
    ends = (low,) if high - low < shaft.diameter_mm else (low, high)
    return tuple(Journal(at, shaft.diameter_mm, pair.friction) for at in ends)
