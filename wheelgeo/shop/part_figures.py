"""Every board with a hole, a notch or a slope as a dimensioned figure, so that paper alone will do.

A part lies as in its cut file: the grain from side to side, its lower left corner at zero. Every
distance is measured from the left end and from the lower edge, which the figure names as they are
called in the wheel; a sloped edge carries its angle from square.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Callable, Iterator, Sequence

from wheelgeo.design.model import Design
from wheelgeo.drawing.drive_drawing import scale_text
from wheelgeo.drawing.figure import PaperFigure
from wheelgeo.drawing.marks import dimension
from wheelgeo.drawing.strokes import Box, Ink, InkArc, Pen, Stroke, Text, bounds, drawable, moved
from wheelgeo.immutable import dataclass
from wheelgeo.shop.outlines import Arc, Circle, Line, Loop, Outline, Part, Place, Point, Segment
from wheelgeo.shop.paper import described, shown_name
from wheelgeo.shop.parts import parts_of
from wheelgeo.shop.sheet import Block, Heading, Picture
from wheelgeo.shop.worked_once import kept
from wheelgeo.units.in_full import Told, full
from wheelgeo.units.written import LengthUnit, bought_length, length_writer, told_in, unit_note

TEXT_MM = 1.9
"""Height of a capital in a figure, mm of paper."""
STEP_MM = 5.0
"""From one dimension line to the next."""
SCALES = (2.0, 1.0, 0.5, 0.4, 0.25, 0.2, 0.125, 0.1, 0.05)
WIDE_MM, TALL_MM = 70.0, 45.0
"""Greatest size of a part on paper, so that two stand side by side."""
GAP_MM = 8.0
PLATE_MM = 110.0
"""Greatest height of a plate of figures."""
SAME_MM = 1e-3
_NO_BOARD = ("floor", "core", "cheek", "flange cheek", "middle", "reel arm")
"""Roles with drawings of their own: the plan, the layers of pulleys."""


def told_by_figure(part: Part) -> bool:
    """Return whether a part needs a figure: it has holes, notches or slopes."""
    if part.role in _NO_BOARD or not isinstance(part.outside, Outline):
        return False
    return bool(part.drills or part.holes) or not _is_box(part.outside)


def _is_box(outline: Outline) -> bool:
    square = all(isinstance(s, Line) and _square(s) for s in outline.segments)
    return square and len(outline.segments) == 4


def _square(line: Segment) -> bool:
    (x0, y0), (x1, y1) = line.start, line.end
    return min(abs(x1 - x0), abs(y1 - y0)) < SAME_MM


def hole_places(part: Part) -> str:
    """Return where the round holes of a part are, in one sentence; empty where it has none."""
    x0, y0, _, _ = part.box
    said = [
        f"{full(2.0 * c.radius_mm)} mm at {full(c.centre[0] - x0)} and {full(c.centre[1] - y0)} mm"
        for c in _round(part)
    ]
    if not said:
        return ""
    ends = f" ({part.sides[2]} and {part.sides[3]})" if part.sides else ""
    hole = "Hole, its middle" if len(said) == 1 else "Holes, their middles"
    return Told(f"{hole} from the left end and the lower edge{ends}: {', '.join(said)}.")


def _round(part: Part) -> tuple[Circle, ...]:
    return (*part.drills, *(h for h in part.holes if isinstance(h, Circle)))


def part_figures(design: Design, unit: LengthUnit, width_mm: float) -> tuple[PaperFigure, ...]:
    """Return plates with every board that has holes, notches or slopes, dimensioned.

    Args:
        design: the wheel.
        unit: how lengths are written.
        width_mm: width of a plate, mm.
    """
    found = [p for p in parts_of(design) if told_by_figure(p)]
    cells = [_cell(part, unit, width_mm) for part in found]
    plates: list[list[Ink]] = []
    parts: list[list[Part]] = []
    x = y = row = 0.0
    for part, cell in zip(found, cells, strict=True):
        if x > 0.0 and x + cell.wide > width_mm:
            x, y, row = 0.0, y + row + GAP_MM, 0.0
        if not plates or (y > 0.0 and y + cell.tall > PLATE_MM):
            plates.append([])
            parts.append([])
            x = y = row = 0.0
        plates[-1] += [moved(ink, 1.0, (x, -y)) for ink in cell.ink]
        parts[-1].append(part)
        x, row = x + cell.wide + GAP_MM, max(row, cell.tall)
    return tuple(_plate(ink, group, width_mm) for ink, group in zip(plates, parts, strict=True))


def _plate(ink: Sequence[Ink], parts: Sequence[Part], width_mm: float) -> PaperFigure:
    _, low, _, high = _reach(ink)
    shifted = tuple(moved(piece, 1.0, (0.0, 1.0 - low)) for piece in ink)
    says = " ".join(f"{shown_name(p)}: {described(p)}. {hole_places(p)}" for p in parts)
    title = ", ".join(shown_name(p) for p in parts)
    return PaperFigure(width_mm, high - low + 2.0, shifted, title, says)


@dataclass(frozen=True)
class _FigureCell:
    """A figure whose upper left corner is the origin."""

    ink: tuple[Ink, ...]
    wide: float
    tall: float


def _cell(part: Part, unit: LengthUnit, width_mm: float) -> _FigureCell:
    x0, y0, x1, y1 = part.box
    lying = part.moved(Place((-x0, -y0)))
    fits = min(WIDE_MM / (x1 - x0), TALL_MM / (y1 - y0))
    scale = next((k for k in SCALES if k <= fits), SCALES[-1])
    ink = [
        *(piece for loop in lying.loops for piece in _drawn(loop, scale)),
        *_dimensions(lying, scale, length_writer(unit)),
    ]
    ink += _callouts(lying, scale, unit, _reach(ink)[3])
    left, low, right, high = _reach(ink)
    lines = _wrapped(told_in(described(part), unit, fits=True), max(right - left, 70.0), width_mm)
    head = f"{drawable(shown_name(part))}, {scale_text(scale)}"
    words = [(head, True), *((line, False) for line in lines)]
    wide = max(right - left, *(Text(w, (0.0, 0.0), TEXT_MM, bold=b).width for w, b in words))
    top = 1.9 * TEXT_MM * len(words) + 1.0
    placed = [moved(piece, 1.0, (-left, -high - top)) for piece in ink]
    for number, (line, bold) in enumerate(words):
        text = Text(line, (0.0, -(1.9 * number + 1.0) * TEXT_MM), TEXT_MM, bold=bold)
        placed.append(moved(text, 1.0, (0.5 * text.width, 0.0)))
    return _FigureCell(tuple(placed), wide, top + high - low)


def _reach(ink: Sequence[Ink]) -> Box:
    """Return the box round ink whose upright words stand on their ends."""
    ends = [
        (t.at[0], t.at[1] + sign * 0.5 * t.width)
        for t in ink if isinstance(t, Text) and t.turn_deg
        for sign in (-1.0, 1.0)
    ]  # fmt: skip
    return bounds([*ink, *(Stroke((p, p), Pen.LEADER) for p in ends)])


def _wrapped(words: str, room: float, most: float) -> list[str]:
    """Return words broken into lines that take no more room than there is, mm."""
    whole = Text(words, (0.0, 0.0), TEXT_MM).width
    return textwrap.wrap(words, max(int(len(words) * min(room, most) / whole), 20))


def _scaled(p: Point, scale: float) -> Point:
    return (p[0] * scale, p[1] * scale)


def _drawn(loop: Loop, scale: float) -> Iterator[Ink]:
    """Yield a closed cut on paper; a hole with its centre lines."""
    if isinstance(loop, Circle):
        (x, y), radius = _scaled(loop.centre, scale), loop.radius_mm * scale
        yield InkArc((x, y), radius, 0.0, 360.0, Pen.OUTLINE)
        arm = radius + 1.5
        yield Stroke(((x - arm, y), (x + arm, y)), Pen.CENTRE)
        yield Stroke(((x, y - arm), (x, y + arm)), Pen.CENTRE)
        return
    for piece in loop.segments:
        if isinstance(piece, Arc):
            first = piece.start_deg if piece.counter_clockwise else piece.end_deg
            ends = (first, first + abs(piece.sweep_deg))
            radius = piece.radius_mm * scale
            yield InkArc(_scaled(piece.centre, scale), radius, *ends, Pen.OUTLINE)
        else:
            yield Stroke((_scaled(piece.start, scale), _scaled(piece.end, scale)), Pen.OUTLINE)


def _places(part: Part, i: int) -> list[float]:
    """Return every distance along x (0) or y (1) that a builder must know, the whole one last."""
    points = [c.centre[i] for c in _round(part)]
    others = [h for h in part.holes if not isinstance(h, Circle)]
    for loop in (*others, part.outside):
        assert loop is not None
        points += [s.start[i] for s in loop.segments]
    whole = part.box[i + 2]
    kept_at = sorted({round(p, 3) for p in points if SAME_MM < p < whole - SAME_MM})
    return [*kept_at, whole]


def _dimensions(part: Part, scale: float, lengths: Callable[[float], str]) -> Iterator[Ink]:
    """Yield the distances from the left end below the part, and from the lower edge beside it."""
    right = part.box[2] * scale
    for number, place in enumerate(_places(part, 0), 1):
        drop = -(STEP_MM * number + 1.0)
        yield from dimension((0.0, 0.0), (place * scale, 0.0), drop, "", TEXT_MM).ink
        words = Text(lengths(place), (0.0, 0.0), TEXT_MM)
        beside = place * scale < words.width + 4.0 * TEXT_MM
        x = place * scale + 0.5 * words.width + 1.5 if beside else 0.5 * place * scale
        yield moved(words, 1.0, (x, drop if beside else drop + 0.95 * TEXT_MM))
    for number, place in enumerate(_places(part, 1), 1):
        over = right + STEP_MM * number + 1.0
        yield from dimension((right, 0.0), (right, place * scale), right - over, "", TEXT_MM).ink
        words = Text(lengths(place), (0.0, 0.0), TEXT_MM, turn_deg=90.0)
        beside = place * scale < words.width + 4.0 * TEXT_MM
        y = place * scale + 0.5 * words.width + 1.5 if beside else 0.5 * place * scale
        yield moved(words, 1.0, (over if beside else over - 0.95 * TEXT_MM, y))


def _callouts(part: Part, scale: float, unit: LengthUnit, over: float) -> Iterator[Ink]:
    """Yield what each round hole measures and how steep each slope is, above, with leaders.

    They stand above all else, which reaches to ``over``, where they are wider than the part.
    """
    bought, (right, top) = bought_length(unit), _scaled(part.box[2:], scale)
    found = [
        ((c.centre[0], c.centre[1] + c.radius_mm), f"⌀ {bought(2.0 * c.radius_mm)}")
        for c in _round(part)
    ]
    assert part.outside is not None
    for piece in part.outside.segments:
        if isinstance(piece, Line) and not _square(piece):
            (x0, y0), (x1, y1) = piece.start, piece.end
            long, short = sorted((abs(x1 - x0), abs(y1 - y0)), reverse=True)
            off = math.degrees(math.atan2(short, long))
            found.append(((0.5 * (x0 + x1), 0.5 * (y0 + y1)), f"{off:.1f}° off square"))
    texts = [(_scaled(p, scale), Text(w, (0.0, 0.0), TEXT_MM)) for p, w in sorted(found)]
    # From left to right each clear of the one before, then back from the right edge likewise.
    places: list[float] = []
    for (x, _), text in texts:
        least = places[-1] + 2.0 if places else -math.inf
        places.append(max(x + 2.0, least) + text.width)
    most = right
    if sum(text.width + 2.0 for _, text in texts) > right:
        most, top = math.inf, over
    for i in range(len(texts) - 1, -1, -1):
        places[i] = min(places[i], most)
        most = places[i] - texts[i][1].width - 2.0
    for (start, text), end in zip(texts, places, strict=True):
        left = end - text.width
        yield Stroke((start, (min(max(start[0], left), end), top + 2.0)), Pen.LEADER)
        yield moved(text, 1.0, (0.5 * (left + end), top + 3.5))


def part_blocks(design: Design, unit: LengthUnit, width_mm: float) -> list[Block]:
    """Return the figures as they stand on the shop sheet; nothing where no part needs one."""
    figures = kept(design, ("part figures", unit), lambda: part_figures(design, unit, width_mm))
    caption = (
        f"Measured from the left end and the lower edge as drawn. Lengths in {unit_note(unit)}."
    )
    pictures = [Picture(figure, caption) for figure in figures]
    return [Heading("Holes, notches and slopes of the parts"), *pictures] if pictures else []
