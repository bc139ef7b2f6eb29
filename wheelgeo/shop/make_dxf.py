"""Makers of the cut files and the tables."""

from __future__ import annotations

from wheelgeo.shop.bench_set import Job, MadeFile
from wheelgeo.shop.board_parts import base_of
from wheelgeo.shop.dxf import dxf_bytes
from wheelgeo.shop.file_names import safe_stems
from wheelgeo.shop.needed import needed_sizes
from wheelgeo.shop.plan import plan_sheet
from wheelgeo.shop.pulleys import pulley_sheet
from wheelgeo.shop.section import wheels
from wheelgeo.shop.tables import band_rows, bands_csv, tables_sheet


def make_dxf(job: Job) -> list[MadeFile]:
    """Return a cut file for each pulley, and the drilling plan of the floor."""
    design, release = job.design, job.options.dxf
    pieces = wheels(design)
    stems = safe_stems(wheel.name for wheel in pieces)
    needed = needed_sizes(job.solution)
    files = [
        MadeFile(
            f"pulley-{stems[wheel.name]}.dxf",
            dxf_bytes(pulley_sheet(design, wheel, needed), release),
            f"{wheel.name}: face and half-section" + (", not to be cut" if wheel.layered else ""),
            "dxf",
        )
        for wheel in pieces
    ]
    plan = dxf_bytes(plan_sheet(design), release)
    what = "plan of where the shafts stand" if base_of(design) is None else (
        "drilling plan of the board that all stands on")
    return [*files, MadeFile("floor.dxf", plan, what, "dxf")]


def make_tables(job: Job) -> list[MadeFile]:
    """Return the band-length table as CSV, and set in a cut file with the pulleys."""
    solution = job.solution
    drawn = dxf_bytes(tables_sheet(solution), job.options.dxf)
    return [
        MadeFile("bands.csv", bands_csv(band_rows(solution)), "lengths of the bands", "tables"),
        MadeFile("bands.dxf", drawn, "lengths of the bands, and the pulleys", "tables"),
    ]
