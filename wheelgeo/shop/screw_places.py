"""Where the screws and bolts that hold one board on another go through the first of them.

They stand in a row along the middle of what the second board touches, evenly; those of a block in
two opposite corners, half way from corner to bush; those of a single arm at its sides. Where a
hole, a slot, a foot or another screw is in the way, one moves along its row. All of this is common
practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Sequence

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BoardShape, BuiltBody, TurnedShape
from wheelgeo.design.model import Design
from wheelgeo.geometry.vectors import dot, sub
from wheelgeo.immutable import dataclass
from wheelgeo.shop.bolt_cuts import SCREW_IN_MM, bolt_cuts, in_slots
from wheelgeo.shop.fastenings import BARREL_IN_MM, post_bolts, screwed
from wheelgeo.shop.outlines import Box, Circle, Point
from wheelgeo.shop.worked_once import kept

BOLT_ROOM_MM = 0.5
"""What the hole of a bolt is wider than the bolt."""
WOOD_MM = 0.5
"""Least wood between the head of a screw and what is beside it."""
LEG_SCREW_MM = 3.0
"""Radius of the long screw that goes up through a trestle foot into its leg."""
EVENLY = (1.0, 0.98, 0.96, 0.94, 0.92, 0.9, 0.85, 0.8)
"""How much closer together a row of screws is set where that clears them all."""
_TOUCH_MM = 0.3
_STEP_MM = 1.0
_HELD = {
    ("table", "leg"), ("floor", "block"), ("floor", "wall"), ("floor", "support"),
    ("floor", "post"), ("table", "post"), ("slide", "support"), ("mother-of-all", "maiden"),
    ("wall", "bridge"), ("trestle foot", "hinge rail"), ("bed", "post"),
}  # fmt: skip
"""Kinds of the board that screws go through first, and of the one that they bite in."""


@dataclass(frozen=True)
class ScrewHoles:
    """The holes in one board for what holds another.

    Attributes:
        board: the board that they go through.
        holds: the other one.
        at: their middles, in the board's own x and y, mm.
        across_mm: their diameter.
        bolts: whether bolts go through them; else wood screws.
    """

    board: str
    holds: str
    at: tuple[Point, ...]
    across_mm: float
    bolts: bool

    @property
    def circles(self) -> tuple[Circle, ...]:
        """The holes, in the board's own x and y."""
        return tuple(Circle(p, 0.5 * self.across_mm) for p in self.at)


def screw_holes(design: Design, base: BuiltBody) -> tuple[ScrewHoles, ...]:
    """Return the holes through a board, square to it, for what holds another on it, or it on one.

    What slides has slots instead, see ``bolt_cuts``. Screws that find no clear place have none.

    Args:
        design: the wheel.
        base: the board, whole.
    """
    return kept(
        design, ("screw holes", base.name), lambda: tuple(_screw_holes(design, base))
    )


def without_place(design: Design) -> tuple[str, ...]:
    """Return the boards whose screws found no clear place through the board beside them.

    Those of caps, hinges and legs are told from an edge, and what slides has slots.
    """
    found = {b.name: b for b in bodies(build(design))}
    placed = {n for b in found.values() if isinstance(b.shape, BoardShape)
              for one in screw_holes(design, b)
              for n in (one.board if b.kind == "bed" else one.holds,)}  # fmt: skip
    return tuple(
        name for name, b in found.items()
        if b.kind in {held for _, held in _HELD} | {"bed"} and name not in placed
        and (screwed(b, found) is not None or post_bolts(b, found) is not None)
        and not in_slots(design, b)
    )


def _screw_holes(design: Design, base: BuiltBody) -> Iterator[ScrewHoles]:
    found = {b.name: b for b in bodies(build(design)) if b.kind != "cap"}
    others = [b for b in found.values() if (base.kind, b.kind) in _HELD and base.may_touch(b)]
    barred = list(_barred(design, base, found.values()))
    # screws come up from below, where legs stand; those of the legs go down from above
    legs = [contact(base, b) for b in others if b.kind == "leg"]
    for other in sorted(others, key=lambda b: b.kind != "leg"):
        held, touched = base if base.kind == "bed" else other, contact(base, other)
        bolts, screws = post_bolts(held, found), screwed(held, found)
        if in_slots(design, other) or touched is None:
            continue
        if bolts is not None:
            count, head, hole = bolts.count, bolts.across_mm, bolts.across_mm + BOLT_ROOM_MM
        elif screws is not None:
            walls = sum(name.startswith("wall ") for name in other.fits_in)
            count = screws.count // walls if other.kind == "bridge" else screws.count
            head = hole = screws.across_mm
        else:
            continue
        beside = [*barred, *(() if other.kind == "leg" else (b for b in legs if b is not None))]
        at = _clear(base, _wanted(base, other, touched, count), touched, head, beside)
        if at:
            barred += [Circle(p, 0.5 * hole).box for p in at]
            yield ScrewHoles(base.name, other.name, at, hole, bolts is not None)


def screw_notes(screws: Sequence[ScrewHoles]) -> Iterator[str]:
    """Yield what the holes of a board for screws are, one sentence for each of their sizes."""
    for across in dict.fromkeys(one.across_mm for one in screws):
        held = " and ".join(one.holds for one in screws if one.across_mm == across)
        yield f"Its holes of {across:g} mm are for the screws of {held}: sink them for the heads."


def contact(base: BuiltBody, other: BuiltBody) -> Box | None:
    """Return the rectangle of a board's face that another stands on; None where none does.

    Args:
        base: the board whose x and y the rectangle is told in, mm.
        other: the board on it.
    """
    shape, there = base.shape, other.shape
    assert isinstance(shape, BoardShape)
    if not isinstance(there, BoardShape):
        return None
    corners = [there.point(x, y, z) for x, y in there.outline for z in (there.low, there.high)]
    x0, y0, x1, y1 = shape.flat_box
    for face in (shape.low, shape.high):
        on = [
            shape.flat_place(c) for c in corners
            if abs(dot(sub(c, shape.origin), shape.z_axis) - face) < _TOUCH_MM
        ]
        if len(on) > 2:
            (u0, u1), (v0, v1) = ((min(side), max(side)) for side in zip(*on, strict=True))
            both = max(x0, u0), max(y0, v0), min(x1, u1), min(y1, v1)
            return both if both[0] < both[2] and both[1] < both[3] else None
    return None


def edge_screws_mm(foot: BuiltBody, found: Iterable[BuiltBody]) -> tuple[float, ...]:
    """Return where the long screws of legs go up through a trestle foot, from its left end, mm."""
    shape, places = foot.shape, []
    assert isinstance(shape, BoardShape)
    left = shape.flat_box[0]
    for leg in found:
        if leg.kind == "leg" and _under(foot, leg):
            places.append(shape.flat_place(leg.shape.origin)[0] - left)
    return tuple(sorted(places))


def _under(foot: BuiltBody, leg: BuiltBody) -> bool:
    """Return whether a leg stands on a trestle foot."""
    shape = foot.shape
    assert isinstance(shape, BoardShape)
    aside = dot(sub(leg.shape.origin, shape.origin), shape.z_axis)
    return foot.may_touch(leg) and shape.low <= aside <= shape.high


def _barred(design: Design, base: BuiltBody, found: Collection[BuiltBody]) -> Iterator[Box]:
    """Yield the boxes round what no screw may come near: holes, slots, feet, a leg's long screw."""
    shape = base.shape
    assert isinstance(shape, BoardShape)
    yield from (Circle(centre, radius).box for centre, radius in shape.holes)
    resting = [b for b in found if base.name in b.fits_in]
    yield from (cut.box for _, cut in bolt_cuts(design, base, resting))
    x0, y0, _, y1 = shape.flat_box
    for at in edge_screws_mm(base, found) if base.kind == "trestle foot" else ():
        yield x0 + at - LEG_SCREW_MM, y0, x0 + at + LEG_SCREW_MM, y1
    for body in found:
        if base.kind == "floor" and body.kind == "foot" and isinstance(body.shape, TurnedShape):
            middle = shape.flat_place(body.shape.origin)
            yield Circle(middle, max(r for _, r in body.shape.outline)).box


def _wanted(base: BuiltBody, other: BuiltBody, touched: Box, count: int) -> tuple[Point, ...]:
    """Return where screws would stand if nothing were in the way, in the base's x and y, mm."""
    x0, y0, x1, y1 = touched
    x, y, wide, tall = 0.5 * (x0 + x1), 0.5 * (y0 + y1), x1 - x0, y1 - y0
    shape = other.shape
    assert isinstance(base.shape, BoardShape)
    assert isinstance(shape, BoardShape)
    if other.kind == "block":
        bush = max((r for _, r in shape.holes), default=0.0)
        off = 0.5 * (0.5 * math.hypot(wide, tall) + bush) / math.hypot(wide, tall)
        return (x - off * wide, y - off * tall), (x + off * wide, y + off * tall)
    level = wide > tall + _TOUCH_MM
    if abs(wide - tall) <= _TOUCH_MM:  # as thick as it is wide: across its own width
        level = abs(dot(shape.x_axis, base.shape.x_axis)) > 0.5
    long = wide if level else tall
    shares = [(2 * i + 1) / (2 * count) - 0.5 for i in range(count)]
    alone = other.kind == "bridge" and sum(n.startswith("wall ") for n in other.fits_in) == 1
    if other.kind == "post" and base.kind != "bed" and long > 2.0 * BARREL_IN_MM:
        shares = [-0.5 + BARREL_IN_MM / long, 0.5 - BARREL_IN_MM / long]
    elif alone and long > 2.0 * SCREW_IN_MM:
        shares = [-0.5 + SCREW_IN_MM / long, 0.5 - SCREW_IN_MM / long]
    return tuple((x + s * long, y) if level else (x, y + s * long) for s in shares)


def _clear(
    base: BuiltBody, wanted: Sequence[Point], touched: Box, head: float, barred: Sequence[Box]
) -> tuple[Point, ...]:
    """Return the places that are wanted, or as near to each on its row as nothing is in the way.

    Args:
        base: the board.
        wanted: where they would stand.
        touched: the rectangle that the second board covers.
        head: radius of a head, mm; from the edge of the wood it stays as far.
        barred: boxes round what is in the way.

    Returns:
        All of them, or none where one finds no place.
    """
    assert isinstance(base.shape, BoardShape)
    edge = base.shape.flat_box
    level = len(wanted) < 2 or abs(wanted[1][0] - wanted[0][0]) > abs(wanted[1][1] - wanted[0][1])
    most = 0.4 * math.dist(wanted[0], wanted[1]) if len(wanted) > 1 else 0.25 * (
        touched[2] - touched[0]
    )
    moves = [0.0]
    for n in range(1, int(most / _STEP_MM) + 1):
        moves += [n * _STEP_MM, -n * _STEP_MM]

    def free(p: Point) -> bool:
        within = all(edge[i] + head < p[i] < edge[i + 2] - head for i in (0, 1))
        return within and all(box_away_mm(p, box) >= head + WOOD_MM for box in barred)

    # first the whole row evenly closer together, so that one step to the next is one measure
    u, v = (0.5 * (wanted[0][i] + wanted[-1][i]) for i in (0, 1))
    for share in EVENLY if len(wanted) > 2 else ():
        row = [(u + share * (x - u), v + share * (y - v)) for x, y in wanted]
        if all(free(p) for p in row):
            return tuple(row)
    found = []
    for x, y in wanted:
        tried = ((x + m, y) if level else (x, y + m) for m in moves)
        place = next((p for p in tried if free(p)), None)
        if place is None:
            return ()
        found.append(place)
    return tuple(found)


def box_away_mm(p: Point, box: Box) -> float:
    """Return how far a place is from a box, mm; 0 within it."""
    x0, y0, x1, y1 = box
    return math.hypot(max(x0 - p[0], p[0] - x1, 0.0), max(y0 - p[1], p[1] - y1, 0.0))
