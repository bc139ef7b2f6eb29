"""What an answer says of the yarn: each number against a definition or a reckoning by hand."""

import math
from dataclasses import replace

import pytest

from wheelgeo.as_json import to_json
from wheelgeo.check.answer_yarn import yarn_answer
from wheelgeo.design.model import (
    Band,
    Cop,
    Count,
    Design,
    Drive,
    GivenPitch,
    Pulley,
    Shaft,
    Spindle,
    Stop,
    Yarn,
)
from wheelgeo.drive.train import solve_drive

UP = (0.0, 0.0, 1.0)
YARN = Yarn(Count(40.0, "Nm"), "cotton", "S", turns_per_metre=840.0)
WHEEL = Design(
    "Two", "mm", Drive("a", "crank", 60.0, "counter-clockwise"),
    (Shaft("a", (0.0, 0.0, 0.0), UP, 4.0), Shaft("b", (300.0, 0.0, 0.0), UP, 4.0)),
    (Pulley("one", "a", 0.0, GivenPitch(96.0)), Pulley("two", "b", 0.0, GivenPitch(24.0))),
    (Band("band", (Stop("one"), Stop("two")), "cotton cord", 2.0),),
    Spindle("b", "tip", cop=Cop(10.0, 90.0, 20.0, 15.0)), YARN,
)  # fmt: skip


def of(**changes):
    return to_json(yarn_answer(solve_drive(replace(WHEEL, **changes))))


def test_the_count_in_every_system():
    # 40 km to the kilogram are 25 g to the kilometre; the others by the pound of 453.59237 g in
    # hanks of 840, 560, 300 and 1 600 yards of 0.9144 m (ASTM D2260), French by the half kilogram
    counts = {c["system"]: c["value"] for c in of()["counts"]}
    pound_m = 40.0 * 453.59237
    assert counts == pytest.approx(
        {
            "Nm": 40.0, "tex": 25.0, "denier": 225.0, "French": 20.0,
            "Ne": pound_m / (840 * 0.9144), "worsted": pound_m / (560 * 0.9144),
            "linen lea": pound_m / (300 * 0.9144), "woollen run": pound_m / (1600 * 0.9144),
            "yards per pound": pound_m / 0.9144,
        },
        rel=1e-12,
    )  # fmt: skip
    assert list(counts)[:4] == ["Nm", "Ne", "tex", "denier"]
    assert of()["two_ply"] == {"value": 20.0, "system": "Nm"}


def test_the_twist_as_a_factor_in_each_convention():
    factors = {f["system"]: f["value"] for f in of()["twist_factors"]}
    ne = 40.0 * 453.59237 / (840 * 0.9144)
    assert factors["Nm"] == pytest.approx(840.0 / math.sqrt(40.0))
    assert factors["Ne"] == pytest.approx(840.0 * 0.0254 / math.sqrt(ne))
    assert factors["tex"] == pytest.approx(8.4 * math.sqrt(25.0))


def test_lengths_and_weights():
    found = of()
    assert found["metres_per_100_g"] == pytest.approx(4000.0)
    assert found["metric_hank_g"] == pytest.approx(25.0)  # count 40: 40 hanks weigh 1 kg
    assert found["cotton_hank_g"] == pytest.approx(840 * 0.9144 / 40.0)
    # 15 g on the spindle: 600 m, of a reel of a metre round 600 turns
    assert found["full_cop"] == pytest.approx(
        {"length_m": 600.0, "metric_hanks": 0.6, "reel_turns": 600.0}
    )
    # 60 turns a minute of the hand, 4 of the spindle each: 14 400 turns an hour, 840 to a metre
    assert found["metres_per_hour"] == pytest.approx(14400.0 / 840.0)


def test_what_a_cop_holds_of_plied_yarn_and_how_many_plying_takes():
    # 15 g of three strands of 40 Nm are 200 m, but for what plying takes up: a few in a hundred
    found = of(yarn=replace(YARN, count=Count(40.0, "Nm", plies=3)))
    assert found["bobbins_to_ply"] == 4
    assert found["full_cop"]["length_m"] == pytest.approx(600.0)
    assert found["full_cop_plied"]["length_m"] == pytest.approx(200.0, rel=0.08)
    nm = found["plied"]["count"]
    assert found["full_cop_plied"]["length_m"] == pytest.approx(15.0 * nm, rel=1e-9)
    assert of()["bobbins_to_ply"] is None
    assert of()["full_cop_plied"] is None


def test_cotton_has_thickness_and_cloth_and_wool_has_not():
    cotton = of()["as_cotton"]
    yards_per_pound = 40.0 * 453.59237 / 0.9144
    # Ashenhurst: 0.9 of the root of yards per pound, halved in plain weave
    sett = 0.45 * math.sqrt(yards_per_pound)
    assert cotton["plain_sett_per_inch"] == pytest.approx(sett)
    assert cotton["plain_cloth_g_m2"] == pytest.approx(2 * sett / 0.0254 * 0.025)
    ne = yards_per_pound / 840.0
    assert cotton["diameter_mm"] == pytest.approx(25.4 / (28 * math.sqrt(ne)), rel=3e-3)  # Peirce
    assert cotton["wraps_per_inch"] == pytest.approx(25.4 / cotton["diameter_mm"])
    assert of(yarn=replace(YARN, fibre="wool"))["as_cotton"] is None


def test_what_is_not_known_is_none():
    bare = of(yarn=Yarn(Count(40.0, "Nm"), "cotton", "S"), spindle=Spindle("b", "tip"))
    assert bare["twist_factors"] == []
    assert bare["metres_per_hour"] is None
    assert bare["full_cop"] is None
    assert of(bands=())["metres_per_hour"] is None
    assert of(yarn=None) is None
