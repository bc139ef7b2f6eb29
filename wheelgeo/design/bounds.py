"""Whether each value of a dataclass is one that its key allows, wherever the value came from."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import is_dataclass
from functools import cache
from typing import Any

from wheelgeo.design.key_places import Located, Place
from wheelgeo.units.keys import Form, Key, TableKind, TablesKind, VariantKind, form_of, keys_of
from wheelgeo.units.kinds import TextKind, VectorKind
from wheelgeo.units.number_kinds import NumberKind
from wheelgeo.units.unknown import UNKNOWN, UnknownError

Written = Callable[[Place], object]
"""Returns a value as its owner wrote it, for messages; None where that is not known."""


def _nothing_written(place: Place) -> None:
    del place


def wrong_values(
    form: Form, part: Any, place: Place = (), written: Written = _nothing_written
) -> Iterator[Located]:
    """Yield what is wrong with the values of a part and of all parts in it, each by itself.

    Args:
        form: how the part stands in a file.
        part: the part; ``UNKNOWN`` values in it are passed over.
        place: where it stands.
        written: tells a value as its owner wrote it.
    """
    # Kept with the part, which never changes: of a wheel that is changed a thousand times, most
    # parts are those that were found sound before.
    known: dict[Any, Any] = getattr(part, "__dict__", {})
    if known.get("_sound") is form:
        return
    sound = True
    for found in _wrong_values(form, part, place, written):
        sound = False
        yield found
    if sound and is_dataclass(part):
        known["_sound"] = form


def _wrong_values(form: Form, part: Any, place: Place, written: Written) -> Iterator[Located]:
    plain = _plain(form)
    if plain is None:
        values = form.parts(part)
    for key, low, high in _checked(form):
        value: Any = getattr(part, key.attribute) if plain else values.get(key.attribute)
        # a float within its bounds, or a text that shows: the common case, made short
        kind_of_value = type(value)
        if kind_of_value is float:
            if low <= value <= high:
                continue
        elif kind_of_value is str and low > high and value.isprintable() and value.strip():
            if isinstance(key.kind, TextKind):
                continue
        elif value is UNKNOWN or (value is None and (key.default is None or key.unless)):
            continue
        yield from _wrong(key, value, (*place, key.name), written)


@cache
def _plain(form: Form) -> type | None:
    """Return the dataclass of a form whose parts are read attribute by attribute, or None."""
    made = form.make
    return made if isinstance(made, type) and keys_of(made) == form.keys else None


@cache
def _checked(form: Form) -> tuple[tuple[Key, float, float], ...]:
    """Return each key with the bounds of its number; bounds that hold nothing where it is none."""
    return tuple(
        (key, *(key.kind.bounds.closed if isinstance(key.kind, NumberKind) else (1.0, -1.0)))
        for key in form.keys
    )


def _wrong(key: Key, value: Any, place: Place, written: Written) -> Iterator[Located]:
    kind = key.kind
    if isinstance(kind, TableKind):
        yield from wrong_values(kind.form, value, place, written)
    elif isinstance(kind, TablesKind):
        for index, item in enumerate(value):
            if item is not UNKNOWN:
                yield from wrong_values(kind.form, item, (*place, index), written)
    elif isinstance(kind, VariantKind):
        yield from wrong_values(form_of(type(value)), value, place, written)
    elif isinstance(kind, VectorKind) and isinstance(value, tuple) and len(value) == kind.count:
        yield from _wrong_vector(kind, value, place, written)
    else:
        try:
            wrong = kind.wrong(value, written(place))
        except UnknownError:
            return
        if wrong is not None:
            yield (place, *wrong)


def _wrong_vector(
    kind: VectorKind, value: tuple[Any, ...], place: Place, written: Written
) -> Iterator[Located]:
    low, high = kind.of.bounds.closed
    if all(type(item) is float and low <= item <= high for item in value):
        wrong = kind.rule(value)
        if wrong is not None:
            yield (place, *wrong)
        return
    for index, item in enumerate(value):
        wrong = kind.of.wrong(item, written((*place, index)))
        if wrong is not None:
            yield ((*place, index), *wrong)
