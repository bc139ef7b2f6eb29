"""Makers of parts, jigs and laid-out sheets as cut files."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from wheelgeo.design.model import Design
from wheelgeo.shop.bench_set import Job, MadeFile
from wheelgeo.shop.drafting import (
    CutSheet,
    Item,
    dimension,
    part_items,
    reference_square,
    text_block,
    wrapped,
)
from wheelgeo.shop.dxf import dxf_bytes
from wheelgeo.shop.file_names import safe_stems
from wheelgeo.shop.jigs import banding_board, groove_gauges, sheets_of
from wheelgeo.shop.outlines import Circle, Part, Place
from wheelgeo.shop.parts import parts_of
from wheelgeo.shop.sheets import AS_WISHED, SheetLayout, sheet_drawing

GAP_MM = 20.0
"""Room between parts that share a file, mm."""


def single_parts(design: Design) -> tuple[Part, ...]:
    """Return the flat parts that get a file of their own; the floor has its drilling plan."""
    return tuple(part for part in parts_of(design) if part.role != "floor")


def part_sheet(title: str, parts: Sequence[Part]) -> CutSheet:
    """Return parts side by side with their sizes, the square and notes.

    Args:
        title: what the file shows.
        parts: one part or several.
    """
    items: list[Item] = []
    x = low = 0.0
    for part in parts:
        x1, y1, x2, y2 = part.box
        moved = part.moved(Place((x - x1, -y1)))
        items += part_items(moved)
        items += dimension((x, 0.0), (x + x2 - x1, 0.0), -10.0, upright=False)
        right = x + x2 - x1
        items += dimension((right, 0.0), (right, y2 - y1), right + 12.0, upright=True)
        x, low = right + 28.0 + GAP_MM, -22.0
    lines = [line for part in parts for note in part_notes(part) for line in wrapped(note)]
    items += [
        *reference_square((0.0, low)),
        *text_block([title, "All sizes in millimetres.", *lines], (110.0, low)),
    ]
    return CutSheet(title, tuple(items))


def part_notes(part: Part) -> list[str]:
    """Return what to know about a part: how many of what thickness, then its own notes."""
    thick = "" if part.thickness_mm is None else f", {part.thickness_mm:.4g} mm thick"
    of = f", {part.material}" if part.material else ""
    grain = "; grain along its length" if part.grain == "along" else ""
    head = f"{part.name}: cut {part.quantity}{thick}{of}{grain}."
    return [head, *hole_words(part), *(f"{part.name}: {note}" for note in part.notes)]


def hole_words(part: Part) -> list[str]:
    """Return how many round holes of which diameter a part has, in one sentence; none: nothing."""
    said = []
    for what, holes in (("cut", part.holes), ("drill", part.drills)):
        count = Counter(f"{2.0 * h.radius_mm:.4g}" for h in holes if isinstance(h, Circle))
        said += [f"{what} {n} x {diameter} mm" for diameter, n in count.items()]
    return [f"{part.name}: round holes: {', '.join(said)}."] if said else []


def make_parts(job: Job) -> list[MadeFile]:
    """Return a cut file for each part that is cut from a board: layers, boards, reel."""
    parts = single_parts(job.design)
    stems = safe_stems(part.name for part in parts)
    return [
        MadeFile(
            f"part-{stems[part.name]}.dxf",
            dxf_bytes(part_sheet(part.name, [part]), job.options.dxf),
            f"{part.name}, cut {part.quantity}",
            "parts",
        )
        for part in parts
    ]


def make_jigs(job: Job) -> list[MadeFile]:
    """Return the groove gauges and the banding board as cut files."""
    gauges = groove_gauges(job.design)
    board = part_sheet("banding board", [banding_board(job.solution)])
    files = [
        MadeFile(
            "banding-board.dxf", dxf_bytes(board, job.options.dxf), "board to make bands on", "jigs"
        )
    ]
    if gauges:
        sheet = part_sheet("groove gauges", gauges)
        content = dxf_bytes(sheet, job.options.dxf)
        files.append(MadeFile("groove-gauges.dxf", content, "gauges for the grooves", "jigs"))
    return files


def layout_of(job: Job) -> SheetLayout:
    """Return all flat parts and jigs laid out on the design's sheets."""
    return sheets_of(job.solution)


def make_sheets(job: Job) -> list[MadeFile]:
    """Return every laid-out sheet as a cut file, and in words what is on which."""
    layout = layout_of(job)
    count = len(layout.sheets)
    files = []
    for i, laid in enumerate(layout.sheets, start=1):
        kerf = "" if laid.kerf_mm == 0.0 else f"-kerf-{laid.kerf_mm:g}-mm"
        stem = safe_stems([laid.stock.name])[laid.stock.name]
        drawing = sheet_drawing(laid, i, count, laid.stock in layout.assumed)
        name = f"sheet-{i}-{stem}{kerf}.dxf"
        content = dxf_bytes(drawing, job.options.dxf)
        what = f"sheet {i} of {count}, {laid.stock.name}, {laid.material or AS_WISHED}"
        files.append(MadeFile(name, content, what, "sheets"))
    words = "\n".join(layout_words(layout)) + "\n"
    files.append(
        MadeFile("sheets.txt", words.encode("utf-8"), "what lies on which sheet", "sheets")
    )
    return files


def layout_words(layout: SheetLayout) -> list[str]:
    """Return the layout in words: sheets with their use, then parts that fit none."""
    lines = []
    for i, laid in enumerate(layout.sheets, start=1):
        stock = laid.stock
        kerf = "kerf none" if laid.kerf_mm == 0.0 else f"kerf {laid.kerf_mm:g} mm in the outlines"
        names = ", ".join(part.name for part in laid.parts)
        size = f"{stock.length_mm:g} x {stock.width_mm:g} x {stock.thickness_mm:g} mm"
        size += f", material: {laid.material or AS_WISHED}"
        assumed = ", size assumed" if stock in layout.assumed else ""
        lines.append(
            f"Sheet {i}: {stock.name}, {size}{assumed}; {100.0 * laid.usage:.1f} % used; {kerf}: "
            f"{names}."
        )
    lines += [f"Fits no sheet: {words}" for words in layout.unplaced]
    return lines
