"""Fibres: fineness, how many lie in the yarn's section, what they bear, weigh and hold of water.

*Fineness* is dtex, grams to 10 km of fibre; mtex is ten times, micronaire 2.54 times smaller.
*Regain* is the water in a fibre over its oven-dry mass; the commercial figure is an agreement,
and standards differ, so each is named.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Literal

from wheelgeo.design.counts import PEIRCE_VOLUME_CM3_G, checked_positive, tex
from wheelgeo.design.model import Count, Fineness, OwnFibre
from wheelgeo.design.other_parts import SpinningMethod
from wheelgeo.errors import QuantityError
from wheelgeo.immutable import dataclass

FibreName = Literal["cotton", "wool", "flax", "hemp", "silk"]
RegainStandard = Literal["ASTM D1909", "EU 96/74/EC combed", "EU 96/74/EC carded"]
YarnUse = Literal["knitting", "weft", "warp"]

DTEX_PER_MICRONAIRE = 1.0 / 2.54
"""Micronaire is micrograms to the inch of fibre; exact."""

WOOL_SPREAD = 0.245
"""Coefficient of variation of wool's fibre diameters that turns 972 into 917 (CSIRO practice,
from memory)."""

SINGLES_SHARE = (1.0 / 3.0, 1.0 / 2.0)
"""Share of its fibres' strength that a singles yarn bears (textbooks, from memory)."""

LEAST_FIBRES_SOURCE = 'Rieter, rikipedia, "Number of fibers in the yarn cross-section"'
LEAST_FIBRES: Mapping[SpinningMethod, int] = {
    "combed ring": 33,
    "carded ring": 75,
    "rotor": 100,
    "hand": 25,
}
"""Least fibres in the section. Combed, carded, rotor: Rieter, rikipedia, "Number of fibers in the
yarn cross-section". Hand: common practice, no source; the spinner may give their own."""


@dataclass(frozen=True)
class FibreFacts:
    """What is known of one kind of fibre.

    Attributes:
        density_g_cm3: mass over volume at standard moisture (Morton & Hearle, from memory).
        tenacity_cn_tex: least and most breaking force over fineness, cN/tex (Morton & Hearle,
            from memory).
        regain_astm: commercial regain by ASTM D1909-13, fraction.
        regain_eu: combed and carded, by EU 96/74/EC, fraction (from memory but for wool).
        twist_metric: least and most metric twist factor (turns per metre over √Nm) by use of
            the yarn. Common practice, no source.
        finest_dtex: fineness of the finest that is spun: cotton of 2.8 micronaire, wool of 13 µm,
            single cells of flax and hemp, one filament of a cocoon (from memory).
    """

    density_g_cm3: float
    tenacity_cn_tex: tuple[float, float]
    regain_astm: float
    regain_eu: tuple[float, float]
    twist_metric: Mapping[YarnUse, tuple[float, float]]
    finest_dtex: float


FIBRES: Mapping[FibreName, FibreFacts] = {
    "cotton": FibreFacts(
        1.52,
        (27.0, 44.0),
        0.085,
        (0.085, 0.085),
        {"knitting": (90.0, 110.0), "weft": (100.0, 115.0), "warp": (115.0, 145.0)},
        1.1,
    ),
    "wool": FibreFacts(
        1.31,
        (11.0, 14.0),
        0.136,
        (0.1825, 0.17),
        {"knitting": (60.0, 80.0), "weft": (75.0, 90.0), "warp": (85.0, 105.0)},
        1.8,
    ),
    "flax": FibreFacts(
        1.50,
        (54.0, 57.0),
        0.12,
        (0.12, 0.12),
        {"knitting": (75.0, 90.0), "weft": (85.0, 100.0), "warp": (95.0, 110.0)},
        1.5,
    ),
    "hemp": FibreFacts(
        1.48,
        (45.0, 50.0),
        0.12,
        (0.12, 0.12),
        {"knitting": (75.0, 90.0), "weft": (85.0, 100.0), "warp": (95.0, 110.0)},
        2.0,
    ),
    "silk": FibreFacts(
        1.34,
        (38.0, 41.0),
        0.11,
        (0.11, 0.11),
        {"knitting": (70.0, 90.0), "weft": (80.0, 100.0), "warp": (95.0, 120.0)},
        1.1,
    ),
}


def dtex_from_micronaire(micronaire: float) -> float:
    """Return the fineness in dtex of cotton of a micronaire value."""
    return checked_positive(micronaire, "the micronaire") * DTEX_PER_MICRONAIRE


def dtex_from_mtex(fineness_mtex: float) -> float:
    """Return the fineness in dtex of one in mtex, milligrams to the kilometre."""
    return checked_positive(fineness_mtex, "the fibre's fineness in mtex") / 100.0


def dtex_from_um(width_um: float, density_g_cm3: float, spread: float = 0.0) -> float:
    """Return the fineness of round fibres of a mean diameter.

    The mean of d² is larger than the square of the mean by 1 + spread²: thick fibres weigh more
    than thin ones save.

    Args:
        width_um: mean diameter, µm.
        density_g_cm3: mass over volume.
        spread: coefficient of variation of the diameters, fraction.

    Returns:
        Mean fineness, dtex.

    Raises:
        QuantityError: a size is not above 0, or the spread is below 0.
    """
    if not (math.isfinite(spread) and spread >= 0.0):
        raise QuantityError(f"the spread of diameters is {spread:g}; it must be 0 or more")
    width = checked_positive(width_um, "the fibre's diameter in µm")
    density = checked_positive(density_g_cm3, "the fibre's density in g/cm3")
    return math.pi * density * (width / 20.0) ** 2 * (1.0 + spread**2)


def density_g_cm3(fibre: str, own: tuple[OwnFibre, ...] = ()) -> float | None:
    """Return the density of a fibre; None of one of one's own that does not give it."""
    for each in own:
        if each.name == fibre:
            return None if each.density_kg_m3 is None else each.density_kg_m3 / 1000.0
    return FIBRES[fibre].density_g_cm3 if fibre in FIBRES else None  # type: ignore[index]


def volume_cm3_g(density: float | None) -> float:
    """Return the space that a gram of yarn takes up: as much fibre in it as in Peirce's cotton.

    A lofty woollen yarn takes more. Common practice, no source; of an unknown density as cotton.
    """
    cotton = FIBRES["cotton"].density_g_cm3
    return PEIRCE_VOLUME_CM3_G * cotton / (cotton if density is None else density)


def fineness_dtex(
    fineness: Fineness, fibre: str, own: tuple[OwnFibre, ...] = ()
) -> float | None:
    """Return a fineness as written in dtex; None: a diameter of a fibre of unknown density.

    A diameter is that of round fibres of the fibre's density; wool's are spread, so that their
    mean weighs more than a fibre of mean diameter.
    """
    if fineness.unit == "micronaire":
        return dtex_from_micronaire(fineness.value)
    if fineness.unit == "mtex":
        return dtex_from_mtex(fineness.value)
    if fineness.unit == "dtex":
        return checked_positive(fineness.value, "the fibre's fineness in dtex")
    spread = WOOL_SPREAD if fibre == "wool" else 0.0
    density = density_g_cm3(fibre, own)
    return None if density is None else dtex_from_um(fineness.value, density, spread)


def fibres_in_section(count: Count, fineness_dtex: float) -> float:
    """Return how many fibres lie side by side in a yarn: its fineness over theirs.

    Args:
        count: the yarn's count; of a plied yarn, that of one strand.
        fineness_dtex: mean fineness of the fibres.

    Returns:
        Fibres in the section, on average.

    Raises:
        QuantityError: one of them is not above 0.
    """
    return 10.0 * tex(count) / checked_positive(fineness_dtex, "the fibre's fineness in dtex")


def finest_count_nm(
    fineness_dtex: float, method: SpinningMethod = "hand", least: float | None = None
) -> float:
    """Return the finest count that fibres of a fineness can be spun to.

    Args:
        fineness_dtex: mean fineness of the fibres.
        method: how it is spun; see ``LEAST_FIBRES``.
        least: the spinner's own least number of fibres in place of the method's.

    Returns:
        Metric count Nm.

    Raises:
        QuantityError: a number is not above 0.
    """
    fibres = LEAST_FIBRES[method] if least is None else least
    number = checked_positive(fibres, "the least number of fibres in the section")
    fineness = checked_positive(fineness_dtex, "the fibre's fineness in dtex")
    return 10000.0 / (number * fineness)


def regain(fibre: FibreName, standard: RegainStandard = "ASTM D1909") -> float:
    """Return the commercial regain of a fibre by a named standard, a fraction of the dry mass."""
    facts = FIBRES[fibre]
    if standard == "ASTM D1909":
        return facts.regain_astm
    return facts.regain_eu[0 if standard == "EU 96/74/EC combed" else 1]


def singles_strength_n(count: Count, fibre: FibreName) -> tuple[float, float]:
    """Return the least and most force that a singles yarn is likely to bear.

    The least takes the weakest of the fibre's range and a third of it, the most the strongest
    and a half. A thin place breaks well below either.

    Args:
        count: the yarn's count.
        fibre: what it is made of.

    Returns:
        Least and most breaking force, N.

    Raises:
        QuantityError: the count is not above 0.
    """
    weak, strong = FIBRES[fibre].tenacity_cn_tex
    fineness = tex(count)
    return (
        fineness * weak * SINGLES_SHARE[0] / 100.0,
        fineness * strong * SINGLES_SHARE[1] / 100.0,
    )


def usual_twist_per_metre(count_nm: float, fibre: FibreName, use: YarnUse) -> tuple[float, float]:
    """Return the least and most usual twist of a singles yarn, turns per metre.

    Args:
        count_nm: metric count.
        fibre: what it is made of.
        use: what it is for.

    Returns:
        Least and most turns per metre. Common practice, no source.

    Raises:
        QuantityError: the count is not above 0.
    """
    root = math.sqrt(checked_positive(count_nm, "the metric count"))
    low, high = FIBRES[fibre].twist_metric[use]
    return low * root, high * root
