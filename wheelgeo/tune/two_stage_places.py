"""Where the shafts of two stages may stand, and how far apart they may come."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from wheelgeo.tune.bounded_choices import Array, Flags
from wheelgeo.tune.brief import Brief
from wheelgeo.tune.shaft_places import Plan, Point, plan_of


@dataclass
class FreePlaces:
    """The places for one wheel and one accelerator, for the smallest hub and whorl."""

    main: Point
    index: NDArray[np.int64]
    apart: Array
    beyond: Array
    spindles: Flags


@dataclass
class TwoStagePlaces:
    """The places of main, middle and spindle shaft, for wheel ``i`` and accelerator ``j``."""

    brief: Brief
    plan: Plan = field(init=False)
    distances: Array = field(init=False)

    def __post_init__(self) -> None:
        """Lay the grid, and work out how far its places are apart."""
        self.plan = plan_of(self.brief)
        x, y = (side - side[0] for side in (self.plan.x, self.plan.y))
        self.distances = x if self.plan.horizontal else np.hypot(x[:, None], y[None, :])

    def radii(self, i: int, j: int) -> tuple[float, float, float, float]:
        """Return the radii of the rims of wheel, accelerator, smallest hub and smallest whorl."""
        s = self.brief.sizes
        return s.wheel[i] / 2.0, s.accelerator[j] / 2.0, s.hub[0] / 2.0, s.whorl[0] / 2.0

    def reach(self, i: int) -> tuple[Array, Array]:
        """Return distances that main to middle and middle to spindle never exceed, (discs,) each.

        They are those of the corners of the rectangle that holds every middle shaft; -1 where no
        place is left for one of the shafts.
        """
        discs = np.array(self.brief.sizes.accelerator) / 2.0
        main = self.plan.main(self.brief.sizes.wheel[i])
        if main is None:
            return np.full(len(discs), -1.0), np.full(len(discs), -1.0)
        wheel, _, hub, whorl = self.radii(i, 0)
        x0, x1, y0, y1 = self.plan.around_middle(main, wheel, hub, discs)
        corners = np.stack([np.stack([x, y], axis=1) for x in (x0, x1) for y in (y0, y1)])
        apart = np.hypot(corners[..., 0] - main[0], corners[..., 1] - main[1]).max(axis=0)
        beyond = self._farthest(corners.reshape(-1, 2), main, wheel, whorl).reshape(4, -1)
        farthest: Array = np.nan_to_num(beyond.max(axis=0), nan=-1.0)
        return apart, farthest

    def free(self, i: int, j: int) -> FreePlaces | None:
        """Return the places for one wheel and one accelerator; None where there is none."""
        main = self.plan.main(self.brief.sizes.wheel[i])
        if main is None:
            return None
        wheel, disc, hub, whorl = self.radii(i, j)
        index = np.argwhere(self.plan.middle(main, wheel, hub, disc))
        middles = np.stack([self.plan.x[index[:, 0]], self.plan.y[index[:, 1]]], axis=1)
        beyond = self._farthest(middles, main, wheel, whorl)
        room = beyond >= self.plan.least_second(disc, whorl)
        index, middles, beyond = index[room], middles[room], beyond[room]
        if not len(index):
            return None
        apart = np.hypot(middles[:, 0] - main[0], middles[:, 1] - main[1])
        return FreePlaces(main, index, apart, beyond, self.spindles(main, wheel, whorl))

    def spindles(self, main: Point, wheel: float, whorl: float) -> Flags:
        """Return which places of the grid have room for the spindle."""
        if self.plan.horizontal:
            return self.plan.spindle_horizontal(main, wheel, whorl)
        return self.plan.spindle_flat(main, wheel, whorl)

    def fits_middle(self, i: int, j: int, hub: float, spot: FreePlaces) -> Flags:
        """Return which places of the middle shaft have room for a hub of this radius too."""
        wheel, disc, _, _ = self.radii(i, j)
        fits = self.plan.middle(spot.main, wheel, hub, disc)
        result: Flags = fits[spot.index[:, 0], spot.index[:, 1]]
        return result

    def _farthest(self, middles: Array, main: Point, wheel: float, whorl: float) -> Array:
        """Return the largest distance from each middle shaft to a place for the spindle."""
        if self.plan.horizontal:
            along = self.plan.x[self.plan.spindle_horizontal(main, wheel, whorl)]
            return along[-1] - middles[:, 0] if len(along) else np.full(len(middles), -1.0)
        edge = _edge(self.plan, self.plan.spindle_flat(main, wheel, whorl))
        if not len(edge):
            return np.full(len(middles), -1.0)
        apart = np.hypot(*(middles[:, None, k] - edge[None, :, k] for k in (0, 1)))
        farthest: Array = apart.max(axis=1)
        return farthest


def _edge(plan: Plan, places: Flags) -> Array:
    """Return the first and last place of every row: among them is the farthest from any point."""
    found = []
    for k in np.flatnonzero(places.any(axis=0)):
        along = np.flatnonzero(places[:, k])
        found += [(plan.x[along[0]], plan.y[k]), (plan.x[along[-1]], plan.y[k])]
    return np.array(found).reshape(-1, 2)
