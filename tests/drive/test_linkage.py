"""The treadle's linkage against a published example, closed forms and independent solvers."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq, fsolve

from wheelgeo.drive.linkage import Linkage
from wheelgeo.errors import ShapeError

# Crank 2, footman 4, lever 3.5, ground 5: a worked crank-rocker (statiqsolver.com): swing 69.8
# degrees, the crank turning 182.54 degrees while the lever goes one way and 177.46 back.
PUBLISHED = Linkage(2.0, 4.0, 3.5, (5.0, 0.0), 1, 3.5)
# Axle 450 above the floor, pivot behind the wheel; the lever lies about level.
TREADLE = Linkage(45.0, 440.0, 300.0, (-280.0, -430.0), 1, 260.0)


def grashof(crank, footman, lever, ground):
    """What a four-bar linkage does, by the law of Grashof."""
    sides = sorted((crank, footman, lever, ground))
    excess = sides[0] + sides[3] - sides[1] - sides[2]
    if abs(excess) <= 1e-9 * sides[3]:
        return "change point"
    if excess > 0.0:
        return "rocker"
    if sides[0] == ground:
        return "double crank"
    return "crank-rocker" if sides[0] == crank else "rocker"


TURN = [7.5 + 15.0 * i for i in range(24)]


@st.composite
def linkages(draw: st.DrawFn) -> Linkage:
    crank = draw(st.floats(10.0, 80.0))
    ground = draw(st.floats(200.0, 700.0))
    lever = draw(st.floats(120.0, 500.0))
    # Between the least and the greatest footman that lets the crank turn, not close to either.
    least, most = abs(ground - lever) + crank, ground + lever - crank
    footman = least + draw(st.floats(0.05, 0.95)) * (most - least)
    least_lever = max(abs(ground - crank), 0.0)
    if not (abs(footman - lever) + 5.0 < least_lever and ground + crank + 5.0 < footman + lever):
        crank = 10.0
    turn = math.radians(draw(st.floats(-180.0, 180.0)))
    pivot = (ground * math.cos(turn), ground * math.sin(turn))
    try:
        return Linkage(crank, footman, lever, pivot, draw(st.sampled_from((1, -1))), lever)
    except ShapeError:
        return replace(TREADLE, side=draw(st.sampled_from((1, -1))))


def test_published_swing_and_time_ratio() -> None:
    assert PUBLISHED.swing_deg == pytest.approx(69.758, abs=5e-4)
    stretched, folded = PUBLISHED.dead_points_deg
    assert (folded - stretched) % 360.0 == pytest.approx(177.46, abs=5e-3)
    assert (stretched - folded) % 360.0 == pytest.approx(182.54, abs=5e-3)


@given(linkages())
def test_footman_and_lever_keep_their_lengths(linkage: Linkage) -> None:
    for angle in TURN:
        q = linkage.lower_pin_mm(angle)
        turn = math.radians(angle)
        pin = (linkage.crank_mm * math.cos(turn), linkage.crank_mm * math.sin(turn))
        assert math.dist(q, pin) == pytest.approx(linkage.footman_mm, rel=1e-9)
        assert math.dist(q, linkage.pivot_mm) == pytest.approx(linkage.lever_mm, rel=1e-9)


@given(linkages())
def test_velocity_ratio_is_the_slope_of_the_lever(linkage: Linkage) -> None:
    step = 1e-4
    for angle in TURN:
        ahead, behind = (linkage.lever_deg(angle + s) for s in (step, -step))
        slope = ((ahead - behind + 180.0) % 360.0 - 180.0) / (2.0 * step)
        assert linkage.velocity_ratio(angle) == pytest.approx(slope, abs=2e-6)


@pytest.mark.parametrize("linkage", [PUBLISHED, TREADLE, replace(TREADLE, side=-1)])
def test_loop_closes_as_another_solver_finds(linkage: Linkage) -> None:
    """Freudenstein's problem: two angles that close the loop, found by iteration."""
    gx, gy = linkage.pivot_mm

    def gap(angles: np.ndarray, turn: float) -> list[float]:
        footman, lever = angles
        return [
            linkage.crank_mm * trig(turn) + linkage.footman_mm * trig(footman)
            - (g + linkage.lever_mm * trig(lever))
            for trig, g in ((math.cos, gx), (math.sin, gy))
        ]  # fmt: skip

    for angle in TURN:
        turn = math.radians(angle)
        qx, qy = linkage.lower_pin_mm(angle)
        footman = math.atan2(qy - linkage.crank_mm * math.sin(turn),
                             qx - linkage.crank_mm * math.cos(turn))  # fmt: skip
        start = (footman + 0.02, math.radians(linkage.lever_deg(angle)) - 0.02)
        found = fsolve(gap, start, args=(turn,), xtol=1e-13)
        assert math.degrees(found[1]) == pytest.approx(linkage.lever_deg(angle), abs=1e-8)


@given(linkages())
def test_dead_points_stop_the_lever_and_bound_its_swing(linkage: Linkage) -> None:
    first, second = linkage.dead_points_deg
    for angle in (first, second):
        assert linkage.velocity_ratio(angle) == pytest.approx(0.0, abs=1e-9)
    a, b = linkage.lever_deg(first), linkage.lever_deg(second)
    assert abs((a - b + 180.0) % 360.0 - 180.0) == pytest.approx(linkage.swing_deg, abs=1e-7)


def test_dead_points_are_where_another_solver_finds_no_motion() -> None:
    for dead in TREADLE.dead_points_deg:
        found = brentq(TREADLE.velocity_ratio, dead - 20.0, dead + 20.0, xtol=1e-11)
        assert found == pytest.approx(dead, abs=1e-8)


@given(linkages())
def test_energy_foot_force_times_stroke_is_torque_times_angle(linkage: Linkage) -> None:
    """Virtual work: over the half turn in which the lever goes one way."""
    first, second = linkage.dead_points_deg
    span = (second - first) % 360.0
    work, _ = quad(
        lambda a: linkage.foot_arm_mm(math.degrees(a)),
        math.radians(first), math.radians(first + span), epsrel=1e-11,
    )  # fmt: skip
    assert abs(work) == pytest.approx(linkage.foot_stroke_mm, rel=1e-9)


def test_a_long_footman_moves_the_lever_as_a_sine() -> None:
    """In the limit the pin's height is r sin(angle): swing 2 asin(r/l), quadrature dead points."""
    far = 1e7
    linkage = Linkage(45.0, far, 300.0, (-300.0, -far), 1, 300.0)
    linkage = replace(linkage, side=1 if linkage.lower_pin_mm(0.0)[0] > -300.0 else -1)
    assert linkage.swing_deg == pytest.approx(2.0 * math.degrees(math.asin(45.0 / 300.0)), rel=1e-4)
    for angle in TURN:
        rise = linkage.lower_pin_mm(angle)[1] + far
        assert rise == pytest.approx(45.0 * math.sin(math.radians(angle)), abs=0.01)


@given(linkages())
def test_least_transmission_angle_is_the_least_of_a_turn(linkage: Linkage) -> None:
    turn = [linkage.transmission_deg(0.5 * i) for i in range(720)]
    assert linkage.least_transmission_deg <= min(turn) + 1e-9
    assert linkage.least_transmission_deg == pytest.approx(min(turn), abs=0.5)


@pytest.mark.parametrize(
    ("bars", "kind"),
    [
        ((2.0, 4.0, 3.5, 5.0), "crank-rocker"),
        ((4.0, 3.5, 5.0, 2.0), "double crank"),
        ((4.0, 2.0, 5.0, 3.5), "rocker"),  # the footman is the shortest
        ((2.0, 4.0, 3.5, 6.0), "rocker"),  # 2 + 6 > 4 + 3.5
        ((2.0, 4.0, 3.0, 5.0), "change point"),  # a line: 2 + 5 = 4 + 3
    ],
)
def test_grashof(bars: tuple[float, float, float, float], kind: str) -> None:
    """Grashof's law, J. E. Shigley & J. J. Uicker; from memory."""
    assert grashof(*bars) == kind


@given(st.tuples(*[st.floats(1.0, 10.0)] * 4))
def test_a_linkage_is_refused_just_where_its_crank_cannot_turn_fully(bars) -> None:
    crank, footman, lever, ground = bars
    kind = grashof(*bars)
    if kind == "change point":
        return
    try:
        Linkage(crank, footman, lever, (ground, 0.0), 1, lever)
        turns = True
    except ShapeError:
        turns = False
    assert turns == (kind in ("crank-rocker", "double crank"))


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"footman_mm": 200.0}, "mm too short"),
        ({"footman_mm": 790.0}, "mm too near"),
        ({"crank_mm": 0.0}, "above 0"),
        ({"lever_mm": math.nan}, "above 0"),
        ({"foot_mm": -1.0}, "above 0"),
    ],
)
def test_what_cannot_turn_is_refused(changed: dict[str, float], says: str) -> None:
    with pytest.raises(ShapeError, match=says):
        replace(TREADLE, **changed)


def test_the_shortage_told_is_the_shortage() -> None:
    with pytest.raises(ShapeError, match=r"58\.1") as caught:
        replace(TREADLE, footman_mm=200.0)
    short = float(str(caught.value).split(" are ")[1].split(" mm")[0])
    replace(TREADLE, footman_mm=200.0 + short + 0.1)


def test_foot_rises_and_falls_by_its_arm() -> None:
    low, high = sorted(TREADLE.foot_at_mm(a)[1] for a in TREADLE.dead_points_deg)
    assert high - low == pytest.approx(TREADLE.foot_lift_mm)
    assert TREADLE.foot_lift_mm <= TREADLE.foot_stroke_mm
    heights = [TREADLE.foot_at_mm(0.25 * i)[1] for i in range(1440)]
    assert max(heights) - min(heights) == pytest.approx(TREADLE.foot_lift_mm, rel=1e-4)
