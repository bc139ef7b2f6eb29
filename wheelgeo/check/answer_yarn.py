"""What an answer says of the yarn that a wheel is to spin."""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args

from wheelgeo.design.counts import (
    TradeCount,
    convert,
    diameter_mm,
    ply,
    trade_number,
    wraps_per_inch,
)
from wheelgeo.design.model import Cop, Count, CountSystem, Yarn
from wheelgeo.design.twist import factor_from_turns, metres_per_hour, wanted_turns_per_metre
from wheelgeo.drive.train import Solution
from wheelgeo.yarn.cloth import Threads, cloth_mass_g_m2, sett_per_inch
from wheelgeo.yarn.winders import COTTON_HANK_M, HANK_M, reel_turns, yarn_length_m, yarn_mass_g

PER_SKEIN_G = 100.0
"""What yarn is sold by: its length is told for so many grams."""


@dataclass(frozen=True, slots=True)
class CountAnswer:
    """A number of a yarn in one system or convention: a count, or a twist factor."""

    system: str
    value: float


@dataclass(frozen=True, slots=True)
class PlyAnswer:
    """The count of two such yarns plied."""

    value: float
    system: str


@dataclass(frozen=True, slots=True)
class CopAnswer:
    """What a full cop holds: metres, metric hanks, and turns of the usual reel."""

    length_m: float
    metric_hanks: float
    reel_turns: float


@dataclass(frozen=True, slots=True)
class CottonAnswer:
    """Thickness and plain cloth of a cotton yarn, the cloth without crimp or finish."""

    diameter_mm: float
    wraps_per_inch: float
    plain_sett_per_inch: float
    plain_cloth_g_m2: float


@dataclass(frozen=True, slots=True)
class YarnAnswer:
    """The yarn that is wanted.

    Attributes:
        fibre: its fibre.
        counts: its count in every system, those of a design file first.
        two_ply: the count of two of it plied.
        twist_factors: its twist as a factor in each convention; denier has that of tex. Empty
            where no twist is wanted.
        metres_per_100_g: its length.
        metric_hank_g: mass of a hank of 1 000 m.
        cotton_hank_g: mass of a hank of 840 yards.
        metres_per_hour: yield of drafting alone at the hand speed of the file; None where twist or
            ratio are not known.
        full_cop: what a full cop holds; None where the file has none.
        as_cotton: diameter and cloth by rules for spun cotton (Peirce, Ashenhurst); None for other
            fibres.
    """

    fibre: str
    counts: tuple[CountAnswer, ...]
    two_ply: PlyAnswer
    twist_factors: tuple[CountAnswer, ...]
    metres_per_100_g: float
    metric_hank_g: float
    cotton_hank_g: float
    metres_per_hour: float | None
    full_cop: CopAnswer | None
    as_cotton: CottonAnswer | None


def yarn_answer(solution: Solution) -> YarnAnswer | None:
    """Return what is to be said of the yarn of a solved wheel; None where its file names none."""
    design = solution.design
    yarn = design.yarn
    if yarn is None:
        return None
    count, turns, ratio = yarn.count, wanted_turns_per_metre(yarn), solution.ratio
    return YarnAnswer(
        fibre=yarn.fibre,
        counts=_counts(count),
        two_ply=PlyAnswer(ply([count, count]).value, count.system),
        twist_factors=() if turns is None else _factors(turns, count),
        metres_per_100_g=yarn_length_m(PER_SKEIN_G, count),
        metric_hank_g=yarn_mass_g(HANK_M, count),
        cotton_hank_g=yarn_mass_g(COTTON_HANK_M, count),
        metres_per_hour=None
        if turns is None or ratio is None
        else metres_per_hour(turns, ratio, design.drive.speed_rpm),
        full_cop=None if design.spindle.cop is None else _cop(design.spindle.cop, count),
        as_cotton=_cotton(yarn) if yarn.fibre == "cotton" else None,
    )


def _counts(count: Count) -> tuple[CountAnswer, ...]:
    systems: tuple[CountSystem, ...] = get_args(CountSystem)
    trades: tuple[TradeCount, ...] = get_args(TradeCount)
    ours = (CountAnswer(s, convert(count, s).value) for s in systems)
    return (*ours, *(CountAnswer(t, trade_number(count, t)) for t in trades))


def _factors(turns_per_metre: float, count: Count) -> tuple[CountAnswer, ...]:
    systems: tuple[CountSystem, ...] = ("Nm", "Ne", "tex")
    return tuple(
        CountAnswer(s, factor_from_turns(turns_per_metre, convert(count, s))) for s in systems
    )


def _cop(cop: Cop, count: Count) -> CopAnswer:
    metres = yarn_length_m(cop.mass_g, count)
    return CopAnswer(metres, metres / HANK_M, reel_turns(metres))


def _cotton(yarn: Yarn) -> CottonAnswer:
    sett = sett_per_inch(yarn.count)
    threads = Threads(yarn.count, sett)
    return CottonAnswer(
        diameter_mm(yarn.count), wraps_per_inch(yarn.count), sett,
        cloth_mass_g_m2(threads, threads),
    )  # fmt: skip
