"""The run of a band between two pulleys anywhere in space: formulas for one and for many.

Glossary:

* *turning vector*: the pulley's axis times its sense (+1 counter-clockwise, -1 clockwise).
* *frame*: unit vectors u, v across the axis, with u x v the turning vector; a direction in the
  pulley's plane is the pair (x, y) of its components along u and v.
* *leaving point* p on pulley A, *arriving point* q on pulley B: where the straight run touches.
* *run*: q - p. It stands across A's radius at p and across B's radius at q, and points along the
  travel of the cord at both ends.

Every function here takes its numbers either as floats with ``xp = math`` or as arrays of one
shape with ``xp = numpy``; the formulas are the same. Lengths are in one unit throughout.

How the run is found. Given q, the leaving point is the textbook tangent from a point to a circle,
in the plane of A; given p, the arriving point likewise in the plane of B. Going once round, q
becomes a new q: a map of the circle into itself, whose slope ``kappa`` is known in closed form, so
that Newton's rule applies.

When the run is unique. If the slope of that map is below 1 in size all round, it is a contraction
of the circle and has exactly one fixed point (Banach). The slope is at most rA rB / (TA TB), where
TA is the least length of a tangent from B's circle to A seen along A's axis, and TB likewise:
``certificate`` holds a lower bound of TA TB against rA rB. Where it does not hold (the pulleys
overlap, or nearly, seen along one of the axes), all runs are counted another way (``branches``).
There are then up to four, and the longest is taken, by the scalar and by the array path.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

Number = Any
"""A float, or a numpy array of floats."""
Triple = tuple[Number, Number, Number]
Pair = tuple[Number, Number]
Quad = tuple[Number, Number, Number, Number]

TINY = 1e-30
"""Added where a sum of squares divides, so that a point on a pulley's axis does no harm."""

NEAR = 1e-6
"""Newton's rule on the map goes on until it moves less than this, radians; one step on both ends
makes it exact."""


NEARLY_PARALLEL = 1e-3
"""Tilt of two axes, radians, and"""
NEARLY_TOUCHING = 1e-7
"""room between two circles over their radii, seen along an axis, within which no run is told. There
all runs are about to vanish in one: its length goes with the root of a room that rounding fills.
At a third of that tilt a run of a thousandth of a millimetre was told, 12 degrees off."""


class Frame(NamedTuple):
    """Two unit vectors across a pulley's axis; u x v is the turning vector."""

    u: Triple
    v: Triple


class Pairing(NamedTuple):
    """All that a run from A to B depends on, in the frames of the two pulleys.

    Attributes:
        m: (uA.uB, uA.vB, vA.uB, vA.vB).
        ma: m times A's radius.
        mb: m times B's radius.
        to_b: centre of B from the centre of A, in A's frame.
        to_a: centre of A from the centre of B, in B's frame.
        radius_a: pitch radius of A.
        radius_b: pitch radius of B.
    """

    m: Quad
    ma: Quad
    mb: Quad
    to_b: Pair
    to_a: Pair
    radius_a: Number
    radius_b: Number


def dot(a: Triple, b: Triple) -> Number:
    """Return the scalar product of two vectors given by their components."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def frame(axis: Triple, sense: Number, xp: Any) -> Frame:
    """Return the frame of a pulley.

    Args:
        axis: unit vector.
        sense: +1 counter-clockwise, -1 clockwise.
        xp: ``math`` or ``numpy``.

    Returns:
        The frame. Source: Duff et al., Building an Orthonormal Basis, Revisited, JCGT 6(1), 2017.
    """
    x, y, z = axis
    sign = xp.copysign(1.0, z)
    a = -1.0 / (sign + z)
    b = x * y * a
    u = (1.0 + sign * x * x * a, sign * b, -sign * x)
    v = (sense * b, sense * (sign + y * y * a), -sense * y)
    return Frame(u, v)


def pairing(
    frame_a: Frame, frame_b: Frame, between: Triple, radius_a: Number, radius_b: Number
) -> Pairing:
    """Return what the run from A to B depends on; ``between`` is B's centre less A's."""
    m = (
        dot(frame_a.u, frame_b.u),
        dot(frame_a.u, frame_b.v),
        dot(frame_a.v, frame_b.u),
        dot(frame_a.v, frame_b.v),
    )
    ma = (m[0] * radius_a, m[1] * radius_a, m[2] * radius_a, m[3] * radius_a)
    mb = (m[0] * radius_b, m[1] * radius_b, m[2] * radius_b, m[3] * radius_b)
    to_b = (dot(between, frame_a.u), dot(between, frame_a.v))
    to_a = (-dot(between, frame_b.u), -dot(between, frame_b.v))
    return Pairing(m, ma, mb, to_b, to_a, radius_a, radius_b)


def _tangent(point: Pair, radius: Number, side: float, xp: Any) -> tuple[Pair, Number]:
    """Return the touching direction of the tangent from a point to a circle, and its length.

    ``side`` is +1 for the cord that leaves the circle towards the point and -1 for the cord that
    arrives from it. A point inside the circle gives length 0 and a direction that is not yet a
    tangent; the residual of the finished run shows it.
    """
    x, y = point
    square = x * x + y * y + TINY
    beyond = square - radius * radius
    length = xp.sqrt(0.5 * (beyond + abs(beyond)))
    turned = side * length
    inverse = 1.0 / square
    return ((x * radius + y * turned) * inverse, (y * radius - x * turned) * inverse), length


def seen_from_a(pair: Pairing, e_b: Pair) -> Pair:
    """Return the arriving point from A's centre, in A's frame."""
    x, y = e_b
    m = pair.mb
    return (pair.to_b[0] + m[0] * x + m[1] * y, pair.to_b[1] + m[2] * x + m[3] * y)


def seen_from_b(pair: Pairing, e_a: Pair) -> Pair:
    """Return the leaving point from B's centre, in B's frame."""
    x, y = e_a
    m = pair.ma
    return (pair.to_a[0] + m[0] * x + m[2] * y, pair.to_a[1] + m[1] * x + m[3] * y)


def leave(pair: Pairing, e_b: Pair, xp: Any) -> tuple[Pair, Number]:
    """Return the leaving direction on A for an arriving direction on B, and the tangent."""
    return _tangent(seen_from_a(pair, e_b), pair.radius_a, 1.0, xp)


def arrive(pair: Pairing, e_a: Pair, xp: Any) -> tuple[Pair, Number]:
    """Return the arriving direction on B for a leaving direction on A, and the tangent."""
    return _tangent(seen_from_b(pair, e_a), pair.radius_b, -1.0, xp)


def first_guess(pair: Pairing, xp: Any) -> Pair:
    """Return about where the cord leaves A: just there where the shafts are parallel.

    Seen along parallel shafts, the run touches a circle of radius rA - rB (rA + rB where they
    turn against each other) round A and goes through B's centre; for shafts at an angle, rB
    counts by the cosine between the turning vectors.
    """
    m = pair.m
    cosine = m[0] * m[3] - m[1] * m[2]
    return _tangent(pair.to_b, pair.radius_a - pair.radius_b * cosine, 1.0, xp)[0]


def newton(pair: Pairing, e_b: Pair, xp: Any) -> tuple[Pair, Number]:
    """Return a better arriving direction, and how far the plain map moved it (radians, signed).

    Newton's rule on the map, for pairs whose map is proven to contract: with the slope kappa, the
    map's image is turned further by kappa / (1 - kappa) times the way that it moved.
    """
    e_a, length_a = leave(pair, e_b, xp)
    mapped, length_b = arrive(pair, e_a, xp)
    moved = e_b[0] * mapped[1] - e_b[1] * mapped[0]
    tb_ea, ta_eb = _leans(pair, e_a, mapped)
    less_slope = tb_ea * ta_eb
    further = -moved * less_slope / (length_a * length_b + less_slope + TINY)
    inverse = 1.0 / xp.sqrt(1.0 + further * further)
    x, y = mapped[0] - further * mapped[1], mapped[1] + further * mapped[0]
    return (x * inverse, y * inverse), moved


def newton_both(pair: Pairing, e_a: Pair, e_b: Pair, xp: Any) -> tuple[Pair, Pair]:
    """Return better directions at both ends, by Newton's rule on the two conditions of a run.

    The conditions are (q - p) . radius = 0 at either end; their derivatives hold the run's lengths
    as seen along the axes, and stay sound where those vanish.
    """
    (ax, ay), (bx, by) = e_a, e_b
    (qx, qy), (px, py) = seen_from_a(pair, e_b), seen_from_b(pair, e_a)
    off_a = qx * ax + qy * ay - pair.radius_a
    off_b = pair.radius_b - px * bx - py * by
    along_a, along_b = qy * ax - qx * ay, px * by - py * bx
    tb_ea, ta_eb = _leans(pair, e_a, e_b)
    inverse = 1.0 / (along_a * along_b + tb_ea * ta_eb + TINY)
    turn_a = (tb_ea * off_b - along_b * off_a) * inverse
    turn_b = -(along_a * off_b + ta_eb * off_a) * inverse
    return _turned(e_a, turn_a, xp), _turned(e_b, turn_b, xp)


def _turned(e: Pair, tangent: Number, xp: Any) -> Pair:
    """Return a direction turned by the angle of that tangent, at length 1."""
    x, y = e[0] - tangent * e[1], e[1] + tangent * e[0]
    inverse = 1.0 / xp.sqrt(x * x + y * y + TINY)
    return (x * inverse, y * inverse)


def _leans(pair: Pairing, e_a: Pair, e_b: Pair) -> Pair:
    """Return rB tB . eA and rA tA . eB, where tA and tB are the directions of travel."""
    (ax, ay), (bx, by) = e_a, e_b
    m, w = pair.ma, pair.mb
    tb_ea = ax * (w[1] * bx - w[0] * by) + ay * (w[3] * bx - w[2] * by)
    ta_eb = bx * (m[2] * ax - m[0] * ay) + by * (m[3] * ax - m[1] * ay)
    return tb_ea, ta_eb


def against(along: Number) -> Number:
    """Return by how much a length along the travel is negative; 0 where it is positive."""
    return 0.5 * (abs(along) - along)


class Settled(NamedTuple):
    """Both ends of a run.

    Attributes:
        e_a: leaving direction.
        e_b: arriving direction.
        length_a: length of the run as seen along A's axis, positive along the travel.
        length_b: length of the run as seen along B's axis, positive along the travel.
        off: how far it is from standing across both radii and along the travel, a length.
    """

    e_a: Pair
    e_b: Pair
    length_a: Number
    length_b: Number
    off: Number


def settle(pair: Pairing, e_a: Pair, e_b: Pair) -> Settled:
    """Return the run of two directions, with how far it is from being one."""
    (ax, ay), (bx, by) = e_a, e_b
    (qx, qy), (px, py) = seen_from_a(pair, e_b), seen_from_b(pair, e_a)
    across_a = abs(qx * ax + qy * ay - pair.radius_a)
    across_b = abs(px * bx + py * by - pair.radius_b)
    along_a, along_b = qy * ax - qx * ay, px * by - py * bx
    off = across_a + across_b + against(along_a) + against(along_b)
    return Settled(e_a, e_b, along_a, along_b, off)


def parallel(axis_a: Triple, axis_b: Triple) -> Number:
    """Return whether two axes are parallel, to 1e-12: the run is then the textbooks' tangent."""
    x = axis_a[1] * axis_b[2] - axis_a[2] * axis_b[1]
    y = axis_a[2] * axis_b[0] - axis_a[0] * axis_b[2]
    z = axis_a[0] * axis_b[1] - axis_a[1] * axis_b[0]
    return x * x + y * y + z * z < 1e-24


def proven(pair: Pairing, are_parallel: Number, xp: Any) -> Number:
    """Return whether there is certainly one run and one only."""
    return (are_parallel & _clear(pair)) | certificate(pair, xp)


def hopeless(pair: Pairing, are_parallel: Number, xp: Any) -> Number:
    """Return whether there is certainly no run.

    So it is where one pulley, seen along the other's axis, lies wholly within that other, on
    parallel shafts that stand too near each other, and where a number is NaN. Pulleys that nearly
    touch so count as touching.
    """
    reach_a = xp.sqrt(pair.to_b[0] ** 2 + pair.to_b[1] ** 2) + pair.radius_b
    reach_b = xp.sqrt(pair.to_a[0] ** 2 + pair.to_a[1] ** 2) + pair.radius_a
    reaches = (reach_a >= pair.radius_a) & (reach_b >= pair.radius_b)
    return (reaches == 0) | (are_parallel & (_clear(pair) == 0)) | nearly_touch(pair, xp)


def nearly_touch(pair: Pairing, xp: Any) -> Number:
    """Return whether two circles on nearly parallel shafts all but touch, seen along an axis.

    From inside where they turn alike, from outside where they turn against each other. Their runs
    would be a hair's breadth long, or stand along the shafts: no wheel is built so.
    """
    m = pair.m
    cosine = m[0] * m[3] - m[1] * m[2]
    touching = abs(pair.radius_a - pair.radius_b * cosine)
    room = NEARLY_TOUCHING * (pair.radius_a + pair.radius_b)
    near_a, near_b = (
        abs(xp.sqrt(to[0] ** 2 + to[1] ** 2) - touching) < room for to in (pair.to_b, pair.to_a)
    )
    return (1.0 - cosine * cosine < NEARLY_PARALLEL**2) & (near_a | near_b)


def _clear(pair: Pairing) -> Number:
    """Return whether parallel shafts stand clearly further apart than rA - rB, crossed rA + rB."""
    m = pair.m
    touching = abs(pair.radius_a - pair.radius_b * (m[0] * m[3] - m[1] * m[2]))
    least = touching + NEARLY_TOUCHING * (pair.radius_a + pair.radius_b)
    return pair.to_b[0] ** 2 + pair.to_b[1] ** 2 > least * least


def certificate(pair: Pairing, xp: Any, slack: float = 0.0) -> Number:
    """Return whether the slope of the map is provably below 1 all round (see the module's page).

    ``slack`` is a fraction that the distances may be wrong by.
    """
    reach_a = xp.sqrt(pair.to_b[0] ** 2 + pair.to_b[1] ** 2) * (1.0 - slack) - pair.radius_b
    reach_b = xp.sqrt(pair.to_a[0] ** 2 + pair.to_a[1] ** 2) * (1.0 - slack) - pair.radius_a
    tangent_a = reach_a * reach_a - pair.radius_a**2
    tangent_b = reach_b * reach_b - pair.radius_b**2
    outside = (reach_a > pair.radius_a) & (reach_b > pair.radius_b)
    return outside & (tangent_a * tangent_b > (pair.radius_a * pair.radius_b) ** 2)


def in_space(frame_: Frame, e: Pair) -> Triple:
    """Return a direction of a pulley's plane as a vector in space."""
    (ux, uy, uz), (vx, vy, vz) = frame_
    return (ux * e[0] + vx * e[1], uy * e[0] + vy * e[1], uz * e[0] + vz * e[1])


def rise(between: Triple, axis: Triple, other: Frame, e: Pair, radius: Number) -> Number:
    """Return how far a point on the other pulley's circle lies along a pulley's axis.

    Args:
        between: the other pulley's centre less this one's.
        axis: this pulley's axis.
        other: the other pulley's frame.
        e: direction of the point in the other pulley's plane.
        radius: the other pulley's radius.

    Returns:
        The length along the axis. With the run's length as seen along the axis it makes the
        run's true length and its lead angle.
    """
    return dot(between, axis) + radius * (dot(other.u, axis) * e[0] + dot(other.v, axis) * e[1])


def wrap_angle(e_in: Pair, e_out: Pair, atan2: Any) -> Number:
    """Return the arc of contact from the arriving to the leaving direction, radians in [0, 2 pi).

    ``atan2`` is ``math.atan2`` or ``numpy.arctan2``. An angle within 1e-12 of none at all is a
    cord that just touches: 0.
    """
    across = e_in[0] * e_out[1] - e_in[1] * e_out[0]
    angle = atan2(across, e_in[0] * e_out[0] + e_in[1] * e_out[1])
    touches = abs(angle) < 1e-12
    return (angle + (angle < 0.0) * 2.0 * math.pi) * (1.0 - touches)
