"""Which findings on the wheel as built are told by the quick rules already."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import get_args

from wheelgeo.check.finding import Finding, Level
from wheelgeo.check.things import Thing

_OF_THE_CASE = {"outside-case", "run-hits-case"}
_CASE = [Thing(f"wall {side}") for side in ("front", "back", "left", "right")] + [Thing("floor")]
_SAME_MM = 0.01
ON_PAIRS = {"bodies-collide", "run-hits-body"}
"""Rules on pairs of bodies as built, which quick rules may tell of too."""


def not_told_by(quick: Iterable[Finding], built: Iterable[Finding]) -> Iterator[Finding]:
    """Yield what the rules on the wheel as built find, without what the quick ones tell already.

    Pulleys, rods and runs are among the bodies of both: two findings on one pair have remedies
    that differ a little, and a builder wonders which to follow. What meets deeper at an end of a
    slide is told.
    """
    levels = get_args(Level)
    told = {(_called(f), f.rule in _OF_THE_CASE): f for f in quick if f.unit == "mm"}
    for finding in built:
        twins = (told[key] for key in _as_quick_ones_have_it(finding) if key in told)
        twin = next(twins, None)
        deeper = ", slid to" in finding.says and (
            twin is None or (finding.value or 0.0) < (twin.value or 0.0) - _SAME_MM
        )
        if twin is None or deeper or levels.index(twin.level) > levels.index(finding.level):
            yield finding


def _called(finding: Finding) -> tuple[str, ...]:
    return tuple(thing.says for thing in finding.things)


def _as_quick_ones_have_it(finding: Finding) -> Iterator[tuple[tuple[str, ...], bool]]:
    """Yield what a quick rule may call the pair of a finding, and whether it is one on the case."""
    if finding.rule not in ON_PAIRS:
        return
    one, other = finding.things
    if other in _CASE:
        yield (one.says,), True
    else:
        yield (one.says, other.says), False
        yield (other.says, one.says), False
