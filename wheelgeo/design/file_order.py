"""Keep the order of a file in which the lists of parts lie mixed, a pulley between two shafts.

A TOML writer that keeps comments gathers the items of a list where the first of them stands, and
so tears the later ones from the comments above them. Before it reads the text, each later group
of a list is therefore given a key of its own, and afterwards its old key again.
"""

from __future__ import annotations

import re
from typing import Any

from wheelgeo.design.key_places import LISTS

_AGAIN = "-group-"
_HEADER = re.compile(r"^([ \t]*\[\[?[ \t]*)([A-Za-z0-9_-]+)(?=[ \t]*[\].])", re.MULTILINE)
_MARKED = re.compile(rf"^([ \t]*\[\[?[ \t]*)({'|'.join(LISTS)}){_AGAIN}\d+", re.MULTILINE)


def with_groups_apart(text: str) -> str:
    """Return the text with a key of its own for each group of a list after its first."""
    groups: dict[str, int] = {}
    last = ""

    def mark(header: re.Match[str]) -> str:
        nonlocal last
        key = header[2]
        if key != last:
            groups[key] = groups.get(key, -1) + 1
        last = key
        mark = f"{_AGAIN}{groups[key]}" if key in LISTS and groups[key] else ""
        return f"{header[1]}{key}{mark}"

    return _HEADER.sub(mark, text)


def with_groups_joined(text: str) -> str:
    """Return the text with the keys as they were."""
    return _MARKED.sub(r"\1\2", text)


def groups_of(document: Any, key: str) -> list[Any]:
    """Return the groups of a list, in the order of the file; none where there is no such list."""
    return [document[k] for k in document if k == key or k.startswith(f"{key}{_AGAIN}")]
