"""Where parts go on paper: small ones side by side on a page, large ones over several pages.

Glossary: the *window* is the part of a page that is drawn on; a *tile* is one window of a part
larger than a page, neighbours share an *overlap*. All lengths in millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from wheelgeo.immutable import dataclass
from wheelgeo.shop.drafting import text_width_mm
from wheelgeo.shop.outlines import Circle, Part, Place, Point
from wheelgeo.units.in_full import Told, full

Paper = Literal["A4", "Letter"]

PAPERS_MM: dict[Paper, Point] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height of a page (ISO 216; ANSI/ASME Y14.1)."""
EDGE_MM = 12.0
"""Margin that no printer reaches, mm."""
HEAD_MM = 12.0
FOOT_MM = 26.0
"""Room for the head of a page and for the bars and the map at its foot, mm."""
OVERLAP_MM = 10.0
"""What neighbouring tiles share, mm."""
SPACING_MM = 6.0
NAME_MM = 3.0
"""Height of a part's name, mm; it stands below the part."""
CAPTION_MM = 4.0 * NAME_MM
"""Room below a part for its name and what it is."""
CROSS_MM = 4.0
"""Reach of the cross at a mark."""


@dataclass(frozen=True)
class Tile:
    """Which tile of how many: column and row from 0, the lowest row first."""

    column: int
    row: int
    columns: int
    rows: int

    @property
    def name(self) -> str:
        """Column letter and row number from the top, as on the page map."""
        return f"{_letters(self.column)}{self.rows - self.row}"


@dataclass(frozen=True)
class Page:
    """One page.

    Attributes:
        parts: the parts where they lie, the window's lower left corner being the origin.
        tile: which tile of its part it is; None where it holds whole parts.
    """

    parts: tuple[Part, ...]
    tile: Tile | None


def _letters(number: int) -> str:
    head, rest = divmod(number, 26)
    return (_letters(head - 1) if head else "") + chr(ord("A") + rest)


def window_mm(paper: Paper) -> Point:
    """Return width and height of the window of a page, mm."""
    width, height = PAPERS_MM[paper]
    return width - 2.0 * EDGE_MM, height - 2.0 * EDGE_MM - HEAD_MM - FOOT_MM


def pages_of(parts: Sequence[Part], paper: Paper) -> tuple[Page, ...]:
    """Return the pages for some parts: whole parts first, then the tiled ones in their order.

    Args:
        parts: the parts; each is drawn once, however many of it are needed.
        paper: size of the paper.
    """
    window = window_mm(paper)
    whole = [p for p in (_upright_in(part, window) for part in parts) if p is not None]
    large = [part for part in parts if _upright_in(part, window) is None]
    pages = _shelves(whole, window)
    for part in large:
        pages += _tiles(part, window)
    return tuple(pages)


def shown_name(part: Part) -> str:
    """Return what is written below a part: faces and half-sections say which they are."""
    name = f"{part.name}, {part.role}" if part.role in ("face", "section") else part.name
    return f"{name} (cut {part.quantity})" if part.quantity > 1 else name


def described(part: Part) -> str:
    """Return its size, material and grain, and how it lies, as a page carries it.

    Size is along and across the page as the part lies on it, then its thickness.
    """
    x1, y1, x2, y2 = part.box
    said = [f"{full(x2 - x1)} × {full(y2 - y1)} mm"]
    said += [] if part.thickness_mm is None else [f"{full(part.thickness_mm)} mm thick"]
    said += [part.material] if part.material else []
    quarter = round(part.turned_deg / 90.0) % 4
    if part.grain == "along":
        said.append("grain up and down" if quarter % 2 else "grain from side to side")
    if part.sides:
        # turned by a quarter, the edge that was on the right is the upper one
        _, _, left, low = (part.sides[(i - quarter) % 4] for i in range(4))
        said.append(f"seen from the {part.sides[4]}: {left} at left, {low} below")
    return Told(", ".join(said))


def _needs(part: Part) -> Point:
    """Return the room that a part takes with its name and what it is in two lines below it."""
    x1, y1, x2, y2 = part.box
    wide = max(text_width_mm(words, NAME_MM) for words in (shown_name(part), described(part)))
    return max(x2 - x1, wide), y2 - y1 + CAPTION_MM


def _upright_in(part: Part, window: Point) -> Part | None:
    """Return a part as it fits the window, turned by 90 degrees where only so; None otherwise."""
    for turned in (part, part.moved(Place(turn_deg=90.0))):
        x1, y1, x2, y2 = turned.box
        if x2 - x1 <= window[0] and y2 - y1 + CAPTION_MM <= window[1]:
            return turned
    return None


def _shelves(parts: Sequence[Part], window: Point) -> list[Page]:
    """Fill pages row by row from the top, the tallest parts first."""
    pages: list[list[Part]] = []
    x, y, row = 0.0, 0.0, 0.0
    for part in sorted(parts, key=lambda p: -_needs(p)[1]):
        wide, tall = _needs(part)
        if x > 0.0 and x + wide > window[0]:
            x, y, row = 0.0, y - row - SPACING_MM, 0.0
        if not pages or y - tall < 0.0:
            pages.append([])
            x, y, row = 0.0, window[1], 0.0
        x1, _, _, y2 = part.box
        pages[-1].append(part.moved(Place((x - x1, y - y2))))
        x, row = x + wide + SPACING_MM, max(row, tall)
    return [Page(tuple(page), None) for page in pages]


def _tiles(part: Part, window: Point) -> list[Page]:
    """Return the pages of a part larger than the window, turned where that takes fewer."""
    choices = [part, part.moved(Place(turn_deg=90.0))]
    cuts = [tuple(_cut(p, i, window[i]) for i in (0, 1)) for p in choices]
    best = min((0, 1), key=lambda n: cuts[n][0][0] * cuts[n][1][0])
    lying, ((columns, left), (rows, low)) = choices[best], cuts[best]
    pages = []
    for row in reversed(range(rows)):
        for column in range(columns):
            shift = (
                -left - column * (window[0] - OVERLAP_MM),
                -low - row * (window[1] - OVERLAP_MM),
            )
            tile = Tile(column, row, columns, rows)
            pages.append(Page((lying.moved(Place(shift)),), tile))
    return pages


def _cut(part: Part, i: int, window: float) -> tuple[int, float]:
    """Return how many windows cover a part along x (0) or y (1), and where the first begins.

    As few as there may be; the part lies in their middle, or as near to it as no hole and no mark
    comes onto an overlap, where paper lies on paper. One window more is taken where that parts
    them; a hole as wide as half a window is no matter of this.
    """
    start, end = part.box[i], part.box[i + 2]
    step = window - OVERLAP_MM
    least = max(1, math.ceil((end - start - OVERLAP_MM) / step - 1e-9))
    kept = [
        (c.centre[i] - c.radius_mm, c.centre[i] + c.radius_mm)
        for c in (*part.drills, *part.holes)
        if isinstance(c, Circle) and c.radius_mm < 0.25 * window
    ]
    kept += [(m[i] - CROSS_MM, m[i] + CROSS_MM) for m in part.marks]
    # what is pricked out is better whole on one page, but takes no page more
    drawn = [(s.box[i], s.box[i + 2]) for s in part.engraved]
    found: list[tuple[int, int, int, float, float]] = []
    for count in (least, least + 1):
        spare = count * step + OVERLAP_MM - (end - start)
        for n in range(-20, 21):
            first = start - 0.5 * spare * (1.0 + n / 20.0)
            seams = [first + k * step for k in range(1, count)]
            met, crossed = (
                sum(a < s + OVERLAP_MM and b > s for a, b in spans for s in seams)
                for spans in (kept, drawn)
            )
            found.append((met, count, crossed, abs(n), first))
        if found and min(found)[0] == 0:
            break
    _, count, _, _, first = min(found)
    return count, first
