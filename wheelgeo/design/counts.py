"""Yarn counts: one fineness in several systems, plies, diameter, wraps per inch.

A *direct* count weighs a fixed length (tex: grams per kilometre; denier: grams per 9 km). An
*indirect* count measures a fixed weight (Nm: kilometres per kilogram; the others: hanks of so
many yards per pound). Everything goes through tex. All factors are exact: they follow from the
yard of 0.9144 m and the pound of 453.59237 g alone. The systems are those of ASTM D2260.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Literal

from wheelgeo.design.model import Count, CountSystem
from wheelgeo.errors import QuantityError
from wheelgeo.units.in_full import figures
from wheelgeo.units.quantity import LENGTH_UNITS, MASS_G

TradeCount = Literal["worsted", "linen lea", "woollen run", "French", "yards per pound"]

COTTON_HANK_YD = 840.0
"""The cotton hank of 840 yards, on which Ne is built."""

PEIRCE_VOLUME_CM3_G = 1.1
"""Specific volume of a spun cotton yarn, cm3/g (F. T. Peirce 1937; from memory)."""

WOUND_VOLUME_CM3_G = {"wool": (2.5, 8.0)}
OTHER_WOUND_VOLUME_CM3_G = (1.5, 4.0)
"""Specific volume of yarn wound loosely on a ruler, as wraps are counted, smooth to lofty, cm3/g,
of wool and of other fibres. Common practice, no source."""

_YARD_M = LENGTH_UNITS["yd"] / 1000.0
_POUND_G = MASS_G.factors["lb"]


def _tex_product(yards_per_pound: float) -> float:
    """Return tex times count of the system whose hank has so many yards, hanks to the pound."""
    return 1000.0 * _POUND_G / (yards_per_pound * _YARD_M)


_DIRECT: Mapping[str, float] = {"tex": 1.0, "denier": 1.0 / 9.0}
_INDIRECT: Mapping[str, float] = {"Nm": 1000.0, "Ne": _tex_product(COTTON_HANK_YD)}
_TRADE: Mapping[TradeCount, float] = {
    "worsted": _tex_product(560.0),
    "linen lea": _tex_product(300.0),
    "woollen run": _tex_product(1600.0),
    "French": 500.0,
    "yards per pound": _tex_product(1.0),
}


def checked_positive(value: float, what: str) -> float:
    """Return the value; QuantityError, naming what it is, unless it is finite and above nothing."""
    if not (math.isfinite(value) and value > 0.0):
        raise QuantityError(f"{what} is {value:g}; it must be a finite number above 0")
    return value


def tex(count: Count) -> float:
    """Return the fineness in tex, grams per kilometre.

    Args:
        count: a count in any system of a design file.

    Returns:
        Tex, above 0.

    Raises:
        QuantityError: the count is not a finite number above 0.
    """
    value = checked_positive(count.value, f"the count in {count.system}")
    if count.system in _DIRECT:
        return checked_positive(value * _DIRECT[count.system], "the count in tex")
    return checked_positive(_INDIRECT[count.system] / value, "the count in tex")


def _from_tex(value_tex: float, system: CountSystem) -> Count:
    """Return a fineness in tex as a count of another system."""
    direct = system in _DIRECT
    value = value_tex / _DIRECT[system] if direct else _INDIRECT[system] / value_tex
    return Count(checked_positive(value, f"the count in {system}"), system)


def convert(count: Count, system: CountSystem) -> Count:
    """Return the same fineness in another system; unchanged where it already is in that one.

    Args:
        count: the count as written.
        system: Nm, Ne, tex or denier.

    Returns:
        The count in that system.

    Raises:
        QuantityError: the count is not a finite number above 0.
    """
    value_tex = tex(count)
    return count if count.system == system else _from_tex(value_tex, system)


def metric_count(count: Count) -> float:
    """Return the metric count Nm, kilometres per kilogram: how many metric hanks weigh 1 kg."""
    return convert(count, "Nm").value


def trade_number(count: Count, trade: TradeCount) -> float:
    """Return the count as an older trade would name it.

    Args:
        count: the count as written.
        trade: ``worsted`` (hanks of 560 yd per lb), ``linen lea`` (leas of 300 yd per lb),
            ``woollen run`` (runs of 1 600 yd per lb), ``French`` (kilometres per 500 g) or
            ``yards per pound``.

    Returns:
        The number in that system.
    """
    return _TRADE[trade] / tex(count)


def yards_per_pound(count: Count) -> float:
    """Return the yards of yarn that weigh one pound."""
    return trade_number(count, "yards per pound")


def ply(counts: Iterable[Count]) -> Count:
    """Return the count of yarns plied together, in the system of the first.

    The masses per length add. The length that plying takes up is left out; it makes a plied
    yarn a few per cent heavier than this.

    Args:
        counts: the single yarns, at least one.

    Returns:
        The resulting count.

    Raises:
        QuantityError: there are no yarns, or one's count is not above 0.
    """
    strands = tuple(counts)
    if not strands:
        raise QuantityError("there are no yarns to ply")
    return _from_tex(math.fsum(tex(strand) for strand in strands), strands[0].system)


def resulting(count: Count) -> Count:
    """Return the count of all strands of a yarn together, without what plying takes up."""
    return count if count.plies == 1 else ply([count] * count.plies)


def diameter_mm(count: Count, volume_cm3_g: float = PEIRCE_VOLUME_CM3_G) -> float:
    """Return the diameter of a round yarn of that count.

    At 1.1 cm3/g this is within 0.3 % of Peirce's rounded rule of 1/(28 √Ne) inch.

    Args:
        count: the yarn's count.
        volume_cm3_g: space that a gram of the yarn takes up, air between the fibres included.
            Lofty woollen yarns take more than the default.

    Returns:
        Diameter, mm.

    Raises:
        QuantityError: the count or the volume is not above 0.
    """
    volume = checked_positive(volume_cm3_g, "the yarn's specific volume in cm3/g")
    section_mm2 = tex(count) * volume / 1000.0
    return math.sqrt(4.0 * section_mm2 / math.pi)


def wraps_per_inch(count: Count, volume_cm3_g: float = PEIRCE_VOLUME_CM3_G) -> float:
    """Return how many turns of the yarn, side by side, cover an inch."""
    return LENGTH_UNITS["in"] / diameter_mm(count, volume_cm3_g)


def wraps_on_a_ruler(count: Count, fibre: str) -> tuple[float, float]:
    """Return how many turns to the inch lie on a ruler, laid side by side and not pressed.

    Args:
        count: the yarn's count.
        fibre: its fibre.

    Returns:
        Of a lofty yarn and of a smooth one.
    """
    smooth, lofty = WOUND_VOLUME_CM3_G.get(fibre, OTHER_WOUND_VOLUME_CM3_G)
    return wraps_per_inch(count, lofty), wraps_per_inch(count, smooth)


def count_nm_of_wraps(wraps: float) -> tuple[float, float]:
    """Return the least and the greatest metric count that so many turns to the inch may be.

    The least is that of the smoothest yarn of any fibre, the greatest of the loftiest.

    Raises:
        QuantityError: the number is not above 0.
    """
    thick_mm = LENGTH_UNITS["in"] / checked_positive(wraps, "the number of wraps to the inch")
    section_mm2 = math.pi / 4.0 * thick_mm**2
    volumes = [*OTHER_WOUND_VOLUME_CM3_G, *WOUND_VOLUME_CM3_G["wool"]]
    return min(volumes) / section_mm2, max(volumes) / section_mm2


def yarn_in_words(count: Count) -> str:
    """Return which yarn a count is read as: "singles of 80 Nm (12.5 tex)", or plied of which.

    Args:
        count: the count of a strand, and how many strands there are.
    """
    strand = f"{figures(count.value, 6)} {count.system}"
    fine = "" if count.system == "tex" else f"{figures(tex(count), 4)} tex"
    if count.plies == 1:
        return f"singles of {strand}{fine and f' ({fine})'}"
    together = f"{figures(count.plies * tex(count), 4)} tex together before plying shortens them"
    return f"plied, {count.plies} strands of {strand} ({fine and f'{fine} each, '}{together})"
