"""The kinds of grooves that pulleys have: where a cord seats in each, and what shape is cut.

Glossary: see ``groove_base``; *seat height* is the distance from the bottom to the centre-line of
the seated cord; the *foot* of a flank is where it begins above the bottom.

A new kind is a class here and its place in ``GROOVE_KINDS``. A groove with flanks has only to say
its three numbers (angle of the flanks, flat of the bottom, arc of the bottom): seat, wedge, mouth,
outline, gauge and words follow.
"""

from __future__ import annotations

import math
from typing import Any, ClassVar, Literal

from wheelgeo.geometry.groove_base import (
    EPSILON_MM,
    Contact,
    CutGroove,
    Floats,
    Groove,
    Growth,
    Number,
    Seat,
    catch_angle_deg,
    functions_for,
)  # fmt: skip
from wheelgeo.geometry.segments import Arc, Segment, chain
from wheelgeo.units.in_full import figures
from wheelgeo.units.keys import angle, gap, record, size

__all__ = [
    "GROOVE_KINDS", "Contact", "CutGroove", "FlatRim", "GivenPitch", "Groove", "Growth",
    "RoundGroove", "Seat", "SquareGroove", "SunkGroove", "VeeGroove", "WornGroove",
    "catch_angle_deg", "sharp_vee",
]  # fmt: skip


@record
class GivenPitch(Groove):
    """Only the pitch diameter is known, mm."""

    shape: ClassVar[str] = "pitch"
    size_name: ClassVar[Literal["rim", "pitch"]] = "pitch"
    can_be_cut: ClassVar[bool] = False
    ROUND_OVER_CORD: ClassVar[float] = 1.1
    """Width of a groove chosen for a cord, over the cord's diameter; common practice, no source."""

    pitch_mm: float = size("pitch diameter", '"178.2 mm"')

    def pitch_radius_mm(self, cord_mm: Number) -> Number:  # noqa: ARG002 - whatever the cord
        """Return half the pitch diameter, whatever the cord."""
        return 0.5 * self.pitch_mm

    def seat(self, cord_mm: float) -> Seat:  # noqa: ARG002 - whatever the cord
        """Return the pitch as it is given; what the cord touches is not known."""
        return Seat(0.5 * self.pitch_mm, "not known")

    def to_cut(self, cord_mm: float) -> CutGroove:
        """Return a round groove, a tenth wider, that holds the cord flush at exactly that pitch."""
        radius = 0.5 * self.ROUND_OVER_CORD * cord_mm
        return RoundGroove(self.pitch_mm + cord_mm, cord_mm, radius)


@record
class FlatRim(CutGroove):
    """A flat rim of ``width_mm``."""

    shape: ClassVar[str] = "flat"
    of_any_width: ClassVar[bool] = True
    lies_free: ClassVar[bool] = True

    width_mm: float = size("width of the flat rim", '"8 mm"', "linear", ask="face")

    @property
    def flat_mm(self) -> float:
        """Its width."""
        return self.width_mm

    @property
    def room(self) -> Growth | None:
        """The width of its face."""
        return Growth("face", self.width_mm, 20.0)

    @property
    def mouth_mm(self) -> float:
        """Its width."""
        return self.width_mm

    def in_width(self, width_mm: float) -> FlatRim:
        """Return the rim as wide as that."""
        return FlatRim(self.rim_mm, width_mm)

    def words(self) -> str:
        """Return its sizes for a sheet of the shop."""
        return f"flat rim {self.rim_mm:.6g} mm, {self.width_mm:.6g} mm wide"

    def pitch_radius_mm(self, cord_mm: Number) -> Number:
        """Return the radius at which a cord lies on the face."""
        return 0.5 * self.rim_mm + 0.5 * cord_mm

    def seat(self, cord_mm: float) -> Seat:
        """Seat a round cord of that diameter on the face; it has to be as wide as the cord."""
        rim, trouble = 0.5 * self.rim_mm, ""
        if cord_mm > self.width_mm + EPSILON_MM:
            trouble = f"the cord is {cord_mm:g} mm thick, the rim only {self.width_mm:g} mm wide"
        return Seat(self.pitch_radius_mm(cord_mm), "bottom", trouble, rim, rim)

    @classmethod
    def seat_sizes(cls) -> tuple[str, ...]:
        """Return the rim: the face is only wide enough, or not."""
        return ("rim",)

    def layered(self, core_mm: float) -> FlatRim:
        """Return a rim as wide as the core: it has no cheeks."""
        return FlatRim(self.rim_mm, core_mm)


UPRIGHT_DEG = 1e-9
"""Flanks at less than this to each other are parallel: over 100 mm of depth they part by less than
a picometre, and the seat's formula would divide by next to nothing."""


@record
class SunkGroove(CutGroove):
    """A groove below the rim: two straight flanks, rising from a flat bottom or from a round one.

    The kinds differ only in three numbers: the included angle, the width of a flat bottom, and the
    radius of a round one, which the flanks touch.
    """

    has_mouth: ClassVar[bool] = True

    depth_mm: float = size("depth of the groove", '"4 mm"', "linear")

    @property
    def deep_mm(self) -> float:
        """Its depth."""
        return self.depth_mm

    @property
    def mouth_mm(self) -> float:
        """Its width at the rim."""
        return float(2.0 * self._half_mouth_mm(Floats))

    def layered(self, core_mm: float) -> SquareGroove:
        """Return the square groove that a core disc between two cheeks makes of it."""
        return SquareGroove(self.rim_mm, self.depth_mm, core_mm)

    def foot_mm(self, m: Any = math) -> tuple[Number, Number]:
        """Return where a flank begins: aside of the mid-plane, and above the bottom."""
        half = self.flanks_deg * (math.pi / 360.0)
        aside = 0.5 * self.flat_mm + self.arc_mm * m.cos(half)
        return aside, self.arc_mm - self.arc_mm * m.sin(half)

    def _half_mouth_mm(self, m: Any) -> Number:
        aside, above = self.foot_mm(m)
        on_flank = aside + (self.depth_mm - above) * m.tan(self.flanks_deg * (math.pi / 360.0))
        # where the rim cuts the arc itself, the chord of the arc at that height
        on_arc = m.sqrt(m.maximum(self.depth_mm * (2.0 * self.arc_mm - self.depth_mm), 0.0))
        return m.where(self.depth_mm >= above, on_flank, on_arc)

    def words(self) -> str:
        """Return its shape and sizes for a sheet of the shop."""
        angle = f" {self.flanks_deg:.6g} deg" if self.flanks_deg else ""
        flat = f"{'flat bottom' if angle else 'width'} {self.flat_mm:.6g} mm"
        bottom = f"radius {self.arc_mm:.6g} mm" if self.arc_mm else flat
        sizes = f"rim {self.rim_mm:.6g} mm, depth {self.depth_mm:.6g} mm, {bottom}"
        return f"{self.shape} groove{angle}, {sizes}"

    def hollow(self, half_width_mm: float = math.inf) -> tuple[Segment, ...]:
        """Return the outline of the groove below the rim, from its right edge to its left one."""
        (foot, above), depth, arc = self.foot_mm(), self.depth_mm, self.arc_mm
        edge = 0.5 * self.mouth_mm
        aside, whole = min(edge, half_width_mm), edge <= half_width_mm
        if aside > foot:  # the flank is seen: straight from its foot to the edge
            seen = 1.0 if whole else (aside - foot) / (edge - foot)
            low = (foot, above - depth)
            right = [(aside, 0.0), (aside, (1.0 - seen) * (above - depth)), low]
        else:  # only the bottom is seen, below upright walls or up to where rim or face cuts it
            beside = math.sqrt(max(arc * arc - aside * aside, 0.0))
            cut = aside * aside / (arc + beside) if arc else 0.0
            low = (aside, min(0.0, (depth if whole and above > depth else cut) - depth))
            right = [(aside, 0.0), low]
        left = [(-x, y) for x, y in reversed(right)]
        if not arc:
            return chain(*right, *left)
        angle = math.degrees(math.atan2(arc - depth - low[1], low[0]))
        bottom = Arc((0.0, arc - depth), arc, -angle, angle - 180.0, counter_clockwise=False)
        return (*chain(*right[:-1], bottom.start), bottom, *chain(bottom.end, *left[1:]))

    def _between_flanks_mm(self, radius: Number, m: Any) -> Number:
        """Return the seat height of a cord of that radius between flanks without end.

        Source: a cord of radius r touches both flanks of a vee of included angle a and flat bottom
        b when its centre is r/sin(a/2) - (b/2)/tan(a/2) above the bottom (the measuring-wire
        formula; F. D. Jones, Turning and Boring, p. 88), and never lower than r. Over an arc the
        flank begins at its foot, which is as far aside and above the bottom as the arc takes it.
        Parallel flanks let a cord down to the bottom or not in at all: the height is infinite.
        """
        aside, above = self.foot_mm(m)
        upright = self.flanks_deg < UPRIGHT_DEG
        half = m.where(upright, 90.0, self.flanks_deg) * (math.pi / 360.0)
        leaning = m.maximum(above + radius / m.sin(half) - aside / m.tan(half), radius)
        fits = radius <= aside + EPSILON_MM
        return m.where(upright, m.where(fits, radius, math.inf), leaning)

    def _touches_mm(self, radius: Number, m: Any) -> Number:
        """Return how high above the bottom such a cord touches the flanks."""
        half = self.flanks_deg * (math.pi / 360.0)
        return self._between_flanks_mm(radius, m) - radius * m.sin(half)

    def _height_mm(self, radius: Number, m: Any) -> Number:
        """Return the seat height: between the flanks, or on the edges or the bottom between them.

        A cord that would touch the flanks above the rim meets the edges of the mouth instead; it
        still never sinks below the bottom of a groove that is shallower than the cord.
        """
        aside = self._half_mouth_mm(m)
        over = m.sqrt(m.maximum(radius * radius - aside * aside, 0.0))
        inside = self._touches_mm(radius, m) <= self.depth_mm + EPSILON_MM
        on_edges = m.maximum(self.depth_mm + over, radius)
        return m.where(inside, self._between_flanks_mm(radius, m), on_edges)

    def pitch_radius_mm(self, cord_mm: Number) -> Number:
        """Return the radius at which the centre-line of a round cord lies; floats or arrays."""
        height = self._height_mm(0.5 * cord_mm, functions_for(cord_mm, *self.sizes().values()))
        return 0.5 * self.rim_mm - self.depth_mm + height

    def seat(self, cord_mm: float) -> Seat:
        """Seat a round cord of that diameter.

        Returns:
            The seat. The wedge factor is 1/sin(half the angle) on the flanks, 1 over the cosine of
            the lean of the edges' forces on the edges (Khurmi & Gupta, Theory of Machines ch. 11,
            rope and vee drives; the edges likewise).
        """
        m, radius = functions_for(cord_mm, *self.sizes().values()), 0.5 * cord_mm
        rim, mouth, height = 0.5 * self.rim_mm, self.mouth_mm, self._height_mm(radius, m)
        bottom = rim - self.depth_mm
        pitch, touches = bottom + height, self._touches_mm(radius, m)
        if height > radius and touches > self.depth_mm + EPSILON_MM:
            wedge = 1.0 / math.sqrt(1.0 - (mouth / cord_mm) ** 2)
            trouble = self._trouble(cord_mm, touches)
            return Seat(pitch, "edges", trouble, rim, bottom, mouth, None, wedge)
        catch = catch_angle_deg(rim, pitch, mouth)
        if height > radius:
            wedge = 1.0 / math.sin(math.radians(self.flanks_deg) / 2.0)
            return Seat(pitch, "flanks", "", rim, bottom, mouth, catch, wedge)
        return Seat(pitch, "bottom", "", rim, bottom, mouth, catch)

    def _trouble(self, cord_mm: float, touches_mm: float) -> str:
        if math.isfinite(touches_mm):
            above = figures(touches_mm - self.depth_mm, 3)
            return f"it would touch the flanks {above} mm above the rim"
        kind, wide = ("round" if self.arc_mm else "square"), 2.0 * self.foot_mm()[0]
        return f"the cord is {cord_mm:g} mm thick, the {kind} groove {wide:g} mm wide"


@record
class LeaningGroove(SunkGroove):
    """A sunk groove whose flanks lean: a vee, sharp, flat-bottomed or worn."""

    @property
    def opening(self) -> Growth | None:
        """The included angle."""
        angle = float(self.flanks_deg)
        return Growth("angle", angle, 90.0 - angle, 1.0, 1)

    @property
    def room(self) -> Growth | None:
        """The depth."""
        return Growth("depth", self.depth_mm, 0.5 * self.rim_mm - self.depth_mm - 0.1)

    @property
    def sharpens_from_deg(self) -> float | None:
        """Its own angle: a vee cut anew holds the cord by its flanks again."""
        return float(self.flanks_deg)


@record
class VeeGroove(LeaningGroove):
    """A vee groove: flanks at ``angle_deg`` to each other above a flat bottom."""

    shape: ClassVar[str] = "vee"

    angle_deg: float = angle("included angle of the vee", "40", "angular")
    bottom_mm: float = gap("width of the vee's flat bottom", '"0 mm"', "linear", default=0.0)

    @property
    def flanks_deg(self) -> Number:
        """The included angle."""
        return self.angle_deg

    @property
    def flat_mm(self) -> Number:
        """Width of the flat bottom."""
        return self.bottom_mm

    def alike(self, cord_mm: float, vee_deg: float) -> RoundGroove | None:  # noqa: ARG002
        """Return a round groove for that cord, where the cord hangs between the flanks."""
        if self.seat(cord_mm).contact != "flanks":
            return None
        radius_mm = 0.5 * GivenPitch.ROUND_OVER_CORD * cord_mm
        return RoundGroove(self.rim_mm, self.depth_mm, radius_mm)


@record
class SquareGroove(SunkGroove):
    """A groove with parallel sides, ``core_mm`` apart: a core disc glued between two cheeks."""

    shape: ClassVar[str] = "square"

    core_mm: float

    @property
    def flat_mm(self) -> Number:
        """Thickness of the core."""
        return self.core_mm


@record
class RoundGroove(SunkGroove):
    """A groove with a round bottom of ``radius_mm``; deeper than that, its walls are straight."""

    shape: ClassVar[str] = "round"
    lies_free: ClassVar[bool] = True

    radius_mm: float = size("radius of the round groove", '"2 mm"', "linear")

    @property
    def arc_mm(self) -> Number:
        """Radius of the round bottom."""
        return self.radius_mm

    @property
    def opening(self) -> Growth | None:
        """The radius."""
        return Growth("radius", self.radius_mm, self.depth_mm)

    @property
    def room(self) -> Growth | None:
        """The radius, in finer steps."""
        return Growth("radius", self.radius_mm, 20.0, 0.05)

    @property
    def sharpens_from_deg(self) -> float | None:
        """The usual angle of a vee; common practice, no source."""
        return 41.0

    def alike(self, cord_mm: float, vee_deg: float) -> VeeGroove:  # noqa: ARG002
        """Return a sharp vee of that angle."""
        return VeeGroove(self.rim_mm, self.depth_mm, vee_deg)


@record
class WornGroove(LeaningGroove):
    """A vee whose bottom the cord has worn round: an arc of ``radius_mm`` between the flanks."""

    shape: ClassVar[str] = "worn"

    radius_mm: float = size(
        "radius of the worn bottom, half the thickest rod that still lies on it", '"2 mm"', "linear"
    )
    angle_deg: float = angle("included angle of the vee", "40", "angular")

    @property
    def flanks_deg(self) -> Number:
        """The included angle."""
        return self.angle_deg

    @property
    def arc_mm(self) -> Number:
        """Radius of the worn bottom."""
        return self.radius_mm


GROOVE_KINDS: tuple[type[Groove], ...] = (
    VeeGroove, RoundGroove, WornGroove, FlatRim, GivenPitch,
)  # fmt: skip
"""Every kind of groove that a design file may have; a layered pulley makes square ones too."""

def sharp_vee(pitch_mm: float, angle_deg: float, cord_mm: float) -> VeeGroove:
    """Return a sharp vee in which a cord runs at a pitch diameter, flush with the rim.

    Args:
        pitch_mm: the pitch diameter.
        angle_deg: the included angle of the vee.
        cord_mm: diameter of the cord.

    Returns:
        The vee in sizes that can be cut: depth in hundredths of a millimetre, rim in thousandths.
    """
    height = 0.5 * cord_mm / math.sin(math.radians(angle_deg) / 2.0)
    depth = round(height + 0.5 * cord_mm, 2)
    rim = round(pitch_mm + 2.0 * (depth - height), 3)
    return VeeGroove(rim, depth, round(angle_deg, 1), 0.0)
