"""One stage of a wheel for all its rims and cords at once: what it costs at a given distance.

A *stage* is a band with its two pulleys. Its rows are the pairs (cord, small rim), its columns the
distances asked for; the large rim is given by its index. What practice forbids costs infinity.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wheelgeo.design.model import VeeGroove
from wheelgeo.tune.brief import Brief, Cord, Matter
from wheelgeo.tune.brief_grooves import disc_groove, holds, small_groove
from wheelgeo.tune.brief_quality import bend_mm, flat_wrap_deg, quarter_turn, slip_term
from wheelgeo.tune.remakes import WALL_MM

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage; rows run over cords, and within a cord over the small rims.

    Attributes:
        brief: the brief.
        quarter: the band makes a quarter turn.
        weights: what each term weighs, the mean over the bands taken in.
        cord: index of the cord of each row, shape (rows,).
        small_rim: rim of the small pulley of each row, mm, (rows,).
        small_pitch: its pitch radius, mm, (rows,).
        large_pitch: pitch radius of each large rim for each row's cord, mm, (large rims, rows).
        log_ratio: logarithm of the stage's ratio, slip included, (large rims, rows).
        bend: the weighed bending, infinite where too sharp or not seated, (large rims, rows).
        lead_limit: largest lead angle at the small pulley and at the large one, degrees,
            (2, large rims, rows).
    """

    brief: Brief
    quarter: bool
    weights: Mapping[Matter, float]
    cord: NDArray[np.int64]
    small_rim: Array
    small_pitch: Array
    large_pitch: Array
    log_ratio: Array
    bend: Array
    lead_limit: Array

    def cost(self, large: int, distance: Array, rows: slice | int = slice(None)) -> Array:
        """Return what slip, lead and bending cost.

        Args:
            large: index of the large rim.
            distance: between the shafts, mm, of any shape.
            rows: the rows asked for.

        Returns:
            The costs, shape (rows, *distance.shape); without the first for a single row.
        """
        shape = (..., *(None for _ in distance.shape))
        at_small, at_large = (limit[large][rows][shape] for limit in self.lead_limit)
        first, second = self.large_pitch[large][rows][shape], self.small_pitch[rows][shape]
        cost = self._running(first, second, distance, at_small, at_large)
        bend: Array = self.bend[large][rows][shape]
        return cost + bend

    def cost_each(self, large: NDArray[np.int64], distance: Array) -> Array:
        """Return what slip, lead and bending cost for some large rims, each at its own distance.

        Args:
            large: indices of the large rims, shape (rims,).
            distance: between the shafts, mm, (rims,).

        Returns:
            The costs, shape (rims, rows).
        """
        at_small, at_large = (limit[large] for limit in self.lead_limit)
        first, second = self.large_pitch[large], self.small_pitch[None, :]
        cost = self._running(first, second, distance[:, None], at_small, at_large)
        return cost + self.bend[large]

    def _running(
        self, first: Array, second: Array, distance: Array, at_small: Array, at_large: Array
    ) -> Array:
        """Return what slip and lead cost, infinite beyond practice; arrays fit each other."""
        if not self.quarter:
            wrap = flat_wrap_deg(first, second, distance)
            cost = self.weights["slip"] * slip_term(wrap)
            return np.where(wrap >= self.brief.limit("wrap_deg"), cost, np.inf)
        angles = quarter_turn(first, second, distance)
        good = (angles.lead_whorl <= at_small) & (angles.lead_disc <= at_large)
        cost = self.weights["slip"] * slip_term(np.fmin(angles.wrap_whorl, angles.wrap_disc))
        lead = np.fmax(angles.lead_whorl, angles.lead_disc)
        cost = cost + self.weights["lead"] * lead / self.brief.limit("arriving_deg")
        return np.where(good, cost, np.inf)


def stage(
    brief: Brief,
    large_rims: tuple[float, ...],
    small_rims: tuple[float, ...],
    quarter: bool,
    weights: Mapping[Matter, float],
    rods_mm: tuple[float, float],
) -> Stage:
    """Return the tables of a stage.

    Args:
        brief: the brief.
        large_rims: rims of the driving pulley, mm.
        small_rims: rims of the driven pulley, mm.
        quarter: the band makes a quarter turn.
        weights: what each term weighs in the sum over both bands.
        rods_mm: diameters of the shafts of the driving and of the driven pulley.
    """
    cords = range(len(brief.cords))
    cord = np.repeat(np.arange(len(brief.cords)), len(small_rims))
    small = [_small(rim, c, quarter, brief, rods_mm[1]) for c in brief.cords for rim in small_rims]
    large = [
        [_large(rim, c, quarter, brief, rods_mm[0]) for c in brief.cords] for rim in large_rims
    ]
    larges = _Ends(*np.array(large).reshape(len(large_rims), len(cords), -1).transpose(2, 0, 1))
    smalls = _Ends(*np.array(small).T)
    slip = np.array([math.log1p(-c.slip) for c in brief.cords])
    pitch = larges.pitch[:, cord]
    return Stage(
        brief=brief, quarter=quarter, weights=weights, cord=cord,
        small_rim=np.tile(np.array(small_rims, dtype=float), len(cords)),
        small_pitch=smalls.pitch, large_pitch=pitch,
        log_ratio=np.log(pitch / smalls.pitch) + slip[cord],
        bend=weights["bend"] * _bend(larges.bend[:, cord], smalls.bend),
        lead_limit=np.stack(
            np.broadcast_arrays(smalls.lead_deg[None, :], larges.lead_deg[:, cord])
        ),
    )  # fmt: skip


class _Ends(NamedTuple):
    """One kind of pulley of a stage: pitch radius, bending (inf: not possible), lead limit."""

    pitch: Array
    bend: Array
    lead_deg: Array


def _bend(one: Array, other: Array) -> Array:
    """Return the sharper bending of two pulleys; infinite where practice forbids it."""
    sharper = np.maximum(one, other)
    return np.where(sharper <= 1.0 + 1e-12, sharper, np.inf)


def _large(
    rim: float, cord: Cord, quarter: bool, brief: Brief, rod_mm: float
) -> tuple[float, float, float]:
    groove = disc_groove(rim, cord.diameter_mm, quarter)
    if not holds(groove, brief.disc_mm):
        return (rim / 2.0, math.inf, 0.0)
    return _end(brief, groove, cord, rod_mm)


def _small(
    rim: float, cord: Cord, quarter: bool, brief: Brief, rod_mm: float
) -> tuple[float, float, float]:
    return _end(brief, small_groove(rim, cord.diameter_mm, quarter), cord, rod_mm)


def _end(brief: Brief, groove: VeeGroove, cord: Cord, rod_mm: float) -> tuple[float, float, float]:
    """Return pitch radius, bending and lead limit of one pulley."""
    bore_room = groove.rim_mm - 2.0 * (groove.depth_mm + WALL_MM)
    seated = groove.seat(cord.diameter_mm)
    round_mm = seated.pitch_diameter_mm - cord.diameter_mm
    if bore_room < rod_mm or not seated.seated or round_mm <= 0.0:
        return (groove.rim_mm / 2.0, math.inf, 0.0)
    catch = 0.0 if seated.catch_deg is None else seated.catch_deg
    lead = min(brief.limit("arriving_deg"), catch)
    return (seated.pitch_radius_mm, bend_mm(cord.material, cord.diameter_mm) / round_mm, lead)
