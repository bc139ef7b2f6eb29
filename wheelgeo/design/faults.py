"""Turn what the file's models say into faults: a place, what is wrong, what would be right."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from wheelgeo.design.drive_tables import (
    TAG,
    FlatFile,
    PitchFile,
    RoundFile,
    VeeFile,
    groove_kind,
)
from wheelgeo.design.schema import DesignFile
from wheelgeo.design.tables import LISTS, Place
from wheelgeo.design.wording import FAULT, nearest, shown, suggestion
from wheelgeo.errors import Fault

Located = tuple[Place, Fault]
"""A fault and where it stands."""

FILE = "file"
"""The place of faults of the file as a whole."""

_GROOVES: Mapping[str, type[BaseModel]] = {
    "vee": VeeFile, "round": RoundFile, "flat": FlatFile, "pitch": PitchFile,
}  # fmt: skip


def locate(raw: object, place: Place, says: str, remedy: str = "") -> Located:
    """Return a fault at a place of the raw file."""
    return place, Fault(words_for(raw, place), says, remedy)


def words_for(raw: object, place: Place) -> str:
    """Return a place in words, such as ``pulley 3 "hub": rim``."""
    if not place:
        return FILE
    head, rest, node = _head(raw, place)
    if rest and rest[0] == "groove" and len(rest) > 1:
        rest, node = rest[1:], _child(node, "groove")
    tail = " ".join(str(step + 1) if isinstance(step, int) else step for step in rest)
    return f"{head}: {tail}" if tail else head


def _head(raw: object, place: Place) -> tuple[str, Place, object]:
    """Return the words for the table, the steps below it, and the table itself."""
    node = _child(raw, place[0])
    if len(place) == 1 or not isinstance(place[1], int):
        return str(place[0]), place[1:], node
    item = _child(node, place[1])
    name = item.get("name") if isinstance(item, dict) else None
    label = f" {shown(name)}" if isinstance(name, str) and name else ""
    return f"{place[0]} {place[1] + 1}{label}", place[2:], item


def _child(node: object, step: str | int) -> object:
    if isinstance(node, dict):
        return node.get(step)
    if isinstance(node, list) and isinstance(step, int) and step < len(node):
        return node[step]
    return None


def translate(
    error: ValidationError, raw: Mapping[str, Any], root: type[BaseModel] = DesignFile
) -> list[Located]:
    """Return the faults that the models found in a raw file; ``root`` is the model of the file."""
    return [_one(detail, raw, root) for detail in error.errors(include_url=False)]


def _one(detail: ErrorDetails, raw: Mapping[str, Any], root: type[BaseModel]) -> Located:
    place = _as_written(tuple(detail["loc"]), raw)
    if detail["type"] == FAULT:
        return locate(raw, place, detail["ctx"]["says"], detail["ctx"]["remedy"])
    if detail["type"] == "missing":
        return _missing(raw, place, root)
    if detail["type"] == "extra_forbidden":
        return _unknown(raw, place, root)
    return _wrong_kind(detail, raw, place)


def _as_written(loc: Place, raw: Mapping[str, Any]) -> Place:
    """Return the place without what only the models know: tags, and keys of short forms."""
    steps = [
        step for before, step in zip(("", *loc), loc, strict=False)
        if not (before == "groove" and str(step).startswith(TAG))
    ]  # fmt: skip
    node: object = raw
    for index, step in enumerate(steps):
        if not isinstance(node, dict | list):
            return tuple(steps[:index])
        node = _child(node, step)
    return tuple(steps)


def model_at(
    place: Place, raw: object, root: type[BaseModel] = DesignFile
) -> type[BaseModel] | None:
    """Return the model of the table at a place, or None where there is no table."""
    found: type[BaseModel] | None = root
    node = raw
    for step in place:
        node = _child(node, step)
        if isinstance(step, int) or found is None:
            continue
        if step == "groove":
            found = _groove_model(node)
            continue
        found = _table_of(found, step)
    return found


def _groove_model(node: object) -> type[BaseModel] | None:
    return _GROOVES[groove_kind(node)] if isinstance(node, dict) else None


def _table_of(owner: type[BaseModel], key: str) -> type[BaseModel] | None:
    for name, field in owner.model_fields.items():
        if key == (field.alias or name):
            return next(_models_in(field.annotation), None)
    return None


def _models_in(annotation: object) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in get_args(annotation):
        yield from _models_in(part)


def _keys(owner: type[BaseModel] | None) -> list[str]:
    if owner is None:
        return []
    return [field.alias or name for name, field in owner.model_fields.items()]


def _missing(raw: Mapping[str, Any], place: Place, root: type[BaseModel]) -> Located:
    owner, key = model_at(place[:-1], raw, root), str(place[-1])
    if len(place) == 1 and key in ("drive", "spindle"):
        return locate(raw, (), f"there is no [{key}]", f"add a table [{key}]")
    if len(place) == 1 and key in ("shaft", "pulley", "band"):
        return locate(raw, (), f"there is no [[{key}]]", f"add at least one table [[{key}]]")
    example = _example(owner, key)
    return locate(raw, place, "it is missing", f"add for example {key} = {example}")


def _example(owner: type[BaseModel] | None, key: str) -> str:
    for name, field in (owner.model_fields if owner else {}).items():
        if key == (field.alias or name) and field.examples:
            return str(field.examples[0])
    return "…"


def _unknown(raw: Mapping[str, Any], place: Place, root: type[BaseModel]) -> Located:
    key = str(place[-1])
    known = _keys(model_at(place[:-1], raw, root))
    says = f"unknown key {shown(key)}"
    if nearest(key, known) is None and key in _keys(root) and len(place) > 1:
        return locate(
            raw,
            place[:-1],
            says,
            "it belongs to the file as a whole: move it above the first [table]",
        )
    if place[0] == "pulley" and len(place) == 3 and key in _keys(_GROOVES["vee"]):
        return locate(
            raw,
            place[:-1],
            says,
            'it belongs to the groove: groove = { shape = "vee", rim = …, depth = …, angle = … }',
        )
    return locate(raw, place[:-1], says, suggestion(key, known, "known here"))


def _wrong_kind(detail: ErrorDetails, raw: Mapping[str, Any], place: Place) -> Located:
    """Return the fault of a value that is no table, or no list, where one is wanted."""
    value, key = detail["input"], ".".join(str(step) for step in place)
    if detail["type"] != "list_type":
        one = f"write it as [{key}], in one pair of brackets" if len(place) == 1 else "use { … }"
        what = "a list of tables" if isinstance(value, list) else shown(value)
        return locate(raw, place, f"{what} is not a table", one)
    if isinstance(value, dict) and key in (*LISTS, "shop.sheet"):
        remedy = f"write it as [[{key}]], in two pairs of brackets"
    else:
        remedy = "put it in square brackets: [ … ]"
    return locate(raw, place, f"{shown(value)} is not a list", remedy)


def in_file_order(faults: Iterable[Located], raw: object) -> tuple[Fault, ...]:
    """Return the faults in the order of their places in the file, each once."""
    ordered = sorted(faults, key=lambda item: _rank(item[0], raw))
    return tuple(dict.fromkeys(fault for _, fault in ordered))


def _rank(place: Place, raw: object) -> tuple[int, ...]:
    ranks: list[int] = []
    node = raw
    for step in place:
        if isinstance(node, dict):
            keys = list(node)
            ranks.append(keys.index(step) if step in keys else len(keys))
        else:
            ranks.append(step if isinstance(step, int) else 0)
        node = _child(node, step)
    return tuple(ranks)
