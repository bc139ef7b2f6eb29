"""Where the bridges of a case lie: boards from wall to wall through which upright shafts reach.

Right across, square to the shaft's travel or the shorter way; else a bracket from a near wall.
As few as can be are held at one end only, and none lies in another's way where that can be. All
sizes are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import islice
from typing import TYPE_CHECKING

from wheelgeo.built.held import standing
from wheelgeo.built.kept import KeptOf, kept_with
from wheelgeo.built.shaft import BuiltBearing, BuiltShaft
from wheelgeo.design.model import Case, Shaft
from wheelgeo.geometry.convex import Cylinder
from wheelgeo.geometry.near import Box as Extent
from wheelgeo.geometry.near import box_of
from wheelgeo.geometry.vectors import Vector, along
from wheelgeo.immutable import dataclass

if TYPE_CHECKING:
    from wheelgeo.built.as_built import Built

BLOCK_HALF_MM = 12.0
"""Least half width of a block and of a bridge."""
BRACKET_MM = 45.0
"""A shaft nearer to a wall than this may be held by a bracket where no bridge lies clear."""
MOST_CHOICES = 500
"""So many ways to lay all bridges are compared."""
_CLEAR: KeptOf[set[int]] = KeptOf(1024)
_BEST: KeptOf[tuple[Bridge, ...]] = KeptOf(128)


@dataclass(frozen=True)
class Bridge:
    """Where a bridge may lie.

    Attributes:
        low: its lowest corner, mm.
        high: its highest corner, mm.
        walls: the walls that it is fixed to.
        swept: the box round it on all of its shaft's travel.
        awkward: 1 where it is held at one end only, 10 more where walls stop it at both ends of
            its shaft's travel.
    """

    low: Vector
    high: Vector
    walls: tuple[str, ...]
    swept: Extent
    awkward: int


def heights_mm(shaft: Shaft, bearing: BuiltBearing) -> tuple[float, float]:
    """Return the lower and the upper end of an upright shaft's bearing, z in mm."""
    middle, half = along(shaft.at_mm, shaft.axis, bearing.at_mm)[2], 0.5 * bearing.length_mm
    return middle - half, middle + half


def is_held(built: Built, made: BuiltShaft) -> bool:
    """Tell whether wood holds a shaft: not a sleeve, nor a bare rod that is not the spindle."""
    used = bool(made.carries or made.shaft.bearings) or made is built.spindle
    return used and made.shaft.runs_on is None


def held_in_wood(made: BuiltShaft, floor: float) -> Iterator[tuple[int, BuiltBearing, bool]]:
    """Yield number, bearing, and whether a block holds it: those of an upright shaft in wood.

    Args:
        made: the shaft.
        floor: height of the floor, mm.
    """
    order = sorted(enumerate(made.held_at, 1), key=lambda b: heights_mm(made.shaft, b[1]))
    for place, (number, bearing) in enumerate(order):
        low, high = heights_mm(made.shaft, bearing)
        if high > floor + 1e-6:
            yield number, bearing, place == 0 and low - floor < 25.0


def half_mm(bearing: BuiltBearing) -> float:
    """Return half the width of the block or the bridge that holds a bearing, mm."""
    return max(BLOCK_HALF_MM, 0.5 * bearing.outside_mm + 6.0)


def bridges_of(built: Built) -> dict[str, tuple[Bridge, ...]]:
    """Return the bridges of every upright shaft that has any, in the order of ``held_in_wood``.

    Args:
        built: a wheel with a case.
    """
    wanted = [
        (made, found)
        for made in built.shafts.values()
        if standing(made.shaft) == "upright" and is_held(built, made)
        for found in kept_with(made.as_cut, "bridges", partial(_of_shaft, made))
    ]
    each = tuple(_clear(built, made, found) for made, found in wanted)
    all_ways = tuple([bridge for ways in each for bridge in ways])
    best = _BEST.get(all_ways, partial(_best, each), *map(len, each))
    lying: dict[str, tuple[Bridge, ...]] = {}
    for (made, _), bridge in zip(wanted, best, strict=True):
        lying[made.name] = (*lying.get(made.name, ()), bridge)
    return lying


def _best(each: tuple[tuple[Bridge, ...], ...]) -> tuple[Bridge, ...]:
    whole = islice(_apart(each, ()), MOST_CHOICES)
    return min(
        whole, key=lambda chosen: sum(bridge.awkward for bridge in chosen),
        default=tuple(ways[0] for ways in each),
    )  # fmt: skip


def _apart(
    options: Sequence[Sequence[Bridge]], taken: tuple[Bridge, ...]
) -> Iterator[tuple[Bridge, ...]]:
    """Yield choices of one bridge each, none in another's way, in the order of preference."""
    if not options:
        yield taken
        return
    for bridge in options[0]:
        if not any(_meet(bridge.swept, other.swept) for other in taken):
            yield from _apart(options[1:], (*taken, bridge))


def _clear(built: Built, made: BuiltShaft, found: tuple[Bridge, ...]) -> tuple[Bridge, ...]:
    """Return those that are clear of other shafts and what they carry; the first where none is."""
    clear = set(range(len(found)))
    for other in built.shafts.values():
        if other is not made:
            clear &= _CLEAR.get((found, other), partial(_beside, found, other))
    drive = built.design.drive
    if drive.by == "crank" and drive.radius_mm is not None and drive.offset_mm is not None:
        axle = built.shafts[drive.shaft]
        box = partial(_crank_box, axle.shaft, drive.radius_mm, drive.offset_mm)
        crank = kept_with(axle, "crank's box", box)
        clear -= {n for n in clear if _meet(found[n].swept, crank)}
    return tuple([found[n] for n in sorted(clear)] or found[:1])


def _crank_box(shaft: Shaft, radius_mm: float, offset_mm: float) -> Extent:
    middle = along(shaft.at_mm, shaft.axis, offset_mm)
    return box_of(Cylinder(middle, shaft.axis, radius_mm + 8.0, 4.0))


def _beside(found: tuple[Bridge, ...], other: BuiltShaft) -> set[int]:
    """Return which of some bridges are clear of a shaft and what it carries."""
    boxes = _extents(other)
    return {n for n, b in enumerate(found) if not any(_meet(b.swept, box) for box in boxes)}


def _meet(a: Extent, b: Extent) -> bool:
    (ax, ay, az), (au, av, aw) = a
    (bx, by, bz), (bu, bv, bw) = b
    return (
        ax < bu + 1.0 and bx < au + 1.0 and ay < bv + 1.0 and by < av + 1.0
        and az < bw + 1.0 and bz < aw + 1.0
    )  # fmt: skip


def _extents(made: BuiltShaft) -> list[Extent]:
    """Return the boxes round the rod and the pulleys of a shaft."""
    shaft, found = made.shaft, []
    stretches = [(*made.ends_mm, 0.5 * made.diameter_mm)]
    stretches += [(*p.faces_mm, 0.5 * p.rim_mm) for p in made.carries]
    for low, high, radius in stretches:
        middle = along(shaft.at_mm, shaft.axis, 0.5 * (low + high))
        found.append(box_of(Cylinder(middle, shaft.axis, radius, 0.5 * (high - low))))
    return found


def _of_shaft(made: BuiltShaft) -> list[tuple[Bridge, ...]]:
    """Return for each bearing that a bridge holds how it may lie, the best first."""
    case = made.design.case
    assert case is not None
    held = held_in_wood(made, case.corner_mm[2])
    return [tuple(_ways_across(case, made.shaft, b)) for _, b, on_floor in held if not on_floor]


def _ways_across(case: Case, shaft: Shaft, bearing: BuiltBearing) -> Iterator[Bridge]:
    """Yield how a bridge may lie, the best first, whatever stands in its way."""
    (x, y, _), half, heights = shaft.at_mm, half_mm(bearing), heights_mm(shaft, bearing)
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
    slide, ways, travel = shaft.slide, "xy", (0.0, 0.0, 0.0, 0.0)
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
    for (x0, y0, x1, y1), walls in (*square, *near, *(c for _, _, c in whole if c not in square)):
        swept = ((x0 + travel[0], y0 + travel[1], heights[0]),
                 (x1 + travel[2], y1 + travel[3], heights[1]))  # fmt: skip
        jammed = 10 * (len(walls) == 2 and ((x0, y0, x1, y1), walls) not in square)
        awkward = jammed + (len(walls) == 1)
        yield Bridge((x0, y0, heights[0]), (x1, y1, heights[1]), walls, swept, awkward)
