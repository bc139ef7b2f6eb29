"""The band-length table, as CSV and set in a cut file, and the table of pulleys."""

from __future__ import annotations

import csv
import io
import math
import unicodedata
from dataclasses import dataclass, replace

from wheelgeo.check.facts import cut_length_mm
from wheelgeo.design.model import Band, Design, Shaft, Vector
from wheelgeo.drive.train import BandMotion, Solution, pitch_circles
from wheelgeo.errors import OutputError, PathError
from wheelgeo.geometry.groove import Seat
from wheelgeo.geometry.path import solve_path
from wheelgeo.shop.drafting import CutSheet, reference_square, table, text_block
from wheelgeo.shop.pulleys import groove_words
from wheelgeo.shop.section import wheels

BAND_HEADER = (
    "band", "material", "cord_diameter_mm", "pulleys", "path_length_mm", "stretch_percent",
    "cut_length_mm", "joint_mm", "cut_with_joint_mm", "path_at_slide_from_mm",
    "path_at_slide_to_mm",
)  # fmt: skip
"""Heads of the CSV: lengths in millimetres, the cut length before the band is stretched on."""


@dataclass(frozen=True, slots=True)
class BandRow:
    """The lengths of one band.

    Attributes:
        band: the band.
        path_mm: length of its path as installed.
        cut_mm: length of cord before it is stretched on, without the joint.
        joint_mm: cord used up by the joint; 0 where the file gives none.
        slide_mm: path length with every sliding shaft at the start of its travel and at its end;
            None where no shaft of the band slides.
    """

    band: Band
    path_mm: float
    cut_mm: float
    joint_mm: float
    slide_mm: tuple[float | None, float | None] | None

    @property
    def with_joint_mm(self) -> float:
        """Length of cord to cut, joint included."""
        return self.cut_mm + self.joint_mm


def band_rows(solution: Solution) -> tuple[BandRow, ...]:
    """Return the lengths of all bands.

    Args:
        solution: the solved wheel.

    Raises:
        OutputError: a band has no path; names its pulleys.
    """
    lost = [m for m in solution.bands if m.path is None]
    if lost:
        raise OutputError("nothing is made: " + "; ".join(_no_path(m) for m in lost))
    return tuple(_row(solution.design, motion) for motion in solution.bands)


def _no_path(motion: BandMotion) -> str:
    why = "" if motion.no_path is None else f": {motion.no_path}"
    pulleys = ", ".join(f'"{s.pulley}"' for s in motion.band.route)
    return f'band "{motion.band.name}" on pulleys {pulleys} has no path{why}'


def _row(design: Design, motion: BandMotion) -> BandRow:
    assert motion.path is not None
    cut = cut_length_mm(motion)
    assert cut is not None
    joint = motion.band.joint_mm or 0.0
    return BandRow(motion.band, motion.path.length_mm, cut, joint, _slide_range(design, motion))


def _slide_range(design: Design, motion: BandMotion) -> tuple[float | None, float | None] | None:
    """Return the path lengths at both ends of the travel of the shafts that the band meets."""
    names = {design.pulley(s.pulley).shaft for s in motion.band.route}
    if not any(s.slide is not None for s in design.shafts if s.name in names):
        return None
    ends = []
    for end in (0, 1):
        shafts = tuple(_moved(s, end) if s.name in names else s for s in design.shafts)
        ends.append(_length(replace(design, shafts=shafts), motion.band, motion.seats, motion))
    return ends[0], ends[1]


def _moved(shaft: Shaft, end: int) -> Shaft:
    if shaft.slide is None:
        return shaft
    travel = shaft.slide.to_mm if end else shaft.slide.from_mm
    x, y, z = (p + d * travel for p, d in zip(shaft.at_mm, shaft.slide.along, strict=True))
    moved: Vector = (x, y, z)
    return replace(shaft, at_mm=moved)


def _length(
    design: Design, band: Band, seats: tuple[Seat, ...], motion: BandMotion
) -> float | None:
    """Return the path length, mm, or None where there is no path at that end of the travel."""
    try:
        return solve_path(pitch_circles(design, band, seats, motion.senses[0])).length_mm
    except PathError:
        return None


def bands_csv(rows: tuple[BandRow, ...]) -> bytes:
    """Return the band-length table as CSV (UTF-8, comma, one header line)."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(BAND_HEADER)
    for row in rows:
        writer.writerow([safe_cell(cell) for cell in _cells(row)])
    return stream.getvalue().encode("utf-8")


_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def safe_cell(cell: str) -> str:
    """Return a cell that a spreadsheet shows and does not run.

    A text that begins like a formula (``= + - @``, tab or line end) gets an apostrophe before it,
    also where that stands behind blanks or characters without width, or is written as one of
    its wide or small forms, which some programs read as the plain sign. Numbers stay as they are.
    Source: OWASP, CSV Injection.
    """
    # NFKC turns the full-width and small signs into plain ones.
    plain = unicodedata.normalize("NFKC", "".join(c for c in cell[:_LEAD] if not _unseen(c)))
    leads = cell.startswith(_FORMULA) or plain.startswith(_FORMULA) or plain[:1] == "\u2212"
    hidden = len(cell) > _LEAD and not plain  # nothing but blanks as far as we look
    return "'" + cell if (leads or hidden) and not _is_number(cell) else cell


_LEAD = 1000
"""How many characters are looked through for the first that is seen."""


def _unseen(character: str) -> bool:
    """Return whether a character is a blank, a control or a mark without width or of its own."""
    kind = unicodedata.category(character)
    return character.isspace() or kind[0] == "C" or kind in ("Mn", "Me") or character in _FILLERS


_FILLERS = "\u115f\u1160\u3164\uffa0\u2800"
"""Letters and signs that are drawn as nothing: fillers of Hangul, the empty Braille cell."""


def _is_number(cell: str) -> bool:
    try:
        return math.isfinite(float(cell))
    except ValueError:
        return False


def _cells(row: BandRow) -> list[str]:
    band = row.band
    slide = row.slide_mm or (None, None)
    return [
        band.name,
        band.material,
        f"{band.diameter_mm:.6g}",
        " > ".join(stop.pulley for stop in band.route),
        f"{row.path_mm:.3f}",
        f"{100.0 * (band.stretch or 0.0):.6g}",
        f"{row.cut_mm:.3f}",
        *_joint_cells(row),
        *("" if length is None else f"{length:.3f}" for length in slide),
    ]


def _joint_cells(row: BandRow) -> tuple[str, str]:
    """Return the joint and the length with it; empty where the file does not say, not 0."""
    if row.band.joint_mm is None:
        return "", ""
    return f"{row.joint_mm:.6g}", f"{row.with_joint_mm:.3f}"


def tables_sheet(solution: Solution) -> CutSheet:
    """Return the band lengths and the pulleys set in a drawing.

    Args:
        solution: the solved wheel.

    Raises:
        OutputError: a band has no path.
        ShapeError: a pulley cannot be cut.
    """
    rows = band_rows(solution)
    heads = ["band", "material", "cord mm", "path mm", "stretch %", "cut mm", "joint mm",
             "cut with joint mm", "path over the slide mm"]  # fmt: skip
    cells = [_drawn_row(row) for row in rows]
    second = -2.2 * 4.0 * (len(rows) + 1) - 20.0
    pulleys = _pulley_rows(solution)
    square_top = second - 2.2 * 4.0 * (len(pulleys) + 1) - 12.0
    items = [
        *text_block([f"{solution.design.title}: bands and pulleys"], (0.0, 16.0), 5.0),
        *table(heads, cells, (0.0, 0.0)),
        *table(["pulley", "shaft", "bore mm", "groove"], pulleys, (0.0, second)),
        *reference_square((0.0, square_top)),
        *text_block(
            [
                "cut: cord before it is stretched on, without the joint.",
                "joint: cord that the knot, splice or weld takes, where the file says how much.",
            ],
            (110.0, square_top),
        ),
    ]
    return CutSheet("bands and pulleys", tuple(items))


def _drawn_row(row: BandRow) -> list[str]:
    name, material, cord, _, path, stretch, cut, joint, total, low, high = _cells(row)
    travel = f"{low or 'no path'} to {high or 'no path'}" if row.slide_mm else ""
    joined = [joint or "add your own", total or "cut + joint"]
    return [name, material, cord, path, stretch, cut, *joined, travel]


def _pulley_rows(solution: Solution) -> list[list[str]]:
    design = solution.design
    rows = []
    for wheel in wheels(design):
        for pulley in wheel.pulleys:
            words = groove_words(design, pulley).removeprefix(f"{pulley.name}: ").rstrip(".")
            rows.append([pulley.name, pulley.shaft, f"{wheel.bore_mm:.4g}", words])
    return rows
