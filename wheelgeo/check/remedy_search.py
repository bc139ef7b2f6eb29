"""The search for the smallest change that mends a finding: trials, and what comes of each."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Generator, Iterator
from dataclasses import field, replace
from time import process_time
from typing import TypeVar

from wheelgeo.check.adjustments import Adjustment, Edits
from wheelgeo.check.finding import Finding, plain
from wheelgeo.check.lessening import GROWTH, Lessening
from wheelgeo.check.stood_before import stood_before
from wheelgeo.check.told_singly import THE_REST
from wheelgeo.check.wheel_under_check import (
    Find,
    Named,
    WheelUnderCheck,
)
from wheelgeo.immutable import dataclass

_T = TypeVar("_T")
Steps = Generator[None, None, _T]
"""A search that stops after every trial and every rule, to be gone on with at will."""

RATIO_CHANGE = 0.01
"""A ratio that changes by more than this fraction is told; within it, nothing is lost."""
_SAME = 1e-6
_BUILT_TRIALS = 10
_ALWAYS_WORSE = 3
"""Where what a change brings grows so many times as the change does, no larger one is tried."""
_NOT_ASKED = "whatever check finds"
"""What a change may bring that was not tried by every rule."""
_FAR_FETCHED, _NEAR_MM = 3.0, 2.0
"""Where a gentle move is known, others are tried to so many times as far, or so many millimetres:
nobody turns a wheel inside out for what a touch mends."""
_FROM_THE_FIRST = 2
"""Of so many steps at least one lessens what a change lessens at all."""
_SLOW = 6
"""A band without a path takes as long as so many trials: it is asked how far it is from one."""


@dataclass(frozen=True)
class Outcome:
    """A change that makes the finding go.

    Attributes:
        changed: the changed wheel.
        edits: the change.
        amount: how large it is.
        ratio: the ratio then; None where the spindle is not driven.
        loses: the ratio does not stay.
        brings: what makes it unsound; empty where it is sound.
        tells: what else it brings about, in words.
        faults: what was no fault, or a smaller one, and is one then; looked for at the end.
        warnings: what was neither warning nor fault and is a warning then; likewise.
        more: how many faults more there are than before; likewise.
    """

    changed: WheelUnderCheck
    edits: Edits
    amount: float
    ratio: float | None
    loses: bool
    brings: str
    tells: str
    faults: tuple[Finding, ...] = ()
    warnings: tuple[Finding, ...] = ()
    more: int = 0


@dataclasses.dataclass(slots=True)
class RemedySearch:
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

    def outcome(self, adjustment: Adjustment, steps: int) -> Steps[Outcome | None]:
        """Return the outcome of a change; None where it makes no sense or the finding stays."""
        self.beyond = None
        amount = round(steps * adjustment.step, 6)
        edits = adjustment.edits(amount) if self.may_go_on() else None
        if not edits:
            return None
        start = process_time()
        found = self._tried(edits, amount)
        self._spend(process_time() - start)
        yield
        return found

    def _tried(self, edits: Edits, amount: float) -> Outcome | None:
        self.trials -= 1
        changed = self.wheel.changed_by(edits)
        if changed is None:
            return None
        self.trials -= _SLOW * sum(m.path is None for m in changed.solution.bands)
        if any((f.rule, f.where) == self.finding for f in changed.found(self.find)):
            self.beyond = self._beyond(changed)
            return None
        old, new = self.wheel.solution.ratio, changed.solution.ratio
        loses = old is not None and (new is None or abs(new / old - 1.0) > RATIO_CHANGE)
        brings = self._leaves_wanted(old, new) or self._worse(changed)
        return Outcome(changed, edits, amount, new, loses, brings, self.tells(changed))

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
        named = next((named for find in rules for named in self._new_faults(changed, find)), None)
        return "" if named is None else f"{named[0]} ({named[1]})"

    def _new_faults(self, changed: WheelUnderCheck, find: Find) -> Iterator[Named]:
        for (rule, where), beyond in changed.faults_by(find).items():
            # The wheel as it is is asked only now: most changes bring no fault by most rules.
            before = self.wheel.faults_by(find).get((rule, where), -1.0)
            if beyond > before + _SAME and not self._not_told(find, rule, where):
                yield (rule, where)

    def _not_told(self, find: Find, rule: str, where: str) -> bool:
        """Tell whether a fault may be one of many that were not told of the wheel as it is."""
        told = self.wheel.grave_by(find)
        return (rule, THE_REST) in told and (rule, where) not in told

    def as_built(self, outcome: Outcome | None) -> Steps[Outcome | None]:
        """Return an outcome with what it brings on the wheel as built and at work, asked last."""
        return (yield from self._asked_of(outcome))[0]

    def _asked_of(
        self, outcome: Outcome | None, rules: tuple[Find, ...] = ()
    ) -> Steps[tuple[Outcome | None, tuple[Find, ...]]]:
        """Return an outcome with the first that it brings by some rules, and the rule that it is.

        Besides faults, what mends no fault may bring no new warning.

        Args:
            outcome: the outcome; one that brings a fault by the quick rules stays as it is.
            rules: what to ask; all rules where left out.
        """
        if outcome is None or outcome.brings:
            return outcome, ()
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
            self._spend(process_time() - start)
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
        return next((f"{rule} ({where})" for rule, where in self._new_grave(changed, find)), "")

    def _new_grave(self, changed: WheelUnderCheck, find: Find) -> Iterator[Named]:
        known = {self.finding, *self.wheel.grave_by(find)}
        return (n for n in changed.grave_by(find) if not any(stood_before(n, k) for k in known))

    def with_all_that_comes(self, outcome: Outcome) -> Steps[Outcome]:
        """Return an outcome with every fault and warning that it brings by all rules."""
        faults: list[Finding] = []
        warnings: list[Finding] = []
        more = 0
        last = () if self.out_of_time else self.wheel.last_rules(self.wheel, outcome.changed)
        for find in dict.fromkeys((*self.wheel.rules, *self.also, *last)):
            start = process_time()
            worse = set(self._new_faults(outcome.changed, find))
            new = set(self._new_grave(outcome.changed, find))
            for found in outcome.changed.found(find):
                named = (found.rule, found.where)
                if found.level == "fault":
                    faults += [found] if named in worse else []
                elif found.level == "warning":
                    warnings += [found] if named in new else []
            more += len(outcome.changed.faults_by(find)) - len(self.wheel.faults_by(find))
            self._spend(process_time() - start)
            yield
        return replace(outcome, faults=tuple(faults), warnings=tuple(warnings), more=more)

    def _spend(self, seconds: float) -> None:
        budget = self.wheel.budget
        budget.seconds -= seconds
        self.out_of_time = budget.seconds <= 0.0

    def each_way(self, adjustment: Adjustment, gentle_mm: float) -> Steps[list[Outcome]]:
        """Return the smallest change of a kind, one way and, where it has another, that way too.

        That way goes first in which the finding lessens. Of a sound change all is asked that it
        brings.

        Args:
            adjustment: the kind of change.
            gentle_mm: the smallest move that is known to mend it gently; ``inf`` where none is.
        """
        ways = [adjustment]
        if adjustment.back is not None:
            ahead = yield from self._left_by_a_step(adjustment)
            behind = yield from self._left_by_a_step(adjustment.back)
            ways.insert(0 if behind < ahead else 1, adjustment.back)
        found = []
        for way in ways:
            outcome = yield from self.smallest_as_built(way, gentle_mm)
            if outcome is None:
                continue
            if not outcome.brings:
                outcome = yield from self.with_all_that_comes(outcome)
                gentle_mm = min(gentle_mm, self.gentle_mm(way, outcome))
            found.append(outcome)
        return found

    @staticmethod
    def gentle_mm(adjustment: Adjustment, outcome: Outcome) -> float:
        """Return by how much a change moves something; ``inf`` where it is none that is gentle.

        A gentle one is sound, loses nothing and brings no warning.
        """
        gentle = adjustment.moves and not (outcome.brings or outcome.loses or outcome.warnings)
        return outcome.amount if gentle else math.inf

    def _left_by_a_step(self, adjustment: Adjustment) -> Steps[float]:
        """Return how far beyond its limit the finding is after one step; -1 where it is gone."""
        outcome = yield from self.outcome(adjustment, 1)
        if outcome is not None:
            return -1.0
        return math.inf if self.beyond is None else self.beyond

    def smallest_as_built(
        self, adjustment: Adjustment, gentle_mm: float = math.inf
    ) -> Steps[Outcome | None]:
        """Return the smallest change of a kind that is sound on the wheel as built too.

        The quick rules find the smallest by many trials. Where another rule forbids that one, what
        lies beyond is tried in growing steps and halved back, some trials only, by that rule; all
        of them are asked of the one that is left.

        Args:
            adjustment: the kind of change.
            gentle_mm: the smallest move that is known to mend it gently; others are tried only so
                far as they are not far-fetched beside it.
        """
        lessening = adjustment.moves and gentle_mm < math.inf
        if lessening:
            most = max(_FAR_FETCHED * gentle_mm, _NEAR_MM)
            adjustment = replace(adjustment, most=min(adjustment.most, most))
        near = yield from self.smallest(adjustment, lessening)
        best, by = yield from self._asked_of(near)
        if near is None or best is None or not by:
            return best
        first, below = best, round(near.amount / adjustment.step)
        here, last = below, round(adjustment.most / adjustment.step)
        bad, worse = _worst(best.changed, by), 0
        for _ in range(_BUILT_TRIALS):
            if best.brings and here < last:
                below, here = here, min(max(here + 1, int(here * GROWTH)), last)
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
            elif tried is not None:
                before, bad = bad, _worst(tried.changed, by)
                worse = worse + 1 if bad > before else 0
                if worse == _ALWAYS_WORSE:
                    break
        if best is first:
            return first
        whole = yield from self.as_built(best)
        return whole if whole is not None and not whole.brings else first

    def smallest(
        self, adjustment: Adjustment, lessening: bool = False
    ) -> Steps[Outcome | None]:
        """Return the smallest sound change of a kind, or else the smallest that mends at all.

        Args:
            adjustment: the kind of change.
            lessening: one that does not lessen the finding from the first is let go.
        """
        lessens = Lessening()
        lessens.at(0, self._beyond(self.wheel))
        tried, mended = [0], None
        for here in lessens.amounts(round(adjustment.most / adjustment.step)):
            outcome = yield from self.outcome(adjustment, here)
            below = max(amount for amount in tried if amount < here)
            tried.append(here)
            if outcome is None:
                lessens.at(here, self.beyond)
                if lessening and here >= _FROM_THE_FIRST and lessens.lessens() is False:
                    break
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
        return mended

    def _between(
        self,
        adjustment: Adjustment,
        lessens: Lessening,
        below: int,
        here: int,
        best: Outcome,
        sound: bool,
    ) -> Steps[Outcome]:
        """Return the smallest that does, between an amount that does not and one that does."""
        while here - below > 1 and self.may_go_on():
            # What a change brings does not lessen as the finding does: then amounts are halved.
            middle = (below + here) // 2 if sound else lessens.within(below, here)
            outcome = yield from self.outcome(adjustment, middle)
            if outcome is None or (sound and outcome.brings):
                below = middle
                if outcome is None:
                    lessens.at(middle, self.beyond)
            else:
                here, best = middle, outcome
        return best


def _worst(wheel: WheelUnderCheck, rules: tuple[Find, ...]) -> float:
    """Return how far beyond its limit the worst fault is that some rules find; 0 where none is."""
    return max((far for find in rules for far in wheel.faults_by(find).values()), default=0.0)
