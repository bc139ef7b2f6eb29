"""Which findings of a changed wheel stood before: by what they are about, not by their words."""

from __future__ import annotations

import re

from wheelgeo.check.wheel_under_check import Named

_BODY = re.compile(r'(?:"[^"]*"|[^",])+')
"""One body of a place: what stands between commas that are in no name."""


def stood_before(then: Named, before: Named) -> bool:
    """Tell whether a finding stood before: of the same kind, and of the same bodies or less.

    A piece is called by all its grooves: where one of them is moved off, the others are still what
    the finding was about.
    """
    now, was = _bodies(then[1]), _bodies(before[1])
    return (
        then[0] == before[0]
        and len(now) == len(was)
        and all(body <= known for body, known in zip(now, was, strict=True))
    )


def _bodies(where: str) -> list[frozenset[str]]:
    """Return the names of each body in a place; a pulley has one for each of its grooves."""
    bodies = [body.replace('"', "").strip() for body in _BODY.findall(where)]
    return [frozenset(body.removeprefix("pulley ").split(", ")) for body in bodies]
