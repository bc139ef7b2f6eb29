"""Crank, treadle, motor and hand as one driver: torque by angle."""

from __future__ import annotations

import math

import pytest

from wheelgeo.drive.driver import (
    Driver,
    crank_driver,
    hand_driver,
    motor_driver,
    treadle_driver,
)
from wheelgeo.drive.linkage import Linkage
from wheelgeo.drive.rim import single_push_energy_j
from wheelgeo.errors import ShapeError

TREADLE = Linkage(45.0, 440.0, 300.0, (-280.0, -430.0), 1, 260.0)
FAR = 1e7
SINE = Linkage(45.0, FAR, FAR, (-FAR, -FAR), 1, FAR)
"""Footman and lever so long that the torque of the foot is F r cos(angle) but for 1e-5."""

DRIVERS = [
    crank_driver(65.0), motor_driver(), hand_driver(550.0, 60.0), hand_driver(550.0, 45.0, 4),
    treadle_driver(TREADLE), treadle_driver(TREADLE, -1), treadle_driver(TREADLE, treadles=2),
]  # fmt: skip


@pytest.mark.parametrize("driver", DRIVERS)
def test_energy_torque_over_a_turn_is_force_times_way(driver: Driver) -> None:
    force, count = 20.0, len(driver.arms_mm)
    angles = [(i + 0.5) * 360.0 / count for i in range(count)]
    work = sum(driver.torque_nm(force, a) for a in angles) * 2.0 * math.pi / count
    assert work == pytest.approx(force * driver.stroke_mm / 1e3, rel=2e-5)


@pytest.mark.parametrize("driver", DRIVERS)
def test_force_holds_the_load(driver: Driver) -> None:
    force = driver.force_n(0.3)
    count = len(driver.arms_mm)
    mean = sum(driver.torque_nm(force, (i + 0.5) * 360.0 / count) for i in range(count)) / count
    assert mean == pytest.approx(0.3, rel=2e-5)


def test_crank_and_motor_are_even() -> None:
    for driver in (crank_driver(65.0), motor_driver()):
        assert driver.form == pytest.approx(1.0)
        assert driver.surplus_j(0.3) == pytest.approx(0.0, abs=1e-12)
        assert (driver.driven_share, driver.longest_idle_deg) == (1.0, 0.0)
    assert crank_driver(65.0).torque_nm(10.0, 123.0) == pytest.approx(0.65)
    assert motor_driver().torque_nm(0.4, 10.0) == pytest.approx(0.4)


def test_single_treadle_in_the_limit_of_a_long_footman() -> None:
    """Half a turn of pi M sin(angle): its surplus in closed form, and its peak pi times the mean.

    Half a turn of a sine has the mean 1/pi of its peak.
    """
    driver = treadle_driver(SINE)
    assert driver.form == pytest.approx(math.pi, rel=1e-4)
    assert driver.surplus_j(2.0) == pytest.approx(single_push_energy_j(2.0), rel=1e-4)
    assert driver.longest_idle_deg == pytest.approx(180.0, abs=0.5)
    assert driver.mean_arm_mm == pytest.approx(45.0 / math.pi, rel=1e-4)


def test_double_treadle_in_the_limit_of_a_long_footman() -> None:
    """(pi/2) M |sin(angle)| twice a turn.

    Surplus over each half turn: the integral where it is above M, from asin(2/pi) to pi less that:
    M (pi cos(a) - (pi - 2 a)) with a = asin(2/pi).
    """
    driver = treadle_driver(SINE, treadles=2)
    a = math.asin(2.0 / math.pi)
    assert driver.form == pytest.approx(math.pi / 2.0, rel=1e-4)
    closed = 2.0 * (math.pi * math.cos(a) - (math.pi - 2.0 * a))
    assert driver.surplus_j(2.0) == pytest.approx(closed, rel=1e-3)
    assert driver.surplus_j(2.0) < 0.25 * treadle_driver(SINE).surplus_j(2.0)


def test_treadle_drives_just_between_its_dead_points() -> None:
    first, second = TREADLE.dead_points_deg
    for turns in (1, -1):
        driver = treadle_driver(TREADLE, turns)
        falling = driver.driven_share * 360.0
        either = [(second - first) % 360.0, (first - second) % 360.0]
        assert min(abs(falling - span) for span in either) < 0.5
    # Pressed the other way the other half drives: together all of the turn.
    other = treadle_driver(TREADLE, falls=1)
    assert treadle_driver(TREADLE).driven_share + other.driven_share == pytest.approx(1.0, abs=2e-3)


def test_hand_on_the_rim() -> None:
    driver = hand_driver(500.0, 60.0)
    assert driver.mean_arm_mm == pytest.approx(500.0 / 6.0)
    assert driver.form == pytest.approx(6.0)
    assert driver.longest_idle_deg == pytest.approx(300.0)
    # While it pushes, the wheel gains the work less the load's share: M 2 pi (1 - 1/6).
    assert driver.surplus_j(1.2) == pytest.approx(1.2 * 2.0 * math.pi * 5.0 / 6.0, rel=1e-9)


@pytest.mark.parametrize("wrong", [(500.0, 0.0, 1), (500.0, 181.0, 2), (500.0, 60.0, 0),
                                   (-1.0, 60.0, 1), (500.0, math.nan, 1)])  # fmt: skip
def test_pushes_that_make_no_turn(wrong: tuple[float, float, int]) -> None:
    with pytest.raises(ShapeError, match="do not make a turn"):
        hand_driver(*wrong)
