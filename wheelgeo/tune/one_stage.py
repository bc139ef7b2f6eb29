"""The combinations of a brief of one stage, in boxes of one wheel rim."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from wheelgeo.tune.bounded_choices import (
    Array,
    Candidate,
    Flags,
    Group,
    PutOff,
    SizeBox,
    like,
    too_tall,
)
from wheelgeo.tune.brief import Brief, Choice, Matter
from wheelgeo.tune.brief_quality import ratio_term, wood_term
from wheelgeo.tune.brief_slip import SlipFigures
from wheelgeo.tune.shaft_places import Plan, Point, plan_of
from wheelgeo.tune.stage_costs import Stage, stage


@dataclass
class OneStage:
    """The combinations of a brief of one stage; rows are (cord, whorl)."""

    brief: Brief
    figures: SlipFigures
    weights: Mapping[Matter, float]
    unlike: tuple[Choice, ...] = ()
    examined: int = 0
    plan: Plan = field(init=False)
    only: Stage = field(init=False)
    high: Flags = field(init=False)

    def __post_init__(self) -> None:
        """Make the table of the stage."""
        sizes = self.brief.sizes
        self.plan = plan_of(self.brief)
        quarter = self.brief.lies == "horizontal"
        rods = (self.brief.rods.main, self.brief.rods.spindle)
        self.only = stage(
            self.brief, self.figures, sizes.wheel, sizes.whorl, quarter, dict(self.weights), rods
        )
        nowhere = (0.0, 0.0)
        rows = zip(self.only.cord, self.only.small_rim, strict=True)
        choices = [
            Choice(int(c), None, 1e3, None, None, r, nowhere, None, nowhere) for c, r in rows
        ]
        self.high = np.array([too_tall(self.brief, c, self.plan.gap) for c in choices])

    @property
    def combinations(self) -> int:
        """How many combinations there are: rims, cords and places on the grid, all multiplied."""
        sizes = self.brief.sizes
        places = len(self.plan.x) * (1 if self.plan.horizontal else len(self.plan.y))
        return len(sizes.wheel) * len(sizes.whorl) * len(self.brief.cords) * places

    def boxes(self) -> list[SizeBox]:
        """Return all boxes that hold anything, the lowest bound first."""
        found = [SizeBox(self._bound(i), i, -1) for i in range(len(self.brief.sizes.wheel))]
        return sorted(box for box in found if np.isfinite(box.bound))

    def _bound(self, i: int) -> float:
        if self.plan.main(self.brief.sizes.wheel[i]) is None:
            return np.inf
        rows, only = np.arange(len(self.only.cord)), self.only
        cost = only.cost(i, rows, np.hypot(self.plan.width, self.plan.depth))
        slip = only.slip_cost(only.most_at_slip_n(i, rows), only.least_spindle_n(rows))
        return float(np.min(self._base(i) + cost + slip))

    def _base(self, i: int) -> Array:
        """Return what ratio and wood cost, infinite where forbidden, shape (rows,)."""
        rim = self.brief.sizes.wheel[i]
        alike = np.sqrt(self.only.shares2[i])
        term = ratio_term(self.brief, self.only.log_ratio[i], alike)
        cost = self.weights["ratio"] * term + self.weights["wood"] * wood_term(self.brief, (rim,))
        bad = np.isinf(term) | self.high
        for other in self.unlike:
            bad |= like((rim,), other.wheel)[0] & like(self.only.small_rim, other.whorl)
        base: Array = np.where(bad, np.inf, cost)
        return base

    def candidates(
        self, box: SizeBox, below: Callable[[], float], put_off: PutOff
    ) -> Iterator[Candidate]:
        """Yield the combinations of a box that cost less than ``below()`` says at that time."""
        i = box.wheel
        rim = self.brief.sizes.wheel[i]
        main = self.plan.main(rim)
        assert main is not None
        base = self._base(i)
        for row in np.argsort(base, kind="stable"):
            if base[row] >= below():
                return
            group = Group(i, -1, int(row), -1)
            yield from self._placed(group, float(base[row]), main, below, put_off)

    def candidates_of(
        self, group: Group, below: Callable[[], float], put_off: PutOff
    ) -> Iterator[Candidate]:
        """Yield those of one group."""
        main = self.plan.main(self.brief.sizes.wheel[group.wheel])
        assert main is not None
        base = float(self._base(group.wheel)[group.row])
        yield from self._placed(group, base, main, below, put_off)

    def _placed(
        self, group: Group, base: float, main: Point, below: Callable[[], float], put_off: PutOff
    ) -> Iterator[Candidate]:
        """Yield the places of one set of rims and cord, the cheapest first."""
        if put_off(group, base):
            return
        i, row = group.wheel, group.row
        wheel, whorl = self.brief.sizes.wheel[i] / 2.0, float(self.only.small_rim[row]) / 2.0
        if self.plan.horizontal:
            good = self.plan.spindle_horizontal(main, wheel, whorl)
            distance = self.plan.x - main[0]
        else:
            good = self.plan.spindle_flat(main, wheel, whorl)
            distance = np.hypot(self.plan.x[:, None] - main[0], self.plan.y[None, :] - main[1])
        good = good & (distance >= self.plan.least_second(wheel, whorl))
        cost = np.full(good.shape, np.inf)
        at, only = distance[good], self.only
        slip = only.slip_cost(only.at_slip_n(i, row, at), only.spindle_n(i, row, at))
        cost[good] = base + only.cost(i, row, at) + slip
        self.examined += int(good.sum())
        found = np.argwhere(cost < below())
        values = cost[tuple(found.T)]
        for k in np.argsort(values, kind="stable"):
            if values[k] >= below() or put_off(group, float(values[k])):
                return
            choice = self._choice(i, row, main, found[k])
            yield Candidate(float(values[k]), choice, group)

    def _choice(self, i: int, row: int, main: Point, place: NDArray[np.int64]) -> Choice:
        y = main[1] if self.plan.horizontal else float(self.plan.y[place[1]])
        return Choice(
            int(self.only.cord[row]), None, self.brief.sizes.wheel[i], None, None,
            float(self.only.small_rim[row]), main, None, (float(self.plan.x[place[0]]), y),
        )  # fmt: skip
