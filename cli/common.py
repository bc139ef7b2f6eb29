"""What every command shares: reading the file, printing JSON or tables, and how to fail."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from wheelgeo.check.finding import Finding
    from wheelgeo.design.model import Design

FileArgument = Annotated[
    Path, typer.Argument(metavar="FILE", help="The design file of a wheel (TOML).")
]
JsonOption = Annotated[
    bool, typer.Option("--json", help="Print one JSON document and nothing else.")
]

LEVEL_STYLE = {"fault": "bold red", "warning": "yellow", "note": "cyan"}


def console() -> Console:
    """Return where people read: colour only on a terminal, names never taken for markup."""
    from rich.console import Console

    width = None if sys.stdout.isatty() else 100
    return Console(highlight=False, markup=False, emoji=False, width=width)


def table(*headings: str) -> Table:
    """Return an open table; headings that start with ``>`` stand over numbers, set right."""
    from rich.box import SIMPLE
    from rich.table import Table

    made = Table(box=SIMPLE, show_edge=False, pad_edge=False)
    for heading in headings:
        right = heading.startswith(">")
        made.add_column(heading.lstrip(">"), justify="right" if right else "left", no_wrap=right)
    return made


def load(file: Path) -> Design:
    """Read a design file; DesignError where it is at fault."""
    from wheelgeo.design.reader import read_design

    return read_design(file)


def print_json(document: Any) -> None:
    """Print one JSON document; a number that is not finite is a mistake of ours, and raises."""
    text = json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False)
    sys.stdout.buffer.write((text + "\n").encode("utf-8"))


INCHES = ("in", '"')
"""How a file's ``unit`` names inches."""


def length(value_mm: float | None, unit: str = "mm", digits: int = 1) -> str:
    """Return a length in millimetres and in inches to the nearest 1/64; a dash for none.

    The unit of the person's file comes first.
    """
    from wheelgeo.units import format_inches

    if value_mm is None:
        return "-"
    metric, inches = f"{value_mm:.{digits}f} mm", format_inches(value_mm)
    return f"{inches} ({metric})" if unit in INCHES else f"{metric} ({inches})"


def number(value: float | None, digits: int = 1, unit: str = "") -> str:
    """Return a number with its unit; a dash where there is none."""
    return "-" if value is None else f"{value:.{digits}f}{unit}"


def print_labelled(out: Console, label: str, text: str, style: str = "") -> None:
    """Print a text beside its label; what does not fit on the line goes on under the text."""
    from textwrap import wrap

    from rich.text import Text

    hang = " " * len(label)
    lines = wrap(
        text, max(out.width - len(label), 20), break_long_words=False, break_on_hyphens=False
    ) or [""]
    for number_, line in enumerate(lines):
        head = hang if number_ else label
        out.print(Text.assemble((head, style), line), soft_wrap=True)


def print_findings(
    out: Console,
    findings: tuple[Finding, ...],
    with_source: bool = False,
    numbered: bool = False,
) -> None:
    """Print findings, each with its level, sentence and remedy; numbered as --apply counts them."""
    for number_, finding in enumerate(findings, start=1):
        count = f"{number_:>2} " if numbered else ""
        label, hang = f"{count}{finding.level.upper():<9}", " " * len(count)
        print_labelled(out, label, f"{finding.rule}: {finding.says}.", LEVEL_STYLE[finding.level])
        print_labelled(out, f"{hang}{'':<9}Remedy: ", f"{finding.remedy.says}.")
        if with_source and finding.source:
            print_labelled(out, f"{hang}{'':<9}Source: ", f"{finding.source}.", "dim")


def count_line(findings: tuple[Finding, ...]) -> str:
    """Return how many findings there are of each level, in words."""
    counts = {level: sum(f.level == level for f in findings) for level in LEVEL_STYLE}
    parts = [f"{n} {level}{'' if n == 1 else 's'}" for level, n in counts.items() if n]
    return ", ".join(parts) or "nothing found wrong"
