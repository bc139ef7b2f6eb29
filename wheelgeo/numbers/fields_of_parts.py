"""What each part of a wheel lets be set by name: every key that its dataclass declares.

A *field* is one such value of one part: a number, a text, a choice, a vector or a component of it
(``at.x``), a route, a table. Besides what the keys declare there are the few numbers that a design
holds only by implication: a pulley's ``pitch``, a shaft's ``travel`` along its slide and the way
that it leans, a band's ``pull``, the value of a yarn's count. A field never changes a part in
place: ``put`` returns the part anew.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from wheelgeo.built.kept import KeptOf
from wheelgeo.built.pulley import loose_pulley
from wheelgeo.design.file_kinds import COUNT_VALUE, LIMITS_FORM
from wheelgeo.design.model import (
    Band,
    Count,
    Design,
    Pulley,
    Shaft,
    Tensioner,
    Yarn,
)
from wheelgeo.numbers.part_field import PartField
from wheelgeo.numbers.slides_and_leans import LEANS, travel_field
from wheelgeo.units.keys import REQUIRED, Key, TableKind, TablesKind, VariantKind, form_of, keys_of
from wheelgeo.units.kinds import SIZE, VectorKind
from wheelgeo.units.number_kinds import NumberKind
from wheelgeo.units.quantity import without_noise


def fields_of(part: Any) -> Iterator[PartField]:
    """Yield every field of a part, in the order in which they are listed."""
    if isinstance(part, dict | Design):  # limits, which have no others; a whole wheel is not kept
        return _fields_of(part)
    return iter(_FIELDS.get((part,), lambda: tuple(_fields_of(part))))


_FIELDS: KeptOf[tuple[PartField, ...]] = KeptOf(512)
"""The fields of parts: a wheel that is changed in one place has most of its parts as they were."""


def _fields_of(part: Any) -> Iterator[PartField]:
    if isinstance(part, dict):
        yield from _limit_fields()
    elif isinstance(part, Pulley):
        declared = list(_declared(part))
        of_groove = {key.ask or key.name for key in keys_of(_class_of(part.groove))}
        for field in declared:
            if field.name in of_groove and field.name != "pitch":
                yield _idle(field, part) if field.name in _BELOW_LAYERS else field
        yield _PITCH
        yield from (f for f in declared if f.name not in of_groove)
    elif isinstance(part, Shaft):
        for field in _declared(part):
            if field.name == "diameter":
                yield from travel_field(part)
                yield from LEANS
            yield field
    else:
        yield from _declared(part)


_BELOW_LAYERS = ("angle", "bottom", "radius")
"""Numbers of a groove that core and cheeks put a square one in place of."""


def _idle(field: PartField, pulley: Pulley) -> PartField:
    """Return a number of a groove, with why it plays no part where the pulley is layered."""
    if pulley.build != "layers":
        return field
    why = "built from layers, the pulley has a square groove, as wide as its core is thick"
    return replace(field, listed=False, idle=why)


def _class_of(value: Any) -> type:
    owner: type = type(value)
    return owner


def _declared(part: Any) -> Iterator[PartField]:
    """Yield the fields that a part's keys declare, and those of the tables in it."""
    for key in keys_of(_class_of(part)):
        if key.name == "name":
            continue  # other parts, and uncertainties, go by it
        special = _SPECIAL.get((_class_of(part), key.attribute))
        if special is not None:
            yield from special(key, part)
            continue
        yield _plain(key)
        value = getattr(part, key.attribute)
        if value is None:
            continue
        if isinstance(key.kind, VectorKind):
            yield from _components(key, key.kind)
        elif isinstance(key.kind, VariantKind):
            yield from (_inside(key, f, "") for f in _declared(value))
        elif isinstance(key.kind, TableKind) and not isinstance(value, dict | Tensioner):
            yield from (_inside(key, f, f"{key.name}.") for f in _declared(value))
        elif isinstance(key.kind, TablesKind) and isinstance(part, Shaft):
            for index, bearing in enumerate(value):
                yield from (_item(key, index, f) for f in _declared(bearing))


def _plain(key: Key) -> PartField:
    """Return the field that is one attribute of the part."""
    attribute = key.attribute
    return PartField(
        key.ask or key.name,
        key.means,
        key.kind,
        lambda _, part: getattr(part, attribute),
        lambda _, part, value: replace(part, **{attribute: value}),
        key.listed and isinstance(key.kind, NumberKind),
        key.default is not REQUIRED,
        None if key.default is REQUIRED else key.default,
    )


def _components(key: Key, kind: VectorKind) -> Iterator[PartField]:
    """Yield the field of each component of a vector."""
    for index, name in enumerate(kind.names):
        yield PartField(
            f"{key.ask or key.name}.{name}", f"{key.means}, {name}", kind.of,
            _get_item(key.attribute, index), _put_item(key.attribute, index, kind), key.listed,
        )  # fmt: skip


def _get_item(attribute: str, index: int) -> Callable[[Design, Any], float]:
    return lambda _, part: float(getattr(part, attribute)[index])


def _put_item(attribute: str, index: int, kind: VectorKind) -> Callable[[Design, Any, Any], Any]:
    def put(_: Design, part: Any, value: float) -> Any:
        vector = list(getattr(part, attribute))
        vector[index] = value
        whole = kind.whole(tuple(vector))
        return replace(part, **{attribute: whole})

    return put


def _inside(key: Key, field: PartField, head: str) -> PartField:
    """Return a field of a table in a part as a field of the part."""
    attribute = key.attribute

    def put(design: Design, part: Any, value: Any) -> Any:
        return replace(part, **{attribute: field.put(design, getattr(part, attribute), value)})

    return replace(
        field,
        name=f"{head}{field.name}",
        get=lambda design, part: field.get(design, getattr(part, attribute)),
        put=put,
        listed=field.listed and key.kind is not None and key.listed,
    )


def _item(key: Key, index: int, field: PartField) -> PartField:
    """Return a field of a shaft's bearing as a field of the shaft."""

    def put(design: Design, part: Any, value: Any) -> Any:
        items = list(getattr(part, key.attribute))
        items[index] = field.put(design, items[index], value)
        return replace(part, **{key.attribute: tuple(items)})

    return replace(
        field,
        name=f"bearing {index + 1}.{field.name}",
        means=field.means.replace("spindle", "shaft"),
        get=lambda design, part: field.get(design, getattr(part, key.attribute)[index]),
        put=put,
    )


def _limit_fields() -> Iterator[PartField]:
    for key in LIMITS_FORM.keys:
        yield PartField(
            key.name, key.means, key.kind, _get_limit(key.name), _put_limit(key.name), False, True
        )


def _get_limit(name: str) -> Callable[[Design, Any], Any]:
    return lambda _, limits: limits.get(name)


def _put_limit(name: str) -> Callable[[Design, Any, Any], Any]:
    def put(_: Design, limits: dict[str, float], value: float | None) -> dict[str, float]:
        rest = {key: limit for key, limit in limits.items() if key != name}
        return rest if value is None else {**rest, name: value}

    return put


# --- pulleys, bands, yarn ------------------------------------------------------------------------


def _pitch(design: Design, pulley: Pulley) -> float:
    cord = design.cord_on(pulley.name)
    return loose_pulley(pulley, cord).runs_in.seat(cord).pitch_diameter_mm


def _put_pitch(design: Design, pulley: Pulley, value: float) -> Pulley:
    """Give the pulley that pitch diameter; depth and shape of a groove stay, the rim changes."""
    groove = pulley.groove
    if not groove.can_be_cut:
        return replace(pulley, groove=groove.with_size(value))
    # the pitch is the rim and something that hangs on the rest of the groove alone: asked of a rim
    # that the groove fits into, whatever the rim is now
    roomy = replace(pulley, groove=groove.with_size(4.0 * groove.deep_mm + 1e3))
    over = roomy.groove.size_mm - _pitch(design, roomy)
    return replace(pulley, groove=groove.with_size(without_noise(value + over)))


_PITCH = PartField("pitch", "pitch diameter", SIZE, _pitch, _put_pitch)


def _tension(key: Key, band: Band) -> Iterator[PartField]:
    yield _plain(key)
    if band.tension is None:
        return
    named = form_of(Tensioner).key(band.tension.kind)
    assert named is not None
    yield PartField(
        "pull", "pull that tightens the band", named.kind,
        lambda _, band: band.tension.pull_n,
        lambda _, band, value: replace(band, tension=replace(band.tension, pull_n=value)),
    )  # fmt: skip


def _route(key: Key, band: Band) -> Iterator[PartField]:
    """Yield a route as the file has it: ``crossed`` stands for a second stop ``against``."""
    del band

    def get(_: Design, band: Band) -> Any:
        first, *rest = band.route
        return (first, replace(rest[0], turns="with")) if band.crossed and rest else band.route

    yield replace(_plain(key), get=get, put=lambda _, band, route: _crossed(band, route))


def _crossed(band: Band, route: Any, crossed: bool | None = None) -> Band:
    """Return a band with that route, its second pulley turning against the first if crossed."""
    crossed = band.crossed if crossed is None else crossed
    if crossed and len(route) == 2:
        route = (route[0], replace(route[1], turns="against"))
    return replace(band, route=tuple(route), crossed=crossed)


def _crossing(key: Key, band: Band) -> Iterator[PartField]:
    del band

    def put(_: Design, band: Band, crossed: bool) -> Band:
        plain = tuple(replace(stop, turns="with") for stop in band.route)
        return _crossed(band, plain if len(plain) == 2 else band.route, crossed)

    yield replace(_plain(key), put=put)


def _count(key: Key, yarn: Yarn) -> Iterator[PartField]:
    del key, yarn
    yield PartField(
        "count", "count of the yarn, in the file's system", COUNT_VALUE,
        lambda _, yarn: yarn.count.value,
        lambda _, yarn, value: replace(
            yarn, count=value if isinstance(value, Count) else replace(yarn.count, value=value)
        ),
    )  # fmt: skip


def _twist(other: str) -> Callable[[Key, Yarn], Iterator[PartField]]:
    """Return the field of one way to give the twist, which takes the other way out."""

    def field(key: Key, yarn: Yarn) -> Iterator[PartField]:
        del yarn
        yield replace(
            _plain(key),
            put=lambda _, yarn, value: replace(
                yarn, **{key.attribute: value, **({} if value is None else {other: None})}
            ),
        )

    return field


_SPECIAL: dict[tuple[type, str], Callable[[Key, Any], Iterator[PartField]]] = {
    (Band, "tension"): _tension,
    (Band, "route"): _route,
    (Band, "crossed"): _crossing,
    (Yarn, "count"): _count,
    (Yarn, "turns_per_metre"): _twist("twist_factor"),
    (Yarn, "twist_factor"): _twist("turns_per_metre"),
}
"""Fields that are more than their attribute."""
