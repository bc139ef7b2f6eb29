"""The treadle as built: its lengths, what the file leaves out told, and its bodies as cut.

Lever, footman and pivot lie in the plane of the crank, seen with the driven shaft's axis towards
the viewer: x to the right, y up, the axle at the origin. The board is hinged, and the footman tied,
by leather on its upper face, so the pivot and the footman's lower pin lie in that face. Sizes that
the file does not give are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Literal

from wheelgeo.built.assumed import Assumption
from wheelgeo.built.body import BuiltBody, board, rectangle
from wheelgeo.built.held import CRANK_MM
from wheelgeo.built.table import UP, WOOD
from wheelgeo.design.materials import PRACTICE
from wheelgeo.design.model import Treadle
from wheelgeo.geometry.vectors import Vector, along, cross, dot, scale, unit
from wheelgeo.immutable import dataclass

if TYPE_CHECKING:
    from wheelgeo.built.as_built import Built
    from wheelgeo.built.stand import Ground

LEVER_THROWS, BELOW_THROWS, LEAST_BELOW_THROWS = 5.0, 8.0, 3.0
"""Lever and drop that are taken where the file is silent, in throws of the crank; with these a
crank turns fully whatever the height of the axle."""
FOOTMAN_MM = 10.0
FOOTMAN_HALF_MM, FOOTMAN_POINT_MM = 8.0, 4.0
"""Half its width, and how much its lower end is pointed, so that the treadle rocks under it."""
TREADLE_MM = 12.0
TREADLE_WIDE_MM = 120.0
TREADLE_END_MM = 40.0
"""The board reaches so far beyond foot and footman."""
TREADLE_HEIGHT_MM = 40.0
"""Upper side of the treadle when the crank hangs at its lowest."""
HINGE_ROOM_MM = 1.0
"""Between the rail and the treadle's lower edge, which swings towards it as the crank hangs."""


@dataclass(frozen=True)
class TreadleLengths:
    """The lengths of a treadle, nothing left out.

    Attributes:
        throw_mm: of the crank.
        lever_mm: from the pivot to the footman's lower pin.
        pivot_mm: the pivot, from the axle: to the right and up.
        footman_mm: pin to pin.
        foot_mm: from the pivot to the middle of the foot.
        assumed: what the file does not say.
    """

    throw_mm: float
    lever_mm: float
    pivot_mm: tuple[float, float]
    footman_mm: float
    foot_mm: float
    assumed: tuple[Assumption, ...]

    @property
    def side(self) -> Literal[1, -1]:
        """On which side of the line from axle to pivot the lower pin is: 1 on its left."""
        return -1 if self.pivot_mm[0] > 0.0 else 1

    def hanging_pin_mm(self) -> tuple[float, float] | None:
        """Return the lower pin when the crank hangs, from the axle; None: lever and footman part.

        It is where the circle of the footman round the crank's pin meets that of the lever.
        """
        dx, dy = self.pivot_mm[0], self.pivot_mm[1] + self.throw_mm
        apart = math.hypot(dx, dy)
        if apart == 0.0:
            return None
        on = (apart**2 + self.footman_mm**2 - self.lever_mm**2) / (2.0 * apart)
        aside2 = self.footman_mm**2 - on**2
        if aside2 < 0.0:
            return None
        ux, uy, aside = dx / apart, dy / apart, self.side * math.sqrt(aside2)
        return on * ux - aside * uy, -self.throw_mm + on * uy + aside * ux


def treadle_lengths(built: Built) -> TreadleLengths | None:
    """Return the lengths of a treadle; None where there is none, or the throw is not known."""
    drive = built.design.drive
    if drive.by != "treadle" or drive.radius_mm is None:
        return None
    given, throw = drive.treadle or Treadle(), drive.radius_mm
    # The lever is level when the crank's pin is at mid-way: as far below the axle as the footman is
    # long, and a throw lower, at the treadle's usual height, when the crank hangs.
    drop = built.design.shaft(drive.shaft).at_mm[2] - throw - TREADLE_HEIGHT_MM
    stands = drop >= (LEAST_BELOW_THROWS - 1.0) * throw
    assumed: list[Assumption] = []

    def taken(value: float | None, what: str, usual: float, why: str) -> float:
        if value is None:
            assumed.append(Assumption(what, f"{usual:.4g} mm", why))
        return usual if value is None else value

    lever = taken(given.lever_mm, "lever of the treadle", LEVER_THROWS * throw, PRACTICE)
    across = taken(
        given.pivot_across_mm, "pivot of the treadle, across from the axle", lever,
        "so that the footman hangs below the axle",
    )  # fmt: skip
    below = taken(
        given.pivot_below_mm, "pivot of the treadle, below the axle",
        drop if stands else BELOW_THROWS * throw,
        "so that the treadle comes down to just above the floor" if stands else PRACTICE,
    )  # fmt: skip
    footman = taken(
        given.footman_mm, "footman", level_footman_mm(lever, (across, -below)),
        "the lever is level when the crank's pin is at mid-way",
    )
    foot = taken(given.foot_mm, "foot, from the pivot", lever, "over the footman's pin")
    return TreadleLengths(throw, lever, (across, -below), footman, foot, tuple(assumed))


def level_footman_mm(lever_mm: float, pivot_mm: tuple[float, float]) -> float:
    """Return the footman, mm, with which a lever is level when the crank's pin is at mid-way.

    Args:
        lever_mm: from the pivot to the footman's lower pin.
        pivot_mm: the pivot, from the axle: to the right and up.
    """
    return math.hypot(abs(pivot_mm[0]) - lever_mm, pivot_mm[1])


@dataclass(frozen=True)
class HingeAt:
    """Where the treadle is hinged, in the axes of the stand.

    Attributes:
        across_mm: the face of the rail, across the axle from its ``at``.
        out: which way the rail lies from there, +1 or -1 across the axle.
        along_mm: the two ends of the rail along the axle.
        top_mm: height of its upper edge over the floor.
    """

    across_mm: float
    out: float
    along_mm: tuple[float, float]
    top_mm: float


def hinge_at(built: Built, plane: float) -> HingeAt | None:
    """Return where the treadle is hinged; None where it is on the floor itself, or there is none.

    Args:
        built: the wheel.
        plane: where the crank turns along the driven shaft, mm.
    """
    lengths = treadle_lengths(built)
    if lengths is None or lengths.hanging_pin_mm() is None:
        return None
    (x, y), height = lengths.pivot_mm, built.design.shaft(built.design.drive.shaft).at_mm[2]
    if height + y <= TREADLE_MM:
        return None
    out = 1.0 if x > 0.0 else -1.0
    return HingeAt(x, out, _board_along_mm(built, plane), height + y)


def treadle_bodies(built: Built, ground: Ground, plane: float) -> Iterator[BuiltBody]:
    """Yield the footman, from the crank at its lowest, and the treadle; none where they part.

    Args:
        built: the wheel; a treadle drives it.
        ground: axes of its stand.
        plane: where the crank turns along the driven shaft, mm.
    """
    from wheelgeo.built.crank_arm import ARM_HALF_MM, out_of_crank

    lengths = treadle_lengths(built)
    lower = None if lengths is None else lengths.hanging_pin_mm()
    if lengths is None or lower is None:
        return
    out = out_of_crank(built)
    hole = 0.5 * min(built.design.shop.knob_hole_mm, ARM_HALF_MM)
    axle = built.design.shaft(built.design.drive.shaft)

    def at(across: float, up: float, ahead: float) -> Vector:
        flat = along(along(axle.at_mm, axle.axis, ahead), ground.side, across)
        return along(flat, UP, up)

    def way(across: float, up: float) -> Vector:
        return along(scale(ground.side, across), UP, up)

    long = lengths.footman_mm
    ux, uy = -lower[0] / long, (-lengths.throw_mm - lower[1]) / long
    low, high = sorted((0.0, out * FOOTMAN_MM))
    half, point = FOOTMAN_HALF_MM, FOOTMAN_POINT_MM
    yield board(
        "footman", "footman", at(0.0, -lengths.throw_mm, _near(built, plane)), way(uy, -ux),
        way(ux, uy), ((-half, point - long), (0.0, -long), (half, point - long), (half, 12.0),
                      (-half, 12.0)),
        low, high, WOOD, holes=(((0.0, 0.0), hole + 0.1),), part=axle.name,
        parts=(((-half, point - long), (half, 12.0)),),
        fits_in=("knob", "treadle"), key="drive.offset",
    )  # fmt: skip
    x, y = lengths.pivot_mm
    along_lever = way((lower[0] - x) / lengths.lever_mm, (lower[1] - y) / lengths.lever_mm)
    # its y runs along the axle or against it, so that its upper face is up
    y_axis, edges = unit(cross(UP, along_lever)), _board_along_mm(built, plane)
    if dot(y_axis, axle.axis) < 0.0:
        edges = (-edges[1], -edges[0])
    end = max(lengths.lever_mm, lengths.foot_mm) + TREADLE_END_MM
    yield board(
        "treadle", "treadle", at(x, y, 0.0), along_lever, y_axis,
        rectangle(_gap_mm(lengths, lower), edges[0], end, edges[1]), -TREADLE_MM, 0.0, WOOD,
        part=axle.name, fits_in=("footman", "hinge rail"), key="drive.offset",
    )  # fmt: skip


def _gap_mm(lengths: TreadleLengths, lower: tuple[float, float]) -> float:
    """Return the gap from the rail to the treadle's upper edge, as it lies when the crank hangs.

    The lower edge leans a board's thickness times the slope of the lever towards the rail.
    """
    x, y = lengths.pivot_mm
    slope = (y - lower[1]) / max(abs(lower[0] - x), 1.0)
    return math.ceil(TREADLE_MM * max(slope, 0.0) + HINGE_ROOM_MM)


def hinge_rail(ground: Ground, at: HingeAt, outer_mm: float, joined: tuple[str, ...]) -> BuiltBody:
    """Return the rail on the floor that the treadle is hinged on.

    Args:
        ground: axes of the stand.
        at: where the treadle is hinged.
        outer_mm: its face away from the treadle, across the axle.
        joined: names of the bodies that it is fixed to.
    """
    low, high = sorted((-at.across_mm, -outer_mm))  # its thickness runs against ``side``
    (z0, z1) = at.along_mm
    return board(
        "hinge rail", "hinge rail", ground.at(0.0, 0.0, 0.0), ground.axis, UP,
        rectangle(z0, 0.0, z1, at.top_mm), low, high, WOOD, fits_in=("treadle", *joined),
        key="drive.offset",
    )  # fmt: skip


def _near(built: Built, plane: float) -> float:
    """Return the footman's face that is nearer to the crank, along the driven shaft, mm."""
    from wheelgeo.built.crank_arm import out_of_crank

    return plane + out_of_crank(built) * (0.5 * CRANK_MM + 1.0)


def _board_along_mm(built: Built, plane: float) -> tuple[float, float]:
    """Return the two edges of the treadle along the driven shaft, mm."""
    from wheelgeo.built.crank_arm import out_of_crank

    near, out = _near(built, plane), out_of_crank(built)
    low, high = sorted((near - out * 2.0, near + out * (TREADLE_WIDE_MM - 2.0)))
    return low, high
