"""What a start from rest keeps to whatever its course: how long it takes, how hard it pulls bands.

While no band slips all shafts turn as one, I w' = T(t) - A(w): the inertia, the push and what the
shafts take, each as felt at the driving one. The push rises with time, and what they take with the
speed. So the start speeds up at least as with all that it takes at working speed, which bounds its
time; and nowhere faster than with the push of its end against what it takes at rest, which bounds
the force on each band. Nothing is worked out step by step for that.
"""

from __future__ import annotations

import math

from wheelgeo.drive.startup import Push, Rotating, StartLink
from wheelgeo.immutable import dataclass

_ROUNDING = 1.0 + 1e-6
"""The steps of a start are exact to far less than this, and so are its bounds."""


@dataclass(frozen=True)
class StartBounds:
    """Bounds of a start.

    Attributes:
        longest_s: it takes no longer, if no band slips; infinite where that is not sure.
        margins: of each link its band and its least slip margin; None where it never slips.
    """

    longest_s: float
    margins: tuple[tuple[str, float | None], ...]


def start_bounds(
    shafts: tuple[Rotating, ...], links: tuple[StartLink, ...], push: Push
) -> StartBounds | None:
    """Return bounds of a start in which no band slips; None where it would start by itself.

    Args:
        shafts: the shafts, the driving one first.
        links: its bands; each driven shaft comes after its driver and has one band.
        push: the hand.
    """
    outward = sorted(links, key=lambda link: link.driven)
    turns = [1.0] * len(shafts)
    for link in outward:
        turns[link.driven] = link.ratio * turns[link.driver]
    speeds = [push.omega_rad_s * t for t in turns]
    inertia = [s.inertia_kg_m2 for s in shafts]
    at_rest = [s.friction_nm for s in shafts]
    at_work = [s.friction_nm + s.drag_factor * w**s.drag_power if w > 0.0 else s.friction_nm
               for s, w in zip(shafts, speeds, strict=True)]  # fmt: skip
    for link in reversed(outward):
        lever = link.driver_radius_m / link.driven_radius_m
        inertia[link.driver] += lever * link.ratio * inertia[link.driven]
        at_rest[link.driver] += lever * at_rest[link.driven]
        at_work[link.driver] += lever * at_work[link.driven]
    if at_rest[0] < 0.0:
        return None
    longest = steady_start_s(push, at_work[0], inertia[0]) * _ROUNDING
    fastest = max(push.at(longest) - at_rest[0], 0.0) / inertia[0]
    margins = []
    for link in links:
        i = link.driven
        force = (inertia[i] * turns[i] * fastest + at_work[i]) / link.driven_radius_m
        held = link.force_at_slip_n(speeds[link.driver])
        never = link.grip is None or force <= 0.0
        margins.append((link.band, None if never else held / force / _ROUNDING))
    return StartBounds(longest, tuple(margins))


def steady_start_s(push: Push, load_nm: float, inertia_kg_m2: float) -> float:
    """Return how long a push takes to bring an inertia to speed against a steady load, s.

    The torque rises evenly to its full value and then stays; infinite where it is too little.
    """
    begin = push.time_of(load_nm)
    if begin is None:
        return math.inf
    rises = push.torque_nm / (2.0 * push.ramp_s * inertia_kg_m2) if push.ramp_s > 0.0 else 0.0
    at_ramp = rises * (push.ramp_s - begin) ** 2
    if at_ramp >= push.omega_rad_s:
        return begin + math.sqrt(push.omega_rad_s / rises)
    rest = (push.omega_rad_s - at_ramp) * inertia_kg_m2
    return push.ramp_s + rest / (push.torque_nm - load_nm)
