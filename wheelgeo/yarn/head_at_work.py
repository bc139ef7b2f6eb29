"""A flyer wheel at work: what goes into the yarn, the brake, bearings, air and slip.

The whorl that slips is given just the torque at which its band slips: that, less its friction, is
what pulls the yarn, over whatever radius the bobbin has. What the band gives beyond the whorl's own
speed is lost in slip and charged to that whorl.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Literal

from wheelgeo.design.twist import wanted_turns_per_metre
from wheelgeo.drive.band_order import driving_shaft
from wheelgeo.drive.load import BandLoad, ShaftLoad
from wheelgeo.drive.running import Loaded
from wheelgeo.drive.turning import braked_sleeve_nm
from wheelgeo.immutable import dataclass
from wheelgeo.yarn.flyer_power import (
    FlyerPower,
    flyer_power,
    pull_at_rest_of_forces_n,
    running_head,
)
from wheelgeo.yarn.wheel_wind_on import WheelWindOn, slipped_take_in_mm
from wheelgeo.yarn.wind_on import WindOn

RPM = 30.0 / math.pi


@dataclass(frozen=True)
class HeadAtWork:
    """Flyer and bobbin at work with one diameter of the bobbin.

    Attributes:
        bobbin_diameter_mm: over the yarn.
        flyer_rpm: speed of the flyer.
        bobbin_rpm: speed of the bobbin, negative where it turns against the flyer.
        slips: whose whorl slips; None where a brake makes flyer and bobbin differ.
        yarn_pull_n: pull on the yarn: the brake's, or that of the whorl that slips, with the band
            as tight as the file has it.
        slips_at_pull_n: the pull at which that whorl slips, which is the yarn's; None with a brake.
        take_in_m_s: yarn that goes in.
        yarn_w: power of the pull on the yarn.
        brake_w: lost in brakes.
        slip_w: lost between band and whorl.
    """

    bobbin_diameter_mm: float
    flyer_rpm: float
    bobbin_rpm: float
    slips: Literal["bobbin", "flyer"] | None
    yarn_pull_n: float
    slips_at_pull_n: float | None
    take_in_m_s: float
    yarn_w: float
    brake_w: float
    slip_w: float


@dataclass(frozen=True)
class FlyerAtWork:
    """Where the power of a flyer wheel goes; of the whole wheel with the full bobbin.

    Attributes:
        empty: flyer and bobbin with the bare bobbin.
        full: with the full one.
        power_w: given at crank, treadle, motor or rim.
        yarn_w: of it, what pulls the yarn in.
        brake_w: lost in brakes.
        bearing_w: lost in bearings.
        bending_w: lost in bending the cords round the pulleys.
        air_w: lost in the air, the flyer's arms included.
        slip_w: lost in slip of all bands.
        energy_error: what the sum is off, as a fraction of what is given.
    """

    empty: HeadAtWork
    full: HeadAtWork
    power_w: float
    yarn_w: float
    brake_w: float
    bearing_w: float
    bending_w: float
    air_w: float
    slip_w: float
    energy_error: float


def flyer_at_work(loaded: Loaded, wind_on: WheelWindOn | None) -> FlyerAtWork | None:
    """Return where the power goes; None where wind-on, twist or the load is not known.

    Args:
        loaded: a wheel at work.
        wind_on: how it takes yarn in.
    """
    yarn, load = loaded.design.yarn, loaded.load
    twist = None if yarn is None else wanted_turns_per_metre(yarn)
    drive = load.shaft(loaded.design.drive.shaft)
    flyer = load.shaft(loaded.design.spindle.shaft)
    bobbin = load.shaft(loaded.design.spindle.bobbin or "")
    if wind_on is None or twist is None or drive is None or not load.hand_nm:
        return None
    if wind_on.empty.trouble or wind_on.full.trouble or wind_on.empty.yarn_pull_n == 0.0:
        return None
    if drawn_backwards(loaded, wind_on):
        return None
    slipped = slipped_take_in_mm(loaded.solution, wind_on)
    if slipped is not None and slipped * twist < 1000.0:
        return None  # no whorl slips then: it would have to be driven faster than its band goes
    made = [_head(loaded, at, twist, drive, flyer, bobbin) for at in (wind_on.empty, wind_on.full)]
    (_, empty), (full_power, full) = made
    omegas = {s.shaft: s.omega_rad_s for s in load.shafts}
    # The slip of every band at the speeds of the file, then what slips beyond it at the head.
    slip = math.fsum(_band_slip_w(loaded, b, omegas) for b in load.bands) + full_power.slip_w
    if flyer is not None:
        omegas[flyer.shaft] = full.flyer_rpm / RPM
    if bobbin is not None:
        # Below 0 where the yarn turns it round against its band, which drives it backwards.
        against = (wind_on.full.bobbin_turns_per_drive_turn or 1.0) < 0.0
        omegas[bobbin.shaft] = (-1.0 if against else 1.0) * full.bobbin_rpm / RPM
    # What draws one on and holds the other back is lost at the difference of their speeds.
    bearing = math.fsum(s.bearing_nm * omegas[s.shaft] for s in load.shafts)
    bearing -= _draws_flyer_nm(loaded) * full.flyer_rpm / RPM
    bearing -= _drawn_by_flyer_nm(loaded) * full.bobbin_rpm / RPM
    bending = math.fsum(s.bending_nm * omegas[s.shaft] for s in load.shafts)
    air = math.fsum(s.air_nm * omegas[s.shaft] for s in load.shafts)
    given = load.hand_nm * drive.omega_rad_s
    gone = math.fsum((full_power.yarn_w, full_power.brake_w, bearing, bending, air, slip))
    return FlyerAtWork(
        empty, full, given, full_power.yarn_w, full_power.brake_w, bearing, bending, air,
        slip,
        abs(given - gone) / given,
    )  # fmt: skip


def drawn_backwards(loaded: Loaded, wind_on: WheelWindOn) -> bool:
    """Tell whether a bobbin that its band turns against the flyer grips harder than the flyer.

    The yarn then draws the flyer round with the bobbin, against its own band.
    """
    against = (wind_on.empty.bobbin_turns_per_drive_turn or 0.0) < 0.0
    return against and loaded.load.whorl_slips == loaded.design.spindle.shaft


def _head(
    loaded: Loaded, at: WindOn, twist: float, drive: ShaftLoad, flyer: ShaftLoad | None,
    bobbin: ShaftLoad | None,
) -> tuple[FlyerPower, HeadAtWork]:
    """Return power and speeds of flyer and bobbin at one diameter."""
    brake_nm = None if at.yarn_pull_n is None else at.yarn_pull_n * at.bobbin_diameter_mm / 2e3
    slips: Literal["bobbin", "flyer"] | None = None
    if brake_nm is None:
        slips = "flyer" if loaded.load.whorl_slips == loaded.design.spindle.shaft else "bobbin"
    # Wind-on tells turns without the bands' slip; whorls are given the speeds with it.
    turns = replace(
        at,
        flyer_turns_per_drive_turn=at.flyer_turns_per_drive_turn
        if flyer is None else flyer.omega_rad_s / drive.omega_rad_s,
        bobbin_turns_per_drive_turn=at.bobbin_turns_per_drive_turn if bobbin is None
        else math.copysign(
            bobbin.omega_rad_s / drive.omega_rad_s, at.bobbin_turns_per_drive_turn or 1.0
        ),
    )  # fmt: skip
    head = running_head(turns, drive.omega_rad_s, twist, slips or "bobbin", brake_nm or 0.0)
    # Friction of a part that no band drives is in the net pull of its brake, which stops as well
    # what the faster of bobbin and flyer's rod gives the other.
    drawn, draws = _draws_flyer_nm(loaded), _drawn_by_flyer_nm(loaded)
    head = replace(
        head,
        flyer_brake_nm=head.flyer_brake_nm + drawn,
        bobbin_brake_nm=head.bobbin_brake_nm + draws,
        flyer_friction_nm=-drawn if flyer is None else flyer.own_nm - flyer.yarn_nm,
        bobbin_friction_nm=-draws if bobbin is None else bobbin.own_nm - bobbin.yarn_nm,
    )
    pull = _held_n(loaded, at) if brake_nm is None else pull_at_rest_of_forces_n(head)
    power = flyer_power(head, pull)
    told = HeadAtWork(
        at.bobbin_diameter_mm, head.flyer_rad_s * RPM, head.bobbin_rad_s * RPM,
        slips, pull, None if slips is None else pull, power.take_in_m_s,
        power.yarn_w, power.brake_w, power.slip_w,
    )  # fmt: skip
    return power, told


def _draws_flyer_nm(loaded: Loaded) -> float:
    """Return the torque with which a bobbin draws a flyer on that no band drives, on its rod."""
    spindle = loaded.design.spindle
    bobbin = loaded.load.shaft(spindle.bobbin or "")
    if bobbin is None or loaded.load.shaft(spindle.shaft) is not None:
        return 0.0
    on_rod = loaded.design.shaft(bobbin.shaft).runs_on == spindle.shaft
    return bobbin.bearing_nm if on_rod else 0.0


def _drawn_by_flyer_nm(loaded: Loaded) -> float:
    """Return the torque with which the flyer's rod draws a braked bobbin on, that runs on it."""
    spindle = loaded.design.spindle
    if loaded.load.shaft(spindle.shaft) is None or loaded.load.shaft(spindle.bobbin or ""):
        return 0.0
    held = [r for r in loaded.rotors if r.shaft.name == spindle.bobbin]
    return sum(braked_sleeve_nm(r) for r in held if r.shaft.runs_on == spindle.shaft)


def _held_n(loaded: Loaded, at: WindOn) -> float:
    """Return the yarn's pull where bands drive both: its torque over the radius."""
    bobbin = loaded.load.shaft(loaded.design.spindle.bobbin or "")
    assert bobbin is not None  # a band drives it
    return abs(bobbin.yarn_nm) / (at.bobbin_diameter_mm / 2e3)


def _band_slip_w(loaded: Loaded, band: BandLoad, omegas: dict[str, float]) -> float:
    """Return what a band takes from its driver and does not give to what it drives, W."""
    source, design = driving_shaft(loaded.solution, band.rest), loaded.design
    shafts = [design.pulley(s.pulley).shaft for s in band.rest.band.route]
    # A pulley's torque is positive where it is driven: the driver's stops count as given.
    return -math.fsum(
        stop.torque_nm * omegas[name]
        for name, stop in zip(shafts, band.stops, strict=True)
        if name in omegas or name == source
    )
