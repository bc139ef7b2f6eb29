"""What is said of an old wheel that does not run true: whether the band stays on, how to true it.

``said`` writes a length in mm for who reads it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from wheelgeo.shop.old_wheel_words import Said
from wheelgeo.tune.staying_on import StayingOn


def staying_on_words(found: StayingOn, length_mm: float, said: Said, unit: str) -> Iterator[str]:
    """Say what an untrue wheel does to its band over a turn, and how far to shim or tilt."""
    low, high = found.length_mm
    if high - low > 0.05:
        yield (
            f"Over a turn the path changes by {said(high - low)}, "
            f"{100 * (high - low) / length_mm:.1f} % of its length, and the pull with it."
        )
    for pulley in found.pulleys:
        catches = (
            "nobody measured its groove's mouth, so that nobody can say whether it holds"
            if pulley.catches_deg is None
            else f"it catches {pulley.catches_deg:.1f}°: "
            + ("the band stays on" if pulley.holds else "the band is THROWN")
        )
        spinning, back = (
            f"{least:.1f} to {most:.1f}°"
            for least, most in (pulley.spinning_deg, pulley.backing_off_deg)
        )
        yield (
            f"At the {pulley.pulley} the band arrives {spinning} off, turned back {back}; "
            f"{catches}."
        )
    yield from truing(found, unit)
    if found.left_out:
        yield f"Left out: {found.left_out}."


def whether_it_stays_on(found: StayingOn) -> str:
    """Say in one sentence whether the band of an untrue wheel stays on."""
    if found.left_out:
        return f"Left out: {found.left_out}."
    thrown = [p.pulley for p in found.pulleys if p.holds is False]
    if thrown:
        return f"The band is THROWN at the {' and the '.join(thrown)}: true the wheel first."
    if any(p.holds is None for p in found.pulleys):
        return "Nobody measured the groove's mouth, so that nobody can say whether it stays on."
    return "As it is, the band stays on over the whole turn, spinning and turned back."


def _part_of(part: float, unit: str) -> str:
    """Say how thick a shim is against its base, in the unit that somebody measures with."""
    if unit == "in":
        return f"{part:.3f} in for every inch"
    return f"{100.0 * part:.1f} mm for every 100 mm"


def truing(found: StayingOn, unit: str) -> Iterator[str]:
    """Say how far to shim or tilt an untrue wheel; ``unit``: of its file."""
    if found.wobble_deg:
        shim = math.tan(math.radians(found.wobble_deg))
        yield (
            f"To true the wobble: the wheel leans {found.wobble_deg:.2f}° on its axle. Mark where "
            "the rim stands furthest to one side; there the hub's hole wants a shim on that side, "
            f"{_part_of(shim, unit)} of the hub's length."
        )
    if found.aside_deg:
        tilt = math.tan(math.radians(abs(found.aside_deg)))
        way = "away from" if found.aside_deg > 0.0 else "towards"
        yield (
            "To bring the whorl into the wheel's plane: slide it along the spindle, or move the "
            f"axle's bearing on the side of the spindle's tip {way} the spindle, "
            f"{_part_of(tilt, unit)} between the axle's bearings."
        )
