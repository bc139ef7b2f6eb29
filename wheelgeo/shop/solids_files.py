"""Solids as files: STL and 3MF of one piece in millimetres, GLB of the whole wheel in metres.

Neither holds a date or a random name: the same wheel gives the same bytes. GLB is in metres with y
upward, as its standard asks (Khronos, glTF 2.0, 3.4); z of the design becomes y there.
"""

from __future__ import annotations

import io
import math
import zipfile
from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import quoteattr

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import TurnedShape
from wheelgeo.design.model import Design
from wheelgeo.drawing.figure import markup
from wheelgeo.drawing.scene import RunningCord
from wheelgeo.drawing.scene_of_wheel import scene_of
from wheelgeo.drive.train import Solution
from wheelgeo.geometry.segments import chord_count
from wheelgeo.geometry.vectors import Vector, across, dot
from wheelgeo.shop.body_meshes import body_mesh, press_out
from wheelgeo.shop.section import wheels
from wheelgeo.shop.solids import CHORD_MM, wheel_mesh

if TYPE_CHECKING:
    from trimesh import Trimesh

Array = Any
"""A numpy array."""

LOOK_CHORD_MM = 0.1
"""Farthest that a chord of the drive that is looked at runs from its true curve, mm."""
CORD_CHORD_MM = 0.02
"""The same for the centre-line of a band."""
CORD_SIDES = 12
RINGS_NEAR = 12
"""Rings of a run, from a groove that it leaves askew until it is above the rim."""
_SQUARE = 1e-4
"""Sine of the angle to a groove's plane below which a run lies in it."""
_EPOCH = (1980, 1, 1, 0, 0, 0)
"""The earliest date that a ZIP file can hold."""

_WOOD = (0.80, 0.66, 0.46, 1.0)
_METAL = (0.62, 0.64, 0.66, 1.0)
_CORD = (0.15, 0.15, 0.17, 1.0)
_YARN = (0.93, 0.90, 0.82, 1.0)
_BOARD = (0.88, 0.80, 0.66, 1.0)
_COLOURS = {
    "rod": _METAL, "bearing": (0.80, 0.65, 0.25, 1.0), "washer": _METAL, "collar": _METAL,
    "cop": _YARN,
    "floor": _BOARD, "wall": _BOARD, "lid": _BOARD, "foot": _CORD,
}  # fmt: skip

_TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" '
    'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" '
    'ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>\n'
)
_RELATIONS = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Target="/3D/3dmodel.model" Id="rel0" '
    'Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>\n'
)
_MODEL_SPACE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"


def stl_bytes(mesh: Trimesh) -> bytes:
    """Return a mesh as a binary STL file, in the unit of the mesh (millimetres)."""
    content = mesh.export(file_type="stl")
    assert isinstance(content, bytes)
    return content


def three_mf_bytes(mesh: Trimesh, name: str) -> bytes:
    """Return a mesh as a 3MF file in millimetres.

    Args:
        mesh: the mesh, mm.
        name: its name; may hold anything.

    Returns:
        The package: content types, relations and one model. Source: 3MF Core Specification 1.3,
        consortium's 3MF, chapters 2 to 4.
    """
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as package:
        for path, text in (
            ("[Content_Types].xml", _TYPES),
            ("_rels/.rels", _RELATIONS),
            ("3D/3dmodel.model", _model(mesh, name)),
        ):
            entry = zipfile.ZipInfo(path, _EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            package.writestr(entry, text.encode("utf-8"), compresslevel=9)
    return stream.getvalue()


def _model(mesh: Trimesh, name: str) -> str:
    vertices = "".join(
        f'<vertex x="{x:.6f}" y="{y:.6f}" z="{z:.6f}"/>' for x, y, z in mesh.vertices.tolist()
    )
    triangles = "".join(
        f'<triangle v1="{a}" v2="{b}" v3="{c}"/>' for a, b, c in mesh.faces.tolist()
    )
    title = quoteattr(_plain(name))
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<model unit="millimeter" xml:lang="en" '
        f'xmlns="{_MODEL_SPACE}"><metadata name="Title">{markup(_plain(name))}</metadata>'
        f'<resources><object id="1" type="model" name={title}><mesh>'
        f"<vertices>{vertices}</vertices><triangles>{triangles}</triangles></mesh></object>"
        f'</resources><build><item objectid="1"/></build></model>\n'
    )


def _plain(name: str) -> str:
    """Return a name without control characters, on one line."""
    return " ".join("".join(c if c.isprintable() else " " for c in name).split())


def drive_glb(solution: Solution) -> bytes:
    """Return the whole wheel as built as a GLB file, spinning: every body in its place.

    Args:
        solution: the solved wheel; bands without a path are left out.

    Returns:
        The file, in metres with y upward; one node for each body, by its name.
    """
    import numpy as np
    import trimesh

    turned = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])
    scene: Any = trimesh.Scene(base_frame="drive")
    taken: set[str] = set()
    for number, (name, mesh, colour) in enumerate(_parts(solution)):
        mesh.vertices = mesh.vertices @ turned.T / 1000.0
        mesh.visual = _plain_look(colour)
        label = name if name not in taken else f"{name} {number + 1}"
        taken.add(label)
        scene.add_geometry(mesh, node_name=label, geom_name=label)
    content: bytes = scene.export(file_type="glb", tree_postprocessor=_signed)
    return content


def _signed(tree: dict[str, Any]) -> None:
    """Write who made the file into it (glTF 2.0, asset.generator)."""
    tree["asset"]["generator"] = "wheelgeo"


def _plain_look(colour: tuple[float, ...]) -> Any:
    from trimesh import visual

    looks: Any = visual
    material = looks.material.PBRMaterial(
        baseColorFactor=colour, metallicFactor=0.0, roughnessFactor=0.8
    )
    return looks.TextureVisuals(material=material)


def _parts(solution: Solution) -> Iterable[tuple[str, Trimesh, tuple[float, ...]]]:
    """Yield name, mesh in the axes of the design (mm) and colour of each body, spinning."""
    for body in bodies(build(solution.design)):
        name = _plain(body.name)
        yield name, body_mesh(body, LOOK_CHORD_MM), _COLOURS.get(body.kind, _WOOD)
    for cord in scene_of(solution).cords:
        # as much thinner as its chords run off the true curve: it touches the groove, no more
        thin = replace(cord, diameter_mm=cord.diameter_mm - 2.0 * CORD_CHORD_MM)
        yield f"band {_plain(cord.name)}", _seated(solution, thin), _CORD


def _seated(solution: Solution, cord: RunningCord) -> Trimesh:
    """Return a band as a tube that lies in its grooves: pressed flat where it leaves one askew.

    A run at an angle to the groove's plane rubs along its flank until it is above the rim.
    """
    built = build(solution.design)
    on = {stop.pulley for stop in solution.design.band(cord.name).route}
    shapes = [
        body.shape for body in bodies(built) if isinstance(body.shape, TurnedShape)
        and not on.isdisjoint(body.grooves)
    ]
    if all(abs(dot(run.direction(0.0), s.axis)) < _SQUARE for run in cord.runs for s in shapes):
        return cord_mesh(cord, CORD_CHORD_MM)
    # from where it touches a groove's bottom until it is above the rim: half a chord of the rim
    made = [built.pulleys[name] for name in on]
    near = max(
        math.sqrt((0.5 * p.rim_mm + cord.diameter_mm) ** 2 - (0.5 * p.bottom_mm) ** 2)
        for p in made
    )
    mesh = cord_mesh(cord, CORD_CHORD_MM, near)
    for shape in shapes:
        press_out(mesh, shape)
    return mesh


def cord_mesh(
    cord: RunningCord, chord_mm: float = LOOK_CHORD_MM, near_mm: float = 0.0
) -> Trimesh:
    """Return a band as a closed tube about its centre-line, mm.

    Args:
        cord: the band.
        chord_mm: farthest that a chord of the centre-line may run from it, mm.
        near_mm: how far from its ends a run has rings of its own, mm; 0: at its ends alone.
    """
    import numpy as np
    import trimesh

    centre = np.array(_stations(cord, chord_mm, near_mm))
    ahead = np.roll(centre, -1, axis=0) - centre
    ahead /= np.linalg.norm(ahead, axis=1)[:, None]
    along = ahead + np.roll(ahead, 1, axis=0)
    along /= np.linalg.norm(along, axis=1)[:, None]
    u, v = _frames(along)
    turn = np.arange(CORD_SIDES) * (2.0 * math.pi / CORD_SIDES)
    rings = centre[:, None] + 0.5 * cord.diameter_mm * (
        np.cos(turn)[:, None] * u[:, None] + np.sin(turn)[:, None] * v[:, None]
    )
    count, k = len(centre), np.arange(CORD_SIDES)
    here = np.arange(count)[:, None] * CORD_SIDES
    after = ((np.arange(count) + 1) % count)[:, None] * CORD_SIDES
    a, b = here + k, here + (k + 1) % CORD_SIDES
    c, d = after + k, after + (k + 1) % CORD_SIDES
    faces = np.stack([np.stack([a, b, d], -1), np.stack([a, d, c], -1)], 1).reshape(-1, 3)
    return trimesh.Trimesh(rings.reshape(-1, 3), faces, process=False, validate=False)


def _stations(cord: RunningCord, chord_mm: float, near_mm: float) -> list[Vector]:
    """Return points along the centre-line of a band, each once, once round."""
    points: list[Vector] = []
    for curve in cord.curves:
        count = 1
        if curve.is_arc:
            radius = curve.length_mm / max(abs(curve.end - curve.start), 1e-12)
            sweep = math.degrees(abs(curve.end - curve.start))
            count = max(2, chord_count(radius, sweep, chord_mm))
        step = (curve.end - curve.start) / count
        if curve.length_mm > 1e-6:
            places = [curve.start + step * i for i in range(count)]
            if near_mm and not curve.is_arc:
                reach = min(near_mm / curve.length_mm, 0.45)
                beside = [reach * k / RINGS_NEAR for k in range(1, RINGS_NEAR + 1)]
                places = [0.0, *beside, *(1.0 - share for share in reversed(beside))]
            points += [curve.at(t) for t in places]
    return points


def _frames(along: Array) -> tuple[Array, Array]:
    """Return unit vectors u, v across the directions of a closed curve that turn least.

    Each u is the one before, turned no more than the curve bends; the turn that is left after one
    round is spread evenly, so that the tube closes.
    """
    import numpy as np

    count = len(along)
    u = np.empty_like(along)
    u[0] = across(tuple(along[0]))[0]
    for i in range(1, count):
        u[i] = _carried(u[i - 1], along[i])
    left = _carried(u[-1], along[0])
    v = np.cross(along, u)
    twist = math.atan2(float(left @ v[0]), float(left @ u[0]))
    angle = -twist * np.arange(count)[:, None] / count
    return u * np.cos(angle) + v * np.sin(angle), v * np.cos(angle) - u * np.sin(angle)


def _carried(vector: Array, direction: Array) -> Array:
    """Return a unit vector made square to a direction, turned as little as that takes."""
    import numpy as np

    square = vector - (vector @ direction) * direction
    return square / np.linalg.norm(square)


def piece_meshes(design: Design) -> list[tuple[str, Trimesh]]:
    """Return every piece that is turned or glued up, by name, each as a mesh about z, mm."""
    return [(wheel.name, wheel_mesh(design, wheel, CHORD_MM)) for wheel in wheels(design)]
