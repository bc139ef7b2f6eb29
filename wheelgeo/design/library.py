"""The shipped designs, and how one of them starts a design of somebody's own."""

from __future__ import annotations

import difflib
import errno
import os
import re
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

from wheelgeo.errors import DesignError, Fault, OutputError
from wheelgeo.units.wording import shown

_PACKAGE = "wheelgeo_designs"
_LONGEST_BYTES = 200
_NAME = re.compile(r"[^\W_][\w .()-]*")


def shipped_designs(briefs: bool = False) -> tuple[str, ...]:
    """Return the names of the shipped designs, or of the shipped briefs, sorted."""
    files = (f.name for f in _folder(briefs).iterdir())
    return tuple(sorted(name.removesuffix(".toml") for name in files if name.endswith(".toml")))


def _folder(briefs: bool) -> Traversable:
    folder = resources.files(_PACKAGE)
    return folder / "briefs" if briefs else folder


def design_text(like: str, briefs: bool = False) -> str:
    """Return the text of a shipped design or brief, or of a file.

    Args:
        like: name of a shipped design (``box-wheel``) or brief, or the path of a file.
        briefs: look among the briefs.

    Raises:
        DesignError: there is no such design and no such file.
    """
    name = like.removesuffix(".toml")
    known = shipped_designs(briefs)
    if name in known:
        return (_folder(briefs) / f"{name}.toml").read_text(encoding="utf-8")
    path = Path(like)
    if path.is_file():
        try:
            return path.read_text(encoding="utf-8-sig")
        except (OSError, UnicodeDecodeError) as error:
            raise DesignError((Fault("", f"cannot be read: {error}"),), like) from error
    near = difflib.get_close_matches(name, known, 1)
    kind = "brief" if briefs else "design"
    hint = f'did you mean "{near[0]}"?' if near else f"shipped {kind}s: {', '.join(known)}"
    raise DesignError(
        (Fault("", f"there is no shipped {kind} and no file {shown(like)}", hint),), like
    )


def start_design(name: str, like: str, folder: Path, briefs: bool = False) -> Path:
    """Write a new design file that starts from another one, comments and all.

    Args:
        name: name of the new wheel: its title and the stem of its file.
        like: shipped design or file to start from.
        folder: where to write it; it must exist.
        briefs: start a brief, from another brief.

    Returns:
        The file written.

    Raises:
        DesignError: there is no such design to start from.
        OutputError: the name makes no file name, the folder is missing, or the file exists.
    """
    from wheelgeo.design.writer import retitle

    title = name.removesuffix(".toml")
    if not _NAME.fullmatch(title) or len(title.encode()) > _LONGEST_BYTES:
        raise OutputError(
            f"{shown(name)} makes no file name: use letters, digits, spaces, dots and hyphens, "
            f"{_LONGEST_BYTES} at most"
        )
    text = retitle(design_text(like, briefs), title)
    target = folder / f"{title}.toml"
    if not folder.is_dir():
        raise OutputError(f'the folder "{folder}" does not exist')
    if target.exists():
        raise OutputError(f'"{target}" exists already; choose another name or move it away')
    write_new(target, text)
    return target


def write_new(target: Path, text: str | bytes) -> None:
    """Write a file whole or not at all, and never over another one."""
    part = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        part.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
        put_in_place(part, target)
    except FileExistsError as error:
        raise OutputError(f'"{target}" exists already; choose another name') from error
    except OSError as error:
        raise OutputError(f'"{target}" cannot be written: {error.strerror}') from error
    finally:
        part.unlink(missing_ok=True)


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


_NO_LINKS = (errno.EPERM, errno.ENOTSUP, errno.ENOSYS)
"""What a file system answers that knows no links."""
