"""Twist: which way, how much is wanted, and what the hand must do for it.

One turn of the spindle puts one turn into the yarn, over a tip while drafting as at a flyer. All
lengths are lengths of yarn as spun: yarn grows shorter as twist goes in (by a few per cent), and
that contraction is left out throughout.

A *twist factor* means different things with different counts. It is read in the convention of
the count's own system, the one in which the file gives the count:

    Nm       turns per metre = factor × √Nm
    Ne       turns per inch  = factor × √Ne        (the twist multiplier)
    tex      turns per centimetre = factor / √tex
    denier   as tex, after denier has been turned into tex

The same yarn's factors in these three differ from each other by 3 times and more, and some mills
reckon tex factors per metre, 100 times the one above; so ``factor_in_words`` says which was used.
Conventions: ASTM D123 and D1422, from memory.
"""

from __future__ import annotations

import math

from wheelgeo.design.counts import checked_positive, convert
from wheelgeo.design.model import Count, CountSystem, Twist, Yarn
from wheelgeo.errors import QuantityError
from wheelgeo.immutable import dataclass
from wheelgeo.units.quantity import LENGTH_UNITS

_INCHES_PER_M = 1000.0 / LENGTH_UNITS["in"]


@dataclass(frozen=True)
class _Convention:
    """How a twist factor is read with a system of counts.

    Attributes:
        system: the system whose count goes under the root.
        direct: the root divides (direct counts) instead of multiplying.
        per: the length to which the turns belong.
        per_m: how many of that length make a metre.
    """

    system: CountSystem
    direct: bool
    per: str
    per_m: float


_CONVENTIONS: dict[CountSystem, _Convention] = {
    "Nm": _Convention("Nm", False, "metre", 1.0),
    "Ne": _Convention("Ne", False, "inch", _INCHES_PER_M),
    "tex": _Convention("tex", True, "centimetre", 100.0),
    "denier": _Convention("tex", True, "centimetre", 100.0),
}


def direction(spindle_speed_rpm: float) -> Twist:
    """Return the twist that a spindle makes, S or Z as ISO 2 defines them.

    Args:
        spindle_speed_rpm: signed speed about the axis that points out of the tip, towards the
            yarn. Negative is clockwise as seen from the yarn and makes Z.

    Returns:
        ``"Z"`` or ``"S"``.

    Raises:
        QuantityError: the spindle stands still, or the speed is not a number.
    """
    if math.isnan(spindle_speed_rpm) or spindle_speed_rpm == 0.0:
        raise QuantityError(f"a spindle at {spindle_speed_rpm:g} rpm makes no twist")
    return "Z" if spindle_speed_rpm < 0.0 else "S"


def turns_from_factor(factor: float, count: Count) -> float:
    """Return the turns per metre of a twist factor in the convention of the count's system.

    Args:
        factor: the twist factor; see the top of this module for its units.
        count: the yarn's count.

    Returns:
        Turns per metre.

    Raises:
        QuantityError: the factor or the count is not above 0.
    """
    how = _CONVENTIONS[count.system]
    root = math.sqrt(convert(count, how.system).value)
    turns = checked_positive(factor, "the twist factor") * (1.0 / root if how.direct else root)
    return checked_positive(turns * how.per_m, "the twist in turns per metre")


def factor_from_turns(turns_per_metre: float, count: Count) -> float:
    """Return the twist factor of a yarn in the convention of its count's system.

    Ask with ``convert(count, ...)`` for the factor in another convention.

    Args:
        turns_per_metre: the twist.
        count: the yarn's count.

    Returns:
        The factor; see the top of this module for its units.

    Raises:
        QuantityError: the twist or the count is not above 0.
    """
    turns = checked_positive(turns_per_metre, "the twist in turns per metre")
    return turns / turns_from_factor(1.0, count)


def wanted_turns_per_metre(yarn: Yarn) -> float | None:
    """Return the twist that a yarn is to have.

    Args:
        yarn: the yarn of a design.

    Returns:
        Turns per metre, from the yarn's turns or from its twist factor; None where it has neither.

    Raises:
        QuantityError: it has both, or one that is not above 0.
    """
    if yarn.turns_per_metre is not None and yarn.twist_factor is not None:
        raise QuantityError("a yarn has turns_per_metre or twist_factor, never both")
    if yarn.twist_factor is not None:
        return turns_from_factor(yarn.twist_factor, yarn.count)
    if yarn.turns_per_metre is None:
        return None
    return checked_positive(yarn.turns_per_metre, "turns_per_metre")


def factor_in_words(yarn: Yarn) -> str | None:
    """Return how the yarn's twist factor was read, or None where it has none.

    Example: ``twist factor 3.5 with 36 Ne: turns per inch = 3.5 × √36 = 21, 827 per metre``.
    """
    turns = wanted_turns_per_metre(yarn)
    if yarn.twist_factor is None or turns is None:
        return None
    how = _CONVENTIONS[yarn.count.system]
    under_root = convert(yarn.count, how.system).value
    formula = f"{yarn.twist_factor:g} {'/' if how.direct else '×'} √{under_root:g}"
    tail = "" if how.per_m == 1.0 else f", {turns:.0f} per metre"
    return (
        f"twist factor {yarn.twist_factor:g} with {yarn.count.value:g} {yarn.count.system}: "
        f"turns per {how.per} = {formula} = {turns / how.per_m:.4g}{tail}"
    )


def drive_turns_per_metre(turns_per_metre: float, ratio: float) -> float:
    """Return how often the hand must turn to put the twist into a metre of yarn.

    Args:
        turns_per_metre: the wanted twist.
        ratio: spindle turns per turn of the hand, without sign.

    Returns:
        Turns of the drive per metre.

    Raises:
        QuantityError: the twist or the ratio is not above 0.
    """
    turns = checked_positive(turns_per_metre, "the twist in turns per metre")
    return checked_positive(
        turns / checked_positive(ratio, "the ratio"), "the drive's turns per metre"
    )


def drive_turns_per_draw(turns_per_metre: float, ratio: float, draw_mm: float) -> float:
    """Return how often the hand must turn to put the twist into one draw, ``draw_mm`` long."""
    metres = checked_positive(draw_mm, "the draw in mm") / 1000.0
    return drive_turns_per_metre(turns_per_metre, ratio) * metres


def draw_seconds(
    turns_per_metre: float, ratio: float, draw_mm: float, drive_speed_rpm: float
) -> float:
    """Return how long one draw takes at a hand speed: drafting alone, no backing off or winding.

    Args:
        turns_per_metre: the wanted twist.
        ratio: spindle turns per turn of the hand, without sign.
        draw_mm: length of the draw.
        drive_speed_rpm: speed of the hand, without sign.

    Returns:
        Seconds.

    Raises:
        QuantityError: one of them is not above 0.
    """
    speed = checked_positive(drive_speed_rpm, "the hand's speed in rpm")
    return 60.0 * drive_turns_per_draw(turns_per_metre, ratio, draw_mm) / speed


def metres_per_hour(turns_per_metre: float, ratio: float, drive_speed_rpm: float) -> float:
    """Return the yarn spun in an hour of drafting alone.

    Backing off, winding on, joining and resting are not counted; on a tip spindle the day's
    yield is a good deal less than this, on a flyer, which winds as it spins, it comes closer.

    Args:
        turns_per_metre: the wanted twist.
        ratio: spindle turns per turn of the hand, without sign.
        drive_speed_rpm: speed of the hand, without sign.

    Returns:
        Metres per hour.

    Raises:
        QuantityError: one of them is not above 0.
    """
    speed = checked_positive(drive_speed_rpm, "the hand's speed in rpm")
    return 60.0 * speed / drive_turns_per_metre(turns_per_metre, ratio)
