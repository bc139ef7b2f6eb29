"""The known name that looks most like a misspelt one."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

_SUGGESTIONS = 3


def nearest_keys(key: str, known: Iterable[str]) -> list[str]:
    """Return up to three of the known keys that look most like a misspelt one, best first."""
    by_lower: dict[str, str] = {}
    for name in known:
        by_lower.setdefault(name.lower(), name)
    close = difflib.get_close_matches(key.lower(), by_lower, n=_SUGGESTIONS, cutoff=0.6)
    return [by_lower[name] for name in close]
