"""What of a wheel can be taken hold of in a view, and what number moves along with the hand.

A *handle* stands at a point of the drawing; moved by so many millimetres along its direction, its
number changes by its ``gain`` times as much. A shaft is held by two numbers at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from wheelgeo.design.model import Design
from wheelgeo.drawing.scene import Scene, TurnedBody
from wheelgeo.drawing.view import View
from wheelgeo.geometry.vectors import Vector, along, dot, scale
from wheelgeo.numbers.inputs import find_input
from wheelgeo.numbers.named_parts import meant_by
from wheelgeo.page.seen import sideways

_SEEN = 0.3
"""A direction foreshortened to less than this cannot be dragged along in that view."""
_AXES: tuple[Vector, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


@dataclass(frozen=True, slots=True)
class Pull:
    """One number that a handle changes.

    Attributes:
        key: its name.
        full: the same with the kind of its part in front.
        value: what it is, mm.
        along: its direction in the view, y down, millimetres of picture for a millimetre of space.
        gain: millimetres of the number for a millimetre of the handle in space.
        means: what it is, in plain words.
    """

    key: str
    full: str
    value: float
    along: tuple[float, float]
    gain: float
    means: str


@dataclass(frozen=True, slots=True)
class Handle:
    """Where a hand can take hold: what it is called, the part, the point (y down), its numbers."""

    name: str
    part: str
    at: tuple[float, float]
    pulls: tuple[Pull, ...]


def handles(design: Design, scene: Scene, view: View) -> list[Handle]:
    """Return what can be taken hold of in a view: rims, offsets, shafts, slides, the crank."""
    found: list[Handle] = []
    bodies = {(b.kind, b.name): b for b in scene.bodies}
    for pulley in design.pulleys:
        body = bodies["pulley", pulley.name]
        found += _rim(design, body, view)
        found += _offset(design, body, view)
    for shaft in design.shafts:
        found += _shaft(design, bodies["shaft", shaft.name], view)
    found += _crank(design, scene, view)
    return found


def _key(design: Design, full: str) -> str | None:
    """Return the name of a number that the wheel has; None where it has none of that name."""
    meant = meant_by(design, full)
    if len(meant) != 1 or meant[0].field.get(design, meant[0].part) is None:
        return None
    return full


def _pull(
    design: Design, full: str, direction: Vector, view: View, gain: float
) -> Iterator[Pull]:
    key = _key(design, full)
    x, y = view.place(direction)
    if key is None or x * x + y * y < _SEEN**2:
        return
    found = find_input(design, key)
    assert found.value is not None
    yield Pull(found.key, found.full_key, found.value, (x, -y), gain, found.means)


def _handle(view: View, name: str, part: str, point: Vector, pulls: Iterable[Pull]) -> list[Handle]:
    held = tuple(pulls)
    x, y = view.place(point)
    return [Handle(name, part, (x, -y), held)] if held else []


def _rim(design: Design, body: TurnedBody, view: View) -> list[Handle]:
    side = sideways(body.axis, view)
    point = along(body.point(0.0), side, body.radius_mm)
    for field in ("rim", "pitch"):
        pulls = tuple(_pull(design, f"pulley:{body.name}.{field}", side, view, 2.0))
        if pulls:
            return _handle(view, f"{body.name}, {pulls[0].means}", body.name, point, pulls)
    return []


def _offset(design: Design, body: TurnedBody, view: View) -> list[Handle]:
    side = scale(sideways(body.axis, view), -1.0)
    point = along(body.point(0.0), side, 0.85 * body.radius_mm)
    pulls = tuple(_pull(design, f"pulley:{body.name}.offset", body.axis, view, 1.0))
    if not pulls:
        return []
    return _handle(view, f"{body.name}, {pulls[0].means}", body.name, point, pulls)


def _shaft(design: Design, body: TurnedBody, view: View) -> list[Handle]:
    shaft = design.shaft(body.name)
    low, high = body.ends_mm
    found: list[Handle] = []
    moves = [
        pull
        for axis, letter in zip(_AXES, "xyz", strict=True)
        if abs(dot(axis, body.axis)) < 0.9
        for pull in _pull(design, f"shaft:{body.name}.at.{letter}", axis, view, 1.0)
    ]
    middle = body.point(0.0 if view.sees_flat(body.axis) else 0.5 * (low + high))
    found += _handle(view, f"{body.name}, place of the shaft", body.name, middle, moves)
    if shaft.slide is not None:
        near = body.point(high)
        slid = _pull(design, f"shaft:{body.name}.travel", shaft.slide.along, view, 1.0)
        found += _handle(view, f"{body.name}, place along its slide", body.name, near, slid)
    return found


def _crank(design: Design, scene: Scene, view: View) -> list[Handle]:
    if scene.crank is None:
        return []
    circle = scene.crank.circle
    side = scale(sideways(circle.normal, view), -1.0)
    point = along(circle.base, side, design.drive.radius_mm or 0.0)
    pulls = tuple(_pull(design, "drive:radius", side, view, 1.0))
    name = pulls[0].means if pulls else ""
    return _handle(view, name, design.drive.shaft, point, pulls)
