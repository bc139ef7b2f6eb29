"""Power at the flyer head: from the bands into the yarn, the brakes, friction and slip.

Speeds and torques here are those of the wheel at work; ``running_head`` makes them from wind-on.
"""

from __future__ import annotations

import math
from typing import Literal

from wheelgeo.design.counts import checked_positive
from wheelgeo.errors import QuantityError
from wheelgeo.immutable import dataclass
from wheelgeo.yarn.wind_on import WindOn


@dataclass(frozen=True)
class FlyerHead:
    """Flyer and bobbin as they turn while yarn goes in; speeds positive as the flyer turns.

    Attributes:
        flyer_rad_s: speed of the flyer.
        bobbin_rad_s: speed of the bobbin.
        flyer_whorl_rad_s: speed that the band would give the flyer; None where it is not driven.
        bobbin_whorl_rad_s: the same of the bobbin.
        bobbin_diameter_mm: over the yarn.
        flyer_brake_nm: torque of a brake on the flyer.
        bobbin_brake_nm: torque of a brake on the bobbin.
        flyer_friction_nm: bearings and air at the flyer, and the torque that twists the yarn;
            below 0 where a bobbin on its rod draws it on with more.
        bobbin_friction_nm: bearings and air at the bobbin; below 0 likewise.
    """

    flyer_rad_s: float
    bobbin_rad_s: float
    flyer_whorl_rad_s: float | None
    bobbin_whorl_rad_s: float | None
    bobbin_diameter_mm: float
    flyer_brake_nm: float = 0.0
    bobbin_brake_nm: float = 0.0
    flyer_friction_nm: float = 0.0
    bobbin_friction_nm: float = 0.0


@dataclass(frozen=True)
class FlyerPower:
    """Where the power at the flyer head comes from and goes to, W.

    Attributes:
        driven_w: given by the bands to the whorls.
        yarn_w: pull of the yarn times the speed at which it goes in.
        brake_w: in the brakes.
        friction_w: in bearings, air and the yarn's own twisting.
        slip_w: between bands and whorls.
        flyer_torque_nm: torque of the band on the flyer's whorl.
        bobbin_torque_nm: torque of the band on the bobbin's whorl.
        take_in_m_s: yarn that goes in.
    """

    driven_w: float
    yarn_w: float
    brake_w: float
    friction_w: float
    slip_w: float
    flyer_torque_nm: float
    bobbin_torque_nm: float
    take_in_m_s: float


def pull_at_rest_of_forces_n(head: FlyerHead) -> float:
    """Return the yarn pull that balances the part that no band drives.

    Args:
        head: a head with exactly one part driven.

    Returns:
        Pull of the yarn at the bobbin, N.

    Raises:
        QuantityError: both are driven (their bands' grip decides the pull) or neither is.
    """
    if (head.flyer_whorl_rad_s is None) == (head.bobbin_whorl_rad_s is None):
        raise QuantityError("the pull follows from a brake only where exactly one part is driven")
    arm = checked_positive(head.bobbin_diameter_mm, "the bobbin's diameter in mm") / 2000.0
    if head.bobbin_whorl_rad_s is None:
        return (head.bobbin_brake_nm + head.bobbin_friction_nm) / arm
    return (head.flyer_brake_nm + head.flyer_friction_nm) / arm


def flyer_power(head: FlyerHead, yarn_pull_n: float) -> FlyerPower:
    """Return the power at the flyer head from the torques on each of its two parts.

    The yarn pulls the slower part forward and holds the faster one back with pull × radius.

    Args:
        head: speeds and torques.
        yarn_pull_n: pull of the yarn at the bobbin.

    Returns:
        Power and the bands' torques.

    Raises:
        QuantityError: a part without a band is not in balance, or a number is out of range.
    """
    arm = checked_positive(head.bobbin_diameter_mm, "the bobbin's diameter in mm") / 2000.0
    ahead = math.copysign(1.0, head.bobbin_rad_s - head.flyer_rad_s)
    # A brake works against the turning, whichever way the part turns; friction against its whorl,
    # which a bobbin that the yarn turns round against its band goes backwards in.
    flyer_way = _way(head.flyer_rad_s, head.flyer_whorl_rad_s)
    bobbin_way = _way(head.bobbin_rad_s, head.bobbin_whorl_rad_s)
    flyer_held = head.flyer_brake_nm * _way(head.flyer_rad_s) + head.flyer_friction_nm * flyer_way
    bobbin_held = (
        head.bobbin_brake_nm * _way(head.bobbin_rad_s) + head.bobbin_friction_nm * bobbin_way
    )
    flyer_torque = flyer_held - ahead * yarn_pull_n * arm
    bobbin_torque = bobbin_held + ahead * yarn_pull_n * arm
    flyer_in, flyer_slip = _band_w("flyer", flyer_torque, head.flyer_rad_s, head.flyer_whorl_rad_s)
    bobbin_in, bobbin_slip = _band_w(
        "bobbin", bobbin_torque, head.bobbin_rad_s, head.bobbin_whorl_rad_s
    )
    take_in = arm * abs(head.bobbin_rad_s - head.flyer_rad_s)
    flyer, bobbin = abs(head.flyer_rad_s), abs(head.bobbin_rad_s)
    return FlyerPower(
        flyer_in + bobbin_in,
        yarn_pull_n * take_in,
        head.flyer_brake_nm * flyer + head.bobbin_brake_nm * bobbin,
        head.flyer_friction_nm * flyer_way * head.flyer_rad_s
        + head.bobbin_friction_nm * bobbin_way * head.bobbin_rad_s,
        flyer_slip + bobbin_slip,
        flyer_torque,
        bobbin_torque,
        take_in,
    )


def _way(speed_rad_s: float, whorl_rad_s: float | None = None) -> float:
    return math.copysign(1.0, speed_rad_s if whorl_rad_s is None else whorl_rad_s)


def _band_w(
    part: str, torque_nm: float, speed_rad_s: float, whorl_rad_s: float | None
) -> tuple[float, float]:
    """Return the power that the band gives to a whorl, and what of it is lost in slip, W."""
    if whorl_rad_s is None:
        if abs(torque_nm) > 1e-9:
            raise QuantityError(
                f"nothing drives the {part}, yet {torque_nm:g} N m on it are left over: "
                "the yarn's pull must balance its brake"
            )
        return 0.0, 0.0
    return torque_nm * whorl_rad_s, torque_nm * (whorl_rad_s - speed_rad_s)


def running_head(
    wind_on: WindOn,
    drive_rad_s: float,
    turns_per_metre: float,
    slips: Literal["bobbin", "flyer"] = "bobbin",
    brake_nm: float = 0.0,
) -> FlyerHead:
    """Return flyer and bobbin as they turn while the wanted twist goes into the yarn.

    Where both are driven, the whorl that grips less slips until bobbin and flyer differ by what
    the twist lets in; with a brake the part without a band falls behind (or is drawn after) alone.

    Args:
        wind_on: at this diameter.
        drive_rad_s: speed of the drive; its sign is left out.
        turns_per_metre: wanted twist.
        slips: the whorl that slips where both are driven.
        brake_nm: torque of the brake, where there is one.

    Returns:
        The head, without friction.

    Raises:
        QuantityError: the wheel cannot wind this twist on, or a number is not above 0.
    """
    if wind_on.trouble is not None:
        raise QuantityError(f"this wheel winds nothing on as asked: {wind_on.trouble}")
    speed = checked_positive(abs(drive_rad_s), "the drive's speed in rad/s")
    girth_mm = math.pi * checked_positive(wind_on.bobbin_diameter_mm, "the bobbin's diameter")
    twist = checked_positive(turns_per_metre, "the twist in turns per metre")
    flyer = wind_on.flyer_turns_per_drive_turn * speed
    # Turns of the bobbin over turns of the flyer when just 1000/twist goes in at each turn.
    toward = 1.0 if wind_on.leads == "bobbin" else -1.0
    if wind_on.bobbin_turns_per_drive_turn is not None and wind_on.bobbin_turns_per_drive_turn < 0:
        # A bobbin that turns against the flyer is behind it, however fast it is.
        toward = -1.0
    apart = 1.0 + toward * 1000.0 / twist / girth_mm
    if wind_on.by == "bobbin brake":
        return FlyerHead(
            flyer, flyer * apart, flyer, None, wind_on.bobbin_diameter_mm, 0.0, brake_nm
        )
    if wind_on.bobbin_turns_per_drive_turn is None:
        raise QuantityError("the bobbin's turns are not known")
    bobbin = wind_on.bobbin_turns_per_drive_turn * speed
    if wind_on.by == "flyer brake":
        return FlyerHead(bobbin / apart, bobbin, None, bobbin, wind_on.bobbin_diameter_mm, brake_nm)
    if slips == "bobbin":
        return FlyerHead(flyer, flyer * apart, flyer, bobbin, wind_on.bobbin_diameter_mm)
    if bobbin <= 0.0 or apart <= 0.0:
        raise QuantityError(
            "the flyer's whorl cannot slip far enough for a bobbin that turns the other way"
        )
    return FlyerHead(bobbin / apart, bobbin, flyer, bobbin, wind_on.bobbin_diameter_mm)
