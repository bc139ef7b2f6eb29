"""The whole wheel as a file to look at: closed bodies, none through another, by a general library.

The meshes are read back from the file and cut with each other by manifold3d, which knows nothing of
how they were made. The file holds single precision: touching faces may share 0.2 mm3. A cord that
leaves a groove at an angle lies against its flank, pressed as flat as it must be.
"""

import io
from pathlib import Path

import numpy as np
import pytest
import trimesh

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import at_share, bodies
from wheelgeo.design.reader import read_design
from wheelgeo.drawing.scene_of_wheel import scene_of
from wheelgeo.drive.train import solve_drive
from wheelgeo.shop.body_meshes import body_mesh, press_out
from wheelgeo.shop.solids_files import CORD_CHORD_MM, cord_mesh, drive_glb

manifold3d = pytest.importorskip("manifold3d")
DESIGNS = sorted((Path(__file__).parents[2] / "designs").glob("*-wheel.toml"))
SOME = [(path, 1.0) for path in DESIGNS]
ALL = [(path, share) for path in DESIGNS for share in (None, 0.0, 1.0)]


def solids(path, share):
    """Return every body of the file as a solid, mm, by its node's name."""
    design = read_design(path)
    design = design if share is None else at_share(design, share)
    content = drive_glb(solve_drive(design))
    scene = trimesh.load(io.BytesIO(content), file_type="glb", process=False)
    made = {}
    for name, mesh in scene.geometry.items():
        mesh.merge_vertices(merge_tex=True, merge_norm=True)
        assert mesh.is_watertight, name
        assert mesh.is_winding_consistent, name
        assert mesh.volume > 0.0, name
        made[name] = manifold3d.Manifold(manifold3d.Mesh64(
            vert_properties=np.asarray(mesh.vertices, dtype=float) * 1000.0,
            tri_verts=np.asarray(mesh.faces, dtype=np.uint64),
        ))  # fmt: skip
        assert made[name].status() == manifold3d.Error.NoError, name
    return made


def through_each_other(made):
    """Yield the pairs that share more room than touching bodies may."""
    boxes = {name: np.array(solid.bounding_box()) for name, solid in made.items()}
    names = list(made)
    for i, one in enumerate(names):
        for other in names[i + 1 :]:
            a, b = boxes[one], boxes[other]
            if (a[:3] > b[3:]).any() or (b[:3] > a[3:]).any():
                continue
            volume = (made[one] ^ made[other]).volume()
            if volume > 0.2:
                yield one, other, volume


@pytest.mark.parametrize(("path", "share"), SOME, ids=lambda v: getattr(v, "stem", v))
def test_no_body_runs_through_another(path, share):
    assert list(through_each_other(solids(path, share))) == []


@pytest.mark.long
@pytest.mark.parametrize(("path", "share"), ALL, ids=lambda v: getattr(v, "stem", v))
def test_nor_anywhere_on_the_slides(path, share):
    assert list(through_each_other(solids(path, share))) == []


def test_a_cord_that_leaves_its_groove_askew_is_pressed_against_the_flank():
    """The flyer wheel's double band, 1.8 degrees askew: round, it would run through the wheel."""
    solution = solve_drive(read_design(DESIGNS[0].parent / "flyer-wheel.toml"))
    (cord,) = scene_of(solution).cords
    round_one = cord_mesh(cord, CORD_CHORD_MM)
    wheel = next(b for b in bodies(build(solution.design)) if b.name.startswith("pulley back"))
    pressed = cord_mesh(cord, CORD_CHORD_MM, 60.0)
    before = pressed.vertices.copy()
    press_out(pressed, wheel.shape)
    moved = np.linalg.norm(pressed.vertices - before, axis=1)
    assert 0.01 < moved.max() < 0.1 * cord.diameter_mm
    assert pressed.is_watertight
    assert pressed.volume == pytest.approx(round_one.volume, rel=0.002)


def test_two_bodies_that_do_are_found():
    made = solids(DESIGNS[0], None)
    moved = dict(made)
    moved["cop"] = made["cop"].translate((-20.0, 0.0, 0.0))
    assert [pair[:2] for pair in through_each_other(moved)] != []


@pytest.mark.parametrize("path", DESIGNS, ids=lambda p: p.stem)
def test_meshes_have_the_volume_of_their_shapes(path):
    """A rod, a bush and a board against the closed forms of cylinder and box."""
    for body in bodies(build(read_design(path))):
        if body.kind == "bearing":
            (low, outer), (high, _), (_, bore), _ = body.shape.outline
            true = np.pi * (outer**2 - bore**2) * (high - low)
            assert body_mesh(body, 0.01).volume == pytest.approx(true, rel=0.03)
        if body.kind in {"lid", "leg", "table"}:
            (x0, y0), _, (x1, y1), _ = body.shape.outline
            true = (x1 - x0) * (y1 - y0) * body.shape.thickness_mm
            assert body_mesh(body, 0.01).volume == pytest.approx(true, rel=1e-9)
