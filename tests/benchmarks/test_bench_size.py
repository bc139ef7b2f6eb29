"""Speed of the search for a brief, as ratios in one run.

Peers, on the same terms, the same places and the same measure, no findings asked on either side:

* plain arrays: every combination of a smaller space, its cost worked out by numpy, the least taken;
* ``scipy.optimize.differential_evolution`` over the indices of the whole space, with its own
  defaults, started again from other seeds until it comes as low or has had twenty times as long;
  what is not allowed costs more, the more the further off.
"""

import math
import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import differential_evolution

from wheelgeo.tune.brief import Sizes
from wheelgeo.tune.brief_file import read_brief
from wheelgeo.tune.brief_quality import quarter_turn, weights_of, wood_term
from wheelgeo.tune.size import size, space_of

pytestmark = pytest.mark.benchmark

BRIEF = replace(
    read_brief(Path(__file__).parents[2] / "designs" / "briefs" / "class-box.toml"), wheels=1
)
SMALL = replace(BRIEF, sizes=Sizes(
    tuple(np.linspace(150.0, 180.0, 6)), tuple(np.linspace(14.0, 18.0, 8)),
    tuple(np.linspace(66.0, 86.0, 6)), tuple(np.linspace(9.6, 11.0, 8)), 10.0,
))  # fmt: skip


def nothing_found(_design):
    return ()


def seconds(work, rounds=3):
    """The least of a few times, and what the work gave."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        result = work()
        times.append(time.perf_counter() - start)
    return min(times), result


def say(capsys, text):
    with capsys.disabled():
        sys.stdout.write(f"\nsize: {text}\n")


def test_more_than_1e8_combinations_are_proven_within_20_s(capsys):
    took, found = seconds(lambda: size(BRIEF), rounds=1)
    say(
        capsys,
        f"{found.combinations:.3g} combinations proven in {took:.2f} s, every rule asked of "
        f"{found.checked} wheels; {found.ruled_out / took:.3g} ruled out per second",
    )
    assert found.proven
    assert found.combinations >= 1e8
    assert took <= 20.0


def every_cost_by_arrays(brief):
    """The least cost of all combinations, each worked out."""
    space = space_of(brief, weights_of(brief.matters))
    plan, sizes = space.plan, brief.sizes
    count, least = 0, math.inf
    shift = np.maximum(np.arange(len(plan.x))[None, :] - np.arange(len(plan.x))[:, None], 0)
    for i, wheel in enumerate(sizes.wheel):
        main = plan.main(wheel)
        apart = np.hypot(plan.x[:, None] - main[0], plan.y[None, :] - main[1])
        for j, disc in enumerate(sizes.accelerator):
            first = space.first.cost(i, apart)
            for row, hub in enumerate(space.first.small_rim):
                room = plan.middle(main, wheel / 2.0, hub / 2.0, disc / 2.0)
                first[row][~room] = np.inf
            distance = (plan.x - plan.x[0])[shift]
            second = space.second.cost(j, distance)
            for row, whorl in enumerate(space.second.small_rim):
                far = distance >= plan.least_second(disc / 2.0, whorl / 2.0)
                room = plan.spindle_horizontal(main, wheel / 2.0, whorl / 2.0)[None, :] & far
                second[row][~room] = np.inf
            base = space.base_costs(i, j)
            for row in range(len(first)):
                cost = (
                    base[row][:, None, None, None]
                    + first[row][None, :, :, None]
                    + second[:, :, None, :]
                )
                count += cost.size
                least = min(least, float(cost.min()))
    return count, least


def test_against_plain_arrays(capsys):
    brute, (count, least) = seconds(lambda: every_cost_by_arrays(SMALL), rounds=1)
    ours, found = seconds(lambda: size(SMALL, checker=nothing_found))
    say(
        capsys,
        f"{count:.3g} combinations: plain arrays {brute / ours:.0f} times as long "
        f"({brute:.2f} s against {ours:.3f} s)",
    )
    assert count == found.combinations
    assert found.wheels[0].cost == pytest.approx(least, rel=1e-12)
    assert brute / ours >= 20.0


def scalar_cost(brief):
    """The cost of one combination given by indices; the more it breaks, the more it costs."""
    space = space_of(brief, weights_of(brief.matters))
    plan, sizes, weights = space.plan, brief.sizes, weights_of(brief.matters)
    most_wrap, most_lead = brief.limit("wrap_deg"), brief.limit("arriving_deg")
    allowed = math.log1p(brief.limit("twist_error_fraction"))

    def broken(i, j, row, column, x1, y1, x2):
        """Millimetres by which the layout's gaps are missed."""
        main, gap = plan.main(sizes.wheel[i]), plan.gap
        wheel, disc = sizes.wheel[i] / 2.0, sizes.accelerator[j] / 2.0
        hub, whorl = space.first.small_rim[row] / 2.0, space.second.small_rim[column] / 2.0
        apart, reach = math.hypot(x1 - main[0], y1 - main[1]), max(hub, disc) + gap
        return sum(max(short, 0.0) for short in (
            reach - x1, x1 + reach - plan.width, reach - y1, y1 + reach - plan.depth,
            wheel + hub + gap - apart, disc + brief.rods.main / 2.0 + gap - apart,
            main[0] + wheel + plan.cop + gap - x2,
            x2 + max(whorl, plan.cop) + gap - plan.width,
            plan.least_second(disc, whorl) - (x2 - x1),
        ))  # fmt: skip

    def cost(indices):
        row, column, i, j, a, b, c = (round(float(k)) for k in indices)
        x1, y1, x2 = float(plan.x[a]), float(plan.y[b]), float(plan.x[c])
        main = plan.main(sizes.wheel[i])
        bend = space.first.bend[i, row] + space.second.bend[j, column]
        missed = broken(i, j, row, column, x1, y1, x2)
        if missed > 0.0 or not math.isfinite(bend) or space.high[row, column]:
            return 1e3 + missed
        apart = math.hypot(x1 - main[0], y1 - main[1])
        big, small = space.first.large_pitch[i, row], space.first.small_pitch[row]
        wrap = 180.0 - 2.0 * math.degrees(math.asin(abs(big - small) / apart))
        turn = quarter_turn(
            space.second.large_pitch[j, column], space.second.small_pitch[column], x2 - x1
        )
        lead = max(float(turn.lead_whorl), float(turn.lead_disc))
        ratio = space.first.log_ratio[i, row] + space.second.log_ratio[j, column]
        ratio = abs(ratio - math.log(brief.ratio)) / allowed
        at_small, at_large = space.second.lead_limit[:, j, column]
        off = 100.0 * (
            max(ratio - 1.0, 0.0) + max(1.0 - wrap / most_wrap, 0.0)
            + max(float(turn.lead_whorl) / at_small - 1.0, 0.0)
            + max(float(turn.lead_disc) / at_large - 1.0, 0.0)
        )  # fmt: skip
        wood = wood_term(brief, (sizes.wheel[i], sizes.accelerator[j]))
        return float(
            weights["ratio"] * ratio + weights["slip"] / 2.0 * max(180.0 - wrap, 0.0) / 90.0
            + weights["lead"] * lead / most_lead + weights["wood"] * wood + bend + off
        )  # fmt: skip

    bounds = [
        (0, n - 1)
        for n in (
            len(space.first.small_rim), len(space.second.small_rim), len(sizes.wheel),
            len(sizes.accelerator), len(plan.x), len(plan.y), len(plan.x),
        )
    ]  # fmt: skip
    return cost, bounds


def indices_of(choice, space):
    """The indices of a combination: shows that both sides measure alike."""
    sizes, plan = space.brief.sizes, space.plan
    row = choice.first * len(sizes.hub) + sizes.hub.index(choice.hub)
    column = choice.second * len(sizes.whorl) + sizes.whorl.index(choice.whorl)
    x, y = list(plan.x), list(plan.y)
    return (
        row, column, sizes.wheel.index(choice.wheel), sizes.accelerator.index(choice.accelerator),
        x.index(choice.middle[0]), y.index(choice.middle[1]), x.index(choice.spindle[0]),
    )  # fmt: skip


def test_against_differential_evolution(capsys):
    ours, found = seconds(lambda: size(BRIEF, checker=nothing_found))
    cost, bounds = scalar_cost(BRIEF)
    best = found.wheels[0].cost
    choice, space = found.wheels[0].choice, space_of(BRIEF, weights_of(BRIEF.matters))
    assert cost(indices_of(choice, space)) == pytest.approx(best, rel=1e-12)
    theirs, least, runs = 0.0, math.inf, 0
    while least > best + 1e-9 and theirs < 20.0 * ours:
        runs += 1
        took, result = seconds(
            lambda seed=runs: differential_evolution(
                cost, bounds, integrality=[True] * len(bounds), rng=seed
            ),
            rounds=1,
        )
        theirs, least = theirs + took, min(least, result.fun)
    say(
        capsys,
        f"differential evolution, {runs} runs, {theirs / ours:.0f} times as long in all for "
        f"{least:.4f}, against {best:.4f} proven best in {ours:.2f} s",
    )
    assert best <= least + 1e-9
    assert theirs / ours >= 10.0
