"""Maker of the solids: each piece as STL and 3MF, the drive as GLB, and the masses as CSV."""

from __future__ import annotations

import csv
import io

from wheelgeo.design.model import Design
from wheelgeo.shop.make import Job, MadeFile
from wheelgeo.shop.names import safe_stems
from wheelgeo.shop.section import wheels
from wheelgeo.shop.solids import mass_row
from wheelgeo.shop.solids_files import drive_glb, piece_meshes, stl_bytes, three_mf_bytes
from wheelgeo.shop.tables import safe_cell

GROUP = "solids"
MASS_HEADER = (
    "piece", "density_kg_m3", "volume_cm3", "mass_g", "centre_mm", "axial_kg_mm2",
    "transverse_kg_mm2",
)  # fmt: skip
"""Heads of the CSV: centre of mass along the axis from the shaft's ``at``, moments through it."""


def make_solids(job: Job) -> list[MadeFile]:
    """Return the meshes of all pieces, the drive to look at, and the table of masses."""
    design = job.report.design
    meshes = piece_meshes(design)
    stems = safe_stems(name for name, _ in meshes)
    files = []
    for name, mesh in meshes:
        stem = f"pulley-{stems[name]}"
        what = f"{name}: solid, millimetres"
        files.append(MadeFile(f"{stem}.stl", stl_bytes(mesh), what, GROUP))
        files.append(MadeFile(f"{stem}.3mf", three_mf_bytes(mesh, name), what, GROUP))
    drive = drive_glb(job.report.solution)
    files.append(MadeFile("drive.glb", drive, "the whole drive, to turn on a screen", GROUP))
    files.append(
        MadeFile("masses.csv", masses_csv(design), "mass and inertia of the pieces", GROUP)
    )
    return files


def masses_csv(design: Design) -> bytes:
    """Return mass, centre and inertia of every piece as CSV (UTF-8, comma, one header line)."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(MASS_HEADER)
    for wheel in wheels(design):
        row = mass_row(design, wheel)
        numbers = (
            row.density_kg_m3, row.volume_cm3, row.mass_g, row.centre_mm, row.axial_kg_mm2,
            row.transverse_kg_mm2,
        )  # fmt: skip
        writer.writerow([safe_cell(row.name), *(f"{number:.6g}" for number in numbers)])
    return stream.getvalue().encode("utf-8")
