"""How each pulley is held on its rod: what it must hold, and the way that its wall allows.

The greatest torque that a pulley ever sees is the least of two: what makes the weakest pulley of
its band slip, and what the hardest push of a person leaves of itself at that pulley.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from wheelgeo.built.as_built import Built
from wheelgeo.built.bodies import RUNNING_MM, pieces_on
from wheelgeo.built.kept import kept_with
from wheelgeo.built.pulley import BuiltPulley
from wheelgeo.design.ways_to_fix import Fixing, Seating, choose
from wheelgeo.drive.load import BandLoad, Load
from wheelgeo.immutable import dataclass

HARDEST_PUSH = 2.0
"""Hardest push over the force that a person keeps up: common practice, no source."""
TURNED_TRUE_MM = 0.01
"""How far groove and bore that were turned together may differ, mm: common practice, no source."""


@dataclass(frozen=True)
class FixedPulley:
    """A pulley that turns with its rod.

    Attributes:
        pulley: the pulley as built.
        piece: names of the pulleys of the piece that it is part of, which is fixed as one.
        torque_nm: greatest torque that it ever carries; 0 where no load is known.
        fixing: the way chosen.
    """

    pulley: BuiltPulley
    piece: tuple[str, ...]
    torque_nm: float
    fixing: Fixing

    @property
    def eccentricity_mm(self) -> float:
        """How far off centre its groove may run, mm: the fit's share and the turner's."""
        return self.fixing.eccentricity_mm + TURNED_TRUE_MM


def fixed_pulleys(built: Built, load: Load) -> Mapping[str, FixedPulley]:
    """Return how every pulley is held on its rod, by name.

    Args:
        built: the wheel.
        load: what it takes at working speed.
    """
    return kept_with(load, "fixed", lambda: _fixed(built, load))


def _fixed(built: Built, load: Load) -> Mapping[str, FixedPulley]:
    push = _push_over_work(built, load)
    torques = dict.fromkeys(built.pulleys, 0.0)
    for band in load.bands:
        for stop in band.stops:
            times = min(push, _margin(band))
            torques[stop.pulley] += abs(stop.torque_nm) * (times if math.isfinite(times) else 1.0)
    found: dict[str, FixedPulley] = {}
    for shaft in built.shafts:
        for piece in pieces_on(built, shaft):
            names, torque = tuple(p.name for p in piece), sum(torques[p.name] for p in piece)
            fixing = choose(seating(built, piece, torque))
            found |= {p.name: FixedPulley(p, names, torque, fixing) for p in piece}
    return {name: found[name] for name in built.pulleys}


def _margin(band: BandLoad) -> float:
    margin = band.margin if band.slips_at is None else band.slips_at
    return math.inf if margin is None else max(margin, 1.0)


def _push_over_work(built: Built, load: Load) -> float:
    """Return the torque of the hardest push over that of the work; infinite where not known.

    What limits a motor is not known, nor what limits a hand whose throw the file leaves out: then
    the bands alone do, and where nothing makes those slip either, the work. A hand on a wheel
    itself pushes at its rim at the farthest.
    """
    drive = built.design.drive
    limbs = {"crank": "hand", "hand": "hand", "treadle": "foot"}
    radius = drive.radius_mm
    if radius is None and drive.by == "hand":
        radius = max((0.5 * p.rim_mm for p in built.pulleys.values()), default=None)
    if drive.by not in limbs or radius is None or not load.hand_nm:
        return math.inf
    force = built.limit(f"{limbs[drive.by]}_force_n")
    return max(HARDEST_PUSH * force * radius / 1e3 / load.hand_nm, 1.0)


def seating(built: Built, piece: tuple[BuiltPulley, ...], torque_nm: float) -> Seating:
    """Return what a piece of one or more pulleys is to be fixed on.

    Args:
        built: the wheel.
        piece: the pulleys of it.
        torque_nm: greatest torque that they carry together.
    """
    first, shaft, spindle = piece[0], piece[0].shaft, built.design.spindle
    faces = [x for p in piece for x in p.faces_mm]
    # The bobbin comes off a flyer's rod behind the whorl, so the whorl must come off first.
    whorl = spindle.kind == "flyer" and spindle.bobbin is not None and shaft.name == spindle.shaft
    layers = first.pulley.build == "layers"
    return Seating(
        shaft.diameter_mm,
        min(p.bottom_mm if p.spoked is None else p.spoked.hub_mm for p in piece),
        max(faces) - min(faces),
        torque_nm,
        first.is_metal,
        built.limit("metal_wall_mm" if first.is_metal else "wood_wall_mm"),
        first.core_mm if layers else None,
        first.cheek_mm if layers else None,
        sleeve=shaft.runs_on is not None,
        comes_off=whorl,
        play_mm=RUNNING_MM if shaft.fixed else None,
    )
