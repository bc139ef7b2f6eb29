"""Paper templates at 1:1 as PDF: print at 100 %, check the bars, glue the paper to the wood.

Drawn from the same outlines as the cut files. The only difference: the format knows no arcs, so
every arc is drawn as cubic curves of at most 30 degrees, which leave the true arc by less than a
millionth of its radius.
"""

from __future__ import annotations

import io
import math
from bisect import bisect_right
from collections.abc import Callable, Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from wheelgeo.drive.train import Solution
from wheelgeo.geometry.segments import Arc, Segment, on_circle
from wheelgeo.shop.bench_set import Job, MadeFile
from wheelgeo.shop.board_parts import from_sheet
from wheelgeo.shop.faces import face, section_part
from wheelgeo.shop.jigs import everything_flat
from wheelgeo.shop.outlines import Circle, Label, Loop, Part, Point
from wheelgeo.shop.paper import (
    CROSS_MM,
    EDGE_MM,
    FOOT_MM,
    NAME_MM,
    OVERLAP_MM,
    PAPERS_MM,
    Page,
    Paper,
    Tile,
    described,
    pages_of,
    shown_name,
    window_mm,
)
from wheelgeo.shop.part_figures import told_by_figure
from wheelgeo.shop.parts import parts_of
from wheelgeo.shop.section import wheels

CURVE_DEG = 30.0
"""Largest piece of an arc that one cubic curve draws, degrees."""
BARS_MM = ((100.0, "100 mm"), (101.6, "4 in"))
_THICK_MM, _THIN_MM = 0.3, 0.15
LEAST_MM = 1.8
"""Letters of a page's head are made no smaller than this to let it stand in one line."""
_UNICODE = "DejaVuSans"


def template_pdf(parts: Sequence[Part], title: str, paper: Paper = "A4") -> bytes:
    """Return templates of parts at 1:1.

    Args:
        parts: the parts; each is drawn once.
        title: what stands at the head of every page.
        paper: size of the paper.

    Returns:
        The PDF, the same bytes every time.
    """
    stream = io.BytesIO()
    width, height = PAPERS_MM[paper]
    canvas = Canvas(stream, (width * mm, height * mm), invariant=1, pageCompression=0)
    canvas.setTitle(title)
    pages = pages_of(parts, paper)
    for number, page in enumerate(pages, start=1):
        _draw_page(canvas, page, paper, f"{title}: page {number} of {len(pages)}")
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def template_parts(solution: Solution) -> tuple[Part, ...]:
    """Return everything that a template is made for: turned pulleys, flat parts, jigs, sawn boards.

    Of what is sawn only boards with holes, notches or slopes: a saw needs no paper for the rest.

    Args:
        solution: the solved wheel.

    Raises:
        OutputError: a band has no path.
        ShapeError: a part cannot be made as asked.
    """
    design = solution.design
    turned = [wheel for wheel in wheels(design) if not wheel.layered]
    drawn = [part(design, wheel) for wheel in turned for part in (face, section_part)]
    sawn = [p for p in parts_of(design) if not from_sheet(p) and told_by_figure(p)]
    return (*drawn, *everything_flat(solution), *sawn)


def make_templates(job: Job) -> list[MadeFile]:
    """Return the templates for both sizes of paper."""
    parts, title = template_parts(job.solution), job.design.title
    return [
        MadeFile(
            f"templates-{paper.lower()}.pdf",
            template_pdf(parts, title, paper),
            f"paper templates at 1:1, {paper}",
            "templates",
        )
        for paper in PAPERS_MM
    ]


def _draw_page(canvas: Canvas, page: Page, paper: Paper, head: str) -> None:
    width, height = window_mm(paper)
    origin = (EDGE_MM, EDGE_MM + FOOT_MM)
    top = origin[1] + height
    names = ", ".join(shown_name(part) for part in page.parts)
    if page.tile is not None:
        (part,) = page.parts
        names += f", tile {page.tile.name}: {described(part)}"
    words = f"1:1, print at 100 %. {head}"
    _write(canvas, words, (EDGE_MM + 2.0, top + 7.5), 3.2, width - 4.0)
    _write(canvas, names, (EDGE_MM + 2.0, top + 2.5), 2.6, width - 4.0)
    _draw_bars(canvas)
    canvas.saveState()
    canvas.translate(origin[0] * mm, origin[1] * mm)
    if page.tile is not None:
        _draw_marks(canvas, page.tile, (width, height))
        _draw_map(canvas, page.tile, width)
    beyond = 0.0 if page.tile is not None else _THICK_MM  # half a line lies outside its outline
    clip = canvas.beginPath()
    clip.rect(-beyond * mm, -beyond * mm, (width + 2 * beyond) * mm, (height + 2 * beyond) * mm)
    canvas.clipPath(clip, stroke=0, fill=0)
    for part in page.parts:
        _draw_part(canvas, part, named=page.tile is None)
    canvas.restoreState()


def _draw_part(canvas: Canvas, part: Part, named: bool) -> None:
    canvas.setLineWidth(_THICK_MM * mm)
    for loop in part.loops:
        _draw_loop(canvas, loop)
    canvas.setLineWidth(_THIN_MM * mm)
    for circle in _round_holes(part):
        _draw_cross(canvas, circle.centre, max(2.0, circle.radius_mm + 1.5))
    for mark in part.marks:
        _draw_cross(canvas, mark, CROSS_MM)
    canvas.setDash(2.0 * mm, 1.0 * mm)
    for piece in part.engraved:
        _stroke(canvas, [piece], close=False)
    canvas.setDash()
    for label in part.labels:
        _draw_label(canvas, label)
    if named:
        x1, y1, _, _ = part.box
        _write(canvas, shown_name(part), (x1, y1 - 1.5 * NAME_MM), 0.8 * NAME_MM)
        _write(canvas, described(part), (x1, y1 - 2.8 * NAME_MM), 0.7 * NAME_MM)


def _round_holes(part: Part) -> list[Circle]:
    """Return every round hole whose centre is not marked already."""
    loops = [*part.drills, *part.holes]
    return [
        loop
        for loop in loops
        if isinstance(loop, Circle)
        and all(math.dist(loop.centre, mark) > 1e-6 for mark in part.marks)
    ]


def _draw_loop(canvas: Canvas, loop: Loop) -> None:
    _stroke(canvas, loop.segments, close=True)


def _stroke(canvas: Canvas, segments: Sequence[Segment], close: bool) -> None:
    path = canvas.beginPath()
    path.moveTo(*_points(segments[0].start))
    for piece in segments:
        if isinstance(piece, Arc):
            _add_arc(path, piece)
        else:
            path.lineTo(*_points(piece.end))
    if close:
        path.close()
    canvas.drawPath(path, stroke=1, fill=0)


def _add_arc(path: Any, arc: Arc) -> None:
    """Add an arc as cubic curves whose ends and tangents are the arc's own."""
    count = max(1, math.ceil(abs(arc.sweep_deg) / CURVE_DEG - 1e-9))
    step = arc.sweep_deg / count
    pull = 4.0 / 3.0 * math.tan(math.radians(step) / 4.0) * arc.radius_mm
    for i in range(count):
        first, last = arc.start_deg + step * i, arc.start_deg + step * (i + 1)
        start, end = (on_circle(arc.centre, arc.radius_mm, a) for a in (first, last))
        one = on_circle(start, pull, first + 90.0)
        two = on_circle(end, -pull, last + 90.0)
        path.curveTo(*_points(one), *_points(two), *_points(end))


def _points(p: Point) -> tuple[float, float]:
    return p[0] * mm, p[1] * mm


def _draw_cross(canvas: Canvas, at: Point, arm: float) -> None:
    x, y = at
    _line(canvas, (x - arm, y), (x + arm, y))
    _line(canvas, (x, y - arm), (x, y + arm))


def _line(canvas: Canvas, start: Point, end: Point) -> None:
    canvas.line(*_points(start), *_points(end))


def _draw_bars(canvas: Canvas) -> None:
    """Draw the bars by which a reader checks the printer, at the foot of the page."""
    canvas.setLineWidth(_THICK_MM * mm)
    for i, (length, words) in enumerate(BARS_MM):
        y = EDGE_MM + 3.0 + 10.0 * i
        _line(canvas, (EDGE_MM, y), (EDGE_MM + length, y))
        for x in (EDGE_MM, EDGE_MM + length):
            _line(canvas, (x, y - 1.5), (x, y + 1.5))
        _write(canvas, f"this bar is {words} long", (EDGE_MM + 30.0, y + 1.2), 2.6)


def _draw_marks(canvas: Canvas, tile: Tile, window: Point) -> None:
    """Draw the edge of the tile, where to cut it, and where its neighbours begin."""
    width, height = window
    canvas.setLineWidth(_THIN_MM * mm)
    for x in (0.0, width):
        for y in (0.0, height):
            out_x, out_y = math.copysign(5.0, x - 1.0), math.copysign(5.0, y - 1.0)
            _line(canvas, (x, y), (x + out_x, y))
            _line(canvas, (x, y), (x, y + out_y))
    canvas.setDash(0.5 * mm, 1.5 * mm)
    if tile.column > 0:
        _line(canvas, (OVERLAP_MM, 0.0), (OVERLAP_MM, height))
    if tile.column < tile.columns - 1:
        _line(canvas, (width - OVERLAP_MM, 0.0), (width - OVERLAP_MM, height))
    if tile.row > 0:
        _line(canvas, (0.0, OVERLAP_MM), (width, OVERLAP_MM))
    if tile.row < tile.rows - 1:
        _line(canvas, (0.0, height - OVERLAP_MM), (width, height - OVERLAP_MM))
    canvas.setDash()


def _draw_map(canvas: Canvas, tile: Tile, width: float) -> None:
    """Draw the page map at the foot of the page, this tile filled."""
    cell = min(5.0, 20.0 / tile.rows, 60.0 / tile.columns)
    left, low = width - cell * tile.columns, -FOOT_MM + 2.0
    canvas.setLineWidth(_THIN_MM * mm)
    for row in range(tile.rows):
        for column in range(tile.columns):
            here = (row, column) == (tile.row, tile.column)
            canvas.setFillGray(0.6 if here else 1.0)
            x, y = left + cell * column, low + cell * row
            canvas.rect(x * mm, y * mm, cell * mm, cell * mm, stroke=1, fill=1)
    canvas.setFillGray(0.0)
    _write(canvas, f"tile {tile.name}", (left - 14.0, low + 1.0), 2.6)


def _draw_label(canvas: Canvas, label: Label) -> None:
    canvas.saveState()
    canvas.translate(*_points(label.at))
    canvas.rotate(label.turn_deg)
    size = label.height_mm / 0.72
    canvas.setFont(_font(label.text), size * mm)
    draw = canvas.drawString if label.anchor == "left" else canvas.drawCentredString
    draw(0, -0.5 * label.height_mm * mm, _printable(label.text))
    canvas.restoreState()


def _write(canvas: Canvas, words: str, at: Point, height: float, room: float = 1e9) -> None:
    """Write a line of text, smaller where it would leave its room, and cut short where even so."""
    font, size = _font(words), height / 0.72 * mm
    wide = pdfmetrics.stringWidth(_printable(words), font, size)
    size *= max(min(1.0, room * mm / wide), min(1.0, LEAST_MM / height)) if wide else 1.0
    shown = _cut_to(_printable(words), lambda s: pdfmetrics.stringWidth(s, font, size), room * mm)
    canvas.setFont(font, size)
    canvas.drawString(*_points(at), shown)


def _cut_to(words: str, width: Callable[[str], float], room: float) -> str:
    """Return as much of some words as has room, with an ellipsis where they are cut."""
    if width(words) <= room:
        return words

    def short(count: int) -> str:
        return words[:count].rstrip(" .") + "…"

    # Width grows with the number of letters: halving finds the cut of 20 000 letters in 15 steps.
    count = bisect_right(range(len(words)), room, key=lambda n: width(short(n))) - 1
    return short(count) if count > 0 else ""


def _printable(words: str) -> str:
    return "".join(letter if letter.isprintable() else " " for letter in words)


def _font(words: str) -> str:
    """Return a font for some text: one that every reader has, or one that knows more letters."""
    try:
        words.encode("cp1252")
    except UnicodeEncodeError:
        return _unicode_font()
    return "Helvetica"


def _unicode_font() -> str:
    """Return the wide font that comes with matplotlib, found without loading matplotlib."""
    if _UNICODE not in pdfmetrics.getRegisteredFontNames():
        spec = find_spec("matplotlib")
        assert spec is not None
        assert spec.submodule_search_locations
        home = Path(spec.submodule_search_locations[0])
        file = home / "mpl-data" / "fonts" / "ttf" / f"{_UNICODE}.ttf"
        pdfmetrics.registerFont(TTFont(_UNICODE, str(file)))
    return _UNICODE
