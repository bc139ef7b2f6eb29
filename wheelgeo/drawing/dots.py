"""Ink as dots, and how many of them a box would cover: what labels and arrows keep off.

Dots are held as a raster of *inked cells* over a page, whose running sums tell in one step how many
of them lie in a box.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Any

from wheelgeo.drawing.strokes import Box, Ink, InkArc, Point, Text
from wheelgeo.immutable import dataclass

Array = Any
"""A numpy array."""


def dots_of(inks: Iterable[Ink], step: float) -> Array:
    """Return points along ink, ends included, no farther apart than a step; of text its corners.

    Args:
        inks: what is drawn.
        step: the step, in the unit of the ink, more than 0.

    Returns:
        The points, (n, 2): of one piece of ink in their order along it.
    """
    import numpy as np

    found: list[Array] = []
    chains: list[Sequence[Point]] = []
    for ink in inks:
        if isinstance(ink, InkArc):
            found.append(_on_arc(ink, step))
        elif isinstance(ink, Text):
            x1, y1, x2, y2 = ink.box
            chains += [[corner] for corner in ((x1, y1), (x2, y1), (x2, y2), (x1, y2))]
        else:
            chains.append(ink.points)
    found.append(np.array([chain[0] for chain in chains]).reshape(-1, 2))
    found.append(_after_first([ends for chain in chains for ends in pairwise(chain)], step))
    return np.concatenate(found)


def _on_arc(arc: InkArc, step: float) -> Array:
    sweep = arc.end_deg - arc.start_deg
    count = max(4, math.ceil(math.radians(sweep) * arc.radius / step))
    return arc.centre + arc.radius * _directions(arc.start_deg, sweep, count)


@lru_cache(maxsize=1024)
def _directions(start_deg: float, sweep_deg: float, count: int) -> Array:
    """Return unit vectors at even angles, (count + 1, 2); kept, since most circles stay or move."""
    import numpy as np

    angles = [math.radians(start_deg + sweep_deg * i / count) for i in range(count + 1)]
    return np.array([(math.cos(angle), math.sin(angle)) for angle in angles])


def _after_first(pieces: Sequence[tuple[Point, Point]], step: float) -> Array:
    """Return points along straight pieces, the end of each but not its start, (n, 2)."""
    import numpy as np

    if not pieces:
        return np.empty((0, 2))
    counts = np.array([max(1, math.ceil(math.dist(a, b) / step)) for a, b in pieces])
    start, end = np.array(pieces).transpose(1, 0, 2)
    last = counts.cumsum()
    number = np.arange(1, last[-1] + 1) - np.repeat(last - counts, counts)
    run, of, first = (np.repeat(x, counts, axis=0) for x in (end - start, counts, start))
    dots = first + run * number[:, None] / of[:, None]
    dots[last - 1] = end
    return dots


@dataclass(frozen=True)
class Raster:
    """Running sums of inked cells over a page, row by row: one row and one column more than it."""

    page: Box
    cell: float
    sums: Array

    def ink_in(self, boxes: Array) -> Array:
        """Return how many inked cells each box (left, low, right, high), (4, n), covers, (n,)."""
        import numpy as np

        rows, columns = (n - 1 for n in self.sums.shape)
        x, y = self.page[:2]
        cells = (boxes - [[x], [y], [x], [y]]) / self.cell
        np.ceil(cells[2:], out=cells[2:])
        cells = cells.astype(int).clip(0, [[columns], [rows], [columns], [rows]])
        cells[1::2] *= columns + 1
        left, low, right, high = cells
        sums = self.sums.ravel().take
        return sums(high + right) - sums(low + right) - sums(high + left) + sums(low + left)


def raster_of(dots: Array, page: Box, cell: float) -> Raster:
    """Return dots (n, 2) as inked cells of a page; those beside it are left out."""
    import numpy as np

    columns = max(1, math.ceil((page[2] - page[0]) / cell))
    rows = max(1, math.ceil((page[3] - page[1]) / cell))
    grid = np.zeros((rows + 1, columns + 1), dtype=np.int32)
    if len(dots):
        i, j = np.floor((dots - page[:2]) / cell).astype(int).T
        on_page = (i >= 0) & (i < columns) & (j >= 0) & (j < rows)
        grid[j[on_page] + 1, i[on_page] + 1] = 1
    sums = grid.cumsum(axis=1, dtype=np.int32, out=grid)
    for j in range(1, rows + 1):  # whole rows: numpy's own sum goes down column by column
        sums[j] += sums[j - 1]
    return Raster(page, cell, sums)


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

    raster, half = raster_of(ink, page, 0.5 * height), 0.6 * height
    boxes = (np.concatenate([group.T - half, group.T + half]) for group in groups)
    return [float(raster.ink_in(each).mean()) for each in boxes]
