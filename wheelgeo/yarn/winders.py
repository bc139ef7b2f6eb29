"""Winding: how much yarn a weight holds, and the reel that makes hanks of it.

A *hank* is the metric hank of 1 000 m, reeled as 5 bunches of 200 turns of a 1 m reel; the
cotton hank of 840 yards is another and is always named in full. Common practice, no source.
"""

from __future__ import annotations

import math

from wheelgeo.design.counts import COTTON_HANK_YD, checked_positive, tex
from wheelgeo.design.model import Count
from wheelgeo.errors import QuantityError
from wheelgeo.units.quantity import LENGTH_UNITS

HANK_BUNCHES = 5
BUNCH_TURNS = 200
REEL_ROUND_MM = 1000.0
HANK_M = HANK_BUNCHES * BUNCH_TURNS * REEL_ROUND_MM / 1000.0
"""The metric hank, m."""
COTTON_HANK_M = COTTON_HANK_YD * LENGTH_UNITS["yd"] / 1000.0
"""The 840-yard cotton hank, m."""


def yarn_length_m(mass_g: float, count: Count) -> float:
    """Return the metres of yarn in a mass in grams; QuantityError unless mass and count are > 0."""
    return 1000.0 * checked_positive(mass_g, "the mass in g") / tex(count)


def yarn_mass_g(length_m: float, count: Count) -> float:
    """Return the grams of a length of yarn; QuantityError unless length and count are above 0."""
    return checked_positive(length_m, "the length in m") * tex(count) / 1000.0


def reel_turns(length_m: float, round_mm: float = REEL_ROUND_MM) -> float:
    """Return how many turns of a reel, ``round_mm`` once about, take up a length of yarn."""
    metres = checked_positive(length_m, "the length in m")
    return 1000.0 * metres / checked_positive(round_mm, "the way once about the reel in mm")


def reel_radius_mm(arms: int, peg_diameter_mm: float, round_mm: float = REEL_ROUND_MM) -> float:
    """Return how far from its axis a reel's pegs stand, so that one turn of yarn is true.

    The yarn lies straight from peg to peg and bends about the outside of each.

    Args:
        arms: number of pegs, evenly spaced, at least 2.
        peg_diameter_mm: diameter of a peg.
        round_mm: yarn that one turn takes.

    Returns:
        Distance from the reel's axis to the centre of a peg, mm.

    Raises:
        QuantityError: there are fewer than 2 arms, a size is not above 0, or the pegs touch.
    """
    if arms < 2:
        raise QuantityError(f"a reel of {arms} arms holds no yarn; it needs at least 2")
    peg = checked_positive(peg_diameter_mm, "the peg's diameter in mm")
    side = (checked_positive(round_mm, "the way once about in mm") - math.pi * peg) / arms
    if side <= peg:
        raise QuantityError(
            f"{arms} pegs of {peg:g} mm touch on a reel of {round_mm:g} mm round: "
            "take fewer or thinner pegs"
        )
    return side / (2.0 * math.sin(math.pi / arms))
