"""What of a wheel can be taken hold of in a view, and what number moves along with the hand.

A *handle* stands at a point of the drawing; moved by so many millimetres along its direction, its
number changes by its ``gain`` times as much. A shaft is held by two numbers at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from wheelgeo.design.model import Design
from wheelgeo.drawing.scene import Scene, TurnedBody
from wheelgeo.drawing.view import View
from wheelgeo.geometry.vectors import Vector, along, dot, scale
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.named_parts import meant_by
from wheelgeo.page.seen import sideways

_SEEN = 0.3
"""A direction foreshortened to less than this cannot be dragged along in that view."""
_AXES: tuple[Vector, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


@dataclass(frozen=True)
class Pull:
    """One number that a handle changes.

    Attributes:
        key: its name, with the kind of its part in front.
        value: what it is, mm.
        along: its direction in the view, y down, millimetres of picture for a millimetre of space.
        gain: millimetres of the number for a millimetre of the handle in space.
        means: what it is, in plain words.
    """

    key: str
    value: float
    along: tuple[float, float]
    gain: float
    means: str


@dataclass(frozen=True)
class Handle:
    """Where a hand can take hold: what it is called, the part, the point (y down), its numbers."""

    name: str
    part: str
    at: tuple[float, float]
    pulls: tuple[Pull, ...]


@dataclass(frozen=True)
class _Held:
    """A wheel in a view, and the numbers of it that are known already."""

    design: Design
    view: View
    known: Known


def handles(design: Design, scene: Scene, view: View, known: Known) -> list[Handle]:
    """Return what can be taken hold of in a view: rims, offsets, shafts, slides, the crank.

    Args:
        design: the wheel.
        scene: its bodies.
        view: the view.
        known: numbers that are known already; those that are looked up are added.
    """
    held = _Held(design, view, known)
    found: list[Handle] = []
    bodies = {(b.kind, b.name): b for b in scene.bodies}
    for pulley in design.pulleys:
        body = bodies["pulley", pulley.name]
        found += _rim(held, body)
        found += _offset(held, body)
    for shaft in design.shafts:
        found += _shaft(held, bodies["shaft", shaft.name])
    found += _crank(held, scene)
    return found


Known = dict[str, tuple[float, str] | None]
"""Value and meaning of numbers by their full names, looked up once for all views."""


def _known(design: Design, full: str, known: Known) -> tuple[float, str] | None:
    """Return value and meaning of a number; None where the wheel has none of that name."""
    if full not in known:
        meant = meant_by(design, full)
        value = meant[0].field.get(design, meant[0].part) if len(meant) == 1 else None
        known[full] = None if value is None else (float(value), meant[0].field.means)
    return known[full]


def _pull(held: _Held, full: str, direction: Vector, gain: float) -> Iterator[Pull]:
    x, y = held.view.place(direction)
    found = _known(held.design, full, held.known)
    if found is not None and x * x + y * y >= _SEEN**2:
        yield Pull(full, found[0], (x, -y), gain, found[1])


def _handle(view: View, name: str, part: str, point: Vector, pulls: Iterable[Pull]) -> list[Handle]:
    held = tuple(pulls)
    x, y = view.place(point)
    return [Handle(name, part, (x, -y), held)] if held else []


def _rim(held: _Held, body: TurnedBody) -> list[Handle]:
    side = sideways(body.axis, held.view)
    point = along(body.point(0.0), side, body.radius_mm)
    for field in ("rim", "pitch"):
        pulls = tuple(_pull(held, f"pulley:{body.name}.{field}", side, 2.0))
        if pulls:
            name = f"{body.name}, {pulls[0].means}"
            return _handle(held.view, name, body.name, point, pulls)
    return []


def _offset(held: _Held, body: TurnedBody) -> list[Handle]:
    side = scale(sideways(body.axis, held.view), -1.0)
    point = along(body.point(0.0), side, 0.85 * body.radius_mm)
    pulls = tuple(_pull(held, f"pulley:{body.name}.offset", body.axis, 1.0))
    name = f"{body.name}, {pulls[0].means}" if pulls else ""
    return _handle(held.view, name, body.name, point, pulls)


def _shaft(held: _Held, body: TurnedBody) -> list[Handle]:
    shaft = held.design.shaft(body.name)
    if shaft.runs_on is not None:
        return []  # a sleeve has no place of its own: it goes where the shaft in it goes
    low, high = body.ends_mm
    moves = [
        pull
        for axis, letter in zip(_AXES, "xyz", strict=True)
        if abs(dot(axis, body.axis)) < 0.9
        for pull in _pull(held, f"shaft:{body.name}.at.{letter}", axis, 1.0)
    ]
    middle = body.point(0.0 if held.view.sees_flat(body.axis) else 0.5 * (low + high))
    found = _handle(held.view, f"{body.name}, place of the shaft", body.name, middle, moves)
    if shaft.slide is not None:
        slid = _pull(held, f"shaft:{body.name}.travel", shaft.slide.along, 1.0)
        name = f"{body.name}, place along its slide"
        found += _handle(held.view, name, body.name, body.point(high), slid)
    return found


def _crank(held: _Held, scene: Scene) -> list[Handle]:
    if scene.crank is None:
        return []
    circle = scene.crank.circle
    side = scale(sideways(circle.normal, held.view), -1.0)
    point = along(circle.base, side, held.design.drive.radius_mm or 0.0)
    pulls = tuple(_pull(held, "drive:radius", side, 1.0))
    name = f"drive, {pulls[0].means}" if pulls else ""
    return _handle(held.view, name, "drive", point, pulls)
