"""The grooves of pulleys: where a cord seats in them, how they grip it, and what shape is cut.

Glossary: the *bottom* is the deepest part of the groove; the *flanks* are its straight sides; the
*mouth* is its opening at the rim, between two *edges*; *seat height* is the distance from the
bottom to the centre-line of the seated cord; the *catch angle* is the largest lead angle at which
an arriving cord's centre-line crosses the rim within the mouth; the *wedge factor* multiplies the
coefficient of friction.

A new kind of groove is a class here and its place in ``GROOVE_KINDS``. Every size of a groove may
be a numpy array instead of a float (one value a wheel): ``pitch_radius_mm`` is one formula for
both. The rest is for floats.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass, fields, replace
from typing import Any, ClassVar, Literal, NamedTuple, Self

from wheelgeo.geometry.segments import Arc, Segment, chain

EPSILON_MM = 1e-9
"""Two lengths closer than this are the same length, mm."""

Contact = Literal["flanks", "edges", "bottom", "not known"]
"""What of a groove a cord touches; the edges are those of the mouth."""

Number = Any
"""A float, or a numpy array of floats."""


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
        wedge: the wedge factor; 1 where nothing wedges the cord.
    """

    pitch_radius_mm: float
    contact: Contact
    trouble: str = ""
    rim_radius_mm: float | None = None
    bottom_radius_mm: float | None = None
    mouth_mm: float | None = None
    catch_deg: float | None = None
    wedge: float = 1.0

    @property
    def seated(self) -> bool:
        """Whether the cord gets in; otherwise it rides on the edges of the mouth."""
        return not self.trouble

    @property
    def pitch_diameter_mm(self) -> float:
        """Twice the pitch radius."""
        return 2.0 * self.pitch_radius_mm


class Growth(NamedTuple):
    """How a size of a groove may grow: by at most so much, in steps; mm or degrees.

    Attributes:
        number: what it is called among the numbers of its pulley.
        start: what it is.
        most: by how much it may grow.
        step: the least change worth making.
        digits: decimals that it is given with.
    """

    number: str
    start: float
    most: float
    step: float = 0.1
    digits: int = 2


@dataclass(frozen=True, slots=True)
class Groove(ABC):
    """What a pulley offers to a cord; lengths in mm, angles in degrees.

    Attributes:
        shape: its word in a design file and on a sheet.
        size_name: by which diameter a file gives its size.
        can_be_cut: whether a tool can make it as it is given.
        has_mouth: whether the cord lies in it, between two edges.
    """

    shape: ClassVar[str]
    size_name: ClassVar[Literal["rim", "pitch"]] = "rim"
    can_be_cut: ClassVar[bool] = True
    has_mouth: ClassVar[bool] = False

    @property
    def size_mm(self) -> float:
        """The diameter that a file names: of the rim, or of the pitch circle."""
        return self.sizes()[self.size_name]

    @abstractmethod
    def pitch_radius_mm(self, cord_mm: Number) -> Number:
        """Return the radius at which the centre-line of a round cord lies; floats or arrays."""

    @abstractmethod
    def seat(self, cord_mm: float) -> Seat:
        """Seat a round cord of that diameter."""

    @abstractmethod
    def to_cut(self, cord_mm: float) -> CutGroove:
        """Return the groove that is cut for the thickest cord that runs on the pulley."""

    @property
    def deep_mm(self) -> float:
        """How far below the rim its bottom lies; 0 where none is known."""
        return 0.0

    @property
    def opening(self) -> Growth | None:
        """The size that opens its mouth, or None."""
        return None

    @property
    def room(self) -> Growth | None:
        """The size that makes room for a thicker cord, or None."""
        return None

    @property
    def sharpens_from_deg(self) -> float | None:
        """The angle below which a vee in its place grips harder; None where none can be cut."""
        return None

    def sharp_vee(self, angle_deg: float, cord_mm: float) -> VeeGroove:
        """Return a sharp vee in which the cord lies flush with the rim, at the same pitch."""
        height = 0.5 * cord_mm / math.sin(math.radians(angle_deg) / 2.0)
        depth = round(height + 0.5 * cord_mm, 2)
        rim = self.seat(cord_mm).pitch_diameter_mm + 2.0 * (depth - height)
        return VeeGroove(round(rim, 3), depth, round(angle_deg, 1), 0.0)

    @classmethod
    def seat_sizes(cls) -> tuple[str, ...]:
        """Return the names of the sizes that a cord's seat hangs on."""
        return tuple(cls._names())

    def sizes(self) -> dict[str, float]:
        """Return its sizes by their names in a design file; lengths in mm, angles in degrees."""
        return {name: getattr(self, attribute) for name, attribute in self._names().items()}

    def put(self, **sizes: Number) -> Self:
        """Return the groove with other sizes, by their names; KeyError where it has none such."""
        names = self._names()
        return replace(self, **{names[name]: size for name, size in sizes.items()})

    @classmethod
    def _names(cls) -> dict[str, str]:
        return {field.name.rpartition("_")[0]: field.name for field in fields(cls)}

    def with_size(self, size_mm: float) -> Self:
        """Return the groove with its rim (or the pitch that is given) that large."""
        return self.put(**{self.size_name: size_mm})

    def with_pitch(self, pitch_mm: float, cord_mm: float) -> Self:
        """Return the groove in which a cord runs at that pitch diameter; only the rim changes."""
        return self.with_size(self.size_mm + pitch_mm - 2.0 * self.pitch_radius_mm(cord_mm))


@dataclass(frozen=True, slots=True)
class GivenPitch(Groove):
    """Only the pitch diameter is known, mm."""

    shape: ClassVar[str] = "pitch"
    size_name: ClassVar[Literal["rim", "pitch"]] = "pitch"
    can_be_cut: ClassVar[bool] = False
    ROUND_OVER_CORD: ClassVar[float] = 1.1
    """Width of a groove chosen for a cord, over the cord's diameter; common practice, no source."""

    pitch_mm: float

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


@dataclass(frozen=True, slots=True)
class CutGroove(Groove):
    """A groove that a tool can make: it has a rim."""

    rim_mm: float

    @property
    def flanks_deg(self) -> Number:
        """The included angle of the flanks; 0 where they are parallel."""
        return 0.0

    @property
    def flat_mm(self) -> Number:
        """Width of the flat that the bottom is; 0 where it is round or sharp."""
        return 0.0

    @property
    def arc_mm(self) -> Number:
        """Radius of the arc that the bottom is; 0 where it is flat or sharp."""
        return 0.0

    @property
    @abstractmethod
    def mouth_mm(self) -> float:
        """How wide it is at the rim."""

    @property
    def bottom_diameter_mm(self) -> float:
        """Diameter of the pulley at the bottom of the groove."""
        return self.rim_mm - 2.0 * self.deep_mm

    @abstractmethod
    def words(self) -> str:
        """Return its shape and sizes for a sheet of the shop."""

    def to_cut(self, cord_mm: float) -> CutGroove:  # noqa: ARG002 - it is known
        """Return the groove itself."""
        return self

    def hollow(self, half_width_mm: float = math.inf) -> tuple[Segment, ...]:  # noqa: ARG002
        """Return the outline of the groove below the rim, from its right edge to its left one.

        Args:
            half_width_mm: half the width of the pulley; a wider groove ends at the faces.

        Returns:
            Lines and true arcs; x from the mid-plane along the axis, y from the rim outward, so
            that the groove lies below 0. Nothing for a flat rim.
        """
        return ()

    def profile(self, half_width_mm: float) -> tuple[Segment, ...]:
        """Return the outside of a pulley from its right face to its left one; y from the axis.

        Args:
            half_width_mm: half the width of the pulley.
        """
        rim = 0.5 * self.rim_mm
        hollow = tuple(piece.moved(0.0, rim) for piece in self.hollow(half_width_mm))
        first, last = (half_width_mm, rim), (-half_width_mm, rim)
        if not hollow:
            return chain(first, last)
        return (*chain(first, hollow[0].start), *hollow, *chain(hollow[-1].end, last))

    def half_section(self, half_width_mm: float) -> tuple[Segment, ...]:
        """Return the closed half-section of a pulley of full material, from its axis outward."""
        half, rim = half_width_mm, 0.5 * self.rim_mm
        return (
            *chain((-half, rim), (-half, 0.0), (half, 0.0), (half, rim)), *self.profile(half)
        )  # fmt: skip

    def layered(self, core_mm: float) -> CutGroove:
        """Return what a core between two cheeks makes of it: a square groove, flanks parallel."""
        return SquareGroove(self.rim_mm, self.deep_mm, core_mm)


@dataclass(frozen=True, slots=True)
class FlatRim(CutGroove):
    """A flat rim of ``width_mm``."""

    shape: ClassVar[str] = "flat"

    width_mm: float

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

    def layered(self, core_mm: float) -> CutGroove:
        """Return a rim as wide as the core: it has no cheeks."""
        return FlatRim(self.rim_mm, core_mm)


@dataclass(frozen=True, slots=True)
class SunkGroove(CutGroove):
    """A groove below the rim: two straight flanks, rising from a flat bottom or from a round one.

    The kinds differ only in three numbers: the included angle, the width of a flat bottom, and the
    radius of a round one, which the flanks touch.
    """

    has_mouth: ClassVar[bool] = True

    depth_mm: float

    @property
    def deep_mm(self) -> float:
        """Its depth."""
        return self.depth_mm

    @property
    def mouth_mm(self) -> float:
        """Its width at the rim."""
        return float(2.0 * self._half_mouth_mm(_Floats))

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
            cut = aside * aside / (arc + math.sqrt(arc * arc - aside * aside)) if arc else 0.0
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
        if isinstance(self.flanks_deg, float | int) and self.flanks_deg == 0.0:
            return m.where(radius <= aside + EPSILON_MM, radius, math.inf)
        half = self.flanks_deg * (math.pi / 360.0)
        return m.maximum(above + radius / m.sin(half) - aside / m.tan(half), radius)

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
        height = self._height_mm(0.5 * cord_mm, self._mathematics(cord_mm))
        return 0.5 * self.rim_mm - self.depth_mm + height

    def seat(self, cord_mm: float) -> Seat:
        """Seat a round cord of that diameter.

        Returns:
            The seat. The wedge factor is 1/sin(half the angle) on the flanks, 1 over the cosine of
            the lean of the edges' forces on the edges (Khurmi & Gupta, Theory of Machines ch. 11,
            rope and vee drives; the edges likewise).
        """
        m, radius = self._mathematics(cord_mm), 0.5 * cord_mm
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
            return f"it would touch the flanks {touches_mm - self.depth_mm:.3g} mm above the rim"
        kind, wide = ("round" if self.arc_mm else "square"), 2.0 * self.foot_mm()[0]
        return f"the cord is {cord_mm:g} mm thick, the {kind} groove {wide:g} mm wide"

    def _mathematics(self, cord_mm: Number) -> Any:
        """Return numpy where any size is an array, and for floats alone the few functions of it."""
        if all(isinstance(n, float | int) for n in (cord_mm, *self.sizes().values())):
            return _Floats
        import numpy

        return numpy


class _Floats:
    """The functions of numpy that a seat takes, for floats; numpy itself is slow to import."""

    sin, cos, tan, sqrt = math.sin, math.cos, math.tan, math.sqrt
    maximum = max

    @staticmethod
    def where(condition: bool, then: float, otherwise: float) -> float:
        """Return one or the other."""
        return then if condition else otherwise


@dataclass(frozen=True, slots=True)
class VeeGroove(SunkGroove):
    """A vee groove: flanks at ``angle_deg`` to each other above a flat bottom."""

    shape: ClassVar[str] = "vee"

    angle_deg: float
    bottom_mm: float = 0.0

    @property
    def flanks_deg(self) -> Number:
        """The included angle."""
        return self.angle_deg

    @property
    def flat_mm(self) -> Number:
        """Width of the flat bottom."""
        return self.bottom_mm

    @property
    def opening(self) -> Growth | None:
        """The included angle."""
        return Growth("angle", self.angle_deg, 90.0 - self.angle_deg, 1.0, 1)

    @property
    def room(self) -> Growth | None:
        """The depth."""
        return Growth("depth", self.depth_mm, 0.5 * self.rim_mm - self.depth_mm - 0.1)

    @property
    def sharpens_from_deg(self) -> float | None:
        """Its own angle."""
        return self.angle_deg


@dataclass(frozen=True, slots=True)
class SquareGroove(SunkGroove):
    """A groove with parallel sides, ``core_mm`` apart: a core disc glued between two cheeks."""

    shape: ClassVar[str] = "square"

    core_mm: float

    @property
    def flat_mm(self) -> Number:
        """Thickness of the core."""
        return self.core_mm


@dataclass(frozen=True, slots=True)
class RoundGroove(SunkGroove):
    """A groove with a round bottom of ``radius_mm``; deeper than that, its walls are straight."""

    shape: ClassVar[str] = "round"

    radius_mm: float

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


GROOVE_KINDS: tuple[type[Groove], ...] = (VeeGroove, RoundGroove, FlatRim, GivenPitch)
"""Every kind of groove that a design file may have; a layered pulley makes square ones too."""


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
