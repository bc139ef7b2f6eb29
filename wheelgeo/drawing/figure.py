"""A figure on paper, and the two ways to make a picture of it: SVG and PNG.

The SVG keeps text as text, with the width that it was measured to have written beside it, so that
a browser which sets it in another type still keeps it within its place. Neither holds a date or a
random name: the same figure gives the same bytes.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from html import escape
from typing import Any

from wheelgeo.drawing.strokes import CAP_OVER_EM, Fill, Ink, InkArc, Point, Text, font_file
from wheelgeo.immutable import dataclass
from wheelgeo.units.written import MM_PER_INCH

BLACK = "#000"
PAPER = "#fff"
PNG_DPI = 200
_Z_RLE = 3
"""The strategy of zlib (zlib.h) for pictures that are mostly runs of one shade."""
_POINTS_PER_MM = 72.0 / MM_PER_INCH


@dataclass(frozen=True)
class PaperFigure:
    """Ink on paper.

    Attributes:
        width_mm: width of the paper.
        height_mm: height of the paper.
        ink: what is on it, in drawing order; origin at the lower left corner.
        title: what it shows, in a few words.
        description: the same in a sentence, for those who cannot see it.
    """

    width_mm: float
    height_mm: float
    ink: tuple[Ink, ...]
    title: str
    description: str


def svg_text(figure: PaperFigure, standalone: bool = True) -> str:
    """Return a figure as SVG.

    Args:
        figure: the figure.
        standalone: a whole file, or an element to stand within an HTML page.
    """
    body = "\n".join(_svg_element(ink, figure.height_mm) for ink in figure.ink)
    w, h = _n(figure.width_mm), _n(figure.height_mm)
    head = '<?xml version="1.0" encoding="UTF-8"?>\n' if standalone else ""
    space = ' xmlns="http://www.w3.org/2000/svg"' if standalone else ""
    size = f' width="{w}mm" height="{h}mm"' if standalone else ""
    sheet = f'<rect width="{w}" height="{h}" fill="{PAPER}"/>\n' if standalone else ""
    return (
        f'{head}<svg{space}{size} viewBox="0 0 {w} {h}" role="img" '
        f'font-family="DejaVu Sans, Verdana, Arial, sans-serif">\n'
        f"<title>{markup(figure.title)}</title>\n<desc>{markup(figure.description)}</desc>\n"
        f"{sheet}{body}\n</svg>\n"
    )


def markup(text: str) -> str:
    """Return text as XML and HTML take it: marked-up characters escaped, forbidden ones dropped.

    Source of what is forbidden: XML 1.0, production 2 (Char).
    """
    return escape(without_forbidden(text))


def without_forbidden(text: str) -> str:
    """Return text without the characters that XML and HTML forbid."""
    return "".join(c for c in text if _allowed(ord(c)))


def _allowed(code: int) -> bool:
    low = code in (0x9, 0xA, 0xD) or 0x20 <= code <= 0xD7FF
    return low or 0xE000 <= code <= 0xFFFD or 0x10000 <= code <= 0x10FFFF


def _n(x: float) -> str:
    """Return a number with three decimals at most, no minus before nothing."""
    return f"{x:.3f}".rstrip("0").rstrip(".").replace("-0", "0" if abs(x) < 5e-4 else "-0")


def _svg_element(ink: Ink, top: float) -> str:
    if isinstance(ink, Text):
        return _svg_words(ink, top)
    if isinstance(ink, Fill):
        corners = " ".join(f"{_n(x)},{_n(top - y)}" for x, y in ink.points)
        return f'<polygon points="{corners}" fill="{BLACK}"/>'
    shape = _svg_arc(ink, top) if isinstance(ink, InkArc) else _svg_chain(ink.points, top)
    style = ink.pen.value
    drawn = f"<{shape} {_svg_pen(style.width_mm, style.dashes, BLACK)}/>"
    if style.core_mm:
        drawn += f"<{shape} {_svg_pen(style.core_mm, (), PAPER)}/>"
    return drawn


def _svg_pen(width: float, dashes: Sequence[float], colour: str) -> str:
    pattern = f' stroke-dasharray="{" ".join(map(_n, dashes))}"' if dashes else ""
    return f'fill="none" stroke="{colour}" stroke-width="{_n(width)}"{pattern}'


def _svg_chain(points: Sequence[Point], top: float) -> str:
    return 'path d="M' + "L".join(f"{_n(x)} {_n(top - y)}" for x, y in points) + '"'


def _svg_arc(arc: InkArc, top: float) -> str:
    x, y = arc.centre
    if arc.is_circle:
        return f'circle cx="{_n(x)}" cy="{_n(top - y)}" r="{_n(arc.radius)}"'
    (x1, y1), (x2, y2) = arc.at(arc.start_deg), arc.at(arc.end_deg)
    large = 1 if arc.end_deg - arc.start_deg > 180.0 else 0
    r = _n(arc.radius)
    return f'path d="M{_n(x1)} {_n(top - y1)}A{r} {r} 0 {large} 0 {_n(x2)} {_n(top - y2)}"'


def _svg_words(text: Text, top: float) -> str:
    (x, y), size, width = text.at, text.height / CAP_OVER_EM, text.width
    turn = (
        f' transform="rotate({_n(-text.turn_deg)} {_n(x)} {_n(top - y)})"' if text.turn_deg else ""
    )
    weight = ' font-weight="bold"' if text.bold else ""
    back = (
        f'<rect x="{_n(x - 0.5 * width)}" y="{_n(top - y - 0.7 * text.height)}" '
        f'width="{_n(width)}" height="{_n(1.4 * text.height)}" fill="{PAPER}"{turn}/>'
    )
    return (
        f'{back}<text x="{_n(x)}" y="{_n(top - y + 0.5 * text.height)}" font-size="{_n(size)}" '
        f'text-anchor="middle" textLength="{_n(width)}" lengthAdjust="spacingAndGlyphs"'
        f"{weight}{turn}>{markup(text.text)}</text>"
    )


def png_bytes(figure: PaperFigure, dpi: int = PNG_DPI) -> bytes:
    """Return a figure as a grey PNG picture, drawn by matplotlib's renderer without a screen.

    Args:
        figure: the figure.
        dpi: dots per inch.
    """
    import numpy as np
    from matplotlib.backends import backend_agg
    from PIL import Image

    agg: Any = backend_agg

    size = (round(side / MM_PER_INCH * dpi) for side in (figure.width_mm, figure.height_mm))
    brush = _Brush(agg.RendererAgg(*size, dpi), dpi)
    sheet = ((0.0, 0.0), (figure.width_mm, 0.0), (figure.width_mm, figure.height_mm))
    brush.fill([*sheet, (0.0, figure.height_mm)], 1.0)
    for ink in figure.ink:
        brush.paint(ink)
    stream = io.BytesIO()
    grey = np.ascontiguousarray(np.asarray(brush.renderer.buffer_rgba())[..., 0])
    # lines on white are long runs of one shade: packed as runs they take less time and less room
    Image.fromarray(grey).save(stream, format="PNG", dpi=(dpi, dpi), compress_type=_Z_RLE)
    return stream.getvalue()


class _Brush:
    """Paints ink with a renderer whose unit is the dot; shades from 0 (black) to 1 (white)."""

    def __init__(self, renderer: Any, dpi: int) -> None:
        from matplotlib.transforms import Affine2D

        self.renderer = renderer
        self.scale = Affine2D().scale(dpi / MM_PER_INCH)

    def paint(self, ink: Ink) -> None:
        """Paint one piece of ink."""
        if isinstance(ink, Text):
            self._words(ink)
        elif isinstance(ink, Fill):
            self.fill(ink.points, 0.0)
        else:
            points = chords(ink) if isinstance(ink, InkArc) else ink.points
            style = ink.pen.value
            self._line(points, style.width_mm, style.dashes, 0.0)
            if style.core_mm:
                self._line(points, style.core_mm, (), 1.0)

    def fill(self, points: Sequence[Point], shade: float) -> None:
        """Fill a polygon, mm."""
        from matplotlib.path import Path

        self._shape(Path([*points, points[0]], closed=True), self.scale, shade)

    def _shape(self, path: Any, transform: Any, shade: float) -> None:
        pen = self.renderer.new_gc()
        pen.set_linewidth(0.0)
        self.renderer.draw_path(pen, path, transform, (shade, shade, shade))

    def _line(
        self, points: Sequence[Point], width: float, dashes: Sequence[float], shade: float
    ) -> None:
        from matplotlib.path import Path

        pen = self.renderer.new_gc()
        pen.set_linewidth(width * _POINTS_PER_MM)
        pen.set_foreground((shade, shade, shade))
        if dashes:
            pen.set_dashes(0.0, [dash * _POINTS_PER_MM for dash in dashes])
        self.renderer.draw_path(pen, Path(points), self.scale)

    def _words(self, text: Text) -> None:
        from matplotlib.font_manager import FontProperties
        from matplotlib.textpath import TextPath
        from matplotlib.transforms import Affine2D

        half, height = 0.5 * text.width, text.height
        place = Affine2D().rotate_deg(text.turn_deg).translate(*text.at)
        corners = [(-half, -0.7 * height), (half, -0.7 * height), (half, 0.7 * height)]
        self.fill(place.transform([*corners, (-half, 0.7 * height)]).tolist(), 1.0)
        font = FontProperties(fname=font_file(text.bold))
        size = height / CAP_OVER_EM
        if not any(letter.isprintable() and not letter.isspace() for letter in text.text):
            return  # nothing of it is seen, and an empty shape cannot be drawn
        letters = TextPath((-half, -0.5 * height), text.text, size=size, prop=font)
        self._shape(letters, place + self.scale, 0.0)


def chords(arc: InkArc, deviation: float = 0.01) -> list[Point]:
    """Return an arc as chords none of which runs farther from it than a deviation, mm."""
    step = 2.0 * math.acos(max(0.5, 1.0 - deviation / arc.radius)) if arc.radius else math.pi
    sweep = arc.end_deg - arc.start_deg
    count = max(2, math.ceil(math.radians(sweep) / step))
    return [arc.at(arc.start_deg + sweep * i / count) for i in range(count + 1)]
