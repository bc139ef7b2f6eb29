"""The plan of the board that everything stands on, dimensioned from its left and front edge."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BoardShape, BuiltBody, TurnedShape
from wheelgeo.design.model import Design
from wheelgeo.geometry.segments import Arc, Segment, arc_between
from wheelgeo.immutable import dataclass
from wheelgeo.shop.board_parts import (
    base_of,
    board_part,
    boards,
    footprint,
    standing_on,
)
from wheelgeo.shop.board_sides import sides_of
from wheelgeo.shop.bolt_cuts import bolt_cuts
from wheelgeo.shop.drafting import (
    CutSheet,
    Item,
    dimension,
    part_items,
    reference_square,
    table,
    text_block,
    text_width_mm,
)
from wheelgeo.shop.floor import Floor, Footing, floor_of, footings
from wheelgeo.shop.outlines import (
    Box,
    Circle,
    Label,
    Line,
    Loop,
    Outline,
    Part,
    Place,
    Point,
    polygon_outline,
    rectangle,
)
from wheelgeo.shop.rod_seats import SEAT_MM, seats
from wheelgeo.shop.screw_places import ScrewHoles, screw_holes
from wheelgeo.units.in_full import Told, full

_STEP_MM = 10.0
"""From one dimension line to the next, mm."""
HEADER = ("what", "from left mm", "from front mm", "what to do", "note")


@dataclass(frozen=True)
class PlanRow:
    """One thing of the plan: what, its middle from the left and the front edge, what to do there.

    Attributes:
        what: a body of the wheel, or a shaft where nothing is known of what stands there.
        at: its middle, mm.
        work: what to do.
        note: what to know; empty where all is plain.
        bored_mm: diameter of the hole to drill there; 0 for none.
        for_screws: whether it is told in the table alone, without dimensions: a hole for a screw
            or a bolt that holds what stands there, or a foot underneath.
    """

    what: str
    at: Point
    work: str
    note: str = ""
    bored_mm: float = 0.0
    for_screws: bool = False

    def __post_init__(self) -> None:
        """Keep the lengths of its words as they are, and tell them rounded."""
        vars(self).update(work=Told(self.work), note=Told(self.note))


def floor_part(design: Design) -> Part:
    """Return the board that everything stands on, with holes, and places pricked out.

    Without case and stand it is only a plan of where the shafts stand.
    """
    base = base_of(design)
    return _shafts_only(design) if base is None else _base_part(design, base)


def _base_part(design: Design, base: BuiltBody) -> Part:
    plain = board_part(design, base)
    shape = base.shape
    assert isinstance(shape, BoardShape)
    left, front, *_ = shape.flat_box
    outside = polygon_outline([(x - left, y - front) for x, y in shape.outline])
    home = Place((-left, -front))
    drills = [Circle(at, r).moved(home) for at, r in shape.holes]
    drills += [c.moved(home) for one in screw_holes(design, base) for c in one.circles]
    stands = standing_on(design, base)
    places = [rectangle((*a, *b)) for a, b in (footprint(base, body) for body in stands)]
    rounds = [Circle(seat.at, 0.5 * seat.across_mm) for seat in seats(design)]
    lines: list[Segment] = [line for place in places for line in place.segments]
    lines += [half for ring in rounds for half in _ring(ring)]
    size = outside.box[2:]
    labels = [_beside(b.name, p.box, size) for b, p in zip(stands, places, strict=True)]
    return replace(
        plain, outside=outside, holes=tuple(cut for _, cut in slots(design, base)),
        drills=tuple(drills), marks=tuple(ring.centre for ring in rounds), engraved=tuple(lines),
        labels=tuple(labels), role="floor", notes=(), sides=sides_of(shape),
    )  # fmt: skip


def _ring(ring: Circle) -> tuple[Arc, Arc]:
    """Return a circle as two half circles, as what is engraved is drawn."""
    (x, y), r = ring.centre, ring.radius_mm
    left, right = (x - r, y), (x + r, y)
    return (arc_between(ring.centre, left, right, counter_clockwise=True),
            arc_between(ring.centre, right, left, counter_clockwise=True))  # fmt: skip


def slots(design: Design, base: BuiltBody) -> tuple[tuple[str, Loop], ...]:
    """Return the slots in which the bolts of slides run, with the name of the board they hold.

    Each is as long as the travel of its shaft, told from the base's left and front edge, mm.
    """
    shape = base.shape
    assert isinstance(shape, BoardShape)
    left, front, *_ = shape.flat_box
    found = bolt_cuts(design, base, standing_on(design, base))
    return tuple((name, cut.moved(Place((-left, -front)))) for name, cut in found)


def _beside(name: str, box: Box, size: Point) -> Label:
    """Return a name above a place, or below it near the back edge, within the board."""
    x1, y1, x2, y2 = box
    half = 0.5 * text_width_mm(name, 4.0) + 3.0
    x = min(max(0.5 * (x1 + x2), half), max(size[0] - half, half))
    return Label(name, (x, y2 + 5.0 if y2 + 9.0 < size[1] else y1 - 5.0), 4.0)


def plan_rows(design: Design) -> tuple[PlanRow, ...]:
    """Return what is done where on the board that everything stands on."""
    base = base_of(design)
    if base is None:
        floor = floor_of(design)
        return tuple(row for foot in footings(design, floor) for row in _foot_rows(foot))
    shape = base.shape
    assert isinstance(shape, BoardShape)
    left, front, *_ = shape.flat_box
    bushes = sorted(n for n in base.fits_in if n.startswith("bearing "))
    rows = [
        PlanRow(f"hole {i}", (x - left, y - front), "drill", _hole_note(bushes, i), 2.0 * r)
        for i, ((x, y), r) in enumerate(shape.holes, start=1)
    ]
    for name, cut in slots(design, base):
        a, b, c, d = cut.box
        middle, long = (0.5 * (a + c), 0.5 * (b + d)), cut.length_mm
        if isinstance(cut, Circle):
            rows.append(PlanRow(f"hole of {name}", middle, "drill", bored_mm=2.0 * cut.radius_mm))
            continue
        arc = next(s for s in cut.segments if isinstance(s, Arc))
        wide = 2.0 * arc.radius_mm
        ends = 0.5 * (long - math.pi * wide)  # two straight sides and two half circles
        way = "left to right" if c - a > d - b else "front to back"
        if min(c - a, d - b) > wide + 1e-6:  # a slant is told by how far each end is off its middle
            way = _slant(cut)
        slot_mm = f"{full(wide)} mm wide, {full(ends, 1)} mm from centre to centre"
        work = f"slot {slot_mm} of its ends, {way}"
        what = "bolts" if name.startswith("slide ") else "screws, from below"
        rows.append(PlanRow(f"slot of {name}", middle, work, f"for its {what}"))
    for body in standing_on(design, base):
        (x1, y1), (x2, y2) = footprint(base, body)
        work = f"stand it here, {full(x2 - x1)} x {full(y2 - y1)} mm"
        rows.append(PlanRow(body.name, (0.5 * (x1 + x2), 0.5 * (y1 + y2)), work))
    for held in screw_holes(design, base):
        rows += _screw_rows(held, (left, front))
    for seat in seats(design):
        work = f"recess {seat.across_mm:g} mm, {SEAT_MM:g} mm deep"
        note = "for the brass disc that the rod stands on: let it flush in before its board goes on"
        rows.append(PlanRow(f"seat of rod {seat.rod}", seat.at, work, note))
    return (*rows, *_foot_places(design, base, (left, front)))


def _foot_places(design: Design, base: BuiltBody, corner: Point) -> Iterator[PlanRow]:
    """Yield the feet glued under a case; those of a stand are boards with drawings of their own."""
    for body in bodies(build(design)):
        shape, on = body.shape, base.shape
        if body.kind == "foot" and isinstance(shape, TurnedShape) and isinstance(on, BoardShape):
            x, y = on.flat_place(shape.origin)
            at = x - corner[0], y - corner[1]
            across = 2.0 * max(r for _, r in shape.outline)
            high = max(z for z, _ in shape.outline) - min(z for z, _ in shape.outline)
            yield PlanRow(
                body.name, at, f"foot {across:g} mm across, {high:g} mm high", "glue it underneath",
                for_screws=True,
            )


def _slant(cut: Outline) -> str:
    """Return how a slot that runs askew lies: from the middle of one end to that of the other."""
    first, last = sorted(s.centre for s in cut.segments if isinstance(s, Arc))
    up = last[1] - first[1]
    across, which = last[0] - first[0], "back" if up > 0.0 else "forward"
    right, aside = full(across, 1), full(abs(up), 1)
    return f"its right end {right} mm further right and {aside} mm further {which}"


def _screw_rows(held: ScrewHoles, corner: Point) -> Iterator[PlanRow]:
    """Yield the holes for what holds a board: in one row where they stand evenly, else each."""
    what = f"{'bolts' if held.bolts else 'screws'} of {held.holds}"
    at = sorted((x - corner[0], y - corner[1]) for x, y in held.at)
    over = "from above" if held.holds.startswith("leg ") else "from below"
    sunk = "" if held.bolts else f"sunk {over}"
    dx, dy = at[-1][0] - at[0][0], at[-1][1] - at[0][1]
    last = len(at) - 1
    even = last > 0 and min(abs(dx), abs(dy)) < 1e-6 and all(
        math.dist(p, (at[0][0] + i * dx / last, at[0][1] + i * dy / last)) < 1e-6
        for i, p in enumerate(at)
    )
    if not even:
        for p in at:
            yield PlanRow(what, p, "drill", sunk, held.across_mm, for_screws=True)
        return
    way = "to the right" if dx > dy else "to the back"
    apart = f"the first of {len(at)}, each {full(max(dx, dy) / last)} mm further {way}"
    note = f"{apart}; {sunk}" if sunk else apart
    yield PlanRow(what, at[0], "drill", note, held.across_mm, for_screws=True)


RAISED = ("bridge", "support", "slide", "maiden", "mother-of-all", "bed")
"""Kinds of board that may stand higher than the base."""


def raised_places(design: Design) -> tuple[tuple[str, Point, float], ...]:
    """Return the boards that stand on no base: their names, where their middles are, how high.

    Places are from the base's left and front edge, heights from its upper side to their lowest
    edge, mm.
    """
    base = base_of(design)
    if base is None:
        return ()
    shape, stands, found = base.shape, standing_on(design, base), []
    assert isinstance(shape, BoardShape)
    top = shape.point(0.0, 0.0, shape.high)[2]
    for body in boards(design):
        if body.kind not in RAISED or body in stands:
            continue
        (x1, y1), (x2, y2) = footprint(base, body)
        other = body.shape
        assert isinstance(other, BoardShape)
        lowest = min(other.point(*p, z)[2] for p in other.outline for z in (other.low, other.high))
        found.append((body.name, (0.5 * (x1 + x2), 0.5 * (y1 + y2)), lowest - top))
    return tuple(found)


def _hole_note(bushes: Sequence[str], number: int) -> str:
    return f"for {bushes[number - 1]}" if number <= len(bushes) else "for the rod"


def _foot_rows(foot: Footing) -> Iterator[PlanRow]:
    if foot.supports:
        for i, at in enumerate(foot.supports):
            yield PlanRow(foot.shafts, at, "support", foot.note if i == 0 else "")
    elif isinstance(foot.cut, Circle):
        yield PlanRow(foot.shafts, foot.at, "drill", foot.note, 2.0 * foot.cut.radius_mm)
    else:
        yield PlanRow(foot.shafts, foot.at, foot.size, foot.note)


def _shafts_only(design: Design) -> Part:
    """Return the plan of where shafts stand on a floor that is the builder's own."""
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
    """Return the plan: the board, dimensions from two edges, a table and notes."""
    part = floor_part(design)
    x1, y1, x2, y2 = part.box if part.outside is None else part.outside.box
    rows = plan_rows(design)
    # screws are told in the table alone: their dimensions would hide the others
    told = [r.at for r in rows if not r.for_screws]
    points = sorted({at for at in told if x1 < at[0] < x2 and y1 < at[1] < y2})
    below = -_STEP_MM * (len(points) + 2) - 6.0
    square_top = below - 2.2 * 4.0 * (len(rows) + 1) - 10.0
    size = f"{x2 - x1:.6g} x {y2 - y1:.6g} mm"
    notes = [
        f"Plan of where the shafts stand, {size}, seen from above."
        if part.thickness_mm is None
        else f"Plan of the {part.name}, {size}, {part.thickness_mm:.6g} mm thick, seen from above.",
        "Left and front edge: zero. All sizes in millimetres.",
        *part.notes,
    ]
    items = [
        *part_items(part),
        *_dimensions(points, (x2 - x1, y2 - y1)),
        *table(HEADER, [_cells(row) for row in rows], (0.0, below)),
        *reference_square((0.0, square_top)),
        *text_block(notes, (110.0, square_top)),
    ]
    return CutSheet(part.name, tuple(items))


def _cells(row: PlanRow) -> tuple[str, ...]:
    work = f"{row.work} {row.bored_mm:.4g} mm" if row.bored_mm else row.work
    return (row.what, f"{row.at[0]:.2f}", f"{row.at[1]:.2f}", work, row.note)


def _dimensions(points: list[Point], size: Point) -> list[Item]:
    """Return the dimensions of all points from the left and the front edge, and the board's own."""
    items: list[Item] = []
    length, depth = size
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
