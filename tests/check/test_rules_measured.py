"""What ``solve``, ``check`` and ``bands`` say of measurements, without adjusting them."""

from __future__ import annotations

import pytest

import wheelgeo
from wheelgeo.check.finding import Finding
from wheelgeo.check.rules_measured import measurements_together
from wheelgeo.numbers.agreeing import agreement_of

OLD = """
title = "Old flyer wheel of Larkfield"
unit = "in"
drive = { shaft = "axle", by = "treadle", speed = "60 rpm", turns = "clockwise" }
spindle = { shaft = "flyer", kind = "tip" }
shaft = [
  { name = "axle", at = [0, 0, 0], axis = [0, 1, 0], diameter = "1/2" },
  { name = "flyer", at = ["17 3/4 +- 1/8 in", 0, 0], axis = [0, 1, 0], diameter = "3/8" },
]

[[pulley]]
name = "wheel"
shaft = "axle"
offset = 0
groove = { shape = "vee", rim = "19 3/4 +- 1/16 in", depth = "1/4 +- 1/32 in", angle = 60 }

[[pulley]]
name = "whorl"
shaft = "flyer"
offset = 0
groove = { shape = "vee", rim = "2 1/4 +- 1/32 in", depth = "3/16 +- 1/64 in", angle = 60 }

[[band]]
name = "drive band"
route = ["wheel", "whorl"]
material = "cotton cord"
diameter = "2.5 mm"
stretch = "2 %"
"""


def of(*entries: tuple[str, str]) -> wheelgeo.Wheel:
    tables = "".join(f'\n[[measured]]\nwhat = "{what}"\nis = "{is_}"\n' for what, is_ in entries)
    return wheelgeo.read(OLD + tables)


def told(wheel: wheelgeo.Wheel) -> Finding:
    (finding,) = wheel.bands().findings
    assert finding in wheel.solve().findings
    return finding


def test_measurements_that_disagree_are_a_warning_and_no_fault() -> None:
    wheel = of(("drive band.length", "72 1/4 +- 1/4 in"), ("ratio", "9.4 +- 0.1"))
    finding = told(wheel)
    assert (finding.rule, finding.level) == ("measurements-disagree", "warning")
    assert "72 1/4 in" in finding.says
    assert "wheelgeo measure" in finding.remedy.says
    assert "drive band.length" in wheel.measure().disagree


def test_readings_that_contradict_one_another_are_told_where_no_size_does() -> None:
    """Of a distance that nobody measured either may be right, but not both."""
    text = OLD.replace("17 3/4 +- 1/8 in", "17 3/4 +- 18 in")
    same = '\n[[measured]]\nwhat = "drive band.length"\nis = "{} +- 1/8 in"\n'
    alone, both = (wheelgeo.read(text + "".join(map(same.format, lengths)))
                   for lengths in (["74"], ["74", "72"]))  # fmt: skip
    assert told(alone).rule == "measurements-not-fitted"
    assert told(both).rule == "measurements-disagree"


@pytest.mark.parametrize("length", ["73", "73 1/2", "74", "75", "71 1/2"])
def test_how_far_off_is_as_the_adjustment_has_it(length: str) -> None:
    """By parts at the numbers of the file, against least squares at the best fit."""
    wheel = of(("drive band.length", f"{length} +- 1/4 in"), ("ratio", "9.4 +- 0.1"))
    found, adjusted = agreement_of(wheel.design), wheel.measure()
    assert found is not None
    most = max(abs(o.normalised or 0.0) for o in (*adjusted.values, *adjusted.measured))
    assert found.normalised == pytest.approx(most, rel=0.02)
    assert found.disagrees == bool(adjusted.disagree)


def test_a_wheel_that_measure_has_fitted_is_told_nothing_of() -> None:
    wheel = of(("drive band.length", "73 1/4 +- 1/4 in"))
    finding = told(wheel)
    assert (finding.rule, finding.level) == ("measurements-not-fitted", "note")
    assert wheel.measure().wheel.bands().findings == ()


def test_an_entry_that_no_result_has_is_told() -> None:
    finding = told(of(("drive bond.length", "73 +- 1/4 in")))
    assert finding.rule == "measured-unusable"
    assert "drive bond.length" in finding.says


def test_without_measured_results_nothing_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("wheelgeo.numbers.agreeing.agreement_of", None)
    assert list(measurements_together(of()._under_check)) == []
