"""How heavy the wheel as built is, and where its weight acts: from the bodies that are made."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from wheelgeo.built.as_built import Built
from wheelgeo.built.body import BoardShape, BuiltBody, Point, TurnedShape
from wheelgeo.built.kept import KeptOf, kept_with
from wheelgeo.design.material import Material
from wheelgeo.design.materials import find_material
from wheelgeo.geometry.vectors import Vector, along
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class Weight:
    """A mass, kg, and its centre, mm."""

    mass_kg: float
    centre_mm: Vector


_WEIGHTS: KeptOf[Weight] = KeptOf(1024)


def volume_of(shape: TurnedShape | BoardShape) -> tuple[float, Vector]:
    """Return the volume of a shape, mm3, and its centre, mm, both exact for its corners."""
    if isinstance(shape, TurnedShape):
        # Pappus and Guldin, side by side of the outline: a turn sweeps 2 pi r of every strip.
        first = second = 0.0
        for (z, r), (w, s) in pairwise((*shape.outline, shape.outline[0])):
            side = z * s - w * r
            first += side * (r + s) / 6.0
            second += side * (2.0 * z * r + z * s + w * r + 2.0 * w * s) / 24.0
        # A disc as thin as its rod leaves nothing to weigh: its centre is where it would be.
        middle = 0.5 * (min(shape.outline)[0] + max(shape.outline)[0])
        centre = second / first if first else middle
        return 2.0 * math.pi * abs(first), along(shape.origin, shape.axis, centre)
    area, x, y = _face(shape.outline)
    for (u, v), radius in shape.holes:
        hole = math.pi * radius * radius
        area, x, y = area - hole, x - hole * u, y - hole * v
    middle = 0.5 * (shape.low + shape.high)
    return area * shape.thickness_mm, shape.point(x / area, y / area, middle)


def _face(outline: Sequence[Point]) -> tuple[float, float, float]:
    """Return the area of a polygon and its first moments about the axes."""
    area = x = y = 0.0
    for (x0, y0), (x1, y1) in pairwise((*outline, outline[0])):
        side = x0 * y1 - x1 * y0
        area, x, y = area + side / 2.0, x + side * (x0 + x1) / 6.0, y + side * (y0 + y1) / 6.0
    return area, x, y


def body_weight(built: Built, body: BuiltBody) -> Weight:
    """Return the weight of one body.

    A pulley's is that which its start is reckoned with, lightening holes and all; a cop's is the
    file's. Bushes, whose metal the file does not name, and what else has no density weigh nothing.
    """
    volume, centre = kept_with(body, "volume", lambda: volume_of(body.shape))
    if body.kind == "pulley":
        return Weight(sum(built.pulleys[n].inertia.mass_kg for n in body.grooves), centre)
    if body.kind == "cop":
        return Weight(1e-3 * built.spindle.cop.value.mass_g, centre)
    own = built.design.materials
    return _WEIGHTS.get((body, own), lambda: _of_material(body.material, own, volume, centre))


def _of_material(
    name: str, own: tuple[Material, ...], volume_mm3: float, centre: Vector
) -> Weight:
    material = find_material(name, own)
    density = None if material is None else material.density_kg_m3
    return Weight(0.0 if density is None else 1e-9 * volume_mm3 * density.value, centre)


def weight_of(built: Built, found: Iterable[BuiltBody]) -> Weight:
    """Return the weight of several bodies together.

    Args:
        built: the wheel.
        found: the bodies; at least one of them weighs something.
    """
    each = [body_weight(built, body) for body in found]
    mass = sum(w.mass_kg for w in each)
    x, y, z = (sum(w.mass_kg * w.centre_mm[i] for w in each) / mass for i in range(3))
    return Weight(mass, (x, y, z))
