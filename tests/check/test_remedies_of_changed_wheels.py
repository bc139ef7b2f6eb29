"""Shipped wheels with one number changed: every remedy can be applied, mends, saved and read."""

from pathlib import Path

import pytest

from wheelgeo.check import wheel_under_check
from wheelgeo.check.report import check_whole
from wheelgeo.design.reader import parse_design, read_design
from wheelgeo.design.writer import design_to_toml
from wheelgeo.errors import WheelError
from wheelgeo.numbers.inputs import inputs, put

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
CHANGED = [
    (path.stem, number.key, factor)
    for path in sorted(DESIGNS.glob("*-wheel.toml"))
    for number in inputs(read_design(path))
    for factor in (0.5, 0.8, 1.25, 2.0)
    if number.value is not None
]
SOME = [("parallel-box-wheel", "whorl.depth", 1.25), *CHANGED[::67]]
FEW = [one if i % 3 == 0 else pytest.param(*one, marks=pytest.mark.long)
       for i, one in enumerate(SOME)]  # fmt: skip


def changed_wheel(name, key, factor):
    """Return a wheel with one number changed, or None where it cannot exist."""
    design = read_design(DESIGNS / f"{name}.toml")
    value = next(p.value for p in inputs(design) if p.key == key)
    try:
        return parse_design(design_to_toml(put(design, {key: value * factor})))
    except WheelError:
        return None


@pytest.mark.parametrize(("name", "key", "factor"), FEW)
def test_every_remedy_gives_a_wheel_that_can_be_saved_and_is_mended(name, key, factor):
    design = changed_wheel(name, key, factor)
    if design is None:
        return
    report = check_whole(design)
    before = {(f.rule, f.where) for f in report.faults}
    for finding in report.findings:
        for way in (finding.remedy, *finding.remedy.others):
            changed = way.apply()
            assert (changed is None) == (way.edits == ())
            if changed is None:
                continue
            read = parse_design(design_to_toml(changed))
            after = check_whole(read).findings
            assert (finding.rule, finding.where) not in {(f.rule, f.where) for f in after}
            if way.sound and finding.level != "note":
                brought = {(f.rule, f.where) for f in after if f.level == "fault"} - before
                assert not brought, way.says


def test_of_several_findings_of_one_cause_no_changed_wheel_is_solved_twice(monkeypatch):
    """Whorls of one shaft run into each other; each finding of it tries much the same changes."""
    design = put(read_design(DESIGNS / "flyer-wheel.toml"), {"flyer whorl.offset": -4.29})
    solved, tried, solve = [], [], wheel_under_check.wheel_under_check
    changed_by = wheel_under_check.WheelUnderCheck.changed_by

    def counted(changed, *rules):
        solved.append(changed)
        return solve(changed, *rules)

    def counted_try(wheel, edits):
        tried.append(edits)
        return changed_by(wheel, edits)

    report = check_whole(design)
    monkeypatch.setattr(wheel_under_check, "wheel_under_check", counted)
    monkeypatch.setattr(wheel_under_check.WheelUnderCheck, "changed_by", counted_try)
    for finding in report.findings[:4]:
        assert finding.remedy.says
    assert len(tried) > len(solved) > 20
    assert not [one for i, one in enumerate(solved) if one in solved[:i]]


def test_of_two_ways_to_move_a_part_the_far_one_is_not_named_beside_the_near_one():
    """Grooves 14 mm wide stand 9.28 mm apart: 4.72 mm too near, or 23.28 mm too far in."""
    design = put(read_design(DESIGNS / "flyer-wheel.toml"), {"back groove.offset": -2.28})
    finding = next(f for f in check_whole(design).findings if f.rule == "pulleys-overlap")
    ways = (finding.remedy, *finding.remedy.others)
    assert [[(e.key, e.after) for e in way.edits] for way in ways] == [
        [("back groove.offset", pytest.approx(-2.28 - 4.8))],
        [("front groove.offset", pytest.approx(7.0 + 4.8))],
    ]


def test_a_shaft_is_moved_by_what_a_pencil_can_mark():
    design = put(read_design(DESIGNS / "book-wheel.toml"), {"middle.at.x": 150.0})
    found = check_whole(design).findings
    ways = [way for f in found for way in (f.remedy, *f.remedy.others)]
    moves = [e for way in ways for e in way.edits if e.key.endswith(".at")]
    assert moves
    for move in moves:
        tenths = [10.0 * (b - a) for a, b in zip(move.before, move.after, strict=True)]
        assert tenths == pytest.approx([round(t) for t in tenths], abs=1e-6)
