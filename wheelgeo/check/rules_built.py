"""Rules on the wheel as built: rods that carry, bearings that hold, a clear tip, packing."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from itertools import accumulate, pairwise

from wheelgeo.built.as_built import build
from wheelgeo.built.assembly import first_off
from wheelgeo.built.bodies import pieces_on, taken_off
from wheelgeo.built.crank_arm import crank_plane_mm
from wheelgeo.built.endways import DROP_MM, sinks_mm
from wheelgeo.built.held import CRANK_MM, bearing_length_mm, floor_along_mm, standing
from wheelgeo.built.shaft import BuiltShaft
from wheelgeo.built.wall import wall_mm
from wheelgeo.check.adjustments import (
    Adjustment,
    either_way,
    move_along,
    only,
    other_crank,
    shift_either_way,
)
from wheelgeo.check.edits import Edit, edit
from wheelgeo.check.finding import Finding, Remedy, WorkedOut, advice
from wheelgeo.check.remedies import mend
from wheelgeo.check.rules_bodies import move_bearing, move_cop, set_bearings
from wheelgeo.check.things import Thing
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.limits import LIMITS, PRACTICE
from wheelgeo.design.model import Bearing, Case
from wheelgeo.geometry.vectors import Vector, along, cross, dot, scale, sub
from wheelgeo.units.in_full import full

SAME_MM = 0.01
_OUT: dict[str, Vector] = {
    "front": (0.0, -1.0, 0.0), "back": (0.0, 1.0, 0.0),
    "left": (-1.0, 0.0, 0.0), "right": (1.0, 0.0, 0.0),
}  # fmt: skip
_OPPOSITE = {"front": "back", "back": "front", "left": "right", "right": "left"}
TIP_CLEAR_MM = 5.0
"""A tip stands at least so far out of the case; common practice, no source."""


def beyond_rod(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say what stands beyond the end of the rod that should carry it."""
    for made in build(wheel.design).shafts.values():
        low, high = made.ends_mm
        for what, start, stop, ways in _carried(wheel, made):
            beyond = max(low - start, stop - high)
            if beyond <= SAME_MM:
                continue
            ends = (round(min(low, start) - 0.05, 1), round(max(high, stop) + 0.05, 1))
            longer = only(edit(wheel.design, "shaft", made.name, "ends", ends))
            yield Finding(
                "beyond-rod", "fault", (Thing(f'shaft "{made.name}"'), Thing(what)),
                round(beyond, 3), 0.0, "mm",
                f'{what} reaches {full(beyond)} mm beyond the end of the rod "{made.name}", which '
                f"goes from {full(low)} to {full(high)} mm",
                "places along the shaft",
                mend(wheel, beyond_rod, [longer, *ways], f"cut the rod {full(beyond)} mm longer"),
            )  # fmt: skip


def _carried(
    wheel: WheelUnderCheck, made: BuiltShaft
) -> Iterator[tuple[str, float, float, list[Adjustment]]]:
    """Yield all that a rod carries: what it is, from and to along it, and how to move it."""
    design, built = wheel.design, build(wheel.design)
    for pulley in made.carries:
        yield f'pulley "{pulley.name}"', *pulley.faces_mm, [*shift_either_way(design, pulley.name)]
    if made.shaft.runs_on is not None:
        return
    if made.bore_mm == 0.0 and (made.shaft.bearings or made is built.spindle):
        for number, bearing in enumerate(made.bearings, 1):
            half = 0.25 * bearing.length_mm
            # half of a bearing is enough to hold a rod at its end
            yield (
                f"bearing {made.name} {number}", bearing.at_mm - half, bearing.at_mm + half,
                [either_way(partial(move_bearing, design, made.name, number - 1))],
            )  # fmt: skip
    drive, plane = design.drive, crank_plane_mm(built)
    if drive.shaft == made.name and plane is not None:
        half = 0.5 * CRANK_MM
        cranks = [other_crank(design)] if drive.offset_mm else []
        yield "the crank", plane - half, plane + half, cranks
    if made is not built.spindle:
        return
    for number, washer in enumerate(design.spindle.washers, 1):
        half = 0.5 * washer.thickness_mm
        yield f"washer {number}", washer.at_mm - half, washer.at_mm + half, []
    cop = design.spindle.cop
    if cop is not None and design.spindle.kind == "tip":
        low, high = sorted((cop.from_mm, cop.to_mm))
        yield "the cop", low, high, [*move_cop(design)]


def rod_sinks(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say which upright rods nothing carries: what is on them leaves its band and drags below."""
    built = build(wheel.design)
    plane = crank_plane_mm(built)
    for made in built.shafts.values():
        if made.is_pin or made.shaft.runs_on is not None or not made.carries:
            continue
        sinks = sinks_mm(built, made, plane)
        if not made.bearings or sinks <= DROP_MM:
            continue
        floor, far = floor_along_mm(wheel.design, made.shaft), math.isinf(sinks)
        stand = [] if floor is None or floor >= made.ends_mm[1] else [
            only(edit(wheel.design, "shaft", made.name, "ends", (floor, made.ends_mm[1])))
        ]
        how = "drops through its bearings" if far else f"sinks {full(sinks)} mm"
        yield Finding(
            "rod-sinks", "fault", f'shaft "{made.name}"', None if far else round(sinks, 3),
            DROP_MM, "mm",
            f'nothing carries the upright rod "{made.name}": it {how} '
            + ("" if far else "before a face on it rests on a bearing"),
            "places along the shaft",
            mend(wheel, rod_sinks, stand, f'fix a collar on "{made.name}" close above a bearing, or'
                 " let the rod stand on the floor"),
        )  # fmt: skip


def held_well(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn of shafts with too few bearings, or with too short a span for what overhangs."""
    limit = wheel.limit("overhang_ratio")
    for made in build(wheel.design).shafts.values():
        if made.shaft.runs_on is not None or not made.carries:
            continue
        if made.is_pin:
            yield from _on_a_pin(wheel, made)
            continue
        places = sorted(b.at_mm for b in made.bearings)
        span = places[-1] - places[0]
        if span < made.diameter_mm:
            room = bearing_length_mm(wheel.design, made.shaft)
            low, high = made.faces_mm or (0.0, 0.0)
            pair = tuple(Bearing(round(at, 2), made.bearings[0].kind)
                         for at in (low - room, high + room))  # fmt: skip
            yield Finding(
                "bearings-too-few", "fault", f'shaft "{made.name}"', float(len(places)), 2.0, "",
                f'"{made.name}" is held at one place only, so that it can tip', PRACTICE,
                mend(wheel, held_well, [only(set_bearings(wheel.design, made.name, pair))],
                     "hold it in two bearings, one on either side of its pulleys"),
            )  # fmt: skip
            continue
        offsets = [p.pulley.offset_mm for p in made.carries]
        over = max(places[0] - min(offsets), max(offsets) - places[-1])
        if over > limit * span:
            last = len(made.bearings) - 1
            first = min(range(last + 1), key=lambda i: made.bearings[i].at_mm)
            hind = max(range(last + 1), key=lambda i: made.bearings[i].at_mm)
            yield Finding(
                "overhang", "warning", f'shaft "{made.name}"', round(over / span, 3), limit, "",
                f'a pulley of "{made.name}" stands {full(over)} mm beyond bearings that are only '
                f"{full(span)} mm apart", LIMITS["overhang_ratio"].source,
                mend(wheel, held_well,
                     [move_bearing(wheel.design, made.name, first, -1.0),
                      move_bearing(wheel.design, made.name, hind, 1.0)],
                     "set the bearings further apart, or the pulley nearer"),
            )  # fmt: skip


def _on_a_pin(wheel: WheelUnderCheck, made: BuiltShaft) -> Iterator[Finding]:
    """Say where pulleys on a pin are not one piece, and where that is too narrow for its pin."""
    design, where = wheel.design, f'shaft "{made.name}"'
    pieces = pieces_on(wheel.solution.built, made.name)
    if len(pieces) > 1:
        apart = [q[0].faces_mm[0] - p[-1].faces_mm[1] for p, q in pairwise(pieces)]
        down = accumulate(apart)  # each piece comes down by all gaps below it
        closer = [edit(design, "pulley", p.name, "offset", round(p.pulley.offset_mm - gap, 3))
                  for gap, piece in zip(down, pieces[1:], strict=True) for p in piece]  # fmt: skip
        wider = [[edit(design, "pulley", p.name, "width", round(p.width_mm + 2.0 * gap, 3))
                  for p, gap in zip(row, apart, strict=True)]
                 for row in ([q[0] for q in pieces[1:]], [p[-1] for p in pieces[:-1]])]  # fmt: skip
        names = " and ".join(f'"{p.name}"' for piece in pieces for p in piece)
        yield Finding(
            "pin-pieces", "fault", where, round(max(apart), 3), 0.0, "mm",
            f'{names} stand {full(max(apart))} mm apart on a pin that stands still: nothing turns '
            "them together", "places along the shaft",
            mend(wheel, held_well, [only(*ways) for ways in (closer, *wider)],
                 "set them against one another, as one piece, or let the rod turn"),
        )  # fmt: skip
        return
    low, high = made.faces_mm or (0.0, 0.0)
    wide = 2.0 * made.diameter_mm
    if high - low < wide - SAME_MM and not made.shaft.bearings:
        widest = max(made.carries, key=lambda p: p.width_mm)
        new = round(widest.width_mm + wide - (high - low), 2)
        yield Finding(
            "bearings-too-few", "fault", where, round(high - low, 3), wide, "mm",
            f'what turns on the pin "{made.name}" is {full(high - low)} mm wide, and so can tip; '
            f"twice the pin's diameter is {full(wide)} mm", PRACTICE,
            mend(wheel, held_well,
                 [only(edit(design, "pulley", widest.name, "width", new))],
                 "make its hub wider, or the pin thinner"),
        )  # fmt: skip


def tip_clear(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where a tip is behind a wall, or looks away from the spinner."""
    design = wheel.design
    case = design.case
    if case is None or design.spindle.kind != "tip":
        return
    made = wheel.solution.built.spindle
    low, high = made.ends_mm
    tip = along(made.shaft.at_mm, made.shaft.axis, high)
    above = tip[2] - (case.corner_mm[2] + case.inside_mm[2])
    if standing(made.shaft) == "upright" or above >= TIP_CLEAR_MM:
        out, side = above, "top"
    else:
        side = max(_OUT, key=lambda s: _beyond(case, tip, s))
        out = _beyond(case, tip, side)
    spinner = case.spinner
    if side == _OPPOSITE[spinner] and out > 0.0:
        yield Finding(
            "tip-away", "fault", f'spindle "{made.name}"', round(out, 2), 0.0, "mm",
            f"the tip looks out at the {side}, and the spinner sits at the {spinner}: nobody can "
            "draw yarn there", PRACTICE,
            mend(wheel, tip_clear, [only(edit(design, "case", "", "spinner", side))],
                 f"turn the wheel round in its case so that the tip looks to the {spinner}"),
        )  # fmt: skip
    elif out < TIP_CLEAR_MM - SAME_MM:
        short = TIP_CLEAR_MM - out
        ends = (low, round(high + short + 0.05, 1))
        ways = [only(edit(design, "shaft", made.name, "ends", ends))]
        if side != "top":
            ways.append(move_along(design, made.name, _OUT[side], 200.0))
        place = "above the case" if side == "top" else f"out of the wall at the {side}"
        stands = f"ends {full(-out)} mm inside" if out < 0.0 else f"stands only {full(out)} mm"
        yield Finding(
            "tip-inside", "fault", f'spindle "{made.name}"', round(out, 2), TIP_CLEAR_MM, "mm",
            f"the tip {stands}, short of clear {place}: yarn cannot be drawn from it", PRACTICE,
            mend(wheel, tip_clear, ways, f"let the spindle stand {full(short)} mm further out"),
        )  # fmt: skip


def _beyond(case: Case, point: Vector, side: str) -> float:
    """Return how far a point stands out of the outer face of a wall, mm; negative inside."""
    out, wall = _OUT[side], wall_mm(case)
    axis = 0 if out[0] else 1
    if out[axis] < 0.0:
        return case.corner_mm[axis] - wall - point[axis]
    return point[axis] - (case.corner_mm[axis] + case.inside_mm[axis] + wall)


def not_judged(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say what of an old wheel is not judged, and how it would be."""
    if not wheel.design.shop.old_wheel:
        return
    yield Finding(
        "old-wheel", "note", "shop", None, None, "",
        "an old wheel: whether its rods, bearings and wood hold and how hard it is to turn is not "
        "judged, since nobody measured them; of its set only what its bands are made by is made",
        PRACTICE,
        WorkedOut(Remedy(
            "to build one like it, measure its rods too, and set shop.old_wheel to false",
            (Edit("shop.old_wheel", True, False),), design=wheel.design, as_wheel=wheel.as_wheel,
        )),
    )  # fmt: skip


def other_hand(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn where the crank is on the side of the other hand, as the spinner sits."""
    design = wheel.design
    hand, case = design.drive.hand, design.case
    if hand is None or design.drive.by != "crank":
        return
    spinner = "front" if case is None else case.spinner
    # the spinner looks against the way that leads out to her
    right = cross(scale(_OUT[spinner], -1.0), (0.0, 0.0, 1.0))
    crank = design.shaft(design.drive.shaft).at_mm
    made = wheel.solution.built.spindle
    tip = along(made.shaft.at_mm, made.shaft.axis, made.ends_mm[1])
    over = dot(sub(crank, tip), right) * (1.0 if hand == "right" else -1.0)
    if over >= 0.0:
        return
    other = "left" if hand == "right" else "right"
    yield Finding(
        "other-hand", "warning", (Thing("drive"), Thing("crank")), round(over, 1), 0.0, "mm",
        f"the {hand} hand is to turn the crank, and the crank is {full(-over)} mm to the {other} "
        "of the tip as the spinner sits: the arms would cross", PRACTICE,
        mend(wheel, other_hand, [only(edit(design, "drive", "", "hand", other))],
             "build the wheel as its mirror image, and turn it the other way for the same twist"),
    )  # fmt: skip


def packing(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Tell what draws out or lifts off before the lid closes."""
    taken = taken_off(wheel.solution.built)
    drawn = any(how == "draws out" for _, how in taken)
    if not drawn:
        return
    made = wheel.solution.built.spindle
    where, first = f'spindle "{made.name}"', first_off(wheel.solution.built, made.name)
    source = "the spindle stands out of the case; taken apart as it is built"
    if first is None:
        yield Finding(
            "packing", "warning", where, None, None, "",
            f'"{made.name}" stands out of the case, and nothing that comes off lets it out: the '
            "lid cannot be closed over it", source,
            advice("set it where it can be drawn out, or cut its rod to stay within the case"),
        )  # fmt: skip
        return
    off = " and ".join(f'"{name}"' for name in first)
    comes = f"comes out when {off} {'are' if len(first) > 1 else 'is'} off, with" if first else (
        "draws out with")  # fmt: skip
    yield Finding(
        "packing", "note", where, float(len(first)), 0.0, "",
        f'for packing "{made.name}" {comes} all that is fixed on it, and the crank comes '
        "off with its knob",
        source,
        advice(f"unscrew {off}, and lift the band off as the rod comes out; a rod that stays "
               "within the case need not come out" if first else
               "lift the band off the whorl as the rod comes out"),
    )  # fmt: skip

