"""One stage of a wheel for all its rims and cords at once: what it costs at a given distance.

A *stage* is a band with its two pulleys. Its rows are the pairs (cord, small rim), its columns the
distances asked for; the large rim is given by its index. What practice forbids costs infinity,
and what the findings would surely warn of costs a warning.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wheelgeo.design.model import Pulley
from wheelgeo.immutable import dataclass
from wheelgeo.tune.brief import Brief, Cord, Matter
from wheelgeo.tune.brief_grooves import disc_groove, holds, small_groove
from wheelgeo.tune.brief_quality import (
    WARNING,
    bend_mm,
    flat_wrap_deg,
    quarter_turn,
    rim_share,
    slip_term,
)
from wheelgeo.tune.brief_slip import SlipFigures, force_at_slip_n, spindle_force_n
from wheelgeo.tune.remakes import WALL_MM
from wheelgeo.tune.wheel_from_choice import disc, is_thin, small_pulley

Array = NDArray[np.float64]
Index = int | NDArray[np.int64]

@dataclass(frozen=True)
class Stage:
    """A stage; rows run over cords, and within a cord over the small rims.

    Attributes:
        brief: the brief.
        figures: what the slip of its bands hangs on.
        quarter: the band makes a quarter turn.
        weights: what each term weighs, the mean over the bands taken in.
        cord: index of the cord of each row, shape (rows,).
        small_rim: rim of the small pulley of each row, mm, (rows,).
        small_pitch: its pitch radius, mm, (rows,).
        large_pitch: pitch radius of each large rim for each row's cord, mm, (large rims, rows).
        log_ratio: logarithm of the stage's ratio, slip included, (large rims, rows).
        shares2: square of the fraction by which the tolerances of its rims put that ratio off,
            (large rims, rows).
        bend: the weighed bending and the walls that are too thin, infinite where too sharp or not
            seated, (large rims, rows).
        lead_limit: largest lead angle at the small pulley and at the large one, degrees,
            (2, large rims, rows).
        pull: pull of each row's cord at rest, N, (rows,).
        bending: what its bending takes times the pitch diameter, N mm, (rows,).
        grip: friction with its wedge at the small pulley and at the large one, (2, large rims,
            rows).
    """

    brief: Brief
    figures: SlipFigures
    quarter: bool
    weights: Mapping[Matter, float]
    cord: NDArray[np.int64]
    small_rim: Array
    small_pitch: Array
    large_pitch: Array
    log_ratio: Array
    shares2: Array
    bend: Array
    lead_limit: Array
    pull: Array
    bending: Array
    grip: Array

    def at(self, large: Index, row: Index, distance: Any) -> At:
        """Return the band at a distance between its shafts.

        Args:
            large: index of the large rim; arrays that fit each other, as in all that follows.
            row: the row.
            distance: mm.
        """
        first, second = self.large_pitch[large, row], self.small_pitch[row]
        if not self.quarter:
            wrap = flat_wrap_deg(first, second, distance)
            none = np.zeros_like(wrap)
            return At(wrap, 360.0 - wrap, none, none)
        angles = quarter_turn(first, second, distance)
        return At(angles.wrap_whorl, angles.wrap_disc, angles.lead_whorl, angles.lead_disc)

    def cost(self, large: Index, row: Index, distance: Any) -> Array:
        """Return what lead, bending and thin walls cost; infinite beyond practice."""
        at, bend = self.at(large, row, distance), self.bend[large, row]
        if not self.quarter:
            return np.where(at.wrap_small >= self.brief.limit("wrap_deg"), bend, np.inf)
        small, great = self.lead_limit[:, large, row]
        good = (at.lead_small <= small) & (at.lead_large <= great)
        lead = np.fmax(at.lead_small, at.lead_large) / self.brief.limit("arriving_deg")
        return np.where(good, bend + self.weights["lead"] * lead, np.inf)

    def at_slip_n(self, large: Index, row: Index, distance: Any) -> Array:
        """Return the force at which the band slips, N."""
        at = self.at(large, row, distance)
        return self._at_slip_n(large, row, at.wrap_small, at.wrap_large)

    def most_at_slip_n(self, large: Index, row: Index) -> Array:
        """Return what that force is never above, at any distance, N."""
        return self._at_slip_n(large, row, 360.0 if self.quarter else 180.0, 360.0)

    def _at_slip_n(self, large: Index, row: Index, wrap_small: Any, wrap_large: Any) -> Array:
        small, great = self.grip[:, large, row]
        pull = self.pull[row]
        return np.minimum(
            force_at_slip_n(pull, small, wrap_small), force_at_slip_n(pull, great, wrap_large)
        )

    def spindle_n(self, large: Index, row: Index, distance: Any) -> Array:
        """Return the force that the band carries where it drives the spindle, N."""
        at = self.at(large, row, distance)
        return spindle_force_n(
            self.figures, self.pull[row], self.bending[row], self.small_pitch[row],
            at.wrap_small, at.lead_small,
        )  # fmt: skip

    def least_spindle_n(self, row: Index) -> Array:
        """Return what that force is never below, at any distance that practice allows, N."""
        # The wrap lies between its limit and 360° less that, and no lead is above 45°.
        wrap = min(self.brief.limit("wrap_deg"), 90.0)
        lead = 45.0 if self.quarter else 0.0
        return spindle_force_n(
            self.figures, self.pull[row], self.bending[row], self.small_pitch[row], wrap, lead
        )

    def slip_cost(self, at_slip_n: Array, force_n: Array) -> Array:
        """Return what a slip margin costs; infinite where the band surely slips."""
        margin = at_slip_n / force_n
        short = WARNING * (margin < self.brief.limit("slip_margin"))
        # Below 1 the band slips, whatever the cost would be; the 1 keeps the division defined.
        cost = self.weights["slip"] * slip_term(self.brief, np.fmax(margin, 1.0)) + short
        return np.where(margin >= 1.0, cost, np.inf)


class At(NamedTuple):
    """A band at given distances: wraps and lead angles, degrees; NaN where it has no path."""

    wrap_small: Array
    wrap_large: Array
    lead_small: Array
    lead_large: Array


def stage(
    brief: Brief,
    figures: SlipFigures,
    large_rims: tuple[float, ...],
    small_rims: tuple[float, ...],
    quarter: bool,
    weights: Mapping[Matter, float],
    rods_mm: tuple[float, float],
) -> Stage:
    """Return the tables of a stage.

    Args:
        brief: the brief.
        figures: what the slip of its bands hangs on.
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
    larges = _Ends(*(table[:, cord] for table in larges))
    slip = np.array([math.log1p(-c.slip) for c in brief.cords])
    friction = np.array(figures.friction)[cord]
    return Stage(
        brief=brief, figures=figures, quarter=quarter, weights=weights, cord=cord,
        small_rim=np.tile(np.array(small_rims, dtype=float), len(cords)),
        small_pitch=smalls.pitch, large_pitch=larges.pitch,
        log_ratio=np.log(larges.pitch / smalls.pitch) + slip[cord],
        shares2=larges.share**2 + smalls.share**2,
        bend=weights["bend"] * _bend(larges.bend, smalls.bend)
        + WARNING * (larges.thin + smalls.thin),
        lead_limit=_both(smalls.lead_deg, larges.lead_deg),
        pull=np.array(figures.pull_n)[cord],
        bending=np.array(figures.bend_n_mm)[cord],
        grip=_both(friction * smalls.wedge, friction * larges.wedge),
    )  # fmt: skip


class _Ends(NamedTuple):
    """One kind of pulley of a stage.

    Pitch radius, mm; bending (infinite: not possible); lead limit, degrees; wedge factor; what its
    rim's tolerance is of the pitch diameter; 1 where its wall is thinner than practice wants.
    """

    pitch: Array
    bend: Array
    lead_deg: Array
    wedge: Array
    share: Array
    thin: Array


def _both(small: Array, large: Array) -> Array:
    """Return a table of the small pulleys and one of the large ones, shape (2, large, rows)."""
    return np.stack(np.broadcast_arrays(small[None, :], large))


def _bend(one: Array, other: Array) -> Array:
    """Return the sharper bending of two pulleys; infinite where practice forbids it."""
    sharper = np.maximum(one, other)
    return np.where(sharper <= 1.0 + 1e-12, sharper, np.inf)


End = tuple[float, float, float, float, float, float]


def _large(rim: float, cord: Cord, quarter: bool, brief: Brief, rod_mm: float) -> End:
    groove = disc_groove(rim, cord.diameter_mm, quarter)
    if not holds(groove, brief.disc_mm):
        return (rim / 2.0, math.inf, 0.0, 1.0, 0.0, 0.0)
    return _end(brief, disc(brief, "disc", "rod", groove), cord, rod_mm)


def _small(rim: float, cord: Cord, quarter: bool, brief: Brief, rod_mm: float) -> End:
    groove = small_groove(rim, cord.diameter_mm, quarter)
    return _end(brief, small_pulley(brief, "small", "rod", groove, rod_mm), cord, rod_mm)


def _end(brief: Brief, pulley: Pulley, cord: Cord, rod_mm: float) -> End:
    """Return what ``_Ends`` holds of one pulley."""
    groove = pulley.groove
    none: End = (groove.size_mm / 2.0, math.inf, 0.0, 1.0, 0.0, 0.0)
    if groove.size_mm - 2.0 * (groove.deep_mm + WALL_MM) < rod_mm:
        return none  # before a cord is seated: a groove may go deeper than its pulley
    seated = groove.seat(cord.diameter_mm)
    round_mm = seated.pitch_diameter_mm - cord.diameter_mm
    if not seated.seated or round_mm <= 0.0:
        return none
    catch = 0.0 if seated.catch_deg is None else seated.catch_deg
    return (
        seated.pitch_radius_mm,
        bend_mm(cord.material, cord.diameter_mm) / round_mm,
        min(brief.limit("arriving_deg"), catch),
        seated.wedge,
        rim_share(groove.size_mm, seated.pitch_diameter_mm),
        float(is_thin(brief, pulley, rod_mm)),
    )
