"""Which bodies of a wheel as built are nearer to each other than they may be."""

from __future__ import annotations

import math
from collections.abc import Iterable

from wheelgeo.built.bodies import same_axis
from wheelgeo.built.body import BuiltBody
from wheelgeo.check.placements import STILL
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.model import Design
from wheelgeo.geometry.boxes import Solid, solid_gap_mm
from wheelgeo.geometry.near import near_pairs

TOUCH_MM = 0.01
"""Bodies that overlap by less than this only touch: nothing is cut truer."""
NearBodies = tuple[BuiltBody, BuiltBody, list[tuple[Solid, Solid]]]
"""Two bodies, and the pieces of the one that may be too near to pieces of the other."""


def near_bodies(
    wheel: WheelUnderCheck, whole: tuple[BuiltBody, ...], slid: bool
) -> list[NearBodies]:
    """Return the bodies whose boxes are too near and that may not be, with those pieces of them.

    Args:
        wheel: the wheel.
        whole: the bodies.
        slid: the slides do not stand where the file has them: pulleys and rods are asked too.
    """
    pieces = [(i, piece) for i, body in enumerate(whole) for piece in body.pieces]
    found: dict[tuple[int, int], list[tuple[Solid, Solid]]] = {}
    for i, j in near_pairs([piece for _, piece in pieces], wheel.limit("clearance_mm")):
        key = (pieces[i][0], pieces[j][0])
        one, other = whole[key[0]], whole[key[1]]
        beside = _sleeve_and_pulley(wheel.design, one, other)
        if one is not other and (beside or not _belongs(wheel.design, one, other, slid)):
            found.setdefault(key, []).append((pieces[i][1], pieces[j][1]))
    return [(whole[i], whole[j], near) for (i, j), near in sorted(found.items(), key=_key)]


def _key(item: tuple[tuple[int, int], object]) -> tuple[int, int]:
    return item[0]


def too_near(
    wheel: WheelUnderCheck,
    one: BuiltBody,
    other: BuiltBody,
    pieces: Iterable[tuple[Solid, Solid]],
    deepest: float = -math.inf,
) -> tuple[float, float] | None:
    """Return the gap of two bodies and the room that they need, mm; None where they have it."""
    limit = wheel.limit("clearance_mm")
    gap = min(limit, *(solid_gap_mm(p, q, limit, deepest) for p, q in pieces))
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
