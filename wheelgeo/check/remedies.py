"""Look for the smallest change that mends a finding: each is tried on the wheel before it is named.

A change is *sound* where the finding goes, no fault comes, no other fault grows worse, and a wanted
ratio is kept; what mends a warning or a note brings no new warning either. It *loses nothing* where
the ratio stays. The quick rules are asked of every trial; all the others, on the wheel as built and
at work, of what would be named.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import replace

from wheelgeo.built.stand import no_stand
from wheelgeo.check.adjustments import Adjustment
from wheelgeo.check.edit_words import edits_in_words
from wheelgeo.check.finding import (
    Cured,
    Finding,
    Looking,
    Mend,
    Remedy,
    also_cures,
    in_short,
)
from wheelgeo.check.outcome import Outcome
from wheelgeo.check.remedy_search import RemedySearch
from wheelgeo.check.trials import Steps, Trials
from wheelgeo.check.wheel_under_check import Find, WheelUnderCheck
from wheelgeo.units.in_full import part_of, plain

_ENOUGH = 2


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
        also: rules, beside the quick ones, that must not find new faults, nor warn where a fault
            was, if a little more of a change helps.
        tells: what else a change brings about, in words, from the changed wheel.

    Returns:
        A function from the finding to its remedy: up to two sound changes, first those that lose
        nothing, the smaller first; where there is none, one that mends the finding but not
        soundly, named as such; otherwise ``otherwise``.
    """

    def look(finding: Finding) -> Looking:
        trials = _trials_of(wheel, find, finding, also, tells)
        search = RemedySearch(trials)
        sound: list[Outcome] = []
        partial: list[Outcome] = []
        gentle_mm = math.inf
        for adjustment in adjustments:
            for outcome in (yield from search.each_way(adjustment, gentle_mm)):
                (partial if outcome.brings else sound).append(outcome)
                gentle_mm = min(gentle_mm, search.gentle_mm(adjustment, outcome))
            if sum(not o.loses for o in sound) >= _ENOUGH or not trials.may_go_on():
                break
        return (yield from _best(trials, sound, partial, otherwise))

    return look


def _trials_of(
    wheel: WheelUnderCheck,
    find: Find,
    finding: Finding,
    also: tuple[Find, ...],
    tells: Callable[[WheelUnderCheck], str],
) -> Trials:
    return Trials(wheel, find, finding, also, tells)


def _best(
    trials: Trials, sound: list[Outcome], partial: list[Outcome], otherwise: str
) -> Steps[Remedy]:
    """Return the remedy of what was found: sound changes before others, gentle before costly.

    One that is not sound is named only where it leaves no more faults than there are. No groove
    leaps over another where it may stay on its side at no other cost.
    """
    whole = []
    for outcome in () if sound else partial[:_ENOUGH]:
        whole.append((yield from trials.with_all_that_comes(outcome)))
    if sound:
        ranked = sorted(sound, key=lambda o: _cost(trials, o))
        stays = [o for o in ranked if not (o.past and not ranked[0].past)]
        return _joined([_remedy(trials, outcome) for outcome in stays[:_ENOUGH]])
    for outcome in whole:
        if outcome.more <= 0:
            return _remedy(trials, outcome)
    return Remedy(otherwise + _broken_off(trials))


def _cost(trials: Trials, outcome: Outcome) -> tuple[bool, bool, bool, bool, int, int, float]:
    """Return what a sound change costs, the dearest first, to put the gentlest in front.

    Of those that cost as much the one that cures most besides goes first, then the smallest.
    """
    no_stand_left = _without_a_stand(trials, outcome) != ""
    faults = sum(f.level == "fault" for f in outcome.cures)
    return (
        outcome.loses, _warns(trials, outcome), no_stand_left, bool(outcome.past),
        -faults, -len(outcome.cures), outcome.amount - outcome.added,
    )  # fmt: skip


def _warns(trials: Trials, outcome: Outcome) -> bool:
    """Tell whether a change that mends a fault brings a warning."""
    return trials.grave and bool(outcome.warnings)


def _remedy(trials: Trials, outcome: Outcome) -> Remedy:
    """Return an outcome as a remedy, in words that name what it costs and what comes of it."""
    wheel = trials.wheel
    says = edits_in_words(wheel.design, outcome.edits)
    if outcome.past:
        says += f", past {' and '.join(outcome.past)}"
    if outcome.tells:
        says += f", {outcome.tells}"
    old = wheel.solution.ratio
    if outcome.loses and old is not None and outcome.ratio is not None:
        says += f", which changes the ratio from {plain(old)} to {plain(outcome.ratio)}"
    if why := _without_a_stand(trials, outcome):
        says += f", and then make a stand of your own, since none is made for it: {why}"
    sound = not outcome.brings
    cures = tuple(Cured(f.rule, f.where, f.in_short) for f in outcome.cures)
    if not sound:
        rule, place, where = outcome.brings.partition(" (")
        known = in_short(f.in_short for f in outcome.faults)
        comes = known or f"{rule.replace('-', ' ')}{place}{where}"
        says += f"; but see to what comes of it: {comes}"
    elif _warns(trials, outcome):
        warned = in_short(f.in_short for f in outcome.warnings)
        says += f", though then it is warned that {warned}"
    whole = says + also_cures(cures)
    return Remedy(whole, outcome.edits, sound, (), wheel.design, wheel.as_wheel, says, cures)


def _without_a_stand(trials: Trials, outcome: Outcome) -> str:
    """Return why a change leaves a wheel without the stand that is made for it; else empty."""
    wheel, changed = trials.wheel, outcome.changed
    own = changed.design.stand is not None and changed.design.stand.kind == "own"
    if own or wheel.design.case is not None or no_stand(wheel.solution.built):
        return ""
    return no_stand(changed.solution.built)


def _broken_off(trials: Trials) -> str:
    if trials.out_of_time:
        return (
            " (no change is named: on a wheel with so much to mend the search was broken off; mend "
            "the first findings and check again)"
        )
    return " (no change is named: the search was broken off)" if not trials.may_go_on() else ""


def _joined(remedies: list[Remedy]) -> Remedy:
    """Return remedies of one finding as one: the first, and the others beside it."""
    first, *others = remedies
    says = "; or ".join(dict.fromkeys(part_of(r.says) for r in remedies))
    return replace(first, says=says, others=tuple(others))


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
        trials = _trials_of(wheel, find, finding, (), tells)
        tried = []
        for adjustment in adjustments:
            near = yield from RemedySearch(trials).smallest(adjustment)
            whole = yield from trials.as_built(near)
            if whole is not None and not whole.brings:
                whole = yield from trials.with_all_that_comes(whole)
            tried.append(whole)
        mended = sorted(
            (o for o in tried if o is not None),
            key=lambda o: (o.brings != "", o.loses, _without_a_stand(trials, o) != ""),
        )
        if not mended:
            return Remedy(otherwise + _broken_off(trials))
        return _joined([_remedy(trials, outcome) for outcome in mended])

    return look
