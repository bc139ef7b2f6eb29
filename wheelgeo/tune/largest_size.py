"""How large a part may become before it runs into something."""

from __future__ import annotations

import math
from bisect import bisect_left

from wheelgeo.check.report import put_under_check
from wheelgeo.check.rules_hand import hand_room
from wheelgeo.check.rules_space import outside_case, parts_collide
from wheelgeo.design.model import Design
from wheelgeo.tune.remakes import MadePart, with_sizes


def room_mm(design: Design, part: MadePart) -> float:
    """Return the largest size of a part for which the wheel, else as it is, has room.

    Room means that no part collides or leaves the case. It shrinks as the part grows, so that
    halving finds its end.

    Args:
        design: the wheel of today.
        part: the part, with the sizes to try.

    Returns:
        The size, mm; infinite where none is too large, or where the wheel lacks room already.
    """
    larger = [size for size in part.sizes_mm if size > part.size_mm]
    if not _has_room(design):
        return math.inf
    first_bad = bisect_left(
        larger, True, key=lambda size: not _has_room(with_sizes(design, [(part, size)]))
    )
    if first_bad == len(larger):
        return math.inf
    return larger[first_bad - 1] if first_bad else part.size_mm


def _has_room(design: Design) -> bool:
    subject = put_under_check(design)
    rules = (parts_collide, outside_case, hand_room)
    return not any(f.level == "fault" for rule in rules for f in rule(subject))
