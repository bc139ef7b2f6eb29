"""The spindle as it is built: bearings astride its whorls, a tip, sections, washers, the cop."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cached_property

from wheelgeo.built.assumed import (
    USUAL_WASHER,
    Assumption,
    Chosen,
    chosen_figure,
    chosen_material,
)
from wheelgeo.built.flyer import FLANGE_MM, FlyerPlan, flyer_plan
from wheelgeo.built.held import WASHER_MM, bearing_length_mm
from wheelgeo.built.inertia import Inertia, cylinder
from wheelgeo.built.shaft import BuiltBearing, BuiltShaft, Ends
from wheelgeo.design.materials import PRACTICE
from wheelgeo.design.model import Bearing, Cop, Section, Washer
from wheelgeo.immutable import dataclass

USUAL_TIP_MM = 120.0
"""From the foremost bearing to the tip; this and all that follow: common practice, no source."""
USUAL_ORIFICE_MM = 20.0
"""From the middle of a flyer's front bearing to the orifice."""
USUAL_TAIL_MM = 10.0
"""From the hindmost bearing to the rod's end."""
USUAL_COP_LENGTH_MM = 60.0
USUAL_COP_DIAMETER_MM = 25.0
YARN_DENSITY_KG_M3 = 400.0
"""Density of yarn as wound on by hand."""


@dataclass(frozen=True)
class BuiltWasher:
    """A washer on the spindle: as it is given, its mass and inertia, and what was assumed."""

    washer: Washer
    inertia: Inertia
    assumed: tuple[Assumption, ...]


class BuiltSpindle(BuiltShaft):
    """The spindle as it is built: a shaft with bearings astride its whorls, sections and a cop."""

    @property
    def _given_bearings(self) -> tuple[Bearing, ...]:
        return self.design.spindle.bearings or self.shaft.bearings

    @cached_property
    def _placed_bearings(self) -> tuple[Bearing, ...]:
        """The file's bearings, or one close to either side of the pulleys on it.

        Of a flyer with its bobbin one stands behind its whorls and one before its bar.
        """
        if self._given_bearings:
            return self._given_bearings
        plan = self.flyer_plan
        if plan is not None:
            room = WASHER_MM + 0.5 * bearing_length_mm(self.design, self.shaft)
            sleeve = self.design.shaft(plan.bobbin).ends_mm or ()
            hind = min([plan.bobbin_from, *(self.faces_mm or ()), *sleeve])
            return (Bearing(hind - room, "brass"), Bearing(plan.front + room, "brass"))
        offsets = [p.pulley.offset_mm for p in self.carries] or [0.0]
        gap = 2.0 * self.diameter_mm + 5.0
        return (Bearing(min(offsets) - gap, "brass"), Bearing(max(offsets) + gap, "brass"))

    @cached_property
    def bearings(self) -> tuple[BuiltBearing, ...]:
        """The file's bearings, or one close to either side of the pulleys on it."""
        return tuple(self._built(b) for b in self._placed_bearings)

    @cached_property
    def flyer_plan(self) -> FlyerPlan | None:
        """Where flyer and bobbin stand along it; None of a spindle with a tip."""
        return flyer_plan(self.design, tuple(self.pulleys))

    @property
    def _called(self) -> str:
        return "the spindle"

    def _attached(self) -> Iterator[float]:
        yield from super()._attached()
        spindle = self.design.spindle
        yield from (x for s in spindle.sections for x in (s.from_mm, s.to_mm))
        yield from (w.at_mm for w in spindle.washers)
        yield from (x for c in (spindle.cop,) if c for x in (c.from_mm, c.to_mm))

    @cached_property
    def ends(self) -> Chosen[Ends]:
        """The two ends of its rod: the file's, or a tail behind its bearings and a tip before."""
        given = self.shaft.ends_mm
        if given is not None:
            return Chosen((min(given), max(given)))
        places = [b.at_mm for b in self._placed_bearings]
        low, high = self._shortest()
        back = min(low, min(places) - USUAL_TAIL_MM)
        beyond = max(places) + USUAL_TIP_MM if self.design.spindle.cop is None else high
        if self.flyer_plan is not None:
            beyond = max(places) + USUAL_ORIFICE_MM
        return self._chosen_ends(back, max(high, beyond, *places), PRACTICE)

    @cached_property
    def reach(self) -> Chosen[Ends]:
        """As much of the rod as the mechanics take: to all that stands on it."""
        low, high = self.ends_mm
        places = [b.at_mm for b in self._placed_bearings]
        places += [p.pulley.offset_mm for p in self.carries]
        places += [w.at_mm for w in self.design.spindle.washers]
        places += [self.cop.value.from_mm, self.cop.value.to_mm]
        reached = min(low, *places), max(high, *places)
        if reached == (low, high):
            return Chosen(reached)
        why = f"the rod ends at {low:g} mm and {high:g} mm, short of what stands on it"
        taken = f"{reached[0]:g} mm to {reached[1]:g} mm"
        return Chosen(reached, (Assumption("reach of the spindle", taken, why),))

    @cached_property
    def sections(self) -> tuple[Section, ...]:
        """The rod over its reach, end to end: the file's sections, its diameter between them."""
        low, high = self.reach.value
        filled: list[Section] = []
        for s in sorted(self.design.spindle.sections, key=lambda s: min(s.from_mm, s.to_mm)):
            start, stop = max(min(s.from_mm, s.to_mm), low), min(max(s.from_mm, s.to_mm), high)
            if start > low:
                filled.append(Section(low, start, self.diameter_mm))
            if stop > start:
                filled.append(Section(start, stop, s.diameter_mm))
            low = max(low, stop)
        if high > low:
            filled.append(Section(low, high, self.diameter_mm))
        return tuple(filled)

    @cached_property
    def cop(self) -> Chosen[Cop]:
        """The full cop: the file's, or one between the foremost thing on the rod and its tip."""
        given = self.design.spindle.cop
        if given is not None:
            return Chosen(given)
        if self._yarn_on_bobbin is not None:
            return self._yarn_on_bobbin
        low, high = self.ends_mm
        if self.flyer_plan is not None:
            # the yarn of a flyer is on its bobbin
            low, high = self.flyer_plan.yarn_from - FLANGE_MM, self.flyer_plan.bobbin_to
        washers = [w.at_mm for w in self.design.spindle.washers]
        clear = max(5.0, 0.5 * bearing_length_mm(self.design, self.shaft) + 2.0)
        hindmost = min(max(b.at_mm for b in self._placed_bearings) + clear, high)
        if self.flyer_plan is not None:
            hindmost = low
        start = max([hindmost, *(w for w in washers if w < high - USUAL_COP_LENGTH_MM)])
        stop = min(start + USUAL_COP_LENGTH_MM, high)
        if stop <= start:
            start, stop = low, high
        area = math.pi / 4.0 * (USUAL_COP_DIAMETER_MM**2 - self.diameter_mm**2)
        mass = max(YARN_DENSITY_KG_M3 * 1e-6 * area * (stop - start), 0.0)
        taken = f"{start:g} mm to {stop:g} mm, {USUAL_COP_DIAMETER_MM:g} mm thick, {mass:.1f} g"
        cop = Cop(start, stop, USUAL_COP_DIAMETER_MM, mass)
        return Chosen(cop, (Assumption("the full cop", taken, PRACTICE),))

    @cached_property
    def _yarn_on_bobbin(self) -> Chosen[Cop] | None:
        """The yarn of a full bobbin between its flanges, where the file gives its diameters."""
        plan, bobbin = self.flyer_plan, self.design.bobbin
        if plan is None or bobbin is None or plan.yarn_to <= plan.yarn_from:
            return None
        area = math.pi / 4.0 * (bobbin.full_mm**2 - bobbin.empty_mm**2)
        mass = YARN_DENSITY_KG_M3 * 1e-6 * area * (plan.yarn_to - plan.yarn_from)
        taken = (
            f"{plan.yarn_from:g} mm to {plan.yarn_to:g} mm, {bobbin.empty_mm:g} to "
            f"{bobbin.full_mm:g} mm thick, {mass:.0f} g at {YARN_DENSITY_KG_M3:g} kg/m³"
        )
        cop = Cop(plan.yarn_from, plan.yarn_to, bobbin.full_mm, mass)
        return Chosen(cop, (Assumption("the yarn of the full bobbin", taken, PRACTICE),))

    @property
    def cop_bore_mm(self) -> float:
        """Diameter of the rod under the middle of the cop, or of a bobbin's bare core, mm."""
        if self.design.spindle.cop is None and self._yarn_on_bobbin is not None:
            assert self.design.bobbin is not None
            return self.design.bobbin.empty_mm
        return self.diameter_at_mm(0.5 * (self.cop.value.from_mm + self.cop.value.to_mm))

    def cop_diameter_mm(self, share: float) -> float:
        """Return the diameter of a cop that holds that share of the full one's yarn, mm."""
        inside = self.cop_bore_mm
        outside = max(self.cop.value.diameter_mm, inside)
        return math.sqrt(inside**2 + share * (outside**2 - inside**2))

    @cached_property
    def washers(self) -> tuple[BuiltWasher, ...]:
        """Its washers with their mass."""
        return tuple(self._washer(w) for w in self.design.spindle.washers)

    def _washer(self, washer: Washer) -> BuiltWasher:
        own = self.design.materials
        material = chosen_material(washer.material, USUAL_WASHER, "the washers", own)
        density = chosen_figure(material, "density_kg_m3", USUAL_WASHER)
        bore = self.diameter_at_mm(washer.at_mm)
        solid = cylinder(washer.diameter_mm, washer.thickness_mm, density.value.value, bore)
        return BuiltWasher(washer, solid, density.assumed)

    def _assumed(self) -> Iterator[Assumption]:
        if not self._given_bearings:
            low, high = (b.at_mm for b in self._placed_bearings)
            yield Assumption(
                "bearings of the spindle",
                f"brass at {low:g} mm and {high:g} mm, astride its pulleys",
                PRACTICE,
            )
        yield from (a for b in self.bearings for c in (b.pair, b.stiffness) for a in c.assumed)
        yield from self.ends.assumed
        yield from self.cop.assumed
        yield from self.reach.assumed
        yield from self.density.assumed
        yield from self.modulus.assumed
        yield from (a for w in self.washers for a in w.assumed)
