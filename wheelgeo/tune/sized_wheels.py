"""The wheels that were found for a brief, with what each costs and what a check found of it."""

from __future__ import annotations

from wheelgeo.check.finding import Finding
from wheelgeo.design.model import Design
from wheelgeo.immutable import dataclass
from wheelgeo.tune.brief import Brief, Choice, Matter
from wheelgeo.tune.brief_quality import WARNING, Quality
from wheelgeo.tune.rule_check import fault_rules


@dataclass(frozen=True)
class Sized:
    """One wheel that was found.

    Attributes:
        design: the wheel.
        choice: which combination it is.
        matters: what mattered in the search that found it, most first.
        cost: the weighted sum that the search made as small as it could.
        quality: its terms.
        bound: what no other combination can cost less than, each warning counted ``WARNING``.
        proven: no combination that was allowed has fewer warnings, or as many and costs less.
        findings: all its findings; up to the first fault where it has one.
    """

    design: Design
    choice: Choice
    matters: tuple[Matter, ...]
    cost: float
    quality: Quality
    bound: float
    proven: bool
    findings: tuple[Finding, ...]

    @property
    def warnings(self) -> tuple[str, ...]:
        """Rules of its warnings, one for each."""
        return tuple(f.rule for f in self.findings if f.level == "warning")

    @property
    def faults(self) -> tuple[str, ...]:
        """Rules of its faults."""
        return fault_rules(self.findings)

    @property
    def total(self) -> float:
        """Its cost, with its warnings."""
        return self.cost + WARNING * len(self.warnings)


@dataclass(frozen=True)
class Sizing:
    """All that was found for a brief.

    Attributes:
        brief: the brief.
        wheels: the best first, then the others. Where the time was up before one without a fault
            was found, the one that came nearest, with its fault.
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


def nearest_says(wheel: Sized) -> str:
    """Say what is wrong with the wheel that came nearest, and how to mend it."""
    fault = next((f for f in wheel.findings if f.level == "fault"), None)
    rims = ", ".join(f"{p.name} {p.groove.size_mm:g} mm" for p in wheel.design.pulleys)
    if fault is None:
        return f"the nearest ({rims}) cannot exist as a design file"
    return f"the nearest ({rims}): {fault.says}. To mend it: {fault.remedy.says}"
