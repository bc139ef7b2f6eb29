"""Maker of the solids: each piece as STL and 3MF, the drive as GLB, and the masses as JSON."""

from __future__ import annotations

import json
from dataclasses import asdict

from wheelgeo.design.model import Design
from wheelgeo.shop.bench_set import Job, MadeFile
from wheelgeo.shop.file_names import safe_stems
from wheelgeo.shop.section import wheels
from wheelgeo.shop.solids import mass_row
from wheelgeo.shop.solids_files import drive_glb, piece_meshes, stl_bytes, three_mf_bytes

GROUP = "solids"


def make_solids(job: Job) -> list[MadeFile]:
    """Return the meshes of all pieces, the drive to look at, and the table of masses."""
    design = job.design
    meshes = piece_meshes(design)
    stems = safe_stems(name for name, _ in meshes)
    files = []
    for name, mesh in meshes:
        stem = f"pulley-{stems[name]}"
        what = f"{name}: solid, millimetres"
        files.append(MadeFile(f"{stem}.stl", stl_bytes(mesh), what, GROUP))
        files.append(MadeFile(f"{stem}.3mf", three_mf_bytes(mesh, name), what, GROUP))
    drive = drive_glb(job.solution)
    files.append(MadeFile("drive.glb", drive, "the whole drive, to turn on a screen", GROUP))
    files.append(
        MadeFile("masses.json", masses_json(design), "mass and inertia of the pieces", GROUP)
    )
    return files


def masses_json(design: Design) -> bytes:
    """Return mass, centre and inertia of every piece as JSON (UTF-8); see ``solids.MassRow``."""
    pieces = [asdict(mass_row(design, wheel)) for wheel in wheels(design)]
    text = json.dumps({"pieces": pieces}, indent=2, ensure_ascii=False, allow_nan=False)
    return (text + "\n").encode("utf-8")
