"""Remedies of one wheel beside each other: what cures most, the same told once, each way alone."""

from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.check.finding import Cured, Finding, Remedy, WorkedOut
from wheelgeo.check.stood_before import stood_before
from wheelgeo.check.told_together import begin_with, told_ways

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
SPOILT = [
    ("travel-wheel", {"accelerator.offset": 30.0}),
    ("two-band-wheel", {"front groove.offset": -8.3}),
    ("box-wheel", {"whorl.offset": -9.0}),
]


@pytest.fixture(scope="module", params=SPOILT, ids=str)
def spoilt(request):
    name, put = request.param
    return wheelgeo.load(DESIGNS / f"{name}.toml").put(put).check().findings


def grave(findings):
    return [f for f in findings if f.level != "note"]


def test_what_a_remedy_is_said_to_cure_is_gone_with_it_and_nothing_else_is(spoilt):
    said = 0
    for finding in grave(spoilt)[:3]:
        for way in finding.remedy.ways:
            after = way.apply().check().findings
            gone = {f.named for f in grave(spoilt) if not any(stood_before(a, f) for a in after)}
            assert {one.named for one in way.cures} == gone - {finding.named}, way.says
            assert ("; also cures that " in way.says) == bool(way.cures)
            said += len(way.cures)
    assert said


def test_of_ways_that_cost_as_much_the_one_that_cures_most_stands_first():
    wheel = wheelgeo.load(DESIGNS / "two-band-wheel.toml").put("front groove.offset", -8.3)
    for finding in grave(wheel.check().findings):
        costs_nothing = [w for w in finding.remedy.ways if w.sound and "though then" not in w.says
                         and "changes the ratio" not in w.says]  # fmt: skip
        cures = [len(way.cures) for way in costs_nothing]
        assert cures == sorted(cures, reverse=True)


def a_finding(rule, remedy):
    return Finding(rule, "warning", f"part of {rule}", None, None, "", rule, "", WorkedOut(remedy))


@pytest.fixture(scope="module")
def listed():
    """Three findings: the first and the last are mended by the same, the second by less."""
    wheel = wheelgeo.load(DESIGNS / "travel-wheel.toml")
    far, near = ((wheelgeo.Edit("accelerator.offset", 22.0, to),) for to in (25.0, 23.0))
    cures = tuple(Cured(rule, f"part of {rule}", rule) for rule in ("first", "second", "third"))
    other = Remedy("shift it less", near, True, design=wheel.design)
    one = Remedy("shift it; also cures that second; or shift it less", far, True, (other,),
                 wheel.design, alone="shift it", cures=cures[1:2])  # fmt: skip
    three = Remedy("shift it; also cures that first, and that second; or shift it less", far, True,
                   (other,), wheel.design, alone="shift it", cures=cures[:2])  # fmt: skip
    return [a_finding("first", one), a_finding("second", other), a_finding("third", three)]


def test_the_same_remedy_is_told_once_and_each_way_alone(listed):
    told = [[way.says for way in ways] for ways in told_ways(listed, look=False)]
    assert told == [["shift it; also cures 2", "shift it less"], ["shift it less"], ["as for 1"]]
    assert next(told_ways(listed, look=False))[1].way == listed[0].remedy.ways[1]
    (*_, last) = told_ways(listed, look=False, numbered=False)
    assert [way.says for way in last] == ["as for first, part of first"]


def test_it_is_told_with_which_finding_to_begin(listed):
    assert begin_with(listed) == "Begin with 3: its remedy also cures 1 and 2"
    assert begin_with(listed[:2]) == "Begin with 1: its remedy also cures 2"
    assert not begin_with(listed[1:2])


def test_what_is_not_looked_for_yet_is_not_told_nor_begun_with():
    wheel = wheelgeo.load(DESIGNS / "travel-wheel.toml").put("accelerator.offset", 30.0)
    spinning, back, *_ = wheel.check().findings
    assert (spinning.rule, back.rule) == ("mouth-spinning", "mouth-backing-off")
    assert back.remedy.edits == spinning.remedy.edits
    wheel = wheelgeo.Wheel(wheel.design)  # nothing is known of it
    two = wheel.check().findings[:2]
    two[1].look_for_remedy(60.0)
    first, second = told_ways(two, look=False)
    assert (first, len(second)) == ((), 2)
    assert begin_with(two) == "Begin with 2: its remedy also cures 1"
    first, second = told_ways(two, look=True)
    assert [way.says for way in second] == ["as for 1"]
    assert first[0].says.endswith("also cures 2")
