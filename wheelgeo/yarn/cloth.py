"""What a weaver asks of a yarn: diameters in an inch, sett, weight of the cloth."""

from __future__ import annotations

import math
from collections.abc import Iterable

from wheelgeo.built.assumed import Assumption
from wheelgeo.design.counts import checked_positive, tex, yards_per_pound
from wheelgeo.design.materials import PRACTICE
from wheelgeo.design.model import Count
from wheelgeo.errors import QuantityError
from wheelgeo.immutable import dataclass
from wheelgeo.units.quantity import LENGTH_UNITS
from wheelgeo.yarn.winders import HANK_M

SETT_SHARES = {"wool": 0.84}
"""Share of the root of yards per pound that lie in an inch, by fibre, of hand-spun wool as of
woollen yarn (Ashenhurst, from memory)."""
USUAL_SETT_SHARE = 0.9
"""The same of other yarns: Ashenhurst's for cotton and worsted."""
CRIMP = 0.05
"""How much longer threads are than plain cloth; common practice, no source."""

_LOST = "none", "left out: say it, most cloths lose some"
_WHERE_SILENT = {
    "weft": ("the warp's count", "as nothing else was said"),
    "picks": ("as many as ends", f"a square cloth; {PRACTICE}"),
    "crimp of the warp": (f"{100 * CRIMP:g} %", PRACTICE),
    "crimp of the weft": (f"{100 * CRIMP:g} %", PRACTICE),
    "loom waste": _LOST,
    "waste of all yarn": _LOST,
    "fibre": ("cotton", "as nothing was said"),
}
"""What is taken for what nobody says of a cloth, and why that."""

_INCHES_PER_M = 1000.0 / LENGTH_UNITS["in"]


@dataclass(frozen=True)
class Threads:
    """One set of threads of a cloth, warp or weft.

    Attributes:
        count: count of the yarn.
        per_inch: threads in an inch of cloth.
        crimp: how much longer the thread is than the cloth that it lies in, as a fraction.
    """

    count: Count
    per_inch: float
    crimp: float = 0.0


def sett_share(fibre: str) -> float:
    """Return the share of the root of yards per pound that lie side by side in an inch."""
    return SETT_SHARES.get(fibre, USUAL_SETT_SHARE)


def diameters_per_inch(count: Count, share: float = USUAL_SETT_SHARE) -> float:
    """Return how many yarns lie side by side in an inch: a share of √(yards per pound).

    Args:
        count: the yarn's count.
        share: 0.9 by Ashenhurst's rule for cotton; less for hairier yarns.

    Returns:
        Diameters per inch.
    """
    return checked_positive(share, "the share") * math.sqrt(yards_per_pound(count))


def sett_per_inch(
    count: Count, ends: int = 2, intersections: int = 2, share: float = USUAL_SETT_SHARE
) -> float:
    """Return the closest sett of a square cloth by Ashenhurst's rule.

    Args:
        count: count of warp and weft.
        ends: ends in one repeat of the weave: 2 in plain weave, 4 in a 2/2 twill.
        intersections: how often a pick passes between them in the repeat: 2 in both.
        share: see ``diameters_per_inch``.

    Returns:
        Ends per inch.

    Raises:
        QuantityError: the repeat has no end, or fewer than no intersections.
    """
    if ends < 1 or intersections < 0:
        raise QuantityError(
            f"a repeat of {ends} ends with {intersections} intersections is no weave"
        )
    return diameters_per_inch(count, share) * ends / (ends + intersections)


def _crimp(threads: Threads) -> float:
    """Return the crimp; QuantityError unless it is a fraction of 0 or more."""
    if not (math.isfinite(threads.crimp) and threads.crimp >= 0.0):
        raise QuantityError(f"the crimp is {threads.crimp:g}; it must be a fraction, 0 or more")
    return threads.crimp


def _threads_g_m2(threads: Threads) -> float:
    """Return the mass that one set of threads brings to a square metre of cloth, g."""
    per_m = checked_positive(threads.per_inch, "the number of threads per inch") * _INCHES_PER_M
    return per_m * (1.0 + _crimp(threads)) * tex(threads.count) / 1000.0


def cloth_mass_g_m2(warp: Threads, weft: Threads) -> float:
    """Return the mass of a cloth without size or finish, grams per square metre.

    Args:
        warp: the warp.
        weft: the weft.

    Returns:
        Mass, g/m2.

    Raises:
        QuantityError: a count or number of threads is not above 0, or a crimp is below 0.
    """
    return _threads_g_m2(warp) + _threads_g_m2(weft)


@dataclass(frozen=True)
class ClothYarn:
    """Yarn that a piece of cloth takes, waste included, in metres."""

    warp_m: float
    weft_m: float

    @property
    def together_m(self) -> float:
        """Warp and weft."""
        return self.warp_m + self.weft_m

    @property
    def hanks(self) -> float:
        """Metric hanks of 1 000 m."""
        return self.together_m / HANK_M

    def hours(self, metres_per_hour: float) -> float:
        """Return the hours of spinning at an honest rate, the whole cycle counted."""
        return self.together_m / checked_positive(metres_per_hour, "the metres per hour")


def yarn_for_cloth(
    warp: Threads,
    weft: Threads,
    length_m: float,
    width_m: float,
    loom_waste_m: float = 0.0,
    waste: float = 0.0,
) -> ClothYarn:
    """Return the yarn for a piece of cloth off the loom.

    Args:
        warp: its threads stand side by side over the width.
        weft: its threads lie one after another over the length.
        length_m: length of the cloth.
        width_m: its width.
        loom_waste_m: length of warp that cannot be woven off, tied in and cut away.
        waste: part of all yarn lost in winding and breaks.

    Returns:
        Metres of warp and weft.

    Raises:
        QuantityError: a number is out of range.
    """
    for value, what in ((loom_waste_m, "loom waste in m"), (waste, "waste")):
        if not (math.isfinite(value) and value >= 0.0):
            raise QuantityError(f"the {what} is {value:g}; it must be 0 or more")
    if waste >= 1.0:
        raise QuantityError(f"the waste is {waste:g}; it must be below 1")
    length = checked_positive(length_m, "the cloth's length in m")
    width = checked_positive(width_m, "the cloth's width in m")
    ends = checked_positive(warp.per_inch, "the ends per inch") * _INCHES_PER_M * width
    picks = checked_positive(weft.per_inch, "the picks per inch") * _INCHES_PER_M * length
    kept = 1.0 - waste
    return ClothYarn(
        ends * (length * (1.0 + _crimp(warp)) + loom_waste_m) / kept,
        picks * width * (1.0 + _crimp(weft)) / kept,
    )


def assumed_of_cloth(
    silent: Iterable[str], fibre: str, on_wheel: bool
) -> tuple[Assumption, ...]:
    """Return what the yarn for a cloth rests on beside what was said.

    Args:
        silent: what was left unsaid, by its name in ``_WHERE_SILENT``.
        fibre: what the warp is of.
        on_wheel: whether the hours at a wheel are told as well.
    """
    rule = "woollen yarn, from memory" if fibre in SETT_SHARES else "cotton"
    at = f"ends and intersections of plain weave at {sett_share(fibre)} √(yards per pound)"
    found = [Assumption(what, *_WHERE_SILENT[what]) for what in silent]
    found.append(Assumption("closest sett", at, f"Ashenhurst's rule for {rule}"))
    if on_wheel:
        taken = "the twist factor of the wheel's own yarn"
        found.append(Assumption("twist of each count", taken, PRACTICE))
    return tuple(found)
