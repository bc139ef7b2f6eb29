"""Where the shafts of a brief's wheel may stand, in plan; arrays of millimetres.

The rules are those of ``layout``: the wheel stands at the left end on the middle line; all parts
keep the layout's gap from each other and from the walls. Distances between the parts are held
here; whatever else can go wrong is left to the findings.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from wheelgeo.immutable import dataclass
from wheelgeo.tune.brief import Brief
from wheelgeo.tune.wheel_from_choice import apart_mm, cop_radius_mm, main_stands_mm

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Point = tuple[float, float]


@dataclass(frozen=True)
class Plan:
    """A brief's case seen from above.

    Attributes:
        brief: the brief.
        gap: least gap between parts, mm.
        cop: radius of the thickest thing on the spindle beside the whorl, mm.
        x: where shafts may stand along the case, mm.
        y: where shafts may stand across it, mm.
    """

    brief: Brief
    gap: float
    cop: float
    x: Array
    y: Array

    @property
    def width(self) -> float:
        """The case along x, mm."""
        return self.brief.inside_mm[0]

    @property
    def depth(self) -> float:
        """The case along y, mm."""
        return self.brief.inside_mm[1]

    @property
    def horizontal(self) -> bool:
        """Whether the spindle lies level over flat discs."""
        return self.brief.lies == "horizontal"

    def main(self, wheel_rim: float) -> Point | None:
        """Return where the wheel stands; None where it does not fit the case.

        On the line of the grid that is nearest to the middle.
        """
        x, step = main_stands_mm(self.brief, wheel_rim), self.brief.sizes.place_mm
        y = step * round(self.depth / (2.0 * step))
        room = min(y, self.depth - y, self.width - x)
        return None if wheel_rim / 2.0 + self.gap > room + 1e-9 else (x, y)

    def middle(self, main: Point, wheel: float, hub: float, accelerator: float) -> Flags:
        """Return where the middle shaft may stand, shape (x, y), for radii of rims in mm."""
        x, y = self.x[:, None], self.y[None, :]
        reach = max(hub, accelerator) + self.gap
        good = (x >= reach) & (x <= self.width - reach) & (y >= reach) & (y <= self.depth - reach)
        apart = np.hypot(x - main[0], y - main[1])
        rod = self.brief.rods.main / 2.0
        return good & (apart >= max(wheel + hub, accelerator + rod) + self.gap)

    def around_middle(self, main: Point, wheel: float, hub: float, accelerator: Array) -> Array:
        """Return rectangles that hold every place for the middle shaft, for radii of rims in mm.

        Args:
            main: where the main shaft stands.
            wheel: radius of the wheel's rim.
            hub: of the hub's.
            accelerator: of the accelerators', shape (discs,).

        Returns:
            Lowest x, highest x, lowest y, highest y, shape (4, discs); NaN where no place is left.
        """
        reach = (np.maximum(hub, accelerator) + self.gap)[:, None]
        least = np.maximum(wheel + hub, accelerator + self.brief.rods.main / 2.0) + self.gap
        across = self.y[None, :] - main[1]
        half = np.sqrt(np.maximum(least[:, None] ** 2 - across**2, 0.0))
        low, high = self.x[0], self.x[-1]
        low, high = np.maximum(low, reach), np.minimum(high, self.width - reach)
        left, right = main[0] - half, main[0] + half
        good = (self.y >= reach) & (self.y <= self.depth - reach) & (low <= high)
        good &= (low <= left) | (right <= high)
        sides = [
            np.where(good, np.where(low <= left, low, right), np.nan),
            np.where(good, np.where(right <= high, high, left), np.nan),
            np.where(good, self.y[None, :], np.nan),
        ]
        some = good.any(axis=1)
        found = np.full((4, len(accelerator)), np.nan)
        for k, (side, end) in enumerate(
            ((0, np.nanmin), (1, np.nanmax), (2, np.nanmin), (2, np.nanmax))
        ):
            found[k, some] = end(sides[side][some], axis=1)
        return found

    def spindle_flat(self, main: Point, wheel: float, whorl: float) -> Flags:
        """Return where a flat spindle may stand, shape (x, y), for radii of rims in mm."""
        x, y = self.x[:, None], self.y[None, :]
        reach = max(whorl, self.cop) + self.gap
        good = (x >= reach) & (x <= self.width - reach) & (y >= reach) & (y <= self.depth - reach)
        return good & (np.hypot(x - main[0], y - main[1]) >= self._clear_of_wheel(wheel, whorl))

    def _clear_of_wheel(self, wheel: float, whorl: float) -> float:
        """Return how far a flat spindle keeps from the main shaft: clear of wheel and hand."""
        hand = self.brief.crank_mm + self.brief.limit("knuckle_room_mm") + self.cop
        own = whorl if self.brief.stages == 1 else self.brief.rods.spindle / 2.0
        return max(wheel + own + self.gap, hand, whorl + self.brief.rods.main / 2.0 + self.gap)

    def spindle_horizontal(self, main: Point, wheel: float, whorl: float) -> Flags:
        """Return how far along x a horizontal spindle may lie, shape (x,), radii in mm."""
        clear_of_wheel = main[0] + wheel + self.cop + self.gap
        reach = max(whorl, self.cop) + self.gap
        return (self.x >= clear_of_wheel) & (self.x <= self.width - reach)

    def least_second(self, disc: float, whorl: float) -> float:
        """Return the least distance from the disc's shaft to the whorl, mm, for radii of rims."""
        other = max(whorl, self.cop) if self.horizontal else whorl
        return disc + other + self.gap


def plan_of(brief: Brief) -> Plan:
    """Return the plan of a brief: shafts stand at whole multiples of a step from the corner."""
    step = brief.sizes.place_mm

    def places(side: float) -> Array:
        within = int(np.ceil(side / step - 1e-9))  # the wall itself is no place
        return np.arange(1, within, dtype=np.float64) * step

    width, depth, _ = brief.inside_mm
    return Plan(brief, apart_mm(brief), cop_radius_mm(brief), places(width), places(depth))


def off_runs_mm(
    point: tuple[Any, Any],
    first: tuple[Any, Any, float],
    second: tuple[Any, Any, Any],
) -> Array:
    """Return how far a point keeps from the two runs of an open band, mm, in plan.

    Args:
        point: x and y.
        first: x, y and pitch radius of one pulley.
        second: x, y and pitch radius of the other.

    Returns:
        The distance to the nearer run; arrays are fitted to each other.
    """
    dx, dy = second[0] - first[0], second[1] - first[1]
    apart = np.hypot(dx, dy)
    with np.errstate(invalid="ignore", divide="ignore"):
        along, over = dx / apart, dy / apart
        cosine = (first[2] - second[2]) / apart
        sine = np.sqrt(np.maximum(1.0 - cosine * cosine, 0.0))
        near = []
        for side in (1.0, -1.0):
            nx, ny = along * cosine - side * over * sine, over * cosine + side * along * sine
            start = (first[0] + first[2] * nx, first[1] + first[2] * ny)
            end = (second[0] + second[2] * nx, second[1] + second[2] * ny)
            near.append(_off_segment(point, start, end))
    distance: Array = np.minimum(near[0], near[1])
    return distance


def _off_segment(point: tuple[Any, Any], start: tuple[Any, Any], end: tuple[Any, Any]) -> Any:
    dx, dy = end[0] - start[0], end[1] - start[1]
    px, py = point[0] - start[0], point[1] - start[1]
    share = np.clip((px * dx + py * dy) / (dx * dx + dy * dy), 0.0, 1.0)
    return np.hypot(px - share * dx, py - share * dy)
