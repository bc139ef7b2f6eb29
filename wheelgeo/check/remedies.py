"""Look for the smallest change that mends a finding: each is tried on the wheel before it is named.

A change is *sound* where the finding goes, no fault comes, no other fault grows worse, and a wanted
ratio is kept. It *loses nothing* where the ratio stays.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import field, replace
from time import process_time

from wheelgeo.check.adjustments import Adjustment, Edits
from wheelgeo.check.edit_words import edits_in_words
from wheelgeo.check.edits import apply_edits
from wheelgeo.check.finding import Finding, Mend, Remedy, plain
from wheelgeo.check.wheel_under_check import Find, WheelUnderCheck, wheel_under_check
from wheelgeo.design.model import Design
from wheelgeo.design.possible import faults
from wheelgeo.immutable import dataclass

Fault = tuple[str, str]
"""Rule and place of a fault."""

RATIO_CHANGE = 0.01
"""A ratio that changes by more than this fraction is told; within it, nothing is lost."""
_GROWTH = 1.7
_ENOUGH = 2
_SAME = 1e-6
_BUILT_TRIALS = 10
_SLOW = 6
"""A band without a path takes as long as so many trials: it is asked how far it is from one."""


@dataclass(frozen=True)
class _Outcome:
    """Edits that make the finding go, their amount, what they cost, and what else comes of them."""

    changed: WheelUnderCheck
    edits: Edits
    amount: float
    ratio: float | None
    loses: bool
    brings: str
    tells: str


@dataclasses.dataclass(slots=True)
class _RemedySearch:
    """The search for what mends one finding.

    Attributes:
        wheel: the wheel.
        find: the rule that yields the finding.
        finding: rule and place of the finding.
        also: rules, beside the quick ones, that must not find new faults.
        tells: words on what else a change brings about, from the changed wheel.
        before: the faults of the wheel as it is, and how far each is beyond its limit.
        through: pulleys whose grooves reach their shafts as it is.
        trials: trials left.
        out_of_time: the wheel's time is used up.
    """

    wheel: WheelUnderCheck
    find: Find
    finding: Fault
    also: tuple[Find, ...]
    tells: Callable[[WheelUnderCheck], str]
    before: Mapping[Fault, float] = field(init=False)
    impossible: frozenset[str] = field(init=False)
    trials: int = field(init=False)
    out_of_time: bool = field(init=False)

    def __post_init__(self) -> None:
        self.trials = self.wheel.budget.trials
        self.out_of_time = self.wheel.budget.seconds <= 0.0
        self.before = {} if self.out_of_time else _known_faults(self.wheel, self.also)
        self.impossible = _impossible(self.wheel.design)

    def may_go_on(self) -> bool:
        """Tell whether trials and time are left."""
        return self.trials > 0 and not self.out_of_time

    def outcome(self, adjustment: Adjustment, steps: int) -> _Outcome | None:
        """Return the outcome of a change; None where it makes no sense or the finding stays."""
        amount = round(steps * adjustment.step, 6)
        edits = adjustment.edits(amount)
        if not edits or not self.may_go_on():
            return None
        start = process_time()
        found = self._tried(edits, amount)
        budget = self.wheel.budget
        budget.seconds -= process_time() - start
        self.out_of_time = budget.seconds <= 0.0
        return found

    def _tried(self, edits: Edits, amount: float) -> _Outcome | None:
        self.trials -= 1
        design = apply_edits(self.wheel.design, edits)
        if _impossible(design) - self.impossible:
            return None
        changed = wheel_under_check(design, self.wheel.rules)
        self.trials -= _SLOW * sum(m.path is None for m in changed.solution.bands)
        if any((f.rule, f.where) == self.finding for f in self.find(changed)):
            return None
        old, new = self.wheel.solution.ratio, changed.solution.ratio
        loses = old is not None and (new is None or abs(new / old - 1.0) > RATIO_CHANGE)
        brings = self._leaves_wanted(old, new) or self._worse(changed)
        return _Outcome(changed, edits, amount, new, loses, brings, self.tells(changed))

    def _leaves_wanted(self, old: float | None, new: float | None) -> str:
        """Say that a change takes the ratio away from the wanted one; empty where it does not."""
        wanted: float | None = getattr(self.wheel.design.drive, "ratio", None)
        if wanted is None or new is None:
            return ""
        off = abs(new / wanted - 1.0)
        if off <= RATIO_CHANGE or (old is not None and off <= abs(old / wanted - 1.0) + _SAME):
            return ""
        return f"the ratio, of which {plain(wanted)} is wanted"

    def _worse(self, changed: WheelUnderCheck) -> str:
        """Return the first fault that a change brings or makes worse; empty where there is none."""
        return self._worse_by(changed, (*changed.rules, *self.also))

    def _worse_by(self, changed: WheelUnderCheck, rules: tuple[Find, ...]) -> str:
        for (rule, where), beyond in _faults(changed, rules):
            if beyond > self.before.get((rule, where), -1.0) + _SAME:
                return f"{rule} ({where})"
        return ""

    def as_built(self, outcome: _Outcome | None) -> _Outcome | None:
        """Return an outcome with what it brings on the wheel as built, asked last and once."""
        if outcome is None or outcome.brings or not self.wheel.built_rules:
            return outcome
        start = process_time()
        brings = self._worse_by(outcome.changed, self.wheel.built_rules)
        budget = self.wheel.budget
        budget.seconds -= process_time() - start
        self.out_of_time = budget.seconds <= 0.0
        return replace(outcome, brings=brings)

    def smallest_as_built(self, adjustment: Adjustment) -> _Outcome | None:
        """Return the smallest change of a kind that is sound on the wheel as built too.

        The quick rules find the smallest by many trials. Where the wheel as built forbids that
        one, what lies beyond is tried in growing steps and halved back, some trials only: each
        asks every body of the wheel.
        """
        near = self.smallest(adjustment)
        best = self.as_built(near)
        if near is None or best is None or near.brings or not best.brings:
            return best
        below = here = round(near.amount / adjustment.step)
        for _ in range(_BUILT_TRIALS):
            if best.brings:
                below, here = here, max(here + 1, int(here * _GROWTH))
            elif (middle := (below + round(best.amount / adjustment.step)) // 2) > below:
                here = middle
            else:
                break
            if here > round(adjustment.most / adjustment.step) or not self.may_go_on():
                break
            tried = self.as_built(self.outcome(adjustment, here))
            if tried is not None and not tried.brings:
                best = tried
            elif not best.brings:
                below = here
        return best

    def smallest(self, adjustment: Adjustment) -> _Outcome | None:
        """Return the smallest sound change of a kind, or else the smallest that mends at all."""
        below, here = 0, 1
        mended: tuple[int, int, _Outcome] | None = None
        # Steps grow by more than half each time, so that a large change is met in few trials;
        # the smallest is then found by halving the last step.
        while here <= round(adjustment.most / adjustment.step) and self.may_go_on():
            outcome = self.outcome(adjustment, here)
            if outcome is not None and not outcome.brings:
                return self._halved(adjustment, below, here, outcome, sound=True)
            if outcome is not None and mended is None:
                mended = (below, here, outcome)
            below, here = here, max(here + 1, int(here * _GROWTH))
        return None if mended is None else self._halved(adjustment, *mended, sound=False)

    def _halved(
        self, adjustment: Adjustment, below: int, here: int, best: _Outcome, sound: bool
    ) -> _Outcome:
        while here - below > 1 and self.may_go_on():
            middle = (below + here) // 2
            outcome = self.outcome(adjustment, middle)
            if outcome is None or (sound and outcome.brings):
                below = middle
            else:
                here, best = middle, outcome
        return best

    def remedy(self, outcome: _Outcome) -> Remedy:
        """Return an outcome as a remedy, in words that name what it costs."""
        wheel = self.wheel
        says = edits_in_words(wheel.design, outcome.edits)
        if outcome.tells:
            says += f", {outcome.tells}"
        old = wheel.solution.ratio
        if outcome.loses and old is not None and outcome.ratio is not None:
            says += f", which changes the ratio from {plain(old)} to {plain(outcome.ratio)}"
        if outcome.brings:
            says += f"; but see to {outcome.brings} then"
        sound = not outcome.brings
        return Remedy(says, outcome.edits, sound, (), wheel.design, wheel.as_wheel)


def _known_faults(wheel: WheelUnderCheck, also: tuple[Find, ...]) -> Mapping[Fault, float]:
    """Return the faults of a wheel as it is, looked for once for all its remedies."""
    start = process_time()
    known = faults_of(wheel, also)
    wheel.budget.seconds -= process_time() - start
    return known


def _nothing_to_tell(_: WheelUnderCheck) -> str:
    return ""


def mend(
    wheel: WheelUnderCheck,
    find: Find,
    adjustments: Iterable[Adjustment],
    otherwise: str,
    also: tuple[Find, ...] = (),
    tells: Callable[[WheelUnderCheck], str] = _nothing_to_tell,
) -> Mend:
    """Return what looks, when asked, for the smallest changes that mend a finding.

    Args:
        wheel: the wheel.
        find: the rule that yields the finding.
        adjustments: kinds of change, the likeliest first.
        otherwise: what to say where none of them mends it.
        also: rules, beside the quick ones, that must not find new faults.
        tells: what else a change brings about, in words, from the changed wheel.

    Returns:
        A function from the finding to its remedy: up to two sound changes, first those that lose
        nothing, the smaller first; where there is none, one that mends the finding but not
        soundly, named as such; otherwise ``otherwise``.
    """

    def look(finding: Finding) -> Remedy:
        search = _RemedySearch(wheel, find, (finding.rule, finding.where), also, tells)
        sound: list[_Outcome] = []
        partial: _Outcome | None = None
        for adjustment in adjustments:
            outcome = search.smallest_as_built(adjustment)
            if outcome is not None and not outcome.brings:
                sound.append(outcome)
            partial = partial or outcome
            if sum(not o.loses for o in sound) == _ENOUGH or not search.may_go_on():
                break
        return _best(search, sound, partial, otherwise)

    return look


def _best(
    search: _RemedySearch, sound: list[_Outcome], partial: _Outcome | None, otherwise: str
) -> Remedy:
    """Return the remedy of what was found: sound changes before others, gentle before costly."""
    if sound:
        ranked = sorted(sound, key=lambda outcome: (outcome.loses, outcome.amount))[:_ENOUGH]
        return _joined([search.remedy(outcome) for outcome in ranked])
    if partial is not None:
        return search.remedy(partial)
    return Remedy(otherwise + _broken_off(search))


def _broken_off(search: _RemedySearch) -> str:
    if search.out_of_time:
        return (
            " (no change is named: on a wheel with so much to mend the search was broken off; mend "
            "the first findings and check again)"
        )
    return " (no change is named: the search was broken off)" if not search.may_go_on() else ""


def _joined(remedies: list[Remedy]) -> Remedy:
    """Return remedies of one finding as one: the first, and the others beside it."""
    first, *others = remedies
    says = "; or ".join(dict.fromkeys(r.says for r in remedies))
    return Remedy(says, first.edits, first.sound, tuple(others), first.design, first.as_wheel)


def mend_by_each(
    wheel: WheelUnderCheck,
    find: Find,
    adjustments: Iterable[Adjustment],
    otherwise: str,
    tells: Callable[[WheelUnderCheck], str],
) -> Mend:
    """Return what tries, when asked, every one of some changes, and names each that mends.

    Args:
        wheel: the wheel.
        find: the rule that yields the finding.
        adjustments: changes of one amount each.
        otherwise: what to say where none of them mends it.
        tells: what else a change brings about, in words, from the changed wheel.
    """

    def look(finding: Finding) -> Remedy:
        search = _RemedySearch(wheel, find, (finding.rule, finding.where), (), tells)
        tried = [search.as_built(search.smallest(adjustment)) for adjustment in adjustments]
        mended = sorted(
            (o for o in tried if o is not None), key=lambda o: (o.brings != "", o.loses)
        )
        if not mended:
            return Remedy(otherwise + _broken_off(search))
        return _joined([search.remedy(outcome) for outcome in mended])

    return look


def _impossible(design: Design) -> frozenset[str]:
    """Return where a wheel is such that no file may hold it."""
    return frozenset(fault.place for fault in faults(design))


def faults_of(wheel: WheelUnderCheck, also: tuple[Find, ...] = ()) -> dict[Fault, float]:
    """Return rule and place of every fault of a wheel, and how far it is beyond its limit.

    A fault without numbers is 0 beyond.

    Args:
        wheel: the wheel.
        also: rules to ask beside the quick ones.
    """
    found: dict[Fault, float] = {}
    for fault, beyond in _faults(wheel, (*wheel.rules, *also, *wheel.built_rules)):
        found[fault] = max(beyond, found.get(fault, 0.0))
    return found


def _faults(wheel: WheelUnderCheck, rules: tuple[Find, ...]) -> Iterator[tuple[Fault, float]]:
    """Yield the faults of a wheel, rule by rule, each with how far it is beyond its limit."""
    for find in rules:
        for finding in wheel.found(find):
            if finding.level == "fault":
                yield (finding.rule, finding.where), _beyond(finding)


def _beyond(finding: Finding) -> float:
    if finding.value is None or finding.limit is None:
        return 0.0
    return abs(finding.value - finding.limit)
