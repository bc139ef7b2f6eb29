"""The drawing of the drive as a drawing file: full size, each kind of line on its own layer."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from wheelgeo.drawing.compose import Composed, compose, traced
from wheelgeo.drawing.scene_of_wheel import scene_of
from wheelgeo.drawing.strokes import (
    Box,
    Fill,
    Ink,
    InkArc,
    Pen,
    Point,
    Stroke,
    Text,
    drawable,
    moved,
)
from wheelgeo.drawing.view import ISOMETRIC, PLAN, side_view
from wheelgeo.drive.train import Solution
from wheelgeo.geometry import segments
from wheelgeo.geometry.segments import comparable
from wheelgeo.shop import outlines
from wheelgeo.shop.drafting import Chain, CutSheet, Item, reference_square
from wheelgeo.units.written import LengthUnit, length_writer

LAYER = "NOTES"
_LAYER_OF: Mapping[Pen, str] = {
    Pen.OUTLINE: "OUTLINE",
    Pen.FINE: "FINE",
    Pen.HIDDEN: "HIDDEN",
    Pen.CENTRE: "CENTRE",
    Pen.PHANTOM: "PHANTOM",
    Pen.CASE: "CASE",
    Pen.DIMENSION: LAYER,
    Pen.LEADER: LAYER,
    Pen.FRAME: LAYER,
    Pen.CORD: "BAND",
    Pen.CORD_HOLLOW: "BAND",
    Pen.CORD_HIDDEN: "BAND",
    Pen.ARROW: "ARROW",
}
CAPITAL_SHARE = 1.0 / 110.0
"""Height of a capital over the size of the drive."""
LEAST_MM = 0.05
"""Shorter pieces are left out, mm."""


def drive_dxf_sheet(solution: Solution, unit: LengthUnit = "mm") -> CutSheet:
    """Return the drawing of a drive at full size: plan, side below it, isometric view beside it.

    Args:
        solution: the solved wheel.
        unit: how lengths are written; the file itself is in millimetres.

    Returns:
        Shapes on layers that nobody cuts. Pulleys that lie flat are true circles and arcs.
    """
    scene = scene_of(solution)
    lengths = length_writer(unit)
    lines = [traced(scene, view) for view in (PLAN, side_view(scene), ISOMETRIC)]
    size = max(max(t.box[2] - t.box[0], t.box[3] - t.box[1]) for t in lines)
    height = size * CAPITAL_SHARE
    views = [compose(t, height, lengths, t.view is not ISOMETRIC) for t in lines]
    items: list[Item] = []
    for view, corner in zip(views, _corners(views, 4.0 * height), strict=True):
        items += _placed(view, corner)
    title = Text(drawable(scene.title), (0.0, 0.0), 2.0 * height)
    items += _items(Text(title.text, (0.5 * title.width, 7.0 * height), 2.0 * height))
    items += [replace(i, layer=LAYER) for i in reference_square((0.0, 7.0 * height + 120.0))]
    return CutSheet(f"{scene.title}: drawing of the drive", tuple(_once(items)))


def _corners(views: Sequence[Composed], gap: float) -> list[Point]:
    """Return the upper left corner of each view: plan at the origin, side below, third beside."""
    (plan, side) = (_size(v.box) for v in views[:2])
    return [(0.0, 0.0), (0.0, -plan[1] - gap), (max(plan[0], side[0]) + gap, 0.0)]


def _size(box: Box) -> Point:
    return (box[2] - box[0], box[3] - box[1])


def _placed(view: Composed, corner: Point) -> list[Item]:
    x1, _, _, y2 = view.box
    shift = (corner[0] - x1, corner[1] - y2)
    items = [item for ink in view.ink for item in _items(moved(ink, 1.0, shift), view.height)]
    name = Text(view.view.name, (0.0, 0.0), view.height)
    at = (corner[0] + 0.5 * name.width, corner[1] + 1.5 * view.height)
    return [*items, *_items(Text(name.text, at, view.height))]


def _items(ink: Ink, height: float = 2.0) -> Iterable[Item]:
    """Yield a piece of ink as shapes; dashes grow with the height of a capital."""
    if isinstance(ink, Text):
        yield Item(LAYER, outlines.Label(ink.text, ink.at, ink.height, ink.turn_deg))
    elif isinstance(ink, Fill):
        yield Item("ARROW", outlines.polygon_outline(ink.points))
    else:
        dashes = tuple(round(dash * height / 2.0, 3) for dash in ink.pen.value.dashes)
        shape = _arc(ink) if isinstance(ink, InkArc) else _chain(ink)
        if shape is not None:
            yield Item(_LAYER_OF[ink.pen], shape, dashes)


def _arc(arc: InkArc) -> segments.Arc | outlines.Circle | None:
    if arc.is_circle:
        return outlines.Circle(arc.centre, arc.radius)
    if math.radians(arc.end_deg - arc.start_deg) * arc.radius < LEAST_MM:
        return None
    return segments.Arc(arc.centre, arc.radius, arc.start_deg, arc.end_deg)


def _chain(stroke: Stroke) -> segments.Line | Chain | None:
    points = stroke.points
    if len(points) > 2:
        return Chain(points) if max(math.dist(points[0], p) for p in points) >= LEAST_MM else None
    return segments.Line(*points) if math.dist(*points) >= LEAST_MM else None


def _once(items: Iterable[Item]) -> Iterable[Item]:
    """Yield shapes without those that are the same as one before, whichever way they run."""
    seen: set[object] = set()
    for item in items:
        key = _key(item)
        if key not in seen:
            seen.add(key)
            yield item


def _key(item: Item) -> object:
    shape = item.shape
    if isinstance(shape, segments.Line):
        return frozenset((comparable(shape.start), comparable(shape.end)))
    if isinstance(shape, segments.Arc):
        ends = frozenset((comparable(shape.start), comparable(shape.end)))
        return (comparable(shape.centre), ends)
    if isinstance(shape, outlines.Circle):
        return (comparable(shape.centre), round(shape.radius_mm, 6))
    if isinstance(shape, Chain):
        forward = tuple(comparable(p) for p in shape.points)
        return ("chain", *min(forward, forward[::-1]))
    return item
