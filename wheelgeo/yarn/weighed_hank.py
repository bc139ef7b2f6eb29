"""The count of a hank from its weight, with how sure it is."""

from __future__ import annotations

import math

from wheelgeo.design.counts import checked_positive
from wheelgeo.design.model import Count
from wheelgeo.errors import QuantityError
from wheelgeo.immutable import dataclass
from wheelgeo.units import MASS_G, last_digit, parse_measured
from wheelgeo.yarn.fibre import FIBRES, regain
from wheelgeo.yarn.hank import Measured, count_of_weighed_hank, windings
from wheelgeo.yarn.words import one_of

TURN_OFF = 0.002
"""Standard uncertainty of a turn of the reel, as a part of it; common practice, no source."""


@dataclass(frozen=True)
class WeighedAnswer:
    """A count from a weighed hank, at the commercial regain.

    Attributes:
        mass_g: mass as weighed.
        mass_off_g: its standard uncertainty.
        mass_off_by: where that comes from, in words.
        count_tex: the count.
        uncertainty_tex: at 95 %.
        count_nm: the same as metric count.
        uncertainty_nm: at 95 %.
        by_mass: part of the variance that the weighing has.
        by_length: the length.
        by_moisture: the moisture.
    """

    mass_g: float
    mass_off_g: float
    mass_off_by: str
    count_tex: float
    uncertainty_tex: float
    count_nm: float
    uncertainty_nm: float
    by_mass: float
    by_length: float
    by_moisture: float


@dataclass(frozen=True)
class Weighing:
    """A mass with its standard uncertainty, g, and where that comes from, in words."""

    mass_g: float
    off_g: float
    off_by: str


def read_weighing(written: float | str, scale_g: float) -> Weighing:
    """Return a mass as it was written down.

    Args:
        written: g, or text: after ``+-`` stands its half width at 95 %; without it the mass lies
            half a step of its last digit to either side, evenly spread (JCGM 100:2008, F.2.2.1).
        scale_g: standard uncertainty of a bare number, which has no last digit.

    Raises:
        QuantityError: it is no mass.
    """
    mass_g, half_g = parse_measured(written, MASS_G, "g")
    if half_g is not None:
        return Weighing(mass_g, half_g / 2.0, "as given")
    if not isinstance(written, str):
        return Weighing(mass_g, scale_g, "a scale of 0.1 g (common practice, no source)")
    half_g = last_digit(written, MASS_G, "g") / 2.0
    step = f'from the last digit of "{written.strip()}"; "... +- ..." says it better'
    return Weighing(mass_g, half_g / math.sqrt(3.0), step)


def weighed_hank(
    weighing: Weighing, turns: int, round_mm: float, lanes_mm: float,
    regain_now: float | None, fibre: str, standard: str,
) -> tuple[WeighedAnswer, Count]:  # fmt: skip
    """Return the count of a weighed hank; its length is that of the yarn that the weight tells.

    Args:
        weighing: its mass.
        turns: turns of the reel.
        round_mm: way once about the bare reel.
        lanes_mm: width over which the yarn is laid.
        regain_now: water in it over its dry mass when weighed; None: the commercial regain.
        fibre: its fibre.
        standard: of the commercial regain.

    Raises:
        QuantityError: something of it cannot be.
    """
    one_of(fibre, tuple(FIBRES), "fibre")
    one_of(standard, ("ASTM D1909", "EU 96/74/EC combed", "EU 96/74/EC carded"), "standard")
    wanted = regain(fibre, standard)  # type: ignore[arg-type]
    if regain_now is not None and regain_now > 1.0:
        raise QuantityError(
            f"a regain of {regain_now:.0%} is a dripping hank: let it dry, and write the water in "
            "it over its dry mass, such as 8.5 %"
        )
    now = wanted if regain_now is None else regain_now
    metres = turns * checked_positive(round_mm, "the way once about the reel in mm") / 1000.0
    found = None
    # The build-up hangs on the yarn's thickness and so on the count: two or three rounds settle it.
    for _ in range(20):
        before = metres
        found = count_of_weighed_hank(
            Measured(weighing.mass_g, weighing.off_g), Measured(metres, TURN_OFF * metres),
            # A fibre that lies in the room is known to about a point of regain.
            Measured(now, 0.005), wanted,
        )  # fmt: skip
        metres = windings(turns, found.count, lanes_mm, round_mm).length_m
        if abs(metres - before) <= 1e-12 * metres:
            break
    assert found is not None
    count, off = found.count.value, found.uncertainty_tex
    nm = 1000.0 / count
    told = (weighing.mass_g, weighing.off_g, weighing.off_by, count, off, nm, nm * off / count)
    return WeighedAnswer(*told, *found.shares), Count(count, "tex")
