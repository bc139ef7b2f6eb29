"""The cut list of the shop sheet: pieces, parts, rods, stock, grooves and drilling."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from wheelgeo.built.as_built import build
from wheelgeo.design.model import Design, Pulley, Shaft
from wheelgeo.drive.train import Solution
from wheelgeo.geometry.groove import CutGroove
from wheelgeo.shop.floor import UPRIGHT, Footing, floor_of, footings
from wheelgeo.shop.jigs import everything_flat
from wheelgeo.shop.outlines import Circle, Part
from wheelgeo.shop.section import PulleyPiece, wheels
from wheelgeo.shop.sheet import Block, Heading, Notice, Paragraph, Table
from wheelgeo.shop.sheets import LaidSheet, SheetLayout, lay_out
from wheelgeo.shop.solids import mass_row
from wheelgeo.units.written import (
    LengthUnit,
    bought_length,
    length_with_unit,
    told_in,
    turned_length,
)

Lengths = Callable[[float], str]

BLANK_OVER_MM = 6.0
"""What a turner's blank is larger than the finished piece, in diameter and in width, mm; the
blank is rounded up to whole millimetres."""


def cut_list(solution: Solution, unit: LengthUnit) -> list[Block]:
    """Return what is to be cut: turned pieces, flat parts, the sheets they lie on, and rods.

    Args:
        solution: the solved wheel.
        unit: how lengths are written.

    Raises:
        OutputError: a band has no path.
        ShapeError: a part cannot be made as asked.
    """
    lengths, design = length_with_unit(unit), solution.design
    pieces = everything_flat(solution)
    fine = turned_length(unit)
    turned = tuple(_turned_row(design, w, lengths, fine) for w in wheels(design) if not w.layered)
    bought = bought_length(unit)
    rods = tuple(_rod_row(design, s, lengths, bought) for s in design.shafts)
    flat = tuple(_flat_row(p, lengths, bought, unit) for p in pieces)
    blocks: list[Block] = [Heading("Cut list")]
    if turned:
        head = ("Turned piece", "Material", "Rim", "Width", "Bore", "Blank to start from", "Mass")
        caption = "Pieces to turn; bore them first"
        blocks.append(Table(caption, head, turned, (3, 2, 2, 2, 2, 3, 1.6)))
    if flat:
        flat_head = ("Flat part", "Quantity", "Material", "Thickness", "Smallest stock", "Notes")
        blocks.append(
            Table("Parts and jigs to cut from sheet", flat_head, flat, (3, 1.4, 2, 2, 3, 5))
        )
        blocks += _stock(lay_out(design, pieces), design.shop.kerf_mm, lengths, unit)
    rod_head = ("Rod", "Material", "Diameter", "Length", "Notes")
    caption = "Shafts; ends as drawn, add what bearings and crank need"
    blocks.append(Table(caption, rod_head, rods, (3, 2, 2, 2, 4)))
    return blocks


def _stock(
    layout: SheetLayout, kerf_mm: float, lengths: Lengths, unit: LengthUnit
) -> list[Block]:
    """Return the sheets that the parts are laid out on, the kerf, and what fits on none."""
    all_assumed = all(laid.stock in layout.assumed for laid in layout.sheets)
    rows = tuple(
        _stock_row(i, laid, laid.stock in layout.assumed and not all_assumed, lengths, unit)
        for i, laid in enumerate(layout.sheets, start=1)
    )
    head = ("Sheet", "Stock", "Size", "Thickness", "Used", "Parts on it")
    caption = "Sheets to lay out"
    if all_assumed:
        caption += "; their sizes are assumed, since the file names no sheets"
    blocks: list[Block] = [Table(caption, head, rows, (1, 2.2, 3.4, 1.8, 1.2, 5.4))]
    if kerf_mm:
        kerf = told_in(f"{kerf_mm:g} mm", unit)
        words = f"Kerf: {kerf} is taken off in the cut files of the sheets; add none again."
    else:
        words = "Kerf: none in any file; the cutting shop adds its own."
    blocks.append(Paragraph(words))
    if layout.unplaced:
        left = tuple(told_in(words, unit) for words in layout.unplaced)
        blocks.append(Notice("Parts that fit no sheet", left))
    return blocks


def _stock_row(
    number: int, laid: LaidSheet, assumed: bool, lengths: Lengths, unit: LengthUnit
) -> tuple[str, ...]:
    stock = laid.stock
    name = f"{stock.name} (assumed)" if assumed else stock.name
    size = f"{lengths(stock.length_mm)} × {lengths(stock.width_mm)}"
    parts = ", ".join(part.name for part in laid.parts)
    used = f"{100.0 * laid.usage:.0f} %"
    return (str(number), name, size, bought_length(unit)(stock.thickness_mm), used, parts)


def _turned_row(
    design: Design, wheel: PulleyPiece, lengths: Lengths, fine: Lengths
) -> tuple[str, ...]:
    row = mass_row(design, wheel)
    made = [build(design).pulleys[p.name] for p in wheel.pulleys]
    rim, faces = max(p.rim_mm for p in made), [x for p in made for x in p.faces_mm]
    width = max(faces) - min(faces)
    across, thick = (lengths(math.ceil(size + BLANK_OVER_MM - 1e-6)) for size in (rim, width))
    blank = f"{across} diameter, {thick} thick"
    material = made[0].material.value.name
    return (
        wheel.name,
        material,
        fine(rim),
        fine(width),
        fine(wheel.bore_mm),
        blank,
        _mass(row.mass_g),
    )


def _mass(mass_g: float) -> str:
    """Return a mass with as many figures as a kitchen scale shows."""
    return f"{mass_g:.1f} g" if mass_g < 10.0 else f"{mass_g:.0f} g"


def _rod_row(
    design: Design, shaft: Shaft, lengths: Lengths, bought: Lengths
) -> tuple[str, ...]:
    made = build(design).shafts[shaft.name]
    low, high = made.ends_mm
    chosen = "" if made.ends.given else "length chosen: the file gives none"
    spindle = design.spindle.shaft == shaft.name and design.spindle.kind == "tip"
    notes = "; ".join(n for n in ("spindle: point one end" if spindle else "", chosen) if n)
    return (
        shaft.name,
        made.material.value.name,
        bought(shaft.diameter_mm),
        lengths(high - low),
        notes,
    )


def _flat_row(
    part: Part, lengths: Lengths, bought: Lengths, unit: LengthUnit
) -> tuple[str, ...]:
    x1, y1, x2, y2 = part.box
    thickness = "" if part.thickness_mm is None else bought(part.thickness_mm)
    stock = f"{lengths(x2 - x1)} × {lengths(y2 - y1)}"
    grain = "" if part.grain == "any" else f"Grain along the {lengths(x2 - x1)} side. "
    return (
        part.name, str(part.quantity), part.material or "as wished", thickness, stock,
        grain + told_in(" ".join(part.notes), unit),
    )  # fmt: skip


def grooves(design: Design, unit: LengthUnit) -> list[Block]:
    """Return the table of grooves as they are cut, with the pitch diameter of the seated cord.

    Args:
        design: the wheel.
        unit: how lengths are written.
    """
    lengths = turned_length(unit, 2)
    rows = []
    for pulley in design.pulleys:
        cord = design.cord_on(pulley.name)
        groove = build(design).pulleys[pulley.name].groove
        pitch = lengths(groove.seat(cord).pitch_diameter_mm) if cord > 0.0 else "no band"
        place = _place_on_rod(design, pulley, lengths)
        rows.append((pulley.name, *_groove_cells(groove, lengths), pitch, place))
    head = (
        "Pulley",
        "Groove",
        "Rim",
        "Depth",
        "Angle or radius",
        "Width of bottom",
        "Pitch diameter",
        "Middle of the groove",
    )
    caption = (
        "Grooves, and where they stand on their rods; the pitch diameter is that of the seated "
        "cord's centre-line"
    )
    return [Table(caption, head, tuple(rows), (2.8, 1.7, 2.1, 1.9, 2, 2, 2.1, 3.4))]


def _place_on_rod(design: Design, pulley: Pulley, lengths: Lengths) -> str:
    """Return where the middle of a groove stands: above the floor, or from an end of its rod."""
    shaft = design.shaft(pulley.shaft)
    x, y, z = shaft.axis
    if math.hypot(x, y) <= UPRIGHT:
        floor = floor_of(design).corner_mm[2]
        return f"{lengths(shaft.at_mm[2] + z * pulley.offset_mm - floor)} above the floor"
    first = build(design).shafts[shaft.name].ends_mm[0]
    return f"{lengths(pulley.offset_mm - first)} from the rod's {_first_end(shaft)} end"


def _first_end(shaft: Shaft) -> str:
    """Return which end of a rod its axis points away from, as seen by one who faces the front."""
    x, y, z = shaft.axis
    if abs(z) > UPRIGHT:
        return "lower" if z > 0.0 else "upper"
    if abs(y) >= abs(x):
        return "front" if y > 0.0 else "back"
    return "left" if x > 0.0 else "right"


def _groove_cells(groove: CutGroove, lengths: Lengths) -> tuple[str, str, str, str, str]:
    depth = lengths(groove.deep_mm) if groove.has_mouth else ""
    bends = f"{groove.flanks_deg:g}°" if groove.flanks_deg else ""
    if groove.arc_mm:
        bends = ", ".join(filter(None, ("radius " + lengths(groove.arc_mm), bends)))
    bottom = "" if groove.arc_mm else lengths(groove.flat_mm)
    shape = groove.shape if groove.has_mouth else "flat rim"
    return (shape, lengths(groove.rim_mm), depth, bends, bottom)


def drilling(design: Design, unit: LengthUnit) -> list[Block]:
    """Return the drilling table of the case floor, measured from two edges.

    Args:
        design: the wheel.
        unit: how lengths are written.
    """
    lengths, bought, floor = length_with_unit(unit, 2), bought_length(unit), floor_of(design)
    feet = footings(design, floor)
    rows = [row for foot in feet for row in _foot_rows(foot, lengths, bought, unit)]
    head = ("Shaft", "From left", "From front", "What to do", "Notes")
    size = " × ".join(lengths(s) for s in floor.size_mm)
    caption = f"Case floor {size}, seen from above; measured from its left and front edges"
    return [Heading("Drilling"), Table(caption, head, tuple(rows), (2.5, 2, 2, 3, 4))]


def _foot_rows(
    foot: Footing, lengths: Lengths, bought: Lengths, unit: LengthUnit
) -> Iterable[tuple[str, ...]]:
    places = foot.supports or (foot.at,)
    for i, (x, y) in enumerate(places):
        note = told_in(foot.note, unit) if i == 0 else ""
        yield (foot.shafts, lengths(x), lengths(y), told_in(_foot_work(foot, bought), unit), note)


def _foot_work(foot: Footing, bought: Lengths) -> str:
    if foot.supports:
        return "set a support of the shaft"
    if isinstance(foot.cut, Circle):
        return f"drill {bought(2.0 * foot.cut.radius_mm)}"
    return foot.size
