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
    crossing: Placed | None = None
    for offer in (_near, _anywhere):
        places = offer(request, raster.page, height)
        for spot, anchor in _free_by_cost(request, places, raster, placed, height):
            label = _label(request, spot, anchor, height)
            if not any(_leaders_meet(label, other) for other in placed):
                return label
            crossing = crossing or label
    if crossing is not None:
        return crossing
    raise LayoutError(f'the page has no room for the label "{request.text}"')


Candidate = tuple[Point, Point | None]
"""The middle of a label and the anchor of its leader."""
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
    request: Request, offer: Offer, raster: _Raster, placed: list[Placed], height: float
) -> Iterator[Candidate]:
    """Yield the cheapest places that are on the page and clear of all labels, in order."""
    import numpy as np

    size = np.array(Text(request.text, (0.0, 0.0), height, bold=request.bold).box)
    boxes = np.hstack([offer[0], offer[0]]) + size
    page, gap = raster.page, GAP * height
    free = (boxes[:, 0] >= page[0]) & (boxes[:, 1] >= page[1])
    free &= (boxes[:, 2] <= page[2]) & (boxes[:, 3] <= page[3])
    for left, low, right, high in (p.box for p in placed):
        clear = (boxes[:, 0] >= right + gap) | (left >= boxes[:, 2] + gap)
        free &= clear | (boxes[:, 1] >= high + gap) | (low >= boxes[:, 3] + gap)
    boxes = boxes[free]
    spots, ends, led = (column[free] for column in offer)
    near = np.clip(ends, boxes[:, :2], boxes[:, 2:])
    reach = np.hypot(*(ends - near).T) / height
    cost = np.where(led, _INK_COST, _SPOT_INK_COST) * raster.ink_in(boxes) + _LEADER_COST * reach
    for i in np.argsort(cost, kind="stable")[:_TRIES]:
        yield _pair(spots[i]), _pair(ends[i]) if led[i] else None


def _pair(row: Array) -> Point:
    return (float(row[0]), float(row[1]))


def _nearest(spot: Point, size: Box, anchor: Point) -> Point:
    x = min(max(anchor[0], spot[0] + size[0]), spot[0] + size[2])
    y = min(max(anchor[1], spot[1] + size[1]), spot[1] + size[3])
    return (x, y)


def _label(request: Request, spot: Point, anchor: Point | None, height: float) -> Placed:
    text = Text(request.text, spot, height, bold=request.bold)
    if anchor is None:
        return Placed(text, None)
    start = _nearest(spot, Text(request.text, (0.0, 0.0), height, bold=request.bold).box, anchor)
    if math.dist(start, anchor) < 1e-6 * height:
        return Placed(text, None)
    return Placed(text, Stroke((start, anchor), Pen.LEADER))


def _leaders_meet(a: Placed, b: Placed) -> bool:
    """Tell whether the leader of one label crosses the other label or its leader."""
    for one, other in ((a, b), (b, a)):
        if one.leader is not None and segment_meets_box(one.leader.points, other.box):
            return True
    both = a.leader is not None and b.leader is not None
    return both and segments_cross(a.leader.points, b.leader.points)  # type: ignore[union-attr]


def segment_meets_box(segment: Sequence[Point], box: Box) -> bool:
    """Tell whether a straight piece runs through a box."""
    return span_in_box(segment, box) is not None


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


def segments_cross(a: Sequence[Point], b: Sequence[Point]) -> bool:
    """Tell whether two straight pieces cross at a point within both."""

    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    (p, q), (r, s) = (a[0], a[-1]), (b[0], b[-1])
    return side(p, q, r) * side(p, q, s) < 0.0 and side(r, s, p) * side(r, s, q) < 0.0
