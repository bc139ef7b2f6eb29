"""The shipped designs, and how one of them starts a design of somebody's own."""

from __future__ import annotations

import difflib
import re
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

from wheelgeo.design.whole_file import write_new
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


def what_it_is(name: str) -> str:
    """Return what a shipped design is: the first sentence of its file."""
    text = design_text(name).partition("\n\n")[0].partition("\n#\n")[0]
    words = " ".join(line.lstrip("# ") for line in text.splitlines())
    return words.partition(". ")[0].rstrip(".") + "."


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
