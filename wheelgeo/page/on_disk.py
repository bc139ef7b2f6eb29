"""How the design file of a wheel stands on the disk, where an editor beside the page changes it."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Literal

from wheelgeo.design.toml_text import read_text
from wheelgeo.errors import DesignError
from wheelgeo.immutable import dataclass

DiskState = Literal["none", "same", "changed", "gone", "lost", "unreadable"]
"""``gone``: Save writes it again; ``lost``: nothing can be written under its name."""


@dataclass(frozen=True)
class FileOnDisk:
    """What stands under a name.

    Attributes:
        state: how it stands to what was read or written here last.
        says: what is the matter and what can be done, in words; empty where nothing is.
        text: what stands in it; None where that cannot be had.
    """

    state: DiskState
    says: str = ""
    text: str | None = None


def on_disk(path: Path | None, known: str | None) -> FileOnDisk:
    """Return how a file stands.

    Args:
        path: its name; None where there is none yet.
        known: its text as it was last read or written here.
    """
    if path is None:
        return FileOnDisk("none")
    try:
        path.stat()
    except (FileNotFoundError, NotADirectoryError):
        return _gone(path)
    except OSError as error:
        says = f"The file cannot be reached: {error.strerror}. Write another name to keep the wheel"
        return FileOnDisk("lost", f"{says} elsewhere.")
    try:
        text = read_text(path)
    except DesignError as error:
        reason = error.faults[0].says.replace(f"{path} ", "it ", 1)
        reason = reason.removeprefix("it cannot be read: ")
        says = f"The file cannot be read as it stands: {reason}. Write another name to keep the"
        return FileOnDisk("unreadable", f"{says} wheel elsewhere.")
    if text == known:
        return FileOnDisk("same", "", text)
    says = "The file was changed since it was read: take what stands in it, write this wheel over"
    return FileOnDisk("changed", f"{says} it, or write another name.", text)


def _gone(path: Path) -> FileOnDisk:
    if os.path.lexists(path):
        says = "The file is now a link that leads to none"
    elif not path.parent.is_dir():
        says = f"The folder {path.parent} is no longer there: make it again"
    else:
        return FileOnDisk("gone", "The file is no longer there; Save writes it again.")
    return FileOnDisk("lost", f"{says}, or write another name to keep the wheel elsewhere.")
