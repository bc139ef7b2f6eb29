"""One file, written whole or not at all: never over another one, or over the one of that name.

A finished file is written beside its place under a name of its own and then takes the name, so
that a crash leaves the old file or the new one. The name must be that of a file: what stands there
and is none (a folder, a pipe, a device) is refused, because taking its name would destroy it.
"""

from __future__ import annotations

import errno
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from wheelgeo.design.unbroken import unbroken
from wheelgeo.errors import OutputError

_NO_LINKS = (errno.EPERM, errno.ENOTSUP, errno.ENOSYS)
"""What a file system answers that knows no links."""


def folder_path(path: str | os.PathLike[str]) -> Path:
    """Return the path of a folder to be written to; OutputError where it can name none."""
    if not isinstance(path, (str, os.PathLike)) or isinstance(os.fspath(path), bytes):
        raise OutputError(f"{path!r} is no name of a file or folder: give text or a path")
    if not os.fspath(path):
        raise OutputError('"" names no folder; leave it out, or write "." for this folder')
    if "\0" in os.fspath(path):
        raise OutputError(f"{os.fspath(path)!r} names nothing: no name may hold a NUL")
    return Path(path)


def file_path(path: str | os.PathLike[str]) -> Path:
    """Return the path of a file to be written; OutputError where it can name no file."""
    target = folder_path(path) if path != "" else Path()
    if not target.name or target.name == "..":
        raise OutputError(f'"{os.fspath(path)}" names no file')
    return target


def write_new(path: str | os.PathLike[str], text: str | bytes) -> Path:
    """Write a file whole or not at all, and never over another one; return its path.

    Raises:
        OutputError: something of that name exists, or it cannot be written.
    """
    target = file_path(path)
    try:
        _write(target, text, put_in_place)
    except FileExistsError as error:
        raise OutputError(f'"{target}" exists already; choose another name') from error
    return target


def write_over(path: str | os.PathLike[str], text: str | bytes) -> Path:
    """Write a file whole or not at all, over the file of that name; return its path.

    A link stays one: the file that it leads to is written, with the permissions that it had.

    Raises:
        OutputError: what stands there is no regular file, or it cannot be written.
    """
    target = file_path(path)
    real = Path(os.path.realpath(target))
    if os.path.lexists(real) and not real.is_file():
        raise OutputError(f'"{target}" is no regular file: nothing was written')
    if real.exists() and not os.access(real, os.W_OK):
        raise OutputError(f'"{target}" cannot be written: it is write-protected')
    _write(real, text, _replace)
    return target


@contextmanager
def folder_made(folder: Path) -> Iterator[None]:
    """Make a folder and those above it that are missing; take them away where writing fails.

    Raises:
        OSError: it cannot be made.
    """
    missing = [path for path in (folder, *folder.parents) if not path.exists()]
    made: list[Path] = []
    try:
        for path in reversed(missing):
            path.mkdir()
            made.append(path)
        yield
    except BaseException:
        for path in reversed(made):
            with suppress(OSError):  # somebody has put a file there since
                path.rmdir()
        raise


def put_in_place(part: Path, target: Path) -> None:
    """Give a finished file its name, never over another one: FileExistsError where there is one.

    A link does both at once. Where the file system knows none (a memory stick), the name is taken
    first, by an empty file that can only be new, and the finished file then takes its place.
    """
    try:
        os.link(part, target)
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        target.open("x").close()
        try:
            part.replace(target)
        except BaseException:
            target.unlink()
            raise


def _replace(part: Path, target: Path) -> None:
    if target.exists():
        part.chmod(target.stat().st_mode)
    part.replace(target)


def _write(target: Path, text: str | bytes, place: Callable[[Path, Path], None]) -> None:
    """Write a file beside its place, then put it there."""
    # A short name of its own: two threads never share it, and it fits wherever the target's does.
    part = target.with_name(f".{os.urandom(6).hex()}.part")
    try:
        with unbroken():
            try:
                with part.open("xb") as out:
                    out.write(text if isinstance(text, bytes) else text.encode("utf-8"))
                place(part, target)
            finally:
                part.unlink(missing_ok=True)
    except FileExistsError:
        raise
    except OSError as error:
        raise OutputError(f'"{target}" cannot be written: {error.strerror}') from error
