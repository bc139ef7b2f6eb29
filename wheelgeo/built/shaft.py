"""A shaft as it is built: its rod with its ends, its material, its bearings; the spindle's cop.

Glossary: the *ends* are those of the rod as it is cut; its *reach* is as much of it as the
mechanics take, which is longer where the file's rod ends short of what stands on it; *places* are
millimetres along the axis from the shaft's ``at``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from wheelgeo.built.assumed import (
    USUAL_SHAFT,
    USUAL_WASHER,
    Assumption,
    Chosen,
    chosen_bearing,
    chosen_figure,
    chosen_material,
    each_once,
)
from wheelgeo.built.inertia import Inertia, cylinder
from wheelgeo.built.pulley import BuiltPulley
from wheelgeo.design.material import Figure, Material
from wheelgeo.design.materials import PRACTICE, BearingPair
from wheelgeo.design.model import Bearing, Cop, Design, Section, Shaft, Washer
from wheelgeo.geometry.vectors import dot, sub

USUAL_TIP_MM = 120.0
USUAL_TAIL_MM = 10.0
USUAL_COP_LENGTH_MM = 60.0
USUAL_COP_DIAMETER_MM = 25.0
YARN_DENSITY_KG_M3 = 400.0
"""Density of yarn as wound on by hand; common practice, no source."""

Ends = tuple[float, float]
"""Two places along a shaft, mm, lower first."""


@dataclass(frozen=True, slots=True)
class BuiltBearing:
    """One bearing of a shaft.

    Attributes:
        at_mm: its place.
        diameter_mm: diameter of the rod there.
        kind: as a design file writes it.
        pair: what runs in what.
        stiffness: how stiffly it holds the rod sideways, N/mm.
    """

    at_mm: float
    diameter_mm: float
    kind: str
    pair: Chosen[BearingPair]
    stiffness: Chosen[float]

    @property
    def friction(self) -> Figure:
        """Coefficient of friction at the rod's surface."""
        return self.pair.value.friction


@dataclass(frozen=True, slots=True)
class BuiltWasher:
    """A washer on the spindle: as it is given, its mass and inertia, and what was assumed."""

    washer: Washer
    inertia: Inertia
    assumed: tuple[Assumption, ...]


@dataclass(frozen=True)
class BuiltShaft:
    """A shaft as it is built.

    Attributes:
        shaft: the shaft of the design.
        design: the wheel.
        pulleys: every pulley of the wheel.
    """

    shaft: Shaft
    design: Design = field(repr=False)
    pulleys: Sequence[BuiltPulley] = field(repr=False)

    @property
    def name(self) -> str:
        """Its name in the file."""
        return self.shaft.name

    @property
    def _called(self) -> str:
        return f'shaft "{self.name}"'

    @property
    def diameter_mm(self) -> float:
        """Diameter of its rod where no section says otherwise, mm."""
        return self.shaft.diameter_mm

    @cached_property
    def carries(self) -> tuple[BuiltPulley, ...]:
        """The pulleys on it, in the order of the file."""
        return tuple(p for p in self.pulleys if p.pulley.shaft == self.name)

    @cached_property
    def ends(self) -> Chosen[Ends]:
        """The two ends of its rod, as it is cut.

        The file's, or else the shortest rod that holds the shaft's ``at``, both faces of every
        pulley on it, and the crank. A bare rod, with nothing on it, reaches past all pulleys of
        the wheel: a band has to get round it.
        """
        given = self.shaft.ends_mm
        if given is not None:
            return Chosen((min(given), max(given)))
        return self._chosen_ends(*self._shortest(), "the shortest that holds what stands on it")

    @property
    def ends_mm(self) -> Ends:
        """The same, without what was assumed."""
        return self.ends.value

    def _chosen_ends(self, low: float, high: float, why: str) -> Chosen[Ends]:
        what, taken = f"ends of {self._called}", f"{low:g} mm to {high:g} mm"
        return Chosen((low, high), (Assumption(what, taken, why),))

    def _shortest(self) -> Ends:
        carried = [x for p in self.carries for x in p.faces_mm]
        carried += self._attached()
        places = [0.0, *(carried or self._past_all_pulleys())]
        return min(places), max(places)

    def _attached(self) -> Iterator[float]:
        """Yield the places of what else is fixed to it: crank and bearings."""
        drive = self.design.drive
        if drive.shaft == self.name and drive.offset_mm is not None:
            yield drive.offset_mm
        yield from (b.at_mm for b in self._given_bearings)

    def _past_all_pulleys(self) -> Iterator[float]:
        for pulley in self.pulleys:
            height = dot(sub(pulley.centre_mm, self.shaft.at_mm), self.shaft.axis)
            cosine = min(abs(dot(pulley.shaft.axis, self.shaft.axis)), 1.0)
            half = 0.5 * pulley.width_mm * cosine
            half += 0.5 * pulley.rim_mm * math.sqrt(1.0 - cosine * cosine)
            yield height - half
            yield height + half

    @cached_property
    def reach(self) -> Chosen[Ends]:
        """As much of the rod as the mechanics take."""
        return self.ends

    @cached_property
    def sections(self) -> tuple[Section, ...]:
        """The rod over its reach, end to end."""
        return (Section(*self.reach.value, self.diameter_mm),)

    def diameter_at_mm(self, place_mm: float) -> float:
        """Return the diameter of the rod at a place along it, mm."""
        for section in self.sections:
            if section.from_mm <= place_mm <= section.to_mm:
                return section.diameter_mm
        return self.sections[-1].diameter_mm

    @property
    def _given_bearings(self) -> tuple[Bearing, ...]:
        return self.shaft.bearings

    @cached_property
    def bearings(self) -> tuple[BuiltBearing, ...]:
        """Its bearings: the file's, or one at each end of the rod; at least one."""
        if self._given_bearings:
            return tuple(self._built(b) for b in self._given_bearings)
        pair = chosen_bearing(None, f'shaft "{self.name}", at the ends of its rod')
        low, high = self.ends_mm
        places = (low,) if high - low < self.diameter_mm else (low, high)
        return tuple(self._bearing(Bearing(at, pair.value.name), pair) for at in places)

    def _built(self, bearing: Bearing) -> BuiltBearing:
        place = f"{self._called} at {bearing.at_mm:g} mm"
        return self._bearing(bearing, chosen_bearing(bearing.kind, place))

    def _bearing(self, bearing: Bearing, pair: Chosen[BearingPair]) -> BuiltBearing:
        at, given, usual = bearing.at_mm, bearing.stiffness_n_mm, pair.value.stiffness_n_mm
        what, taken = f"stiffness of the {bearing.kind} bearings", f"{usual.value:g} N/mm"
        stiffness = Chosen(usual.value, (Assumption(what, taken, usual.source),))
        if given is not None:
            stiffness = Chosen(given)
        return BuiltBearing(at, self.diameter_at_mm(at), bearing.kind, pair, stiffness)

    @cached_property
    def material(self) -> Chosen[Material]:
        """The material of its rod; of steel where the file is silent."""
        place, own = f'shaft "{self.name}"', self.design.materials
        return chosen_material(self.shaft.material, USUAL_SHAFT, place, own)

    @cached_property
    def density(self) -> Chosen[Figure]:
        """Density of its rod, kg/m3."""
        return chosen_figure(self.material, "density_kg_m3", USUAL_SHAFT)

    @cached_property
    def modulus(self) -> Chosen[Figure]:
        """Modulus of elasticity of its rod, MPa."""
        return chosen_figure(self.material, "modulus_mpa", USUAL_SHAFT)

    @property
    def assumed(self) -> tuple[Assumption, ...]:
        """What was assumed for it."""
        return each_once(self._assumed())

    def _assumed(self) -> Iterator[Assumption]:
        yield from self.ends.assumed
        yield from (a for b in self.bearings for a in b.pair.assumed)
        yield from self.density.assumed


class BuiltSpindle(BuiltShaft):
    """The spindle as it is built: a shaft with bearings astride its whorls, sections and a cop."""

    @property
    def _given_bearings(self) -> tuple[Bearing, ...]:
        return self.design.spindle.bearings or self.shaft.bearings

    @cached_property
    def _placed_bearings(self) -> tuple[Bearing, ...]:
        """The file's bearings, or one close to either side of the pulleys on it."""
        if self._given_bearings:
            return self._given_bearings
        offsets = [p.pulley.offset_mm for p in self.carries] or [0.0]
        gap = 2.0 * self.diameter_mm + 5.0
        return (Bearing(min(offsets) - gap, "brass"), Bearing(max(offsets) + gap, "brass"))

    @cached_property
    def bearings(self) -> tuple[BuiltBearing, ...]:
        """The file's bearings, or one close to either side of the pulleys on it."""
        return tuple(self._built(b) for b in self._placed_bearings)

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
        low, high = self.ends_mm
        washers = [w.at_mm for w in self.design.spindle.washers]
        hindmost = min(max(b.at_mm for b in self._placed_bearings) + 5.0, high)
        start = max([hindmost, *(w for w in washers if w < high - USUAL_COP_LENGTH_MM)])
        stop = min(start + USUAL_COP_LENGTH_MM, high)
        if stop <= start:
            start, stop = low, high
        area = math.pi / 4.0 * (USUAL_COP_DIAMETER_MM**2 - self.diameter_mm**2)
        mass = max(YARN_DENSITY_KG_M3 * 1e-6 * area * (stop - start), 0.0)
        taken = f"{start:g} mm to {stop:g} mm, {USUAL_COP_DIAMETER_MM:g} mm thick, {mass:.1f} g"
        cop = Cop(start, stop, USUAL_COP_DIAMETER_MM, mass)
        return Chosen(cop, (Assumption("the full cop", taken, PRACTICE),))

    @property
    def cop_bore_mm(self) -> float:
        """Diameter of the rod under the middle of the cop, mm."""
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
