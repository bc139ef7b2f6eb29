"""What spinning takes: turns of the hand and time of a draw, a hank, 100 g; who makes it uneven."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field, replace

from wheelgeo.as_json import NOT_IN_JSON
from wheelgeo.built.assumed import Assumption
from wheelgeo.design.limits import PRACTICE
from wheelgeo.design.model import Design, Yarn
from wheelgeo.design.other_parts import Habits
from wheelgeo.design.twist import wanted_turns_per_metre
from wheelgeo.drive.train import Solution
from wheelgeo.immutable import dataclass
from wheelgeo.units.keys import keys_of
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
from wheelgeo.yarn.fibre import density_g_cm3, volume_cm3_g
from wheelgeo.yarn.helix import ply_yarn
from wheelgeo.yarn.wheel_wind_on import mean_ratio
from wheelgeo.yarn.winders import HANK_M, yarn_length_m


@dataclass(frozen=True)
class StepAnswer:
    """One part of a draw: turns of the hand, and seconds."""

    name: str
    drive_turns: float
    seconds: float


@dataclass(frozen=True)
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


@dataclass(frozen=True)
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


@dataclass(frozen=True)
class CopSizeAnswer:
    """A draw with the cop as thick as that: it grows, and winding on takes fewer turns."""

    cop_diameter_mm: float
    drive_turns: float
    draw_seconds: float
    metres_per_hour: float


@dataclass(frozen=True)
class PlyingAnswer:
    """Plying on the same wheel, turned the other way.

    Attributes:
        direction: twist that it puts in, S or Z.
        drive_turns_per_metre: turns of the hand for a metre of plied yarn, by its twist alone.
        metres_per_hour: plied yarn in an hour of plying, winding on counted.
        strands_m: yarn of all strands together in a hank of 1 000 m plied.
        metric_hank: a plied hank of 1 000 m: its strands spun, and plied.
    """

    direction: str
    drive_turns_per_metre: float
    metres_per_hour: float
    strands_m: float
    metric_hank: WorkAnswer


@dataclass(frozen=True)
class SpinningAnswer:
    """What spinning the yarn takes.

    Attributes:
        steps: the parts of a draw at a tip spindle, with a cop half full; empty at a flyer, which
            takes in as it spins.
        draw_seconds: time of a draw, pauses counted; None at a flyer.
        metres_per_hour: yarn made in an hour, all of it counted.
        metric_hank: a hank of 1 000 m.
        per_100_g: 100 g of yarn.
        scatter: how evenly; None where the file tells no draw.
        cop: a draw with the bare spindle, the half full and the full cop; empty at a flyer.
        plying: of a plied yarn; None of a single.
        assumed: habits of the spinner that are the usual ones.
    """

    steps: tuple[StepAnswer, ...]
    draw_seconds: float | None
    metres_per_hour: float
    metric_hank: WorkAnswer
    per_100_g: WorkAnswer
    scatter: ScatterAnswer | None
    cop: tuple[CopSizeAnswer, ...] = ()
    plying: PlyingAnswer | None = None
    assumed: tuple[Assumption, ...] = field(default=(), metadata=NOT_IN_JSON)


def spinning_answer(solution: Solution) -> SpinningAnswer | None:
    """Return what spinning takes on a solved wheel; None where its file tells too little."""
    design, ratio = solution.design, solution.ratio
    yarn = design.yarn
    turns = None if yarn is None else wanted_turns_per_metre(yarn)
    if yarn is None or turns is None or not ratio:
        return None
    if design.spindle.kind == "flyer":
        return _at_a_flyer(design, yarn, mean_ratio(solution) or ratio, turns)
    if yarn.draw_mm is None:
        return None
    spindle = solution.built.spindle
    bare, full = spindle.cop_bore_mm, spindle.cop_diameter_mm(1.0)
    sizes = (bare, mean_winding_diameter_mm(bare, full), full)
    cycles = [_draw(solution, yarn, (ratio, turns), size) for size in sizes]
    cycle = cycles[1]
    lengths = (HANK_M, yarn_length_m(100.0, yarn.count))
    hank, grams = (_work(tip_work(cycle, metres)) for metres in lengths)
    counted = cycle.steps[0].hand_turns + cycle.steps[1].hand_turns
    return SpinningAnswer(
        tuple(StepAnswer(s.name, s.hand_turns, s.seconds) for s in cycle.steps),
        cycle.seconds, cycle.metres_per_hour, hank, grams,
        _scatter(design.habits, yarn, counted),
        tuple(CopSizeAnswer(size, c.hand_turns, c.seconds, c.metres_per_hour)
              for size, c in zip(sizes, cycles, strict=True)),
        _plying(
            design, yarn, (ratio, turns), hank,
            lambda laid: tip_work(_draw(solution, yarn, (ratio, laid), sizes[1]), HANK_M),
        ),
        _assumed(design, TIP_HABITS),
    )  # fmt: skip


def _scatter(habits: Habits, yarn: Yarn, turns_of_a_draw: float) -> ScatterAnswer | None:
    """Return how far hand and draw make the twist scatter; None where no draw is told."""
    if yarn.draw_mm is None:
        return None
    off = twist_scatter(
        turns_of_a_draw, habits.turns_off, yarn.draw_mm, habits.draw_off * yarn.draw_mm, 0.0
    )
    return ScatterAnswer(off.hand, off.draw, off.together, off.most_by)


def _plying(
    design: Design, yarn: Yarn, gear: tuple[float, float], hank: WorkAnswer,
    work: Callable[[float], SpinningWork],
) -> PlyingAnswer | None:  # fmt: skip
    """Return what plying takes; ``work``: a hank with that twist; None of a single yarn."""
    volume = volume_cm3_g(density_g_cm3(yarn.fibre, design.fibres))
    if yarn.count.plies == 1:
        return None
    made = ply_yarn(
        replace(yarn.count, plies=1), gear[1], yarn.twist, yarn.count.plies, yarn.ply_share, volume
    )
    plied = work(made.ply_turns_per_metre)
    strands = made.plies / made.length_share
    return PlyingAnswer(
        made.direction,
        made.ply_turns_per_metre / abs(gear[0]),
        HANK_M / plied.hours,
        strands * HANK_M,
        WorkAnswer(
            HANK_M, strands * hank.drive_turns + plied.hand_turns,
            strands * hank.hours + plied.hours,
        ),
    )  # fmt: skip


TIP_HABITS = {
    "backing": "{:g} rpm", "winding": "{:g} rpm", "draft_share": "{:.3g} %",
    "pause": "{:g} s a draw", "spiral": "{:g} mm a turn", "turns_off": "{:g} in a draw",
    "draw_off": "{:.3g} %",
}  # fmt: skip
FLYER_HABITS = {"hook_every": "{:g} m", "hook_stop": "{:g} s"}
DRAW_HABITS = {key: TIP_HABITS[key] for key in ("turns_off", "draw_off")}
"""What of the habits matters at a tip spindle, at a flyer, and at one where a draw is counted, by
the key, and how it is told."""


def _assumed(design: Design, matter: Mapping[str, str]) -> tuple[Assumption, ...]:
    """Return one assumption for all habits that the file leaves out; none where it tells all."""
    habits, told = design.habits, []
    for key in keys_of(Habits):
        if key.name in matter and key.name not in habits.given:
            value, form = getattr(habits, key.attribute), matter[key.name]
            told.append(f"{key.name} {form.format(100.0 * value if '%' in form else value)}")
    return (Assumption("[habits]", ", ".join(told), PRACTICE),) if told else ()


def _draw(
    solution: Solution, yarn: Yarn, gear: tuple[float, float], cop_mm: float
) -> SpinningCycle:
    """Return one draw at a ratio and twist, with the cop as thick as that."""
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
        *gear,
        cop_mm,
        spiral_turns(way, habits.spiral_mm),
    )  # fmt: skip


def _at_a_flyer(
    design: Design, yarn: Yarn, ratio: float, turns_per_metre: float
) -> SpinningAnswer:
    habits = design.habits

    def work(metres: float, twist: float) -> SpinningWork:
        return flyer_work(
            metres, ratio, twist, design.drive.speed_rpm, habits.hook_every, habits.hook_stop
        )

    lengths = (HANK_M, yarn_length_m(100.0, yarn.count))
    hank, grams = (_work(work(metres, turns_per_metre)) for metres in lengths)
    # Who treads so often to an arm's length of yarn counts draws at a flyer too.
    counted = 0.0 if yarn.draw_mm is None else turns_per_metre * yarn.draw_mm / 1e3 / ratio
    matter = FLYER_HABITS if yarn.draw_mm is None else {**FLYER_HABITS, **DRAW_HABITS}
    return SpinningAnswer(
        (), None, hank.length_m / hank.hours, hank, grams, _scatter(habits, yarn, counted),
        plying=_plying(
            design, yarn, (ratio, turns_per_metre), hank, lambda laid: work(HANK_M, laid)
        ),
        assumed=_assumed(design, matter),
    )  # fmt: skip


def _work(work: SpinningWork) -> WorkAnswer:
    return WorkAnswer(work.length_m, work.hand_turns, work.hours)
