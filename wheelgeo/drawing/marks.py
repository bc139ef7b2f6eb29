"""What a view says beyond its lines: arrows of travel and rotation, dimensions, names.

Every function takes the height of a capital, mm of the model, as the measure of all annotation.
Arrows show the sense as it is seen in that view: where a shaft points away from the eye, the arrow
turns the other way round on paper, as the thing does.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from wheelgeo.drawing.labels import Request
from wheelgeo.drawing.scene import (
    Crank,
    Curve,
    RunningCord,
    Scene,
    Spacing,
    TurnedBody,
    TurningArrow,
)
from wheelgeo.drawing.strokes import Box, Ink, InkArc, Pen, Point, Stroke, arrow_head, drawable
from wheelgeo.drawing.view import DrawnPiece, View, project
from wheelgeo.geometry.vectors import across, add, cross, dot, norm, scale, sub, unit
from wheelgeo.immutable import dataclass
from wheelgeo.units.written import LengthWriter

Lengths = Callable[[float], str]
"""Writes a length in millimetres for people, with its unit or without."""

NAME_CHARACTERS = 28
"""Names longer than this are cut short on drawings; tables hold them whole."""
_SHOWN_FLAT = 0.3
"""An axis leans this far out of the picture (cosine to the eye) to have a round arrow."""
_SWEEP = math.radians(110.0)
_TAIL = 3.0
"""Heights of a capital that the line of an arrow must at least have."""


@dataclass(frozen=True)
class DrawnDimension:
    """A drawn dimension: its lines and the label that it wants."""

    ink: tuple[Ink, ...]
    label: Request


def short(name: str) -> str:
    """Return a name as a drawing shows it."""
    return drawable(name, NAME_CHARACTERS)


def travel_arrows(cords: Sequence[RunningCord], view: View, height: float) -> list[Ink]:
    """Return a filled head on each run of the bands that travel.

    A run that is too short in the view has none, nor one that lies behind another run: on paper
    the two are one line, and the nearer one tells its sense.
    """
    runs = [run for cord in cords for run in cord.runs]
    heads: list[Ink] = []
    for run in (run for cord in cords if cord.travels for run in cord.runs):
        if any(_behind(run, other, view, height) for other in runs if other is not run):
            continue
        start, end = view.place(run.at(0.0)), view.place(run.at(1.0))
        length = math.dist(start, end)
        if length < _TAIL * height:
            continue
        direction = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
        reach = 0.5 * length + 0.8 * height
        tip = (start[0] + direction[0] * reach, start[1] + direction[1] * reach)
        heads.append(arrow_head(tip, direction, 1.6 * height, 1.1 * height))
    return heads


def _behind(run: Curve, other: Curve, view: View, height: float) -> bool:
    """Tell whether the middle of a run lies behind another run, within an arrow's width."""
    middle = run.at(0.5)
    x, y = view.place(middle)
    (x1, y1), (x2, y2) = view.place(other.at(0.0)), view.place(other.at(1.0))
    dx, dy = x2 - x1, y2 - y1
    square = dx * dx + dy * dy
    if square < height**2:
        return False
    t = min(max(((x - x1) * dx + (y - y1) * dy) / square, 0.0), 1.0)
    near = math.dist((x, y), (x1 + t * dx, y1 + t * dy)) < 0.5 * height
    return near and dot(sub(other.at(t), middle), view.to_eye) > 0.0


def rotation_choices(turning: TurningArrow, view: View, height: float) -> Iterator[list[Ink]]:
    """Yield the arrows that may show how a shaft turns; the caller takes the clearest.

    Args:
        turning: the shaft's sense and the body that shows it.
        view: the view.
        height: height of a capital, mm.
    """
    lean = dot(turning.body.axis, view.to_eye)
    if abs(lean) < _SHOWN_FLAT:
        yield from (_loop_arrow(turning, view, height, upper) for upper in (True, False))
        return
    radius = _arrow_radius(turning.body.radius_mm, height)
    z = turning.body.ends_mm[1 if lean > 0.0 else 0]
    starts = (2.0 * math.pi * k / 12 for k in range(12))
    yield from (_round_arrow(turning, z, radius, start, view, height) for start in starts)


def _arrow_radius(rim: float, height: float) -> float:
    """Return the radius of a round arrow: within a wide wheel, outside a small one."""
    return 0.72 * rim if rim > 6.0 * height else rim + 1.6 * height


def _round_arrow(
    turning: TurningArrow, z: float, radius: float, start: float, view: View, height: float
) -> list[Ink]:
    u, v = across(turning.body.axis)
    sweep = min(_SWEEP, 14.0 * height / radius) if radius > 6.0 * height else _SWEEP
    v = scale(v, float(turning.sense))
    curve = Curve(
        turning.body.point(z),
        u=scale(u, radius),
        v=scale(v, radius),
        start=start,
        end=start + sweep,
    )
    return [*project(curve, view, Pen.ARROW), _head_at_end(curve, view, height)]


def _head_at_end(curve: Curve, view: View, height: float) -> Ink:
    """Return a head whose tip lies just beyond the end of a curve, along its chord there."""
    step = 0.6 * height / norm(curve.u)
    tip = view.place(curve.at(curve.end + step))
    back = view.place(curve.at(curve.end - step))
    length = math.dist(back, tip) or 1.0
    direction = ((tip[0] - back[0]) / length, (tip[1] - back[1]) / length)
    return arrow_head(tip, direction, 1.5 * height, 1.2 * height)


def _loop_arrow(turning: TurningArrow, view: View, height: float, upper: bool) -> list[Ink]:
    """Return half an ellipse round a shaft that lies in the picture, in front of it.

    The near side of the shaft moves as the arrow points.
    """
    body = turning.body
    outward = 1.0 if upper else -1.0
    z = body.ends_mm[1 if upper else 0] + outward * 2.2 * height
    near = cross(scale(body.axis, float(turning.sense)), view.to_eye)
    side = unit(sub(near, scale(view.to_eye, dot(near, view.to_eye))))
    reach = 1.9 * height
    centre = body.point(z)
    bulge = scale(body.axis, outward * 0.8 * height)
    curve = Curve(centre, u=scale(side, -reach), v=bulge, start=-0.5, end=math.pi + 0.2)
    return [*project(curve, view, Pen.ARROW), _head_at_end(curve, view, height)]


def spacing_choices(
    spacing: Spacing, view: View, height: float, lengths: Lengths
) -> list[DrawnDimension]:
    """Return the ways to draw a centre distance, at growing offsets; none where it is not true."""
    start, end = view.place(spacing.start), view.place(spacing.end)
    if abs(math.dist(start, end) - spacing.length_mm) > 1e-6 * spacing.length_mm:
        return []
    text = lengths(spacing.length_mm)
    offsets = [0.0] + [sign * k * height for k in (4.0, 8.0, 14.0, 20.0) for sign in (1.0, -1.0)]
    return [dimension(start, end, offset, text, height) for offset in offsets]


def dimension(start: Point, end: Point, offset: float, text: str, height: float) -> DrawnDimension:
    """Return a dimension beside two points.

    Args:
        start: the first point measured from, mm.
        end: the second.
        offset: how far to the left of the way from start to end the line runs, mm.
        text: what it says.
        height: height of a capital, mm.
    """
    length = math.dist(start, end)
    along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    left = (-along[1], along[0])
    a, b = ((p[0] + left[0] * offset, p[1] + left[1] * offset) for p in (start, end))
    ink: list[Ink] = [Stroke((a, b), Pen.DIMENSION)]
    tip, wide = min(1.2 * height, 0.3 * length), 0.5 * height
    ink += [arrow_head(a, (-along[0], -along[1]), tip, wide), arrow_head(b, along, tip, wide)]
    if offset:
        over = math.copysign(0.8 * height, offset)
        for p, q in ((start, a), (end, b)):
            beyond = (q[0] + left[0] * over, q[1] + left[1] * over)
            ink.append(Stroke((p, beyond), Pen.DIMENSION))
    places = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
    spots = tuple((a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t) for t in places)
    return DrawnDimension(tuple(ink), Request(text, anchors=spots[:1], spots=spots, rank=0))


def overall(box: Box, height: float, lengths: Lengths) -> list[DrawnDimension]:
    """Return width and height of a box, drawn below it and on its right."""
    x1, y1, x2, y2 = box
    away = -4.5 * height
    return [
        dimension((x1, y1), (x2, y1), away, lengths(x2 - x1), height),
        dimension((x2, y1), (x2, y2), away, lengths(y2 - y1), height),
    ]


def case_box(scene: Scene, view: View) -> Box | None:
    """Return the case's inside as a box in a view along one of the axes; None without a case."""
    if scene.case is None:
        return None
    low = scene.case.corner_mm
    high = add(low, scene.case.inside_mm)
    (xa, ya), (xb, yb) = view.place(low), view.place(high)
    return (min(xa, xb), min(ya, yb), max(xa, xb), max(ya, yb))


def name_requests(
    scene: Scene, pieces: Sequence[DrawnPiece], view: View, lengths: LengthWriter, detail: bool
) -> list[Request]:
    """Return the labels of pulleys (with their rims), shafts and bands.

    Args:
        scene: what is drawn.
        pieces: its lines in this view.
        view: the view.
        lengths: writes a length.
        detail: whether pulleys are named with their rim diameters, or not at all.
    """
    requests = [_cord_request(c, view) for c in scene.cords]
    if detail:
        requests += [_pulley_request(b, pieces, view, lengths) for b in scene.of_kind("pulley")]
    if detail and scene.crank is not None:
        requests += _crank_request(scene.crank, pieces, lengths)
    return requests + [_shaft_request(b, view) for b in scene.of_kind("shaft")]


def _crank_request(crank: Crank, pieces: Sequence[DrawnPiece], lengths: Lengths) -> list[Request]:
    anchors = [
        q
        for p in pieces
        if p.ink.pen is Pen.PHANTOM and p.owner == crank.by
        for q in _anchors(p.ink)
    ]
    name = "crank" if crank.by == "crank" else "treadle crank"
    text = f"{name}, radius {lengths(norm(crank.circle.u))}"
    return [Request(text, tuple(anchors), rank=3)] if anchors else []


def _pulley_request(
    body: TurnedBody, pieces: Sequence[DrawnPiece], view: View, lengths: LengthWriter
) -> Request:
    text = f"{short(body.name)} ⌀{lengths.turned(2.0 * body.radius_mm)}"
    own = [p for p in pieces if p.owner == body.name and p.ink.pen in (Pen.OUTLINE, Pen.HIDDEN)]
    shown = [p for p in own if p.seen] or own
    anchors = [q for p in shown for q in _anchors(p.ink)] or _rim_points(body, view)
    return Request(text, tuple(anchors[:: max(1, len(anchors) // 24)]), rank=2)


def _rim_points(body: TurnedBody, view: View) -> list[Point]:
    """Return points on the rim, for a pulley none of whose lines is drawn."""
    circle = body.circle(0.0, body.radius_mm)
    return [view.place(circle.at(math.tau * k / 24)) for k in range(24)]


def _anchors(ink: Stroke | InkArc) -> list[Point]:
    if isinstance(ink, InkArc):
        count = max(2, round((ink.end_deg - ink.start_deg) / 15.0))
        return [
            ink.at(ink.start_deg + (ink.end_deg - ink.start_deg) * i / count) for i in range(count)
        ]
    if len(ink.points) > 2:
        return list(ink.points[::5])
    (x1, y1), (x2, y2) = ink.points
    return [(x1 + (x2 - x1) * t, y1 + (y2 - y1) * t) for t in (0.15, 0.5, 0.85)]


def _shaft_request(body: TurnedBody, view: View) -> Request:
    low, high = body.ends_mm
    if view.sees_flat(body.axis):
        anchors: tuple[Point, ...] = (view.place(body.origin),)
    else:
        steps = (0.0, 1.0, 0.1, 0.9, 0.3, 0.7, 0.5)
        anchors = tuple(view.place(body.point(low + (high - low) * t)) for t in steps)
    return Request(short(body.name), anchors, rank=1, bold=True)


def _cord_request(cord: RunningCord, view: View) -> Request:
    steps = (0.3, 0.7, 0.25, 0.75, 0.35, 0.65, 0.2, 0.8)
    long = sorted(cord.runs, key=lambda r: -math.dist(view.place(r.at(0.0)), view.place(r.at(1.0))))
    anchors = tuple(view.place(run.at(t)) for run in long[:3] for t in steps)
    return Request(short(cord.name), anchors, rank=3)
