"""A wheel as it is seen on the page: lines, bands as they run, labels; all of it as SVG takes it.

Coordinates are millimetres of the model as they fall in a view, x to the right and y down. A line
is [pen, owner, seen, path]: the pen is a kind of line of the drawings (``outline``, ``hidden``),
whose weight and dashes the page keeps; the owner is the part that it belongs to.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any, NamedTuple

from wheelgeo.drawing.dots import Array, dots_of
from wheelgeo.drawing.labels import Request, place_labels
from wheelgeo.drawing.marks import rotation_choices, short, spacing_choices, travel_arrows
from wheelgeo.drawing.scene import Curve, FlatBody, Scene, TurnedBody
from wheelgeo.drawing.strokes import Box, Fill, Ink, InkArc, Pen, Point, Stroke, bounds
from wheelgeo.drawing.view import (
    END,
    FRONT,
    PLAN,
    LinePart,
    SceneLine,
    View,
    axis_lines,
    body_lines,
    case_lines,
    cord_lines,
    parts_in,
    project,
    side_view,
)
from wheelgeo.errors import LayoutError
from wheelgeo.geometry.vectors import Vector, cross, norm, scale, unit
from wheelgeo.units.written import LengthUnit, length_with_unit

Line = list[Any]
_FLATTEST = math.radians(89.0)


def view_named(name: str, scene: Scene, turn_deg: float = 35.0, tilt_deg: float = 30.0) -> View:
    """Return a view by its name on the page.

    Args:
        name: plan, side (the one that shows more), or turned.
        scene: what is seen.
        turn_deg: how far the eye goes round the wheel, of the turned view; 0 is in front.
        tilt_deg: how far it looks down.
    """
    if name == "plan":
        return PLAN
    if name == "side":
        return side_view(scene)
    turn, tilt = math.radians(turn_deg), math.radians(tilt_deg)
    tilt = max(-_FLATTEST, min(_FLATTEST, tilt))
    right = (math.cos(turn), math.sin(turn), 0.0)
    up = (-math.sin(turn) * math.sin(tilt), math.cos(turn) * math.sin(tilt), math.cos(tilt))
    return View("turned", right, unit(up))


def words_of(view: View) -> str:
    """Return what a view is called over it."""
    names = {PLAN: "Plan", FRONT: "Side, from the front", END: "Side, from the right"}
    return names.get(view, "Turned")


def lines_at_once(scene: Scene, view: View) -> list[Line]:
    """Return every line as if nothing hid it: what can be told at once."""
    told = [line for body in scene.bodies for line in _lines_of_body(body, view)]
    for i, cord in enumerate(scene.cords):
        told += _told(cord_lines(cord, i), view)
    if scene.crank is not None:
        told.append(["phantom", scene.crank.by, True, curve_path([scene.crank.circle], view)])
    return told


def _told(lines: Iterable[SceneLine], view: View) -> list[Line]:
    return [[_pen(line.pen), line.owner, True, curve_path([line.curve], view)] for line in lines]


@lru_cache(maxsize=512)  # a change leaves most bodies where they are
def _lines_of_body(body: TurnedBody, view: View) -> list[Line]:
    return _told(body_lines(body, view), view)


class Piece(NamedTuple):
    """A line in space between two places where it passes from sight, and how it falls in a view.

    No ink of an arc that falls as an ellipse: its path is written from the curve itself.
    """

    part: LinePart
    ink: tuple[Stroke | InkArc, ...]
    lines: tuple[Line, ...]


def drawn(scene: Scene, view: View) -> list[Piece]:
    """Return every line with what hides it."""
    return [_piece(part, view) for part in parts_in(scene, view)]


@lru_cache(maxsize=2048)  # a change leaves most lines as they are
def _piece(part: LinePart, view: View) -> Piece:
    curve, pen, owner, seen = part
    if _as_ellipse(curve, view):
        ink: tuple[Stroke | InkArc, ...] = ()
        paths = [curve_path([curve], view)]
    else:
        ink = tuple(project(curve, view, pen))
        paths = [path_of(one) for one in ink]
    return Piece(part, ink, tuple([_pen(pen), owner, seen, path] for path in paths))


def _as_ellipse(curve: Curve, view: View) -> bool:
    return curve.is_arc and not (view.sees_edge(curve.normal) or view.sees_flat(curve.normal))


def lines_of(pieces: Iterable[Piece]) -> list[Line]:
    """Return lines that are cut where something hides them as lines of the page."""
    return [line for piece in pieces for line in piece.lines]


def frame_lines(scene: Scene, view: View, reach_mm: float) -> list[Line]:
    """Return the case and the centre-lines of the shafts."""
    strokes: list[tuple[Stroke, str]] = [(s, "case") for s in case_lines(scene, view)]
    for body in scene.of_kind("shaft"):
        strokes += [(s, body.name) for s in axis_lines(body, view, reach_mm)]
    return [[_pen(s.pen), owner, True, path_of(s)] for s, owner in strokes]


def box_of(scene: Scene, view: View) -> Box:
    """Return the box round all that is drawn in a view, y down: left, top, right, bottom."""
    points = [corner for body in (*scene.bodies, *scene.around) for corner in _corners(body, view)]
    points += [] if scene.crank is None else _round_circle(scene.crank.circle, view)
    points += [point for stroke in case_lines(scene, view) for point in stroke.points]
    left, low, right, high = bounds([Stroke(tuple(points), Pen.FINE)])
    return (left, -high, right, -low)


@lru_cache(maxsize=512)
def _corners(body: TurnedBody | FlatBody, view: View) -> list[Point]:
    """Return points of a view between which a body lies."""
    if isinstance(body, FlatBody):
        return [view.place(corner) for corner in (*body.low, *body.high)]
    circles = (body.circle(z, body.radius_mm) for z in body.ends_mm)
    return [corner for circle in circles for corner in _round_circle(circle, view)]


def _round_circle(circle: Curve, view: View) -> list[Point]:
    (x, y), u, v = map(view.place, (circle.base, circle.u, circle.v))
    wide, tall = math.hypot(u[0], v[0]), math.hypot(u[1], v[1])
    return [(x - wide, y - tall), (x + wide, y + tall)]


def running(scene: Scene, view: View, speeds: Mapping[str, float | None]) -> list[dict[str, Any]]:
    """Return the bands that travel as closed paths in its order, with the speed of each, m/s."""
    return [
        {"name": c.name, "path": curve_path(c.curves, view) + "Z", "m_s": speeds[c.name],
         "hollow": i % 2 == 1}
        for i, c in enumerate(scene.cords) if c.travels
    ]  # fmt: skip


def backwards(scene: Scene) -> Scene:
    """Return a scene as it runs when the drive is turned back: the same lines, the other way."""
    cords = tuple(
        replace(cord, curves=tuple(_back(curve) for curve in reversed(cord.curves)))
        for cord in scene.cords
    )
    turnings = tuple(replace(turning, sense=-turning.sense) for turning in scene.turnings)
    return replace(scene, cords=cords, turnings=turnings)


def _back(curve: Curve) -> Curve:
    if curve.is_arc:
        return replace(curve, start=curve.end, end=curve.start)
    return replace(curve, base=curve.at(1.0), straight=scale(curve.straight, -1.0))


def turning_marks(scene: Scene, view: View, height: float) -> list[Line]:
    """Return arrows for shafts that turn and bands that run, as their sense is seen in the view."""
    marks: list[Line] = [
        ["solid", "", True, path_of(head)] for head in travel_arrows(scene.cords, view, height)
    ]
    for turning in scene.turnings:
        first = next(rotation_choices(turning, view, height))
        marks += [[_pen_of(ink), turning.shaft, True, path_of(ink)] for ink in first]
    return marks


# --- labels -------------------------------------------------------------------------------------


def labels(
    scene: Scene, pieces: Iterable[Piece], view: View, height: float, unit: LengthUnit,
    rank: int = 3, rings: Iterable[Point] = (),
) -> list[dict[str, Any]]:  # fmt: skip
    """Return names, rims and centre distances in places where none covers another.

    Args:
        scene: what is drawn.
        pieces: its lines in the view.
        view: the view.
        height: height of a capital, mm of the model.
        unit: how lengths are written.
        rank: 1: the shafts' names alone, for a view with room for no more; 2: the rims too; 3:
            everything.
        rings: where a hand takes hold, y down: labels keep off these as off the lines.

    Returns:
        For each label the number that it tells (empty: a name), its text, middle, size, leader, and
        the lines of its dimension.
    """
    wanted = [one for one in _names(scene, view, unit) if one[2].rank <= rank]
    if rank > 2:
        wanted = _spacings(scene, view, height, unit) + wanted
    ink: list[Ink] = [*case_lines(scene, view)]
    ink += [i for part, inks, _ in pieces for i in inks or project(part.curve, view, part.pen)]
    ink += [i for _, inks, _ in wanted for i in inks]
    kept = [i for i in ink if not (isinstance(i, Stroke | InkArc) and i.pen in _FAINT)]
    kept += [InkArc((x, -y), 0.7 * height, 0.0, 360.0, Pen.FINE) for x, y in rings]
    dots = dots_of(kept, 0.5 * height)
    placed = _placed([request for _, _, request in wanted], dots, bounds(ink), height)
    return [
        {
            "key": key,
            "text": p.text.text,
            "at": [_r(p.text.at[0]), _r(-p.text.at[1])],
            "size": [_r(p.text.width), _r(height)],
            "leader": None if p.leader is None else path_of(p.leader),
            "lines": [[_pen_of(i), "", True, path_of(i)] for i in inks],
        }
        for (key, inks, _), p in zip(wanted, placed, strict=True)
    ]


_FAINT = (Pen.CENTRE, Pen.HIDDEN)


def _placed(
    requests: list[Request], dots: Array, box: Box, height: float
) -> tuple[Any, ...]:
    """Place labels round a drawing, on a page that grows until it has room."""
    margin = 4.0 * height
    for _ in range(8):
        page = (box[0] - 1.6 * margin, box[1] - margin, box[2] + 1.6 * margin, box[3] + margin)
        try:
            return place_labels(requests, dots, page, height)
        except LayoutError:
            margin *= 1.6
    return place_labels(requests, dots, page, height)


_Wanted = tuple[str, tuple[Ink, ...], Request]
"""Name of a number, the lines of its dimension, its label."""


def _spacings(scene: Scene, view: View, height: float, unit: LengthUnit) -> list[_Wanted]:
    """Return the centre distances that are seen in their true length."""
    found: list[_Wanted] = []
    seen = set()
    for spacing in scene.spacings:
        choices = spacing_choices(spacing, view, height, length_with_unit(unit))
        ends = frozenset(
            (round(x, 3), round(y, 3)) for x, y in map(view.place, (spacing.start, spacing.end))
        )
        if choices and ends not in seen:
            seen.add(ends)
            found.append(("", choices[0].ink, choices[0].label))
    return found


def _names(scene: Scene, view: View, unit: LengthUnit) -> list[_Wanted]:
    """Return the labels of pulleys with their rims, of shafts, bands and the crank."""
    length = length_with_unit(unit)
    found: list[_Wanted] = []
    for body in scene.of_kind("pulley"):
        text = f"{short(body.name)} ⌀{length(2.0 * body.radius_mm)}"
        request = Request(text, rim_points(scene, view, body.name), rank=2)
        found.append((f"pulley:{body.name}.rim", (), request))
    for body in scene.of_kind("shaft"):
        low, high = body.ends_mm
        steps = (0.0,) if view.sees_flat(body.axis) else (0.0, 1.0, 0.1, 0.9, 0.3, 0.7)
        anchors = tuple(view.place(body.point(low + (high - low) * t)) for t in steps)
        found.append(("", (), Request(short(body.name), anchors, rank=1, bold=True)))
    for cord in scene.cords:
        anchors = tuple(view.place(run.at(t)) for run in cord.runs for t in (0.3, 0.7, 0.5))
        found.append(("", (), Request(short(cord.name), anchors, rank=3)))
    if scene.crank is not None:
        circle = scene.crank.circle
        anchors = tuple(view.place(circle.at(math.tau * k / 12)) for k in range(12))
        text = f"{scene.crank.by}, throw {length(norm(circle.u))}"
        found.append(("drive:radius", (), Request(text, anchors, rank=3)))
    return found


def rim_points(scene: Scene, view: View, name: str) -> tuple[Point, ...]:
    """Return points on the outline of a part in a view, which a label may lead to."""
    body = next(b for b in scene.bodies if b.name == name)
    if view.sees_edge(body.axis):
        side = unit(cross(body.axis, view.to_eye))
        low, high = body.ends_mm
        places = [(z, s) for z in (low, 0.5 * (low + high), high) for s in (1.0, -1.0)]
        return tuple(
            view.place(_off(body.point(z), side, s * body.radius_mm)) for z, s in places
        )
    circle = body.circle(0.0, body.radius_mm)
    return tuple(view.place(circle.at(math.tau * k / 16)) for k in range(16))


def _off(point: Vector, direction: Vector, distance: float) -> Vector:
    x, y, z = (p + distance * d for p, d in zip(point, direction, strict=True))
    return (x, y, z)


def sideways(axis: Vector, view: View) -> Vector:
    """Return a unit vector across an axis that lies in the picture."""
    over = cross(axis, view.to_eye)
    if norm(over) > 1e-9:
        return unit(over)
    x, y, z = (0.8 * r + 0.6 * u for r, u in zip(view.right, view.up, strict=True))
    return unit((x, y, z))


# --- as SVG -------------------------------------------------------------------------------------


def path_of(ink: Ink) -> str:
    """Return ink as the data of an SVG path, y down."""
    if isinstance(ink, InkArc):
        return _arc(ink)
    if isinstance(ink, Stroke):
        return _chain(ink.points)
    assert isinstance(ink, Fill)
    return _chain(ink.points) + "Z"


def curve_path(curves: Sequence[Curve], view: View) -> str:
    """Return curves that follow on one another as the data of one SVG path, y down.

    An arc in space falls as an arc of an ellipse p(t) = c + u cos t + v sin t, whose half axes are
    found where the two are at right angles: tan 2t = 2 u.v / (u.u - v.v).
    """
    pieces = []
    for number, curve in enumerate(curves):
        start, end = (view.place(curve.at(t)) for t in (curve.start, curve.end))
        if number == 0:
            pieces.append(f"M{_n(start[0])} {_n(-start[1])}")
        if curve.is_arc:
            pieces += _elliptical(curve, view)
        else:
            pieces.append(f"L{_n(end[0])} {_n(-end[1])}")
    return "".join(pieces)


def _elliptical(curve: Curve, view: View) -> Iterator[str]:
    """Yield an arc as halves, of which none is ever the larger part of its ellipse."""
    u, v = view.place(curve.u), view.place(curve.v)
    turn = 0.5 * math.atan2(
        2.0 * (u[0] * v[0] + u[1] * v[1]), u[0] ** 2 + u[1] ** 2 - v[0] ** 2 - v[1] ** 2
    )
    c, s = math.cos(turn), math.sin(turn)
    long = (u[0] * c + v[0] * s, u[1] * c + v[1] * s)
    short = (v[0] * c - u[0] * s, v[1] * c - u[1] * s)
    span = curve.end - curve.start
    sweep = 0 if (u[0] * v[1] - u[1] * v[0]) * span > 0.0 else 1
    size = f"{_n(math.hypot(*long))} {_n(math.hypot(*short))}"
    lean = _n(-math.degrees(math.atan2(long[1], long[0])))
    for part in (0.5, 1.0):
        x, y = view.place(curve.at(curve.start + part * span))
        yield f"A{size} {lean} 0 {sweep} {_n(x)} {_n(-y)}"


def _arc(arc: InkArc) -> str:
    r = _n(arc.radius)
    if arc.is_circle:
        (x, y), d = arc.centre, _n(2.0 * arc.radius)
        left = f"M{_n(x - arc.radius)} {_n(-y)}"
        return f"{left}a{r} {r} 0 1 0 {d} 0a{r} {r} 0 1 0 -{d} 0Z"
    (x1, y1), (x2, y2) = arc.at(arc.start_deg), arc.at(arc.end_deg)
    large = 1 if arc.end_deg - arc.start_deg > 180.0 else 0
    return f"M{_n(x1)} {_n(-y1)}A{r} {r} 0 {large} 0 {_n(x2)} {_n(-y2)}"


def _chain(points: Sequence[Point]) -> str:
    return "M" + "L".join(f"{_n(x)} {_n(-y)}" for x, y in points)


def _r(x: float) -> float:
    return round(x, 3) + 0.0


@lru_cache(maxsize=1 << 14)  # a change leaves most lines where they are
def _n(x: float) -> str:
    return f"{_r(x):g}" if abs(x) < 1e5 else f"{x:.3f}"


def _pen(pen: Pen) -> str:
    return pen.name.lower().replace("_", "-")


def _pen_of(ink: Ink) -> str:
    return _pen(ink.pen) if isinstance(ink, Stroke | InkArc) else "solid"

