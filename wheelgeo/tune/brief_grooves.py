"""The grooves that a wheel which is laid out from a brief gets, for the cord that runs in them.

All are vees, since a vee grips a thin cord harder than a round groove does. Common practice, no
source.
"""

from __future__ import annotations

from wheelgeo.design.model import VeeGroove

CHEEK_MM = 1.0
"""Least wood beside the groove of a disc that is cut from a sheet, mm."""

DEPTH = 1.75
"""Depth of a groove over the cord's diameter, where the band stays in one plane."""
DEPTH_QUARTER = 3.0
"""The same on a disc whose band leaves for a pulley at right angles."""
DEPTH_WHORL = 2.0
"""The same on the whorl of a quarter-turn drive."""
BOTTOM = 0.3
"""Width of the vee's flat bottom over the cord's diameter."""
BOTTOM_QUARTER = 0.5
ANGLE_DEG = 40.0
ANGLE_WHORL_DEG = 60.0
"""A whorl of a quarter-turn drive has a wide mouth: its band comes in at an angle."""


def disc_groove(rim_mm: float, cord_mm: float, quarter: bool = False) -> VeeGroove:
    """Return the groove of a wheel or an accelerator, mm."""
    if quarter:
        return _vee(rim_mm, DEPTH_QUARTER * cord_mm, ANGLE_DEG, BOTTOM_QUARTER * cord_mm)
    return _vee(rim_mm, DEPTH * cord_mm, ANGLE_DEG, BOTTOM * cord_mm)


def small_groove(rim_mm: float, cord_mm: float, quarter: bool = False) -> VeeGroove:
    """Return the groove of a hub or a whorl, mm."""
    if quarter:
        return _vee(rim_mm, DEPTH_WHORL * cord_mm, ANGLE_WHORL_DEG, BOTTOM_QUARTER * cord_mm)
    return disc_groove(rim_mm, cord_mm)


def _vee(rim_mm: float, depth_mm: float, angle_deg: float, bottom_mm: float) -> VeeGroove:
    """Return a groove in hundredths of a millimetre, as it would be drawn."""
    return VeeGroove(rim_mm, round(depth_mm, 2), angle_deg, round(bottom_mm, 2))


def least_disc_mm(groove: VeeGroove) -> float:
    """Return how thick a disc must be for its groove, mm."""
    return groove.mouth_mm + 2.0 * CHEEK_MM


def holds(groove: VeeGroove, disc_mm: float | None) -> bool:
    """Tell whether a disc of that thickness holds a groove; None: as thick as it needs."""
    return disc_mm is None or least_disc_mm(groove) <= disc_mm
