"""Untrue wheels, against first-order geometry."""

from __future__ import annotations

from dataclasses import replace
from math import asin, atan, degrees, sqrt

import pytest

from wheelgeo.drive.untrue_wheel import over_turn
from wheelgeo.geometry.path import PitchCircle, solve_path

CIRCLES = (
    PitchCircle("wheel", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 250.0, 1),
    PitchCircle("whorl", (450.0, 0.0, 0.0), (0.0, 0.0, 1.0), 20.0, 1),
)


def test_a_true_wheel_changes_nothing() -> None:
    found = over_turn(CIRCLES, [0])
    length = solve_path(CIRCLES).length_mm
    assert found.length_mm == pytest.approx((length, length))
    assert found.arriving_deg[1] == pytest.approx((0.0, 0.0), abs=1e-9)


def test_a_wheel_out_of_centre_changes_the_length_with_its_distance() -> None:
    """To first order the distance changes by the offset, the length by 2 cos(lean) times it."""
    out = 4.0
    low, high = over_turn(CIRCLES, [0], out_mm=out).length_mm
    slope = 2.0 * sqrt(1.0 - (230.0 / 450.0) ** 2)
    assert high - low == pytest.approx(slope * out, rel=0.01)


def test_a_wobble_reaches_the_whorl_over_the_run() -> None:
    """The rim's point where the run leaves moves sideways by half the wobble at most.

    Seen from the whorl that is an angle over the run, and the same both ways.
    """
    wobble = 6.0
    found = over_turn(CIRCLES, [0], sideways_mm=wobble, steps=360)
    run = sqrt(450.0**2 - 230.0**2)
    low, high = found.arriving_deg[1]
    assert high == pytest.approx(-low, rel=1e-3)
    assert high == pytest.approx(degrees(atan(0.5 * wobble / run)), rel=0.01)
    # The wheel's own plane leans by the tilt, but the run also follows its rim sideways.
    tilt = degrees(asin(0.5 * wobble / 250.0))
    assert 0.0 < found.arriving_deg[0][1] <= tilt + high


@pytest.mark.parametrize("bad", [{"steps": 3}, {"sideways_mm": 600.0}, {"out_mm": 500.0}])
def test_nonsense_is_refused(bad: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="not out by its own size"):
        over_turn(CIRCLES, [0], **bad)


def test_both_grooves_of_a_wheel_wobble_as_one() -> None:
    """A band twice round arrives at the second groove under the same angles as at the first."""
    wheel, whorl = CIRCLES
    twice = (
        replace(wheel, centre_mm=(0.0, 0.0, -0.001)), whorl,
        replace(wheel, centre_mm=(0.0, 0.0, 0.001)), whorl,
    )  # fmt: skip
    once = over_turn(CIRCLES, [0], sideways_mm=6.0)
    found = over_turn(twice, [0, 2], sideways_mm=6.0)
    assert found.arriving_deg[2] == pytest.approx(found.arriving_deg[0], abs=0.01)
    assert found.arriving_deg[0] == pytest.approx(once.arriving_deg[0], abs=0.01)
    low, high = once.length_mm
    assert found.length_mm == pytest.approx((2.0 * low, 2.0 * high), abs=0.01)
