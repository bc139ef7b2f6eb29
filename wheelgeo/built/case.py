"""The case and what holds its shafts: floor, notched walls, lid, feet, blocks, bridges, supports.

The walls stand on the floor, see ``wheelgeo.built.wall``. All sizes are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice, pairwise
from typing import TYPE_CHECKING

from wheelgeo.built.assumed import Assumption
from wheelgeo.built.body import (
    BuiltBody,
    board,
    frame_along,
    plate,
    rectangle,
    rod_outside,
    split,
    turned,
)
from wheelgeo.built.held import USUAL_LID_MM, USUAL_WALL_MM, all_of_sheet, sheet_mm, standing
from wheelgeo.built.shaft import BuiltBearing, BuiltShaft
from wheelgeo.built.wall import PLYWOOD, SIDES, wall_body, wall_mm
from wheelgeo.design.materials import PRACTICE
from wheelgeo.design.model import Case, Design, Shaft
from wheelgeo.geometry.convex import Cylinder
from wheelgeo.geometry.near import Box as Extent
from wheelgeo.geometry.near import box_of
from wheelgeo.geometry.vectors import Vector, along
from wheelgeo.immutable import dataclass

if TYPE_CHECKING:
    from wheelgeo.built.as_built import Built

HARDWOOD = "beech"
BASE_MM = 6.0
"""Thickness of the board on which the supports of a sliding shaft stand."""
BOLT_HOLE_MM = 5.5
"""Hole, and width of the slot, for the bolts of 5 mm that hold a slide."""
BOLT_ROOM_MM = 6.0
"""From the middle of such a bolt to a support beside it: half a washer."""
BLOCK_HALF_MM = 12.0
"""Least half width of a block and of a bridge."""
BRACKET_MM = 45.0
"""A shaft nearer to a wall than this may be held by a bracket where no bridge lies clear."""
MOST_CHOICES = 500
"""So many ways to lay all bridges are compared."""
FOOT_MM = 5.0



def holder_wood(design: Design) -> str:
    """Return what blocks, bridges and supports are made of: sheet where all the wheel is."""
    return PLYWOOD if all_of_sheet(design) else HARDWOOD


def lid_mm(case: Case) -> float:
    """Return the thickness of a case's lid: the file's or the usual one, mm."""
    return USUAL_LID_MM if case.lid_mm is None else case.lid_mm


def assumed_of_case(case: Case) -> tuple[Assumption, ...]:
    """Return what is taken of a case where the file is silent."""
    found = []
    if case.wall_mm is None:
        found.append(Assumption("walls of the case", f"{USUAL_WALL_MM:g} mm thick", PRACTICE))
    if case.lid_mm is None:
        found.append(Assumption("lid of the case", f"{USUAL_LID_MM:g} mm thick", PRACTICE))
    return tuple(found)


def case_bodies(built: Built) -> Iterator[BuiltBody]:
    """Yield floor, walls, open lid and feet, and what holds each shaft of a wheel with a case."""
    holders = list(_holders(built))
    case = built.design.case
    assert case is not None
    yield from _box_of_case(built, case)
    yield from holders


def _box_of_case(built: Built, case: Case) -> Iterator[BuiltBody]:
    (x, y, z), (length, depth, _) = case.corner_mm, case.inside_mm
    wall, thick = wall_mm(case), built.design.shop.floor_mm
    walls = tuple(f"wall {side}" for side in SIDES)
    feet = tuple(f"foot {n}" for n in range(1, 5))
    holes, stands = [], []
    for made in built.shafts.values():
        if standing(made.shaft) != "upright" or made.shaft.runs_on is not None:
            continue
        low = min(along(made.shaft.at_mm, made.shaft.axis, end)[2] for end in made.ends_mm)
        stands.append(f"rod {made.name}")
        stands += [name for n, b in enumerate(made.held_at, 1)
                   if abs(_heights(made.shaft, b)[0] - z) < 1e-6
                   for name in made.standing_in(n)]  # fmt: skip
        sunk = [b for b in made.held_at if _heights(made.shaft, b)[1] < z + 1e-6]
        at = made.shaft.at_mm[0], made.shaft.at_mm[1]
        if sunk:
            holes.append((at, 0.5 * sunk[0].outside_mm))
            stands += made.standing_in(1 + made.held_at.index(sunk[0]))
        elif low < z - 1e-6:
            holes.append((at, 0.5 * made.diameter_mm + 0.1))
    yield plate(
        "floor", "floor", (x - wall, y - wall, z - thick),
        (x + length + wall, y + depth + wall, z), 2, PLYWOOD, holes=tuple(holes),
        fits_in=(*walls, *feet, *stands),
    )  # fmt: skip
    for index, side in enumerate(SIDES):
        yield wall_body(built, case, side, walls[:index] + walls[index + 1 :])
    yield lid_of(case, packed=False)
    inset = 12.0
    places = [(a, b) for b in (y - wall + inset, y + depth + wall - inset)
              for a in (x - wall + inset, x + length + wall - inset)]  # fmt: skip
    for name, (a, b) in zip(feet, places, strict=True):
        yield turned(
            name, "foot", (a, b, z - thick - FOOT_MM), (0.0, 0.0, 1.0),
            rod_outside(0.0, FOOT_MM, 8.0), "rubber", fits_in=("floor",),
        )  # fmt: skip


def lid_of(case: Case, *, packed: bool) -> BuiltBody:
    """Return the lid, closed, or open: upright on its hinge at the side opposite the spinner."""
    walls = [f"wall {side}" for side in SIDES]
    (x, y, z), (length, depth, height) = case.corner_mm, case.inside_mm
    wall, lid = wall_mm(case), lid_mm(case)
    low, high = [x - wall, y - wall, z + height], [x + length + wall, y + depth + wall, z + height]
    thin = 2
    if packed:
        high[2] += lid
    else:
        thin = 1 if case.spinner in ("front", "back") else 0
        reach = high[thin] - low[thin]
        if case.spinner in ("front", "left"):
            low[thin], high[thin] = high[thin], high[thin] + lid
        else:
            low[thin], high[thin] = low[thin] - lid, low[thin]
        high[2] += reach
    corner, other = (low[0], low[1], low[2]), (high[0], high[1], high[2])
    return plate("lid", "lid", corner, other, thin, PLYWOOD, fits_in=walls)


# --- what holds the shafts ------------------------------------------------------------------


def _heights(shaft: Shaft, bearing: BuiltBearing) -> tuple[float, float]:
    """Return the lower and the upper end of an upright shaft's bearing, z in mm."""
    middle, half = along(shaft.at_mm, shaft.axis, bearing.at_mm)[2], 0.5 * bearing.length_mm
    return middle - half, middle + half


def _holders(built: Built) -> Iterator[BuiltBody]:
    bridges = _bridges(built)
    for made in built.shafts.values():
        if not _is_held(built, made):
            continue
        way = standing(made.shaft)
        if way == "upright":
            yield from _upright(built, made, bridges)
        elif way == "level":
            yield from _level(built, made)


def _is_held(built: Built, made: BuiltShaft) -> bool:
    """Tell whether wood holds a shaft: not a sleeve, nor a bare rod that is not the spindle."""
    used = bool(made.carries or made.shaft.bearings) or made is built.spindle
    return used and made.shaft.runs_on is None


@dataclass(frozen=True)
class _Bridge:
    """Where a bridge may lie: its corners, the walls that it is fixed to, and what it sweeps.

    ``awkward`` is 1 where it is held at one end only, and 10 where walls stop it at both ends of
    its shaft's travel.
    """

    low: Vector
    high: Vector
    walls: tuple[str, ...]
    swept: Extent
    awkward: int


def _upright(
    built: Built, made: BuiltShaft, chosen: Mapping[tuple[str, int], _Bridge]
) -> Iterator[BuiltBody]:
    """Yield the block on the floor and the bridges of an upright shaft."""
    case, shaft = built.design.case, made.shaft
    assert case is not None
    floor, name, bridges = case.corner_mm[2], made.name, 0
    x, y, wood = shaft.at_mm[0], shaft.at_mm[1], holder_wood(built.design)
    for number, bearing, on_floor in _held(made, floor):
        high = floor + sheet_mm(built.design, _heights(shaft, bearing)[1] - floor)
        fits, hole = made.standing_in(number), ((x, y), 0.5 * bearing.outside_mm)
        if on_floor:
            half = _half_mm(bearing)
            corner = (x - half, y - half, floor)
            yield plate(
                f"block {name}", "block", corner, (x + half, y + half, high), 2, wood,
                holes=(hole,), part=name, fits_in=(*fits, "floor"), key="bearings",
            )  # fmt: skip
            continue
        bridges += 1
        label = f"bridge {name}" if bridges == 1 else f"bridge {name} {bridges}"
        bridge = chosen[name, number]
        yield plate(
            label, "bridge", bridge.low, bridge.high, 2, wood, holes=(hole,), part=name,
            fits_in=(*fits, *bridge.walls), key="bearings",
        )  # fmt: skip


def _held(made: BuiltShaft, floor: float) -> Iterator[tuple[int, BuiltBearing, bool]]:
    """Yield number, bearing, and whether a block holds it: those of an upright shaft in wood."""
    order = sorted(enumerate(made.held_at, 1), key=lambda b: _heights(made.shaft, b[1]))
    for place, (number, bearing) in enumerate(order):
        low, high = _heights(made.shaft, bearing)
        if high > floor + 1e-6:
            yield number, bearing, place == 0 and low - floor < 25.0


def _half_mm(bearing: BuiltBearing) -> float:
    return max(BLOCK_HALF_MM, 0.5 * bearing.outside_mm + 6.0)


def _bridges(built: Built) -> dict[tuple[str, int], _Bridge]:
    """Return where every bridge lies, by its shaft and the number of its bearing.

    As few as can be are held at one end only, and none lies in another's way where that can be.
    """
    case = built.design.case
    assert case is not None
    wanted = {
        (made.name, number): _ways_across(built, case, made, bearing)
        for made in built.shafts.values()
        if standing(made.shaft) == "upright" and _is_held(built, made)
        for number, bearing, on_floor in _held(made, case.corner_mm[2])
        if not on_floor
    }  # fmt: skip
    each = tuple(wanted.values())
    whole = islice(_apart(each, ()), MOST_CHOICES)
    best = min(
        whole, key=lambda chosen: sum(bridge.awkward for bridge in chosen),
        default=tuple(ways[0] for ways in each),
    )  # fmt: skip
    return dict(zip(wanted, best, strict=True))


def _apart(
    options: Sequence[Sequence[_Bridge]], taken: tuple[_Bridge, ...]
) -> Iterator[tuple[_Bridge, ...]]:
    """Yield choices of one bridge each, none in another's way, in the order of preference."""
    if not options:
        yield taken
        return
    for bridge in options[0]:
        if not any(_meet(bridge.swept, other.swept) for other in taken):
            yield from _apart(options[1:], (*taken, bridge))


def _ways_across(
    built: Built, case: Case, made: BuiltShaft, bearing: BuiltBearing
) -> tuple[_Bridge, ...]:
    """Return how a bridge may lie, the best first, clear of other shafts and what they carry.

    Right across, square to the shaft's travel or the shorter way; else a bracket from a near wall;
    the first of all where none is clear.
    """
    (x, y, _), half, heights = made.shaft.at_mm, _half_mm(bearing), _heights(made.shaft, bearing)
    (cx, cy, _), (length, depth, _) = case.corner_mm, case.inside_mm
    left, right, front, back = (cx, cx + length, cy, cy + depth)
    brackets = [
        (y - front, "y", ((x - half, front, x + half, y + half), ("wall front",))),
        (back - y, "y", ((x - half, y - half, x + half, back), ("wall back",))),
        (x - left, "x", ((left, y - half, x + half, y + half), ("wall left",))),
        (right - x, "x", ((x - half, y - half, right, y + half), ("wall right",))),
    ]
    over_y = ((x - half, front, x + half, back), ("wall front", "wall back"))
    over_x = ((left, y - half, right, y + half), ("wall left", "wall right"))
    slide, ways, travel = made.shaft.slide, "xy", (0.0, 0.0, 0.0, 0.0)
    if slide is not None:
        if abs(slide.along[0]) != abs(slide.along[1]):
            ways = "y" if abs(slide.along[0]) > abs(slide.along[1]) else "x"
        moves = [slide.from_mm, slide.to_mm]
        dx, dy = ([slide.along[i] * m for m in moves] for i in (0, 1))
        travel = (min(0.0, *dx), min(0.0, *dy), max(0.0, *dx), max(0.0, *dy))
    near = [c for d, way, c in sorted(brackets) if d <= BRACKET_MM and way in ways]
    whole = sorted(
        [("y", depth, over_y), ("x", length, over_x)], key=lambda c: (c[0] not in ways, c[1])
    )
    square = [c for way, _, c in whole if way in ways]
    found = []
    for (x0, y0, x1, y1), walls in (*square, *near, *(c for _, _, c in whole if c not in square)):
        swept = ((x0 + travel[0], y0 + travel[1], heights[0]),
                 (x1 + travel[2], y1 + travel[3], heights[1]))  # fmt: skip
        jammed = 10 * (len(walls) == 2 and ((x0, y0, x1, y1), walls) not in square)
        awkward = jammed + (len(walls) == 1)
        found.append(_Bridge((x0, y0, heights[0]), (x1, y1, heights[1]), walls, swept, awkward))
    others = _extents_of_others(built, made)
    clear = [b for b in found if not any(_meet(b.swept, other) for other in others)]
    return tuple(clear or found[:1])


def _meet(a: Extent, b: Extent) -> bool:
    return all(a[0][i] < b[1][i] + 1.0 and b[0][i] < a[1][i] + 1.0 for i in range(3))


def _extents_of_others(built: Built, made: BuiltShaft) -> list[Extent]:
    """Return the boxes round the rods and pulleys of the other shafts, and round the crank."""
    found = []
    for other in built.shafts.values():
        if other is made:
            continue
        shaft = other.shaft
        stretches = [(*other.ends_mm, 0.5 * other.diameter_mm)]
        stretches += [(*p.faces_mm, 0.5 * p.rim_mm) for p in other.carries]
        for low, high, radius in stretches:
            middle = along(shaft.at_mm, shaft.axis, 0.5 * (low + high))
            found.append(box_of(Cylinder(middle, shaft.axis, radius, 0.5 * (high - low))))
    drive = built.design.drive
    if drive.by == "crank" and drive.radius_mm is not None and drive.offset_mm is not None:
        shaft = built.design.shaft(drive.shaft)
        middle = along(shaft.at_mm, shaft.axis, drive.offset_mm)
        found.append(box_of(Cylinder(middle, shaft.axis, drive.radius_mm + 8.0, 4.0)))
    return found


def _level(built: Built, made: BuiltShaft) -> Iterator[BuiltBody]:
    """Yield the supports of a level shaft, and the board on which they slide together."""
    case, shaft, name = built.design.case, made.shaft, made.name
    assert case is not None
    side, up = frame_along(shaft.axis)
    floor = case.corner_mm[2] - shaft.at_mm[2]
    slides = shaft.slide is not None
    low = floor + (BASE_MM if slides else 0.0)
    base = f"slide {name}"
    supports = []
    half = 0.0
    for number, bearing in enumerate(made.held_at, 1):
        bush = 0.5 * bearing.outside_mm
        half = max(bush + 5.0, 8.0)
        label = f"support {name} {number}"
        supports.append(label)
        long = 0.5 * bearing.length_mm
        bottom = min(low, -bush - 2.0)
        holder = board(
            label, "support", along(shaft.at_mm, shaft.axis, bearing.at_mm), side, up,
            rectangle(-half, bottom, half, bush + 4.0), -long, long, holder_wood(built.design),
            holes=(((0.0, 0.0), bush),), part=name, key="bearings",
            fits_in=(*made.standing_in(number), base if slides else "floor"),
        )  # fmt: skip
        yield from split(holder, number) if bearing.split else (holder,)
    if slides and supports:
        ends = [b.at_mm + sign * (0.5 * b.length_mm + 2.0) for b in made.held_at
                for sign in (-1.0, 1.0)]  # fmt: skip
        bolts = tuple(((at, 0.0), 0.5 * BOLT_HOLE_MM) for at in slide_bolts_mm(made))
        yield board(
            base, "slide", shaft.at_mm, shaft.axis, side,
            rectangle(min(ends), -half, max(ends), half), floor, low, holder_wood(built.design),
            part=name,
            holes=bolts, fits_in=(*supports, "floor"), key="bearings",
        )  # fmt: skip


def slide_bolts_mm(made: BuiltShaft) -> tuple[float, ...]:
    """Return where bolts hold the board under the supports of a sliding shaft, along the shaft, mm.

    Two, as far apart as the outermost supports let them be, or one where there is room for no
    more; none where the supports leave none.
    """
    faces = sorted((b.at_mm - 0.5 * b.length_mm, b.at_mm + 0.5 * b.length_mm)
                   for b in made.held_at)  # fmt: skip
    gaps = [(a[1] + BOLT_ROOM_MM, b[0] - BOLT_ROOM_MM) for a, b in pairwise(faces)]
    room = max(gaps, key=lambda gap: gap[1] - gap[0], default=(0.0, -1.0))
    wide = room[1] - room[0]
    if wide < 0.0:
        return ()
    return room if wide >= 2.0 * BOLT_ROOM_MM else (0.5 * (room[0] + room[1]),)
