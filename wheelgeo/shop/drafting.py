"""What goes on a cut file: shapes on layers, dimensions, tables, and the checks before writing.

A layer whose name holds CUT carries nothing but closed cuts; DRILL carries round holes; text and
dimensions live on ENGRAVE, REFERENCE and DIMENSION, the profile of what is turned on PROFILE.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable, Mapping, Sequence

from wheelgeo.errors import ShapeError
from wheelgeo.geometry.segments import SAME_MM, Arc, Line, Segment, boxes_apart, comparable
from wheelgeo.immutable import dataclass
from wheelgeo.shop.outlines import (
    Box,
    Circle,
    Label,
    Loop,
    Outline,
    Part,
    Point,
    join_boxes,
    loops_meet,
    rectangle,
)


@dataclass(frozen=True)
class Chain:
    """An open chain of straight pieces through points: a curve that is neither line nor arc.

    For drawings only: no machine cuts it.
    """

    points: tuple[Point, ...]

    @property
    def box(self) -> Box:
        """Its bounding box."""
        xs, ys = [p[0] for p in self.points], [p[1] for p in self.points]
        return (min(xs), min(ys), max(xs), max(ys))


@dataclass(frozen=True)
class Measure:
    """A dimension of a distance along x or, upright, along y.

    Attributes:
        start: the first point measured from.
        end: the second.
        at: where the dimension line runs: its y, or its x where it is upright.
        upright: whether y is measured rather than x.
        text: what is written; ``<>`` stands for the distance.
        first: whether a line leads to the first point; not where another dimension's does.
        scale: what is drawn is so many times as large as it is.
    """

    start: Point
    end: Point
    at: float
    upright: bool = False
    text: str = "<>"
    first: bool = True
    scale: float = 1.0

    @property
    def length_mm(self) -> float:
        """The distance, as drawn."""
        i = 1 if self.upright else 0
        return abs(self.end[i] - self.start[i])

    @property
    def words(self) -> str:
        """What is written, with the distance in its place."""
        return self.text.replace("<>", f"{self.length_mm / self.scale:.4g}")

    @property
    def text_at(self) -> Point:
        """Where the middle of its text stands: over the line, or beside one too short for it."""
        wide, lift = text_width_mm(self.words, TEXT_MM), 0.5 * TEXT_MM + 1.0
        i = 1 if self.upright else 0
        ends = sorted((self.start[i], self.end[i]))
        short = self.length_mm < wide + 1.0
        along = ends[1] + 0.5 * wide + 3.0 if short else 0.5 * (ends[0] + ends[1])
        return (self.at - lift, along) if self.upright else (along, self.at + lift)

    @property
    def box(self) -> Box:
        """Bounding box, text included."""
        x, y = self.text_at
        half, tall = 0.5 * text_width_mm(self.words, TEXT_MM), 0.5 * TEXT_MM
        dx, dy = (tall, half) if self.upright else (half, tall)
        line = [(self.at, p[1]) if self.upright else (p[0], self.at) for p in self._points]
        points = [*line, *self._points, (x - dx, y - dy), (x + dx, y + dy)]
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        return (min(xs), min(ys), max(xs), max(ys))

    @property
    def _points(self) -> tuple[Point, Point]:
        return (self.start, self.end)


@dataclass(frozen=True)
class AngleMeasure:
    """A dimension of the angle between two directions, counter-clockwise from the first.

    Attributes:
        centre: where the two flanks would meet.
        from_deg: first direction.
        to_deg: second.
        radius_mm: of its arc.
        text: what is written; ``<>`` stands for the angle.
    """

    centre: Point
    from_deg: float
    to_deg: float
    radius_mm: float
    text: str = "<>"

    @property
    def box(self) -> Box:
        """Bounding box, text included, roomy."""
        (x, y), r = self.centre, self.radius_mm + text_width_mm("000°", TEXT_MM)
        return (x - r, y - r, x + r, y + r)


Shape = Line | Arc | Circle | Outline | Label | Chain | Measure | AngleMeasure


@dataclass(frozen=True)
class Layer:
    """A layer: its colour (a colour number of the DXF format) and what its shapes are for."""

    name: str
    colour: int
    means: str


_LAYERS = (
    Layer("REFERENCE", 8, "not to be cut: the 100 mm square, notes"),
    Layer("DIMENSION", 9, "not to be cut: sizes"),
    Layer("PROFILE", 6, "turned half-sections for a lathe or a template: no outline of a part"),
    Layer("ENGRAVE", 40, "names and centre lines to engrave or prick"),
    Layer("DRILL", 4, "round holes to drill"),
    Layer("CUT_INSIDE", 5, "holes, cut on their inner side"),
    Layer("CUT_OUTSIDE", 1, "outlines, cut on their outer side, last of all"),
)
LAYERS: Mapping[str, Layer] = {layer.name: layer for layer in _LAYERS}
"""Every layer, in the order in which its shapes stand in a file: holes before outlines.

Their colours can be told apart with red-green blindness too: a drill is not a cut in another green.
"""
_LINES = (
    Layer("NOTES", 8, "names, sizes and the 100 mm square"),
    Layer("OUTLINE", 7, "edges that are seen"),
    Layer("FINE", 9, "thread and texture"),
    Layer("HIDDEN", 5, "edges behind something"),
    Layer("CENTRE", 4, "axes"),
    Layer("PHANTOM", 6, "where a part may move to"),
    Layer("CASE", 40, "the case and its lid"),
    Layer("BAND", 1, "bands"),
    Layer("ARROW", 2, "which way things turn and run"),
)
DRAWING_LAYERS: Mapping[str, Layer] = {layer.name: layer for layer in _LINES}
"""Layers of a drawing, one a kind of line: nothing of it is ever cut."""
ALL_LAYERS: Mapping[str, Layer] = {**LAYERS, **DRAWING_LAYERS}

SQUARE_MM = 100.0
"""Side of the square by which a reader checks the scale, mm."""
TEXT_MM = 4.0
"""Height of plain text, mm."""


@dataclass(frozen=True)
class Item:
    """One shape on one layer; ``dashes`` (on, off, on, off ..., mm) where it is not a full line."""

    layer: str
    shape: Shape
    dashes: tuple[float, ...] = ()


@dataclass(frozen=True)
class CutSheet:
    """All shapes of one file.

    Attributes:
        title: what it shows.
        items: the shapes, in no particular order.
    """

    title: str
    items: tuple[Item, ...]

    @property
    def box(self) -> Box:
        """Bounding box of everything on it, text included."""
        return items_box(self.items)


def items_box(items: Iterable[Item]) -> Box:
    """Return the bounding box of shapes, text included."""
    return join_boxes([shape_box(item.shape) for item in items])


def shape_box(shape: Shape) -> Box:
    """Return the bounding box of one shape; of text by a generous width for its letters."""
    if not isinstance(shape, Label):
        return shape.box
    half = 0.5 * text_width_mm(shape.text, shape.height_mm)
    tall = 0.5 * shape.height_mm
    angle = math.radians(shape.turn_deg)
    c, s = abs(math.cos(angle)), abs(math.sin(angle))
    dx, dy = half * c + tall * s, half * s + tall * c
    x, y = shape.at
    if shape.anchor == "left":
        x, y = x + half * math.cos(angle), y + half * math.sin(angle)
    return (x - dx, y - dy, x + dx, y + dy)


def text_width_mm(text: str, height_mm: float) -> float:
    """Return a width that holds a line of text in the plain fonts of drawing programs, mm."""
    wide = sum(1.7 if ord(letter) > 0x2E7F else 0.9 for letter in text)
    return wide * height_mm


def part_items(part: Part) -> list[Item]:
    """Return the shapes of a part, each on its layer."""
    outside_layer = "PROFILE" if part.role == "section" else "CUT_OUTSIDE"
    items = [Item("DRILL", drill) for drill in part.drills]
    items += [Item("CUT_INSIDE", hole) for hole in part.holes]
    if part.outside is not None:
        items.append(Item(outside_layer, part.outside))
    items += [Item("ENGRAVE", piece) for piece in part.engraved]
    items += [Item("ENGRAVE", label) for label in part.labels]
    for mark in part.marks:
        items += [Item("ENGRAVE", line) for line in cross(mark, 2.0)]
    return items


def cross(at: Point, arm_mm: float) -> tuple[Line, Line]:
    """Return the two lines of a centre mark."""
    x, y = at
    return (Line((x - arm_mm, y), (x + arm_mm, y)), Line((x, y - arm_mm), (x, y + arm_mm)))


def text(words: str, at: Point, height_mm: float = TEXT_MM, turn_deg: float = 0.0) -> Item:
    """Return text on REFERENCE, its middle at a point."""
    return Item("REFERENCE", Label(words, at, height_mm, turn_deg))


def text_block(lines: Sequence[str], corner: Point, height_mm: float = TEXT_MM) -> list[Item]:
    """Return lines of text on REFERENCE below one another, their upper left corner at a point."""
    x, y = corner
    items = []
    for i, line in enumerate(lines):
        label = Label(line, (x, y - (1.6 * i + 0.5) * height_mm), height_mm, anchor="left")
        items.append(Item("REFERENCE", label))
    return items


def wrapped(words: str, width: int = 70) -> list[str]:
    """Return a sentence broken into lines."""
    return textwrap.wrap(words, width) or [""]


def reference_square(corner: Point) -> list[Item]:
    """Return the 100 mm square with its upper left corner at a point, and what it is."""
    x, y = corner
    side = SQUARE_MM
    return [
        Item("REFERENCE", rectangle((x, y - side, x + side, y))),
        text("100 mm x 100 mm", (x + 0.5 * side, y - 0.5 * side + 5.0)),
        text("check the scale", (x + 0.5 * side, y - 0.5 * side - 5.0)),
    ]


def dimension(
    start: Point, end: Point, at: float, upright: bool, first: bool = True, words: str = "<>"
) -> list[Item]:
    """Return a dimension; nothing where there is no distance (see ``Measure``)."""
    made = Measure(start, end, at, upright, words, first)
    return [Item("DIMENSION", made)] if made.length_mm > SAME_MM else []


def table(
    header: Sequence[str], rows: Sequence[Sequence[str]], corner: Point, height_mm: float = TEXT_MM
) -> list[Item]:
    """Return a ruled table on REFERENCE, its upper left corner at a point.

    Args:
        header: heads of the columns.
        rows: the cells, row by row.
        corner: upper left corner.
        height_mm: height of the letters.
    """
    grid = [list(header), *[list(row) for row in rows]]
    widths = [
        max(text_width_mm(row[i], height_mm) for row in grid) + 2.0 * height_mm
        for i in range(len(header))
    ]
    step = 2.2 * height_mm
    lefts = [corner[0] + math.fsum(widths[:i]) for i in range(len(widths) + 1)]
    tops = [corner[1] - step * i for i in range(len(grid) + 1)]
    rules: list[Segment] = [Line((lefts[0], y), (lefts[-1], y)) for y in tops]
    rules += [Line((x, tops[0]), (x, tops[-1])) for x in lefts]
    cells = [
        text(cell, (0.5 * (lefts[i] + lefts[i + 1]), y - 0.5 * step), height_mm)
        for y, row in zip(tops, grid, strict=False)
        for i, cell in enumerate(row)
        if cell
    ]
    return [*(Item("REFERENCE", rule) for rule in rules), *cells]


def in_order(items: Iterable[Item]) -> list[Item]:
    """Return shapes in the order of a file: notes first, then holes, outlines last."""
    order = {name: i for i, name in enumerate(ALL_LAYERS)}
    return sorted(items, key=lambda item: order[item.layer])


def check_items(items: Sequence[Item]) -> None:
    """Hold shapes against what a cutting shop needs.

    Raises:
        ShapeError: a shape stands on a layer that is not for it, has no length, is drawn twice,
            or two cuts touch.
    """
    seen: dict[tuple[object, ...], Item] = {}
    for item in items:
        _check_layer(item)
        key = _key(item.shape)
        if key in seen:
            raise ShapeError(f"drawn twice: {key[0]} on {seen[key].layer} and {item.layer}")
        seen[key] = item
    _check_apart(items)


def _check_layer(item: Item) -> None:
    if item.layer not in ALL_LAYERS:
        raise ShapeError(f'there is no layer "{item.layer}"')
    closed = isinstance(item.shape, Circle | Outline)
    if "CUT" in item.layer and not closed:
        raise ShapeError(f"{item.layer} takes closed cuts only, not {_kind(item.shape)}")
    if item.layer == "DRILL" and not isinstance(item.shape, Circle):
        raise ShapeError(f"DRILL takes round holes only, not {_kind(item.shape)}")
    if isinstance(item.shape, Line | Arc) and item.shape.length_mm <= SAME_MM:
        raise ShapeError(f"{_kind(item.shape)} without length on {item.layer}")


def _kind(shape: Shape) -> str:
    return {
        Line: "a line", Arc: "an arc", Circle: "a circle", Outline: "an outline", Chain: "a chain",
        Measure: "a dimension", AngleMeasure: "a dimension",
    }.get(type(shape), "text")  # fmt: skip


def _key(shape: Shape) -> tuple[object, ...]:
    """Return the same key for shapes that lie on one another."""
    if isinstance(shape, Label):
        return ("text", shape.text, comparable(shape.at))
    if isinstance(shape, Circle):
        return ("a circle", comparable(shape.centre), round(shape.radius_mm, 6))
    if isinstance(shape, Measure | AngleMeasure):
        return ("a dimension", shape)
    ends = sorted([comparable(shape.box[:2]), comparable(shape.box[2:])])
    if isinstance(shape, Outline):
        return ("an outline", *ends, round(shape.area_mm2, 4))
    if isinstance(shape, Chain):
        forward = tuple(comparable(p) for p in shape.points)
        return ("a chain", *min(forward, forward[::-1]))
    ends = sorted([comparable(shape.start), comparable(shape.end)])
    bend = abs(round(shape.bulge, 6))
    return (_kind(shape), *ends, bend, comparable(_middle(shape)))


def _middle(piece: Segment) -> Point:
    x1, y1, x2, y2 = piece.box
    return (0.5 * (x1 + x2), 0.5 * (y1 + y2))


def _check_apart(items: Sequence[Item]) -> None:
    """Raise ShapeError where two closed cuts touch: a shared edge would be cut twice."""
    cuts: list[tuple[Loop, Box]] = []
    for item in items:
        cutting = "CUT" in item.layer or item.layer == "DRILL"
        if cutting and isinstance(item.shape, Circle | Outline):
            cuts.append((item.shape, item.shape.box))
    for i, (loop, box) in enumerate(cuts):
        for other, other_box in cuts[:i]:
            if not boxes_apart(box, other_box) and loops_meet(loop, other):
                x, y = loop.segments[0].start
                raise ShapeError(f"two cuts touch, near ({x:.2f}, {y:.2f})")
