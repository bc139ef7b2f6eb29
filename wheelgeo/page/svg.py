"""Ink and curves of a view as the data of SVG paths: millimetres, x to the right and y down."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache

from wheelgeo.drawing.scene import Curve
from wheelgeo.drawing.strokes import Fill, Ink, InkArc, Pen, Point, Stroke
from wheelgeo.drawing.view import View


def path_of(ink: Ink) -> str:
    """Return ink as the data of an SVG path, y down."""
    if isinstance(ink, InkArc):
        return _arc(ink)
    if isinstance(ink, Stroke):
        return _chain(ink.points)
    assert isinstance(ink, Fill)
    return _chain(ink.points) + "Z"


def curve_path(curves: Sequence[Curve], view: View) -> str:
    """Return curves that follow on one another as the data of one SVG path, y down.

    An arc in space falls as an arc of an ellipse p(t) = c + u cos t + v sin t, whose half axes are
    found where the two are at right angles: tan 2t = 2 u.v / (u.u - v.v).
    """
    pieces = []
    for number, curve in enumerate(curves):
        start, end = (view.place(curve.at(t)) for t in (curve.start, curve.end))
        if number == 0:
            pieces.append(f"M{_n(start[0])} {_n(-start[1])}")
        if curve.is_arc:
            pieces += _elliptical(curve, view)
        else:
            pieces.append(f"L{_n(end[0])} {_n(-end[1])}")
    return "".join(pieces)


def _elliptical(curve: Curve, view: View) -> Iterator[str]:
    """Yield an arc as halves, of which none is ever the larger part of its ellipse."""
    u, v = view.place(curve.u), view.place(curve.v)
    turn = 0.5 * math.atan2(
        2.0 * (u[0] * v[0] + u[1] * v[1]), u[0] ** 2 + u[1] ** 2 - v[0] ** 2 - v[1] ** 2
    )
    c, s = math.cos(turn), math.sin(turn)
    long = (u[0] * c + v[0] * s, u[1] * c + v[1] * s)
    short = (v[0] * c - u[0] * s, v[1] * c - u[1] * s)
    span = curve.end - curve.start
    sweep = 0 if (u[0] * v[1] - u[1] * v[0]) * span > 0.0 else 1
    size = f"{_n(math.hypot(*long))} {_n(math.hypot(*short))}"
    lean = _n(-math.degrees(math.atan2(long[1], long[0])))
    for part in (0.5, 1.0):
        x, y = view.place(curve.at(curve.start + part * span))
        yield f"A{size} {lean} 0 {sweep} {_n(x)} {_n(-y)}"


def _arc(arc: InkArc) -> str:
    r = _n(arc.radius)
    if arc.is_circle:
        (x, y), d = arc.centre, _n(2.0 * arc.radius)
        left = f"M{_n(x - arc.radius)} {_n(-y)}"
        return f"{left}a{r} {r} 0 1 0 {d} 0a{r} {r} 0 1 0 -{d} 0Z"
    (x1, y1), (x2, y2) = arc.at(arc.start_deg), arc.at(arc.end_deg)
    large = 1 if arc.end_deg - arc.start_deg > 180.0 else 0
    return f"M{_n(x1)} {_n(-y1)}A{r} {r} 0 {large} 0 {_n(x2)} {_n(-y2)}"


def _chain(points: Sequence[Point]) -> str:
    return "M" + "L".join(f"{_n(x)} {_n(-y)}" for x, y in points)


def millimetres(x: float) -> float:
    """Return a length or place, mm, to thousandths; none is minus nought."""
    return round(x, 3) + 0.0


@lru_cache(maxsize=1 << 14)  # a change leaves most lines where they are
def _n(x: float) -> str:
    return f"{millimetres(x):g}" if abs(x) < 1e5 else f"{x:.3f}"


def pen_named(pen: Pen) -> str:
    """Return a kind of line by the name that the page keeps its weight and dashes under."""
    return pen.name.lower().replace("_", "-")


def pen_of(ink: Ink) -> str:
    """Return the same of ink; what is filled has none and is solid."""
    return pen_named(ink.pen) if isinstance(ink, Stroke | InkArc) else "solid"
