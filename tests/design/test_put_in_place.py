"""A finished file takes its name whole and never over another one, on a memory stick too."""

import errno
import os
from pathlib import Path

import pytest

from wheelgeo.design.whole_file import put_in_place, write_new
from wheelgeo.errors import OutputError
from wheelgeo.tune.size_files import write_folder


@pytest.fixture(params=[None, errno.EPERM, errno.ENOTSUP], ids=["links", "EPERM", "ENOTSUP"])
def folder(request, tmp_path, monkeypatch):
    def refuse(*_):
        raise OSError(request.param, os.strerror(request.param))

    if request.param is not None:
        monkeypatch.setattr(os, "link", refuse)
    return tmp_path


def test_a_new_file_is_written_whole(folder):
    write_new(folder / "a.toml", "whole")
    assert {p.name: p.read_text() for p in folder.iterdir()} == {"a.toml": "whole"}


def test_a_file_that_is_there_stays(folder):
    (folder / "a.toml").write_text("mine")
    with pytest.raises(OutputError, match="exists already"):
        write_new(folder / "a.toml", "other")
    assert {p.name: p.read_text() for p in folder.iterdir()} == {"a.toml": "mine"}


def test_a_folder_of_files_is_written_whole(folder):
    write_folder({"a.toml": "1", "b.toml": "2"}, folder)
    assert {p.name: p.read_text() for p in folder.iterdir()} == {"a.toml": "1", "b.toml": "2"}


def test_a_name_that_was_taken_is_given_back_where_the_file_cannot_follow(folder, monkeypatch):
    def refuse(*_):
        raise OSError(errno.EIO, "worn out")

    monkeypatch.setattr(os, "link", lambda *_: (_ for _ in ()).throw(OSError(errno.EPERM, "no")))
    monkeypatch.setattr(Path, "replace", refuse)
    (folder / "part").write_text("whole")
    with pytest.raises(OSError, match="worn out"):
        put_in_place(folder / "part", folder / "a.toml")
    assert not (folder / "a.toml").exists()
