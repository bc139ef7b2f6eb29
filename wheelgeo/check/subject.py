"""What every rule looks at: the wheel, its solution, and its parts as bodies in space."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

from wheelgeo.check.changes import coaxial
from wheelgeo.check.finding import Finding
from wheelgeo.design.limits import limit_value
from wheelgeo.design.model import Design, Pulley, Shaft
from wheelgeo.drive.train import BandMotion, Solution, solve_drive
from wheelgeo.geometry import bodies
from wheelgeo.geometry.bodies import Body, Capsule, Cylinder
from wheelgeo.geometry.extents import pulley_rim_mm, pulley_width_mm, shaft_ends_mm
from wheelgeo.geometry.vectors import along

if TYPE_CHECKING:
    from wheelgeo.drive.outset import Start
    from wheelgeo.drive.running import Loaded
    from wheelgeo.drive.spindle import Whirl


MOST_TRIALS = 600
"""How many changed wheels are solved in looking for the remedies of one wheel."""


class Patience:
    """How many more changes may be tried on one wheel; counted, so that results never vary.

    Attributes:
        left: trials left.
        found: remedies found so far, by rule and place.
    """

    def __init__(self) -> None:
        self.left = MOST_TRIALS
        self.found: dict[tuple[str, str], str] = {}

    def spend(self, trials: int = 1) -> bool:
        """Take one trial, or as many as a slow one counts for; False where none is left."""
        self.left -= trials
        return self.left >= 0


Find = Callable[["Subject"], Iterator[Finding]]
"""A rule's function: it takes a wheel under check and yields its findings."""


@dataclass(frozen=True)
class Subject:
    """A wheel under check.

    Attributes:
        design: the wheel.
        solution: its solved drive.
        rules: the rules that a remedy must not break, those of the table.
        on_trial: the wheel is one that a rule or a search tries out: rules then say what is wrong,
            but look for no remedy of their own.
        patience: how many more changes may be tried in looking for remedies.
    """

    design: Design
    solution: Solution = field(repr=False)
    rules: tuple[Find, ...] = field(repr=False)
    on_trial: bool = False
    patience: Patience = field(default_factory=Patience, repr=False, compare=False)

    def limit(self, name: str) -> float:
        """Return the limit in force, the file's own before the usual one."""
        return limit_value(name, self.design.limits)

    @cached_property
    def pulley_bodies(self) -> dict[str, Cylinder]:
        """The solid of every pulley, by name; millimetres."""
        return {p.name: self._pulley_body(p) for p in self.design.pulleys}

    @cached_property
    def shaft_bodies(self) -> dict[str, Cylinder]:
        """The rod of every shaft, by name; millimetres."""
        return {s.name: self._shaft_body(s) for s in self.design.shafts}

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
    def whirl(self) -> Whirl:
        """The critical speeds of its spindle."""
        from wheelgeo.drive.running import whirl_of

        return whirl_of(self.loaded)

    def _pulley_body(self, pulley: Pulley) -> Cylinder:
        shaft = self.design.shaft(pulley.shaft)
        cord = self.design.cord_on(pulley.name)
        centre = along(shaft.at_mm, shaft.axis, pulley.offset_mm)
        half = pulley_width_mm(pulley, cord) / 2.0
        return Cylinder(centre, shaft.axis, pulley_rim_mm(pulley, cord) / 2.0, half)

    def _shaft_body(self, shaft: Shaft) -> Cylinder:
        low, high = shaft_ends_mm(self.design, shaft)
        centre = along(shaft.at_mm, shaft.axis, (low + high) / 2.0)
        return Cylinder(centre, shaft.axis, shaft.diameter_mm / 2.0, (high - low) / 2.0)

    def coaxial(self, first: str, second: str) -> bool:
        """Tell whether two shafts are one, or share one axis (a bobbin that runs on a flyer)."""
        return coaxial(self.design.shaft(first), self.design.shaft(second))

    def paths(self) -> Iterator[BandMotion]:
        """Yield the bands that have a path."""
        return (b for b in self.solution.bands if b.path is not None)

    def run_bodies(self, motion: BandMotion) -> list[tuple[str, Capsule]]:
        """Return each run of a band as a body, with its name ("first band" from hub to wheel)."""
        if motion.path is None:
            return []
        radius = motion.band.diameter_mm / 2.0
        names = [s.pulley for s in motion.band.route]
        return [
            (
                f'run of "{motion.band.name}" from "{names[r.first]}" to "{names[r.second]}"',
                Capsule(r.start_mm, r.end_mm, radius),
            )
            for r in motion.path.runs
        ]


@lru_cache(maxsize=4096)
def gap_mm(a: Body, b: Body, enough: float = math.inf) -> float:
    """Return the signed distance between two bodies, mm; see ``wheelgeo.geometry.bodies``.

    Remembered, since a change that is tried leaves most parts where they are.
    """
    return bodies.gap_mm(a, b, enough)


def solved(design: Design, rules: tuple[Find, ...], on_trial: bool = False) -> Subject:
    """Solve a wheel and make it ready to be checked by rules."""
    return Subject(design, solve_drive(design), rules, on_trial)
