"""What the wheel asks of the person: force, torque and power, against what is kept up for long."""

from __future__ import annotations

import math
from typing import Literal

from wheelgeo.built.as_built import Built
from wheelgeo.built.crank import crank_mass
from wheelgeo.drive.driven_by import driver_of, least_inertia_kg_m2
from wheelgeo.drive.driver import Driver
from wheelgeo.drive.rim import single_push_energy_j, speed_swing
from wheelgeo.immutable import dataclass
from wheelgeo.units.quantity import GRAVITY_M_S2


@dataclass(frozen=True)
class Effort:
    """What a person gives at working speed.

    Attributes:
        by: crank, treadle or motor.
        torque_nm: mean torque at the shaft; None where the load is not known.
        power_w: power; None likewise.
        force_n: force of hand or foot while it pushes; None for a motor and where the throw is
            not known.
        force_limit_n: what a person keeps up; None for a motor.
        power_limit_w: likewise.
        speed_swing: of what is not pushed evenly, or has a crank whose weight rises and falls,
            (greatest - least speed) over the mean, from the torque by angle and the inertia of all
            that turns; None otherwise.
        driver: torque by angle; None where it is not known.
        swing_j: energy that the wheel takes up and gives back in a turn; None as speed_swing.
        inertia_kg_m2: inertia of all that turns, as felt at the driven shaft.
        least_inertia_kg_m2: what just carries it over the longest angle in which nothing drives.
    """

    by: Literal["crank", "treadle", "motor", "hand"]
    torque_nm: float | None
    power_w: float | None
    force_n: float | None
    force_limit_n: float | None
    power_limit_w: float | None
    speed_swing: float | None
    driver: Driver | None = None
    swing_j: float | None = None
    inertia_kg_m2: float = 0.0
    least_inertia_kg_m2: float | None = None


def crank_weight_nm(built: Built) -> float:
    """Return the torque of the crank's weight where its arm lies level to the right, N m.

    Positive against the turning of the driven shaft, seen with its axis towards the viewer; 0 of
    an upright shaft, and of two cranks that stand opposite.
    """
    crank, drive = crank_mass(built), built.design.drive
    if crank is None:
        return 0.0
    upright = built.design.shaft(drive.shaft).axis[2]
    level = math.sqrt(max(1.0 - upright * upright, 0.0))
    rises = 1.0 if drive.turns == "counter-clockwise" else -1.0
    return rises * crank.unbalance_kg_m * GRAVITY_M_S2 * level


def effort(built: Built, torque_nm: float | None, inertia_kg_m2: float) -> Effort:
    """Return what a person gives.

    Args:
        built: the wheel.
        torque_nm: mean torque at the shaft that is driven, or None.
        inertia_kg_m2: inertia of all that turns, as felt at that shaft.
    """
    drive = built.design.drive
    omega = drive.speed_rpm * math.pi / 30.0
    power = None if torque_nm is None else torque_nm * omega
    driver = driver_of(built)
    if drive.by == "motor":
        return Effort("motor", torque_nm, power, None, None, None, None, driver)
    limb = "foot" if drive.by == "treadle" else "hand"
    swing_j = least = None
    if torque_nm is not None and driver is not None:
        least = least_inertia_kg_m2(driver, torque_nm, omega)
        weight = crank_weight_nm(built)
        if driver.form != 1.0 or weight != 0.0:
            swing_j = driver.surplus_j(torque_nm, weight)
    elif torque_nm is not None and drive.by == "treadle":
        swing_j = single_push_energy_j(torque_nm)  # a push over half a turn, whatever its throw
    known = swing_j is not None and inertia_kg_m2 > 0.0
    swing = speed_swing(swing_j or 0.0, inertia_kg_m2, omega) if known else None
    force = None if driver is None or torque_nm is None else driver.force_n(torque_nm)
    return Effort(
        drive.by, torque_nm, power, force, built.limit(f"{limb}_force_n"),
        built.limit(f"{limb}_power_w"), swing, driver, swing_j, inertia_kg_m2, least,
    )  # fmt: skip
