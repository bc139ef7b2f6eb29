"""What a page for people is made of: blocks of headings, tables, figures and boxes, no layout.

The same blocks become an HTML page (``sheet_html``) and a PDF (``sheet_pdf``), so that both say
the same. All text is plain and may hold anything; each backend escapes it in its own way.
"""

from __future__ import annotations

from wheelgeo.drawing.figure import PaperFigure
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class Heading:
    """A heading of a section; ``new_page``: it begins a page on paper."""

    text: str
    new_page: bool = False


@dataclass(frozen=True)
class Paragraph:
    """A paragraph of plain text."""

    text: str


@dataclass(frozen=True)
class Pairs:
    """What is called what: a short list of names and values."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Table:
    """A table.

    Attributes:
        caption: what it lists.
        head: heads of the columns.
        rows: cells, row by row; the first cell of a row names the row.
        shares: widths of the columns, relative to one another.
    """

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    shares: tuple[float, ...]


@dataclass(frozen=True)
class Listing:
    """A list, numbered where the order matters; ``boxes`` puts a box to tick before each item."""

    items: tuple[str, ...]
    numbered: bool = False
    boxes: bool = False


@dataclass(frozen=True)
class Notice:
    """A framed box that must not be overlooked: its title and its sentences."""

    title: str
    items: tuple[str, ...]


@dataclass(frozen=True)
class Picture:
    """A figure and what stands below it."""

    figure: PaperFigure
    caption: str


SHORT_ROWS = 12
"""A table with no more rows than this is not parted between pages."""

Block = Heading | Paragraph | Pairs | Table | Listing | Notice | Picture


@dataclass(frozen=True)
class Sheet:
    """A whole page for people.

    Attributes:
        title: its title.
        lead: one sentence that tells the most important.
        blocks: what stands on it, in order.
    """

    title: str
    lead: str
    blocks: tuple[Block, ...]
