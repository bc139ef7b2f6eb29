"""How a dataclass declares what a file may hold: each field carries its key as metadata.

A field of a part of a wheel is one line, ``rim_mm: float = field(metadata=size("diameter of the
rim", '"180 mm"'))``; reader, writer, JSON schema, names of inputs, bounds and usual tolerances all
follow from it. ``table_of`` collects the keys of a class.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import MISSING, field, fields, replace
from functools import cache
from typing import Any, TypeVar, dataclass_transform

from wheelgeo.immutable import dataclass
from wheelgeo.units import kinds, number_kinds
from wheelgeo.units.kind import Kind, Schema, Wrong
from wheelgeo.units.number_kinds import NumberKind
from wheelgeo.units.quantity import (
    ANGLE_DEG,
    FORCE_N,
    FRACTION,
    FREQUENCY_HZ,
    MASS_G,
    PRESSURE_MPA,
    SPEED_RPM,
)

REQUIRED: Any = object()
"""Default of a key that the file must have."""


@dataclass(frozen=True)
class Key:
    """One key of a table.

    Attributes:
        means: what it is, in plain words.
        kind: what kind of value it has.
        example: a value as the file has it, in TOML; empty where it is a table.
        name: its name in the file; empty: that of the attribute without its unit.
        ask: its name as an input, where that is another.
        listed: whether ``find --list`` shows its number.
        attribute: the attribute that holds its value.
        default: its value where the file is silent; ``REQUIRED``: it must be there.
        extra: what its JSON schema says besides.
        unless: the key beside which it may be left out, though otherwise it must be there.
        always: it is written even where it has its default.
    """

    means: str
    kind: Kind
    example: str = ""
    name: str = ""
    ask: str = ""
    listed: bool = True
    attribute: str = ""
    default: Any = REQUIRED
    extra: Schema | None = None
    unless: str = ""
    always: bool = False

    @property
    def required(self) -> bool:
        """Whether the file must have it."""
        return self.default is REQUIRED


_UNITS = ("_kg_m3", "_n_mm", "_mm", "_deg", "_rpm", "_hz", "_mpa", "_n", "_g")


@cache
def keys_of(owner: type) -> tuple[Key, ...]:
    """Return the keys that the fields of a dataclass declare, in their order."""
    found: list[Key] = []
    for each in fields(owner):
        key: Key | None = each.metadata.get("key")
        if key is None:
            continue
        unit = next((u for u in _UNITS if each.name.endswith(u)), "")
        short = each.name.removesuffix(unit)
        default = each.default if each.default_factory is MISSING else each.default_factory()
        default = REQUIRED if default is MISSING else default
        found.append(replace(key, name=key.name or short, attribute=each.name, default=default))
    return tuple(found)


@dataclass(frozen=True, eq=False)
class Form:
    """How one kind of table stands in a file.

    Attributes:
        name: its name in the JSON schema.
        means: what it is.
        keys: its keys.
        make: returns the part, of the values by attribute.
        parts: returns the values by attribute of a part; the way back.
        short: the key that a bare value stands for; empty: only a table will do.
        before: is given the table as written and a function to report faults of it (keys below
            it, what is wrong, what would be right), and returns the table to read.
        after: is given the table to write, and returns it as its owner would have it.
        extra: what its JSON schema says besides.
        belongs: says where a key belongs that this table does not have; empty where that is not
            known.
    """

    name: str
    means: str
    keys: tuple[Key, ...]
    make: Callable[..., Any]
    parts: Callable[[Any], Mapping[str, Any]]
    short: str = ""
    before: Callable[[dict[str, Any], Callable[..., None]], dict[str, Any]] = lambda raw, _: raw
    after: Callable[[dict[str, Any], Any], dict[str, Any]] = lambda table, _: table
    extra: Schema | None = None
    belongs: Callable[[str], str] = lambda _: ""

    def key(self, name: str) -> Key | None:
        """Return the key of that name in the file, or None."""
        return next((key for key in self.keys if key.name == name), None)


_FORMS: dict[type, Callable[[Form], Form]] = {}
_KNOWN: dict[type, Form] = {}


def values_of(part: Any) -> dict[str, Any]:
    """Return the values of a part that its keys declare, by attribute."""
    owner: type = type(part)
    return {key.attribute: getattr(part, key.attribute) for key in keys_of(owner)}


def form_of(owner: type) -> Form:
    """Return how a dataclass stands in a file: its fields, and what ``shaped`` said of it."""
    known = _KNOWN.get(owner)
    if known is None:
        known = _KNOWN[owner] = _form(owner)
    return known


def _form(owner: type) -> Form:
    means = (owner.__doc__ or "").partition("\n")[0]
    plain = Form(owner.__name__, means, keys_of(owner), owner, values_of)
    shape = _FORMS.get(owner)
    return plain if shape is None else shape(plain)


def shaped(owner: type, change: Callable[[Form], Form]) -> None:
    """Say in what a dataclass stands in a file otherwise than field by field."""
    _FORMS[owner] = change


@dataclass(frozen=True)
class TableKind(Kind):
    """A table of keys; ``owner`` is its dataclass."""

    owner: type

    @property
    def form(self) -> Form:
        """How it stands in the file."""
        return form_of(self.owner)


@dataclass(frozen=True)
class TablesKind(Kind):
    """A list of tables; ``headed`` where each stands under a [[heading]] of its own."""

    owner: type
    headed: bool = False

    @property
    def form(self) -> Form:
        """How each stands in the file."""
        return form_of(self.owner)


@dataclass(frozen=True)
class VariantKind(Kind):
    """A table of one of several classes, told apart by what it holds.

    Attributes:
        owners: the classes by the word that names each.
        which: returns the word of a table as written, or of a part.
        wanted: what to write, where something is that is no table.
    """

    owners: Callable[[], Mapping[str, type]]
    which: Callable[[Any], str]
    wanted: Wrong


# --- what a field says of itself -----------------------------------------------------------------


def key(
    means: str, kind: Kind, example: str = "", *, default: Any = MISSING,
    default_factory: Any = MISSING, **more: Any,
) -> Any:  # fmt: skip
    """Return a field: what it means, its kind, an example as the file has it, its default."""
    declared = {"key": Key(means, kind, example, **more)}
    return field(default=default, default_factory=default_factory, metadata=declared)


def _made(kind: NumberKind, tolerated: str | None) -> NumberKind:
    return kind if tolerated is None else replace(kind, tolerated=tolerated)


def size(means: str, example: str, tolerated: str | None = None, **more: Any) -> Any:
    """Return the field of a length above 0."""
    return key(means, _made(kinds.SIZE, tolerated), example, **more)


def gap(means: str, example: str, tolerated: str | None = None, **more: Any) -> Any:
    """Return the field of a length that is 0 or more."""
    return key(means, _made(kinds.GAP, tolerated), example, **more)


def length(means: str, example: str, tolerated: str | None = None, **more: Any) -> Any:
    """Return the field of a place: a length of either sign."""
    return key(means, _made(kinds.LENGTH, tolerated), example, **more)


def angle(means: str, example: str, tolerated: str | None = None, **more: Any) -> Any:
    """Return the field of an angle between 0 and 180 degrees."""
    kind = NumberKind(ANGLE_DEG, "deg", number_kinds.FLAT_ANGLE)
    return key(means, _made(kind, tolerated), example, **more)


def speed(means: str, example: str, **more: Any) -> Any:
    """Return the field of a speed; it needs its unit."""
    return key(means, NumberKind(SPEED_RPM, None, number_kinds.POSITIVE), example, **more)


def frequency(means: str, example: str, **more: Any) -> Any:
    """Return the field of a frequency; it needs its unit."""
    return key(means, NumberKind(FREQUENCY_HZ, None, number_kinds.POSITIVE), example, **more)


def mass(means: str, example: str, **more: Any) -> Any:
    """Return the field of a mass; it needs its unit."""
    return key(means, NumberKind(MASS_G, None, number_kinds.POSITIVE), example, **more)


def force(means: str, example: str, may_be_none: bool = False, **more: Any) -> Any:
    """Return the field of a force; it needs its unit; 0 is allowed where there may be none."""
    bounds = number_kinds.NOT_NEGATIVE if may_be_none else number_kinds.POSITIVE
    return key(means, NumberKind(FORCE_N, None, bounds), example, **more)


def fraction(means: str, example: str, below_one: bool = False, **more: Any) -> Any:
    """Return the field of a fraction from 0 to 1, 1 itself left out where ``below_one``."""
    bounds = number_kinds.BELOW_ALL if below_one else number_kinds.UP_TO_ALL
    return key(means, NumberKind(FRACTION, "", bounds), example, **more)


def number(means: str, example: str, **more: Any) -> Any:
    """Return the field of a bare number above 0."""
    return key(means, NumberKind(number_kinds.NUMBER, "", number_kinds.ABOVE_ZERO), example, **more)


def pressure(means: str, example: str, **more: Any) -> Any:
    """Return the field of a modulus or strength."""
    return key(means, NumberKind(PRESSURE_MPA, "MPa", number_kinds.ABOVE_ZERO), example, **more)


def text(means: str, example: str, **more: Any) -> Any:
    """Return the field of a text."""
    return key(means, kinds.TEXT, example, **more)


def flag(means: str, example: str, **more: Any) -> Any:
    """Return the field of a yes or no."""
    return key(means, kinds.FLAG, example, **more)


def choice(means: str, example: str, words: tuple[str, ...], **more: Any) -> Any:
    """Return the field of one of some words."""
    return key(means, kinds.ChoiceKind(words), example, **more)


def point(means: str, example: str, tolerated: str | None = None, **more: Any) -> Any:
    """Return the field of a point in space."""
    kind = replace(kinds.POINT, of=_made(kinds.LENGTH, tolerated))
    return key(means, kind, example, **more)


def table(means: str, owner: type, **more: Any) -> Any:
    """Return the field of a table."""
    return key(means, TableKind(owner), **more)


def tables(means: str, owner: type, **more: Any) -> Any:
    """Return the field of a list of tables between square brackets."""
    return key(means, TablesKind(owner), **more)


def headed(means: str, owner: type, **more: Any) -> Any:
    """Return the field of a list of tables, each under a heading of its own."""
    return key(means, TablesKind(owner, headed=True), **more)


_Part = TypeVar("_Part")


@dataclass_transform(
    frozen_default=True,
    field_specifiers=(
        field, key, size, gap, length, angle, speed, mass, force, fraction, number, pressure, text,
        flag, choice, point, table, tables, headed,
    ),
)  # fmt: skip
def record(owner: type[_Part]) -> type[_Part]:
    """Make a class a frozen dataclass whose fields declare their keys."""
    return dataclass(frozen=True)(owner)
