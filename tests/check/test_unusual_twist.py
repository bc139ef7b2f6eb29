"""A twist far from what yarn bears is warned of: mostly a factor in another unit than was meant."""

import dataclasses
import re
from pathlib import Path

import pytest

from wheelgeo.check.report import check_design
from wheelgeo.design.model import Count
from wheelgeo.design.reader import read_design

DESIGN = read_design(Path(__file__).resolve().parents[2] / "designs" / "box-wheel.toml")


def unusual(limits=None, **fields):
    yarn = dataclasses.replace(DESIGN.yarn, turns_per_metre=None, **fields)
    design = dataclasses.replace(DESIGN, yarn=yarn, limits=limits or {})
    return [f for f in check_design(design).findings if f.rule == "twist-unusual"]


@pytest.mark.parametrize(
    ("count", "factor"),
    [
        (Count(44.0, "Nm"), 136.0),
        (Count(26.0, "Ne"), 4.0),  # turns per inch over the root of the English count
        (Count(25.0, "tex"), 40.0),  # turns per centimetre times the root of the tex
    ],
)
def test_a_usual_factor_of_each_system_passes(count, factor):
    assert unusual(count=count, twist_factor=factor) == []


@pytest.mark.parametrize(
    ("count", "factor"),
    [
        (Count(25.0, "tex"), 4000.0),  # meant per metre
        (Count(44.0, "Nm"), 4.0),  # meant per inch and English
        (Count(26.0, "Ne"), 136.0),  # meant per metre and metric
    ],
)
def test_a_factor_in_another_unit_is_warned_of(count, factor):
    (found,) = unusual(count=count, twist_factor=factor)
    assert found.level == "warning"
    assert (found.value > found.limit) == (factor > 4.0)


def test_what_the_remedy_asks_for_passes():
    (found,) = unusual(count=Count(49.0, "Nm"), twist_factor=1000.0)
    for turns in map(float, re.search(r"ask for (\d+) to (\d+) turns", found.remedy.says).groups()):
        yarn = dataclasses.replace(DESIGN.yarn, count=Count(49.0, "Nm"), turns_per_metre=turns)
        findings = check_design(dataclasses.replace(DESIGN, yarn=yarn)).findings
        assert "twist-unusual" not in {f.rule for f in findings}


def test_limits_of_the_file_are_used():
    odd = {"count": Count(44.0, "Nm"), "twist_factor": 350.0}
    assert len(unusual(**odd)) == 1
    assert unusual({"greatest_twist_factor": 400.0}, **odd) == []
    assert len(unusual({"least_twist_factor": 360.0, "greatest_twist_factor": 400.0}, **odd)) == 1


@pytest.mark.parametrize(("count_nm", "told"), [(360.0, False), (370.0, True)])
def test_a_count_finer_than_any_fibre_makes_is_warned_of(count_nm, told):
    # The finest cotton is 1.1 dtex: 25 of its fibres make 27.5 dtex, which is 363.6 Nm.
    yarn = dataclasses.replace(DESIGN.yarn, fineness=None, count=Count(count_nm, "Nm"))
    findings = check_design(dataclasses.replace(DESIGN, yarn=yarn)).findings
    found = {f.rule: f for f in findings}.get("too-few-fibres")
    assert (found is not None) is told
    if found:
        assert found.value == pytest.approx(1e4 / count_nm / 1.1)
        assert "even of the finest cotton" in found.says


@pytest.mark.parametrize(
    ("by", "most"), [("crank", 120.0), ("treadle", 100.0), ("motor", None)]
)
def test_a_speed_that_nobody_keeps_up_is_warned_of(by, most):
    def cadence(rpm):
        drive = dataclasses.replace(DESIGN.drive, by=by, speed_rpm=rpm)
        findings = check_design(dataclasses.replace(DESIGN, drive=drive)).findings
        return [(f.level, f.limit) for f in findings if f.rule == "cadence"]

    assert cadence(most or 500.0) == []
    assert cadence(501.0) == ([("warning", most)] if most else [])
