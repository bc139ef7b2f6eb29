"""How much harder a groove grips a cord than a flat rim does.

Glossary: the *wedge factor* multiplies the coefficient of friction. Between the flanks of a vee
the cord is held by two forces that lean in: together they press 1/sin(half the angle) times as
hard as the cord pulls inward. A cord that lies on the groove's bottom has no wedge.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from wheelgeo.design.model import Groove, VeeGroove
from wheelgeo.geometry.grooves import Contact, seat


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
    seated = seat(groove, cord_mm)
    if seated.contact == "flanks" and isinstance(groove, VeeGroove):
        return Grip("flanks", 1.0 / math.sin(math.radians(groove.angle_deg) / 2.0))
    if seated.contact == "edges" and seated.mouth_mm is not None:
        return Grip("edges", 1.0 / math.sqrt(1.0 - (seated.mouth_mm / cord_mm) ** 2))
    return Grip(seated.contact, 1.0)
