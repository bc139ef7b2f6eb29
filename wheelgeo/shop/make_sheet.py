"""Maker of the shop sheet: one HTML page, and the same as PDF on A4 and on Letter."""

from __future__ import annotations

from wheelgeo.shop.bench_set import SHOP_SHEET, Job, MadeFile
from wheelgeo.shop.paper import PAPERS_MM
from wheelgeo.shop.sheet_content import shop_sheet
from wheelgeo.shop.sheet_html import sheet_html
from wheelgeo.shop.sheet_pdf import sheet_pdf

GROUP = "sheet"


def make_sheet(job: Job) -> list[MadeFile]:
    """Return the shop sheet as a page and as PDF."""
    sheet = shop_sheet(job.answer, job.options.lengths)
    page = sheet_html(sheet).encode("utf-8")
    files = [MadeFile(SHOP_SHEET, page, "shop sheet, for a browser and for paper", GROUP)]
    for paper in PAPERS_MM:
        name = f"shop-sheet-{paper.lower()}.pdf"
        files.append(MadeFile(name, sheet_pdf(sheet, paper), f"shop sheet on {paper}", GROUP))
    return files
