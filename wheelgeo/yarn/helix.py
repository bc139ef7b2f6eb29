"""The yarn as a helix: twist angle, contraction, ply twist that balances, count of the plied yarn.

Two lengths shorten or lengthen when yarn is plied against its own twist. Each strand loses twist
and grows; and each lies in a helix about the other, which takes length up. For little ply twist
the first wins and a two-ply yarn is *longer* than its singles, for much ply twist the second.
"""

from __future__ import annotations

import math
from dataclasses import replace

from wheelgeo.design.counts import (
    PEIRCE_VOLUME_CM3_G,
    checked_positive,
    convert,
    diameter_mm,
    resulting,
    tex,
)
from wheelgeo.design.model import Count, Twist
from wheelgeo.errors import QuantityError
from wheelgeo.immutable import dataclass

BALANCE_SHARE = (0.65, 0.70)
"""Ply twist over singles twist of a balanced two-ply (textbooks, from memory)."""


def usual_share(plies: int) -> float:
    """Return ply twist over singles twist where nothing else is asked for.

    Of two the middle of what textbooks call balanced; of more, of which they say nothing, what
    gives plies and singles one helix angle (common practice, no source).
    """
    if plies == 2:
        return 0.5 * math.fsum(BALANCE_SHARE)
    return 1.0 / math.sqrt(plies)


CLOSENESS = 0.82
"""Distance of the strands' centres over a strand's free diameter: strands press into each other.
Fitted, so that a two-ply yarn is as long as its singles at a ratio of twist factors of 1.2
(Text. Res. J. 2024, doi 10.1177/00405175241246269); round hard strands (1.0) would put it at 0.94.
"""


@dataclass(frozen=True)
class PliedYarn:
    """A yarn plied of equal singles against their own twist.

    Attributes:
        plies: number of strands.
        ply_turns_per_metre: plying twist, turns to the metre of plied yarn.
        direction: way of the plying twist.
        strand_turns_per_metre: twist that is left in each strand.
        length_share: plied length over the length of its singles; above 1 it has grown.
        count: resulting count, in the singles' system, with that length.
        factor_ratio: plying twist factor over the singles' (factors of one system).
    """

    plies: int
    ply_turns_per_metre: float
    direction: Twist
    strand_turns_per_metre: float
    length_share: float
    count: Count
    factor_ratio: float


def twist_angle_deg(turns_per_metre: float, thickness_mm: float) -> float:
    """Return the angle of the outer fibres to the yarn's axis, tan α = π d T.

    Args:
        turns_per_metre: twist, turns to the metre of twisted yarn; its sign is left out.
        thickness_mm: diameter of the yarn.

    Returns:
        Angle, degrees.

    Raises:
        QuantityError: the diameter is not above 0.
    """
    thickness = checked_positive(thickness_mm, "the yarn's diameter in mm")
    return math.degrees(math.atan(math.pi * thickness * abs(turns_per_metre) / 1000.0))


def contraction_factor(angle_deg: float) -> float:
    """Return fibre length over yarn length, (1 + sec α)/2 (Hearle, Grosberg & Backer, from memory).

    The mean length of fibres in helices of one pitch, packed equally square to their own way.

    Args:
        angle_deg: twist angle of the outer fibres, from 0 to below 90.

    Returns:
        The factor, 1 or more: 1.0321 at 20 degrees.

    Raises:
        QuantityError: the angle is out of range.
    """
    if not 0.0 <= angle_deg < 90.0:
        raise QuantityError(f"the twist angle is {angle_deg:g} degrees; it must be below 90")
    return 0.5 * (1.0 + 1.0 / math.cos(math.radians(angle_deg)))


def length_share_of_ply(
    turns_per_metre: float, ply_turns: float, thickness_mm: float, plies: int = 2
) -> float:
    """Return how long a plied yarn is, over its singles.

    Args:
        turns_per_metre: twist of the singles before plying.
        ply_turns: plying twist the other way, turns per metre.
        thickness_mm: diameter of one strand.
        plies: number of strands.

    Returns:
        Plied length over singles' length. Checked against print for two strands only.

    Raises:
        QuantityError: there are fewer than 2 plies, or a number is not above 0.
    """
    if plies < 2:
        raise QuantityError(f"{plies} strand cannot be plied; it takes at least 2")
    before = checked_positive(turns_per_metre, "the singles' twist in turns per metre")
    laid = checked_positive(ply_turns, "the ply twist in turns per metre")
    grown = contraction_factor(twist_angle_deg(before, thickness_mm)) / contraction_factor(
        twist_angle_deg(before - laid, thickness_mm)
    )
    # Centres of touching strands stand on a circle of d / sin(π/n): d itself for two.
    circle = CLOSENESS * thickness_mm / math.sin(math.pi / plies)
    return grown * math.cos(math.radians(twist_angle_deg(laid, circle)))


def ply_yarn(
    single: Count,
    turns_per_metre: float,
    single_direction: Twist,
    plies: int = 2,
    share: float | None = None,
    volume_cm3_g: float = PEIRCE_VOLUME_CM3_G,
) -> PliedYarn:
    """Return the yarn that comes of plying equal singles against their twist.

    Args:
        single: count of one strand.
        turns_per_metre: its twist.
        single_direction: way of its twist.
        plies: number of strands, at least 2.
        share: ply twist over singles twist; left out it is ``usual_share``.
        volume_cm3_g: space that a gram of the strands takes up.

    Returns:
        The plied yarn.

    Raises:
        QuantityError: a number is not above 0, or there are fewer than 2 plies.
    """
    if plies < 2:
        raise QuantityError(f"{plies} strand cannot be plied; it takes at least 2")
    part = usual_share(plies) if share is None else checked_positive(share, "the ply's share")
    laid = part * checked_positive(turns_per_metre, "the singles' twist in turns per metre")
    length = length_share_of_ply(
        turns_per_metre, laid, diameter_mm(single, volume_cm3_g), plies
    )
    together = Count(plies * tex(single) / length, "tex")
    return PliedYarn(
        plies,
        laid,
        "S" if single_direction == "Z" else "Z",
        turns_per_metre - laid,
        length,
        convert(together, single.system),
        part * math.sqrt(plies),
    )


def resulting_count(
    count: Count,
    turns_per_metre: float | None = None,
    share: float | None = None,
    volume_cm3_g: float = PEIRCE_VOLUME_CM3_G,
) -> Count:
    """Return the count of a yarn with all its strands, in its own system.

    Args:
        count: count of a strand, and how many of them.
        turns_per_metre: twist of the strands; None: not known, and what plying takes up or gives
            is left out.
        share: ply twist over that; None: the usual.
        volume_cm3_g: space that a gram of the strands takes up.

    Raises:
        QuantityError: a number is not above 0.
    """
    if count.plies == 1 or turns_per_metre is None:
        return resulting(count)
    single = replace(count, plies=1)
    # Length and count are the same whichever way the strands are twisted.
    return ply_yarn(single, turns_per_metre, "Z", count.plies, share, volume_cm3_g).count
