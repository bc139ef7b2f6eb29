"""Mass and moments of inertia of what turns: pulleys with their grooves, rods, discs, cops.

A pulley is a solid of revolution of radius r(z) over -w/2 to w/2. Its integrals are done piece by
piece by Gauss's rule, exact for straight flanks; a round groove is taken by its angle, so that
the integrand is smooth and the rule exact to rounding.

Glossary: the *polar* moment is about the axis of rotation, the *diametral* one about a diameter
through the centre of mass. Lengths go in as mm; results are kg and kg m2.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Generator, Iterator
from dataclasses import dataclass

from wheelgeo.design.model import Pulley, RoundGroove, VeeGroove
from wheelgeo.geometry.extents import CutGroove, groove_to_cut, pulley_width_mm

_GAUSS = (
    (0.0, 128.0 / 225.0),
    (math.sqrt(5.0 - 2.0 * math.sqrt(10.0 / 7.0)) / 3.0, (322.0 + 13.0 * math.sqrt(70.0)) / 900.0),
    (math.sqrt(5.0 + 2.0 * math.sqrt(10.0 / 7.0)) / 3.0, (322.0 - 13.0 * math.sqrt(70.0)) / 900.0),
)
"""Abscissae and weights of Gauss's five-point rule on -1 to 1; the negative ones mirror."""
_ARC_PIECES = 12

_Point = tuple[float, float, float]
"""z, r and weight of one point of the rule."""
_Part = Generator[_Point, None, float]
"""Yields points of the groove's half; returns where, along z, the rim begins."""


@dataclass(frozen=True, slots=True)
class Inertia:
    """Mass (kg) and moments of inertia (kg m2) about the axis and about a diameter."""

    mass_kg: float
    polar_kg_m2: float
    diametral_kg_m2: float

    def __add__(self, other: Inertia) -> Inertia:
        """Return both together, where their centres of mass coincide."""
        return Inertia(
            self.mass_kg + other.mass_kg,
            self.polar_kg_m2 + other.polar_kg_m2,
            self.diametral_kg_m2 + other.diametral_kg_m2,
        )


def cylinder(
    outer_mm: float, length_mm: float, density_kg_m3: float, bore_mm: float = 0.0
) -> Inertia:
    """Return the inertia of a hollow cylinder.

    Args:
        outer_mm: outside diameter.
        length_mm: its length.
        density_kg_m3: its density.
        bore_mm: diameter of the bore.
    """
    outer, inner, length = outer_mm / 2e3, bore_mm / 2e3, length_mm / 1e3
    mass = density_kg_m3 * math.pi * (outer**2 - inner**2) * length
    squares = outer**2 + inner**2
    return Inertia(mass, mass * squares / 2.0, mass * (squares / 4.0 + length**2 / 12.0))


def pulley_inertia(
    pulley: Pulley, cord_mm: float, density_kg_m3: float, bore_mm: float = 0.0
) -> Inertia:
    """Return the inertia of a pulley as it is cut, with its groove, bore and lightening holes.

    Args:
        pulley: the pulley; what its file leaves out is chosen as for the cut.
        cord_mm: diameter of the thickest cord that runs on it, mm.
        density_kg_m3: its density.
        bore_mm: diameter of the bore, mm, used where the file names none.
    """
    groove, width = groove_to_cut(pulley, cord_mm), pulley_width_mm(pulley, cord_mm)
    bore = bore_mm if pulley.bore_mm is None else pulley.bore_mm
    solid = _revolved(groove, width, density_kg_m3)
    taken = cylinder(bore, width, -density_kg_m3) if bore > 0.0 else Inertia(0.0, 0.0, 0.0)
    return solid + taken + _holes(pulley, width, density_kg_m3)


def _holes(pulley: Pulley, width_mm: float, density: float) -> Inertia:
    """Return what the lightening holes take away, negative; two holes or more are spread evenly."""
    holes = pulley.lightening
    if holes is None or holes.holes == 0:
        return Inertia(0.0, 0.0, 0.0)
    one = cylinder(holes.diameter_mm, width_mm, -density)
    aside = one.mass_kg * (holes.circle_mm / 2e3) ** 2
    n = holes.holes
    return Inertia(
        n * one.mass_kg, n * (one.polar_kg_m2 + aside), n * (one.diametral_kg_m2 + aside / 2.0)
    )


def _revolved(groove: CutGroove, width_mm: float, density: float) -> Inertia:
    """Return the inertia of the solid that a groove's half-section makes, without its bore."""
    squares = fourths = tilted = 0.0
    for z, r, weight in _half_section(groove, width_mm / 2.0):
        squares += 2.0 * weight * r * r
        fourths += 2.0 * weight * r**4
        tilted += 2.0 * weight * r * r * z * z
    mass = density * math.pi * squares * 1e-9
    polar = density * math.pi / 2.0 * fourths * 1e-15
    return Inertia(mass, polar, polar / 2.0 + density * math.pi * tilted * 1e-15)


def _half_section(groove: CutGroove, half: float) -> Iterator[_Point]:
    """Yield (z, r, weight) over one half of the section, mm: points of Gauss's rule."""
    rim = groove.rim_mm / 2.0
    inside = 0.0
    if isinstance(groove, VeeGroove):
        inside = yield from _vee(groove, half)
    elif isinstance(groove, RoundGroove):
        inside = yield from _round(groove, half)
    if inside < half:
        yield from _gauss(inside, half, lambda z: (z, rim, 1.0))


def _gauss(low: float, high: float, at: Callable[[float], _Point]) -> Iterator[_Point]:
    """Yield points of Gauss's rule; ``at`` gives (z, r, dz/dx) for the variable x."""
    middle, reach = 0.5 * (low + high), 0.5 * (high - low)
    for x, weight in _GAUSS:
        for sign in (1.0,) if x == 0.0 else (1.0, -1.0):
            z, r, slope = at(middle + sign * x * reach)
            yield z, r, weight * reach * slope


def _vee(groove: VeeGroove, half: float) -> _Part:
    bottom = min(groove.bottom_mm / 2.0, half)
    deepest = groove.rim_mm / 2.0 - groove.depth_mm
    if bottom > 0.0:
        yield from _gauss(0.0, bottom, lambda z: (z, deepest, 1.0))
    spread = math.tan(math.radians(groove.angle_deg) / 2.0)
    mouth = min(bottom + groove.depth_mm * spread, half)
    if mouth > bottom:
        yield from _gauss(bottom, mouth, lambda z: (z, deepest + (z - bottom) / spread, 1.0))
    return mouth


def _round(groove: RoundGroove, half: float) -> _Part:
    radius = groove.radius_mm
    if radius == 0.0:  # a pulley that no cord runs on and of which only the pitch is known
        return 0.0
    middle = groove.rim_mm / 2.0 - groove.depth_mm + radius
    end = math.acos(max(radius - groove.depth_mm, 0.0) / radius)
    end = math.asin(min(math.sin(end), half / radius))
    for i in range(_ARC_PIECES):
        yield from _gauss(
            end * i / _ARC_PIECES,
            end * (i + 1) / _ARC_PIECES,
            lambda a: (radius * math.sin(a), middle - radius * math.cos(a), radius * math.cos(a)),
        )
    return radius * math.sin(end)
