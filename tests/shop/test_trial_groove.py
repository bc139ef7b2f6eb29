"""A kind of groove that no room but geometry has heard of goes through the whole house."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import ClassVar

import pytest

from wheelgeo.check.answering import answer_of
from wheelgeo.check.report import put_under_check, whole_report
from wheelgeo.design.reader import read_design
from wheelgeo.drive.train import solve_drive
from wheelgeo.geometry.groove import SunkGroove, VeeGroove
from wheelgeo.shop.bench_set import MakeOptions, plan_make
from wheelgeo.shop.pulleys import groove_words
from wheelgeo.tune.size_tolerances import Allowed
from wheelgeo.tune.tolerance import tolerance

DESIGN = Path(__file__).resolve().parents[2] / "designs" / "box-wheel.toml"

CUT = MakeOptions(only=("dxf", "jigs", "templates", "drawings", "solids", "tables", "facts"))
"""All that a groove's outline goes into; the shop sheet's words are asked apart."""


@dataclass(frozen=True, slots=True)
class ThreadGroove(SunkGroove):
    """A groove cut by a threading tool: flanks at 60 degrees whatever its size."""

    shape: ClassVar[str] = "thread"

    tip_mm: float

    @property
    def flanks_deg(self) -> float:
        return 60.0

    @property
    def flat_mm(self) -> float:
        return self.tip_mm


def retooled(kind: type[SunkGroove]):
    """The box wheel, its vees of 60 degrees cut as one kind of groove or the other."""
    design = read_design(DESIGN)
    pulleys = []
    for pulley in design.pulleys:
        assert isinstance(pulley.groove, VeeGroove)
        rim, depth, _, bottom = pulley.groove.sizes().values()
        groove = (
            VeeGroove(rim, depth, 60.0, bottom)
            if kind is VeeGroove
            else ThreadGroove(rim, depth, bottom)
        )
        pulleys.append(replace(pulley, groove=groove))
    return replace(design, pulleys=tuple(pulleys))


@pytest.fixture(scope="module")
def wheels():
    return retooled(ThreadGroove), retooled(VeeGroove)


def test_it_runs_as_the_vee_of_the_same_shape(wheels):
    ours, vee = (solve_drive(design) for design in wheels)
    assert ours.ratio == vee.ratio
    assert [m.seats for m in ours.bands] == [m.seats for m in vee.bands]


def test_it_is_checked_with_remedies(wheels):
    ours, vee = (whole_report(put_under_check(design)) for design in wheels)
    assert [(f.rule, f.where, f.value) for f in ours.findings] == [
        (f.rule, f.where, f.value) for f in vee.findings
    ]
    for finding in ours.findings:
        assert finding.remedy.says is not None


def test_it_is_made(wheels):
    ours, vee = (
        {
            file.name: file.content
            for file in plan_make(answer_of(whole_report(put_under_check(design))), options)
        }
        for design, options in zip(wheels, (CUT, MakeOptions(only=("jigs", "solids"))), strict=True)
    )
    assert vee.keys() < ours.keys()
    same = [name for name in vee if name.endswith((".stl", ".glb")) or "gauge" in name]
    assert len(same) > 4
    for name in same:
        assert ours[name] == vee[name]


def test_the_sheet_of_a_pulley_says_it(wheels):
    ours, _ = wheels
    assert "thread groove 60 deg" in groove_words(ours, ours.pulleys[0])


def test_its_tolerances_are_reckoned(wheels):
    # the angle of a tool is no number of the wheel: less is in doubt than with a vee
    ours, vee = (tolerance(design, Allowed()).ratio.budget for design in wheels)
    assert 0.0 < ours.standard_uncertainty <= vee.standard_uncertainty
