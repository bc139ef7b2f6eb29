"""The path of one band: runs, wraps, lead angles and length, pulleys anywhere in space.

The scalar path for one wheel. ``path_array`` solves many at once with the same formulas, those of
``tangent``, whose page holds the glossary.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from wheelgeo.errors import PathError
from wheelgeo.geometry import tangent
from wheelgeo.geometry.tangent import Frame, Pair, Pairing
from wheelgeo.geometry.vectors import Vector, add, cross, dot, norm, scale, sub, unit
from wheelgeo.immutable import dataclass

RESIDUAL = 1e-11
"""A run is accepted when its residual is below this times the size of the drive."""

NEWTON_STEPS = 30


@dataclass(frozen=True)
class PitchCircle:
    """What a path needs of one pulley.

    Attributes:
        name: name in messages.
        centre_mm: centre of the groove's mid-plane on the axis.
        axis: unit vector.
        radius_mm: pitch radius.
        sense: +1 where the pulley turns counter-clockwise about its axis, -1 where clockwise.
    """

    name: str
    centre_mm: Vector
    axis: Vector
    radius_mm: float
    sense: int


@dataclass(frozen=True)
class Run:
    """The straight piece of a band between two pulleys.

    Attributes:
        first: index in the route of the pulley that it leaves.
        second: index in the route of the pulley that it reaches.
        start_mm: leaving point.
        end_mm: arriving point.
        length_mm: its length.
        leaving_deg: lead angle at the first, positive along that pulley's axis.
        arriving_deg: lead angle at the second, positive along that pulley's axis.
        choices: how many runs there are with these senses; 1 where it is proven unique.
    """

    first: int
    second: int
    start_mm: Vector
    end_mm: Vector
    length_mm: float
    leaving_deg: float
    arriving_deg: float
    choices: int


@dataclass(frozen=True)
class Path:
    """The whole path of a band.

    Attributes:
        circles: the pitch circles, in route order.
        runs: run i goes from pulley i to pulley i + 1, the last back to the first.
        wraps_deg: arc of contact on each pulley, degrees.
    """

    circles: tuple[PitchCircle, ...]
    runs: tuple[Run, ...]
    wraps_deg: tuple[float, ...]

    @property
    def length_mm(self) -> float:
        """Length of the centre-line: runs and arcs."""
        arcs = (
            c.radius_mm * math.radians(w) for c, w in zip(self.circles, self.wraps_deg, strict=True)
        )
        return math.fsum([*(r.length_mm for r in self.runs), *arcs])

    def arriving_deg(self, index: int) -> float:
        """Lead angle at which the band arrives at pulley ``index`` of the route."""
        return self.runs[index - 1].arriving_deg

    def leaving_deg(self, index: int) -> float:
        """Lead angle at which the band leaves pulley ``index`` of the route."""
        return self.runs[index].leaving_deg


@dataclass(frozen=True)
class _Touch:
    """Both ends of a run as directions in the planes of their pulleys."""

    leaving: Pair
    arriving: Pair
    choices: int


def solve_path(circles: Sequence[PitchCircle]) -> Path:
    """Solve the path of a band.

    Args:
        circles: two or more pitch circles, in the order in which the moving band meets them.

    Returns:
        The path. Where two pulleys allow several runs with the given senses (only when they
        overlap, seen along one of the axes), the longest is taken: nearly always the one that
        stays when the pulleys are drawn apart. ``Run.choices`` says how many there are.

    Raises:
        PathError: two neighbours allow no run; says which and by how many millimetres.
        ValueError: fewer than two circles.
    """
    if len(circles) < 2:
        raise ValueError("a band needs two pulleys or more")
    frames = [tangent.frame(c.axis, float(c.sense), math) for c in circles]
    order = range(len(circles))
    following = [(i + 1) % len(circles) for i in order]
    touches = [
        _touch(circles[i], circles[j], frames[i], frames[j])
        for i, j in zip(order, following, strict=True)
    ]
    runs = tuple(
        _run(i, j, circles, frames, touch)
        for i, j, touch in zip(order, following, touches, strict=True)
    )
    wraps = tuple(
        math.degrees(tangent.wrap_angle(touches[i - 1].arriving, touches[i].leaving, math.atan2))
        for i in order
    )
    return Path(tuple(circles), runs, wraps)


def _pairing(a: PitchCircle, b: PitchCircle, frame_a: Frame, frame_b: Frame) -> Pairing:
    return tangent.pairing(
        frame_a, frame_b, sub(b.centre_mm, a.centre_mm), a.radius_mm, b.radius_mm
    )


def _pairing_of(a: PitchCircle, b: PitchCircle) -> Pairing:
    frames = [tangent.frame(c.axis, float(c.sense), math) for c in (a, b)]
    return _pairing(a, b, *frames)


def _touch(a: PitchCircle, b: PitchCircle, frame_a: Frame, frame_b: Frame) -> _Touch:
    """Return where the run from a to b touches; PathError where there is none."""
    touch = _find_touch(a, b, frame_a, frame_b)
    if touch is None:
        raise _no_run(a, b)
    return touch


def _find_touch(a: PitchCircle, b: PitchCircle, frame_a: Frame, frame_b: Frame) -> _Touch | None:
    """Return where the run touches, or None; the longest run where there are several."""
    pair = _pairing(a, b, frame_a, frame_b)
    tolerance = RESIDUAL * (norm(sub(b.centre_mm, a.centre_mm)) + a.radius_mm + b.radius_mm)
    parallel = tangent.parallel(a.axis, b.axis)
    if tangent.hopeless(pair, parallel, math):
        return None
    if tangent.proven(pair, parallel, math):
        touch = _newton(pair, tolerance)
        if touch is not None:
            return touch
    from wheelgeo.geometry.branches import all_runs

    runs = all_runs(pair, tolerance)
    if not runs:
        return None
    longest = max(runs, key=lambda run: _length(a, b, frame_a, frame_b, run))
    return _Touch(*longest, choices=len(runs))


def _newton(pair: Pairing, tolerance: float) -> _Touch | None:
    """Return the run by Newton's rule from the usual first guess, or None."""
    e_b, _ = tangent.arrive(pair, tangent.first_guess(pair, math), math)
    for _ in range(NEWTON_STEPS):
        e_b, moved = tangent.newton(pair, e_b, math)
        if abs(moved) < tangent.NEAR:
            break
    e_a, _ = tangent.leave(pair, e_b, math)
    run = tangent.settle(pair, *tangent.newton_both(pair, e_a, e_b, math))
    return _Touch(run.e_a, run.e_b, 1) if run.off <= tolerance else None


def _ends(
    a: PitchCircle, b: PitchCircle, frame_a: Frame, frame_b: Frame, run: tuple[Pair, Pair]
) -> tuple[Vector, Vector]:
    start = add(a.centre_mm, scale(tangent.in_space(frame_a, run[0]), a.radius_mm))
    end = add(b.centre_mm, scale(tangent.in_space(frame_b, run[1]), b.radius_mm))
    return start, end


def _length(
    a: PitchCircle, b: PitchCircle, frame_a: Frame, frame_b: Frame, run: tuple[Pair, Pair]
) -> float:
    start, end = _ends(a, b, frame_a, frame_b, run)
    return norm(sub(end, start))


def _run(
    i: int, j: int, circles: Sequence[PitchCircle], frames: Sequence[Frame], touch: _Touch
) -> Run:
    a, b = circles[i], circles[j]
    start, end = _ends(a, b, frames[i], frames[j], (touch.leaving, touch.arriving))
    vector = sub(end, start)
    length = norm(vector)
    return Run(
        i,
        j,
        start,
        end,
        length,
        leaving_deg=_lead_deg(vector, a.axis),
        arriving_deg=_lead_deg(vector, b.axis),
        choices=touch.choices,
    )


def _lead_deg(vector: Vector, axis: Vector) -> float:
    """Return asin(direction . axis), degrees, by the arctangent: exact near 90 degrees too."""
    return math.degrees(math.atan2(dot(vector, axis), norm(cross(vector, axis))))


def _no_run(a: PitchCircle, b: PitchCircle) -> PathError:
    shortfall = shortfall_mm(a, b)
    same_plane = abs(dot(sub(b.centre_mm, a.centre_mm), a.axis)) < 1e-9
    inside = (
        tangent.parallel(a.axis, b.axis)
        and same_plane
        and _distance(a, b) < abs(a.radius_mm - b.radius_mm)
    )
    small, large = sorted((a, b), key=lambda c: c.radius_mm)
    why = "the pulleys stand too close"
    if inside:
        why = f'"{small.name}" stands inside "{large.name}"'
    elif tangent.nearly_touch(_pairing_of(a, b), math):
        why = "their pitch circles nearly touch, seen along their shafts"
    return PathError(
        f'no run leads from "{a.name}" to "{b.name}": {why}; move them at least '
        f"{max(shortfall, 0.001):.3f} mm further apart",
        a.name,
        b.name,
        shortfall,
    )


def _distance(a: PitchCircle, b: PitchCircle) -> float:
    return norm(sub(b.centre_mm, a.centre_mm))


def _apart(a: PitchCircle, b: PitchCircle) -> Vector:
    """Return the direction in which to move b away from a: along their common perpendicular."""
    direction = unit(cross(a.axis, b.axis))
    between = sub(b.centre_mm, a.centre_mm)
    return direction if dot(direction, between) >= 0.0 else scale(direction, -1.0)


def shortfall_mm(a: PitchCircle, b: PitchCircle) -> float:
    """Return how much further b must stand from a, along their common perpendicular, for a run.

    For parallel shafts this is |r1 - r2| - C (open) or r1 + r2 - C (crossed), where C is the
    distance of the shafts (where they nearly touch, as far as they must not); for shafts at an
    angle it is found by bisection to 1e-9 of the size of the drive. 0 where there is a run already.
    """
    if tangent.parallel(a.axis, b.axis):
        alike = a.sense * b.sense * math.copysign(1.0, dot(a.axis, b.axis))
        between = sub(b.centre_mm, a.centre_mm)
        touching = abs(a.radius_mm - alike * b.radius_mm)
        apart, room = norm(cross(between, a.axis)), a.radius_mm + b.radius_mm
        room *= tangent.NEARLY_TOUCHING
        nearly = room if abs(touching - apart) < room else 0.0
        return max(0.0, touching + nearly - apart)
    return _shortfall_by_bisection(a, b)


def _shortfall_by_bisection(a: PitchCircle, b: PitchCircle) -> float:
    direction = _apart(a, b)

    def runs_at(distance: float) -> bool:
        moved = replace(b, centre_mm=add(b.centre_mm, scale(direction, distance)))
        frames = (tangent.frame(c.axis, float(c.sense), math) for c in (a, moved))
        return _find_touch(a, moved, *frames) is not None

    if runs_at(0.0):
        return 0.0
    low, high = 0.0, a.radius_mm + b.radius_mm
    while not runs_at(high):
        low, high = high, 2.0 * high
    while high - low > 1e-9 * (a.radius_mm + b.radius_mm):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if runs_at(middle) else (middle, high)
    return high
