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
    """
    raw = parse_toml(text)
    unit = str(raw.get("unit", "mm"))
    document = tomlkit.parse(_with_new_heads(text.removeprefix("\ufeff"), raw, changes))
    for place, value in changes.items():
        new = value if value is _GONE else file_value(place, value, unit)
        _put(_table_at(document, place[:-1]), place, new)
    return tomlkit.dumps(document)


def _with_new_heads(text: str, raw: Mapping[str, Any], changes: Mapping[Place, Any]) -> str:
    """Put keys of the file as a whole in front; after a [table] they would belong to that."""
    new = {str(p[0]): v for p, v in changes.items() if len(p) == 1 and p[0] not in raw}
    heads = [f"{key} = {_value(value)}\n" for key, value in new.items() if _is_plain(value)]
    return "".join(heads) + text


def _table_at(node: Any, place: Place) -> Any:
    """Return the table or list at a place of a parsed file; one that is not there yet is added."""
    for depth, step in enumerate(place):
        if isinstance(node, list) and isinstance(step, str):
            node = node[_index(node, step)]
            continue
        if isinstance(node, dict) and step not in node:
            node[step] = tomlkit.inline_table() if depth else tomlkit.table()
        node = node[step]
    return node


def _index(items: Any, name: str) -> int:
    for index, item in enumerate(items):
        if item.get("name") == name:
            return index
    raise KeyError(name)


def _put(node: Any, place: Place, value: Any) -> None:
    """Set, add or take out one value of a table, one item of a list, or one part."""
    step = place[-1]
    if isinstance(node, list) and isinstance(step, str):
        if value is _GONE:
            del node[_index(node, step)]
        else:
            node.append(_parsed((place[0],), [value])[0])
    elif value is _GONE:
        del node[step]
    else:
        node[step] = _parsed(place, value)


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
        if key not in new and place != ("fibre",):  # a fibre that is not used does no harm
            yield (*place, key), _GONE
    for key, value in new.items():
        if key in old:
            yield from _changes((*place, key), old[key], value)
        else:
            yield (*place, key), value
