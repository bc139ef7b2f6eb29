"""Ranges: two corners hold whatever wheels drawn at random between them give."""

import random
from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.built.assumed import Chosen
from wheelgeo.design.material import Figure
from wheelgeo.design.materials import find_material
from wheelgeo.design.model import Tensioner
from wheelgeo.design.reader import read_design
from wheelgeo.drive.running import load_wheel, run_wheel
from wheelgeo.drive.solve_load import solve_load
from wheelgeo.drive.start_bounds import steady_start_s
from wheelgeo.drive.startup import Push, Rotating, start
from wheelgeo.drive.tension import rest_bands
from wheelgeo.drive.train import solve_drive
from wheelgeo.drive.turning import turning_shafts
from wheelgeo.drive.whirl import spindle_whirl

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
SHIPPED = sorted(DESIGNS.glob("*-wheel.toml"))

ROUNDING = 1e-12


def exactly(figure, rng):
    value = rng.uniform(figure.low, figure.high)
    return Figure(value, value, value, "drawn")


def drawn(design, rng):
    """The wheel with cords drawn at random, as materials of its own: modulus, loss in bending."""
    names = {b.material for b in design.bands}
    cords = (find_material(n, design.materials) for n in sorted(names))
    own = tuple(
        replace(
            c, modulus_mpa=exactly(c.modulus_mpa, rng),
            bending_share=c.bending_share and exactly(c.bending_share, rng),
            loss_factor=c.loss_factor and exactly(c.loss_factor, rng),
        )
        for c in cords
    )  # fmt: skip
    return replace(design, materials=own)


def load_of(design, rng):
    solution = solve_drive(drawn(design, rng))
    rotors = []
    for r in load_wheel(design).rotors:
        pairs = [replace(j.pair.value, friction=exactly(j.friction, rng)) for j in r.journals]
        journals = zip(r.journals, pairs, strict=True)
        rotors.append(replace(r, journals=tuple(replace(j, pair=Chosen(p)) for j, p in journals)))
    return solve_load(solution, rest_bands(solution), turning_shafts(solution, rotors))


@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.stem)
def test_wheels_drawn_at_random_lie_within(path):
    design, rng = read_design(path), random.Random(7)
    ranges = run_wheel(design).ranges
    for _ in range(12):
        load = load_of(design, rng)
        low, high = ranges.torque_nm
        assert low <= load.hand_nm <= high
        for shaft in load.shafts:
            low, high = ranges.bearing_n(shaft.shaft)
            # A bobbin that is braked carries the same whatever its cords: but for rounding.
            assert low * (1.0 - ROUNDING) <= shaft.bearing_n <= high * (1.0 + ROUNDING)
        for band in load.bands:
            low, high = ranges.tight_n(band.rest.band.name)
            assert low <= max(band.pulls_n) <= high


@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.stem)
def test_spindles_drawn_at_random_lie_within(path):
    from wheelgeo.built.as_built import build

    design, rng = read_design(path), random.Random(9)
    spindle, ranges = build(design).spindle, run_wheel(design).ranges
    for _ in range(2):
        bearings = tuple(
            b if b.stiffness.given
            else replace(b, stiffness=Chosen(exactly(b.pair.value.stiffness_n_mm, rng).value))
            for b in spindle.bearings
        )  # fmt: skip
        other = replace(spindle)
        other.__dict__["bearings"] = bearings
        points = spindle_whirl(other, 1000.0).points
        for point, (low, high) in ((points[0], ranges.empty_rpm), (points[-1], ranges.full_rpm)):
            assert low <= point.critical_rpm[0] <= high


def test_a_measured_pull_narrows_what_follows():
    design = read_design(DESIGNS / "box-wheel.toml")
    before = run_wheel(design).ranges
    bands = tuple(
        replace(b, stretch=None, tension=Tensioner("measured", 9.0 - 6.0 * i))
        for i, b in enumerate(design.bands)
    )
    after = run_wheel(replace(design, bands=bands)).ranges
    assert after.rest_n("first band") == (9.0, 9.0)
    spans = [r.torque_nm[1] - r.torque_nm[0] for r in (before, after)]
    # what is left is the friction of the bearings
    assert spans[1] < spans[0] / 3.0
    assert not any(k.what.startswith("modulus") for k in after.known)


@pytest.mark.parametrize(("load", "ramp"), [(0.1, 1.0), (0.3, 1.0), (0.1, 0.2), (0.7, 3.0)])
def test_the_start_in_closed_form_is_the_one_integrated(load, ramp):
    push = Push(0.9, ramp, 6.0)
    trace = start((Rotating("all", 0.03, load),), (), push)
    assert steady_start_s(push, load, 0.03) == pytest.approx(trace.time_s, rel=1e-6)


def test_a_push_that_is_too_weak_never_gets_there():
    assert steady_start_s(Push(0.9, 1.0, 6.0), 0.9, 0.03) == float("inf")
