"""Tables for a notebook, which shows an answer as HTML."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape


def html_table(caption: str, head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a table; every text is shown as it is, whatever signs it holds."""
    heads = "".join(f"<th>{escape(cell)}</th>" for cell in head)
    lines = "".join(
        "<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>" for row in rows
    )
    return (
        f"<table><caption>{escape(caption)}</caption><thead><tr>{heads}</tr></thead>"
        f"<tbody>{lines}</tbody></table>"
    )


def figure(value: float | None, digits: int, unit: str = "") -> str:
    """Return a number with its unit; a dash where there is none."""
    return "-" if value is None else f"{value:.{digits}f} {unit}".rstrip()
