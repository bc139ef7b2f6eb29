"""The case and what holds its shafts: floor, notched walls, lid, feet, blocks, bridges, supports.

The walls stand on the floor, see ``wheelgeo.built.wall``. All sizes are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING

from wheelgeo.built.assumed import Assumption
from wheelgeo.built.body import (
    BuiltBody,
    Point,
    board,
    frame_along,
    plate,
    rectangle,
    rod_outside,
    split,
    turned,
)
from wheelgeo.built.bridges import Bridge, bridges_of, half_mm, heights_mm, held_in_wood, is_held
from wheelgeo.built.held import USUAL_LID_MM, USUAL_WALL_MM, all_of_sheet, sheet_mm, standing
from wheelgeo.built.kept import KeptOf, kept_with
from wheelgeo.built.shaft import BuiltShaft
from wheelgeo.built.wall import PLYWOOD, SIDES, wall_body, wall_mm
from wheelgeo.design.materials import PRACTICE
from wheelgeo.design.model import Case, Design, Shop
from wheelgeo.geometry.vectors import along

if TYPE_CHECKING:
    from wheelgeo.built.as_built import Built

HARDWOOD = "beech"
BASE_MM = 6.0
"""Thickness of the board on which the supports of a sliding shaft stand."""
BOLT_HOLE_MM = 5.5
"""Hole, and width of the slot, for the bolts of 5 mm that hold a slide."""
BOLT_ROOM_MM = 6.0
"""From the middle of such a bolt to a support beside it: half a washer."""
FOOT_MM = 5.0
FEET = tuple(f"foot {n}" for n in range(1, 5))
RoundHole = tuple[Point, float]
"""Centre and radius, mm."""
_LIDS: KeptOf[BuiltBody] = KeptOf(64)
_BOXES: KeptOf[tuple[BuiltBody, ...]] = KeptOf(64)
_UPRIGHT: KeptOf[tuple[BuiltBody, ...]] = KeptOf(256)

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
    cut = [made.as_cut for made in built.shafts.values()]
    yield from _BOXES.get((case, built.design.shop, *cut), lambda: tuple(_box_of_case(built, case)))
    yield from holders


def _box_of_case(built: Built, case: Case) -> Iterator[BuiltBody]:
    walls = tuple(f"wall {side}" for side in SIDES)
    z, shop = case.corner_mm[2], built.design.shop
    sunk = [kept_with(made.as_cut, ("in the floor", z), partial(_in_the_floor, made, z))
            for made in built.shafts.values()]  # fmt: skip
    holes = tuple([hole for its, _ in sunk for hole in its])
    stands = tuple([name for _, its in sunk for name in its])
    yield _floor(case, shop, holes, stands)
    for index, side in enumerate(SIDES):
        yield wall_body(built, case, side, walls[:index] + walls[index + 1 :])
    yield lid_of(case, packed=False)
    yield from _feet(case, shop)


def _in_the_floor(made: BuiltShaft, z: float) -> tuple[tuple[RoundHole, ...], tuple[str, ...]]:
    """Return the hole that a shaft needs in the floor, if any, and what of it touches the floor.

    Args:
        made: the shaft.
        z: height of the floor, mm.
    """
    if standing(made.shaft) != "upright" or made.shaft.runs_on is not None:
        return (), ()
    low = min(along(made.shaft.at_mm, made.shaft.axis, end)[2] for end in made.ends_mm)
    stands = [f"rod {made.name}"]
    stands += [name for n, b in enumerate(made.held_at, 1)
               if abs(heights_mm(made.shaft, b)[0] - z) < 1e-6
               for name in made.standing_in(n)]  # fmt: skip
    sunk = [b for b in made.held_at if heights_mm(made.shaft, b)[1] < z + 1e-6]
    at = made.shaft.at_mm[0], made.shaft.at_mm[1]
    if sunk:
        stands += made.standing_in(1 + made.held_at.index(sunk[0]))
        return ((at, 0.5 * sunk[0].outside_mm),), tuple(stands)
    if low < z - 1e-6:
        return ((at, 0.5 * made.diameter_mm + 0.1),), tuple(stands)
    return (), tuple(stands)


def _floor(
    case: Case, shop: Shop, holes: tuple[RoundHole, ...], stands: tuple[str, ...]
) -> BuiltBody:
    (x, y, z), (length, depth, _), wall = case.corner_mm, case.inside_mm, wall_mm(case)
    return plate(
        "floor", "floor", (x - wall, y - wall, z - shop.floor_mm),
        (x + length + wall, y + depth + wall, z), 2, PLYWOOD, holes=holes,
        fits_in=(*(f"wall {side}" for side in SIDES), *FEET, *stands),
    )  # fmt: skip


def _feet(case: Case, shop: Shop) -> Iterator[BuiltBody]:
    (x, y, z), (length, depth, _), wall = case.corner_mm, case.inside_mm, wall_mm(case)
    inset = 12.0
    places = [(a, b) for b in (y - wall + inset, y + depth + wall - inset)
              for a in (x - wall + inset, x + length + wall - inset)]  # fmt: skip
    for name, (a, b) in zip(FEET, places, strict=True):
        yield turned(
            name, "foot", (a, b, z - shop.floor_mm - FOOT_MM), (0.0, 0.0, 1.0),
            rod_outside(0.0, FOOT_MM, 8.0), "rubber", fits_in=("floor",),
        )  # fmt: skip


def lid_of(case: Case, *, packed: bool) -> BuiltBody:
    """Return the lid, closed, or open: upright on its hinge at the side opposite the spinner."""
    return _LIDS.get((case,), lambda: _lid(case, packed), packed)


def _lid(case: Case, packed: bool) -> BuiltBody:
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


def _holders(built: Built) -> Iterator[BuiltBody]:
    bridges = bridges_of(built)
    for made in built.shafts.values():
        if not is_held(built, made):
            continue
        way = standing(made.shaft)
        if way == "upright":
            chosen = bridges.get(made.name, ())
            yield from _UPRIGHT.get((made.as_cut, *chosen), partial(_upright, made, chosen))
        elif way == "level":
            yield from kept_with(made.as_cut, "level", partial(_level, made))


def _upright(made: BuiltShaft, bridges: tuple[Bridge, ...]) -> tuple[BuiltBody, ...]:
    """Return the block on the floor and the bridges of an upright shaft."""
    case, shaft, name = made.design.case, made.shaft, made.name
    assert case is not None
    floor, found, chosen = case.corner_mm[2], [], iter(bridges)
    x, y, wood = shaft.at_mm[0], shaft.at_mm[1], holder_wood(made.design)
    for number, bearing, on_floor in held_in_wood(made, floor):
        high = floor + sheet_mm(made.design, heights_mm(shaft, bearing)[1] - floor)
        fits, hole = made.standing_in(number), ((x, y), 0.5 * bearing.outside_mm)
        if on_floor:
            half = half_mm(bearing)
            found.append(plate(
                f"block {name}", "block", (x - half, y - half, floor), (x + half, y + half, high),
                2, wood, holes=(hole,), part=name, fits_in=(*fits, "floor"), key="bearings",
            ))  # fmt: skip
            continue
        bridge = next(chosen)
        count = sum(body.kind == "bridge" for body in found)
        label = f"bridge {name} {count + 1}" if count else f"bridge {name}"
        found.append(plate(
            label, "bridge", bridge.low, bridge.high, 2, wood, holes=(hole,), part=name,
            fits_in=(*fits, *bridge.walls), key="bearings",
        ))  # fmt: skip
    return tuple(found)


def _level(made: BuiltShaft) -> tuple[BuiltBody, ...]:
    """Return the supports of a level shaft, and the board on which they slide together."""
    case, shaft, name = made.design.case, made.shaft, made.name
    assert case is not None
    side, up = frame_along(shaft.axis)
    floor = case.corner_mm[2] - shaft.at_mm[2]
    slides = shaft.slide is not None
    low = floor + (BASE_MM if slides else 0.0)
    base = f"slide {name}"
    supports: list[str] = []
    found: list[BuiltBody] = []
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
            rectangle(-half, bottom, half, bush + 4.0), -long, long, holder_wood(made.design),
            holes=(((0.0, 0.0), bush),), part=name, key="bearings",
            fits_in=(*made.standing_in(number), base if slides else "floor"),
        )  # fmt: skip
        found += split(holder, number) if bearing.split else (holder,)
    if slides and supports:
        ends = [b.at_mm + sign * (0.5 * b.length_mm + 2.0) for b in made.held_at
                for sign in (-1.0, 1.0)]  # fmt: skip
        bolts = tuple(((at, 0.0), 0.5 * BOLT_HOLE_MM) for at in slide_bolts_mm(made))
        found.append(board(
            base, "slide", shaft.at_mm, shaft.axis, side,
            rectangle(min(ends), -half, max(ends), half), floor, low, holder_wood(made.design),
            part=name, holes=bolts, fits_in=(*supports, "floor"), key="bearings",
        ))  # fmt: skip
    return tuple(found)


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
