"""Read a value that a person gives an input: a number, text as in a file, a list, a table."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from typing import Any

from wheelgeo.design.counts import convert
from wheelgeo.design.file_kinds import CountKind
from wheelgeo.design.from_toml import Reading
from wheelgeo.design.key_places import in_words, names_in
from wheelgeo.design.model import Design, Stop
from wheelgeo.errors import DesignError, Fault
from wheelgeo.numbers.named_parts import Spot
from wheelgeo.numbers.typed import bare_or_text
from wheelgeo.units import LENGTH_MM
from wheelgeo.units.keys import Form, Key, TableKind, TablesKind, VariantKind
from wheelgeo.units.kind import RefusedError
from wheelgeo.units.kinds import FlagKind, VectorKind
from wheelgeo.units.number_kinds import FILE_UNIT, NumberKind
from wheelgeo.units.unknown import UNKNOWN
from wheelgeo.units.wording import shown

Halves = dict[str, float | None]
"""Half width of the uncertainty of a value, or of each component of it by the tail of its name."""


def read_value(design: Design, spot: Spot, value: Any) -> tuple[Any, Halves]:
    """Return a value as the design holds it, and how well it is known."""
    kind, field = spot.field.kind, spot.field
    if value is None:
        if not field.optional:
            raise RefusedError("it must be there", "give it a value")
        return field.default, {"": None}
    if field.name == "count" and isinstance(value, str) and value.strip()[-1:].isalpha():
        return _count(design, spot, value)
    if isinstance(kind, NumberKind):
        number, half = _number(design, kind, value)
        low, high = field.range(design, spot.part)
        if field.bounds is not None and not low <= number <= high:
            remedy = f"it must lie between {low:g} and {high:g} {kind.dimension.unit}"
            said = value if isinstance(value, str) else None
            told = shown(said) if said else f"{number:.9g} {kind.dimension.unit}".rstrip()
            raise RefusedError(f"{told} is out of range", remedy)
        wrong = kind.wrong(number, value if isinstance(value, str) else None)
        if wrong is not None:
            raise RefusedError(*wrong)
        return number, {"": half}
    if isinstance(value, str) and value[:1] in "[{" and not isinstance(kind, FlagKind):
        value = _literal(value)
    if isinstance(kind, FlagKind) and value in ("true", "false"):
        value = value == "true"
    if isinstance(kind, VectorKind):
        items = kind.items(list(value) if isinstance(value, tuple) else value)
        read = [_number(design, kind.of, item) for item in items]
        known = {f".{name}": half for name, (_, half) in zip(kind.names, read, strict=True)}
        return kind.whole(tuple(number for number, _ in read)), known
    if isinstance(kind, TableKind | TablesKind | VariantKind):
        return _table(design, spot, kind, value), {}
    return kind.read(value, design.unit), {}


def _number(design: Design, kind: NumberKind, value: Any) -> tuple[float, float | None]:
    """Return a number in our units; text as the file's owner writes it, a bare one in its unit."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise RefusedError(f"{shown(value)} is no {kind.dimension.name}")
    if not isinstance(value, str):
        try:
            return kind.meant(float(value)), None
        except OverflowError as error:
            raise RefusedError(f"{shown(value)} is too large") from error
    bare = FILE_UNIT if kind.dimension is LENGTH_MM else kind.dimension.unit
    return replace(kind, bare=bare).read_measured(bare_or_text(value), design.unit)


def _count(design: Design, spot: Spot, value: str) -> tuple[Any, Halves]:
    """Return a count and its plies; of another system than the file's, as much in the file's."""
    kind = CountKind()
    count, half = kind.read_measured(value, design.unit)
    if count.system != spot.part.count.system:
        other = convert(count, spot.part.count.system)
        half = None if half is None else half * other.value / count.value  # the same part of it
        count = replace(other, plies=count.plies)
    wrong = kind.wrong(count, value)
    if wrong is not None:
        raise RefusedError(*wrong)
    return count, {"": half}


def _literal(text: str) -> Any:
    """Return a list or table written as in a file."""
    try:
        return tomllib.loads(f"x = {text}")["x"]
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as error:
        raise RefusedError(f"{shown(text)} cannot be read", "write it as in the file") from error


def _table(design: Design, spot: Spot, kind: Any, value: Any) -> Any:
    """Return a table, or list of tables, as the design holds it; what it holds already stays."""
    owners = tuple(kind.owners().values()) if isinstance(kind, VariantKind) else (kind.owner,)
    if isinstance(value, owners):
        return value
    if isinstance(value, tuple) and all(isinstance(item, owners) for item in value):
        return value
    raw = [_as_raw(item) for item in value] if isinstance(value, list | tuple) else value
    reading = Reading(_root_of(spot.field.name, kind), design.unit)
    part = reading.file({spot.field.name: raw})
    if reading.uncertainties:
        raise RefusedError("an uncertainty cannot stand in a table", "set the number by itself")
    if reading.faults or part is UNKNOWN:
        name_of = names_in({})
        head = spot.full_key
        raise DesignError(tuple(
            Fault(head if len(place) < 2 else f"{head} {in_words(place[1:], name_of)}", says,
                  remedy, head)
            for place, says, remedy in reading.faults
        ))  # fmt: skip
    return part


def _as_raw(item: Any) -> Any:
    if isinstance(item, Stop):
        return item.pulley if item.turns == "with" else {"pulley": item.pulley, "turns": item.turns}
    return item


def _root_of(name: str, kind: Any) -> Form:
    """Return a form of one key, which reads one table by itself."""
    key = Key("", kind, name=name, attribute="value")
    return Form("", "", (key,), lambda value: value, lambda part: {"value": part})
