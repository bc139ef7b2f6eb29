"""Find the wheel that suits a brief best, and prove that no other combination suits it better.

Boxes of combinations are opened in the order of their bounds. A combination that costs less than
the best so far is laid out and checked by every rule, and becomes the best if it has no fault. As
soon as the next box's bound is no lower than the best, all that is left is ruled out: the best is
the best of all combinations that have no fault.

The other wheels are searched for in the same way, each with something else mattering most, and
none with all its rims like another's.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from wheelgeo.check.finding import Finding
from wheelgeo.design.model import Design
from wheelgeo.design.possible import faults as can_not_exist
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import SearchError
from wheelgeo.tune.bounded_choices import Space
from wheelgeo.tune.brief import MATTERS, Brief, Choice, Matter
from wheelgeo.tune.brief_quality import Quality, measure, weights_of
from wheelgeo.tune.one_stage import OneStage
from wheelgeo.tune.rule_check import Checker, fault_rules, findings_to_first_fault
from wheelgeo.tune.two_stages import TwoStages
from wheelgeo.tune.wheel_from_choice import lay_out

CANNOT_EXIST = "cannot-exist"
"""What a wheel is refused for that no design file could hold."""


@dataclass(frozen=True, slots=True)
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

HOPELESS = 1000
"""So many wheels with a fault, and none without, end a search: some 40 s of checking."""


@dataclass(frozen=True, slots=True)
class Sized:
    """One wheel that was found.

    Attributes:
        design: the wheel.
        choice: which combination it is.
        matters: what mattered in the search that found it, most first.
        cost: the weighted sum that the search made as small as it could.
        quality: its terms.
        proven: no combination that was allowed costs less.
        findings: all its findings; none is a fault.
    """

    design: Design
    choice: Choice
    matters: tuple[Matter, ...]
    cost: float
    quality: Quality
    proven: bool
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Sizing:
    """All that was found for a brief.

    Attributes:
        brief: the brief.
        wheels: the best first, then the others.
        proven: every search ran to its end.
        combinations: how many combinations there are.
        ruled_out: how many the first search ruled out by bounds, without working them out.
        checked: how many wheels were laid out and checked, in all searches.
        refused: how often each rule found a fault in one of them.
    """

    brief: Brief
    wheels: tuple[Sized, ...]
    proven: bool
    combinations: int
    ruled_out: int
    checked: int
    refused: dict[str, int]


def size(
    brief: Brief, tell: Teller | None = None, checker: Checker = findings_to_first_fault
) -> Sizing:
    """Find the best wheel for a brief, and others that are good otherwise.

    Args:
        brief: the brief.
        tell: is told how the search gets on.
        checker: returns the findings of a wheel.

    Returns:
        The wheels, the best first. After Ctrl-C (``KeyboardInterrupt``) what was found so far,
        ``proven`` False.

    Raises:
        SearchError: no combination fits and has no fault, or none of the ``HOPELESS`` most
            promising ones; says what stood in the way.
    """
    search = _SizeSearch(brief, tell or (lambda _: None), checker)
    search.run()
    if not search.found:
        raise SearchError(_nothing(search))
    return Sizing(
        brief, tuple(search.found), search.ended, search.combinations, search.ruled_out,
        search.checked, search.refused,
    )  # fmt: skip


def _nothing(search: _SizeSearch) -> str:
    if not search.ended:
        stopped = "the search was stopped before it found a wheel"
        return f"{stopped}; {_refusals(search)}" if search.checked else stopped
    if not search.checked:
        return (
            f"none of {search.combinations} combinations has the ratio, fits the case, and keeps "
            "wraps, lead angles and cords within practice; give more sizes, a larger case or a "
            "thinner cord"
        )
    return _refusals(search)


def _refusals(search: _SizeSearch) -> str:
    """Say what was wrong with the wheels that were laid out, the most frequent fault first."""
    rules = sorted(search.refused, key=lambda rule: -search.refused[rule])
    often = ", ".join(f'"{rule}" in {search.refused[rule]}' for rule in rules[:3])
    wheels = "the 1 wheel that was" if search.checked == 1 else f"each of {search.checked} wheels"
    remedy = _REMEDIES.get(rules[0]) if rules else None
    return f"{wheels} laid out has a fault: {often}" + (f"; {remedy}" if remedy else "")


_REMEDIES = {
    "whirl": "the spindle of the brief shakes at that speed: make it thicker or shorter, give it "
    "bearings nearer the cop, or ask for a slower hand or less twist",
}
"""What to change in a brief, where it is the brief's and not the sizes' doing."""


def space_of(
    brief: Brief, weights: Mapping[Matter, float], unlike: tuple[Choice, ...] = ()
) -> Space:
    """Return the combinations of a brief.

    Args:
        brief: the brief.
        weights: what each term of the quality weighs.
        unlike: combinations all of whose rims are alike to one of these are left out.
    """
    kind = TwoStages if brief.stages == 2 else OneStage
    return kind(brief, weights, unlike)


class _SizeSearch:
    """The searches for one brief."""

    def __init__(self, brief: Brief, tell: Teller, checker: Checker) -> None:
        self.brief = brief
        self.tell = tell
        self.checker = checker
        self.found: list[Sized] = []
        self.ended = False
        self.combinations = 0
        self.ruled_out = 0
        self.checked = 0
        self.refused: dict[str, int] = {}

    def run(self) -> None:
        """Search for one wheel after another, until there are enough or Ctrl-C comes."""
        try:
            for matters in emphases(self.brief)[: self.brief.wheels]:
                self._search(matters)
                if not self.found:
                    break
            self.ended = True
        except KeyboardInterrupt:
            self.ended = False  # what was found so far is handed over, labelled so

    def _search(self, matters: tuple[Matter, ...]) -> None:
        unlike = tuple(w.choice for w in self.found)
        space = space_of(self.brief, weights_of(matters), unlike)
        self.combinations = space.combinations
        best: Sized | None = None
        proven = False
        try:
            for better in self._improvements(space, matters):
                best = better
            proven = True
        finally:
            if not unlike:
                self.ruled_out = space.combinations - space.examined
            if best is not None:
                self.found.append(_labelled(best, proven))

    def _improvements(self, space: Space, matters: tuple[Matter, ...]) -> Iterable[Sized]:
        """Yield one better wheel after another; the last one is the best."""
        best: Sized | None = None

        def below() -> float:
            return float("inf") if best is None else best.cost

        boxes = space.boxes()
        for done, box in enumerate(boxes):
            if box.bound >= below():
                break
            for cost, choice in space.candidates(box, below):
                sized = self._accepted(choice, cost, matters)
                if sized is not None:
                    best = sized
                    yield best
                    continue
                self._tell(done, len(boxes), best)
                if best is None:
                    self._give_up_where_hopeless()
            self._tell(done + 1, len(boxes), best)

    def _give_up_where_hopeless(self) -> None:
        """Raise SearchError where nothing but faults was found for long: it lies in the brief."""
        if not self.found and self.checked >= HOPELESS:
            raise SearchError(
                f"no wheel was found, the most promising tried first: {_refusals(self)}"
            )

    def _tell(self, done: int, boxes: int, best: Sized | None) -> None:
        often = max(self.refused, key=lambda rule: self.refused[rule], default=None)
        number, cost = len(self.found) + 1, None if best is None else best.cost
        self.tell(Progress(number, self.brief.wheels, done, boxes, cost, often))

    def _accepted(self, choice: Choice, cost: float, matters: tuple[Matter, ...]) -> Sized | None:
        """Return the wheel of a choice, or None where it has a fault."""
        design = lay_out(self.brief, choice)
        self.checked += 1
        if can_not_exist(design):
            self.refused[CANNOT_EXIST] = self.refused.get(CANNOT_EXIST, 0) + 1
            return None
        findings = tuple(self.checker(design))
        faults = fault_rules(findings)
        for rule in faults:
            self.refused[rule] = self.refused.get(rule, 0) + 1
        quality = None if faults else measure(self.brief, design, solve_drive(design))
        if quality is None:
            return None
        return Sized(design, choice, matters, cost, quality, False, findings)


def _labelled(sized: Sized, proven: bool) -> Sized:
    return Sized(
        sized.design, sized.choice, sized.matters, sized.cost, sized.quality, proven,
        sized.findings,
    )  # fmt: skip


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
