"""Check a wheel: its solution and all findings, the worst first."""

from __future__ import annotations

from dataclasses import dataclass

from wheelgeo.check.finding import Finding, worst_first
from wheelgeo.check.subject import Subject, solved
from wheelgeo.check.table import RULES
from wheelgeo.design.model import Design
from wheelgeo.drive.train import Solution


@dataclass(frozen=True)
class Report:
    """A wheel with what was found.

    Attributes:
        subject: the wheel, solved.
        findings: all findings: faults, then warnings, then notes.
    """

    subject: Subject
    findings: tuple[Finding, ...]

    @property
    def design(self) -> Design:
        """The wheel."""
        return self.subject.design

    @property
    def solution(self) -> Solution:
        """Its solved drive."""
        return self.subject.solution

    @property
    def faults(self) -> tuple[Finding, ...]:
        """The findings that forbid building it so."""
        return tuple(f for f in self.findings if f.level == "fault")


def subject_of(design: Design, on_trial: bool = False) -> Subject:
    """Solve a wheel and make it ready to be checked by the rules of the table.

    Args:
        design: the wheel.
        on_trial: rules say what is wrong, but look for no remedy.
    """
    return solved(design, tuple(rule.find for rule in RULES), on_trial)


def check_design(design: Design, remedies: bool = True) -> Report:
    """Solve a wheel and run every rule over it.

    Args:
        design: the wheel.
        remedies: look for changes that mend what is found and try each on the wheel. A search
            that checks many wheels and prints none leaves that out, which is much quicker.
    """
    subject = subject_of(design, on_trial=not remedies)
    found = [finding for rule in RULES for finding in rule.find(subject)]
    return Report(subject, worst_first(found))
