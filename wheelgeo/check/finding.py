"""What a finding is: one thing a builder should know, with its number, its limit and its remedy."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal, get_args

Level = Literal["fault", "warning", "note"]
"""How grave a finding is, the gravest first."""

Facts = dict[str, Any]
"""A JSON object: text, finite numbers, None, and lists and objects of these."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding.

    Attributes:
        rule: the rule's code, lower case with hyphens.
        level: ``fault`` (do not build it so), ``warning`` (think again) or ``note``.
        where: the part or parts, by their names in the file.
        value: the number found; None where the finding has none.
        limit: the number it is held against; None likewise.
        unit: unit of both; empty where there is none.
        says: the finding in one sentence.
        remedy: what to change, with a number where there is one.
        source: where the rule or its limit comes from.
    """

    rule: str
    level: Level
    where: str
    value: float | None
    limit: float | None
    unit: str
    says: str
    remedy: str
    source: str


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return faults, then warnings, then notes, each in the order given."""
    levels = get_args(Level)
    return tuple(sorted(findings, key=lambda f: levels.index(f.level)))


def plain(value: float, digits: int = 2) -> str:
    """Return a number as a woodworker writes it: no more digits than asked for, no ``-0``.

    Example: ``plain(12.50)`` is ``"12.5"``, ``plain(-1e-14)`` is ``"0"``.
    """
    text = f"{value:.{digits}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text
