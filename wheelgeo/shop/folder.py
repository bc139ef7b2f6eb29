"""Write a set of files into a folder: whole or not at all, and never over somebody else's work.

What a killed run left half done the next run settles first (see ``swap``); one run at a time
writes into a folder.

The index, ``index.json``, lists what was written with the SHA-256 of each file. A file that stands
in the index and still has its hash is ours: it may be replaced, or removed when it is no longer
made. Any other file in the way is left alone unless force is used. The index also says whose set it
is: the wheel's title and its file. A set of another wheel is not ours to replace.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any

from wheelgeo.check.answer import Answer
from wheelgeo.design.unbroken import unbroken
from wheelgeo.design.whole_file import folder_made, folder_path
from wheelgeo.errors import OutputError
from wheelgeo.immutable import dataclass
from wheelgeo.shop.bench_set import (
    MadeFile,
    MakeAnswer,
    MakeOptions,
    Progress,
    plan_make,
    wanted_groups,
)
from wheelgeo.shop.swap import plain_name, state, swap, working_in
from wheelgeo.units.wording import shown

INDEX = "index.json"
_MAKER = "wheelgeo make"


@dataclass(frozen=True)
class SetOwner:
    """The wheel that a set is of.

    Attributes:
        title: its title.
        source: its design file; empty where it came from none.
    """

    title: str
    source: str = ""

    def index_keys(self, folder: Path) -> dict[str, str]:
        """Return what an index says of it; the file as seen from the folder, on any machine."""
        if not self.source:
            return {"title": self.title, "source": ""}
        path, start = os.path.realpath(self.source), os.path.realpath(folder)
        with contextlib.suppress(ValueError):  # another drive
            path = os.path.relpath(path, start)
        # a file's name need not be UTF-8, as JSON must be
        name = os.fsencode(Path(path).as_posix()).decode("utf-8", "backslashreplace")
        return {"title": self.title, "source": name}

    def owns(self, keys: Mapping[str, str], folder: Path) -> bool:
        """Return whether an index is of this wheel.

        The same file is the same wheel, whatever its title. Where the file that the index names is
        gone (moved, or another machine's), or either has none, the title decides.
        """
        ours, theirs = self.index_keys(folder), dict(keys)
        if ours["source"] and theirs["source"]:
            if ours["source"] == theirs["source"]:
                return True
            if (folder.resolve() / theirs["source"]).exists():
                return False
        return ours["title"] == theirs["title"]


@dataclass(frozen=True)
class Written:
    """What was done to a folder.

    Attributes:
        folder: the folder.
        written: names of the files written, the index last.
        removed: names of files of an earlier run that are no longer made.
    """

    folder: Path
    written: tuple[str, ...]
    removed: tuple[str, ...]


def make_set(
    checked: Callable[[], Answer],
    folder: Path,
    owner: SetOwner,
    options: MakeOptions,
    force: bool = False,
    progress: Progress | None = None,
    writing: AbstractContextManager[object] | None = None,
) -> MakeAnswer:
    """Make the set of a wheel in a folder.

    Args:
        checked: checks the wheel, once it is known that the folder can be written to.
        folder: where to.
        owner: whose set it is.
        options: what to make and how.
        force: overwrite the set of another wheel, and files that an earlier run did not write.
        progress: called before each group and at the end.
        writing: held while anything is made or written in the folder; None: nothing is.

    Raises:
        OutputError: a band has no path, the folder holds the set of another wheel, or the files
            cannot be written there.
        ShapeError: a part cannot be made as asked.
    """
    names = [group.name for group in wanted_groups(options.only)]
    held = contextlib.nullcontext() if writing is None else writing
    with held:
        try_folder(folder, owner, force)  # at once: making the set takes a while
    answer = checked()
    files = plan_make(answer, options, progress)
    with held:
        written = write_set(files, folder, force, names, owner)
    return MakeAnswer.of(folder, files, written.removed, answer)


def set_folder(to: str | os.PathLike[str] | None, source: str) -> Path:
    """Return the folder to make a set in.

    Args:
        to: what was asked for; None: ``outputs/`` and the name of the design file.
        source: the design file; empty where there is none.

    Raises:
        OutputError: neither is said, or what is asked for can be no folder.
    """
    if to is None and not source:
        raise OutputError("a wheel that comes from no file needs a folder to make its set in")
    return Path("outputs") / Path(source).stem if to is None else folder_path(to)


def write_set(
    files: Sequence[MadeFile],
    folder: Path,
    force: bool = False,
    groups: Iterable[str] = (),
    owner: SetOwner | None = None,
) -> Written:
    """Write a set of files, whole or not at all.

    Args:
        files: the files.
        folder: where to; made where it does not exist.
        force: overwrite files that are not ours, or that were changed since we wrote them.
        groups: the groups that were made, where some of them gave no file; files of other
            groups from an earlier run stay.
        owner: the wheel that the set is of; None where that does not matter.

    Raises:
        OutputError: the folder holds the set of another wheel, a file that is not ours is in the
            way (all such files are named), another run is writing there, or the folder cannot be
            written; whatever was there before is still there, unchanged.
    """
    made = {*groups, *(f.group for f in files)}
    with _held(folder):
        contents, removed = _plan(files, folder, force, made, owner)
        swap(folder, contents, removed)
    return Written(folder, tuple(contents), tuple(removed))


@contextlib.contextmanager
def _held(folder: Path) -> Iterator[None]:
    """Make a folder and hold it to be written to; OutputError where that cannot be."""
    try:
        if folder.exists() and not folder.is_dir():
            raise OutputError(f"{folder} is a file, not a folder")
        with unbroken(), folder_made(folder), working_in(folder):
            yield
    except OSError as error:
        if isinstance(error, OutputError):
            raise
        reason = error.strerror or error
        raise OutputError(f"cannot write into the folder {folder}: {reason}") from error


class _TriedOutError(Exception):
    """A folder can be written to, and what was made for the trial is to go."""


def try_folder(folder: Path, owner: SetOwner | None, force: bool = False) -> None:
    """Find out whether a set can be written to a folder, and leave it as it was.

    To be asked before a set is made, which takes a while. The folder and its lock are made and
    taken away again: what a system says of permissions does not hold on every file system.

    Raises:
        OutputError: as ``write_set`` would, but for files that are in the way.
    """
    with contextlib.suppress(_TriedOutError), _held(folder):
        _check_owner(folder, owner, force)
        raise _TriedOutError


def _check_owner(folder: Path, owner: SetOwner | None, force: bool) -> None:
    """Raise OutputError where a folder holds the set of another wheel, and no force is used."""
    other = _other_wheel(folder, owner)
    if other is not None and not force:
        of = f" of {shown(other['source'])}" if other["source"] else ""
        raise OutputError(
            f"{folder} holds the set of another wheel, {shown(other['title'])}{of}; choose "
            "another folder with --to, or use --force"
        )


def _other_wheel(folder: Path, owner: SetOwner | None) -> dict[str, str] | None:
    """Return what the index of a folder says of its wheel, where that is another one."""
    before = _owner_keys(folder)
    if owner is None or before is None or owner.owns(before, folder):
        return None
    return before


def _plan(
    files: Sequence[MadeFile], folder: Path, force: bool, groups: set[str], owner: SetOwner | None
) -> tuple[dict[str, bytes], list[str]]:
    """Return what is to be put into a folder, the index last, and what is to be taken out."""
    old = _read_index(folder) or []
    _check_owner(folder, owner, force)
    strange = _other_wheel(folder, owner) is not None
    # With force the whole of the other wheel's set goes, lest a folder hold parts of two wheels.
    groups = {entry["group"] for entry in old} | groups if strange else groups
    kept = [e for e in old if e["group"] not in groups and _ours(folder, e)]
    of_whom = {} if owner is None else owner.index_keys(folder)
    contents = {**{f.name: f.content for f in files}, INDEX: _index_bytes(files, kept, of_whom)}
    _check_way(folder, contents, old, force)
    stale = [e["file"] for e in old if e["group"] in groups and e["file"] not in contents]
    return contents, [name for name in stale if _ours(folder, _entry(old, name))]


def _hash(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _index_bytes(
    files: Sequence[MadeFile], kept: Sequence[dict[str, Any]], of_whom: Mapping[str, str]
) -> bytes:
    entries = [
        {"file": f.name, "what": f.what, "group": f.group, "sha256": _hash(f.content)}
        for f in files
    ]
    names = {entry["file"] for entry in entries}
    entries += [entry for entry in kept if entry["file"] not in names]
    rows = sorted(entries, key=lambda entry: str(entry["file"]))
    index = {"made_by": _MAKER, **of_whom, "files": rows}
    return (json.dumps(index, indent=2, ensure_ascii=False) + "\n").encode("utf-8")


def _index(folder: Path) -> dict[str, Any] | None:
    """Return our index of a folder; None where there is none of ours."""
    path = folder / INDEX
    if path.is_symlink() or not path.is_file():
        return None
    try:
        index = json.loads(path.read_text(encoding="utf-8"))
    except (ValueError, RecursionError):  # no JSON, or brackets in brackets without end
        return None
    return index if isinstance(index, dict) and index.get("made_by") == _MAKER else None


def _read_index(folder: Path) -> list[dict[str, Any]] | None:
    """Return the entries of our index in a folder; None where there is no index of ours.

    An index of ours may list nothing: a run that gave no file, into a folder without a set.
    """
    index = _index(folder)
    entries = None if index is None else index.get("files")
    if not isinstance(entries, list):
        return None
    sound = [e for e in entries if _sound(e)]
    return sound if sound or not entries else None  # what lists only nonsense is not ours


def _owner_keys(folder: Path) -> dict[str, str] | None:
    """Return what our index says of whose set it is; None where it does not, as old ones do not."""
    index = _index(folder) or {}
    title, source = index.get("title"), index.get("source")
    if isinstance(title, str) and isinstance(source, str):
        return {"title": title, "source": source}
    return None


def _sound(entry: object) -> bool:
    """Return whether an entry is one of ours: plain names only, so that none leads elsewhere."""
    if not isinstance(entry, dict):
        return False
    values = [entry.get(key) for key in ("file", "what", "group", "sha256")]
    if not all(isinstance(value, str) for value in values):
        return False
    return plain_name(entry["file"])


def _entry(entries: Sequence[dict[str, Any]], name: str) -> dict[str, Any] | None:
    return next((entry for entry in entries if entry["file"] == name), None)


def _ours(folder: Path, entry: dict[str, Any] | None) -> bool:
    """Return whether a listed file is there as we wrote it."""
    return entry is not None and state(folder / str(entry["file"])) == entry["sha256"]


def _check_way(
    folder: Path, contents: dict[str, bytes], old: Sequence[dict[str, Any]], force: bool
) -> None:
    """Raise OutputError naming every file in the way that is not ours to overwrite."""
    solid, foreign = [], []
    for name, content in contents.items():
        path = folder / name
        if not path.is_symlink() and path.exists() and not path.is_file():
            solid.append(name)
        elif path.is_symlink() or path.exists():
            same = state(path) == _hash(content)
            listed = _ours(folder, _entry(old, name))
            ours = _read_index(folder) is not None if name == INDEX else listed
            if not same and not ours:
                foreign.append(name)
    if solid:
        raise OutputError(
            f"folders, pipes or devices of these names are in the way in {folder}: "
            f"{', '.join(solid)}"
        )
    if foreign and not force:
        raise OutputError(
            f"{folder} holds files that are not ours or were changed since: "
            f"{', '.join(foreign)}; move them away, choose another folder, or use --force"
        )
