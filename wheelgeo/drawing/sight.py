"""Which stretches of curves are in sight: asked at places along each, then halved to where it ends.

A point is *hidden* where the ray from it to the eye passes through a body, see ``hidden``. Curves
are cut where they pass from sight, by bisection to a millionth of their length.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from wheelgeo.drawing.hidden import Array, Hiders
from wheelgeo.drawing.scene import Curve
from wheelgeo.geometry.vectors import norm

_APART_MM = 2.5
"""So far apart a curve is asked whether it is in sight; a long one at places farther apart."""
_FEWEST, _MOST, _MOST_OF_ARC = 13, 49, 97
"""At how many places it is asked at least, and at most along a straight line and along an arc."""
_ROUNDS = 10
_HALVINGS = 2
"""Of every stretch in each round: twenty in all."""

Stretch = tuple[float, float, bool]
"""From where to where along a curve, and whether it is in sight there."""


def stretches(curves: Sequence[Curve], hiders: Hiders) -> list[list[Stretch]]:
    """Return of each curve its stretches that are wholly in sight or wholly hidden, in order.

    Args:
        curves: the curves, one or more.
        hiders: what hides them.
    """
    import numpy as np

    counts = [_samples(curve) for curve in curves]
    firsts = np.concatenate([[0], np.cumsum(counts)[:-1]]).astype(int)
    owner = np.repeat(np.arange(len(curves)), counts)
    t = np.concatenate(
        [np.linspace(c.start, c.end, count) for c, count in zip(curves, counts, strict=True)]
    )
    family = _family(curves)
    seen = ~hiders.hide(_points(family, owner, t))
    jumps = np.flatnonzero((owner[1:] == owner[:-1]) & (seen[1:] != seen[:-1]))

    def in_sight(at: Array) -> Array:
        return ~hiders.hide(_points(family, np.repeat(owner[jumps], at.shape[1]), at.ravel()))

    cuts = _change_between(t[jumps], t[jumps + 1], seen[jumps], in_sight)
    return _between(curves, seen[firsts], owner[jumps], seen[jumps], cuts)


def _samples(curve: Curve) -> int:
    """Return at how many places it is asked whether a curve is in sight."""
    size, most = (norm(curve.u), _MOST_OF_ARC) if curve.is_arc else (norm(curve.straight), _MOST)
    length = abs(curve.end - curve.start) * size
    return min(max(math.ceil(length / _APART_MM) + 1, _FEWEST), most)


def _change_between(
    low: Array, high: Array, at_low: Array, in_sight: Callable[[Array], Array]
) -> Array:
    """Return where curves pass from sight or into it, (n,), each by halving its own stretch.

    The halvings of a round are answered by one look at all places they can come to: a call costs
    more than the places.

    Args:
        low: parameters before the change, (n,).
        high: parameters after it, (n,).
        at_low: whether the curves are in sight before it, (n,).
        in_sight: tells for parameters (n, k) whether the curves are in sight there, (n k,).
    """
    import numpy as np

    parts = 2**_HALVINGS
    rows, inside = np.arange(len(low)), np.arange(1, parts) / parts
    for _ in range(_ROUNDS):
        step = high - low
        same = in_sight(low[:, None] + step[:, None] * inside).reshape(-1, parts - 1)
        same = same == at_low[:, None]
        before, after = np.zeros(len(low), dtype=int), np.full(len(low), parts)
        for _ in range(_HALVINGS):
            middle = (before + after) // 2
            here = same[rows, middle - 1]
            before, after = np.where(here, middle, before), np.where(here, after, middle)
        low, high = low + step * before / parts, low + step * after / parts
    return 0.5 * (low + high)


def _between(
    curves: Sequence[Curve], seen_first: Array, owner: Array, before: Array, cuts: Array
) -> list[list[Stretch]]:
    """Return curves in stretches, from their state at the start and the places where it changes."""
    places: list[list[tuple[float, bool]]] = [[] for _ in curves]
    for i, cut, state in zip(owner.tolist(), cuts.tolist(), before.tolist(), strict=True):
        places[i].append((cut, state))
    out = []
    for curve, first, changes in zip(curves, seen_first.tolist(), places, strict=True):
        start, state, made = curve.start, first, list[Stretch]()
        for cut, was in changes:
            made.append((start, cut, was))
            start, state = cut, not was
        out.append([*made, (start, curve.end, state)])
    return out


def _family(curves: Sequence[Curve]) -> tuple[Array, Array, Array, Array]:
    import numpy as np

    rows = (np.array([getattr(c, name) for c in curves]) for name in ("base", "straight", "u", "v"))
    base, straight, u, v = rows
    return base, straight, u, v


def _points(family: tuple[Array, Array, Array, Array], owner: Array, t: Array) -> Array:
    import numpy as np

    base, straight, u, v = (row[owner] for row in family)
    t = t[:, None]
    return base + straight * t + u * np.cos(t) + v * np.sin(t)
