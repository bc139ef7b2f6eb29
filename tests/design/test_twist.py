from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelgeo.design.counts import convert
from wheelgeo.design.model import Count, Yarn
from wheelgeo.design.twist import (
    direction,
    draw_seconds,
    drive_turns_per_draw,
    drive_turns_per_metre,
    factor_from_turns,
    factor_in_words,
    metres_per_hour,
    turns_from_factor,
    wanted_turns_per_metre,
)
from wheelgeo.errors import QuantityError

SYSTEMS = ("Nm", "Ne", "tex", "denier")
counts = st.builds(Count, st.floats(0.1, 1e4), st.sampled_from(SYSTEMS))
factors = st.floats(0.1, 1e4)


def a_yarn(count: Count, **twist: float) -> Yarn:
    return Yarn(count, "cotton", "Z", **twist)


@pytest.mark.parametrize(("speed", "letter"), [(-9000.0, "Z"), (9000.0, "S"), (-1e-9, "Z")])
def test_direction_follows_the_sign(speed, letter):
    assert direction(speed) == letter


@given(st.floats(1e-6, 1e6))
def test_turning_the_spindle_the_other_way_swaps_s_and_z(speed):
    assert {direction(speed), direction(-speed)} == {"S", "Z"}


@pytest.mark.parametrize("speed", [0.0, -0.0, math.nan])
def test_a_spindle_that_stands_makes_no_twist(speed):
    with pytest.raises(QuantityError, match="no twist"):
        direction(speed)


# Each convention by hand, on counts whose roots are whole.
@pytest.mark.parametrize(
    ("count", "factor", "turns"),
    [
        (Count(36.0, "Nm"), 140.0, 840.0),
        (Count(36.0, "Ne"), 3.5, 21.0 / 0.0254),
        (Count(25.0, "tex"), 42.0, 840.0),
        (Count(225.0, "denier"), 42.0, 840.0),
    ],
)
def test_a_twist_factor_is_read_in_its_counts_convention(count, factor, turns):
    assert turns_from_factor(factor, count) == pytest.approx(turns, rel=1e-14)
    yarn = a_yarn(count, twist_factor=factor)
    assert wanted_turns_per_metre(yarn) == pytest.approx(turns, rel=1e-14)


@given(counts, factors)
def test_factor_to_turns_and_back(count, factor):
    turns = turns_from_factor(factor, count)
    assert factor_from_turns(turns, count) == pytest.approx(factor, rel=1e-13)


@given(counts, factors, st.sampled_from(SYSTEMS))
def test_the_same_yarn_has_one_twist_whatever_its_count_is_called(count, factor, system):
    turns = turns_from_factor(factor, count)
    other = convert(count, system)
    assert turns_from_factor(factor_from_turns(turns, other), other) == pytest.approx(
        turns, rel=1e-12
    )


@given(st.floats(1.0, 200.0), factors)
def test_four_times_as_fine_takes_twice_the_twist(value, factor):
    for system, finer in (("Nm", 4.0), ("Ne", 4.0), ("tex", 0.25), ("denier", 0.25)):
        coarse, fine = Count(value, system), Count(value * finer, system)
        assert turns_from_factor(factor, fine) == pytest.approx(
            2.0 * turns_from_factor(factor, coarse), rel=1e-12
        )


def test_turns_per_metre_of_the_file_are_taken_as_they_are():
    assert wanted_turns_per_metre(a_yarn(Count(40.0, "Nm"), turns_per_metre=850.0)) == 850.0


def test_a_yarn_without_twist_wants_none():
    yarn = a_yarn(Count(40.0, "Nm"))
    assert wanted_turns_per_metre(yarn) is None
    assert factor_in_words(yarn) is None


def test_both_turns_and_factor_are_refused():
    with pytest.raises(QuantityError, match="never both"):
        wanted_turns_per_metre(a_yarn(Count(40.0, "Nm"), turns_per_metre=850.0, twist_factor=134.0))


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_a_twist_of_nothing_is_refused(bad):
    count = Count(40.0, "Nm")
    with pytest.raises(QuantityError, match="turns_per_metre"):
        wanted_turns_per_metre(a_yarn(count, turns_per_metre=bad))
    with pytest.raises(QuantityError, match="twist factor"):
        wanted_turns_per_metre(a_yarn(count, twist_factor=bad))
    with pytest.raises(QuantityError, match="twist in turns"):
        factor_from_turns(bad, count)


def test_a_twist_beyond_numbers_is_refused_instead_of_infinite():
    with pytest.raises(QuantityError, match="turns per metre is inf"):
        turns_from_factor(1e308, Count(40.0, "Nm"))
    with pytest.raises(QuantityError, match="drive's turns per metre is inf"):
        drive_turns_per_metre(1e300, 1e-300)


@pytest.mark.parametrize(
    ("count", "factor", "words"),
    [
        (
            Count(36.0, "Ne"),
            3.5,
            "twist factor 3.5 with 36 Ne: turns per inch = 3.5 × √36 = 21, 827 per metre",
        ),
        (
            Count(36.0, "Nm"),
            140.0,
            "twist factor 140 with 36 Nm: turns per metre = 140 × √36 = 840",
        ),
        (
            Count(225.0, "denier"),
            42.0,
            "twist factor 42 with 225 denier: turns per centimetre = 42 / √25 = 8.4, 840 per metre",
        ),
    ],
)
def test_words_say_how_a_factor_was_read(count, factor, words):
    assert factor_in_words(a_yarn(count, twist_factor=factor)) == words


def test_turns_given_outright_need_no_words():
    assert factor_in_words(a_yarn(Count(40.0, "Nm"), turns_per_metre=850.0)) is None


def test_the_hand_by_a_worked_example():
    # 840 turns per metre on a wheel of 150: 5.6 turns of the hand a metre, 3.5 a draw of 625 mm;
    # at 60 rpm 3.5 s a draw, and 3600 / 5.6 = 642.857 m in an hour of drafting.
    assert drive_turns_per_metre(840.0, 150.0) == pytest.approx(5.6, rel=1e-14)
    assert drive_turns_per_draw(840.0, 150.0, 625.0) == pytest.approx(3.5, rel=1e-14)
    assert draw_seconds(840.0, 150.0, 625.0, 60.0) == pytest.approx(3.5, rel=1e-14)
    assert draw_seconds(840.0, 150.0, 625.0, 120.0) == pytest.approx(1.75, rel=1e-14)
    assert metres_per_hour(840.0, 150.0, 60.0) == pytest.approx(3600.0 / 5.6, rel=1e-14)


sizes = st.floats(0.5, 5000.0)


@given(sizes, sizes, sizes, sizes)
def test_an_hour_of_draws_is_the_yarn_of_an_hour(turns, ratio, draw_mm, speed_rpm):
    draws = 3600.0 / draw_seconds(turns, ratio, draw_mm, speed_rpm)
    assert draws * draw_mm / 1000.0 == pytest.approx(
        metres_per_hour(turns, ratio, speed_rpm), rel=1e-12
    )


@given(sizes, sizes, sizes, sizes)
def test_the_spindle_turns_of_a_draw_are_its_twist(turns, ratio, draw_mm, speed_rpm):
    spindle_turns = ratio * speed_rpm / 60.0 * draw_seconds(turns, ratio, draw_mm, speed_rpm)
    assert spindle_turns == pytest.approx(turns * draw_mm / 1000.0, rel=1e-12)


@pytest.mark.parametrize("place", range(4))
@pytest.mark.parametrize("bad", [0.0, -150.0, math.nan, math.inf])
def test_what_is_not_above_nothing_is_refused(place, bad):
    given_ = [840.0, 150.0, 625.0, 60.0]
    given_[place] = bad
    with pytest.raises(QuantityError, match="must be a finite number above 0"):
        draw_seconds(*given_)
