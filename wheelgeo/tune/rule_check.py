"""How a search checks a wheel: by every rule there is, without looking for remedies."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from wheelgeo.check.every_rule import BUILT_RULES, MECHANICS_RULES, QUICK_RULES, Rule
from wheelgeo.check.finding import Finding
from wheelgeo.check.report import check_design, found_in_turn, put_under_check
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.model import Design
from wheelgeo.immutable import dataclass

Checker = Callable[[Design], Iterable[Finding]]


@dataclass(frozen=True)
class Checks:
    """How to check a wheel.

    Attributes:
        full: yields every fault and every warning, and such notes as come with them; whoever needs
            one fault alone takes no more.
        quick: returns some of them, much sooner; a fault there is a fault.
    """

    full: Checker
    quick: Checker


def grave_findings(design: Design) -> Iterator[Finding]:
    """Return every fault and warning of a wheel, in the order of the tables.

    Rules that find nothing but notes are left out: no way to change a wheel is worse for a note,
    and they ask for the load at both ends of what is known, which takes as long as all the others.
    Each rule is asked when somebody comes to it.
    """
    subject = put_under_check(design)
    return found_in_turn(subject, [r for r in _rules_of(subject) if not r.notes_only])


def still_findings(design: Design) -> tuple[Finding, ...]:
    """Return every finding of a wheel that does not ask how it runs under a hand."""
    return check_design(design).findings


USUAL = Checks(grave_findings, still_findings)


def followed_by(progress: Callable[[], object], checks: Checks) -> Checks:
    """Return the same checks, which call ``progress`` before each wheel and after each finding.

    What it raises ends the search that checks so.
    """
    def full(design: Design) -> Iterator[Finding]:
        progress()
        for finding in checks.full(design):
            progress()
            yield finding

    def quick(design: Design) -> Iterable[Finding]:
        progress()
        return checks.quick(design)

    return Checks(full, quick)


def findings_in_turn(design: Design) -> Iterator[Finding]:
    """Return every finding of a wheel in turn, for whoever takes no more than are needed.

    The rules are asked in the order of their tables, the quick ones first; those that find nothing
    but notes come last of all.
    """
    subject = put_under_check(design)
    return found_in_turn(subject, sorted(_rules_of(subject), key=lambda rule: rule.notes_only))


def _rules_of(subject: WheelUnderCheck) -> tuple[Rule, ...]:
    runs = subject.solution.spindle.speed_rpm is not None
    return (*QUICK_RULES, *BUILT_RULES, *(MECHANICS_RULES if runs else ()))


def fault_rules(findings: Iterable[Finding]) -> tuple[str, ...]:
    """Return the rules of the faults among findings, each once."""
    return tuple(dict.fromkeys(f.rule for f in findings if f.level == "fault"))


def warning_rules(findings: Iterable[Finding]) -> tuple[str, ...]:
    """Return the rules of the warnings among findings, each once."""
    return tuple(dict.fromkeys(f.rule for f in findings if f.level == "warning"))
