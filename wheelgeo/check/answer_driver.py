"""What drives the wheel, as ``run`` tells it: torque by angle, the treadle's linkage, dead points.

Angles of the crank count counter-clockwise from the right, seen with the driven shaft's axis
towards the viewer.
"""

from __future__ import annotations

import math

from wheelgeo.built.as_built import Built
from wheelgeo.drive.driven_by import SAMPLES, TreadleGeometry, treadle_geometry
from wheelgeo.drive.effort import Effort
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class AngleAnswer:
    """One angle of a turn: torque over force there, and the torque of the steady force."""

    angle_deg: float
    arm_mm: float
    torque_nm: float | None


@dataclass(frozen=True)
class TreadleAnswer:
    """The treadle as a linkage.

    Attributes:
        treadles: one or two.
        crank_mm: throw.
        footman_mm: pin to pin.
        lever_mm: pivot to the footman's pin.
        pivot_across_mm: pivot from the axle, level, positive to the right.
        pivot_below_mm: pivot below the axle.
        foot_mm: pivot to the middle of the foot.
        swing_deg: angle through which the treadle rocks.
        dead_points_deg: crank angles at which no force of the foot turns the wheel.
        least_transmission_deg: least angle between footman and lever.
        foot_stroke_mm: way of the foot along its arc.
        foot_lift_mm: height of its highest place over its lowest.
        foot_below_mm: its lowest place, below the axle.
        foot_across_mm: from the axle to the foot there, level: its reach.
    """

    treadles: int
    crank_mm: float
    footman_mm: float
    lever_mm: float
    pivot_across_mm: float
    pivot_below_mm: float
    foot_mm: float
    swing_deg: float
    dead_points_deg: tuple[float, ...]
    least_transmission_deg: float
    foot_stroke_mm: float
    foot_lift_mm: float
    foot_below_mm: float
    foot_across_mm: float


@dataclass(frozen=True)
class DriverAnswer:
    """What drives the wheel.

    Attributes:
        by: crank, treadle, motor or hand.
        mean_arm_mm: mean torque over force in a turn.
        peak_arm_mm: the greatest.
        driven_share: part of a turn in which it drives.
        longest_idle_deg: longest angle in which it does not.
        peak_torque_nm: torque at the best angle under the steady force.
        inertia_kg_m2: inertia of all that turns, as felt at the driven shaft.
        least_inertia_kg_m2: what just carries the load over that angle at working speed.
        swing_j: energy taken up and given back in a turn.
        treadle: the linkage; None for others.
        turn: the turn, angle by angle.
    """

    by: str
    mean_arm_mm: float
    peak_arm_mm: float
    driven_share: float
    longest_idle_deg: float
    peak_torque_nm: float | None
    inertia_kg_m2: float
    least_inertia_kg_m2: float | None
    swing_j: float | None
    treadle: TreadleAnswer | None
    turn: tuple[AngleAnswer, ...]


def driver_answer(built: Built, effort: Effort) -> DriverAnswer | None:
    """Return what is to be told of the driver; None where it is a motor or not known."""
    driver, drive = effort.driver, built.design.drive
    if driver is None or drive.by == "motor":
        return None
    found = treadle_geometry(built)
    turns = 1.0 if drive.turns == "counter-clockwise" else -1.0
    force, angles = effort.force_n, [360.0 * i / SAMPLES for i in range(SAMPLES)]
    # the driver's angles count with the turning, those told with the picture
    arms = [(a, driver.torque_nm(1e3, turns * a)) for a in angles]
    return DriverAnswer(
        driver.by, driver.mean_arm_mm, driver.peak_arm_mm, driver.driven_share,
        driver.longest_idle_deg,
        None if force is None else force * driver.peak_arm_mm / 1e3,
        effort.inertia_kg_m2, effort.least_inertia_kg_m2, effort.swing_j,
        None if found is None else _treadle(found),
        tuple(
            AngleAnswer(a, arm, None if force is None else force * arm / 1e3) for a, arm in arms
        ),
    )  # fmt: skip


def _treadle(found: TreadleGeometry) -> TreadleAnswer:
    four = found.linkage
    ends = [four.foot_at_mm(angle) for angle in four.dead_points_deg]
    low = min(ends, key=lambda at: at[1])
    dead = four.dead_points_deg if found.treadles == 1 else _both_dead(four.dead_points_deg)
    return TreadleAnswer(
        found.treadles, four.crank_mm, four.footman_mm, four.lever_mm, four.pivot_mm[0],
        -four.pivot_mm[1], four.foot_mm, four.swing_deg, dead, four.least_transmission_deg,
        four.foot_stroke_mm, four.foot_lift_mm, -low[1], low[0],
    )  # fmt: skip


def _both_dead(dead_deg: tuple[float, float]) -> tuple[float, ...]:
    """Return the angles at which both of two opposite cranks are dead: where theirs are opposite.

    The footmen are of finite length: the dead points of one stand nearly, not quite, opposite.
    """
    apart = abs((dead_deg[1] - dead_deg[0]) % 360.0 - 180.0)
    return dead_deg if math.isclose(apart, 0.0, abs_tol=1e-6) else ()
