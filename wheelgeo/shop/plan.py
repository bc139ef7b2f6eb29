"""The drilling plan of the case floor, dimensioned from its left and its front edge."""

from __future__ import annotations

import math

from wheelgeo.design.model import Design
from wheelgeo.shop.drafting import (
    CutSheet,
    Item,
    dimension,
    part_items,
    reference_square,
    table,
    text_block,
)
from wheelgeo.shop.floor import Floor, Footing, floor_of, footings
from wheelgeo.shop.outlines import Circle, Label, Line, Part, Point, rectangle

_STEP_MM = 10.0
"""From one dimension line to the next, mm."""
HEADER = ("shaft", "from left mm", "from front mm", "what to do", "note")


def floor_part(design: Design) -> Part:
    """Return the case floor with its holes, slots and centre lines."""
    floor = floor_of(design)
    feet = footings(design, floor)
    cuts = [f.cut for f in feet if f.cut is not None]
    return Part(
        name="floor",
        role="floor",
        outside=rectangle((0.0, 0.0, *floor.size_mm)),
        holes=tuple(c for c in cuts if not isinstance(c, Circle)),
        drills=tuple(c for c in cuts if isinstance(c, Circle)),
        engraved=tuple(line for f in feet for line in f.engraved),
        labels=tuple(_name(f, floor) for f in feet if _shown(f)),
        thickness_mm=design.shop.floor_mm,
        grain="along",
        notes=(floor.note,),
    )


def _shown(foot: Footing) -> bool:
    return foot.cut is not None or bool(foot.engraved)


def _name(foot: Footing, floor: Floor) -> Label:
    """Return the shaft's name above its hole, or along its centre line, within the floor."""
    if foot.cut is None and isinstance(foot.engraved[0], Line):
        return _name_along(foot.shafts, foot.engraved[0], floor)
    high = foot.cut.box[3] if foot.cut is not None else foot.at[1] + 6.0
    y = high + 4.0 if high + 8.0 < floor.size_mm[1] else foot.at[1] - 8.0
    return Label(foot.shafts, (foot.at[0], y), 4.0)


def _name_along(name: str, line: Line, floor: Floor) -> Label:
    """Return a name beside the second half of a centre line, on the side nearer the middle."""
    (x1, y1), (x2, y2) = line.start, line.end
    x, y = 0.25 * x1 + 0.75 * x2, 0.25 * y1 + 0.75 * y2
    ux, uy = line.tangent(False)
    towards = (0.5 * floor.size_mm[0] - x) * -uy + (0.5 * floor.size_mm[1] - y) * ux
    side = 4.0 if towards >= 0.0 else -4.0
    turn = math.degrees(math.atan2(uy, ux))
    turn = turn - 180.0 if turn > 90.0 else turn + 180.0 if turn <= -90.0 else turn
    return Label(name, (x - side * uy, y + side * ux), 4.0, turn)


def plan_sheet(design: Design) -> CutSheet:
    """Return the drilling plan: the floor, dimensions from two edges, a table and notes."""
    floor = floor_of(design)
    feet = footings(design, floor)
    points = _measured(feet, floor)
    length, depth = floor.size_mm
    below = -_STEP_MM * (len(points) + 2) - 6.0
    rows = table_rows(feet)
    square_top = below - 2.2 * 4.0 * (len(rows) + 1) - 10.0
    notes = [
        f"Drilling plan of the floor, {length:.6g} x {depth:.6g} mm, "
        f"{design.shop.floor_mm:.6g} mm thick, seen from above.",
        "Left and front edge: zero. All sizes in millimetres.",
        "Holes are 0.2 mm wider than their shafts; ream to fit the bearing used.",
        floor.note,
    ]
    items = [
        *part_items(floor_part(design)),
        *_dimensions(points, floor),
        *table(HEADER, rows, (0.0, below)),
        *reference_square((0.0, square_top)),
        *text_block(notes, (110.0, square_top)),
    ]
    return CutSheet("floor", tuple(items))


def table_rows(feet: tuple[Footing, ...]) -> list[tuple[str, ...]]:
    """Return the drilling table: one row a shaft, one more for each further support."""
    rows: list[tuple[str, ...]] = []
    for foot in feet:
        at = f"{foot.at[0]:.2f}", f"{foot.at[1]:.2f}"
        what = "support" if foot.supports else foot.size
        rows.append((foot.shafts, *at, what, foot.note))
        rows += [(foot.shafts, f"{x:.2f}", f"{y:.2f}", "support", "") for x, y in foot.supports[1:]]
    return rows


def _measured(feet: tuple[Footing, ...], floor: Floor) -> list[Point]:
    points = [p for f in feet for p in (f.supports or (f.at,)) if _shown(f)]
    inside = [p for p in points if floor.holds((*p, *p))]
    return sorted(set(inside))


def _dimensions(points: list[Point], floor: Floor) -> list[Item]:
    """Return the dimensions of all points from the left and the front edge, and the floor's own."""
    items: list[Item] = []
    length, depth = floor.size_mm
    by_x, by_y = _one_for_each(points, 0), _one_for_each(points, 1)
    for places, upright, end in ((by_x, False, (length, 0.0)), (by_y, True, (0.0, depth))):
        for i, p in enumerate((*places, end)):
            last = i == len(places)
            items += dimension((0.0, 0.0), p, -_STEP_MM * (i + 1), upright, first=last)
    return items


def _one_for_each(points: list[Point], i: int) -> list[Point]:
    """Return one point for each distance, nearest first; the one nearest to the edge it is from."""
    chosen: dict[float, Point] = {}
    for p in sorted(points, key=lambda q: (q[i], q[1 - i])):
        chosen.setdefault(round(p[i], 4), p)
    return list(chosen.values())
