"""The JSON schema of a file, from the keys that its dataclasses declare, for editors."""

from __future__ import annotations

import tomllib
from typing import Any

from wheelgeo.design.file_forms import DESIGN
from wheelgeo.units.keys import Form, Key, TableKind, TablesKind, VariantKind, form_of
from wheelgeo.units.kind import Schema


def json_schema(root: Form = DESIGN) -> Schema:
    """Return the JSON schema (draft 2020-12) of a file, for editors.

    What one table alone cannot tell (names that must exist, routes, sizes that must fit each
    other) is left to the reader.

    Args:
        root: how the file stands; that of a wheel if left out.
    """
    defs: dict[str, Schema] = {}
    schema = _table(root, defs)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$defs": dict(sorted(defs.items())),
        **schema,
    }


def _table(form: Form, defs: dict[str, Schema]) -> Schema:
    """Return the schema of a table itself."""
    schema: Schema = {
        "type": "object",
        "title": form.name,
        "description": form.means,
        "additionalProperties": False,
        "properties": {key.name: _key(key, defs) for key in form.keys},
        **(form.extra or {}),
    }
    required = [key.name for key in form.keys if key.required and not key.unless]
    if required:
        schema["required"] = required
    instead = {key.unless for key in form.keys if key.unless}
    for other in instead:
        beside = [key.name for key in form.keys if key.unless == other]
        schema["anyOf"] = [{"required": beside}, {"required": [other]}]
    return schema


def _reference(form: Form, defs: dict[str, Schema]) -> Schema:
    """Return the schema of a table by reference; a bare value may stand for it where it may."""
    if form.name not in defs:
        defs[form.name] = {}
        defs[form.name] = _table(form, defs)
    here: Schema = {"$ref": f"#/$defs/{form.name}"}
    short = form.key(form.short) if form.short else None
    return here if short is None else {"anyOf": [short.kind.schema(), here]}


def _key(key: Key, defs: dict[str, Schema]) -> Schema:
    schema = {**_value(key.kind, defs), "description": key.means, **(key.extra or {})}
    if key.example:
        schema["examples"] = [tomllib.loads(f"x = {key.example}")["x"]]
    if isinstance(key.default, bool | str | float | int):
        schema["default"] = key.default
    return schema


def _value(kind: Any, defs: dict[str, Schema]) -> Schema:
    if isinstance(kind, TableKind):
        return _reference(kind.form, defs)
    if isinstance(kind, TablesKind):
        return {"type": "array", "items": _reference(kind.form, defs)}
    if isinstance(kind, VariantKind):
        forms = (form_of(owner) for owner in kind.owners().values())
        return {"anyOf": [_reference(form, defs) for form in forms]}
    schema: Schema = kind.schema()
    return schema
