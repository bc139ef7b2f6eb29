"""A wheel as it is seen on the page: its lines and its bands as they run, all as SVG takes it.

Coordinates are millimetres of the model as they fall in a view, x to the right and y down. A line
is [pen, owner, seen, path]: the pen is a kind of line of the drawings (``outline``, ``hidden``),
whose weight and dashes the page keeps; the owner is the part that it belongs to.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any, NamedTuple

from wheelgeo.drawing.marks import rotation_choices, travel_arrows
from wheelgeo.drawing.scene import Curve, FlatBody, Scene, TurnedBody
from wheelgeo.drawing.strokes import Box, InkArc, Pen, Point, Stroke, bounds
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
from wheelgeo.geometry.vectors import Vector, cross, norm, scale, unit
from wheelgeo.page.svg import curve_path, path_of, pen_named, pen_of

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
    return [
        [pen_named(one.pen), one.owner, True, curve_path([one.curve], view)] for one in lines
    ]


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
    return Piece(part, ink, tuple([pen_named(pen), owner, seen, path] for path in paths))


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
    return [[pen_named(s.pen), owner, True, path_of(s)] for s, owner in strokes]


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
        marks += [[pen_of(ink), turning.shaft, True, path_of(ink)] for ink in first]
    return marks


def sideways(axis: Vector, view: View) -> Vector:
    """Return a unit vector across an axis that lies in the picture."""
    over = cross(axis, view.to_eye)
    if norm(over) > 1e-9:
        return unit(over)
    x, y, z = (0.8 * r + 0.6 * u for r, u in zip(view.right, view.up, strict=True))
    return unit((x, y, z))
