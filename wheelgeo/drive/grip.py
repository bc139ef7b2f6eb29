"""How much harder a groove grips a cord than a flat rim does.

Glossary: the *wedge factor* multiplies the coefficient of friction. Between the flanks of a vee
the cord is held by two forces that lean in: together they press 1/sin(half the angle) times as
hard as the cord pulls inward. A cord that lies on the groove's bottom has no wedge.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from wheelgeo.design.model import GivenPitch, Groove, RoundGroove, VeeGroove
from wheelgeo.geometry.grooves import EPSILON_MM

Contact = Literal["flanks", "edges", "bottom", "not known"]


@dataclass(frozen=True, slots=True)
class Grip:
    """What of the groove the cord touches, and the wedge factor that makes."""

    contact: Contact
    wedge: float


def grip(groove: Groove, cord_mm: float) -> Grip:
    """Return how a groove grips a cord.

    Args:
        groove: the groove in which the cord runs.
        cord_mm: diameter of the cord, mm.

    Returns:
        On the flanks of a vee 1/sin(half the angle); on the two edges of a mouth that the cord
        does not get into, 1 over the cosine of the lean of the edges' forces; otherwise 1.
        Source: Khurmi & Gupta, Theory of Machines ch. 11, rope and vee drives; the edges likewise.
    """
    radius = cord_mm / 2.0
    if isinstance(groove, GivenPitch):
        return Grip("not known", 1.0)
    if isinstance(groove, VeeGroove):
        return _vee(groove, radius)
    if isinstance(groove, RoundGroove) and radius > groove.radius_mm + EPSILON_MM:
        rise = max(groove.radius_mm - groove.depth_mm, 0.0)
        return _edges(math.sqrt(groove.radius_mm**2 - rise**2), radius)
    return Grip("bottom", 1.0)


def _vee(groove: VeeGroove, radius: float) -> Grip:
    half = math.radians(groove.angle_deg) / 2.0
    half_mouth = groove.bottom_mm / 2.0 + groove.depth_mm * math.tan(half)
    if half == 0.0:
        fits = radius <= half_mouth + EPSILON_MM
        return Grip("bottom", 1.0) if fits else _edges(half_mouth, radius)
    height = radius / math.sin(half) - groove.bottom_mm / 2.0 / math.tan(half)
    if height <= radius:
        return Grip("bottom", 1.0) if radius <= half_mouth else _edges(half_mouth, radius)
    if height - radius * math.sin(half) > groove.depth_mm + EPSILON_MM:
        return _edges(half_mouth, radius)
    return Grip("flanks", 1.0 / math.sin(half))


def _edges(half_mouth: float, radius: float) -> Grip:
    """Return the grip of two edges: their forces meet in the cord's centre."""
    return Grip("edges", 1.0 / math.sqrt(1.0 - (half_mouth / radius) ** 2))
