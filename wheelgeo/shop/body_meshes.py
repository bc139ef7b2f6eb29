"""Closed meshes of the bodies of the wheel as built, in space, mm; bores and notches are true.

A round outside is a polygon with its corners on the true circle, a bore one whose sides touch it:
so a rod never cuts into the mesh of what it runs in, however both are turned.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from wheelgeo.built.body import BoardShape, BuiltBody, TurnedShape
from wheelgeo.errors import ShapeError
from wheelgeo.geometry.segments import chord_count
from wheelgeo.geometry.vectors import across

if TYPE_CHECKING:
    from trimesh import Trimesh

Array = Any
"""A numpy array."""
LEAST_SIDES = 24
_ON_AXIS_MM = 1e-9


def body_mesh(body: BuiltBody, chord_mm: float) -> Trimesh:
    """Return a body as one closed mesh in space, mm.

    Args:
        body: the body.
        chord_mm: farthest that a chord may run from its true curve, mm.
    """
    if isinstance(body.shape, TurnedShape):
        return _turned(body.shape, chord_mm)
    return _board(body.shape, chord_mm)


def _sides(radius_mm: float, chord_mm: float) -> int:
    return max(LEAST_SIDES, chord_count(radius_mm, 360.0, chord_mm))


def _turned(shape: TurnedShape, chord_mm: float) -> Trimesh:
    import numpy as np
    import trimesh

    count = _sides(max(r for _, r in shape.outline), chord_mm)
    (_, bore), (_, last) = shape.outline[-2:]
    wide = 1.0 / math.cos(math.pi / count)
    # the last two corners of an outline are its bore
    radii = [r for _, r in shape.outline[:-2]] + [bore * wide, last * wide]
    turn = np.arange(count) * (2.0 * math.pi / count)
    ring = np.column_stack([np.cos(turn), np.sin(turn)])
    rows: list[Array] = []
    starts: list[tuple[int, bool]] = []
    size = 0
    for (z, _), r in zip(shape.outline, radii, strict=True):
        on_axis = r < _ON_AXIS_MM
        points = np.array([[0.0, 0.0]]) if on_axis else ring * r
        rows.append(np.column_stack([points, np.full(len(points), z)]))
        starts.append((size, on_axis))
        size += len(points)
    k = np.arange(count)
    after = (k + 1) % count
    faces: list[Array] = []
    for i, (a, a_point) in enumerate(starts):
        b, b_point = starts[(i + 1) % len(starts)]
        if a_point and b_point:
            continue
        if not a_point and not b_point:
            faces.append(np.column_stack([a + k, a + after, b + after]))
            faces.append(np.column_stack([a + k, b + after, b + k]))
        elif b_point:
            faces.append(np.column_stack([a + k, a + after, np.full(count, b)]))
        else:
            faces.append(np.column_stack([np.full(count, a), b + after, b + k]))
    u, v = across(shape.axis)
    placed = np.vstack(rows) @ np.array([u, v, shape.axis]) + np.array(shape.origin)
    return trimesh.Trimesh(placed, np.vstack(faces), process=False, validate=False)


def press_out(mesh: Trimesh, shape: TurnedShape) -> None:
    """Move the corners of a mesh that lie within a turned body to the nearest place on its outside.

    So a cord that leaves a groove at an angle lies against the flank, pressed as flat as it must.

    Args:
        mesh: the mesh of something soft; it is changed.
        shape: the hard body, mm.
    """
    import numpy as np
    import shapely

    apart = mesh.vertices - np.array(shape.origin)
    axis = np.array(shape.axis)
    z = apart @ axis
    across_axis = apart - z[:, None] * axis
    r = np.linalg.norm(across_axis, axis=1)
    section = shapely.Polygon(shape.outline)
    within = np.flatnonzero(shapely.contains_xy(section, z, r))
    if len(within) == 0:
        return
    edge = section.exterior
    here = shapely.points(z[within], r[within])
    there = shapely.get_coordinates(
        shapely.line_interpolate_point(edge, shapely.line_locate_point(edge, here))
    )
    ways = across_axis[within] / r[within, None]
    moved = (there[:, :1] - z[within, None]) * axis + (there[:, 1:] - r[within, None]) * ways
    mesh.vertices[within] += moved


def _board(shape: BoardShape, chord_mm: float) -> Trimesh:
    import numpy as np
    import shapely
    import trimesh

    rings = [np.array(shape.outline)]
    for (x, y), radius in shape.holes:
        count = _sides(radius, chord_mm)
        turn = -np.arange(count) * (2.0 * math.pi / count)
        wide = radius / math.cos(math.pi / count)
        rings.append(np.column_stack([x + wide * np.cos(turn), y + wide * np.sin(turn)]))
    face = shapely.Polygon(rings[0], rings[1:])
    if not face.is_valid:
        # A hole over the edge, beside the board, or over another: what is left once all are bored.
        bored = shapely.union_all([shapely.Polygon(ring) for ring in rings[1:]])
        face = shapely.orient_polygons(shapely.Polygon(rings[0]) - bored)
        if face.is_empty:
            raise ShapeError("the holes of a board leave nothing of it")
        parts = shapely.get_parts(face)
        edges = (ring for part in parts for ring in (part.exterior, *part.interiors))
        rings = [shapely.get_coordinates(ring)[:-1] for ring in edges]
    flat = np.vstack(rings)
    size = len(flat)
    index = {tuple(p): i for i, p in enumerate(flat)}
    triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(face))
    corners = shapely.get_coordinates(triangles).reshape(-1, 4, 2)[:, :3]
    cap = np.array([[index[tuple(p)] for p in triangle] for triangle in corners])
    one, other = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    clockwise = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0] < 0.0
    cap[clockwise] = cap[clockwise][:, ::-1]
    faces = [cap[:, ::-1], cap + size]
    start = 0
    for ring in rings:
        k = np.arange(len(ring))
        a, b = start + k, start + (k + 1) % len(ring)
        faces += [np.column_stack([a, b, b + size]), np.column_stack([a, b + size, a + size])]
        start += len(ring)
    local = np.vstack([np.column_stack([flat, np.full(size, z)]) for z in (shape.low, shape.high)])
    axes = np.array([shape.x_axis, shape.y_axis, shape.z_axis])
    placed = local @ axes + np.array(shape.origin)
    return trimesh.Trimesh(placed, np.vstack(faces), process=False, validate=False)
