"""What an untrue cop does: yarn wound on a little to one side shakes spindle, tip and bearings.

The *stiff* force is mass times eccentricity times speed squared, as it would be on a rod that did
not bend. A rod turning near or above its first critical speed bends, and passes on more or less of
it: what each bearing carries and how far the tip goes round follow from the bent rod.
"""

from __future__ import annotations

from wheelgeo.drive.balance import unbalance_force_n
from wheelgeo.drive.beam import Eccentric
from wheelgeo.drive.beam_speeds import turned_shapes_m
from wheelgeo.drive.train import Solution
from wheelgeo.drive.whirl import ELEMENTS, RPM, Tap, spindle_beams
from wheelgeo.immutable import dataclass

SHARES = (0.25, 0.5, 0.75, 1.0)
"""Cops that are looked at, as shares of the full one: the worst of them is told."""


@dataclass(frozen=True)
class CopShake:
    """What an untrue cop, or the yarn of an untrue bobbin, does at working speed.

    Attributes:
        mass_g: of the full cop.
        eccentricity_mm: from the spindle's axis to the cop's centre of mass.
        given: whether the file gives that.
        speed_rpm: of what the yarn is on.
        stiff_n: force that would go round with a full cop on a rod that did not bend.
        bearings_n: place along the spindle, mm, and force, N, that goes round in each bearing,
            the greatest as the cop grows; none where the spindle runs at a critical speed.
        tip_mm: radius of the circle that the tip, or the orifice, describes, likewise the greatest.
    """

    mass_g: float
    eccentricity_mm: float
    given: bool
    speed_rpm: float
    stiff_n: float
    bearings_n: tuple[tuple[float, float], ...]
    tip_mm: float | None


def cop_shake(
    solution: Solution, tap: Tap, shakes: bool
) -> CopShake | None:
    """Return what an untrue cop does; None where the spindle is not driven or has no yarn.

    Args:
        solution: the solved wheel.
        tap: what the file tells of its bearings.
        shakes: a critical speed is too near its working speed, or not known.
    """
    built, design = solution.built, solution.design
    spindle, mass = built.spindle, built.spindle.cop.value.mass_g
    speed = _speed_rpm(solution)
    if not speed or mass <= 0.0:
        return None
    off, given = built.limit("cop_eccentricity_mm"), "cop_eccentricity_mm" in design.limits
    stiff = unbalance_force_n(off, mass / 1e3, speed)
    if shakes:
        return CopShake(mass, off, given, speed, stiff, (), None)
    low, cop = spindle.reach.value[0], spindle.cop.value
    start, stop = (cop.from_mm - low) / 1e3, (cop.to_mm - low) / 1e3
    forces = dict.fromkeys((b.at_mm for b in spindle.bearings), 0.0)
    tip = 0.0
    beams = spindle_beams(spindle, SHARES, factor=tap.factor)
    uneven = [
        Eccentric(start, stop, share * mass / 1e3 * off / 1e3 / (stop - start)) for share in SHARES
    ]
    shapes = turned_shapes_m(beams, speed / RPM, uneven, ELEMENTS)
    for beam, shape in zip(beams, shapes, strict=True):
        tip = max(tip, 1e3 * abs(shape[max(shape)]))
        for bearing, support in zip(spindle.bearings, beam.supports, strict=True):
            bent = shape[min(shape, key=lambda x: abs(x - support.at_m))]
            force = abs(bent) * (support.stiffness_n_m or 0.0)
            forces[bearing.at_mm] = max(forces[bearing.at_mm], force)
    return CopShake(mass, off, given, speed, stiff, tuple(forces.items()), tip)


def _speed_rpm(solution: Solution) -> float | None:
    """Return the speed of what the yarn is on: a bobbin's own where it has one."""
    bobbin = solution.design.spindle.bobbin
    own = None if bobbin is None else solution.shaft(bobbin).speed_rpm
    speed = solution.spindle.speed_rpm if own is None else own
    return None if speed is None else abs(speed)
