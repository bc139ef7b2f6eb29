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
from itertools import pairwise
from typing import Any, NamedTuple

from wheelgeo.drawing.dots import Array, Raster, raster_of
from wheelgeo.drawing.strokes import Box, Pen, Point, Stroke, Text
from wheelgeo.drawing.taken import Taken, near_by
from wheelgeo.errors import LayoutError
from wheelgeo.immutable import dataclass

GAP = 0.5
"""Least distance between two labels, in heights of a capital."""
_DISTANCES = (0.9, 1.6, 2.6, 4.0, 6.0, 9.0, 13.0, 18.0)
_CLOSEST = 3
"""So many of the least distances are looked at first."""
_DIRECTIONS = 16
_UNDER, _OVER = 0.85, 0.75
"""How far the box of a text reaches below and above its middle, heights of a capital."""
_INK_COST = 3.0
_SPOT_INK_COST = 0.03
"""A label on its spot stands on its own dimension line, which is no fault."""
_LEADER_COST = 1.4
_ANCHORS = 64
"""Round so many the places are priced in one go."""
_TRIES = 200
"""Places that are tried for one whose leader crosses nothing."""
_LOOKS = 8
"""So often the cheapest place is looked at alone, before all of them are put in order."""

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
    close = [own for some in _groups(wanted) for own in _close(some, raster, height)]
    placed: dict[int, Placed] = {}
    taken = Taken(len(wanted))
    order = sorted(range(len(wanted)), key=lambda i: (wanted[i].rank, -len(wanted[i].text), i))
    for i in order:
        own = placed[i] = _place(wanted[i], close[i], raster, taken, height)
        taken.add(own.box, _ends(own))
    return tuple(placed[i] for i in range(len(wanted)))


class _Places(NamedTuple):
    """Places for labels, n of them, and what each costs.

    Their middles (2, n), their boxes (4, n), where their leaders lead to (2, n), and their costs
    (n,), infinite off the page.
    """

    middles: Array
    boxes: Array
    ends: Array
    cost: Array

    def some(self, which: slice) -> _Places:
        """Return some of them."""
        return _Places(*(each[..., which] for each in self))

    def and_then(self, more: _Places) -> _Places:
        """Return these and others after them."""
        import numpy as np

        return _Places(*(np.concatenate(both, axis=-1) for both in zip(self, more, strict=True)))


def _place(
    request: Request, close: _Places, raster: Raster, taken: Taken, height: float
) -> Placed:
    crossing: Placed | None = None
    for places in _offers(request, close, raster, height):
        for some in _cheapest_first(places, taken, GAP * height):
            best = _label(request, places, some[0], height)
            if not taken.reached_by(best.box, _ends(best)):
                return best
            boxes, leaders = places.boxes[:, some], _leaders(places, some, height)
            clear = some[~taken.meet(boxes, leaders)]
            if len(clear):
                return _label(request, places, clear[0], height)
            crossing = crossing or best
    if crossing is not None:
        return crossing
    raise LayoutError(f'the page has no room for the label "{request.text}"')


def _offers(
    request: Request, close: _Places, raster: Raster, height: float
) -> Iterator[_Places]:
    yield close
    yield from _near([request], raster, height, _DISTANCES)
    yield _anywhere(request, raster, height)


def _label(request: Request, places: _Places, i: int, height: float) -> Placed:
    text = Text(request.text, tuple(places.middles[:, i].tolist()), height, bold=request.bold)
    x, y, u, v = _leaders(places, slice(i, i + 1), height)[:, 0].tolist()
    leader = None if math.isnan(x) else Stroke(((x, y), (u, v)), Pen.LEADER)
    return Placed(text, leader)


def _ends(label: Placed) -> tuple[Point, ...] | None:
    return None if label.leader is None else label.leader.points


def _leaders(places: _Places, some: Any, height: float) -> Array:
    """Return where the leaders of some places run, (4, k): from where the label is nearest.

    Not a number where the label stands at their end already, and has none.
    """
    import numpy as np

    boxes, ends = places.boxes[:, some], places.ends[:, some]
    starts = np.minimum(np.maximum(ends, boxes[:2]), boxes[2:])
    leaders = np.concatenate([starts, ends])
    leaders[:, np.hypot(*(ends - starts)) < 1e-6 * height] = math.nan
    return leaders


def _half_width(request: Request, height: float) -> float:
    return 0.5 * Text(request.text, (0.0, 0.0), height, bold=request.bold).width


def _groups(requests: Iterable[Request]) -> Iterator[list[Request]]:
    """Yield labels whose places are priced in one go: many, but so few that memory stays fast."""
    group: list[Request] = []
    anchors = 0
    for request in requests:
        anchors += len(request.anchors)
        if group and anchors > _ANCHORS:
            yield group
            group, anchors = [], len(request.anchors)
        group.append(request)
    if group:
        yield group


def _close(requests: Sequence[Request], raster: Raster, height: float) -> list[_Places]:
    """Return for each label those of its places at the least distances that no farther one beats.

    Most labels get one of them, and the others need not be priced.
    """
    found = _near(requests, raster, height, _DISTANCES[:_CLOSEST])
    for places in found:
        places.cost[places.cost >= _farther_cost()] = math.inf
    return found


@lru_cache(maxsize=1)
def _farther_cost() -> float:
    """Return less than any place at the greater distances costs, by its leader alone."""
    import numpy as np

    (x, y), _ = _steps(1.0, _DISTANCES[_CLOSEST:])
    shortest: float = np.hypot(x, np.maximum(np.abs(y) - _UNDER, 0.0)).min().item()
    return _LEADER_COST * shortest - 1e-6


def _near(
    requests: Sequence[Request], raster: Raster, height: float, distances: tuple[float, ...]
) -> list[_Places]:
    """Return for each label its places on its spots and round its anchors, at some distances."""
    import numpy as np

    halves = np.array([_half_width(request, height) for request in requests])

    def all_of(points: Sequence[Sequence[Point]]) -> tuple[Array, Array, list[int]]:
        counts = [len(own) for own in points]
        flat = np.array([p for own in points for p in own], dtype=float).reshape(-1, 2).T
        return flat, np.repeat(halves, counts), [0, *np.cumsum(counts).tolist()]

    spots, half, first_spot = all_of([request.spots for request in requests])
    on_spots = _priced(spots, spots, half, raster, height, _SPOT_INK_COST)
    ends, half, first_end = all_of([request.anchors for request in requests])
    step, side = _steps(height, distances)
    middles = ends[..., None] + (step[:, None] + half[:, None] * side[:, None])
    ends, half = (np.repeat(each, step.shape[1], axis=-1) for each in (ends, half))
    round_them = _priced(middles.reshape(2, -1), ends, half, raster, height, _INK_COST)
    return [
        on_spots.some(slice(*own_spots)).and_then(own) if request.spots else own
        for request, own_spots, own_ends in zip(
            requests, pairwise(first_spot), pairwise(first_end), strict=True
        )
        for own in [round_them.some(slice(*(step.shape[1] * i for i in own_ends)))]
    ]


@lru_cache(maxsize=16)
def _steps(height: float, distances: tuple[float, ...]) -> tuple[Array, Array]:
    """Return steps from an anchor to a label's near end, (2, n), and which side it goes, (2, n)."""
    import numpy as np

    angles = math.tau * (np.arange(_DIRECTIONS) + 0.5) / _DIRECTIONS
    way = np.stack([np.cos(angles), np.sin(angles)])[:, :, None]
    reach = np.array(distances) * height
    step = way * np.stack([reach, reach + 0.5 * height])[:, None]
    side = np.copysign([[[1.0]], [[0.0]]], way) + np.zeros_like(step)
    return step.reshape(2, -1), side.reshape(2, -1)


def _anywhere(request: Request, raster: Raster, height: float) -> _Places:
    """Return places all over the page, each with the nearest of a few anchors."""
    import numpy as np

    page = raster.page
    x = np.arange(page[0], page[2] + height, 2.0 * height)
    y = np.arange(page[1], page[3] + height, 1.5 * height)
    middles = np.stack(np.meshgrid(x, y, indexing="ij")).reshape(2, -1)
    anchors = np.array((request.anchors or request.spots)[:6], dtype=float).T
    away = np.linalg.norm(middles[:, :, None] - anchors[:, None], axis=0)
    ends, half = anchors[:, away.argmin(axis=1)], _half_width(request, height)
    return _priced(middles, ends, half, raster, height, _INK_COST)


def _priced(
    middles: Array, ends: Array, half: Array | float, raster: Raster, height: float, ink_cost: float
) -> _Places:
    """Return places from the middles (2, n) and half widths (n,) of labels and their leaders' ends.

    A leader begins where the label is nearest to its end.
    """
    import numpy as np

    boxes = np.empty((4, middles.shape[1]))
    (x, y), (left, low, right, high), page = middles, boxes, raster.page
    left[:], right[:] = x - half, x + half
    low[:], high[:] = y - _UNDER * height, y + _OVER * height
    near = np.minimum(np.maximum(ends, boxes[:2]), boxes[2:])
    cost = ink_cost * raster.ink_in(boxes) + _LEADER_COST * (np.hypot(*(ends - near)) / height)
    free = (left >= page[0]) & (low >= page[1]) & (right <= page[2]) & (high <= page[3])
    cost[~free] = math.inf
    return _Places(middles, boxes, ends, cost)


def _cheapest_first(places: _Places, taken: Taken, gap: float) -> Iterator[Array]:
    """Yield places at least a gap from labels, the cheapest first, some and some more at a time.

    Of equal ones the first comes first.
    """
    import numpy as np

    cost, left = places.cost, _TRIES
    for _ in range(_LOOKS):
        best = int(cost.argmin()) if len(cost) else 0
        if not len(cost) or cost[best] == math.inf:
            return
        over = taken.under(places.boxes[:, best].tolist(), gap)
        if over is None:
            yield np.array([best])  # which mostly will do: only else are the others put in order
            cost[best], left = math.inf, left - 1
            break
        cost[near_by(places.boxes, over, gap)] = math.inf
    order, count = np.argsort(cost, kind="stable"), _LOOKS
    while left and len(order):
        some, order = order[:count], order[count:]
        some = some[cost[some] < math.inf]
        if not len(some):
            return
        free = some[~taken.lie_over(places.boxes[:, some], gap)][:left]
        if len(free):
            yield free
        left, count = left - len(free), 4 * count
