"""An old wheel that wobbles or runs out: what that does to a band over a turn.

A wheel *wobbles* where its rim moves sideways as it turns: its plane is tilted against the axle by
a small angle, and the tilt goes round. It *runs out* where its rim moves in and out: its centre
stands beside the axle. The band's path is solved at equal steps of a turn.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import NamedTuple

from wheelgeo.geometry.path import PitchCircle, solve_path
from wheelgeo.geometry.vectors import Vector, add, cross, dot, scale, sub, unit
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
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
    grooves: Sequence[int],
    sideways_mm: float = 0.0,
    out_mm: float = 0.0,
    steps: int = 24,
) -> OverTurn:
    """Return what an untrue wheel does to a band over a turn.

    Args:
        circles: the pitch circles of the true wheel, in route order.
        grooves: which of them are cut in the untrue wheel: one, or two where the band goes twice
            round; they wobble and run out as one.
        sideways_mm: how far the first moves sideways in all over a turn, both ways together.
        out_mm: how far it moves in and out in all.
        steps: positions tried in a turn.

    Raises:
        PathError: in some position the band has no path.
        ValueError: fewer than 4 steps, or a wheel that is out by its own size.
    """
    true = circles[grooves[0]]
    tilt = 0.5 * sideways_mm / true.radius_mm
    if steps < 4 or not abs(tilt) < 1.0 or not abs(out_mm) < 2.0 * true.radius_mm:
        raise ValueError("a turn has 4 steps or more, and a wheel is not out by its own size")
    first = _across(true.axis)
    second = cross(true.axis, first)
    paths = []
    for step in range(steps):
        turn = 2.0 * math.pi * step / steps
        aside = add(scale(first, math.cos(turn)), scale(second, math.sin(turn)))
        axis = unit(add(true.axis, scale(aside, math.tan(math.asin(tilt)))))
        centre = add(true.centre_mm, scale(aside, 0.5 * out_mm))
        moved = list(circles)
        for i in grooves:
            along = dot(sub(circles[i].centre_mm, true.centre_mm), true.axis)
            moved[i] = replace(circles[i], axis=axis, centre_mm=add(centre, scale(axis, along)))
        paths.append(solve_path(moved))
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
    greatest_mm: float,
    least_mm: float,
    others_mm: Sequence[float],
    apart_mm: float,
    crossed: bool = False,
    steps: int = 24,
) -> tuple[float, float]:
    """Return least and greatest length, mm, of a band round an oval wheel over a turn.

    A line whose normal leans by t from the line of centres touches an ellipse at the distance h(t)
    from its middle, its support function, and the whorl at apart cos t + r (- r where the band
    crosses); where the two are equal the line is a run. Along it the points of contact lie at h'
    and at -apart sin t; an arc of the oval is the integral of h + h'' (Cauchy's formula).

    Args:
        greatest_mm: greatest pitch radius of the oval wheel, an ellipse.
        least_mm: least.
        others_mm: pitch radii of the round ones on one axis, each met once in a turn of the band:
            two where the band goes twice round.
        apart_mm: between their centres.
        crossed: the band crosses.
        steps: positions tried in half a turn, after which it repeats.

    Raises:
        ValueError: a radius or the distance is not positive, or there is no such band.
    """
    if min(greatest_mm, least_mm, *others_mm, apart_mm) <= 0.0:
        raise ValueError("an oval wheel has positive sizes")
    side = -1.0 if crossed else 1.0
    if any(apart_mm + side * other <= greatest_mm for other in others_mm):
        raise ValueError("the small wheel lies within the oval one, or they touch")
    lengths = []
    for step in range(steps):
        oval = _Oval(greatest_mm, least_mm, math.pi * step / steps)
        lengths.append(sum(_loop_mm(oval, side * other, apart_mm) for other in others_mm))
    return _ends(lengths)


class _Oval(NamedTuple):
    """An ellipse of two half diameters, mm, turned by an angle against the line of centres."""

    greatest: float
    least: float
    turned: float

    def reach(self, t: float) -> float:
        """Return its support function."""
        x, y = self.greatest * math.cos(t - self.turned), self.least * math.sin(t - self.turned)
        return math.hypot(x, y)

    def slope(self, t: float) -> float:
        """Return the slope of its support function."""
        double = math.sin(2.0 * (t - self.turned))
        return 0.5 * (self.least**2 - self.greatest**2) * double / self.reach(t)

    def arc(self, low: float, high: float) -> float:
        """Return the length of its edge between two normals, by Simpson's rule on h."""
        step = (high - low) / _PIECES
        weights = (1 if i in (0, _PIECES) else 4 if i % 2 else 2 for i in range(_PIECES + 1))
        within = sum(w * self.reach(low + i * step) for i, w in enumerate(weights))
        return self.slope(high) - self.slope(low) + within * step / 3.0


_PIECES = 120
"""Pieces of an arc: its error is below 1e-9 of it for an oval a tenth longer than wide."""


def _loop_mm(oval: _Oval, other: float, apart: float) -> float:
    """Return the length of a band round an oval and a circle of a radius; crossed: less than 0."""

    def beyond(t: float) -> float:
        return oval.reach(t) - apart * math.cos(t) - other

    first, second = _root(beyond, 0.0, math.pi), _root(beyond, 0.0, -math.pi)
    runs = sum(abs(oval.slope(t) + apart * math.sin(t)) for t in (first, second))
    between = first - second
    round_other = other * between if other > 0.0 else -other * (2.0 * math.pi - between)
    return oval.arc(first, second + 2.0 * math.pi) + runs + round_other


def _root(function: Callable[[float], float], below: float, above: float) -> float:
    """Return where a function that is negative at one end and positive at the other is 0."""
    for _ in range(60):
        middle = 0.5 * (below + above)
        if function(middle) < 0.0:
            below = middle
        else:
            above = middle
    return 0.5 * (below + above)
