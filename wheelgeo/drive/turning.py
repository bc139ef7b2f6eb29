"""What each shaft that turns takes whatever the bands pull: weights, yarn, air, and the hand."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from wheelgeo.drive.air import Drag, drag_law
from wheelgeo.drive.band_order import shaft_depths
from wheelgeo.drive.bearing_load import (
    Placed,
    bearing_loads,
    hand_place_mm,
    weights,
    yarn_on_tip,
)
from wheelgeo.drive.rotor import Rotor
from wheelgeo.drive.tension import End
from wheelgeo.drive.train import Solution
from wheelgeo.drive.yarn_hold import drawn_together
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class TurningShaft:
    """A shaft that turns.

    Attributes:
        rotor: it, with all that turns with it.
        omega: its speed, rad/s, positive.
        drag: of the air.
        steady: weights and the yarn's pull, each at its place.
        hand: place along it and arm, mm, of hand or foot; None where neither turns it.
        sleeves: shafts that turn on it, and how friction draws it and each of them together: 1
            where that holds back, -1 where it draws on.
        braked: sleeves on it that a brake holds back and no band drives.
    """

    rotor: Rotor
    omega: float
    drag: Drag
    steady: tuple[Placed, ...]
    hand: tuple[float, float] | None
    sleeves: Mapping[str, tuple[float, float]]
    braked: tuple[Rotor, ...]


def turning_shafts(solution: Solution, rotors: Sequence[Rotor]) -> dict[str, TurningShaft]:
    """Return every shaft that turns, by name, the driving one first.

    Args:
        solution: the solved wheel.
        rotors: its shafts with all that turns with them.
    """
    depths, design = shaft_depths(solution), solution.design
    by_name = {r.shaft.name: r for r in rotors}
    made = {}
    for name in sorted(depths, key=lambda n: depths[n]):
        speed = solution.shaft(name).speed_rpm or 0.0
        omega = abs(speed) * math.pi / 30.0
        hand = None
        by_limb = design.drive.by != "motor"  # a motor turns its shaft and leans on nothing
        if by_limb and name == design.drive.shaft and design.drive.radius_mm is not None:
            hand = hand_place_mm(solution.built), design.drive.radius_mm
        rotor = by_name[name]
        steady = list(weights(rotor))
        if name == design.spindle.shaft:
            steady.append(yarn_on_tip(solution.built, solution.built.limit("yarn_pull_n")))
        drag = drag_law(rotor.bodies, omega)
        sleeves = {
            other: drawn_together(_ahead(solution, name, other))
            for other in depths if design.shaft(other).runs_on == name
        }  # fmt: skip
        held = {d.shaft for d in design.drags} - set(depths)
        braked = tuple(r for r in rotors if r.shaft.runs_on == name and r.shaft.name in held)
        for other in braked:
            steady += weights(other)
        made[name] = TurningShaft(rotor, omega, drag, tuple(steady), hand, sleeves, braked)
    return made


def braked_sleeve_nm(sleeve: Rotor, end: End = "value") -> float:
    """Return the friction of a braked sleeve with its own weight on the rod that carries it, N m.

    The rod is what is driven, and runs ahead: it is held back with as much as the sleeve is drawn.

    Args:
        sleeve: the sleeve.
        end: with the friction as usual, or the least or the greatest.
    """
    carried = weights(sleeve)
    return bearing_loads(sleeve.shaft.axis, sleeve.journals, carried, end=end).friction_nm


def _ahead(solution: Solution, rod: str, sleeve: str) -> float:
    """Return the turns of a sleeve for one of the rod that it turns on; both are driven."""
    turns = [solution.shaft(n).turns_without_slip or 0.0 for n in (rod, sleeve)]
    return turns[1] / turns[0]
