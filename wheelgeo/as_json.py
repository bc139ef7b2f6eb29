"""Answers as JSON: a frozen dataclass is an object whose keys are the names of its fields.

A name that Python keeps for itself ends in an underscore (``from_``), which the key drops. What a
field holds for scripts alone, such as the changed wheel of an option, is marked by
:data:`NOT_IN_JSON` and left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

NOT_IN_JSON: Mapping[str, bool] = {"not in json": True}
"""Metadata of a field that answers keep for scripts and leave out of JSON."""


class AsJson:
    """What every answer is that a command prints with ``--json``."""

    def to_json(self) -> dict[str, Any]:
        """Return what the command prints with ``--json``."""
        document: dict[str, Any] = to_json(self)
        return document


def to_json(value: Any) -> Any:
    """Return an answer as JSON: dictionaries, lists, text, numbers, true, false and None.

    A class that has ``json_keys`` (names of fields or properties, in order) is told by these; one
    that has a method ``as_json`` says itself what it is.

    Args:
        value: a dataclass, a mapping, a sequence, or a plain value.

    Raises:
        TypeError: it holds something that JSON has no form for.
    """
    if value is None or isinstance(value, str | int | float):
        return value
    if isinstance(value, tuple | list):
        return [to_json(item) for item in value]
    if isinstance(value, Mapping):
        return {str(key): to_json(item) for key, item in value.items()}
    if hasattr(value, "as_json"):
        return value.as_json()
    if is_dataclass(value) and not isinstance(value, type):
        return {name.rstrip("_"): to_json(getattr(value, name)) for name in _names(value)}
    raise TypeError(f"{type(value).__name__} has no form in JSON")


def _names(value: Any) -> tuple[str, ...]:
    keys: tuple[str, ...] | None = getattr(value, "json_keys", None)
    if keys is not None:
        return keys
    return tuple(f.name for f in fields(value) if not f.metadata.keys() & NOT_IN_JSON.keys())
