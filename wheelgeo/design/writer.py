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

from wheelgeo.design.layout import groups_of, with_groups_apart, with_groups_joined
from wheelgeo.design.model import Design
from wheelgeo.design.reader import parse_design, parse_toml
from wheelgeo.design.tables import LISTS, Place, design_tables, file_value
from wheelgeo.errors import OutputError

_GONE: Any = object()
"""Marks a key that is to be taken out."""


def design_to_toml(design: Design) -> str:
    """Return a design as the text of a design file, in the design's unit of length.

    Args:
        design: the design.

    Returns:
        TOML text; :func:`wheelgeo.design.reader.parse_design` gives the same design back.
    """
    tables = {
        key: file_value((key,), value, design.unit) for key, value in design_tables(design).items()
    }
    head = [f"{key} = {_value(value)}" for key, value in tables.items() if _is_plain(value)]
    blocks = ["\n".join(head)]
    for key, value in tables.items():
        if not _is_plain(value):
            blocks.extend(_blocks(key, value))
    return "\n\n".join(blocks) + "\n"


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
    raw = parse_toml(text)
    unit = raw.get("unit", "mm")
    document = tomlkit.parse(with_groups_apart(text.removeprefix("\ufeff")))
    for place, value in changes.items():
        new = value if value is _GONE else file_value(place, value, unit)
        _put(document, place, new)
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
    before, after = (_pitch_as_in(raw, design_tables(d)) for d in (old, wanted))
    new = rewrite(text, dict(_changes((), before, after)))
    if parse_design(new) != wanted:
        raise OutputError("the parts stand in another order than in the file; write it anew")
    return new


def _pitch_as_in(raw: Mapping[str, Any], tables: dict[str, Any]) -> dict[str, Any]:
    """Return the tables with a given pitch inside ``groove`` where the file has it there."""
    inside = {p["name"] for p in raw["pulley"] if "pitch" in p.get("groove", {})}
    for pulley in tables["pulley"]:
        if pulley["name"] in inside and "pitch" in pulley:
            pulley["groove"] = {"pitch": pulley.pop("pitch")}
    return tables


def _changes(place: Place, old: Any, new: Any) -> Iterator[tuple[Place, Any]]:
    """Yield the smallest changes that make one value of the tables another."""
    if old == new:
        return
    if len(place) == 1 and place[0] in LISTS:
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
        if key not in new and (*place, key)[0] != "fibre":  # an unused one does no harm
            yield (*place, key), _GONE
    for key, value in new.items():
        if key in old:
            yield from _changes((*place, key), old[key], value)
        else:
            yield (*place, key), value
