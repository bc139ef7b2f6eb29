"""Write a set of files into a folder: whole or not at all, and never over somebody else's work.

What a killed run left half done the next run settles first (see ``swap``); one run at a time
writes into a folder.

The index, ``index.json``, lists what was written with the SHA-256 of each file. A file that stands
in the index and still has its hash is ours: it may be replaced, or removed when it is no longer
made. Any other file in the way is left alone unless force is used.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from wheelgeo.errors import OutputError
from wheelgeo.immutable import dataclass
from wheelgeo.shop.bench_set import MadeFile
from wheelgeo.shop.swap import plain_name, state, swap, working_in

INDEX = "index.json"
_MAKER = "wheelgeo make"


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


def write_set(
    files: Sequence[MadeFile], folder: Path, force: bool = False, groups: Iterable[str] = ()
) -> Written:
    """Write a set of files, whole or not at all.

    Args:
        files: the files.
        folder: where to; made where it does not exist.
        force: overwrite files that are not ours, or that were changed since we wrote them.
        groups: the groups that were made, where some of them gave no file; files of other
            groups from an earlier run stay.

    Raises:
        OutputError: a file that is not ours is in the way (all such files are named), another
            run is writing there, or the folder cannot be written; whatever was there before is
            still there, unchanged.
    """
    try:
        return _write_set(files, folder, force, {*groups, *(f.group for f in files)})
    except OutputError:
        raise
    except OSError as error:
        raise OutputError(f"cannot write {folder}: {error.strerror or error}") from error


def _write_set(files: Sequence[MadeFile], folder: Path, force: bool, groups: set[str]) -> Written:
    if folder.exists() and not folder.is_dir():
        raise OutputError(f"{folder} is a file, not a folder")
    made = _make_folders(folder)
    try:
        with working_in(folder):
            contents, removed = _plan(files, folder, force, groups)
            swap(folder, contents, removed)
    except BaseException:
        _remove_folders(made)
        raise
    return Written(folder, tuple(contents), tuple(removed))


def _plan(
    files: Sequence[MadeFile], folder: Path, force: bool, groups: set[str]
) -> tuple[dict[str, bytes], list[str]]:
    """Return what is to be put into a folder, the index last, and what is to be taken out."""
    old = _read_index(folder) or []
    kept = [e for e in old if e["group"] not in groups and _ours(folder, e)]
    contents = {**{f.name: f.content for f in files}, INDEX: _index_bytes(files, kept)}
    _check_way(folder, contents, old, force)
    stale = [e["file"] for e in old if e["group"] in groups and e["file"] not in contents]
    return contents, [name for name in stale if _ours(folder, _entry(old, name))]


def _hash(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _index_bytes(files: Sequence[MadeFile], kept: Sequence[dict[str, Any]]) -> bytes:
    entries = [
        {"file": f.name, "what": f.what, "group": f.group, "sha256": _hash(f.content)}
        for f in files
    ]
    names = {entry["file"] for entry in entries}
    entries += [entry for entry in kept if entry["file"] not in names]
    index = {"made_by": _MAKER, "files": sorted(entries, key=lambda entry: str(entry["file"]))}
    return (json.dumps(index, indent=2, ensure_ascii=False) + "\n").encode("utf-8")


def _read_index(folder: Path) -> list[dict[str, Any]] | None:
    """Return the entries of our index in a folder; None where there is no index of ours.

    An index of ours may list nothing: a run that gave no file, into a folder without a set.
    """
    path = folder / INDEX
    if path.is_symlink() or not path.is_file():
        return None
    try:
        index = json.loads(path.read_text(encoding="utf-8"))
    except (ValueError, RecursionError):  # no JSON, or brackets in brackets without end
        return None
    if not isinstance(index, dict) or index.get("made_by") != _MAKER:
        return None
    entries = index.get("files")
    if not isinstance(entries, list):
        return None
    sound = [e for e in entries if _sound(e)]
    return sound if sound or not entries else None  # what lists only nonsense is not ours


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


def _make_folders(folder: Path) -> list[Path]:
    """Make a folder and those above it that are missing; return those made, the highest first."""
    missing = []
    path = folder
    while not path.exists():
        missing.append(path)
        path = path.parent
    made: list[Path] = []
    try:
        for path in reversed(missing):
            path.mkdir()
            made.append(path)
    except BaseException:
        _remove_folders(made)
        raise
    return made


def _remove_folders(made: Sequence[Path]) -> None:
    """Remove folders that we made, where nothing stands in them."""
    for path in reversed(made):
        with contextlib.suppress(OSError):  # somebody has put a file there since
            path.rmdir()
