"""How the remedies of one wheel are told beside each other: each way alone, the same ones once.

Of one cause there are several findings, and what mends one mends others: whoever reads the list
should see where to begin.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from wheelgeo.check.edits import Edit
from wheelgeo.check.finding import Finding, Remedy
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class ToldWay:
    """One thing to do about a finding.

    Attributes:
        says: what, in words.
        way: what is done; None where these words only point to where it is told.
    """

    says: str
    way: Remedy | None


def told_ways(
    findings: Sequence[Finding], *, look: bool, numbered: bool = True
) -> Iterator[tuple[ToldWay, ...]]:
    """Yield of every finding what to do about it, each way alone; nothing where that is not known.

    A remedy of the same edits as one before is told by the number of that finding.

    Args:
        findings: the findings of a wheel, in the order in which they are told.
        look: remedies that are not known yet are looked for.
        numbered: they are told with their numbers, by which others are called, counted from 1.
    """
    before: dict[frozenset[tuple[Edit, ...]], int] = {}
    number = _numbers(findings)
    for place, finding in enumerate(findings):
        if not finding.look_for_remedy(math.inf if look else 0.0):
            yield ()
            continue
        each = finding.remedy.each
        done = frozenset(way.edits for way in each if way.edits)
        first = before.setdefault(done, place) if done else place
        ways = [
            ToldWay(_said(way, number) if numbered else way.says, way) for way in each
            if first == place or not way.edits
        ]  # fmt: skip
        if first != place:
            ways.append(ToldWay(_as_for(findings[first], first + 1 if numbered else None), None))
        yield tuple(ways)


def begin_with(findings: Sequence[Finding]) -> str:
    """Return with which finding to begin: that whose remedy cures most others; else empty.

    Args:
        findings: the findings of a wheel, in the order in which they are told; those whose remedies
            are not known yet are passed over.
    """
    number = _numbers(findings)
    known = (f for f in findings if f.look_for_remedy(0.0) and f.remedy.sound)
    cures = {number[f.named]: _listed(f.remedy, number) for f in known}
    most = max(cures, key=lambda n: (len(cures[n]), -n), default=None)
    if most is None or not cures[most]:
        return ""
    return f"Begin with {most}: its remedy also cures {_in_a_row(cures[most])}"


def _numbers(findings: Sequence[Finding]) -> dict[tuple[str, str], int]:
    """Return the number of each finding, from 1, by rule and place; of several, the first."""
    return {f.named: len(findings) - n for n, f in enumerate(reversed(findings))}


def _listed(remedy: Remedy, number: dict[tuple[str, str], int]) -> list[int]:
    return sorted(number[one.named] for one in remedy.cures if one.named in number)


def _said(way: Remedy, number: dict[tuple[str, str], int]) -> str:
    cures = _listed(way, number)
    if not way.alone:
        return way.says
    return way.alone + (f"; also cures {_in_a_row(cures)}" if cures else "")


def _as_for(finding: Finding, number: int | None) -> str:
    return f"as for {number}" if number is not None else f"as for {finding.rule}, {finding.where}"


def _in_a_row(numbers: Sequence[int]) -> str:
    """Return numbers in words: ``_in_a_row([2, 4, 5])`` is ``"2, 4 and 5"``."""
    *first, last = map(str, numbers)
    return f"{', '.join(first)} and {last}" if first else last


__all__ = ["ToldWay", "begin_with", "told_ways"]
