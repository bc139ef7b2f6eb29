"""A whole wheel as built: every part of a design with whatever the file leaves out.

Ask ``build(design)``; nothing else resolves a default. The parts are made at once, what they are
asked for is worked out when it is asked for and kept: a solver wants grooves and places, a shop
sheet wants rods and bores, only the mechanics want masses.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cached_property

from wheelgeo.built.assumed import Assumption, each_once
from wheelgeo.built.band import BuiltBand
from wheelgeo.built.built_up import SPOKED_MM
from wheelgeo.built.case import assumed_of_case
from wheelgeo.built.pulley import BuiltPulley
from wheelgeo.built.shaft import BuiltShaft
from wheelgeo.built.spindle import BuiltSpindle
from wheelgeo.built.stand import assumed_of_stand
from wheelgeo.design.limits import limit_value
from wheelgeo.design.model import Design
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class Built:
    """A wheel as built.

    Attributes:
        design: the wheel of the file.
        pulleys: every pulley, by name, in the order of the file.
        bands: every band, likewise.
    """

    design: Design
    pulleys: Mapping[str, BuiltPulley]
    bands: Mapping[str, BuiltBand]

    @cached_property
    def shafts(self) -> Mapping[str, BuiltShaft]:
        """Every shaft by name, in the order of the file; the spindle is a ``BuiltSpindle``."""
        pulleys, spindle = tuple(self.pulleys.values()), self.spindle
        return {
            s.name: spindle if s.name == spindle.name else BuiltShaft(s, self.design, pulleys)
            for s in self.design.shafts
        }

    @cached_property
    def spindle(self) -> BuiltSpindle:
        """The spindle."""
        shaft = self.design.shaft(self.design.spindle.shaft)
        return BuiltSpindle(shaft, self.design, tuple(self.pulleys.values()))

    def limit(self, name: str) -> float:
        """Return the limit in force, the file's own before the usual one."""
        return limit_value(name, self.design.limits)

    @cached_property
    def assumed(self) -> tuple[Assumption, ...]:
        """Everything that was taken where the file is silent."""
        groups: tuple[Mapping[str, BuiltBand | BuiltShaft | BuiltPulley], ...]
        groups = (self.bands, self.shafts, self.pulleys)
        parts = (a for parts in groups for part in parts.values() for a in part.assumed)
        case = self.design.case
        around = assumed_of_stand(self) if case is None else assumed_of_case(case)
        return each_once((*parts, *around))


def build(design: Design) -> Built:
    """Return a wheel as built.

    Args:
        design: the wheel.

    Returns:
        The wheel as built; the same one whenever the same design is asked for.
    """
    # Kept with the design, which never changes: readers of one wheel share what is worked out.
    kept: Built | None = design.__dict__.get("_built")
    if kept is None:
        kept = design.__dict__["_built"] = _build(design)
    return kept


def _grooves_of_its_wheel(one: BuiltPulley, others: Iterable[BuiltPulley]) -> int:
    """Return how many pulleys with spokes are of one piece with one, itself included."""
    on = [p for p in others if p.pulley.shaft == one.pulley.shaft and p.spoked is not None]
    low, high, count = *one.faces_mm, 0
    while True:
        piece = [p for p in on if p.faces_mm[0] <= high + 1e-6 and p.faces_mm[1] >= low - 1e-6]
        if len(piece) == count:
            return count
        low, high = min(p.faces_mm[0] for p in piece), max(p.faces_mm[1] for p in piece)
        count = len(piece)


def _build(design: Design) -> Built:
    own, shafts, cords = design.materials, {s.name: s for s in design.shafts}, design.cord_on
    made = {p.name: BuiltPulley(p, shafts[p.shaft], cords(p.name), own) for p in design.pulleys}
    for name, one in made.items():
        # asked of a large wheel only: what a solver needs must stay quick to build
        large = one.pulley.groove.size_mm >= SPOKED_MM or one.pulley.build == "spokes"
        if large and one.spoked is not None:
            made[name] = replace(one, grooves=_grooves_of_its_wheel(one, made.values()))
    return Built(
        design,
        made,
        {b.name: BuiltBand(b, own) for b in design.bands},
    )
