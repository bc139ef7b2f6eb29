"""Which stretches of curves are in sight: asked at places along each, then halved to where it ends.

A point is *hidden* where the ray from it to the eye passes through a body, see ``hidden``. Curves
are cut where they pass from sight, by bisection to a millionth of their length.
"""

from __future__ import annotations

import math
from _thread import allocate_lock  # of which threading is made, which takes longer to load
from collections.abc import Sequence
from functools import lru_cache
from itertools import count, islice

from wheelgeo.drawing.hidden import Array, Hiders
from wheelgeo.drawing.scene import Curve
from wheelgeo.geometry.vectors import Vector

_APART_MM = 2.5
"""So far apart a curve is asked whether it is in sight; a long one at places farther apart."""
_FEWEST, _MOST, _MOST_OF_ARC = 13, 49, 97
"""At how many places it is asked at least, and at most along a straight line and along an arc."""
_LOOKS, _QUARTERINGS = 10, 1
"""How often it is asked where a stretch changes, and how often each look quarters the stretch."""
_ROUND = 16
"""In so many parts an arc bulges out of the box round its points by less than boxes are wider."""
_PICTURES = 6
"""Pictures of which it is kept what was found: plan, sides, and whence an eye looked of late."""
_MOST_LINES, _MOST_BODIES = 1000, 2000
"""So many lines and bodies are kept of a picture; a wheel has some hundreds of each."""

Stretch = tuple[float, float, bool]
"""From where to where along a curve, and whether it is in sight there."""


def stretches(
    curves: Sequence[Curve], hiders: Hiders, first: Sequence[float] | None = None
) -> list[list[Stretch]]:
    """Return of each curve its stretches that are wholly in sight or wholly hidden, in order.

    Args:
        curves: the curves, one or more.
        hiders: what hides them.
        first: how many of these, in their order, can hide each curve; None: all of them.
    """
    import numpy as np

    limits = np.full(len(curves), math.inf) if first is None else np.array(first)
    vectors = np.array([(*c.base, *c.straight, *c.u, *c.v, c.start, c.end) for c in curves])
    fallen = hiders.fallen(vectors[:, :12].reshape(-1, 4, 3).transpose(1, 2, 0))
    owner, t = _places(curves)
    places = _points(fallen[..., owner], t)
    known = _known(hiders.to_eye)
    near = hiders.near_each(places, limits[owner], owner, known.number)
    keys = [b"%b;%b" % (curve.tobytes(), name) for curve, name in zip(vectors, near, strict=True)]
    found = [known.lines.get(key) for key in keys]
    new = [i for i, one in enumerate(found) if one is None]
    if new:
        some = np.isin(owner, new)
        its = (np.searchsorted(new, owner[some]), t[:, some], places[..., some])
        looked = _looked_at([curves[i] for i in new], fallen[..., new], its, hiders, limits[new])
        for i, one in zip(new, looked, strict=True):
            found[i] = one
        known.keep({keys[i]: one for i, one in zip(new, looked, strict=True)})
    return [one for one in found if one is not None]


class _Known:
    """What was found in one picture, of each curve by itself and by what may hide it.

    A wheel that is changed in one place has most of its lines as they were, and near most of them
    nothing else stands than before. Bodies are told apart by numbers that are given out once.

    Args:
        to_eye: unit vector of the picture.
    """

    def __init__(self, to_eye: Vector) -> None:
        self.to_eye = to_eye
        self.lines: dict[bytes, list[Stretch]] = {}
        self._numbers: dict[bytes, int] = {}
        self._next, self._lock = count(), allocate_lock()

    def number(self, body: bytes) -> int:
        """Return the number of a body: the same for the same body, and never that of another."""
        found = self._numbers.get(body)
        if found is None:
            found = self._numbers.setdefault(body, next(self._next))
        return found

    def keep(self, found: dict[bytes, list[Stretch]]) -> None:
        """Keep what was found; the oldest goes where it is more than two scenes of a wheel have."""
        with self._lock:
            self.lines |= found
            for kept, most in ((self.lines, _MOST_LINES), (self._numbers, _MOST_BODIES)):
                for key in [*islice(kept, max(0, len(kept) - most))]:
                    del kept[key]


_known = lru_cache(maxsize=_PICTURES)(_Known)


def _looked_at(
    curves: Sequence[Curve], vectors: Array, asked: tuple[Array, Array, Array], hiders: Hiders,
    limits: Array,
) -> list[list[Stretch]]:  # fmt: skip
    """Return the stretches of curves by looking at them.

    Args:
        curves: the curves.
        vectors: those of the curves, in the frame of the picture, (4, 3, n).
        asked: whose each group of places is, the places along it, and where they are.
        hiders: what hides them.
        limits: how many of these, in their order, can hide each curve, (n,).
    """
    import numpy as np

    owner, t, places = asked
    seen = ~hiders.hide(places, hiders.near(places, limits[owner]))
    group, before = np.nonzero((seen[1:] != seen[:-1]).T)
    whose, was = owner[group], seen[before, group]
    ends = t[before, group], t[before + 1, group]
    cuts = _change_between(*ends, was, vectors[..., whose], hiders, limits[whose])
    seen_first = seen[0, np.searchsorted(owner, np.arange(len(curves)))]
    return _between(curves, seen_first, whose, was, cuts)


def _places(curves: Sequence[Curve]) -> tuple[Array, Array]:
    """Return where it is asked first: whose each group of places is, (s,), and they, (k, s).

    They stand evenly from end to end of a curve, k of them in a group, the last of a group the
    first of the next; the last group of a curve is filled up with its end.
    """
    import numpy as np

    gaps = np.array([_samples(curve) for curve in curves]) - 1
    start, end = np.array([(curve.start, curve.end) for curve in curves]).T
    groups = -(-gaps // (_FEWEST - 1))
    owner = np.repeat(np.arange(len(curves)), groups)
    before = np.arange(len(owner)) - np.repeat(groups.cumsum() - groups, groups)
    number = before * (_FEWEST - 1) + np.arange(_FEWEST)[:, None]
    first, step, last = (x[owner] for x in (start, (end - start) / gaps, end))
    return owner, np.where(number < gaps[owner], number * step + first, last)


def _samples(curve: Curve) -> int:
    """Return at how many places it is asked whether a curve is in sight."""
    most = _MOST_OF_ARC if curve.is_arc else _MOST
    return min(max(math.ceil(curve.length_mm / _APART_MM) + 1, _FEWEST), most)


def _change_between(
    low: Array, high: Array, at_low: Array, vectors: Array, hiders: Hiders, first: Array
) -> Array:
    """Return where curves pass from sight or into it, (n,), each by halving its own stretch.

    The halvings of a look are answered by all places they can come to: a look costs more than the
    places.

    Args:
        low: parameters before the change, (n,).
        high: parameters after it, (n,).
        at_low: whether the curves are in sight before it, (n,).
        vectors: those of the curves, in the frame of the picture, (4, 3, n).
        hiders: what hides them.
        first: how many of these, in their order, can hide each curve, (n,).
    """
    import numpy as np

    parts = 4**_QUARTERINGS
    rows, share, finely = np.arange(len(low)), _even(parts), _even(_ROUND)
    near = hiders.near(_points(vectors, low + (high - low) * finely), first)
    for _ in range(_LOOKS):
        places = _points(vectors, low + (high - low) * share[1:-1])
        same = hiders.hide(places, near) != at_low
        before = np.zeros(len(low), dtype=int)
        for half in (parts >> k + 1 for k in range(2 * _QUARTERINGS)):
            before += np.where(same[before + half - 1, rows], half, 0)
        for unit in (4**k for k in reversed(range(_QUARTERINGS))):
            quarter, step = before // unit % 4, high - low
            low, high = low + step * quarter / 4, low + step * (quarter + 1) / 4
    return 0.5 * (low + high)


def _even(parts: int) -> Array:
    """Return where even parts of a stretch begin and end, as shares of it, (n + 1, 1)."""
    import numpy as np

    return np.arange(parts + 1)[:, None] / parts


def _between(
    curves: Sequence[Curve], seen_first: Array, owner: Array, before: Array, cuts: Array
) -> list[list[Stretch]]:
    """Return curves in stretches, from their state at the start and the places where it changes."""
    out = [[(c.start, c.end, s)] for c, s in zip(curves, seen_first.tolist(), strict=True)]
    for i, cut, was in zip(owner.tolist(), cuts.tolist(), before.tolist(), strict=True):
        start, end, _ = out[i].pop()
        out[i] += [(start, cut, was), (cut, end, not was)]
    return out


def _points(vectors: Array, t: Array) -> Array:
    """Return points of curves (3, k, s) from their vectors (4, 3, s) and parameters (k, s)."""
    import numpy as np

    base, straight, u, v = vectors[:, :, None]
    points = straight * t
    points += base
    arcs = np.flatnonzero(vectors[2:].any(axis=(0, 1)))
    turns, t = points[:, :, arcs], t[:, arcs]
    turns += u[..., arcs] * np.cos(t)
    turns += v[..., arcs] * np.sin(t)
    points[:, :, arcs] = turns
    return points
