"""The general drawing: every body of the wheel as built in outline, numbered, plan and side.

Boards are drawn by all their edges and turned bodies by their sides; what another body hides is
dashed, and walls and lid are drawn open, as chain lines. The list below names the numbers.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BuiltBody
from wheelgeo.drawing.drive_drawing import scale_text
from wheelgeo.drawing.figure import PaperFigure
from wheelgeo.drawing.scene import FlatBody, TurnedBody
from wheelgeo.drawing.scene_of_wheel import drawn_body, scene_of
from wheelgeo.drawing.strokes import Ink, InkArc, Pen, Point, Stroke, Text, bounds, moved
from wheelgeo.drawing.view import PLAN, SceneLine, View, body_lines, drawn_lines, side_view
from wheelgeo.drive.train import Solution
from wheelgeo.shop.kept import kept

NUMBER_MM = 2.0
"""Height of a number on paper, mm."""
SCALES = (2.0, 1.0, 0.5, 0.4, 0.25, 0.2, 0.125, 0.1, 0.08, 0.05)
OPEN = ("wall", "lid")
"""Kinds that are drawn as if one saw through them: they would hide all the rest."""


def numbered(solution: Solution) -> tuple[tuple[int, BuiltBody], ...]:
    """Return every body of a wheel with its number on the general drawing."""
    return tuple(enumerate(bodies(build(solution.design)), start=1))


def general_figures(solution: Solution, width_mm: float = 180.0) -> tuple[PaperFigure, ...]:
    """Return plan and side view of all bodies, numbered.

    Args:
        solution: the solved wheel.
        width_mm: greatest width on paper, mm.
    """
    def figures() -> tuple[PaperFigure, ...]:
        views = (PLAN, side_view(scene_of(solution)))
        return tuple(_figure(solution, view, width_mm) for view in views)

    return kept(solution.design, ("general drawing", width_mm), figures)


def _figure(solution: Solution, view: View, width_mm: float) -> PaperFigure:
    found = numbered(solution)
    inked = _inked(solution, view)
    drawn = [(number, tuple(inked[body.name])) for number, body in found]
    drawn.append((0, tuple(inked.get("", ()))))
    x1, y1, x2, y2 = bounds([piece for _, ink in drawn for piece in ink])
    size = max((x2 - x1) / (width_mm - 12.0), (y2 - y1) / 120.0)
    factor = next((k for k in SCALES if k * size <= 1.0), SCALES[-1])
    shift = (6.0 - x1 * factor, 6.0 - y1 * factor)
    paper = [(n, [moved(i, factor, shift) for i in ink]) for n, ink in drawn]
    # what is in sight first: of lines that fall on one another the first alone is drawn
    hidden = (Pen.HIDDEN, Pen.CORD_HIDDEN)
    every = [piece for _, ink in paper for piece in ink]
    lines = list(_once(sorted(every, key=lambda p: getattr(p, "pen", None) in hidden)))
    wide, tall = (x2 - x1) * factor + 12.0, (y2 - y1) * factor + 12.0
    words = list(_numbers(paper[:-1], (wide, tall)))
    title = f"general drawing, {view.name}, {scale_text(factor)}"
    says = f"Every body in outline, {view.name}: " + ", ".join(f"{n} {b.name}" for n, b in found)
    return PaperFigure(wide, tall, (*lines, *words), title, says)


def _lines(body: BuiltBody, view: View) -> Iterable[SceneLine]:
    """Yield the lines of a body, each with the pen that draws it where it is hidden."""
    drawn = drawn_body(body)
    if isinstance(drawn, FlatBody):
        pen = Pen.CASE if body.kind in OPEN else Pen.FINE
        behind = Pen.CASE if body.kind in OPEN else Pen.HIDDEN
        yield from (SceneLine(edge, pen, behind, body.name) for edge in drawn.edges)
        return
    for line in body_lines(drawn, view):
        yield line._replace(hidden=line.pen if body.kind == "cop" else Pen.HIDDEN)


def _inked(solution: Solution, view: View) -> dict[str, list[Ink]]:
    """Return the ink of every body, and of the bands under an empty name, mm of the model."""
    found = [body for _, body in numbered(solution)]
    solid = [drawn_body(b) for b in found if b.kind not in OPEN and b.kind != "cop"]
    lines = [line for body in found for line in _lines(body, view)]
    for cord in scene_of(solution).cords:
        runs = (c for c in cord.curves if c.length_mm > 1e-6)
        lines += [SceneLine(c, Pen.ARROW, Pen.CORD_HIDDEN, "") for c in runs]
    turned = [b for b in solid if isinstance(b, TurnedBody)]
    boxes = [box for b in solid if isinstance(b, FlatBody) for box in b.boxes]
    ink: dict[str, list[Ink]] = {body.name: [] for body in found}
    pieces = drawn_lines(lines, turned, boxes, view)
    for piece in pieces:
        ink.setdefault(piece.owner, []).append(piece.ink)
    return ink


def _once(ink: Iterable[Ink]) -> Iterable[Ink]:
    """Yield ink without the lines that fall on one before."""
    seen: set[object] = set()
    for piece in ink:
        key: object = piece
        if isinstance(piece, Stroke):
            key = frozenset((round(x, 3), round(y, 3)) for x, y in piece.points)
        elif isinstance(piece, InkArc):
            numbers = (*piece.centre, piece.radius, piece.start_deg, piece.end_deg)
            key = tuple(round(number, 3) for number in numbers)
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
