"""What is asked of one wheel as built again and again, worked out once and kept with it."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from wheelgeo.built.as_built import Built

_T = TypeVar("_T")


def kept_with(built: Built, what: Hashable, make: Callable[[], _T]) -> _T:
    """Return what is kept of a wheel under a name, made when it is first asked for.

    A wheel as built never changes and what is made of it is data that nobody changes either, so
    that the first answer holds.

    Args:
        built: the wheel.
        what: the name, unique to what ``make`` makes, with whatever else it depends on.
        make: makes it.
    """
    store: dict[Hashable, Any] = built.__dict__.setdefault("_kept", {})
    if what not in store:
        store[what] = make()
    found: _T = store[what]
    return found
