"""``wheelgeo size`` as somebody types it."""

import json
import math
from dataclasses import replace
from itertools import count
from pathlib import Path

import pytest

from wheelgeo.design.reader import read_design
from wheelgeo.drive.train import solve_drive
from wheelgeo.tune import size as size_module
from wheelgeo.tune.brief_file import read_brief

CLASS = Path(__file__).parents[2] / "designs" / "briefs" / "class-box.toml"
BRIEF = Path(__file__).parents[2] / "designs" / "briefs" / "wool-table.toml"


def test_json_and_files_agree(type_it, tmp_path):
    folder = tmp_path / "found"
    words = ("size", BRIEF, "--json", "--write", folder, "--wheels", "2")
    status, out, err = type_it(*words)
    document = json.loads(out)
    assert (status, err) == (0, "")
    assert document["proven"] is True
    assert document["ruled_out"] < document["combinations"]
    files = sorted(folder.iterdir())
    assert len(files) == len(document["wheels"]) == 2
    for file, wheel in zip(files, document["wheels"], strict=True):
        assert solve_drive(read_design(file)).ratio == pytest.approx(wheel["ratio"], rel=1e-12)


def test_people_read_how_many_and_that_it_is_proven(type_it):
    status, out, _ = type_it("size", BRIEF, "--wheels", "1")
    assert status == 0
    assert "2 183 244 combinations, all but" in out
    assert "Proven" in out
    assert "rims: wheel 9 3/4 in" in out
    assert "see to: 5 notes: no-take-up, packing, not-held, effort-doubtful, wood-moves" in out


def test_ctrl_c_shows_the_best_so_far_as_unproven(type_it, monkeypatch):
    real = size_module.findings_in_turn
    calls = []

    def stops(design):
        if calls:
            raise KeyboardInterrupt
        calls.append(design)
        return real(design)

    search = size_module.size
    monkeypatch.setattr(size_module, "size", lambda b, tell, **_: search(b, tell, stops))
    status, out, _ = type_it("size", BRIEF, "--json")
    assert status == 0
    document = json.loads(out)
    assert document["proven"] is False
    assert document["wheels"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (("stages = 1", "stages = 4"), "no number of stages"),
        (("ratio = 14", "ratio = 1400"), "none of"),
        (("[sizes]", "[sizs]"), 'did you mean "sizes"'),
    ],
)
def test_a_bad_brief_ends_with_status_2_and_writes_nothing(type_it, tmp_path, change, says):
    bad = tmp_path / "bad.toml"
    bad.write_text(BRIEF.read_text(encoding="utf-8").replace(*change), encoding="utf-8")
    status, out, err = type_it("size", bad, "--write", tmp_path / "to")
    assert (status, out) == (2, "")
    assert says in err
    assert "Traceback" not in err
    assert [p.name for p in tmp_path.iterdir()] == ["bad.toml"]


def test_a_brief_that_is_not_there(type_it, tmp_path):
    status, _, err = type_it("size", tmp_path / "none.toml")
    assert status == 2
    assert "there is no file" in err


def test_a_search_that_is_out_of_time_says_so_and_hands_over_the_best(type_it, monkeypatch):
    ticks = count(0.0, 1.0)
    search = size_module.size

    def by_ticks(brief, tell, seconds):
        return search(brief, tell, seconds=seconds, clock=lambda: next(ticks))

    monkeypatch.setattr(size_module, "size", by_ticks)
    status, out, _ = type_it("size", CLASS, "--time", "20", "--wheels", "1")
    assert status == 0
    assert "Stopped" in out
    assert "--time SECONDS" in out


def test_no_bound_at_all_is_null_and_told_as_not_known(type_it, monkeypatch):
    ticks = count(0.0, 1.0)
    brief = replace(read_brief(CLASS), wheels=1)
    found = size_module.size(brief, seconds=20.0, clock=lambda: next(ticks))
    first = replace(found.wheels[0], bound=-math.inf, proven=False)
    stopped = replace(found, wheels=(first,), proven=False)
    monkeypatch.setattr(size_module, "size", lambda *_, **__: stopped)
    words = ("size", CLASS, "--wheels", "1")
    document = json.loads(type_it(*words, "--json")[1], parse_constant=pytest.fail)
    assert document["wheels"][0]["gap"] is None
    out = type_it(*words)[1]
    assert "how much less another could cost is not known" in " ".join(out.split())


@pytest.mark.parametrize("time", ["0", "-3", "nan"])
def test_a_time_that_is_none_is_refused(type_it, time):
    assert type_it("size", BRIEF, "--time", time)[0] == 2
