"""Bounds of a spindle's critical speeds, by two beams, against those speeds themselves."""

import random
from dataclasses import replace
from itertools import islice
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.built.as_built import build
from wheelgeo.drive.whirl import CriticalBounds, critical_bounds, spindle_whirl

DESIGNS = Path(__file__).resolve().parents[2] / "designs"


def spindles():
    """Of shipped wheels, thinner and thicker, with light and heavy cops."""
    chance = random.Random(5)
    for name in ("box-wheel", "travel-wheel", "flyer-wheel"):
        design = wheelgeo.load(DESIGNS / f"{name}.toml").design
        yield design
        for _ in range(3):
            shafts = tuple(
                replace(s, diameter_mm=s.diameter_mm * chance.uniform(0.6, 1.6))
                if s.name == design.spindle.shaft else s
                for s in design.shafts
            )  # fmt: skip
            cop, spindle = design.spindle.cop, design.spindle
            if cop is not None:
                thick = 12.0 + cop.diameter_mm * chance.uniform(0.8, 3.0)
                mass = chance.uniform(2.0, 90.0)
                spindle = replace(spindle, cop=replace(cop, diameter_mm=thick, mass_g=mass))
            yield replace(design, shafts=shafts, spindle=spindle)


@pytest.mark.parametrize("number", range(12))
def test_no_critical_speed_breaks_its_bounds_whatever_the_cop(number):
    design = next(islice(spindles(), number, None))
    spindle = build(design).spindle
    bounds, found = critical_bounds(spindle), spindle_whirl(spindle, 1000.0)
    for point in found.points:
        for order, speed in enumerate(point.critical_rpm):
            assert bounds.least_rpm[order] < speed
            if order < len(bounds.greatest_rpm):
                assert speed < bounds.greatest_rpm[order]
    for working in (0.4, 0.9, 1.1, 1.6, 2.4):
        rpm = working * found.points[0].critical_rpm[0]
        margin = spindle_whirl(spindle, rpm).margin
        for wanted in (0.1, 0.2, 0.4):
            assert not bounds.clear_of(rpm, wanted) or margin >= wanted


def test_between_two_critical_speeds_both_must_keep_their_distance():
    bounds = CriticalBounds((4000.0, 12000.0, 30000.0), (5000.0, 15000.0, 40000.0))
    assert bounds.clear_of(8000.0, 0.2)
    assert not bounds.clear_of(6000.0, 0.2)
    assert not bounds.clear_of(10500.0, 0.2)
    assert bounds.clear_of(3000.0, 0.2)
    assert not CriticalBounds((4000.0, 12000.0), (5000.0,)).clear_of(8000.0, 0.6)


def test_the_bounds_of_a_shipped_spindle_say_something():
    spindle = build(wheelgeo.load(DESIGNS / "travel-wheel.toml").design).spindle
    assert critical_bounds(spindle).clear_of(5200.0, 0.2)
