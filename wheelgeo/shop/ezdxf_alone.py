"""The library that writes DXF, loaded so that it reads and keeps nothing of its own.

By itself it reads settings from the user's folder and from the folder of the terminal, which would
change our files or keep them from being made, and leaves a list of fonts in the user's folder.
"""

from __future__ import annotations

import logging
import os
from collections.abc import Iterator
from contextlib import contextmanager

_FOLDERS = ("HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME")
"""The variables that name the folders of settings and caches (XDG Base Directory Specification)."""


@contextmanager
def _no_folders() -> Iterator[None]:
    """Let those folders be where nothing can stand, and no word be said of it."""
    before = {name: os.environ.get(name) for name in _FOLDERS}
    log = logging.getLogger("ezdxf")
    level = log.level
    os.environ.update(dict.fromkeys(_FOLDERS, os.devnull))
    log.setLevel(logging.ERROR)
    try:
        yield
    finally:
        log.setLevel(level)
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


with _no_folders():
    from ezdxf import options  # type: ignore[attr-defined]
    from ezdxf.document import Drawing
    from ezdxf.enums import TextEntityAlignment
    from ezdxf.filemanagement import new

options.reset()  # type: ignore[no-untyped-call]  # what it read in the terminal's folder

__all__ = ["Drawing", "TextEntityAlignment", "new", "options"]
