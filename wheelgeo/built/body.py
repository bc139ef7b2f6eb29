"""One body of the wheel as built: what it is called, its shape, its convex pieces, what it fits in.

Glossary: a *turned* body is swept once round an axis; a *board* is an outline with round holes and
a thickness, which holds for every flat part (wall, post, block with its bush hole, lid); *pieces*
are convex bodies that together make it up, for clearances (a round hole is left out of them: what
stands in it is named in ``fits_in``).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import field, replace
from functools import cached_property, lru_cache
from itertools import pairwise

from wheelgeo.built.kept import KeptOf
from wheelgeo.geometry.boxes import Box, Solid, moved
from wheelgeo.geometry.convex import Cylinder
from wheelgeo.geometry.near import Ball, ball_of, box_of, box_round
from wheelgeo.geometry.near import Box as Bounds
from wheelgeo.geometry.vectors import Vector, across, add, along, cross, dot, scale, sub
from wheelgeo.immutable import dataclass

Point = tuple[float, float]


@dataclass(frozen=True)
class TurnedShape:
    """A closed outline swept once round an axis.

    Attributes:
        origin: the point of the axis where z is 0, mm.
        axis: unit vector.
        outline: its corners (z, radius), in order, mm; a radius of 0 lies on the axis.
    """

    origin: Vector
    axis: Vector
    outline: tuple[Point, ...]


@dataclass(frozen=True)
class BoardShape:
    """A flat part: an outline with round holes, and its thickness.

    Attributes:
        origin: the point where x, y and z of the board are 0, mm.
        x_axis: unit vector of the outline's x.
        y_axis: unit vector of its y; z is square to both, right-handed.
        outline: its corners, counter-clockwise, mm.
        holes: centre and radius of every hole through it, mm.
        low: its lower face along z, mm.
        high: its upper face, mm.
    """

    origin: Vector
    x_axis: Vector
    y_axis: Vector
    outline: tuple[Point, ...]
    holes: tuple[tuple[Point, float], ...]
    low: float
    high: float

    @property
    def thickness_mm(self) -> float:
        """Its thickness, mm."""
        return self.high - self.low

    @cached_property
    def z_axis(self) -> Vector:
        """Unit vector square to the board."""
        return cross(self.x_axis, self.y_axis)

    def point(self, x: float, y: float, z: float) -> Vector:
        """Return a point of the board in the wheel's axes, mm."""
        flat = add(along(self.origin, self.x_axis, x), scale(self.y_axis, y))
        return along(flat, self.z_axis, z)

    def flat_place(self, point: Vector) -> Point:
        """Return where a point of the wheel falls on the board, in its own x and y, mm."""
        apart = sub(point, self.origin)
        return dot(apart, self.x_axis), dot(apart, self.y_axis)

    @property
    def flat_box(self) -> tuple[float, float, float, float]:
        """The box round its outline: least x and y, greatest x and y, mm."""
        xs, ys = zip(*self.outline, strict=True)
        return min(xs), min(ys), max(xs), max(ys)


Shape = TurnedShape | BoardShape


@dataclass(frozen=True)
class BuiltBody:
    """One body of the wheel as built.

    Attributes:
        name: its name, by kind and part ("pulley hub", "bearing main 1", "wall front").
        kind: the first word or words of it.
        shape: its exact shape.
        pieces: convex pieces for clearances.
        material: what it is made of.
        part: the shaft or pulley of the file that it belongs to; empty for the case and the stand.
        turns: whether it turns with its shaft.
        fits_in: names of bodies that it touches or stands in.
        key: what of the file sets its place ("drive.offset"); empty: its part's place.
        whole: of the halves of a split board the board that they are sawn from; else None.
        grooves: of a piece with grooves the pulleys that it is; else none.
    """

    name: str
    kind: str
    shape: Shape
    pieces: tuple[Solid, ...]
    material: str
    part: str = ""
    turns: bool = False
    fits_in: frozenset[str] = field(default=frozenset())
    key: str = ""
    whole: BoardShape | None = None
    grooves: tuple[str, ...] = ()

    @cached_property
    def boxes(self) -> tuple[Bounds, ...]:
        """The box round each of its pieces: lowest and highest corner, mm."""
        return tuple([box_of(piece) for piece in self.pieces])

    @cached_property
    def balls(self) -> tuple[Ball, ...]:
        """The ball round each of its pieces."""
        return tuple([ball_of(piece) for piece in self.pieces])

    @cached_property
    def box(self) -> Bounds:
        """The box round all of them."""
        return box_round(self.boxes)

    def may_touch(self, other: BuiltBody) -> bool:
        """Tell whether the two fit into one another or onto one another."""
        return other.name in self.fits_in or self.name in other.fits_in

    def moved(self, by: Vector) -> BuiltBody:
        """Return it moved by a vector, mm."""
        shape = replace(self.shape, origin=add(self.shape.origin, by))
        return replace(self, shape=shape, pieces=tuple(moved(p, by) for p in self.pieces))


def turned(  # noqa: PLR0913 - a body is told in one place, by name
    name: str, kind: str, origin: Vector, axis: Vector, outer: tuple[Point, ...], material: str,
    *, bore: float = 0.0, part: str = "", turns: bool = False, fits_in: Iterable[str] = (),
    key: str = "", pieces: tuple[Solid, ...] | None = None, grooves: tuple[str, ...] = (),
) -> BuiltBody:  # fmt: skip
    """Return a turned body.

    Args:
        name: its name.
        kind: its kind.
        origin: the point of the axis where z is 0, mm.
        axis: unit vector.
        outer: its outside, corners (z, radius) from the lower end to the upper, mm.
        material: what it is made of.
        bore: radius of a hole from end to end, mm.
        part: the part of the file that it belongs to.
        turns: whether it turns with its shaft.
        fits_in: names of bodies that it touches.
        key: what of the file sets its place.
        pieces: its pieces for clearances; a cylinder round each part of its outside where none
            are given.
        grooves: the pulleys that it is.
    """
    fits = tuple(fits_in)
    return _turned(
        name, kind, origin, axis, outer, material, bore, part, turns, fits, key, pieces, grooves
    )


# Of parts that are made anew because of a change elsewhere most come out as they were: then it is
# the same body, by which is known where it is near to which other.
@lru_cache(maxsize=2048)
def _turned(  # noqa: PLR0913, PLR0917 - likewise
    name: str, kind: str, origin: Vector, axis: Vector, outer: tuple[Point, ...], material: str,
    bore: float, part: str, turns: bool, fits_in: tuple[str, ...], key: str,
    pieces: tuple[Solid, ...] | None, grooves: tuple[str, ...],
) -> BuiltBody:  # fmt: skip
    (low, _), (high, _) = outer[0], outer[-1]
    outline = (*outer, (high, bore), (low, bore))
    if pieces is None:
        pieces = tuple(
            [
                disc(origin, axis, z, w, max(r, s))
                for (z, r), (w, s) in pairwise(outer) if w - z > 1e-9
            ]
        )  # fmt: skip
    shape = TurnedShape(origin, axis, outline)
    fits = frozenset(fits_in)
    return BuiltBody(
        name, kind, shape, pieces, material, part, turns, fits, key, grooves=grooves
    )


def disc(origin: Vector, axis: Vector, low: float, high: float, radius: float) -> Cylinder:
    """Return the cylinder round an axis between two places along it, mm."""
    centre = along(origin, axis, 0.5 * (low + high))
    return Cylinder(centre, axis, radius, 0.5 * (high - low))


def rod_outside(low: float, high: float, radius: float) -> tuple[Point, ...]:
    """Return the outside of a plain rod or disc, mm."""
    return ((low, radius), (high, radius))


def board(  # noqa: PLR0913, PLR0917 - likewise
    name: str, kind: str, origin: Vector, x_axis: Vector, y_axis: Vector,
    outline: tuple[Point, ...], low: float, high: float, material: str, *,
    holes: tuple[tuple[Point, float], ...] = (), parts: tuple[tuple[Point, Point], ...] = (),
    part: str = "", turns: bool = False, fits_in: Iterable[str] = (), key: str = "",
) -> BuiltBody:  # fmt: skip
    """Return a board.

    Args:
        name: its name.
        kind: its kind.
        origin: the point where the board's x, y and z are 0, mm.
        x_axis: unit vector of the outline's x.
        y_axis: unit vector of its y.
        outline: its corners, counter-clockwise, mm.
        low: its lower face, mm.
        high: its upper face, mm.
        material: what it is made of.
        holes: centre and radius of every hole, mm.
        parts: the rectangles that make up its outline, lowest and highest corner; the box round
            the outline where none is given.
        part: the part of the file that it belongs to.
        turns: whether it turns with its shaft.
        fits_in: names of bodies that it touches.
        key: what of the file sets its place.
    """
    fits = tuple(fits_in)
    return _board(
        name, kind, origin, x_axis, y_axis, outline, low, high, material, holes, parts, part,
        turns, fits, key,
    )  # fmt: skip


@lru_cache(maxsize=2048)
def _board(  # noqa: PLR0913, PLR0917 - likewise
    name: str, kind: str, origin: Vector, x_axis: Vector, y_axis: Vector,
    outline: tuple[Point, ...], low: float, high: float, material: str,
    holes: tuple[tuple[Point, float], ...], parts: tuple[tuple[Point, Point], ...],
    part: str, turns: bool, fits_in: tuple[str, ...], key: str,
) -> BuiltBody:  # fmt: skip
    shape = BoardShape(origin, x_axis, y_axis, outline, holes, low, high)
    if not parts:
        xs, ys = zip(*outline, strict=True)
        parts = (((min(xs), min(ys)), (max(xs), max(ys))),)
    axes, middle, half = (x_axis, y_axis, shape.z_axis), 0.5 * (low + high), 0.5 * (high - low)
    pieces = tuple(
        [
            Box(
                shape.point(0.5 * (x0 + x1), 0.5 * (y0 + y1), middle),
                axes,
                (0.5 * (x1 - x0), 0.5 * (y1 - y0), half),
            )
            for (x0, y0), (x1, y1) in parts
        ]
    )
    return BuiltBody(
        name, kind, shape, pieces, material, part, turns, frozenset(fits_in), key
    )


HALF_ROUND = 24
"""Chords of the half of a hole in a split board."""
_HALVES: KeptOf[tuple[BuiltBody, BuiltBody]] = KeptOf(256)
_HALF_TURN = tuple((math.cos(math.pi * i / HALF_ROUND), math.sin(math.pi * i / HALF_ROUND))
                   for i in range(HALF_ROUND + 1))  # fmt: skip


def split(holder: BuiltBody, number: int) -> tuple[BuiltBody, BuiltBody]:
    """Return the two halves of a board that is sawn through its hole, level: itself and its cap.

    Args:
        holder: a board of four corners, the lower two first, with one hole.
        number: which holder of its rod it is.
    """
    return _HALVES.get((holder,), lambda: _split(holder, number), number)


def _split(holder: BuiltBody, number: int) -> tuple[BuiltBody, BuiltBody]:
    shape = holder.shape
    assert isinstance(shape, BoardShape)
    ((x, y), radius), = shape.holes
    a, b, c, d = shape.outline
    # chords that touch the hole from outside, so that the bush stays clear of them
    wide = radius / math.cos(math.pi / (2.0 * HALF_ROUND))
    under = tuple([(x + wide * c, y - wide * s) for c, s in _HALF_TURN])
    over = tuple([(x - wide * c, y + wide * s) for c, s in _HALF_TURN])
    foot, cap = max(a[1], b[1]), f"cap {holder.part} {number}"
    halves = (
        (holder.name, holder.kind, (a, b, (b[0], y), *under, (a[0], y)), cap, (
            ((a[0], foot), (x - radius, y)), ((x + radius, foot), (b[0], y)),
            ((x - radius, foot), (x + radius, y - radius)),
        )),
        (cap, "cap", ((a[0], y), *over, (b[0], y), c, d), holder.name, (
            ((a[0], y), (x - radius, c[1])), ((x + radius, y), (b[0], c[1])),
            ((x - radius, y + radius), (x + radius, c[1])),
        )),
    )  # fmt: skip
    low, high = (
        replace(
            board(
                name, kind, shape.origin, shape.x_axis, shape.y_axis, outline, shape.low,
                shape.high, holder.material, parts=parts, part=holder.part,
                fits_in=(*holder.fits_in, other), key=holder.key,
            ),
            whole=shape,
        )
        for name, kind, outline, other, parts in halves
    )  # fmt: skip
    return low, high


def rectangle(x0: float, y0: float, x1: float, y1: float) -> tuple[Point, ...]:
    """Return a rectangle as an outline, mm."""
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def plate(  # noqa: PLR0913 - likewise
    name: str, kind: str, low: Vector, high: Vector, thin: int, material: str, *,
    holes: tuple[tuple[Point, float], ...] = (), part: str = "", fits_in: Iterable[str] = (),
    key: str = "",
) -> BuiltBody:  # fmt: skip
    """Return a board along the axes between two corners; ``thin`` is the axis of its thickness.

    The outline's x and y are the two axes that follow ``thin`` in the order x, y, z, x; holes are
    counted in the wheel's own axes.
    """
    first, second = (thin + 1) % 3, (thin + 2) % 3
    axes: list[Vector] = [(1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)]
    return board(
        name, kind, (0.0, 0.0, 0.0), axes[first], axes[second],
        rectangle(low[first], low[second], high[first], high[second]), low[thin], high[thin],
        material, holes=holes, part=part, fits_in=fits_in, key=key,
    )  # fmt: skip


def frame_along(axis: Vector) -> tuple[Vector, Vector]:
    """Return level and upward unit vectors across a level axis; any two across an upright one."""
    if abs(axis[2]) > 1.0 - 1e-9:
        return across(axis)
    level = (0.0, 0.0, 1.0)
    side = cross(level, axis)
    length = (side[0] ** 2 + side[1] ** 2 + side[2] ** 2) ** 0.5
    side = scale(side, 1.0 / length)
    return side, cross(axis, side)
