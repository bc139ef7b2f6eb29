"""A wheel under a hand: the rules that ask whether it will run, and the result with its findings.

These rules stand in a table of their own, for some of them take the start and the spindle's
vibration, which a command that asks for speeds alone should not wait for.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheelgeo.check import rules_running, rules_spinning
from wheelgeo.check.finding import Finding, worst_first
from wheelgeo.check.report import Report, check_design
from wheelgeo.check.subject import Subject
from wheelgeo.check.table import Rule
from wheelgeo.design.model import Design
from wheelgeo.drive.running import Running, gather

RUNNING_RULES: tuple[Rule, ...] = (
    Rule("Is the pull of every band known?", rules_running.pull_unknown),
    Rule("Is a cord stretched too far?", rules_running.stretch_unusual),
    Rule("Does a cord come near to breaking?", rules_running.cord_strained),
    Rule("Does a band slip at speed?", rules_running.slip),
    Rule("Would it, with the softest cord?", rules_running.slip_doubtful),
    Rule("Does the wheel come up to speed?", rules_running.start_fails),
    Rule("Can a person keep it up?", rules_running.effort_large),
    Rule("Does a treadle wheel turn evenly?", rules_running.treadle_uneven),
    Rule("Are the spindle's bearings known?", rules_spinning.spindle_bearings),
    Rule("Does the spindle shake?", rules_spinning.whirl),
    Rule("Does it pass a speed at which it shakes?", rules_spinning.whirl_passed),
    Rule("How true must the bores be?", rules_spinning.unbalance),
    Rule("Can a rim burst?", rules_spinning.bursting),
)
"""Every rule on a wheel under a hand, in the order of their findings within a level."""


@dataclass(frozen=True)
class RunReport:
    """A wheel under a hand with what was found: faults, then warnings, then notes."""

    running: Running
    findings: tuple[Finding, ...]


def running_findings(subject: Subject) -> tuple[Finding, ...]:
    """Return the findings of every running rule, the worst first."""
    return worst_first(finding for rule in RUNNING_RULES for finding in rule.find(subject))


def check_whole(design: Design, remedies: bool = True) -> Report:
    """Solve a wheel and run every rule over it, those on a wheel under a hand included.

    Args:
        design: the wheel.
        remedies: look for changes that mend what is found and try each on the wheel.
    """
    report = check_design(design, remedies)
    subject = report.subject
    can_run = subject.solution.spindle.speed_rpm is not None
    found = running_findings(subject) if can_run else ()
    return Report(subject, worst_first((*report.findings, *found)))


def run_report(subject: Subject) -> RunReport:
    """Run a solved wheel and every running rule over it."""
    findings = running_findings(subject)
    return RunReport(gather(subject.loaded, subject.begun, subject.whirl), findings)
