"""Names in a design file: each stands once, and what is named exists."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from wheelgeo.design.faults import Located, locate
from wheelgeo.design.materials import BEARINGS, FIBRES, MATERIALS, find_bearing
from wheelgeo.design.rawfile import RawFile, Table, items_of, stops_of, sub_table
from wheelgeo.design.tables import Place
from wheelgeo.design.wording import nearest, shown, suggestion

_LISTS = ("shaft", "pulley", "band", "material", "fibre")
_LEAST = {"shaft": (1, "one shaft"), "pulley": (2, "two pulleys"), "band": (1, "one band")}


def check_names(raw: RawFile) -> Iterator[Located]:
    """Yield the faults of the names in a file."""
    for key in _LISTS:
        yield from _twice(raw, (key,), raw.items(key))
    yield from _twice(raw, ("shop", "sheet"), items_of(raw.table("shop"), "sheet"))
    yield from _too_few(raw)
    yield from _shafts(raw)
    yield from _stops(raw)
    yield from _materials(raw)
    yield from _fibre(raw)
    yield from _bearings(raw)


def _twice(raw: RawFile, place: Place, items: Iterable[tuple[int, Table]]) -> Iterator[Located]:
    first: dict[str, int] = {}
    for index, item in items:
        name = item.get("name")
        if not isinstance(name, str) or not name:
            continue
        if name in first:
            says = f"the name {shown(name)} is that of {place[-1]} {first[name] + 1} already"
            yield locate(raw.tables, (*place, index, "name"), says, "give each a name of its own")
        first.setdefault(name, index)


def _too_few(raw: RawFile) -> Iterator[Located]:
    for key, (least, words) in _LEAST.items():
        value = raw.tables.get(key)
        if isinstance(value, list) and len(value) < least:
            yield locate(
                raw.tables,
                (key,),
                f"there {'is' if len(value) == 1 else 'are'} only {len(value)} of them",
                f"a wheel has at least {words}, each under [[{key}]]",
            )


def _known(
    raw: RawFile, place: Place, name: object, known: Iterable[str], what: str
) -> Iterator[Located]:
    words = list(known)
    if isinstance(name, str) and name.strip() and name not in words:
        says = f"there is no {what} {shown(name)}"
        yield locate(raw.tables, place, says, suggestion(name, words, f"known {what}s"))


def _shafts(raw: RawFile) -> Iterator[Located]:
    shafts = raw.names("shaft")
    for key in ("drive", "spindle"):
        yield from _known(raw, (key, "shaft"), raw.table(key).get("shaft"), shafts, "shaft")
    for index, pulley in raw.items("pulley"):
        yield from _known(raw, ("pulley", index, "shaft"), pulley.get("shaft"), shafts, "shaft")


def _stops(raw: RawFile) -> Iterator[Located]:
    pulleys = raw.names("pulley")
    for index, band in raw.items("band"):
        for step, name, _ in stops_of(band):
            yield from _known(raw, ("band", index, "route", step), name, pulleys, "pulley")


def _materials(raw: RawFile) -> Iterator[Located]:
    for place, name, cord in _material_places(raw):
        yield from _material(raw, place, name, cord)


def _material_places(raw: RawFile) -> Iterator[tuple[Place, object, bool]]:
    """Yield place and name of each material, and whether a cord is wanted there."""
    for key in ("shaft", "pulley", "band"):
        for index, item in raw.items(key):
            yield (key, index, "material"), item.get("material"), key == "band"
    for index, sheet in items_of(raw.table("shop"), "sheet"):
        yield ("shop", "sheet", index, "material"), sheet.get("material"), False
    for index, washer in items_of(raw.table("spindle"), "washers"):
        yield ("spindle", "washers", index, "material"), washer.get("material"), False


def _material(raw: RawFile, place: Place, name: object, cord: bool) -> Iterator[Located]:
    cords = _cords(raw)
    fitting = [known for known, is_cord in cords.items() if is_cord in (cord, None)]
    if not isinstance(name, str) or name not in cords:
        yield from _known(raw, place, name, fitting, "material")
    elif name not in fitting:
        says = f"{shown(name)} is {'no cord' if cord else 'a cord'}"
        yield locate(raw.tables, place, says, f"known here: {', '.join(fitting)}")


def _cords(raw: RawFile) -> dict[str, bool | None]:
    """Return for each material whether it is a cord; None where its kind is wrong."""
    kinds: dict[str, object] = {m.name: m.kind for m in MATERIALS}
    for _, own in raw.items("material"):
        if isinstance(own.get("name"), str):
            kinds[own["name"]] = own.get("kind")
    return {
        name: kind == "cord" if kind in ("cord", "shaft", "wheel") else None
        for name, kind in kinds.items()
    }


def _fibre(raw: RawFile) -> Iterator[Located]:
    known = [*FIBRES, *raw.names("fibre")]
    name = raw.table("yarn").get("fibre")
    if isinstance(name, str) and name.strip() and name not in known:
        near = nearest(name, known)
        own = f"add your own as [[fibre]] name = {shown(name)}"
        remedy = (
            f'did you mean "{near}"? Or {own}' if near else f"{own} (known: {', '.join(known)})"
        )
        says = f"there is no fibre {shown(name)}"
        yield locate(raw.tables, ("yarn", "fibre"), says, remedy)


def _bearings(raw: RawFile) -> Iterator[Located]:
    known = [pair.name for pair in BEARINGS]
    for index, bearing in items_of(sub_table(raw.tables, "spindle"), "bearings"):
        kind = bearing.get("kind")
        if isinstance(kind, str) and find_bearing(kind) is None:
            place = ("spindle", "bearings", index, "kind")
            yield from _known(raw, place, kind, known, "bearing")
