"""The train: speeds with sign through any number of bands, with and without slip."""

import math
from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from wheelgeo.design.model import (
    Band,
    Design,
    Drive,
    GivenPitch,
    Pulley,
    Shaft,
    Spindle,
    Stop,
    VeeGroove,
)
from wheelgeo.drive.train import solve_drive

Z_AXIS = (0.0, 0.0, 1.0)


def wheel(pitches, bands, axes=None, drive="a", spindle=None, turns="counter-clockwise"):
    """Return a wheel: pitches by pulley name, the shaft being the first letter of the name."""
    names = sorted({name[0] for name in pitches})
    shafts = tuple(
        Shaft(n, (900.0 * i, 130.0 * (i % 2), 0.0), (axes or {}).get(n, Z_AXIS), 8.0)
        for i, n in enumerate(names)
    )
    pulleys = tuple(
        Pulley(n, n[0], 20.0 * i, GivenPitch(pitch)) for i, (n, pitch) in enumerate(pitches.items())
    )
    return Design(
        "train", "mm", Drive(drive, "crank", 60.0, turns, 60.0), shafts, pulleys, tuple(bands),
        Spindle(spindle or names[-1], "tip"),
    )  # fmt: skip


def band(name, *route, slip=None):
    stops = tuple(Stop(s.rstrip("!"), "against" if s.endswith("!") else "with") for s in route)
    return Band(name, stops, "cotton cord", 2.0, slip=slip)


# --- speeds ---------------------------------------------------------------------------------


@st.composite
def chains(draw):
    """Return a chain of bands, listed in any order, and its speeds as a product of fractions."""
    count = draw(st.integers(1, 6))
    pitches, bands = {}, []
    speed = ideal = 60.0
    for i in range(count):
        here, there = "abcdefg"[i], "abcdefg"[i + 1]
        big, small = draw(st.floats(5.0, 300.0)), draw(st.floats(5.0, 300.0))
        slip = draw(st.sampled_from([None, 0.0, 0.01, 0.2]))
        against, backwards = draw(st.booleans()), draw(st.booleans())
        pitches |= {f"{here}out": big, f"{there}in": small}
        stops = [f"{here}out", f"{there}in"]
        if backwards:
            stops.reverse()
        stops[1] += "!" if against else ""
        bands.append(band(f"band {draw(st.integers(0, 999))}.{i}", *stops, slip=slip))
        step = big / small * (-1.0 if against else 1.0)
        ideal *= step
        speed *= step * (1.0 - (slip or 0.0))
    turns = draw(st.sampled_from(["clockwise", "counter-clockwise"]))
    sign = -1.0 if turns == "clockwise" else 1.0
    shuffled = draw(st.permutations(bands))
    return wheel(pitches, shuffled, turns=turns), sign * speed, sign * ideal


@given(chains())
@settings(max_examples=60, deadline=None)
def test_speed_is_the_product_along_the_chain(case):
    design, speed, ideal = case
    solution = solve_drive(design)
    assert solution.spindle.speed_rpm == pytest.approx(speed, rel=1e-12)
    assert solution.ratio == pytest.approx(abs(speed) / 60.0, rel=1e-12)
    assert solution.ratio_without_slip == pytest.approx(abs(ideal) / 60.0, rel=1e-12)
    assert solution.spindle_turns == ("clockwise" if speed < 0.0 else "counter-clockwise")
    assert not solution.fights


@given(chains())
@settings(max_examples=30, deadline=None)
def test_every_pulley_meets_its_band_at_the_band_s_speed_but_for_slip(case):
    design, _, _ = case
    solution = solve_drive(design)
    for motion in solution.bands:
        for index, seat in enumerate(motion.seats):
            shaft = solution.shaft(design.pulley(motion.band.route[index].pulley).shaft)
            rim = abs(shaft.speed_rpm) / 60.0 * math.pi * seat.pitch_diameter_mm / 1000.0
            slip = 0.0 if index == motion.driver else (motion.band.slip or 0.0)
            assert rim == pytest.approx(motion.speed_m_s * (1.0 - slip), rel=1e-12)
            assert motion.senses[index] == math.copysign(1.0, shaft.speed_rpm)


def test_one_band_may_drive_several_shafts():
    design = wheel(
        {"a1": 200.0, "b1": 50.0, "c1": 40.0}, [band("only", "a1", "b1", "c1!", slip=0.02)]
    )
    solution = solve_drive(design)
    assert solution.shaft("b").speed_rpm == pytest.approx(60.0 * 4.0 * 0.98)
    assert solution.shaft("c").speed_rpm == pytest.approx(-60.0 * 5.0 * 0.98)
    assert {solution.shaft(n).driven_by for n in "bc"} == {"only"}


def test_driven_pulley_may_stand_first_and_its_sense_is_still_relative_to_the_first():
    one = wheel({"a1": 200.0, "b1": 50.0}, [band("only", "a1", "b1!")])
    other = wheel({"a1": 200.0, "b1": 50.0}, [band("only", "b1", "a1!")])
    first, second = solve_drive(one), solve_drive(other)
    assert first.spindle == second.spindle
    assert first.spindle.speed_rpm == -240.0
    assert (first.bands[0].driver, second.bands[0].driver) == (0, 1)
    assert first.bands[0].path.length_mm == pytest.approx(second.bands[0].path.length_mm, rel=1e-13)


# --- the double-drive band --------------------------------------------------------------------


def double_drive(second_groove=480.0):
    return wheel(
        {"a1": 480.0, "a2": second_groove, "bwhorl": 60.0, "cwhorl": 48.0},
        [band("double", "a1", "bwhorl", "a2", "cwhorl", slip=0.02)], spindle="b",
    )  # fmt: skip


def test_double_drive_meets_the_wheel_twice_without_slipping_on_its_own_wheel():
    solution = solve_drive(double_drive())
    assert not solution.fights
    assert solution.shaft("a").speed_rpm == 60.0
    assert solution.shaft("b").speed_rpm == pytest.approx(60.0 * 8.0 * 0.98)
    assert solution.shaft("c").speed_rpm == pytest.approx(60.0 * 10.0 * 0.98)


def test_double_drive_with_unequal_grooves_asks_two_speeds_of_the_wheel():
    (fight,) = solve_drive(double_drive(second_groove=470.0)).fights
    assert fight.shaft == "a"
    assert fight.bands == ("double", "double")
    assert fight.speeds_rpm == pytest.approx((60.0, 60.0 * 480.0 / 470.0))


# --- what does not work -----------------------------------------------------------------------


def test_a_shaft_that_nothing_drives_has_no_speed_and_neither_has_its_band():
    design = wheel(
        {"a1": 200.0, "b1": 50.0, "c1": 80.0, "d1": 30.0},
        [band("driven", "a1", "b1"), band("idle", "c1", "d1")], spindle="b",
    )  # fmt: skip
    solution = solve_drive(design)
    assert solution.shaft("c").speed_rpm is None
    assert solution.shaft("d").turns_per_drive_turn is None
    assert solution.band("idle").driver is None
    assert solution.band("idle").speed_m_s is None
    assert solution.band("idle").path is not None
    assert solution.ratio == pytest.approx(4.0)


def test_spindle_that_is_not_reached_has_no_ratio_and_no_sense():
    design = wheel({"a1": 200.0, "b1": 50.0, "c1": 80.0}, [band("driven", "a1", "b1")])
    solution = solve_drive(design)
    assert solution.ratio is None
    assert solution.ratio_without_slip is None
    assert solution.spindle_turns is None


def test_two_unequal_bands_fight_and_two_equal_ones_do_not():
    pitches = {"a1": 200.0, "a2": 100.0, "b1": 50.0, "b2": 25.0}
    agree = wheel(pitches, [band("one", "a1", "b1"), band("two", "a2", "b2")])
    assert solve_drive(agree).fights == ()
    fight_over_size = wheel(pitches | {"b2": 26.0}, agree.bands)
    (fight,) = solve_drive(fight_over_size).fights
    assert (fight.shaft, fight.bands) == ("b", ("one", "two"))
    assert fight.speeds_rpm == pytest.approx((240.0, 60.0 * 100.0 / 26.0))
    against = wheel(pitches, [band("one", "a1", "b1"), band("two", "a2", "b2!")])
    assert solve_drive(against).fights[0].speeds_rpm == pytest.approx((240.0, -240.0))


def test_creep_takes_up_a_tenth_of_a_per_cent_between_two_bands_and_no_more():
    def fights(second):
        pitches = {"a1": 200.0, "a2": 100.0, "b1": 50.0, "b2": second}
        bands = [band("one", "a1", "b1"), band("two", "a2", "b2")]
        return len(solve_drive(wheel(pitches, bands)).fights)

    assert fights(25.0 * 1.0009) == 0
    assert fights(25.0 * 1.0020) == 1


@pytest.mark.parametrize("closing", [40.0, 41.0])
def test_a_closed_loop_of_bands_fights_unless_its_ratios_close(closing):
    # a -> b by 2, b -> c by 2, and a -> c directly by 4 where its groove is 40 mm.
    pitches = {"a1": 100.0, "b1": 50.0, "b2": 80.0, "c1": 40.0, "a2": 160.0, "c2": closing}
    loop = [band("one", "a1", "b1"), band("two", "b2", "c1"), band("three", "a2", "c2")]
    results = [solve_drive(wheel(pitches, order)) for order in permutations(loop)]
    assert all((len(r.fights) == 0) == (closing == 40.0) for r in results)
    assert all(r.shafts == results[0].shafts for r in results)
    assert all(r.fights == results[0].fights for r in results)


def test_bands_in_any_order_give_the_same_speeds_drivers_and_paths():
    pitches = {"a1": 200.0, "b1": 50.0, "b2": 90.0, "c1": 30.0, "c2": 60.0, "d1": 20.0}
    bands = [
        band("z", "a1", "b1", slip=0.01), band("m", "b2", "c1!", slip=0.02),
        band("a", "d1", "c2"),
    ]  # fmt: skip
    results = [solve_drive(wheel(pitches, order)) for order in permutations(bands)]
    for result in results:
        assert result.shafts == results[0].shafts
        assert {m.band.name: m for m in result.bands} == {m.band.name: m for m in results[0].bands}


def test_layered_pulley_turns_by_the_groove_that_is_cut():
    # A core of 4 mm between cheeks: a 3 mm cord lies on the core, 1.5 mm above its edge.
    vee = VeeGroove(100.0, 10.0, 40.0)
    design = wheel({"a1": 200.0, "b1": 50.0}, [band("only", "a1", "b1")])
    layered = Pulley("a1", "a", 0.0, vee, build="layers", core_mm=4.0)
    design = replace(design, pulleys=(layered, design.pulleys[1]))
    pitch = 100.0 - 2 * 10.0 + design.bands[0].diameter_mm
    assert solve_drive(design).ratio == pytest.approx(pitch / 50.0, rel=1e-12)


def test_flipping_a_shaft_s_axis_flips_its_sign_where_the_route_says_so():
    # The same wheel seen from behind: the spindle's axis turned round makes "with" into "against".
    open_band = wheel({"a1": 200.0, "b1": 50.0}, [band("only", "a1", "b1")])
    behind = wheel(
        {"a1": 200.0, "b1": 50.0}, [band("only", "a1", "b1!")], axes={"b": (0.0, 0.0, -1.0)}
    )
    behind = replace(
        behind, pulleys=(behind.pulleys[0], replace(behind.pulleys[1], offset_mm=-20.0))
    )
    one, other = solve_drive(open_band), solve_drive(behind)
    assert other.spindle.speed_rpm == -one.spindle.speed_rpm
    assert other.bands[0].path.length_mm == pytest.approx(one.bands[0].path.length_mm, rel=1e-12)


# --- routes written backwards -----------------------------------------------------------------


@given(st.floats(20.0, 100.0), st.floats(20.0, 100.0), st.floats(20.0, 100.0))
@settings(max_examples=25, deadline=None)
def test_a_route_of_three_written_backwards_is_solved_as_written_and_seen(first, second, third):
    assume(max(first, second, third) < 2.5 * min(first, second, third))
    shafts = tuple(
        Shaft(n, place, Z_AXIS, 8.0)
        for n, place in zip(
            "abc", [(0.0, 0.0, 0.0), (400.0, 0.0, 0.0), (200.0, 350.0, 0.0)], strict=True
        )
    )
    pulleys = tuple(
        Pulley(n, n, 0.0, GivenPitch(p)) for n, p in zip("abc", (first, second, third), strict=True)
    )
    design = Design(
        "three", "mm", Drive("a", "crank", 60.0, "counter-clockwise"), shafts, pulleys,
        (band("only", "a", "b", "c"),), Spindle("b", "tip"),
    )  # fmt: skip
    backwards = replace(design, bands=(band("only", "a", "c", "b"),))
    right, wrong = solve_drive(design).bands[0], solve_drive(backwards).bands[0]
    assert right.shorter_backwards_mm == 0.0
    assert wrong.shorter_backwards_mm == pytest.approx(
        wrong.path.length_mm - right.path.length_mm, rel=1e-9
    )
    assert wrong.shorter_backwards_mm > 0.0


def test_solution_names_what_it_does_not_hold():
    solution = solve_drive(wheel({"a1": 200.0, "b1": 50.0}, [band("only", "a1", "b1")]))
    with pytest.raises(KeyError, match="nobody"):
        solution.shaft("nobody")
    with pytest.raises(KeyError, match="nothing"):
        solution.band("nothing")
