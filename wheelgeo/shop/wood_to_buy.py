"""Solid wood to buy, and what a little is needed of: glues by what they fix.

What is added for waste is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.design.model import Design
from wheelgeo.drive.fixing import FixedPulley
from wheelgeo.shop.board_parts import from_sheet
from wheelgeo.shop.fixing_words import fixing_words
from wheelgeo.shop.flyer_work import flyer_steps
from wheelgeo.shop.parts import parts_of
from wheelgeo.shop.sheet_cut import collar_words, sizes_mm
from wheelgeo.units.written import LengthUnit, length_with_unit

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
