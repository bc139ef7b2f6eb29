"""One pair of bodies is told of once, by the rule whose remedy mends most of it."""

from dataclasses import replace
from pathlib import Path

import wheelgeo
from wheelgeo.check.report import built_findings, put_under_check

DESIGNS = Path(__file__).resolve().parents[2] / "designs"


def test_a_wheel_through_the_walls_is_told_by_the_rule_on_the_case_alone():
    wheel = wheelgeo.load(DESIGNS / "travel-wheel.toml").put({"wheel.rim": "130 mm"})
    built = {(f.rule, f.where) for f in built_findings(put_under_check(wheel.design))}
    assert ("bodies-collide", 'pulley "wheel", wall back') in built
    told = {(f.rule, f.where) for f in wheel.check().findings}
    assert ("outside-case", 'pulley "wheel"') in told
    assert not [where for rule, where in told if rule == "bodies-collide" and "wall" in where]
    (case,) = (f for f in wheel.check().findings if f.rule == "outside-case")
    changed = case.remedy.apply()
    assert not [f for f in built_findings(put_under_check(changed.design)) if "wall" in f.where
                and "wheel" in f.where]  # fmt: skip


def test_what_meets_deeper_at_the_end_of_a_slide_is_told():
    wheel = wheelgeo.load(DESIGNS / "travel-wheel.toml").put({"wheel.rim": "150 mm"})
    quick, slid = (
        next(f for f in wheel.check().findings
             if f.rule == rule and f.where == 'pulley "wheel", shaft "middle"')
        for rule in ("parts-collide", "bodies-collide")
    )  # fmt: skip
    assert slid.value < quick.value - 1.0
    still = replace(wheel.design, shafts=tuple(replace(s, slide=None) for s in wheel.design.shafts))
    found = [f for f in wheelgeo.Wheel(still).check().findings if f.rule == "bodies-collide"]
    assert 'pulley "wheel", shaft "middle"' not in {f.where for f in found}
