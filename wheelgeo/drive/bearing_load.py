"""What the bearings of a shaft carry: bands, weights, yarn and hand, each at its place on the rod.

Each force acts with its lever about the bearings, so that what hangs over beyond a bearing lifts
the other one. z is up. A force that goes round with the crank loads a bearing by its mean over the
turn. Glossary: the *collar* is the shoulder or washer that takes the force along the axis.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from wheelgeo.built.as_built import Built
from wheelgeo.built.crank_arm import crank_plane_mm
from wheelgeo.built.shaft import BuiltBearing
from wheelgeo.drive.rotor import Rotor
from wheelgeo.drive.statics import NO_PULL, HeldRod
from wheelgeo.drive.tension import End
from wheelgeo.geometry.vectors import Vector, across, add, dot, norm, scale, sub
from wheelgeo.immutable import dataclass
from wheelgeo.units.quantity import GRAVITY_M_S2

UP: Vector = (0.0, 0.0, 1.0)
COLLAR = 1.5
"""Mean diameter of the collar over the shaft's diameter; common practice, no source."""
YARN_OFF_AXIS_DEG = {"tip": 45.0, "flyer": 15.0}
"""Angle between yarn and axis in drafting, off a tip and out of an orifice; common practice, no
source."""
_ANGLES = 24
"""Angles of the crank at which its force is looked at; the mean over a turn is then exact to a
part in a thousand, and to rounding where the force is not near what else the bearing carries."""

_TURN = tuple(
    (math.cos(2.0 * math.pi * i / _ANGLES), math.sin(2.0 * math.pi * i / _ANGLES))
    for i in range(_ANGLES)
)

Placed = tuple[float, Vector]
"""A force, N, and its place along the shaft, mm."""


@dataclass(frozen=True)
class HandForce:
    """What hand or foot puts on the shaft.

    Attributes:
        at_mm: place along the shaft: the plane of the crank.
        force_n: the force while it pushes.
        by: of a crank it goes round, of a treadle it pulls down for half of each turn, a hand on
            the rim pushes down.
    """

    at_mm: float
    force_n: float
    by: str


@dataclass(frozen=True)
class BearingLoads:
    """What the bearings of a shaft carry.

    Attributes:
        forces_n: across the axis on each bearing, mean over a turn.
        thrust_n: along the axis, on the collar.
        friction_nm: torque of all of them.
    """

    forces_n: tuple[float, ...]
    thrust_n: float
    friction_nm: float


def weights(rotor: Rotor) -> Iterator[Placed]:
    """Yield the weight of everything on a shaft, at its middle."""
    for at, mass in rotor.masses:
        yield at, scale(UP, -mass * GRAVITY_M_S2)


def yarn_on_tip(built: Built, pull_n: float) -> Placed:
    """Return the yarn's pull on the spindle, at its front end, drawn forwards and upwards.

    Across an upright spindle every direction is as good as another.
    """
    spindle = built.spindle
    axis, angle = spindle.shaft.axis, math.radians(YARN_OFF_AXIS_DEG[built.design.spindle.kind])
    level = sub(UP, scale(axis, dot(UP, axis)))
    side = scale(level, 1.0 / norm(level)) if norm(level) > 1e-6 else across(axis)[0]
    pull = add(scale(axis, math.cos(angle)), scale(side, math.sin(angle)))
    return max(spindle.reach.value), scale(pull, pull_n)


def hand_place_mm(built: Built) -> float:
    """Return where hand or foot acts along the shaft that it turns, mm."""
    plane = crank_plane_mm(built)
    if plane is not None:
        return plane
    made = built.shafts[built.design.drive.shaft]
    widest = max(made.carries, key=lambda p: p.rim_mm, default=None)
    return 0.5 * sum(made.ends_mm) if widest is None else widest.pulley.offset_mm


def bearing_loads(
    axis: Vector,
    journals: Sequence[BuiltBearing],
    steady: Iterable[Placed],
    hand: HandForce | None = None,
    end: End = "value",
) -> BearingLoads:
    """Return what the bearings of a shaft carry.

    Args:
        axis: unit vector of the shaft.
        journals: its bearings.
        steady: forces that stand still in space.
        hand: what hand or foot adds, or None.
        end: with the friction of each bearing as usual, or the least or the greatest.
    """
    return LoadedRod(axis, journals, steady, end).loads((), hand)


class LoadedRod:
    """A rod in its bearings with what stands still on it, ready for pulls that settle in rounds.

    Args:
        axis: unit vector of the shaft.
        journals: its bearings.
        steady: forces that stay.
        end: as for ``bearing_loads``.
    """

    def __init__(
        self, axis: Vector, journals: Sequence[BuiltBearing], steady: Iterable[Placed],
        end: End = "value",
    ) -> None:  # fmt: skip
        self._rod = HeldRod(axis, journals)
        self._steady = self._rod.added(NO_PULL, steady)
        self._sides = across(axis)
        self._rubs: list[float] = [getattr(j.friction, end) * j.diameter_mm for j in journals]
        self._collar = max(self._rubs) * COLLAR / 2e3

    def loads(self, pulls: Iterable[Placed], hand: HandForce | None = None) -> BearingLoads:
        """Return what the bearings carry with some pulls besides, and hand or foot."""
        held, thrust = self._rod.reactions(self._rod.added(self._steady, pulls))
        forces, along = self._with_hand(held, thrust, hand)
        sides = math.fsum([rub * f / 2e3 for rub, f in zip(self._rubs, forces, strict=True)])
        return BearingLoads(forces, along, sides + self._collar * along)

    def _with_hand(
        self, held: tuple[Vector, ...], thrust: float, hand: HandForce | None
    ) -> tuple[tuple[float, ...], float]:
        """Return mean force on each bearing, and mean thrust, with the hand's force."""
        if hand is None:
            return tuple([norm(f) for f in held]), abs(thrust)
        if hand.by == "crank":
            u, v = (self._pushed(hand, side)[0] for side in self._sides)
            return tuple(map(_mean_round, held, u, v)), abs(thrust)
        down = scale(UP, -1.0)
        pushes = [down, (0.0, 0.0, 0.0)] if hand.by == "treadle" else [down]
        sums, along = [0.0] * len(held), 0.0
        for push in pushes:
            more, more_thrust = self._pushed(hand, push)
            sums = [s + norm(add(a, b)) for s, a, b in zip(sums, held, more, strict=True)]
            along += abs(thrust + more_thrust)
        return tuple(s / len(pushes) for s in sums), along / len(pushes)

    def _pushed(self, hand: HandForce, way: Vector) -> tuple[tuple[Vector, ...], float]:
        push = (hand.at_mm, scale(way, hand.force_n))
        return self._rod.reactions(self._rod.added(NO_PULL, (push,)))


def _mean_round(still: Vector, u: Vector, v: Vector) -> float:
    """Return the mean size of a force that stands still with one that goes round from u to v.

    Reactions are linear in the forces, so that those of two directions give every other one.
    """
    squares = norm(still) ** 2 + norm(u) ** 2  # u and v are as long as each other, and square
    by_u, by_v = 2.0 * dot(still, u), 2.0 * dot(still, v)
    # Where the two forces cancel, rounding may leave a square just below zero.
    round_it = [squares + c * by_u + s * by_v for c, s in _TURN]
    if min(round_it) <= 0.0:
        round_it = [max(q, 0.0) for q in round_it]
    return math.fsum(map(math.sqrt, round_it)) / _ANGLES
