"""The band-length table, as CSV and set in a cut file, and the table of pulleys."""

from __future__ import annotations

import csv
import io
import math
import unicodedata
from collections.abc import Callable

from wheelgeo.built.kept import kept_with
from wheelgeo.check.answer_parts import BandAnswer
from wheelgeo.check.answering import band_answer
from wheelgeo.check.band_uncertainty import uncertainty_of
from wheelgeo.design.model import Band, Design
from wheelgeo.drive.train import BandMotion, Solution
from wheelgeo.errors import OutputError
from wheelgeo.immutable import dataclass
from wheelgeo.shop.drafting import CutSheet, reference_square, table, text_block
from wheelgeo.shop.pulleys import groove_words
from wheelgeo.shop.section import wheels

BAND_HEADER = (
    "band", "material", "cord_diameter_mm", "pulleys", "path_length_mm", "stretch_percent",
    "cut_length_mm", "joint_mm", "cut_with_joint_mm", "path_at_slide_from_mm",
    "path_at_slide_to_mm", "bought_diameter_mm", "path_length_uncertainty_mm",
    "cut_length_uncertainty_mm",
)  # fmt: skip
"""Heads of the CSV: lengths in millimetres, the cut length before the band is stretched on; how
sure they are at 95 %, empty where the file tells of nothing how it was measured."""


@dataclass(frozen=True)
class BandRow:
    """The lengths of one band.

    Attributes:
        band: the band.
        told: its lengths, stretch and joint, as every command tells them; it has a path.
    """

    band: Band
    told: BandAnswer

    @property
    def path_mm(self) -> float:
        """Length of its path as installed."""
        return _there(self.told.length_mm)

    @property
    def halves_mm(self) -> tuple[float | None, float | None]:
        """How sure the path's and the cut length are at 95 %, plus or minus; None: nothing says."""
        return self.told.length_uncertainty_mm, self.told.cut_length_uncertainty_mm

    @property
    def cut_mm(self) -> float:
        """Length of cord before it is stretched on, without the joint."""
        return _there(self.told.cut_length_mm)

    @property
    def with_joint_mm(self) -> float:
        """Length of cord to cut, joint included."""
        return _there(self.told.cut_with_joint_mm)

    @property
    def off_reel_mm(self) -> float:
        """Length of cord to buy: the same with the ends that a knot is tied by."""
        return _there(self.told.off_reel_mm)


def with_sure(length: str, half_mm: float | None, said: Callable[[float], str]) -> str:
    """Return a length with how sure it is at 95 %; alone, where nothing of it was measured.

    Args:
        length: the length, as it is written.
        half_mm: half the width of where it may be, mm.
        said: writes a length in mm.
    """
    return length if half_mm is None else f"{length} ± {said(half_mm)}"


def _there(length_mm: float | None) -> float:
    assert length_mm is not None, "a row is made only of a band that has a path"
    return length_mm


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
    design = solution.design
    half = kept_with(design, "of bands", lambda: uncertainty_of(design, solution)).bands
    return tuple(
        BandRow(m.band, band_answer(solution, m, half.get(m.band.name))) for m in solution.bands
    )


def _no_path(motion: BandMotion) -> str:
    why = "" if motion.no_path is None else f": {motion.no_path}"
    pulleys = ", ".join(f'"{s.pulley}"' for s in motion.band.route)
    return f'band "{motion.band.name}" on pulleys {pulleys} has no path{why}'


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
    slide = row.told.slide
    ends = (None, None) if slide is None else (slide.path_at_from_mm, slide.path_at_to_mm)
    return [
        band.name,
        band.material,
        f"{band.diameter_mm:.6g}",
        " > ".join(stop.pulley for stop in band.route),
        f"{row.path_mm:.3f}",
        f"{100.0 * row.told.stretch:.6g}",
        f"{row.cut_mm:.3f}",
        f"{row.told.joint_mm:.6g}",
        f"{row.with_joint_mm:.3f}",
        *("" if length is None else f"{length:.3f}" for length in ends),
        f"{row.told.bought_diameter_mm:.3f}",
        *("" if half is None else f"{half:.3f}" for half in row.halves_mm),
    ]


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
                "joint: cord that the knot, splice or weld takes; the usual one where the file is "
                "silent.",
                *(["±: how sure, at 95 %."] if any(row.halves_mm != (None, None) for row in rows)
                  else []),
            ],
            (110.0, square_top),
        ),
    ]
    return CutSheet("bands and pulleys", tuple(items))


def _drawn_row(row: BandRow) -> list[str]:
    name, material, cord, _, path, stretch, cut, joint, total, low, high, *_ = _cells(row)
    travel = f"{low or 'no path'} to {high or 'no path'}" if row.told.slide else ""
    path, cut, total = (
        with_sure(length, half, "{:.1f}".format)
        for length, half in zip((path, cut, total), (*row.halves_mm, row.halves_mm[1]), strict=True)
    )
    return [name, material, cord, path, stretch, cut, joint, total, travel]


def _pulley_rows(solution: Solution) -> list[list[str]]:
    design = solution.design
    rows = []
    for wheel in wheels(design):
        for pulley in wheel.pulleys:
            words = groove_words(design, pulley).removeprefix(f"{pulley.name}: ").rstrip(".")
            rows.append([pulley.name, pulley.shaft, f"{wheel.bore_mm:.4g}", words])
    return rows


def renewing(design: Design) -> tuple[str, ...]:
    """Return what is done with the bands that no slide, weight or spring takes up as they grow."""
    held = [b.name for b in design.bands if b.tension is None and not any(
        design.shaft(design.pulley(s.pulley).shaft).slide for s in b.route
    )]  # fmt: skip
    if not held:
        return ()
    names = ", ".join(f'"{name}"' for name in held)
    return (
        f"Nothing slides to take up {names} as it grows: once it hangs slack and slips, open its "
        "joint, cut off what it has grown and join it again to the length in the table, or put on "
        "a new one. Make one more of each now, by the same pegs.",
    )
