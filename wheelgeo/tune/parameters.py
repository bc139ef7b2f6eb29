"""Every changeable number of a design by a key that a person can type.

A key is the part's name, a dot and the number's name: ``whorl.rim``, ``spindle.at.x``,
``second band.diameter``, ``drive.speed``. A part's name may itself hold spaces and dots. Where two
parts of different kinds have the same name and a number of the same name, the key alone would be
ambiguous; then, and whenever one likes, the kind goes in front with a colon:
``shaft:spindle.diameter``, ``band:spindle.diameter``.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from dataclasses import replace as _replace
from typing import Any, NamedTuple, TypeVar

from wheelgeo.design.model import Design
from wheelgeo.errors import SearchError
from wheelgeo.numbers.nearest import nearest_keys
from wheelgeo.tune import fields
from wheelgeo.tune.fields import Field, Tolerated
from wheelgeo.units import Dimension


@dataclass(frozen=True, slots=True)
class Parameter:
    """One changeable number of one design.

    Attributes:
        key: the shortest key that names it without ambiguity.
        full_key: the key with the kind in front.
        kind: ``shaft``, ``pulley``, ``band``, ``drive``, ``yarn``, ``case``, ``bearing``,
            ``section``, ``washer`` or ``cop``.
        part: name of the part; empty for kinds of which a design has one.
        field: the number's name within the part.
        means: what it is, in plain words.
        unit: its unit (mm, deg, rpm, N, g or empty).
        quantity: the units in which a person may write it; None: a bare number.
        value: the number; None where the design is silent.
        low: the number makes sense only above this.
        high: the number makes sense only below this.
        closed: the number may be ``low`` or ``high`` itself.
        tolerated: the kind of general tolerance that governs it; None: no made dimension.
    """

    key: str
    full_key: str
    kind: str
    part: str
    field: str
    means: str
    unit: str
    quantity: Dimension | None
    value: float | None
    low: float
    high: float
    closed: bool
    tolerated: Tolerated | None


class _Kind(NamedTuple):
    """How a kind of part stands in a design."""

    name: str
    fields: tuple[Field, ...]
    parts: Callable[[Design], list[tuple[str, Any]]]
    swap: Callable[[Design, str, Any], Design]


_Item = TypeVar("_Item")


def _with(item: _Item, **changes: Any) -> _Item:
    """Return a frozen item with some of its attributes changed."""
    changed: _Item = _replace(item, **changes)  # type: ignore[type-var]
    return changed


def _listed(name: str, attribute: str, table: tuple[Field, ...]) -> _Kind:
    """Return a kind whose parts stand in a list and have names of their own."""

    def parts(design: Design) -> list[tuple[str, Any]]:
        return [(part.name, part) for part in getattr(design, attribute)]

    def swap(design: Design, part_name: str, part: Any) -> Design:
        parts = (part if p.name == part_name else p for p in getattr(design, attribute))
        return _with(design, **{attribute: tuple(parts)})

    return _Kind(name, table, parts, swap)


def _single(name: str, table: tuple[Field, ...]) -> _Kind:
    """Return a kind of which a design has one, or none."""

    def parts(design: Design) -> list[tuple[str, Any]]:
        part = getattr(design, name)
        return [] if part is None else [("", part)]

    return _Kind(name, table, parts, lambda design, _, part: _with(design, **{name: part}))


def _numbered(name: str, attribute: str, table: tuple[Field, ...]) -> _Kind:
    """Return a kind whose parts stand on the spindle and are counted from 1."""

    def parts(design: Design) -> list[tuple[str, Any]]:
        return [(str(i), p) for i, p in enumerate(getattr(design.spindle, attribute), start=1)]

    def swap(design: Design, number: str, part: Any) -> Design:
        old = list(getattr(design.spindle, attribute))
        old[int(number) - 1] = part
        spindle = _with(design.spindle, **{attribute: tuple(old)})
        return _with(design, spindle=spindle)

    return _Kind(name, table, parts, swap)


def _cop() -> _Kind:
    return _Kind(
        "cop",
        fields.COP_FIELDS,
        lambda design: [] if design.spindle.cop is None else [("", design.spindle.cop)],
        lambda design, _, part: _with(design, spindle=_with(design.spindle, cop=part)),
    )


_KINDS: tuple[_Kind, ...] = (
    _listed("shaft", "shafts", fields.SHAFT_FIELDS),
    _listed("pulley", "pulleys", fields.PULLEY_FIELDS),
    _listed("band", "bands", fields.BAND_FIELDS),
    _single("drive", fields.DRIVE_FIELDS),
    _single("yarn", fields.YARN_FIELDS),
    _single("case", fields.CASE_FIELDS),
    _numbered("bearing", "bearings", fields.BEARING_FIELDS),
    _numbered("section", "sections", fields.SECTION_FIELDS),
    _numbered("washer", "washers", fields.WASHER_FIELDS),
    _cop(),
)


class _Place(NamedTuple):
    """One field of one part of a design."""

    kind: _Kind
    part_name: str
    part: Any
    field: Field

    @property
    def full_key(self) -> str:
        name = f"{self.part_name}." if self.part_name else ""
        return f"{self.kind.name}:{name}{self.field.name}"

    @property
    def short_key(self) -> str:
        counted = self.kind.name in {"bearing", "section", "washer"}
        name = f"{self.kind.name} {self.part_name}" if counted else self.part_name or self.kind.name
        return f"{name}.{self.field.name}"


def _places(design: Design) -> list[_Place]:
    return [
        _Place(kind, name, part, field)
        for kind in _KINDS
        for name, part in kind.parts(design)
        for field in kind.fields
        if field.has(part)
    ]


def _index(design: Design) -> dict[str, list[_Place]]:
    """Return what each key may mean; a full key means one thing only."""
    index: dict[str, list[_Place]] = {}
    places = _places(design)
    for place in places:
        index.setdefault(place.short_key, []).append(place)
    for place in places:
        index[place.full_key] = [place]
    return index


def parameters(design: Design) -> tuple[Parameter, ...]:
    """Return every changeable number of a design, in the order shafts, pulleys, bands, rest."""
    index = _index(design)
    return tuple(_parameter(design, place, index) for place in _places(design))


def _parameter(design: Design, place: _Place, index: dict[str, list[_Place]]) -> Parameter:
    meant = index[place.short_key]
    alone = len(meant) == 1 and meant[0] == place
    low, high = place.field.bounds(design, place.part)
    quantity = place.field.quantity
    return Parameter(
        key=place.short_key if alone else place.full_key,
        full_key=place.full_key,
        kind=place.kind.name,
        part=place.part_name,
        field=place.field.name,
        means=place.field.means,
        unit=quantity.unit if quantity else "",
        quantity=quantity,
        value=place.field.get(design, place.part),
        low=low,
        high=high,
        closed=place.field.closed,
        tolerated=place.field.tolerated,
    )


def find_parameter(design: Design, key: str) -> Parameter:
    """Return the number of that key.

    Raises:
        SearchError: no number has that key (names the nearest that there are), or several have.
    """
    index = _index(design)
    return _parameter(design, _find(index, key), index)


def is_parameter(design: Design, key: str) -> bool:
    """Tell whether exactly one number has that key."""
    return len(_index(design).get(key.strip(), [])) == 1


def _find(index: dict[str, list[_Place]], key: str) -> _Place:
    meant = index.get(key.strip(), [])
    if len(meant) == 1:
        return meant[0]
    if meant:
        which = " or ".join(f'"{place.full_key}"' for place in meant)
        raise SearchError(f'"{key}" may mean several numbers: write {which}')
    raise SearchError(_unknown(key.strip(), index))


def _unknown(key: str, index: dict[str, list[_Place]]) -> str:
    """Say that there is no such number; name the nearest, or what the named part has."""
    near = nearest_keys(key, (k for k in index if k.count(":") <= key.count(":")))
    hint = f"; did you mean {_either(near)}?" if near else ""
    name = max(
        (p.part_name for ps in index.values() for p in ps if _names(key, p)), key=len, default=None
    )
    if name is None:
        return f'the design has no number "{key}"{hint}'
    has = sorted({p.field.name for ps in index.values() for p in ps if p.part_name == name})
    return f'the design has no number "{key}"{hint}; "{name}" has: {", ".join(has)}'


def _names(key: str, place: _Place) -> bool:
    return bool(place.part_name) and key.startswith(f"{place.part_name}.")


def _either(keys: list[str]) -> str:
    return " or ".join(f'"{key}"' for key in keys)


def get(design: Design, key: str) -> float:
    """Return the number of that key, in mm, deg, rpm, N, g or as a fraction.

    Raises:
        SearchError: no number has that key, several have, or the design is silent about it.
    """
    place = _find(_index(design), key)
    value = place.field.get(design, place.part)
    if value is None:
        raise SearchError(f'the design says nothing about "{key}" ({place.field.means})')
    return value


def replace(design: Design, key: str, value: float) -> Design:
    """Return the design with another number in that place; the given one stays as it is.

    A pulley's ``pitch`` changes its rim and keeps depth and shape of the groove. A shaft's
    ``travel`` moves it along its slide, which itself stays where it is in space. Setting
    ``turns_per_metre`` drops a twist factor, and the other way round.

    Args:
        design: the design.
        key: the number's key.
        value: the new number, in mm, deg, rpm, N, g or as a fraction.

    Raises:
        SearchError: no number has that key, several have, or the value makes no sense there.
    """
    return changer(design, key)(design, value)


def changer(design: Design, key: str) -> Callable[[Design, float], Design]:
    """Return ``replace`` for one key, looked up once, for searches that change it many times.

    Args:
        design: a design that has the key.
        key: the number's key.

    Returns:
        A function of a design with the same parts and a value; it raises as ``replace`` does.

    Raises:
        SearchError: no number has that key, or several have.
    """
    found = _find(_index(design), key)

    def change(other: Design, value: float) -> Design:
        part = next(p for name, p in found.kind.parts(other) if name == found.part_name)
        trouble = _trouble(other, found._replace(part=part), value)
        if trouble:
            raise SearchError(f'"{key}" cannot be {value:g}: {trouble}')
        changed = found.field.put(other, part, float(value))
        return found.kind.swap(other, found.part_name, changed)

    return change


def _trouble(design: Design, place: _Place, value: float) -> str:
    """Say where the value would have to lie; empty where it does."""
    low, high = place.field.bounds(design, place.part)
    inside = low <= value <= high if place.field.closed else low < value < high
    if math.isfinite(value) and inside:
        return ""
    unit = f" {place.field.quantity.unit}".rstrip() if place.field.quantity else ""
    if math.isinf(high):
        least = "no less than" if place.field.closed else "more than"
        return "it must be finite" if math.isinf(low) else f"it must be {least} {low:g}{unit}"
    return f"it must lie between {low:g} and {high:g}{unit}"
