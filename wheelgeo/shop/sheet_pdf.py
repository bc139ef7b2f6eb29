"""The shop sheet as a PDF on A4 or Letter, with the same content as the page; same bytes always."""

from __future__ import annotations

import io
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import groupby
from typing import Any

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    CondPageBreak,
    Flowable,
    KeepTogether,
    ListFlowable,
    ListItem,
    PageBreak,
    SimpleDocTemplate,
    Spacer,
)
from reportlab.platypus import Paragraph as Text
from reportlab.platypus import Table as Grid

from wheelgeo.drawing import strokes as ink
from wheelgeo.drawing.figure import PaperFigure, chords, markup
from wheelgeo.shop.paper import PAPERS_MM, Paper
from wheelgeo.shop.sheet import (
    SHORT_ROWS,
    Block,
    Heading,
    Listing,
    Notice,
    Pairs,
    Paragraph,
    Picture,
    Sheet,
    Table,
)

MARGIN_MM = 15.0
ROOM_BELOW = 48.0 * mm
"""A heading with less room than this below it goes on to the next page, points."""
ROOM_TO_BEGIN = 34.0 * mm
"""A table with less room than this begins on the next page, points."""
LOW = 70.0 * mm
"""A table as high as this or less is kept on one page, points."""
HIGHEST = 220.0 * mm
"""No figure is drawn higher than this, points: it has to go on either paper, with its caption."""
TALL_ROW, LETTER, LINE = 120.0 * mm, 4.6, 9.0
"""A row that may be higher than this may be broken; width of a letter, height of a line: points."""
_PLAIN, _BOLD = "DejaVuSans", "DejaVuSans-Bold"

_BODY = ParagraphStyle("body", fontName=_PLAIN, fontSize=9, leading=12, spaceAfter=3)
_CELL = ParagraphStyle("cell", parent=_BODY, fontSize=8, leading=9.8, spaceAfter=0)
_HEAD = ParagraphStyle("head", parent=_CELL, fontName=_BOLD, fontSize=7.5, leading=9)
_NAME = ParagraphStyle("name", parent=_CELL, fontName=_BOLD)
_TITLE = ParagraphStyle("title", fontName=_BOLD, fontSize=16, leading=20, spaceAfter=4)
_LEAD = ParagraphStyle("lead", parent=_BODY, fontSize=9.5, leading=13, spaceAfter=8)
_SECTION = ParagraphStyle(
    "section", fontName=_BOLD, fontSize=11, leading=14, spaceBefore=10, spaceAfter=4
)
_CAPTION = ParagraphStyle("caption", parent=_NAME, spaceBefore=4, spaceAfter=2, keepWithNext=1)
_ABOVE = ParagraphStyle("above", parent=_CAPTION, keepWithNext=0)
_BELOW = ParagraphStyle("below", parent=_CELL, spaceBefore=2, spaceAfter=6)


def sheet_pdf(sheet: Sheet, paper: Paper = "A4") -> bytes:
    """Return a sheet as a PDF.

    Args:
        sheet: what stands on it.
        paper: size of the paper.

    Returns:
        The file; the same bytes for the same sheet, whatever the day.
    """
    _register()
    width, height = (side * mm for side in PAPERS_MM[paper])
    stream = io.BytesIO()
    document = SimpleDocTemplate(
        stream, pagesize=(width, height), invariant=1, lang="en", title=ink.drawable(sheet.title),
        leftMargin=MARGIN_MM * mm, rightMargin=MARGIN_MM * mm, topMargin=MARGIN_MM * mm,
        bottomMargin=MARGIN_MM * mm,
    )  # fmt: skip
    room = width - 2.0 * MARGIN_MM * mm - 12.0
    story: list[Any] = [Text(_safe(sheet.title), _TITLE), Text(_safe(sheet.lead), _LEAD)]
    for block in sheet.blocks:
        story += _flowables(block, room)
    while isinstance(story[-1], Spacer):  # where the page is full it would begin an empty one
        story.pop()
    story = _with_headings(story)
    title = ink.drawable(sheet.title)

    def foot(canvas: Canvas, page: Any) -> None:
        canvas.setFont(_PLAIN, 7)
        canvas.drawString(MARGIN_MM * mm, 8 * mm, title)
        canvas.drawRightString(width - MARGIN_MM * mm, 8 * mm, f"page {page.page}")

    document.build(story, onFirstPage=foot, onLaterPages=foot)
    return stream.getvalue()


def _with_headings(story: list[Any]) -> list[Any]:
    """Put a heading into the block that follows and that is kept on one page.

    Left beside it, the heading would stay behind when the block goes on to the next page.
    """
    joined: list[Any] = []
    for piece in story:
        heading = joined and getattr(joined[-1], "style", None) is _SECTION
        if heading and isinstance(piece, KeepTogether):
            joined[-1] = KeepTogether([joined[-1], *piece._content])
        else:
            joined.append(piece)
    return joined


def _register() -> None:
    """Make DejaVu Sans known; it comes with matplotlib and is embedded in the file."""
    for name, bold in ((_PLAIN, False), (_BOLD, True)):
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, ink.font_file(bold)))


def _safe(text: str) -> str:
    """Return text as paragraphs take it: one line, marked-up characters escaped."""
    return markup(ink.drawable(text, 4000))


def _flowables(block: Block, room: float) -> list[Any]:
    lay: Callable[[Any, float], list[Any]] = _LAYERS[type(block)]
    return lay(block, room)


def _table(table: Table, room: float) -> list[Any]:
    grid = _grid(table, room)
    both = [Text(_safe(table.caption), _CAPTION), grid]
    # what is kept whole leaves the rest of a page empty: only what is low
    low = len(table.rows) <= SHORT_ROWS and grid.wrap(room, math.inf)[1] <= LOW
    # a high one begins wherever its caption, its head and a row have room, and goes on
    begins = [CondPageBreak(ROOM_TO_BEGIN), Text(_safe(table.caption), _ABOVE), grid]
    whole = [KeepTogether(both)] if low else begins
    return [*whole, Spacer(0, 6)]


def _pairs(pairs: Pairs, room: float) -> Grid:
    rows = [[Text(_safe(k), _NAME), Text(_safe(v), _CELL)] for k, v in pairs.rows]
    return Grid(rows, [0.4 * room, 0.6 * room], style=_rules(1.5), hAlign="LEFT")


def _rules(padding: float) -> list[tuple[Any, ...]]:
    whole = (0, 0), (-1, -1)
    return [
        ("VALIGN", *whole, "TOP"),
        ("LEFTPADDING", *whole, 2),
        ("RIGHTPADDING", *whole, 3),
        ("TOPPADDING", *whole, padding),
        ("BOTTOMPADDING", *whole, padding),
        ("LINEBELOW", *whole, 0.25, colors.grey),
    ]


def _grid(table: Table, room: float) -> Grid:
    whole = sum(table.shares)
    rows = [[Text(_safe(cell), _HEAD) for cell in table.head]]
    rows += [
        [Text(_safe(cell), _NAME if i == 0 else _CELL) for i, cell in enumerate(row)]
        for row in table.rows
    ]
    style = [*_rules(2.0), ("LINEBELOW", (0, 0), (-1, 0), 0.8, colors.black)]
    widths = [room * share / whole for share in table.shares]
    # a row goes on to the next page whole, unless no page holds it
    most = max((len(cell) / w for row in table.rows for cell, w in zip(row, widths, strict=True)),
               default=0.0)  # fmt: skip
    taller = int(most * LETTER * LINE > TALL_ROW)
    return Grid(rows, widths, repeatRows=1, style=style, hAlign="LEFT", splitInRow=taller)


def _listing(listing: Listing) -> ListFlowable:
    box = "☐ " if listing.boxes else ""
    items = [ListItem(Text(box + _safe(item), _BODY)) for item in listing.items]
    numbered = {"bulletType": "1"} if listing.numbered else {"bulletType": "bullet", "start": "•"}
    return ListFlowable(items, bulletFontName=_PLAIN, bulletFontSize=8.5, leftIndent=14, **numbered)


def _notice(notice: Notice, room: float) -> Grid:
    items = ListFlowable(
        [ListItem(Text(_safe(item), _BODY)) for item in notice.items],
        bulletType="bullet", start="•", bulletFontName=_PLAIN, leftIndent=12,
    )  # fmt: skip
    title = Text(_safe(notice.title), ParagraphStyle("warn", parent=_NAME, fontSize=9, leading=13))
    style = [("BOX", (0, 0), (-1, -1), 1.6, colors.black), ("TOPPADDING", (0, 0), (-1, -1), 4)]
    return Grid([[[title, items]]], [room], style=style, hAlign="LEFT")


def _picture(picture: Picture, room: float) -> KeepTogether:
    drawing = _Drawing(picture.figure, room)
    return KeepTogether([drawing, Text(_safe(picture.caption), _BELOW)])


class _Drawing(Flowable):  # type: ignore[misc]
    """A figure as lines, arcs and text, no wider than the column and no higher than a page.

    A name without end makes a figure higher than any page: it is drawn smaller then.
    """

    def __init__(self, figure: PaperFigure, room: float) -> None:
        super().__init__()
        self.figure = figure
        self.factor = min(mm, room / figure.width_mm, HIGHEST / figure.height_mm)
        self.width = figure.width_mm * self.factor
        self.height = figure.height_mm * self.factor

    def wrap(self, *_: Any) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        self.canv.scale(self.factor, self.factor)
        paint(self.canv, self.figure.ink)


def paint(canvas: Canvas, inks: Iterable[ink.Ink]) -> None:
    """Draw ink on a canvas whose unit is the millimetre of the figure."""
    for pen, lines in groupby(inks, _plain_pen):
        if pen is not None:
            _lines(canvas, pen, lines)
            continue
        _paint_each(canvas, lines)


def _plain_pen(piece: ink.Ink) -> ink.Pen | None:
    """Return the pen of a line without a core; lines of one pen in a row make one path."""
    if not isinstance(piece, ink.Stroke | ink.InkArc) or piece.pen.value.core_mm:
        return None
    return piece.pen


def _lines(canvas: Canvas, pen: ink.Pen, pieces: Iterable[ink.Ink]) -> None:
    path, style = canvas.beginPath(), pen.value
    for piece in pieces:
        if isinstance(piece, ink.Stroke | ink.InkArc):
            _add(path, piece.points if isinstance(piece, ink.Stroke) else chords(piece, 0.005))
    canvas.setStrokeColor(colors.black)
    canvas.setLineWidth(style.width_mm)
    canvas.setDash(list(style.dashes) or [], 0)
    canvas.drawPath(path, stroke=1, fill=0)


def _paint_each(canvas: Canvas, inks: Iterable[ink.Ink]) -> None:
    for piece in inks:
        if isinstance(piece, ink.Text):
            _words(canvas, piece)
        elif isinstance(piece, ink.Fill):
            canvas.setFillColor(colors.black)
            canvas.drawPath(_path(canvas, piece.points), stroke=0, fill=1)
        else:
            _line(canvas, piece)


def _path(canvas: Canvas, points: Sequence[ink.Point]) -> Any:
    path = canvas.beginPath()
    _add(path, points)
    return path


def _add(path: Any, points: Sequence[ink.Point]) -> None:
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)


def _line(canvas: Canvas, piece: ink.Stroke | ink.InkArc) -> None:
    points = piece.points if isinstance(piece, ink.Stroke) else chords(piece, 0.005)
    style = piece.pen.value
    canvas.setStrokeColor(colors.black)
    canvas.setLineWidth(style.width_mm)
    canvas.setDash(list(style.dashes) or [], 0)
    canvas.drawPath(_path(canvas, points), stroke=1, fill=0)
    if style.core_mm:
        canvas.setStrokeColor(colors.white)
        canvas.setLineWidth(style.core_mm)
        canvas.drawPath(_path(canvas, points), stroke=1, fill=0)


def _words(canvas: Canvas, text: ink.Text) -> None:
    width, height = text.width, text.height
    canvas.saveState()
    canvas.translate(*text.at)
    canvas.rotate(text.turn_deg)
    canvas.setFillColor(colors.white)
    canvas.rect(-0.5 * width, -0.7 * height, width, 1.4 * height, stroke=0, fill=1)
    canvas.setFillColor(colors.black)
    canvas.setFont(_BOLD if text.bold else _PLAIN, height / ink.CAP_OVER_EM)
    canvas.drawCentredString(0.0, -0.5 * height, text.text)
    canvas.restoreState()


_LAYERS: Mapping[type[Block], Callable[[Any, float], list[Any]]] = {
    Heading: lambda block, _: [
        PageBreak() if block.new_page else CondPageBreak(ROOM_BELOW),
        Text(_safe(block.text), _SECTION),
    ],
    Paragraph: lambda block, _: [Text(_safe(block.text), _BODY)],
    Pairs: lambda block, room: [_pairs(block, room), Spacer(0, 6)],
    Table: _table,
    Listing: lambda block, _: [_listing(block), Spacer(0, 4)],
    Notice: lambda block, room: [_notice(block, room), Spacer(0, 6)],
    Picture: lambda block, room: [_picture(block, room)],
}
