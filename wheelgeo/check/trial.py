"""Try changes on a wheel before a remedy names them: the finding must go and no fault may come."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from wheelgeo.check.changes import Change, Way
from wheelgeo.check.finding import Finding
from wheelgeo.check.subject import Subject, subject_of

Find = Callable[[Subject], Iterator[Finding]]
Fault = tuple[str, str]
"""Rule and place of a fault."""

_GROWTH = 1.4
_ENOUGH = 2


@dataclass(frozen=True, slots=True)
class _Outcome:
    """A change that makes the finding go, and the faults that it brings."""

    change: Change
    brings: tuple[Fault, ...]


def remedy(
    subject: Subject, find: Find, finding: Fault, ways: Iterable[Way], otherwise: str
) -> str:
    """Return the words for the smallest changes that mend a finding, each tried on the wheel.

    Args:
        subject: the wheel.
        find: the rule that yields the finding.
        finding: rule and place of the finding.
        ways: kinds of change, the likeliest first.
        otherwise: what to say where none of them mends it, or the wheel is itself on trial.

    Returns:
        Up to two changes that bring no other fault; where there is none, one that does, named
        as such; otherwise ``otherwise``.
    """
    if subject.on_trial:
        return otherwise
    before = faults_of(subject)
    sound: list[str] = []
    partial: _Outcome | None = None
    for way in ways:
        outcome = _smallest(way, find, finding, before)
        if outcome is not None and not outcome.brings:
            sound.append(outcome.change.says)
        partial = partial or outcome
        if len(sound) == _ENOUGH:
            break
    if sound:
        return "; or ".join(dict.fromkeys(sound))
    if partial is not None:
        rule, where = partial.brings[0]
        return f"{partial.change.says}; but that brings another fault, {rule} ({where})"
    return otherwise


def _smallest(way: Way, find: Find, finding: Fault, before: set[Fault]) -> _Outcome | None:
    """Return the smallest amount that mends and brings no fault, or the first that only mends."""
    below, here = 0, 1
    first: _Outcome | None = None
    top = round(way.most / way.step)
    while here <= top:
        outcome = _tried(way, here, find, finding, before)
        if outcome is not None and not outcome.brings:
            return _halved(way, below, here, outcome, find, finding, before)
        first = first or outcome
        below, here = here, max(here + 1, int(here * _GROWTH))
    return first


def _halved(
    way: Way, below: int, here: int, best: _Outcome, find: Find, finding: Fault, before: set[Fault]
) -> _Outcome:
    while here - below > 1:
        middle = (below + here) // 2
        outcome = _tried(way, middle, find, finding, before)
        if outcome is not None and not outcome.brings:
            here, best = middle, outcome
        else:
            below = middle
    return best


def _tried(
    way: Way, amount: int, find: Find, finding: Fault, before: set[Fault]
) -> _Outcome | None:
    """Return the outcome of a change; None where it makes no sense or the finding stays."""
    change = way.make(round(amount * way.step, 6))
    if change is None:
        return None
    changed = subject_of(change.design, on_trial=True)
    if any((f.rule, f.where) == finding for f in find(changed)):
        return None
    return _Outcome(change, tuple(sorted(faults_of(changed) - before)))


def faults_of(subject: Subject) -> set[Fault]:
    """Return rule and place of every fault of a wheel; no remedies are looked for."""
    from wheelgeo.check.table import RULES  # the table holds the rules that ask this

    quiet = Subject(subject.design, subject.solution, on_trial=True)
    return {(f.rule, f.where) for rule in RULES for f in rule.find(quiet) if f.level == "fault"}
