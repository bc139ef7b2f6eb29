"""A band as it is made and put on: its cord's figures, its stretch, its joint, its cut length."""

from __future__ import annotations

import math
from dataclasses import field
from functools import cached_property

from wheelgeo.built.assumed import (
    USUAL_CORD,
    Assumption,
    Chosen,
    chosen_figure,
    chosen_material,
    each_once,
)
from wheelgeo.design.joints import CordGrowth, Joint, growth_of, joint_of
from wheelgeo.design.material import Figure, Material
from wheelgeo.design.model import Band
from wheelgeo.design.rings import stretched_cord_mm
from wheelgeo.immutable import dataclass


def cut_length_mm(path_mm: float, stretch: float) -> float:
    """Return the length of cord, slack and without its joint, that makes a path when stretched.

    Args:
        path_mm: length of the path, mm.
        stretch: installed stretch, a fraction.
    """
    return path_mm / (1.0 + stretch)


@dataclass(frozen=True)
class BuiltBand:
    """A band as it is made.

    Attributes:
        band: the band of the design.
        own: the wheel's own materials.
    """

    band: Band
    own: tuple[Material, ...] = field(default=(), repr=False)

    @property
    def name(self) -> str:
        """Its name in the file."""
        return self.band.name

    @cached_property
    def material(self) -> Chosen[Material]:
        """The material of its cord; cotton where the file's is not known."""
        return chosen_material(self.band.material, USUAL_CORD, f'band "{self.name}"', self.own)

    @cached_property
    def modulus(self) -> Chosen[Figure]:
        """Modulus over the full circle of the cord, MPa."""
        return chosen_figure(self.material, "modulus_mpa", USUAL_CORD)

    @cached_property
    def density(self) -> Chosen[Figure]:
        """Density of the cord, kg/m3."""
        return chosen_figure(self.material, "density_kg_m3", USUAL_CORD)

    @cached_property
    def friction(self) -> Chosen[Figure]:
        """Coefficient of friction of the cord on a wooden pulley."""
        return chosen_figure(self.material, "friction", USUAL_CORD)

    @cached_property
    def usual_stretch(self) -> Chosen[Figure]:
        """The range in which its cord is usually stretched on, a fraction."""
        return chosen_figure(self.material, "stretch", USUAL_CORD)

    @cached_property
    def bending_share(self) -> Chosen[Figure]:
        """Part of its pull that it loses in bending, of a cord of fibres; 0 of an elastomer."""
        material = self.material.value
        if material.bending_share is None and material.loss_factor is not None:
            return Chosen(Figure(0.0, 0.0, 0.0, material.loss_factor.source))
        return chosen_figure(self.material, "bending_share", USUAL_CORD)

    @property
    def loss_factor(self) -> Figure:
        """Loss factor in bending of an elastomer; 0 of a cord of fibres."""
        return self.material.value.loss_factor or Figure(0.0, 0.0, 0.0, "a cord of fibres")

    def thinned_mm(self, bought_mm: float, stretch: float) -> float:
        """Return how thick a cord of its material lies, mm, that is stretched on.

        A rubber-like cord keeps its volume: stretched by e it is 1 / sqrt(1 + e) as thick. How
        much thinner fibres pack under their pull is not known to us; they lie as they are bought.

        Args:
            bought_mm: its diameter as bought.
            stretch: a fraction.
        """
        rubber_like = self.material.value.keeps_volume
        return stretched_cord_mm(bought_mm, stretch) if rubber_like else bought_mm

    @property
    def bought_diameter_mm(self) -> float:
        """Diameter of the cord to buy, mm: the file's is that of the cord stretched on."""
        return self.band.diameter_mm / self.thinned_mm(1.0, self.stretch.value)

    @property
    def section_mm2(self) -> float:
        """Section of its cord, mm2."""
        return math.pi / 4.0 * self.band.diameter_mm**2

    @property
    def stiffness_n(self) -> float:
        """Pull per unit of stretch, N: modulus times section of the cord, both as it lies.

        Of an ideal rubber that is right within 1.2 % up to a stretch of 20 %: its pull on its slack
        section is E/3 (l - 1/l^2), l = 1 + e (Treloar, The Physics of Rubber Elasticity), and the
        section as it lies is 1/l of that.
        """
        return self.modulus.value.value * self.section_mm2

    @cached_property
    def stretch(self) -> Chosen[float]:
        """Installed stretch, a fraction: the file's, or the usual one of the material."""
        if self.band.stretch is not None:
            return Chosen(self.band.stretch)
        usual = self.usual_stretch
        what, taken = f'stretch of band "{self.name}"', f"{100.0 * usual.value.value:g} %"
        made = Assumption(what, taken, usual.value.source)
        return Chosen(usual.value.value, (*usual.assumed, made))

    @property
    def least_stretch(self) -> float:
        """Stretch down to which it may grow slack, a fraction: the least that is usual.

        Of a band that is put on with less, as one whose whorl must slip, half of what it has then;
        common practice, no source.
        """
        usual, installed = self.usual_stretch.value.low, self.stretch.value
        return usual if installed >= usual else 0.5 * installed

    def room_to_grow(self, path_mm: float, slack_mm: float) -> float:
        """Return by what fraction it may grow until it hangs at its least right stretch.

        Args:
            path_mm: length of the path round which it then lies.
            slack_mm: its length before it has grown, slack and without its joint.
        """
        return path_mm / (slack_mm * (1.0 + self.least_stretch)) - 1.0

    @property
    def joint_kind(self) -> Joint:
        """How its ends are joined: as the file says, or as is usual for the material."""
        return joint_of(self.band.material, self.band.joined)

    @property
    def growth(self) -> CordGrowth:
        """How it grows with age and season."""
        return growth_of(self.band.material)

    @cached_property
    def joint(self) -> Chosen[float]:
        """Length of cord that the joint takes, mm: the file's, or what such a one usually takes."""
        if self.band.joint_mm is not None:
            return Chosen(self.band.joint_mm)
        kind = self.joint_kind
        taken = kind.taken_mm(self.band.diameter_mm)
        made = Assumption(
            f'joint of band "{self.name}"', f"{kind.name}, {taken:g} mm", kind.source
        )
        return Chosen(taken, (made,))

    def cut_length_mm(self, path_mm: float) -> float:
        """Return the length of cord, slack and without its joint, that makes a path, mm."""
        return cut_length_mm(path_mm, self.stretch.value)

    def cut_spread_mm(self, path_mm: float) -> float:
        """Return half of what the range of a stretch that was assumed makes of the cut length, mm.

        0 where the file gives the stretch.
        """
        if self.stretch.given:
            return 0.0
        usual = self.usual_stretch.value
        return 0.5 * (cut_length_mm(path_mm, usual.low) - cut_length_mm(path_mm, usual.high))

    def cut_with_joint_mm(self, path_mm: float) -> float:
        """Return the length of cord to cut off for a path, its joint included, mm."""
        return self.cut_length_mm(path_mm) + self.joint.value

    @property
    def slip(self) -> Chosen[float]:
        """Slip that is reckoned with in ratio and speeds, a fraction: what is told of it, or 0."""
        if self.band.slip is not None:
            return Chosen(self.band.slip)
        taken = "0 % in ratio and twist; under load as much as its cord creeps"
        why = "a slip that is not told counts as none; creep follows from pull and cord"
        made = Assumption(f'slip of band "{self.name}"', taken, why)
        return Chosen(0.0, (made,))

    @property
    def assumed_unloaded(self) -> tuple[Assumption, ...]:
        """What was assumed for its lengths and for what it turns, no load on it."""
        return each_once((*self.stretch.assumed, *self.joint.assumed, *self.slip.assumed))

    @property
    def assumed(self) -> tuple[Assumption, ...]:
        """What was assumed for it."""
        figures = (self.modulus, self.density, self.friction, self.bending_share)
        return each_once((*(a for f in figures for a in f.assumed), *self.assumed_unloaded))
