"""The facts of the yarn that a wheel is to spin, as JSON; keys hold their unit."""

from __future__ import annotations

from typing import get_args

from wheelgeo.check.finding import Facts
from wheelgeo.design.model import Cop, Count, CountSystem, Yarn
from wheelgeo.drive.train import Solution
from wheelgeo.yarn.cloth import Threads, cloth_mass_g_m2, sett_per_inch
from wheelgeo.yarn.counts import (
    TradeCount,
    convert,
    diameter_mm,
    ply,
    trade_number,
    wraps_per_inch,
)
from wheelgeo.yarn.twist import factor_from_turns, metres_per_hour, wanted_turns_per_metre
from wheelgeo.yarn.winders import COTTON_HANK_M, HANK_M, reel_turns, yarn_length_m, yarn_mass_g

PER_SKEIN_G = 100.0
"""What yarn is sold by: its length is told for so many grams."""


def yarn_facts(solution: Solution) -> Facts | None:
    """Return the facts of the yarn of a solved wheel; None where its file names none.

    Diameter and cloth rest on rules for spun cotton (Peirce, Ashenhurst) and are None for other
    fibres. The yield is that of drafting alone, at the hand speed of the file.
    """
    design = solution.design
    yarn = design.yarn
    if yarn is None:
        return None
    count, turns, ratio = yarn.count, wanted_turns_per_metre(yarn), solution.ratio
    return {
        "fibre": yarn.fibre,
        "counts": _counts(count),
        "two_ply": {"value": ply([count, count]).value, "system": count.system},
        "twist_factors": [] if turns is None else _factors(turns, count),
        "metres_per_100_g": yarn_length_m(PER_SKEIN_G, count),
        "metric_hank_g": yarn_mass_g(HANK_M, count),
        "cotton_hank_g": yarn_mass_g(COTTON_HANK_M, count),
        "metres_per_hour": None
        if turns is None or ratio is None
        else metres_per_hour(turns, ratio, design.drive.speed_rpm),
        "full_cop": None if design.spindle.cop is None else _cop(design.spindle.cop, count),
        "as_cotton": _cotton(yarn) if yarn.fibre == "cotton" else None,
    }


def _counts(count: Count) -> list[Facts]:
    """Return the count in every system, those of a design file first."""
    systems: tuple[CountSystem, ...] = get_args(CountSystem)
    trades: tuple[TradeCount, ...] = get_args(TradeCount)
    ours = [{"system": s, "value": convert(count, s).value} for s in systems]
    return [*ours, *({"system": t, "value": trade_number(count, t)} for t in trades)]


def _factors(turns_per_metre: float, count: Count) -> list[Facts]:
    """Return the twist as a factor in each convention; denier has that of tex."""
    systems: tuple[CountSystem, ...] = ("Nm", "Ne", "tex")
    return [
        {"system": s, "value": factor_from_turns(turns_per_metre, convert(count, s))}
        for s in systems
    ]


def _cop(cop: Cop, count: Count) -> Facts:
    metres = yarn_length_m(cop.mass_g, count)
    return {"length_m": metres, "metric_hanks": metres / HANK_M, "reel_turns": reel_turns(metres)}


def _cotton(yarn: Yarn) -> Facts:
    """Return thickness and plain cloth of a cotton yarn, the cloth without crimp or finish."""
    sett = sett_per_inch(yarn.count)
    threads = Threads(yarn.count, sett)
    return {
        "diameter_mm": diameter_mm(yarn.count),
        "wraps_per_inch": wraps_per_inch(yarn.count),
        "plain_sett_per_inch": sett,
        "plain_cloth_g_m2": cloth_mass_g_m2(threads, threads),
    }
