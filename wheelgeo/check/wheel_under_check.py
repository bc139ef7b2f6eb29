"""What every rule looks at: the wheel, its solution, and its parts as bodies in space."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import field
from functools import cached_property, partial
from typing import TYPE_CHECKING, Any

from wheelgeo.built.kept import KeptOf, kept_with
from wheelgeo.built.pulley import BuiltPulley
from wheelgeo.built.shaft import BuiltShaft
from wheelgeo.check.adjustments import Edits, coaxial
from wheelgeo.check.edits import apply_edits
from wheelgeo.check.finding import Finding, same_design
from wheelgeo.check.only_assumed import as_assumed
from wheelgeo.check.run_bodies import RunBody, run_bodies
from wheelgeo.check.told_once import ON_PAIRS, not_told_by
from wheelgeo.design.limits import limit_value
from wheelgeo.design.model import Design
from wheelgeo.design.possible import faults
from wheelgeo.drive.train import BandMotion, Solution, solve_drive
from wheelgeo.geometry import convex
from wheelgeo.geometry.convex import ConvexBody, Cylinder
from wheelgeo.geometry.vectors import along
from wheelgeo.immutable import dataclass
from wheelgeo.yarn.wheel_wind_on import WheelWindOn, wheel_wind_on

if TYPE_CHECKING:
    from wheelgeo.check.placements import Placement, Placements
    from wheelgeo.drive.ranges import Ranges
    from wheelgeo.drive.running import Loaded
    from wheelgeo.drive.start_bounds import StartBounds
    from wheelgeo.drive.start_of_wheel import Start
    from wheelgeo.drive.whirl import CriticalBounds, Whirl


_GAPS: KeptOf[float] = KeptOf(4096)
MOST_TRIALS = 250
"""How many changed wheels are solved for the remedy of one finding."""
_MOST_KEPT = 128
"""So many changed wheels are kept of one wheel, then all are forgotten."""
MOST_SECONDS = 3.0
"""How long all searches for remedies on one wheel may take."""


class RemedyBudget:
    """How long remedies may be looked for on one wheel, so that a much-spoilt one is soon told.

    Trials are counted for each finding, so that a remedy does not depend on what else was asked
    for; the clock, of the processor, runs for all of them together, and only while a search runs.

    Attributes:
        trials: how many changed wheels are solved for one finding.
        seconds: how long all searches on the wheel may take.
    """

    def __init__(self) -> None:
        self.trials = MOST_TRIALS
        self.seconds = MOST_SECONDS


Find = Callable[["WheelUnderCheck"], Iterator[Finding]]
"""A rule's function: it takes a wheel under check and yields its findings."""

Named = tuple[str, str]
"""Rule and place of a finding."""

LastRules = Callable[["WheelUnderCheck", "WheelUnderCheck"], tuple[Find, ...]]
"""Which rules are asked last of a wheel that was changed, given the wheel as it is."""


def no_rules(_: WheelUnderCheck, __: WheelUnderCheck) -> tuple[Find, ...]:
    """Return that no rules are asked last."""
    return ()


def impossible_places(design: Design) -> frozenset[str]:
    """Return the places where a wheel is such that no file may hold it."""
    return frozenset(fault.place for fault in faults(design))


@dataclass(frozen=True)
class WheelUnderCheck:
    """A wheel under check.

    Attributes:
        design: the wheel.
        solution: its solved drive.
        rules: the rules that a remedy must not break, the quick ones of the table.
        budget: how long remedies may be looked for.
        as_wheel: what applying a remedy makes of the changed design.
        last_rules: returns the rules on the wheel as built and at work, which a remedy must not
            break either; loaded and asked last, since they take longer.
    """

    design: Design
    solution: Solution = field(repr=False)
    rules: tuple[Find, ...] = field(repr=False)
    budget: RemedyBudget = field(default_factory=RemedyBudget, repr=False, compare=False)
    as_wheel: Callable[[Design], Any] = field(default=same_design, repr=False, compare=False)
    last_rules: LastRules = field(default=no_rules, repr=False, compare=False)

    @cached_property
    def _found(self) -> dict[Find, tuple[Finding, ...]]:
        return {}

    @cached_property
    def _told(self) -> dict[Find, tuple[Finding, ...]]:
        return {}

    @cached_property
    def _faults(self) -> dict[Find, dict[Named, Finding]]:
        return {}

    def found(self, find: Find) -> tuple[Finding, ...]:
        """Return what a rule finds on this wheel, asked once: answers and remedies share it."""
        if find not in self._found:
            self._found[find] = tuple(as_assumed(self.design, f) for f in find(self))
        return self._found[find]

    def told_by(self, find: Find) -> tuple[Finding, ...]:
        """Return what check tells of what a rule finds: not what the quick rules tell already."""
        if find not in self._told:
            found = self.found(find)
            if find not in self.rules and any(f.rule in ON_PAIRS for f in found):
                quick = (f for each in self.rules for f in self.found(each))
                found = tuple(not_told_by(quick, found))
            self._told[find] = found
        return self._told[find]

    def faults_by(self, find: Find) -> dict[Named, Finding]:
        """Return the faults that a rule tells, of each rule and place the furthest beyond."""
        if find in self._faults:
            return self._faults[find]
        worst = self._faults[find] = {}
        for finding in self.told_by(find):
            if finding.level == "fault":
                known = worst.setdefault(finding.named, finding)
                if finding.beyond > known.beyond:
                    worst[finding.named] = finding
        return worst

    def grave_by(self, find: Find) -> list[Finding]:
        """Return the warnings and faults that a rule tells."""
        return [f for f in self.told_by(find) if f.level != "note"]

    @cached_property
    def impossible(self) -> frozenset[str]:
        """Where it is such that no file may hold it; empty of a wheel that can exist."""
        return impossible_places(self.design)

    @cached_property
    def _changed_by(self) -> dict[Edits, tuple[WheelUnderCheck | None]]:
        return {}

    def changed_by(self, edits: Edits) -> WheelUnderCheck | None:
        """Return the wheel after a change; None where no file may hold it that may hold this one.

        Kept, since of one cause there are several findings, and the same changes mend them.
        """
        known = self._changed_by.get(edits)
        if known is None:
            if len(self._changed_by) >= _MOST_KEPT:
                self._changed_by.clear()
            design = apply_edits(self.design, edits)
            possible = not impossible_places(design) - self.impossible
            made = wheel_under_check(design, self.rules) if possible else None
            known = self._changed_by.setdefault(edits, (made,))
        return known[0]

    def limit(self, name: str) -> float:
        """Return the limit in force, the file's own before the usual one."""
        return limit_value(name, self.design.limits)

    @cached_property
    def pulley_bodies(self) -> dict[str, Cylinder]:
        """The solid of every pulley, by name; millimetres."""
        pulleys = self.solution.built.pulleys
        return {name: kept_with(p, "solid", partial(_pulley, p)) for name, p in pulleys.items()}

    @cached_property
    def shaft_bodies(self) -> dict[str, Cylinder]:
        """The rod of every shaft, by name; millimetres."""
        made = self.solution.built.shafts
        return {name: kept_with(m, "solid", partial(_rod, m)) for name, m in made.items()}

    @cached_property
    def wind_on(self) -> WheelWindOn | None:
        """How a flyer wheel takes yarn in; None for others."""
        return wheel_wind_on(self.solution)

    @cached_property
    def loaded(self) -> Loaded:
        """The wheel at work: tension, load and effort."""
        from wheelgeo.drive.running import load_wheel

        return load_wheel(self.design, self.solution)

    @cached_property
    def begun(self) -> Start:
        """The wheel's start from rest."""
        from wheelgeo.drive.running import start_of

        return start_of(self.loaded)

    @cached_property
    def start_bounds(self) -> StartBounds | None:
        """What that start keeps to if no band slips: known long before it is worked out itself."""
        from wheelgeo.drive.running import bounds_within

        return bounds_within(self.loaded)

    @cached_property
    def ranges(self) -> Ranges:
        """How far what it takes may lie from the usual."""
        from wheelgeo.drive.running import ranges_within

        return ranges_within(self.loaded)

    @cached_property
    def whirl(self) -> Whirl:
        """The critical speeds of its spindle."""
        from wheelgeo.drive.running import whirl_of

        return whirl_of(self.loaded)

    @cached_property
    def critical_bounds(self) -> CriticalBounds | None:
        """Bounds of those, known sooner than they themselves; None where it has none."""
        from wheelgeo.drive.whirl import critical_bounds

        return critical_bounds(self.solution.built.spindle)

    def spins_clear(self, margin: float) -> bool:
        """Tell whether the working speed is surely so far from every critical speed.

        Args:
            margin: the distance over the working speed.
        """
        speed, bounds = self.solution.spindle.speed_rpm, self.critical_bounds
        return bool(speed and bounds and bounds.clear_of(abs(speed), margin))

    @cached_property
    def placements(self) -> Placements:
        """Its bodies and runs, where the file has its slides and at both ends of their travel."""
        from wheelgeo.check.placements import Placements

        return Placements(
            self.solution, (self.limit("knuckle_room_mm"), self.limit("hand_height_mm"))
        )

    @cached_property
    def packed(self) -> Placement:
        """Its bodies with the lid on."""
        from wheelgeo.check.placements import packed

        return packed(self.solution)

    def coaxial(self, first: str, second: str) -> bool:
        """Tell whether two shafts are one, or share one axis (a bobbin that runs on a flyer)."""
        return coaxial(self.design.shaft(first), self.design.shaft(second))

    def paths(self) -> Iterator[BandMotion]:
        """Yield the bands that have a path."""
        return (b for b in self.solution.bands if b.path is not None)

    def run_bodies(self, motion: BandMotion) -> tuple[RunBody, ...]:
        """Return each run of a band as a body, with its name ("first band" from hub to wheel)."""
        return () if motion.path is None else run_bodies(motion.path, motion.band)


def _pulley(made: BuiltPulley) -> Cylinder:
    return Cylinder(made.centre_mm, made.shaft.axis, made.rim_mm / 2.0, made.width_mm / 2.0)


def _rod(made: BuiltShaft) -> Cylinder:
    (low, high), shaft = made.ends_mm, made.shaft
    centre = along(shaft.at_mm, shaft.axis, (low + high) / 2.0)
    return Cylinder(centre, shaft.axis, shaft.diameter_mm / 2.0, (high - low) / 2.0)


def gap_mm(a: ConvexBody, b: ConvexBody, enough: float = math.inf) -> float:
    """Return the signed distance between two bodies, mm; see ``wheelgeo.geometry.convex``.

    Kept, since a change that is tried leaves most parts where they are.
    """
    return _GAPS.get((a, b), partial(convex.gap_mm, a, b, enough), enough)


def wheel_under_check(
    design: Design,
    rules: tuple[Find, ...],
    as_wheel: Callable[[Design], Any] = same_design,
    last_rules: LastRules = no_rules,
) -> WheelUnderCheck:
    """Solve a wheel and make it ready to be checked by rules."""
    solution = solve_drive(design)
    return WheelUnderCheck(design, solution, rules, as_wheel=as_wheel, last_rules=last_rules)
