"""Roots of a function of one number that may have no value here and there (NaN)."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from wheelgeo.geometry.golden import least

Function = Callable[[float], float]

_STEPS = 200
_SAME = 1e-12
_SURE = 1e-3
"""A place that was only looked at is a root where it is this much closer than it need be."""


def roots_between(
    function: Function, places: Sequence[float], values: Sequence[float], tolerance: float
) -> list[float]:
    """Return the roots of a function that show at or between some places.

    A root shows where the sign changes between two neighbours, and where the function comes
    close to zero and turns back: there its least size is looked for. Where the function has a
    value at one of two neighbours only, the edge of its range is looked for first.

    Args:
        function: a number for a place, or NaN where it has none.
        places: places at which it has been looked at, rising.
        values: what it is there.
        tolerance: a place is a root where the function is no further from zero.

    Returns:
        The roots, rising. A jump across zero is none.
    """
    xs, ys = with_edges(function, places, values)
    found = [x for x, y in zip(xs, ys, strict=True) if abs(y) <= _SURE * tolerance]
    for a, b, fa, fb in zip(xs, xs[1:], ys, ys[1:], strict=False):
        if fa * fb < 0.0:
            found.append(bracketed_root(function, a, b, fa, fb))
    for ends in _dips(xs, ys):
        found += _turning(function, ends)
    kept = sorted(x for x in found if abs(function(x)) <= tolerance)
    return [x for i, x in enumerate(kept) if i == 0 or x - kept[i - 1] > _SAME * max(1.0, abs(x))]


def with_edges(
    function: Function, places: Sequence[float], values: Sequence[float]
) -> tuple[list[float], list[float]]:
    """Return places and values with the edges between having a value and having none put in."""
    xs, ys = list(places), list(values)
    for a, b, fa, fb in zip(places, places[1:], values, values[1:], strict=False):
        if math.isnan(fa) != math.isnan(fb):
            edge = _edge(function, b, a) if math.isnan(fa) else _edge(function, a, b)
            xs.append(edge)
            ys.append(function(edge))
    order = sorted(range(len(xs)), key=xs.__getitem__)
    return [xs[i] for i in order], [ys[i] for i in order]


def _edge(function: Function, inside: float, outside: float) -> float:
    """Return the last place with a value on the way from one that has one to one that has none."""
    while abs(outside - inside) > 1e-12 * max(abs(inside), abs(outside)):
        middle = 0.5 * (inside + outside)
        if math.isnan(function(middle)):
            outside = middle
        else:
            inside = middle
    return inside


_Ends = tuple[tuple[float, float], tuple[float, float]]
"""Two places, each with the value there."""


def _dips(xs: Sequence[float], ys: Sequence[float]) -> Iterator[_Ends]:
    """Yield both ends of each stretch on which the size dips without a change of sign.

    A place at the edge of the range counts as a dip where the size rises beside it.
    """
    known = [(x, y) for x, y in zip(xs, ys, strict=True) if not math.isnan(y)]
    gaps = {x for x, y in zip(xs, ys, strict=True) if math.isnan(y)}
    for i, (x, y) in enumerate(known):
        before, after = known[max(i - 1, 0)], known[min(i + 1, len(known) - 1)]
        before = (x, y) if any(before[0] < gap < x for gap in gaps) else before
        after = (x, y) if any(x < gap < after[0] for gap in gaps) else after
        sizes = (abs(before[1]), abs(after[1]))
        alike = before[1] * y > 0.0 and y * after[1] > 0.0
        if alike and abs(y) <= min(sizes) and abs(y) < max(sizes):
            yield before, after


def _turning(function: Function, ends: _Ends) -> list[float]:
    """Return the place where the function turns back in a dip, or the roots on both sides of it."""
    (low, at_low), (high, at_high) = ends
    side = math.copysign(1.0, at_low)
    turn = least(lambda x: side * function(x), low, high)
    value = function(turn)
    if side * value >= 0.0:
        return [turn]
    sides = ((low, turn, at_low, value), (turn, high, value, at_high))
    return [bracketed_root(function, *each) for each in sides]


def bracketed_root(function: Function, a: float, b: float, fa: float, fb: float) -> float:
    """Return a root between two places where the function has different signs.

    Bisection and inverse quadratic interpolation. Source: T. R. Chandrupatla, Advances in
    Engineering Software 28 (1997) 145. Where the function has no value on the way, the side on
    which it has one is kept.
    """
    c, fc, t = a, fa, 0.5
    for _ in range(_STEPS):
        x = a + t * (b - a)
        fx = function(x)
        if math.isnan(fx):
            return a if abs(fa) <= abs(fb) else b
        if (fx > 0.0) == (fa > 0.0):
            c, fc = a, fa
        else:
            c, b, fc, fb = b, a, fb, fa
        a, fa = x, fx
        if fa == 0.0 or abs(b - a) <= 2e-16 * max(abs(a), abs(b)):
            break
        t = _fraction(a, b, c, fa, fb, fc)
    return a if abs(fa) <= abs(fb) else b


def _fraction(a: float, b: float, c: float, fa: float, fb: float, fc: float) -> float:
    """Return how far to go from a towards b: by interpolation where it is sure, else half way."""
    xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
    if not phi * phi < xi or not (1.0 - phi) ** 2 < 1.0 - xi:
        return 0.5
    t = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
    least = 2e-16 * max(abs(a), abs(b)) / abs(b - a)
    return min(1.0 - least, max(least, t))
