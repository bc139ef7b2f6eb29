"""A band that its groove just catches: told, and set right by a place that a hand can keep."""

import math
from pathlib import Path

import pytest

import wheelgeo

TRAVEL = wheelgeo.load(Path(__file__).resolve().parents[2] / "designs" / "travel-wheel.toml")


def mouths(offset_mm):
    found = TRAVEL.put({"wheel.offset": offset_mm}).solve().findings
    return [f for f in found if f.rule.startswith("mouth-")]


def test_a_thrown_band_is_brought_into_line_and_not_just_within_the_limit():
    thrown = mouths(16.5)
    assert [f.level for f in thrown] == ["fault", "fault"]
    for way in (way for f in thrown for way in f.remedy.ways):
        changed = way.apply()
        assert changed.get("wheel.offset") == pytest.approx(changed.get("hub.offset"))
        assert all(abs(p.arriving_deg) < 0.01 for p in changed.bands().bands[0].pulleys)


def test_what_half_a_millimetre_would_throw_is_warned_of():
    """The run covers sqrt(C^2 - (r1 - r2)^2) in the plane: its angle is known without a solver."""
    (run, *_) = TRAVEL.bands().bands[0].runs
    limit = mouths(16.5)[0].limit
    thrown_mm = 10.0 + math.tan(math.radians(limit)) * run.length_mm
    assert [f.level for f in mouths(thrown_mm + 0.02)] == ["fault", "fault"]
    (near,) = mouths(thrown_mm - 0.1)
    assert (near.rule, near.level) == ("mouth-barely", "warning")
    assert near.remedy.apply().get("wheel.offset") == pytest.approx(10.0)
    assert mouths(thrown_mm - 0.55) == []
