"""The grooves of an old wheel from what was measured of them, and how two stand side by side."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Literal

from wheelgeo.built.pulley import CHEEK_MM, CHEEK_PER_DEPTH
from wheelgeo.geometry.groove import (
    FlatRim,
    GivenPitch,
    Groove,
    RoundGroove,
    VeeGroove,
    WornGroove,
)

Values = Mapping[str, float]
Shape = Literal["vee", "round", "worn"]
SHAPES: tuple[Shape, ...] = ("vee", "round", "worn")
UNKNOWN = "unknown"
"""Said of a groove that nobody has looked into, where the other one's shape is told."""
OLD_VEE_DEG = 60.0
"""Angle of a groove known by its depth alone."""
MOUTH_OF = {"groove": "mouth", "whorl_groove": "whorl_mouth"}
"""Beside a groove's depth, how wide it is at the rim."""
ROUND_OVER_CORD = GivenPitch.ROUND_OVER_CORD
"""Width of a round or worn bottom over the cord's, where only its depth is known."""
GAP_MM = 1.0
"""Between the whorls of flyer and bobbin, which turn apart; common practice, no source."""
SHARED_WALLS = 1.5
"""Walls between the two grooves of one wheel, of one piece: a single one would be touched by the
cord that comes in from the side; common practice, no source."""
WALL_SHARE = 0.6
"""Of what two measured mouths leave between them, this much is whorl, the rest a gap; common
practice, no source."""


def groove_of(values: Values, rim: str, girth: str, depth: str, shape: Shape | None) -> Groove:
    """Return the groove of a wheel or whorl; without a depth the cord lies on the rim.

    A thread laid where the band lies is thin: the cord's centre runs half a cord above it. In a vee
    the thread lies in the point, and the cord rides on the sides, r/sin(a/2) above that.

    Args:
        values: what was measured, mm.
        rim: key of its diameter.
        girth: key of its girth.
        depth: key of its depth; with its mouth, where that was measured, it has its true section.
        shape: its shape; None: not known.
    """
    cord_mm = values["cord"]
    if girth in values:
        return GivenPitch(values[girth] / math.pi + over_thread(shape) * cord_mm)
    if depth not in values:
        return FlatRim(values[rim], 2.0 * cord_mm)
    deep_mm, mouth_mm = values[depth], values.get(MOUTH_OF[depth])
    half_mm = None if mouth_mm is None else 0.5 * mouth_mm
    if shape in (None, "vee"):
        angle = OLD_VEE_DEG if half_mm is None else 2.0 * math.degrees(math.atan2(half_mm, deep_mm))
        return VeeGroove(values[rim], deep_mm, round(angle, 6))
    radius_mm = round(0.5 * ROUND_OVER_CORD * cord_mm, 6)
    if half_mm is None:  # a slot no wider than its bottom is one that nobody turns: it opens
        return WornGroove(values[rim], deep_mm, radius_mm, OLD_VEE_DEG)
    arc_mm = radius_mm
    if deep_mm < radius_mm:
        arc_mm = math.sqrt(deep_mm * (2.0 * radius_mm - deep_mm))
    if shape == "round" or half_mm <= arc_mm:
        # A segment of a circle over the mouth as its chord; deeper than half of that, a slot.
        segment_mm = half_mm
        if half_mm > deep_mm:
            segment_mm = 0.5 * (half_mm * half_mm + deep_mm * deep_mm) / deep_mm
        return RoundGroove(values[rim], deep_mm, round(segment_mm, 6))
    # Flanks that touch the worn arc and end at the mouth: half cos(a) - (deep - r) sin(a) = r.
    rise_mm = deep_mm - radius_mm
    flank = math.acos(radius_mm / math.hypot(half_mm, rise_mm)) - math.atan2(rise_mm, half_mm)
    return WornGroove(values[rim], deep_mm, radius_mm, round(2.0 * math.degrees(flank), 6))


def mouth_to_catch_mm(
    values: Values, rim: str, depth: str, shape: Shape | None, arriving_deg: float
) -> float | None:
    """Return how wide a groove's mouth must be to catch a band at an angle, mm; None: no width."""
    low, high = values["cord"], 20.0 * max(values["cord"], values[depth])

    def catches(mouth_mm: float) -> bool:
        groove = groove_of({**values, MOUTH_OF[depth]: mouth_mm}, rim, "", depth, shape)
        caught_deg = groove.seat(values["cord"]).catch_deg
        return caught_deg is not None and caught_deg >= arriving_deg

    if not catches(high):
        return None
    for _ in range(40):  # halving: the wider, the more it catches
        middle = 0.5 * (low + high)
        low, high = (low, middle) if catches(middle) else (middle, high)
    return high


def over_thread(shape: Shape | None) -> float:
    """Return by how many cords the pitch diameter is more than that of a thread in the groove."""
    return 1.0 / math.sin(math.radians(0.5 * OLD_VEE_DEG)) if shape == "vee" else 1.0


def side_by_side(
    pair: tuple[Groove, Groove], cord_mm: float, measured_mm: float | None, apart: bool
) -> tuple[float, tuple[Groove, Groove], float | None]:
    """Return how two grooves of a double band stand: distance, grooves, width of each pulley, mm.

    Where nobody measured it they stand as close as they can be cut, the band then crossing over
    the least: each run that changes grooves meets the next one at an angle.

    Args:
        pair: the two grooves.
        cord_mm: diameter of the cord.
        measured_mm: their distance, middle to middle; None: not measured.
        apart: they turn apart (flyer and bobbin), with a gap between; others are of one piece.
    """
    cut = [groove.to_cut(cord_mm) for groove in pair]
    mouth_mm = max(groove.mouth_mm for groove in cut)
    walls = [max(CHEEK_MM, CHEEK_PER_DEPTH * g.deep_mm) if g.has_mouth else 0.0 for g in cut]
    whole_mm = mouth_mm + 2.0 * max(walls)
    if measured_mm is None:
        width_mm = whole_mm if apart else mouth_mm + SHARED_WALLS * max(walls)
        # to a hundredth, and never less: rounding is not to make two walls one
        distance_mm = math.ceil(100.0 * (width_mm + (GAP_MM if apart else 0.0))) / 100.0
    else:
        distance_mm = measured_mm
        # Two grooves that are there do not overlap: they share what stands between their mouths.
        wall_mm = max(measured_mm - mouth_mm, 0.0) * (WALL_SHARE if apart else 1.0)
        width_mm = min(whole_mm, mouth_mm + wall_mm)
    if not any(groove.of_any_width for groove in pair):
        # No wider than there is room for, to a ten-thousandth, and never narrower than its mouth.
        least_mm = math.ceil(1e4 * mouth_mm) / 1e4
        return distance_mm, pair, max(math.floor(1e4 * width_mm) / 1e4, least_mm)
    # Of a flat rim nothing but its width can give way: it is known by no measurement.
    width_mm = min(width_mm, distance_mm * (WALL_SHARE if apart else 1.0))
    first, second = (groove.in_width(round(max(width_mm, cord_mm), 6)) for groove in pair)
    return distance_mm, (first, second), None
