"""A drive seen from one side: which lines there are, which of them are hidden, and where they fall.

Glossary: a *view* is a parallel projection, given by the unit vectors that point right, up and
towards the eye; a *line* is a curve of the scene with the pen that draws it. Lines are cut where
they pass from sight, see ``sight``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import NamedTuple

from wheelgeo.drawing.hidden import Hiders, cylinders_of
from wheelgeo.drawing.scene import TURN, Curve, FlatBody, RunningCord, Scene, TurnedBody
from wheelgeo.drawing.sight import stretches
from wheelgeo.drawing.strokes import InkArc, Pen, Point, Stroke
from wheelgeo.geometry.boxes import Box
from wheelgeo.geometry.vectors import Vector, add, along, cross, dot, norm, scale, sub, unit
from wheelgeo.immutable import dataclass

FLAT = 1e-9
"""Sine of the angle below which an axis points at the eye, or lies in the picture."""


_POINT_MM = 1e-6
"""A straight piece that falls on no more than this is a point, and is not drawn."""


@dataclass(frozen=True)
class View:
    """A parallel projection: name and three unit vectors, right-handed."""

    name: str
    right: Vector
    up: Vector

    @cached_property
    def to_eye(self) -> Vector:
        """Unit vector from the drawing to the eye."""
        return cross(self.right, self.up)

    def place(self, point: Vector) -> Point:
        """Return where a point of space falls, mm."""
        (x, y, z), (a, b, c), (d, e, f) = point, self.right, self.up
        return (x * a + y * b + z * c, x * d + y * e + z * f)

    def sees_flat(self, axis: Vector) -> bool:
        """Tell whether circles about an axis are seen as circles."""
        return norm(cross(axis, self.to_eye)) < FLAT

    def sees_edge(self, axis: Vector) -> bool:
        """Tell whether circles about an axis are seen edge-on."""
        return abs(dot(axis, self.to_eye)) < FLAT


PLAN = View("plan", (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
FRONT = View("side, looking along +y", (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
END = View("side, looking along -x", (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
ISOMETRIC = View(
    "isometric",
    (math.sqrt(0.5), math.sqrt(0.5), 0.0),
    (-1.0 / math.sqrt(6.0), 1.0 / math.sqrt(6.0), 2.0 / math.sqrt(6.0)),
)


def side_view(scene: Scene) -> View:
    """Return the side view that shows more: more circles as circles, else the wider drive."""
    axes = [b.axis for b in scene.of_kind("pulley")]
    front, end = (sum(v.sees_flat(a) for a in axes) for v in (FRONT, END))
    if front != end:
        return FRONT if front > end else END
    centres = [b.origin for b in scene.bodies]
    spread_x, spread_y = (max(c[i] for c in centres) - min(c[i] for c in centres) for i in (0, 1))
    return FRONT if spread_x >= spread_y else END


class SceneLine(NamedTuple):
    """A curve to be drawn where it is seen, and where it is hidden (None: not at all)."""

    curve: Curve
    pen: Pen
    hidden: Pen | None
    owner: str


class LinePart(NamedTuple):
    """A stretch of a line that is drawn: its curve, pen, whose line it is, whether it is seen."""

    curve: Curve
    pen: Pen
    owner: str
    seen: bool


class DrawnPiece(NamedTuple):
    """What a line became: a drawn stroke, whose line it is, and whether it is in sight."""

    ink: Stroke | InkArc
    owner: str
    seen: bool


@lru_cache(maxsize=512)  # a change leaves most bodies where they are
def body_lines(body: TurnedBody, view: View) -> tuple[SceneLine, ...]:
    """Return the lines of a body: edges and the outlines of its sides."""
    pen = {"cop": Pen.PHANTOM, "other": Pen.FINE}.get(body.kind, Pen.OUTLINE)
    if view.sees_flat(body.axis):
        return tuple(_flat_lines(body, view, pen))
    if view.sees_edge(body.axis):
        return tuple(_edge_lines(body, view, pen))
    return tuple(_oblique_lines(body, view, pen))


def _flat_lines(body: TurnedBody, view: View, pen: Pen) -> list[SceneLine]:
    """Return the one circle that counts where the axis points at the eye: the widest, in front."""
    near = max if dot(body.axis, view.to_eye) > 0.0 else min
    widest = near(z for z, r in body.profile if r == body.radius_mm)
    lines = [SceneLine(body.circle(widest, body.radius_mm), pen, _dashes(body), body.name)]
    if body.open_mm:
        within = body.circle(near(body.ends_mm), body.open_mm)
        lines.append(SceneLine(within, pen, None, body.name))
    return lines


def _dashes(body: TurnedBody) -> Pen | None:
    return Pen.HIDDEN if body.kind in ("pulley", "shaft") else None


def _sideways(body: TurnedBody, view: View) -> Vector:
    """Return the unit vector across axis and line of sight: where the outline of the side is."""
    return unit(cross(body.axis, view.to_eye))


def _edge_lines(body: TurnedBody, view: View, pen: Pen) -> list[SceneLine]:
    """Return profile and edges of a body whose axis lies in the picture."""
    across, dashes, ends = _sideways(body, view), _dashes(body), body.ends_mm
    sides = (across, scale(across, -1.0))
    lines = []
    for (z0, r0), (z1, r1) in pairwise(body.profile):
        if z0 == z1:
            continue
        low, high = body.point(z0), body.point(z1)
        for side in sides:
            start, end = along(low, side, r0), along(high, side, r1)
            lines.append(SceneLine(Curve(start, sub(end, start)), pen, dashes, body.name))
    for z, radius in _edges(body):
        half = Curve(
            body.point(z), u=scale(across, -radius), v=scale(view.to_eye, radius), end=math.pi
        )
        fine = pen if radius == body.radius_mm else Pen.FINE
        pens = (pen, dashes) if z in ends else (fine, None)
        lines.append(SceneLine(half, *pens, body.name))
    return lines


def _edges(body: TurnedBody) -> list[tuple[float, float]]:
    """Return the edges to draw: all corners, or of a rounded valley only mouth and bottom."""
    corners = list(dict.fromkeys(body.profile))
    if len(corners) <= 6:
        return corners
    lowest = min(corners, key=lambda c: (c[1], abs(c[0])))
    return [c for c in corners if c[1] == body.radius_mm or c == lowest]


def _oblique_lines(body: TurnedBody, view: View, pen: Pen) -> list[SceneLine]:
    """Return edges as full circles and the sides of cylinders and tips, where they are in sight."""
    lines = []
    for z, radius in _edges(body):
        outer = z in body.ends_mm
        lines.append(SceneLine(body.circle(z, radius), pen if outer else Pen.FINE, None, body.name))
    for z in body.ends_mm if body.open_mm else ():
        lines.append(SceneLine(body.circle(z, body.open_mm), pen, None, body.name))
    for z in body.seams:
        radius = _radius_at(body, z)
        lines.append(SceneLine(body.circle(z, radius), Pen.FINE, None, body.name))
    across = _sideways(body, view)
    for (z0, r0), (z1, r1) in pairwise(body.profile):
        if z0 == z1 or (r0 != r1 and body.kind != "shaft"):
            continue
        for side in (1.0, -1.0):
            start = add(body.point(z0), scale(across, side * r0))
            end = add(body.point(z1), scale(across, side * r1))
            lines.append(SceneLine(Curve(start, sub(end, start)), pen, None, body.name))
    return lines


def _radius_at(body: TurnedBody, z: float) -> float:
    within = [r for (z0, r), (z1, _) in pairwise(body.profile) if z0 <= z <= z1]
    return within[0] if within else body.radius_mm


def cord_lines(cord: RunningCord, number: int) -> list[SceneLine]:
    """Return the lines of a band; every second band is drawn hollow, so that they differ."""
    pen = Pen.CORD_HOLLOW if number % 2 else Pen.CORD
    curves = (c for c in cord.curves if c.length_mm > 1e-6)
    return [SceneLine(c, pen, Pen.CORD_HIDDEN, cord.name) for c in curves]


def axis_lines(body: TurnedBody, view: View, reach_mm: float) -> list[Stroke]:
    """Return the centre-line of a rod, or the cross of one that is seen end-on."""
    low, high = body.ends_mm
    if view.sees_flat(body.axis):
        x, y = view.place(body.origin)
        arm = body.radius_mm + 0.5 * reach_mm
        return [
            Stroke(((x - arm, y), (x + arm, y)), Pen.CENTRE),
            Stroke(((x, y - arm), (x, y + arm)), Pen.CENTRE),
        ]
    ends = (body.point(low - reach_mm), body.point(high + reach_mm))
    return [Stroke(tuple(view.place(p) for p in ends), Pen.CENTRE)]


def case_lines(scene: Scene, view: View) -> list[Stroke]:
    """Return the edges of the case; edges that fall on one another are drawn once."""
    if scene.case is None:
        return []
    corner, inside = scene.case.corner_mm, scene.case.inside_mm
    strokes: dict[frozenset[Point], Stroke] = {}
    for axis in range(3):
        for others in ((0, 0), (0, 1), (1, 0), (1, 1)):
            ends = [_corner(corner, inside, axis, others, end) for end in (0, 1)]
            a, b = ((round(x, 9), round(y, 9)) for x, y in map(view.place, ends))
            if math.dist(a, b) > 1e-6:
                strokes.setdefault(frozenset((a, b)), Stroke((a, b), Pen.CASE))
    return list(strokes.values())


def _corner(corner: Vector, inside: Vector, axis: int, others: tuple[int, int], end: int) -> Vector:
    take = list(others)
    take.insert(axis, end)
    x, y, z = (c + t * size for c, t, size in zip(corner, take, inside, strict=True))
    return (x, y, z)


def trace(scene: Scene, view: View) -> list[DrawnPiece]:
    """Return every line of bodies and bands as it falls in a view, hidden parts apart.

    Args:
        scene: what there is to draw.
        view: from where.

    Returns:
        The pieces, in drawing order. Circles seen flat are arcs, those seen edge-on are straight,
        others chains of chords; of circles that fall on one another the nearest alone is kept.
    """
    return _inked(parts_in(scene, view), view)


def parts_in(scene: Scene, view: View) -> list[LinePart]:
    """Return every line of bodies and bands in space, cut where it passes from sight in a view."""
    around = [line for body in scene.around for line in _around_lines(body, view)]
    turned = [b for b in scene.around if isinstance(b, TurnedBody)]
    boxes = [box for b in scene.around if isinstance(b, FlatBody) for box in b.boxes]
    lines = [line for body in scene.bodies for line in body_lines(body, view)]
    lines = _nearest_of_equal(lines, view)
    lines += [line for i, cord in enumerate(scene.cords) for line in cord_lines(cord, i)]
    if scene.crank is not None:
        lines.append(SceneLine(scene.crank.circle, Pen.PHANTOM, Pen.PHANTOM, scene.crank.by))
    solid = [b for b in scene.bodies if b.kind != "cop"]
    # What is around the drive never hides it: the drive is what the drawing shows.
    own, more = cylinders_of(solid), cylinders_of(turned)
    first = [math.inf] * len(around) + [len(own)] * len(lines)
    return _parts([*around, *lines], Hiders([*own, *more], view.to_eye, boxes), first)


@lru_cache(maxsize=512)
def _around_lines(body: TurnedBody | FlatBody, view: View) -> tuple[SceneLine, ...]:
    if isinstance(body, FlatBody):
        # An edge along the rays falls on a point, and there is nothing to draw of it.
        seen = (edge for edge in body.edges if math.hypot(*view.place(edge.straight)) > _POINT_MM)
        return tuple(SceneLine(edge, Pen.FINE, None, "") for edge in seen)
    return tuple(SceneLine(line.curve, line.pen, None, "") for line in body_lines(body, view))


def drawn_lines(
    lines: Sequence[SceneLine], bodies: Sequence[TurnedBody], boxes: Sequence[Box], view: View
) -> list[DrawnPiece]:
    """Return lines as they fall in a view, cut where they pass from sight.

    Args:
        lines: the lines.
        bodies: turned bodies that hide what is behind them.
        boxes: boxes that do.
        view: from where.
    """
    return _inked(_parts(lines, Hiders(cylinders_of(bodies), view.to_eye, boxes)), view)


def _parts(
    lines: Sequence[SceneLine], hiders: Hiders, first: Sequence[float] | None = None
) -> list[LinePart]:
    cut = stretches([line.curve for line in lines], hiders, first)
    return [
        LinePart(_part(line.curve, start, end), pen, line.owner, seen)
        for line, own in zip(lines, cut, strict=True) for start, end, seen in own
        if (pen := line.pen if seen else line.hidden) is not None
    ]  # fmt: skip


def _inked(parts: Iterable[LinePart], view: View) -> list[DrawnPiece]:
    return [
        DrawnPiece(ink, part.owner, part.seen)
        for part in parts
        for ink in project(part.curve, view, part.pen)
    ]


def _nearest_of_equal(lines: list[SceneLine], view: View) -> list[SceneLine]:
    """Return lines without circles that fall on the same circle as a nearer one."""
    best: dict[object, SceneLine] = {}
    for i, line in enumerate(lines):
        key: object = i
        if line.curve.is_arc and view.sees_flat(line.curve.normal):
            x, y = view.place(line.curve.base)
            key = (round(x, 6), round(y, 6), round(norm(line.curve.u), 6))
        held = best.get(key)
        near = dot(line.curve.base, view.to_eye)
        if held is None or near > dot(held.curve.base, view.to_eye):
            best[key] = line
    return list(best.values())


def _part(curve: Curve, start: float, end: float) -> Curve:
    if start == curve.start and end == curve.end:
        return curve
    return Curve(curve.base, curve.straight, curve.u, curve.v, start, end)


def project(curve: Curve, view: View, pen: Pen) -> Iterable[Stroke | InkArc]:
    """Return a curve as it falls in a view: straight, an arc, or a chain of chords."""
    if not curve.is_arc:
        one, other = view.place(curve.at(curve.start)), view.place(curve.at(curve.end))
        return _straight(one, other, pen) if one <= other else _straight(other, one, pen)
    if view.sees_edge(curve.normal):
        turning = (curve.start, *_turning_points(curve, view), curve.end)
        points = [view.place(curve.at(t)) for t in turning]
        return _straight(min(points), max(points), pen)
    if view.sees_flat(curve.normal):
        return (_flat_arc(curve, view, pen),)
    count = max(8, math.ceil(abs(curve.end - curve.start) / TURN * 120))
    steps = (curve.start + (curve.end - curve.start) * i / count for i in range(count + 1))
    return (Stroke(tuple(view.place(curve.at(t)) for t in steps), pen),)


def _straight(low: Point, high: Point, pen: Pen) -> tuple[Stroke, ...]:
    """Return the straight piece between two points, if it is more than a point."""
    return (Stroke((low, high), pen),) if math.dist(low, high) > _POINT_MM else ()


def _turning_points(curve: Curve, view: View) -> Iterable[float]:
    """Yield where an arc seen edge-on turns back."""
    along = unit(cross(curve.normal, view.to_eye))
    first = math.atan2(dot(curve.v, along), dot(curve.u, along))
    low, high = sorted((curve.start, curve.end))
    k = math.ceil((low - first) / math.pi)
    while first + k * math.pi < high:
        yield first + k * math.pi
        k += 1


def _flat_arc(curve: Curve, view: View, pen: Pen) -> InkArc:
    centre = view.place(curve.base)
    angles = []
    for t in (curve.start, curve.end):
        x, y = view.place(sub(curve.at(t), curve.base))
        angles.append(math.degrees(math.atan2(y, x)))
    sweep = math.degrees(curve.end - curve.start)
    if dot(curve.normal, view.to_eye) < 0.0:
        sweep = -sweep
    first = angles[0] if sweep >= 0.0 else angles[1]
    return InkArc(centre, norm(curve.u), first, first + min(abs(sweep), 360.0), pen)
