"""Trials of changes that may mend a finding: a budget of them, and what comes of each."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Generator
from dataclasses import field, replace
from time import process_time
from typing import TypeVar

from wheelgeo.check.adjustments import Adjustment, Edits
from wheelgeo.check.finding import Finding
from wheelgeo.check.leaps import leapt_over
from wheelgeo.check.outcome import SAME, Outcome, cured, new_faults, new_grave
from wheelgeo.check.stood_before import stood_before
from wheelgeo.check.wheel_under_check import Find, WheelUnderCheck
from wheelgeo.units.in_full import plain

_T = TypeVar("_T")
Steps = Generator[None, None, _T]
"""A search that stops after every trial and every rule, to be gone on with at will."""

RATIO_CHANGE = 0.01
"""A ratio that changes by more than this fraction is told; within it, nothing is lost."""
_NOT_ASKED = "whatever check finds"
"""What a change may bring that was not tried by every rule."""
_SLOW = 6
"""A band without a path takes as long as so many trials: it is asked how far it is from one."""


@dataclasses.dataclass(slots=True)
class Trials:
    """Trials of changes that may mend one finding.

    Attributes:
        wheel: the wheel.
        find: the rule that yields the finding.
        finding: the finding; for the sake of a fault a new warning is taken.
        also: rules, beside the quick ones, that must not find new faults, nor warn where a fault
            was, if a little more of a change helps.
        tells: words on what else a change brings about, from the changed wheel.
        left: how many trials are left.
        out_of_time: the wheel's time is used up.
        beyond: how far beyond its limit the finding is, of the last change that left it there.
    """

    wheel: WheelUnderCheck
    find: Find
    finding: Finding
    also: tuple[Find, ...]
    tells: Callable[[WheelUnderCheck], str]
    left: int = field(init=False)
    out_of_time: bool = field(init=False)
    beyond: float | None = field(init=False, default=None)

    def __post_init__(self) -> None:
        self.left = self.wheel.budget.trials
        self.out_of_time = self.wheel.budget.seconds <= 0.0

    @property
    def grave(self) -> bool:
        """Whether it is a fault that should be mended."""
        return self.finding.level == "fault"

    def may_go_on(self) -> bool:
        """Tell whether trials and time are left."""
        return self.left > 0 and not self.out_of_time

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
        self.left -= 1
        changed = self.wheel.changed_by(edits)
        if changed is None:
            return None
        self.left -= _SLOW * sum(m.path is None for m in changed.solution.bands)
        if any(stood_before(f, self.finding) for f in changed.found(self.find)):
            self.beyond = self.far_beyond(changed)
            return None
        old, new = self.wheel.solution.ratio, changed.solution.ratio
        loses = old is not None and (new is None or abs(new / old - 1.0) > RATIO_CHANGE)
        brings = self._leaves_wanted(old, new) or self._worse(changed)
        return Outcome(changed, edits, amount, new, loses, brings, self.tells(changed))

    def far_beyond(self, wheel: WheelUnderCheck) -> float | None:
        """Return how far beyond its limit the finding is on a wheel; None where it has no limit."""
        named = (f for f in wheel.found(self.find) if stood_before(f, self.finding))
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
        if off <= RATIO_CHANGE or (old is not None and off <= abs(old / wanted - 1.0) + SAME):
            return ""
        return f"the ratio, of which {plain(wanted)} is wanted"

    def _worse(self, changed: WheelUnderCheck) -> str:
        """Return the first fault that a change brings or makes worse; empty where there is none."""
        return self._worse_by(changed, (*changed.rules, *self.also))

    def _worse_by(self, changed: WheelUnderCheck, rules: tuple[Find, ...]) -> str:
        new = (named for find in rules for named in new_faults(self.wheel, changed, find))
        return _shortly(next(new, None))

    def as_built(self, outcome: Outcome | None) -> Steps[Outcome | None]:
        """Return an outcome with what it brings on the wheel as built and at work, asked last."""
        return (yield from self.asked_of(outcome))[0]

    def asked_of(
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
        new = new_grave(self.wheel, changed, find, (self.finding,))
        return _shortly(next(new, None))

    def with_all_that_comes(self, outcome: Outcome) -> Steps[Outcome]:
        """Return an outcome with every fault and warning that it brings or cures by all rules."""
        faults: list[Finding] = []
        warnings: list[Finding] = []
        more = 0
        cures: dict[tuple[str, str], Finding] = {}
        last = () if self.out_of_time else self.wheel.last_rules(self.wheel, outcome.changed)
        for find in dict.fromkeys((*self.wheel.rules, *self.also, *last)):
            start = process_time()
            faults += new_faults(self.wheel, outcome.changed, find)
            new = new_grave(self.wheel, outcome.changed, find, (self.finding,))
            warnings += (found for found in new if found.level == "warning")
            more += len(outcome.changed.faults_by(find)) - len(self.wheel.faults_by(find))
            cures |= {f.named: f for f in cured(self.wheel, outcome.changed, find)}
            self._spend(process_time() - start)
            yield
        cures.pop(self.finding.named, None)
        return replace(
            outcome, faults=tuple(faults), warnings=tuple(warnings), more=more,
            past=leapt_over(
                self.wheel.solution.built, outcome.changed.solution.built, outcome.edits
            ),
            cures=tuple(cures.values()),
        )  # fmt: skip

    def _spend(self, seconds: float) -> None:
        budget = self.wheel.budget
        budget.seconds -= seconds
        self.out_of_time = budget.seconds <= 0.0


def _shortly(found: Finding | None) -> str:
    return "" if found is None else f"{found.rule} ({found.where})"
