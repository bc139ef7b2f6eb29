"""Which bands' pulls to measure so that a uncertainty about the effort is settled.

The effort is doubtful because the pull of a band that is put on by its stretch is known within a
wide range, and so is the friction of bearings. A measured pull has no range left. The bands that
matter are found by asking: the torque at both ends of what is known, with so many pulls measured.
"""

from __future__ import annotations

from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.drive.tension import RestBand

_ROUNDS = 8
"""Torque is very nearly a straight line of the pulls: the secant rule is there in three or four."""
_NEAR = 1e-3


def to_measure(wheel: WheelUnderCheck) -> list[RestBand]:
    """Return the bands whose pulls are known within a range, that which may cost most first."""
    unmeasured = [r for r in wheel.loaded.rest if r.held == "stretch" and r.rest_n]
    return sorted(unmeasured, key=lambda rest: -_cost(wheel, rest))


def _cost(wheel: WheelUnderCheck, rest: RestBand) -> float:
    """Return what the range of a pull may cost: its width times the fastest shaft it presses on.

    The power that a bearing takes is friction times force times speed.
    """
    ends = wheel.ranges.rest_n(rest.band.name)
    solution = wheel.solution
    shafts = (solution.design.pulley(stop.pulley).shaft for stop in rest.band.route)
    speeds = (abs(solution.shaft(name).speed_rpm or 0.0) for name in shafts)
    return 0.0 if ends is None else (ends[1] - ends[0]) * max(speeds)


def pulls_that_settle(wheel: WheelUnderCheck, limit_nm: float) -> dict[str, float] | None:
    """Return the pulls, as usual, of the fewest bands that settle on which side of a limit it is.

    Args:
        wheel: the wheel.
        limit_nm: torque at the driven shaft.

    Returns:
        Pull by band; None where even all of them would leave the torque on both sides.
    """
    bands = to_measure(wheel)

    def pulls(count: int) -> dict[str, float]:
        # As a spring balance is read, so that the pulls that are told are those that were tried.
        return {rest.band.name: float(f"{rest.rest_n:.2g}") for rest in bands[:count]}

    def settled(count: int) -> bool:
        return wheel.ranges.settled_if_measured(limit_nm, pulls(count))

    few, many = 0, len(bands)
    if not bands or not settled(many):
        return None
    while many - few > 1:  # each pull that is measured narrows the range: halving finds the fewest
        middle = (few + many) // 2
        few, many = (few, middle) if settled(middle) else (middle, many)
    return pulls(many)


def times_too_tight(
    wheel: WheelUnderCheck, pulls_n: dict[str, float], limit_nm: float
) -> float | None:
    """Return how many times such pulls bring the torque to a limit, with bearings as usual.

    Args:
        wheel: the wheel.
        pulls_n: pulls at rest, by band; all are drawn tighter alike.
        limit_nm: torque at the driven shaft.

    Returns:
        The factor, above 1; None where the pulls do not bring it there.
    """

    def beyond(times: float) -> float | None:
        found = wheel.ranges.usual_torque_nm({name: times * n for name, n in pulls_n.items()})
        return None if found is None else found - limit_nm

    one, other = 1.0, 2.0
    low, high = beyond(one), beyond(other)
    for _ in range(_ROUNDS):
        if low is None or high is None or (high - low) * (other - one) <= 0.0:
            return None
        if abs(high) <= _NEAR * limit_nm:
            return other
        one, other, low = other, other - high * (other - one) / (high - low), high
        high = beyond(other)
    return None


def held_at(by: str) -> str:
    """Return where a spring balance is hung to feel what drives a wheel."""
    return "rim" if by == "hand" else by


def settled_by_pulls(by: str, pulls_n: dict[str, float] | None) -> str:
    """Return what to measure: those pulls, or, where none settle it, the force at the driver."""
    if pulls_n is None:
        return f"the force at the {held_at(by)} at working speed, with a spring balance"
    return settled_by_pull(*pulls_n)


def settled_by_pull(*bands: str) -> str:
    """Return what to measure to be sure of what bands do."""
    strands = " and ".join(f'a strand of "{band}"' for band in bands)
    return f"the pull of {strands} at rest, with a spring balance (its tension, measured)"
