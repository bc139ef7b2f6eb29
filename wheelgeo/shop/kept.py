"""What several makers ask of one wheel, worked out once and kept with the wheel as built."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any, TypeVar

from wheelgeo.built.as_built import build
from wheelgeo.design.model import Design

_T = TypeVar("_T")


def kept(design: Design, what: Hashable, make: Callable[[], _T]) -> _T:
    """Return what is kept of a wheel under a name, made when it is first asked for.

    A design never changes and what is made of it is data that nobody changes either, so that the
    first answer holds.

    Args:
        design: the wheel.
        what: the name, unique to what ``make`` makes, with whatever else it depends on.
        make: makes it.
    """
    store: dict[Hashable, Any] = build(design).__dict__.setdefault("_kept_by_shop", {})
    if what not in store:
        store[what] = make()
    found: _T = store[what]
    return found
