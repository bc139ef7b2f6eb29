"""The general drawing: every body of the wheel as built in outline, numbered, plan and side.

Boards are drawn by all their edges and turned bodies by their sides, seen through one another, so
that what stands behind is found too; the list below the drawing names the numbers.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BoardShape, BuiltBody, TurnedShape
from wheelgeo.drawing.drive_drawing import scale_text
from wheelgeo.drawing.figure import PaperFigure
from wheelgeo.drawing.scene_of_wheel import scene_of
from wheelgeo.drawing.strokes import Ink, InkArc, Pen, Point, Stroke, Text, bounds, moved
from wheelgeo.drawing.view import PLAN, View, side_view
from wheelgeo.drive.train import Solution
from wheelgeo.geometry.vectors import Vector, across, along, cross, norm, unit

NUMBER_MM = 2.0
"""Height of a number on paper, mm."""
SCALES = (2.0, 1.0, 0.5, 0.4, 0.25, 0.2, 0.125, 0.1, 0.08, 0.05)
_PENS = {
    "pulley": Pen.OUTLINE, "rod": Pen.OUTLINE, "cop": Pen.PHANTOM, "wall": Pen.CASE,
    "lid": Pen.CASE, "floor": Pen.CASE,
}  # fmt: skip


def numbered(solution: Solution) -> tuple[tuple[int, BuiltBody], ...]:
    """Return every body of a wheel with its number on the general drawing."""
    return tuple(enumerate(bodies(build(solution.design)), start=1))


def general_figures(solution: Solution, width_mm: float = 180.0) -> tuple[PaperFigure, ...]:
    """Return plan and side view of all bodies, numbered.

    Args:
        solution: the solved wheel.
        width_mm: greatest width on paper, mm.
    """
    views = (PLAN, side_view(scene_of(solution)))
    return tuple(_figure(solution, view, width_mm) for view in views)


def _figure(solution: Solution, view: View, width_mm: float) -> PaperFigure:
    found = numbered(solution)
    drawn = [(number, tuple(_lines(body, view))) for number, body in found]
    x1, y1, x2, y2 = bounds([piece for _, ink in drawn for piece in ink])
    size = max((x2 - x1) / (width_mm - 12.0), (y2 - y1) / 120.0)
    factor = next((k for k in SCALES if k * size <= 1.0), SCALES[-1])
    shift = (6.0 - x1 * factor, 6.0 - y1 * factor)
    paper = [(n, [moved(i, factor, shift) for i in ink]) for n, ink in drawn]
    lines = list(_once(piece for _, ink in paper for piece in ink))
    wide, tall = (x2 - x1) * factor + 12.0, (y2 - y1) * factor + 12.0
    words = list(_numbers(paper, (wide, tall)))
    title = f"general drawing, {view.name}, {scale_text(factor)}"
    says = f"Every body in outline, {view.name}: " + ", ".join(f"{n} {b.name}" for n, b in found)
    return PaperFigure(wide, tall, (*lines, *words), title, says)


def _lines(body: BuiltBody, view: View) -> Iterable[Ink]:
    pen, shape = _PENS.get(body.kind, Pen.FINE), body.shape
    if isinstance(shape, BoardShape):
        yield from _board_lines(shape, view, pen)
    else:
        yield from _turned_lines(shape, view, pen)


def _board_lines(shape: BoardShape, view: View, pen: Pen) -> Iterable[Ink]:
    corners = [[view.place(shape.point(x, y, z)) for x, y in shape.outline]
               for z in (shape.low, shape.high)]  # fmt: skip
    edges = [(ring[i - 1], ring[i]) for ring in corners for i in range(len(ring))]
    edges += list(zip(*corners, strict=True))
    yield from (Stroke(edge, pen) for edge in edges if math.dist(*edge) > 1e-6)


def _turned_lines(shape: TurnedShape, view: View, pen: Pen) -> Iterable[Ink]:
    widest = max(r for _, r in shape.outline)
    if view.sees_flat(shape.axis):
        yield InkArc(view.place(shape.origin), widest, 0.0, 360.0, pen)
        return
    side = cross(shape.axis, view.to_eye)
    aside = unit(side) if norm(side) > 1e-9 else across(shape.axis)[0]
    for sign in (1.0, -1.0):
        ring: list[Vector] = [
            along(along(shape.origin, shape.axis, z), aside, sign * r) for z, r in shape.outline
        ]
        flat = [view.place(point) for point in ring]
        edges = [(flat[i - 1], flat[i]) for i in range(len(flat))]
        yield from (Stroke(edge, pen) for edge in edges if math.dist(*edge) > 1e-6)


def _once(ink: Iterable[Ink]) -> Iterable[Ink]:
    """Yield ink without the lines that fall on one before."""
    seen: set[object] = set()
    for piece in ink:
        key: object = piece
        if isinstance(piece, Stroke):
            key = frozenset((round(x, 3), round(y, 3)) for x, y in piece.points)
        elif isinstance(piece, InkArc):
            key = (round(piece.centre[0], 3), round(piece.centre[1], 3), round(piece.radius, 3))
        if key not in seen:
            seen.add(key)
            yield piece


def _numbers(paper: Sequence[tuple[int, Sequence[Ink]]], page: Point) -> Iterable[Ink]:
    """Yield each body's number by its middle, moved until it stands clear of the others."""
    taken: list[Text] = []
    for number, ink in paper:
        x1, y1, x2, y2 = bounds(ink)
        middle = (0.5 * (x1 + x2), 0.5 * (y1 + y2))
        free = (t for t in _places(str(number), middle, page) if not _meets(t, taken))
        text = next(free, Text(str(number), middle, NUMBER_MM, bold=True))
        taken.append(text)
        if math.dist(text.at, middle) > 1.2 * NUMBER_MM:
            yield Stroke((middle, text.at), Pen.LEADER)
        yield text


def _places(words: str, middle: Point, page: Point) -> Iterable[Text]:
    """Yield the number at its middle, then in growing rings round it, within the page."""
    yield Text(words, middle, NUMBER_MM, bold=True)
    for ring in range(1, 16):
        for step in range(12):
            turn, far = math.tau * (step + 0.5 * (ring % 2)) / 12.0, 1.6 * NUMBER_MM * ring
            at = (middle[0] + far * math.cos(turn), middle[1] + far * math.sin(turn))
            if 3.0 < at[0] < page[0] - 3.0 and 2.0 < at[1] < page[1] - 2.0:
                yield Text(words, at, NUMBER_MM, bold=True)


def _meets(text: Text, others: Sequence[Text]) -> bool:
    x1, y1, x2, y2 = text.box
    return any(x1 < u2 and u1 < x2 and y1 < v2 and v1 < y2
               for u1, v1, u2, v2 in (o.box for o in others))  # fmt: skip
