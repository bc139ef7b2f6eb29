"""The search for the smallest change that mends a finding, soundly on the wheel as built too."""

from __future__ import annotations

import math
from dataclasses import replace

from wheelgeo.check.adjustments import Adjustment
from wheelgeo.check.lessening import GROWTH, Lessening
from wheelgeo.check.outcome import Outcome, new_grave
from wheelgeo.check.trials import Steps, Trials
from wheelgeo.check.wheel_under_check import Find, WheelUnderCheck
from wheelgeo.immutable import dataclass

_BUILT_TRIALS = 10
_ALWAYS_WORSE = 3
"""Where what a change brings grows so many times as the change does, no larger one is tried."""
_FAR_FETCHED, _NEAR_MM = 3.0, 2.0
"""Where a gentle move is known, others are tried to so many times as far, or so many millimetres:
nobody turns a wheel inside out for what a touch mends."""
_FROM_THE_FIRST = 2
"""Of so many steps at least one lessens what a change lessens at all."""

_TOWARDS_CLEAR, _HALVED = (1, 4, 16), 2
"""By so many steps a change is made larger that leaves a warning where a fault was, and so often
the stretch to the one that does is halved."""


@dataclass(frozen=True)
class RemedySearch:
    """The search for what mends one finding.

    Attributes:
        trials: the trials of changes to the wheel.
    """

    trials: Trials

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
                outcome = yield from self.trials.with_all_that_comes(outcome)
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
        outcome = yield from self.trials.outcome(adjustment, 1)
        if outcome is not None:
            return -1.0
        return math.inf if self.trials.beyond is None else self.trials.beyond

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
        best, by = yield from self._asked_with_room(adjustment, near)
        if near is None or best is None or not by:
            return best
        further = yield from self._further(adjustment, near, best, by)
        whole, _ = yield from self._asked_with_room(adjustment, further)
        return best if whole is None or whole.brings else whole

    def _further(
        self, adjustment: Adjustment, near: Outcome, worst: Outcome, by: tuple[Find, ...]
    ) -> Steps[Outcome | None]:
        """Return the smallest change beyond one that a rule forbids, and that it does not forbid.

        Args:
            adjustment: the kind of change.
            near: the smallest that mends the finding.
            worst: what of it was asked of the rule.
            by: the rule.
        """
        best, below = None, round(near.amount / adjustment.step)
        here, last = below, round(adjustment.most / adjustment.step)
        bad, worse = _worst(worst.changed, by), 0
        for _ in range(_BUILT_TRIALS):
            if best is None and here < last:
                below, here = here, min(max(here + 1, int(here * GROWTH)), last)
            elif best is not None and (
                middle := (below + round(best.amount / adjustment.step)) // 2
            ) > below:
                here = middle
            else:
                break
            if not self.trials.may_go_on():
                break
            outcome = yield from self.trials.outcome(adjustment, here)
            tried, _ = yield from self.trials.asked_of(outcome, by)
            if tried is not None and not tried.brings:
                best = tried
            elif best is not None:
                below = here
            elif tried is not None:
                before, bad = bad, _worst(tried.changed, by)
                worse = worse + 1 if bad > before else 0
                if worse == _ALWAYS_WORSE:
                    break
        return best

    def _asked_with_room(
        self, adjustment: Adjustment, just: Outcome | None
    ) -> Steps[tuple[Outcome | None, tuple[Find, ...]]]:
        """Return what all rules say of a change with room to spare, or of what just does."""
        roomy = yield from self._with_room(adjustment, just)
        asked, by = yield from self.trials.asked_of(roomy)
        if by and roomy is not just:
            tight, still = yield from self.trials.asked_of(just)
            if not still:
                return tight, still
        return asked, by

    def _with_room(self, adjustment: Adjustment, just: Outcome | None) -> Steps[Outcome | None]:
        """Return a change that is larger by what is spare than one that just does, if it does too.

        One that leaves a warning where the fault was becomes as much larger as takes that away. It
        neither brings what that does not, nor loses what that keeps. One that is not sound gets no
        room.
        """
        if just is None or just.brings:
            return just
        if self._still_warned(just):
            clear = yield from self._clear_of_warnings(adjustment, just)
            if clear is not None:
                return clear
        if just.room >= adjustment.spare:
            return just
        return (yield from self._larger(adjustment, just, adjustment.spare_steps)) or just

    def _still_warned(self, outcome: Outcome) -> bool:
        """Tell whether, of a fault, its rule or one of its kind warns after a change instead."""
        trials = self.trials
        return trials.grave and any(
            True for find in dict.fromkeys((trials.find, *trials.also))
            for _ in new_grave(trials.wheel, outcome.changed, find, (trials.finding,))
        )  # fmt: skip

    def _clear_of_warnings(self, adjustment: Adjustment, just: Outcome) -> Steps[Outcome | None]:
        """Return a larger change of which the rule warns no more, by little more; None: none."""
        below, least, clear = 0, 0, None
        for more in _TOWARDS_CLEAR:
            larger = yield from self._larger(adjustment, just, more)
            if larger is None:
                return None
            if not self._still_warned(larger):
                clear, least = larger, more
                break
            below = more
        for _ in range(_HALVED):
            middle = (below + least) // 2
            if clear is None or middle == below:
                break
            larger = yield from self._larger(adjustment, just, middle)
            if larger is None or self._still_warned(larger):
                below = middle
            else:
                clear, least = larger, middle
        return clear

    def _larger(self, adjustment: Adjustment, just: Outcome, more: int) -> Steps[Outcome | None]:
        """Return a change that is so many steps larger, if it does as well and costs no more."""
        steps = round(just.amount / adjustment.step) + more
        if steps * adjustment.step > adjustment.most:
            return None
        larger = yield from self.trials.outcome(adjustment, steps)
        if larger is None or larger.brings or (larger.loses and not just.loses):
            return None
        return replace(larger, added=larger.amount - just.amount)

    def smallest(
        self, adjustment: Adjustment, lessening: bool = False
    ) -> Steps[Outcome | None]:
        """Return the smallest sound change of a kind, or else the smallest that mends at all.

        Args:
            adjustment: the kind of change.
            lessening: one that does not lessen the finding from the first is let go.
        """
        lessens = Lessening()
        lessens.at(0, self.trials.far_beyond(self.trials.wheel))
        tried, mended = [0], None
        for here in lessens.amounts(round(adjustment.most / adjustment.step)):
            outcome = yield from self.trials.outcome(adjustment, here)
            below = max(amount for amount in tried if amount < here)
            tried.append(here)
            if outcome is None:
                lessens.at(here, self.trials.beyond)
                if lessening and here >= _FROM_THE_FIRST and lessens.lessens() is False:
                    break
            if outcome is not None and mended is None:
                found = (below, here, outcome)
                mended = yield from self._between(adjustment, lessens, *found, sound=False)
                if not mended.brings:
                    return _how_roomy(mended, lessens, adjustment.step)
                below = round(mended.amount / adjustment.step)
            if outcome is not None and not outcome.brings:
                found = (below, here, outcome)
                return (yield from self._between(adjustment, lessens, *found, sound=True))
            if not self.trials.may_go_on():
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
        while here - below > 1 and self.trials.may_go_on():
            # What a change brings does not lessen as the finding does: then amounts are halved.
            middle = (below + here) // 2 if sound else lessens.within(below, here)
            outcome = yield from self.trials.outcome(adjustment, middle)
            if outcome is None or (sound and outcome.brings):
                below = middle
                if outcome is None:
                    lessens.at(middle, self.trials.beyond)
            else:
                here, best = middle, outcome
        return best


def _worst(wheel: WheelUnderCheck, rules: tuple[Find, ...]) -> float:
    """Return how far beyond its limit the worst fault is that some rules find; 0 where none is."""
    return max((f.beyond for find in rules for f in wheel.faults_by(find).values()), default=0.0)


def _how_roomy(outcome: Outcome, lessens: Lessening, step: float) -> Outcome:
    """Return an outcome with how far beyond the edge it is, where the finding lessens up to it."""
    edge = lessens.edge()
    at_the_last = edge is not None and round(outcome.amount / step) - lessens.stays[-1][0] == 1
    return replace(outcome, room=outcome.amount - step * edge) if edge and at_the_last else outcome
