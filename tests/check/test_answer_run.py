"""The document of a wheel under a hand: its keys, all finite, and that it says what it lacks."""

import functools
import json
import math
import random
from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.check.answering import answer_of
from wheelgeo.check.answering_run import TRACE_POINTS, running_answer
from wheelgeo.check.report import put_under_check, quick_report, run_report
from wheelgeo.design.model import (
    Bearing,
    Cop,
    GivenPitch,
    Lightening,
    Section,
    Tensioner,
    Washer,
)
from wheelgeo.design.reader import read_design

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
SHIPPED = [read_design(path) for path in sorted(DESIGNS.glob("*-wheel.toml"))]


def document(design):
    wheel = put_under_check(design)
    answer = running_answer(run_report(wheel), answer_of(quick_report(wheel)))
    facts = answer.to_json()
    return json.loads(json.dumps(facts, allow_nan=False))


@functools.cache
def shipped(title):
    return document(next(d for d in SHIPPED if d.title == title))


@pytest.mark.parametrize("design", SHIPPED, ids=lambda d: d.title)
def test_keys(design):
    facts = shipped(design.title)
    assert set(facts) == {
        "title", "tension", "load", "start", "spindle", "balance", "rim", "assumed", "findings",
        "known", "flyer",
    }  # fmt: skip
    assert [b["name"] for b in facts["tension"]] == [b.name for b in design.bands]
    for band, told in zip(design.bands, facts["tension"], strict=True):
        assert [p["name"] for p in told["pulleys"]] == [s.pulley for s in band.route]
        # A pulley that carries next to nothing (a flyer that the yarn draws on) never slips.
        held = [p for p in told["pulleys"] if p["margin"] is not None]
        assert all(p["start_margin"] is None for p in told["pulleys"] if p not in held)
        assert told["margin"] == min((p["margin"] for p in held), default=None)
        assert all(p["start_margin"] < p["margin"] for p in held)
        assert all(p["least_margin"] < p["margin"] for p in held)
        # in the start each pulley has the same share of its steady margin
        shares = [p["start_margin"] / p["margin"] for p in held]
        assert shares == pytest.approx(shares[:1] * len(shares), rel=1e-9)
        starts = [b["margin"] for b in facts["start"]["bands"] if b["name"] == band.name]
        least = min((p["start_margin"] for p in held), default=None)
        assert least == pytest.approx(min((m for m in starts if m is not None), default=None))
    assert [p["name"] for p in facts["balance"]] == [p.name for p in design.pulleys]
    assert [p["name"] for p in facts["rim"]] == [p.name for p in design.pulleys]
    assert len(facts["start"]["trace"]) <= TRACE_POINTS
    assert abs(facts["start"]["energy"]["error"]) < 1e-6
    last = facts["start"]["trace"][-1]
    for name, rpm in zip(facts["start"]["shafts"], last["speed_rpm"], strict=True):
        solved = put_under_check(design).solution.shaft(name)
        assert rpm == pytest.approx(abs(solved.speed_rpm), rel=0.02)


def test_the_start_ends_in_the_steady_load():
    # at speed the hand's torque is what the load says
    for design in SHIPPED:
        facts = shipped(design.title)
        last = facts["start"]["trace"][-1]
        assert last["hand_nm"] == pytest.approx(facts["load"]["torque_nm"], rel=5e-3)


def test_cop_grows_and_the_critical_speed_falls():
    for design in SHIPPED:
        points = shipped(design.title)["spindle"]["cop"]
        assert [p["share"] for p in points] == [i / 8 for i in range(9)]
        first = [p["critical_rpm"][0] for p in points]
        assert first == sorted(first, reverse=True)
        assert points[-1]["diameter_mm"] > points[0]["diameter_mm"]


def test_whatever_is_taken_is_said():
    bare = replace(SHIPPED[1], spindle=replace(SHIPPED[1].spindle, bearings=(), cop=None))
    said = {a["what"]: a["taken"] for a in document(bare)["assumed"]}
    assert {"bearings of the spindle", "the full cop", "pull of the yarn"} <= set(said)
    assert any(w.startswith("material of pulley") for w in said)
    told = replace(bare, limits={"yarn_pull_n": 0.5})
    assert "pull of the yarn" not in {a["what"] for a in document(told)["assumed"]}


def test_unknown_bearing_and_material_are_said_to_be_taken_otherwise():
    design = SHIPPED[1]
    bearings = (Bearing(-14.0, "butter"), Bearing(24.0, "brass"))
    odd = replace(design, spindle=replace(design.spindle, bearings=bearings))
    said = [a for a in document(odd)["assumed"] if "butter" in a["source"]]
    assert said
    assert "brass" in said[0]["taken"]


# Changes that break a wheel in one way or another: none may end in anything but a document.
def _change_band(rng, design, **fields):
    band = rng.choice(design.bands)
    bands = tuple(replace(b, **fields) if b is band else b for b in design.bands)
    return replace(design, bands=bands)


def _change_pulley(rng, design, **fields):
    pulley = rng.choice(design.pulleys)
    pulleys = tuple(replace(p, **fields) if p is pulley else p for p in design.pulleys)
    return replace(design, pulleys=pulleys)


def _drop_band(rng, design):
    return replace(design, bands=design.bands[:-1] or design.bands)


def _retension(rng, design):
    kind = rng.choice(["weight", "spring", "measured"])
    return _change_band(rng, design, tension=Tensioner(kind, rng.choice([0.01, 2.0, 50.0])))


def _move(rng, design):
    shaft = rng.choice(design.shafts)
    x, y, z = shaft.at_mm
    moved = replace(shaft, at_mm=(x + rng.uniform(-80, 80), y, z))
    return replace(design, shafts=tuple(moved if s is shaft else s for s in design.shafts))


def _motor(rng, design):
    speed = rng.choice([1.0, 60.0, 3000.0, 20000.0])
    return replace(design, drive=replace(design.drive, by="motor", radius_mm=None, speed_rpm=speed))


def _bearings(rng, design):
    sets = [(), (Bearing(3.0, "brass"),), (Bearing(3.0, "?"), Bearing(30.0, "cord", 5.0))]
    return replace(design, spindle=replace(design.spindle, bearings=rng.choice(sets)))


def _odd_spindle(rng, design):
    cop = Cop(-300.0, rng.choice([-250.0, 200.0]), rng.choice([1.0, 50.0]), rng.choice([0.01, 200]))
    sections = (Section(10.0, 40.0, 8.0), Section(30.0, 60.0, 2.0))
    spindle = replace(
        design.spindle, cop=cop, sections=sections, washers=(Washer(500.0, 30.0, 2.0),)
    )
    return replace(design, spindle=spindle)


def _no_ends(rng, design):
    shafts = tuple(replace(s, ends_mm=None, slide=None) for s in design.shafts)
    return replace(design, shafts=shafts)


def _no_throw(rng, design):
    return replace(design, drive=replace(design.drive, radius_mm=None))


CHANGES = (
    _drop_band, _retension, _move, _motor, _bearings, _odd_spindle, _no_ends,
    lambda r, d: _change_pulley(r, d, material=r.choice(["teak", "aluminium", "unobtainium"])),
    lambda r, d: _change_pulley(r, d, groove=GivenPitch(r.choice([5.0, 40.0, 200.0]))),
    lambda r, d: _change_pulley(r, d, lightening=Lightening(6, 5.0, 30.0), width_mm=1.0),
    lambda r, d: _change_band(r, d, stretch=r.choice([None, 0.0, 0.001, 0.3])),
    lambda r, d: _change_band(r, d, diameter_mm=r.choice([0.4, 2.6, 12.0])),
    lambda r, d: _change_band(r, d, slip=r.choice([None, 0.02])),
    _no_throw,
)  # fmt: skip


@pytest.mark.parametrize(
    "seed", [0, 1, *(pytest.param(s, marks=pytest.mark.long) for s in range(2, 6))]
)
def test_broken_wheels_give_a_document_and_say_what_it_lacks(seed):
    rng = random.Random(seed)
    for _ in range(3):
        design = rng.choice(SHIPPED)
        for _ in range(rng.choice([1, 2, 3])):
            design = rng.choice(CHANGES)(rng, design)
        facts = document(design)
        rules = {f["rule"] for f in facts["findings"]}
        if facts["load"]["torque_nm"] is None:
            assert "load-unknown" in rules
        if facts["start"]["time_s"] is None:
            assert rules & {"start", "start-unknown"}
        if not facts["spindle"]["cop"]:
            assert "spindle-bearings" in rules
        if any(r["strength_mpa"] is None for r in facts["rim"]):
            assert "strength-unknown" in rules
        if any(b["rest_n"] is None for b in facts["tension"]):
            assert "pull-unknown" in rules
        assert all(math.isfinite(p["permissible_eccentricity_mm"]) for p in facts["balance"])
