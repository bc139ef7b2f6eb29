"""The last band close by: how it lies on the whorl as seen from the tip, and laid the other way.

Two views side by side, each with the two runs, the way the cord moves, the sense of turning, and a
piece of the yarn that this makes: held upright its fibres slope as the middle stroke of the letter.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator

from wheelgeo.drawing.figure import PaperFigure
from wheelgeo.drawing.strokes import Ink, InkArc, Pen, Point, Stroke, Text, arrow_head, drawable
from wheelgeo.drive.lay import BandLay, laid_other_way, last_band, lays_of, other_lay
from wheelgeo.drive.train import Solution, solve_drive
from wheelgeo.geometry.vectors import Vector, cross, dot, norm, scale, sub, unit

WIDE_MM, PANEL_MM = 180.0, 90.0
"""Width of the figure on paper, and of each of its two views."""
VIEW_MM, HEAD_MM, LINE_MM = 74.0, 8.0, 4.2
RADIUS_MM = 11.0
"""Radius of the whorl's pitch circle on paper, whatever its size."""
RUN_MM = 23.0
"""Length of a run on paper."""
CAPITAL_MM = 2.2
COLUMNS = 112
_UPRIGHT = 0.9


def whorl_figure(solution: Solution) -> PaperFigure | None:
    """Return the close drawing of the last band at what it drives; None where it has no path.

    Args:
        solution: the solved wheel.
    """
    band = last_band(solution)
    lays = () if band is None else lays_of(solution, band)
    if band is None or not lays:
        return None
    other = other_lay(solution, band)
    assert other is not None  # something drives it, or it had no lays
    lines = [
        line
        for text in (f"{lays[0].says}.", f"{other.says[0].upper()}{other.says[1:]}.")
        for line in textwrap.wrap(text, COLUMNS)
    ]
    tall = VIEW_MM + HEAD_MM + LINE_MM * len(lines) + 4.0
    ink: list[Ink] = list(_view(solution, lays[0], (0.5 * PANEL_MM, tall - HEAD_MM), "As it is"))
    at = (1.5 * PANEL_MM, tall - HEAD_MM)
    changed = solve_drive(laid_other_way(solution, band))
    laid = [lay for lay in other.lays if lay.pulley == lays[0].pulley]
    head = f"{other.how[0].upper()}{other.how[1:]}"
    if laid:
        ink += _view(changed, laid[0], at, head)
    else:
        ink.append(Text(f"{head}: it cannot lie so", at, CAPITAL_MM, bold=True))
    for i, line in enumerate(lines):
        text = Text(drawable(line, COLUMNS), (0.5 * WIDE_MM, 0.0), CAPITAL_MM)
        y = tall - HEAD_MM - VIEW_MM - LINE_MM * (i + 0.5)
        # names without a space are not broken: their line is made smaller instead
        small = min(1.0, (WIDE_MM - 8.0) / text.width)
        ink.append(Text(text.text, (4.0 + 0.5 * small * text.width, y), small * CAPITAL_MM))
    title = f'{solution.design.title}: band "{band}" close by'
    return PaperFigure(WIDE_MM, tall, tuple(ink), title, " ".join(lines))


def _view(solution: Solution, lay: BandLay, top: Point, head: str) -> Iterator[Ink]:
    """Yield one view, seen with the axis towards the viewer, its head above it."""
    x, y = top
    middle = (x - 16.0, y - 0.46 * VIEW_MM)
    yield Text(f"{head}, {lay.seen}", (x, y + 2.0), CAPITAL_MM, bold=True)
    yield InkArc(middle, RADIUS_MM, 0.0, 360.0, Pen.OUTLINE)
    yield InkArc(middle, 2.0, 0.0, 360.0, Pen.OUTLINE)
    yield from _turning(middle, lay.turns == "counter-clockwise")
    yield from _band(solution, lay, middle)
    if lay.twist is not None:
        yield from _yarn((x + 38.0, middle[1] + 15.0), lay.twist)


def _band(solution: Solution, lay: BandLay, middle: Point) -> Iterator[Ink]:
    """Yield the arc on the whorl and the two runs, with arrows along the cord's travel."""
    motion = solution.band(lay.band)
    index = [s.pulley for s in motion.band.route].index(lay.pulley)
    path = motion.path
    assert path is not None  # or it would have no lay
    circle, arriving, leaving = path.circles[index], path.runs[index - 1], path.runs[index]
    right, up = _paper_axes(circle.axis)

    def flat(v: Vector) -> Point:
        return (dot(v, right), dot(v, up))

    ends: list[float] = []
    named: list[Text] = []
    for at, run, out in ((arriving.end_mm, arriving, -1.0), (leaving.start_mm, leaving, 1.0)):
        px, py = flat(scale(sub(at, circle.centre_mm), RADIUS_MM / circle.radius_mm))
        start = (middle[0] + px, middle[1] + py)
        wx, wy = flat(sub(run.end_mm, run.start_mm))
        size = math.hypot(wx, wy)
        way = (wx / size, wy / size)
        far = (start[0] + out * RUN_MM * way[0], start[1] + out * RUN_MM * way[1])
        yield Stroke((start, far), Pen.CORD)
        half = (start[0] + out * 0.55 * RUN_MM * way[0], start[1] + out * 0.55 * RUN_MM * way[1])
        yield arrow_head((half[0] + 2.5 * way[0], half[1] + 2.5 * way[1]), way, 5.0, 3.6)
        first, second = (path.circles[k].name for k in (run.first, run.second))
        words = drawable(f'from "{first}"' if out < 0.0 else f'to "{second}"', 26)
        named.append(_named(words, far, (out * way[0], out * way[1]), middle, named))
        ends.append(math.degrees(math.atan2(py, px)))
    yield from named
    turn = 1.0 if circle.sense > 0 else -1.0
    wrap = path.wraps_deg[index]
    low = ends[0] if turn > 0.0 else ends[0] - wrap
    yield InkArc(middle, RADIUS_MM, low, low + wrap, Pen.CORD)


def _named(
    words: str, far: Point, out: Point, middle: Point, others: list[Text]
) -> Text:
    """Return a word beyond the end of its run, within its view and clear of other words."""
    text = Text(words, far, CAPITAL_MM)
    level = abs(out[0]) > 0.8  # beside a level run there is room above or below its end only
    gone = 0.0 if level else abs(out[0]) * (0.5 * text.width + 1.5) + abs(out[1]) * 2.6
    x, y = far[0] + out[0] * gone, far[1] + out[1] * gone
    y += math.copysign(3.4, far[1] - middle[1]) if level else 0.0
    x = min(max(x, middle[0] - 28.0 + 0.5 * text.width), middle[0] + 46.0 - 0.5 * text.width)
    for other in others:
        near = abs(other.at[0] - x) < 0.5 * (other.width + text.width) + 1.0
        if near and abs(other.at[1] - y) < LINE_MM:
            y = other.at[1] + math.copysign(LINE_MM, y - other.at[1])
    return Text(words, (x, y), CAPITAL_MM)


def _paper_axes(axis: Vector) -> tuple[Vector, Vector]:
    """Return right and up on paper for who has the axis towards him; up is up, else the back."""
    pole = (0.0, 1.0, 0.0) if abs(axis[2]) > _UPRIGHT else (0.0, 0.0, 1.0)
    right = unit(cross(pole, axis))
    up = cross(axis, right)
    return right, scale(up, 1.0 / norm(up))


def _turning(middle: Point, counter_clockwise: bool) -> Iterator[Ink]:
    """Yield the arrow that shows which way the whorl turns."""
    arc = InkArc(middle, 0.58 * RADIUS_MM, 30.0, 150.0, Pen.ARROW)
    yield arc
    angle = 150.0 if counter_clockwise else 30.0
    turn = math.radians(angle)
    sign = 1.0 if counter_clockwise else -1.0
    yield arrow_head(arc.at(angle), (-sign * math.sin(turn), sign * math.cos(turn)), 3.2, 2.6)


def _yarn(middle: Point, twist: str) -> Iterator[Ink]:
    """Yield a piece of yarn, held upright, whose fibres slope as the letter's middle stroke."""
    x, y = middle
    half, lean = 2.2, (1.0 if twist == "Z" else -1.0)
    for side in (-half, half):
        yield Stroke(((x + side, y - 12.0), (x + side, y + 12.0)), Pen.FINE)
    for step in range(-5, 5):
        low = y + 2.2 * step
        yield Stroke(((x - lean * half, low), (x + lean * half, low + 2.8)), Pen.FINE)
    yield Text(f"{twist} twist", (x, y - 16.0), CAPITAL_MM, bold=True)
