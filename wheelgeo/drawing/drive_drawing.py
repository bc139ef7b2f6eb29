"""The drawing of the whole drive: a sheet with plan, side and isometric view, and single figures.

Bands as they run with arrows of travel, senses of rotation, names, centre distances, rims and
case. Lines are told apart by width and dashes alone, so that any printer will do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Literal

from wheelgeo.drawing.compose import Composed, Traced, compose, traced
from wheelgeo.drawing.figure import PaperFigure, svg_text
from wheelgeo.drawing.scene import Scene
from wheelgeo.drawing.scene_of_wheel import scene_of
from wheelgeo.drawing.strokes import Box, Ink, Pen, Point, Stroke, Text, bounds, drawable, moved
from wheelgeo.drawing.view import ISOMETRIC, PLAN, View, side_view
from wheelgeo.drive.train import Solution
from wheelgeo.errors import LayoutError
from wheelgeo.immutable import dataclass
from wheelgeo.units.written import LengthUnit, LengthWriter, length_writer, unit_note

SHEETS_MM = {
    "A3": (420.0, 297.0), "A2": (594.0, 420.0), "A1": (841.0, 594.0), "A0": (1189.0, 841.0),
}  # fmt: skip
"""Sheets, lying (ISO 216), the smallest first that has room for all labels.

A3 printed on A4, at 71 %, has its smallest letters 1.6 mm high.
"""
LEAST_VIEW_MM = 60.0
"""A drive is not drawn smaller than this on paper, mm; it gets a larger sheet."""
BORDER_MM = 10.0
STRIP_MM = 16.0
CAPITAL_MM = 2.3
"""Height of a capital on the sheet, mm of paper."""
SCALES = (
    100.0,
    50.0,
    20.0,
    10.0, 5.0, 2.0, 1.0, 1 / 1.5, 1 / 2.0, 1 / 2.5, 1 / 3.0, 1 / 4.0, 1 / 5.0, 1 / 6.0, 1 / 8.0,
    1 / 10.0, 1 / 12.0, 1 / 15.0, 1 / 20.0, 1 / 25.0, 1 / 50.0, 1 / 100.0, 1 / 200.0, 1 / 500.0,
)  # fmt: skip
"""Scales of a drawing, paper over model, largest first."""


@dataclass(frozen=True)
class _Cell:
    """A view in its cell of the sheet."""

    composed: Composed
    scale: float
    cell: Box

    @property
    def fits(self) -> bool:
        """Whether the view stands within its cell."""
        x1, y1, x2, y2 = self.composed.box
        wide, tall = (x2 - x1) * self.scale, (y2 - y1) * self.scale
        return wide <= self.cell[2] - self.cell[0] and tall <= self.cell[3] - self.cell[1]

    def ink(self) -> list[Ink]:
        """Return its ink on paper, in the middle of the cell."""
        x1, y1, x2, y2 = self.composed.box
        middle = (0.5 * (self.cell[0] + self.cell[2]), 0.5 * (self.cell[1] + self.cell[3]))
        shift = (
            middle[0] - 0.5 * (x1 + x2) * self.scale,
            middle[1] - 0.5 * (y1 + y2) * self.scale,
        )
        return [moved(i, self.scale, shift) for i in self.composed.ink]


CAPTION_MM = 4.0 + 4.2 * CAPITAL_MM
"""What a cell is higher than its view, which stands in its middle: half of it is the caption's."""


def drive_sheet(solution: Solution, unit: LengthUnit = "mm") -> PaperFigure:
    """Return the drawing sheet of a drive: three views and a title strip.

    Args:
        solution: the solved wheel.
        unit: how lengths are written.

    Raises:
        LayoutError: no sheet has room for it.
    """
    scene = scene_of(solution)
    name, scale, cells = _arrange(scene, unit)
    sheet = SHEETS_MM[name]
    x1, y1, x2, y2 = _area(sheet)
    ink: list[Ink] = [_frame((x1, y1 - STRIP_MM, x2, y2)), Stroke(((x1, y1), (x2, y1)), Pen.FRAME)]
    for cell in cells:
        ink += cell.ink()
        ink.append(_caption(cell))
    ink += _strip(scene, f"{scale_text(scale)} on {name}", unit, sheet)
    title = f"{drawable(scene.title)}: drawing of the drive"
    return PaperFigure(*sheet, tuple(ink), title, describe(solution))


def _area(sheet: Point) -> Box:
    """Return the part of the sheet that views have."""
    return (BORDER_MM, BORDER_MM + STRIP_MM, sheet[0] - BORDER_MM, sheet[1] - BORDER_MM)


def _frame(box: Box) -> Stroke:
    x1, y1, x2, y2 = box
    return Stroke(((x1, y1), (x2, y1), (x2, y2), (x1, y2), (x1, y1)), Pen.FRAME)


def _arrange(scene: Scene, unit: LengthUnit) -> tuple[str, float, list[_Cell]]:
    """Return the smallest sheet with room for all, the largest scale on it, and the cells."""
    composed = _composed_once(length_writer(unit))
    both = [traced(scene, view) for view in (PLAN, side_view(scene))]
    for name, sheet in SHEETS_MM.items():
        for scale in SCALES:
            if any(_hopeless(lines, scale, sheet) for lines in both):
                continue
            if max(_extent(lines, scale) for lines in both) < LEAST_VIEW_MM:
                break
            # labels only make a view larger: where the bare lines have no room, none are laid out
            if _rows([_bare(lines, scale) for lines in both], _area(sheet)) is None:
                continue
            cells = _cells(both, scale, sheet, composed)
            if cells is not None:
                return name, scale, cells
    raise LayoutError("no sheet has room for the drawing of the drive and its labels")


_Compose = Callable[[Traced, float], Composed]
"""Draws a view at a scale."""


def _composed_once(lengths: LengthWriter) -> _Compose:
    """Return what draws a view at a scale; kept, since a larger sheet is tried at the same ones."""
    drawn: dict[tuple[View, float], Composed] = {}

    def composed(lines: Traced, scale: float) -> Composed:
        key = lines.view, scale
        if key not in drawn:
            measured = lines.view is not ISOMETRIC
            drawn[key] = compose(lines, CAPITAL_MM / scale, lengths, measured)
        return drawn[key]

    return composed


def _cells(
    both: Sequence[Traced], scale: float, sheet: Point, composed: _Compose
) -> list[_Cell] | None:
    """Return plan, side and isometric view in their cells, or None where they do not fit."""
    plan, side = both
    first = composed(plan, scale)
    # no label is laid out of a view that without any has no room beside the other
    if _rows([_size(first, scale), _bare(side, scale)], _area(sheet)) is None:
        return None
    views = [first, composed(side, scale)]
    boxes = _rows([_size(view, scale) for view in views], _area(sheet))
    if boxes is None:
        return None
    third = _isometric(plan.scene, boxes[2], composed)
    if third is None:
        return None
    return [*(_Cell(v, scale, box) for v, box in zip(views, boxes, strict=False)), third]


def _whole(lines: Traced) -> Box:
    """Return the box round the drive and its case, mm of the model."""
    return bounds([*lines.case, *(p.ink for p in lines.pieces)])


def _extent(lines: Traced, scale: float) -> float:
    x1, y1, x2, y2 = _whole(lines)
    return max(x2 - x1, y2 - y1) * scale


def _bare(lines: Traced, scale: float) -> Point:
    x1, y1, x2, y2 = _whole(lines)
    return (x2 - x1) * scale + 4.0, (y2 - y1) * scale + CAPTION_MM


def _hopeless(lines: Traced, scale: float, room: Point) -> bool:
    """Tell whether the drive and its case alone, without a label, are too large at a scale."""
    x1, y1, x2, y2 = _whole(lines)
    label = 8.0 * CAPITAL_MM
    return (x2 - x1) * scale + label > room[0] or (y2 - y1) * scale + label > room[1]


def _size(composed: Composed, scale: float) -> Point:
    x1, y1, x2, y2 = composed.box
    return ((x2 - x1) * scale + 4.0, (y2 - y1) * scale + CAPTION_MM)


def _rows(sizes: Sequence[Point], area: Box) -> tuple[Box, Box, Box] | None:
    """Return cells for plan, side and isometric view, or None where they do not fit."""
    (wp, hp), (ws, hs) = sizes
    x1, y1, x2, y2 = area
    wide, tall = x2 - x1, y2 - y1
    if max(wp, ws) <= 0.62 * wide and hp + hs <= tall:
        x, y = x1 + max(wp, ws), y2 - tall * hp / (hp + hs)
        return (x1, y, x, y2), (x1, y1, x, y), (x, y1, x2, y2)
    if wp + ws <= 0.66 * wide and max(hp, hs) <= tall:
        x, y = x1 + wp, x1 + wp + ws
        return (x1, y1, x, y2), (x, y1, y, y2), (y, y1, x2, y2)
    if wp + ws <= wide and max(hp, hs) <= 0.55 * tall:
        x, y = x1 + wide * wp / (wp + ws), y2 - max(hp, hs)
        return (x1, y, x, y2), (x, y, x2, y2), (x1, y1, x2, y)
    return None


def _isometric(scene: Scene, cell: Box, composed: _Compose) -> _Cell | None:
    """Return the isometric view at the largest scale that its cell has room for, or None."""
    inner = (cell[0] + 2.0, cell[1] + 2.0, cell[2] - 2.0, cell[3] - 3.0 * CAPITAL_MM)
    lines, room = traced(scene, ISOMETRIC), (inner[2] - inner[0], inner[3] - inner[1])
    for scale in SCALES:
        if not _hopeless(lines, scale, room):
            placed = _Cell(composed(lines, scale), scale, inner)
            if placed.fits:
                return placed
    return None


def _caption(cell: _Cell) -> Text:
    name = f"{cell.composed.view.name}  {scale_text(cell.scale)}"
    text = Text(name, (0.0, 0.0), CAPITAL_MM)
    x1, y2 = cell.cell[0] + 3.0, cell.cell[3] - 2.0 * CAPITAL_MM
    if cell.composed.view is ISOMETRIC:
        y2 += 3.0 * CAPITAL_MM
    return Text(name, (x1 + 0.5 * text.width, y2), CAPITAL_MM)


def scale_text(scale: float) -> str:
    """Return a scale as drawings write it, 1:2.5 or 2:1."""
    return f"{scale:g}:1" if scale > 1.0 else f"1:{1.0 / scale:g}"


def _strip(scene: Scene, scale: str, unit: LengthUnit, sheet: Point) -> Iterable[Ink]:
    """Yield the title strip: title, scale and unit, and how to read the lines."""
    x1, y1, x2, _ = _area(sheet)
    upper, lower = y1 - 0.34 * STRIP_MM, y1 - 0.72 * STRIP_MM
    title = Text(drawable(scene.title, 48), (0.0, 0.0), 3.5, bold=True)
    yield Text(title.text, (x1 + 4.0 + 0.5 * title.width, upper - 2.5), 3.5, bold=True)
    inside = ", case sizes are inside" if scene.case is not None else ""
    notes = (
        (f"plan and side {scale}, lengths in {unit_note(unit)}{inside}", upper),
        ("heavy or hollow: bands; thin: holders; dashed: hidden; chain: case, crank, cop", lower),
    )
    for words, y in notes:
        text = Text(words, (0.0, 0.0), 2.0)
        yield Text(words, (x2 - 4.0 - 0.5 * text.width, y), 2.0)


def describe(solution: Solution) -> str:
    """Return what the drawing shows, in sentences."""
    parts = [f"Drive of {solution.design.title}."]
    for motion in solution.bands:
        names = ", ".join(stop.pulley for stop in motion.band.route)
        runs = "" if motion.path is not None else ", for which there is no path"
        parts.append(f"Band {motion.band.name} runs over {names}{runs}.")
    return " ".join(parts)


def drive_picture(solution: Solution) -> str | None:
    """Return the drive as an SVG picture for a screen; None where a band has no path."""
    if any(motion.path is None for motion in solution.bands):
        return None
    return svg_text(view_figure(solution, "isometric", "mm", 180.0, 140.0))


def view_figure(
    solution: Solution, which: Literal["plan", "side", "isometric"], unit: LengthUnit = "mm",
    width_mm: float = 180.0, tallest_mm: float = 200.0,
) -> PaperFigure:  # fmt: skip
    """Return one view as a figure that is as wide as a column, or lower where it would be too tall.

    Args:
        solution: the solved wheel.
        which: the view.
        unit: how lengths are written.
        width_mm: greatest width on paper, mm.
        tallest_mm: greatest height on paper, mm.
    """
    scene = scene_of(solution)
    view = {"plan": PLAN, "side": side_view(scene), "isometric": ISOMETRIC}[which]
    lengths = length_writer(unit)
    composed, scale = _fitted(scene, view, lengths, (width_mm, tallest_mm))
    x1, y1, x2, y2 = composed.box
    wide, tall = (x2 - x1) * scale + 2.0, (y2 - y1) * scale + 2.0
    ink = tuple(moved(i, scale, (1.0 - x1 * scale, 1.0 - y1 * scale)) for i in composed.ink)
    title = f"{drawable(scene.title)}: {view.name}, {scale_text(scale)}"
    return PaperFigure(wide, tall, ink, title, describe(solution))


def _fitted(
    scene: Scene, view: View, lengths: LengthWriter, room: Point
) -> tuple[Composed, float]:
    """Return a view at the largest scale at which it keeps within a room, mm of paper.

    Where its labels never do, the smallest scale that was tried; whoever shows it makes it fit.
    """
    lines = traced(scene, view)
    found = None
    for scale in SCALES:
        if _hopeless(lines, scale, room):
            continue
        if found is not None and _extent(lines, scale) < LEAST_VIEW_MM:
            break
        found = compose(lines, CAPITAL_MM / scale, lengths, view is not ISOMETRIC), scale
        x1, y1, x2, y2 = found[0].box
        if (x2 - x1) * scale + 2.0 <= room[0] and (y2 - y1) * scale + 2.0 <= room[1]:
            break
    if found is None:
        raise LayoutError("the drive is too large to be drawn")
    return found
