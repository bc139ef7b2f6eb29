from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelgeo.design.counts import diameter_mm
from wheelgeo.design.model import Count
from wheelgeo.errors import QuantityError
from wheelgeo.yarn import cycle

HABITS = cycle.HandHabits(1000.0, 60.0, 20.0, 30.0, 0.75, 2.0)


def test_a_draw_by_hand():
    # 800 turns into 1 m at 100 to 1: 8 turns, 6 of them drafting at 1 a second. A spiral of 10
    # turns: a tenth of a turn back at a third of a turn a second. A cop 20 mm round takes 50
    # turns and the spiral 10: 0.6 turns at half a turn a second.
    one = cycle.tip_cycle(HABITS, -100.0, 800.0, 20.0 / math.pi, 10.0)
    assert [s.hand_turns for s in one.steps] == pytest.approx([6.0, 2.0, 0.1, 0.6])
    assert [s.seconds for s in one.steps] == pytest.approx([6.0, 2.0, 0.3, 1.2])
    assert one.seconds == pytest.approx(11.5)
    assert one.metres_per_hour == pytest.approx(3600.0 / 11.5)
    hank = cycle.tip_work(one, 1000.0)
    assert hank.hand_turns == pytest.approx(8700.0)
    assert hank.hours == pytest.approx(11500.0 / 3600.0)


def test_a_spiral_from_cop_to_tip():
    assert cycle.spiral_turns(60.0, 6.0) == 10.0


LAYER_RISE = math.sqrt(3.0) / 2.0
"""Rise of a layer that sinks between the turns of the one below, in diameters of the yarn."""


def cop_layers(length_m, count, bare_mm, width_mm):
    """Return diameter, turns and metres of each layer of a cop, from the bare spindle outwards."""
    yarn_mm = diameter_mm(count)
    left, layers = length_m, []
    while left > 0.0:
        middle = bare_mm + yarn_mm * (1.0 + 2.0 * LAYER_RISE * len(layers))
        turn_m = math.pi * middle / 1000.0
        metres = min(left, width_mm / yarn_mm * turn_m)
        layers.append((middle, metres / turn_m, metres))
        left = 0.0 if metres == left else left - metres
    return layers


@given(st.floats(20.0, 3000.0), st.floats(8.0, 12.0), st.floats(20.0, 90.0))
def test_layers_add_up_to_the_closed_form(length_m, bare_mm, width_mm):
    # Second method: layer by layer against the volume, each turn taking d × (√3/2) d of section.
    count = Count(40.0, "Nm")
    yarn_mm = diameter_mm(count)
    layers = cop_layers(length_m, count, bare_mm, width_mm)
    assert math.fsum(metres for _, _, metres in layers) == pytest.approx(length_m, rel=1e-9)
    volume = yarn_mm**2 * LAYER_RISE / (1000.0 / 40.0) * 1000.0
    full = cycle.cop_diameter_mm(length_m, count, bare_mm, width_mm, volume)
    outside = layers[-1][0] + yarn_mm
    assert outside == pytest.approx(full, abs=2.5 * yarn_mm)
    turns = math.fsum(turns for _, turns, _ in layers)
    mean = 1000.0 * length_m / (math.pi * turns)
    assert mean == pytest.approx(cycle.mean_winding_diameter_mm(bare_mm, full), abs=2 * yarn_mm)


def test_a_flyer_takes_in_as_it_spins():
    # 1 000 m of 400 turns at 10 to 1 are 40 000 turns: 500 minutes at 80. Ten stops of 30 s.
    work = cycle.flyer_work(1000.0, 10.0, 400.0, 80.0, 100.0, 30.0)
    assert work.hand_turns == pytest.approx(40000.0)
    assert work.hours == pytest.approx(500.0 / 60.0 + 300.0 / 3600.0)


def test_the_hand_that_is_half_a_turn_off_makes_the_yarn_uneven():
    # Half a turn in 3.6 is 13.9 %; 30 mm of 700 are 4.3 %, the wheel's 3 % is least.
    found = cycle.twist_scatter(3.6, 0.5, 700.0, 30.0, 0.03)
    assert found.most_by == "hand"
    assert found.hand == pytest.approx(0.1389, abs=5e-5)
    assert found.together == pytest.approx(math.sqrt(0.138889**2 + 0.042857**2 + 0.03**2), rel=1e-5)


def test_scatter_agrees_with_drawing_lots():
    # Second method: the spread of twists drawn at random, to first order and its own scatter.
    import numpy as np

    rng = np.random.default_rng(1)
    turns, draws = rng.normal(10.0, 0.3, 200_000), rng.normal(700.0, 14.0, 200_000)
    twists = turns * rng.normal(1.0, 0.01, 200_000) / draws
    found = cycle.twist_scatter(10.0, 0.3, 700.0, 14.0, 0.01).together
    assert found == pytest.approx(twists.std() / twists.mean(), rel=0.01)


@pytest.mark.parametrize(
    ("habits", "spiral", "says"),
    [
        (cycle.HandHabits(1000.0, 60.0, 20.0, 30.0, 1.2), 10.0, "share of twist"),
        (cycle.HandHabits(1000.0, 60.0, 20.0, 30.0, 0.8, -1.0), 10.0, "pause"),
        (HABITS, -1.0, "spiral"),
        (cycle.HandHabits(1000.0, 60.0, 0.0, 30.0), 10.0, "back off"),
    ],
)
def test_a_cycle_that_cannot_be_is_refused(habits, spiral, says):
    with pytest.raises(QuantityError, match=says):
        cycle.tip_cycle(habits, 100.0, 800.0, 10.0, spiral)
