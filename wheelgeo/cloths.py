"""Yarn for a piece of cloth: how much of it, what it weighs, and the hours at a wheel."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wheelgeo.as_json import AsJson
from wheelgeo.door import door
from wheelgeo.errors import QuantityError
from wheelgeo.immutable import dataclass

if TYPE_CHECKING:
    from wheelgeo.built.assumed import Assumption
    from wheelgeo.design.model import Count
    from wheelgeo.wheel import Wheel

MOST_SETT = 1000.0
"""Threads per cm of a finer cloth than any: 10 micrometres from one to the next."""
MOST_M = 1e6
"""A longer warp is a slip of the pen."""


@dataclass(frozen=True)
class ClothAnswer(AsJson):
    """Yarn for a piece of cloth.

    Attributes:
        warp_m: warp, waste counted.
        weft_m: weft.
        together_m: both.
        metric_hanks: both, in hanks of 1 000 m, begun ones whole.
        grams: mass of both.
        grams_per_m2: mass of a square metre of cloth.
        closest_sett_per_inch: closest plain sett of the warp (Ashenhurst).
        too_close: ends and picks are both more than that of their own yarn: it cannot be woven
            in plain weave.
        warp_nm: metric count of the warp, of all its strands.
        weft_nm: of the weft.
        counts_plying: in both is what plying takes up or gives; False where no twist is known.
        hours: time to spin it, and to ply what is plied, on the wheel, at the twist factor of the
            wheel's own yarn; None without a wheel.
        drive_turns: turns of the hand for that; None likewise.
        assumed: what all of it rests on, beside what was said.
        fibre: what the warp is of, by which its closest sett goes.
    """

    warp_m: float
    weft_m: float
    together_m: float
    metric_hanks: int
    grams: float
    grams_per_m2: float
    closest_sett_per_inch: float
    too_close: bool
    warp_nm: float
    weft_nm: float
    counts_plying: bool
    hours: float | None
    drive_turns: float | None
    assumed: tuple[Assumption, ...] = ()
    fibre: str = "cotton"


def _at_most(value: float, most: float, what: str) -> None:
    if value > most:
        raise QuantityError(f"{what} is {value:g}; it must be {most:g} or less")


@door(QuantityError)
def cloth(
    warp: str,
    weft: str | None = None,
    *,
    ends_per_cm: float | str,
    picks_per_cm: float | str | None = None,
    length_m: float = 1.0,
    width_m: float = 1.0,
    warp_crimp: float | None = None,
    weft_crimp: float | None = None,
    loom_waste_m: float | None = None,
    waste: float | None = None,
    wheel: Wheel | None = None,
    fibre: str | None = None,
) -> ClothAnswer:
    """Return the yarn for a piece of cloth, its weight, and the hours at a wheel.

    Args:
        warp: count of the warp, such as "40 Nm".
        weft: count of the weft; None: as the warp.
        ends_per_cm: sett, or text such as "60 epi".
        picks_per_cm: picks, or text such as "58 ppi"; None: as the ends.
        length_m: length of the cloth off the loom.
        width_m: its width.
        warp_crimp: how much longer a warp thread is than the cloth, fraction; None: the usual.
        weft_crimp: the same of the weft.
        loom_waste_m: warp that cannot be woven off; None: none.
        waste: part of all yarn that is lost; None: none.
        wheel: the wheel that spins it, for the hours; None: not told.
        fibre: what the warp is of, for its closest sett; None: the wheel's, or cotton.

    Raises:
        QuantityError: a number is out of range, or there is no such fibre.
    """
    import math

    from wheelgeo.design.counts import checked_positive, metric_count
    from wheelgeo.design.file_kinds import read_count
    from wheelgeo.units import SETT_PER_CM, parse_quantity
    from wheelgeo.yarn.cloth import (
        CRIMP,
        Threads,
        assumed_of_cloth,
        cloth_mass_g_m2,
        sett_per_inch,
        sett_share,
        yarn_for_cloth,
    )
    from wheelgeo.yarn.strands import all_strands
    from wheelgeo.yarn.winders import yarn_mass_g

    said = {
        "weft": weft, "picks": picks_per_cm, "crimp of the warp": warp_crimp,
        "crimp of the weft": weft_crimp, "loom waste": loom_waste_m, "waste of all yarn": waste,
        "fibre": wheel if fibre is None else fibre,
    }  # fmt: skip
    of = _cloth_fibre(fibre, wheel)
    share = sett_share(of)
    counts = read_count(warp), read_count(warp if weft is None else weft)
    setts = [
        parse_quantity(sett, SETT_PER_CM, SETT_PER_CM.unit)
        for sett in (ends_per_cm, ends_per_cm if picks_per_cm is None else picks_per_cm)
    ]
    for sett in setts:
        _at_most(checked_positive(sett, "the sett in threads per cm"), MOST_SETT, "the sett per cm")
    off_loom_m, lost = loom_waste_m or 0.0, waste or 0.0
    for metres in (length_m, width_m, off_loom_m):
        _at_most(metres, MOST_M, "a length of cloth or warp in m")
    crimps = [CRIMP if crimp is None else crimp for crimp in (warp_crimp, weft_crimp)]
    spinner = None if wheel is None else wheel.design
    plied = [all_strands(count, spinner) for count in counts]
    one, other = (
        Threads(count, 2.54 * sett, crimp)
        for (count, _), sett, crimp in zip(plied, setts, crimps, strict=True)
    )
    yarn = yarn_for_cloth(one, other, length_m, width_m, off_loom_m, lost)
    hours = turns = None
    if wheel is not None:
        each = zip(counts, (yarn.warp_m, yarn.weft_m), strict=True)
        parts = [_spun(wheel, count, metres) for count, metres in each]
        hours, turns = sum(part[0] for part in parts), sum(part[1] for part in parts)
    return ClothAnswer(
        yarn.warp_m, yarn.weft_m, yarn.together_m, math.ceil(yarn.hanks - 1e-9),
        yarn_mass_g(yarn.warp_m, one.count) + yarn_mass_g(yarn.weft_m, other.count),
        cloth_mass_g_m2(one, other),
        sett_per_inch(one.count, share=share),
        all(t.per_inch > sett_per_inch(t.count, share=share) for t in (one, other)),
        metric_count(one.count), metric_count(other.count), any(counted for _, counted in plied),
        hours, turns,
        assumed_of_cloth(
            [what for what, value in said.items() if value is None], of, wheel is not None
        ),
        of,
    )  # fmt: skip


def _cloth_fibre(fibre: str | None, wheel: Wheel | None) -> str:
    """Return the fibre of a cloth; QuantityError where none of that name is known."""
    from wheelgeo.yarn.fibre import FIBRES

    own = () if wheel is None else wheel.design.fibres
    if fibre is not None and fibre not in (*FIBRES, *(each.name for each in own)):
        raise QuantityError(f'there is no fibre "{fibre}"; known: {", ".join(FIBRES)}')
    spun = None if wheel is None or wheel.design.yarn is None else wheel.design.yarn.fibre
    return fibre or spun or "cotton"


def _spun(wheel: Any, count: Count, metres: float) -> tuple[float, float]:
    """Return hours and turns of the hand for a length of yarn of a count, plied where it is plied.

    A yarn of another count has the twist factor of the wheel's own. QuantityError where the
    wheel's file does not say how it spins.
    """
    from dataclasses import replace

    from wheelgeo.yarn.strands import twist_on
    from wheelgeo.yarn.winders import HANK_M

    yarn = wheel.design.yarn
    turns = None if yarn is None else twist_on(yarn, count)
    if yarn is None or turns is None:
        raise QuantityError("the wheel's file does not say how it spins: twist and draw in [yarn]")
    other = replace(yarn, count=count, turns_per_metre=turns, twist_factor=None)
    spinning = wheel.with_design(replace(wheel.design, yarn=other)).solve().yarn.spinning
    if spinning is None:
        raise QuantityError("the wheel's file does not say how it spins: twist and draw in [yarn]")
    work = spinning.metric_hank if spinning.plying is None else spinning.plying.metric_hank
    share = metres / HANK_M
    return work.hours * share, work.drive_turns * share
