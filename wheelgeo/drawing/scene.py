"""What there is to draw of a drive, once, in space: bodies, cords, case and senses of rotation.

Pure data in millimetres, in the axes of the design. Glossary: a *body* is a solid of revolution
(pulley, rod, washer, full cop) given by its *profile*, pairs (z along its axis, radius); a *curve*
is a straight piece or an arc in space, p(t) = base + t straight + cos(t) u + sin(t) v; a *cord* is
one band as the curves of its centre-line, in the order of travel.
"""

from __future__ import annotations

import math
from dataclasses import field
from functools import cached_property
from typing import Literal

from wheelgeo.design.model import Case
from wheelgeo.geometry.boxes import Box
from wheelgeo.geometry.vectors import Vector, across, add, along, cross, norm, scale, sub, unit
from wheelgeo.immutable import dataclass

Profile = tuple[tuple[float, float], ...]
Kind = Literal["pulley", "shaft", "washer", "cop", "other"]
ORIGIN: Vector = (0.0, 0.0, 0.0)
TURN = 2.0 * math.pi


@dataclass(frozen=True)
class Curve:
    """A straight piece or an arc in space: base + t straight + cos(t) u + sin(t) v, mm.

    Attributes:
        base: a point of the straight piece, or the centre of the arc.
        straight: its direction times its length (t from 0 to 1); zero for an arc.
        u: radius vector at t = 0; zero for a straight piece.
        v: radius vector at t = a quarter turn; zero for a straight piece.
        start: first t, radians for an arc.
        end: last t.
    """

    base: Vector
    straight: Vector = ORIGIN
    u: Vector = ORIGIN
    v: Vector = ORIGIN
    start: float = 0.0
    end: float = 1.0

    @property
    def is_arc(self) -> bool:
        """Whether it is an arc."""
        return self.straight == ORIGIN

    @cached_property
    def normal(self) -> Vector:
        """Unit axis about which an arc runs counter-clockwise."""
        return unit(cross(self.u, self.v))

    @cached_property
    def length_mm(self) -> float:
        """Its length, mm."""
        return abs(self.end - self.start) * norm(self.u if self.is_arc else self.straight)

    def at(self, t: float) -> Vector:
        """Return the point at t."""
        # Written out: a view asks it of every line that it shows.
        (x, y, z), (a, b, c) = self.base, self.straight
        if not self.is_arc:
            return (x + a * t, y + b * t, z + c * t)
        cos, sin, u, v = math.cos(t), math.sin(t), self.u, self.v
        return (
            x + (u[0] * cos + v[0] * sin),
            y + (u[1] * cos + v[1] * sin),
            z + (u[2] * cos + v[2] * sin),
        )

    def direction(self, t: float) -> Vector:
        """Return the unit direction of travel at t."""
        if not self.is_arc:
            return unit(self.straight)
        forward = add(scale(self.u, -math.sin(t)), scale(self.v, math.cos(t)))
        return unit(scale(forward, math.copysign(1.0, self.end - self.start)))


@dataclass(frozen=True)
class TurnedBody:
    """A solid of revolution.

    Attributes:
        name: name of the pulley or shaft that it is or sits on.
        kind: what it is.
        origin: the point of the axis where z is 0, mm.
        axis: unit vector.
        profile: corners (z, radius) from the lower face to the upper, mm; where z stays the same
            there is a face or a step.
        seams: places z where a rod comes out of a pulley, mm.
        open_mm: radius of what is open within it, from face to face, mm: of the rim of a wheel
            with spokes; 0 of what is filled, or filled by what it is on.
    """

    name: str
    kind: Kind
    origin: Vector
    axis: Vector
    profile: Profile
    seams: tuple[float, ...] = ()
    open_mm: float = 0.0

    @cached_property
    def radius_mm(self) -> float:
        """Largest radius, mm."""
        return max(r for _, r in self.profile)

    @property
    def ends_mm(self) -> tuple[float, float]:
        """Lowest and highest z, mm."""
        return self.profile[0][0], self.profile[-1][0]

    def point(self, z: float) -> Vector:
        """Return a point of the axis."""
        return along(self.origin, self.axis, z)

    def circle(self, z: float, radius: float) -> Curve:
        """Return the full circle of a radius about the axis at z."""
        u, v = across(self.axis)
        return Curve(self.point(z), u=scale(u, radius), v=scale(v, radius), end=TURN)


@dataclass(frozen=True)
class FlatBody:
    """A board: its name, the corners of its two faces in space, mm, and the boxes it is made of."""

    name: str
    low: tuple[Vector, ...]
    high: tuple[Vector, ...]
    boxes: tuple[Box, ...]

    @cached_property
    def edges(self) -> tuple[Curve, ...]:
        """Every edge once: round both faces, and from face to face."""
        rings = [(f[i - 1], f[i]) for f in (self.low, self.high) for i in range(len(f))]
        ends = [*rings, *zip(self.low, self.high, strict=True)]
        return tuple(Curve(a, sub(b, a)) for a, b in ends if norm(sub(b, a)) > 1e-6)


@dataclass(frozen=True)
class RunningCord:
    """One band as it runs: curves in the order of travel, run 0 first, then the arc after it.

    Attributes:
        name: name of the band.
        diameter_mm: diameter of the cord, mm.
        curves: runs and arcs in turn; run i, then the arc on the pulley that it reaches.
        travels: whether it runs at all, and not only lies there.
    """

    name: str
    diameter_mm: float
    curves: tuple[Curve, ...]
    travels: bool = True

    @property
    def runs(self) -> tuple[Curve, ...]:
        """The straight pieces."""
        return tuple(c for c in self.curves if not c.is_arc)


@dataclass(frozen=True)
class TurningArrow:
    """How a shaft turns: name, a body on it that shows it best, and +1 or -1 about its axis."""

    shaft: str
    body: TurnedBody
    sense: int


@dataclass(frozen=True)
class Spacing:
    """A distance between two shafts, along their common perpendicular: its two ends, mm."""

    first: str
    second: str
    start: Vector
    end: Vector

    @property
    def length_mm(self) -> float:
        """The distance, mm."""
        return norm(sub(self.end, self.start))


@dataclass(frozen=True)
class Crank:
    """The circle of a crank: what turns it (``crank`` or ``treadle``), its shaft, its circle."""

    by: str
    shaft: str
    circle: Curve


@dataclass(frozen=True)
class Scene:
    """A whole drive in space.

    Attributes:
        title: title of the design.
        bodies: pulleys, rods, washers and the full cop.
        cords: the bands that have a path.
        turnings: one for each shaft that turns; none where a band has no path.
        spacings: one for each pair of shafts that a band joins.
        case: the case, or None.
        crank: the circle in which the crank's knob or the treadle's pin goes round, or None.
        around: what holds the drive and is turned by it: bearings, supports, posts, crank, flyer.
    """

    title: str
    bodies: tuple[TurnedBody, ...]
    cords: tuple[RunningCord, ...] = field(default=())
    turnings: tuple[TurningArrow, ...] = field(default=())
    spacings: tuple[Spacing, ...] = field(default=())
    case: Case | None = None
    crank: Crank | None = None
    around: tuple[TurnedBody | FlatBody, ...] = ()

    def of_kind(self, kind: Kind) -> tuple[TurnedBody, ...]:
        """Return the bodies of a kind, in file order."""
        return tuple(b for b in self.bodies if b.kind == kind)
