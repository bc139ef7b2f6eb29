"""A design file as the TOML parser gave it, read so that a fault in one place hides none elsewhere.

The checks between tables must work on files of which some part is wrong: each accessor returns
what is there and well formed, and leaves the rest to the models of the tables.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from wheelgeo.design.fields import unit_vector
from wheelgeo.design.model import Vector
from wheelgeo.errors import QuantityError
from wheelgeo.units import LENGTH_MM, Dimension, parse_quantity

Table = Mapping[str, Any]
_NOTHING: Table = {}
_FAR = 1e12
"""No sensible number of a design file, in whatever unit, is larger."""


@dataclass(frozen=True, slots=True)
class RawFile:
    """The file's tables.

    Attributes:
        tables: all of the file.
        unit: unit of its bare lengths.
    """

    tables: Table
    unit: str
    _by_name: dict[str, dict[str, Table]] = field(default_factory=dict, repr=False)

    def table(self, *keys: str) -> Table:
        """Return the table under these keys; an empty one where there is none."""
        return sub_table(self.tables, *keys)

    def items(self, key: str) -> Iterator[tuple[int, Table]]:
        """Yield index and table of each well-formed item of a list of tables."""
        return items_of(self.tables, key)

    def names(self, key: str) -> list[str]:
        """Return the names of the items of a list of tables, in order."""
        return [item["name"] for _, item in self.items(key) if isinstance(item.get("name"), str)]

    def named(self, key: str, name: object) -> Table:
        """Return the item of that name; an empty table where there is none."""
        if key not in self._by_name:
            items = [t for _, t in self.items(key) if isinstance(t.get("name"), str)]
            self._by_name[key] = {t["name"]: t for t in items}
        return self._by_name[key].get(name, _NOTHING) if isinstance(name, str) else _NOTHING

    def mm(self, table: Table, key: str) -> float | None:
        """Return a length, mm, or None where it is missing or wrong."""
        return self.mm_of(table.get(key))

    def mm_of(self, value: object) -> float | None:
        """Return a length, mm, or None where the value is none."""
        return quantity_of(value, LENGTH_MM, self.unit)


def quantity_of(value: object, dimension: Dimension, bare_unit: str) -> float | None:
    """Return a quantity, or None where the value is none or beyond all measure."""
    try:
        number = parse_quantity(value, dimension, bare_unit)
    except QuantityError:
        return None  # the models say what is wrong with it
    return number if abs(number) <= _FAR else None  # and that it is out of range


def sub_table(table: Table, *keys: str) -> Table:
    """Return the table under these keys; an empty one where there is none."""
    for key in keys:
        value = table.get(key)
        table = value if isinstance(value, dict) else _NOTHING
    return table


def items_of(table: Table, key: str) -> Iterator[tuple[int, Table]]:
    """Yield index and table of each well-formed item of a list of tables."""
    value = table.get(key)
    if isinstance(value, dict):
        value = [value]  # in single brackets: a fault of its own, which need not cause others
    for index, item in enumerate(value if isinstance(value, list) else ()):
        if isinstance(item, dict):
            yield index, item


def stops_of(band: Table) -> list[tuple[int, str | None, object]]:
    """Return index, pulley name and ``turns`` (None where not written) of a band's stops."""
    route = band.get("route")
    found: list[tuple[int, str | None, object]] = []
    for index, stop in enumerate(route if isinstance(route, list) else ()):
        name = stop.get("pulley") if isinstance(stop, dict) else stop
        turns = stop.get("turns") if isinstance(stop, dict) else None
        found.append((index, name if isinstance(name, str) else None, turns))
    return found


def axis_of(shaft: Table) -> Vector | None:
    """Return the unit vector along a shaft, or None where it is missing or wrong."""
    axis = shaft.get("axis")
    if not isinstance(axis, list) or len(axis) != 3:
        return None
    if not all(isinstance(c, int | float) and not isinstance(c, bool) for c in axis):
        return None
    try:
        return unit_vector((float(axis[0]), float(axis[1]), float(axis[2])))
    except (ValueError, OverflowError):
        return None  # the models say what is wrong with it
