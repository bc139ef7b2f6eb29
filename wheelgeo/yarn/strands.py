"""A yarn of several strands as a whole: its count, with what plying takes up where it is known."""

from __future__ import annotations

import math

from wheelgeo.design.counts import metric_count
from wheelgeo.design.model import Count, OwnFibre, Yarn
from wheelgeo.design.twist import wanted_turns_per_metre
from wheelgeo.yarn.fibre import density_g_cm3, volume_cm3_g
from wheelgeo.yarn.helix import resulting_count


def all_strands(
    count: Count, spun_as: Yarn | None = None, own: tuple[OwnFibre, ...] = ()
) -> tuple[Count, bool]:
    """Return the count of a yarn with all its strands, and whether plying is counted in.

    Args:
        count: count of a strand, and how many of them.
        spun_as: the yarn whose twist factor and fibre it has; None: not known.
        own: fibres of one's own.

    Returns:
        The count; True where it is plied and its twist is known.
    """
    turns = None if spun_as is None else twist_on(spun_as, count)
    if spun_as is None or turns is None or count.plies == 1:
        return resulting_count(count), False
    volume = volume_cm3_g(density_g_cm3(spun_as.fibre, own))
    return resulting_count(count, turns, spun_as.ply_share, volume), True


def twist_on(yarn: Yarn, count: Count) -> float | None:
    """Return the twist of another count at the twist factor of a yarn, turns per metre, or None."""
    turns = wanted_turns_per_metre(yarn)
    if turns is None:
        return None
    return turns * math.sqrt(metric_count(count) / metric_count(yarn.count))
