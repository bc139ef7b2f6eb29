"""Pulleys as solids: exact mass figures, and closed meshes for printing and for looking at.

A mesh follows its half-section's corners exactly and its arcs and circles by chords that run no
farther than ``CHORD_MM`` from them, corners on the true curve. The axis of a pulley's mesh is z,
with z = 0 at the shaft's ``at``; millimetres. Mass, centre and inertia do not come from the mesh
but from the section itself, in closed form.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from wheelgeo.built.as_built import build
from wheelgeo.built.pulley import BuiltPulley
from wheelgeo.design.model import Design
from wheelgeo.geometry.revolve import Hole, Solid, drilled, solid_of_revolution
from wheelgeo.geometry.segments import Point, chord_count
from wheelgeo.immutable import dataclass
from wheelgeo.shop.faces import lightening_holes
from wheelgeo.shop.outlines import Circle, Outline
from wheelgeo.shop.section import PulleyPiece, half_section

if TYPE_CHECKING:
    from trimesh import Trimesh

Array = Any
"""A numpy array."""

CHORD_MM = 0.02
"""Farthest that a chord of a mesh runs from its true curve, mm."""
LEAST_SIDES = 96
"""Fewest sides of a mesh, however small the pulley: its volume is then within 0.08 %."""


def turned_solid(outline: Outline, holes: Sequence[Circle] = ()) -> Solid:
    """Return the exact mass figures of a turned part with plain holes from face to face.

    Args:
        outline: its half-section, x along the axis, y outward, mm.
        holes: lightening holes seen along the axis, mm; across the axis the mean over all
            directions is taken, which from three evenly spread holes on is every direction.

    Returns:
        The figures; the centre is measured from where the outline has x = 0.
    """
    whole = solid_of_revolution(outline.segments)
    low, _, high, _ = outline.box
    return drilled(whole, (Hole(math.hypot(*h.centre), h.radius_mm) for h in holes), low, high)


@dataclass(frozen=True)
class MassRow:
    """Mass figures of one turned piece.

    Attributes:
        name: names of its pulleys.
        density_kg_m3: density of its material.
        volume_cm3: volume.
        mass_g: mass.
        centre_mm: centre of mass, along the axis from the shaft's ``at``.
        axial_kg_mm2: moment of inertia about the axis.
        transverse_kg_mm2: the same across the axis, through the centre of mass.
    """

    name: str
    density_kg_m3: float
    volume_cm3: float
    mass_g: float
    centre_mm: float
    axial_kg_mm2: float
    transverse_kg_mm2: float


def mass_row(design: Design, wheel: PulleyPiece) -> MassRow:
    """Return the mass figures of one piece, by closed forms on its half-section.

    Of a wheel that is built up those of rim and middle, or of rim, hub and spokes, together, and
    their mean density over the section.
    """
    solid = turned_solid(half_section(design, wheel), lightening_holes(design, wheel))
    made = [build(design).pulleys[p.name] for p in wheel.pulleys]
    density = made[0].density.value.value
    if any(p.making.value in ("segments", "spokes") for p in made):
        volume = None if made[0].spoked is not None else solid.volume_mm3 / 1e3
        return _built_up_row(wheel, made, volume)
    return MassRow(
        wheel.name,
        density,
        solid.volume_mm3 / 1e3,
        solid.mass_g(density),
        solid.centroid_mm,
        solid.axial_kg_m2(density) * 1e6,
        solid.transverse_kg_m2(density) * 1e6,
    )


def _built_up_row(
    wheel: PulleyPiece, made: Sequence[BuiltPulley], section_cm3: float | None
) -> MassRow:
    masses = [(p.pulley.offset_mm, p.inertia) for p in made]
    mass = sum(i.mass_kg for _, i in masses)
    centre = sum(at * i.mass_kg for at, i in masses) / mass
    # with spokes all is of one wood, so that its mass tells its volume
    volume = 1e6 * mass / made[0].density.value.value if section_cm3 is None else section_cm3
    across = sum(i.diametral_kg_m2 + i.mass_kg * ((at - centre) / 1e3) ** 2 for at, i in masses)
    return MassRow(
        wheel.name,
        1e6 * mass / volume,
        volume,
        1e3 * mass,
        centre,
        sum(i.polar_kg_m2 for _, i in masses) * 1e6,
        across * 1e6,
    )


def wheel_mesh(design: Design, wheel: PulleyPiece, chord_mm: float = CHORD_MM) -> Trimesh:
    """Return one piece as a closed mesh, its axis along z, mm.

    Args:
        design: the wheel's design.
        wheel: one of its pieces.
        chord_mm: farthest that a chord may run from its true curve, mm.

    Raises:
        ShapeError: it cannot be cut as asked.
    """
    return turned_mesh(half_section(design, wheel), lightening_holes(design, wheel), chord_mm)


def turned_mesh(
    outline: Outline, holes: Sequence[Circle] = (), chord_mm: float = CHORD_MM
) -> Trimesh:
    """Return a half-section swept once round its axis as a closed mesh.

    Args:
        outline: the half-section, x along the axis, y outward and nowhere 0, mm.
        holes: plain holes from face to face, seen along the axis, mm.
        chord_mm: farthest that a chord may run from its true curve, mm.

    Returns:
        The mesh, outward normals; every edge belongs to exactly two triangles.
    """
    import numpy as np
    import trimesh

    profile = outline.points(chord_mm)
    count = max(LEAST_SIDES, chord_count(max(r for _, r in profile), 360.0, chord_mm))
    vertices, faces = _swept(profile, count)
    if holes:
        faces = _without_flanks(profile, faces, outline, count)
        vertices, faces = _with_holes(vertices, faces, profile, outline, holes, count, chord_mm)
    return trimesh.Trimesh(vertices, np.asarray(faces), process=False, validate=False)


def _swept(profile: Sequence[Point], count: int) -> tuple[Array, Array]:
    """Return rings of vertices, one for each corner of the profile, and the bands between them.

    Vertex i * count + k is corner i at turn k; the faces of the band from corner i to the next
    are rows 2 * count * i onward.
    """
    import numpy as np

    turn = np.arange(count) * (2.0 * math.pi / count)
    z, r = (np.array(column)[:, None] for column in zip(*profile, strict=True))
    x, y = r * np.cos(turn), r * np.sin(turn)
    vertices = np.stack([x, y, np.broadcast_to(z, x.shape)], axis=-1).reshape(-1, 3)
    return vertices, _bands(len(profile), count, closed=True)


def _bands(rings: int, count: int, closed: bool) -> Array:
    """Return the triangles between rings of vertices that follow one another."""
    import numpy as np

    here = np.arange(rings if closed else rings - 1)
    ring, following = here[:, None] * count, ((here + 1) % rings)[:, None] * count
    k = np.arange(count)
    a, b = ring + k, ring + (k + 1) % count
    c, d = following + k, following + (k + 1) % count
    return np.stack([np.stack([a, d, b], -1), np.stack([a, c, d], -1)], 1).reshape(-1, 3)


def _flank(profile: Sequence[Point], x: float) -> tuple[int, int]:
    """Return the corners at either end of the face at x: the inner and the outer one."""
    on_face = [i for i, p in enumerate(profile) if abs(p[0] - x) < 1e-9]
    on_face.sort(key=lambda i: profile[i][1])
    return on_face[0], on_face[-1]


def _without_flanks(profile: Sequence[Point], faces: Array, outline: Outline, count: int) -> Array:
    """Return the triangles without those of the two flat faces, which are to have holes."""
    import numpy as np

    low, _, high, _ = outline.box
    kept = np.ones(len(faces), dtype=bool)
    for x in (low, high):
        i, j = _flank(profile, x)
        first = min(i, j) if abs(i - j) == 1 else max(i, j)
        kept[_rows(first, count)] = False
    return faces[kept]


def _rows(band: int, count: int) -> Array:
    """Return the rows of the triangles of one band; see ``_bands``."""
    import numpy as np

    return np.concatenate(
        [2 * band * count + np.arange(count), (2 * band + 1) * count + np.arange(count)]
    )


def _with_holes(
    vertices: Array,
    faces: Array,
    profile: Sequence[Point],
    outline: Outline,
    holes: Sequence[Circle],
    count: int,
    chord_mm: float,
) -> tuple[Array, Array]:
    """Add both faces with their holes, and the walls of the holes."""
    import numpy as np

    low, _, high, _ = outline.box
    rings = [np.array(hole.points(chord_mm)) for hole in holes]
    starts = np.cumsum([len(vertices), *(2 * len(ring) for ring in rings)])
    walls = [
        _bands(2, len(ring), closed=False) + start
        for ring, start in zip(rings, starts, strict=False)
    ]
    levels = [np.column_stack([ring, np.full(len(ring), z)]) for ring in rings for z in (low, high)]
    vertices = np.vstack([vertices, *levels])
    caps = []
    for side, x in enumerate((low, high)):
        inner, outer = (np.arange(count) + i * count for i in _flank(profile, x))
        edges = [
            np.arange(len(ring)) + start + side * len(ring)
            for ring, start in zip(rings, starts, strict=False)
        ]
        cap = _cap(vertices, outer, [inner, *edges])
        caps.append(cap if side else cap[:, ::-1])
    return vertices, np.vstack([faces, *walls, *caps])


def _cap(vertices: Array, outer: Array, holes: Sequence[Array]) -> Array:
    """Return a flat face with holes as triangles on the given vertices alone, counter-clockwise."""
    import numpy as np
    import shapely

    index = {tuple(vertices[i, :2]): int(i) for ring in (outer, *holes) for i in ring}
    face = shapely.Polygon(vertices[outer, :2], [vertices[h, :2] for h in holes])
    triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(face))
    corners = shapely.get_coordinates(triangles).reshape(-1, 4, 2)[:, :3]
    found = np.array([[index[tuple(p)] for p in triangle] for triangle in corners])
    u, v = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    clockwise = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0] < 0.0
    found[clockwise] = found[clockwise][:, ::-1]
    return found
