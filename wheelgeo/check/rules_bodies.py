"""The collision check over every body of the wheel as built, at both ends of every slide.

Pulleys and rods where the file has them are held against each other by ``rules_space``; here is all
else: bearings and what they sit in, case and stand, crank and hand, cop and flyer, and everything
when the slides stand at the ends of their travel.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import pieces_with
from wheelgeo.built.body import BuiltBody
from wheelgeo.check.adjustments import (
    Adjustment,
    a_move,
    by_steps,
    either_way,
    move_along,
    move_apart,
    only,
    other_crank,
    shift_either_way,
    shorter_crank,
)
from wheelgeo.check.edits import Edit, edit
from wheelgeo.check.finding import Finding, Level
from wheelgeo.check.near_bodies import TOUCH_MM, near_bodies, too_near
from wheelgeo.check.placements import Placement
from wheelgeo.check.remedies import mend
from wheelgeo.check.things import Thing, thing_of
from wheelgeo.check.told_singly import MOST_TOLD, the_rest
from wheelgeo.check.wheel_under_check import Find, WheelUnderCheck
from wheelgeo.design.limits import LIMITS
from wheelgeo.design.model import Bearing, Design, Slide, Stand
from wheelgeo.geometry.boxes import solid_gap_mm
from wheelgeo.geometry.near import beside_mm, box_of, near_boxes
from wheelgeo.geometry.vectors import Vector
from wheelgeo.units.in_full import full

SOURCE = f"distance between the two bodies; least gap: {LIMITS['clearance_mm'].source}"
CHOSEN = frozenset({"block", "bridge", "post", "maiden", "mother-of-all", "bed", "table", "leg",
                    "trestle foot", "hinge rail", "slide", "treadle", "footman"})  # fmt: skip
"""Kinds of body that the program chose: one may be made otherwise, so a collision is a warning."""
_INWARD: dict[str, Vector] = {
    "wall front": (0.0, 1.0, 0.0), "wall back": (0.0, -1.0, 0.0),
    "wall left": (1.0, 0.0, 0.0), "wall right": (-1.0, 0.0, 0.0),
    "floor": (0.0, 0.0, 1.0), "lid": (0.0, 0.0, -1.0),
}  # fmt: skip
"""Which way leads from a side of the case into it."""
_Pair = tuple[str, str]
_DEEP_MM = -2.0 * TOUCH_MM
"""Whether two bodies still collide after a change is asked no deeper than this, mm."""


def bodies_collide(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say which bodies of the wheel as built run into each other, and on which slide."""
    told: set[_Pair] = set()
    for number, placement in enumerate(wheel.placements):
        pairs = near_bodies(wheel, placement.bodies, number)
        for place, (one, other, pieces) in enumerate(pairs):
            if len(told) >= MOST_TOLD:
                yield the_rest("bodies-collide", "bodies", len(pairs) - place)
                return
            found = too_near(wheel, one, other, pieces)
            if found is not None and (one.name, other.name) not in told:
                told.add((one.name, other.name))
                yield _collision(wheel, one, other, *found, placement.says)
        for gap, says, body, room in _runs_near(wheel, placement):
            pair = (says, body.name)
            if pair not in told:
                told.add(pair)
                yield _run_hits(wheel, says, body, gap, room, placement.says)


def still_near(one: BuiltBody, other: BuiltBody) -> Find:
    """Return the rule for two bodies alone: a remedy of theirs need not ask for all the others."""

    def find(wheel: WheelUnderCheck) -> Iterator[Finding]:
        for number, placement in enumerate(wheel.placements):
            here, there = (_names_now(placement, body) for body in (one, other))
            two = placement.named(here | there)
            for first, second, pieces in near_bodies(wheel, two, number):
                if len({first.name, second.name} & here) != 1:
                    continue  # two pieces of what was one
                found = too_near(wheel, first, second, pieces, _DEEP_MM)
                if found is not None:
                    yield _collision(wheel, first, second, *found, placement.says)
                    return

    return find


def _names_now(placement: Placement, body: BuiltBody) -> frozenset[str]:
    """Return what a body of another wheel is called in this one; a piece may be two, or larger."""
    if not body.grooves:
        return frozenset((body.name,))
    pieces = pieces_with(placement.built, body.part, body.grooves)
    return frozenset(piece.name for piece in pieces)


def lid_closes(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say what stands in the way of the lid when the wheel is packed."""
    if wheel.design.case is None:
        return
    packed = wheel.packed.bodies
    lid = next(b for b in packed if b.kind == "lid")
    for body in packed:
        if body is lid or body.may_touch(lid):
            continue
        gap = min(solid_gap_mm(p, q, 0.0) for p in body.pieces for q in lid.pieces)
        if gap < -TOUCH_MM:
            case = wheel.design.case
            length, depth, height = case.inside_mm
            over, it = _top(body) - (case.corner_mm[2] + height), thing_of(body)
            taller = (length, depth, round(height + over + 0.05, 1))
            yield Finding(
                "lid-does-not-close", "fault", (Thing("lid"), it), round(-over, 3), 0.0, "mm",
                f"packed, {it.says} stands {full(over)} mm above the edge of the case",
                SOURCE,
                mend(
                    wheel, lid_closes,
                    [*_out_of_the_way(wheel, body),
                     only(edit(wheel.design, "case", "", "inside", taller))],
                    f"make the case {full(over)} mm higher",
                ),
            )  # fmt: skip


def _top(body: BuiltBody) -> float:
    return body.box[1][2]


def _runs_near(
    wheel: WheelUnderCheck, placement: Placement
) -> Iterator[tuple[float, str, BuiltBody, float]]:
    """Yield the runs that come too near a body that is neither pulley nor rod."""
    limit = wheel.limit("clearance_mm")
    left_out = {
        "pulley", "hub", "spoke", "rod", "wall", "floor", "hand", "knob", "washer", "cop", "flyer",
    }  # fmt: skip
    # a bush that turns sits within its wheel, which is another rule's
    bodies = [b for b in placement.bodies
              if b.kind not in left_out and not (b.kind == "bearing" and b.turns)]  # fmt: skip
    pieces = [(b, p) for b in bodies for p in b.pieces]
    boxes = [box for b in bodies for box in b.boxes]
    balls = [ball for b in bodies for ball in b.balls]
    runs = [body for _, body, _ in placement.runs]
    least: dict[tuple[int, str], tuple[float, BuiltBody]] = {}
    for i, j in near_boxes([box_of(run) for run in runs], limit, boxes):
        if beside_mm(runs[i], balls[j]) >= limit:
            continue  # as it is with most: a ball is asked sooner than the piece in it
        body = pieces[j][0]
        gap = solid_gap_mm(runs[i], pieces[j][1], limit)
        if gap < limit - TOUCH_MM:
            before = least.get((i, body.name))
            if before is None or gap < before[0]:
                least[i, body.name] = (gap, body)
    for (i, _), (gap, body) in sorted(least.items(), key=lambda item: item[0]):
        yield gap, placement.runs[i][0], body, limit


def _level(gap: float, *made: BuiltBody) -> Level:
    own = any(b.kind in CHOSEN for b in made)
    return "fault" if gap < TOUCH_MM and not own else "warning"


def _words(first: str, second: str, gap: float, says: str) -> str:
    if gap < -TOUCH_MM:
        return f"{first} runs {full(-gap)} mm into {second}{says}"
    if gap < TOUCH_MM:
        return f"{first} touches {second}{says}"
    return f"only {full(gap)} mm lie between {first} and {second}{says}"


def _collision(
    wheel: WheelUnderCheck, one: BuiltBody, other: BuiltBody, gap: float, room: float, says: str
) -> Finding:
    first, second = thing_of(one), thing_of(other)
    return Finding(
        "bodies-collide", _level(gap, one, other), (first, second), round(gap, 3), room,
        "mm", _words(first.says, second.says, gap, says), SOURCE,
        mend(
            wheel, still_near(one, other),
            [*_slide_less(wheel, one, other, says), *_out_of_the_way(wheel, one),
             *_out_of_the_way(wheel, other), *_apart(wheel, one, other), *_own_stand(wheel)],
            f"set the two {full(room - gap)} mm further apart, or make one of them smaller",
        ),
    )  # fmt: skip


def _run_hits(
    wheel: WheelUnderCheck, run: str, body: BuiltBody, gap: float, room: float, says: str
) -> Finding:
    it = thing_of(body)
    return Finding(
        "run-hits-body", _level(gap, body), (Thing(run), it), round(gap, 3), room, "mm",
        _words(run, it.says, gap, says), SOURCE,
        mend(
            wheel, bodies_collide,
            [*_slide_less(wheel, body, body, says), *_out_of_the_way(wheel, body),
             *_own_stand(wheel)],
            f"lead the band {full(room - gap)} mm further from it",
        ),
    )  # fmt: skip


# --- what may mend a collision --------------------------------------------------------------------


def _out_of_the_way(wheel: WheelUnderCheck, body: BuiltBody) -> Iterator[Adjustment]:
    """Yield what moves one body, by its kind."""
    design = wheel.design
    if body.kind == "pulley":
        yield from shift_either_way(design, *body.grooves)
    elif body.kind in {"crank", "hand", "knob", "treadle", "footman"}:
        yield other_crank(design)
        yield from shorter_crank(design)
    elif body.kind == "cop":
        yield from move_cop(design)
    elif body.kind == "rod" and body.part:
        yield from shorter_rod(wheel, body.part)
    elif body.key == "bearings":
        number = body.name.rpartition(" ")[2]
        for index in range(len(build(design).shafts[body.part].bearings)):
            if not number.isdigit() or int(number) == index + 1:
                yield either_way(partial(move_bearing, design, body.part, index))


def bearings_of(design: Design, shaft: str) -> tuple[Bearing, ...]:
    """Return the bearings of a shaft as a file has them; those that it leaves out written down."""
    given = design.spindle.shaft == shaft and design.spindle.bearings
    made = build(design).shafts[shaft].bearings
    return given or tuple(Bearing(round(b.at_mm, 3), b.kind, split=b.split) for b in made)


def move_bearing(design: Design, shaft: str, index: int, sign: float) -> Adjustment:
    """Move one bearing of a shaft along it; those that the file leaves out are written down."""
    now = bearings_of(design, shaft)

    def edits(amount: float) -> tuple[Edit, ...]:
        moved = list(now)
        here, there = now[index].at_mm, round(now[index].at_mm + sign * amount, 3)
        if any((b.at_mm - here) * (b.at_mm - there) < 0.0 for b in now):
            return ()  # past its neighbour a rod would be held at one end, its pulleys overhung
        moved[index] = replace(moved[index], at_mm=there)
        return (set_bearings(design, shaft, tuple(moved)),)

    return a_move(design, Adjustment(edits, 120.0, 0.5))


def set_bearings(design: Design, shaft: str, bearings: tuple[Bearing, ...]) -> Edit:
    """Return the edit that sets the bearings of a shaft; the spindle's stand with the spindle."""
    if shaft == design.spindle.shaft:
        return edit(design, "spindle", "", "bearings", bearings)
    return edit(design, "shaft", shaft, "bearings", bearings)


def move_cop(design: Design) -> Iterator[Adjustment]:
    """Yield the ways to wind the cop elsewhere, or thinner."""
    cop = design.spindle.cop
    if cop is None:
        return

    def towards(sign: float) -> Adjustment:
        def edits(amount: float) -> tuple[Edit, ...]:
            by = sign * amount
            return (
                edit(design, "cop", "", "from", round(cop.from_mm + by, 1)),
                edit(design, "cop", "", "to", round(cop.to_mm + by, 1)),
            )

        return Adjustment(edits, 150.0, 0.5)

    yield either_way(towards)
    yield by_steps(
        design, ("cop", "", "diameter"), cop.diameter_mm, -1.0, cop.diameter_mm, step=0.5,
        least=design.shaft(design.spindle.shaft).diameter_mm + 2.0,
    )  # fmt: skip


def shorter_rod(wheel: WheelUnderCheck, shaft: str) -> Iterator[Adjustment]:
    """Yield the ways to cut a rod shorter, at either end."""
    low, high = build(wheel.design).shafts[shaft].ends_mm
    for at_high in (True, False):

        def edits(amount: float, at_high: bool = at_high) -> tuple[Edit, ...] | None:
            ends = (low, round(high - amount, 1)) if at_high else (round(low + amount, 1), high)
            if ends[1] - ends[0] < 5.0:
                return None
            return (edit(wheel.design, "shaft", shaft, "ends", ends),)

        yield Adjustment(edits, high - low, 0.5)


def _slide_less(
    wheel: WheelUnderCheck, one: BuiltBody, other: BuiltBody, says: str
) -> Iterator[Adjustment]:
    """Yield a shorter travel for the shafts of two bodies that meet at its end."""
    for name in dict.fromkeys(b.part for b in (one, other) if b.part):
        slide = wheel.design.shaft(name).slide
        if slide is None or not says:
            continue
        sign = -1.0 if says.endswith("to") else 1.0

        def edits(
            amount: float, name: str = name, slide: Slide = slide, sign: float = sign
        ) -> tuple[Edit, ...] | None:
            way = slide.to_mm - slide.from_mm
            if amount > abs(way):
                return None
            cut = amount if way > 0.0 else -amount
            new = replace(slide, to_mm=round(slide.to_mm - cut, 2)) if sign < 0.0 else replace(
                slide, from_mm=round(slide.from_mm + cut, 2)
            )  # fmt: skip
            return (edit(wheel.design, "shaft", name, "slide", new),)

        yield Adjustment(edits, abs(slide.to_mm - slide.from_mm), 0.1)


def _apart(wheel: WheelUnderCheck, one: BuiltBody, other: BuiltBody) -> Iterator[Adjustment]:
    design = wheel.design
    if one.part and other.part and one.part != other.part:
        yield from move_apart(design, other.part, one.part)
        yield from move_apart(design, one.part, other.part)
    case = design.case
    for moving, fixed in ((one, other), (other, one)):
        if case is None or not moving.part or fixed.kind not in {"wall", "floor", "lid"}:
            continue
        inward = _INWARD[fixed.name]
        yield move_along(design, moving.part, inward, 150.0)
        if fixed.kind == "wall":
            yield _wider(design, fixed.name.removeprefix("wall "))


def _wider(design: Design, side: str) -> Adjustment:
    """Make the case larger at one side."""
    case = design.case
    assert case is not None
    axis = 0 if side in ("left", "right") else 1
    low = side in ("left", "front")

    def edits(amount: float) -> tuple[Edit, ...]:
        inside, corner = list(case.inside_mm), list(case.corner_mm)
        inside[axis] = round(inside[axis] + amount, 1)
        corner[axis] = round(corner[axis] - amount, 1)
        size = edit(design, "case", "", "inside", tuple(inside))
        return (size, edit(design, "case", "", "corner", tuple(corner))) if low else (size,)

    return Adjustment(edits, 200.0, 0.5)


def _own_stand(wheel: WheelUnderCheck) -> Iterator[Adjustment]:
    design = wheel.design
    if design.case is None and design.stand is None:
        yield only(Edit("stand", None, Stand("own")))

