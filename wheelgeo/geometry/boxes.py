"""Boxes, and the signed distance between a box and any other convex body.

Boards, posts, blocks and walls are boxes, turned any way in space. The gap is the maximum that
``wheelgeo.geometry.convex`` explains. Of bodies that stand square to one another, as most do, it is
known in closed form (``wheelgeo.geometry.squared``). Of others it is found, apart from each other,
by the algorithm of Gilbert, Johnson and Keerthi (IEEE J. Robotics and Automation 4, 1988, 193-203),
which walks towards the nearest points by the farthest point of either body along a direction. Into
each other, the direction of the least way out is a face normal of either, or stands square to an
edge of the box (an edge against an edge or against a rim) or to the cylinder's axis (a corner
against its side): so the maximum lies in one of a few circles of directions, each of which is
searched through.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from functools import lru_cache

from wheelgeo.geometry import convex
from wheelgeo.geometry.convex import Capsule, ConvexBody, Cylinder
from wheelgeo.geometry.golden import least
from wheelgeo.geometry.squared import squared_boxes_gap_mm, squared_cylinder_gap_mm
from wheelgeo.geometry.vectors import Vector, across, add, cross, dot, norm, scale, sub, unit
from wheelgeo.immutable import dataclass

_STEPS = 60
_EXACT = 1e-12
"""Relative progress towards the nearest points below which the walk ends."""
_SAMPLES = 48


@dataclass(frozen=True)
class Box:
    """A solid box turned any way.

    Attributes:
        centre: its middle, mm.
        axes: three unit vectors square to each other.
        halves: half its size along each of them, mm.
    """

    centre: Vector
    axes: tuple[Vector, Vector, Vector]
    halves: Vector


Solid = ConvexBody | Box
"""Every convex body there is."""


def solid_gap_mm(
    a: Solid, b: Solid, enough: float = math.inf, deepest: float = -math.inf
) -> float:
    """Return the signed distance between two bodies of any kind, mm.

    Args:
        a: one body.
        b: the other.
        enough: as soon as the distance is known to be at least this, any such value is returned.
        deepest: as soon as it is known to be at most this, any such value is returned; less than 0.

    Returns:
        The distance where they are apart; minus the least translation that parts them where they
        are not. To about 1e-6 mm.
    """
    if not isinstance(a, Box) and not isinstance(b, Box):
        return convex.gap_mm(a, b, enough)
    return _gap_mm(a, b, enough, deepest)


@lru_cache(maxsize=4096)
def _gap_mm(a: Solid, b: Solid, enough: float, deepest: float) -> float:
    """Return the distance, at least one of the two a box.

    Remembered, since a change that is tried leaves most bodies where they are.
    """
    between = sub(_centre(b), _centre(a))
    squared = _squared(a, b, between)
    if squared is not None:
        return squared
    skin = _skin(a) + _skin(b)
    quick = max(
        (abs(dot(n, between)) - _half(a, n) - _half(b, n) for n in _faces(a, b)),
        default=-math.inf,
    )
    if quick - skin >= enough:
        return quick - skin
    if quick > 0.0:
        return _apart(a, b, quick, enough + skin) - skin
    apart = _apart(a, b, quick, enough + skin)
    return (apart if apart > 1e-9 else _inside(a, b, between, deepest + skin)) - skin


def _squared(a: Solid, b: Solid, between: Vector) -> float | None:
    """Return the distance where one stands square to the other, as most do; None where not."""
    if not isinstance(a, Box):
        a, b = b, a
    if not isinstance(a, Box) or isinstance(b, Capsule):
        return None
    if isinstance(b, Box):
        return squared_boxes_gap_mm(between, a.axes, a.halves, b.axes, b.halves)
    return squared_cylinder_gap_mm(between, a.axes, a.halves, b.axis, b.radius, b.half_length)


def solids_meet(a: Solid, b: Solid) -> bool:
    """Return whether two bodies of any kind have a point in common; how deep is not worked out."""
    if not isinstance(a, Box) and not isinstance(b, Box):
        return convex.gap_mm(a, b, 0.0) < 0.0
    return _meet(a, b)


@lru_cache(maxsize=4096)
def _meet(a: Solid, b: Solid) -> bool:
    """Return whether they meet, at least one of the two a box; remembered likewise."""
    skin = _skin(a) + _skin(b)
    between = sub(_centre(b), _centre(a))
    quick = max(abs(dot(n, between)) - _half(a, n) - _half(b, n) for n in _faces(a, b))
    if quick >= skin:
        return False
    # Most that are asked about run right through one another, which a point in both shows at once.
    if _holds(b, _nearest(a, _centre(b))) or _holds(a, _nearest(b, _centre(a))):
        return True
    return _apart(a, b, quick, skin + 1e-9) <= skin


def _nearest(body: Solid, point: Vector) -> Vector:
    """Return the point of a body, without its skin, that is nearest to a point."""
    from_middle = sub(point, _centre(body))
    if isinstance(body, Box):
        found = body.centre
        for axis, half in zip(body.axes, body.halves, strict=True):
            found = add(found, scale(axis, max(-half, min(half, dot(from_middle, axis)))))
        return found
    if isinstance(body, Capsule):
        rod = sub(body.end, body.start)
        square = dot(rod, rod)
        share = dot(from_middle, rod) / square if square > 0.0 else 0.0
        return add(_centre(body), scale(rod, max(-0.5, min(0.5, share))))
    ahead = dot(from_middle, body.axis)
    aside = sub(from_middle, scale(body.axis, ahead))
    out = norm(aside)
    if out > body.radius:
        aside = scale(aside, body.radius / out)
    on_axis = scale(body.axis, max(-body.half_length, min(body.half_length, ahead)))
    return add(add(body.centre, on_axis), aside)


def _holds(body: Solid, point: Vector) -> bool:
    """Return whether a point lies in a body, its skin included."""
    apart = sub(point, _nearest(body, point))
    return norm(apart) <= _skin(body) + 1e-9


def reach_mm(body: Solid, direction: Vector) -> float:
    """Return how far a body reaches from its middle along a unit vector, mm."""
    return _half(body, direction) + _skin(body)


def middle_of(body: Solid) -> Vector:
    """Return the middle of a body, mm."""
    return _centre(body)


def axes_of(body: Solid) -> tuple[Vector, ...]:
    """Return the directions of a body's edges: three of a box, else that of its axis."""
    if isinstance(body, Box):
        return body.axes
    if isinstance(body, Capsule):
        rod = sub(body.end, body.start)
        length = norm(rod)
        return (scale(rod, 1.0 / length),) if length > 0.0 else ()
    return (body.axis,)


def moved(body: Solid, by: Vector) -> Solid:
    """Return a body moved by a vector, mm."""
    if isinstance(body, Capsule):
        return Capsule(add(body.start, by), add(body.end, by), body.radius)
    if isinstance(body, Cylinder):
        return Cylinder(add(body.centre, by), body.axis, body.radius, body.half_length)
    return Box(add(body.centre, by), body.axes, body.halves)


# --- what every body is asked: middle, half-width, farthest point, skin -----------------------


def _centre(body: Solid) -> Vector:
    if isinstance(body, Capsule):
        return scale(add(body.start, body.end), 0.5)
    return body.centre


def _skin(body: Solid) -> float:
    return body.radius if isinstance(body, Capsule) else 0.0


def _half(body: Solid, n: Vector) -> float:
    """Return the half-width along a unit vector, without the skin."""
    if isinstance(body, Box):
        # Written out: it is asked of every body for every way out.
        u, v, w = n
        ((ax, ay, az), (bx, by, bz), (cx, cy, cz)), (h, k, m) = body.axes, body.halves
        first, second = abs(u * ax + v * ay + w * az), abs(u * bx + v * by + w * bz)
        return h * first + k * second + m * abs(u * cx + v * cy + w * cz)
    if isinstance(body, Capsule):
        return 0.5 * abs(dot(n, sub(body.end, body.start)))
    ahead = dot(n, body.axis)
    return body.half_length * abs(ahead) + body.radius * math.sqrt(max(1.0 - ahead * ahead, 0.0))


def _farthest(body: Solid, n: Vector) -> Vector:
    """Return the point of a body, without its skin, that lies farthest along a vector."""
    if isinstance(body, Box):
        u, v, w = n
        ((ax, ay, az), (bx, by, bz), (cx, cy, cz)), (h, k, m) = body.axes, body.halves
        h = math.copysign(h, u * ax + v * ay + w * az)
        k = math.copysign(k, u * bx + v * by + w * bz)
        m = math.copysign(m, u * cx + v * cy + w * cz)
        x, y, z = body.centre
        return (
            x + ax * h + bx * k + cx * m, y + ay * h + by * k + cy * m, z + az * h + bz * k + cz * m
        )  # fmt: skip
    if isinstance(body, Capsule):
        return body.end if dot(n, body.end) >= dot(n, body.start) else body.start
    ahead = dot(n, body.axis)
    aside = sub(n, scale(body.axis, ahead))
    length = norm(aside)
    point = add(body.centre, scale(body.axis, math.copysign(body.half_length, ahead)))
    return add(point, scale(aside, body.radius / length)) if length > 1e-12 else point


def _faces(a: Solid, b: Solid) -> Iterator[Vector]:
    for body in (a, b):
        if not isinstance(body, Capsule):
            yield from axes_of(body)


# --- apart from each other ----------------------------------------------------------------------


def _apart(a: Solid, b: Solid, known: float, enough: float) -> float:
    """Return the distance of two bodies without their skins; 0 or less where they meet."""
    point = sub(_farthest(a, (1.0, 0.0, 0.0)), _farthest(b, (-1.0, 0.0, 0.0)))
    simplex: list[Vector] = [point]
    nearest, best = point, known
    for _ in range(_STEPS):
        distance = norm(nearest)
        if distance < 1e-10:
            return 0.0
        towards = scale(nearest, -1.0 / distance)
        point = sub(_farthest(a, towards), _farthest(b, scale(towards, -1.0)))
        # -towards.point is how far the origin lies beyond the plane there: a lower bound
        best = max(best, -dot(towards, point))
        if best >= enough or distance - best < _EXACT * max(distance, 1.0):
            return best
        if point in simplex:
            return best
        simplex, nearest = _nearest_part(simplex, point)
        if len(simplex) == 4:
            return 0.0
    return best


_SUBSETS = {n: sorted((tuple(j for j in range(n) if m >> j & 1) for m in range(1 << n)), key=len)
            for n in (1, 2, 3)}  # fmt: skip
"""Which of the older corners a part may hold, smallest first."""


def _nearest_part(older: list[Vector], newest: Vector) -> tuple[list[Vector], Vector]:
    """Return the corners of the smallest part of a simplex that holds its point nearest to 0.

    The newest corner belongs to it, since it lies nearer to 0 than all that was known. A part
    serves where its nearest point is inside it.

    Returns:
        The part, and that point.
    """
    sides = [sub(corner, newest) for corner in older]
    matrix = [[dot(u, v) for v in sides] for u in sides]
    wanted = [-dot(u, newest) for u in sides]
    best, nearest, least = [newest], newest, math.inf
    for taken in _SUBSETS[len(older)]:
        weights = _weights(matrix, wanted, taken)
        if weights is None or min(weights, default=0.0) < -1e-12 or sum(weights) > 1.0 + 1e-12:
            continue
        # mixed from the corners, not from the sides: the digits of a far corner would be lost
        rest = 1.0 - sum(weights)
        x, y, z = newest[0] * rest, newest[1] * rest, newest[2] * rest
        for j, weight in zip(taken, weights, strict=True):
            corner = older[j]
            x, y, z = x + corner[0] * weight, y + corner[1] * weight, z + corner[2] * weight
        reached = math.sqrt(x * x + y * y + z * z)
        if reached < least - 1e-14 * max(1.0, reached):
            best, nearest, least = [*(older[j] for j in taken), newest], (x, y, z), reached
    return best, nearest


def _weights(
    m: list[list[float]], v: list[float], taken: tuple[int, ...]
) -> tuple[float, ...] | None:
    """Return the shares of some sides at the point nearest to 0, or None where there is no one.

    Up to three equations, by Cramer's rule; ``m`` is symmetric.
    """
    if not taken:
        return ()
    i = taken[0]
    if len(taken) == 1:
        return (v[i] / m[i][i],) if m[i][i] > 0.0 else None
    j = taken[1]
    if len(taken) == 2:
        d = m[i][i] * m[j][j] - m[i][j] * m[j][i]
        if d <= 1e-20 * m[i][i] * m[j][j]:
            return None
        return (v[i] * m[j][j] - m[i][j] * v[j]) / d, (m[i][i] * v[j] - v[i] * m[j][i]) / d
    rows: list[Vector] = [(r[0], r[1], r[2]) for r in m]
    w: Vector = (v[0], v[1], v[2])
    d = dot(rows[0], cross(rows[1], rows[2]))
    if d <= 1e-20 * m[0][0] * m[1][1] * m[2][2]:
        return None
    return (
        dot(w, cross(rows[1], rows[2])) / d,
        dot(rows[0], cross(w, rows[2])) / d,
        dot(rows[0], cross(rows[1], w)) / d,
    )


# --- into each other ----------------------------------------------------------------------------


def _inside(a: Solid, b: Solid, between: Vector, deepest: float) -> float:
    """Return minus the least way that parts two bodies, without their skins; not below deepest."""

    def value(n: Vector) -> float:
        return abs(dot(n, between)) - _half(a, n) - _half(b, n)

    best = max((value(n) for n in _faces(a, b)), default=-math.inf)
    best = max(best, deepest)
    edges_a, edges_b = axes_of(a), axes_of(b)
    for u in edges_a:
        for v in edges_b:
            normal = cross(u, v)
            if norm(normal) > 1e-9:
                best = max(best, value(unit(normal)))
    if isinstance(a, Cylinder) or isinstance(b, Cylinder):
        steepest = norm(between) + _size(a) + _size(b)
        for edge in (*edges_a, *edges_b):
            best = _best_across(edge, value, steepest, best)
    return best


def _size(body: Solid) -> float:
    """Return the distance from the middle of a body, without its skin, to its farthest point."""
    if isinstance(body, Box):
        return norm(body.halves)
    if isinstance(body, Capsule):
        return 0.5 * norm(sub(body.end, body.start))
    return math.hypot(body.half_length, body.radius)


def _best_across(
    edge: Vector, value: Callable[[Vector], float], steepest: float, best: float
) -> float:
    """Return the largest value over the directions square to an edge, or the best known before.

    Half a turn, since a direction and its opposite are worth the same; between the samples beside
    each of the highest ones the value has one top, found by golden section.
    """
    u, v = across(edge)

    def at(angle: float) -> float:
        return value(add(scale(u, math.cos(angle)), scale(v, math.sin(angle))))

    step = math.pi / _SAMPLES
    values = [at(i * step) for i in range(_SAMPLES)]
    best = max(best, *values)
    for i in range(_SAMPLES):
        # A top that cannot rise to the best known within a step is left alone.
        if values[i] + steepest * step <= best:
            continue
        if values[i] >= values[i - 1] and values[i] >= values[(i + 1) % _SAMPLES]:
            best = max(best, at(least(lambda angle: -at(angle), (i - 1) * step, (i + 1) * step)))
    return best
