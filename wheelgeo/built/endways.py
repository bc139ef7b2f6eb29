"""What keeps every rod from shifting endways: what it carries, else collars and rings beside it.

A rod is stopped one way by a face that turns with it close behind a bearing, and the other way by
one close before a bearing. Where nothing that it carries stands so close, a collar is fixed on it
beside the bearing, on the inner side, so that bearings still go on from the ends; where there is no
room for a collar a loose ring fills the gap. An upright rod needs a stop downwards alone, unless
its end stands on the floor; its own weight lowers it onto that, so that the play counts as well.
A sleeve is kept the same way between what its rod carries.
All sizes are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import partial
from typing import TYPE_CHECKING

from wheelgeo.built.body import BuiltBody, rod_outside, turned
from wheelgeo.built.held import CRANK_MM, floor_along_mm, standing
from wheelgeo.built.kept import KeptOf
from wheelgeo.built.shaft import BuiltShaft
from wheelgeo.immutable import dataclass

if TYPE_CHECKING:
    from wheelgeo.built.as_built import Built

END_PLAY_MM = 2.0
"""What a rod may shift endways: a washer and its play beside what it carries."""
PLAY_MM = 0.3
"""Between a collar and its bearing."""
DROP_MM = 1.0
"""What an upright rod may sink before something carries it: two plays and the thinnest washer."""
RING_PLAY_MM = 0.1
"""What the bore of a loose ring is larger than its rod, on the radius."""
WALL_MM = 2.0
"""Wall of a collar or ring: as that of a bush, so that it clears all that a bush clears."""
LEAST_COLLAR_MM, MOST_COLLAR_MM = 4.0, 10.0
COLLAR = "brass"
RING, THIN_RING = "maple", "leather"
THIN_MM = 3.0
"""A ring thinner than this is a leather washer."""
Span = tuple[float, float]
_OF_RODS: KeptOf[tuple[EndStop, ...]] = KeptOf(256)
_BODIES: KeptOf[tuple[BuiltBody, ...]] = KeptOf(256)


@dataclass(frozen=True)
class EndStop:
    """A collar or ring on a rod.

    Attributes:
        shaft: the rod or sleeve that it keeps in place.
        span: its two faces along the shaft's axis, mm.
        fixed: whether it is fixed on the rod; a ring is loose.
        on: the rod that it is on.
    """

    shaft: str
    span: Span
    fixed: bool
    on: str


def stops(built: Built, plane: float | None) -> Iterator[EndStop]:
    """Yield the collars and rings that a wheel needs.

    Args:
        built: the wheel.
        plane: where the crank turns along the driven shaft, mm; None where there is none.
    """
    for made in built.shafts.values():
        yield from _of(built, made, plane)


def _of(built: Built, made: BuiltShaft, plane: float | None) -> tuple[EndStop, ...]:
    spindle = built.design.spindle
    in_use = made.carries or made.name in (spindle.shaft, spindle.bobbin)
    if made.is_pin or not in_use:
        return ()
    if made.shaft.runs_on is not None:
        return tuple(_of_sleeve(built, made))
    if len(made.bearings) < 2:
        return ()
    # a sleeve that is kept on the rod stops it as well as what is fixed there
    turning = (*_turning(built, made, plane), *_sleeves(built, made))
    cut = made.as_cut
    return _OF_RODS.get((cut,), lambda: tuple(_of_rod(built, cut, turning)), turning)


def stop_bodies(built: Built, plane: float | None) -> Iterator[BuiltBody]:
    """Yield them as bodies, "collar spindle 1" and so on; arguments as ``stops``."""
    for made in built.shafts.values():
        found = _of(built, made, plane)
        if found:
            on = built.shafts[found[0].on]
            parts = (made.as_cut, on.as_cut, *found)
            yield from _BODIES.get(parts, partial(_as_bodies, made, on, found))


def _as_bodies(
    made: BuiltShaft, on: BuiltShaft, found: tuple[EndStop, ...]
) -> tuple[BuiltBody, ...]:
    bodies = []
    for number, stop in enumerate(found, 1):
        rod = 0.5 * on.diameter_at_mm(0.5 * (stop.span[0] + stop.span[1]))
        bore = rod if stop.fixed else rod + RING_PLAY_MM
        bodies.append(turned(
            f"collar {stop.shaft} {number}", "collar", made.shaft.at_mm, made.shaft.axis,
            rod_outside(*stop.span, rod + WALL_MM), _material(stop), bore=bore,
            part=stop.shaft, turns=True, fits_in=(f"rod {stop.on}", f"rod {stop.shaft}", "floor"),
        ))  # fmt: skip
    return tuple(bodies)


def _material(stop: EndStop) -> str:
    if stop.fixed:
        return COLLAR
    return RING if stop.span[1] - stop.span[0] >= THIN_MM else THIN_RING


def stands_on_floor(built: Built, made: BuiltShaft) -> bool:
    """Return whether the lower end of an upright rod carries it, on the floor of its case."""
    floor = floor_along_mm(built.design, made.shaft)
    upward = made.shaft.axis[2] > 0.0
    return floor is not None and upward and abs(made.ends_mm[0] - floor) < END_PLAY_MM


def sinks_mm(built: Built, made: BuiltShaft, plane: float | None) -> float:
    """Return how far an upright rod sinks until what turns with it rests on bearing or floor, mm.

    Args:
        built: the wheel.
        made: a rod in bearings.
        plane: as for ``stops``.

    Returns:
        0 for a rod that is not upright or stands on the floor; infinity where nothing stops it.
    """
    if standing(made.shaft) != "upright" or stands_on_floor(built, made):
        return 0.0
    own = [s for s in stops(built, plane) if s.on == made.name]
    fixed = [s.span for s in own if s.fixed]
    rings = [s.span for s in own if not s.fixed]
    turning = [*_turning(built, made, plane), *_sleeves(built, made), *fixed]
    down = made.shaft.axis[2] < 0.0
    floor = None if down else floor_along_mm(built.design, made.shaft)
    least = math.inf
    for bearing in made.bearings:
        half = 0.5 * bearing.length_mm
        for low, high in turning:
            if down:
                start, stop = high, bearing.at_mm - half
            else:
                start, stop = bearing.at_mm + half, low
                if floor is not None and low > floor:  # a bush sunk into it: the floor stops it
                    start = max(start, floor)
            if stop >= start - 1e-6:
                loose = sum(b - a for a, b in rings if start <= a and b <= stop)
                least = min(least, max(stop - start - loose, 0.0))
    return least


def _of_rod(built: Built, made: BuiltShaft, turning: tuple[Span, ...]) -> Iterator[EndStop]:
    """Yield the stops of a rod in its bearings, by the stretches on which something is fixed."""
    held = sorted((b.at_mm - 0.5 * b.length_mm, b.at_mm + 0.5 * b.length_mm)
                  for b in made.bearings)  # fmt: skip
    on_it = [*turning, *held]
    width = min(max(round(made.diameter_mm), LEAST_COLLAR_MM), MOST_COLLAR_MM)
    up = made.shaft.axis[2] if standing(made.shaft) == "upright" else 0.0
    floor = floor_along_mm(built.design, made.shaft)
    if up <= 0.0 and not _near([low - t[1] for low, _ in held for t in turning]):
        face = held[-1][0]  # it would shift along its axis: a stop behind the foremost bearing
        if floor is not None:  # a bush may be sunk into the floor, a collar not
            face = min(face, floor)
        # what reaches over the bearing leaves no gap at all: another rule names it
        gap = face - max((h for low, h in on_it if low < face - 1e-6), default=face)
        room = gap >= width + PLAY_MM
        long = width if room else gap - 2.0 * PLAY_MM
        if long > 0.0:
            yield EndStop(made.name, (face - PLAY_MM - long, face - PLAY_MM), room, made.name)
    most = DROP_MM if up > 0.0 else END_PLAY_MM
    if up >= 0.0 and not _near([t[0] - high for _, high in held for t in turning], most):
        if stands_on_floor(built, made):
            return
        face = held[0][1]  # and against it: a stop before the hindmost
        if floor is not None:
            face = max(face, floor)
        gap = min((low for low, h in on_it if h > face + 1e-6), default=face) - face
        room = gap >= width + PLAY_MM
        long = width if room else gap - 2.0 * PLAY_MM
        if long > 0.0:
            yield EndStop(made.name, (face + PLAY_MM, face + PLAY_MM + long), room, made.name)


def _of_sleeve(built: Built, made: BuiltShaft) -> Iterator[EndStop]:
    """Yield the rings that keep a sleeve between what its rod carries."""
    under = made.shaft.runs_on
    rod = built.shafts[under or ""]
    low, high = _span_of(built, made)
    beside = [*_turning(built, rod, None), *(
        (b.at_mm - 0.5 * b.length_mm, b.at_mm + 0.5 * b.length_mm) for b in rod.bearings
    )]  # fmt: skip
    behind = max((h for _, h in beside if h <= low + 1e-6), default=low)
    before = min((x for x, _ in beside if x >= high - 1e-6), default=high)
    for start, stop in ((behind, low), (high, before)):
        if stop - start > END_PLAY_MM:
            yield EndStop(made.name, (start + PLAY_MM, stop - PLAY_MM), False, rod.name)


def _near(gaps: Sequence[float], most: float = END_PLAY_MM) -> bool:
    """Return whether a face stands close beside a bearing, on the side that is asked."""
    return any(-1e-6 <= gap <= most for gap in gaps)


def _turning(built: Built, made: BuiltShaft, plane: float | None) -> list[Span]:
    """Return the stretches of a rod on which something is fixed that turns with it."""
    found = [p.faces_mm for p in made.carries]
    if made is built.spindle:
        plan = built.spindle.flyer_plan
        found += [] if plan is None else [(plan.bar_from, plan.front)]
        found += [(w.washer.at_mm - 0.5 * w.washer.thickness_mm,
                   w.washer.at_mm + 0.5 * w.washer.thickness_mm)
                  for w in built.spindle.washers]  # fmt: skip
    if plane is not None and made.name == built.design.drive.shaft:
        found.append((plane - 0.5 * CRANK_MM, plane + 0.5 * CRANK_MM))
    return found


def _sleeves(built: Built, made: BuiltShaft) -> list[Span]:
    """Return the stretches that sleeves on a rod take, with all that is on them."""
    return [_span_of(built, m) for m in built.shafts.values() if m.shaft.runs_on == made.name]


def _span_of(built: Built, sleeve: BuiltShaft) -> Span:
    plan = built.spindle.flyer_plan
    ends = [*sleeve.ends_mm, *(x for p in sleeve.carries for x in p.faces_mm)]
    if plan is not None and plan.bobbin == sleeve.name:
        ends += [plan.bobbin_from, plan.bobbin_to]
    return min(ends), max(ends)
