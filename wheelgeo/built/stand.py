"""What a wheel without a case stands on: a table on legs, posts for the axle, maidens, a treadle.

The axle lies in two posts on the table, the spindle in two maidens on the mother-of-all, a block
on a post of its own that slides as the spindle does. The floor is z = 0 where everything stands
above it; else it is not known, and no stand is made. So that it stands firm, table and the feet
under its legs reach a third of the height of the highest shaft both ways; a table too low for legs
lies on the floor itself. Boards are drawn across the axle: x level, y up. All sizes are common
practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from wheelgeo.built.assumed import Assumption
from wheelgeo.built.body import BuiltBody, board, frame_along, rectangle, split
from wheelgeo.built.held import standing
from wheelgeo.built.shaft import BuiltBearing, BuiltShaft
from wheelgeo.built.table import LEAST_TABLE_MM, TABLE_MM, UP, WOOD, table_bodies
from wheelgeo.built.treadle import HingeAt, hinge_at, treadle_bodies
from wheelgeo.design.materials import PRACTICE
from wheelgeo.geometry.vectors import Vector, along, cross, dot, norm, scale, sub
from wheelgeo.immutable import dataclass

if TYPE_CHECKING:
    from wheelgeo.built.as_built import Built

RIM_ROOM_MM = 20.0
"""Between the largest rim and the table under it."""
POST_HALF_MM = 30.0
"""Half the width of a post across the axle; along it a post is as thick as the bearing is long."""
POST_HEAD_MM = 14.0
"""Wood above the bush."""
BASE_MM = 25.0
"""Height of the mother-of-all."""
BED_MM = 12.0
BASE_HALF_MM = 18.0
STEM_MM = 45.0
"""The post that carries the mother-of-all is so thick both ways."""
MAIDEN_HALF_MM = 14.0
BOLT_HOLE_MM = 5.5
"""Hole, and width of the slot, for the bolts of 5 mm that hold the mother-of-all."""
BOLT_END_MM = 22.0
"""From her end to such a bolt: a maiden, and half a washer."""
WING_NUT_MM = 26.0
"""Span of the wings of a wing nut for such a bolt (DIN 315, M5; from memory)."""
BOLT_ROOM_MM = 0.5 * WING_NUT_MM + 5.0
"""From such a bolt to a post beside it: half a wing nut, and room for a finger."""


def lowest_mm(built: Built) -> float:
    """Return the height of the lowest point of what turns, z in mm."""
    lows = []
    for made in built.shafts.values():
        stretches = [(*made.ends_mm, 0.5 * made.diameter_mm)]
        stretches += [(*p.faces_mm, 0.5 * p.rim_mm) for p in made.carries]
        up = made.shaft.axis[2]
        for low, high, radius in stretches:
            ends = (along(made.shaft.at_mm, made.shaft.axis, z)[2] for z in (low, high))
            lows.append(min(ends) - radius * math.sqrt(max(1.0 - up * up, 0.0)))
    return min(lows)


def no_stand(built: Built) -> str:
    """Return why no stand is made for a wheel without a case; empty where one is made."""
    design = built.design
    if design.stand is not None and design.stand.kind == "own":
        return "the file says that the stand is the builder's own"
    if lowest_mm(built) < 0.0:
        return "something reaches below z = 0, so where the floor is is not known"
    axle = design.shaft(design.drive.shaft)
    for shaft in design.shafts:
        if standing(shaft) != "level" or norm(cross(shaft.axis, axle.axis)) > 1e-6:
            return f'shaft "{shaft.name}" does not lie level along the axle'
    return ""


def assumed_of_stand(built: Built) -> tuple[Assumption, ...]:
    """Return what is said of the stand of a wheel without a case."""
    why = no_stand(built)
    if why:
        return (Assumption("the stand", "none is made or checked", why),)
    taken = "a table on legs, posts for the axle, maidens for the spindle"
    return (Assumption("the stand", taken, PRACTICE),)


@dataclass(frozen=True)
class Ground:
    """Axes of the stand (across the axle, up), along it, and the height that posts stand on."""

    side: Vector
    axis: Vector
    origin: Vector
    top: float

    def level(self, point: Vector) -> tuple[float, float]:
        """Return a point's place across the axle and along it, from the axle's ``at``, mm."""
        apart = sub(point, self.origin)
        return dot(apart, self.side), dot(apart, self.axis)

    def at(self, across: float, ahead: float, height: float) -> Vector:
        """Return the point so far across and along, at a height, mm."""
        flat = along(along(self.origin, self.side, across), self.axis, ahead)
        return (flat[0], flat[1], height)


def stand_bodies(built: Built, plane: float | None) -> Iterator[BuiltBody]:
    """Yield the bodies of the stand; none where there is a reason not to, see ``no_stand``.

    Args:
        built: the wheel; it has no case.
        plane: where the crank turns along the driven shaft, mm; None where there is none.
    """
    if no_stand(built):
        return
    design = built.design
    axle = design.shaft(design.drive.shaft)
    side, _ = frame_along(axle.axis)
    top = lowest_mm(built) - RIM_ROOM_MM
    top = top if top >= LEAST_TABLE_MM else TABLE_MM if top >= TABLE_MM else 0.0
    ground = Ground(side, axle.axis, axle.at_mm, top)
    held = [m for m in built.shafts.values() if m.shaft.runs_on is None and not _rides(built, m)]
    under = "table" if top else ""
    feet: list[tuple[float, float, float, float]] = []
    for made in held:
        if made is not built.spindle and made.carries:
            yield from _posts(ground, made, under, feet)
    if built.spindle in held:
        yield from _maidens(built, ground, under, feet)
    treadle: tuple[BuiltBody, ...] = ()
    hinge: HingeAt | None = None
    if design.drive.by == "treadle" and plane is not None and design.drive.radius_mm is not None:
        treadle, hinge = tuple(treadle_bodies(built, ground, plane)), hinge_at(built, plane)
    if top and feet:
        yield from table_bodies(built, ground, feet, treadle, hinge)
    yield from treadle


def _rides(built: Built, made: BuiltShaft) -> bool:
    """Tell whether a shaft is the bobbin on the flyer's rod, written as a shaft of its own."""
    return made.name == built.design.spindle.bobbin


def _bush(bearing: BuiltBearing) -> float:
    return 0.5 * bearing.outside_mm


def _posts(
    ground: Ground, made: BuiltShaft, under: str, feet: list[tuple[float, float, float, float]]
) -> Iterator[BuiltBody]:
    """Yield the posts of an axle; ``feet`` gathers where they stand."""
    for number, bearing in enumerate(made.held_at, 1):
        centre = along(made.shaft.at_mm, made.shaft.axis, bearing.at_mm)
        half, bush = 0.5 * bearing.length_mm, _bush(bearing)
        x, z = ground.level(centre)
        feet.append((x - POST_HALF_MM, x + POST_HALF_MM, z - half, z + half))
        outline = rectangle(
            -POST_HALF_MM, ground.top - centre[2], POST_HALF_MM, bush + POST_HEAD_MM
        )
        holder = board(
            f"post {made.name} {number}", "post", centre, ground.side, UP, outline, -half, half,
            WOOD, holes=(((0.0, 0.0), bush),), part=made.name, key="bearings",
            fits_in=(*made.standing_in(number), under),
        )  # fmt: skip
        yield from split(holder, number) if bearing.split else (holder,)


def _maidens(
    built: Built, ground: Ground, under: str, feet: list[tuple[float, float, float, float]]
) -> Iterator[BuiltBody]:
    """Yield the maidens, the mother-of-all on its bed, and the post under it."""
    made = built.spindle
    name, slide = made.name, made.shaft.slide
    rise = 0.0
    if slide is not None:
        ahead, up = dot(slide.along, ground.side), slide.along[2]
        rise = up / ahead if abs(ahead) > 0.2 else 0.0
    lean = math.hypot(1.0, rise)
    reach = max([p.rim_mm * 0.5 for p in made.carries] + [_largest_on(made)])
    drop = max(reach + 25.0, _under_the_band(built, ground, rise, lean))
    ends = [b.at_mm + s * 0.5 * b.length_mm for b in made.held_at for s in (-1.0, 1.0)]
    low, high = min(ends), max(ends)
    middle = 0.5 * (low + high)
    mother, bed = f"mother-of-all {name}", f"bed {name}"
    base_top = -drop

    def slope(x: float, y: float) -> float:
        return y + rise * x

    for number, bearing in enumerate(made.held_at, 1):
        half, bush = 0.5 * bearing.length_mm, _bush(bearing)
        wide = max(MAIDEN_HALF_MM, bush + 6.0)
        outline = (
            (-wide, slope(-wide, base_top)), (wide, slope(wide, base_top)),
            (wide, bush + 8.0), (-wide, bush + 8.0),
        )  # fmt: skip
        lower = slope(wide if rise > 0.0 else -wide, base_top)
        holder = board(
            f"maiden {name} {number}", "maiden",
            along(made.shaft.at_mm, made.shaft.axis, bearing.at_mm), ground.side, UP,
            outline, -half, half, WOOD, holes=(((0.0, 0.0), bush),), part=name, key="bearings",
            parts=(((-wide, lower), (wide, bush + 8.0)),),
            fits_in=(*made.standing_in(number), mother),
        )  # fmt: skip
        yield from split(holder, number) if bearing.split else (holder,)
    tilt = scale(along(ground.side, UP, rise), 1.0 / lean)
    long = 0.5 * (high - low)
    origin = along(along(made.shaft.at_mm, made.shaft.axis, middle), UP, base_top)
    # The bed is fixed: it reaches as far as the mother-of-all slides, from where she is now.
    back, forth = (0.0, 0.0) if slide is None else sorted((slide.from_mm, slide.to_mm))
    if slide is not None and dot(slide.along, tilt) < 0.0:
        back, forth = -forth, -back
    deep = (BASE_MM / lean, BASE_MM / lean + BED_MM)
    stem = f"post {name}"
    half = 0.5 * STEM_MM
    over = 0.5 * (back + forth)
    # in line with the axle's posts, so that the table stays narrow and the treadle has room
    foot = along(origin, tilt, over)
    here = ground.level(foot)[1]
    wanted = 0.5 * (min(f[2] for f in feet) + max(f[3] for f in feet)) if feet else here
    long, aside, places = _bolted(long, wanted - here)
    foot = along(foot, ground.axis, aside)
    wide = BASE_HALF_MM * lean
    bolts = tuple(((at, 0.0), 0.5 * BOLT_HOLE_MM) for at in places)
    yield board(
        mother, "mother-of-all", origin, ground.axis, tilt, rectangle(-long, -wide, long, wide),
        -deep[0], 0.0, WOOD, holes=bolts, part=name, fits_in=(bed,), key="bearings",
    )  # fmt: skip
    yield board(
        bed, "bed", origin, ground.axis, tilt, rectangle(-long, back - wide, long, forth + wide),
        -deep[1], -deep[0], WOOD, part=name, fits_in=(mother, stem), key="bearings",
    )  # fmt: skip
    top = -deep[1] * lean
    outline = (
        (-half, ground.top - foot[2]), (half, ground.top - foot[2]),
        (half, slope(half, top)), (-half, slope(-half, top)),
    )  # fmt: skip
    x, z = ground.level(foot)
    feet.append((x - half, x + half, z - half, z + half))
    yield board(
        stem, "post", foot, ground.side, UP, outline, -half, half, WOOD, part=name, key="bearings",
        parts=(((-half, ground.top - foot[2]), (half, top - half * abs(rise))),),
        fits_in=(bed, under),
    )  # fmt: skip


def _bolted(long: float, wanted: float) -> tuple[float, float, tuple[float, float]]:
    """Return half the length of the mother-of-all, where the post stands, and where bolts hold her.

    The bolts go down between the maidens, clear of the post under the bed, so that their wing nuts
    can be turned; where the maidens stand too close for that, she and her bed reach beyond them.

    Args:
        long: half her length from maiden to maiden, mm.
        wanted: where the post would best stand along the spindle, from her middle, mm.
    """
    half = 0.5 * STEM_MM
    room, clear = max(long - half, 0.0), half + BOLT_ROOM_MM
    post = min(max(wanted, -room), room)
    low, high = BOLT_END_MM - long, long - BOLT_END_MM
    if post - clear < low:
        low = max(low, post + clear)
    elif post + clear > high:
        high = min(high, post - clear)
    if high - low >= 2.0 * BOLT_ROOM_MM:
        return long, post, (low, high)
    at = max(long + BOLT_ROOM_MM, clear)
    return at + BOLT_ROOM_MM, 0.0, (-at, at)


def _under_the_band(built: Built, ground: Ground, rise: float, lean: float) -> float:
    """Return how far below the spindle's axis the mother-of-all clears the lower run, mm.

    The run leaves the whorl at the angle of the line to the axle and of the taper of the two
    pulleys; the corner of the mother-of-all that is nearest to the axle must stay below it, and
    that of her bed, wherever on its travel the spindle stands: it is cut once.
    """
    made, pulleys = built.spindle, built.pulleys.values()
    others = [p.rim_mm for p in pulleys if p.shaft.at_mm == ground.origin]
    whorls = [p.rim_mm for p in pulleys if p.shaft.at_mm != ground.origin]
    if not others or not whorls:
        return 0.0
    large, small, slide = 0.5 * max(others), 0.5 * max(whorls), made.shaft.slide
    if slide is None:
        return _drop(ground, made.shaft.at_mm, (large, small), (rise, lean), 0.0)
    needed = []
    for here in (slide.from_mm, slide.to_mm):
        at = along(made.shaft.at_mm, slide.along, here)
        towards = -math.copysign(1.0, ground.level(at)[0]) * dot(slide.along, ground.side)
        back = max((slide.from_mm - here) * towards, (slide.to_mm - here) * towards)
        needed.append(_drop(ground, at, (large, small), (rise, lean), back))
    return max(needed)


def _drop(
    ground: Ground, at: Vector, radii: tuple[float, float], slope: tuple[float, float], back: float
) -> float:
    """Return the same for one place of the spindle.

    Args:
        ground: axes of the stand.
        at: where the spindle is.
        radii: of the largest wheel and of the largest whorl, mm.
        slope: rise of the travel, and its length over what it covers level.
        back: how much nearer to the axle than the mother-of-all the bed reaches, mm.
    """
    (large, small), (rise, lean) = radii, slope
    x, down = ground.level(at)[0], at[2] - ground.origin[2]
    apart = math.hypot(x, down)
    taper = math.asin(min(max((large - small) / apart, -1.0), 1.0)) if apart > 0.0 else 0.0
    angle = min(math.atan2(down, abs(x)) + taper, math.radians(75.0))
    if angle <= 0.0:
        return 0.0
    wide, lower = BASE_HALF_MM * lean, math.tan(angle)
    lower -= -rise if x > 0.0 else rise
    run = small / math.cos(angle) + 4.0
    return max(run + wide * lower, run + (wide + back) * lower - BASE_MM / lean)


def _largest_on(made: BuiltShaft) -> float:
    """Return the largest radius of what turns on a spindle: its cop, or the flyer's arms, mm."""
    from wheelgeo.built.flyer import ARM_MM
    from wheelgeo.built.spindle import BuiltSpindle

    assert isinstance(made, BuiltSpindle)
    if made.flyer_plan is not None:
        others = [p.rim_mm * 0.5 for p in made.pulleys
                  if p.pulley.shaft == made.flyer_plan.bobbin]  # fmt: skip
        return max([made.flyer_plan.arm_radius + ARM_MM, *others])
    washers = [w.washer.diameter_mm * 0.5 for w in made.washers]
    return max([0.5 * made.cop.value.diameter_mm, *washers])
