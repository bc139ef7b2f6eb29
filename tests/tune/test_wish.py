"""What a wish takes: the ratio follows from twist, draw and hand speed with the rhythm kept."""

import math
from dataclasses import replace

import pytest

from wheelgeo.design.model import Count
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import QuantityError, SearchError
from wheelgeo.tune.wanted_ratio import Wish, needed


@pytest.fixture
def today(box_wheel):
    return solve_drive(box_wheel)


def test_twice_the_count_takes_the_square_root_of_two(today):
    need = needed(today, Wish(count=Count(80.0, "Nm")))
    assert need.ratio_needed == pytest.approx(need.ratio_now * math.sqrt(2.0), rel=1e-12)
    assert need.turns_per_metre == pytest.approx(850.0 * math.sqrt(2.0), rel=1e-12)


def test_the_same_count_in_another_system_changes_nothing(today):
    need = needed(today, Wish(count=Count(25.0, "tex")))  # 40 Nm
    assert need.ratio_needed == pytest.approx(need.ratio_now, rel=1e-12)


def test_a_twist_factor_is_kept_through_a_change_of_system(box_wheel):
    factor = 850.0 / math.sqrt(40.0)
    yarn = replace(box_wheel.yarn, turns_per_metre=None, twist_factor=factor)
    need = needed(solve_drive(replace(box_wheel, yarn=yarn)), Wish(count=Count(12.5, "tex")))
    assert need.ratio_needed == pytest.approx(need.ratio_now * math.sqrt(2.0), rel=1e-12)
    assert need.yarn.turns_per_metre is None
    assert need.yarn.count == Count(12.5, "tex")


def test_a_longer_draw_in_the_same_time_takes_more_ratio(today):
    need = needed(today, Wish(draw_mm=1300.0))
    assert need.ratio_needed == pytest.approx(2.0 * need.ratio_now, rel=1e-12)


def test_a_slower_hand_takes_more_ratio(today):
    need = needed(today, Wish(hand_rpm=40.0))
    assert need.ratio_needed == pytest.approx(1.5 * need.ratio_now, rel=1e-12)
    assert need.drive.speed_rpm == 40.0


def test_everything_at_once(today):
    wish = Wish(Count(160.0, "Nm"), "S", None, 325.0, 120.0)
    need = needed(today, wish)
    assert need.ratio_needed == pytest.approx(need.ratio_now * 2.0 * 0.5 * 0.5, rel=1e-12)
    assert need.yarn.twist == "S"


def test_a_ratio_asked_for_is_the_ratio_needed(today):
    need = needed(today, Wish(ratio=200.0))
    assert need.ratio_needed == 200.0
    assert need.turns_per_metre == pytest.approx(850.0 * 200.0 / need.ratio_now)


def test_twist_explicitly_wished_drops_the_factor(box_wheel):
    yarn = replace(box_wheel.yarn, turns_per_metre=None, twist_factor=100.0)
    need = needed(solve_drive(replace(box_wheel, yarn=yarn)), Wish(turns_per_metre=1000.0))
    assert need.yarn.twist_factor is None
    assert need.ratio_needed == pytest.approx(need.ratio_now * 1000.0 / (100.0 * math.sqrt(40.0)))


def test_twist_at_another_ratio_is_in_proportion(today):
    need = needed(today, Wish(count=Count(80.0, "Nm")))
    assert need.twist_at(need.ratio_now) == pytest.approx(850.0)
    assert need.error_of(need.ratio_needed * 1.02) == pytest.approx(0.02)


@pytest.mark.parametrize(
    ("wish", "words"),
    [
        (Wish(), "say what shall be different"),
        (Wish(count=Count(80.0, "Nm")), "no .yarn."),
        (Wish(draw_mm=700.0), "no .yarn."),
    ],
)
def test_what_cannot_be_compared_is_said(box_wheel, wish, words):
    with pytest.raises(SearchError, match=words):
        needed(solve_drive(replace(box_wheel, yarn=None)), wish)


def test_a_draw_wished_where_none_is_known(box_wheel):
    yarn = replace(box_wheel.yarn, draw_mm=None)
    with pytest.raises(SearchError, match="how long a draw is"):
        needed(solve_drive(replace(box_wheel, yarn=yarn)), Wish(draw_mm=700.0))


def test_a_wheel_whose_spindle_is_not_driven(box_wheel):
    loose = replace(box_wheel, bands=box_wheel.bands[:1])
    with pytest.raises(SearchError, match="not driven"):
        needed(solve_drive(loose), Wish(ratio=100.0))


@pytest.mark.parametrize("wish", [Wish(ratio=0.0), Wish(turns_per_metre=-1.0), Wish(hand_rpm=0.0)])
def test_numbers_that_make_no_sense(today, wish):
    with pytest.raises(QuantityError):
        needed(today, wish)
