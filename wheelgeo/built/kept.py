"""What is asked of a wheel as built again and again, worked out once.

Nothing of a wheel ever changes, so what was worked out of a part holds as long as there is that
part; and a wheel that is changed in one place shares all its other parts with the one before.
"""

from __future__ import annotations

from _thread import allocate_lock  # of which threading is made, which takes longer to load
from collections.abc import Callable, Hashable
from typing import Any, Generic, TypeVar

_T = TypeVar("_T")


def kept_with(part: object, what: Hashable, make: Callable[[], _T]) -> _T:
    """Return what is kept of a wheel or of a part under a name, made when it is first asked for.

    A part as built never changes and what is made of it is data that nobody changes either, so
    that the first answer holds.

    Args:
        part: the wheel as built, or a part of it.
        what: the name, unique to what ``make`` makes, with whatever else it depends on.
        make: makes it.
    """
    store: dict[Hashable, Any] = part.__dict__.setdefault("_kept", {})
    if what not in store:
        store.setdefault(what, make())  # of two threads that made it, both get the same
    found: _T = store[what]
    return found


def known_with(part: object, what: Hashable) -> Any:
    """Return what is kept of a wheel or part under a name; None where nobody asked for it yet."""
    return part.__dict__.get("_kept", {}).get(what)


class KeptOf(Generic[_T]):
    """What was made of several parts, for those very parts: others that are equal are others.

    To ask whether a part is the same costs nothing, whether it is equal takes as long as to make
    what is asked for. The parts are held here too, so that none is taken for one that is no more.

    Args:
        most: as many are kept; then the oldest goes.
    """

    def __init__(self, most: int) -> None:
        self._most, self._lock = most, allocate_lock()
        self._store: dict[Hashable, tuple[tuple[object, ...], _T]] = {}

    def get(self, parts: tuple[object, ...], make: Callable[[], _T], *values: Hashable) -> _T:
        """Return what is made of some parts and values.

        Args:
            parts: the parts, by which one they are.
            make: makes it, of nothing else.
            values: numbers and names, by what they are.
        """
        key = (*map(id, parts), *values)
        known = self._store.get(key)
        if known is None:
            made = (parts, make())
            with self._lock:  # what another thread made meanwhile stays: parts are known by which
                known = self._store.setdefault(key, made)
                if len(self._store) > self._most:
                    del self._store[next(iter(self._store))]
        return known[1]
