"""How much room pulleys and shafts take: the groove that is cut, rim, width, ends of the rod.

One place for every default of size, so that a clearance is checked against the same pulley that
is cut. Glossary: the *cheeks* are the walls beside the mouth of a groove; the *faces* are a
pulley's two ends along its axis; a *layered* pulley is a core disc glued between two larger cheek
discs, which makes a square groove as wide as the core is thick.

All defaults here are common practice, no source.
"""

from __future__ import annotations

import math

from wheelgeo.design.materials import find_material
from wheelgeo.design.model import Design, Pulley, Shaft
from wheelgeo.geometry.groove import CutGroove, Groove
from wheelgeo.geometry.vectors import along, dot, sub

CHEEK_MM = 2.0
"""Least thickness of the cheeks of a turned pulley, mm."""
CHEEK_PER_DEPTH = 0.2
"""Least thickness of the cheeks as a fraction of the groove's depth."""
SHEETS_MM = (1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 9.0, 10.0, 12.0, 15.0, 18.0, 21.0, 24.0)
"""Thicknesses of sheet that a core is chosen from, mm."""
LAYER_CHEEK_MM = 3.0
"""Thickness of the cheek sheets of a layered pulley, mm, where the file is silent."""
WOOD_GAP_MM = 0.2
"""Working clearance of a wooden bore on its shaft, on the diameter, mm."""


def groove_to_cut(pulley: Pulley, cord_mm: float) -> CutGroove:
    """Return the groove that is cut for a pulley.

    Args:
        pulley: the pulley.
        cord_mm: diameter of the thickest cord that runs on it, mm; 0 where none does.

    Returns:
        The file's groove; for a layered pulley the square groove (a vee whose flanks are
        parallel, angle 0) that core and cheeks make; for a pulley of which only the pitch is
        known a groove that holds the cord flush with the rim at exactly that pitch, round at the
        bottom and a tenth wider than the cord, or square where it is layered.
    """
    groove = pulley.groove.to_cut(cord_mm)
    return groove.layered(core_mm(pulley, cord_mm)) if pulley.build == "layers" else groove


def running_groove(pulley: Pulley, cord_mm: float) -> Groove:
    """Return the groove that a cord seats in: the file's, or for a layered pulley what is cut.

    Args:
        pulley: the pulley.
        cord_mm: diameter of the thickest cord that runs on it, mm; 0 where none does.

    Returns:
        The groove; a given pitch stays as it is given.
    """
    return groove_to_cut(pulley, cord_mm) if pulley.groove.can_be_cut else pulley.groove


def core_mm(pulley: Pulley, cord_mm: float) -> float:
    """Return the thickness of a layered pulley's core, mm.

    Args:
        pulley: the pulley.
        cord_mm: diameter of the thickest cord that runs on it, mm.

    Returns:
        The file's value, or for a flat rim its width, or the thinnest common sheet that is not
        thinner than the cord.
    """
    if pulley.core_mm is not None:
        return pulley.core_mm
    groove = pulley.groove.to_cut(cord_mm)
    if not groove.has_mouth:
        return groove.mouth_mm
    return next((sheet for sheet in SHEETS_MM if sheet >= cord_mm), cord_mm)


def cheek_mm(pulley: Pulley, cord_mm: float) -> float:
    """Return the thickness of each cheek of a pulley, mm, as it is cut; 0 for a flat rim.

    Args:
        pulley: the pulley.
        cord_mm: diameter of the thickest cord that runs on it, mm.
    """
    groove = groove_to_cut(pulley, cord_mm)
    if not groove.has_mouth:
        return 0.0
    if pulley.build == "layers":
        return LAYER_CHEEK_MM if pulley.cheek_mm is None else pulley.cheek_mm
    if pulley.width_mm is not None:
        return 0.5 * (pulley.width_mm - groove.mouth_mm)
    return max(CHEEK_MM, CHEEK_PER_DEPTH * groove.deep_mm)


def pulley_width_mm(pulley: Pulley, cord_mm: float) -> float:
    """Return the overall width of a pulley along its axis, mm.

    Args:
        pulley: the pulley.
        cord_mm: diameter of the thickest cord that runs on it, mm; 0 where none does.

    Returns:
        Of a layered pulley core and cheeks; of a turned one the file's width, or the mouth and
        two cheeks of at least 2 mm and at least a fifth of the groove's depth.
    """
    if pulley.build != "layers" and pulley.width_mm is not None:
        return pulley.width_mm
    groove = groove_to_cut(pulley, cord_mm)
    return groove.mouth_mm + 2.0 * cheek_mm(pulley, cord_mm)


def pulley_rim_mm(pulley: Pulley, cord_mm: float) -> float:
    """Return the outside diameter of a pulley, mm.

    Args:
        pulley: the pulley.
        cord_mm: diameter of the thickest cord that runs on it, mm; 0 where none does.
    """
    return groove_to_cut(pulley, cord_mm).rim_mm


def shaft_ends_mm(design: Design, shaft: Shaft) -> tuple[float, float]:
    """Return the two ends of a shaft's rod, mm along its axis from its ``at``, lower first.

    Args:
        design: the wheel.
        shaft: one of its shafts.

    Returns:
        The file's ends, or else the shortest rod that holds the shaft's ``at``, both faces of
        every pulley on it, the crank, and what the spindle carries. A bare rod, with nothing on it,
        reaches past all pulleys of the wheel: a band has to get round it.
    """
    if shaft.ends_mm is not None:
        low, high = shaft.ends_mm
        return (min(low, high), max(low, high))
    carried = [*_faces(design, shaft), *_attachments(design, shaft)]
    places = [0.0, *(carried or _reach(design, shaft))]
    return (min(places), max(places))


def _reach(design: Design, shaft: Shaft) -> list[float]:
    """Return how far all pulleys of a wheel reach along a shaft's axis, mm from its ``at``."""
    places: list[float] = []
    for pulley in design.pulleys:
        other, cord = design.shaft(pulley.shaft), design.cord_on(pulley.name)
        centre = along(other.at_mm, other.axis, pulley.offset_mm)
        height = dot(sub(centre, shaft.at_mm), shaft.axis)
        cosine = min(abs(dot(other.axis, shaft.axis)), 1.0)
        half = 0.5 * pulley_width_mm(pulley, cord) * cosine
        half += 0.5 * pulley_rim_mm(pulley, cord) * math.sqrt(1.0 - cosine * cosine)
        places += [height - half, height + half]
    return places


def _faces(design: Design, shaft: Shaft) -> list[float]:
    faces: list[float] = []
    for pulley in design.pulleys_on(shaft.name):
        half = 0.5 * pulley_width_mm(pulley, design.cord_on(pulley.name))
        faces += [pulley.offset_mm - half, pulley.offset_mm + half]
    return faces


def _attachments(design: Design, shaft: Shaft) -> list[float]:
    """Return the places of crank, bearings, sections, washers and cop along a shaft."""
    places: list[float] = []
    if design.drive.shaft == shaft.name and design.drive.offset_mm is not None:
        places.append(design.drive.offset_mm)
    if design.spindle.shaft == shaft.name:
        spindle = design.spindle
        places += [b.at_mm for b in spindle.bearings]
        places += [x for s in spindle.sections for x in (s.from_mm, s.to_mm)]
        places += [w.at_mm for w in spindle.washers]
        places += [x for c in (spindle.cop,) if c is not None for x in (c.from_mm, c.to_mm)]
    return places


def is_metal(design: Design, pulley: Pulley) -> bool:
    """Tell whether a pulley is of metal; where the file is silent it is of wood."""
    material = find_material(pulley.material or "", design.materials)
    return material is not None and material.kind == "shaft"


def bore_mm(design: Design, pulley: Pulley) -> float:
    """Return the diameter of a pulley's bore, mm.

    The file's; or of metal its shaft's diameter; or of wood and all else the shaft's diameter and
    the working clearance.
    """
    if pulley.bore_mm is not None:
        return pulley.bore_mm
    gap = 0.0 if is_metal(design, pulley) else WOOD_GAP_MM
    return design.shaft(pulley.shaft).diameter_mm + gap


def groove_bottom_mm(design: Design, pulley: Pulley) -> float:
    """Return the diameter of a pulley at the bottom of its groove, mm."""
    return groove_to_cut(pulley, design.cord_on(pulley.name)).bottom_diameter_mm


def wall_mm(design: Design, pulley: Pulley) -> float:
    """Return what is left of a pulley between its bore and the bottom of its groove, mm."""
    return 0.5 * (groove_bottom_mm(design, pulley) - bore_mm(design, pulley))
