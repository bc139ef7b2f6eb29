"""What the wheel asks of the person: force, torque and power, against what is kept up for long."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from wheelgeo.built.as_built import Built
from wheelgeo.design.model import Drive
from wheelgeo.drive.rim import single_push_energy_j, speed_swing


@dataclass(frozen=True, slots=True)
class Effort:
    """What a person gives at working speed.

    Attributes:
        by: crank, treadle or motor.
        torque_nm: mean torque at the shaft; None where the load is not known.
        power_w: power; None likewise.
        force_n: mean force at the crank's handle, or of the foot while it pushes (it pushes for
            half of each turn); None for a motor and where the throw is not known.
        force_limit_n: what a person keeps up; None for a motor.
        power_limit_w: likewise.
        speed_swing: of a treadle wheel, (greatest - least speed) over the mean, from one push a
            turn and the inertia of all that turns; None otherwise.
    """

    by: Literal["crank", "treadle", "motor", "hand"]
    torque_nm: float | None
    power_w: float | None
    force_n: float | None
    force_limit_n: float | None
    power_limit_w: float | None
    speed_swing: float | None


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
    if drive.by == "motor":
        return Effort("motor", torque_nm, power, None, None, None, None)
    limb = "foot" if drive.by == "treadle" else "hand"
    most_n = built.limit(f"{limb}_force_n")
    most_w = built.limit(f"{limb}_power_w")
    swing = None
    if drive.by == "treadle" and inertia_kg_m2 > 0.0 and torque_nm is not None:
        swing = speed_swing(single_push_energy_j(torque_nm), inertia_kg_m2, omega)
    force = _force_n(drive, torque_nm)
    return Effort(drive.by, torque_nm, power, force, most_n, most_w, swing)


def _force_n(drive: Drive, torque_nm: float | None) -> float | None:
    """Return the mean force: all round at a crank, over one stroke of two throws at a treadle."""
    if drive.radius_mm is None or torque_nm is None:
        return None
    arm = drive.radius_mm / 1e3
    if drive.by == "treadle":
        return 2.0 * math.pi * torque_nm / (2.0 * arm)
    return torque_nm / arm
