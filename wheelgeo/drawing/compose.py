"""One view of a drive with everything on it, in millimetres of the model."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from wheelgeo.drawing.dots import dots_of, ink_near
from wheelgeo.drawing.labels import Placed, Request, place_labels
from wheelgeo.drawing.marks import (
    DrawnDimension,
    case_box,
    name_requests,
    overall,
    rotation_choices,
    spacing_choices,
    travel_arrows,
)
from wheelgeo.drawing.scene import Scene
from wheelgeo.drawing.strokes import Box, Ink, InkArc, Pen, Point, Stroke, bounds
from wheelgeo.drawing.taken import span_in_box
from wheelgeo.drawing.view import DrawnPiece, View, axis_lines, case_lines, trace
from wheelgeo.errors import LayoutError
from wheelgeo.geometry.segments import comparable
from wheelgeo.immutable import dataclass
from wheelgeo.units.written import LengthWriter

Array = Any
"""A numpy array of points, (n, 2), mm."""

_GROWTH = 1.5
_GROWTHS = 10
_MARGIN = 6.0
"""Room round the lines that labels get at first, heights of a capital."""
_OFFSET_COST = 0.6


@dataclass(frozen=True)
class Composed:
    """A finished view.

    Attributes:
        view: the view.
        ink: its lines, arrows, leaders and text in drawing order, mm of the model.
        labels: the labels in their places.
        height: height of a capital, mm of the model.
    """

    view: View
    ink: tuple[Ink, ...]
    labels: tuple[Placed, ...]
    height: float

    @property
    def box(self) -> Box:
        """The box round everything."""
        return bounds(self.ink)


@dataclass(frozen=True)
class Traced:
    """The lines of a drive in a view, which are the same at every scale."""

    scene: Scene
    view: View
    case: tuple[Stroke, ...]
    pieces: tuple[DrawnPiece, ...]

    @property
    def box(self) -> Box:
        """The box round the drive itself, without its case."""
        return bounds([piece.ink for piece in self.pieces])


@lru_cache(maxsize=12)
def traced(scene: Scene, view: View) -> Traced:
    """Return the lines of a drive in a view; kept, since several drawings show the same."""
    return Traced(scene, view, tuple(case_lines(scene, view)), tuple(trace(scene, view)))


def compose(lines_of: Traced, height: float, lengths: LengthWriter, measured: bool) -> Composed:
    """Draw a view.

    Args:
        lines_of: the lines of the drive in that view.
        height: height of a capital, mm of the model.
        lengths: writes a length for people.
        measured: whether dimensions and rim diameters are on it, or names only.

    Returns:
        The view; its labels stand clear of one another.
    """
    import numpy as np

    scene, view, pieces = lines_of.scene, lines_of.view, lines_of.pieces
    lines: list[Ink] = [*lines_of.case, *_centre_lines(scene, view, height)]
    lines += [piece.ink for piece in pieces]
    marks = travel_arrows(scene.cords, view, height)
    drawn = _dots([*lines, *marks], height)
    turns = _rotations(scene, view, height, drawn)
    drawn = np.vstack([drawn, _dots(turns, height)])
    marks += turns
    dimensions = _dimensions(scene, view, height, lengths, drawn) if measured else []
    if measured:
        dimensions += overall(case_box(scene, view) or lines_of.box, height, lengths)
    requests = [d.label for d in dimensions]
    requests += name_requests(scene, pieces, view, lengths, measured)
    ink = [*lines, *marks, *(i for d in dimensions for i in d.ink)]
    placed = _place(requests, ink, height)
    leaders = [p.leader for p in placed if p.leader is not None]
    opened = [piece for d, p in zip(dimensions, placed, strict=False) for piece in _opened(d, p)]
    words = (p.text for p in placed)
    return Composed(view, (*lines, *marks, *opened, *leaders, *words), placed, height)


def _opened(dimension: DrawnDimension, label: Placed) -> list[Ink]:
    """Return the ink of a dimension, its line opened where its own label stands on it."""
    line, *rest = dimension.ink
    if not isinstance(line, Stroke):
        return [line, *rest]
    span = span_in_box(line.points, label.box)
    if span is None:
        return [line, *rest]
    (x1, y1), (x2, y2) = line.points
    cuts = [(x1 + (x2 - x1) * t, y1 + (y2 - y1) * t) for t in span]
    halves = [(line.points[0], cuts[0]), (cuts[1], line.points[1])]
    return [*(Stroke(h, line.pen) for h in halves if math.dist(*h) > 1e-6), *rest]


def _centre_lines(scene: Scene, view: View, height: float) -> list[Ink]:
    """Return the centre-lines of rods; those that fall on one another are drawn once."""
    strokes: dict[tuple[tuple[float, float], ...], Stroke] = {}
    for body in scene.of_kind("shaft"):
        for stroke in axis_lines(body, view, 1.2 * height):
            key = tuple((round(x, 6), round(y, 6)) for x, y in stroke.points)
            strokes.setdefault(key, stroke)
    return list(strokes.values())


def _dots(ink: Sequence[Ink], height: float) -> Array:
    return dots_of(ink, 0.4 * height)


def _cover(choices: Sequence[Sequence[Ink]], drawn: Array, height: float) -> list[float]:
    """Return for each choice of new ink how much of what is drawn it would run over."""
    (x1, y1), (x2, y2) = drawn.min(axis=0).tolist(), drawn.max(axis=0).tolist()
    page = (x1, y1, x2, y2)
    return ink_near(drawn, page, height, [_dots(ink, height) for ink in choices])


def _rotations(scene: Scene, view: View, height: float, drawn: Array) -> list[Ink]:
    import numpy as np

    arrows: list[Ink] = []
    for turning in scene.turnings:
        choices = list(rotation_choices(turning, view, height))
        costs = _cover(choices, drawn, height)
        best = choices[costs.index(min(costs))]
        arrows += best
        drawn = np.vstack([drawn, _dots(best, height)])
    return arrows


def _dimensions(
    scene: Scene, view: View, height: float, lengths: LengthWriter, drawn: Array
) -> list[DrawnDimension]:
    """Return each centre distance that is seen in its true length, where it covers least."""
    import numpy as np

    found: list[DrawnDimension] = []
    seen: set[frozenset[Point]] = set()
    for spacing in scene.spacings:
        ends = frozenset(comparable(view.place(p)) for p in (spacing.start, spacing.end))
        choices = spacing_choices(spacing, view, height, lengths)
        if not choices or ends in seen:
            continue
        seen.add(ends)
        covers = _cover([c.ink for c in choices], drawn, height)
        costs = [cover + _OFFSET_COST * i for i, cover in enumerate(covers)]
        best = choices[costs.index(min(costs))]
        found.append(best)
        drawn = np.vstack([drawn, _dots(best.ink, height)])
    return found


def _place(requests: list[Request], ink: list[Ink], height: float) -> tuple[Placed, ...]:
    """Place the labels on a page that grows until it has room."""
    dots = _weighted(ink, height)
    x1, y1, x2, y2 = bounds(ink)
    margin = _MARGIN * height
    for _ in range(_GROWTHS):
        page = (x1 - 1.6 * margin, y1 - margin, x2 + 1.6 * margin, y2 + margin)
        try:
            return place_labels(requests, dots, page, height)
        except LayoutError:
            margin *= _GROWTH
    return place_labels(requests, dots, page, height)


def _weighted(ink: list[Ink], height: float) -> Array:
    """Return the dots of ink that labels should keep clear of: all but the faintest lines."""
    faint = (Pen.CENTRE, Pen.HIDDEN)
    kept = [i for i in ink if not (isinstance(i, Stroke | InkArc) and i.pen in faint)]
    return _dots(kept, height)
