"""What is written in a view of the page: names, rims and distances, where none covers another."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any, NamedTuple

from wheelgeo.drawing.dots import Array, dots_of
from wheelgeo.drawing.labels import Request, place_labels
from wheelgeo.drawing.marks import short, spacing_choices
from wheelgeo.drawing.scene import Scene, TurnedBody
from wheelgeo.drawing.strokes import Box, Ink, InkArc, Pen, Point, Stroke, bounds
from wheelgeo.drawing.view import View, case_lines, project
from wheelgeo.errors import LayoutError
from wheelgeo.geometry.vectors import along, cross, norm, unit
from wheelgeo.page.seen import Piece
from wheelgeo.page.svg import millimetres, path_of, pen_of
from wheelgeo.units.written import LengthUnit, length_with_unit, turned_length


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
        For each label the number that it tells (empty: a name), the parts that it is of, its text,
        middle, size, leader, and the lines of its dimension.
    """
    wanted = [one for one in _names(scene, view, unit) if one.label.rank <= rank]
    if rank > 2:
        wanted = _spacings(scene, view, height, unit) + wanted
    ink: list[Ink] = [*case_lines(scene, view)]
    ink += [i for part, inks, _ in pieces for i in inks or project(part.curve, view, part.pen)]
    ink += [i for one in wanted for i in one.ink]
    kept = [i for i in ink if not (isinstance(i, Stroke | InkArc) and i.pen in _FAINT)]
    kept += [InkArc((x, -y), 0.7 * height, 0.0, 360.0, Pen.FINE) for x, y in rings]
    dots = dots_of(kept, 0.5 * height)
    placed = _placed([one.label for one in wanted], dots, bounds(ink), height)
    return [
        {
            "key": one.key,
            "of": one.of,
            "text": p.text.text,
            "at": [millimetres(p.text.at[0]), millimetres(-p.text.at[1])],
            "size": [millimetres(p.text.width), millimetres(height)],
            "leader": None if p.leader is None else path_of(p.leader),
            "lines": [[pen_of(i), "", True, path_of(i)] for i in one.ink],
        }
        for one, p in zip(wanted, placed, strict=True)
    ]


def sizes(scene: Scene, unit: LengthUnit) -> dict[str, str]:
    """Return the sizes that labels tell, by the names of their numbers: rims, and the throw.

    A rim is told as what is turned, on the drawing as in the list: the ratio hangs by it.
    """
    told = {
        _rim_key(body): turned_length(unit)(2.0 * body.radius_mm)
        for body in scene.of_kind("pulley")
    }
    if scene.crank is not None:
        told[_THROW] = length_with_unit(unit)(norm(scene.crank.circle.u))
    return told


_THROW = "drive:radius"


def _rim_key(body: TurnedBody) -> str:
    return f"pulley:{body.name}.rim"


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


class _Wanted(NamedTuple):
    """Name of a number, the parts that it is of, the lines of its dimension, its label."""

    key: str
    of: tuple[str, ...]
    ink: tuple[Ink, ...]
    label: Request


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
            of = (spacing.first, spacing.second)
            found.append(_Wanted("", of, choices[0].ink, choices[0].label))
    return found


def _names(scene: Scene, view: View, unit: LengthUnit) -> list[_Wanted]:
    """Return the labels of pulleys with their rims, of shafts, bands and the crank."""
    told = sizes(scene, unit)
    found: list[_Wanted] = []
    for body in scene.of_kind("pulley"):
        text = f"{short(body.name)} ⌀{told[_rim_key(body)]}"
        request = Request(text, _rim_points(body, view), rank=2)
        found.append(_Wanted(_rim_key(body), (body.name,), (), request))
    for body in scene.of_kind("shaft"):
        low, high = body.ends_mm
        steps = (0.0,) if view.sees_flat(body.axis) else (0.0, 1.0, 0.1, 0.9, 0.3, 0.7)
        anchors = tuple(view.place(body.point(low + (high - low) * t)) for t in steps)
        request = Request(short(body.name), anchors, rank=1, bold=True)
        found.append(_Wanted("", (body.name,), (), request))
    for cord in scene.cords:
        anchors = tuple(view.place(run.at(t)) for run in cord.runs for t in (0.3, 0.7, 0.5))
        found.append(_Wanted("", (cord.name,), (), Request(short(cord.name), anchors, rank=3)))
    if scene.crank is not None:
        by, shaft, circle = scene.crank.by, scene.crank.shaft, scene.crank.circle
        anchors = tuple(view.place(circle.at(math.tau * k / 12)) for k in range(12))
        request = Request(f"{by}, throw {told[_THROW]}", anchors, rank=3)
        found.append(_Wanted(_THROW, (shaft,), (), request))
    return found


def _rim_points(body: TurnedBody, view: View) -> tuple[Point, ...]:
    """Return points on the outline of a part in a view, which a label may lead to."""
    if view.sees_edge(body.axis):
        side = unit(cross(body.axis, view.to_eye))
        low, high = body.ends_mm
        places = [(z, s) for z in (low, 0.5 * (low + high), high) for s in (1.0, -1.0)]
        return tuple(
            view.place(along(body.point(z), side, s * body.radius_mm)) for z, s in places
        )
    circle = body.circle(0.0, body.radius_mm)
    return tuple(view.place(circle.at(math.tau * k / 16)) for k in range(16))
