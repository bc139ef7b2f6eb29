"""Mass figures of turned parts, exact: volume, centre and second moments of a solid of revolution.

Glossary: a *section* is the closed outline that, swept once round the axis, makes the solid; it is
given by its *corners* (z along the axis, r from the axis), each with the *bulge* of the edge that
leaves it: 0 for a straight edge, else the tangent of a quarter of the arc's angle, positive where
the arc runs counter-clockwise with z to the right and r upward (the rule of the DXF polyline).
Either sense of going round will do; the last corner joins to the first.

How. Every figure is 2 pi times an integral of r^p z^q over the section. Green's theorem makes it an
integral along the edges, of a polynomial on a straight edge and of powers of sine and cosine on an
arc; both are integrated in closed form, so that no chord or step enters. For p = 1, q = 0 this is
the rule of Pappus and Guldin. Scalar, needs no array library.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple


class Corner(NamedTuple):
    """One corner of a section, mm, and the bulge of the edge that leaves it."""

    z_mm: float
    r_mm: float
    bulge: float = 0.0


Section = tuple[Corner, ...]
"""A closed outline with no edge that crosses another, r nowhere below 0."""


class Arc(NamedTuple):
    """A circular edge: centre and radius, mm, and the angles, radians, from start to end."""

    z_mm: float
    r_mm: float
    radius_mm: float
    start_rad: float
    end_rad: float


@dataclass(frozen=True, slots=True)
class Solid:
    """A solid of revolution about the z axis; multiply by a density to have mass and inertia.

    Attributes:
        volume_mm3: volume, mm^3.
        centroid_mm: z of the centre of volume, mm.
        axial_mm5: integral of (distance from the axis)^2 over the volume, mm^5; times the density
            it is the moment of inertia about the axis.
        transverse_mm5: the same about a line across the axis through the centre of volume, mm^5.
    """

    volume_mm3: float
    centroid_mm: float
    axial_mm5: float
    transverse_mm5: float

    def mass_g(self, density_kg_m3: float) -> float:
        """Return the mass, g."""
        return self.volume_mm3 * density_kg_m3 * 1e-6

    def axial_kg_m2(self, density_kg_m3: float) -> float:
        """Return the moment of inertia about the axis, kg m^2."""
        return self.axial_mm5 * density_kg_m3 * 1e-15

    def transverse_kg_m2(self, density_kg_m3: float) -> float:
        """Return the moment of inertia across the axis through the centre of mass, kg m^2."""
        return self.transverse_mm5 * density_kg_m3 * 1e-15


class Hole(NamedTuple):
    """A plain round hole from face to face, its axis along z: how far off the axis, and radius."""

    aside_mm: float
    radius_mm: float


class _Moments(NamedTuple):
    """Integrals of r, r z, r z^2 and r^3 over a section, signed by the sense of its outline."""

    r: float
    rz: float
    rzz: float
    rrr: float


_POWERS = ((1, 0), (1, 1), (1, 2), (3, 0))
"""Powers of r and z whose integrals over the section are wanted."""


def solid_of_revolution(section: Sequence[Corner]) -> Solid:
    """Return volume, centre and second moments of the solid that a section sweeps round the axis.

    Args:
        section: corners in order, three or more (two will do where an edge is an arc).

    Returns:
        The figures, exact but for rounding (about 1e-13 of the whole disc).

    Raises:
        ValueError: a corner lies beyond the axis, or the section encloses nothing.
    """
    if any(corner.r_mm < 0.0 for corner in section):
        raise ValueError("a section must not reach across its axis")
    middle = _middle(section)
    moments = _moments([c._replace(z_mm=c.z_mm - middle) for c in section])
    if moments.r == 0.0:
        raise ValueError("the section encloses nothing")
    volume, first, second, axial = (2.0 * math.pi * abs(m) for m in moments)
    centroid = math.copysign(first, moments.rz * moments.r) / volume
    transverse = 0.5 * axial + second - volume * centroid**2
    return Solid(volume, middle + centroid, axial, transverse)


def drilled(whole: Solid, holes: Iterable[Hole], low_mm: float, high_mm: float) -> Solid:
    """Return a solid less holes, by the parallel-axis rule about the centre that is left.

    Args:
        whole: the solid without them.
        holes: the holes; they must not overlap.
        low_mm: z of the face where they begin.
        high_mm: z of the face where they end.

    Returns:
        The figures; across the axis the mean over all directions is taken, which from three evenly
        spread holes on is every direction.
    """
    width, middle = high_mm - low_mm, 0.5 * (low_mm + high_mm)
    volume = whole.volume_mm3
    first = volume * whole.centroid_mm
    axial, transverse = whole.axial_mm5, whole.transverse_mm5 + volume * whole.centroid_mm**2
    for hole in holes:
        square, aside = hole.radius_mm**2, hole.aside_mm**2
        taken = math.pi * square * width
        volume -= taken
        first -= taken * middle
        axial -= taken * (0.5 * square + aside)
        transverse -= taken * (0.25 * square + width**2 / 12.0 + 0.5 * aside + middle**2)
    centre = first / volume if volume else middle
    return Solid(volume, centre, axial, transverse - volume * centre**2)


def _middle(section: Sequence[Corner]) -> float:
    """Return the middle of the corners along z: moments taken about it lose least to rounding."""
    places = [corner.z_mm for corner in section]
    return 0.5 * (min(places) + max(places))


def edges(section: Sequence[Corner]) -> Iterable[tuple[Corner, Corner]]:
    """Return each edge as the corner that it leaves and the corner that it reaches."""
    return zip(section, [*section[1:], section[0]], strict=True)


def arc_of(start: Corner, end: Corner) -> Arc:
    """Return the arc from a corner with a bulge to the next.

    Args:
        start: corner whose ``bulge`` is not 0.
        end: the corner that the arc reaches.

    Returns:
        The arc; its angles run upward where it is counter-clockwise, downward where not.
    """
    bulge = start.bulge
    dz, dr = end.z_mm - start.z_mm, end.r_mm - start.r_mm
    rise = (1.0 - bulge**2) / (4.0 * bulge)
    z, r = start.z_mm + 0.5 * dz - rise * dr, start.r_mm + 0.5 * dr + rise * dz
    radius = math.hypot(dz, dr) * (1.0 + bulge**2) / (4.0 * abs(bulge))
    first = math.atan2(start.r_mm - r, start.z_mm - z)
    return Arc(z, r, radius, first, first + 4.0 * math.atan(bulge))


def _moments(section: Sequence[Corner]) -> _Moments:
    """Return the integrals over the section as -1/(p+1) times those of r^(p+1) z^q dz round it."""
    parts = [
        [_edge_integral(start, end, p + 1, q) / -(p + 1.0) for start, end in edges(section)]
        for p, q in _POWERS
    ]
    return _Moments(*(math.fsum(part) for part in parts))


def _edge_integral(start: Corner, end: Corner, p: int, q: int) -> float:
    """Return the integral of r^p z^q dz along one edge, for p + q up to 4."""
    if start.bulge == 0.0:
        return _line_integral(start, end, p, q)
    return _arc_integral(arc_of(start, end), p, q)


_GAUSS = (
    (0.5 - math.sqrt(0.15), 5.0 / 18.0),
    (0.5, 8.0 / 18.0),
    (0.5 + math.sqrt(0.15), 5.0 / 18.0),
)
"""Three-point Gauss rule on 0..1: exact for polynomials up to the fifth degree."""


def _line_integral(start: Corner, end: Corner, p: int, q: int) -> float:
    dz, dr = end.z_mm - start.z_mm, end.r_mm - start.r_mm
    values = (w * (start.r_mm + t * dr) ** p * (start.z_mm + t * dz) ** q for t, w in _GAUSS)
    return dz * math.fsum(values)


def _arc_integral(arc: Arc, p: int, q: int) -> float:
    """Return the integral of (r0 + R sin)^p (z0 + R cos)^q (-R sin) d(angle), term by term."""
    terms = [
        math.comb(p, i)
        * arc.r_mm ** (p - i)
        * math.comb(q, j)
        * arc.z_mm ** (q - j)
        * arc.radius_mm ** (i + j + 1)
        * _sine_cosine(i + 1, j, arc.start_rad, arc.end_rad)
        for i in range(p + 1)
        for j in range(q + 1)
    ]
    return -math.fsum(terms)


def _sine_cosine(m: int, n: int, start: float, end: float) -> float:
    """Return the integral of sin^m cos^n between two angles, by the usual reduction formulas."""
    if n >= 2:
        edge = _power(m + 1, n - 1, end) - _power(m + 1, n - 1, start)
        return (edge + (n - 1) * _sine_cosine(m, n - 2, start, end)) / (m + n)
    if n == 1:
        return (_power(m + 1, 0, end) - _power(m + 1, 0, start)) / (m + 1)
    if m >= 2:
        edge = _power(m - 1, 1, start) - _power(m - 1, 1, end)
        return (edge + (m - 1) * _sine_cosine(m - 2, 0, start, end)) / m
    return math.cos(start) - math.cos(end) if m == 1 else end - start


def _power(m: int, n: int, angle: float) -> float:
    return math.sin(angle) ** m * math.cos(angle) ** n
