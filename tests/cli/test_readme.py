"""What the README says is true: its commands run, its examples give what it shows."""

import json
import re
import shlex
import shutil
import tomllib
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo_cli import main

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
SET_UP = re.findall(r"^    (python3 -m venv .*)$", README, re.MULTILINE)
TYPED = tuple(dict.fromkeys(re.findall(r"`(wheelgeo [^`]+)`", README)))
OLD_WHEEL = re.search(r"^    (wheelgeo bands --wheel .*)$", README, re.MULTILINE)[1]
TAPED = [w.removeprefix("--").replace("-", "_") if w.startswith("--") else w
            for w in shlex.split(OLD_WHEEL)[2:]]  # fmt: skip
SHOWN = re.search(r"```text\n(.*?)```", README, re.DOTALL)[1]
MEASURED = re.search(r"```toml\n(\[\[measured\]\].*?)```", README, re.DOTALL)[1]
STANDS_FOR = {
    "NAME": "mine", "FILE": "designs/box-wheel.toml", "BRIEF": "designs/briefs/wool-table.toml",
    "SPINDLE": "designs/spindles/drop-spindle.toml",
}  # fmt: skip
SHORTER = {
    "make": ["--only", "tables"], "tolerance": ["--trials", "10000"], "size": ["--wheels", "1"],
}  # fmt: skip
"""Options that make a command's work short where all of it is tested elsewhere."""
NOT_RUN = ("wheelgeo --install-completion", "wheelgeo open FILE")
"""The first changes the shell of the one who runs it, the second runs until it is stopped."""


@pytest.fixture
def bench(tmp_path, monkeypatch):
    """An empty folder with the designs in it, and the old wheel's file as the README makes it."""
    shutil.copytree(ROOT / "designs", tmp_path / "designs")
    monkeypatch.chdir(tmp_path)
    measured = dict(zip(TAPED[::2], TAPED[1::2], strict=True))
    old = wheelgeo.old_wheel(**measured).wheel
    old.save("old-wheel.toml")
    known = old.to_toml().replace('"450.85 +- 3 mm"', '"17 3/4 +- 1/8 in"')
    (tmp_path / "measured-wheel.toml").write_text(f"{known}\n{MEASURED}", encoding="utf-8")
    return tmp_path


def words(typed):
    command, *rest = shlex.split(typed)[1:]
    stand = STANDS_FOR | ({"FILE": "measured-wheel.toml"} if command == "measure" else {})
    return [command, *(stand.get(word, word) for word in rest), *SHORTER.get(command, [])]


def test_the_job_comes_first_and_then_exactly_two_commands():
    opening = README[: README.index("## ")]
    assert opening.startswith("# wheelgeo\n\nA hand spinner's wheel")
    assert len(SET_UP) == len(re.findall(r"^    \S", opening, re.MULTILINE)) == 2


def test_the_two_commands_name_what_there_is():
    make, test = SET_UP
    assert make.endswith(".venv/bin/wheelgeo make designs/box-wheel.toml")
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert '".[test]"' in test
    assert any(need.startswith("pytest-xdist") for need in project["optional-dependencies"]["test"])
    assert "wheelgeo" in project["scripts"]
    assert f"Python {project['requires-python'].removeprefix('>=')} or newer" in README


def test_the_table_names_every_command_once_in_the_order_of_the_help():
    rows = re.findall(r"^\| `wheelgeo (\w+)", README, re.MULTILINE)
    assert rows == list(main.SHORT)


@pytest.mark.parametrize("typed", [t for t in TYPED if t not in NOT_RUN and "finer" not in t])
def test_a_command_runs_as_it_is_written(type_it, bench, typed):
    status, out, err = type_it(*words(typed))
    assert (status, err) == (0, "")
    assert out.strip()


def test_the_finer_yarn_is_had_as_it_is_told(type_it, bench):
    (retune,) = (t for t in TYPED if t.startswith("wheelgeo retune designs/travel-wheel.toml"))
    (write,) = re.findall(r"`(--write \d+ finer\.toml)`", README)
    status, out, err = type_it(*words(retune), *write.split())
    assert (status, err) == (0, "")
    first = re.search(r"(Without changing|You need not change) the wheel", out)
    assert first is not None
    assert first.start() < out.index("second band: new, ")
    faults = json.loads(type_it("check", "finer.toml", "--json")[1])["findings"]
    assert ("It has faults" in out) == any(f["level"] == "fault" for f in faults)


def test_the_old_wheel_gets_the_band_that_is_shown(type_it, bench):
    status, out, err = type_it(*shlex.split(OLD_WHEEL)[1:])
    assert (status, err) == (0, "")
    assert len(SHOWN.splitlines()) == 1
    assert SHOWN in out


def test_the_old_wheel_by_hand(type_it, bench):
    """The open band of the textbooks, from the inches of the rule alone."""
    from math import asin, cos, pi, radians, sin, sqrt

    cord = 1.5 / sin(radians(30.0))  # centre-line above the bottom of the vee, mm
    large, small = (0.5 * rim - depth + cord for rim, depth in
                    ((21.5 * 25.4, 0.25 * 25.4), (1.375 * 25.4, 3 / 16 * 25.4)))  # fmt: skip
    apart = 17.75 * 25.4
    lean = asin((large - small) / apart)
    straight = sqrt(apart**2 - (large - small) ** 2)
    length = 2 * straight + large * (pi + 2 * lean) + small * (pi - 2 * lean)
    assert straight == pytest.approx(apart * cos(lean))
    (band,) = json.loads(type_it("solve", "old-wheel.toml", "--json")[1])["bands"]
    assert band["length_mm"] == pytest.approx(length, abs=1e-6)
    assert band["cut_length_mm"] == pytest.approx(length / 1.02, abs=1e-6)


@pytest.mark.parametrize(
    ("name", "ratio"), re.findall(r"^\| `([\w-]+-wheel)` .*\| ([\d.]+) \|$", README, re.MULTILINE)
)
def test_the_shipped_designs_have_the_ratios_of_the_table(type_it, name, ratio):
    document = json.loads(type_it("solve", ROOT / "designs" / f"{name}.toml", "--json")[1])
    decimals = len(ratio.partition(".")[2])
    assert f"{document['ratio']:.{decimals}f}" == ratio


def test_the_dangers_are_told_in_the_librarys_words():
    from wheelgeo.shop.cautions import CARE, DANGERS

    assert f"{DANGERS} {CARE}" in " ".join(re.sub(r"^> ?", "", README, flags=re.M).split())


def test_every_shipped_design_is_in_the_table():
    told = set(re.findall(r"^\| `([\w-]+-wheel)`", README, re.MULTILINE))
    assert told == {path.stem for path in (ROOT / "designs").glob("*.toml")}


def test_the_limit_of_the_example_is_taken(type_it, bench):
    limits = "\n".join(re.search(r"^    (\[limits\])\n    (\w+ = \S+)$", README, re.M).groups())
    path = bench / "designs" / "box-wheel.toml"
    path.write_text(f"{path.read_text(encoding='utf-8')}\n{limits}\n", encoding="utf-8")
    assert type_it("check", path)[0] == 0


def test_options_of_make_are_as_told(type_it, bench):
    help_ = type_it("make", "--help")[1]
    for option in re.findall(r"`(--\w+)[^`]*`", README[README.index("`make` writes") :])[:3]:
        assert option in help_
    status, _, err = type_it("make", "designs/box-wheel.toml", "--only", "dxf,tables", "--dxf",
                             "R12", "--to", "out")  # fmt: skip
    assert (status, err) == (0, "")
    assert {path.suffix for path in (bench / "out").iterdir()} >= {".dxf", ".csv"}


def test_links_lead_somewhere():
    links = re.findall(r"\]\(([^)]+)\)", README)
    assert links
    for link in links:
        assert (ROOT / link).exists(), link


def test_the_lines_of_python_run_as_they_stand(bench, capsys):
    code = re.search(r"```python\n(.*?)```", README, re.DOTALL)[1]
    assert len(code.strip().splitlines()) <= 10
    exec(compile(code, "README.md", "exec"), {})
    assert capsys.readouterr().out.startswith("164.97")
    assert "# " in (bench / "wider.toml").read_text(encoding="utf-8")
