"""A pulley as it is cut: its groove, rim, width, bore, material and mass.

One place for every default of a pulley, so that a clearance is checked against the same pulley
that is cut. Glossary: the *cheeks* are the walls beside the mouth of a groove; the *faces* are a
pulley's two ends along its axis; a *layered* pulley is a core disc glued between two larger cheek
discs, which makes a square groove as wide as the core is thick.

All defaults of size here are common practice, no source.
"""

from __future__ import annotations

from dataclasses import field
from functools import cached_property

from wheelgeo.built.assumed import (
    USUAL_SHEET,
    USUAL_WHEEL,
    Assumption,
    Chosen,
    chosen_figure,
    chosen_material,
    each_once,
)
from wheelgeo.built.built_up import Making, making_of, rim_of_segments
from wheelgeo.built.held import SHEETS_MM
from wheelgeo.built.inertia import Inertia, revolved
from wheelgeo.built.spoked import SpokedWheel, hub_and_spokes, spoked_wheel, usual_spokes
from wheelgeo.design.material import Figure, Material
from wheelgeo.design.materials import PLYWOOD
from wheelgeo.design.model import Pulley, Shaft
from wheelgeo.geometry.groove import CutGroove, Groove
from wheelgeo.geometry.revolve import Hole
from wheelgeo.geometry.vectors import Vector, along
from wheelgeo.immutable import dataclass

CHEEK_MM = 2.0
"""Least thickness of the cheeks of a turned pulley, mm."""
CHEEK_PER_DEPTH = 0.2
"""Least thickness of the cheeks as a fraction of the groove's depth."""
LAYER_CHEEK_MM = 3.0
"""Thickness of the cheek sheets of a layered pulley, mm, where the file is silent."""
BUSH_WALL_MM = 2.0
"""Wall of a bush, mm."""
WOOD_GAP_MM = 0.2
"""Working clearance of a wooden bore that runs on a rod, on the diameter, mm."""


@dataclass(frozen=True)
class BuiltPulley:
    """A pulley as it is cut.

    Attributes:
        pulley: the pulley of the design.
        shaft: the shaft that it is on.
        cord_mm: diameter of the thickest cord that runs on it, mm; 0 where none does.
        own: the wheel's own materials.
        grooves: how many grooves its wheel has, of one piece, which share hub and spokes.
    """

    pulley: Pulley
    shaft: Shaft
    cord_mm: float
    own: tuple[Material, ...] = field(default=(), repr=False)
    grooves: int = 1

    @property
    def name(self) -> str:
        """Its name in the file."""
        return self.pulley.name

    @cached_property
    def groove(self) -> CutGroove:
        """The groove that is cut.

        The file's; for a layered pulley the square groove that core and cheeks make; for a pulley
        of which only the pitch is known a groove that holds the cord flush with the rim at exactly
        that pitch, round at the bottom and a tenth wider than the cord, or square where it is
        layered.
        """
        groove = self.pulley.groove.to_cut(self.cord_mm)
        return groove.layered(self.core_mm) if self.pulley.build == "layers" else groove

    @cached_property
    def runs_in(self) -> Groove:
        """The groove that a cord seats in: what is cut; a given pitch stays as it is given."""
        return self.groove if self.pulley.groove.can_be_cut else self.pulley.groove

    @property
    def core_mm(self) -> float:
        """Thickness of the core if it is layered, mm.

        The file's, or for a flat rim its width, or the thinnest common sheet that is not thinner
        than the cord.
        """
        if self.pulley.core_mm is not None:
            return self.pulley.core_mm
        groove = self.pulley.groove.to_cut(self.cord_mm)
        if not groove.has_mouth:
            return groove.mouth_mm
        return next((sheet for sheet in SHEETS_MM if sheet >= self.cord_mm), self.cord_mm)

    @cached_property
    def cheek_mm(self) -> float:
        """Thickness of each cheek, mm; 0 for a flat rim.

        Of a turned pulley what the file's width leaves beside the mouth, or at least 2 mm and at
        least a fifth of the groove's depth.
        """
        groove = self.groove
        if not groove.has_mouth:
            return 0.0
        if self.pulley.build == "layers":
            return LAYER_CHEEK_MM if self.pulley.cheek_mm is None else self.pulley.cheek_mm
        if self.pulley.width_mm is not None:
            return 0.5 * (self.pulley.width_mm - groove.mouth_mm)
        return max(CHEEK_MM, CHEEK_PER_DEPTH * groove.deep_mm)

    @cached_property
    def width_mm(self) -> float:
        """Overall width along its axis, mm: of a layered pulley always core and cheeks."""
        if self.pulley.build != "layers" and self.pulley.width_mm is not None:
            return self.pulley.width_mm
        return self.groove.mouth_mm + 2.0 * self.cheek_mm

    @property
    def rim_mm(self) -> float:
        """Outside diameter, mm."""
        return self.groove.rim_mm

    @property
    def bottom_mm(self) -> float:
        """Diameter at the bottom of its groove, mm."""
        return self.groove.bottom_diameter_mm

    @property
    def faces_mm(self) -> tuple[float, float]:
        """Its two ends along the axis from the shaft's ``at``, mm, lower first."""
        half = 0.5 * self.width_mm
        return self.pulley.offset_mm - half, self.pulley.offset_mm + half

    @cached_property
    def centre_mm(self) -> Vector:
        """The middle of its groove, in the wheel's axes, mm."""
        return along(self.shaft.at_mm, self.shaft.axis, self.pulley.offset_mm)

    @cached_property
    def material(self) -> Chosen[Material]:
        """Its material; of wood where the file is silent, of plywood where it is layered."""
        place = f'pulley "{self.name}"'
        usual = USUAL_SHEET if self.pulley.build == "layers" else USUAL_WHEEL
        return chosen_material(self.pulley.material, usual, place, self.own)

    @cached_property
    def making(self) -> Chosen[Making]:
        """How it is made; of solid wood and large, from segments where the file is silent."""
        place = f'pulley "{self.name}"'
        wood = self.material.value.name
        return making_of(self.pulley.build, wood, self.rim_mm, self.bottom_mm, place)

    @cached_property
    def spoked(self) -> SpokedWheel | None:
        """Its rim, spokes and hub; None where it is not made so."""
        if self.making.value != "spokes":
            return None
        given = self.pulley.spokes
        count = usual_spokes(self.rim_mm) if given is None else given
        return spoked_wheel(self.rim_mm, self.bottom_mm, self.grooves * self.width_mm, count)

    @property
    def is_metal(self) -> bool:
        """Whether it is of metal."""
        return self.material.value.kind == "shaft"

    @cached_property
    def density(self) -> Chosen[Figure]:
        """Density, kg/m3."""
        return chosen_figure(self.material, "density_kg_m3", USUAL_WHEEL)

    @property
    def bore_mm(self) -> float:
        """Diameter of its bore, mm.

        The file's, or its shaft's diameter: a pulley that turns with its rod is a push fit on it.
        One that turns on a pin is bored for the bushes that it turns in.
        """
        if self.pulley.bore_mm is not None:
            return self.pulley.bore_mm
        return self.shaft.diameter_mm + (2.0 * BUSH_WALL_MM if self.shaft.fixed else 0.0)

    @property
    def wall_mm(self) -> float:
        """What is left between its bore and the bottom of its groove, mm."""
        return 0.5 * (self.bottom_mm - self.bore_mm)

    @cached_property
    def inertia(self) -> Inertia:
        """Mass and moments of inertia, with its groove, bore and lightening holes.

        Of a rim of segments the middle counts as the plywood that it is; of a wheel with spokes
        rim, hub and its groove's share of the spokes.
        """
        wood, spoked = self.density.value.value, self.spoked
        if spoked is not None:
            rim = self._ring(spoked.rim.inner_mm, wood)
            whole = hub_and_spokes(spoked, self.width_mm, self.bore_mm, wood, self.grooves)
            return rim + whole
        holes, light = [Hole(0.0, 0.5 * self.bore_mm)], self.pulley.lightening
        if light is not None:
            holes += [Hole(0.5 * light.circle_mm, 0.5 * light.diameter_mm)] * light.holes
        if self.making.value == "segments":
            # all of it as plywood, and the rim by as much more as its wood is heavier
            inner = rim_of_segments(self.rim_mm, self.bottom_mm).inner_mm
            middle = chosen_figure(Chosen(PLYWOOD), "density_kg_m3", USUAL_WHEEL).value.value
            plain = revolved(self.groove, self.width_mm, tuple(holes), middle)
            return plain + self._ring(inner, wood - middle)
        return revolved(self.groove, self.width_mm, tuple(holes), wood)

    def _ring(self, inner_mm: float, density_kg_m3: float) -> Inertia:
        hole = Hole(0.0, 0.5 * inner_mm)
        return revolved(self.groove, self.width_mm, (hole,), density_kg_m3)

    @property
    def assumed(self) -> tuple[Assumption, ...]:
        """What was assumed for it."""
        assumed = (*self.material.assumed, *self.density.assumed, *self.making.assumed)
        return each_once(assumed)


def loose_pulley(pulley: Pulley, cord_mm: float = 0.0) -> BuiltPulley:
    """Return a pulley of which only the groove, the rim and the width are asked for: no rod's."""
    return BuiltPulley(pulley, Shaft("", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 0.0), cord_mm)
