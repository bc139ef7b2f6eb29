"""The spinning cycle: what each draw costs in turns of the hand and in seconds, and who errs.

A tip spindle spins in turns: *draft* with part of the twist, *finish* with the rest while the
yarn's length is held, *back off* the spiral that runs from cop to tip, *wind on*. A flyer takes
in while it spins, and stops only where the yarn is moved to another hook.
"""

from __future__ import annotations

import math
from typing import Literal

from wheelgeo.design.counts import checked_positive, tex
from wheelgeo.design.model import Count
from wheelgeo.errors import QuantityError
from wheelgeo.immutable import dataclass

PhaseName = Literal["draft", "finish", "back off", "wind on"]
UnevenBy = Literal["hand", "draw", "wheel"]



@dataclass(frozen=True)
class HandHabits:
    """How the spinner works.

    Attributes:
        draw_mm: yarn made in one draw.
        drafting_rpm: speed of the hand while drafting and finishing.
        backing_rpm: speed of the hand while backing off (slow: the yarn must stay taut).
        winding_rpm: speed of the hand while winding on.
        draft_share: part of the twist that goes in while drafting; the rest is finish.
        pause_s: time lost in one draw at the changes of direction, joins and looks.
    """

    draw_mm: float
    drafting_rpm: float
    backing_rpm: float
    winding_rpm: float
    draft_share: float = 0.8
    pause_s: float = 1.0


@dataclass(frozen=True)
class CycleStep:
    """One part of a draw: turns of the hand (never negative) and seconds."""

    name: PhaseName
    hand_turns: float
    seconds: float


@dataclass(frozen=True)
class SpinningCycle:
    """One draw at a tip spindle.

    Attributes:
        steps: draft, finish, back off, wind on.
        pause_s: time lost besides.
        yarn_m: yarn that it makes.
    """

    steps: tuple[CycleStep, ...]
    pause_s: float
    yarn_m: float

    @property
    def hand_turns(self) -> float:
        """Turns of the hand in one draw, forwards and back."""
        return math.fsum(step.hand_turns for step in self.steps)

    @property
    def seconds(self) -> float:
        """Duration of one draw, pauses included."""
        return math.fsum(step.seconds for step in self.steps) + self.pause_s

    @property
    def metres_per_hour(self) -> float:
        """Yarn made in an hour, all of the cycle counted."""
        return 3600.0 * self.yarn_m / self.seconds


@dataclass(frozen=True)
class SpinningWork:
    """What a length of yarn asks: draws or stops, turns of the hand, hours."""

    length_m: float
    hand_turns: float
    hours: float


def tip_cycle(
    habits: HandHabits,
    ratio: float,
    turns_per_metre: float,
    cop_diameter_mm: float,
    spiral_turns: float,
) -> SpinningCycle:
    """Return one draw at a tip spindle.

    Backing off unwinds the spiral from the cop to the tip. Winding on lays the draw on the cop
    and then the spiral again; the yarn in the spiral is the same at each draw and is not counted.

    Args:
        habits: how the spinner works.
        ratio: spindle turns per turn of the hand; its sign is left out.
        turns_per_metre: wanted twist.
        cop_diameter_mm: diameter on which the yarn is wound.
        spiral_turns: turns of the spiral between cop and tip; see ``spiral_turns``.

    Returns:
        The cycle.

    Raises:
        QuantityError: a number is out of range.
    """
    gear = checked_positive(abs(ratio), "the ratio")
    if not 0.0 < habits.draft_share <= 1.0:
        raise QuantityError(
            f"the share of twist while drafting is {habits.draft_share:g}; "
            "it must be above 0 and at most 1"
        )
    for value, what in ((habits.pause_s, "pause in s"), (spiral_turns, "number of spiral turns")):
        if not (math.isfinite(value) and value >= 0.0):
            raise QuantityError(f"the {what} is {value:g}; it must be 0 or more")
    metres = checked_positive(habits.draw_mm, "the draw in mm") / 1000.0
    twist = checked_positive(turns_per_metre, "the twist in turns per metre") * metres / gear
    girth_m = math.pi * checked_positive(cop_diameter_mm, "the cop's diameter in mm") / 1000.0
    work: tuple[tuple[PhaseName, float, float], ...] = (
        ("draft", twist * habits.draft_share, habits.drafting_rpm),
        ("finish", twist * (1.0 - habits.draft_share), habits.drafting_rpm),
        ("back off", spiral_turns / gear, habits.backing_rpm),
        ("wind on", (metres / girth_m + spiral_turns) / gear, habits.winding_rpm),
    )
    steps = tuple(
        CycleStep(name, turns, 60.0 * turns / checked_positive(rpm, f"the hand's rpm ({name})"))
        for name, turns, rpm in work
    )
    return SpinningCycle(steps, habits.pause_s, metres)


def spiral_turns(cop_to_tip_mm: float, pitch_mm: float) -> float:
    """Return the turns of the spiral from the cop to the tip.

    Args:
        cop_to_tip_mm: distance along the spindle from the top of the cop to the tip.
        pitch_mm: how far the spiral climbs in one turn.

    Returns:
        Turns of the spindle that backing off takes.

    Raises:
        QuantityError: a size is not above 0.
    """
    way = checked_positive(cop_to_tip_mm, "the way from cop to tip in mm")
    return way / checked_positive(pitch_mm, "the spiral's pitch in mm")


# The cop.


def cop_diameter_mm(
    length_m: float, count: Count, bare_mm: float, width_mm: float, volume_cm3_g: float
) -> float:
    """Return the outside of a cylindrical cop from the volume that its yarn takes up.

    Args:
        length_m: yarn on the cop.
        count: its count.
        bare_mm: diameter of the spindle beneath.
        width_mm: length of the cop.
        volume_cm3_g: space that a gram of wound yarn takes up, gaps included.

    Returns:
        Diameter, mm.

    Raises:
        QuantityError: a number is not above 0.
    """
    mass_g = checked_positive(length_m, "the length in m") * tex(count) / 1000.0
    volume_mm3 = 1000.0 * mass_g * checked_positive(volume_cm3_g, "the wound volume in cm3/g")
    width = checked_positive(width_mm, "the cop's width in mm")
    bare = checked_positive(bare_mm, "the bare spindle's diameter in mm")
    return math.sqrt(bare**2 + 4.0 * volume_mm3 / (math.pi * width))


def mean_winding_diameter_mm(bare_mm: float, full_mm: float) -> float:
    """Return the diameter that gives a whole cop's winding turns, its arithmetic mean.

    d² grows evenly with the yarn wound, so the turns are ∫ dL/(π d) = 2 L/(π (bare + full)).
    """
    bare = checked_positive(bare_mm, "the bare spindle's diameter in mm")
    return (bare + checked_positive(full_mm, "the full cop's diameter in mm")) / 2.0


# Whole lengths.


def tip_work(cycle: SpinningCycle, length_m: float) -> SpinningWork:
    """Return the turns of the hand and hours for a length, by draws like this one.

    Give the cycle at ``mean_winding_diameter_mm`` for a whole cop; a hank is 1 000 m, and 100 g
    are ``yarn_length_m(100, count)``.
    """
    draws = checked_positive(length_m, "the length in m") / cycle.yarn_m
    return SpinningWork(length_m, draws * cycle.hand_turns, draws * cycle.seconds / 3600.0)


def flyer_work(
    length_m: float,
    flyer_turns_per_drive_turn: float,
    turns_per_metre: float,
    drive_rpm: float,
    stop_every_m: float,
    stop_s: float,
) -> SpinningWork:
    """Return the turns of the drive and hours for a length at a flyer, which takes in as it spins.

    Args:
        length_m: yarn to be made.
        flyer_turns_per_drive_turn: the ratio.
        turns_per_metre: wanted twist.
        drive_rpm: speed of hand or treadle.
        stop_every_m: yarn between two stops (next hook, joins).
        stop_s: length of a stop.

    Returns:
        Turns and hours.

    Raises:
        QuantityError: a number is out of range.
    """
    metres = checked_positive(length_m, "the length in m")
    twist = metres * checked_positive(turns_per_metre, "the twist in turns per metre")
    turns = twist / checked_positive(abs(flyer_turns_per_drive_turn), "the ratio")
    if not (math.isfinite(stop_s) and stop_s >= 0.0):
        raise QuantityError(f"a stop of {stop_s:g} s; it must be 0 or more")
    stops = metres / checked_positive(stop_every_m, "the yarn between two stops in m")
    minutes = turns / checked_positive(drive_rpm, "the drive's speed in rpm")
    return SpinningWork(metres, turns, minutes / 60.0 + stops * stop_s / 3600.0)


# Who makes the twist scatter.


@dataclass(frozen=True)
class TwistScatter:
    """Standard deviation of the twist over its mean, by cause.

    Attributes:
        hand: from turns miscounted.
        draw: from draws of unequal length.
        wheel: from the wheel's ratio. Where that is a tolerance of making, all the yarn of one
            wheel is off by the same; only slip that comes and goes makes it uneven.
    """

    hand: float
    draw: float
    wheel: float

    @property
    def together(self) -> float:
        """The three together, as independent causes."""
        return math.sqrt(self.hand**2 + self.draw**2 + self.wheel**2)

    @property
    def most_by(self) -> UnevenBy:
        """The largest cause."""
        causes: dict[UnevenBy, float] = {"hand": self.hand, "draw": self.draw, "wheel": self.wheel}
        return max(causes, key=lambda name: causes[name])


def twist_scatter(
    turns_of_a_draw: float,
    turns_off: float,
    draw_mm: float,
    draw_off_mm: float,
    ratio_scatter: float,
) -> TwistScatter:
    """Return how much the twist scatters from draw to draw.

    Twist is turns × ratio / length, so relative deviations add in squares (GUM, first order).

    Args:
        turns_of_a_draw: turns of the hand that put the twist into one draw.
        turns_off: standard deviation of the hand's turns in one draw.
        draw_mm: length of a draw.
        draw_off_mm: standard deviation of that length.
        ratio_scatter: standard deviation of the wheel's ratio over its mean.

    Returns:
        The scatter by cause.

    Raises:
        QuantityError: a size is not above 0, or a deviation is below 0.
    """
    for value, what in ((turns_off, "hand's"), (draw_off_mm, "draw's"), (ratio_scatter, "wheel's")):
        if not (math.isfinite(value) and value >= 0.0):
            raise QuantityError(f"the {what} deviation is {value:g}; it must be 0 or more")
    return TwistScatter(
        turns_off / checked_positive(turns_of_a_draw, "the turns of the hand in a draw"),
        draw_off_mm / checked_positive(draw_mm, "the draw in mm"),
        ratio_scatter,
    )
