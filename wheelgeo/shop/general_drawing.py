"""The general drawing: every body of the wheel as built in outline, numbered, plan and side.

Boards are drawn by all their edges and turned bodies by their sides; what another body hides is
dashed, and walls and lid are drawn open, as chain lines. The list below names the numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BuiltBody, TurnedShape
from wheelgeo.drawing.dots import dots_of
from wheelgeo.drawing.drive_drawing import scale_text
from wheelgeo.drawing.figure import PaperFigure
from wheelgeo.drawing.labels import Request, place_labels
from wheelgeo.drawing.scene import FlatBody, TurnedBody
from wheelgeo.drawing.scene_of_wheel import drawn_body, scene_of
from wheelgeo.drawing.strokes import Ink, InkArc, Pen, Point, Stroke, bounds, moved
from wheelgeo.drawing.view import PLAN, SceneLine, View, body_lines, drawn_lines, side_view
from wheelgeo.drive.train import Solution
from wheelgeo.errors import LayoutError
from wheelgeo.shop.worked_once import kept

NUMBER_MM = 2.0
"""Height of a number on paper, mm."""
EDGE_MM = 8.5
"""Room round the drawing, where numbers stand."""
GROWTH, GROWTHS = 1.5, 12
"""By how much the room above and below grows where numbers find none, and how often."""
ROOMY_MM = 4.0 * NUMBER_MM
"""A body that is smaller than this either way has its number beside it."""
SCALES = (
    2.0, 1.0, 1 / 1.5, 1 / 2.0, 1 / 2.5, 1 / 3.0, 1 / 4.0, 1 / 5.0, 1 / 6.0, 1 / 8.0, 1 / 10.0,
    1 / 12.0, 1 / 15.0, 1 / 20.0, 1 / 25.0, 1 / 50.0, 1 / 100.0, 1 / 200.0, 1 / 500.0,
)  # fmt: skip
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
    size = max((x2 - x1) / (width_mm - 2.0 * EDGE_MM), (y2 - y1) / 120.0)
    factor = next((k for k in SCALES if k * size <= 1.0), SCALES[-1])
    shift = (EDGE_MM - x1 * factor, EDGE_MM - y1 * factor)
    paper = [(n, [moved(i, factor, shift) for i in ink]) for n, ink in drawn]
    # what is in sight first: of lines that fall on one another the first alone is drawn
    hidden = (Pen.HIDDEN, Pen.CORD_HIDDEN)
    every = [piece for _, ink in paper for piece in ink]
    lines = list(_once(sorted(every, key=lambda p: getattr(p, "pen", None) in hidden)))
    wide, high = (x2 - x1) * factor + 2.0 * EDGE_MM, (y2 - y1) * factor
    words, room = _numbers(paper[:-1], lines, (wide, high))
    tall, up = high + 2.0 * room, (0.0, room - EDGE_MM)
    ink = tuple(moved(piece, 1.0, up) for piece in (*lines, *words))
    title = f"general drawing, {view.name}, {scale_text(factor)}"
    says = f"Every body in outline, {view.name}: " + ", ".join(f"{n} {b.name}" for n, b in found)
    return PaperFigure(wide, tall, ink, title, says)


def _lines(body: BuiltBody, view: View) -> Iterable[SceneLine]:
    """Yield the lines of a body, each with the pen that draws it where it is hidden."""
    drawn = drawn_body(body)
    if isinstance(drawn, FlatBody):
        pen = Pen.CASE if body.kind in OPEN else Pen.FINE
        behind = Pen.CASE if body.kind in OPEN else Pen.HIDDEN
        yield from (SceneLine(edge, pen, behind, body.name) for edge in drawn.edges)
        return
    seen = [drawn]
    if _is_ring(body):
        assert isinstance(body.shape, TurnedShape)
        seen.append(replace(drawn, profile=tuple(sorted(body.shape.outline[-2:]))))
    for line in (line for one in seen for line in body_lines(one, view)):
        yield line._replace(hidden=line.pen if body.kind == "cop" else Pen.HIDDEN)


def _is_ring(body: BuiltBody) -> bool:
    """Tell whether a body is the rim of a wheel with spokes, which one sees through."""
    return body.kind == "pulley" and any(name.startswith("hub ") for name in body.fits_in)


def _inked(solution: Solution, view: View) -> dict[str, list[Ink]]:
    """Return the ink of every body, and of the bands under an empty name, mm of the model."""
    found = [body for _, body in numbered(solution)]
    solid = [
        drawn_body(b) for b in found
        if b.kind not in OPEN and b.kind != "cop" and not _is_ring(b)
    ]  # fmt: skip
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


def _numbers(
    paper: Sequence[tuple[int, Sequence[Ink]]], lines: Sequence[Ink], size: Point
) -> tuple[list[Ink], float]:
    """Return each body's number: within a large one, beside a small one with a leader to it.

    Args:
        paper: the bodies' ink by their numbers, an edge off the left and the lower side.
        lines: all ink that is drawn, likewise.
        size: width of the page, and height of what is drawn, mm.

    Returns:
        The numbers, and how much room above and below what is drawn they have, mm: more than an
        edge where so many bodies stand side by side that their numbers need it.
    """
    dots = dots_of(lines, 0.4 * NUMBER_MM)
    asked = [_request(number, ink) for number, ink in paper]
    (wide, high), room = size, EDGE_MM
    for growth in range(GROWTHS + 1):
        page = (1.0, EDGE_MM - room + 1.0, wide - 1.0, EDGE_MM + high + room - 1.0)
        try:
            placed = place_labels(asked, dots, page, NUMBER_MM)
            break
        except LayoutError:
            if growth == GROWTHS:
                raise
            room *= GROWTH
    leaders = [p.leader for p in placed if p.leader is not None]
    return [*leaders, *(p.text for p in placed)], room


def _request(number: int, ink: Sequence[Ink]) -> Request:
    """Return what a number asks for: its body's room, and points of its lines for a leader."""
    x1, y1, x2, y2 = bounds(ink)
    shares = (0.5, 0.3, 0.7, 0.15, 0.85)
    spots = [(x1 + (x2 - x1) * a, y1 + (y2 - y1) * b) for a in shares for b in shares]
    roomy = min(x2 - x1, y2 - y1) >= ROOMY_MM
    # what is in sight tells a body best; of that the middle of its longest lines
    seen = [p for p in ink if getattr(p, "pen", None) is not Pen.HIDDEN] or list(ink)
    points = [dots_of([piece], 0.5 * NUMBER_MM) for piece in seen]
    longest = sorted(points, key=len, reverse=True)[:6]
    anchors = tuple(tuple(line[len(line) // 2].tolist()) for line in longest)
    spots = [] if not roomy else spots
    # the smallest bodies have the fewest places, so they come first
    return Request(str(number), anchors, tuple(spots), rank=int(roomy), bold=True)
