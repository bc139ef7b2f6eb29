"""Convex bodies and the signed distance between two of them, for clearances.

Glossary: the *half-width* w(n) of a body is how far it reaches from its centre along the unit
vector n; the *gap* of two bodies is the distance between them where they are apart, and minus the
*depth*, the least translation that parts them, where they are not. Both are the same maximum,

    gap = max over n of  n . (cB - cA) - wA(n) - wB(n),

so every direction that is looked at gives a lower bound. Source: S. Cameron and R. K. Culley,
Determining the minimum translational distance between two convex polyhedra, IEEE ICRA 1986.

A cylinder of half-length h, radius R and axis a has w = h |n.a| + R |n x a|; a capsule has
R = 0 and its own radius added. The maximum stands where n is along an axis (a face), across one
(a side: *seam* below), across both, or between (an edge against an edge).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import NamedTuple

from wheelgeo.geometry.vectors import Vector, across, add, cross, dot, norm, scale, sub, unit
from wheelgeo.immutable import dataclass

SIDES = (("left", "right"), ("front", "back"), ("floor", "top"))
"""Names of a box's low and high sides along x, y and z."""
_AXES: tuple[Vector, Vector, Vector] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
_PARALLEL = 1e-12
"""Sine of the angle below which two axes are parallel."""
_SEAM_SAMPLES = 16
_ASCENT_STEPS = 40
_ON_A_TOP = math.cos(1e-3)
"""Cosine of the angle within which there is but one top."""
_HALVINGS, _LONG_STEPS = 24, 2
"""How often a step that does not rise is halved; so often before the least step is looked at."""
_FULL_STEP = 0.4
"""Largest turn of a direction in one step of the ascent, radians."""


@dataclass(frozen=True)
class Cylinder:
    """A solid cylinder with flat ends.

    Attributes:
        centre: middle of the axis, mm.
        axis: unit vector.
        radius: mm.
        half_length: from the middle to an end, mm.
    """

    centre: Vector
    axis: Vector
    radius: float
    half_length: float


@dataclass(frozen=True)
class Capsule:
    """All points within ``radius`` (mm) of the straight piece from ``start`` to ``end``."""

    start: Vector
    end: Vector
    radius: float


ConvexBody = Cylinder | Capsule


class _Core(NamedTuple):
    """A body as centre, axis, half-length, radius of its disc, and skin added all round."""

    centre: Vector
    axis: Vector
    half: float
    disc: float
    skin: float


class _Pose(NamedTuple):
    """Two cores in axes of their own: A's axis is (1, 0, 0), B's is (c, s, 0), z >= 0."""

    x: float
    y: float
    z: float
    c: float
    s: float
    half_a: float
    disc_a: float
    half_b: float
    disc_b: float


def gap_mm(a: ConvexBody, b: ConvexBody, enough: float = math.inf) -> float:
    """Return the signed distance between two bodies, mm.

    Args:
        a: one body.
        b: the other.
        enough: as soon as the distance is known to be at least this, any such value is returned,
            which is much quicker for bodies far apart.

    Returns:
        The distance where they are apart; minus the least translation that parts them where they
        are not. To about 1e-9 of their size.
    """
    core_a, core_b = _core(a), _core(b)
    between = sub(core_b.centre, core_a.centre)
    far = norm(between) - _reach(core_a) - _reach(core_b)
    if far >= enough:
        return far
    skin = core_a.skin + core_b.skin
    return _core_gap(core_a, core_b, between, enough + skin) - skin


def half_width_mm(body: ConvexBody, direction: Vector) -> float:
    """Return how far a body reaches from its centre along a unit vector, mm."""
    core = _core(body)
    n_cross_a = norm(cross(direction, core.axis))
    return core.half * abs(dot(direction, core.axis)) + core.disc * n_cross_a + core.skin


def overhangs_mm(body: ConvexBody, corner: Vector, size: Vector) -> tuple[Vector, Vector]:
    """Return how far a body stands out of a box at each side, mm; negative: the room left there.

    Args:
        body: the body.
        corner: lowest corner of the box, mm.
        size: the box along x, y and z, mm.

    Returns:
        The overhangs at the low sides along x, y and z, and at the high sides; see ``SIDES``.
    """
    centre = _core(body).centre
    x, y, z = (half_width_mm(body, axis) for axis in _AXES)
    high_corner = add(corner, size)
    return sub(corner, sub(centre, (x, y, z))), sub(add(centre, (x, y, z)), high_corner)


def _core(body: ConvexBody) -> _Core:
    if isinstance(body, Cylinder):
        return _Core(body.centre, body.axis, body.half_length, body.radius, 0.0)
    rod = sub(body.end, body.start)
    length = norm(rod)
    axis = scale(rod, 1.0 / length) if length > 0.0 else (0.0, 0.0, 1.0)
    centre = scale(add(body.start, body.end), 0.5)
    return _Core(centre, axis, 0.5 * length, 0.0, body.radius)


def _reach(core: _Core) -> float:
    """Return the radius of the ball round a body."""
    return math.hypot(core.half, core.disc) + core.skin


def _core_gap(a: _Core, b: _Core, between: Vector, enough: float) -> float:
    normal = cross(a.axis, b.axis)
    if norm(normal) < _PARALLEL or 0.0 == a.half == a.disc or 0.0 == b.half == b.disc:
        axis = b.axis if 0.0 == a.half == a.disc else a.axis
        return _parallel_gap(a, b, between, axis)
    if 0.0 == a.disc == b.disc:
        return _segment_gap(a, b, between)
    return _largest(_pose(a, b, between, normal), enough)


def _parallel_gap(a: _Core, b: _Core, between: Vector, axis: Vector) -> float:
    """Return the gap of two cylinders of one axis direction (a point has any)."""
    axial = abs(dot(between, axis)) - a.half - b.half
    radial = norm(cross(between, axis)) - a.disc - b.disc
    return math.hypot(axial, radial) if min(axial, radial) > 0.0 else max(axial, radial)


def _segment_gap(a: _Core, b: _Core, between: Vector) -> float:
    """Return the distance of two straight pieces that are not parallel.

    Source: C. Ericson, Real-Time Collision Detection, 2005, section 5.1.9.
    """
    cosine, on_a, on_b = dot(a.axis, b.axis), dot(between, a.axis), dot(between, b.axis)
    sine = norm(cross(a.axis, b.axis))
    s = _within((on_a - cosine * on_b) / (sine * sine), a.half)
    t = _within(s * cosine - on_b, b.half)
    s = _within(t * cosine + on_a, a.half)
    t = _within(s * cosine - on_b, b.half)
    apart = add(between, sub(scale(b.axis, t), scale(a.axis, s)))
    return norm(apart)


def _within(value: float, half: float) -> float:
    """Return the nearest value to ``value`` on the piece from -half to half."""
    return max(-half, min(half, value))


def _pose(a: _Core, b: _Core, between: Vector, normal: Vector) -> _Pose:
    z_axis = unit(normal)
    z_axis = unit(sub(z_axis, scale(a.axis, dot(z_axis, a.axis))))
    y_axis = cross(z_axis, a.axis)
    c, s = dot(b.axis, a.axis), dot(b.axis, y_axis)
    x, y, z = dot(between, a.axis), dot(between, y_axis), abs(dot(between, z_axis))
    return _Pose(x, y, z, c, s, a.half, a.disc, b.half, b.disc)


def _largest(pose: _Pose, enough: float) -> float:
    """Return the largest value over all directions, or any value found that is enough."""
    best, found = -math.inf, []
    for direction in _critical(pose):
        value = _value(pose, direction)
        if value >= enough:
            return value
        best = max(best, value)
        found.append((value, direction))
    tops: list[Vector] = []
    for start in _starts(found, best):
        best = max(best, _ascend(pose, start, tops))
        if best >= enough:
            break
    return best


def _value(p: _Pose, n: Vector) -> float:
    """Return n . between less both half-widths."""
    x, y, z = n
    return (
        x * p.x + y * p.y + z * p.z
        - p.half_a * abs(x) - p.disc_a * math.hypot(y, z)
        - p.half_b * abs(x * p.c + y * p.s) - p.disc_b * math.hypot(z, x * p.s - y * p.c)
    )  # fmt: skip


def _critical(p: _Pose) -> Iterator[Vector]:
    """Yield the directions along both axes, across both, and the best on each seam."""
    yield unit((p.x, p.y, p.z)) if p.x or p.y or p.z else (0.0, 0.0, 1.0)
    yield (0.0, 0.0, 1.0)
    yield (math.copysign(1.0, p.x), 0.0, 0.0)
    side_b = math.copysign(1.0, p.x * p.c + p.y * p.s)
    yield (side_b * p.c, side_b * p.s, 0.0)
    sign = math.copysign(1.0, p.y)
    for cosine, sine in _seam(abs(p.y) - p.half_b * abs(p.s), p.z, p.disc_b, p.c):
        yield (0.0, sign * cosine, sine)
    y = p.y * p.c - p.x * p.s
    sign = math.copysign(1.0, y)
    for cosine, sine in _seam(abs(y) - p.half_a * abs(p.s), p.z, p.disc_a, p.c):
        yield (-sign * p.s * cosine, sign * p.c * cosine, sine)


def _seam(flat: float, up: float, disc: float, c: float) -> Iterator[tuple[float, float]]:
    """Yield (cos t, sin t) of each largest flat cos t + up sin t - disc |(sin t, c cos t)|.

    Over the quarter turn from 0 to 90 degrees; both its ends are yielded as well.
    """

    def slope(t: float) -> float:
        cosine, sine = math.cos(t), math.sin(t)
        edge = math.hypot(sine, c * cosine)
        bend = disc * (1.0 - c * c) * sine * cosine / edge if edge else 0.0
        return up * cosine - flat * sine - bend

    yield (1.0, 0.0)
    yield (0.0, 1.0)
    step = 0.5 * math.pi / _SEAM_SAMPLES
    before = 1e-9
    for i in range(1, _SEAM_SAMPLES + 1):
        after = i * step
        if slope(before) > 0.0 >= slope(after):
            t = _falling_root(slope, before, after)
            yield (math.cos(t), math.sin(t))
        before = after


def _falling_root(slope: Callable[[float], float], low: float, high: float) -> float:
    """Return where a slope falls through 0 between low and high, by halving, to 1e-9 rad."""
    for _ in range(27):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if slope(middle) > 0.0 else (low, middle)
    return 0.5 * (low + high)


def _starts(found: list[tuple[float, Vector]], best: float) -> list[Vector]:
    """Return the directions to ascend from.

    Above 0 the function is concave, so that the best critical direction leads to the one top;
    below, every critical direction is tried: a coarse set all round as well found nothing higher
    in thousands of random pairs.
    """
    ordered = sorted(found, key=lambda item: -item[0])
    if best > 0.0:
        return [ordered[0][1]]
    return [direction for _, direction in ordered]


def _ascend(p: _Pose, start: Vector, tops: list[Vector]) -> float:
    """Return the value at the top above a start, by Newton's rule with steps that only rise.

    Args:
        p: the two cores.
        start: the direction to rise from.
        tops: the tops found before, to which this one is added; who comes to one of them by
            another way is told what was reached on it.
    """
    here, value = start, _value(p, start)
    for _ in range(_ASCENT_STEPS):
        if any(dot(here, top) > _ON_A_TOP for top in tops):
            return value
        for turn in _turns(p, here):
            there, higher = _rise(p, here, turn, value)
            if higher > value:
                break
        else:
            break
        gain, here, value = higher - value, there, higher
        if gain < 1e-14 * abs(value):
            break
    tops.append(here)
    return value


def _rise(p: _Pose, here: Vector, turn: Vector, value: float) -> tuple[Vector, float]:
    """Return a higher direction along a turn and its value, the old ones where none is found."""
    for halvings in range(_HALVINGS):
        there = unit(add(here, scale(turn, 0.5**halvings)))
        higher = _value(p, there)
        if higher > value:
            return there, higher
        # On an edge, where most tops are, no step rises: the least of them tells that at once.
        if halvings == _LONG_STEPS and not _value(p, _least_turn(here, turn)) > value:
            break
    return here, value


def _least_turn(here: Vector, turn: Vector) -> Vector:
    return unit(add(here, scale(turn, 0.5**_HALVINGS)))


def _turns(p: _Pose, n: Vector) -> Iterator[Vector]:
    """Yield Newton's step for each pair of ends that may face each other at n."""
    b_axis = (p.c, p.s, 0.0)
    for end_a in _ends(n[0]):
        for end_b in _ends(dot(n, b_axis)):
            yield _turn(p, n, b_axis, end_a * p.half_a, end_b * p.half_b)


def _ends(cosine: float) -> tuple[float, ...]:
    """Return which end of an axis faces a direction: both where it lies across."""
    return (math.copysign(1.0, cosine),) if abs(cosine) > 1e-9 else (1.0, -1.0)


def _turn(p: _Pose, n: Vector, b_axis: Vector, end_a: float, end_b: float) -> Vector:
    """Return the step across n that rises towards the top for the discs at two ends."""
    apart = (p.x - end_a - end_b * p.c, p.y - end_b * p.s, p.z)
    _, _, rim_b = _disc(n, b_axis, p.disc_b, apart)
    bend_a, side_a, rim_a = _disc(n, (1.0, 0.0, 0.0), p.disc_a, sub(apart, rim_b))
    bend_b, side_b, rim_b = _disc(n, b_axis, p.disc_b, sub(apart, rim_a))
    pull = sub(apart, add(rim_a, rim_b))
    uphill = sub(pull, scale(n, dot(pull, n)))
    if math.isinf(bend_a + bend_b):
        return scale(uphill, _FULL_STEP / max(norm(uphill), 1e-300))
    return _newton(n, uphill, dot(pull, n), ((bend_a, side_a), (bend_b, side_b)))


def _newton(
    n: Vector, uphill: Vector, value: float, bends: tuple[tuple[float, Vector], ...]
) -> Vector:
    """Return Newton's step across n, its matrix lifted where that would not rise."""
    first, second = across(n)
    m11 = m22 = value
    m12 = 0.0
    for bend, side in bends:
        along_1, along_2 = dot(side, first), dot(side, second)
        m11 += bend * along_1 * along_1
        m22 += bend * along_2 * along_2
        m12 += bend * along_1 * along_2
    g1, g2 = dot(uphill, first), dot(uphill, second)
    least = 0.5 * (m11 + m22) - math.hypot(0.5 * (m11 - m22), m12)
    lift = max(0.0, 1e-6 * (abs(m11) + abs(m22) + abs(value)) - least)
    m11, m22 = m11 + lift, m22 + lift
    determinant = m11 * m22 - m12 * m12
    if determinant <= 0.0:
        return (0.0, 0.0, 0.0)
    t1, t2 = (m22 * g1 - m12 * g2) / determinant, (m11 * g2 - m12 * g1) / determinant
    shrink = min(1.0, _FULL_STEP / max(math.hypot(t1, t2), 1e-300))
    return add(scale(first, t1 * shrink), scale(second, t2 * shrink))


def _disc(n: Vector, axis: Vector, radius: float, apart: Vector) -> tuple[float, Vector, Vector]:
    """Return a disc's bend R/|n x a|, the side a x n, and its rim point that n looks along.

    Where n looks along the axis the bend has no bound, and the rim point is the one towards
    ``apart``.
    """
    side = cross(axis, n)
    sine = norm(side)
    level = sine < 1e-9
    if level:
        side = cross(axis, apart)
        sine = norm(side)
    if radius == 0.0 or sine == 0.0:
        return 0.0, (0.0, 0.0, 0.0), (0.0, 0.0, 0.0)
    side = scale(side, 1.0 / sine)
    return math.inf if level else radius / sine, side, scale(cross(side, axis), radius)
