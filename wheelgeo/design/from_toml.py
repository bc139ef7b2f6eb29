"""Turn the tables of a file into dataclasses, by the keys that these declare: all mistakes at once.

What is missing or cannot be read becomes ``UNKNOWN``, so that the rest is read and judged. This
module knows no wheel: ``reader`` reads wheels with it, and the reader of briefs reads briefs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from wheelgeo.design.key_places import Located, Place
from wheelgeo.units.keys import Form, Key, TableKind, TablesKind, VariantKind, form_of
from wheelgeo.units.kind import Kind, RefusedError
from wheelgeo.units.kinds import ListKind, VectorKind
from wheelgeo.units.unknown import UNKNOWN, UnknownError
from wheelgeo.units.wording import nearest, shown, suggestion

MOST_UNKNOWN = 12
"""Unknown keys of one table that are told one by one."""


@dataclass(slots=True)
class Reading:
    """One file on its way from tables to dataclasses.

    Attributes:
        root: how the file stands.
        unit: unit of its bare lengths.
        faults: what was found wrong so far.
        uncertainties: half width, at 95 %, of each number that was given with one.
    """

    root: Form
    unit: str
    faults: list[Located] = field(default_factory=list)
    uncertainties: dict[Place, float] = field(default_factory=dict)

    def file(self, raw: Mapping[str, Any]) -> Any:
        """Return what a whole file holds, with ``UNKNOWN`` where something is wrong."""
        return self._table(self.root, raw, ())

    def _fault(self, place: Place, says: str, remedy: str = "") -> None:
        self.faults.append((place, says, remedy))

    def _table(self, form: Form, raw: Any, place: Place) -> Any:
        """Return the part that a table holds."""
        if not isinstance(raw, dict):
            if not form.short:
                self._no_table(raw, place)
                return UNKNOWN
            raw = {form.short: raw}
        raw = form.before(raw, lambda below, says, remedy: self._fault(place + below, says, remedy))
        keys = {key.name: key for key in form.keys}
        self._unknown_keys(form, [str(name) for name in raw if name not in keys], place)
        values: dict[str, Any] = {}
        for key in form.keys:
            if key.name in raw:
                value = raw[key.name]
                read = UNKNOWN if value is UNKNOWN else self._value(key, value, (*place, key.name))
            elif not key.required:
                read = key.default
            elif key.unless and key.unless in raw:
                read = None
            else:
                self._missing(key, place)
                read = UNKNOWN
            values[key.attribute] = read
        try:
            return form.make(**values)
        except UnknownError:
            return UNKNOWN  # what it is made of is a fault already

    def _value(self, key: Key, value: Any, place: Place) -> Any:
        kind = key.kind
        if isinstance(kind, TableKind):
            return self._table(kind.form, value, place)
        if isinstance(kind, TablesKind):
            return self._tables(kind, value, place)
        if isinstance(kind, VariantKind):
            return self._variant(kind, value, place)
        return self.plain(kind, value, place)

    def plain(self, kind: Kind, value: Any, place: Place) -> Any:
        """Return a value that is no table; a list is read item by item."""
        try:
            if isinstance(kind, VectorKind):
                read = self._items(kind.of, kind.items(value), place)
                return UNKNOWN if read is UNKNOWN else kind.whole(read)
            if isinstance(kind, ListKind) and isinstance(value, list):
                return self._items(kind.of, value, place)
            measured = getattr(kind, "read_measured", None)
            if measured is None:
                return kind.read(value, self.unit)
            number, half = measured(value, self.unit)
        except RefusedError as error:
            self._fault(place, error.says, error.remedy)
            return UNKNOWN
        if half is not None:
            self.uncertainties[place] = half
        return number

    def _items(self, kind: Kind, items: list[Any], place: Place) -> Any:
        read = [self.plain(kind, item, (*place, index)) for index, item in enumerate(items)]
        return UNKNOWN if any(value is UNKNOWN for value in read) else tuple(read)

    def _tables(self, kind: TablesKind, value: Any, place: Place) -> Any:
        if isinstance(value, list):
            return tuple(
                self._table(kind.form, item, (*place, index)) for index, item in enumerate(value)
            )
        headed = kind.headed and isinstance(value, dict)
        self._fault(
            place, f"{shown(value)} is not a list",
            f"write it as [[{'.'.join(map(str, place))}]], in two pairs of brackets" if headed
            else "put it in square brackets: [ … ]",
        )  # fmt: skip
        if not isinstance(value, dict):
            return UNKNOWN
        before = len(self.faults)  # the one fault is told; the table is read, as no other follows
        part = self._table(kind.form, value, (*place, 0))
        del self.faults[before:]
        return (part,)

    def _variant(self, kind: VariantKind, value: Any, place: Place) -> Any:
        if not isinstance(value, dict):
            says, remedy = kind.wanted
            self._fault(place, f"{shown(value)} {says}", remedy)
            return UNKNOWN
        return self._table(form_of(kind.owners()[kind.which(value)]), value, place)

    # --- the faults of tables and keys ------------------------------------------------------------

    def _no_table(self, value: object, place: Place) -> None:
        what = "a list of tables" if isinstance(value, list) else shown(value)
        top = f"write it as [{place[0]}], in one pair of brackets"
        self._fault(place, f"{what} is not a table", top if len(place) == 1 else "use { … }")

    def _missing(self, key: Key, place: Place) -> None:
        if not place and isinstance(key.kind, TableKind):
            self._fault((), f"there is no [{key.name}]", f"add a table [{key.name}]")
        elif not place and isinstance(key.kind, TablesKind):
            says = f"there is no [[{key.name}]]"
            self._fault((), says, f"add at least one table [[{key.name}]]")
        else:
            example = f"add for example {key.name} = {key.example or '…'}"
            self._fault((*place, key.name), "it is missing", example)

    def _unknown_keys(self, form: Form, names: list[str], place: Place) -> None:
        known = [key.name for key in form.keys]
        top = {key.name for key in self.root.keys}
        for name in names[:MOST_UNKNOWN]:
            says, near = f"unknown key {shown(name)}", nearest(name, known)
            if near is None and name in top and place:
                remedy = "it belongs to the file as a whole: move it above the first [table]"
            elif not place and (under := self._under_a_table(name)):
                remedy = f"write it {under}"
            else:
                remedy = form.belongs(name) or suggestion(name, known, "known here")
            self._fault(place, says, remedy)
        if len(names) > MOST_UNKNOWN:
            self._fault(place, f"{len(names) - MOST_UNKNOWN} more unknown keys", "")

    def _under_a_table(self, name: str) -> str:
        """Return where a key of some table is written, for one who writes it at the top."""
        for table in self.root.keys:
            if isinstance(table.kind, TableKind):
                for key in table.kind.form.keys:
                    if key.name == name:
                        heads = isinstance(key.kind, TablesKind)
                        head = f"[[{table.name}.{name}]]" if heads else f"[{table.name}]"
                        return f"as {head}" if heads else f"under {head}"
        return ""
