"""What people read: their own unit first, one line for one mistake, a word before wood is cut."""

import json
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo import units
from wheelgeo.design.reader import read_design
from wheelgeo.design.writer import design_to_toml
from wheelgeo.page.choices import settable
from wheelgeo.page.steps import step_in_words
from wheelgeo.page.told import twist_line
from wheelgeo_cli.arguments import parameters, read
from wheelgeo_cli.common import length
from wheelgeo_cli.help import command_page
from wheelgeo_cli.main import SHORT, command

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
BOX = DESIGNS / "box-wheel.toml"


@pytest.mark.parametrize("unit", ["mm", "cm", "in", '"'])
def test_a_length_is_said_in_the_unit_of_the_file_first(unit):
    inches = unit in ("in", '"')
    assert length(425.45, unit) == ("16 3/4 in (425.4 mm)" if inches else "425.4 mm (16 3/4 in)")
    assert length(None, unit) == "-"


@pytest.fixture
def in_inches(tmp_path):
    """The box wheel in a file whose unit is the inch."""
    path = tmp_path / "inches.toml"
    path.write_text(design_to_toml(replace(read_design(BOX), unit="in")), encoding="utf-8")
    return path


@pytest.mark.parametrize("command", ["solve", "bands"])
def test_bands_of_a_file_in_inches_are_in_inches_first(type_it, in_inches, command):
    assert "617.8 mm (24 21/64 in)" in type_it(command, BOX)[1]
    assert "24 21/64 in (617.8 mm)" in type_it(command, in_inches)[1]


def test_find_says_inches_first_in_a_file_in_inches(type_it, in_inches):
    out = type_it("find", in_inches, "second band.length", "for", "spindle.at.x=15")[1]
    assert "spindle.at.x = 15 in (381 mm)" in out


@pytest.mark.parametrize("key", ["arriving_back", "leaving"])
def test_a_list_of_numbers_has_no_minus_nothing(type_it, key):
    out = type_it("find", DESIGNS / "floor-wheel.toml", "--list")[1]
    assert f"rim.{key}" in out
    assert not re.search(r" -0(?:\.0*)? ", out)


@pytest.mark.parametrize("name", [p.stem for p in sorted(DESIGNS.glob("*.toml"))])
@pytest.mark.parametrize("command", ["solve", "run", "check"])
def test_clockwise_is_never_told_without_from_where(type_it, name, command):
    out = " ".join(type_it(command, DESIGNS / f"{name}.toml")[1].split())
    for found in re.finditer("clockwise", out):
        assert "seen from" in out[found.start() - 40 : found.end() + 45], out[found.start() - 40 :]


def test_an_old_wheel_and_a_step_of_it_say_from_where_it_turns():
    """The axle of an old wheel is (0, 1, 0) in its file: it points to the back."""
    old = wheelgeo.old_wheel(wheel="21 1/2 in", whorl="1 3/8 in", apart="17 3/4 in",
                             cord="3 mm cotton cord").wheel  # fmt: skip
    assert twist_line(old.solve()).endswith("with the wheel turned clockwise, seen from the back")
    now = old.put("drive.turns", "counter-clockwise")
    step = step_in_words(old.design, now.design, "mm")
    assert step == "drive, turns, seen from the back: counter-clockwise, was clockwise"
    row = next(r for r in settable(old.design, "mm") if r["key"] == "drive.turns")
    assert row["means"] == "turns, seen from the back"


@pytest.mark.parametrize(
    "words",
    [
        ("solve", "{}"), ("run", "{}"), ("retune", "{}", "--count", "60 Nm"), ("yarn", "{}"),
        ("tolerance", "{}"), ("hank", "40 Nm", "--wheel", "{}"),
        ("cloth", "40 Nm", "--sett", "20", "--picks", "20", "--length", "1 m", "--width", "1 m",
         "--wheel", "{}"),
    ],
    ids=lambda words: words[0],
)  # fmt: skip
def test_what_a_wheel_does_whose_band_has_no_path_is_told_as_if_it_ran(type_it, tmp_path, words):
    path = tmp_path / "stuck.toml"
    wheelgeo.load(BOX).put({"middle.at.x": 293.0, "middle.at.y": 100.0}).save(path)
    out = " ".join(type_it(*(w.format(path) for w in words))[1].split())
    assert 'Cannot run: "first band" has no path' in out
    sound = " ".join(type_it(*(w.format(BOX) for w in words))[1].split())
    assert "Cannot run" not in sound
    if words[0] == "retune":
        assert re.search(r"\(today [\d.]+, if it ran\)", out)
        assert "Without changing it, if it ran: " in out
        assert "if it ran" not in sound


@pytest.mark.parametrize("name", ["box-wheel", "farm-wheel", "two-band-wheel"])
@pytest.mark.parametrize("command", ["solve", "check", "run", "bands"])
def test_inches_that_a_tape_can_read_are_told_as_it_shows_them(type_it, tmp_path, name, command):
    """But for the numbers of an edit, which are typed into the file as they stand."""
    path = tmp_path / "inches.toml"
    design = replace(read_design(DESIGNS / f"{name}.toml"), unit="in")
    path.write_text(design_to_toml(design), encoding="utf-8")
    out = " ".join(type_it(command, path)[1].split())
    after = r"Source: |How sure: |\d+ (?:FAULT|WARNING|NOTE) |Assumed"
    told = re.sub(rf"Remedy: .*? (?={after})", "", out)
    told = told.replace("turns_off 0.5 in a draw", "")
    near = [one[0] for one in re.finditer(r"(?<![\d.])\d+\.\d+(?= in\b)", told)
            if "/" in units.in_inches(float(one[0]) * 25.4)]  # fmt: skip
    assert not near, told


def test_one_mistake_about_the_file_itself_takes_one_line(type_it, tmp_path):
    missing = tmp_path / "none.toml"
    for words in (("solve", missing), ("solve", DESIGNS / "briefs" / "class-box.toml"),
                  ("size", BOX), ("new", "x", "--like", "bx-wheel", "--to", tmp_path)):  # fmt: skip
        status, out, err = type_it(*words)
        assert (status, out, err.count("\n")) == (2, "", 1)
    assert err.endswith('did you mean "box-wheel"?\n')


def test_several_mistakes_take_a_line_each(type_it, tmp_path):
    path = tmp_path / "wheel.toml"
    text = BOX.read_text(encoding="utf-8")
    path.write_text(text.replace("offset = 14\n", "").replace('"60 rpm"', '"60 rmp"'), "utf-8")
    _, _, err = type_it("solve", path)
    head, *lines = err.splitlines()
    assert head.endswith(f"has {len(lines)} faults:")
    # an example that is right whatever the file's unit is
    assert any(line.endswith('offset: it is missing - add for example offset = "12 mm"')
               for line in lines)  # fmt: skip


def test_retune_says_which_ways_are_sound_and_warns_of_the_one_that_is_written(type_it, tmp_path):
    book = DESIGNS / "book-wheel.toml"
    asked = ("retune", book, "--count", "60 Nm", "--most", "3")
    target = tmp_path / "one.toml"
    options = json.loads(type_it(*asked, "--json")[1])["options"]
    sound = [str(i) for i, option in enumerate(options, 1) if not option["faults"]]
    faulty = next(i for i, option in enumerate(options, 1) if option["faults"])
    out = type_it(*asked, "--write", faulty, target)[1]
    assert ("Cannot be built so" if sound else "None is without a fault") in out
    assert f"It has faults: {', '.join(options[faulty - 1]['faults'])}." in out


def test_a_sound_way_is_written_without_a_warning(type_it, tmp_path):
    asked = ("retune", BOX, "--turns-per-metre", "850", "--most", "3")
    out = type_it(*asked, "--write", "1", tmp_path / "one.toml")[1]
    assert "Option 1 written to" in out
    assert "It has faults" not in out


def test_solve_says_what_it_did_not_ask(type_it):
    # Lines are broken at the terminal's width, so where they break hangs on the folder's length.
    out = " ".join(type_it("solve", BOX)[1].split())
    assert "Nothing found wrong with shapes, places and speeds." in out
    assert f"Next: `wheelgeo check {BOX}` also checks slip, effort and vibration." in out


def test_run_explains_its_columns_and_leaves_no_blanks_at_the_end_of_sentences(type_it):
    out = type_it("run", BOX)[1]
    for head in ("tension ratio", "slip margin", "safety factor"):
        assert head in out
        assert f"{head.capitalize()}: " in out.replace("\n  ", " ")
    said = out[out.index("Assumed, because") :].splitlines()
    assert len(said) > 5
    assert all(line == line.rstrip() for line in said)


@pytest.mark.parametrize(
    ("words", "loaded"),
    [(("solve", "none.toml"), {"solve"}), (("--help",), set()), (("slove",), set())],
)
def test_only_the_command_that_is_asked_for_is_loaded(words, loaded):
    code = (
        "import sys; from wheelgeo_cli.main import SHORT, run\n"
        "try:\n    run()\nexcept SystemExit: pass\n"
        "print(sorted(n for n in SHORT if f'wheelgeo_cli.{n}' in sys.modules), file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *words], capture_output=True, text=True, check=True
    )
    assert done.stderr.splitlines()[-1] == str(sorted(loaded))


@pytest.mark.parametrize("name", SHORT)
def test_every_option_and_word_of_a_command_is_in_its_help(name):
    page = " ".join(command_page(name, command(name)).split())
    for parameter in parameters(command(name)):
        for said in parameter.flags or (parameter.said.metavar,):
            assert said in page
        assert " ".join(parameter.said.help.split()) in page


def test_words_are_read_as_their_kinds_say():
    given = read(
        command("retune"),
        ["--only=a", "x.toml", "--write", "2", "y.toml", "--only", "b", "--ratio", "-1", "--json"],
    )
    assert given == {
        "file": Path("x.toml"), "only": ["a", "b"], "write": (2, Path("y.toml")),
        "ratio": -1.0, "as_json": True,
    }  # fmt: skip
    assert read(command("open"), ["--no-browser"]) == {"browser": False}
    assert read(command("solve"), ["--", "--json"]) == {"file": Path("--json")}
    words = ["x.toml", "--write", "y.toml", "a.rim", "for", "ratio=1"]
    assert read(command("find"), words)["words"] == ["a.rim", "for", "ratio=1"]


def test_a_file_in_inches_is_checked_in_inches(type_it, tmp_path):
    """Findings, remedies and what is assumed: no bare millimetres beside a size that is bought."""
    text = (Path(BOX).parent / "travel-wheel.toml").read_text(encoding="utf-8")
    wheel = wheelgeo.read(text).put("wheel.offset", 16.5)
    file = tmp_path / "inches.toml"
    file.write_text(design_to_toml(replace(wheel.design, unit="in")), encoding="utf-8")
    said = " ".join(type_it("check", str(file))[1].split())
    assert "only 0.030 in lie between" in said  # 0.75 mm
    assert "whipped overlap, 19/32 in" in said  # 15 mm are 37.8 sixty-fourths
    assert not re.search(r"\d mm\b(?! \()", said)


def test_what_is_applied_of_a_file_in_inches_is_told_in_inches(type_it, tmp_path):
    wheel = wheelgeo.load(DESIGNS / "travel-wheel.toml").put("wheel.offset", 16.5)
    file = tmp_path / "inches.toml"
    file.write_text(design_to_toml(replace(wheel.design, unit="in")), encoding="utf-8")
    findings = wheelgeo.load(file).check().findings
    number = next(n for n, f in enumerate(findings, 1) if "only 0.75 mm lie between" in f.says)
    out = " ".join(type_it("check", file, "--apply", str(number))[1].split())
    assert f"Finding {number}: " in out
    assert "only 0.030 in lie between" in out


def test_what_a_way_is_to_be_seen_to_for_is_in_inches_of_a_file_in_inches(type_it, in_inches):
    asked = ("retune", in_inches, "--count", "80 Nm", "--step", "0.5 mm")
    see_to = type_it(*asked)[1].partition("See to:")[2]
    assert "only 0.020 in are left" in " ".join(see_to.split())  # 0.50 mm
    assert not re.search(r"\d mm\b(?! \()", see_to)
