"""The cut file of one pulley: its face and, apart from it, its turned half-section."""

from __future__ import annotations

from dataclasses import replace

from wheelgeo.built.as_built import build
from wheelgeo.design.model import Design, Pulley
from wheelgeo.geometry.segments import Line
from wheelgeo.shop.drafting import (
    CutSheet,
    Item,
    dimension,
    part_items,
    reference_square,
    text,
    text_block,
    wrapped,
)
from wheelgeo.shop.faces import face, section_part
from wheelgeo.shop.outlines import Part
from wheelgeo.shop.section import PulleyPiece

_GAP_MM = 40.0
"""Room between the face and the half-section, mm."""


def pulley_sheet(design: Design, wheel: PulleyPiece) -> CutSheet:
    """Return the cut file of one wheel: face left, half-section right, notes below.

    Args:
        design: the wheel's design.
        wheel: one of its pieces.

    Raises:
        ShapeError: it cannot be cut as asked.
    """
    front = face(design, wheel)
    x1, y1, x2, y2 = front.box
    section = section_part(design, wheel, (x2 + _GAP_MM, 0.0))
    low = y1 - 22.0
    notes = [line for note in pulley_notes(design, wheel) for line in wrapped(note)]
    drawn = [*part_items(front), *part_items(section)]
    if wheel.layered:  # its discs are cut from files of their own: here nothing is
        drawn = [replace(item, layer="REFERENCE") for item in drawn]
    items = [
        *drawn,
        *_sizes(front, section),
        *text_block([f"{wheel.name}: face and half-section"], (x1, y2 + 26.0), 5.0),
        *reference_square((x1, low)),
        *text_block(notes, (x1 + 110.0, low)),
    ]
    return CutSheet(wheel.name, tuple(items))


def _sizes(front: Part, section: Part) -> list[Item]:
    """Return the dimensions of face and half-section, and the axis of the section."""
    x1, y1, x2, _ = front.box
    s1, s2, s3, s4 = section.box
    axis = Line((s1 - 8.0, 0.0), (s3 + 8.0, 0.0))
    return [
        *dimension((x1, 0.0), (x2, 0.0), y1 - 10.0, upright=False),
        *dimension((s1, s4), (s3, s4), s4 + 8.0, upright=False),
        *dimension((s3, s2), (s3, s4), s3 + 12.0, upright=True),
        Item("REFERENCE", axis),
        text("axis of rotation", (0.5 * (s1 + s3), -5.0), 3.0),
    ]


def pulley_notes(design: Design, wheel: PulleyPiece) -> list[str]:
    """Return what a turner needs to know of a wheel, one sentence each."""
    lines = ["All sizes in millimetres."]
    lines += [groove_words(design, pulley) for pulley in wheel.pulleys]
    lines += wheel.notes
    if wheel.layered:
        lines.append("Its discs have cut files of their own; nothing in this file is to be cut.")
    if wheel.pulleys[0].material:
        lines.append(f"Material: {wheel.pulleys[0].material}.")
    return lines


def groove_words(design: Design, pulley: Pulley) -> str:
    """Return the groove of a pulley in words, with the pitch diameter of its cord."""
    cord = design.cord_on(pulley.name)
    groove = build(design).pulleys[pulley.name].groove
    shape = groove.words()
    if cord <= 0.0:
        return f"{pulley.name}: {shape}; no band runs on it."
    pitch = groove.seat(cord).pitch_diameter_mm
    return f"{pulley.name}: {shape}; pitch diameter {pitch:.2f} mm with the {cord:.6g} mm cord."
