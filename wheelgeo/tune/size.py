"""Find the wheel that suits a brief best, and prove that no other combination suits it better.

Boxes of combinations are opened in the order of their bounds. A combination that costs less than
the best so far is laid out and checked by every rule, and becomes the best if it has no fault; a
warning costs more than all else together. As soon as the next bound is no lower than the best, all
that is left is ruled out: the best is the best of all combinations that have no fault.

A pair of small pulleys and cords that is refused again and again is put off, so that a search does
not spend its time among wheels that fail for one reason; what was put off is looked at before
anything is called proven.

The other wheels are searched for in the same way, each with something else mattering most, and
none with all its rims like another's.
"""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace

from wheelgeo.check.finding import Finding
from wheelgeo.design.model import Design
from wheelgeo.design.possible import faults as can_not_exist
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.tune.bounded_choices import Candidate, Group, Space
from wheelgeo.tune.brief import MATTERS, Brief, Choice, Matter
from wheelgeo.tune.brief_grooves import DEPTH_QUARTER
from wheelgeo.tune.brief_quality import WARNING, measure, weights_of
from wheelgeo.tune.brief_slip import SlipFigures, slip_figures
from wheelgeo.tune.one_stage import OneStage
from wheelgeo.tune.rule_check import Checker, fault_rules, findings_in_turn
from wheelgeo.tune.sized_wheels import Sized, Sizing, nearest_says
from wheelgeo.tune.two_stages import TwoStages
from wheelgeo.tune.wheel_from_choice import lay_out

CANNOT_EXIST = "cannot-exist"
"""What a wheel is refused for that no design file could hold."""
SECONDS = 45.0
"""How long a search takes at most, where nothing else is asked for: an answer within a minute."""
PATIENCE = 12
"""Wheels of one pair of small pulleys and cords that are refused before the pair is put off."""


@dataclass(frozen=True)
class Progress:
    """How far a search has come.

    Attributes:
        wheel: which wheel is being searched for, from 1.
        of: how many are.
        boxes_done: boxes that were opened or ruled out.
        boxes: all boxes.
        best: cost of the best so far; None where there is none yet.
        in_the_way: the rule that refused most wheels so far; None where none was refused.
    """

    wheel: int
    of: int
    boxes_done: int
    boxes: int
    best: float | None
    in_the_way: str | None = None


Teller = Callable[[Progress], None]


class _TimeIsUpError(Exception):
    """The time of a search is over."""


def size(
    brief: Brief,
    tell: Teller | None = None,
    checker: Checker = findings_in_turn,
    seconds: float = SECONDS,
    clock: Callable[[], float] = time.monotonic,
) -> Sizing:
    """Find the best wheel for a brief, and others that are good otherwise.

    Args:
        brief: the brief.
        tell: is told how the search gets on.
        checker: yields the findings of a wheel; no more are taken than are needed.
        seconds: how long to search at most; half of it for the first wheel, and all of it while
            none without a fault is found.
        clock: tells the time, s.

    Returns:
        The wheels, the best first. After Ctrl-C (``KeyboardInterrupt``) or when the time is up
        what was found so far, ``proven`` False.

    Raises:
        SearchError: no combination fits and has no fault; says what stood in the way, and how to
            mend the wheel that comes nearest.
    """
    search = _SizeSearch(brief, tell or (lambda _: None), checker, seconds, clock)
    search.run()
    wheels = tuple(search.found)
    if not wheels and not search.ended and search.nearest is not None:
        wheels = (search.nearest,)
    if not wheels:
        raise SearchError(_nothing(search))
    proven = search.ended and all(w.proven for w in wheels)
    return Sizing(
        brief, wheels, proven, search.combinations, search.ruled_out, search.checked,
        dict(search.refused),
    )  # fmt: skip


def _nothing(search: _SizeSearch) -> str:
    if not search.ended:
        return "the search was stopped before it found a wheel"
    if not search.checked:
        return (
            f"none of {search.combinations} combinations has the ratio, fits the case, and keeps "
            "wraps, lead angles, slip margins and cords within practice; give more sizes, a larger "
            "case or a thinner cord"
        )
    near = "" if search.nearest is None else f"; {nearest_says(search.nearest)}"
    return _refusals(search) + near


def _refusals(search: _SizeSearch) -> str:
    """Say what was wrong with the wheels that were laid out, the most frequent fault first."""
    often = ", ".join(f'"{rule}" in {count}' for rule, count in search.refused.most_common(3))
    wheels = "the 1 wheel that was" if search.checked == 1 else f"each of {search.checked} wheels"
    remedy = _REMEDIES.get(next(iter(dict(search.refused.most_common(1))), ""))
    return f"{wheels} laid out has a fault: {often}" + (f"; {remedy}" if remedy else "")


_REMEDIES = {
    "whirl": "the spindle of the brief shakes at that speed: make it thicker or shorter, give it "
    "bearings nearer the cop, or ask for a slower hand or less twist",
}
"""What to change in a brief, where it is the brief's and not the sizes' doing."""


def space_of(
    brief: Brief,
    figures: SlipFigures,
    weights: Mapping[Matter, float],
    unlike: tuple[Choice, ...] = (),
) -> Space:
    """Return the combinations of a brief.

    Args:
        brief: the brief.
        figures: what the slip of its bands hangs on.
        weights: what each term of the quality weighs.
        unlike: combinations all of whose rims are alike to one of these are left out.
    """
    kind = TwoStages if brief.stages == 2 else OneStage
    return kind(brief, figures, weights, unlike)


def brief_figures(brief: Brief) -> SlipFigures:
    """Return what the slip of a brief's bands hangs on."""
    return slip_figures([lay_out(brief, _sample(brief, n)) for n in range(len(brief.cords))])


def _sample(brief: Brief, cord: int) -> Choice:
    """Return a combination whose bands are all of one cord, far enough apart to be laid out."""
    sizes, stands, two = brief.sizes, 0.5 * brief.inside_mm[1], brief.stages == 2
    # A cord may be meant for the first band alone, and too thick for every whorl of the brief: it
    # is looked at on one that is large enough for its groove and a rod.
    rods = max(brief.rods.main, brief.rods.middle, brief.rods.spindle)
    least = 2.0 * DEPTH_QUARTER * brief.cords[cord].diameter_mm + 2.0 * rods
    return Choice(
        cord, cord if two else None, max(sizes.wheel[-1], least),
        max(sizes.hub[-1], least) if two else None,
        max(sizes.accelerator[-1], least) if two else None, max(sizes.whorl[-1], least),
        (0.0, 0.0), (1e3, 0.0) if two else None, (2e3 if two else 1e3, stands),
    )  # fmt: skip


class _SizeSearch:
    """The searches for one brief."""

    def __init__(
        self, brief: Brief, tell: Teller, checker: Checker, seconds: float,
        clock: Callable[[], float],
    ) -> None:  # fmt: skip
        self.brief = brief
        self.tell = tell
        self.checker = checker
        self.clock = clock
        self.ends_at = clock() + seconds
        self.until = self.ends_at
        self.figures = brief_figures(brief)
        self.found: list[Sized] = []
        self.nearest: Sized | None = None
        self.nearest_cost = float("inf")
        self.ended = False
        self.combinations = 0
        self.ruled_out = 0
        self.checked = 0
        self.refused: Counter[str] = Counter()
        self.verdicts: dict[Choice, _Verdict] = {}

    def run(self) -> None:
        """Search for one wheel after another, until there are enough, or Ctrl-C, or time is up."""
        orders = emphases(self.brief)[: self.brief.wheels]
        try:
            for place, matters in enumerate(orders):
                left = self.ends_at - self.clock()
                # The first wheel is what is asked for: it has half of the time.
                share = 0.5 if place == 0 and len(orders) > 1 else 1.0 / (len(orders) - place)
                self.until = self.clock() + left * share
                self._search(matters)
                if not self.found:
                    break
            self.ended = self.clock() < self.ends_at or all(w.proven for w in self.found)
        except (KeyboardInterrupt, _TimeIsUpError):
            self.ended = False  # what was found so far is handed over, labelled so

    def _search(self, matters: tuple[Matter, ...]) -> None:
        unlike = tuple(w.choice for w in self.found)
        space = space_of(self.brief, self.figures, weights_of(matters), unlike)
        self.combinations = space.combinations
        one = _OneSearch(self, space, matters)
        try:
            one.run()
        except _TimeIsUpError:
            if one.best is None and not self.found:
                raise
        finally:
            if not unlike:
                self.ruled_out = space.combinations - space.examined
            if one.best is not None:
                self.found.append(replace(one.best, bound=one.bound, proven=one.proven))

    def check_time(self, found: bool) -> None:
        """Raise _TimeIsUpError where the time is over: all of it as long as nothing was found."""
        if self.clock() >= (self.until if found or self.found else self.ends_at):
            raise _TimeIsUpError

    def report(self, done: int, boxes: int, best: Sized | None) -> None:
        """Tell how far it has come."""
        often = next(iter(dict(self.refused.most_common(1))), None)
        number, cost = len(self.found) + 1, None if best is None else best.cost
        self.tell(Progress(number, self.brief.wheels, done, boxes, cost, often))

    def accepted(
        self, candidate: Candidate, matters: tuple[Matter, ...], below: float
    ) -> Sized | None:
        """Return the wheel of a combination, or None where it has a fault.

        Its findings end where its warnings alone make it cost no less than ``below``.
        """
        choice = candidate.choice
        design = lay_out(self.brief, choice)
        quality = measure(self.brief, self.figures, choice, design)
        cost = math.inf if quality is None else quality.total(weights_of(matters))
        few = (below - cost) / WARNING
        verdict = self.verdicts.get(choice)
        if verdict is None or not verdict.serves(few):
            verdict = self.verdicts[choice] = self._verdict(design, few)
        if quality is None:
            return None
        told = design, choice, matters, cost, quality, candidate.cost, False, verdict.findings
        if not verdict.refused_by:
            return Sized(*told)
        if candidate.cost < self.nearest_cost:
            self.nearest, self.nearest_cost = Sized(*told), candidate.cost
        return None

    def _verdict(self, design: Design, few: float) -> _Verdict:
        """Check a wheel to its first fault, or until it has as many warnings as are too many."""
        self.checked += 1
        if can_not_exist(design):
            self.refused[CANNOT_EXIST] += 1
            return _Verdict((), (CANNOT_EXIST,), True)
        found: list[Finding] = []
        for finding in self.checker(design):
            found.append(finding)
            if finding.level == "fault" or _warnings(found) >= few:
                break
        else:
            return _Verdict(tuple(found), (), True)
        refused_by = fault_rules(found)
        self.refused.update(refused_by)
        return _Verdict(tuple(found), refused_by, bool(refused_by))


@dataclass(frozen=True)
class _Verdict:
    """What a check found: findings, the rules that refuse the wheel, whether that is settled."""

    findings: tuple[Finding, ...]
    refused_by: tuple[str, ...]
    settled: bool

    def serves(self, few: float) -> bool:
        """Tell whether no more need be known where so many warnings are too many."""
        return self.settled or _warnings(self.findings) >= few


def _warnings(findings: Iterable[Finding]) -> int:
    return sum(f.level == "warning" for f in findings)


class _OneSearch:
    """The search for one wheel."""

    def __init__(self, of: _SizeSearch, space: Space, matters: tuple[Matter, ...]) -> None:
        self.of = of
        self.space = space
        self.matters = matters
        self.best: Sized | None = None
        self.bound = float("-inf")
        self.proven = False
        self.patience = PATIENCE
        self.refusals: Counter[tuple[int, int]] = Counter()
        self.put_off: dict[Group, float] = {}

    def run(self) -> None:
        """Search until nothing that is left can be better."""
        boxes = self.space.boxes()
        for done, box in enumerate(boxes):
            self.bound = min(box.bound, *self.put_off.values(), box.bound)
            if box.bound >= self.below():
                break
            self._take(self.space.candidates(box, self.below, self.later), done, len(boxes))
            self.of.report(done + 1, len(boxes), self.best)
        while any(bound < self.below() for bound in self.put_off.values()):
            waiting, self.put_off = self.put_off, {}
            self.patience *= 4
            for group, bound in sorted(waiting.items(), key=lambda item: item[1]):
                self.bound = min(bound, *self.put_off.values(), bound)
                if bound >= self.below():
                    break
                found = self.space.candidates_of(group, self.below, self.later)
                self._take(found, len(boxes), len(boxes))
        self.proven = True
        self.bound = self.below()

    def below(self) -> float:
        """Return what a combination must cost less than to matter."""
        return float("inf") if self.best is None else self.best.total

    def later(self, group: Group, bound: float) -> bool:
        """Tell whether the rest of a group is put off, and remember it."""
        self.of.check_time(self.best is not None)
        if self.refusals[group.row, group.column] < self.patience:
            return False
        self.put_off[group] = min(bound, self.put_off.get(group, bound))
        return True

    def _take(self, candidates: Iterator[Candidate], done: int, boxes: int) -> None:
        for candidate in candidates:
            self.of.check_time(self.best is not None)
            sized = self.of.accepted(candidate, self.matters, self.below())
            if sized is None:
                self.refusals[candidate.group.row, candidate.group.column] += 1
                self.of.report(done, boxes, self.best)
            elif sized.total < self.below():
                self.best = sized
        self.of.check_time(self.best is not None)


def emphases(brief: Brief) -> list[tuple[Matter, ...]]:
    """Return what matters in each search: as the brief says, then each other thing put first.

    After all have been first once, the brief's own order comes again for still other wheels.
    """
    own = brief.matters
    named = [m for m in (*own, *MATTERS) if own[:1] != (m,)]
    if brief.stages == 1 or brief.lies == "flat":
        named = [m for m in named if m != "lead" or brief.lies == "horizontal"]
    others = [(m, *(n for n in own if n != m)) for m in dict.fromkeys(named)]
    return [own, *others, *([own] * brief.wheels)]
