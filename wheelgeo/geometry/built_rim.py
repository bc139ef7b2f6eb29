"""Rims of wheels built up from pieces: mitred segments in layers, spokes between hub and rim.

Glossary: a *segment* is one of n equal pieces of a ring, sawn from a board and joined end to end;
each end is cut at the *mitre angle* to the line square to the board. A *layer* is one such ring;
the joints of the next layer stand half a segment further, so that no joint lies on another.
Lengths are mm, angles degrees; the grain of each segment runs along its length.
"""

from __future__ import annotations

import math

from wheelgeo.errors import ShapeError
from wheelgeo.immutable import dataclass

Point2 = tuple[float, float]


@dataclass(frozen=True)
class SegmentedRing:
    """A ring of equal segments.

    Attributes:
        outer_mm: diameter that is turned outside.
        inner_mm: diameter that is turned inside.
        count: segments in a layer.
        layers: how many layers are glued on one another.
        spare_mm: wood left for turning, on the radius outside and inside alike.

    Raises:
        ShapeError: fewer than three segments, or no ring.
    """

    outer_mm: float
    inner_mm: float
    count: int
    layers: int = 1
    spare_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what is no ring."""
        if self.count < 3 or self.layers < 1:
            raise ShapeError(f"{self.count} segments in {self.layers} layers make no ring")
        if not (0.0 < self.inner_mm < self.outer_mm < math.inf and 0.0 <= self.spare_mm < math.inf):
            raise ShapeError(f"no ring lies between {self.inner_mm:g} and {self.outer_mm:g} mm")
        if self.inner_mm <= 2.0 * self.spare_mm:
            raise ShapeError(f"{self.spare_mm:g} mm to turn away inside leave no opening")

    @property
    def mitre_deg(self) -> float:
        """Angle of each end to the line square to the board: half of a segment's share."""
        return 180.0 / self.count

    @property
    def outer_radius_mm(self) -> float:
        """Radius outside before turning, mm."""
        return self.outer_mm / 2.0 + self.spare_mm

    @property
    def inner_radius_mm(self) -> float:
        """Radius inside before turning, mm."""
        return self.inner_mm / 2.0 - self.spare_mm

    @property
    def long_edge_mm(self) -> float:
        """Outer edge of a trapezium that holds the segment: it touches the outer circle, mm."""
        return 2.0 * self.outer_radius_mm * self._tangent

    @property
    def board_width_mm(self) -> float:
        """Width of board for straight trapeziums: from the outer tangent to the inner corners, mm.

        The outer circle touches the long edge in its middle. The inner circle comes lowest where
        it meets the mitres, r cos(mitre) from the wheel's middle: the short edge lies there.
        """
        return self.outer_radius_mm - self.inner_radius_mm * self._cosine

    @property
    def short_edge_mm(self) -> float:
        """Inner edge of that trapezium, mm."""
        return 2.0 * self.inner_radius_mm * self._sine

    @property
    def chord_mm(self) -> float:
        """Straight distance between the outer ends of a curved segment, mm."""
        return 2.0 * self.outer_radius_mm * self._sine

    @property
    def arc_mm(self) -> float:
        """Length of the outer arc of a segment, mm."""
        return 2.0 * math.pi * self.outer_radius_mm / self.count

    @property
    def ring_area_mm2(self) -> float:
        """Area of the finished ring in one layer, mm2."""
        return math.pi / 4.0 * (self.outer_mm**2 - self.inner_mm**2)

    @property
    def trapezium_area_mm2(self) -> float:
        """Area of one trapezium, mm2."""
        return 0.5 * (self.long_edge_mm + self.short_edge_mm) * self.board_width_mm

    @property
    def waste(self) -> float:
        """Part of the trapeziums' wood that is turned away, without kerfs."""
        return 1.0 - self.ring_area_mm2 / (self.count * self.trapezium_area_mm2)

    def outline_mm(self) -> tuple[Point2, Point2, Point2, Point2]:
        """Return the corners of one trapezium, the wheel's middle at the origin, x along it."""
        low, high = self.inner_radius_mm * self._cosine, self.outer_radius_mm
        short, long = 0.5 * self.short_edge_mm, 0.5 * self.long_edge_mm
        return ((-short, low), (short, low), (long, high), (-long, high))

    @property
    def _turn(self) -> float:
        return math.pi / self.count

    @property
    def _tangent(self) -> float:
        return math.tan(self._turn)

    @property
    def _cosine(self) -> float:
        return math.cos(self._turn)

    @property
    def _sine(self) -> float:
        return math.sin(self._turn)


def least_segments(outer_mm: float, inner_mm: float, board_mm: float, spare_mm: float = 0.0) -> int:
    """Return the fewest segments that come out of a board of some width.

    Args:
        outer_mm: diameter of the rim outside.
        inner_mm: inside.
        board_mm: width of the board.
        spare_mm: as of ``SegmentedRing``.

    Raises:
        ShapeError: the board is narrower than the rim itself: no number is enough.
    """
    rim = (outer_mm - inner_mm) / 2.0 + 2.0 * spare_mm
    if board_mm <= rim:
        raise ShapeError(f"a board of {board_mm:g} mm is no wider than the rim's {rim:g} mm")
    ring = SegmentedRing(outer_mm, inner_mm, 3, spare_mm=spare_mm)
    # The width needed is R - r cos(pi/n); solved for n, and rounded up.
    cosine = (ring.outer_radius_mm - board_mm) / ring.inner_radius_mm
    if cosine <= 0.5:  # three segments have cos 60 degrees
        return 3
    return math.ceil(math.pi / math.acos(cosine) - 1e-9)


@dataclass(frozen=True)
class Spoke:
    """One spoke.

    Attributes:
        direction_deg: from the wheel's middle.
        length_mm: with both tenons.
        shoulder_mm: between the shoulders, from hub to rim.
        dish_deg: lean of the spoke out of the wheel's plane.
    """

    direction_deg: float
    length_mm: float
    shoulder_mm: float
    dish_deg: float


def spokes(
    count: int,
    hub_mm: float,
    rim_inner_mm: float,
    hub_tenon_mm: float,
    rim_tenon_mm: float,
    dish_mm: float = 0.0,
    segments: int | None = None,
) -> tuple[Spoke, ...]:
    """Return the spokes of a wheel.

    Args:
        count: how many.
        hub_mm: diameter of the hub where they stand.
        rim_inner_mm: diameter of the rim inside.
        hub_tenon_mm: length of the tenon in the hub.
        rim_tenon_mm: in the rim.
        dish_mm: how far the rim's plane stands from the hub's, along the axle.
        segments: segments of the rim's layers, where it is built so: the first spoke then stands
            midway between the joints of both layers, and none may stand at a joint.

    Raises:
        ShapeError: fewer than two spokes, no room between hub and rim, tenons that meet in the
            hub, or a spoke at a joint.
    """
    gap = (rim_inner_mm - hub_mm) / 2.0
    if count < 2 or gap <= 0.0:
        raise ShapeError(f"{count} spokes over {gap:g} mm between hub and rim make no wheel")
    if hub_tenon_mm >= hub_mm / 2.0:
        raise ShapeError(f"tenons of {hub_tenon_mm:g} mm meet in a hub of {hub_mm:g} mm")
    shoulder = math.hypot(gap, dish_mm)
    # A quarter of a segment from either layer's joints: layers are turned by half a segment.
    first = 0.0 if segments is None else 90.0 / segments
    directions = [first + 360.0 * i / count for i in range(count)]
    if segments is not None:
        joint = 180.0 / segments
        near = [d for d in directions if min(d % joint, joint - d % joint) < 1e-9]
        if near:
            raise ShapeError(f"the spoke at {near[0]:g} degrees stands at a joint of the rim")
    dish = math.degrees(math.atan2(dish_mm, gap))
    whole = hub_tenon_mm + shoulder + rim_tenon_mm
    return tuple(Spoke(direction % 360.0, whole, shoulder, dish) for direction in directions)
