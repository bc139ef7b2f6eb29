from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPoint

from wheelgeo.design.model import Count
from wheelgeo.errors import QuantityError
from wheelgeo.yarn.winders import (
    COTTON_HANK_M,
    HANK_M,
    reel_radius_mm,
    reel_turns,
    yarn_length_m,
    yarn_mass_g,
)

counts = st.builds(Count, st.floats(0.1, 1e4), st.sampled_from(("Nm", "Ne", "tex", "denier")))


def test_the_two_hanks():
    assert HANK_M == 1000.0
    assert pytest.approx(768.096, rel=1e-14) == COTTON_HANK_M  # 840 × 0.9144


@given(st.floats(0.01, 1e5), counts)
def test_length_to_mass_and_back(mass_g, count):
    assert yarn_mass_g(yarn_length_m(mass_g, count), count) == pytest.approx(mass_g, rel=1e-12)


@given(st.integers(2, 16), st.floats(2.0, 15.0), st.floats(800.0, 2500.0))
def test_a_thread_about_the_pegs_is_true(arms, peg_mm, round_mm):
    radius = reel_radius_mm(arms, peg_mm, round_mm)
    at = [math.tau * k / arms for k in range(arms)]
    pegs = MultiPoint([(radius * math.cos(a), radius * math.sin(a)) for a in at])
    # shapely draws each peg as a polygon of 4 × 64 sides inside the circle: short by π²/6/256² of
    # the bends, at most 2.5e-5 of the peg's girth.
    taut = pegs.buffer(peg_mm / 2.0, quad_segs=64).convex_hull.length
    assert taut == pytest.approx(round_mm, abs=3e-5 * math.pi * peg_mm)


def test_thin_pegs_on_many_arms_come_to_a_circle():
    assert reel_radius_mm(400, 0.001) == pytest.approx(1000.0 / math.tau, rel=2e-5)


@pytest.mark.parametrize(
    ("arms", "peg_mm", "round_mm", "says"),
    [
        (1, 8.0, 1000.0, "at least 2"),
        (0, 8.0, 1000.0, "at least 2"),
        (4, 0.0, 1000.0, "peg's diameter"),
        (4, 8.0, -1.0, "way once about"),
        (40, 25.0, 1000.0, "touch"),
        (4, 400.0, 1000.0, "touch"),
    ],
)
def test_a_reel_that_cannot_be_is_refused(arms, peg_mm, round_mm, says):
    with pytest.raises(QuantityError, match=says):
        reel_radius_mm(arms, peg_mm, round_mm)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_no_yarn_is_refused(bad):
    yarn = Count(40.0, "Nm")
    with pytest.raises(QuantityError, match="mass"):
        yarn_length_m(bad, yarn)
    with pytest.raises(QuantityError, match="length"):
        yarn_mass_g(bad, yarn)
    with pytest.raises(QuantityError, match="length"):
        reel_turns(bad)
    with pytest.raises(QuantityError, match="reel"):
        reel_turns(10.0, bad)
