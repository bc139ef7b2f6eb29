"""Check a wheel: its solution and all findings, the worst first."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TYPE_CHECKING, Any

from wheelgeo.check.finding import Finding, same_design, worst_first
from wheelgeo.check.quick_rules import FILE_RULES, QUICK_RULES, Rule
from wheelgeo.check.told_once import not_told_by
from wheelgeo.check.wheel_under_check import Find, WheelUnderCheck, wheel_under_check
from wheelgeo.design.model import Design
from wheelgeo.drive.train import Solution
from wheelgeo.immutable import dataclass

if TYPE_CHECKING:
    from wheelgeo.drive.running import Running


@dataclass(frozen=True)
class Report:
    """A wheel with what was found.

    Attributes:
        wheel: the wheel, solved.
        findings: all findings: faults, then warnings, then notes.
    """

    wheel: WheelUnderCheck
    findings: tuple[Finding, ...]

    @property
    def design(self) -> Design:
        """The wheel."""
        return self.wheel.design

    @property
    def solution(self) -> Solution:
        """Its solved drive."""
        return self.wheel.solution

    @property
    def faults(self) -> tuple[Finding, ...]:
        """The findings that forbid building it so."""
        return tuple(f for f in self.findings if f.level == "fault")


@dataclass(frozen=True)
class RunReport:
    """A wheel under a hand with what was found: faults, then warnings, then notes."""

    running: Running
    findings: tuple[Finding, ...]


def put_under_check(
    design: Design, as_wheel: Callable[[Design], Any] = same_design
) -> WheelUnderCheck:
    """Solve a wheel and make it ready to be checked by every rule.

    Args:
        design: the wheel.
        as_wheel: what applying a remedy makes of the changed design.
    """
    quick = tuple(rule.find for rule in QUICK_RULES)
    return wheel_under_check(design, quick, as_wheel, last_rules)


def check_design(design: Design, as_wheel: Callable[[Design], Any] = same_design) -> Report:
    """Solve a wheel and run the quick rules over it, those on shapes, places and speeds.

    Args:
        design: the wheel.
        as_wheel: what applying a remedy makes of the changed design.
    """
    return quick_report(put_under_check(design, as_wheel))


def quick_report(wheel: WheelUnderCheck) -> Report:
    """Run the quick rules over a solved wheel."""
    return Report(wheel, quick_findings(wheel))


def quick_findings(wheel: WheelUnderCheck) -> tuple[Finding, ...]:
    """Return the findings of every quick rule, the worst first."""
    rules = (*QUICK_RULES, *FILE_RULES)
    return _findings(wheel, rules)


def _findings(wheel: WheelUnderCheck, rules: Iterable[Rule]) -> tuple[Finding, ...]:
    asked = (rule for rule in rules if rule.asked_of(wheel.design))
    return worst_first(finding for rule in asked for finding in wheel.found(rule.find))


def last_rules(wheel: WheelUnderCheck, changed: WheelUnderCheck) -> tuple[Find, ...]:
    """Return the rules that a remedy must not break, beside the quick ones; loaded when asked.

    Args:
        wheel: the wheel as it is.
        changed: the wheel with the remedy.
    """
    from wheelgeo.check.every_rule import BUILT_RULES, MECHANICS_RULES

    driven = wheel.solution.spindle.speed_rpm is not None
    rules = [rule for rule in BUILT_RULES if not rule.notes_only]
    if driven:
        shakes = not _spins_alike(wheel, changed)
        rules += [r for r in MECHANICS_RULES if not r.notes_only and (shakes or not r.of_spindle)]
    return tuple(rule.find for rule in rules if rule.asked_of(wheel.design))


def _spins_alike(one: WheelUnderCheck, other: WheelUnderCheck) -> bool:
    """Return whether two wheels have the same spindle, cop and all, at the same speed."""
    from wheelgeo.drive.whirl import spindle_beams

    a, b = one.solution, other.solution
    if a.built.spindle is b.built.spindle:
        return a.spindle.speed_rpm == b.spindle.speed_rpm
    beams = (spindle_beams(solution.built.spindle, (0.0, 1.0)) for solution in (a, b))
    return a.spindle.speed_rpm == b.spindle.speed_rpm and next(beams) == next(beams)


def built_findings(wheel: WheelUnderCheck) -> tuple[Finding, ...]:
    """Return the findings of every rule on the wheel as built, the worst first."""
    from wheelgeo.check.every_rule import BUILT_RULES

    return _findings(wheel, BUILT_RULES)


def mechanics_findings(wheel: WheelUnderCheck) -> tuple[Finding, ...]:
    """Return the findings of every rule on mechanics, the worst first."""
    from wheelgeo.check.every_rule import MECHANICS_RULES

    return _findings(wheel, MECHANICS_RULES)


def check_whole(design: Design, as_wheel: Callable[[Design], Any] = same_design) -> Report:
    """Solve a wheel and run every rule over it, those on a wheel under a hand included.

    Args:
        design: the wheel.
        as_wheel: what applying a remedy makes of the changed design.
    """
    return whole_report(put_under_check(design, as_wheel))


def whole_report(
    wheel: WheelUnderCheck, mechanics: tuple[Finding, ...] | None = None
) -> Report:
    """Run every rule over a solved wheel; those on mechanics where its spindle is driven.

    Args:
        wheel: the wheel.
        mechanics: what the rules on mechanics find, where that is known already.
    """
    quick = quick_findings(wheel)
    found = worst_first((*quick, *not_told_by(quick, built_findings(wheel))))
    if wheel.solution.spindle.speed_rpm is not None:
        known = mechanics_findings(wheel) if mechanics is None else mechanics
        found = worst_first((*found, *known))
    return Report(wheel, found)


def found_in_turn(wheel: WheelUnderCheck, rules: Iterable[Rule]) -> Iterator[Finding]:
    """Yield what rules find, each asked when somebody comes to it: what check tells, in order.

    Args:
        wheel: the wheel.
        rules: rules of the table, the quick ones before those on the wheel as built.
    """
    from wheelgeo.check.every_rule import BUILT_RULES

    for rule in rules:
        if not rule.asked_of(wheel.design):
            continue
        found = wheel.found(rule.find)
        yield from not_told_by(quick_findings(wheel), found) if rule in BUILT_RULES else found


def run_report(
    wheel: WheelUnderCheck, mechanics: tuple[Finding, ...] | None = None
) -> RunReport:
    """Run a solved wheel and every rule on mechanics over it, unless it is known what they find."""
    from wheelgeo.drive.running import gather

    findings = mechanics_findings(wheel) if mechanics is None else mechanics
    return RunReport(gather(wheel.loaded, wheel.begun, wheel.whirl, wheel.ranges), findings)
