"""Which bodies of a wheel as built are nearer to each other than they may be."""

from __future__ import annotations

import math
from collections.abc import Iterable
from operator import itemgetter

from wheelgeo.built.bodies import same_axis
from wheelgeo.built.body import BuiltBody
from wheelgeo.built.kept import KeptOf
from wheelgeo.check.placements import STILL
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.model import Design
from wheelgeo.geometry.boxes import Solid, solid_gap_mm
from wheelgeo.geometry.near import boxes_near, near_boxes

TOUCH_MM = 0.01
"""Bodies that overlap by less than this only touch: nothing is cut truer."""
NearBodies = tuple[BuiltBody, BuiltBody, list[tuple[Solid, Solid]]]
"""Two bodies, and the pieces of the one that may be too near to pieces of the other."""
_FEW = 8
"""So many bodies of a whole wheel are held against all others one by one."""
_KNOWN: dict[tuple[int, float], tuple[frozenset[int], tuple[BuiltBody, ...], list[NearBodies]]] = {}
"""By placement and limit the bodies of the wheel that was asked last, and which of them are near:
a changed wheel has most of them too."""
_MOST_KNOWN = 9
"""So many placements and limits are remembered, then all are forgotten."""
_GAPS: KeptOf[float] = KeptOf(2048)


def near_bodies(
    wheel: WheelUnderCheck, whole: tuple[BuiltBody, ...], number: int
) -> list[NearBodies]:
    """Return the bodies whose boxes are too near and that may not be, with those pieces of them.

    Args:
        wheel: the wheel.
        whole: the bodies.
        number: which placement they are in; in all but the first, where the slides do not stand
            where the file has them, pulleys and rods are asked too.
    """
    limit = wheel.limit("clearance_mm")
    place = {id(body): i for i, body in enumerate(whole)}
    known = _KNOWN.get((number, limit), (frozenset(), (), []))
    new = [i for i, body in enumerate(whole) if id(body) not in known[0]]
    found = [(place[id(a)], place[id(b)], near) for a, b, near in known[2]
             if id(a) in place and id(b) in place]  # fmt: skip
    if any(i > j for i, j, _ in found):  # in another order
        found, new = [], list(range(len(whole)))
    if len(new) > _FEW:
        asked = set(new)
        near_each = near_boxes([body.box for body in whole], limit)
        pairs = [(i, j) for i, j in near_each if i in asked or j in asked]
    else:
        pairs = [(min(i, j), max(i, j)) for n, i in enumerate(new)
                 for j in range(len(whole)) if j not in new[: n + 1]]  # fmt: skip
    for i, j in pairs:
        one, other = whole[i], whole[j]
        if boxes_near(one.box, other.box, limit) and _may_collide(wheel.design, one, other, number):
            near = [(p, q) for p, here in zip(one.pieces, one.boxes, strict=True)
                    for q, there in zip(other.pieces, other.boxes, strict=True)
                    if boxes_near(here, there, limit)]  # fmt: skip
            if near:
                found.append((i, j, near))
    result = [(whole[i], whole[j], near) for i, j, near in sorted(found, key=itemgetter(0, 1))]
    if len(whole) > _FEW:  # not two that are asked by themselves
        if len(_KNOWN) >= _MOST_KNOWN:
            _KNOWN.clear()
        _KNOWN[number, limit] = frozenset(place), whole, result
    return result


def _may_collide(design: Design, one: BuiltBody, other: BuiltBody, number: int) -> bool:
    beside = _sleeve_and_pulley(design, one, other)
    return beside or not _belongs(design, one, other, number > 0)


def too_near(
    wheel: WheelUnderCheck,
    one: BuiltBody,
    other: BuiltBody,
    pieces: Iterable[tuple[Solid, Solid]],
    deepest: float = -math.inf,
) -> tuple[float, float] | None:
    """Return the gap of two bodies and the room that they need, mm; None where they have it."""
    limit = wheel.limit("clearance_mm")
    gap = _GAPS.get(
        (one, other),
        lambda: min(limit, *(solid_gap_mm(p, q, limit, deepest) for p, q in pieces)),
        limit, deepest,
    )  # fmt: skip
    still = one.kind in STILL and other.kind in STILL
    held = one.part == other.part and {"bearing", "collar"} & {one.kind, other.kind}
    beside = _sleeve_and_pulley(wheel.design, one, other)
    room = 0.0 if still or held or beside or "hand" in (one.kind, other.kind) else limit
    return (gap, room) if gap < room - TOUCH_MM else None


def _belongs(design: Design, one: BuiltBody, other: BuiltBody, slid: bool) -> bool:
    """Tell whether a pair is no matter of this rule: it fits, it turns as one, another rule's."""
    kinds = {one.kind, other.kind}
    # hub and spokes are within what their wheel sweeps, which is looked at itself
    if one.may_touch(other) or kinds & {"hub", "spoke"}:
        return True
    if "hand" in kinds:
        # walls, pulleys, rods and runs are held against the hand by ``hand_room``
        others = {"bridge", "support", "lid", "block", "post", "maiden", "table"}
        return not kinds & others
    if "knob" in kinds:
        # what the knob sweeps lies within what the hand sweeps
        return not kinds & {"pulley"} or "crank" in kinds
    if kinds <= {"pulley", "rod"} and not slid:
        return True
    if one.part and other.part:
        coaxial = one.part == other.part or same_axis(
            design.shaft(one.part), design.shaft(other.part)
        )
        if coaxial and one.turns and other.turns:
            # a crank may be planned into its own wheel, a cop onto the whorl
            return kinds <= {"pulley", "rod", "flyer", "bobbin", "washer", "collar"}
    return False


def _sleeve_and_pulley(design: Design, one: BuiltBody, other: BuiltBody) -> bool:
    """Tell whether a rod and a pulley have one axis and turn apart: neither may reach the other."""
    kinds = {one.kind, other.kind}
    if kinds != {"rod", "pulley"} or one.part == other.part or one.may_touch(other):
        return False
    return same_axis(design.shaft(one.part), design.shaft(other.part))
