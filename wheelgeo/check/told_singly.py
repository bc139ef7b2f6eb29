"""How many pairs a rule tells of one by one, and what it says of all the others.

Where hundreds of bodies stand in one place, every one of them meets every other: a hundred
thousand findings that nobody reads, and that take minutes to work out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

from wheelgeo.check.finding import Finding, advice

MOST_TOLD = 100
"""Pairs that one rule tells of singly: who has so many to mend reads no further."""
THE_REST = "all others"
"""Where the finding stands that tells how many pairs are left."""
_Near = TypeVar("_Near")


def told_singly(
    rule: str, what: str, pairs: Sequence[_Near], tell: Callable[[_Near], Iterator[Finding]]
) -> Iterator[Finding]:
    """Yield what is found of each pair up to ``MOST_TOLD``, and then how many were not asked.

    Args:
        rule: the code of the rule.
        what: what the pairs are of, plural.
        pairs: every pair that is near enough to be asked.
        tell: yields what is found of one.
    """
    told = 0
    for place, pair in enumerate(pairs):
        if told >= MOST_TOLD:
            yield the_rest(rule, what, len(pairs) - place)
            return
        for finding in tell(pair):
            told += 1
            yield finding


def the_rest(rule: str, what: str, left: int) -> Finding:
    """Return the finding that so many pairs were not asked."""
    return Finding(
        rule, "warning", THE_REST, float(left), float(MOST_TOLD), "",
        f"{left} more pairs of {what} stand so near that they may collide too; they are looked at "
        f"when the {MOST_TOLD} that are told one by one are mended",
        f"counted; {MOST_TOLD} pairs are told one by one",
        advice("mend those that are told one by one, and check again"),
    )  # fmt: skip
