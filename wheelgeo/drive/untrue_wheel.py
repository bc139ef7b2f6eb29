"""An old wheel that wobbles or runs out: what that does to a band over a turn.

A wheel *wobbles* where its rim moves sideways as it turns: its plane is tilted against the axle by
a small angle, and the tilt goes round. It *runs out* where its rim moves in and out: its centre
stands beside the axle. The band's path is solved at equal steps of a turn.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from wheelgeo.geometry.path import PitchCircle, solve_path
from wheelgeo.geometry.vectors import Vector, add, cross, scale, unit


@dataclass(frozen=True, slots=True)
class OverTurn:
    """What changes over a turn of the untrue wheel.

    Attributes:
        length_mm: least and greatest length of the band's path.
        arriving_deg: for each pulley of the route, least and greatest lead angle at which the band
            arrives, positive along its axis.
        leaving_deg: the same where it leaves; turned backwards, it arrives there.
    """

    length_mm: tuple[float, float]
    arriving_deg: tuple[tuple[float, float], ...]
    leaving_deg: tuple[tuple[float, float], ...]


def over_turn(
    circles: Sequence[PitchCircle],
    index: int,
    sideways_mm: float = 0.0,
    out_mm: float = 0.0,
    steps: int = 24,
) -> OverTurn:
    """Return what an untrue wheel does to a band over a turn.

    Args:
        circles: the pitch circles of the true wheel, in route order.
        index: which of them is untrue.
        sideways_mm: how far its pitch circle moves sideways in all over a turn, both ways together.
        out_mm: how far it moves in and out in all.
        steps: positions tried in a turn.

    Raises:
        PathError: in some position the band has no path.
        ValueError: fewer than 4 steps, or a wheel that is out by its own size.
    """
    true = circles[index]
    tilt = 0.5 * sideways_mm / true.radius_mm
    if steps < 4 or not abs(tilt) < 1.0 or not abs(out_mm) < 2.0 * true.radius_mm:
        raise ValueError("a turn has 4 steps or more, and a wheel is not out by its own size")
    first = _across(true.axis)
    second = cross(true.axis, first)
    paths = []
    for step in range(steps):
        turn = 2.0 * math.pi * step / steps
        aside = add(scale(first, math.cos(turn)), scale(second, math.sin(turn)))
        moved = replace(
            true,
            axis=unit(add(true.axis, scale(aside, math.tan(math.asin(tilt))))),
            centre_mm=add(true.centre_mm, scale(aside, 0.5 * out_mm)),
        )
        paths.append(solve_path([*circles[:index], moved, *circles[index + 1 :]]))
    count = range(len(circles))
    return OverTurn(
        _ends([p.length_mm for p in paths]),
        tuple(_ends([p.arriving_deg(i) for p in paths]) for i in count),
        tuple(_ends([p.leaving_deg(i) for p in paths]) for i in count),
    )


def _across(axis: Vector) -> Vector:
    """Return a unit vector at right angles to an axis; the coordinate least along it is safe."""
    least = min(range(3), key=lambda i: abs(axis[i]))
    return unit(cross(axis, (float(least == 0), float(least == 1), float(least == 2))))


def _ends(numbers: Sequence[float]) -> tuple[float, float]:
    return min(numbers), max(numbers)


def oval_lengths_mm(
    greatest_mm: float, least_mm: float, other_mm: float, apart_mm: float, steps: int = 24
) -> tuple[float, float]:
    """Return least and greatest length, mm, of an open band round an oval wheel over a turn.

    The open band round two shapes is the edge of their convex hull, and the length of a convex
    edge is the integral of its support function over all directions (Cauchy's formula); the
    support function of a hull is the greater of the two.

    Args:
        greatest_mm: greatest pitch radius of the oval wheel, an ellipse.
        least_mm: least.
        other_mm: pitch radius of the round one.
        apart_mm: between their centres.
        steps: positions tried in half a turn, after which it repeats.

    Raises:
        ValueError: a radius or the distance is not positive, or the one lies within the other.
    """
    if min(greatest_mm, least_mm, other_mm, apart_mm) <= 0.0:
        raise ValueError("an oval wheel has positive sizes")
    if apart_mm + other_mm <= greatest_mm:
        raise ValueError("the small wheel lies within the oval one")
    count = 1440  # even steps of a periodic function: the two kinks cost less than 1e-5 of it
    directions = [2.0 * math.pi * i / count for i in range(count)]
    other = [apart_mm * math.cos(t) + other_mm for t in directions]
    lengths = []
    for step in range(steps):
        turned = math.pi * step / steps
        oval = (
            math.hypot(greatest_mm * math.cos(t - turned), least_mm * math.sin(t - turned))
            for t in directions
        )
        lengths.append(sum(map(max, oval, other)) * 2.0 * math.pi / count)
    return _ends(lengths)
