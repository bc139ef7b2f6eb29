"""Wood, blanks and sheets to buy, and what a little is needed of: glues by what they fix.

What is added for waste is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import TurnedShape
from wheelgeo.built.endways import THIN_RING
from wheelgeo.built.held import SHEETS_MM
from wheelgeo.design.model import Design, Stock
from wheelgeo.drive.fixing import FixedPulley
from wheelgeo.drive.train import Solution
from wheelgeo.shop.board_parts import from_sheet
from wheelgeo.shop.built_up_parts import built_up_parts
from wheelgeo.shop.fixing_words import fixing_words
from wheelgeo.shop.flyer_work import flyer_steps
from wheelgeo.shop.jigs import disc_stock, everything_flat, sheets_of
from wheelgeo.shop.parts import parts_of
from wheelgeo.shop.section import wheels
from wheelgeo.shop.sheet_cut import blank_mm, collar_words, others_turned, sizes_mm
from wheelgeo.shop.sheets import AS_WISHED, LaidSheet
from wheelgeo.units.written import LengthUnit, bought_length, length_with_unit

WASTE = 1.3
"""What is bought of wood over what is cut: saw, knots and short ends."""
SQUARE_FOOT_MM2 = 304.8**2


def wood_rows(design: Design, unit: LengthUnit) -> list[tuple[str, str, str, str]]:
    """Return the wood of the sawn parts by kind and thickness: what, number, size, for what.

    Args:
        design: the wheel.
        unit: how lengths are written; in inches the area is in square feet.
    """
    boards: dict[tuple[str, float], list[tuple[float, float, str]]] = {}
    for part in parts_of(design):
        if not from_sheet(part):
            long, wide, thick = sizes_mm(part)
            of = part.material or "hardwood", round(thick, 1)
            boards.setdefault(of, []).append((long, long * wide * part.quantity, part.name))
    rows = []
    for (wood, thick), cut in sorted(boards.items()):
        area = WASTE * math.fsum(one[1] for one in cut)
        told = f"{math.ceil(area / 1e4) / 100.0:.2f} m²" if unit == "mm" else (
            f"{math.ceil(10.0 * area / SQUARE_FOOT_MM2) / 10.0:.1f} sq ft"
        )
        size = f"{length_with_unit(unit)(thick)} thick, {told}"
        longest = length_with_unit(unit, 0)(max(one[0] for one in cut))
        names = ", ".join(one[2] for one in cut)
        rows.append((f"{wood}, planed", "", f"{size}, longest piece {longest}", names))
    return rows


def blank_rows(design: Design, unit: LengthUnit) -> list[tuple[str, str, str, str]]:
    """Return the round blanks of what is turned from one piece, those of one size in one row.

    Discs from a sheet at hand and wheels glued up from boards are bought with those.

    Args:
        design: the wheel.
        unit: how lengths are written.
    """
    sizes: dict[tuple[str, float, float], list[str]] = {}
    for wheel in wheels(design):
        if wheel.layered or disc_stock(design, wheel) or built_up_parts(design, wheel):
            continue
        made = [build(design).pulleys[p.name] for p in wheel.pulleys]
        faces = [x for p in made for x in p.faces_mm]
        high, deep = blank_mm(max(p.rim_mm for p in made), max(faces) - min(faces))
        sizes.setdefault((made[0].material.value.name, high, deep), []).append(wheel.name)
    for body in others_turned(design):
        assert isinstance(body.shape, TurnedShape)
        places, radii = zip(*body.shape.outline, strict=True)
        across, long = 2.0 * max(radii), max(places) - min(places)
        thin = body.material == THIN_RING  # cut out with a punch, as thick as it is
        high, deep = (round(across, 1), round(long, 1)) if thin else blank_mm(across, long)
        sizes.setdefault((body.material, high, deep), []).append(body.name)
    lengths = length_with_unit(unit)
    return [
        (f"{material}, {'sheet' if material == THIN_RING else 'blank to turn'}", str(len(names)),
         f"{lengths(across)} diameter, {lengths(long)} thick", ", ".join(names))
        for (material, across, long), names in sizes.items()
    ]  # fmt: skip


def sheet_rows(solution: Solution, unit: LengthUnit) -> list[tuple[str, str, str, str]]:
    """Return the sheets to buy with what lies on them, and what fits on none.

    Args:
        solution: the solved wheel.
        unit: how lengths are written.
    """
    layout, lengths, bought = sheets_of(solution), length_with_unit(unit, 1), bought_length(unit)
    flat = everything_flat(solution)
    laid: dict[tuple[Stock, str | None], list[LaidSheet]] = {}
    for sheet in layout.sheets:
        laid.setdefault((sheet.stock, sheet.material), []).append(sheet)
    rows = []
    for (stock, wood), sheets in laid.items():
        names = dict.fromkeys(part.name for sheet in sheets for part in sheet.parts)
        size = f"{bought(stock.thickness_mm)} × {lengths(stock.length_mm)} × "
        size += lengths(stock.width_mm)
        name = wood or AS_WISHED
        if stock not in layout.assumed:
            name = stock.name if wood in (None, stock.name) else f"{stock.name}, {wood}"
        else:
            size += ", or less as its parts need"
            if stock.thickness_mm not in SHEETS_MM:
                size += "; not a usual thickness: glue it up from thinner ones"
        rows.append((f"sheet: {name}", str(len(sheets)), size, ", ".join(names)))
    placed = {part.name for sheet in layout.sheets for part in sheet.parts}
    for part in flat:
        if part.thickness_mm is None or part.name in placed or part.role == "gauge":
            continue
        x1, y1, x2, y2 = part.box
        size = f"{bought(part.thickness_mm)} × {lengths(x2 - x1)} × {lengths(y2 - y1)}"
        rows.append((
            f"{part.material or 'sheet'}, larger or thicker than at hand", str(part.quantity),
            size, part.name,
        ))  # fmt: skip
    return rows


def little_of(design: Design, held: Mapping[str, FixedPulley]) -> list[str]:
    """Return what a little is needed of.

    Args:
        design: the wheel.
        held: how every pulley is held on its rod.
    """
    said = [*(fixing_words(one) for one in held.values()), *flyer_steps(design)]
    said += [collar_words(b) for b in bodies(build(design)) if b.kind == "collar"]
    glues = [glue for glue in ("epoxy", "retaining compound", "thread lock", "beeswax")
             if any(glue in words for words in said)]  # fmt: skip
    return ["oil, thin", "wood finish", "wood glue", *glues]
