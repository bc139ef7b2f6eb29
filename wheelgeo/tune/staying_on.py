"""Whether the band of an untrue old wheel stays on, over a turn, and how far to shim or tilt."""

from __future__ import annotations

import math
from collections.abc import Mapping

from wheelgeo.design.limits import LIMITS
from wheelgeo.design.model import Design
from wheelgeo.drive.train import BandMotion, pitch_circles, solve_drive
from wheelgeo.drive.untrue_wheel import OverTurn, oval_lengths_mm, over_turn
from wheelgeo.errors import PathError
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class ArrivingOverTurn:
    """How a band arrives at a pulley over a turn of the untrue wheel.

    Attributes:
        pulley: its name.
        spinning_deg: least and greatest lead angle on arriving, positive along the axis.
        backing_off_deg: the same for the wheel turned back.
        catches_deg: largest that its groove catches; None where the groove is not known.
    """

    pulley: str
    spinning_deg: tuple[float, float]
    backing_off_deg: tuple[float, float]
    catches_deg: float | None

    @property
    def worst_deg(self) -> float:
        """Largest lead angle, both ways."""
        return max(map(abs, (*self.spinning_deg, *self.backing_off_deg)))

    @property
    def holds(self) -> bool | None:
        """Whether the groove always catches the band; None where that is not known."""
        return None if self.catches_deg is None else self.worst_deg <= self.catches_deg


@dataclass(frozen=True)
class StayingOn:
    """What an untrue wheel does to its band over a turn.

    Attributes:
        length_mm: least and greatest length of the path.
        pulleys: how the band arrives at each, in route order.
        wobble_deg: how far the wheel's plane leans against its axle; 0 where it does not.
        aside_deg: how far the wheel's axle would have to be tilted so that its plane meets the
            whorl's groove; positive: its end on the side of the spindle's tip goes away from the
            spindle.
        left_out: what could not be reckoned, and why; empty: nothing.
    """

    length_mm: tuple[float, float]
    pulleys: tuple[ArrivingOverTurn, ...]
    wobble_deg: float
    aside_deg: float
    left_out: str


def staying_on(design: Design, measured_mm: Mapping[str, float]) -> StayingOn | None:
    """Return what an old wheel's untruth does to its band; None where none was measured.

    Args:
        design: the old wheel; its first pulley is the untrue one.
        measured_mm: ``wobble``: how far the rim moves sideways in all over a turn; ``eccentric``:
            how far it moves in and out; ``wheel`` and ``least``: greatest and least diameter of an
            oval rim; ``aside``: how far the whorl's groove stands aside, towards the tip.
    """
    if not {"wobble", "eccentric", "least", "aside"} & set(measured_mm):
        return None
    solution = solve_drive(design)
    motion = solution.bands[0]
    if motion.path is None:
        return None
    circles = pitch_circles(design, motion.band, motion.seats, motion.senses[0])
    wobble, out = (measured_mm.get(key, 0.0) for key in ("wobble", "eccentric"))
    left_out = ""
    shafts = [design.pulley(stop.pulley).shaft for stop in motion.band.route]
    try:
        grooves = [i for i, shaft in enumerate(shafts) if shaft == shafts[0]]
        turn = over_turn(circles, grooves, wobble, out)
    except PathError as error:
        left_out = f"where the band runs over a turn, for it has no path all round ({error})"
        turn = None
    length = (motion.path.length_mm,) * 2 if turn is None else turn.length_mm
    if "least" in measured_mm:
        try:
            shorter, longer = _oval(motion, measured_mm)
        except ValueError as error:  # at its greatest diameter it comes too near the whorl
            left_out = f"what an oval rim does to the band's length ({error})"
        else:
            length = length[0] + shorter, length[1] + longer
    return StayingOn(
        length, () if turn is None else _arriving(motion, turn),
        math.degrees(math.asin(min(1.0, 0.5 * wobble / circles[0].radius_mm))),
        # The whorl's middle lies in the wheel's plane once the axle leans by this: the lever is the
        # distance of the two axes, not the shorter run.
        math.degrees(math.atan2(measured_mm.get("aside", 0.0), _apart_mm(design, shafts))),
        left_out,
    )  # fmt: skip


def _apart_mm(design: Design, shafts: list[str]) -> float:
    """Return the distance of the axes of wheel and whorl, which are parallel."""
    return math.dist(design.shaft(shafts[0]).at_mm, design.shaft(shafts[1]).at_mm)


def _oval(motion: BandMotion, measured_mm: Mapping[str, float]) -> tuple[float, float]:
    """Return by how much an oval rim shortens and lengthens a band over a turn, mm.

    A band that goes twice round meets the oval in two grooves side by side, which turn as one.
    """
    path, crossed = motion.path, motion.band.crossed
    assert path is not None
    mean = 0.5 * motion.seats[0].pitch_diameter_mm
    others = [0.5 * seat.pitch_diameter_mm for seat in motion.seats[1::2]]
    half = 0.25 * (measured_mm["wheel"] - measured_mm["least"])
    apart = math.dist(path.circles[0].centre_mm, path.circles[1].centre_mm)
    low, high = oval_lengths_mm(mean + half, mean - half, others, apart, crossed)
    round_, _ = oval_lengths_mm(mean, mean, others, apart, crossed, steps=1)
    return low - round_, high - round_


def _arriving(motion: BandMotion, turn: OverTurn) -> tuple[ArrivingOverTurn, ...]:
    flat = LIMITS["flat_arriving_deg"].default
    found = []
    for i, stop in enumerate(motion.band.route):
        seat = motion.seats[i]
        catches = seat.catch_deg if seat.mouth_mm is not None else flat
        found.append(
            ArrivingOverTurn(stop.pulley, turn.arriving_deg[i], turn.leaving_deg[i], catches)
        )
    return tuple(found)
