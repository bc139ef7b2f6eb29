"""Edits: one value of a wheel, by the name under which a person changes it, set anew.

The names are those of the changeable numbers (``whorl.offset``, ``second band.diameter``,
``drive.speed``; with the kind in front, ``pulley:spindle.offset``, where a name alone may mean two
things) and, beside numbers, texts, choices, vectors and routes of the file: ``middle.at``,
``second band.material``, ``drive.turns``, ``second band.route``, ``limits.start_force_n``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass, is_dataclass, replace
from typing import Any

from wheelgeo.design.model import Band, Case, Design, Pulley, Shaft, Stop, Tensioner
from wheelgeo.geometry.vectors import unit


@dataclass(frozen=True, slots=True)
class Edit:
    """One value of a wheel set anew.

    Attributes:
        key: its name.
        before: what it is; None where the file is silent.
        after: what it shall be; None takes it out of the file.
    """

    key: str
    before: Any
    after: Any


def as_in_file(one: Edit) -> Edit:
    """Return an edit with what was and shall be as the file would have it, fit for JSON."""
    return Edit(one.key, _as_in_file(one.before), _as_in_file(one.after))


def _as_in_file(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_as_in_file(item) for item in value]
    if isinstance(value, Stop):
        return value.pulley if value.turns == "with" else asdict(value)
    if isinstance(value, Tensioner):
        return {value.kind: f"{value.pull_n:g} N"}
    if is_dataclass(value) and not isinstance(value, type):
        return {
            name.removesuffix("_mm").removesuffix("_deg"): v for name, v in asdict(value).items()
        }
    return value


def _attribute(name: str) -> tuple[Callable[[Any], Any], Callable[[Any, Any], Any]]:
    return lambda part: getattr(part, name), lambda part, value: replace(part, **{name: value})


def _of_groove(name: str) -> tuple[Callable[[Any], Any], Callable[[Any, Any], Any]]:
    def put(pulley: Pulley, value: float) -> Pulley:
        changes: dict[str, Any] = {name: value}
        return replace(pulley, groove=replace(pulley.groove, **changes))

    return lambda pulley: getattr(pulley.groove, name), put


def _put_crossed(band: Band, crossed: bool) -> Band:
    """Cross or uncross a band of two: the file's ``crossed`` is short for a route."""
    first, second = band.route
    turned = Stop(second.pulley, "against" if crossed else "with")
    return replace(band, crossed=crossed, route=(first, turned))


def _written_route(band: Band) -> tuple[Stop, ...]:
    """Return a route as the file has it: ``crossed`` stands for a second stop ``against``."""
    if not band.crossed:
        return band.route
    return (band.route[0], Stop(band.route[1].pulley))


def _put_pull(band: Band, pull_n: float) -> Band:
    if band.tension is None:
        raise ValueError(f'nothing pulls band "{band.name}" but its own stretch')
    return replace(band, tension=replace(band.tension, pull_n=pull_n))


_FIELDS: dict[str, dict[str, tuple[Callable[[Any], Any], Callable[[Any, Any], Any]]]] = {
    "shaft": {
        "at": _attribute("at_mm"),
        "axis": (lambda s: s.axis, lambda s, axis: replace(s, axis=unit(axis))),
        "diameter": _attribute("diameter_mm"),
        "ends": _attribute("ends_mm"),
        "material": _attribute("material"),
    },
    "pulley": {
        "offset": _attribute("offset_mm"),
        "material": _attribute("material"),
        "bore": _attribute("bore_mm"),
        "groove": _attribute("groove"),
        "rim": _of_groove("rim_mm"),
        "depth": _of_groove("depth_mm"),
        "angle": _of_groove("angle_deg"),
        "bottom": _of_groove("bottom_mm"),
        "radius": _of_groove("radius_mm"),
        "face": _of_groove("width_mm"),
        "pitch": (
            lambda p: p.groove.pitch_mm,
            lambda p, pitch: replace(p, groove=p.groove.with_size(pitch)),
        ),
    },
    "band": {
        "diameter": _attribute("diameter_mm"),
        "material": _attribute("material"),
        "stretch": _attribute("stretch"),
        "tension": _attribute("tension"),
        "pull": (lambda b: b.tension and b.tension.pull_n, _put_pull),
        "route": (_written_route, lambda b, route: replace(b, route=route)),
        "crossed": (lambda b: b.crossed, _put_crossed),
    },
    "drive": {
        "turns": _attribute("turns"),
        "speed": _attribute("speed_rpm"),
        "radius": _attribute("radius_mm"),
        "offset": _attribute("offset_mm"),
    },
    "case": {"inside": _attribute("inside_mm"), "corner": _attribute("corner_mm")},
    "cop": {"from": _attribute("from_mm"), "to": _attribute("to_mm")},
}
_LISTS = {"shaft": "shafts", "pulley": "pulleys", "band": "bands"}
_Part = Shaft | Pulley | Band | Case | Any


@dataclass(frozen=True, slots=True)
class EditedPlace:
    """Where an edit's key leads: kind and name of a part (empty for the one of its kind), field."""

    kind: str
    part: str
    field: str


def edit(design: Design, kind: str, part: str, field: str, after: Any) -> Edit:
    """Return the edit that sets one value of a wheel anew.

    Args:
        design: the wheel.
        kind: shaft, pulley, band, drive, case, cop or limits.
        part: name of the part; empty where a wheel has but one of the kind.
        field: the value's name within the part.
        after: what it shall be.
    """
    place = EditedPlace(kind, part, field)
    before = (
        design.limits.get(field) if kind == "limits"
        else _FIELDS[kind][field][0](_part(design, kind, part))
    )  # fmt: skip
    return Edit(_key(design, place), before, after)


def _key(design: Design, place: EditedPlace) -> str:
    """Return the shortest key that names a place without ambiguity."""
    short = f"{place.part or place.kind}.{place.field}"
    if len(_meant(design, short)) == 1:
        return short
    return (
        f"{place.kind}:{place.part}.{place.field}" if place.part else f"{place.kind}:{place.field}"
    )


def _meant(design: Design, key: str) -> list[EditedPlace]:
    """Return every place that a key may mean."""
    kind, colon, rest = key.partition(":")
    kinds = [kind] if colon and kind in (*_FIELDS, "limits") else [*_FIELDS, "limits"]
    rest = rest if len(kinds) == 1 else key
    name, _, field = rest.rpartition(".")
    found = []
    for one in kinds:
        known = one == "limits" or field in _FIELDS[one]
        part = name if one in _LISTS else ""
        named = name == one or (len(kinds) == 1 and name == "")
        if known and (_has(design, one, part) if one in _LISTS else named):
            found.append(EditedPlace(one, part, field))
    return found


def place_of(design: Design, key: str) -> EditedPlace:
    """Return where a key leads; KeyError where it leads nowhere or to several places."""
    found = _meant(design, key)
    if len(found) != 1:
        raise KeyError(key)
    return found[0]


def _has(design: Design, kind: str, name: str) -> bool:
    return any(part.name == name for part in getattr(design, _LISTS[kind]))


def _part(design: Design, kind: str, name: str) -> Any:
    if kind in _LISTS:
        return next(p for p in getattr(design, _LISTS[kind]) if p.name == name)
    return design.spindle.cop if kind == "cop" else getattr(design, kind)


def apply_edits(design: Design, edits: Iterable[Edit]) -> Design:
    """Return a wheel with values set anew, one edit after the other.

    Args:
        design: the wheel.
        edits: what to set; their keys are those of this wheel.

    Raises:
        KeyError: a key names nothing of this wheel.
    """
    for one in edits:
        design = _put(design, place_of(design, one.key), one.after)
    return design


def _put(design: Design, place: EditedPlace, value: Any) -> Design:
    if place.kind == "limits":
        return replace(design, limits={**design.limits, place.field: value})
    old = _part(design, place.kind, place.part)
    new = _FIELDS[place.kind][place.field][1](old, value)
    if place.kind == "cop":
        return replace(design, spindle=replace(design.spindle, cop=new))
    if place.kind not in _LISTS:
        changes: dict[str, Any] = {place.kind: new}
        return replace(design, **changes)
    listed = _LISTS[place.kind]
    parts = tuple(new if p.name == place.part else p for p in getattr(design, listed))
    changes = {listed: parts}
    return replace(design, **changes)
