"""Hanks: what a reel really winds, the turns of the hand for it, the count from a weighed hank."""

from __future__ import annotations

import math

from wheelgeo.design.counts import checked_positive, diameter_mm
from wheelgeo.design.model import Count
from wheelgeo.errors import QuantityError
from wheelgeo.immutable import dataclass
from wheelgeo.units.in_full import figures
from wheelgeo.yarn.winders import REEL_ROUND_MM, reel_radius_mm

COVERAGE_95 = 2.0
"""Coverage factor for about 95 % (JCGM 100, 6.3.3)."""

FREE = 0.03
"""Slack, over once about, with which a hank comes off its reel; common practice, no source."""


@dataclass(frozen=True)
class ReelParts:
    """What a reel of arms and pegs is cut to.

    Attributes:
        arms: number of arms, and of pegs.
        radius_mm: from the axis to the centre of a peg.
        arm_mm: length of an arm from the axis to its end, a peg's diameter beyond the peg.
        peg_mm: length of a peg: the lanes and a peg's diameter at each end.
        peg_diameter_mm: diameter of a peg.
        slides_mm: how far one peg slides in along its arm, so that the hank comes off.
        slack_mm: by how much once about is then shorter.
        round_mm: yarn that one turn takes.
    """

    arms: int
    radius_mm: float
    arm_mm: float
    peg_mm: float
    peg_diameter_mm: float
    slides_mm: float
    slack_mm: float
    round_mm: float


@dataclass(frozen=True)
class Windings:
    """What a number of turns of a reel really holds.

    Attributes:
        length_m: yarn wound, build-up counted.
        nominal_m: turns times the girth of the bare reel.
        layers: layers laid over one another, the last perhaps begun only.
    """

    length_m: float
    nominal_m: float
    layers: int


@dataclass(frozen=True)
class WeighedCount:
    """A count from a weighed hank.

    Attributes:
        count: at the wanted regain, tex.
        uncertainty_tex: expanded, about 95 %.
        shares: part of the variance by cause: mass, length, regain.
    """

    count: Count
    uncertainty_tex: float
    shares: tuple[float, float, float]


@dataclass(frozen=True)
class Measured:
    """A value and its standard uncertainty, in one unit."""

    value: float
    standard: float


def reel_parts(
    arms: int, peg_diameter_mm: float, lanes_mm: float, round_mm: float = REEL_ROUND_MM
) -> ReelParts:
    """Return the parts of a reel whose turn is true on bare pegs.

    Args:
        arms: number of arms, at least 2.
        peg_diameter_mm: diameter of a peg.
        lanes_mm: width over which the yarn is laid.
        round_mm: yarn that one turn takes.

    Returns:
        Sizes to cut.

    Raises:
        QuantityError: no such reel can be made.
    """
    radius = reel_radius_mm(arms, peg_diameter_mm, round_mm)
    width = checked_positive(lanes_mm, "the width of the lanes in mm")
    # Half a peg holds the arm's mortise, as much again stands beyond it for strength.
    arm = radius + 1.5 * peg_diameter_mm
    peg = width + 2.0 * peg_diameter_mm
    let_in = peg_let_in_mm(arms, radius, FREE * round_mm)
    return ReelParts(arms, radius, arm, peg, peg_diameter_mm, *let_in, round_mm)


def peg_let_in_mm(arms: int, radius_mm: float, wanted_mm: float) -> tuple[float, float]:
    """Return how far one peg of a reel slides in for some slack, and the slack that it gives, mm.

    A peg between two neighbours, an angle a from each, bends the yarn no more once it stands on
    the line between them: what is asked beyond that it does not give.

    Args:
        arms: number of pegs, evenly spaced, at least 2.
        radius_mm: from the axis to the centre of a peg.
        wanted_mm: by how much once about shall be shorter.
    """
    angle = 2.0 * math.pi / arms
    apart = 2.0 * radius_mm * math.sin(0.5 * angle)
    half_line = radius_mm * abs(math.sin(angle))
    # Law of cosines for a peg at x along its arm: its neighbour is sqrt(x2 + r2 - 2 x r cos a)
    # from it, and that is to be half the slack less than today.
    left = max(apart - 0.5 * wanted_mm, half_line)
    x = radius_mm * math.cos(angle) + math.sqrt(max(left**2 - half_line**2, 0.0))
    return radius_mm - x, 2.0 * (apart - left)


def windings(
    turns: int, count: Count, lanes_mm: float, round_mm: float = REEL_ROUND_MM
) -> Windings:
    """Return the yarn in so many turns of a reel, each layer over the one below.

    However many arms a reel has, a band that lies ``t`` further out about its convex outline is
    2 π t longer (Steiner); the straight parts stay as they are.

    Args:
        turns: turns of the reel.
        count: the yarn's count.
        lanes_mm: width over which the yarn is laid, side by side.
        round_mm: way about the outside of the bare reel.

    Returns:
        The hank as wound; layers lie a yarn's diameter apart, the most that they can.

    Raises:
        QuantityError: there are no turns, a size is not above 0, or the lanes hold no yarn.
    """
    if turns < 1:
        raise QuantityError(f"{turns} turns make no hank")
    girth = checked_positive(round_mm, "the way once about in mm")
    yarn_mm = diameter_mm(count)
    per_layer = math.floor(checked_positive(lanes_mm, "the width of the lanes in mm") / yarn_mm)
    if per_layer < 1:
        raise QuantityError(f"lanes {lanes_mm:g} mm wide hold no yarn of {figures(yarn_mm)} mm")
    full, begun = divmod(turns, per_layer)
    # Layer k has its centre-line (k + 1/2) d out; sums of k over the full layers in closed form.
    out_mm = yarn_mm * (per_layer * full**2 / 2.0 + begun * (full + 0.5))
    return Windings(
        (turns * girth + 2.0 * math.pi * out_mm) / 1000.0,
        turns * girth / 1000.0,
        full + (1 if begun else 0),
    )


def reeling_turns(turns: int, reel_turns_per_drive_turn: float) -> float:
    """Return the turns of the hand that turn a reel on another shaft so often."""
    gear = checked_positive(abs(reel_turns_per_drive_turn), "the reel's turns per drive turn")
    return turns / gear


def count_of_weighed_hank(
    mass_g: Measured, length_m: Measured, regain_now: Measured, regain_wanted: float
) -> WeighedCount:
    """Return the count of a weighed hank with its uncertainty (JCGM 100, law of propagation).

    tex = 1000 m/L × (1 + R wanted)/(1 + R now), so relative uncertainties add in squares.

    Args:
        mass_g: mass as weighed.
        length_m: length of the hank.
        regain_now: water over dry mass when it was weighed, fraction.
        regain_wanted: the commercial regain, by a named standard, fraction.

    Returns:
        Count in tex.

    Raises:
        QuantityError: a value is out of range, or nothing has an uncertainty.
    """
    for value in (regain_now.value, regain_wanted):
        if not (math.isfinite(value) and value >= 0.0):
            raise QuantityError(f"the regain is {value:g}; it must be a fraction, 0 or more")
    mass = checked_positive(mass_g.value, "the mass in g")
    length = checked_positive(length_m.value, "the length in m")
    value = 1000.0 * mass / length * (1.0 + regain_wanted) / (1.0 + regain_now.value)
    parts = (
        (mass_g.standard / mass) ** 2,
        (length_m.standard / length) ** 2,
        (regain_now.standard / (1.0 + regain_now.value)) ** 2,
    )
    variance = checked_positive(math.fsum(parts), "the sum of the uncertainties")
    shares = (parts[0] / variance, parts[1] / variance, parts[2] / variance)
    return WeighedCount(Count(value, "tex"), COVERAGE_95 * value * math.sqrt(variance), shares)
