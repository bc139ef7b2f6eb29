"""Write a design file: a new one, or an old one with its comments kept and some values set anew.

What is set anew stands as a bare number in the file's own unit of length, or as text with a unit
where a bare number would not do (speeds, forces, or a length that no number in the file's unit
gives exactly); a value once written ``"3/8 in"`` in a file of millimetres so becomes a number of
millimetres. All else of the file stays as it was, to the letter.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

import tomlkit

from wheelgeo.design.file_forms import DESIGN, part_names
from wheelgeo.design.file_order import groups_of, with_groups_apart, with_groups_joined
from wheelgeo.design.key_places import LISTS, NAMED, Place, input_name, keys_along
from wheelgeo.design.model import Design
from wheelgeo.design.reader import parse_design, parse_toml
from wheelgeo.errors import OutputError
from wheelgeo.immutable import dataclass
from wheelgeo.units.keys import Form, TableKind, TablesKind, VariantKind, form_of
from wheelgeo.units.kind import Kind
from wheelgeo.units.kinds import VectorKind

_GONE: Any = object()
"""Marks a key that is to be taken out."""


def design_to_toml(design: Design) -> str:
    """Return a design as the text of a design file, in the design's unit of length.

    Args:
        design: the design.

    Returns:
        TOML text; :func:`wheelgeo.design.reader.parse_design` gives the same design back.
    """
    tables = file_tables(design, design.unit)
    head = [f"{key} = {_value(value)}" for key, value in tables.items() if _is_plain(value)]
    blocks = ["\n".join(head)]
    for key, value in tables.items():
        if not _is_plain(value):
            blocks.extend(_blocks(key, value))
    return "\n\n".join(blocks) + "\n"


def file_tables(design: Design, unit: str) -> dict[str, Any]:
    """Return a design as nested tables that hold what stands in a file, defaults left out.

    Args:
        design: the design.
        unit: the file's unit of length.
    """
    tables: dict[str, Any] = _Tables(design, unit).table(DESIGN, design, ())
    return tables


@dataclass(frozen=True)
class _Tables:
    """A design on its way into tables: its uncertainties go by the names of inputs."""

    design: Design
    unit: str

    def table(self, form: Form, part: Any, place: Place) -> Any:
        """Return the table of a part; a bare value where that may stand for it."""
        values, table = form.parts(part), {}
        for key in form.keys:
            value = values[key.attribute]
            if value is None or (value == key.default and not key.always):
                continue
            table[key.name] = self._value(key.kind, value, (*place, key.name))
        table = form.after(table, part)
        return table[form.short] if form.short and table.keys() == {form.short} else table

    def _value(self, kind: Any, value: Any, place: Place) -> Any:
        if isinstance(kind, TableKind):
            return self.table(kind.form, value, place)
        if isinstance(kind, TablesKind):
            return [self.table(kind.form, p, (*place, i)) for i, p in enumerate(value)]
        if isinstance(kind, VariantKind):
            return self.table(form_of(type(value)), value, place)
        if isinstance(kind, VectorKind):
            return [self._value(kind.of, item, (*place, i)) for i, item in enumerate(value)]
        return kind.written(value, self.unit, self._half(place))

    def _half(self, place: Place) -> float | None:
        known = self.design.uncertainties
        return known.get(input_name(DESIGN, place, part_names(self.design))) if known else None


def _is_plain(value: object) -> bool:
    return not isinstance(value, dict) and not _is_table_list(value)


def _is_table_list(value: object) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], dict)


def _blocks(key: str, value: Any) -> Iterator[str]:
    """Yield the text of a table, or of each table of a list."""
    if isinstance(value, list):
        for item in value:
            yield "\n".join((f"[[{key}]]", *_lines(item)))
        return
    own = {name: item for name, item in value.items() if name != "sheet"}
    if own:
        yield "\n".join((f"[{key}]", *_lines(own)))
    yield from _blocks(f"{key}.sheet", value.get("sheet", []))


def _lines(table: Mapping[str, Any]) -> Iterator[str]:
    for key, value in table.items():
        if _is_table_list(value) and key != "route":
            rows = "".join(f"    {_value(item)},\n" for item in value)
            yield f"{key} = [\n{rows}]"
        else:
            yield f"{key} = {_value(value)}"


def _value(value: Any) -> str:
    """Return a value as TOML text; numbers read back exactly."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, list):
        return f"[{', '.join(_value(item) for item in value)}]"
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {_value(item)}' for key, item in value.items())} }}"
    return repr(value)


def retitle(text: str, title: str) -> str:
    """Return the text of a design file with another title, all else kept.

    Args:
        text: the text of the file.
        title: the new title.

    Raises:
        DesignError: the text is no TOML.
    """
    return rewrite(text, {("title",): title})


def rewrite(text: str, changes: Mapping[Place, Any]) -> str:
    """Return the text of a design file with some values set anew, its comments and order kept.

    Args:
        text: the text of the file.
        changes: new values by place, for example ``{("pulley", "whorl", "groove", "rim"): 9.6}``;
            parts go by name, other lists by index from 0. Numbers in mm, degrees, rpm, N and g.

    Returns:
        The new text; it is not checked to be a design.

    Raises:
        DesignError: the text is no TOML.
        KeyError: there is no part of that name.
        QuantityError: the file's unit is no unit of length.
    """
    unit = str(parse_toml(text).get("unit", "mm"))
    return _put_all(text, {p: _as_in_file(p, value, unit) for p, value in changes.items()})


def _as_in_file(place: Place, value: Any, unit: str) -> Any:
    """Return a number as it stands in a file at that place; anything else as it is."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    path = (place[0], *place[2:]) if place[0] in LISTS else place
    keys = list(keys_along(DESIGN, path))
    kind = keys[-1].kind if keys else None
    return (kind.of if isinstance(kind, VectorKind) else kind or Kind()).written(value, unit)


def _put_all(text: str, changes: Mapping[Place, Any]) -> str:
    """Return the text with values set anew that are already what stands in a file."""
    document = tomlkit.parse(with_groups_apart(text.removeprefix("\ufeff")))
    for place, value in changes.items():
        _put(document, place, value)
    return with_groups_joined(tomlkit.dumps(document))


def _put(document: Any, place: Place, value: Any) -> None:
    """Set, add or take out one value of a parsed file."""
    if place[0] in LISTS and len(place) == 2:
        _put_part(document, str(place[0]), place[1], value)
        return
    table, step = _table_at(document, place[:-1]), place[-1]
    if value is _GONE:
        del table[step]
    else:
        table[step] = _parsed(place, value)


def _put_part(document: Any, key: str, name: str | int, value: Any) -> None:
    """Add a part behind the others, or take one out."""
    if value is _GONE:
        group, index = _part(document, key, name)
        del group[index]
    else:
        groups_of(document, key)[-1].append(_parsed((key,), [value])[0])


def _part(document: Any, key: str, name: str | int) -> tuple[Any, int]:
    """Return the group that holds a part, and its index there; KeyError where there is none."""
    items = [(group, i) for group in groups_of(document, key) for i in range(len(group))]
    if isinstance(name, int):
        return items[name]
    for group, index in items:
        if group[index].get("name") == name:
            return group, index
    raise KeyError(name)


def _table_at(document: Any, place: Place) -> Any:
    """Return the table or list at a place of a parsed file; one that is not there yet is added."""
    node = document
    if len(place) > 1 and place[0] in LISTS:
        group, index = _part(document, str(place[0]), place[1])
        node = group[index]
        place = place[2:]
    for step in place:
        if isinstance(node, dict) and step not in node:
            node[step] = tomlkit.table() if node is document else tomlkit.inline_table()
        node = node[step]
    return node


def _parsed(place: Place, value: Any) -> Any:
    """Return a value in the form in which it is put into a parsed file."""
    if _is_plain(value) or (len(place) > 1 and place != ("shop", "sheet")):
        return tomlkit.value(_value(value))
    node: Any = tomlkit.parse("\n\n".join(_blocks(".".join(map(str, place)), value)) + "\n\n")
    for step in place:
        node = node[step]
    return node


def rewrite_as(text: str, design: Design) -> str:
    """Return the text of a design file changed so that it gives another design.

    Args:
        text: the text of the file.
        design: what the new text shall give; its ``unit`` is ignored, the file's stays.

    Returns:
        The text with only those values set anew that differ; comments and order are kept.

    Raises:
        DesignError: the text is no faultless design file.
        OutputError: parts stand in another order in the design than in the file.
    """
    old = parse_design(text)
    wanted = replace(design, unit=old.unit)
    raw = parse_toml(text)
    before, after = (_laid_out_as(raw, file_tables(d, old.unit)) for d in (old, wanted))
    new = _put_all(text, dict(_changes((), before, after)))
    if parse_design(new) != wanted:
        raise OutputError("the parts stand in another order than in the file; write it anew")
    return new


def _laid_out_as(raw: Mapping[str, Any], tables: dict[str, Any]) -> dict[str, Any]:
    """Return the tables with a pitch, and the spindle's bearings, where the file has them."""
    inside = {p["name"] for p in raw["pulley"] if "pitch" in p.get("groove", {})}
    for pulley in tables["pulley"]:
        if pulley["name"] in inside and "pitch" in pulley:
            pulley["groove"] = {"pitch": pulley.pop("pitch")}
    on_shaft = {s["name"] for s in raw["shaft"] if "bearings" in s}
    for shaft in tables["shaft"]:
        if shaft["name"] in on_shaft and shaft["name"] == tables["spindle"]["shaft"]:
            shaft["bearings"] = tables["spindle"].pop("bearings", [])
    return tables


def _changes(place: Place, old: Any, new: Any) -> Iterator[tuple[Place, Any]]:
    """Yield the smallest changes that make one value of the tables another."""
    if old == new:
        return
    if len(place) == 1 and place[0] in NAMED:
        old, new = ({item["name"]: item for item in items} for items in (old, new))
        yield from _in_table(place, old, new)
    elif isinstance(old, dict) and isinstance(new, dict) and not _is_whole(place, old, new):
        yield from _in_table(place, old, new)
    elif (
        isinstance(old, list)
        and isinstance(new, list)
        and len(old) == len(new)
        and (place[-1] != "route")
    ):
        for index, (one, other) in enumerate(zip(old, new, strict=True)):
            yield from _changes((*place, index), one, other)
    else:
        yield place, new


def _is_whole(place: Place, old: Mapping[str, Any], new: Mapping[str, Any]) -> bool:
    """Return whether a table is written anew as a whole: a figure, or a groove's new shape."""
    figure = len(place) == 3 and place[0] == "material"
    return figure or (place[-1:] == ("groove",) and old.get("shape") != new.get("shape"))


def _in_table(
    place: Place, old: dict[str, Any], new: dict[str, Any]
) -> Iterator[tuple[Place, Any]]:
    for key in old:
        if key not in new:
            yield (*place, key), _GONE
    for key, value in new.items():
        if key in old:
            yield from _changes((*place, key), old[key], value)
        else:
            yield (*place, key), value
