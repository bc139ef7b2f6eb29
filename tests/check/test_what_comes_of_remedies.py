"""What a remedy leaves behind: never more faults than there were, and no warning unnamed."""

import re
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
SPOILT = [
    ("book-wheel", {"wheel.offset": 26.0}),
    ("book-wheel", {"accelerator.rim": 88.0}),
    ("box-wheel", {"whorl.offset": -9.0}),
]


def at(level, answer):
    return {(f.rule, f.where) for f in answer.findings if f.level == level}


@pytest.mark.parametrize(("name", "put"), SPOILT, ids=str)
def test_a_remedy_leaves_no_more_faults_and_names_the_warnings_that_it_brings(name, put):
    wheel = wheelgeo.load(DESIGNS / f"{name}.toml").put(put)
    answer = wheel.check()
    faults, known = at("fault", answer), at("fault", answer) | at("warning", answer)
    tried = 0
    for finding in [f for f in answer.findings if f.level == "fault"][:2]:
        for way in (finding.remedy, *finding.remedy.others):
            if not way.edits:
                continue
            tried += 1
            after = way.apply().check()
            assert len(at("fault", after)) <= len(faults), way.says
            new = {re.split(r"[:;] | \(", f.says)[0] for f in after.findings
                   if f.level == "warning" and (f.rule, f.where) not in known}  # fmt: skip
            named = [words in way.says for words in new]
            assert all(named) or (sum(named) == 2 and f"and {len(new) - 2} more" in way.says)
            assert way.sound == ("; but see to " not in way.says)
    assert tried > 1


def test_a_change_that_leaves_no_stand_to_be_made_says_so_and_stands_last():
    wheel = wheelgeo.load(DESIGNS / "floor-wheel.toml")
    finding = next(f for f in wheel.check().findings if f.rule == "crossed-runs-rub")
    ways = finding.remedy.ways
    built = [build(way.apply().design) for way in ways]
    made = [any(body.kind == "post" for body in bodies(one)) for one in built]
    assert made == [True, False]
    assert "make a stand of your own, since none is made for it" in ways[1].says
    assert "stand" not in ways[0].says


@pytest.mark.parametrize(
    ("name", "key", "to", "wall"),
    [
        ("box-wheel", "spindle.at.x", 2.0, "left"),
        ("travel-wheel", "spindle.at.y", 107.0, "back"),
    ],
)
def test_what_clears_a_wall_clears_it_where_it_slides_to_as_well(name, key, to, wall):
    """Check tells of the wall once: by the rule on the case, as long as that is beyond it too."""
    answer = wheelgeo.load(DESIGNS / f"{name}.toml").put(key, to).check()
    finding = next(f for f in answer.findings if f.rule == "outside-case")
    before, ways = at("fault", answer), finding.remedy.ways
    assert ("bodies-collide", f'pulley "whorl", wall {wall}') not in before
    assert {way.edits[0].key for way in ways} == {"case.inside", "spindle.at"}
    for way in ways:
        assert at("fault", way.apply().check()) <= before, way.says
