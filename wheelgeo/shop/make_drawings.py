"""Maker of the drawings of the whole drive: drawing file, SVG and PNG."""

from __future__ import annotations

from wheelgeo.drawing.drive_drawing import drive_sheet
from wheelgeo.drawing.figure import png_bytes, svg_text
from wheelgeo.drawing.whorl_close import whorl_figure
from wheelgeo.shop.bench_set import Job, MadeFile
from wheelgeo.shop.drawing_dxf import drive_dxf_sheet
from wheelgeo.shop.dxf import dxf_bytes
from wheelgeo.shop.general_drawing import general_figures

GROUP = "drawings"


def make_drawings(job: Job) -> list[MadeFile]:
    """Return the drawing of the drive: plan, side and isometric view."""
    solution, unit = job.solution, job.options.lengths
    sheet = drive_sheet(solution, unit)
    drawn = dxf_bytes(drive_dxf_sheet(solution, unit), job.options.dxf)
    what = "drawing of the drive"
    close = whorl_figure(solution)
    band = [] if close is None else [
        MadeFile("whorl.svg", svg_text(close).encode("utf-8"), "the last band close by", GROUP)
    ]
    views = zip(("plan", "side"), general_figures(solution), strict=True)
    general = [
        MadeFile(
            f"general-{name}.svg", svg_text(figure).encode("utf-8"),
            f"every part in outline, numbered as on the shop sheet: {name}", GROUP,
        )
        for name, figure in views
    ]  # fmt: skip
    return [
        *general,
        *band,
        MadeFile("drive.dxf", drawn, f"{what}, full size", GROUP),
        MadeFile("drive.svg", svg_text(sheet).encode("utf-8"), what, GROUP),
        MadeFile("drive.png", png_bytes(sheet), what, GROUP),
    ]
