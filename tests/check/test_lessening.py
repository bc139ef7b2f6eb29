"""The amounts that are tried: few, and the smallest that mends is met."""

from hypothesis import given
from hypothesis import strategies as st

from wheelgeo.check.lessening import Lessening


def found(last, left):
    """Return the smallest amount at which nothing is left, and how many were tried to meet it.

    Args:
        last: the largest amount.
        left: returns what is left of the finding at an amount; 0 or less: it is gone; None: the
            amount makes no sense.
    """
    lessens, tried = Lessening(), [0]
    lessens.at(0, left(0))
    for above in lessens.amounts(last):
        below, value = max(amount for amount in tried if amount < above), left(above)
        tried.append(above)
        if value is None or value > 0.0:
            lessens.at(above, value)
            continue
        least = above
        while least - below > 1:
            middle = lessens.within(below, least)
            assert below < middle < least
            tried.append(middle)
            if left(middle) > 0.0:
                below = middle
                lessens.at(middle, left(middle))
            else:
                least = middle
        return least, len(tried) - 1
    return None, len(tried) - 1


@given(st.integers(1, 3000), st.floats(0.01, 50.0))
def test_what_lessens_evenly_is_met_in_few_trials(needed, slope):
    amount, trials = found(3000, lambda here: slope * (needed - here))
    assert amount == needed
    assert trials <= 9


@given(st.integers(1, 600), st.floats(0.3, 3.0))
def test_what_lessens_unevenly_is_met_exactly(needed, power):
    amount, trials = found(600, lambda here: 1.0 - (here / needed) ** power)
    assert amount == needed
    assert trials <= 25


@given(st.integers(1, 600), st.booleans())
def test_what_does_not_lessen_before_it_is_gone_is_met_exactly(needed, grows):
    """As a whorl inside another: further in, until it comes out on the other side."""
    amount, _ = found(600, lambda here: 0.0 if here >= needed else 1.0 + here * grows)
    assert amount == needed


@given(st.integers(2, 600), st.integers(1, 20))
def test_what_is_leapt_over_is_tried_where_the_leap_ends_in_what_makes_no_sense(last, early):
    """What lessens is gone before it leads to: beyond ``last`` no wheel can exist."""
    needed = max(1, last - early)
    lasting = 1.7 * last  # two trials at the start say that it is gone only there

    def left(here):
        return None if here > last else 0.0 if here >= needed else lasting - here

    assert found(5 * last, left)[0] in (None, *range(needed, last + 1))
    if needed <= 0.58 * last:  # growing steps, by less than 1.7, cannot pass over it
        assert found(5 * last, left)[0] == needed


def test_amounts_end_at_the_last_and_are_never_tried_twice():
    stays = (lambda _: 1.0, lambda _: None, lambda here: 2.0 + here, lambda here: 1 / (1 + here))
    for last in (1, 2, 3, 7, 100, 601):
        for left in stays:
            lessens, tried = Lessening(), []
            lessens.at(0, left(0))
            for here in lessens.amounts(last):
                tried.append(here)
                lessens.at(here, left(here))
            assert tried[-1] == last
            assert len(set(tried)) == len(tried)
            assert len(tried) < 20
