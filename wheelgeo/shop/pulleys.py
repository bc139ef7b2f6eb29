"""The cut file of one pulley: its face, its turned half-section, and each groove enlarged."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from wheelgeo.built.as_built import build
from wheelgeo.design.model import Design, Pulley
from wheelgeo.geometry.segments import SAME_MM, Line, Point, Segment, chain
from wheelgeo.shop.drafting import (
    AngleMeasure,
    CutSheet,
    Item,
    Measure,
    dimension,
    items_box,
    part_items,
    reference_square,
    text,
    text_block,
    wrapped,
)
from wheelgeo.shop.faces import face, section_part
from wheelgeo.shop.needed import NeededSize
from wheelgeo.shop.outlines import Part
from wheelgeo.shop.section import PulleyPiece
from wheelgeo.units.in_full import figures

_GAP_MM = 40.0
"""Room between the face and the half-section, mm."""


def pulley_sheet(
    design: Design, wheel: PulleyPiece, needed: Mapping[str, NeededSize] | None = None
) -> CutSheet:
    """Return the cut file of one wheel: face, half-section, each groove enlarged, notes below.

    Args:
        design: the wheel's design.
        wheel: one of its pieces.
        needed: how close each size must be, by name; dimensions carry it where it is given.

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
    details: list[Item] = []
    corner = (section.box[2] + 2.0 * _GAP_MM, y2)
    for pulley in wheel.pulleys:
        details += _enlarged(design, pulley, corner, needed or {})
        corner = (corner[0], items_box(details)[1] - 20.0 if details else corner[1])
    low = min(low, items_box(details)[1] - 10.0) if details else low
    items = [
        *drawn,
        *_sizes(wheel, front, section, needed or {}),
        *details,
        *text_block([f"{wheel.name}: face and half-section, 1 : 1"], (x1, y2 + 26.0), 5.0),
        *reference_square((x1, low)),
        *text_block(notes, (x1 + 110.0, low)),
    ]
    return CutSheet(wheel.name, tuple(items))


def _sizes(
    wheel: PulleyPiece, front: Part, section: Part, needed: Mapping[str, NeededSize]
) -> list[Item]:
    """Return the dimensions of face and half-section, and the axis of the section."""
    x1, y1, x2, _ = front.box
    s1, _, s3, s4 = section.box
    y2, open_to = front.box[3], section.box[1]
    inside = "\u00d8<>" if open_to > 0.5 * wheel.bore_mm + SAME_MM else f"bore {wheel.bore_words}"
    axis = Line((s1 - 8.0, 0.0), (s3 + 8.0, 0.0))
    largest = max(wheel.pulleys, key=lambda p: p.groove.size_mm)
    rim = "\u00d8<>" + within_words(needed.get(f"{largest.name}.rim"))
    return [
        *dimension((x1, 0.0), (x2, 0.0), y1 - 10.0, False, words=rim),
        *dimension((-open_to, 0.0), (open_to, 0.0), y2 + 8.0, False, words=inside),
        *dimension((s1, s4), (s3, s4), s4 + 8.0, False),
        Item("REFERENCE", axis),
        text("axis of rotation", (0.5 * (s1 + s3), -5.0), 3.0),
    ]


def within_words(size: NeededSize | None) -> str:
    """Return the tolerance of a size as a dimension carries it; nothing where none is known."""
    if size is None:
        return ""
    unit = "\u00b0" if size.unit == "deg" else ""
    return f" \u00b1{figures(size.within)}{unit}" + (" critical" if size.critical else "")


_ENLARGED_MM = 40.0
"""A groove is drawn so that it is at least so deep or so wide, mm."""
_SCALES = (1.0, 2.0, 5.0, 10.0, 20.0)


def _enlarged(
    design: Design, pulley: Pulley, corner: Point, needed: Mapping[str, NeededSize]
) -> list[Item]:
    """Return the groove of a pulley enlarged, its sizes beside it, upper left corner at a point."""
    made = build(design).pulleys[pulley.name]
    groove = made.groove
    if not groove.has_mouth:
        return []
    reach = max(groove.deep_mm, groove.mouth_mm)
    scale = next((k for k in _SCALES if k * reach >= _ENLARGED_MM), _SCALES[-1])
    half, deep = 0.5 * scale * made.width_mm, scale * groove.deep_mm
    x, y = corner[0] + half + 30.0, corner[1] - 24.0
    low = y - deep - 10.0
    hollow = [_scaled(piece, scale, (x, y)) for piece in groove.hollow()]
    right, left, name = hollow[0].start, hollow[-1].end, pulley.name
    cheeks = (x + half, low), (x + half, y), right, left, (x - half, y), (x - half, low)
    edges = [*chain(*cheeks[:3]), *chain(*cheeks[3:])]

    def size(what: str) -> str:
        return within_words(needed.get(f"{name}.{what}"))

    wide, middle = 0.5 * scale * groove.flat_mm, y - deep
    depth = f"<>{size('depth')}"
    items = [Item("REFERENCE", piece) for piece in (*edges, *hollow)]
    items += [
        *dimension((x + half, middle), (x + half, y), x + half + 10.0, True, words=depth),
        *dimension((x - half, y), (x + half, y), y + 18.0, False),
        *dimension(left, right, y + 8.0, False),
        text(f"{name}: groove, {scale:g} : 1", (x, low - 16.0)),
    ]
    items = [_to_scale(item, scale) for item in items]
    if wide > 0.0:
        ends, words = ((x - wide, middle), (x + wide, middle)), f"<>{size('bottom')}"
        items.append(Item("DIMENSION", Measure(*ends, low - 6.0, text=words, scale=scale)))
    if groove.flanks_deg:
        turn = 0.5 * groove.flanks_deg
        apex = middle - wide / math.tan(math.radians(turn))  # where the flanks would meet
        ends_deg, words = (90.0 - turn, 90.0 + turn), f"<>{size('angle')}"
        arc = AngleMeasure((x, apex), *ends_deg, y - apex + 30.0, words)
        items.append(Item("DIMENSION", arc))
    if groove.arc_mm:
        items.append(text(f"radius {groove.arc_mm:g}{size('radius')}", (x, low - 8.0), 3.5))
    return items


def _to_scale(item: Item, scale: float) -> Item:
    shape = item.shape
    return replace(item, shape=replace(shape, scale=scale)) if isinstance(shape, Measure) else item


def _scaled(piece: Segment, scale: float, shift: Point) -> Segment:
    """Return a line or an arc enlarged about the origin, then shifted."""

    def place(p: Point) -> Point:
        return (scale * p[0] + shift[0], scale * p[1] + shift[1])

    if isinstance(piece, Line):
        return Line(place(piece.start), place(piece.end))
    return replace(piece, centre=place(piece.centre), radius_mm=scale * piece.radius_mm)


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
