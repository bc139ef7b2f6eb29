"""A yarn of several strands as a whole: its count, with what plying takes up where it is known."""

from __future__ import annotations

import math

from wheelgeo.design.counts import metric_count
from wheelgeo.design.model import Count, Design, Yarn
from wheelgeo.design.twist import wanted_turns_per_metre
from wheelgeo.yarn.fibre import density_g_cm3, volume_cm3_g
from wheelgeo.yarn.helix import resulting_count


def all_strands(count: Count, spinner: Design | None = None) -> tuple[Count, bool]:
    """Return the count of a yarn with all its strands, and whether plying is counted in.

    Args:
        count: count of a strand, and how many of them.
        spinner: the wheel that spins it, whose yarn's twist factor and fibre it has; None: not
            known.

    Returns:
        The count; True where it is plied and its twist is known.
    """
    if spinner is None or spinner.yarn is None or count.plies == 1:
        return resulting_count(count), False
    turns = twist_on(spinner.yarn, count)
    if turns is None:
        return resulting_count(count), False
    volume = volume_cm3_g(density_g_cm3(spinner.yarn.fibre, spinner.fibres))
    return resulting_count(count, turns, spinner.yarn.ply_share, volume), True


def twist_on(yarn: Yarn, count: Count) -> float | None:
    """Return the twist of another count at the twist factor of a yarn, turns per metre, or None."""
    turns = wanted_turns_per_metre(yarn)
    if turns is None:
        return None
    return turns * math.sqrt(metric_count(count) / metric_count(yarn.count))
