"""Band brakes against a worked example, and each end of the cord against the law of the rope."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelgeo.drive.brake import band_brake, sensitivity, spring_for_n, tension_ratio

ENDS = st.sampled_from(("slack", "tight"))
FRICTION = st.floats(0.05, 0.8)
WRAP = st.floats(20.0, 540.0)


def test_band_brake_of_215_degrees() -> None:
    # Worked example of a simple band brake: wrap 215 degrees, drum 120 mm, friction 0.25, slack
    # side 168 N: ratio 2.5552, torque 15.676 N m. Recomputed from the law of the rope.
    brake = band_brake(168.0, "slack", 120.0, 0.25, 215.0)
    assert tension_ratio(0.25, 215.0) == pytest.approx(2.5552, abs=5e-5)
    assert brake.torque_nm == pytest.approx(15.676, abs=5e-4)


@given(ENDS, FRICTION, WRAP)
def test_the_spring_found_gives_the_pull_wanted(end: str, friction: float, wrap: float) -> None:
    spring = spring_for_n(2.0, end, friction, wrap)
    brake = band_brake(spring, end, 60.0, friction, wrap)
    assert brake.net_n == pytest.approx(2.0, rel=1e-12)
    assert brake.torque_nm == pytest.approx(0.06, rel=1e-12)
    assert brake.tight_n / brake.slack_n == pytest.approx(tension_ratio(friction, wrap))


@given(ENDS, FRICTION, WRAP)
def test_sensitivity_is_the_slope(end: str, friction: float, wrap: float) -> None:
    step = 1e-5
    more, less = (
        band_brake(1.0, end, 60.0, friction * (1.0 + s), wrap).net_n for s in (step, -step)
    )
    at = band_brake(1.0, end, 60.0, friction, wrap).net_n
    slope = (more - less) / (2.0 * step) / at
    assert sensitivity(end, friction, wrap) == pytest.approx(slope, rel=1e-5)


@given(FRICTION, WRAP)
def test_a_spring_on_the_slack_end_grabs_and_one_on_the_tight_end_gives(
    friction: float, wrap: float
) -> None:
    assert sensitivity("slack", friction, wrap) > 1.0
    assert sensitivity("tight", friction, wrap) < 1.0
    grabbing = band_brake(1.0, "slack", 60.0, friction, wrap).net_n
    assert grabbing > band_brake(1.0, "tight", 60.0, friction, wrap).net_n


def test_a_wedge_counts_as_more_friction() -> None:
    assert tension_ratio(0.2, 180.0, wedge=2.0) == pytest.approx(tension_ratio(0.4, 180.0))
