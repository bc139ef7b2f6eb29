"""Jigs: a gauge for each groove, and a board to make bands on.

The *gauge* is the negative of a groove: a plate whose tongue fills the groove when its shoulders
lie on the rim. The *banding board* has two pegs for each band, at the spacing at which the band,
cut and joined and not yet stretched, lies round them without slack.
"""

from __future__ import annotations

import math

from wheelgeo.built.as_built import build
from wheelgeo.design.model import Design, Pulley, Stock
from wheelgeo.drive.train import Solution
from wheelgeo.errors import ShapeError
from wheelgeo.geometry.groove import CutGroove
from wheelgeo.geometry.path import PitchCircle, solve_path
from wheelgeo.geometry.segments import SAME_MM, chain
from wheelgeo.shop.board_parts import from_sheet
from wheelgeo.shop.built_up_parts import built_up_parts
from wheelgeo.shop.drafting import text_width_mm
from wheelgeo.shop.outlines import Circle, Label, Line, Outline, Part, rectangle
from wheelgeo.shop.parts import parts_of, sheet_thickness_mm
from wheelgeo.shop.section import PulleyPiece, wheels
from wheelgeo.shop.sheets import SAME_THICKNESS_MM, SheetLayout, lay_out
from wheelgeo.shop.tables import band_rows, with_sure
from wheelgeo.shop.worked_once import kept

SHOULDER_MM = 8.0
"""Width of the gauge beside its tongue, mm, at least."""
HANDLE_MM = 22.0
"""Height of the gauge below its shoulders, mm."""
GAUGE_MM = 3.0
"""Thickness of a gauge, mm, where no sheet decides."""
GAUGE_MOST_MM = 4.0
"""Greatest thickness of a gauge, mm: the tongue of a small groove is half a millimetre wide, and
in thicker sheet neither saw nor file makes it square. Common practice, no source."""
BLANK_OVER_MM = 6.0
"""What a turner's blank is larger than the finished piece, in diameter and in width, mm; the
blank is rounded up to whole millimetres."""
PEGS_MM = (10.0, 8.0, 6.0, 4.0, 3.0, 2.0)
"""Diameters of pegs, mm; the thickest is taken that leaves room for the band."""
BOARD_MM = 12.0
"""Thickness of the banding board, mm, where no sheet decides."""
ROW_MM = 26.0
"""From one band's pegs to the next one's, mm."""
EDGE_MM = 18.0


def everything_flat(solution: Solution) -> tuple[Part, ...]:
    """Return every part and jig that is cut from sheet, in the order in which they are laid out.

    Args:
        solution: the solved wheel.

    Raises:
        OutputError: a band has no path.
        ShapeError: a part cannot be made as asked.
    """
    design = solution.design
    flat = [p for p in parts_of(design) if from_sheet(p)]
    return (*flat, *disc_blanks(design), *groove_gauges(design), banding_board(solution))


def sheets_of(solution: Solution) -> SheetLayout:
    """Return everything flat laid out on the design's sheets, those of the file or assumed ones.

    Gauges for which no sheet at hand is thin enough are not among it: they are of an offcut.
    """
    design = solution.design

    def laid() -> SheetLayout:
        flat = everything_flat(solution)
        thin = not design.shop.sheets or _thin_mm(design) is not None
        return lay_out(design, [p for p in flat if thin or p.role != "gauge"])

    return kept(design, "sheets", laid)


def disc_blanks(design: Design) -> tuple[Part, ...]:
    """Return the discs to saw from the sheets at hand, from which pulleys are then turned."""
    blanks = []
    for wheel in wheels(design):
        stock = disc_stock(design, wheel)
        if stock is None:
            continue
        rim = max(build(design).pulleys[p.name].rim_mm for p in wheel.pulleys)
        across = math.ceil(rim + BLANK_OVER_MM - 1e-6)
        blanks.append(Part(
            name=f"{wheel.name} blank", role="blank", outside=Circle((0.0, 0.0), 0.5 * across),
            drills=(Circle((0.0, 0.0), 0.5 * wheel.bore_mm),),
            thickness_mm=stock.thickness_mm, material=stock.material,
            notes=(f"Bore it, then turn it to {rim:.4g} mm with its groove; its faces stay as the "
                   "sheet has them.",),
        ))  # fmt: skip
    return tuple(blanks)


def disc_stock(design: Design, wheel: PulleyPiece) -> Stock | None:
    """Return the sheet at hand that is as thick as a turned pulley is wide, of its material."""
    made = [build(design).pulleys[p.name] for p in wheel.pulleys]
    if wheel.layered or len(made) > 1 or built_up_parts(design, wheel):
        return None
    for stock in design.shop.sheets:
        same = abs(stock.thickness_mm - made[0].width_mm) <= SAME_THICKNESS_MM
        if same and stock.material == made[0].material.value.name:
            return stock
    return None


def _thin_mm(design: Design) -> float | None:
    """Return the thickness of the sheet at hand that gauges are cut from; None where none is."""
    thin = [s.thickness_mm for s in design.shop.sheets if s.thickness_mm <= GAUGE_MOST_MM]
    return max(thin, default=None)


def groove_gauges(design: Design) -> tuple[Part, ...]:
    """Return a gauge for each groove of a turned pulley; flat rims and layers need none."""
    gauges = []
    for wheel in wheels(design):
        for pulley in wheel.pulleys:
            groove = build(design).pulleys[pulley.name].groove
            if not wheel.layered and groove.has_mouth:
                gauges.append(_gauge(design, pulley, groove))
    return tuple(gauges)


def _gauge(design: Design, pulley: Pulley, groove: CutGroove) -> Part:
    name = f"{pulley.name} gauge"
    letters = text_width_mm(pulley.name, 3.0) + 4.0
    width = max(groove.mouth_mm + 2.0 * SHOULDER_MM, min(letters, 80.0))
    fits = letters <= width
    notes = ["Shoulders on the rim, tongue on the bottom: then the groove is right."]
    thin = _thin_mm(design)
    if design.shop.sheets and thin is None:
        notes.append("No sheet at hand is thin enough: cut it from an offcut of any stiff sheet "
                     f"of 1 to {GAUGE_MM:g} mm.")  # fmt: skip
    return Part(
        name=name,
        role="gauge",
        outside=gauge_outline(groove, width),
        labels=(Label(pulley.name, (0.0, -0.5 * HANDLE_MM), 3.0),) if fits else (),
        thickness_mm=GAUGE_MM if thin is None else thin,
        notes=tuple(notes),
    )


def gauge_outline(groove: CutGroove, width_mm: float) -> Outline:
    """Return the outline of a gauge, its shoulders on y = 0, its tongue upward.

    Args:
        groove: a groove with a mouth.
        width_mm: width of the plate.

    Raises:
        ShapeError: the groove is a flat rim, or the plate is no wider than its mouth.
    """
    half, mouth = 0.5 * width_mm, 0.5 * groove.mouth_mm
    if not groove.has_mouth or half <= mouth + SAME_MM:
        raise ShapeError("a gauge needs a groove, and shoulders beside it")
    tongue = [piece.flipped() for piece in groove.hollow()]
    below = chain((-half, 0.0), (-half, -HANDLE_MM), (half, -HANDLE_MM), (half, 0.0))
    right, left = tongue[0].start, tongue[-1].end
    return Outline((*below, Line(below[-1].end, right), *tongue, Line(left, below[0].start)))


def peg_spacing_mm(length_mm: float, cord_mm: float, peg_mm: float) -> float:
    """Return how far apart two equal pegs stand for a joined band, mm, by the path solver.

    Args:
        length_mm: length of the band's centre-line, joined and unstretched.
        cord_mm: diameter of the cord.
        peg_mm: diameter of the pegs.

    Raises:
        ShapeError: the band is too short for pegs of that size.
    """
    radius = 0.5 * (peg_mm + cord_mm)
    start = 4.0 * radius
    # between equal pegs both runs are as long as the spacing: one step is exact
    spacing = start + 0.5 * (length_mm - _round_pegs_mm(start, radius))
    if spacing <= 2.0 * radius + 1.0:
        raise ShapeError(f"a band of {length_mm:.4g} mm is too short for {peg_mm:g} mm pegs")
    return spacing


def _round_pegs_mm(spacing: float, radius: float) -> float:
    up = (0.0, 0.0, 1.0)
    pegs = [PitchCircle(f"peg {x:g}", (x, 0.0, 0.0), up, radius, 1) for x in (0.0, spacing)]
    return solve_path(pegs).length_mm


def banding_board(solution: Solution) -> Part:
    """Return the board with two peg holes for each band.

    Args:
        solution: the solved wheel.

    Raises:
        OutputError: a band has no path.
        ShapeError: a band is too short for the thinnest pegs.
    """
    drills: list[Circle] = []
    labels: list[Label] = []
    for i, row in enumerate(band_rows(solution)):
        peg, spacing = _pegs(row.cut_mm, row.band.diameter_mm)
        y = -ROW_MM * i
        drills += [Circle((x, y), 0.5 * peg) for x in (0.0, spacing)]
        length = with_sure(f"{row.cut_mm:.1f}", row.halves_mm[1], "{:.1f}".format)
        words = f"{row.band.name}: {length} mm joined, pegs {peg:g} mm, {spacing:.1f} apart"
        labels.append(Label(words, (peg + 4.0, y + 10.0), 3.0, anchor="left"))
    reach = max(drill.box[2] for drill in drills)
    words_reach = max(label.at[0] + text_width_mm(label.text, 3.0) for label in labels)
    low = -ROW_MM * (len(labels) - 1)
    right = max(reach + EDGE_MM, words_reach + 4.0)
    return Part(
        name="banding board",
        role="banding board",
        outside=rectangle((-EDGE_MM, low - EDGE_MM, right, EDGE_MM + 4.0)),
        drills=tuple(drills),
        labels=tuple(labels),
        thickness_mm=sheet_thickness_mm(solution.design, BOARD_MM),
        grain="along",
        notes=("Lay the band round its two pegs and join it: it is then as long as it must be.",),
    )


def _pegs(length_mm: float, cord_mm: float) -> tuple[float, float]:
    """Return the thickest pegs that leave them at least two diameters apart, and their spacing."""
    for peg in PEGS_MM:
        if length_mm >= (math.pi + 4.0) * (peg + cord_mm) or peg == PEGS_MM[-1]:
            return peg, peg_spacing_mm(length_mm, cord_mm, peg)
    raise AssertionError("the last peg always returns")
