"""Runs that pass each other, and the tilt that parts the runs of a crossed band."""

import math

import pytest

from wheelgeo.geometry.clearance import (
    MOST_TILT_DEG,
    distance_between_runs_mm,
    parting_tilt_deg,
    turned,
)
from wheelgeo.geometry.path import PitchCircle, solve_path

Z = (0.0, 0.0, 1.0)


def crossed(r1, r2, distance, z=0.0, tilt_deg=0.0):
    axis = turned(Z, (1.0, 0.0, 0.0), math.radians(tilt_deg))
    return solve_path(
        [
            PitchCircle("wheel", (0.0, 0.0, 0.0), Z, r1, 1),
            PitchCircle("whorl", (distance, 0.0, z), axis, r2, -1),
        ]
    )


@pytest.mark.parametrize("z", [0.0, 15.0])
def test_crossed_runs_on_parallel_shafts_meet(z):
    path = crossed(60.0, 20.0, 200.0, z)
    assert distance_between_runs_mm(*path.runs) == pytest.approx(0.0, abs=1e-9)


def test_open_runs_of_equal_pulleys_are_a_diameter_apart():
    path = solve_path([PitchCircle(str(x), (x, 0.0, 0.0), Z, 30.0, 1) for x in (0.0, 200.0)])
    assert distance_between_runs_mm(*path.runs) == pytest.approx(60.0, rel=1e-12)


def test_open_runs_are_nearest_at_the_small_pulley():
    path = solve_path(
        [
            PitchCircle("a", (0.0, 0.0, 0.0), Z, 60.0, 1),
            PitchCircle("b", (200.0, 0.0, 0.0), Z, 20.0, 1),
        ]
    )
    # both arriving points stand at 20 mm from the axis, 78.46 degrees to either side of the line
    angle = math.acos((60.0 - 20.0) / 200.0)
    assert distance_between_runs_mm(*path.runs) == pytest.approx(40.0 * math.sin(angle), rel=1e-12)


@pytest.mark.parametrize("apart", [1.0, 3.0, 6.0])
def test_the_tilt_parts_the_runs_by_that_much_and_no_more(apart):
    tilt = parting_tilt_deg(crossed(60.0, 20.0, 200.0), apart)
    assert tilt is not None
    assert distance_between_runs_mm(*crossed(60.0, 20.0, 200.0, tilt_deg=tilt).runs) >= apart
    less = crossed(60.0, 20.0, 200.0, tilt_deg=tilt - 0.02)
    assert distance_between_runs_mm(*less.runs) < apart


def test_small_tilt_by_hand():
    """Tilting the small pulley by t lifts its two tangent points by -+ r sin(a) t.

    The runs cross where they have come r1 / (r1 + r2) of their way: each is lifted there by that
    share of what its end on the small pulley is lifted, so that they pass at twice that.
    """
    r1, r2, distance, tilt = 60.0, 20.0, 200.0, 0.2
    across = math.sin(math.acos((r1 + r2) / distance))
    by_hand = 2.0 * r2 * across * math.radians(tilt) * r1 / (r1 + r2)
    path = crossed(r1, r2, distance, tilt_deg=tilt)
    assert distance_between_runs_mm(*path.runs) == pytest.approx(by_hand, rel=1e-3)


def test_no_tilt_is_enough_for_a_wide_gap():
    assert parting_tilt_deg(crossed(60.0, 20.0, 200.0), 50.0) is None
    assert distance_between_runs_mm(*crossed(60.0, 20.0, 200.0, 0, MOST_TILT_DEG).runs) < 50.0


def test_turned_by_the_right_hand_rule():
    assert turned((1.0, 0.0, 0.0), Z, math.pi / 2) == pytest.approx((0.0, 1.0, 0.0), abs=1e-15)
