"""The commands that read, solve and check a wheel, as somebody types them."""

import json
import os
import re
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from wheelgeo_cli import main
from wheelgeo_cli.common import grouped
from wheelgeo_cli.new import _shipped

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
PATHS = sorted(DESIGNS.glob("*-wheel.toml"))
BOX = DESIGNS / "box-wheel.toml"
COMMANDS = sorted(main.SHORT)


@pytest.fixture
def file(tmp_path):
    """Write a changed box wheel; every old piece of text (a pattern) must be there."""

    def do(*changes, name="wheel.toml", text=None):
        text = BOX.read_text(encoding="utf-8") if text is None else text
        for old, new in changes:
            text, count = re.subn(old, lambda _, new=new: new, text)
            assert count, old
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return path

    return do


def program(*words, **keywords):
    code = "from wheelgeo_cli.main import run; run()"
    return subprocess.run(
        [sys.executable, "-c", code, *map(str, words)], capture_output=True, check=False, **keywords
    )


# --- what they print --------------------------------------------------------------------------


@pytest.mark.parametrize("path", PATHS, ids=lambda p: p.stem)
@pytest.mark.parametrize("command", ["solve", "check", "bands"])
def test_json_is_one_document_and_nothing_else(type_it, command, path):
    status, out, err = type_it(command, path, "--json")
    assert (status, err) == (0, "")
    document = json.loads(out)
    assert out == json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


@pytest.mark.parametrize("path", PATHS, ids=lambda p: p.stem)
def test_people_and_programs_are_told_the_same(type_it, path):
    document = json.loads(type_it("solve", path, "--json")[1])
    status, out, err = type_it("solve", path)
    assert (status, err) == (0, "")
    assert out.splitlines()[0] == document["title"]
    assert f"{document['ratio']:.2f} spindle turns" in out
    assert f"{grouped(document['spindle']['speed_rpm'])} rpm, {document['spindle']['turns']}" in out
    assert f"{document['twist']['direction']}, as wanted" in out
    assert f"{document['twist']['drive_turns_per_draw']:.2f} turns" in out
    counts = {c["system"]: c["value"] for c in document["yarn"]["counts"]}
    assert " = ".join(f"{counts[s]:.4g} {s}" for s in ("Nm", "Ne", "tex", "denier")) in out
    for band in document["bands"]:
        for key in ("length_mm", "cut_length_mm", "cut_with_joint_mm"):
            assert f"{grouped(band[key], 1)} mm" in out
    for finding in document["findings"]:
        assert finding["rule"] in out


def test_solve_says_first_what_a_person_needs_first(type_it):
    out = type_it("solve", BOX)[1]
    order = ["Ratio", "Spindle", "Twist", "Hand", "Band to cut", "Nothing found wrong"]
    places = [out.index(word) for word in order]
    assert places == sorted(places)


@pytest.mark.parametrize("words", [("solve",), ("run",), ("solve", BOX)])
def test_a_wheel_whose_band_has_no_path_is_not_told_as_if_it_ran(type_it, file, words):
    """Its middle shaft stands within the wheel: nothing is told of speeds before that is said."""
    command, *others = words
    _, sound, _ = type_it(command, BOX)
    assert "Cannot run" not in sound
    inside = file((r"at = \[168, 147, 0\]", "at = [268, 100, 0]"))
    _, out, _ = type_it(command, *others, inside)
    at = out.index('Cannot run: "first band" has no path, so that the wheel cannot run')
    told = re.search(r"\d rpm|\d spindle turns|^ratio ", out, re.MULTILINE)
    assert at < told.start()
    assert out.count("Cannot run") == 1


def test_bands_gives_every_run_wrap_and_angle(type_it):
    document = json.loads(type_it("bands", BOX, "--json")[1])
    out = type_it("bands", BOX)[1]
    for band in document["bands"]:
        for stop in band["pulleys"]:
            row = next(
                line for line in out.splitlines()
                if line.startswith(stop["name"] + " ") and "°" in line
            )  # fmt: skip
            assert f"{stop['wrap_deg']:.1f}°" in row
            assert f"{stop['arriving_deg']:.2f}°" in row
        assert all(f"{grouped(run['length_mm'], 1)} mm" in out for run in band["runs"])


def test_check_gives_the_source_of_every_finding(type_it, file):
    path = file(('twist = "Z"', 'twist = "S"'))
    status, out, err = type_it("check", path)
    assert (status, err) == (1, "")
    assert out.count("Remedy: ") == out.count("Source: ") >= 1
    assert "1 fault" in out
    assert "FAULT    wrong-twist: the yarn comes out Z, and S is wanted" in out
    words = " ".join(out.split())
    assert "turn the hand counter-clockwise, seen from above" in words


def test_exit_status_is_1_only_where_check_finds_a_fault(type_it, file):
    wrong = file(('twist = "Z"', 'twist = "S"'))
    assert type_it("check", wrong)[0] == 1
    assert type_it("check", wrong, "--json")[0] == 1
    assert type_it("solve", wrong)[0] == 0
    assert type_it("solve", wrong, "--json")[0] == 0
    assert type_it("bands", wrong)[0] == 0
    assert type_it("check", BOX)[0] == 0


def test_a_treadle_turns_its_wheel_and_a_foot_pushes_it(type_it):
    out = type_it("solve", DESIGNS / "floor-wheel.toml")[1]
    assert "spindle turns per turn of the wheel" in out
    assert "  Foot" in out
    assert "Hand" not in out


def test_a_wheel_of_which_nothing_can_be_had_is_still_told(type_it, file):
    text = BOX.read_text(encoding="utf-8")
    yarn = text[text.index("[yarn]") : text.index("[case]")]
    path = file(
        (re.escape(yarn), ""), (r'route = \["wheel", "hub"\]', 'route = ["accelerator", "whorl"]'),
        (r'(?s)name = "middle".*?at = \[[^\]]*\]', 'name = "middle"\nat = [20, 147, 30]'),
    )  # fmt: skip
    status, out, err = type_it("solve", path)
    assert (status, err) == (0, "")
    assert "cannot be computed, because the spindle is not driven" in out
    assert "Spindle  does not turn" in out
    assert "spindle-not-reached" in out
    assert "no-path" in out
    status, out, _ = type_it("bands", path)
    assert "has no path: see `wheelgeo check`" in out
    document = json.loads(type_it("solve", path, "--json")[1])
    assert document["ratio"] is None
    assert document["bands"][0]["length_mm"] is None


def test_lines_hang_under_their_finding_and_end_without_blanks(type_it, file):
    out = type_it("check", file(('twist = "Z"', 'twist = "S"')))[1]
    lines = out.split("FAULT", 1)[1].partition("\nAssumed")[0].splitlines()[1:]
    assert all(re.match(r"([ \d]\d (WARNING|NOTE|FAULT)| {12})", line) for line in lines)
    assert all(line == line.rstrip() and len(line) <= 100 for line in lines)


def test_schema_of_a_brief_holds_the_shipped_briefs(type_it):
    import tomllib

    import jsonschema

    schema = json.loads(type_it("schema", "--brief")[1])
    for path in sorted((ROOT / "designs" / "briefs").glob("*.toml")):
        jsonschema.validate(tomllib.loads(path.read_text(encoding="utf-8")), schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({"title": "x"}, schema)


def test_schema_is_a_json_schema_that_knows_the_design_file(type_it):
    status, out, err = type_it("schema")
    assert (status, err) == (0, "")
    schema = json.loads(out)
    assert schema["$schema"].startswith("https://json-schema.org/")
    assert {"title", "drive", "shaft", "pulley", "band", "spindle"} <= set(schema["properties"])


# --- help -------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_help_is_in_plain_words_and_fits_a_terminal(type_it, command):
    status, out, err = type_it(*command.split(), "--help")
    assert (status, err) == (0, "")
    assert all(len(line) <= 80 for line in out.splitlines())
    assert not re.search(r"\b(args|kwargs|dict|tuple|stdout|None|parse|schema object)\b", out)
    assert "..." not in out.replace("]...", "")


def test_help_lists_every_command(type_it):
    out = type_it("--help")[1]
    for command in COMMANDS:
        assert re.search(rf"^  {command} +\w", out, re.MULTILINE)


def test_no_words_at_all_print_the_help(type_it):
    status, out, err = type_it()
    assert "Commands:" in out + err
    assert status in (0, 2)


def test_version(type_it):
    status, out, err = type_it("--version")
    assert (status, err) == (0, "")
    assert re.fullmatch(r"wheelgeo \d+\.\d+\.\d+\n", out)


@pytest.mark.parametrize(
    ("words", "offered"),
    [
        (("so",), ["solve"]), (("--v",), ["--version"]), (("make", "--dx"), ["--dxf"]),
        (("make", "x.toml", "--lengths", "i"), ["in", "in/64"]), (("solve", ""), []),
        (("new", "mine", "--like", "bo"), ["book-wheel", "box-wheel"]), (("nothing", "-"), []),
    ],
    ids=" ".join,
)  # fmt: skip
def test_a_shell_is_offered_what_a_word_may_become(type_it, monkeypatch, words, offered):
    monkeypatch.setenv("_WHEELGEO_COMPLETE", "1")
    status, out, err = type_it(*words)
    assert (status, out.split(), err) == (0, offered, "")


def test_bash_completes_with_what_was_installed(type_it, monkeypatch, tmp_path):
    bash = shutil.which("bash")
    if bash is None:
        pytest.skip("there is no bash here")
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("SHELL", "/bin/bash")
    (tmp_path / ".bashrc").write_text("alias x=y", encoding="utf-8")
    for _ in range(2):
        assert type_it("--install-completion")[0] == 0
    start = (tmp_path / ".bashrc").read_text(encoding="utf-8")
    assert start.splitlines()[0] == "alias x=y"
    assert start.count("completion.bash") == 1
    told = "from wheelgeo_cli.main import run; run()"
    asks = f"""
. "$HOME/.bashrc"
wheelgeo() {{ '{sys.executable}' -c '{told}' "$@"; }}
COMP_WORDS=(wheelgeo so); COMP_CWORD=1
_wheelgeo
echo "${{COMPREPLY[@]}}"
"""
    done = subprocess.run([bash, "-c", asks], capture_output=True, text=True, check=True)
    assert (done.stdout, done.stderr) == ("solve\n", "")


def test_a_shell_that_is_not_known_is_said(type_it, monkeypatch):
    monkeypatch.setenv("SHELL", "/bin/none")
    status, out, err = type_it("--show-completion")
    assert (status, out) == (2, "")
    assert "bash, zsh, fish" in err


def test_shell_completion_offers_the_shipped_designs():
    assert _shipped("bo") == ["book-wheel", "box-wheel"]
    assert len(_shipped("")) >= 6


def test_a_twist_factor_is_said_as_it_was_read(type_it, file):
    path = file(
        ('count = "[^"]*"', 'count = "36 Ne"'), ("turns_per_metre = .*", "twist_factor = 3.5")
    )
    out = " ".join(type_it("solve", path)[1].split())
    assert "827 turns per metre wanted" in out
    assert "turns per inch = 3.5 × √36 = 21, 827 per metre" in out


# --- bad input --------------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["solve", "check", "bands"])
def test_missing_file_folder_and_broken_file(type_it, command, tmp_path, file):
    broken = file(text="title = ")
    latin = tmp_path / "latin.toml"
    latin.write_bytes(b'title = "Stra\xdfe"\n')
    for path in (tmp_path / "none.toml", tmp_path, broken, latin, file(text="", name="empty.toml")):
        before = sorted(tmp_path.iterdir())
        for json_too in ((), ("--json",)):
            status, out, err = type_it(command, path, *json_too)
            assert (status, out) == (2, "")
            assert err.startswith("wheelgeo: ")
            assert str(path) in err
            assert "Traceback" not in err
        assert sorted(tmp_path.iterdir()) == before


def test_all_faults_of_a_file_are_told_at_once(type_it, file):
    path = file(
        (r"rim = [\d.]+", "rim = -1"), (r'route = \["wheel", "hub"\]', 'route = ["wheel", "hubb"]'),
        ('turns = "clockwise"', 'turns = "rightwards"'), ("fibre =", "fiber ="),
    )  # fmt: skip
    status, out, err = type_it("solve", path)
    assert (status, out) == (2, "")
    lines = err.splitlines()
    assert re.search(r"has \d+ faults:$", lines[0])
    assert int(re.search(r"has (\d+) faults", lines[0])[1]) == len(lines) - 1 >= 4
    for piece in ("rim", '"hub"', "turns", "fibre"):
        assert any(piece in line for line in lines[1:])


@pytest.mark.parametrize(
    "words",
    [
        ("spin",), ("solve",), ("solve", "--jsno", str(BOX)), ("check", str(BOX), "more"),
        ("new",), ("check", "--like", "x", str(BOX)), ("make", str(BOX), "--dxf", "R1"),
        ("check", str(BOX), "--write", "x.toml"), ("check", str(BOX), "--apply"),
        ("check", str(BOX), "--apply", "0"), ("tolerance", str(BOX), "--trials", "nan"),
        ("retune", str(BOX), "--ratio", "wide"), ("retune", str(BOX), "--write", "1"),
        ("solve", str(BOX), "--json=yes"), ("make", str(BOX), "--to", "--json"),
    ],
    ids=" ".join,
)  # fmt: skip
def test_a_command_or_option_that_is_none_is_said_with_status_2(type_it, words):
    status, out, err = type_it(*words)
    assert (status, out) == (2, "")
    assert "Usage" in err
    assert "Traceback" not in err


@pytest.mark.parametrize(
    "name",
    ["[red]wheel[/red]", "[/]", "Spülrad №5", 'the \\"old\\" one', "a:smile:b", "x'y", "{0} %s"],
)
def test_odd_names_are_printed_as_they_are(type_it, file, name):
    path = file(('"wheel"', f'"{name}"'), ('title = "Larkfield box wheel"', f'title = "{name}"'))
    plain = name.replace('\\"', '"')
    for command in ("solve", "check", "bands"):
        status, out, err = type_it(command, path)
        assert (status, err) == (0, "")
        assert plain in out
    stops = json.loads(type_it("solve", path, "--json")[1])["bands"][0]["pulleys"]
    assert stops[0]["name"] == plain


@pytest.mark.parametrize("code", ["\\n", "\\u001b[31m", "\\u0007"])
def test_names_that_would_steer_a_terminal_are_refused(type_it, file, code):
    status, out, err = type_it("solve", file(('"wheel"', f'"whe{code}el"')))
    assert (status, out) == (2, "")
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f]", err)


# --- the program as a whole -------------------------------------------------------------------


def test_no_colour_unless_on_a_terminal(file):
    wrong = file(('twist = "Z"', 'twist = "S"'))
    assert b"\x1b" not in program("check", wrong).stdout
    assert b"\x1b" not in program("check", wrong, env={**os.environ, "NO_COLOR": "1"}).stdout


def test_colour_on_a_terminal_and_none_where_it_is_not_wanted(file, on_a_terminal):
    wrong = file(('twist = "Z"', 'twist = "S"'))
    assert "\x1b[" in on_a_terminal(80, "check", wrong)
    assert "\x1b[31" not in on_a_terminal(80, "check", wrong, NO_COLOR="1")


def test_a_reader_that_closes_our_output_gets_no_traceback():
    code = "from wheelgeo_cli.main import run; run()"
    for words in (["schema"], ["solve", BOX], ["solve", BOX, "--json"]):
        with subprocess.Popen(
            [sys.executable, "-c", code, *map(str, words)],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        ) as process:  # fmt: skip
            process.stdout.close()
            said = process.stderr.read()
            process.wait()
        assert said == b""
        assert process.returncode == 0


WITHOUT_END = """
import sys
from wheelgeo.tune import retune
def searched(_):
    print("searching", file=sys.stderr, flush=True)
    while True:
        pass
retune._RetuneSearch.options = searched
from wheelgeo_cli.main import run
run()
"""
"""The program with a search that never ends and says when it has begun: Python's own import may
lose an interrupt."""
ROOT = Path(__file__).parents[2]


def test_ctrl_c_ends_it_without_a_traceback():
    words = ("retune", "designs/box-wheel.toml", "--ratio", "300", "--json")
    with subprocess.Popen(
        [sys.executable, "-c", WITHOUT_END, *words],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=ROOT,
    ) as process:  # fmt: skip
        assert process.stderr.readline() == b"searching\n"
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=10)
    assert process.returncode not in (0, 1, 2)
    assert out == b""
    assert b"Traceback" not in err


def test_a_terminal_that_knows_few_characters_gets_a_question_mark():
    done = program("bands", BOX, env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0
    assert b"?" in done.stdout
    assert done.stderr == b""


@pytest.mark.skipif(sys.platform != "linux", reason="names are Unicode there")
def test_a_folder_whose_name_is_not_utf_8_is_told_all_the_same(type_it, tmp_path):
    name = os.fsdecode(os.fsencode(tmp_path) + b"/out\xff")
    status, out, _ = type_it("make", BOX, "--only", "tables", "--to", name, "--json")
    assert (status, json.loads(out)["folder"]) == (0, f"{tmp_path}/out\\xff")
    assert Path(name).is_dir()


def test_a_second_make_into_a_folder_is_told_and_writes_nothing(type_it, tmp_path):
    from wheelgeo.shop.swap import working_in

    with working_in(tmp_path):
        status, out, err = type_it("make", BOX, "--only", "tables", "--to", tmp_path)
    assert (status, out) == (2, "")
    assert f"another run is writing into {tmp_path}; wait until it is done" in err
    assert list(tmp_path.iterdir()) == []


def test_measurements_that_no_band_fits_are_no_answer(type_it):
    asked = ("bands", "--wheel", "21 in", "--whorl", "2 in", "--apart", "5 in",
             "--cord", "3 mm cotton cord")  # fmt: skip
    for more in ((), ("--json",), ("--have", "70 in")):
        status, out, err = type_it(*asked, *more)
        assert (status, out) == (2, "")
        assert "no band fits what was measured" in err
