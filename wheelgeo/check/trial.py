"""Try changes on a wheel before a remedy names them.

A change is *sound* where the finding goes, no fault comes, and no other fault grows worse.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from wheelgeo.check.changes import Change, Way
from wheelgeo.check.finding import Finding
from wheelgeo.check.subject import Find, Patience, Subject, solved
from wheelgeo.design.model import Design, Pulley, RoundGroove, Shaft, VeeGroove

Fault = tuple[str, str]
"""Rule and place of a fault."""

_GROWTH = 1.7
_ENOUGH = 2
_SAME = 1e-6
_SLOW = 6
"""A band without a path takes as long as so many trials: it is asked how far it is from one."""


@dataclass(frozen=True, slots=True)
class _Outcome:
    """A change that makes the finding go, its amount, and a fault it brings or makes worse."""

    change: Change
    amount: float
    brings: Fault | None


@dataclass(frozen=True, slots=True)
class _Trial:
    """What is to be mended: by which rule it is found, and the faults of the wheel before.

    ``rules`` and ``also`` are the rules that must not find new faults; ``through`` are the
    pulleys whose grooves reached their shafts before.
    """

    through: frozenset[str]
    find: Find
    finding: Fault
    before: Mapping[Fault, float]
    rules: tuple[Find, ...]
    also: tuple[Find, ...]
    patience: Patience

    def outcome(self, way: Way, steps: int) -> _Outcome | None:
        """Return the outcome of a change; None where it makes no sense or the finding stays."""
        amount = round(steps * way.step, 6)
        change = way.make(amount)
        if change is None or not self.patience.spend() or _through(change.design) - self.through:
            return None
        changed = solved(change.design, self.rules, on_trial=True)
        self.patience.spend(_SLOW * sum(m.path is None for m in changed.solution.bands))
        if any((f.rule, f.where) == self.finding for f in self.find(changed)):
            return None
        return _Outcome(change, amount, self._worse(changed))

    def _worse(self, changed: Subject) -> Fault | None:
        """Return the first fault that a change brings or makes worse, or None."""
        for fault, beyond in _faults(changed, self.also):
            if beyond > self.before.get(fault, -1.0) + _SAME:
                return fault
        return None

    def smallest(self, way: Way) -> _Outcome | None:
        """Return the smallest sound change of a way, or else the smallest that mends at all."""
        below, here = 0, 1
        mended: tuple[int, int, _Outcome] | None = None
        while here <= round(way.most / way.step):
            outcome = self.outcome(way, here)
            if outcome is not None and not outcome.brings:
                return self._halved(way, below, here, outcome, sound=True)
            if outcome is not None and mended is None:
                mended = (below, here, outcome)
            below, here = here, max(here + 1, int(here * _GROWTH))
        return None if mended is None else self._halved(way, *mended, sound=False)

    def _halved(self, way: Way, below: int, here: int, best: _Outcome, sound: bool) -> _Outcome:
        while here - below > 1:
            middle = (below + here) // 2
            outcome = self.outcome(way, middle)
            if outcome is None or (sound and outcome.brings):
                below = middle
            else:
                here, best = middle, outcome
        return best


def remedy(
    subject: Subject,
    find: Find,
    finding: Fault,
    ways: Iterable[Way],
    otherwise: str,
    also: tuple[Find, ...] = (),
) -> str:
    """Return the words for the smallest changes that mend a finding, each tried on the wheel.

    Args:
        subject: the wheel.
        find: the rule that yields the finding.
        finding: rule and place of the finding.
        ways: kinds of change, the likeliest first.
        otherwise: what to say where none of them mends it, or the wheel is itself on trial.
        also: rules, beside those of the table, that must not find new faults.

    Returns:
        Up to two sound changes, the smaller first; where there is none, one that mends the finding
        but not soundly, named as such; otherwise ``otherwise``. A wheel on which a great deal is
        wrong runs out of patience: its later findings get ``otherwise``.
    """
    if subject.on_trial:
        return otherwise
    known = subject.patience.found
    if finding not in known:
        known[finding] = _search(subject, find, finding, ways, also) or otherwise
    return known[finding]


def _search(
    subject: Subject, find: Find, finding: Fault, ways: Iterable[Way], also: tuple[Find, ...]
) -> str:
    """Return the words for what mends a finding; empty where nothing tried does."""
    through, before = _through(subject.design), faults_of(subject, also)
    trial = _Trial(through, find, finding, before, subject.rules, also, subject.patience)
    sound: list[_Outcome] = []
    partial: _Outcome | None = None
    for way in ways:
        outcome = trial.smallest(way)
        if outcome is not None and not outcome.brings:
            sound.append(outcome)
        partial = partial or outcome
        if len(sound) == _ENOUGH:
            break
    if sound:
        smallest_first = sorted(sound, key=lambda outcome: outcome.amount)
        return "; or ".join(dict.fromkeys(o.change.says for o in smallest_first))
    if partial is not None and partial.brings is not None:
        rule, where = partial.brings
        return f"{partial.change.says}; but see to {rule} ({where}) then"
    return ""


def _through(design: Design) -> frozenset[str]:
    """Return the pulleys whose grooves reach the shaft or the bore: no file may hold them."""
    return frozenset(p.name for p in design.pulleys if _reaches(p, design.shaft(p.shaft)))


def _reaches(pulley: Pulley, shaft: Shaft) -> bool:
    groove, bore = pulley.groove, max(shaft.diameter_mm, pulley.bore_mm or 0.0)
    if not isinstance(groove, VeeGroove | RoundGroove):
        return False
    return groove.rim_mm - 2.0 * groove.depth_mm <= bore


def faults_of(subject: Subject, also: tuple[Find, ...] = ()) -> dict[Fault, float]:
    """Return rule and place of every fault of a wheel, and how far it is beyond its limit.

    No remedies are looked for. A fault without numbers is 0 beyond.

    Args:
        subject: the wheel.
        also: rules to ask beside those of the table.
    """
    found: dict[Fault, float] = {}
    for fault, beyond in _faults(subject, also):
        found[fault] = max(beyond, found.get(fault, 0.0))
    return found


def _faults(subject: Subject, also: tuple[Find, ...]) -> Iterator[tuple[Fault, float]]:
    """Yield the faults of a wheel, rule by rule, each with how far it is beyond its limit."""
    quiet = replace(subject, on_trial=True)
    for find in (*subject.rules, *also):
        for finding in find(quiet):
            if finding.level == "fault":
                yield (finding.rule, finding.where), _beyond(finding)


def _beyond(finding: Finding) -> float:
    if finding.value is None or finding.limit is None:
        return 0.0
    return abs(finding.value - finding.limit)
