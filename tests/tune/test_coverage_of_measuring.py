"""Intervals of measured wheels against chance: they hold the truth as often as they say.

Five kinds of wheel at random, each measured with errors drawn from the very uncertainty that is
told. The long form draws 2 000 of each; the short one fewer, from a fixed seed.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

import wheelgeo
from wheelgeo.check.band_uncertainty import uncertainty_of
from wheelgeo.design.model import Design
from wheelgeo.drive.train import solve_drive
from wheelgeo.numbers.agreeing import COVERAGE_FACTOR
from wheelgeo.numbers.inputs import changer, find_input
from wheelgeo.numbers.results import find_result
from wheelgeo.tune.adjust import Adjusted, ResultBefore, ValueBefore, adjust
from wheelgeo.tune.snooping import snoop

FRAME = """
title = "Old wheel"
drive = { shaft = "axle", by = "treadle", speed = "60 rpm", turns = "clockwise" }
"""
AXLE = '{ name = "axle", at = [0, 0, 0], axis = [0, 1, 0], diameter = 12 },'
TIP = 'spindle = { shaft = "spindle", kind = "tip" }'
BAND = 'material = "cotton cord", diameter = 3, stretch = 0.02'


def pulley(name: str, shaft: str, rim: float, offset: float = 0.0) -> str:
    return (
        f'{{ name = "{name}", shaft = "{shaft}", offset = {offset}, '
        f'groove = {{ shape = "vee", rim = {rim}, depth = 5, angle = 60 }} }},'
    )


def shaft(name: str, at: str, axis: str = "[0, 1, 0]") -> str:
    return f'{{ name = "{name}", at = {at}, axis = {axis}, diameter = 6 }},'


def one_band(
    extra: str = "", axis: str = "[0, 1, 0]", at: str = "[500, 0, 0]", z: float = 0.0
) -> str:
    return FRAME + TIP + f"""
    shaft = [{AXLE} {shaft("spindle", at, axis)}]
    pulley = [{pulley("wheel", "axle", 500)} {pulley("whorl", "spindle", 50, z)}]
    band = [{{ name = "band", route = ["wheel", "whorl"], {extra} {BAND} }}]
    """


KINDS = {
    "great": one_band(),
    "crossed": one_band("crossed = true,"),
    "quarter turn": one_band(axis="[0, 0, 1]", at="[500, 20, -400]", z=150),
    "double": FRAME + f"""
    spindle = {{ shaft = "flyer", kind = "flyer", bobbin = "bobbin" }}
    shaft = [{AXLE} {shaft("flyer", "[500, 0, 0]")} {shaft("bobbin", "[500, 0, 0]")}]
    pulley = [{pulley("wheel", "axle", 500, -8)} {pulley("second", "axle", 500, 8)}
              {pulley("whorl", "flyer", 50, -8)} {pulley("small", "bobbin", 44, 8)}]
    band = [{{ name = "band", route = ["wheel", "whorl", "second", "small"], {BAND} }}]
    """.replace(" {name", "{name"),
    "accelerator": FRAME + TIP + f"""
    shaft = [{AXLE} {shaft("counter", "[500, 0, 0]")} {shaft("spindle", "[500, 0, 120]")}]
    pulley = [{pulley("wheel", "axle", 500)} {pulley("small", "counter", 50)}
              {pulley("large", "counter", 100, 20)} {pulley("whorl", "spindle", 26, 20)}]
    band = [{{ name = "band", route = ["wheel", "small"], {BAND} }},
            {{ name = "other", route = ["large", "whorl"], {BAND} }}]
    """,
}


def changed(design: Design, values: dict[str, float]) -> Design:
    for key, value in values.items():
        design = changer(design, key)(design, value)
    return design


def drawn(design: Design, chance: random.Random) -> tuple[dict[str, float], dict[str, float]]:
    """Return the true sizes of a wheel of a kind, and how well each is measured."""
    rims = [p.name for p in design.pulleys if p.name != "second"]
    truth = {f"{n}.rim": chance.uniform(0.85, 1.2) * design.pulley(n).groove.rim_mm for n in rims}
    halves = {key: 3.0 if value > 200.0 else 0.5 for key, value in truth.items()}
    far = "flyer" if any(s.name == "flyer" for s in design.shafts) else (
        "counter" if any(s.name == "counter" for s in design.shafts) else "spindle"
    )  # fmt: skip
    truth[f"{far}.at.x"] = chance.uniform(470.0, 700.0)
    halves[f"{far}.at.x"] = 4.0
    for key in ("wheel.depth", "whorl.depth"):
        truth[key], halves[key] = chance.uniform(3.5, 6.0), 0.5
    return truth, halves


def partners(values: dict[str, float]) -> dict[str, float]:
    """Return the values with those that are one with them: grooves of a rim, shafts of an axis."""
    more = dict(values)
    if "small.rim" in values and "flyer.at.x" in values:
        more |= {f"second.{size}": values[f"wheel.{size}"] for size in ("rim", "depth")}
    if "flyer.at.x" in values:
        more["bobbin.at.x"] = values["flyer.at.x"]
    if "counter.at.x" in values:
        more["spindle.at.x"] = values["counter.at.x"]
    return more


SAME = {"second.rim": "wheel.rim", "second.depth": "wheel.depth", "bobbin.at.x": "flyer.at.x",
        "spindle.at.x": "counter.at.x"}  # fmt: skip


def coverage(kind: str, wheels: int) -> tuple[float, float]:
    """Return how often the intervals of ratio and of the first band's length hold the truth."""
    start, chance = wheelgeo.read(KINDS[kind]).design, random.Random(f"{kind} 11")
    ratios = lengths = 0
    for _ in range(wheels):
        truth, halves = drawn(start, chance)
        read = {k: chance.gauss(v, halves[k] / COVERAGE_FACTOR) for k, v in truth.items()}
        right, mine = (changed(start, partners(v)) for v in (truth, read))
        # A file says of each of them what was measured, as somebody writes it.
        there = partners(truth)
        wide = halves | {k: halves[o] for k, o in SAME.items() if k in there and o in halves}
        full = {find_input(mine, key).full_key: half for key, half in wide.items()}
        mine = replace(mine, uncertainties=full)
        real, seen = solve_drive(right), solve_drive(mine)
        sure = uncertainty_of(mine, seen)
        assert real.ratio is not None
        assert seen.ratio is not None
        ratios += abs(real.ratio - seen.ratio) <= (sure.ratio or 0.0)
        one, other = real.bands[0].path, seen.bands[0].path
        assert one is not None
        assert other is not None
        half = sure.bands["band"].length_mm or 0.0
        lengths += abs(one.length_mm - other.length_mm) <= half
    return ratios / wheels, lengths / wheels


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_intervals_hold_the_truth(kind: str) -> None:
    """95 % of 40: two and a half standard deviations are 9 %."""
    assert all(0.86 <= share <= 1.0 for share in coverage(kind, 40))


@pytest.mark.long
@pytest.mark.parametrize("kind", sorted(KINDS))
def test_intervals_hold_the_truth_in_many_wheels(kind: str) -> None:
    assert all(0.93 <= share <= 0.97 for share in coverage(kind, 2000))


# --- an error among six measurements --------------------------------------------------------------

VALUES = ("wheel.rim", "whorl.rim", "spindle.at.x")
RESULTS = ("band.length", "ratio", "wheel.pitch")
HALVES = {"wheel.rim": 3.0, "whorl.rim": 0.5, "spindle.at.x": 4.0, "band.length": 5.0,
          "ratio": 0.05, "wheel.pitch": 2.0}  # fmt: skip


def model_of(design: Design) -> Callable[[np.ndarray], np.ndarray]:
    results = [find_result(design, name) for name in RESULTS]

    def model(x: np.ndarray) -> np.ndarray:
        solution = solve_drive(changed(design, dict(zip(VALUES, map(float, x), strict=True))))
        return np.array([math.nan if (v := r.of(solution)) is None else v for r in results])

    return model


def inseparable_from(name: str, done: Adjusted) -> tuple[str, ...]:
    """Return the observations whose errors show as one's own does, itself among them."""
    names = [o.name for o in done.observations]
    alike = np.abs(done.residual_correlation[names.index(name)]) > 1.0 - 1e-6
    return tuple(n for n, same in zip(names, alike, strict=True) if same or n == name)


def blunders(wheels: int) -> tuple[float, float, int]:
    """Return how often an error is noticed, and named among those that can be told apart."""
    start, chance = wheelgeo.read(KINDS["great"]).design, random.Random(12)
    model, noticed, named, locatable = model_of(start), 0, 0, 0
    for _ in range(wheels):
        sizes = (430, 560), (40, 60), (470, 700)
        truth = np.array([chance.uniform(*ends) for ends in sizes])
        true = dict(zip((*VALUES, *RESULTS), (*truth, *model(truth)), strict=True))
        read = {k: chance.gauss(v, HALVES[k] / COVERAGE_FACTOR) for k, v in true.items()}
        wrong = chance.choice(list(true))
        read[wrong] += chance.choice((-10.0, 10.0)) * HALVES[wrong]
        values = [ValueBefore(k, read[k], HALVES[k] / COVERAGE_FACTOR) for k in VALUES]
        results = [ResultBefore(k, read[k], HALVES[k] / COVERAGE_FACTOR) for k in RESULTS]
        done = adjust(values, results, model)
        found = snoop(values, results, model, done)[1]
        noticed += bool(found)
        together = inseparable_from(wrong, done)
        if len(together) == 1:
            locatable += 1
            named += any(wrong in one.names for one in found)
        elif found:
            # What cannot be told apart is named together.
            assert any(set(together) <= set(one.names) for one in found if wrong in one.names)
    return noticed / wheels, named / max(locatable, 1), locatable


def test_a_gross_error_is_noticed_and_named() -> None:
    noticed, named, locatable = blunders(24)
    assert locatable >= 10
    assert noticed >= 0.9
    assert named >= 0.85


@pytest.mark.long
def test_a_gross_error_is_noticed_and_named_in_many_wheels() -> None:
    noticed, named, locatable = blunders(1000)
    assert locatable >= 500
    assert noticed >= 0.95
    assert named >= 0.90
