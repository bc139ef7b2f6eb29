"""``wheelgeo check --apply``: the remedy of a finding is done, checked, and written."""

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.check.change_words import change_in_words
from wheelgeo.check.edits import edit
from wheelgeo.design.reader import read_design
from wheelgeo.design.writer import design_to_toml
from wheelgeo.geometry.groove import VeeGroove

BOX = Path(__file__).resolve().parents[2] / "designs" / "box-wheel.toml"


@pytest.fixture
def wrong(tmp_path):
    text = BOX.read_text(encoding="utf-8").replace('twist = "Z"', 'twist = "S"')
    path = tmp_path / "wrong.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_what_is_applied_is_said_and_the_finding_is_gone(type_it, wrong):
    status, out, _ = type_it("check", wrong, "--apply", "1")
    assert status == 0
    assert "drive.turns: clockwise to counter-clockwise" in out
    assert "Finding 1: wrong-twist" in out
    assert "FAULT" not in out
    assert "Not written: --write NEW.toml" in out
    assert "Next:" not in out  # the file is still the old one


def test_a_tilt_is_told_by_its_angle_end_and_sides_as_the_finding_tells_it(tmp_path):
    path = tmp_path / "floor.toml"
    text = (BOX.parent / "floor-wheel.toml").read_text(encoding="utf-8")
    path.write_text(text, encoding="utf-8")
    design = read_design(path)
    (found,) = (f for f in wheelgeo.load(path).check().findings if f.rule == "crossed-runs-rub")
    (way,) = (w for w in found.remedy.ways if w.edits[0].key == "spindle.axis")
    told = change_in_words(design, way.edits[0])
    assert re.fullmatch(r"tilt the spindle by [\d.]+°, its front end .* up, about .*", told)
    assert told in found.remedy.says


@pytest.mark.parametrize(
    ("kind", "part", "field", "after", "told"),
    [
        ("case", "", "inside", (388.0, 195.7, 70.0), "388, 190, 70 mm to 388, 195.7, 70 mm"),
        ("shaft", "middle", "at", (150.0, 138.1, 0.0), "168, 147, 0 mm to 150, 138.1, 0 mm"),
        ("pulley", "wheel", "rim", 175.0, "181.3 mm to 175 mm"),
        ("pulley", "wheel", "material", "plywood", "not given to plywood"),
        ("band", "first band", "stretch", 0.004, "1 % to 0.4 %"),
        ("band", "first band", "crossed", True, "false to true"),
        ("drive", "", "speed", 38.0, "60 rpm to 38 rpm"),
        ("cop", "", "mass", 7.5, "9 g to 7.5 g"),
        ("pulley", "whorl", "groove", VeeGroove(9.6, 4.0, 80.0, 0.3),
         'cut the groove of "whorl" as a vee of 80°, rim 9.6 mm, depth 4 mm, bottom 0.3 mm'),
    ],
)  # fmt: skip
def test_what_was_and_becomes_have_their_units_and_no_brackets(kind, part, field, after, told):
    design = read_design(BOX)
    assert change_in_words(design, edit(design, kind, part, field, after)) == told


def test_a_slide_is_told_by_how_far_it_reaches(type_it, tmp_path):
    path = tmp_path / "floor.toml"
    path.write_text((BOX.parent / "floor-wheel.toml").read_text("utf-8"), encoding="utf-8")
    _, out, _ = type_it("check", path, "--apply", number_of(type_it, path, "no-take-up"))
    (line,) = (one for one in out.splitlines() if "Changed: " in one)
    assert re.search(r'spindle\.slide: let shaft "spindle" slide from -\d+ to \d+ mm', line)


def test_lengths_of_a_file_in_inches_are_told_as_the_finding_tells_them(type_it, tmp_path):
    wheel = wheelgeo.load(BOX).put("whorl.offset", "18 mm")
    path = tmp_path / "inches.toml"
    path.write_text(design_to_toml(replace(wheel.design, unit="in")), encoding="utf-8")
    number = number_of(type_it, path, "arriving-angle")
    out = type_it("check", path, "--apply", number)[1]
    (line,) = (one for one in out.splitlines() if "Changed: whorl.offset" in one)
    # 18 mm are 18 / 25.4 = 0.7087 in; what it becomes is told as the finding told it
    (becomes,) = re.findall(r"whorl\.offset: 0\.7087 in to (\S+ in)$", line)
    assert f"(offset {becomes})" in " ".join(type_it("check", path)[1].split())


def test_it_is_written_with_its_comments_to_a_new_file(type_it, wrong, tmp_path):
    target = tmp_path / "mended.toml"
    status, told, _ = type_it("check", wrong, "--apply", "1", "--write", target)
    assert "Not written" not in told
    assert status == 0
    assert "mended.toml" in told.rpartition("Next:")[2]  # what comes next is with the new one
    before, after = (p.read_text("utf-8").splitlines() for p in (wrong, target))
    changed = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert [(a.split()[2], b.split()[2]) for a, b in changed] == [
        ('"clockwise"', '"counter-clockwise"')
    ]
    assert changed[0][1].endswith("# seen from above")
    assert "The comment beside drive.turns stands as before" in told
    assert read_design(target).drive.turns == "counter-clockwise"
    assert type_it("check", wrong, "--apply", "1", "--write", target)[0] == 2  # never written over


def test_json_holds_the_edits_and_the_wheel_with_them(type_it, wrong):
    document = json.loads(type_it("check", wrong, "--apply", "1", "--json")[1])
    assert document["applied"]["finding"]["rule"] == "wrong-twist"
    assert document["applied"]["edits"] == [
        {"key": "drive.turns", "before": "clockwise", "after": "counter-clockwise"}
    ]
    assert document["twist"]["direction"] == "S"
    assert "wrong-twist" not in {f["rule"] for f in document["findings"]}


def test_a_wheel_that_still_has_a_fault_exits_1(type_it, wrong):
    number = number_of(type_it, wrong, "wood-moves")
    assert type_it("check", wrong, "--apply", number)[0] == 1  # mends its wood, not the twist


def number_of(type_it, file, rule):
    findings = json.loads(type_it("check", file, "--json")[1])["findings"]
    return 1 + [f["rule"] for f in findings].index(rule)


@pytest.mark.parametrize(
    ("rule", "says"),
    [("packing", "has no remedy to apply, only advice"), (None, "no finding 99")],
)
def test_what_cannot_be_applied_exits_2(type_it, wrong, rule, says):
    number = 99 if rule is None else number_of(type_it, wrong, rule)
    status, out, err = type_it("check", wrong, "--apply", number)
    assert (status, out) == (2, "")
    assert says in err


def test_nothing_is_written_without_something_to_apply(type_it, wrong, tmp_path):
    target = tmp_path / "none.toml"
    assert type_it("check", wrong, "--write", target)[0] == 2
    assert not target.exists()
