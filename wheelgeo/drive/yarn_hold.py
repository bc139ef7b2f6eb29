"""What the yarn asks of the shafts that it is wound between, and what sets how hard it pulls.

Yarn that is wound on pulls bobbin and flyer towards each other: it holds the faster back with pull
times the bobbin's radius, and draws the slower on with just as much. That torque, not the pull, is
what is given: by a brake on the part that no band drives; where bands drive both, by the whorl
that must slip, since they drive the two further apart than the twist lets yarn in; and only where
neither is so by the spinner's own hold.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from wheelgeo.built.as_built import Built
from wheelgeo.design.counts import checked_positive
from wheelgeo.design.twist import wanted_turns_per_metre
from wheelgeo.drive.train import Solution
from wheelgeo.immutable import dataclass

EQUAL_SPEEDS = 1e-9
"""Relative difference of speeds below which nothing is taken in."""


@dataclass(frozen=True)
class YarnHold:
    """How the yarn's pull acts on the shafts that it is wound between.

    Attributes:
        signs: by shaft, 1 where the yarn holds it back, -1 where it draws it on.
        torque_nm: pull times radius, of the brake or of the spinner's usual hold; where a whorl
            slips, the grip of that whorl takes its place.
        whorl_slips: a whorl of flyer or bobbin slips without end.
    """

    signs: Mapping[str, float]
    torque_nm: float
    whorl_slips: bool = False


def take_in_mm(flyer_turns: float, bobbin_turns: float, bobbin_diameter_mm: float) -> float:
    """Return the yarn that one turn of the flyer would take in if nothing slipped, mm.

    Args:
        flyer_turns: turns of the flyer, not 0.
        bobbin_turns: turns of the bobbin in the same time, negative where it turns the other way.
        bobbin_diameter_mm: over the yarn.

    Raises:
        QuantityError: the diameter is not above 0.
    """
    girth = math.pi * checked_positive(bobbin_diameter_mm, "the bobbin's diameter in mm")
    return abs(bobbin_turns / flyer_turns - 1.0) * girth


def yarn_hold(solution: Solution) -> YarnHold:
    """Return what the yarn asks of each shaft of a solved wheel."""
    design = solution.design
    spindle, bobbin = design.spindle.shaft, design.spindle.bobbin
    for held, driven in ((bobbin, spindle), (spindle, bobbin)):
        brakes = [d.pull_n * d.diameter_mm / 2e3 for d in design.drags if d.shaft == held]
        drawn = held is not None and solution.shaft(held).driven_by is None
        if brakes and drawn and driven is not None:
            return YarnHold({driven: 1.0}, math.fsum(brakes))
    usual = yarn_torque_nm(solution.built)
    turns = [None if n is None else solution.shaft(n).turns_without_slip for n in (spindle, bobbin)]
    if bobbin is None or turns[0] is None or turns[1] is None:
        return YarnHold({spindle: 1.0}, usual)
    on_flyer, on_bobbin = drawn_together(turns[1] / turns[0])
    if not on_flyer:
        return YarnHold({}, 0.0)  # nothing is wound on: the yarn pulls neither towards the other
    signs = {spindle: on_flyer, bobbin: on_bobbin}
    return YarnHold(signs, usual, _must_slip(solution, turns[0], turns[1]))


def drawn_together(ahead: float) -> tuple[float, float]:
    """Return how what lies between two parts on one axis holds them: yarn, or a rod's friction.

    Args:
        ahead: turns of the second over turns of the first, negative where they are opposed.

    Returns:
        Of the first and of the second: 1 where it is held back in its own turning, -1 where it is
        drawn on, 0 where they turn as one. One that turns against the other is behind it, and yet
        held back.
    """
    if abs(ahead - 1.0) <= EQUAL_SPEEDS:
        return 0.0, 0.0
    return (1.0 if ahead < 1.0 else -1.0), (1.0 if ahead > 1.0 or ahead < 0.0 else -1.0)


def _must_slip(solution: Solution, flyer_turns: float, bobbin_turns: float) -> bool:
    """Tell whether two driven whorls differ by more than the twist lets yarn in, even empty."""
    design = solution.design
    twist = None if design.yarn is None else wanted_turns_per_metre(design.yarn)
    if twist is None or design.bobbin is None:
        return False
    return take_in_mm(flyer_turns, bobbin_turns, design.bobbin.empty_mm) > 1000.0 / twist


def yarn_torque_nm(built: Built) -> float:
    """Return what the spinner's usual hold on the yarn takes, N m.

    Its arm is the radius of the rod of a tip spindle, or of the full bobbin of a flyer.
    """
    spindle, bobbin = built.spindle, built.design.bobbin
    flyer = built.design.spindle.kind == "flyer"
    diameter = spindle.cop_diameter_mm(1.0) if flyer else spindle.diameter_mm
    if flyer and bobbin is not None:
        diameter = bobbin.full_mm
    return built.limit("yarn_pull_n") * diameter / 2e3
