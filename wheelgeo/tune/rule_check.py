"""How a search checks a wheel: by every rule there is, without looking for remedies."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from wheelgeo.check.every_rule import BUILT_RULES, MECHANICS_RULES, QUICK_RULES
from wheelgeo.check.finding import Finding
from wheelgeo.check.report import check_design, check_whole, put_under_check
from wheelgeo.design.model import Design
from wheelgeo.immutable import dataclass

Checker = Callable[[Design], Iterable[Finding]]


@dataclass(frozen=True)
class Checks:
    """How to check a wheel.

    Attributes:
        full: returns all findings.
        quick: returns some of them, much sooner; a fault there is a fault.
    """

    full: Checker
    quick: Checker


def all_findings(design: Design) -> tuple[Finding, ...]:
    """Return every finding of a wheel, those on a wheel under a hand included."""
    return check_whole(design).findings


def still_findings(design: Design) -> tuple[Finding, ...]:
    """Return every finding of a wheel that does not ask how it runs under a hand."""
    return check_design(design).findings


USUAL = Checks(all_findings, still_findings)


def findings_to_first_fault(design: Design) -> tuple[Finding, ...]:
    """Return every finding, or where there is a fault those up to the first rule that finds one.

    The rules are asked in the order of their tables, the quick ones first.
    """
    subject = put_under_check(design)
    runs = subject.solution.spindle.speed_rpm is not None
    found: list[Finding] = []
    for rule in (*QUICK_RULES, *BUILT_RULES, *(MECHANICS_RULES if runs else ())):
        new = list(rule.find(subject))
        found += new
        if any(f.level == "fault" for f in new):
            break
    return tuple(found)


def fault_rules(findings: Iterable[Finding]) -> tuple[str, ...]:
    """Return the rules of the faults among findings, each once."""
    return tuple(dict.fromkeys(f.rule for f in findings if f.level == "fault"))
