"""``wheelgeo new`` as somebody types it: comments and all, and nothing overwritten."""

import os
import tomllib
from pathlib import Path

import pytest

from wheelgeo.design.library import shipped_designs
from wheelgeo.design.reader import read_design

DESIGNS = Path(__file__).resolve().parents[2] / "designs"


@pytest.fixture(autouse=True)
def here(monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize("like", shipped_designs())
def test_a_new_wheel_is_the_shipped_one_with_its_comments_under_its_own_title(
    type_it, tmp_path, like
):
    status, out, err = type_it("new", "my wheel", "--like", like)
    assert (status, err) == (0, "")
    made = tmp_path / "my wheel.toml"
    assert "my wheel.toml" in out
    ours = made.read_text(encoding="utf-8")
    shipped = (DESIGNS / f"{like}.toml").read_text(encoding="utf-8")
    different = [
        (a, b) for a, b in zip(ours.splitlines(), shipped.splitlines(), strict=True) if a != b
    ]
    assert [a for a, _ in different] == ['title = "my wheel"']
    assert read_design(made).title == "my wheel"


def test_the_box_wheel_is_what_one_starts_from_unless_told_otherwise(type_it, tmp_path):
    assert type_it("new", "first")[0] == 0
    box = tomllib.loads((DESIGNS / "box-wheel.toml").read_text(encoding="utf-8"))
    ours = tomllib.loads((tmp_path / "first.toml").read_text(encoding="utf-8"))
    assert ours == box | {"title": "first"}


def test_a_file_of_one_s_own_may_be_the_start(type_it, tmp_path):
    type_it("new", "first")
    (tmp_path / "first.toml").write_text(
        "# mine\n" + (tmp_path / "first.toml").read_text(encoding="utf-8"), encoding="utf-8"
    )
    assert type_it("new", "second", "--like", "first.toml")[0] == 0
    assert (tmp_path / "second.toml").read_text(encoding="utf-8").startswith("# mine\n")


def test_a_file_that_stands_there_is_never_overwritten(type_it, tmp_path):
    there = tmp_path / "mine.toml"
    there.write_text("my own notes", encoding="utf-8")
    status, out, err = type_it("new", "mine")
    assert (status, out) == (2, "")
    assert '"mine.toml" exists already' in err
    assert there.read_text(encoding="utf-8") == "my own notes"
    assert list(tmp_path.iterdir()) == [there]


def test_a_link_that_leads_nowhere_is_not_written_through(type_it, tmp_path):
    (tmp_path / "mine.toml").symlink_to(tmp_path / "elsewhere.toml")
    status, _, err = type_it("new", "mine")
    assert status == 2
    assert "exists already" in err
    assert not (tmp_path / "elsewhere.toml").exists()


def test_to_a_folder(type_it, tmp_path):
    (tmp_path / "wheels").mkdir()
    assert type_it("new", "mine", "--to", "wheels")[0] == 0
    assert [p.name for p in (tmp_path / "wheels").iterdir()] == ["mine.toml"]


def test_a_folder_that_is_missing_is_said(type_it, tmp_path):
    status, out, err = type_it("new", "mine", "--to", "nowhere")
    assert (status, out) == (2, "")
    assert '"nowhere" does not exist' in err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_cannot_be_written_is_said(type_it, tmp_path):
    locked = tmp_path / "locked"
    locked.mkdir(mode=0o500)
    status, _, err = type_it("new", "mine", "--to", "locked")
    assert status == 2
    assert "cannot be written" in err


@pytest.mark.parametrize("name", ["../out", "a/b", "", ".hidden", "-x\n", "a\x1b[31m", "x" * 300])
def test_a_name_that_makes_no_file_name_is_refused(type_it, tmp_path, name):
    status, out, err = type_it("new", "--", name)
    assert (status, out) == (2, "")
    assert "Traceback" not in err
    assert "\x1b" not in err
    assert list(tmp_path.iterdir()) == []
    assert not (tmp_path.parent / "out.toml").exists()


def test_a_design_that_is_none_is_said_with_the_nearest(type_it, tmp_path):
    status, out, err = type_it("new", "mine", "--like", "box-whel")
    assert (status, out) == (2, "")
    assert 'did you mean "box-wheel"?' in err
    status, _, err = type_it("new", "mine", "--like", "qqqq")
    assert all(name in err for name in shipped_designs())
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["Spülrad", "wheel no. 2", "Old Ferry (copy)", "mine.toml"])
def test_names_of_people_s_own_tongues_are_fine(type_it, tmp_path, name):
    assert type_it("new", name)[0] == 0
    (made,) = tmp_path.iterdir()
    assert made.name == name.removesuffix(".toml") + ".toml"
    assert read_design(made).title == name.removesuffix(".toml")


def test_a_brief_starts_from_a_brief(type_it, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    status, out, err = type_it("new", "mine", "--brief")
    assert (status, err) == (0, "")
    assert "wheelgeo size mine.toml" in out
    text = (tmp_path / "mine.toml").read_text(encoding="utf-8")
    assert 'title = "mine"' in text
    assert "[sizes]" in text
    status, _, err = type_it("new", "other", "--brief", "--like", "box-wheel")
    assert status == 2
    assert "class-box" in err
