"""What spinning takes: turns of the hand and time of a draw, a hank, 100 g; who makes it uneven."""

from __future__ import annotations

from dataclasses import dataclass

from wheelgeo.design.model import Design, Yarn
from wheelgeo.design.twist import wanted_turns_per_metre
from wheelgeo.drive.train import Solution
from wheelgeo.yarn.cycle import (
    HandHabits,
    SpinningCycle,
    SpinningWork,
    flyer_work,
    mean_winding_diameter_mm,
    spiral_turns,
    tip_cycle,
    tip_work,
    twist_scatter,
)
from wheelgeo.yarn.winders import HANK_M, yarn_length_m


@dataclass(frozen=True, slots=True)
class StepAnswer:
    """One part of a draw: turns of the hand, and seconds."""

    name: str
    drive_turns: float
    seconds: float


@dataclass(frozen=True, slots=True)
class WorkAnswer:
    """What a length of yarn takes.

    Attributes:
        length_m: of the yarn.
        drive_turns: turns of the hand or the treadle.
        hours: time, all of the cycle counted.
    """

    length_m: float
    drive_turns: float
    hours: float


@dataclass(frozen=True, slots=True)
class ScatterAnswer:
    """How far the twist scatters from draw to draw, as a fraction of it: standard deviations.

    Attributes:
        hand: from turns of the hand miscounted.
        draw: from draws of unequal length.
        together: both.
        most_by: the larger cause.
    """

    hand: float
    draw: float
    together: float
    most_by: str


@dataclass(frozen=True, slots=True)
class SpinningAnswer:
    """What spinning the yarn takes.

    Attributes:
        steps: the parts of a draw at a tip spindle, with a cop half full; empty at a flyer, which
            takes in as it spins.
        draw_seconds: time of a draw, pauses counted; None at a flyer.
        metres_per_hour: yarn made in an hour, all of it counted.
        metric_hank: a hank of 1 000 m.
        per_100_g: 100 g of yarn.
        scatter: how evenly; None at a flyer, where no draw is counted.
    """

    steps: tuple[StepAnswer, ...]
    draw_seconds: float | None
    metres_per_hour: float
    metric_hank: WorkAnswer
    per_100_g: WorkAnswer
    scatter: ScatterAnswer | None


def spinning_answer(solution: Solution) -> SpinningAnswer | None:
    """Return what spinning takes on a solved wheel; None where its file tells too little."""
    design, ratio = solution.design, solution.ratio
    yarn = design.yarn
    turns = None if yarn is None else wanted_turns_per_metre(yarn)
    if yarn is None or turns is None or not ratio:
        return None
    if design.spindle.kind == "flyer":
        return _at_a_flyer(design, yarn, ratio, turns)
    if yarn.draw_mm is None:
        return None
    cycle = _draw(solution, yarn, ratio, turns)
    lengths = (HANK_M, yarn_length_m(100.0, yarn.count))
    hank, grams = (_work(tip_work(cycle, metres)) for metres in lengths)
    habits = design.habits
    counted = cycle.steps[0].hand_turns + cycle.steps[1].hand_turns
    off = twist_scatter(
        counted, habits.turns_off, yarn.draw_mm, habits.draw_off * yarn.draw_mm, 0.0
    )
    return SpinningAnswer(
        tuple(StepAnswer(s.name, s.hand_turns, s.seconds) for s in cycle.steps),
        cycle.seconds, cycle.metres_per_hour, hank, grams,
        ScatterAnswer(off.hand, off.draw, off.together, off.most_by),
    )  # fmt: skip


def _draw(solution: Solution, yarn: Yarn, ratio: float, turns_per_metre: float) -> SpinningCycle:
    """Return one draw with a cop half full by its diameter: the mean over the whole cop."""
    design, habits = solution.design, solution.design.habits
    spindle = solution.built.spindle
    cop, tip = spindle.cop.value, spindle.ends_mm[1]
    # Backing off unwinds what climbs from the cop's end to the tip: at least a turn's climb.
    way = max(tip - cop.to_mm, habits.spiral_mm)
    assert yarn.draw_mm is not None
    return tip_cycle(
        HandHabits(
            yarn.draw_mm, design.drive.speed_rpm, habits.backing_rpm, habits.winding_rpm,
            habits.draft_share, habits.pause,
        ),
        ratio,
        turns_per_metre,
        mean_winding_diameter_mm(spindle.cop_bore_mm, spindle.cop_diameter_mm(1.0)),
        spiral_turns(way, habits.spiral_mm),
    )  # fmt: skip


def _at_a_flyer(
    design: Design, yarn: Yarn, ratio: float, turns_per_metre: float
) -> SpinningAnswer:
    habits = design.habits
    hank, grams = (
        flyer_work(
            metres, ratio, turns_per_metre, design.drive.speed_rpm, habits.hook_every,
            habits.hook_stop,
        )
        for metres in (HANK_M, yarn_length_m(100.0, yarn.count))
    )  # fmt: skip
    per_hour = hank.length_m / hank.hours
    return SpinningAnswer((), None, per_hour, _work(hank), _work(grams), None)


def _work(work: SpinningWork) -> WorkAnswer:
    return WorkAnswer(work.length_m, work.hand_turns, work.hours)
