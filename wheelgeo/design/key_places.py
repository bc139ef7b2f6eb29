"""Where a value stands in a file: in words for a fault, as the name of an input, in what order.

A *place* is the keys and list indices that lead to a value, ``("pulley", 2, "groove", "rim")``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from wheelgeo.errors import Fault
from wheelgeo.units.keys import Form, Key, TableKind, TablesKind, VariantKind, form_of
from wheelgeo.units.kinds import VectorKind
from wheelgeo.units.wording import shown

Place = tuple[str | int, ...]
"""Keys and indices that lead to a value."""
Located = tuple[Place, str, str]
"""A fault: its place, what is wrong, what would be right."""
NameOf = Callable[[str, int], str | None]
"""Returns the name of the part of that index in that list, or None."""

FILE = "file"
"""The place of faults of the file as a whole."""
NAMED = ("shaft", "pulley", "band", "material", "fibre")
"""Lists of tables at the top of a file whose items have names."""
LISTS = (*NAMED, "drag", "measured")
"""Lists of tables under headings of their own at the top of a file."""


def child(node: object, step: str | int) -> object:
    """Return what stands under a key or index; None where nothing does."""
    if isinstance(node, dict):
        return node.get(step)
    if isinstance(node, list) and isinstance(step, int) and step < len(node):
        return node[step]
    return None


def names_in(raw: object) -> NameOf:
    """Return what tells the names of the parts of a file as the TOML parser gave it."""

    def name_of(key: str, index: int) -> str | None:
        item = child(child(raw, key), index)
        name = item.get("name") if isinstance(item, dict) else None
        return name if isinstance(name, str) and name else None

    return name_of


def in_words(place: Place, name_of: NameOf) -> str:
    """Return a place in words, such as ``pulley 3 "hub": rim``."""
    if not place:
        return FILE
    head, rest = str(place[0]), place[1:]
    if rest and isinstance(rest[0], int):
        name = name_of(head, rest[0])
        head = f"{head} {rest[0] + 1}" + (f" {shown(name)}" if name else "")
        rest = rest[1:]
    if rest and rest[0] == "groove" and len(rest) > 1:
        rest = rest[1:]
    tail = " ".join(str(step + 1) if isinstance(step, int) else step for step in rest)
    return f"{head}: {tail}" if tail else head


def as_written(raw: object, place: Place) -> object:
    """Return what stands at a place of a file, where a short form may stand for a table."""
    node = raw
    for index, step in enumerate(place):
        if not isinstance(node, dict | list):
            return node
        if step == "groove" and isinstance(node, dict) and step not in node:
            return as_written(node, place[index + 1 :])
        node = child(node, step)
    return node


def in_file_order(
    faults: Iterable[Located], raw: object, key_of: Callable[[Place], str] = lambda _: ""
) -> tuple[Fault, ...]:
    """Return faults in the order of their places in the file, each once."""
    name_of = names_in(raw)
    written = [(_without_short_keys(place, raw), says, right) for place, says, right in faults]
    ordered = sorted(written, key=lambda found: _rank(found[0], raw))
    return tuple(
        dict.fromkeys(
            Fault(in_words(place, name_of), says, remedy, key_of(place))
            for place, says, remedy in ordered
        )
    )


def _without_short_keys(place: Place, raw: object) -> Place:
    """Return a place without the keys below a bare value that stands for a table."""
    node = raw
    for index, step in enumerate(place):
        if node is not None and not isinstance(node, dict | list):
            return place[:index]
        node = child(node, step)
    return place


def _rank(place: Place, raw: object) -> tuple[int, ...]:
    ranks: list[int] = []
    node = raw
    for step in place:
        if isinstance(node, dict):
            keys = list(node)
            ranks.append(keys.index(step) if step in keys else len(keys))
        else:
            ranks.append(step if isinstance(step, int) else 0)
        node = child(node, step)
    return tuple(ranks)


def keys_along(root: Form, place: Place) -> Iterator[Key]:
    """Yield the key of each step of a place that is one; it ends where there is none."""
    forms: tuple[Form, ...] = (root,)
    for step in place:
        if isinstance(step, int):
            continue
        key = next((k for form in forms if (k := form.key(str(step)))), None)
        if key is None:
            return
        yield key
        forms = forms_in(key.kind)


def forms_in(kind: Any) -> tuple[Form, ...]:
    """Return the forms that a table of a kind may have; none where it is no table."""
    if isinstance(kind, TableKind | TablesKind):
        return (kind.form,)
    if isinstance(kind, VariantKind):
        return tuple(form_of(owner) for owner in kind.owners().values())
    return ()


_COUNTED = {"bearings": "bearing", "sections": "section", "washers": "washer"}
"""Parts of the spindle that an input's name counts from 1."""


def input_name(root: Form, place: Place, name_of: NameOf) -> str:
    """Return the full name of the input at a place, such as ``pulley:whorl.rim``; empty for none.

    Args:
        root: how the file stands.
        place: the place.
        name_of: tells the names of parts.
    """
    if not place:
        return ""
    kind, rest = str(place[0]), list(place[1:])
    part = ""
    if kind == "spindle" and rest and rest[0] == "cop":
        kind, rest = "cop", rest[1:]
    elif kind == "spindle" and len(rest) > 1 and rest[0] in _COUNTED:
        kind, part, rest = _COUNTED[str(rest[0])], str(int(rest[1]) + 1), rest[2:]
    elif kind == "shop" and len(rest) > 1 and rest[0] == "sheet":
        kind, part, rest = "sheet", str(int(rest[1]) + 1), rest[2:]
    elif rest and isinstance(rest[0], int):
        part, rest = name_of(kind, rest[0]) or str(rest[0] + 1), rest[1:]
    field = _field_name(root, place, rest)
    if not field:
        return f"{kind}:{part}" if part else kind
    return f"{kind}:{part}.{field}" if part else f"{kind}:{field}"


def _field_name(root: Form, place: Place, rest: list[str | int]) -> str:
    """Return the last part of an input's name: the keys below its part, as inputs call them."""
    if rest[:1] == ["tension"] and len(rest) > 1:
        return "pull"
    keys = {key.name: key for key in keys_along(root, place)}
    words: list[str] = []
    for index, step in enumerate(rest):
        if step == "groove" and len(rest) > index + 1:
            continue
        if isinstance(step, str):
            words.append(keys[step].ask or step if step in keys else step)
            continue
        vector = keys[str(rest[index - 1])].kind if index and rest[index - 1] in keys else None
        if isinstance(vector, VectorKind):
            words.append(vector.names[step])
        elif index and rest[index - 1] in _COUNTED:
            words[-1] = f"{_COUNTED[str(rest[index - 1])]} {step + 1}"
        else:
            words.append(str(step + 1))
    return ".".join(words)
