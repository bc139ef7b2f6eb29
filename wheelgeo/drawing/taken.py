"""What labels take of a page, asked of many places for another label at once.

A page of a long row of bodies has hundreds of labels, and hundreds of places are tried for some of
them: so boxes are held as columns (left, low, right, high) and leaders as columns (x, y, x, y) of
arrays, and what lies far from each other is told apart by the boxes round it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from wheelgeo.drawing.dots import Array
from wheelgeo.drawing.strokes import Box, Point

_NO_LEADER = (math.nan,) * 4
"""Of what is no number nothing is true, so that no leader meets anything."""

_FEW = 16
"""So few pairs of a place and a label are looked at without asking which are near each other."""


class Taken:
    """The labels that have their places already, each with its leader.

    Args:
        most: so many labels there may be.
    """

    def __init__(self, most: int) -> None:
        import numpy as np

        self._count = 0
        self._boxes, self._leaders, self._rooms = np.empty((3, 4, most))
        self._reach: list[Box] = []

    def add(self, box: Box, leader: Sequence[Point] | None) -> None:
        """Take the place of a label, and of its leader from start to end where it has one."""
        at, run, room = self._count, _NO_LEADER, _NO_LEADER
        if leader is not None:
            (x, y), (u, v) = leader
            run, room = (x, y, u, v), (min(x, u), min(y, v), max(x, u), max(y, v))
        self._boxes[:, at], self._leaders[:, at], self._rooms[:, at] = box, run, room
        self._reach.append(_reach(box, leader))
        self._count += 1

    def reached_by(self, box: Box, leader: Sequence[Point] | None) -> bool:
        """Tell whether a label with its leader comes so near that it may meet another."""
        left, low, right, high = _reach(box, leader)
        return any(
            left <= x2 and low <= y2 and right >= x1 and high >= y1
            for x1, y1, x2, y2 in self._reach
        )

    def under(self, box: Box, gap: float) -> Box | None:
        """Return the first label that a box lies less than a gap from; None where there is none."""
        import numpy as np

        boxes = self._boxes[:, : self._count]
        found = np.flatnonzero(near_by(box, boxes, gap))
        return tuple(boxes[:, found[0]].tolist()) if len(found) else None

    def lie_over(self, boxes: Array, gap: float) -> Array:
        """Tell of boxes (4, k), one or more, which lie less than a gap from a label, (k,)."""
        import numpy as np

        least, most = boxes[:2].min(axis=1), boxes[2:].max(axis=1)
        near = near_by((*least, *most), self._boxes[:, : self._count], gap)
        others = self._boxes[:, np.flatnonzero(near)]
        return near_by(boxes[..., None], others[:, None], gap).any(axis=1)

    def meet(self, boxes: Array, leaders: Array) -> Array:
        """Tell of places for a label which meet a label or its leader, (k,).

        They do where the leader of either runs through the box of the other or crosses its leader.

        Args:
            boxes: where the label would stand, (4, k).
            leaders: from where to where its leader would run, (4, k); not a number: nowhere.
        """
        import numpy as np

        found = np.zeros(boxes.shape[1], dtype=bool)
        rooms = _around(leaders)
        near = self._near(np.fmin(boxes, rooms)[:2], np.fmax(boxes, rooms)[2:])
        its_boxes, its_leaders, its_rooms = (
            each[:, near] for each in (self._boxes, self._leaders, self._rooms)
        )
        for ours, others, rooms_of_ours, rooms_of_others, meet in (
            (leaders, its_boxes, rooms, its_boxes, _run_through),
            (boxes, its_leaders, boxes, its_rooms, _are_run_through),
            (leaders, its_leaders, rooms, its_rooms, cross),
        ):
            left = np.flatnonzero(~found)
            if not len(left) or not len(near):
                break
            one, other = _overlapping(rooms_of_ours[:, left], rooms_of_others)
            if len(one):
                one = left[one]
                found[one[meet(ours[:, one], others[:, other])]] = True
        return found

    def _near(self, lows: Array, highs: Array) -> Array:
        """Return which labels reach, leader and all, between the corners of places (2, k)."""
        import numpy as np

        boxes, rooms = self._boxes[:, : self._count], self._rooms[:, : self._count]
        least, most = lows.min(axis=1)[:, None], highs.max(axis=1)[:, None]
        reach = (np.fmin(boxes[:2], rooms[:2]) <= most) & (np.fmax(boxes[2:], rooms[2:]) >= least)
        return np.flatnonzero(reach[0] & reach[1])


def _overlapping(boxes: Array, others: Array) -> tuple[Array, Array]:
    """Return which boxes (4, k) touch which others (4, n), as pairs of indices."""
    import numpy as np

    if boxes.shape[1] * others.shape[1] <= _FEW:  # to look which takes longer than to take all
        one, other = np.indices((boxes.shape[1], others.shape[1])).reshape(2, -1)
        return one, other
    (left, low, right, high), others = boxes[..., None], others[:, None]
    one, other = np.nonzero(
        (left <= others[2]) & (low <= others[3]) & (right >= others[0]) & (high >= others[1])
    )
    return one, other


def _reach(box: Box, leader: Sequence[Point] | None) -> Box:
    """Return the box round a label and the end of its leader, which begins at the label."""
    left, low, right, high = box
    x, y = box[:2] if leader is None else leader[-1]
    return (min(left, x), min(low, y), max(right, x), max(high, y))


def near_by(boxes: Any, others: Any, gap: float) -> Any:
    """Tell whether boxes (4, ...) are less than a gap from others, each from its own, (...)."""
    left, low, right, high = boxes
    x1, y1, x2, y2 = others
    return (right + gap > x1) & (left < x2 + gap) & (low < y2 + gap) & (high + gap > y1)


def _around(pieces: Array) -> Array:
    """Return the boxes round straight pieces (4, ...), (4, ...)."""
    import numpy as np

    starts, ends = pieces[:2], pieces[2:]
    return np.concatenate([np.minimum(starts, ends), np.maximum(starts, ends)])


def cross(ones: Array, others: Array) -> Array:
    """Tell of straight pieces (4, n) which cross their own other one (4, n) within both, (n,)."""
    return _apart(ones, others) & _apart(others, ones)


def _apart(lines: Array, pieces: Array) -> Array:
    """Tell whether the two ends of a piece lie on different sides of its line."""
    (x, y, x1, y1), (u, v, u1, v1) = lines, pieces
    across, up = x1 - x, y1 - y
    return (across * (v - y) - up * (u - x)) * (across * (v1 - y) - up * (u1 - x)) < 0.0


def _run_through(pieces: Array, boxes: Array) -> Array:
    first, last = spans_in_boxes(pieces, boxes)
    return first <= last


def _are_run_through(boxes: Array, pieces: Array) -> Array:
    return _run_through(pieces, boxes)


def spans_in_boxes(pieces: Array, boxes: Array) -> tuple[Array, Array]:
    """Return from where to where on straight pieces each runs within its own box, as shares of it.

    Liang and Barsky's clipping. Where it passes the box by, it would begin later than it ends.

    Args:
        pieces: their two ends, (4, n).
        boxes: the boxes, (4, n).

    Returns:
        Where they enter and where they leave, (n,) each.
    """
    import numpy as np

    start, step = pieces[:2], pieces[2:] - pieces[:2]
    low, high = boxes[:2] - start, boxes[2:] - start
    level = step == 0.0
    per_mm = np.where(level, 1.0, step)
    one, other = low / per_mm, high / per_mm
    enter, leave = np.minimum(one, other), np.maximum(one, other)
    if level.any():  # it runs along a side, and is between the two for good or never
        whole = np.where((low <= 0.0) & (high >= 0.0), math.inf, -math.inf)
        enter, leave = np.where(level, -whole, enter), np.where(level, whole, leave)
    first, last = np.maximum(enter[0], enter[1]), np.minimum(leave[0], leave[1])
    return np.maximum(first, 0.0), np.minimum(last, 1.0)


def span_in_box(piece: Sequence[Point], box: Box) -> tuple[float, float] | None:
    """Return from where to where on a straight piece it runs within a box, as shares of it.

    None where it passes the box by.
    """
    import numpy as np

    both = np.reshape([piece[0], piece[-1]], (4, 1)), np.reshape(box, (4, 1))
    first, last = (each.item() for each in spans_in_boxes(*both))
    return (first, last) if first <= last else None
