"""The parts of a wheel by name, and which field of which part a name may mean."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Any, NamedTuple

from wheelgeo.built.kept import kept_with
from wheelgeo.design.file_forms import settled
from wheelgeo.design.model import Design
from wheelgeo.numbers.fields_of_parts import fields_of
from wheelgeo.numbers.part_field import PartField
from wheelgeo.numbers.shafts_as_one import along_with


class PartKind(NamedTuple):
    """How a kind of part stands in a design."""

    name: str
    parts: Callable[[Design], list[tuple[str, Any]]]
    swap: Callable[[Design, str, Any], Design]
    counted: bool = False


def _listed(name: str, attribute: str) -> PartKind:
    """Return a kind whose parts stand in a list and have names of their own."""

    def swap(design: Design, part_name: str, part: Any) -> Design:
        parts = tuple(part if p.name == part_name else p for p in getattr(design, attribute))
        return replace(design, **{attribute: parts})  # type: ignore[arg-type]

    return PartKind(name, lambda d: [(p.name, p) for p in getattr(d, attribute)], swap)


def _single(name: str) -> PartKind:
    """Return a kind of which a design has one, or none."""

    def parts(design: Design) -> list[tuple[str, Any]]:
        part = getattr(design, name)
        return [] if part is None else [("", part)]

    def swap(design: Design, _: str, part: Any) -> Design:
        return replace(design, **{name: part})

    return PartKind(name, parts, swap)


def _numbered(name: str, attribute: str, owner: str = "") -> PartKind:
    """Return a kind whose parts are counted from 1, in the design or in one part of it."""

    def holder(design: Design) -> Any:
        return getattr(design, owner) if owner else design

    def parts(design: Design) -> list[tuple[str, Any]]:
        return [(str(i), p) for i, p in enumerate(getattr(holder(design), attribute), start=1)]

    def swap(design: Design, number: str, part: Any) -> Design:
        items = list(getattr(holder(design), attribute))
        items[int(number) - 1] = part
        changed = replace(holder(design), **{attribute: tuple(items)})
        return replace(design, **{owner: changed}) if owner else changed

    return PartKind(name, parts, swap, counted=True)


def _parts_of_cop(design: Design) -> list[tuple[str, Any]]:
    return [] if design.spindle.cop is None else [("", design.spindle.cop)]


_COP = PartKind(
    "cop", _parts_of_cop,
    lambda design, _, part: replace(design, spindle=replace(design.spindle, cop=part)),
)  # fmt: skip
_FILE = PartKind("wheel", lambda design: [("", design)], lambda _, __, part: part)
LISTED_KINDS: tuple[PartKind, ...] = (
    _listed("shaft", "shafts"), _listed("pulley", "pulleys"), _listed("band", "bands"),
    _single("drive"), _single("yarn"), _single("case"), _single("stand"),
    _numbered("bearing", "bearings", "spindle"), _numbered("section", "sections", "spindle"),
    _numbered("washer", "washers", "spindle"), _COP, _single("bobbin"),
    _numbered("drag", "drags"),
)  # fmt: skip
ALL_KINDS: tuple[PartKind, ...] = (
    *LISTED_KINDS, _single("spindle"), _single("shop"), _numbered("sheet", "sheets", "shop"),
    _single("habits"), _single("limits"), _listed("material", "materials"),
)  # fmt: skip
_OF_THE_FILE = (
    "title", "drive", "yarn", "case", "stand", "spindle", "bobbin", "shop", "habits",
)  # fmt: skip
"""Keys of the file as a whole that may be set: its title, and whole tables of it."""


class Spot(NamedTuple):
    """One field of one part of a design."""

    kind: PartKind
    part_name: str
    part: Any
    field: PartField

    @property
    def full_key(self) -> str:
        """Its name with the kind in front."""
        if self.kind is _FILE:
            return self.field.name
        name = f"{self.part_name}." if self.part_name else ""
        return f"{self.kind.name}:{name}{self.field.name}"

    @property
    def short_key(self) -> str:
        """Its name without the kind, which may be ambiguous."""
        if self.kind is _FILE:
            return self.field.name
        name = f"{self.kind.name} {self.part_name}" if self.kind.counted else self.part_name
        return f"{name or self.kind.name}.{self.field.name}"

    def put(self, design: Design, value: Any) -> Design:
        """Return the design with another value in that place."""
        part = next(p for name, p in self.kind.parts(design) if name == self.part_name)
        changed = self.field.put(design, part, value)
        design = self.kind.swap(design, self.part_name, changed)
        if self.field.name == "travel":
            return along_with(design, changed, part)
        return settled(design) if self.kind.name == "shaft" else design


def spots_of(design: Design, kinds: Iterable[PartKind] = ALL_KINDS) -> Iterator[Spot]:
    """Yield every field of every part."""
    for kind in kinds:
        for name, part in kind.parts(design):
            for field in fields_of(part):
                yield Spot(kind, name, part, field)


def meant_by(design: Design, key: str) -> tuple[Spot, ...]:
    """Return what a name may mean; a full name means one thing only."""
    # a search asks for a few names a thousand times
    return kept_with(design, ("meant by", key), lambda: tuple(_meant_by(design, key)))


def _meant_by(design: Design, key: str) -> list[Spot]:
    short: list[Spot] = []
    for kind in ALL_KINDS:
        for name, part in kind.parts(design):
            head = f"{kind.name} {name}" if kind.counted else name or kind.name
            full = f"{kind.name}:{name}." if name else f"{kind.name}:"
            wanted = [key[len(start) :] for start in (f"{head}.", full) if key.startswith(start)]
            if not wanted:
                continue
            for field in fields_of(part):
                if field.name not in wanted:
                    continue
                spot = Spot(kind, name, part, field)
                if spot.full_key == key:
                    return [spot]
                if spot.short_key == key:
                    short.append(spot)
    if not short and key in _OF_THE_FILE:
        return [Spot(_FILE, "", design, f) for f in fields_of(design) if f.name == key]
    return short


def shortest_key(design: Design, spot: Spot) -> str:
    """Return the shortest name of a field that is not ambiguous."""
    meant = [other.full_key for other in meant_by(design, spot.short_key)]
    return spot.short_key if meant == [spot.full_key] else spot.full_key
