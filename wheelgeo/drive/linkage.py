"""The treadle as what it is: a four-bar linkage of crank, footman, lever and ground.

Glossary: the *crank* turns about the wheel's axle; the *footman* joins its pin to the *lever*, the
treadle's arm, which rocks about the *pivot*; the line from axle to pivot is the *ground*. At a
*dead point* crank and footman lie in one line: no force of the foot turns the wheel there. The
*transmission angle* stands between footman and lever; 90 degrees pushes best.

Everything lies in the plane of the crank, millimetres, the axle at the origin; angles are
counter-clockwise from x. Sources: J. E. Shigley & J. J. Uicker, Theory of Machines and Mechanisms,
four-bar linkage, Grashof's law, transmission angle; from memory. Each formula is derived here.
"""

from __future__ import annotations

import math
from functools import cached_property
from typing import Literal

from wheelgeo.errors import ShapeError
from wheelgeo.immutable import dataclass

Point2 = tuple[float, float]


@dataclass(frozen=True)
class Linkage:
    """A treadle's linkage.

    Attributes:
        crank_mm: throw of the crank.
        footman_mm: length of the footman, pin to pin.
        lever_mm: from the pivot to the footman's lower pin.
        pivot_mm: the treadle's pivot, from the axle.
        side: on which side of the line from axle to pivot the lower pin stands: 1 on its left.
        foot_mm: from the pivot to the middle of the foot.
        foot_deg: direction of the foot from the pivot, less that of the lower pin, degrees.

    Raises:
        ShapeError: a length is not positive, or the crank cannot turn fully; says by how much.
    """

    crank_mm: float
    footman_mm: float
    lever_mm: float
    pivot_mm: Point2
    side: Literal[1, -1]
    foot_mm: float
    foot_deg: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what cannot turn."""
        lengths = (self.crank_mm, self.footman_mm, self.lever_mm, self.foot_mm, self.ground_mm)
        if not all(0.0 < length < math.inf for length in lengths):
            raise ShapeError("crank, footman, lever, ground and foot's distance are above 0")
        # The crank's pin comes as near to the pivot as d - r and goes as far as d + r; footman and
        # lever must make a triangle with both.
        near, far = abs(self.ground_mm - self.crank_mm), self.ground_mm + self.crank_mm
        long, short = self.footman_mm + self.lever_mm, abs(self.footman_mm - self.lever_mm)
        # A hair's breadth from stretched out, rounding would have no triangle any more.
        hair = 1e-9 * long
        if far >= long - hair:
            raise ShapeError(f"footman and lever are {far - long:.4g} mm too short for the crank")
        if near <= short + hair:
            raise ShapeError(f"the crank comes {short - near:.4g} mm too near to the pivot")

    @property
    def ground_mm(self) -> float:
        """From the axle to the pivot, mm."""
        return math.hypot(*self.pivot_mm)

    def lower_pin_mm(self, crank_deg: float) -> Point2:
        """Return where the footman meets the lever, mm."""
        (px, py), (gx, gy) = self._pin(crank_deg), self.pivot_mm
        dx, dy = gx - px, gy - py
        apart = math.hypot(dx, dy)
        # Two circles meet: along the line between their centres, then aside from it.
        along = (apart**2 + self.footman_mm**2 - self.lever_mm**2) / (2.0 * apart)
        aside = self.side * math.sqrt(self.footman_mm**2 - along**2)
        ux, uy = dx / apart, dy / apart
        return (px + along * ux - aside * uy, py + along * uy + aside * ux)

    def lever_deg(self, crank_deg: float) -> float:
        """Return the direction of the lever from its pivot, -180 to 180 degrees."""
        (x, y), (gx, gy) = self.lower_pin_mm(crank_deg), self.pivot_mm
        return math.degrees(math.atan2(y - gy, x - gx))

    def velocity_ratio(self, crank_deg: float) -> float:
        """Return how fast the lever turns, over how fast the crank turns; signed.

        The footman keeps its length: the ends' speeds along it are equal.
        """
        (px, py), (qx, qy), (gx, gy) = (
            self._pin(crank_deg), self.lower_pin_mm(crank_deg), self.pivot_mm,
        )  # fmt: skip
        ex, ey = qx - px, qy - py
        crank = -ex * py + ey * px  # speed of the crank's pin at one radian a second, along it
        lever = -ex * (qy - gy) + ey * (qx - gx)
        return crank / lever

    def transmission_deg(self, crank_deg: float) -> float:
        """Return the angle between footman and lever, 0 to 90 degrees."""
        (px, py), (gx, gy) = self._pin(crank_deg), self.pivot_mm
        apart2 = (gx - px) ** 2 + (gy - py) ** 2
        cosine = (self.footman_mm**2 + self.lever_mm**2 - apart2) / (
            2.0 * self.footman_mm * self.lever_mm
        )
        return math.degrees(math.acos(abs(cosine)))

    @cached_property
    def least_transmission_deg(self) -> float:
        """Its least value in a turn: the crank lies along the ground then, either way."""
        ground = self._ground_deg
        return min(self.transmission_deg(ground), self.transmission_deg(ground + 180.0))

    @cached_property
    def dead_points_deg(self) -> tuple[float, float]:
        """Crank angles at which crank and footman are in line: stretched out, then folded."""
        stretched, folded = (self._end(self.footman_mm + sign * self.crank_mm) for sign in (1, -1))
        return (stretched % 360.0, (folded + 180.0) % 360.0)

    @cached_property
    def swing_deg(self) -> float:
        """Angle through which the lever rocks, degrees."""
        ends = []
        for reach in (self.footman_mm + self.crank_mm, self.footman_mm - self.crank_mm):
            # The lower pin is ``reach`` from the axle: angle at the pivot of a triangle.
            cosine = (self.ground_mm**2 + self.lever_mm**2 - reach**2) / (
                2.0 * self.ground_mm * self.lever_mm
            )
            ends.append(math.degrees(math.acos(cosine)))
        return abs(ends[0] - ends[1])

    @property
    def foot_stroke_mm(self) -> float:
        """Way of the foot from one end to the other, along its arc, mm."""
        return self.foot_mm * math.radians(self.swing_deg)

    def foot_at_mm(self, crank_deg: float) -> Point2:
        """Return where the foot is, mm."""
        turn = math.radians(self.lever_deg(crank_deg) + self.foot_deg)
        gx, gy = self.pivot_mm
        return (gx + self.foot_mm * math.cos(turn), gy + self.foot_mm * math.sin(turn))

    @property
    def foot_lift_mm(self) -> float:
        """Height of the foot's highest place over its lowest, both at the dead points, mm.

        A foot whose lever passes through the upright is higher in between: it is no treadle.
        """
        heights = [self.foot_at_mm(angle)[1] for angle in self.dead_points_deg]
        return abs(heights[0] - heights[1])

    def foot_arm_mm(self, crank_deg: float) -> float:
        """Return the way of the foot for each radian of the crank: torque over the foot's force.

        The foot presses square to its arm. Positive where the foot moves counter-clockwise while
        the crank does. By virtual work, torque times crank angle is force times way.
        """
        return self.velocity_ratio(crank_deg) * self.foot_mm

    @property
    def _ground_deg(self) -> float:
        return math.degrees(math.atan2(self.pivot_mm[1], self.pivot_mm[0]))

    def _pin(self, crank_deg: float) -> Point2:
        turn = math.radians(crank_deg)
        return (self.crank_mm * math.cos(turn), self.crank_mm * math.sin(turn))

    def _end(self, reach_mm: float) -> float:
        """Return the direction of the lower pin from the axle when it is so far away, degrees."""
        cosine = (self.ground_mm**2 + reach_mm**2 - self.lever_mm**2) / (
            2.0 * self.ground_mm * reach_mm
        )
        # Seen from axle to pivot, side 1 is the left: the pin's direction turns that way.
        return self._ground_deg + self.side * math.degrees(math.acos(cosine))
