"""A set is written whole or not at all, and never over files that are not ours."""

from __future__ import annotations

import hashlib
import json
import os
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.errors import OutputError
from wheelgeo.shop.bench_set import MadeFile
from wheelgeo.shop.folder import SetOwner, write_set


def made(name: str, text: str, group: str = "dxf") -> MadeFile:
    return MadeFile(name, text.encode(), "a test", group)


SET = (made("a.dxf", "one"), made("b.dxf", "two"), made("c.csv", "three", "tables"))


def contents(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir()}


def test_a_new_folder_holds_the_set_and_its_index(tmp_path: Path) -> None:
    done = write_set(SET, tmp_path / "deep" / "er")
    assert done.written == ("a.dxf", "b.dxf", "c.csv", "index.json")
    index = json.loads((tmp_path / "deep" / "er" / "index.json").read_text())
    listed = {entry["file"]: entry["sha256"] for entry in index["files"]}
    assert listed == {f.name: hashlib.sha256(f.content).hexdigest() for f in SET}
    assert list((tmp_path / "deep").iterdir()) == [tmp_path / "deep" / "er"]


def test_writing_again_changes_nothing(tmp_path: Path) -> None:
    write_set(SET, tmp_path / "out")
    before = contents(tmp_path / "out")
    write_set(SET, tmp_path / "out")
    assert contents(tmp_path / "out") == before


def test_our_own_files_are_replaced_and_stale_ones_removed(tmp_path: Path) -> None:
    write_set(SET, tmp_path)
    done = write_set((made("a.dxf", "new"),), tmp_path, groups=("dxf", "tables"))
    assert set(contents(tmp_path)) == {"a.dxf", "index.json"}
    assert done.removed == ("b.dxf", "c.csv")


def test_files_of_groups_that_are_not_made_stay_and_stay_listed(tmp_path: Path) -> None:
    write_set(SET, tmp_path)
    write_set((made("a.dxf", "new"),), tmp_path)
    assert set(contents(tmp_path)) == {"a.dxf", "c.csv", "index.json"}
    listed = {e["file"] for e in json.loads((tmp_path / "index.json").read_text())["files"]}
    assert listed == {"a.dxf", "c.csv"}


def test_a_stale_file_that_somebody_changed_is_kept(tmp_path: Path) -> None:
    write_set(SET, tmp_path)
    (tmp_path / "b.dxf").write_text("mine now")
    write_set((made("a.dxf", "new"),), tmp_path)
    assert (tmp_path / "b.dxf").read_text() == "mine now"


def test_all_files_in_the_way_are_named_and_nothing_is_touched(tmp_path: Path) -> None:
    write_set(SET, tmp_path)
    (tmp_path / "b.dxf").write_text("edited by hand")
    (tmp_path / "d.dxf").write_text("never ours")
    before = contents(tmp_path)
    with pytest.raises(OutputError, match=r"b\.dxf, d\.dxf") as caught:
        write_set((*SET[:1], made("b.dxf", "x"), made("d.dxf", "y")), tmp_path)
    assert "a.dxf" not in str(caught.value)
    assert contents(tmp_path) == before


def test_force_overwrites_them(tmp_path: Path) -> None:
    (tmp_path / "b.dxf").write_text("never ours")
    write_set(SET, tmp_path, force=True)
    assert (tmp_path / "b.dxf").read_text() == "two"


def test_an_index_that_is_not_ours_is_in_the_way(tmp_path: Path) -> None:
    (tmp_path / "index.json").write_text('{"files": []}')
    with pytest.raises(OutputError, match=r"index\.json"):
        write_set(SET, tmp_path)
    assert set(contents(tmp_path)) == {"index.json"}


@pytest.mark.parametrize(
    "text",
    ["", "[1, 2]", '{"made_by": "wheelgeo make", "files": [3]}', "{", "[" * 100_000, "\udcff"],
    ids=["empty", "list", "no entry", "half", "deep", "not UTF-8"],
)
def test_a_broken_index_gives_no_rights(tmp_path: Path, text: str) -> None:
    (tmp_path / "index.json").write_text(text, encoding="utf-8", errors="surrogateescape")
    (tmp_path / "a.dxf").write_text("never ours")
    with pytest.raises(OutputError, match=r"a\.dxf, index\.json"):
        write_set(SET, tmp_path)


def test_an_index_cannot_lead_to_files_elsewhere(tmp_path: Path) -> None:
    victim = tmp_path / "victim.txt"
    victim.write_text("precious")
    digest = hashlib.sha256(b"precious").hexdigest()
    out = tmp_path / "out"
    write_set(SET, out)
    index = json.loads((out / "index.json").read_text())
    index["files"].append({"file": "../victim.txt", "what": "", "group": "dxf", "sha256": digest})
    (out / "index.json").write_text(json.dumps(index))
    write_set(SET, out)
    assert victim.read_text() == "precious"


def test_a_link_is_not_followed(tmp_path: Path) -> None:
    victim = tmp_path / "victim.txt"
    victim.write_text("precious")
    out = tmp_path / "out"
    out.mkdir()
    (out / "a.dxf").symlink_to(victim)
    with pytest.raises(OutputError, match=r"a\.dxf"):
        write_set(SET, out)
    write_set(SET, out, force=True)
    assert victim.read_text() == "precious"
    assert (out / "a.dxf").read_text() == "one"


def test_a_file_or_a_folder_in_the_way_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(OutputError, match="not a folder"):
        write_set(SET, tmp_path / "file")
    (tmp_path / "out" / "a.dxf").mkdir(parents=True)
    with pytest.raises(OutputError, match=r"of these names.*a\.dxf"):
        write_set(SET, tmp_path / "out", force=True)
    with pytest.raises(OutputError, match="cannot write"):
        write_set(SET, tmp_path / "file" / "below")


@pytest.mark.parametrize("fails_at", range(1, 8))
def test_a_failure_half_way_leaves_the_old_set(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails_at: int
) -> None:
    write_set(SET, tmp_path)
    before = contents(tmp_path)
    real, calls = Path.rename, 0

    def failing(self: Path, target: Path) -> Path:
        nonlocal calls
        calls += 1
        if calls == fails_at:
            raise OSError(28, "No space left on device")
        return real(self, target)

    monkeypatch.setattr(Path, "rename", failing)
    new = (made("a.dxf", "1"), made("b.dxf", "2"), made("d.dxf", "4", "tables"))
    with pytest.raises(OutputError, match="No space left"):
        write_set(new, tmp_path)
    assert contents(tmp_path) == before


def test_a_failure_while_writing_leaves_no_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def failing(self: Path, data: bytes) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", failing)
    with pytest.raises(OutputError, match="No space left"):
        write_set(SET, tmp_path / "deep" / "er")
    assert list(tmp_path.iterdir()) == []


@pytest.fixture
def files(tmp_path: Path) -> dict[str, str]:
    """Design files by a short name; two of them are called the same, in two folders."""
    found = {}
    for key, place in (("one", "da/wheel.toml"), ("two", "db/wheel.toml"), ("floor", "floor.toml")):
        path = tmp_path / place
        path.parent.mkdir(exist_ok=True)
        path.write_text("")
        found[key] = str(path)
    return found


def test_a_set_of_another_wheel_is_not_replaced(tmp_path: Path, files: dict[str, str]) -> None:
    out = tmp_path / "out"
    write_set(SET, out, owner=SetOwner("Old Ferry wheel", files["one"]))
    before = contents(out)
    others = [
        SetOwner("Old Ferry wheel", files["two"]),  # a copy that kept its title
        SetOwner("Floor wheel", files["floor"]),
        SetOwner("Floor wheel"),  # from no file
    ]
    for other in others:
        with pytest.raises(OutputError, match=r"another wheel, \"Old Ferry wheel\".*--force"):
            write_set((made("a.dxf", "new"),), out, owner=other)
        assert contents(out) == before
    done = write_set((made("a.dxf", "new"),), out, force=True, owner=others[0])
    assert set(contents(out)) == {"a.dxf", "index.json"}  # no parts of two wheels in one folder
    assert set(done.removed) == {"b.dxf", "c.csv"}


def test_a_wheel_keeps_its_set(tmp_path: Path, files: dict[str, str]) -> None:
    """Whatever its title is, and wherever its file has gone."""
    out = tmp_path / "out"
    write_set(SET, out)  # an index that does not say whose it is
    write_set(SET, out, owner=SetOwner("Old Ferry wheel", files["one"]))
    write_set(SET, out, owner=SetOwner("Old Ferry wheel, finer", files["one"]))
    Path(files["one"]).rename(tmp_path / "moved.toml")
    write_set(SET, out, owner=SetOwner("Old Ferry wheel, finer", str(tmp_path / "moved.toml")))
    write_set(SET, out, owner=SetOwner("Old Ferry wheel, finer"))
    index = json.loads((out / "index.json").read_text())
    assert (index["title"], index["source"]) == ("Old Ferry wheel, finer", "")


def test_the_index_names_the_file_as_seen_from_the_folder(
    tmp_path: Path, files: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    write_set(SET, Path("outputs/one"), owner=SetOwner("One", "da/wheel.toml"))
    index = json.loads((tmp_path / "outputs" / "one" / "index.json").read_text())
    assert index["source"] == "../../da/wheel.toml"


def test_the_program_refuses_before_it_makes_anything(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one, other = (wheelgeo.load(f"designs/{name}-wheel.toml") for name in ("sheet", "box"))
    one.make(tmp_path / "b", only=["tables"])
    monkeypatch.setattr(wheelgeo.Wheel, "check", None)
    with pytest.raises(OutputError, match="another wheel"):
        other.make(tmp_path / "b", only=["tables"])
    with pytest.raises(OutputError, match="no group is named"):
        other.make(tmp_path / "c", only=[])


@pytest.mark.parametrize("name", ["pipe", "file/set", "file", "x" * 300, "deep/er/set"])
def test_whether_it_can_be_written_to_is_asked_before_anything_is_made(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "file").write_text("")
    before = sorted(tmp_path.rglob("*"))
    wheel = wheelgeo.load("designs/box-wheel.toml")

    def check(_: object) -> None:
        assert sorted(tmp_path.rglob("*")) == before, "a trial leaves nothing"
        raise OutputError("it may be made")

    monkeypatch.setattr(wheelgeo.Wheel, "check", check)
    says = "it may be made" if name.startswith("deep") else "file, not a folder|cannot write into"
    with pytest.raises(OutputError, match=says):
        wheel.make(tmp_path / name)
    assert sorted(tmp_path.rglob("*")) == before
