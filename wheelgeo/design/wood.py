"""Wood as it moves: moisture by the air, shrinkage across the grain, discs that turn oval.

Glossary: *radial* is from the pith to the bark, *tangential* along the year rings; wood moves most
tangentially, about half as much radially and hardly along the grain. *Moisture content* is water
over dry wood, per cent. A *flat-sawn* board has the tangential direction across its width, a
*quarter-sawn* one the radial. The *change coefficient* is the change of a size, as a fraction, for
each per cent of moisture.

Source of figures and formulas: Wood Handbook, FPL-GTR-190 (2010), Forest Products Laboratory:
table 4-3 (shrinkage), table 13-5 (change coefficients, for 6 to 14 % moisture), chapter 4
(equilibrium moisture, Hailwood and Horrobin's equation with two hydrates).
"""

from __future__ import annotations

import math
from typing import Literal

from wheelgeo.immutable import dataclass

HANDBOOK = "Wood Handbook, FPL-GTR-190 (2010), tables 4-3 and 13-5"
FIBRE_SATURATION = 30.0
"""Moisture content above which wood does not move, per cent: what the handbook reckons with."""
ALONG_PER_POINT = 0.002 / FIBRE_SATURATION
"""Change along the grain for each per cent of moisture: 0.1 to 0.2 % in all (Wood Handbook, ch. 4),
the larger taken."""

Cut = Literal["flat-sawn", "quarter-sawn", "end grain"]
"""How a disc lies in the tree: in the face of a board, or square to the trunk."""


@dataclass(frozen=True)
class Species:
    """How a wood moves.

    Attributes:
        name: as a design file writes it, where it does.
        radial_shrinkage: from green to oven-dry, as a fraction.
        tangential_shrinkage: likewise.
        radial_per_point: change coefficient, a fraction for each per cent of moisture.
        tangential_per_point: likewise.
        source: where the figures come from.
    """

    name: str
    radial_shrinkage: float
    tangential_shrinkage: float
    radial_per_point: float
    tangential_per_point: float
    source: str = HANDBOOK

    def per_point(self, ring_deg: float) -> float:
        """Return the change coefficient in a direction across the grain.

        Args:
            ring_deg: angle between that direction and the radial: 0 of a quarter-sawn board's
                width, 90 of a flat-sawn one's.

        Returns:
            Small strains turn like the squares of sine and cosine (plane strain without shear).
        """
        turn = math.radians(ring_deg)
        radial, tangential = self.radial_per_point, self.tangential_per_point
        return radial * math.cos(turn) ** 2 + tangential * math.sin(turn) ** 2


SPECIES: tuple[Species, ...] = (
    Species("ash", 0.049, 0.078, 0.00169, 0.00274),
    Species("birch", 0.073, 0.095, 0.00256, 0.00338),
    Species("cherry", 0.037, 0.071, 0.00126, 0.00248),
    Species("walnut", 0.055, 0.078, 0.00190, 0.00274),
    Species("white oak", 0.056, 0.105, 0.00180, 0.00365),
    Species("oak", 0.056, 0.105, 0.00180, 0.00365, HANDBOOK + ", white oak"),
    Species("maple", 0.048, 0.099, 0.00165, 0.00353),
    Species("beech", 0.055, 0.119, 0.00190, 0.00431),
    Species("red oak", 0.040, 0.086, 0.00158, 0.00369, HANDBOOK + "; shrinkage from memory"),
    Species("teak", 0.025, 0.058, 0.00101, 0.00186, HANDBOOK + "; from memory"),
)
"""White ash, yellow birch, black cherry, black walnut, white oak, sugar maple, American beech,
northern red oak (its coefficients those of red oak of commerce), teak."""


def find_species(name: str) -> Species | None:
    """Return the wood of that name; None where there are no figures."""
    return next((wood for wood in SPECIES if wood.name == name), None)


def equilibrium_moisture(humidity: float, temperature_c: float = 21.0) -> float:
    """Return the moisture content that wood comes to in air of steady humidity, per cent.

    Args:
        humidity: relative humidity, 0 up to but not 1.
        temperature_c: of the air, -1 to 130, the range of the handbook's table.

    Returns:
        By Hailwood and Horrobin's equation as the handbook gives it, in degrees Fahrenheit. Some
        copies misprint the .0284 of K2 as .0171, which gives a point too little in damp air.

    Raises:
        ValueError: humidity or temperature beyond that.
    """
    if not (0.0 <= humidity < 1.0 and -1.2 <= temperature_c <= 130.0):
        raise ValueError(
            f"humidity {humidity:g} at {temperature_c:g} degrees C: the equation holds from 0 up "
            "to 1, and from -1 to 130 degrees"
        )
    t, h = 32.0 + 1.8 * temperature_c, humidity
    w = 330.0 + 0.452 * t + 0.00415 * t * t
    k = 0.791 + 0.000463 * t - 0.000000844 * t * t
    k1 = 6.34 + 0.000775 * t - 0.0000935 * t * t
    k2 = 1.09 + 0.0284 * t - 0.0000904 * t * t
    kh = k * h
    first, second = k1 * kh, k1 * k2 * kh * kh
    hydrates = (first + 2.0 * second) / (1.0 + first + second)
    return 1800.0 / w * (kh / (1.0 - kh) + hydrates)


def change_mm(size_mm: float, per_point: float, before: float, after: float) -> float:
    """Return by how much a size changes between two moisture contents (per cent), mm.

    The handbook's rule: size times coefficient times difference. Its coefficients hold from 6 to
    14 per cent, up to saturation roughly; above saturation wood does not move.
    """
    ends = [min(moisture, FIBRE_SATURATION) for moisture in (before, after)]
    return size_mm * per_point * (ends[1] - ends[0])


@dataclass(frozen=True)
class Year:
    """The air in which a wheel is made and kept.

    Attributes:
        made: relative humidity in which it was made.
        driest: least in a year.
        dampest: greatest in a year.
        temperature_c: of the air.

    The default is a heated house in a temperate climate: common practice, no source.
    """

    made: float = 0.50
    driest: float = 0.30
    dampest: float = 0.65
    temperature_c: float = 21.0

    @property
    def moistures(self) -> tuple[float, float, float]:
        """Moisture contents when made, at the driest and at the dampest, per cent."""
        made, driest, dampest = (
            equilibrium_moisture(h, self.temperature_c)
            for h in (self.made, self.driest, self.dampest)
        )
        return made, driest, dampest


@dataclass(frozen=True)
class Oval:
    """A disc turned round that wood has pulled out of round.

    Attributes:
        along_mm: diameter along the grain (end grain: along the radius of the tree).
        across_mm: diameter across it (end grain: along the year rings).
    """

    along_mm: float
    across_mm: float

    @property
    def least_mm(self) -> float:
        """Least diameter, mm."""
        return min(self.along_mm, self.across_mm)

    @property
    def greatest_mm(self) -> float:
        """Greatest diameter, mm."""
        return max(self.along_mm, self.across_mm)

    @property
    def out_of_round_mm(self) -> float:
        """Greatest less least diameter, mm: how far a band is lifted and dropped, twice a turn."""
        return self.greatest_mm - self.least_mm


def disc_per_point(species: Species, cut: Cut) -> tuple[float, float]:
    """Return the change coefficients of a disc's two diameters, along and across.

    A disc in the face of a board has the grain along one diameter; a disc of end grain, such as a
    whorl turned from a rod, has the radial direction along one and the tangential across.
    """
    if cut == "end grain":
        return species.radial_per_point, species.tangential_per_point
    return ALONG_PER_POINT, species.per_point(90.0 if cut == "flat-sawn" else 0.0)


def oval(diameter_mm: float, species: Species, cut: Cut, before: float, after: float) -> Oval:
    """Return what a disc becomes that was turned round at another moisture content.

    Args:
        diameter_mm: as turned: of the rim, of the groove where the cord lies, or of a bore.
        species: the wood.
        cut: how the disc lies in the tree.
        before: moisture content when it was turned, per cent.
        after: moisture content now, per cent.

    Returns:
        Its two diameters. Wood moves evenly: a hole changes as the wood that was in it would.
    """
    along, across = (
        diameter_mm + change_mm(diameter_mm, c, before, after) for c in disc_per_point(species, cut)
    )
    return Oval(along, across)


@dataclass(frozen=True)
class YearOfDisc:
    """A disc at the ends of a year's humidity: as the driest and the dampest air leave it."""

    made_mm: float
    dry: Oval
    damp: Oval

    @property
    def out_of_round_mm(self) -> float:
        """The larger of the two, mm."""
        return max(self.dry.out_of_round_mm, self.damp.out_of_round_mm)


def disc_over_a_year(
    diameter_mm: float, species: Species, cut: Cut, year: Year | None = None
) -> YearOfDisc:
    """Return what a year of humidity does to a disc, a groove or a bore (see ``oval``)."""
    made, driest, dampest = (year or Year()).moistures
    dry, damp = (oval(diameter_mm, species, cut, made, end) for end in (driest, dampest))
    return YearOfDisc(diameter_mm, dry, damp)
