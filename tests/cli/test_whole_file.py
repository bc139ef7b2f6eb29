"""Every door that writes a file writes a whole one, and destroys nothing that is no file."""

import os
import stat
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.design.whole_file import write_new, write_over
from wheelgeo.errors import OutputError
from wheelgeo.page.open_wheel import OpenWheel
from wheelgeo_cli.completion import SCRIPTS, install

NO_NAMES = ("", ".", "..", "/", "a\0b", None, 3, b"x")


@pytest.fixture(scope="module")
def wheel():
    return wheelgeo.load("designs/box-wheel.toml")


def pipe(folder: Path) -> Path:
    if not hasattr(os, "mkfifo"):
        pytest.skip("this system has no pipes with a name")
    path = folder / "pipe"
    os.mkfifo(path)
    return path


def only_files(folder: Path) -> set[str]:
    """Return what a folder holds; nothing half written may be among it."""
    return {path.name for path in folder.iterdir()}


def test_a_link_is_written_through_and_stays(wheel, tmp_path):
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    real.write_text("old")
    real.chmod(0o640)
    link.symlink_to(real)
    wheel.save(link)
    assert link.is_symlink()
    assert wheelgeo.load(real).design == wheel.design
    assert stat.S_IMODE(real.stat().st_mode) == 0o640
    assert only_files(tmp_path) == {"real.toml", "link.toml"}


def test_a_link_to_nothing_yet_makes_the_file_that_it_names(wheel, tmp_path):
    link = tmp_path / "link.toml"
    link.symlink_to(tmp_path / "real.toml")
    wheel.save(link)
    assert link.is_symlink()
    assert wheelgeo.load(tmp_path / "real.toml").design == wheel.design


@pytest.mark.parametrize("write", [write_over, write_new])
def test_a_pipe_and_a_folder_stay_what_they_are(write, tmp_path):
    there = pipe(tmp_path)
    way_there = tmp_path / "link"
    way_there.symlink_to(there)
    inner = tmp_path / "folder"
    inner.mkdir()
    for target in (there, way_there, inner):
        with pytest.raises(OutputError, match=r"no regular file|exists already"):
            write(target, "text")
    assert there.is_fifo()
    assert way_there.is_symlink()
    assert only_files(tmp_path) == {"pipe", "link", "folder"}


@pytest.mark.parametrize("name", NO_NAMES)
def test_what_names_no_file_is_refused_at_every_door(wheel, name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for write in (wheel.save, lambda path: write_new(path, "text")):
        with pytest.raises(OutputError, match="name"):
            write(name)
    if name in ("", "a\0b", 3, b"x"):
        with pytest.raises(OutputError, match="name"):
            wheel.make(name, only=["tables"])
    assert only_files(tmp_path) == set()


def test_a_write_protected_file_is_not_replaced(tmp_path, monkeypatch):
    (tmp_path / "a.toml").write_text("mine")
    monkeypatch.setattr(os, "access", lambda *_: False)  # the superuser may write everything
    with pytest.raises(OutputError, match="write-protected"):
        write_over(tmp_path / "a.toml", "other")
    assert (tmp_path / "a.toml").read_text() == "mine"


def test_a_name_as_long_as_the_file_system_takes_is_written(tmp_path):
    longest = tmp_path / ("a" * 255)
    write_over(longest, "text")
    write_new(tmp_path / ("b" * 255), "text")
    assert longest.read_text() == "text"


def test_the_page_refuses_what_names_no_file(wheel, tmp_path):
    opened = OpenWheel("1", wheel)
    for target in (Path("/"), Path(), tmp_path):
        with pytest.raises(OutputError):
            opened.save(target)


def test_the_shell_s_own_file_keeps_its_bytes_its_link_and_its_kind(tmp_path):
    real = tmp_path / "dotfiles"
    real.write_bytes(b"PS1=\xe9")  # Latin-1
    (tmp_path / ".bashrc").symlink_to(real)
    for _ in range(2):
        script = install("bash", tmp_path)
    assert script.read_text() == SCRIPTS["bash"]
    assert (tmp_path / ".bashrc").is_symlink()
    assert real.read_bytes() == b"PS1=\xe9\n" + os.fsencode(f'. "{script}"\n')
    pipe(tmp_path).rename(tmp_path / ".zshrc")
    with pytest.raises(OutputError, match="no regular file"):
        install("zsh", tmp_path)


def test_the_program_refuses_them_too_and_says_why(type_it):
    words = ("find", "designs/box-wheel.toml", "drive.speed", "for", "spindle.speed=8000 rpm")
    for target in (".", "", "/"):
        status, _, err = type_it(*words, "--write", target)
        assert (status, "names no file" in err, "Traceback" in err) == (2, True, False)


def test_without_any_standard_input_nobody_is_asked(type_it, monkeypatch):
    monkeypatch.setattr("sys.stdin", None)  # as a service starts a program
    status, _, err = type_it("bands")
    assert status == 2
    assert "nothing to go by" in err
