"""Where the labels of a drawing go: a greedy search that never lets two of them collide.

Glossary: a *request* is a label that wants a place near one of its *anchors* (points of the thing
that it names) or on one of its *spots* (the middle of a dimension line); a *leader* is the thin
line from the label to its anchor; *ink* is what is drawn already, held as a raster whose running
sums tell in one step how much of it a box would cover.

Rules that are never broken: a label lies within the page, two labels never overlap or touch. A
rule that is kept wherever the page has a place that keeps it: no leader crosses a label or another
leader. Among the places that keep the rules the cheapest is taken, which covers little ink and
stands near.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache

from wheelgeo.drawing.dots import Array, Raster, raster_of
from wheelgeo.drawing.strokes import Box, Pen, Point, Stroke, Text
from wheelgeo.errors import LayoutError
from wheelgeo.immutable import dataclass

GAP = 0.5
"""Least distance between two labels, in heights of a capital."""
_DISTANCES = (0.9, 1.6, 2.6, 4.0, 6.0, 9.0, 13.0, 18.0)
_DIRECTIONS = 16
_INK_COST = 3.0
_SPOT_INK_COST = 0.03
"""A label on its spot stands on its own dimension line, which is no fault."""
_LEADER_COST = 1.4
_TRIES = 200
"""Places that are tried for one whose leader crosses nothing."""

@dataclass(frozen=True)
class Request:
    """A label that wants a place.

    Attributes:
        text: one line.
        anchors: points that a leader may lead to, mm; the first is liked best.
        spots: middles where the label may stand without a leader, mm.
        rank: labels of lower rank are placed first.
        bold: whether it is set in bold type.
    """

    text: str
    anchors: tuple[Point, ...] = ()
    spots: tuple[Point, ...] = ()
    rank: int = 0
    bold: bool = False


@dataclass(frozen=True)
class Placed:
    """A label in its place; ``leader`` runs from the label to its anchor, or is None."""

    text: Text
    leader: Stroke | None

    @property
    def box(self) -> Box:
        """The box that the label takes."""
        return self.text.box


def place_labels(
    requests: Iterable[Request], ink: Array, page: Box, height: float
) -> tuple[Placed, ...]:
    """Give every label its place.

    Args:
        requests: the labels.
        ink: points of what is drawn, no farther apart than half a height, mm, (n, 2).
        page: the page, mm.
        height: height of a capital, mm.

    Returns:
        The labels in their places, in the order of the requests.

    Raises:
        LayoutError: the page has no room for one of them.
    """
    import numpy as np


    wanted = list(requests)
    anchors = [request.anchors[0] for request in wanted if request.anchors]
    dots = np.concatenate([np.reshape(ink, (-1, 2)), np.reshape(anchors, (-1, 2))])
    raster = raster_of(dots, page, 0.5 * height)
    placed: dict[int, Placed] = {}
    taken: list[_Taken] = []
    order = sorted(range(len(wanted)), key=lambda i: (wanted[i].rank, -len(wanted[i].text), i))
    for i in order:
        placed[i] = _place(wanted[i], raster, taken, height)
        taken.append(_taken_by(placed[i]))
    return tuple(placed[i] for i in range(len(wanted)))


_Taken = tuple[Box, tuple[Point, ...]]
"""What a label takes of the page: its box and the ends of its leader, none where it has none."""


def _taken_by(label: Placed) -> _Taken:
    return label.box, () if label.leader is None else label.leader.points


def _place(request: Request, raster: Raster, taken: Sequence[_Taken], height: float) -> Placed:
    crossing: Placed | None = None
    boxes = [box for box, _ in taken]
    for offer in (_near, _anywhere):
        for label in _by_cost(request, offer(request, raster.page, height), raster, boxes, height):
            own = _taken_by(label)
            if not any(_leaders_meet(own, other) for other in taken):
                return label
            crossing = crossing or label
    if crossing is not None:
        return crossing
    raise LayoutError(f'the page has no room for the label "{request.text}"')


Offer = tuple[Array, Array, int]
"""Middles of a label (2, n), ends of its leader (2, n), and how many of the first have none."""


def _near(request: Request, page: Box, height: float) -> Offer:  # noqa: ARG001
    """Return places on the spots and round the anchors, at growing distances."""
    import numpy as np

    half = 0.5 * Text(request.text, (0.0, 0.0), height, bold=request.bold).width
    step, side = _steps(height)
    spots, ends = (
        np.array(p, dtype=float).reshape(-1, 2).T for p in (request.spots, request.anchors)
    )
    round_them = (ends[:, :, None] + (step + half * side)[:, None]).reshape(2, -1)
    led_to = np.repeat(ends, step.shape[1], axis=1)
    middles, ends = (np.concatenate([spots, each], axis=1) for each in (round_them, led_to))
    return middles, ends, len(request.spots)


@lru_cache(maxsize=16)
def _steps(height: float) -> tuple[Array, Array]:
    """Return steps from an anchor to a label's near end, (2, n), and which side it goes, (2, n)."""
    import numpy as np

    angles = math.tau * (np.arange(_DIRECTIONS) + 0.5) / _DIRECTIONS
    way = np.stack([np.cos(angles), np.sin(angles)])[:, :, None]
    reach = np.array(_DISTANCES) * height
    step = way * np.stack([reach, reach + 0.5 * height])[:, None]
    side = np.copysign([[[1.0]], [[0.0]]], way) + np.zeros_like(step)
    return step.reshape(2, -1), side.reshape(2, -1)


def _anywhere(request: Request, page: Box, height: float) -> Offer:
    """Return places all over the page, each with the nearest of a few anchors."""
    import numpy as np

    x = np.arange(page[0], page[2] + height, 2.0 * height)
    y = np.arange(page[1], page[3] + height, 1.5 * height)
    spots = np.stack(np.meshgrid(x, y, indexing="ij")).reshape(2, -1)
    anchors = np.array((request.anchors or request.spots)[:6], dtype=float).T
    away = np.linalg.norm(spots[:, :, None] - anchors[:, None], axis=0)
    return spots, anchors[:, away.argmin(axis=1)], 0


def _by_cost(
    request: Request, offer: Offer, raster: Raster, taken: Sequence[Box], height: float
) -> Iterator[Placed]:
    """Yield the label in the cheapest places on the page and clear of boxes, cheapest first."""
    import numpy as np

    middles, ends, spots = offer
    size = np.array(Text(request.text, (0.0, 0.0), height, bold=request.bold).box)
    boxes = np.concatenate([middles + size[:2, None], middles + size[2:, None]])
    near = np.minimum(np.maximum(ends, boxes[:2]), boxes[2:])
    reach = np.hypot(*(ends - near)) / height
    ink = raster.ink_in(boxes)
    cost = _INK_COST * ink
    cost[:spots] = _SPOT_INK_COST * ink[:spots]
    cost += _LEADER_COST * reach
    cost[~_free(boxes, raster.page, taken, GAP * height)] = math.inf

    def at(i: int) -> Placed:
        x, y = middles[:, i].tolist()
        text = Text(request.text, (x, y), height, bold=request.bold)
        if i < spots or reach[i] < 1e-6:
            return Placed(text, None)
        (x1, y1), (x2, y2) = near[:, i].tolist(), ends[:, i].tolist()
        return Placed(text, Stroke(((x1, y1), (x2, y2)), Pen.LEADER))

    first = int(cost.argmin()) if len(cost) else 0
    if len(cost) and cost[first] < math.inf:
        yield at(first)  # which mostly will do: only where it does not are the others put in order
        for i in np.argsort(cost, kind="stable")[1:_TRIES].tolist():
            if cost[i] == math.inf:
                return
            yield at(i)


def _free(boxes: Array, page: Box, taken: Sequence[Box], gap: float) -> Array:
    """Tell which boxes (4, n) lie on a page and at least a gap from others, (n,)."""
    import numpy as np

    left, low, right, high = boxes
    free = (left >= page[0]) & (low >= page[1]) & (right <= page[2]) & (high <= page[3])
    x1, y1, x2, y2 = np.reshape(taken, (-1, 4)).T[..., None]
    over = (right + gap > x1) & (left < x2 + gap) & (low < y2 + gap) & (high + gap > y1)
    return free & ~over.any(axis=0)


def _leaders_meet(one: _Taken, other: _Taken) -> bool:
    """Tell whether a leader of either of two labels runs through the other or its leader."""
    (box, leader), (its_box, its_leader) = one, other
    return bool(
        (leader and span_in_box(leader, its_box))
        or (its_leader and span_in_box(its_leader, box))
        or (leader and its_leader and _cross(leader, its_leader))
    )


def _cross(one: Sequence[Point], other: Sequence[Point]) -> bool:
    """Tell whether two straight pieces cross within both."""
    return _apart(one, other) and _apart(other, one)


def _apart(line: Sequence[Point], ends: Sequence[Point]) -> bool:
    """Tell whether two points lie on different sides of a line."""
    (x, y), (x1, y1) = line
    side, across = (((x1 - x) * (v - y) - (y1 - y) * (u - x)) for u, v in ends)
    return side * across < 0.0


def span_in_box(segment: Sequence[Point], box: Box) -> tuple[float, float] | None:
    """Return from where to where on a straight piece it runs within a box, as shares of it.

    Liang and Barsky's clipping. None where it passes the box by.
    """
    (x0, y0), (x1, y1) = segment[0], segment[-1]
    first, last = 0.0, 1.0
    for start, step, low, high in ((x0, x1 - x0, box[0], box[2]), (y0, y1 - y0, box[1], box[3])):
        if step == 0.0:
            if not low <= start <= high:
                return None
            continue
        near, far = sorted(((low - start) / step, (high - start) / step))
        first, last = max(first, near), min(last, far)
    return (first, last) if first <= last else None
