"""Rules of what can exist: each name stands once, and what is named is there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import Any

from wheelgeo.design.key_places import Located, Place
from wheelgeo.design.limits import LIMITS
from wheelgeo.design.materials import BEARINGS, FIBRES, MATERIALS, MOST_LIKE, find_bearing
from wheelgeo.design.model import Bearing, Design, Pulley, Shaft
from wheelgeo.immutable import dataclass
from wheelgeo.units.unknown import UNKNOWN, UnknownError
from wheelgeo.units.wording import nearest, shown, suggestion

Found = Iterator[Located]
"""What a rule yields: faults by their places."""


def asked(rule: Found) -> Found:
    """Yield what a rule finds, up to where it meets what is not known."""
    try:
        yield from rule
    except UnknownError:
        return  # what the rule hangs on is a fault already


@dataclass(frozen=True)
class KnownParts:
    """A design with its parts by name, those left out whose name is not known."""

    design: Design

    def parts(self, attribute: str) -> Iterator[tuple[int, Any]]:
        """Yield index and part of a list, as far as they are known."""
        listed = getattr(self.design, attribute)
        if listed is not UNKNOWN:
            for index, part in enumerate(listed):
                if part is not UNKNOWN:
                    yield index, part

    def named(self, attribute: str) -> dict[str, Any]:
        """Return the parts of a list by name."""
        return {part.name: part for _, part in self.parts(attribute) if type(part.name) is str}

    @cached_property
    def shafts(self) -> dict[str, Shaft]:
        """The shafts by name."""
        return self.named("shafts")

    @cached_property
    def pulleys(self) -> dict[str, Pulley]:
        """The pulleys by name."""
        return self.named("pulleys")

    @cached_property
    def materials(self) -> dict[str, bool | None]:
        """For each material whether it is a cord; None where its kind is not known."""
        own = ((m.name, m.kind) for m in self.named("materials").values())
        return {**_SHIPPED, **{n: None if k is UNKNOWN else k == "cord" for n, k in own}}

    def rod_mm(self, pulley: Pulley) -> float:
        """Return the rod's diameter where a pulley sits, mm."""
        spindle = self.design.spindle
        if spindle is not UNKNOWN and spindle.sections and pulley.shaft == spindle.shaft:
            for section in spindle.sections:
                if section.from_mm <= pulley.offset_mm <= section.to_mm:
                    return section.diameter_mm
        shaft = self.shafts.get(pulley.shaft)
        if shaft is None:
            raise UnknownError
        return shaft.diameter_mm


_SHIPPED: dict[str, bool | None] = {m.name: m.kind == "cord" for m in MATERIALS}


NAMED_LISTS = (
    ("shafts", "shaft"), ("pulleys", "pulley"), ("bands", "band"), ("materials", "material"),
    ("fibres", "fibre"),
)  # fmt: skip
_LEAST = (("shafts", "shaft", 1, "one shaft"), ("pulleys", "pulley", 2, "two pulleys"),
          ("bands", "band", 1, "one band"))  # fmt: skip


def names_once(whole: KnownParts, attribute: str, key: str) -> Found:
    """Yield the faults of names that stand twice in a list of parts."""
    yield from each_name_once((key,), whole.parts(attribute))


def each_name_once(place: Place, parts: Iterable[tuple[int, Any]]) -> Found:
    """Yield the faults of names that stand twice among parts."""
    first: dict[str, int] = {}
    for index, part in parts:
        if type(part.name) is not str:
            continue
        if part.name in first:
            says = f"the name {shown(part.name)} is that of {place[-1]} {first[part.name] + 1}"
            yield (*place, index, "name"), f"{says} already", "give each a name of its own"
        first.setdefault(part.name, index)


def too_few(whole: KnownParts) -> Found:
    """Yield the faults of lists that hold fewer parts than any wheel has."""
    for attribute, key, least, words in _LEAST:
        listed = getattr(whole.design, attribute)
        if listed is not UNKNOWN and len(listed) < least:
            yield (
                (key,),
                f"there {'is' if len(listed) == 1 else 'are'} only {len(listed)} of them",
                f"a wheel has at least {words}, each under [[{key}]]",
            )


def known_name(place: Place, name: Any, known: Iterable[str], what: str) -> Found:
    """Yield the fault of a name that is not known."""
    if type(name) is str and name not in known:
        words = list(known)
        hint = suggestion(name, words, f"known {what}s")
        if what == "material" and (like := MOST_LIKE.get(name.partition(" ")[0].casefold())):
            hint = f"{like} is the most like it; or add it, as a [[material]] of your own"
        yield place, f"there is no {what} {shown(name)}", hint


def turned_and_spun(whole: KnownParts) -> Found:
    """Yield the faults of the shafts that are turned and that spin."""
    for key in ("drive", "spindle"):
        part = getattr(whole.design, key)
        if part is not UNKNOWN:
            yield from known_name((key, "shaft"), part.shaft, whole.shafts, "shaft")


def known_material(whole: KnownParts, place: Place, name: Any, cord: bool = False) -> Found:
    """Yield the fault of a material that is not known, or is a cord where none will do."""
    if type(name) is not str:
        return
    kind = whole.materials.get(name, not cord)
    if kind is None or (kind == cord and name in whole.materials):
        return
    fitting = [known for known, is_cord in whole.materials.items() if is_cord in (cord, None)]
    if name in whole.materials:
        says = f"{shown(name)} is {'no cord' if cord else 'a cord'}"
        yield place, says, f"known here: {', '.join(fitting)}"
    else:
        yield from known_name(place, name, fitting, "material")


def known_fibre(whole: KnownParts) -> Found:
    """Yield the fault of a fibre that is neither shipped nor one of its own."""
    if whole.design.yarn is None:
        return
    name = whole.design.yarn.fibre
    known = [*FIBRES, *whole.named("fibres")]
    if type(name) is str and name not in known:
        near = nearest(name, known)
        own = f"add your own as [[fibre]] name = {shown(name)}"
        remedy = (
            f'did you mean "{near}"? Or {own}' if near else f"{own} (known: {', '.join(known)})"
        )
        yield ("yarn", "fibre"), f"there is no fibre {shown(name)}", remedy


def known_limits(whole: KnownParts) -> Found:
    """Yield the faults of limits that are none."""
    for name in whole.design.limits:
        if name not in LIMITS:
            yield ("limits",), f"unknown key {shown(name)}", suggestion(str(name), LIMITS)


def known_bearing(place: Place, bearing: Bearing) -> Found:
    """Yield the fault of a bearing that is not known."""
    if bearing is not UNKNOWN and type(bearing.kind) is str and find_bearing(bearing.kind) is None:
        yield from known_name((*place, "kind"), bearing.kind, [p.name for p in BEARINGS], "bearing")
