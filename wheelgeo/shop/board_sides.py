"""What the faces and edges of a board are called in the wheel, and how a bush stands to them."""

from __future__ import annotations

from wheelgeo.built.body import BoardShape, TurnedShape
from wheelgeo.geometry.vectors import Vector, dot, scale, sub
from wheelgeo.units.in_full import figures

FLUSH_MM = 0.05
"""Within this one thing is flush with another."""
_SIDE_NAMES = (("left", "right"), ("front", "back"), ("bottom", "top"))


def sides_of(shape: BoardShape) -> tuple[str, ...]:
    """Return what its right, upper, left and lower edge are in the wheel, and its upper face."""
    x, y, z = shape.x_axis, shape.y_axis, shape.z_axis
    return tuple(_side(v) for v in (x, y, scale(x, -1.0), scale(y, -1.0), z))


def in_hole(board: BoardShape, bush: TurnedShape) -> str:
    """Return how a bush stands in its hole, in words; empty where it is flush at both faces.

    Args:
        board: the board.
        bush: its bush, square to it.
    """
    apart, turn = sub(bush.origin, board.origin), dot(bush.axis, board.z_axis)
    if abs(turn) < 1.0 - 1e-6:
        return ""
    ends = sorted(dot(apart, board.z_axis) + turn * z for z, _ in bush.outline)
    faces = ((board.low - ends[0], -1.0), (ends[-1] - board.high, 1.0))
    if all(abs(out) < FLUSH_MM for out, _ in faces):
        return ""
    told = []
    for out, way in faces:
        face = _side(scale(board.z_axis, way))
        how = "flush with" if abs(out) < FLUSH_MM else (
            f"{figures(abs(out), 3)} mm {'proud of' if out > 0.0 else 'inside'}"
        )
        told.append(f"{how} its {face} face")
    return f", {' and '.join(told)}"


def _side(way: Vector) -> str:
    axis = max(range(3), key=lambda i: abs(way[i]))
    return _SIDE_NAMES[axis][way[axis] > 0.0]
