"""The comments of a design file beside numbers that were set anew: they may no longer fit."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import tomlkit
from tomlkit.items import AoT, Table


def comments_in_words(before: str | None, after: str) -> str:
    """Return which comments were written of other numbers than they now stand beside.

    Args:
        before: the text of the file as it was read; None where there was none.
        after: the text that keeps its comments.

    Returns:
        A sentence without its stop; empty where there are none.
    """
    if before is None:
        return ""
    names = list(_beside_changed(tomlkit.parse(before), tomlkit.parse(after)))
    if not names:
        return ""
    where = f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]
    one = len(names) == 1
    return (
        f"The comment{'' if one else 's'} beside {where} stand{'s' if one else ''} as before: see "
        f"whether {'it still fits' if one else 'they still fit'}"
    )


def _beside_changed(old: Any, new: Any, name: str = "") -> Iterator[str]:
    """Yield the names of values with a comment behind them that are others than before."""
    for key, value in new.items():
        if key not in old or value == old[key]:
            continue
        own = f"{name}.{key}" if name else key
        if isinstance(value, AoT):
            for was, part in zip(old[key], value, strict=False):
                yield from _beside_changed(was, part, str(part.get("name", own)))
        elif isinstance(value, Table):
            yield from _beside_changed(old[key], value, own)
        elif value.trivia.comment:
            yield own
