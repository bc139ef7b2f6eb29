"""The combinations of a brief of two stages, in boxes of one wheel rim and one accelerator rim."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

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
    shared_weights,
    too_tall,
)
from wheelgeo.tune.brief import Brief, Choice, Matter
from wheelgeo.tune.brief_quality import ratio_term, wood_term
from wheelgeo.tune.brief_slip import SlipFigures
from wheelgeo.tune.shaft_places import Plan, Point, off_runs_mm
from wheelgeo.tune.stage_costs import Index, Stage, stage
from wheelgeo.tune.two_stage_places import FreePlaces, TwoStagePlaces


def _front(first: Array, second: Array) -> NDArray[np.int64]:
    """Return the indices of the pairs that no other pair beats in both numbers."""
    order = np.lexsort((-second, -first))
    highest = np.maximum.accumulate(second[order])
    leads = np.concatenate(([True], second[order][1:] > highest[:-1]))
    return order[leads]


MOST_AT_ONCE = 300_000
"""Pairs of places that are worked out in one go."""


@dataclass
class TwoStages:
    """The combinations of a brief of two stages.

    Rows of ``first`` are (cord, hub), of ``second`` (cord, whorl).
    """

    brief: Brief
    figures: SlipFigures
    weights: Mapping[Matter, float]
    unlike: tuple[Choice, ...] = ()
    examined: int = 0
    places: TwoStagePlaces = field(init=False)
    first: Stage = field(init=False)
    second: Stage = field(init=False)
    high: Flags = field(init=False)
    _known: dict[tuple[int, int], tuple[Array, Array]] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        """Make the tables of both stages."""
        sizes, shared = self.brief.sizes, shared_weights(self.weights, 2)
        quarter = self.brief.lies == "horizontal"
        self.places = TwoStagePlaces(self.brief)
        rods = self.brief.rods
        given = self.brief, self.figures
        self.first = stage(
            *given, sizes.wheel, sizes.hub, False, shared, (rods.main, rods.middle)
        )
        self.second = stage(
            *given, sizes.accelerator, sizes.whorl, quarter, shared, (rods.middle, rods.spindle)
        )
        self.high = self._too_high()

    def _too_high(self) -> Flags:
        """Return which pairs of rows stand too high for the case, shape (rows, rows)."""
        cords = range(len(self.brief.cords))
        nowhere = (0.0, 0.0)
        high = np.array([
            [
                too_tall(
                    self.brief,
                    Choice(c1, int(c2), 1e3, 1e2, 1e3, whorl, nowhere, nowhere, nowhere),
                    self.plan.gap,
                )
                for c2, whorl in zip(self.second.cord, self.second.small_rim, strict=True)
            ]
            for c1 in cords
        ])  # fmt: skip
        return high[self.first.cord]

    @property
    def plan(self) -> Plan:
        """The grid on which the shafts stand."""
        return self.places.plan

    @property
    def combinations(self) -> int:
        """How many combinations there are: rims, cords and places on the grid, all multiplied."""
        sizes, cords = self.brief.sizes, len(self.brief.cords)
        rims = len(sizes.wheel) * len(sizes.hub) * len(sizes.accelerator) * len(sizes.whorl)
        places = len(self.plan.x) * len(self.plan.y)
        spindles = len(self.plan.x) if self.plan.horizontal else places
        return rims * cords * cords * places * spindles

    def boxes(self) -> list[SizeBox]:
        """Return all boxes that hold anything, the lowest bound first."""
        found = [box for i in range(len(self.brief.sizes.wheel)) for box in self._boxes_of(i)]
        return sorted(found)

    def _boxes_of(self, i: int) -> list[SizeBox]:
        """Return the boxes of one wheel rim."""
        apart, beyond = self.places.reach(i)
        discs = np.flatnonzero(beyond > 0.0)
        if not len(discs):
            return []
        rows, columns = self._rows, self._columns
        first = self.first.cost(i, rows[:, None], apart[discs])
        second = self.second.cost(discs[:, None], columns, beyond[discs][:, None])
        bounds = [
            float(np.min(
                self.base_costs(i, int(j)) + self.least_slip(i, int(j))
                + first[:, k][:, None] + second[k][None, :]
            ))
            for k, j in enumerate(discs)
        ]  # fmt: skip
        return [SizeBox(b, i, int(j)) for b, j in zip(bounds, discs, strict=True) if np.isfinite(b)]

    @property
    def _rows(self) -> NDArray[np.int64]:
        return np.arange(len(self.first.cord))

    @property
    def _columns(self) -> NDArray[np.int64]:
        return np.arange(len(self.second.cord))

    def least_slip(self, i: int, j: int) -> Array:
        """Return what the slip of both bands costs at least, at any places, (rows, columns)."""
        rows, columns = self._rows, self._columns
        force = self.second.least_spindle_n(columns)
        own = self.second.slip_cost(self.second.most_at_slip_n(j, columns), force)
        geared = self._geared(j, rows[:, None], columns[None, :], force[None, :])
        return own + self.first.slip_cost(self.first.most_at_slip_n(i, rows)[:, None], geared)

    def _geared(self, j: int, row: Index, column: Index, force_n: Array) -> Array:
        """Return what the first band carries for a force in the second, N."""
        geared: Array = (
            force_n * self.second.large_pitch[j, column] / self.first.small_pitch[row]
        )
        return geared

    def base_costs(self, i: int, j: int) -> Array:
        """Return what ratio and wood cost, infinite where forbidden, shape (rows, rows)."""
        sizes = self.brief.sizes
        log_ratio = self.first.log_ratio[i][:, None] + self.second.log_ratio[j][None, :]
        alike = np.sqrt(self.first.shares2[i][:, None] + self.second.shares2[j][None, :])
        term = ratio_term(self.brief, log_ratio, alike)
        wood = wood_term(self.brief, (sizes.wheel[i], sizes.accelerator[j]))
        cost = self.weights["ratio"] * term + self.weights["wood"] * wood
        bad = np.isinf(term) | self.high | self._alike(i, j)
        base: Array = np.where(bad, np.inf, cost)
        return base

    def _alike(self, i: int, j: int) -> Flags:
        """Return which pairs of rows have all rims alike to those of a choice to be avoided."""
        alike = np.zeros(self.high.shape, dtype=bool)
        sizes = self.brief.sizes
        for other in self.unlike:
            assert other.hub is not None
            assert other.accelerator is not None
            near = like((sizes.wheel[i],), other.wheel) & like(
                (sizes.accelerator[j],), other.accelerator
            )
            hubs, whorls = (
                like(self.first.small_rim, other.hub), like(self.second.small_rim, other.whorl)
            )  # fmt: skip
            alike |= near[0] & hubs[:, None] & whorls[None, :]
        return alike

    def candidates(
        self, box: SizeBox, below: Callable[[], float], put_off: PutOff
    ) -> Iterator[Candidate]:
        """Yield the combinations of a box that cost less than ``below()`` says at that time."""
        i, j = box.wheel, box.accelerator
        spot = self.places.free(i, j)
        if spot is None:
            return
        for bound, row, column in self._pairs(i, j, spot, below()):
            if bound >= below():
                return
            yield from self._placed(Group(i, j, row, column), bound, spot, below, put_off)

    def candidates_of(
        self, group: Group, below: Callable[[], float], put_off: PutOff
    ) -> Iterator[Candidate]:
        """Yield those of one group."""
        spot = self.places.free(group.wheel, group.accelerator)
        if spot is not None:
            yield from self._placed(group, -np.inf, spot, below, put_off)

    def _pairs(
        self, i: int, j: int, spot: FreePlaces, below: float
    ) -> list[tuple[float, int, int]]:
        """Return the pairs of rows whose bound is below a cost, the lowest bound first."""
        front = _front(spot.apart, spot.beyond)
        apart, beyond = spot.apart[front], spot.beyond[front]
        first = self.first.cost(i, self._rows[:, None], apart)
        second = self.second.cost(j, self._columns[:, None], beyond)
        base = self.base_costs(i, j)
        rough = base + self.least_slip(i, j) + first.min(axis=1)[:, None] + second.min(axis=1)
        rows, columns = np.nonzero(rough < below)
        if not len(rows):
            return []
        slip = self._slip_bound(i, j, rows[:, None], columns[:, None], apart)
        bound = base[rows, columns] + (first[rows] + second[columns] + slip).min(axis=1)
        order = np.argsort(bound, kind="stable")
        order = order[bound[order] < below]
        return [(float(bound[k]), int(rows[k]), int(columns[k])) for k in order]

    def _slip_bound(self, i: int, j: int, row: Index, column: Index, apart: Array) -> Array:
        """Return what slip costs at least with the main and the middle shaft so far apart."""
        force = self.second.least_spindle_n(column)
        own = self.second.slip_cost(self.second.most_at_slip_n(j, column), force)
        geared = self._geared(j, row, column, force)
        return own + self.first.slip_cost(self.first.at_slip_n(i, row, apart), geared)

    def _placed(
        self,
        group: Group,
        least: float,
        spot: FreePlaces,
        below: Callable[[], float],
        put_off: PutOff,
    ) -> Iterator[Candidate]:
        """Yield the places of one set of rims and cords, the most promising middle shafts first."""
        if put_off(group, least):
            return
        i, j, row, column = group
        first = float(self.base_costs(i, j)[row, column]) + self.first.cost(i, row, spot.apart)
        bound = first + self.second.cost(j, column, spot.beyond)
        bound += self._slip_bound(i, j, row, column, spot.apart)
        bound[~self.places.fits_middle(i, j, float(self.first.small_rim[row]) / 2.0, spot)] = np.inf
        order = np.argsort(bound, kind="stable")
        many = max(1, MOST_AT_ONCE // spot.spindles.size)
        for start in range(0, len(order), many):
            part = order[start : start + many]
            part = part[bound[part] < below()]
            if not len(part) or put_off(group, float(bound[part[0]])):
                return
            yield from self._spindles_of(group, spot, part, first[part], below, put_off)

    def _spindles_of(
        self,
        group: Group,
        spot: FreePlaces,
        part: NDArray[np.int64],
        first: Array,
        below: Callable[[], float],
        put_off: PutOff,
    ) -> Iterator[Candidate]:
        """Yield what some places of the middle shaft give with every place of the spindle."""
        cost, places = self._second_costs(group, spot, part)
        total = first.reshape(-1, *(1 for _ in places)) + cost
        self.examined += int(np.isfinite(cost).sum())
        found = np.argwhere(total < below())
        values = total[tuple(found.T)]
        for k in np.argsort(values, kind="stable"):
            if values[k] >= below() or put_off(group, float(values[k])):
                return
            middle = spot.index[part[found[k][0]]]
            choice = self._choice(*group, spot.main, middle, found[k][1:])
            yield Candidate(float(values[k]), choice, group)

    def _second_costs(
        self, group: Group, spot: FreePlaces, part: NDArray[np.int64]
    ) -> tuple[Array, tuple[int, ...]]:
        """Return what the second stage and all slip cost, infinite where it has no room.

        Shape (middle shafts, places along x) or, for a flat spindle, (middle shafts, x, y).
        """
        i, j, row, column = group
        wheel, disc, _, _ = self.places.radii(i, j)
        whorl = float(self.second.small_rim[column]) / 2.0
        middle, plan = spot.index[part], self.plan
        places = self.places.spindles(spot.main, wheel, whorl)
        good: Flags
        if plan.horizontal:
            shift: tuple[Any, ...] = (
                np.maximum(np.arange(len(plan.x))[None, :] - middle[:, 0][:, None], 0),
            )
            good = places[None, :]
        else:
            dx, dy = (
                np.abs(np.arange(len(side))[None, :] - middle[:, k][:, None])
                for k, side in enumerate((plan.x, plan.y))
            )
            shift = (dx[:, :, None], dy[:, None, :])
            good = places[None] & self._runs_clear(i, j, row, column, spot.main, middle)
        own, force = self._on_grid(j, column)
        good = good & (self.places.distances[shift] >= plan.least_second(disc, whorl))
        at_slip = self.first.at_slip_n(i, row, spot.apart[part]).reshape(-1, *([1] * places.ndim))
        slip = self.first.slip_cost(at_slip, self._geared(j, row, column, force)[shift])
        return np.where(good, own[shift] + slip, np.inf), places.shape

    def _on_grid(self, j: int, column: int) -> tuple[Array, Array]:
        """Return what the second stage costs, slip included, and what its band carries, N.

        For each distance on the grid: they recur, so that each is worked out once.
        """
        if (j, column) not in self._known:
            distance, second = self.places.distances, self.second
            force = second.spindle_n(j, column, distance)
            slip = second.slip_cost(second.at_slip_n(j, column, distance), force)
            self._known[j, column] = (second.cost(j, column, distance) + slip, force)
        return self._known[j, column]

    def _runs_clear(
        self, i: int, j: int, row: int, column: int, main: Point, middle: NDArray[np.int64]
    ) -> Flags:
        """Return where the first band clears the spindle's rod and the second the main shaft's."""
        x1, y1 = (self.plan.x[middle[:, 0]], self.plan.y[middle[:, 1]])
        x1, y1 = x1[:, None, None], y1[:, None, None]
        x2, y2 = self.plan.x[None, :, None], self.plan.y[None, None, :]
        cords = [
            self.brief.cords[int(c)].diameter_mm / 2.0
            for c in (self.first.cord[row], self.second.cord[column])
        ]
        hub, whorl = float(self.first.small_pitch[row]), float(self.second.small_pitch[column])
        wheel = (*main, float(self.first.large_pitch[i, row]))
        disc = (x1, y1, float(self.second.large_pitch[j, column]))
        rods = self.brief.rods
        off_spindle = off_runs_mm((x2, y2), wheel, (x1, y1, hub))
        off_main = off_runs_mm(main, disc, (x2, y2, whorl))
        clear: Flags = off_spindle >= rods.spindle / 2.0 + cords[0] + self.plan.gap
        return clear & (off_main >= rods.main / 2.0 + cords[1] + self.plan.gap)

    def _choice(
        self,
        i: int,
        j: int,
        row: int,
        column: int,
        main: Point,
        middle: NDArray[np.int64],
        spindle: NDArray[np.int64],
    ) -> Choice:
        sizes = self.brief.sizes
        stands = (float(self.plan.x[middle[0]]), float(self.plan.y[middle[1]]))
        y = stands[1] if self.plan.horizontal else float(self.plan.y[spindle[1]])
        return Choice(
            int(self.first.cord[row]), int(self.second.cord[column]),
            sizes.wheel[i], float(self.first.small_rim[row]),
            sizes.accelerator[j], float(self.second.small_rim[column]),
            main, stands, (float(self.plan.x[spindle[0]]), y),
        )  # fmt: skip
