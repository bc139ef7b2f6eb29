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
from collections.abc import Iterable, Sequence
from typing import Any

from wheelgeo.drawing.strokes import Box, Pen, Point, Stroke, Text
from wheelgeo.errors import LayoutError
from wheelgeo.immutable import dataclass

Array = Any
"""A numpy array."""

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
_BLOCKS = (8, 40)
"""Of these, how many have been asked at each step, before the rest."""


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


@dataclass(frozen=True)
class _Raster:
    """Running sums of ink in cells over a page."""

    page: Box
    cell: float
    sums: Array

    def ink_in(self, boxes: Array) -> Array:
        """Return how many inked cells each box (n, 4) covers, (n,)."""
        import numpy as np

        rows, columns = (n - 1 for n in self.sums.shape)
        low = np.array([self.page[0], self.page[1]])
        first = np.floor((boxes[:, :2] - low) / self.cell).astype(int)
        last = np.ceil((boxes[:, 2:] - low) / self.cell).astype(int)
        i0, i1 = (np.clip(x[:, 0], 0, columns) for x in (first, last))
        j0, j1 = (np.clip(x[:, 1], 0, rows) for x in (first, last))
        s = self.sums
        return s[j1, i1] - s[j0, i1] - s[j1, i0] + s[j0, i0]


def _raster(ink: Array, page: Box, cell: float) -> _Raster:
    import numpy as np

    columns = max(1, math.ceil((page[2] - page[0]) / cell))
    rows = max(1, math.ceil((page[3] - page[1]) / cell))
    grid = np.zeros((rows + 1, columns + 1))
    if len(ink):
        points = (ink - np.array(page[:2])) / cell
        i, j = np.floor(points).astype(int).T
        on_page = (i >= 0) & (i < columns) & (j >= 0) & (j < rows)
        grid[j[on_page] + 1, i[on_page] + 1] = 1.0
    return _Raster(page, cell, grid.cumsum(axis=0).cumsum(axis=1))


def ink_near(ink: Array, page: Box, height: float, groups: Sequence[Array]) -> list[float]:
    """Return how much ink lies near each of several groups of points.

    Args:
        ink: points of what is drawn, no farther apart than half a height, mm, (n, 2).
        page: the page, mm; nothing is drawn outside it.
        height: height of a capital, mm.
        groups: the groups of points, mm, each (m, 2).

    Returns:
        For each group the mean number of inked cells within 0.6 heights of its points.
    """
    import numpy as np

    raster, half = _raster(ink, page, 0.5 * height), 0.6 * height
    reach = np.array([-half, -half, half, half])
    return [float(raster.ink_in(np.hstack([c, c]) + reach).mean()) for c in groups]


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
    dots = np.vstack([np.reshape(ink, (-1, 2)), np.reshape(anchors, (-1, 2))])
    raster = _raster(dots, page, 0.5 * height)
    placed: dict[int, Placed] = {}
    order = sorted(range(len(wanted)), key=lambda i: (wanted[i].rank, -len(wanted[i].text), i))
    for i in order:
        placed[i] = _place(wanted[i], raster, list(placed.values()), height)
    return tuple(placed[i] for i in range(len(wanted)))


def _place(request: Request, raster: _Raster, placed: list[Placed], height: float) -> Placed:
    import numpy as np

    boxes = np.array([p.box for p in placed]).reshape(-1, 4)
    leaders = [p.leader.points for p in placed if p.leader is not None]
    taken = boxes, np.array(leaders, dtype=float).reshape(-1, 4)
    crossing: Placed | None = None
    for offer in (_near, _anywhere):
        places = _free_by_cost(request, offer(request, raster.page, height), raster, boxes, height)
        # Mostly one of the first will do; on a crowded page many are asked at once.
        for few in map(slice, (0, *_BLOCKS), (*_BLOCKS, _TRIES)):
            spots, own, lines, led = (column[few] for column in places)
            clear = np.flatnonzero(~_leaders_meet(own, lines, led, *taken))
            if len(clear):
                i = clear[0]
                return _label(request, spots[i], lines[i] if led[i] else None, height)
            if crossing is None and len(spots):
                crossing = _label(request, spots[0], lines[0] if led[0] else None, height)
    if crossing is not None:
        return crossing
    raise LayoutError(f'the page has no room for the label "{request.text}"')


Places = tuple[Array, Array, Array, Array]
"""Middles of a label (n, 2), its boxes (n, 4), its leaders (n, 4), whether it has one (n,)."""
Offer = tuple[Array, Array, Array]
"""Middles of a label (n, 2), ends of its leader (n, 2), and whether it has one (n,)."""


def _near(request: Request, page: Box, height: float) -> Offer:  # noqa: ARG001
    """Return places on the spots and round the anchors, at growing distances."""
    import numpy as np

    half = 0.5 * Text(request.text, (0.0, 0.0), height, bold=request.bold).width
    angles = math.tau * (np.arange(_DIRECTIONS) + 0.5) / _DIRECTIONS
    way = np.stack([np.cos(angles), np.sin(angles)], axis=1)[:, None]
    reach = np.array(_DISTANCES)[:, None] * height
    step = way * (reach + np.array([0.0, 0.5 * height]))
    step[..., 0] += np.copysign(half, way[..., 0])
    ends = np.array(request.anchors, dtype=float).reshape(-1, 1, 2)
    round_them = (ends + step.reshape(1, -1, 2)).reshape(-1, 2)
    ends = np.repeat(ends.reshape(-1, 2), _DIRECTIONS * len(_DISTANCES), axis=0)
    spots = np.array(request.spots, dtype=float).reshape(-1, 2)
    led = np.arange(len(spots) + len(ends)) >= len(spots)
    return np.vstack([spots, round_them]), np.vstack([spots, ends]), led


def _anywhere(request: Request, page: Box, height: float) -> Offer:
    """Return places all over the page, each with the nearest of a few anchors."""
    import numpy as np

    x = np.arange(page[0], page[2] + height, 2.0 * height)
    y = np.arange(page[1], page[3] + height, 1.5 * height)
    spots = np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1).reshape(-1, 2)
    anchors = np.array((request.anchors or request.spots)[:6], dtype=float)
    away = np.linalg.norm(spots[:, None] - anchors, axis=2)
    return spots, anchors[away.argmin(axis=1)], np.ones(len(spots), dtype=bool)


def _free_by_cost(
    request: Request, offer: Offer, raster: _Raster, placed: Array, height: float
) -> Places:
    """Return the cheapest places on the page and clear of all labels' boxes (m, 4), in order."""
    import numpy as np

    size = np.array(Text(request.text, (0.0, 0.0), height, bold=request.bold).box)
    boxes = np.hstack([offer[0], offer[0]]) + size
    page, gap = raster.page, GAP * height
    free = (boxes[:, 0] >= page[0]) & (boxes[:, 1] >= page[1])
    free &= (boxes[:, 2] <= page[2]) & (boxes[:, 3] <= page[3])
    # From left to right, a label already placed can only stand over a stretch of the places.
    order = np.argsort(boxes[:, 0], kind="stable")
    left, low, right, high = boxes[order].T + np.array([[0.0], [0.0], [gap], [gap]])
    starts = np.searchsorted(right, placed[:, 0], side="right")
    stops = np.searchsorted(left, placed[:, 2] + gap, side="left")
    for start, stop, other in zip(starts, stops, placed, strict=True):
        over = (low[start:stop] < other[3] + gap) & (other[1] < high[start:stop])
        free[order[start:stop][over]] = False
    boxes = boxes[free]
    spots, ends, led = (column[free] for column in offer)
    near = np.clip(ends, boxes[:, :2], boxes[:, 2:])
    reach = np.hypot(*(ends - near).T) / height
    cost = np.where(led, _INK_COST, _SPOT_INK_COST) * raster.ink_in(boxes) + _LEADER_COST * reach
    best = np.argsort(cost, kind="stable")[:_TRIES]
    leaders = np.hstack([near, ends])
    return spots[best], boxes[best], leaders[best], (led & (reach >= 1e-6))[best]


def _label(request: Request, spot: Array, line: Array | None, height: float) -> Placed:
    text = Text(request.text, (float(spot[0]), float(spot[1])), height, bold=request.bold)
    if line is None:
        return Placed(text, None)
    x0, y0, x1, y1 = line.tolist()
    return Placed(text, Stroke(((x0, y0), (x1, y1)), Pen.LEADER))


def _leaders_meet(
    boxes: Array, leaders: Array, led: Array, others: Array, other_leaders: Array
) -> Array:
    """Tell of each place (n,) whether a leader would cross another label or its leader."""
    through = _run_through(leaders, others).any(axis=1)
    crossed = _cross(leaders, other_leaders).any(axis=1)
    return led & (through | crossed) | _run_through(other_leaders, boxes).any(axis=0)


def _run_through(lines: Array, boxes: Array) -> Array:
    """Tell of straight pieces (n, 4) and boxes (m, 4) which runs through which, (n, m).

    Liang and Barsky's clipping, as `span_in_box` does it of one.
    """
    import numpy as np

    first, last = np.zeros((len(lines), len(boxes))), np.ones((len(lines), len(boxes)))
    for i in (0, 1):
        start, step = lines[:, i, None], (lines[:, i + 2] - lines[:, i])[:, None]
        low, high = boxes[:, i] - start, boxes[:, i + 2] - start
        level, safe = step == 0.0, np.where(step == 0.0, 1.0, step)
        # Along a side of the box: between its two others all the way, or never.
        never = np.where((low <= 0.0) & (high >= 0.0), 0.0, np.inf)
        near, far = np.minimum(low / safe, high / safe), np.maximum(low / safe, high / safe)
        first = np.maximum(first, np.where(level, never, near))
        last = np.minimum(last, np.where(level, 1.0, far))
    return first <= last


def _cross(lines: Array, others: Array) -> Array:
    """Tell which straight pieces (n, 4) cross which others (m, 4) within both, (n, m)."""

    def sides(a: Array, b: Array) -> Array:
        """Return whether the ends of a lie on different sides of b."""
        x, y, run, rise = b[..., 0], b[..., 1], b[..., 2] - b[..., 0], b[..., 3] - b[..., 1]
        one = run * (a[..., 1] - y) - rise * (a[..., 0] - x)
        other = run * (a[..., 3] - y) - rise * (a[..., 2] - x)
        return one * other < 0.0

    one, two = lines[:, None], others[None]
    return sides(one, two) & sides(two, one)


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
