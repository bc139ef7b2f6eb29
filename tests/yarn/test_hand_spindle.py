from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelgeo.design.model import Count
from wheelgeo.drive.integrate import StepTolerance, advance
from wheelgeo.errors import QuantityError
from wheelgeo.yarn import hand_spindle
from wheelgeo.yarn.fibre import singles_strength_n

WHORL = hand_spindle.SpindlePiece(60.0, 10.0, 700.0, 2)
SHAFT = hand_spindle.SpindlePiece(8.0, 250.0, 700.0)
FLICK = hand_spindle.Flick(1.0, 30.0, 1.5, 8.0)


def test_inertia_of_whorl_and_shaft_by_hand():
    # m = ρ π r² h: 700 × π × 0.03² × 0.01 = 19.79 g, I = m r²/2 = 8.906e-6; the shaft 8.796 g and
    # 7.04e-8 kg m².
    made = hand_spindle.free_spindle([WHORL, SHAFT])
    assert made.mass_kg == pytest.approx(0.028588, abs=1e-6)
    assert made.inertia_kg_m2 == pytest.approx(8.906e-6 + 7.04e-8, rel=1e-3)
    assert made.weight_n == pytest.approx(0.28036, abs=1e-5)


def test_a_flick_is_bound_by_force_or_by_the_finger():
    made = hand_spindle.free_spindle([WHORL, SHAFT])
    # 1 N over 30 mm are 0.03 J: √(2 × 0.03 / 8.977e-6) = 81.76 rad/s; a finger of 1.5 m/s on a
    # radius of 4 mm allows 375, one of 0.2 m/s 50.
    assert hand_spindle.flick_speed_rad_s(made, FLICK) == pytest.approx(81.76, rel=1e-3)
    slow = hand_spindle.Flick(1.0, 30.0, 0.2, 8.0)
    assert hand_spindle.flick_speed_rad_s(made, slow) == pytest.approx(50.0)


def test_friction_in_the_bowl_by_hand():
    # Flat pivot of 2 mm: 2/3 × 1 mm × 0.2 × 0.28036 N.
    made = hand_spindle.free_spindle([WHORL, SHAFT], 2.0, 0.2)
    assert made.rubbing_nm == pytest.approx(2.0 / 3.0 * 1e-3 * 0.2 * 0.28036, rel=1e-4)


@given(
    rubbing=st.floats(1e-6, 1e-3),
    air=st.floats(1e-9, 1e-6),
    start=st.floats(50.0, 400.0),
    share=st.floats(0.05, 0.9),
)
def test_run_down_against_the_closed_form(rubbing, air, start, share):
    # I dω/dt = −(a + b ω²): t = I/√(ab) [atan(ω √(b/a))], θ = I/(2b) ln(a + b ω²), between limits.
    inertia, end = 1e-5, start * share
    seconds, angle = hand_spindle.run_down(inertia, lambda w: rubbing + air * w * w, start, end)
    root = math.sqrt(air / rubbing)
    exact_s = inertia / math.sqrt(rubbing * air) * (math.atan(start * root) - math.atan(end * root))
    ends = (rubbing + air * start**2) / (rubbing + air * end**2)
    assert seconds == pytest.approx(exact_s, rel=1e-8)
    assert angle == pytest.approx(inertia / (2.0 * air) * math.log(ends), rel=1e-8)


def test_run_down_with_even_friction_is_the_textbook():
    # ω² = ω₀² − 2 (M/I) θ, t = I (ω₀ − ω)/M.
    seconds, angle = hand_spindle.run_down(1e-5, lambda _: 1e-4, 200.0, 20.0)
    assert seconds == pytest.approx(18.0, rel=1e-9)
    assert angle == pytest.approx((200.0**2 - 20.0**2) / 20.0, rel=1e-9)


def test_run_down_of_a_real_spindle_against_integration_in_time():
    # Second method: the equation of motion stepped through time by the house's own integrator.
    made = hand_spindle.free_spindle([WHORL, SHAFT], 2.0, 0.2)
    start, end = 80.0, 20.0
    seconds, angle = hand_spindle.run_down(made.inertia_kg_m2, made.torque_nm, start, end)

    def law(t, y):
        return (-made.torque_nm(y[0]) / made.inertia_kg_m2, y[0]), None

    t, state, h, event = 0.0, (start, 0.0), 0.01, None
    known = law(t, state)
    while event is None:
        # The event is the slowest speed.
        exact = StepTolerance(1e-10, 1e-10)
        gone = advance(law, t, state, h, [lambda y, _: y[0] - end], exact, known)
        t, state, h, event, known = gone.t, gone.state, gone.next_h, gone.event, gone.known
    assert seconds == pytest.approx(t, rel=1e-6)
    assert angle == pytest.approx(state[1], rel=1e-6)


def test_energy_of_the_flick_is_what_the_bearing_takes():
    # With even friction the turns follow from energy alone: I (ω₀² − ω²)/2 = M θ.
    made = hand_spindle.free_spindle([WHORL, SHAFT], 2.0, 0.2)
    start, end = 80.0, 20.0
    _, angle = hand_spindle.run_down(made.inertia_kg_m2, lambda _: made.rubbing_nm, start, end)
    lost = made.inertia_kg_m2 * (start**2 - end**2) / 2.0
    assert made.rubbing_nm * angle == pytest.approx(lost, rel=1e-9)


def test_yarn_of_one_flick_is_its_turns_over_the_twist():
    made = hand_spindle.free_spindle([WHORL, SHAFT], 2.0, 0.2)
    one = hand_spindle.flick_yield(made, FLICK, 600.0, 200.0)
    assert one.start_rpm == pytest.approx(81.76 * 30.0 / math.pi, rel=1e-3)
    assert one.yarn_m * 600.0 == pytest.approx(one.turns, rel=1e-12)
    # Turns lie between those of the slowest and of the fastest speed kept up.
    assert 200.0 / 60.0 < one.turns / one.seconds < one.start_rpm / 60.0
    lazy = hand_spindle.flick_yield(made, FLICK, 600.0, 900.0)
    assert (lazy.turns, lazy.yarn_m, lazy.seconds) == (0.0, 0.0, 0.0)


def test_a_hanging_spindle_spins_longer_than_one_in_a_bowl():
    bowl = hand_spindle.flick_yield(
        hand_spindle.free_spindle([WHORL, SHAFT], 3.0, 0.3), FLICK, 600.0, 200.0
    )
    hung = hand_spindle.flick_yield(hand_spindle.free_spindle([WHORL, SHAFT]), FLICK, 600.0, 200.0)
    assert hung.seconds > bowl.seconds


def test_a_drop_spindle_too_heavy_for_its_yarn():
    # 25 tex of wool bears 0.917 N at least: 3.27 times 0.28036 N, and not 120 g.
    weakest, _ = singles_strength_n(Count(25.0, "tex"), "wool")
    assert hand_spindle.hanging_safety(
        hand_spindle.free_spindle([WHORL, SHAFT]), weakest
    ) == pytest.approx(3.27, abs=0.005)
    heavy = hand_spindle.free_spindle([hand_spindle.SpindlePiece(100.0, 22.0, 700.0, 2)])
    assert hand_spindle.hanging_safety(heavy, weakest) < 1.0


@pytest.mark.parametrize(("start", "end"), [(10.0, 20.0), (10.0, 0.0), (math.nan, 1.0)])
def test_speeds_that_do_not_fall_are_refused(start, end):
    with pytest.raises(QuantityError, match="slow down"):
        hand_spindle.run_down(1e-5, lambda _: 1e-4, start, end)


def test_nothing_that_brakes_is_refused():
    with pytest.raises(QuantityError, match="braking torque"):
        hand_spindle.run_down(1e-5, lambda _: 0.0, 20.0, 10.0)


def test_a_spindle_of_nothing_is_refused():
    with pytest.raises(QuantityError, match="no pieces"):
        hand_spindle.free_spindle([])
    with pytest.raises(QuantityError, match="density"):
        hand_spindle.free_spindle([hand_spindle.SpindlePiece(8.0, 250.0, 0.0)])


def test_torque_of_a_pulled_yarn_summed_over_its_fibres():
    # Idealised helices of one pitch (Hearle, Grosberg & Backer, Structural Mechanics of Fibers,
    # Yarns and Fabrics ch. 4, from memory): a fibre at the radius r leans by tan a = 2 pi r T; with
    # an even pull over the section its part across the axis turns with the arm r. On a grid:
    pull, thick, twist, cells = 0.2, 0.3, 900.0, 400
    side, torque, area = thick / 1e3 / cells, 0.0, math.pi * (thick / 2e3) ** 2
    for i in range(cells):
        for k in range(cells):
            r = math.hypot(i + 0.5 - cells / 2, k + 0.5 - cells / 2) * side
            if r < thick / 2e3:
                torque += pull / area * side**2 * math.tau * r * twist * r
    told = hand_spindle.twisted_yarn_torque_nm(pull, thick, twist)
    assert told == pytest.approx(torque, rel=2e-3)
