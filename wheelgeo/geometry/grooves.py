"""Where a cord seats in a groove, and how far sideways the groove's mouth catches it.

Glossary: the *bottom* is the deepest part of the groove; the *mouth* is its opening at the rim;
*seat height* is the distance from the bottom to the centre-line of the seated cord; the *catch
angle* is the largest lead angle at which an arriving cord's centre-line crosses the rim within
the mouth.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from wheelgeo.design.model import FlatRim, GivenPitch, Groove, RoundGroove, VeeGroove

EPSILON_MM = 1e-9
"""Two lengths closer than this are the same length, mm."""

Contact = Literal["flanks", "edges", "bottom", "not known"]
"""What of a groove a cord touches; the edges are those of the mouth."""


@dataclass(frozen=True, slots=True)
class Seat:
    """How a cord lies on a pulley.

    Attributes:
        pitch_radius_mm: from the axis to the centre-line of the cord.
        contact: what it touches.
        trouble: why it does not get in; empty where it does.
        rim_radius_mm: radius of the rim; None where only the pitch is known.
        bottom_radius_mm: radius of the groove's bottom; None where only the pitch is known.
        mouth_mm: width of the mouth at the rim; None for a flat rim and a given pitch.
        catch_deg: largest lead angle that the mouth catches; None where there is no mouth or the
            cord's centre-line lies at the rim or above it.
    """

    pitch_radius_mm: float
    contact: Contact
    trouble: str
    rim_radius_mm: float | None
    bottom_radius_mm: float | None
    mouth_mm: float | None
    catch_deg: float | None

    @property
    def seated(self) -> bool:
        """Whether the cord gets in; otherwise it rides on the edges of the mouth."""
        return not self.trouble

    @property
    def pitch_diameter_mm(self) -> float:
        """Twice the pitch radius."""
        return 2.0 * self.pitch_radius_mm


def seat(groove: Groove, cord_mm: float) -> Seat:
    """Seat a round cord in a groove.

    Args:
        groove: the groove.
        cord_mm: diameter of the cord, mm.

    Returns:
        The seat. Source: a cord of radius r touches both flanks of a vee of included angle a and
        flat bottom b when its centre is r/sin(a/2) - (b/2)/tan(a/2) above the bottom (the
        measuring-wire formula; F. D. Jones, Turning and Boring, p. 88), and never lower than r.
    """
    radius = cord_mm / 2.0
    if isinstance(groove, GivenPitch):
        return Seat(groove.pitch_mm / 2.0, "not known", "", None, None, None, None)
    if isinstance(groove, FlatRim):
        return _flat_seat(groove, radius)
    if isinstance(groove, VeeGroove):
        return _vee_seat(groove, radius)
    return _round_seat(groove, radius)


def _flat_seat(groove: FlatRim, radius: float) -> Seat:
    rim = groove.rim_mm / 2.0
    fits = 2.0 * radius <= groove.width_mm + EPSILON_MM
    trouble = (
        ""
        if fits
        else (f"the cord is {2 * radius:g} mm thick, the rim only {groove.width_mm:g} mm wide")
    )
    return Seat(rim + radius, "bottom", trouble, rim, rim, None, None)


def vee_seat_height_mm(groove: VeeGroove, radius: float) -> float:
    """Return the seat height of a cord of that radius between flanks without end, mm.

    Parallel flanks (angle 0, the square groove of a layered pulley) let a cord down to the bottom
    or not in at all; the height is then infinite.
    """
    half = math.radians(groove.angle_deg) / 2.0
    if half == 0.0:
        return radius if 2.0 * radius <= groove.bottom_mm + EPSILON_MM else math.inf
    between_flanks = radius / math.sin(half) - groove.bottom_mm / 2.0 / math.tan(half)
    return max(between_flanks, radius)


def _vee_seat(groove: VeeGroove, radius: float) -> Seat:
    height = vee_seat_height_mm(groove, radius)
    touches_at = height - radius * math.sin(math.radians(groove.angle_deg) / 2.0)
    if height > radius and touches_at <= groove.depth_mm + EPSILON_MM:
        return _seated(groove, "flanks", height)
    if height == radius or _on_the_edges_mm(groove, radius) <= radius:
        return _seated(groove, "bottom", radius)
    if math.isinf(touches_at):
        trouble = (
            f"the cord is {2 * radius:g} mm thick, the square groove {groove.mouth_mm:g} mm wide"
        )
    else:
        trouble = f"it would touch the flanks {touches_at - groove.depth_mm:.3g} mm above the rim"
    return _on_the_edges(groove, radius, trouble)


def _round_seat(groove: RoundGroove, radius: float) -> Seat:
    if radius <= groove.radius_mm + EPSILON_MM:
        return _seated(groove, "bottom", radius)
    trouble = (
        f"the cord is {2 * radius:g} mm thick, the round groove {2 * groove.radius_mm:g} mm wide"
    )
    return _on_the_edges(groove, radius, trouble)


def _seated(groove: VeeGroove | RoundGroove, contact: Contact, height: float) -> Seat:
    rim, mouth = groove.rim_mm / 2.0, groove.mouth_mm
    bottom = rim - groove.depth_mm
    pitch = bottom + height
    return Seat(pitch, contact, "", rim, bottom, mouth, catch_angle_deg(rim, pitch, mouth))


def _on_the_edges_mm(groove: VeeGroove | RoundGroove, radius: float) -> float:
    """Return how high above the bottom a cord's centre is that touches both edges of the mouth.

    A cord narrower than the mouth touches neither; the height is then infinite.
    """
    aside = groove.mouth_mm / 2.0
    return groove.depth_mm + math.sqrt(radius**2 - aside**2) if aside <= radius else math.inf


def _on_the_edges(groove: VeeGroove | RoundGroove, radius: float, trouble: str) -> Seat:
    rim = groove.rim_mm / 2.0
    bottom = rim - groove.depth_mm
    pitch = bottom + _on_the_edges_mm(groove, radius)
    return Seat(pitch, "edges", trouble, rim, bottom, groove.mouth_mm, None)


def catch_angle_deg(rim_radius: float, pitch_radius: float, mouth: float) -> float | None:
    """Return the largest lead angle at which the mouth catches an arriving cord, degrees.

    The centre-line comes in along a line that touches the pitch cylinder; on its way in it
    crosses the rim cylinder where it still has ``sqrt(rim^2 - pitch^2)`` to go in the mid-plane,
    and ``tan(lead)`` times that to go sideways: that must be within half the mouth.

    Args:
        rim_radius: radius of the rim, mm.
        pitch_radius: pitch radius, mm.
        mouth: width of the mouth, mm.

    Returns:
        The angle, or None where the centre-line lies at the rim or above it.
    """
    if pitch_radius >= rim_radius:
        return None
    to_go = math.sqrt(rim_radius**2 - pitch_radius**2)
    return math.degrees(math.atan2(mouth / 2.0, to_go))
