"""What a kind of value is: how it is read, what it may be, how it is written.

A kind knows one value and no more: ``read`` turns what the TOML parser gave into the plain value
in mm, degrees, rpm, N or g (``RefusedError`` where that cannot be done), ``wrong`` says what is
amiss with a plain value, wherever it came from, ``written`` gives it back as it stands in a file,
and ``schema`` describes it to an editor.
"""

from __future__ import annotations

from typing import Any

from wheelgeo.errors import WheelError

Wrong = tuple[str, str]
"""What is wrong with a value, and what would be right."""
Schema = dict[str, Any]


class RefusedError(WheelError, ValueError):
    """A value cannot be read; ``says`` and ``remedy`` are the two halves of the fault."""

    def __init__(self, says: str, remedy: str = "") -> None:
        self.says = says
        self.remedy = remedy
        super().__init__(says)


class Kind:
    """A kind of value; this one takes anything as it is."""

    __slots__ = ()

    def read(self, value: object, unit: str) -> Any:
        """Return the plain value of what stands in a file whose unit of length is ``unit``."""
        del unit
        wrong = self.wrong(value)
        if wrong is not None:
            raise RefusedError(*wrong)
        return value

    def wrong(self, value: Any, written: object = None) -> Wrong | None:
        """Return what is wrong with a plain value, or None; ``written``: as its owner wrote it."""
        del value, written
        return None

    def written(self, value: Any, unit: str, half: float | None = None) -> Any:
        """Return a plain value as it stands in a file; ``half`` is its uncertainty, if any."""
        del unit, half
        return value

    def schema(self) -> Schema:
        """Return the JSON schema of the value as written."""
        return {}
