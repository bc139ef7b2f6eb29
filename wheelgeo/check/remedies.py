"""Look for the smallest change that mends a finding: each is tried on the wheel before it is named.

A change is *sound* where the finding goes, no fault comes, no other fault grows worse, and a wanted
ratio is kept; what mends a warning or a note brings no new warning either. It *loses nothing* where
the ratio stays. The quick rules are asked of every trial; all the others, on the wheel as built and
at work, of what would be named.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Generator, Iterable, Iterator
from dataclasses import field, replace
from time import process_time
from typing import TypeVar

from wheelgeo.check.adjustments import Adjustment, Edits
from wheelgeo.check.edit_words import edits_in_words
from wheelgeo.check.edits import apply_edits
from wheelgeo.check.finding import Finding, Looking, Mend, Remedy, plain
from wheelgeo.check.told_singly import THE_REST
from wheelgeo.check.wheel_under_check import (
    Find,
    Named,
    WheelUnderCheck,
    impossible_places,
    wheel_under_check,
)
from wheelgeo.immutable import dataclass

_T = TypeVar("_T")
Steps = Generator[None, None, _T]
"""A search that stops after every trial and every rule, to be gone on with at will."""

RATIO_CHANGE = 0.01
"""A ratio that changes by more than this fraction is told; within it, nothing is lost."""
_GROWTH = 1.7
_FIRST, _LEAP = 3, 4
"""Beyond the first few steps an amount may become so many times as large where a finding lessens
as it grows."""
_FOLLOWED = 3
"""How often a finding that lessens is followed between two amounts before they are halved."""
_ENOUGH = 2
_SAME = 1e-6
_BUILT_TRIALS = 10
_NOT_ASKED = "whatever check finds"
"""What a change may bring that was not tried by every rule."""
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
class _Lessening:
    """How a finding lessens as a change grows, and where that leads: the secant of two trials.

    Only which amount is tried next hangs on it: each that is named was tried, and the one below it.

    Attributes:
        stays: the last two amounts at which the finding stays, in steps, each with how far beyond
            its limit it is there.
        follow: how often it may still be followed; then amounts are halved.
    """

    stays: list[tuple[int, float]]
    follow: int = _FOLLOWED

    def at(self, steps: int, beyond: float | None) -> None:
        """Take in how far beyond its limit the finding is after a change; None: not known."""
        self.stays = [] if beyond is None else [*self.stays[-1:], (steps, beyond)]

    def leads_to(self) -> int | None:
        """Return the first amount at which it should be gone; None where it does not lessen."""
        if len(self.stays) < 2:
            return None
        (a, far), (b, near) = self.stays
        if near >= far:
            return None
        return b + max(1, math.ceil(near * (b - a) / (far - near)))

    def amounts(self, last: int) -> Iterator[int]:
        """Yield the amounts to try, in steps, up to the last that makes sense.

        They grow by more than half each time, so that a large change is met in few trials, or by as
        much as it takes until a finding that lessens is gone. The last stretch, too short for
        another growing step, is asked at its middle and its end.
        """
        below, here = 0, 1
        while here <= last:
            yield here
            below, here = here, max(here + 1, int(here * _GROWTH))
            lead = self.leads_to()
            if lead is not None and _FIRST <= below and here < last:
                here = max(here, min(lead, _LEAP * below, last))
        for here in ((below + last) // 2, last):
            if here > below:
                yield here

    def within(self, below: int, here: int) -> int:
        """Return the amount to try between one at which it stays and one at which it is gone."""
        lead = self.leads_to() if self.follow > 0 else None
        if lead is None:
            return (below + here) // 2
        self.follow -= 1
        return min(max(lead, below + 1), here - 1)


@dataclasses.dataclass(slots=True)
class _RemedySearch:
    """The search for what mends one finding.

    Attributes:
        wheel: the wheel.
        find: the rule that yields the finding.
        finding: rule and place of the finding.
        grave: the finding is a fault, for whose sake a new warning is taken.
        also: rules, beside the quick ones, that must not find new faults.
        tells: words on what else a change brings about, from the changed wheel.
        trials: trials left.
        out_of_time: the wheel's time is used up.
        beyond: how far beyond its limit the finding is, of the last change that left it there.
    """

    wheel: WheelUnderCheck
    find: Find
    finding: Named
    grave: bool
    also: tuple[Find, ...]
    tells: Callable[[WheelUnderCheck], str]
    trials: int = field(init=False)
    out_of_time: bool = field(init=False)
    beyond: float | None = field(init=False, default=None)

    def __post_init__(self) -> None:
        self.trials = self.wheel.budget.trials
        self.out_of_time = self.wheel.budget.seconds <= 0.0

    def may_go_on(self) -> bool:
        """Tell whether trials and time are left."""
        return self.trials > 0 and not self.out_of_time

    def outcome(self, adjustment: Adjustment, steps: int) -> Steps[_Outcome | None]:
        """Return the outcome of a change; None where it makes no sense or the finding stays."""
        self.beyond = None
        amount = round(steps * adjustment.step, 6)
        edits = adjustment.edits(amount) if self.may_go_on() else None
        if not edits:
            return None
        start = process_time()
        found = self._tried(edits, amount)
        budget = self.wheel.budget
        budget.seconds -= process_time() - start
        self.out_of_time = budget.seconds <= 0.0
        yield
        return found

    def _tried(self, edits: Edits, amount: float) -> _Outcome | None:
        self.trials -= 1
        design = apply_edits(self.wheel.design, edits)
        if impossible_places(design) - self.wheel.impossible:
            return None
        changed = wheel_under_check(design, self.wheel.rules)
        self.trials -= _SLOW * sum(m.path is None for m in changed.solution.bands)
        if any((f.rule, f.where) == self.finding for f in changed.found(self.find)):
            self.beyond = self._beyond(changed)
            return None
        old, new = self.wheel.solution.ratio, changed.solution.ratio
        loses = old is not None and (new is None or abs(new / old - 1.0) > RATIO_CHANGE)
        brings = self._leaves_wanted(old, new) or self._worse(changed)
        return _Outcome(changed, edits, amount, new, loses, brings, self.tells(changed))

    def _beyond(self, wheel: WheelUnderCheck) -> float | None:
        """Return how far beyond its limit the finding is on a wheel; None where it has no limit."""
        named = (f for f in wheel.found(self.find) if (f.rule, f.where) == self.finding)
        return max(
            (abs(f.value - f.limit) for f in named if f.value is not None and f.limit is not None),
            default=None,
        )

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
        for find in rules:
            for (rule, where), beyond in changed.faults_by(find).items():
                # The wheel as it is is asked only now: most changes bring no fault by most rules.
                before = self.wheel.faults_by(find).get((rule, where), -1.0)
                if beyond > before + _SAME and not self._not_told(find, rule, where):
                    return f"{rule} ({where})"
        return ""

    def _not_told(self, find: Find, rule: str, where: str) -> bool:
        """Tell whether a fault may be one of many that were not told of the wheel as it is."""
        told = self.wheel.grave_by(find)
        return (rule, THE_REST) in told and (rule, where) not in told

    def as_built(self, outcome: _Outcome | None) -> Steps[_Outcome | None]:
        """Return an outcome with what it brings on the wheel as built and at work, asked last."""
        return (yield from self._asked_of(outcome))[0]

    def _asked_of(
        self, outcome: _Outcome | None, rules: tuple[Find, ...] = ()
    ) -> Steps[tuple[_Outcome | None, tuple[Find, ...]]]:
        """Return an outcome with the first that it brings by some rules, and the rule that it is.

        Besides faults, what mends no fault may bring no new warning.

        Args:
            outcome: the outcome; one that brings a fault by the quick rules stays as it is.
            rules: what to ask; all rules where left out.
        """
        if outcome is None or outcome.brings:
            return outcome, ()
        budget = self.wheel.budget
        if not rules and not self.out_of_time:
            last = self.wheel.last_rules(self.wheel, outcome.changed)
            rules = (*self.wheel.rules, *last)
        brings = "" if rules else _NOT_ASKED
        by: tuple[Find, ...] = ()
        for find in rules:
            if self.out_of_time:
                brings = _NOT_ASKED
                break
            start = process_time()
            brings = self._brought_by(outcome.changed, find)
            budget.seconds -= process_time() - start
            self.out_of_time = budget.seconds <= 0.0
            yield
            if brings:
                by = (find,)
                break
        return replace(outcome, brings=brings), by

    def _brought_by(self, changed: WheelUnderCheck, find: Find) -> str:
        """Return the first that a change brings by a rule; empty where there is none."""
        brings = self._worse_by(changed, (find,))
        if brings or self.grave:
            return brings
        known = {self.finding, *self.wheel.grave_by(find)}
        new = (named for named in changed.grave_by(find) if named not in known)
        return next((f"{rule} ({where})" for rule, where in new), "")

    def smallest_as_built(self, adjustment: Adjustment) -> Steps[_Outcome | None]:
        """Return the smallest change of a kind that is sound on the wheel as built too.

        The quick rules find the smallest by many trials. Where another rule forbids that one, what
        lies beyond is tried in growing steps and halved back, some trials only, by that rule; all
        of them are asked of the one that is left.
        """
        near = yield from self.smallest(adjustment)
        best, by = yield from self._asked_of(near)
        if near is None or best is None or not by:
            return best
        first, below = best, round(near.amount / adjustment.step)
        here, last = below, round(adjustment.most / adjustment.step)
        for _ in range(_BUILT_TRIALS):
            if best.brings and here < last:
                below, here = here, min(max(here + 1, int(here * _GROWTH)), last)
            elif not best.brings and (
                middle := (below + round(best.amount / adjustment.step)) // 2
            ) > below:
                here = middle
            else:
                break
            if not self.may_go_on():
                break
            outcome = yield from self.outcome(adjustment, here)
            tried, _ = yield from self._asked_of(outcome, by)
            if tried is not None and not tried.brings:
                best = tried
            elif not best.brings:
                below = here
        if best is first:
            return first
        whole = yield from self.as_built(best)
        return whole if whole is not None and not whole.brings else first

    def smallest(self, adjustment: Adjustment) -> Steps[_Outcome | None]:
        """Return the smallest sound change of a kind, or else the smallest that mends at all."""
        lessens = _Lessening([])
        lessens.at(0, self._beyond(self.wheel))
        below, mended = 0, None
        for here in lessens.amounts(round(adjustment.most / adjustment.step)):
            outcome = yield from self.outcome(adjustment, here)
            lessens.at(here, self.beyond)
            if outcome is not None and mended is None:
                found = (below, here, outcome)
                mended = yield from self._between(adjustment, lessens, *found, sound=False)
                if not mended.brings:
                    return mended
                below = round(mended.amount / adjustment.step)
            if outcome is not None and not outcome.brings:
                found = (below, here, outcome)
                return (yield from self._between(adjustment, lessens, *found, sound=True))
            if not self.may_go_on():
                break
            below = here
        return mended

    def _between(
        self,
        adjustment: Adjustment,
        lessens: _Lessening,
        below: int,
        here: int,
        best: _Outcome,
        sound: bool,
    ) -> Steps[_Outcome]:
        """Return the smallest that does, between an amount that does not and one that does."""
        while here - below > 1 and self.may_go_on():
            middle = lessens.within(below, here)
            outcome = yield from self.outcome(adjustment, middle)
            if outcome is None or (sound and outcome.brings):
                below = middle
                lessens.at(middle, self.beyond)
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

    def look(finding: Finding) -> Looking:
        search = _search_of(wheel, find, finding, also, tells)
        sound: list[_Outcome] = []
        partial: _Outcome | None = None
        for adjustment in adjustments:
            outcome = yield from search.smallest_as_built(adjustment)
            if outcome is not None and not outcome.brings:
                sound.append(outcome)
            partial = partial or outcome
            if sum(not o.loses for o in sound) == _ENOUGH or not search.may_go_on():
                break
        return _best(search, sound, partial, otherwise)

    return look


def _search_of(
    wheel: WheelUnderCheck,
    find: Find,
    finding: Finding,
    also: tuple[Find, ...],
    tells: Callable[[WheelUnderCheck], str],
) -> _RemedySearch:
    named = (finding.rule, finding.where)
    return _RemedySearch(wheel, find, named, finding.level == "fault", also, tells)


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
    return replace(first, says=says, others=tuple(others), alone=first.says)


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

    def look(finding: Finding) -> Looking:
        search = _search_of(wheel, find, finding, (), tells)
        tried = []
        for adjustment in adjustments:
            near = yield from search.smallest(adjustment)
            tried.append((yield from search.as_built(near)))
        mended = sorted(
            (o for o in tried if o is not None), key=lambda o: (o.brings != "", o.loses)
        )
        if not mended:
            return Remedy(otherwise + _broken_off(search))
        return _joined([search.remedy(outcome) for outcome in mended])

    return look
