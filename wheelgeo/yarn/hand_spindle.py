"""Support and drop spindles: how fast a flick turns them, how long they spin, what it makes.

The spindle is solid cylinders on one axis. A flick pushes the shaft round; then bearing and air
run it down, I dω/dt = −M(ω), with time ∫ I dω/M and angle ∫ I ω dω/M between two speeds. The
torque that twists the yarn itself is left out unless given: it is small while drafting.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from wheelgeo.built.inertia import cylinder
from wheelgeo.design.counts import checked_positive
from wheelgeo.drive.air import TurningBody, body_torque_nm
from wheelgeo.errors import QuantityError
from wheelgeo.immutable import dataclass
from wheelgeo.units.quantity import GRAVITY_M_S2

FLAT_PIVOT_ARM = 2.0 / 3.0
"""Arm of friction over the radius of a flat pivot under even pressure (textbooks)."""

INTERVALS = 400
"""Of Simpson's rule over the run-down; see the closed form in the tests."""


@dataclass(frozen=True)
class SpindlePiece:
    """A solid cylinder on the spindle's axis.

    Attributes:
        diameter_mm: outside.
        length_mm: along the axis.
        density_kg_m3: of wood, clay or wound yarn.
        open_faces: ends that lie open to the air: 2 of a whorl, 0 of a shaft (too small).
    """

    diameter_mm: float
    length_mm: float
    density_kg_m3: float
    open_faces: int = 0


@dataclass(frozen=True)
class FreeSpindle:
    """A spindle that spins free between two flicks.

    Attributes:
        mass_kg: all pieces.
        inertia_kg_m2: about the axis.
        pieces: what it is made of.
        rubbing_nm: torque of the bearing, alike at any speed; 0 of a drop spindle, which hangs.
    """

    mass_kg: float
    inertia_kg_m2: float
    pieces: tuple[SpindlePiece, ...]
    rubbing_nm: float

    @property
    def weight_n(self) -> float:
        """Its weight: what a drop spindle hangs on the yarn."""
        return self.mass_kg * GRAVITY_M_S2

    def torque_nm(self, omega: float) -> float:
        """Return the torque against the motion at a speed in rad/s: bearing and air, N m."""
        air = math.fsum(
            body_torque_nm(TurningBody(p.diameter_mm, p.length_mm, p.open_faces), omega)
            for p in self.pieces
        )
        return self.rubbing_nm + air


@dataclass(frozen=True)
class Flick:
    """A push of the fingers round the shaft.

    Attributes:
        force_n: mean force of the fingers along the shaft's surface.
        travel_mm: way over which they push.
        finger_speed_m_s: the fastest that the fingers move; the shaft runs off them beyond it.
        shaft_diameter_mm: where they push.
    """

    force_n: float
    travel_mm: float
    finger_speed_m_s: float
    shaft_diameter_mm: float


@dataclass(frozen=True)
class FlickYield:
    """What one flick does.

    Attributes:
        start_rpm: speed when the fingers leave.
        seconds: time until the speed is too low to use.
        turns: turns in that time.
        yarn_m: yarn of the wanted twist that the turns make.
    """

    start_rpm: float
    seconds: float
    turns: float
    yarn_m: float


def twisted_yarn_torque_nm(pull_n: float, thickness_mm: float, turns_per_metre: float) -> float:
    """Return the torque with which a pulled, twisted yarn turns back.

    Its fibres lie on helices and share the pull evenly over the section: each has a part across
    the axis, r/R tan α of its pull at the arm r, and the sum over the section is F R tan α / 2.

    Args:
        pull_n: pull along the yarn.
        thickness_mm: its diameter.
        turns_per_metre: its twist.

    Returns:
        Torque, N m.

    Raises:
        QuantityError: a number is not above 0.
    """
    pull = checked_positive(pull_n, "the yarn's pull in N")
    radius_m = checked_positive(thickness_mm, "the yarn's diameter in mm") / 2000.0
    slope = math.tau * radius_m * checked_positive(turns_per_metre, "the twist in turns per metre")
    return 0.5 * pull * radius_m * slope


def free_spindle(
    pieces: Sequence[SpindlePiece],
    tip_diameter_mm: float | None = None,
    friction: float = 0.0,
    yarn_torque_nm: float = 0.0,
) -> FreeSpindle:
    """Return a spindle from its pieces and what it turns on.

    Args:
        pieces: whorl, shaft, cop.
        tip_diameter_mm: diameter on which a support spindle stands in its bowl; None where it
            hangs on the yarn.
        friction: coefficient of friction in the bowl.
        yarn_torque_nm: torque of the yarn against more twist.

    Returns:
        The spindle.

    Raises:
        QuantityError: there are no pieces, or a number is out of range.
    """
    if not pieces:
        raise QuantityError("the spindle has no pieces")
    solids = []
    for piece in pieces:
        for value, what in (
            (piece.diameter_mm, "piece's diameter in mm"),
            (piece.length_mm, "piece's length in mm"),
            (piece.density_kg_m3, "piece's density in kg/m3"),
        ):
            checked_positive(value, f"the {what}")
        solids.append(cylinder(piece.diameter_mm, piece.length_mm, piece.density_kg_m3))
    for value, what in ((friction, "friction"), (yarn_torque_nm, "yarn's torque in N m")):
        if not (math.isfinite(value) and value >= 0.0):
            raise QuantityError(f"the {what} is {value:g}; it must be 0 or more")
    mass = math.fsum(solid.mass_kg for solid in solids)
    rubbing = yarn_torque_nm
    if tip_diameter_mm is not None:
        radius_m = checked_positive(tip_diameter_mm, "the tip's diameter in mm") / 2000.0
        rubbing += FLAT_PIVOT_ARM * radius_m * friction * mass * GRAVITY_M_S2
    inertia = math.fsum(solid.polar_kg_m2 for solid in solids)
    return FreeSpindle(mass, inertia, tuple(pieces), rubbing)


def flick_speed_rad_s(spindle: FreeSpindle, flick: Flick) -> float:
    """Return the speed when the fingers leave the shaft.

    The work of the push becomes energy of rotation, F s = I ω²/2; but a shaft that runs as fast
    as the fingers can follow gets no more, so a light spindle is bound by the finger's speed and
    a heavy one by its force.

    Args:
        spindle: the spindle.
        flick: the push.

    Returns:
        Speed, rad/s. Friction during the push is left out.

    Raises:
        QuantityError: a number is not above 0.
    """
    force = checked_positive(flick.force_n, "the fingers' force in N")
    way_m = checked_positive(flick.travel_mm, "the fingers' way in mm") / 1000.0
    radius_m = checked_positive(flick.shaft_diameter_mm, "the shaft's diameter in mm") / 2000.0
    fastest = checked_positive(flick.finger_speed_m_s, "the fingers' speed in m/s") / radius_m
    return min(fastest, math.sqrt(2.0 * force * way_m / spindle.inertia_kg_m2))


def run_down(
    inertia_kg_m2: float, torque_nm: Callable[[float], float], start: float, end: float
) -> tuple[float, float]:
    """Return how long a body takes to slow down, and through what angle.

    Args:
        inertia_kg_m2: moment of inertia.
        torque_nm: torque against the motion at a speed in rad/s, above 0.
        start: first speed, rad/s.
        end: last speed, rad/s, above 0 and at most ``start``.

    Returns:
        Seconds and radians.

    Raises:
        QuantityError: the speeds or the inertia are out of range, or nothing brakes the body.
    """
    inertia = checked_positive(inertia_kg_m2, "the moment of inertia in kg m2")
    if not 0.0 < end <= start < math.inf:
        raise QuantityError(f"a spindle does not slow down from {start:g} to {end:g} rad/s")
    # Equal steps of ln ω: where the air alone brakes, 1/M grows without bound towards rest, and
    # equal steps of ω would leave the slow end, where most of the time is, to a few of them.
    step = math.log(start / end) / INTERVALS
    seconds, angle = [], []
    for i in range(INTERVALS + 1):
        omega = end * math.exp(i * step)
        weight = 1.0 if i in (0, INTERVALS) else 4.0 if i % 2 else 2.0
        slope = weight * inertia * omega / checked_positive(torque_nm(omega), "the braking torque")
        seconds.append(slope)
        angle.append(slope * omega)
    return math.fsum(seconds) * step / 3.0, math.fsum(angle) * step / 3.0


def flick_yield(
    spindle: FreeSpindle, flick: Flick, turns_per_metre: float, slowest_rpm: float
) -> FlickYield:
    """Return how long a spindle spins after a flick, its turns, and the yarn that they make.

    Args:
        spindle: the spindle.
        flick: the push.
        turns_per_metre: wanted twist of the yarn; from its count by a twist factor.
        slowest_rpm: speed below which the spinner flicks again.

    Returns:
        What one flick does; nothing is made where it does not reach the slowest speed.

    Raises:
        QuantityError: a number is out of range.
    """
    twist = checked_positive(turns_per_metre, "the twist in turns per metre")
    slowest = checked_positive(slowest_rpm, "the slowest speed in rpm") * math.pi / 30.0
    start = flick_speed_rad_s(spindle, flick)
    if start <= slowest:
        return FlickYield(start * 30.0 / math.pi, 0.0, 0.0, 0.0)
    seconds, angle = run_down(spindle.inertia_kg_m2, spindle.torque_nm, start, slowest)
    turns = angle / math.tau
    return FlickYield(start * 30.0 / math.pi, seconds, turns, turns / twist)


def hanging_safety(spindle: FreeSpindle, strength_n: float, cop_g: float = 0.0) -> float:
    """Return the safety factor of the yarn that a drop spindle hangs on: strength over weight.

    Args:
        spindle: the spindle.
        strength_n: what the yarn bears.
        cop_g: the yarn on the spindle.
    """
    weight = spindle.weight_n + cop_g / 1e3 * GRAVITY_M_S2
    return checked_positive(strength_n, "the yarn's strength in N") / weight
