"""What drives the wheel, crank, treadle, hand or motor alike: its torque by angle.

A driver is told by its *arm*: the torque on the wheel's axle over the force of hand or foot, at
each angle of a turn. A crank's is its throw all round; a treadle's comes from its linkage and is
nothing while the treadle rises; a hand on the rim has the rim's radius while it pushes. Start,
effort and the swing of speed follow from the same arms.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cached_property, lru_cache
from itertools import accumulate
from typing import Literal

from wheelgeo.drive.linkage import Linkage
from wheelgeo.errors import ShapeError
from wheelgeo.immutable import dataclass

By = Literal["crank", "treadle", "motor", "hand"]
STEPS = 1440
"""Angles of a turn, a quarter of a degree apart, each in the middle of its piece."""
MOTOR_ARM_MM = 1000.0
"""A motor has no arm: with one metre its force in N is its torque in N m."""


@dataclass(frozen=True)
class Driver:
    """What drives a wheel.

    Attributes:
        by: what it is.
        arms_mm: torque over force at equally spaced angles of one turn, in the sense in which the
            wheel turns, mm; the first stands half a step from angle 0.
        stroke_mm: way of hand or foot under force in one turn, all limbs together; of a motor
            that of its arm.
    """

    by: By
    arms_mm: tuple[float, ...]
    stroke_mm: float

    def torque_nm(self, force_n: float, angle_deg: float) -> float:
        """Return the torque at an angle under a force of hand or foot, N m."""
        count = len(self.arms_mm)
        return force_n * self.arms_mm[int(angle_deg % 360.0 / 360.0 * count) % count] / 1e3

    @cached_property
    def mean_arm_mm(self) -> float:
        """Mean torque over force, mm: by energy, the stroke under force over a turn in radians."""
        return self.stroke_mm / (2.0 * math.pi)

    @cached_property
    def peak_arm_mm(self) -> float:
        """Greatest torque over force, mm."""
        return max(self.arms_mm)

    @property
    def form(self) -> float:
        """Greatest torque over the mean: 1 of an even crank, about pi of one treadle."""
        even = self.peak_arm_mm == min(self.arms_mm)
        return 1.0 if even else self.peak_arm_mm / self.mean_arm_mm

    @cached_property
    def driven_share(self) -> float:
        """Part of a turn in which it drives."""
        return sum(arm > 0.0 for arm in self.arms_mm) / len(self.arms_mm)

    @cached_property
    def longest_idle_deg(self) -> float:
        """Longest angle in which it does not drive, over which the wheel must carry itself."""
        longest = run = 0
        for arm in (*self.arms_mm, *self.arms_mm):  # twice round: a gap may hold angle 0
            run = 0 if arm > 0.0 else run + 1
            longest = max(longest, run)
        return 360.0 * min(longest / len(self.arms_mm), 1.0)

    def force_n(self, load_nm: float) -> float:
        """Return the steady force, while it pushes, that holds a mean load, N."""
        return 1e3 * load_nm / self.mean_arm_mm

    def surplus_j(self, load_nm: float, weight_nm: float = 0.0) -> float:
        """Return what the wheel must store and give back in each turn under a steady load, J.

        Args:
            load_nm: the steady load.
            weight_nm: torque of the crank's own weight against the turning at angle 0, where its
                arm lies level; it goes with the cosine of the angle.

        Torque less load, summed over the angle, swings between a lowest and a highest value;
        their difference is the energy that a flywheel evens out (fluctuation of energy).
        """
        step, force = 2.0 * math.pi / len(self.arms_mm), self.force_n(load_nm) / 1e3
        # Each torque stands in the middle of its step; the weight's work is told at the step's end.
        left = list(accumulate([(force * arm - load_nm) * step for arm in self.arms_mm]))
        if weight_nm != 0.0:
            left = [g - weight_nm * math.sin((i + 1) * step) for i, g in enumerate(left)]
        return max(left) - min(left)


@lru_cache(maxsize=64)
def crank_driver(throw_mm: float) -> Driver:
    """Return a crank whose handle is pushed square to its arm with an even force."""
    return Driver("crank", (throw_mm,) * STEPS, 2.0 * math.pi * throw_mm)


def motor_driver() -> Driver:
    """Return a motor of even torque."""
    return Driver("motor", (MOTOR_ARM_MM,) * STEPS, 2.0 * math.pi * MOTOR_ARM_MM)


def hand_driver(radius_mm: float, stroke_deg: float, strokes: int = 1) -> Driver:
    """Return the hand on the rim or spokes of a great wheel.

    Args:
        radius_mm: from the axle to where the hand pushes.
        stroke_deg: angle through which each push goes with the wheel.
        strokes: pushes in a turn, evenly spaced.

    Raises:
        ShapeError: no push, or pushes that would run into one another.
    """
    if not (strokes >= 1 and 0.0 < stroke_deg <= 360.0 / strokes and radius_mm > 0.0):
        raise ShapeError(f"{strokes} pushes of {stroke_deg:g} degrees do not make a turn")
    pace = 360.0 / strokes
    arms = _arms(lambda angle: radius_mm if angle % pace < stroke_deg else 0.0)
    return Driver("hand", arms, strokes * radius_mm * math.radians(stroke_deg))


@lru_cache(maxsize=64)  # one wheel is asked of it for effort and start alike
def treadle_driver(
    linkage: Linkage,
    turns: Literal[1, -1] = 1,
    treadles: Literal[1, 2] = 1,
    falls: Literal[1, -1] = -1,
) -> Driver:
    """Return a treadle, or two whose cranks stand opposite.

    Args:
        linkage: the linkage of each.
        turns: sense of the crank in the linkage's plane, 1 counter-clockwise.
        treadles: one, or two.
        falls: sense in which the lever turns while the foot presses, 1 counter-clockwise.
    """

    def one(angle: float) -> float:
        return max(turns * falls * linkage.foot_arm_mm(turns * angle), 0.0)

    if treadles == 1:
        return Driver("treadle", _arms(one), linkage.foot_stroke_mm)
    arms = _arms(lambda angle: one(angle) + one(angle + 180.0))
    return Driver("treadle", arms, 2.0 * linkage.foot_stroke_mm)


def _arms(arm: Callable[[float], float]) -> tuple[float, ...]:
    return tuple(arm((i + 0.5) * 360.0 / STEPS) for i in range(STEPS))
