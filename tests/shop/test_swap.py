"""A crash at any moment of a swap, of its undoing and of its mending leaves one set, not two."""

from __future__ import annotations

import errno
import hashlib
import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from wheelgeo.errors import OutputError
from wheelgeo.shop.bench_set import MadeFile
from wheelgeo.shop.folder import INDEX, write_set
from wheelgeo.shop.swap import WORK, working_in

OPERATIONS = {"open", "os.mkdir", "os.rename", "os.remove", "os.rmdir", "shutil.rmtree"}
"""The operations on files that the interpreter reports to an audit hook."""


def made(name: str, text: str, group: str = "dxf") -> MadeFile:
    return MadeFile(name, text.encode(), "a test", group)


OLD = (made("a.dxf", "one"), made("b.dxf", "two"), made("c.csv", "three", "tables"))
NEW = (made("a.dxf", "1"), made("b.dxf", "two"), made("d.csv", "4", "tables"))


class Killed(BaseException):
    """What stops the process in place of a signal: after it no operation succeeds any more."""


class Trap:
    """Counts operations on files below a folder; fails one, and all from the fatal one on."""

    def __init__(self) -> None:
        self.folder: str | None = None
        self.count = 0
        self.errors: dict[int, OSError] = {}
        self.fatal = 0

    def __call__(self, event: str, arguments: tuple[object, ...]) -> None:
        if self.folder is None or event not in OPERATIONS:
            return
        paths = [os.fsdecode(a) for a in arguments[:2] if isinstance(a, (str, bytes, os.PathLike))]
        if not any(p.startswith(self.folder) for p in paths):
            return
        self.count += 1
        if self.count >= self.fatal:
            raise Killed
        if self.count in self.errors:
            raise self.errors[self.count]


TRAP = Trap()
sys.addaudithook(TRAP)
NEVER = 10**9


@contextmanager
def failing(folder: Path, fatal: int = NEVER, **errors: OSError) -> Iterator[None]:
    """Fail operations below a folder: ``at_7`` the seventh; from ``fatal`` on all are killed."""
    TRAP.folder, TRAP.count, TRAP.fatal = str(folder), 0, fatal
    TRAP.errors = {int(key.removeprefix("at_")): error for key, error in errors.items()}
    try:
        yield
    finally:
        TRAP.folder = None


def whole_set(folder: Path) -> dict[str, bytes]:
    """Return what a folder holds; the index in it must list it all, file by file."""
    held = {p.name: p.read_bytes() for p in folder.iterdir()}
    listed = {e["file"]: e["sha256"] for e in json.loads(held[INDEX])["files"]}
    got = {n: hashlib.sha256(b).hexdigest() for n, b in held.items() if n != INDEX}
    assert listed == got
    return {n: b for n, b in held.items() if n != INDEX}


def next_run(folder: Path) -> None:
    """Do what any later run does first, and nothing else."""
    write_set((), folder, groups=())


def files(made_files: tuple[MadeFile, ...]) -> dict[str, bytes]:
    return {f.name: f.content for f in made_files}


def operations(tmp_path: Path) -> int:
    """Return how many operations a swap of the old set for the new takes."""
    folder = tmp_path / "count"
    write_set(OLD, folder)
    with failing(folder):
        write_set(NEW, folder)
    return TRAP.count


def test_killed_at_every_operation_of_a_swap(tmp_path: Path) -> None:
    last = operations(tmp_path)
    assert last > 30
    outcomes = []
    for at in range(1, last + 1):
        folder = tmp_path / f"kill {at}"
        write_set(OLD, folder)
        with failing(folder, at), pytest.raises(Killed):
            write_set(NEW, folder)
        next_run(folder)
        held = whole_set(folder)
        assert held in (files(OLD), files(NEW)), at
        outcomes.append(held == files(NEW))
        write_set(OLD, folder)  # nothing of it is called foreign afterwards
        assert whole_set(folder) == files(OLD)
    assert outcomes == sorted(outcomes), "old up to the journal, new from there on"
    assert set(outcomes) == {False, True}


def test_killed_at_every_operation_of_the_first_run(tmp_path: Path) -> None:
    folder = tmp_path / "count"
    with failing(folder):
        write_set(NEW, folder)
    for at in range(1, TRAP.count + 1):
        folder = tmp_path / f"kill {at}"
        with failing(folder, at), pytest.raises(Killed):
            write_set(NEW, folder)
        write_set(OLD, folder)
        assert whole_set(folder) == files(OLD), at


def test_killed_again_while_the_next_run_mends(tmp_path: Path) -> None:
    last = operations(tmp_path)
    for at in range(last // 2, last + 1, 2):
        for again in range(1 + at % 5, 40, 5):
            folder = tmp_path / f"{at} {again}"
            write_set(OLD, folder)
            with failing(folder, at), pytest.raises(Killed):
                write_set(NEW, folder)
            try:
                with failing(folder, again):
                    next_run(folder)
            except Killed:
                next_run(folder)
            assert whole_set(folder) in (files(OLD), files(NEW)), (at, again)


def system_error(code: int) -> OSError:
    return OSError(code, os.strerror(code))


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EROFS, errno.EACCES])
def test_an_error_at_every_operation_is_told_and_leaves_the_old_set(
    tmp_path: Path, code: int
) -> None:
    last = operations(tmp_path)
    for at in range(1, last + 1):
        folder = tmp_path / f"error {at}"
        write_set(OLD, folder)
        said = ""
        with failing(folder, **{f"at_{at}": system_error(code)}):
            try:
                write_set(NEW, folder)
            except OutputError as error:
                said = str(error)
        if not said:  # only the last, the removal of the empty work folder, is let pass
            assert at == last
        elif not (folder / WORK).exists():
            assert whole_set(folder) == files(OLD), at
        next_run(folder)
        assert whole_set(folder) in (files(OLD), files(NEW)), at


def test_a_disk_that_stays_full_for_a_while_leaves_one_set(tmp_path: Path) -> None:
    """Three operations in a row fail, wherever that begins."""
    for first in range(1, operations(tmp_path) + 1):
        folder = tmp_path / f"full {first}"
        write_set(OLD, folder)
        later = {f"at_{at}": system_error(errno.ENOSPC) for at in range(first, first + 3)}
        with failing(folder, **later), suppress(OutputError):
            write_set(NEW, folder)
        next_run(folder)
        assert whole_set(folder) in (files(OLD), files(NEW)), first


def test_killed_at_every_operation_while_an_error_is_undone(tmp_path: Path) -> None:
    last = operations(tmp_path)
    for at in range(last // 3, last):
        for more in range(1 + at % 3, 14, 3):
            folder = tmp_path / f"undo {at} {more}"
            write_set(OLD, folder)
            error = {f"at_{at}": system_error(errno.EIO)}
            with failing(folder, at + more, **error), suppress(OutputError, Killed):
                write_set(NEW, folder)
            next_run(folder)
            assert whole_set(folder) in (files(OLD), files(NEW)), (at, more)


def test_an_index_that_lists_nothing_is_ours(tmp_path: Path) -> None:
    """Killed before the first set stood, and mended by a run that gives no file."""
    next_run(tmp_path)
    assert whole_set(tmp_path) == {}
    write_set(OLD, tmp_path)
    assert whole_set(tmp_path) == files(OLD)


@pytest.mark.parametrize("text", ["{}", '{"made_by": "wheelgeo make"}', "[]", "mine"])
def test_an_index_of_somebody_else_is_not_ours(tmp_path: Path, text: str) -> None:
    (tmp_path / INDEX).write_text(text)
    with pytest.raises(OutputError, match=r"not ours or were changed since: index\.json"):
        write_set(OLD, tmp_path)
    assert (tmp_path / INDEX).read_text() == text


def unfinished(folder: Path) -> None:
    """Leave a folder as a run does that is killed after its first file is in place."""
    at = 1
    while True:
        write_set(OLD, folder)
        with failing(folder, at), pytest.raises(Killed):
            write_set(NEW, folder)
        if (folder / "a.dxf").exists() and (folder / "a.dxf").read_bytes() == b"1":
            return
        at += 1


def test_new_files_that_lost_power_emptied_are_not_put_in_place(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    unfinished(folder)
    (folder / WORK / "new" / "d.csv").write_bytes(b"")
    next_run(folder)
    assert whole_set(folder) == files(OLD)


def test_what_somebody_changed_after_the_crash_is_kept_and_named(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    unfinished(folder)
    (folder / "b.dxf").write_text("mine now")
    with pytest.raises(OutputError, match=r"changed since: b\.dxf;"):
        write_set(NEW, folder)
    assert (folder / "b.dxf").read_text() == "mine now"
    write_set(NEW, folder, force=True)
    assert whole_set(folder) == files(NEW)


@pytest.mark.parametrize("name", ["../victim", "sub/../../victim", "..", "", "..\\victim"])
def test_a_journal_cannot_lead_elsewhere(tmp_path: Path, name: str) -> None:
    (tmp_path / "victim").write_text("precious")
    state = hashlib.sha256(b"precious").hexdigest()
    work = tmp_path / "out" / WORK
    work.mkdir(parents=True)
    (work / "journal.json").write_text(json.dumps([[name, state, None]]))
    write_set(OLD, tmp_path / "out")
    assert (tmp_path / "victim").read_text() == "precious"
    assert whole_set(tmp_path / "out") == files(OLD)


@pytest.mark.parametrize("text", ["", "{", "[[1,2,3]]", "[" * 100_000, '[["a.dxf"]]'])
def test_a_broken_journal_is_litter(tmp_path: Path, text: str) -> None:
    write_set(OLD, tmp_path)
    (tmp_path / WORK).mkdir()
    (tmp_path / WORK / "journal.json").write_text(text)
    next_run(tmp_path)
    assert whole_set(tmp_path) == files(OLD)


def test_a_second_run_at_once_is_told(tmp_path: Path) -> None:
    write_set(OLD, tmp_path)
    with working_in(tmp_path), pytest.raises(OutputError, match="another run is writing into"):
        write_set(NEW, tmp_path)
    assert whole_set(tmp_path) == files(OLD)
    write_set(NEW, tmp_path)
    assert whole_set(tmp_path) == files(NEW)


@pytest.mark.parametrize("kind", ["link", "file"])
def test_the_work_folders_name_is_taken(tmp_path: Path, kind: str) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    out = tmp_path / "out"
    out.mkdir()
    if kind == "link":
        (out / WORK).symlink_to(elsewhere)
    else:
        (out / WORK).write_text("x")
    with pytest.raises(OutputError, match="in the way"):
        write_set(OLD, out)
    assert list(elsewhere.iterdir()) == []
    assert [p.name for p in out.iterdir()] == [WORK]


CHILD = """
import sys
from pathlib import Path
from wheelgeo.shop.folder import write_set
from wheelgeo.shop.bench_set import MadeFile

def files(text, names):
    return [MadeFile(f"{n}.dxf", (text * 2000).encode(), "a test", "dxf") for n in names]

print("ready", flush=True)
while True:
    write_set(files("old", "abcdefgh"), Path(sys.argv[1]))
    write_set(files("new", "abcdfghi"), Path(sys.argv[1]))
"""


def kill_often(folder: Path, kills: int, seed: int) -> None:
    chance = random.Random(seed)
    for _ in range(kills):
        with subprocess.Popen(
            [sys.executable, "-c", CHILD, str(folder)], stdout=subprocess.PIPE
        ) as child:
            assert child.stdout is not None
            assert child.stdout.readline() == b"ready\n"
            time.sleep(chance.uniform(0.0, 0.03))
            child.send_signal(signal.SIGKILL)
        assert child.returncode == -signal.SIGKILL
        next_run(folder)
        held = whole_set(folder)
        texts = {content[:3] for content in held.values()}
        names = "".join(sorted(name[0] for name in held))
        assert (texts, names) in (({b"old"}, "abcdefgh"), ({b"new"}, "abcdfghi"), (set(), ""))


posix = pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="there is no such signal here")


@posix
def test_killed_by_the_system_four_times(tmp_path: Path) -> None:
    kill_often(tmp_path / "out", 4, seed=1)


@posix
@pytest.mark.long
def test_killed_by_the_system_two_hundred_times(tmp_path: Path) -> None:
    kill_often(tmp_path / "out", 200, seed=2)
