"""The value of what could not be read: whoever uses it is stopped, so that nothing follows from it.

The reader puts ``UNKNOWN`` where a key is missing or cannot be read, and goes on. A rule that asks
for it is stopped by ``UnknownError`` and says nothing, while all other rules still speak.
"""

from __future__ import annotations

from typing import Any, NoReturn

from wheelgeo.errors import WheelError


class UnknownError(WheelError):
    """Something was asked that hangs on what could not be read; it never leaves the reader."""


class _Unknown:
    """A value of which nothing is known but that it was to be there."""

    __slots__ = ()

    def _stop(self, *_: Any) -> NoReturn:
        raise UnknownError

    def __repr__(self) -> str:
        return "UNKNOWN"

    __getattr__ = __hash__ = __eq__ = __ne__ = __lt__ = __le__ = __gt__ = __ge__ = _stop
    __bool__ = __len__ = __iter__ = __getitem__ = __contains__ = _stop
    __float__ = __int__ = __abs__ = __neg__ = __str__ = __format__ = _stop
    __add__ = __radd__ = __sub__ = __rsub__ = __mul__ = __rmul__ = _stop
    __truediv__ = __rtruediv__ = __pow__ = __rpow__ = _stop


UNKNOWN: Any = _Unknown()
"""Stands for a value that could not be read."""
