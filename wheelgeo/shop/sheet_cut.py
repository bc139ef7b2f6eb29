"""The cut list of the shop sheet: pieces, parts, rods, stock, grooves and drilling."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BuiltBody, TurnedShape
from wheelgeo.built.built_up import GLUED_UP
from wheelgeo.built.endways import COLLAR, PLAY_MM
from wheelgeo.built.held import all_of_sheet
from wheelgeo.design.model import Design, Pulley, Shaft
from wheelgeo.drive.train import Solution
from wheelgeo.geometry.groove import CutGroove
from wheelgeo.shop.board_parts import base_of, from_sheet
from wheelgeo.shop.built_up_parts import making
from wheelgeo.shop.floor import UPRIGHT, floor_of
from wheelgeo.shop.flyer_work import orifice_note
from wheelgeo.shop.jigs import BLANK_OVER_MM, disc_stock, everything_flat, sheets_of
from wheelgeo.shop.notes_in import note_in
from wheelgeo.shop.outlines import Part
from wheelgeo.shop.part_figures import hole_places
from wheelgeo.shop.parts import parts_of
from wheelgeo.shop.plan import floor_part, plan_rows, raised_places
from wheelgeo.shop.rod_seats import seats
from wheelgeo.shop.section import PulleyPiece, wheels
from wheelgeo.shop.sheet import Block, Heading, Notice, Paragraph, Table
from wheelgeo.shop.sheets import AS_WISHED, LaidSheet, SheetLayout
from wheelgeo.shop.solids import mass_row
from wheelgeo.units.in_full import part_of
from wheelgeo.units.written import (
    LengthUnit,
    bought_length,
    length_with_unit,
    told_in,
    turned_length,
)

Lengths = Callable[[float], str]


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
    rods = tuple(_rod_row(design, s, lengths, unit) for s in design.shafts)
    flat = tuple(_flat_row(p, lengths, bought, unit) for p in pieces)
    sawn = tuple(_sawn_row(p, lengths, unit) for p in parts_of(design) if not from_sheet(p))
    blocks: list[Block] = [Heading("Cut list")]
    if turned:
        head = ("Turned piece", "Material", "Rim", "Width", "Bore", "Blank to start from", "Mass")
        caption = "Pieces to turn; bore them first"
        blocks.append(Table(caption, head, turned, (3, 2, 2, 2, 2, 3, 1.6)))
    others = others_turned(design)
    if others:
        other_head = ("Other turned piece", "Material", "Diameter", "Length", "Hole", "Notes")
        rows = tuple(_other_row(body, lengths, unit) for body in others)
        caption = "Knob, bobbin, washers and other small pieces"
        blocks.append(Table(caption, other_head, rows, (3, 1.6, 1.8, 1.6, 1.6, 6)))
    if flat:
        flat_head = ("Flat part", "Quantity", "Material", "Thickness", "Smallest stock", "Notes")
        blocks.append(
            Table("Parts and jigs to cut from sheet", flat_head, flat, (2.5, 1.7, 1.6, 1.9, 2.7, 8))
        )
        blocks += _stock(sheets_of(solution), design.shop.kerf_mm, lengths, unit)
    if sawn:
        sawn_head = ("Sawn part", "Quantity", "Wood", "Length × width × thickness", "Notes")
        caption = "Parts to saw from solid wood; the grain runs along the length"
        blocks.append(Table(caption, sawn_head, sawn, (2.5, 1.6, 1.5, 3, 9)))
    rod_head = ("Rod", "Material", "Diameter", "Length", "Notes")
    caption = "Shafts; a length given is as drawn, one chosen reaches through bearings and crank"
    blocks.append(Table(caption, rod_head, rods, (3, 2, 2, 2, 4)))
    return blocks


def _stock(
    layout: SheetLayout, kerf_mm: float, lengths: Lengths, unit: LengthUnit
) -> list[Block]:
    """Return the sheets that the parts are laid out on, the kerf, and what fits on none."""
    all_assumed = all(laid.stock in layout.assumed for laid in layout.sheets)
    rows = tuple(
        _stock_row(i, laid, laid.stock in layout.assumed, all_assumed, lengths, unit)
        for i, laid in enumerate(layout.sheets, start=1)
    )
    head = ("Sheet", "Material", "Size", "Thickness", "Used", "Parts on it")
    caption = "Sheets to lay out"
    if all_assumed:
        caption += "; their sizes are assumed, since the file names no sheets"
    blocks: list[Block] = [Table(caption, head, rows, (1, 2.2, 3.4, 1.8, 1.2, 5.4))]
    if kerf_mm:
        kerf = told_in(f"{kerf_mm:g} mm", unit, fits=True)
        words = f"Kerf: {kerf} is taken off in the cut files of the sheets; add none again."
    else:
        words = "Kerf: none in any file; the cutting shop adds its own."
    blocks.append(Paragraph(words))
    if layout.unplaced:
        left = tuple(told_in(words, unit, fits=True) for words in layout.unplaced)
        blocks.append(Notice("Parts that fit no sheet", left))
    return blocks


OFFCUT_SHARE = 0.25
"""Of a sheet: for parts that need no more of it nobody buys a whole one (common practice)."""


def offcut_mm(laid: LaidSheet) -> tuple[float, float]:
    """Return the least piece that holds all parts as they lie, with the same edge all round, mm."""
    boxes = [part.box for part in laid.parts]
    long = max(b[2] for b in boxes) + min(b[0] for b in boxes)
    wide = max(b[3] for b in boxes) + min(b[1] for b in boxes)
    return math.ceil(long - 1e-9), math.ceil(wide - 1e-9)


def _stock_row(
    number: int, laid: LaidSheet, assumed: bool, all_assumed: bool, lengths: Lengths,
    unit: LengthUnit,
) -> tuple[str, ...]:  # fmt: skip
    stock = laid.stock
    of = laid.material or AS_WISHED
    if not assumed and stock.name != of:
        of = f"{stock.name}: {of}" if laid.material else stock.name
    elif assumed and not all_assumed:
        of = f"{of} (assumed)"
    size = f"{lengths(stock.length_mm)} × {lengths(stock.width_mm)}"
    parts = ", ".join(part.name for part in laid.parts)
    used = f"{100.0 * laid.usage:.0f} %"
    long, wide = offcut_mm(laid)
    if assumed and long * wide <= OFFCUT_SHARE * stock.length_mm * stock.width_mm:
        whole = length_with_unit(unit, 0)
        size = f"{size}; an offcut of {whole(long)} × {whole(wide)} is enough"
    thick = bought_length(unit)(stock.thickness_mm)
    return (str(number), of, size, thick, used, parts)


def _turned_row(
    design: Design, wheel: PulleyPiece, lengths: Lengths, fine: Lengths
) -> tuple[str, ...]:
    row = mass_row(design, wheel)
    made = [build(design).pulleys[p.name] for p in wheel.pulleys]
    rim, faces = max(p.rim_mm for p in made), [x for p in made for x in p.faces_mm]
    width = max(faces) - min(faces)
    across, thick = (lengths(size) for size in blank_mm(rim, width))
    how = making(design, wheel)
    glued = f", glued up from {GLUED_UP[how]}" if how in GLUED_UP else ""
    stock = disc_stock(design, wheel)
    thick = f"{thick} thick" if stock is None else f'from the sheet "{stock.name}"'
    blank = f"{across} diameter, {thick}{glued}"
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


def blank_mm(across_mm: float, wide_mm: float) -> tuple[int, int]:
    """Return diameter and thickness of the blank that a round piece is turned from, mm."""
    return (math.ceil(across_mm + BLANK_OVER_MM - 1e-6), math.ceil(wide_mm + BLANK_OVER_MM - 1e-6))


def others_turned(design: Design) -> list[BuiltBody]:
    """Return what is turned besides pulleys; pins are bought, as is all where nothing is turned."""
    others = [b for b in bodies(build(design)) if b.kind in ("knob", "bobbin", "washer", "collar")
              or b.name == "flyer brake"]  # fmt: skip
    others = [b for b in others if b.material != "steel" or b.kind != "knob"]
    return [b for b in others if not bought_ready(design, b)]


def _other_row(body: BuiltBody, lengths: Lengths, unit: LengthUnit) -> tuple[str, ...]:
    """Return what else is turned: its largest size, and its steps where it has some."""
    shape = body.shape
    assert isinstance(shape, TurnedShape)
    places, radii = [z for z, _ in shape.outline], [r for _, r in shape.outline]
    hole = lengths(2.0 * min(radii)) if min(radii) > 0.0 else "none"
    size, long = lengths(2.0 * max(radii)), lengths(max(places) - min(places))
    if body.kind == "collar":
        steps = collar_words(body)
    else:
        steps = f"from one end: {steps_of(body, lengths)}"
    return (body.name, body.material, size, long, hole, told_in(steps, unit, fits=True))


def collar_words(collar: BuiltBody) -> str:
    """Return how a collar is held on its rod."""
    return (
        f"fix it on the rod with retaining compound, {PLAY_MM:g} mm from its bearing"
        if collar.material == COLLAR else "it lies loose on the rod"
    )


def bought_ready(design: Design, body: BuiltBody) -> bool:
    """Return whether a small round piece is bought, since nothing of its wheel is turned."""
    return all_of_sheet(design) and (body.kind == "knob" or body.material == COLLAR)


def steps_of(body: BuiltBody, lengths: Lengths) -> str:
    """Return the cylinders of a turned piece from one end, each with its length."""
    shape = body.shape
    assert isinstance(shape, TurnedShape)
    return ", ".join(
        f"{lengths(2.0 * r)} for {lengths(b - a)}"
        for (a, r), (b, s) in pairwise(shape.outline)
        if abs(r - s) < 1e-9 and b - a > 1e-6
    )


def _mass(mass_g: float) -> str:
    """Return a mass with as many figures as a kitchen scale shows."""
    return f"{mass_g:.1f} g" if mass_g < 10.0 else f"{mass_g:.0f} g"


def _rod_row(
    design: Design, shaft: Shaft, lengths: Lengths, unit: LengthUnit
) -> tuple[str, ...]:
    made, bought = build(design).shafts[shaft.name], bought_length(unit)
    low, high = made.ends_mm
    chosen = "" if made.ends.given else "length chosen: the file gives none"
    spindle = design.spindle.shaft == shaft.name and design.spindle.kind == "tip"
    sleeve = ""
    if shaft.runs_on is not None:
        own = design.spindle.bobbin == shaft.name
        sleeve = f"bore {made.bore_mm:.4g} mm right through, to run on {shaft.runs_on}"
        sleeve += "; glue the bobbin on it" if own else ""
    point = "spindle: point one end" if spindle else ""
    orifice = orifice_note(design) if design.spindle.shaft == shaft.name else ""
    stands = any(seat.rod == shaft.name for seat in seats(design))
    stood = "round its lower end and polish it: it stands on a disc of brass" if stands else ""
    notes = "; ".join(n for n in (point, stood, sleeve, orifice, chosen) if n)
    return (
        shaft.name,
        made.material.value.name,
        bought(shaft.diameter_mm),
        lengths(high - low),
        told_in(notes, unit, fits=True),
    )


def sizes_mm(part: Part) -> tuple[float, float, float]:
    """Return length along the grain, width and thickness of a sawn part, mm."""
    x1, y1, x2, y2 = part.box
    long, (wide, thick) = x2 - x1, sorted((y2 - y1, part.thickness_mm or 0.0), reverse=True)
    if wide > long:  # a leg is drawn by its end; its grain runs along what is longest
        long, (wide, thick) = wide, sorted((long, thick), reverse=True)
    return long, wide, thick


def _sawn_row(part: Part, lengths: Lengths, unit: LengthUnit) -> tuple[str, ...]:
    size = " × ".join(lengths(s) for s in sizes_mm(part))
    holes = "" if part.role == "floor" else hole_places(part)  # the plan has them
    notes = note_in(" ".join(part_of(note) for note in (holes, *part.notes) if note), unit)
    return (part.name, str(part.quantity), part.material or "hardwood", size, notes)


def _flat_row(
    part: Part, lengths: Lengths, bought: Lengths, unit: LengthUnit
) -> tuple[str, ...]:
    x1, y1, x2, y2 = part.box
    thickness = "" if part.thickness_mm is None else bought(part.thickness_mm)
    stock = f"{lengths(x2 - x1)} × {lengths(y2 - y1)}"
    grain = "" if part.grain == "any" else f"Grain along the {lengths(x2 - x1)} side. "
    return (
        part.name, str(part.quantity), part.material or "as wished", thickness, stock,
        grain + note_in(" ".join(map(part_of, part.notes)), unit),
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
    """Return where the middle of a groove stands from an end of its rod, and above the floor."""
    shaft = design.shaft(pulley.shaft)
    x, y, z = shaft.axis
    first = build(design).shafts[shaft.name].ends_mm[0]
    from_end = f"{lengths(pulley.offset_mm - first)} from the rod's {_first_end(shaft)} end"
    if math.hypot(x, y) > UPRIGHT:
        return from_end
    floor = floor_of(design)
    over = lengths(shaft.at_mm[2] + z * pulley.offset_mm - floor.corner_mm[2])
    return f"{from_end}; then {over} above {floor.over}"


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
    """Return the table of the board that everything stands on, measured from two edges.

    Args:
        design: the wheel.
        unit: how lengths are written.
    """
    lengths, bought, part = length_with_unit(unit, 2), bought_length(unit), floor_part(design)
    rows = tuple(
        (
            row.what,
            *(lengths(x) for x in row.at),
            f"drill {bought(row.bored_mm)}" if row.bored_mm else told_in(row.work, unit, fits=True),
            note_in(row.note, unit),
        )
        for row in plan_rows(design)
    )
    head = ("What", "From left", "From front", "What to do", "Notes")
    x1, y1, x2, y2 = part.box
    size = f"{lengths(x2 - x1)} × {lengths(y2 - y1)}"
    plan = "Plan of where the shafts stand," if base_of(design) is None else part.name.capitalize()
    caption = f"{plan} {size}, seen from above; measured from left and front edge"
    raised = tuple(
        (name, *(lengths(x) for x in at), lengths(height))
        for name, at, height in raised_places(design)
    )
    blocks: list[Block] = [
        Heading("Drilling and places"), Table(caption, head, rows, (2.5, 2, 2, 3, 4))
    ]  # fmt: skip
    if raised:
        over = f"Boards higher up: their middles from the same edges, and how high over {part.name}"
        high = ("Board", "From left", "From front", "Its lowest edge above it")
        blocks.append(Table(over, high, raised, (3, 2, 2, 3)))
    return blocks
