"""Print for people: sentences that are wrapped, tables that become lists where they do not fit.

Nothing is cut off to fit a narrow terminal. Colour and bold only on a terminal, and neither where
``NO_COLOR`` is set or the terminal is a dumb one.
"""

from __future__ import annotations

import os
import re
import shutil
import sys
import textwrap
import unicodedata
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TextIO

from wheelgeo.errors import OutputError

WIDTH = 100
"""Columns of what is not a terminal: a file, or another program."""

STYLES = {"bold": "1", "bold red": "1;31", "yellow": "33", "cyan": "36", "dim": "2"}
"""Select Graphic Rendition parameters (ECMA-48, 8.3.117) of the styles in use."""


def cell_width(text: str) -> int:
    """Return how many columns a text takes: two for wide letters, none for combining marks."""
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1
        for c in text
    )


def set_to(text: str, width: int, right: bool = False) -> str:
    """Return a text filled with blanks to a width."""
    blanks = " " * max(width - cell_width(text), 0)
    return blanks + text if right else text + blanks


@dataclass
class ScreenTable:
    """Rows under headings; a heading that starts with ``>`` stands over numbers, set right."""

    headings: tuple[str, ...]
    rows: list[tuple[str, ...]] = field(default_factory=list)

    def add_row(self, *cells: str) -> None:
        """Add a row; a cell may have several lines."""
        self.rows.append(cells)

    def lines(self, width: int) -> list[str]:
        """Return the table in lines no wider than that: as a list of parts where it must be."""
        heads = [h.lstrip(">") for h in self.headings]
        columns = list(zip(heads, *self.rows, strict=True))
        widths = [max(cell_width(line) for c in cells for line in c.split("\n"))
                  for cells in columns]  # fmt: skip
        whole = sum(widths) + 2 * (len(widths) - 1)
        if whole > width:
            return [piece for line in self._as_list(heads) for piece in wrapped(line, width)]
        rights = [h.startswith(">") for h in self.headings]
        made = [_row(heads, widths, rights), "─" * whole]
        for row in self.rows:
            cells = [cell.split("\n") for cell in row]
            for i in range(max(len(cell) for cell in cells)):
                pieces = [cell[i] if i < len(cell) else "" for cell in cells]
                made.append(_row(pieces, widths, rights))
        return made

    def _as_list(self, heads: list[str]) -> list[str]:
        """Return each row as its first cell, and under it what the headings say of it."""
        made = []
        for row in self.rows:
            made.append(row[0] or "-")
            for head, cell in zip(heads[1:], row[1:], strict=True):
                first, *others = cell.split("\n")
                made += [f"  {head}: {first}", *(f"    {other}" for other in others)]
        return made


def _row(cells: list[str], widths: list[int], rights: list[bool]) -> str:
    set_cells = (set_to(c, w, r) for c, w, r in zip(cells, widths, rights, strict=True))
    return "  ".join(set_cells).rstrip()


class Terminal:
    """Where people read.

    Attributes:
        width: columns.
    """

    def __init__(self, stream: TextIO | None = None) -> None:
        self._stream = sys.stdout if stream is None else stream
        there = self._stream.isatty()
        self.width = max(shutil.get_terminal_size((80, 24)).columns, 20) if there else WIDTH
        plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
        self._styled = there and not plain

    def print(self, text: str | ScreenTable = "", style: str = "") -> None:
        """Print a table, or a text whose lines are wrapped under their own indentation."""
        if isinstance(text, ScreenTable):
            lines = text.lines(self.width)
        else:
            lines = [piece for line in text.split("\n") for piece in wrapped(line, self.width)]
        for line in lines:
            self._line(self._in_style(tamed(line), style))

    def labelled(self, label: str, text: str, style: str = "") -> None:
        """Print a text beside its label; what does not fit on the line goes on under the text."""
        label, text = tamed(label), tamed(text)
        room = max(self.width - cell_width(label), 20)
        lines = _in_pieces(text, room) or [""]
        hang = " " * cell_width(label)
        for i, line in enumerate(lines):
            head = hang if i else self._in_style(label, style)
            self._line((head + line).rstrip())

    def _in_style(self, text: str, style: str) -> str:
        if not self._styled or not style or not text.strip():
            return text
        return f"\x1b[{STYLES[style]}m{text}\x1b[0m"

    def _line(self, text: str) -> None:
        write(self._stream, text + "\n")


_TURNING = frozenset("\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""What turns the direction of writing, so that a line reads as another (Unicode, UAX 9)."""


def tamed(text: str) -> str:
    """Return a text in which nothing moves, colours or turns a terminal: such signs as escapes.

    What somebody else wrote, such as a file's name, may hold them.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        repr(c)[1:-1]
        if c != "\n" and (unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") or c in _TURNING)
        else c
        for c in text
    )


def wrapped(line: str, width: int) -> list[str]:
    """Return a line in pieces no wider than that, each with the line's own indentation."""
    if cell_width(line) <= width:
        return [line.rstrip()]
    indent = line[: len(line) - len(line.lstrip())]
    return _in_pieces(line, width, indent)


_WITHIN_NUMBER = re.compile(r"(?<=\d) (?=\d{3}\b|\d+/\d)")
"""The space in 2 064.7 and in 81 11/16."""


def _in_pieces(text: str, width: int, indent: str = "") -> list[str]:
    """Return a text in pieces; no number is parted, which would read as two, or as another."""
    held = _WITHIN_NUMBER.sub("\0", text)  # no name can hold that sign
    pieces = textwrap.wrap(
        held, width, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
    )
    return [piece.replace("\0", " ") for piece in pieces]


def write(stream: TextIO, text: str) -> None:
    """Write a text; where its reader has closed the stream, the program ends and is content.

    Raises:
        OutputError: it cannot be written, as on a disk that is full.
    """
    with told(stream):
        stream.write(text)


def say(words: str) -> None:
    """Say on standard error what went wrong; where that is closed, nobody can be told."""
    if sys.stderr is None:
        return
    try:
        print(tamed(words), file=sys.stderr, flush=True)  # noqa: T201 - this is the program's voice
    except OSError:  # its reader is gone: what still waits goes nowhere, the exit status stays
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stderr.fileno())


@contextmanager
def told(stream: TextIO) -> Iterator[None]:
    """Make an error of writing to a stream one that can be told, and let go of the stream."""
    try:
        yield
    except OSError as error:
        # what still waits to be written goes nowhere, or Python's end would complain of it
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
        if isinstance(error, BrokenPipeError):
            sys.exit(0)
        raise OutputError(f"standard output cannot be written: {error.strerror}") from error


@contextmanager
def progress_line() -> Iterator[Callable[[str], None] | None]:
    """Yield what shows how far something has come, on a terminal; None elsewhere.

    What is shown stands in one line on standard error, which is wiped at the end.
    """
    if sys.stderr is None or not sys.stderr.isatty():
        yield None
        return
    stream, width = sys.stderr, shutil.get_terminal_size((80, 24)).columns - 1

    def show(text: str) -> None:
        stream.write("\r" + set_to(text[:width], width))
        stream.flush()

    try:
        yield show
    finally:
        stream.write("\r" + " " * width + "\r")
        stream.flush()


def share_bar(done: float, whole: float, width: int = 20) -> str:
    """Return a bar that is filled as far as a job is done."""
    filled = round(width * min(done / whole, 1.0)) if whole else width
    return "█" * filled + "░" * (width - filled)
