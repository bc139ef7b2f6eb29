"""``wheelgeo measure`` and ``place`` of an old wheel, as they are typed."""

import json
import re

import pytest

OLD = """title = "Old wheel on the bench"
unit = "in"
drive = { shaft = "axle", by = "treadle", speed = "60 rpm", turns = "clockwise" }
spindle = { shaft = "spindle", kind = "tip" }

[[shaft]]
name = "axle"
at = [0, 0, 0]
axis = [0, 1, 0]
diameter = "1/2"

[[shaft]]
name = "spindle"
at = ["17 3/4 +- 1/8 in", 0, 0]
axis = [0, 1, 0]
diameter = "3/8"

[[pulley]]
name = "wheel"
shaft = "axle"
offset = 0
groove = { shape = "vee", rim = "21 1/2 +- 1/8 in", depth = "1/4", angle = 60 }

[[pulley]]
name = "whorl"
shaft = "spindle"
offset = 0
groove = { shape = "vee", rim = "1 3/8 +- 1/32 in", depth = "3/16", angle = 60 }

[[band]]
name = "drive band"
route = ["wheel", "whorl"]
material = "cotton cord"
diameter = "3 mm"
stretch = "2 %"

"""
"""An old wheel, with how sure its sizes are."""


def entry(length):
    return f'[[measured]]\nwhat = "drive band.length"\nis = "{length}"\n'


@pytest.fixture
def old(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "old.toml").write_text(OLD + entry("76 1/2 +- 1/16 in"), encoding="utf-8")
    (tmp_path / "wrong.toml").write_text(OLD + entry("79 +- 1/16 in"), encoding="utf-8")
    (tmp_path / "few.toml").write_text(OLD, encoding="utf-8")
    return tmp_path


def test_it_says_that_all_agree_and_writes_the_wheel(type_it, old):
    status, out, err = type_it("measure", "old.toml", "--write", "new.toml")
    assert (status, err) == (0, "")
    assert "No measurement disagrees" in out
    solved = json.loads(type_it("solve", "new.toml", "--json")[1])
    after = json.loads(type_it("measure", "old.toml", "--json")[1])
    assert solved["bands"][0]["length_mm"] == pytest.approx(
        after["bands"][0]["length_mm"], abs=1e-3
    )


def test_a_disagreement_is_told_and_not_written(type_it, old):
    status, out, _ = type_it("measure", "wrong.toml")
    assert status == 0
    assert "cannot be told apart" in out
    of = out.partition("Measure again, the easiest first:")[2]
    distance, thread = of.index("measure the place again"), of.index("lay the thread")
    assert distance < thread
    status, _, err = type_it("measure", "wrong.toml", "--write", "new.toml")
    assert status == 2
    assert "drive band.length" in err
    assert not (old / "new.toml").exists()


def test_too_few_measurements_are_said_plainly(type_it, old):
    status, out, _ = type_it("measure", "few.toml")
    assert status == 0
    assert "Too few measurements to check one another" in out


def test_a_cord_keeps_its_own_size_and_a_stretch_is_in_per_cent(type_it, old):
    """In 64ths of an inch 3.0 mm is 1/8 and 2.9 mm 7/64, which would seem far apart."""
    text = OLD.replace('"3 mm"', '"3 +- 0.15 mm"').replace('"2 %"', '"2 +- 1 %"')
    (old / "cord.toml").write_text(text + entry("76 1/2 +- 1/16 in"), encoding="utf-8")
    out = " ".join(type_it("measure", "cord.toml")[1].split())
    assert "before: 3.00 mm (0.118 in)" in out or "drive band.diameter 3.00 mm (0.118 in)" in out
    assert "2.00 %" in out
    assert "0.02" not in out.replace("0.02 in", "")


def test_what_was_not_measured_has_no_before_and_what_did_not_move_stays(type_it, old):
    text = OLD.replace("17 3/4 +- 1/8 in", "17 3/4 +- 18 in")
    text = text.replace('depth = "1/4"', 'depth = "1/4 +- 1/64 in"')
    (old / "apart.toml").write_text(text + entry("76 1/2 +- 1/16 in"), encoding="utf-8")
    out = type_it("measure", "apart.toml")[1]
    rows = {row[0]: row[1:] for line in out.splitlines() if (row := re.split(r"\s{2,}", line))}
    assert rows["spindle.at.x"][0] == "not measured"
    assert rows["wheel.depth"][:2] == ["1/4 in (6.3 mm)"] * 2


@pytest.mark.parametrize("name", ["", 'name = "wh\\u0007orl"\n', "name = 7\n"])
def test_a_part_without_a_name_is_told_though_its_sizes_are_uncertain(type_it, tmp_path, name):
    text = OLD.replace('name = "whorl"\n', name)
    assert text != OLD
    (tmp_path / "old.toml").write_text(text, encoding="utf-8")
    code, _, err = type_it("measure", tmp_path / "old.toml")
    assert code == 2
    assert "pulley 2" in err
    assert "name" in err


def test_what_place_finds_is_told_in_the_unit_of_the_file(type_it, tmp_path):
    before, _, after = OLD.rpartition("offset = 0\n")
    (tmp_path / "old.toml").write_text(f"{before}offset = 2\n{after}", encoding="utf-8")
    move = ("place", tmp_path / "old.toml", "drive band", "--move", "whorl.offset")
    status, out, err = type_it(*move)
    assert (status, err) == (0, "")
    assert "-2 in" in out
    assert " mm" not in out.partition("spinning")[2]
