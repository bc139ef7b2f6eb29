"""A whole wheel as built: every part of a design with whatever the file leaves out.

Ask ``build(design)``; nothing else resolves a default. The parts are made at once, what they are
asked for is worked out when it is asked for and kept: a solver wants grooves and places, a shop
sheet wants rods and bores, only the mechanics want masses.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cached_property, partial
from typing import Any

from wheelgeo.built.assumed import Assumption, each_once
from wheelgeo.built.band import BuiltBand
from wheelgeo.built.built_up import SPOKED_MM
from wheelgeo.built.case import assumed_of_case
from wheelgeo.built.held import all_of_sheet
from wheelgeo.built.kept import KeptOf
from wheelgeo.built.pulley import BuiltPulley
from wheelgeo.built.shaft import BuiltShaft
from wheelgeo.built.spindle import BuiltSpindle
from wheelgeo.built.stand import assumed_of_stand
from wheelgeo.design.limits import limit_value
from wheelgeo.design.material import Material
from wheelgeo.design.model import Design, Pulley, Shaft
from wheelgeo.immutable import dataclass

# A wheel that is changed in one place has all its other parts as they were, with whatever was
# worked out of them.
_PULLEYS: KeptOf[BuiltPulley] = KeptOf(512)
_OF_ONE_PIECE: KeptOf[BuiltPulley] = KeptOf(64)
_BANDS: KeptOf[BuiltBand] = KeptOf(256)
_SHAFTS: KeptOf[BuiltShaft] = KeptOf(512)
_SPINDLES: KeptOf[BuiltSpindle] = KeptOf(64)


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
        spindle = self.spindle
        return {
            s.name: spindle if s.name == spindle.name else self._shaft(s)
            for s in self.design.shafts
        }

    @cached_property
    def spindle(self) -> BuiltSpindle:
        """The spindle."""
        design = self.design
        of, shaft = design.spindle, design.shaft(design.spindle.shaft)
        flyers: tuple[str, ...] = ()
        if of.kind == "flyer" and of.bobbin is not None:
            flyers = (of.bobbin, *(drag.shaft for drag in design.drags))
        parts, pulleys = self._seen_from(shaft, flyers[:1])
        # what was heard of the spindle may be heard within a range
        others = (of, design.bobbin, design.drags, design.uncertainties, *map(design.shaft, flyers))
        return _SPINDLES.get(
            (*parts, *others), lambda: BuiltSpindle(shaft, self._alone, pulleys),
            all_of_sheet(design),
        )  # fmt: skip

    def _shaft(self, shaft: Shaft) -> BuiltShaft:
        parts, pulleys = self._seen_from(shaft)
        return _SHAFTS.get(
            parts, lambda: BuiltShaft(shaft, self._alone, pulleys), all_of_sheet(self.design)
        )

    def _seen_from(
        self, shaft: Shaft, more: tuple[str, ...] = ()
    ) -> tuple[tuple[Any, ...], tuple[BuiltPulley, ...]]:
        """Return all of the wheel that a shaft hangs on, and the pulleys among it.

        Args:
            shaft: the shaft.
            more: other shafts of which it looks at the pulleys too.
        """
        design, name = self.design, shaft.name
        sleeves = (s.name for s in design.shafts if s.runs_on == name)
        names = dict.fromkeys((name, *sleeves, *more))
        pulleys = tuple([p for n in names for p in self._on.get(n, ())])
        if name not in self._on:  # a bare rod reaches past all pulleys
            pulleys = tuple(self.pulleys.values())
        drive = design.drive if design.drive.shaft == name else None
        under = None if shaft.runs_on is None else design.shaft(shaft.runs_on)
        parts = (shaft, under, drive, design.case, design.shop, design.materials, *pulleys)
        return parts, pulleys

    @cached_property
    def _on(self) -> dict[str, list[BuiltPulley]]:
        """The pulleys on each shaft that has any, in the order of the file."""
        found: dict[str, list[BuiltPulley]] = {}
        for pulley in self.pulleys.values():
            found.setdefault(pulley.pulley.shaft, []).append(pulley)
        return found

    @cached_property
    def _alone(self) -> Design:
        """The design without what is kept with it: a part may be kept longer than its wheel."""
        return replace(self.design)

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
    made = {
        p.name: _pulley(p, shafts[p.shaft], cords(p.name), own) for p in design.pulleys
    }
    for name, one in made.items():
        # asked of a large wheel only: what a solver needs must stay quick to build
        large = one.pulley.groove.size_mm >= SPOKED_MM or one.pulley.build == "spokes"
        if large and one.spoked is not None:
            made[name] = _of_one_piece(one, _grooves_of_its_wheel(one, made.values()))
    return Built(
        design,
        made,
        {b.name: _BANDS.get((b, own), partial(BuiltBand, b, own)) for b in design.bands},
    )


def _pulley(
    pulley: Pulley, shaft: Shaft, cord_mm: float, own: tuple[Material, ...]
) -> BuiltPulley:
    parts = (pulley, shaft, own)
    return _PULLEYS.get(parts, lambda: BuiltPulley(pulley, shaft, cord_mm, own), cord_mm)


def _of_one_piece(one: BuiltPulley, grooves: int) -> BuiltPulley:
    return _OF_ONE_PIECE.get((one,), lambda: replace(one, grooves=grooves), grooves)
