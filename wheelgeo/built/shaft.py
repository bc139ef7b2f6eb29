"""A shaft as it is built: its rod with its ends, its material, its bearings.

Glossary: the *ends* are those of the rod as it is cut; its *reach* is as much of it as the
mechanics take, which is longer where the file's rod ends short of what stands on it; *places* are
millimetres along the axis from the shaft's ``at``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import field, replace
from functools import cached_property

from wheelgeo.built.assumed import (
    USUAL_SHAFT,
    USUAL_SLEEVE,
    Assumption,
    Chosen,
    chosen_bearing,
    chosen_figure,
    chosen_material,
    each_once,
)
from wheelgeo.built.held import (
    CRANK_MM,
    all_of_sheet,
    bearing_length_mm,
    floor_along_mm,
    usual_places_mm,
)
from wheelgeo.built.kept import KeptOf
from wheelgeo.built.pulley import BUSH_WALL_MM, WOOD_GAP_MM, BuiltPulley
from wheelgeo.design.file_forms import SLEEVE_WALL_MM
from wheelgeo.design.material import Figure, Material
from wheelgeo.design.materials import PRACTICE, BearingPair
from wheelgeo.design.model import Bearing, Design, Section, Shaft
from wheelgeo.geometry.vectors import dot, sub
from wheelgeo.immutable import dataclass

Ends = tuple[float, float]
"""Two places along a shaft, mm, lower first."""


@dataclass(frozen=True)
class BuiltBearing:
    """One bearing of a shaft.

    Attributes:
        at_mm: its place.
        diameter_mm: diameter of the rod there.
        kind: as a design file writes it.
        pair: what runs in what.
        stiffness: how stiffly it holds the rod sideways, N/mm.
        length_mm: how long it is along the rod.
        wall_mm: wall of its bush; 0 where the rod is held fast.
        split: whether what holds it is sawn through at the hole, with a cap.
    """

    at_mm: float
    diameter_mm: float
    kind: str
    pair: Chosen[BearingPair]
    stiffness: Chosen[float]
    length_mm: float = 0.0
    wall_mm: float = BUSH_WALL_MM
    split: bool = False

    @property
    def outside_mm(self) -> float:
        """Diameter of the hole that it sits in, mm."""
        return self.diameter_mm + 2.0 * self.wall_mm

    @property
    def friction(self) -> Figure:
        """Coefficient of friction at the rod's surface."""
        return self.pair.value.friction


@dataclass(frozen=True)
class BuiltShaft:
    """A shaft as it is built.

    Attributes:
        shaft: the shaft of the design.
        design: the wheel, or one that is the same in all that this shaft hangs on.
        pulleys: the pulleys on it and on its sleeves; of a bare rod every pulley of the wheel.
    """

    shaft: Shaft
    design: Design = field(repr=False)
    pulleys: Sequence[BuiltPulley] = field(repr=False)

    @cached_property
    def as_cut(self) -> BuiltShaft:
        """The shaft that was first built with the same rod in the same bearings; often itself.

        What is made for rod and bearings alone is kept with that one: another pulley on the rod,
        or one elsewhere on it, mostly changes neither.
        """
        design, spindle = self.design, None
        if self.name == design.spindle.shaft:
            spindle = design.spindle
        bearings, held = ([(b.at_mm, b.diameter_mm, b.kind, b.length_mm, b.wall_mm, b.split)
                           for b in some] for some in (self.bearings, self.held_at))  # fmt: skip
        return _AS_CUT.get(
            (self.shaft, design.case, design.shop, design.materials, spindle), lambda: self,
            all_of_sheet(design), self.is_pin, self.bore_mm, self.ends_mm,
            tuple([(s.from_mm, s.to_mm, s.diameter_mm) for s in self.sections]),
            tuple(bearings), tuple(held),
        )  # fmt: skip

    @property
    def name(self) -> str:
        """Its name in the file."""
        return self.shaft.name

    @property
    def _place(self) -> str:
        return f'shaft "{self.name}"'

    @property
    def _called(self) -> str:
        return self._place

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
        floor = floor_along_mm(self.design, self.shaft)
        stands = 0.0 if floor is None or not carried else floor
        places = [stands, *(carried or self._past_all_pulleys())]
        return min(places), max(places)

    @cached_property
    def faces_mm(self) -> Ends | None:
        """The outermost faces of all pulleys on it, those on its sleeves included; None: bare."""
        names = {self.name, *(s.name for s in self.design.shafts if s.runs_on == self.name)}
        carried = [x for p in self.pulleys if p.pulley.shaft in names for x in p.faces_mm]
        return (min(carried), max(carried)) if carried else None

    @cached_property
    def usual_bearings(self) -> tuple[tuple[float, float], ...]:
        """Middle and length, mm, of its bearings where the file gives none; none of a bare rod."""
        given = self._given_bearings and not self.is_pin
        if self.shaft.runs_on is not None or self.faces_mm is None or given:
            return ()
        places = usual_places_mm(self.design, self.shaft, self.faces_mm)
        ends = self.shaft.ends_mm
        if ends is None:
            return places
        # A rod of the file's may end short of where a bearing would stand: it stands at its end.
        low, high = min(ends), max(ends)
        return tuple((min(max(at, low), high), length) for at, length in places)

    def _attached(self) -> Iterator[float]:
        """Yield the places of what else is fixed to it: crank and bearings."""
        drive = self.design.drive
        if drive.shaft == self.name and drive.offset_mm is not None:
            yield drive.offset_mm
            if drive.by in ("crank", "treadle"):
                # the arm sits on the rod with its whole thickness
                faces = self.faces_mm or (0.0, 0.0)
                outward = 1.0 if drive.offset_mm >= 0.5 * (faces[0] + faces[1]) else -1.0
                yield drive.offset_mm + outward * 0.5 * CRANK_MM
        half = 0.5 * bearing_length_mm(self.design, self.shaft)
        yield from (b.at_mm + end for b in self._given_bearings for end in (-half, half))
        if self.shaft.ends_mm is None:
            for at, length in self.usual_bearings:
                yield from (at - 0.5 * length, at + 0.5 * length)

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

    @property
    def is_pin(self) -> bool:
        """Whether it is a pin that stands still, on which what it carries turns."""
        return self.shaft.fixed and bool(self.carries)

    @cached_property
    def held_at(self) -> tuple[BuiltBearing, ...]:
        """Where block, bridge, support or post hold its rod: its bearings, or a pin held fast."""
        if not self.is_pin:
            return self.bearings
        fast = replace(self.bearings[0], kind="held fast", wall_mm=0.0)
        return tuple(
            replace(fast, at_mm=at, length_mm=length, diameter_mm=self.diameter_at_mm(at))
            for at, length in self.usual_bearings
        )

    def standing_in(self, number: int) -> tuple[str, ...]:
        """Return the names of what stands in the holder of that number: its bush, and the rod."""
        bush = () if self.is_pin else (f"bearing {self.name} {number}",)
        return (*bush, f"rod {self.name}")

    def _bushes_of_wheel(self) -> tuple[BuiltBearing, ...]:
        """Return what a wheel turns in on its pin: a bush let in flush at either face."""
        low, high = self.faces_mm or self.ends_mm
        length = min(bearing_length_mm(self.design, self.shaft), 0.5 * (high - low))
        places = low + 0.5 * length, high - 0.5 * length
        pair = chosen_bearing(None, f"{self._place}, in what turns on its pin, flush at both faces")
        return tuple(self._bearing(Bearing(at, pair.value.name), pair, length) for at in places)

    @cached_property
    def bearings(self) -> tuple[BuiltBearing, ...]:
        """Its bearings: the file's, or one on either side of what it carries; at least one.

        A bare rod and a sleeve run in one at each end; those of a pin sit in what turns on it.
        """
        if self._given_bearings:
            return tuple(self._built(b) for b in self._given_bearings)
        if self.is_pin:
            return self._bushes_of_wheel()
        usual = self.usual_bearings
        if usual:
            where = " and ".join(f"{at:.4g} mm" for at, _ in usual)
            pair = chosen_bearing(None, f"{self._place}, at {where}, beside its pulleys")
            return tuple(
                self._bearing(Bearing(at, pair.value.name), pair, length) for at, length in usual
            )
        pair = chosen_bearing(None, f"{self._place}, at the ends of its rod")
        low, high = self.ends_mm
        places = (low,) if high - low < self.diameter_mm else (low, high)
        return tuple(self._bearing(Bearing(at, pair.value.name), pair) for at in places)

    def _built(self, bearing: Bearing) -> BuiltBearing:
        place = f"{self._called} at {bearing.at_mm:g} mm"
        return self._bearing(bearing, chosen_bearing(bearing.kind, place))

    def _bearing(
        self, bearing: Bearing, pair: Chosen[BearingPair], length_mm: float | None = None
    ) -> BuiltBearing:
        at, given, usual = bearing.at_mm, bearing.stiffness_n_mm, pair.value.stiffness_n_mm
        what, taken = f"stiffness of the {bearing.kind} bearings", f"{usual.value:g} N/mm"
        stiffness = Chosen(usual.value, (Assumption(what, taken, usual.source),))
        if given is not None:
            stiffness = Chosen(given)
        length = bearing_length_mm(self.design, self.shaft) if length_mm is None else length_mm
        return BuiltBearing(
            at, self.diameter_at_mm(at), bearing.kind, pair, stiffness, length, split=bearing.split
        )

    @property
    def bore_mm(self) -> float:
        """Diameter of the hole through it: 0 of a rod, of a sleeve what it runs on and a gap."""
        under = self.shaft.runs_on
        return 0.0 if under is None else self.design.shaft(under).diameter_mm + WOOD_GAP_MM

    @cached_property
    def material(self) -> Chosen[Material]:
        """Its material; where the file is silent a rod is of steel, a sleeve of wood."""
        usual = USUAL_SHAFT if self.shaft.runs_on is None else USUAL_SLEEVE
        return chosen_material(self.shaft.material, usual, self._place, self.design.materials)

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
        if not self.shaft.diameter_given:
            taken = f"{self.shaft.diameter_mm:g} mm, a wall of {SLEEVE_WALL_MM:g} mm round its rod"
            yield Assumption(f"diameter of {self._called}", taken, PRACTICE)
        yield from self.ends.assumed
        yield from (a for b in self.bearings for a in b.pair.assumed)
        yield from self.density.assumed


_AS_CUT: KeptOf[BuiltShaft] = KeptOf(256)
