"""The bounds of a start against the start itself, worked out step by step."""

import math
import random
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.drive.integrate import StepTolerance
from wheelgeo.drive.running import bounds_within, load_wheel, start_of
from wheelgeo.drive.start_bounds import start_bounds
from wheelgeo.drive.startup import Push, Rotating, StartLink, start

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
COARSE = StepTolerance(1e-7, 1e-10)


def a_train(chance):
    """A driving shaft and three more, each driven by one of those before it."""
    shafts = tuple(
        Rotating(
            # the friction of a sleeve that the rod in it draws on is negative
            str(i), 10.0 ** chance.uniform(-6, -2), (-1e-5 if i == 3 else 1.0)
            * 10.0 ** chance.uniform(-5, -2),
            10.0 ** chance.uniform(-9, -4), chance.uniform(1.4, 2.0),
        )
        for i in range(4)
    )  # fmt: skip
    links = []
    for i in (1, 2, 3):
        inner, outer = chance.uniform(0.02, 0.2), chance.uniform(0.004, 0.1)
        ratio = inner / outer * (1.0 - chance.uniform(0.0, 0.05))
        links.append(StartLink(
            f"band {i}", chance.randrange(i), i, inner, outer, ratio, chance.uniform(0.5, 3.0),
            chance.uniform(2.0, 20.0), 10.0 ** chance.uniform(-4, -2),
        ))  # fmt: skip
    return shafts, tuple(links), Push(chance.uniform(0.1, 2.0), chance.uniform(0.05, 0.6), 6.0)


@pytest.mark.parametrize("seed", range(12))
def test_no_start_breaks_its_bounds(seed):
    shafts, links, push = a_train(random.Random(seed))
    bounds = start_bounds(shafts, links, push)
    assert bounds is not None
    loose = tuple(StartLink(*(getattr(k, n) for n in (
        "band", "driver", "driven", "driver_radius_m", "driven_radius_m", "ratio"
    )), None, k.net_n, k.mass_kg_m) for k in links)  # fmt: skip
    trace = start(shafts, loose, push, 30.0, COARSE)
    if bounds.longest_s < 30.0:
        assert trace.time_s is not None
        assert trace.time_s <= bounds.longest_s
    for i, (link, (band, least)) in enumerate(zip(links, bounds.margins, strict=True)):
        assert band == link.band
        pulled = [each for each in trace.instants if each.force_n[i] > 0.0]
        for each in pulled:
            held = link.force_at_slip_n(each.omega_rad_s[link.driver])
            assert held / each.force_n[i] >= least


def test_a_steady_load_is_its_own_bound():
    # one shaft without drag: J w / (M - R), and no band
    bounds = start_bounds((Rotating("a", 2e-3, 0.1),), (), Push(0.5, 1e-12, 6.0))
    assert bounds.longest_s == pytest.approx(2e-3 * 6.0 / 0.4, rel=1e-5)
    assert bounds.margins == ()


def test_too_weak_a_push_has_no_bound():
    assert start_bounds((Rotating("a", 2e-3, 0.6),), (), Push(0.5, 0.1, 6.0)).longest_s == math.inf


def test_what_starts_by_itself_has_no_bounds():
    assert start_bounds((Rotating("a", 2e-3, -0.1),), (), Push(0.5, 0.1, 6.0)) is None


@pytest.mark.parametrize("name", ["box-wheel", "flyer-wheel", "travel-wheel"])
def test_the_shipped_wheels_start_within_their_bounds(name):
    loaded = load_wheel(wheelgeo.load(DESIGNS / f"{name}.toml").design)
    bounds, begun = bounds_within(loaded), start_of(loaded)
    assert begun.trace.time_s <= bounds.longest_s < 1.01 * begun.trace.time_s
    for link, (band, least) in zip(begun.links, bounds.margins, strict=True):
        assert link.band == band
        assert (link.margin is None) == (least is None)
        assert least is None or 0.95 * link.margin < least <= link.margin
