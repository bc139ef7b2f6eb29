"""What a drawing is made of, in the plane: strokes, arcs, filled shapes and text, with their pens.

Every backend (drawing file, picture, page) draws the same ink. Points are (x, y), x to the right,
y up; lengths in millimetres of the model or of the paper, as the page says that holds them.
"""

from __future__ import annotations

import math
from _thread import allocate_lock  # of which threading is made, which takes longer to load
from collections.abc import Iterable, Sequence
from dataclasses import replace
from enum import Enum
from functools import lru_cache
from typing import Any, NamedTuple

from wheelgeo.immutable import dataclass

Point = tuple[float, float]
Box = tuple[float, float, float, float]
"""Least x, least y, largest x, largest y."""

CAP_OVER_EM = 0.729
"""Height of a capital over the size of the type, DejaVu Sans."""
MISSING = "\N{WHITE SQUARE}"
"""Stands for a character that the type has no shape for."""


class Style(NamedTuple):
    """Width of a line and its dashes (on, off, on, off ...), millimetres of paper."""

    width_mm: float
    dashes: tuple[float, ...] = ()
    core_mm: float = 0.0


class Pen(Enum):
    """Kinds of line, told apart by width and dashes alone, after ISO 128-2's kinds of line."""

    OUTLINE = Style(0.35)
    FINE = Style(0.18)
    HIDDEN = Style(0.18, (1.6, 0.8))
    CENTRE = Style(0.13, (5.0, 0.9, 0.7, 0.9))
    PHANTOM = Style(0.18, (5.0, 0.8, 0.7, 0.8, 0.7, 0.8))
    CASE = Style(0.25, (7.0, 0.9, 0.7, 0.9, 0.7, 0.9))
    DIMENSION = Style(0.13)
    LEADER = Style(0.1)
    CORD = Style(0.8)
    CORD_HOLLOW = Style(1.0, (), 0.5)
    CORD_HIDDEN = Style(0.4, (0.9, 0.7))
    ARROW = Style(0.4)
    FRAME = Style(0.5)


@dataclass(frozen=True)
class Stroke:
    """A chain of straight pieces."""

    points: tuple[Point, ...]
    pen: Pen


@dataclass(frozen=True)
class InkArc:
    """An arc or, where it sweeps 360 degrees, a circle; counter-clockwise from start to end."""

    centre: Point
    radius: float
    start_deg: float
    end_deg: float
    pen: Pen

    @property
    def is_circle(self) -> bool:
        """Whether it closes."""
        return self.end_deg - self.start_deg >= 360.0 - 1e-9

    def at(self, angle_deg: float) -> Point:
        """Return the point in a direction."""
        angle = math.radians(angle_deg)
        x, y = self.centre
        return (x + self.radius * math.cos(angle), y + self.radius * math.sin(angle))


@dataclass(frozen=True)
class Fill:
    """A filled polygon: the head of an arrow, a dot."""

    points: tuple[Point, ...]


@dataclass(frozen=True)
class Text:
    """One line of text, its middle at a point; ``height`` is that of a capital."""

    text: str
    at: Point
    height: float
    turn_deg: float = 0.0
    bold: bool = False

    @property
    def width(self) -> float:
        """Its width, in the unit of its height."""
        return text_width(self.text, self.bold) * self.height

    @property
    def box(self) -> Box:
        """The box that it takes, upright text only: capitals and descenders."""
        half, (x, y) = 0.5 * self.width, self.at
        return (x - half, y - 0.85 * self.height, x + half, y + 0.75 * self.height)


Ink = Stroke | InkArc | Fill | Text


def moved(ink: Ink, scale: float, shift: Point) -> Ink:
    """Return ink made larger by a factor about the origin and then shifted."""

    def go(p: Point) -> Point:
        return (p[0] * scale + shift[0], p[1] * scale + shift[1])

    if isinstance(ink, InkArc):
        return replace(ink, centre=go(ink.centre), radius=ink.radius * scale)
    if isinstance(ink, Text):
        return replace(ink, at=go(ink.at), height=ink.height * scale)
    return replace(ink, points=tuple(go(p) for p in ink.points))


def bounds(inks: Iterable[Ink]) -> Box:
    """Return the box round ink; ValueError where there is none."""
    points = [p for ink in inks for p in _corners(ink)]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (min(xs), min(ys), max(xs), max(ys))


def _corners(ink: Ink) -> Sequence[Point]:
    if isinstance(ink, InkArc):
        quarters = [90.0 * k for k in range(-8, 13) if ink.start_deg <= 90.0 * k <= ink.end_deg]
        return [ink.at(a) for a in (ink.start_deg, *quarters, ink.end_deg)]
    return (ink.box[:2], ink.box[2:]) if isinstance(ink, Text) else ink.points


def arrow_head(tip: Point, direction: Point, length: float, width: float) -> Fill:
    """Return the head of an arrow at a tip, pointing along a unit direction."""
    (x, y), (dx, dy) = tip, direction
    back = (x - dx * length, y - dy * length)
    half = 0.5 * width
    return Fill(
        (
            tip,
            (back[0] - dy * half, back[1] + dx * half),
            (back[0] + dy * half, back[1] - dx * half),
        )
    )


def drawable(text: str, longest: int = 60) -> str:
    """Return text as one line that the type can draw.

    Args:
        text: anything.
        longest: characters kept; where some are dropped an ellipsis stands at the end.

    Returns:
        The text; white space is one space, a character without a shape a white square.
    """
    line = " ".join(text.split())
    line = line if len(line) <= longest else line[: longest - 1].rstrip() + "…"
    if line.isascii() and line.isprintable():  # the type has every letter of these
        return line
    return "".join(c if _has_shape(c) else MISSING for c in line)


_MEASURING = allocate_lock()
"""A type holds the text that was set in it last: of two threads, one asks at a time."""


@lru_cache(maxsize=4096)
def _has_shape(letter: str) -> bool:
    with _MEASURING:
        return ord(letter) >= 32 and _font(False).get_char_index(ord(letter)) != 0


@lru_cache(maxsize=2)
def _font(bold: bool) -> Any:
    from matplotlib.ft2font import FT2Font

    return FT2Font(font_file(bold))


@lru_cache(maxsize=2)
def font_file(bold: bool = False) -> str:
    """Return the path of DejaVu Sans, which comes with matplotlib."""
    from pathlib import Path

    import matplotlib as mpl

    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return str(Path(mpl.get_data_path()) / "fonts" / "ttf" / name)


@lru_cache(maxsize=4096)
def text_width(text: str, bold: bool = False) -> float:
    """Return the width of one line of text over the height of a capital, DejaVu Sans."""
    font = _font(bold)
    with _MEASURING:
        font.set_size(1000.0, 72.0)
        font.set_text(text, 0.0)
        width, _ = font.get_width_height()
    return float(width) / 64.0 / 1000.0 / CAP_OVER_EM
