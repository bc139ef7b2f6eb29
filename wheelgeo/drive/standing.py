"""Whether a wheel on its stand, or in its case, stays upright: its weight over what it stands on.

Glossary: the *base* is the smallest convex area round all that touches the floor; the wheel can
only tip over an *edge* of it. The weight keeps it upright with its moment about that edge (weight
times the distance of its centre inside the edge); a force tips it with its own. The stand is taken
as rigid and does not slide.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from functools import cached_property
from itertools import pairwise

from wheelgeo.built.as_built import Built
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BoardShape, BuiltBody
from wheelgeo.built.crank_arm import KNOB_LONG_MM, crank_plane_mm, out_of_crank
from wheelgeo.built.held import CRANK_MM
from wheelgeo.built.kept import KeptOf, kept_with
from wheelgeo.built.treadle import FOOTMAN_MM
from wheelgeo.built.weight import Weight, weight_of
from wheelgeo.drive.driven_by import treadle_geometry, treadle_trouble
from wheelgeo.geometry.vectors import Vector, add, along, cross, scale
from wheelgeo.immutable import dataclass
from wheelgeo.units.quantity import GRAVITY_M_S2

Corner = tuple[float, float]
_ON_FLOOR = frozenset({"post", "table", "leg", "trestle foot", "hinge rail"})
_APART = frozenset({"treadle", "footman"})
"""Kinds that the floor or the foot carries, not the stand."""
_SIDES = ("right", "back", "left", "front")
_PUSHES: KeptOf[tuple[TippingPush, ...]] = KeptOf(64)
DIRECTIONS = 24
"""Places of the crank's turn that are tried."""
_ROUND = tuple([(math.cos(t), math.sin(t))
                for t in (2.0 * math.pi * i / DIRECTIONS for i in range(DIRECTIONS))])  # fmt: skip


@dataclass(frozen=True)
class TippingPush:
    """A force from outside: where it acts, mm, and the force, N."""

    at_mm: Vector
    force_n: Vector


@dataclass(frozen=True)
class Standing:
    """A wheel on its stand, or in its case on a table.

    Attributes:
        corners: of its base, counter-clockwise seen from above, mm.
        weight: of all that it carries.
        ground_mm: height of what it stands on, z.
    """

    corners: tuple[Corner, ...]
    weight: Weight
    ground_mm: float = 0.0

    @cached_property
    def _edges(self) -> tuple[tuple[Corner, Corner, float], ...]:
        """A corner, the outward normal of the edge from it, and how far inside the centre is.

        The distance is negative where the centre of the weight is beyond the edge.
        """
        (x, y, _), found = self.weight.centre_mm, []
        for (x0, y0), (x1, y1) in pairwise((*self.corners, self.corners[0])):
            long = math.hypot(x1 - x0, y1 - y0)
            out = ((y1 - y0) / long, (x0 - x1) / long)
            found.append(((x0, y0), out, (x0 - x) * out[0] + (y0 - y) * out[1]))
        return tuple(found)

    @property
    def tilt(self) -> tuple[float, str]:
        """The least slope, degrees, on which it tips over, and to which side."""
        height = self.weight.centre_mm[2] - self.ground_mm
        return min(
            (math.degrees(math.atan2(inside, height)), _side(out))
            for _, out, inside in self._edges
        )

    def sideways_n(self, height_mm: float) -> tuple[float, str]:
        """Return the least level push at a height that tips it over, N, and to which side."""
        newton = self.weight.mass_kg * GRAVITY_M_S2
        return min((newton * inside / height_mm, _side(out)) for _, out, inside in self._edges)

    def _tipping(self, push: TippingPush) -> Iterator[tuple[Corner, float, float]]:
        """Yield of each edge its normal, how far inside the centre is, mm, and what tips it, N mm.

        That is the moment of a push about the edge, below 0 where it holds the wheel down.
        """
        (px, py, pz), (fx, fy, fz) = push.at_mm, push.force_n
        for (x, y), out, inside in self._edges:
            beyond = (px - x) * out[0] + (py - y) * out[1]
            yield out, inside, (fx * out[0] + fy * out[1]) * (pz - self.ground_mm) - fz * beyond

    def factor(self, push: TippingPush) -> tuple[float, str]:
        """Return the moment that keeps it upright over that which tips it, at the worst edge.

        Infinite where the push tips it over no edge.
        """
        newton = self.weight.mass_kg * GRAVITY_M_S2
        factors = [(newton * inside / tips, out)
                   for out, inside, tips in self._tipping(push) if tips > 0.0]  # fmt: skip
        if not factors:
            return math.inf, ""
        worst = min([factor for factor, _ in factors])
        return worst, min([_side(out) for factor, out in factors if factor == worst])

    def lacking_mm(self, push: TippingPush, wanted: float) -> tuple[float, float]:
        """Return how much farther its base must reach along x and y so that a push is held.

        Its weight is taken as it is: what is added to the base only helps.

        Args:
            push: the push.
            wanted: the factor that is wanted, see ``factor``.
        """
        newton, lacking = self.weight.mass_kg * GRAVITY_M_S2, [0.0, 0.0]
        for out, inside, tips in self._tipping(push):
            axis = 0 if abs(out[0]) > abs(out[1]) else 1
            lacking[axis] = max(lacking[axis], wanted * tips / newton - inside)
        return lacking[0], lacking[1]


def _side(out: Corner) -> str:
    return _SIDES[round(math.atan2(out[1], out[0]) / (0.5 * math.pi)) % 4]


def in_case(built: Built) -> Standing:
    """Return a wheel in its case, its lid open, on a table: it stands on the middles of its feet.

    Args:
        built: a wheel that has a case.
    """
    found = bodies(built)
    feet = [b.shape.origin for b in found if b.kind == "foot"]
    return Standing(_hull((x, y) for x, y, _ in feet), weight_of(built, found), feet[0][2])


def standing(built: Built) -> Standing | None:
    """Return a wheel on its stand; None where no stand is made."""
    return kept_with(built, "standing", lambda: _on_stand(built))


def _on_stand(built: Built) -> Standing | None:
    found = bodies(built)
    corners = [c for body in found if body.kind in _ON_FLOOR for c in _on_floor(body)]
    if not corners:
        return None
    weight = weight_of(built, (b for b in found if b.kind not in _APART))
    return Standing(_hull(corners), weight)


def _on_floor(body: BuiltBody) -> Iterator[Corner]:
    """Yield the corners of a board that touch the floor."""
    shape = body.shape
    assert isinstance(shape, BoardShape)
    for x, y in shape.outline:
        for z in (shape.low, shape.high):
            point = shape.point(x, y, z)
            if abs(point[2]) < 1e-6:
                yield point[0], point[1]


def _hull(points: Iterable[Corner]) -> tuple[Corner, ...]:
    """Return the corners of the convex hull, counter-clockwise (the monotone chain of Andrew)."""
    ordered = sorted({(round(x, 6), round(y, 6)) for x, y in points})

    def chain(along_x: Iterable[Corner]) -> list[Corner]:
        kept: list[Corner] = []
        for p in along_x:
            while len(kept) > 1 and _turn(kept[-2], kept[-1], p) <= 1e-9:
                kept.pop()
            kept.append(p)
        return kept[:-1]

    return (*chain(ordered), *chain(reversed(ordered)))


def _turn(a: Corner, b: Corner, c: Corner) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def pushes(built: Built) -> tuple[TippingPush, ...]:
    """Return the greatest forces of hand or foot on the wheel, those of the start, all round.

    A hand pushes square to its crank, either way, as in turning and in backing off. A foot on a
    treadle that is hinged on the floor pulls the footman, taken as upright, down on the crank's
    pin: with its own force times its arm over the lever.
    """
    drive, plane = built.design.drive, crank_plane_mm(built)
    axle, radius = built.design.shaft(drive.shaft), drive.radius_mm
    if radius is None or drive.by == "motor":
        return ()
    carried = built.shafts[drive.shaft].carries
    if plane is None:  # a hand on the rim
        plane = max(carried, key=lambda p: p.rim_mm).pulley.offset_mm if carried else 0.0
    if drive.by != "treadle":
        if drive.by == "crank":  # at the middle of its knob
            plane += out_of_crank(built) * 0.5 * (CRANK_MM + KNOB_LONG_MM)
        force, middle = built.limit("start_force_n"), along(axle.at_mm, axle.axis, plane)
        return _PUSHES.get(
            (axle,), lambda: tuple([
                TippingPush(along(middle, way, radius), scale(cross(axle.axis, way), sign * force))
                for way in _ways_round(axle.axis) for sign in (1.0, -1.0)
            ]),
            force, radius, middle,
        )  # fmt: skip
    found = None if treadle_trouble(built) else treadle_geometry(built)
    if found is None:
        return ()
    pull = built.limit("foot_start_force_n") * found.linkage.foot_mm / found.linkage.lever_mm
    hangs = plane + out_of_crank(built) * (0.5 * CRANK_MM + 1.0 + 0.5 * FOOTMAN_MM)
    middle = along(axle.at_mm, axle.axis, hangs)
    return tuple(TippingPush(along(middle, way, radius), (0.0, 0.0, -pull))
                 for way in _ways_round(axle.axis))  # fmt: skip


def _ways_round(axis: Vector) -> list[Vector]:
    side = _level_across(axis)
    up = cross(axis, side)
    return [add(scale(side, c), scale(up, s)) for c, s in _ROUND]


def _level_across(axis: Vector) -> Vector:
    """Return a unit vector across an axis, level where the axis is not upright."""
    flat = math.hypot(axis[0], axis[1])
    return (1.0, 0.0, 0.0) if flat < 1e-9 else (-axis[1] / flat, axis[0] / flat, 0.0)
