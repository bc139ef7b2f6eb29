"""Mass figures of turned parts, exact: volume, centre and second moments of a solid of revolution.

Glossary: a *section* is the closed outline of lines and arcs that, swept once round the axis, makes
the solid; x runs along the axis, y away from it. Either sense of going round will do.

How. Every figure is 2 pi times an integral of y^p x^q over the section. Green's theorem makes it an
integral along the edges, of a polynomial on a straight edge and of powers of sine and cosine on an
arc; both are integrated in closed form, so that no chord or step enters. For p = 1, q = 0 this is
the rule of Pappus and Guldin. Scalar, needs no array library.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from wheelgeo.geometry.segments import Arc, Line, Segment
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
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
    """Integrals of y, y x, y x^2 and y^3 over a section, signed by the sense of its outline."""

    y: float
    yx: float
    yxx: float
    yyy: float


_POWERS = ((1, 0), (1, 1), (1, 2), (3, 0))
"""Powers of y and x whose integrals over the section are wanted."""


def solid_of_revolution(section: Sequence[Segment]) -> Solid:
    """Return volume, centre and second moments of the solid that a section sweeps round the axis.

    Args:
        section: its lines and arcs in order, each beginning where the one before ends.

    Returns:
        The figures, exact but for rounding (about 1e-13 of the whole disc).

    Raises:
        ValueError: an end of a segment lies beyond the axis, or the section encloses nothing.
    """
    if any(segment.start[1] < 0.0 for segment in section):
        raise ValueError("a section must not reach across its axis")
    places = [segment.start[0] for segment in section]
    # moments taken about the middle lose least to rounding
    middle = 0.5 * (min(places) + max(places))
    moments = _moments([segment.moved(-middle, 0.0) for segment in section])
    if moments.y == 0.0:
        raise ValueError("the section encloses nothing")
    volume, first, second, axial = (2.0 * math.pi * abs(m) for m in moments)
    centroid = math.copysign(first, moments.yx * moments.y) / volume
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


def _moments(section: Sequence[Segment]) -> _Moments:
    """Return the integrals over the section as -1/(p+1) times those of y^(p+1) x^q dx round it."""
    parts = [
        [_integral(segment, p + 1, q) / -(p + 1.0) for segment in section] for p, q in _POWERS
    ]
    return _Moments(*(math.fsum(part) for part in parts))


def _integral(segment: Segment, p: int, q: int) -> float:
    """Return the integral of y^p x^q dx along one segment, for p + q up to 4."""
    if isinstance(segment, Line):
        return _line_integral(segment, p, q)
    return _arc_integral(segment, p, q)


_GAUSS = (
    (0.5 - math.sqrt(0.15), 5.0 / 18.0),
    (0.5, 8.0 / 18.0),
    (0.5 + math.sqrt(0.15), 5.0 / 18.0),
)
"""Three-point Gauss rule on 0..1: exact for polynomials up to the fifth degree."""


def _line_integral(line: Line, p: int, q: int) -> float:
    (x, y), (dx, dy) = line.start, (line.end[0] - line.start[0], line.end[1] - line.start[1])
    return dx * math.fsum(w * (y + t * dy) ** p * (x + t * dx) ** q for t, w in _GAUSS)


def _arc_integral(arc: Arc, p: int, q: int) -> float:
    """Return the integral of (y0 + R sin)^p (x0 + R cos)^q (-R sin) d(angle), term by term."""
    start = math.radians(arc.start_deg)
    end = start + math.radians(arc.sweep_deg)
    (x, y), radius = arc.centre, arc.radius_mm
    terms = [
        math.comb(p, i)
        * y ** (p - i)
        * math.comb(q, j)
        * x ** (q - j)
        * radius ** (i + j + 1)
        * _sine_cosine(i + 1, j, start, end)
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
