"""Swap a set of files into a folder so that a crash at any moment leaves no mix of two sets.

Glossary: the *work folder* (``.wheelgeo-make``, inside the folder) holds what a run needs while it
writes. New files are *staged* there under ``new``; the *journal* is written when all of them are
complete; then each file in the way is moved to ``old`` and each new one into its place. Whoever
finds a journal finds an unfinished swap: it is *finished* where every new file is sound, or
*undone*. Without a journal nothing in the folder has been touched, and the work folder is litter.

The swap and its undoing are renames within one file system: they need no room on a full disk.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
import shutil
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

from wheelgeo.errors import OutputError
from wheelgeo.immutable import dataclass

WORK = ".wheelgeo-make"
_NEW, _OLD, _LOCK, _JOURNAL = "new", "old", "lock", "journal.json"
_TRIES = 100
"""How often a lock is sought whose holder has just removed it."""
_NO_LOCKS = {errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP}
"""What a file system without locks (some network shares) answers."""


@dataclass(frozen=True)
class FileMove:
    """What the swap does to one file: its state before and after (see ``state``)."""

    name: str
    before: str | None
    after: str | None


def plain_name(name: str) -> bool:
    """Return whether a name stays within its folder: no folder in it, nor a way up."""
    return Path(name).name == name and "\\" not in name and name not in ("", ".", "..", WORK)


def state(path: Path) -> str | None:
    """Return what stands at a path: None for nothing, the SHA-256 of a plain file, or its kind."""
    if path.is_symlink():
        return f"link to {path.readlink()}"
    if path.is_file():
        return hashlib.sha256(path.read_bytes()).hexdigest()
    return "no plain file" if path.exists() else None


@contextmanager
def working_in(folder: Path) -> Iterator[Path]:
    """Hold the lock of a folder and yield its work folder, cleaned; an unfinished swap is settled.

    Args:
        folder: a folder that exists.

    Raises:
        OutputError: another run is writing into it, or the work folder's name is taken.
    """
    work = folder / WORK
    lock = _lock(folder, work)
    try:
        settle(folder)
        yield work
    finally:
        # The lock goes last: whoever comes between would find a work folder that we still clear.
        try:
            if not (work / _JOURNAL).exists():
                _clear(work)
                if os.name == "nt":  # an open file cannot be removed there
                    os.close(lock)
                    lock = -1
                (work / _LOCK).unlink(missing_ok=True)
                with contextlib.suppress(OSError):  # the next run's lock may stand in it already
                    work.rmdir()
        finally:
            if lock >= 0:
                os.close(lock)


def swap(folder: Path, contents: Mapping[str, bytes], removed: Sequence[str]) -> None:
    """Put files into a folder and take others out, all of it or nothing.

    Args:
        folder: the folder, held by ``working_in``.
        contents: names and bytes, in the order in which they are put in place.
        removed: names of files to take out.

    Raises:
        OSError: a file cannot be written or moved; the folder is as it was before.
    """
    work = folder / WORK
    for part in (_NEW, _OLD):
        (work / part).mkdir()
    for name, content in contents.items():
        (work / _NEW / name).write_bytes(content)
    moves = [
        FileMove(name, state(folder / name), hashlib.sha256(content).hexdigest())
        for name, content in contents.items()
    ]
    moves += [FileMove(name, state(folder / name), None) for name in removed]
    _write_journal(work, moves)
    try:
        _finish(folder, moves)
    except BaseException:
        _undo(folder, moves)
        (work / _JOURNAL).unlink()
        raise
    (work / _JOURNAL).unlink()


def settle(folder: Path) -> None:
    """Finish or undo the swap that an earlier run left unfinished, and clear what it left.

    Args:
        folder: the folder, its lock held.
    """
    work = folder / WORK
    moves = _read_journal(work)
    if moves is not None:
        sound = all(
            m.after is None or m.after in (state(work / _NEW / m.name), state(folder / m.name))
            for m in moves
        )
        if sound:
            _finish(folder, moves)
        else:  # a disk that lost power may hold a journal and new files that are empty
            _undo(folder, moves)
    (work / _JOURNAL).unlink(missing_ok=True)
    _clear(work)


def _finish(folder: Path, moves: Sequence[FileMove]) -> None:
    """Carry out what is still to be done; what somebody changed meanwhile is left as it is."""
    new, old = folder / WORK / _NEW, folder / WORK / _OLD
    for move in moves:
        target, staged = folder / move.name, new / move.name
        if move.after is not None and not os.path.lexists(staged):
            continue  # it stands in its place already
        now = state(target)
        if now not in (None, move.before):
            continue
        if now is not None:
            target.rename(old / move.name)
        if move.after is not None:
            staged.rename(target)


def _undo(folder: Path, moves: Sequence[FileMove]) -> None:
    """Take every new file out again and put every old one back, the last first.

    New files go back to where they were staged, so that a crash in the middle of this leaves
    what can be finished.
    """
    new, old = folder / WORK / _NEW, folder / WORK / _OLD
    for move in reversed(moves):
        target, kept = folder / move.name, old / move.name
        put = not os.path.lexists(new / move.name)
        if move.after is not None and put and state(target) == move.after:
            target.rename(new / move.name)
        if os.path.lexists(kept) and not os.path.lexists(target):
            kept.rename(target)


def _write_journal(work: Path, moves: Sequence[FileMove]) -> None:
    rows = [[m.name, m.before, m.after] for m in moves]
    draft = work / (_JOURNAL + ".new")
    draft.write_bytes(json.dumps(rows).encode("utf-8"))
    draft.replace(work / _JOURNAL)  # whole or not there


def _read_journal(work: Path) -> list[FileMove] | None:
    """Return what the journal holds; None where there is none of ours."""
    path = work / _JOURNAL
    if path.is_symlink() or not path.is_file():
        return None
    try:
        rows = json.loads(path.read_bytes())
    except (ValueError, RecursionError):
        return None
    if not isinstance(rows, list) or not all(_sound_row(row) for row in rows):
        return None
    return [FileMove(*row) for row in rows]


def _sound_row(row: object) -> bool:
    """Return whether a row is one of ours; names that lead out of the folder are not."""
    return (
        isinstance(row, list)
        and len(row) == 3
        and isinstance(row[0], str)
        and plain_name(row[0])
        and all(value is None or isinstance(value, str) for value in row[1:])
    )


def _clear(work: Path) -> None:
    """Remove what a run keeps in its work folder, the lock left out."""
    for part in (_NEW, _OLD):
        if os.path.lexists(work / part):
            shutil.rmtree(work / part)
    (work / (_JOURNAL + ".new")).unlink(missing_ok=True)


def _lock(folder: Path, work: Path) -> int:
    """Return the open lock file of a folder; the system lets go of it when the process ends."""
    if work.is_symlink() or (work.exists() and not work.is_dir()):
        raise OutputError(f"{work} is in the way; move it elsewhere")
    for _ in range(_TRIES):
        work.mkdir(exist_ok=True)
        try:
            opened = os.open(work / _LOCK, os.O_RDWR | os.O_CREAT, 0o666)
        except FileNotFoundError:
            continue  # the run before removed the work folder between the two lines above
        try:
            if not _take(opened):
                raise OutputError(f"another run is writing into {folder}; wait until it is done")
            if _is_at(opened, work / _LOCK):
                return opened
        except BaseException:
            os.close(opened)
            raise
        os.close(opened)  # the run before removed the file after we had opened it
    raise OutputError(f"other runs are writing into {folder} all the time; try again later")


def _take(opened: int) -> bool:
    """Return whether the lock could be had at once; True where the file system has no locks."""
    try:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(opened, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
        else:
            import fcntl

            fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        if error.errno in (errno.EWOULDBLOCK, errno.EACCES, errno.EDEADLK):
            return False
        if error.errno in _NO_LOCKS:
            return True
        raise
    return True


def _is_at(opened: int, path: Path) -> bool:
    """Return whether an open file is still the one at that path."""
    try:
        there = path.stat()
    except FileNotFoundError:
        return False
    here = os.fstat(opened)
    return (here.st_dev, here.st_ino) == (there.st_dev, there.st_ino)
