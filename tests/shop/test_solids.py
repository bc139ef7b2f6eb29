"""Solids: closed meshes true to their sections, exact masses, files that other readers open."""

from __future__ import annotations

import io
import json
import math
import re
import shutil
import struct
import subprocess
import xml.etree.ElementTree as ET
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BoardShape, BuiltBody
from wheelgeo.check.answer import Answer
from wheelgeo.design.model import Design, FlatRim, Lightening, RoundGroove, VeeGroove
from wheelgeo.design.reader import read_design
from wheelgeo.drawing.scene_of_wheel import scene_of
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import ShapeError
from wheelgeo.geometry.groove import CutGroove
from wheelgeo.shop.bench_set import Job, MakeOptions
from wheelgeo.shop.body_meshes import body_mesh
from wheelgeo.shop.faces import lightening_holes, spread_circles
from wheelgeo.shop.make_solids import make_solids, masses_json
from wheelgeo.shop.outlines import Outline, polygon_outline, rectangle
from wheelgeo.shop.section import half_section, wheels
from wheelgeo.shop.solids import CHORD_MM, mass_row, turned_mesh, turned_solid, wheel_mesh
from wheelgeo.shop.solids_files import (
    CORD_SIDES,
    LOOK_CHORD_MM,
    cord_mesh,
    drive_glb,
    stl_bytes,
    three_mf_bytes,
)

DESIGNS = sorted((Path(__file__).parents[2] / "designs").glob("*.toml"))
HOSTILE = 'a <b>&"\x07 漢字'
shipped = pytest.mark.parametrize("path", DESIGNS, ids=lambda p: p.stem)


def tube(outer: float, inner: float, length: float) -> Outline:
    return rectangle((0.0, inner, length, outer))


def assert_closed(mesh: trimesh.Trimesh) -> None:
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume > 0.0
    assert mesh.body_count == 1


# Masses


def test_hollow_cylinder_has_the_textbook_mass_figures() -> None:
    solid = turned_solid(tube(50.0, 4.0, 12.0))
    volume = math.pi * (50**2 - 4**2) * 12
    assert solid.volume_mm3 == pytest.approx(volume, rel=1e-12)
    assert solid.centroid_mm == pytest.approx(6.0, rel=1e-12)
    assert solid.axial_mm5 == pytest.approx(volume * (50**2 + 4**2) / 2, rel=1e-12)
    across = volume * (3 * (50**2 + 4**2) + 12**2) / 12
    assert solid.transverse_mm5 == pytest.approx(across, rel=1e-12)


def test_holes_are_taken_out_each_in_its_place() -> None:
    """Six holes, each by itself and moved to its place by the parallel-axis rule."""
    plain, holed = (
        turned_solid(tube(90.0, 4.0, 10.0), h) for h in ((), spread_circles(6, 55.0, 20.0))
    )
    hole = math.pi * 20**2 * 10
    assert plain.volume_mm3 - holed.volume_mm3 == pytest.approx(6 * hole, rel=1e-12)
    axial = 6 * hole * (20**2 / 2 + 55**2)
    assert plain.axial_mm5 - holed.axial_mm5 == pytest.approx(axial, rel=1e-12)
    across = math.fsum(
        hole * (20**2 / 4 + 10**2 / 12 + (55 * math.sin(math.radians(60 * i))) ** 2)
        for i in range(6)
    )
    assert plain.transverse_mm5 - holed.transverse_mm5 == pytest.approx(across, rel=1e-12)


def test_holes_through_a_stepped_piece_move_its_centre() -> None:
    """Two discs on one another less four holes: sums of cylinders about the first face."""
    corners = [(0.0, 4.0), (10.0, 4.0), (10.0, 50.0), (4.0, 50.0), (4.0, 60.0), (0.0, 60.0)]
    solid = turned_solid(polygon_outline(corners), spread_circles(4, 30.0, 8.0))
    pieces = [  # volume, middle, square of the distance across the axis about the own middle
        (math.pi * (60**2 - 4**2) * 4, 2.0, (60**2 + 4**2) / 4 + 4**2 / 12),
        (math.pi * (50**2 - 4**2) * 6, 7.0, (50**2 + 4**2) / 4 + 6**2 / 12),
        (-4 * math.pi * 8**2 * 10, 5.0, 8**2 / 4 + 10**2 / 12 + 30**2 / 2),
    ]
    volume = math.fsum(v for v, _, _ in pieces)
    centre = math.fsum(v * z for v, z, _ in pieces) / volume
    across = math.fsum(v * (k + (z - centre) ** 2) for v, z, k in pieces)
    assert solid.volume_mm3 == pytest.approx(volume, rel=1e-12)
    assert solid.centroid_mm == pytest.approx(centre, rel=1e-12)
    assert solid.transverse_mm5 == pytest.approx(across, rel=1e-12)


@shipped
def test_exact_masses_agree_with_the_drive_and_with_the_mesh(path: Path) -> None:
    """Three ways that share no code: Green along the outline, Gauss over z, and the mesh.

    Of one wood all through; what a middle of plywood weighs is held in ``test_spokes``.
    """
    design = read_design(path)
    one_wood = [
        replace(p, build="turned") if build(design).pulleys[p.name].making.value == "segments"
        else p for p in design.pulleys
    ]  # fmt: skip
    design = replace(design, pulleys=tuple(one_wood))
    for wheel in wheels(design):
        holes = lightening_holes(design, wheel)
        solid = turned_solid(half_section(design, wheel), holes)
        made = [build(design).pulleys[p.name] for p in wheel.pulleys]
        density = made[0].density.value.value
        mass = sum(p.inertia.mass_kg for p in made)
        assert solid.volume_mm3 * density * 1e-9 == pytest.approx(mass, rel=1e-6)
        polar = sum(p.inertia.polar_kg_m2 for p in made)
        assert solid.axial_kg_m2(density) == pytest.approx(polar, rel=1e-6)
        mesh = wheel_mesh(design, wheel)
        assert mesh.volume == pytest.approx(solid.volume_mm3, rel=1.5e-3)
        assert mesh.center_mass[2] == pytest.approx(solid.centroid_mm, abs=1e-3)
        assert mesh.moment_inertia[2, 2] == pytest.approx(solid.axial_mm5, rel=3e-3)
        assert mesh.moment_inertia[0, 0] == pytest.approx(solid.transverse_mm5, rel=3e-3)


@pytest.mark.parametrize("holes", [0, 5])
def test_a_finer_mesh_comes_to_the_closed_form(holes: int) -> None:
    """The error of chords falls as the chord distance: a twentieth for a twentieth."""
    outline = half_section(*round_pulley())
    circles = spread_circles(holes, 26.0, 8.0) if holes else ()
    exact = turned_solid(outline, circles)
    errors = []
    for chord in (1e-2, 5e-4):
        mesh = turned_mesh(outline, circles, chord)
        got = (mesh.volume, mesh.moment_inertia[2, 2], mesh.moment_inertia[0, 0])
        want = (exact.volume_mm3, exact.axial_mm5, exact.transverse_mm5)
        errors.append([abs(g / w - 1.0) for g, w in zip(got, want, strict=True)])
    for coarse, fine in zip(*errors, strict=True):
        assert coarse < 2e-3
        assert fine < 0.06 * coarse


def round_pulley() -> tuple[Design, object]:
    design = read_design(DESIGNS[0])
    pulley = replace(design.pulleys[0], groove=RoundGroove(90.0, 5.0, 2.0), width_mm=12.0)
    design = replace(design, pulleys=(pulley, *design.pulleys[1:]))
    return design, wheels(design)[0]


def test_mass_row_uses_the_density_of_the_material(bench: Design) -> None:
    wheel = wheels(bench)[0]
    row = mass_row(bench, wheel)
    solid = turned_solid(half_section(bench, wheel))
    assert row.mass_g == pytest.approx(row.volume_cm3 * row.density_kg_m3 / 1e3, rel=1e-12)
    assert row.axial_kg_mm2 == pytest.approx(solid.axial_mm5 * row.density_kg_m3 * 1e-9)
    brass = replace(bench.pulleys[0], material="brass")
    heavy = replace(bench, pulleys=(brass, *bench.pulleys[1:]))
    assert mass_row(heavy, wheels(heavy)[0]).mass_g > 8 * row.mass_g


# Meshes


def random_groove(rng: np.random.Generator) -> tuple[CutGroove, float, float]:
    """Return a groove that can be cut, the width of its pulley and its bore, mm."""
    rim = rng.uniform(8.0, 400.0)
    depth = rng.uniform(0.02, 0.3) * rim / 2
    kind = rng.integers(4)
    groove: CutGroove
    if kind == 0:
        groove = VeeGroove(
            rim, depth, rng.uniform(10.0, 90.0), rng.choice([0.0, rng.uniform(0.2, 5)])
        )
    elif kind == 1:
        groove = RoundGroove(rim, depth, rng.uniform(0.51, 3.0) * depth)
    elif kind == 2:
        groove = VeeGroove(rim, depth, 0.0, rng.uniform(0.5, 8.0))
    else:
        groove = FlatRim(rim, rng.uniform(1.0, 30.0))
    cheeks = rng.uniform(0.0, 6.0) if not isinstance(groove, FlatRim) else 0.0
    bore = rng.uniform(0.1, 0.9) * 2.0 * (rim / 2 - depth)
    return groove, groove.mouth_mm + 2 * cheeks, bore


def test_random_pulleys_are_closed() -> None:
    """Every edge of every mesh belongs to two triangles that pass it in opposite directions."""
    rng = np.random.default_rng(20)
    design = read_design(DESIGNS[0])
    holed = 0
    for _ in range(250):
        groove, width, bore = random_groove(rng)
        pulley = replace(
            design.pulleys[0],
            groove=groove,
            width_mm=width,
            bore_mm=bore,
            lightening=None,
            build=None,
        )
        one = replace(design, pulleys=(pulley, *design.pulleys[1:]))
        wheel = next(w for w in wheels(one) if pulley in w.pulleys)
        outline = half_section(one, wheel)
        inner, bottom = bore / 2, min(y for _, y in outline_tops(outline, bore / 2))
        holes = ()
        if bottom - inner > 12.0 and rng.integers(4) == 0:
            holed += 1
            holes = spread_circles(
                5, (inner + bottom) / 2, min(0.4 * (inner + bottom) / 2, (bottom - inner) / 4)
            )
        mesh = turned_mesh(outline, holes, 0.5)
        directed = mesh.faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
        codes = directed[:, 0] * len(mesh.vertices) + directed[:, 1]
        back = directed[:, 1] * len(mesh.vertices) + directed[:, 0]
        assert len(np.unique(codes)) == len(codes)
        assert np.array_equal(np.sort(codes), np.sort(back))
        assert mesh.volume > 0.0
    assert holed > 30


def outline_tops(outline: Outline, bore: float) -> list[tuple[float, float]]:
    """Return the corners of a half-section above its bore, and the lowest points of its arcs."""
    corners = [s.start for s in outline.segments if s.start[1] > bore + 1e-9]
    return corners + [(s.box[0], s.box[1]) for s in outline.segments if s.box[1] > bore + 1e-9]


@shipped
def test_every_shipped_piece_is_closed_and_has_its_size(path: Path) -> None:
    design = read_design(path)
    for wheel in wheels(design):
        mesh = wheel_mesh(design, wheel)
        assert_closed(mesh)
        x1, y1, x2, y2 = half_section(design, wheel).box
        assert mesh.bounds[:, 2] == pytest.approx([x1, x2])
        assert mesh.bounds[1, 0] == pytest.approx(y2)
        assert np.hypot(*mesh.vertices[:, :2].T).min() == pytest.approx(y1)


def test_corners_lie_on_the_true_groove_and_chords_near_it() -> None:
    """Vertices of a round groove lie on its arc; the middles of their chords within the chord."""
    mesh = wheel_mesh(*round_pulley())
    radial = np.hypot(*mesh.vertices[:, :2].T)
    shift = mesh.bounds[:, 2].mean()
    off = np.hypot(mesh.vertices[:, 2] - shift, radial - 42.0) - 2.0  # arc of radius 2 about r = 42
    groove = (radial < 41.99) & (radial > 20.0)
    assert groove.sum() > 100
    assert np.abs(off[groove]).max() < 1e-9
    sides = np.unique(np.round(np.arctan2(*mesh.vertices[:, :2].T), 9)).size
    assert 45.0 * (1 - math.cos(math.pi / sides)) <= CHORD_MM


def test_lightening_holes_are_holes_in_the_mesh() -> None:
    design, _ = round_pulley()
    light = replace(design.pulleys[0], lightening=Lightening(4, 12.0, 50.0))
    design = replace(design, pulleys=(light, *design.pulleys[1:]))
    mesh = wheel_mesh(design, wheels(design)[0])
    assert_closed(mesh)
    # Bore and four holes: a body with five tunnels has the Euler number 2 - 2 * 5.
    assert mesh.euler_number == -8


def test_a_pulley_that_cannot_be_cut_is_refused() -> None:
    design, _ = round_pulley()
    deep = replace(design.pulleys[0], groove=RoundGroove(20.0, 9.0, 4.5), width_mm=None)
    design = replace(design, pulleys=(deep, *design.pulleys[1:]))
    with pytest.raises(ShapeError):
        wheel_mesh(design, wheels(design)[0])


def board(*holes: tuple[tuple[float, float], float]) -> BuiltBody:
    """Return a board of 60 by 40 by 5 mm with such holes."""
    corners = (0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0)
    axes = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)
    shape = BoardShape((0.0, 0.0, 0.0), *axes, corners, holes, 0.0, 5.0)
    return BuiltBody("support x", "support", shape, (), "maple")


@pytest.mark.parametrize(
    ("holes", "left"),
    [
        ([((30.0, 20.0), 6.0)], 1.0 - math.pi * 36.0 / 2400.0),
        ([((160.0, 20.0), 6.0)], 1.0),  # beside the board
        ([((60.0, 20.0), 6.0)], 1.0 - math.pi * 18.0 / 2400.0),  # half over its edge
        ([((30.0, 20.0), 6.0)] * 2, 1.0 - math.pi * 36.0 / 2400.0),  # twice the same
        ([((30.0, 20.0), 6.0), ((30.0, 20.0), 3.0)], 1.0 - math.pi * 36.0 / 2400.0),
        ([((30.0, 20.0), 25.0)], None),  # parts it in two
    ],
)
def test_a_board_is_closed_wherever_its_holes_fall(holes: list, left: float | None) -> None:
    mesh = body_mesh(board(*holes), 0.01)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.body_count == (2 if left is None else 1)
    if left is None:  # a circle of 25 within a height of 40: its sector less two segments
        half = math.asin(20.0 / 25.0)
        lost = 25.0**2 * (2.0 * half) + 2.0 * 20.0 * 25.0 * math.cos(half)
        left = 1.0 - lost / 2400.0
    # the sides of a hole's polygon touch it from outside, by 0.01 mm of its radius at most
    assert mesh.volume == pytest.approx(left * 60.0 * 40.0 * 5.0, rel=1e-3)


def test_a_board_that_is_all_hole_is_refused() -> None:
    with pytest.raises(ShapeError, match="leave nothing"):
        body_mesh(board(((30.0, 20.0), 50.0)), 0.01)


@shipped
def test_bands_are_closed_tubes_of_the_right_size(path: Path) -> None:
    scene = scene_of(solve_drive(read_design(path)))
    for cord in scene.cords:
        mesh = cord_mesh(cord)
        assert_closed(mesh)
        length = math.fsum(c.length_mm for c in cord.curves)
        sides = 12 / math.pi * math.sin(math.pi / 12) * math.cos(math.pi / 12)  # area of a 12-gon
        full = math.pi / 4 * cord.diameter_mm**2 * length * sides
        assert mesh.volume == pytest.approx(full, rel=0.02)


def test_a_tube_is_not_wrung_where_it_closes() -> None:
    """From ring to ring, the last to the first too, every corner goes on to its own next one."""
    scene = scene_of(solve_drive(read_design(DESIGNS[1])))  # its second band makes a quarter turn
    for cord in scene.cords:
        rings = cord_mesh(cord).vertices.reshape(-1, CORD_SIDES, 3)
        centres = rings.mean(axis=1)
        ahead = np.roll(centres, -1, axis=0) - centres
        ahead /= np.linalg.norm(ahead, axis=1)[:, None]
        arms = [np.roll(rings[:, 0], k, axis=0) - np.roll(centres, k, axis=0) for k in (0, -1)]
        here, after = (a - (a * ahead).sum(axis=1)[:, None] * ahead for a in arms)
        sine = (np.cross(here, after) * ahead).sum(axis=1)
        wrung = np.degrees(np.arctan2(sine, (here * after).sum(axis=1)))
        assert np.abs(wrung).max() < 10.0


# Files


def test_stl_is_binary_and_holds_the_mesh() -> None:
    mesh = wheel_mesh(*round_pulley())
    content = stl_bytes(mesh)
    assert content[:5] != b"solid"
    assert struct.unpack("<I", content[80:84])[0] == len(mesh.faces)
    again = trimesh.load(io.BytesIO(content), file_type="stl")
    assert isinstance(again, trimesh.Trimesh)
    assert_closed(again)
    assert again.volume == pytest.approx(mesh.volume, rel=1e-5)
    assert again.extents == pytest.approx(mesh.extents, rel=1e-6)


@pytest.mark.skipif(shutil.which("admesh") is None, reason="admesh is not installed here")
@pytest.mark.parametrize("holes", [0, 4])
def test_admesh_finds_nothing_to_mend(tmp_path: Path, holes: int) -> None:
    design, _ = round_pulley()
    if holes:
        light = replace(design.pulleys[0], lightening=Lightening(holes, 12.0, 50.0))
        design = replace(design, pulleys=(light, *design.pulleys[1:]))
    wheel = wheels(design)[0]
    file = tmp_path / "p.stl"
    file.write_bytes(stl_bytes(wheel_mesh(design, wheel)))
    ran = subprocess.run(["admesh", file], capture_output=True, text=True, check=True)
    said = dict(re.findall(r"([A-Z][a-z]+(?: [a-z]+)*) +: +([-.\d]+)", ran.stdout))
    troubles = ("Degenerate facets", "Edges fixed", "Facets removed", "Facets added")
    for trouble in (*troubles, "Total disconnected facets", "Facets reversed", "Backwards edges"):
        assert said[trouble] == "0", trouble
    assert said["Number of parts"] == "1"
    solid = turned_solid(half_section(design, wheel), lightening_holes(design, wheel))
    assert float(said["Volume"]) == pytest.approx(solid.volume_mm3, rel=1.5e-3)


def test_3mf_is_a_package_in_millimetres() -> None:
    mesh = wheel_mesh(*round_pulley())
    with zipfile.ZipFile(io.BytesIO(three_mf_bytes(mesh, HOSTILE))) as package:
        assert package.testzip() is None
        assert package.namelist()[0] == "[Content_Types].xml"
        ET.fromstring(package.read("[Content_Types].xml"))
        relation = ET.fromstring(package.read("_rels/.rels"))[0]
        model = ET.fromstring(package.read((relation.get("Target") or "").lstrip("/")))
    space = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
    assert model.get("unit") == "millimeter"
    found = model.find(f".//{space}object")
    assert found is not None
    assert found.get("name") == 'a <b>&" 漢字'
    vertices = [[float(v.get(k) or "nan") for k in "xyz"] for v in model.iter(f"{space}vertex")]
    faces = [
        [int(t.get(k) or "-1") for k in ("v1", "v2", "v3")] for t in model.iter(f"{space}triangle")
    ]
    again = trimesh.Trimesh(vertices, faces, process=False)
    assert_closed(again)
    assert again.volume == pytest.approx(mesh.volume, rel=1e-6)


def test_3mf_opens_in_another_reader() -> None:
    pytest.importorskip("networkx", reason="trimesh reads 3MF only with networkx")
    pytest.importorskip("lxml", reason="trimesh reads 3MF only with lxml")
    mesh = wheel_mesh(*round_pulley())
    scene = trimesh.load(io.BytesIO(three_mf_bytes(mesh, "p")), file_type="3mf")
    assert isinstance(scene, trimesh.Scene)
    (again,) = scene.geometry.values()
    assert scene.units == "millimeter"
    assert again.volume == pytest.approx(mesh.volume, rel=1e-6)


def test_glb_says_who_made_it_and_is_the_same_every_time() -> None:
    solution = solve_drive(read_design(DESIGNS[0]))
    content = drive_glb(solution)
    size = int.from_bytes(content[12:16], "little")  # glTF 2.0: a header, then the JSON chunk
    asset = json.loads(content[20 : 20 + size])["asset"]
    assert asset == {"version": "2.0", "generator": "wheelgeo"}
    assert drive_glb(solution) == content


@shipped
def test_glb_holds_every_part_in_its_place_in_metres(path: Path) -> None:
    solution = solve_drive(read_design(path))
    scene = trimesh.load(io.BytesIO(drive_glb(solution)), file_type="glb")
    assert isinstance(scene, trimesh.Scene)
    names = set(scene.geometry)
    assert names >= {b.name for b in bodies(build(solution.design))}
    assert len(names) == len(bodies(build(solution.design))) + len(solution.bands)
    for motion in solution.bands:
        assert motion.path is not None
        name = f"band {motion.band.name}"
        points = np.array([r.start_mm for r in motion.path.runs]) / 1000.0
        tube_points = scene.geometry[name].vertices @ np.array([[1, 0, 0], [0, 0, -1], [0, 1, 0]]).T
        reach = (motion.band.diameter_mm / 2 + LOOK_CHORD_MM) / 1000.0
        for point in points:
            assert np.linalg.norm(tube_points - point, axis=1).min() < 1.05 * reach


def job(checked: Callable[[str], Answer]) -> Job:
    return Job(checked("box-wheel"), MakeOptions())


def test_the_set_names_every_file_and_repeats_its_bytes(
    checked: Callable[[str], Answer],
) -> None:
    first, second = (make_solids(job(checked)) for _ in range(2))
    assert first == second
    names = [f.name for f in first]
    for name in ("wheel", "hub", "accelerator", "whorl"):
        assert f"pulley-{name}.stl" in names
        assert f"pulley-{name}.3mf" in names
    assert {"drive.glb", "masses.json"} <= set(names)
    assert all(f.group == "solids" and f.content for f in first)


def test_masses_are_json_with_units_in_its_keys(bench: Design) -> None:
    pieces = json.loads(masses_json(bench))["pieces"]
    assert [piece["name"] for piece in pieces] == [w.name for w in wheels(bench)]
    for piece, wheel in zip(pieces, wheels(bench), strict=True):
        row = mass_row(bench, wheel)
        assert piece["mass_g"] == row.mass_g
        assert piece["mass_g"] == pytest.approx(
            1e-3 * piece["density_kg_m3"] * piece["volume_cm3"], rel=1e-12
        )
        assert all(
            key == "name" or key.endswith(("_m3", "_cm3", "_g", "_mm", "_mm2")) for key in piece
        )
