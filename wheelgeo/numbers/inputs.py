"""Every input of a wheel by a name that a person can type: read, and set anew.

A name is the part's name, a dot and the field's name: ``whorl.rim``, ``spindle.at.x``,
``second band.diameter``, ``drive.speed``, ``limits.wrap_deg``. A part's name may itself hold spaces
and dots. Where two parts of different kinds have the same name and a field of the same name, the
name alone would be ambiguous; then, and whenever one likes, the kind goes in front with a colon:
``shaft:spindle.diameter``, ``band:spindle.diameter``.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from wheelgeo.design.file_forms import settled
from wheelgeo.design.from_toml import Reading
from wheelgeo.design.model import Design, Shaft, Stop
from wheelgeo.design.places import in_words, names_in
from wheelgeo.design.possible import faults
from wheelgeo.errors import DesignError, Fault, SearchError
from wheelgeo.geometry.vectors import cross, norm, sub
from wheelgeo.numbers.fields_of_parts import PartField, fields_of, slid
from wheelgeo.numbers.nearest import nearest_keys
from wheelgeo.units import LENGTH_MM, Dimension
from wheelgeo.units.keys import Form, Key, TableKind, TablesKind, VariantKind
from wheelgeo.units.kinds import FILE_UNIT, NUMBER, FlagKind, NumberKind, RefusedError, VectorKind
from wheelgeo.units.unknown import UNKNOWN
from wheelgeo.units.wording import shown


@dataclass(frozen=True, slots=True)
class NamedInput:
    """One number of one design that may be set anew.

    Attributes:
        key: the shortest name that is not ambiguous.
        full_key: the name with the kind in front.
        kind: kind of the part: ``shaft``, ``pulley``, ``band``, ``drive``, ``yarn``, ``case``,
            ``bearing``, ``section``, ``washer``, ``cop``, ``bobbin`` or ``drag``.
        part: name of the part; empty for kinds of which a design has one.
        field: the number's name within the part.
        means: what it is, in plain words.
        unit: its unit (mm, deg, rpm, N, g or empty).
        quantity: the units in which a person may write it; None: a bare number.
        value: the number; None where the design is silent.
        low: the least that it may be.
        high: the most that it may be.
        tolerated: the kind of general tolerance that governs it; None: no made dimension.
    """

    key: str
    full_key: str
    kind: str
    part: str
    field: str
    means: str
    unit: str
    quantity: Dimension | None
    value: float | None
    low: float
    high: float
    tolerated: str | None


class _PartKind(NamedTuple):
    """How a kind of part stands in a design."""

    name: str
    parts: Callable[[Design], list[tuple[str, Any]]]
    swap: Callable[[Design, str, Any], Design]
    counted: bool = False


def _listed(name: str, attribute: str) -> _PartKind:
    """Return a kind whose parts stand in a list and have names of their own."""

    def swap(design: Design, part_name: str, part: Any) -> Design:
        parts = tuple(part if p.name == part_name else p for p in getattr(design, attribute))
        return replace(design, **{attribute: parts})  # type: ignore[arg-type]

    return _PartKind(name, lambda d: [(p.name, p) for p in getattr(d, attribute)], swap)


def _single(name: str) -> _PartKind:
    """Return a kind of which a design has one, or none."""

    def parts(design: Design) -> list[tuple[str, Any]]:
        part = getattr(design, name)
        return [] if part is None else [("", part)]

    def swap(design: Design, _: str, part: Any) -> Design:
        return replace(design, **{name: part})

    return _PartKind(name, parts, swap)


def _numbered(name: str, attribute: str, owner: str = "") -> _PartKind:
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

    return _PartKind(name, parts, swap, counted=True)


def _parts_of_cop(design: Design) -> list[tuple[str, Any]]:
    return [] if design.spindle.cop is None else [("", design.spindle.cop)]


_COP = _PartKind(
    "cop", _parts_of_cop,
    lambda design, _, part: replace(design, spindle=replace(design.spindle, cop=part)),
)  # fmt: skip
_FILE = _PartKind("wheel", lambda design: [("", design)], lambda _, __, part: part)
_LISTED_KINDS: tuple[_PartKind, ...] = (
    _listed("shaft", "shafts"), _listed("pulley", "pulleys"), _listed("band", "bands"),
    _single("drive"), _single("yarn"), _single("case"),
    _numbered("bearing", "bearings", "spindle"), _numbered("section", "sections", "spindle"),
    _numbered("washer", "washers", "spindle"), _COP, _single("bobbin"),
    _numbered("drag", "drags"),
)  # fmt: skip
_KINDS: tuple[_PartKind, ...] = (
    *_LISTED_KINDS, _single("spindle"), _single("shop"), _numbered("sheet", "sheets", "shop"),
    _single("limits"), _listed("material", "materials"),
)  # fmt: skip
_OF_THE_FILE = ("title", "drive", "yarn", "case", "spindle", "bobbin", "shop")
"""Keys of the file as a whole that may be set: its title, and whole tables of it."""


class _Spot(NamedTuple):
    """One field of one part of a design."""

    kind: _PartKind
    part_name: str
    part: Any
    field: PartField

    @property
    def full_key(self) -> str:
        if self.kind is _FILE:
            return self.field.name
        name = f"{self.part_name}." if self.part_name else ""
        return f"{self.kind.name}:{name}{self.field.name}"

    @property
    def short_key(self) -> str:
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
            return _along_with(design, changed, part)
        return settled(design) if self.kind.name == "shaft" else design


def _spots(design: Design, kinds: Iterable[_PartKind] = _KINDS) -> Iterator[_Spot]:
    """Yield every field of every part."""
    for kind in kinds:
        for name, part in kind.parts(design):
            for field in fields_of(part):
                yield _Spot(kind, name, part, field)


def _meant(design: Design, key: str) -> list[_Spot]:
    """Return what a name may mean; a full name means one thing only."""
    short: list[_Spot] = []
    for kind in _KINDS:
        for name, part in kind.parts(design):
            head = f"{kind.name} {name}" if kind.counted else name or kind.name
            full = f"{kind.name}:{name}." if name else f"{kind.name}:"
            if not key.startswith((f"{head}.", full)):
                continue
            for field in fields_of(part):
                spot = _Spot(kind, name, part, field)
                if spot.full_key == key:
                    return [spot]
                if spot.short_key == key:
                    short.append(spot)
    if not short and key in _OF_THE_FILE:
        return [_Spot(_FILE, "", design, f) for f in fields_of(design) if f.name == key]
    return short


def inputs(design: Design) -> tuple[NamedInput, ...]:
    """Return every number of a design that may be set, in the order shafts, pulleys, bands, rest.

    What ``put`` can set besides (texts, choices, vectors, routes, limits) is not listed.
    """
    spots = [s for s in _spots(design, _LISTED_KINDS) if s.field.listed]
    count: dict[str, int] = {}
    for spot in _spots(design):
        count[spot.short_key] = count.get(spot.short_key, 0) + 1
    full = {spot.full_key for spot in spots}
    return tuple(
        _input(design, s, alone=count[s.short_key] == 1 and s.short_key not in full - {s.full_key})
        for s in spots
    )


def _input(design: Design, spot: _Spot, alone: bool) -> NamedInput:
    number = spot.field.number
    assert number is not None
    low, high = spot.field.range(design, spot.part)
    quantity = None if number.dimension is NUMBER else number.dimension
    return NamedInput(
        key=spot.short_key if alone else spot.full_key,
        full_key=spot.full_key,
        kind=spot.kind.name,
        part=spot.part_name,
        field=spot.field.name,
        means=spot.field.means,
        unit=number.dimension.unit,
        quantity=quantity,
        value=spot.field.get(design, spot.part),
        low=low,
        high=high,
        tolerated=number.tolerated,
    )


def find_input(design: Design, key: str) -> NamedInput:
    """Return the number of that name.

    Raises:
        SearchError: no number has that name (says the nearest that there are), or several have.
    """
    spot = _find(design, key)
    if spot.field.number is None:
        raise SearchError(f'"{key}" ({spot.field.means}) is no number')
    meant = [other.full_key for other in _meant(design, spot.short_key)]
    return _input(design, spot, alone=meant == [spot.full_key])


def is_input(design: Design, key: str) -> bool:
    """Tell whether exactly one number has that name."""
    meant = _meant(design, key.strip())
    return len(meant) == 1 and meant[0].field.number is not None


def _find(design: Design, key: str) -> _Spot:
    meant = _meant(design, key.strip())
    if len(meant) == 1:
        return meant[0]
    if meant:
        which = " or ".join(f'"{spot.full_key}"' for spot in meant)
        raise SearchError(f'"{key}" may mean several numbers: write {which}')
    raise SearchError(_unknown(design, key.strip()))


def _unknown(design: Design, key: str) -> str:
    """Say that there is no such number; name the nearest, or what the named part has."""
    spots = list(_spots(design))
    known = [s.full_key if ":" in key else s.short_key for s in spots]
    near = nearest_keys(key[:200], known)
    hint = f"; did you mean {_either(near)}?" if near else ""
    named = (s.part_name for s in spots if s.part_name and key.startswith(f"{s.part_name}."))
    name = max(named, key=len, default=None)
    if name is None:
        return f"the design has no number {shown(key)}{hint}"
    has = sorted({s.field.name for s in spots if s.part_name == name})
    return f'the design has no number {shown(key)}{hint}; "{name}" has: {", ".join(has)}'


def _either(keys: list[str]) -> str:
    return " or ".join(f'"{key}"' for key in keys)


def value_of(design: Design, key: str) -> Any:
    """Return what an input of any kind is: a number, text, vector, route; None where silent.

    Raises:
        DesignError: no input has that name, or several have.
    """
    with _AsFaultOf(key):
        spot = _find(design, key)
    return spot.field.get(design, spot.part)


def get(design: Design, key: str) -> float:
    """Return the number of that name, in mm, deg, rpm, N, g or as a fraction.

    Raises:
        SearchError: no number has that name, several have, or the design is silent about it.
    """
    spot = _find(design, key)
    value = spot.field.get(design, spot.part)
    if value is None:
        raise SearchError(f'the design says nothing about "{key}" ({spot.field.means})')
    if spot.field.number is None:
        raise SearchError(f'"{key}" ({spot.field.means}) is no number')
    return float(value)


# --- setting anew --------------------------------------------------------------------------------


class _AsFaultOf:
    """Turns an error of a name or a value into a DesignError that names it."""

    def __init__(self, name: str) -> None:
        self.name = name

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: Any, error: BaseException | None, trace: Any) -> None:
        if isinstance(error, SearchError):
            raise DesignError((Fault(self.name, str(error), key=self.name),)) from error
        if isinstance(error, RefusedError):
            raise DesignError(
                (Fault(self.name, error.says, error.remedy, self.name),)
            ) from error


def put(design: Design, changes: Mapping[str, Any]) -> Design:
    """Return the design with values set anew, all together.

    A pulley's ``pitch`` changes its rim and keeps depth and shape of the groove. A shaft's
    ``travel`` moves it along its slide, and with it the shafts on its axis that share the slide;
    the slide itself stays where it is in space. Setting ``turns_per_metre`` drops a twist factor,
    and the other way round.

    Args:
        design: the design; it stays as it is.
        changes: new values by name: numbers in mm, deg, rpm, N, g and fractions, or text as in a
            file (``"3/8 in"``, ``"9"`` in the file's unit, ``"9 +- 0.1 mm"``); texts, flags,
            vectors, routes and tables as in the file; None takes an optional value out.

    Raises:
        DesignError: holds every fault: a name that is none, a value that cannot be read, and what
            keeps the wheel from existing.
    """
    found: list[Fault] = []
    ready: list[tuple[int, _Spot, Any]] = []
    halves: dict[str, float | None] = {}
    for name, value in changes.items():
        try:
            with _AsFaultOf(name):
                spot = _input_to_put(design, name)
                plain, known = _read(design, spot, value)
                ready.append((_rank(spot), spot, plain))
                halves |= {f"{spot.full_key}{tail}": half for tail, half in known.items()}
        except DesignError as error:
            found += error.faults
    if found:
        raise DesignError(tuple(found))
    for _, spot, plain in sorted(ready, key=lambda one: one[0]):
        design = _set(design, spot, plain)
    design = _with_uncertainties(design, halves)
    wrong = faults(design)
    if wrong:
        raise DesignError(wrong)
    return design


def _input_to_put(design: Design, name: str) -> _Spot:
    """Return where a name leads; SearchError where it is that of a result, or of nothing."""
    from wheelgeo.numbers.results import is_result

    try:
        return _find(design, name)
    except SearchError as error:
        if is_result(design, name):
            says = f'"{name}" is a result, which follows from the rest; find what gives it'
            raise SearchError(says) from error
        raise


def _set(design: Design, spot: _Spot, value: Any) -> Design:
    """Return the design with one value set; its field may have come by another change."""
    fresh = _find(design, spot.full_key) if spot.kind is not _FILE else spot._replace(part=design)
    if spot.field.name == "diameter" and spot.kind.name == "shaft":
        part = design.shaft(spot.part_name)
        bare = replace(part, diameter_given=value is not None)
        design = spot.kind.swap(design, spot.part_name, bare)
    return fresh.put(design, value)


def _rank(spot: _Spot) -> int:
    """Return in which turn a value is set: tables and texts, numbers, then what hangs on them."""
    if spot.field.number is None:
        return 0
    return 2 if spot.field.name in ("pitch", "travel") or spot.field.name.startswith("lean") else 1


Halves = dict[str, float | None]
"""Half width of the uncertainty of a value, or of each component of it by the tail of its name."""


def _read(design: Design, spot: _Spot, value: Any) -> tuple[Any, Halves]:
    """Return a value as the design holds it, and how well it is known."""
    kind, field = spot.field.kind, spot.field
    if value is None:
        if not field.optional:
            raise RefusedError("it must be there", "give it a value")
        return field.default, {"": None}
    if isinstance(kind, NumberKind):
        number, half = _number(design, spot, kind, value)
        low, high = field.range(design, spot.part)
        if field.bounds is not None and not low <= number <= high:
            remedy = f"it must lie between {low:g} and {high:g} {kind.dimension.unit}"
            raise RefusedError(f"{shown(value)} is out of range", remedy)
        wrong = kind.wrong(number, value if isinstance(value, str) else None)
        if wrong is not None:
            raise RefusedError(*wrong)
        return number, {"": half}
    if isinstance(value, str) and value[:1] in "[{" and not isinstance(kind, FlagKind):
        value = _literal(value)
    if isinstance(kind, FlagKind) and value in ("true", "false"):
        value = value == "true"
    if isinstance(kind, VectorKind):
        items = kind.items(list(value) if isinstance(value, tuple) else value)
        read = [_number(design, spot, kind.of, item) for item in items]
        known = {f".{name}": half for name, (_, half) in zip(kind.names, read, strict=True)}
        return kind.whole(tuple(number for number, _ in read)), known
    if isinstance(kind, TableKind | TablesKind | VariantKind):
        return _table(design, spot, kind, value), {}
    return kind.read(value, design.unit), {}


def _number(
    design: Design, spot: _Spot, kind: NumberKind, value: Any
) -> tuple[float, float | None]:
    """Return a number in our units; text as the file's owner writes it, a bare one in its unit."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise RefusedError(f"{shown(value)} is no {kind.dimension.name}")
    if not isinstance(value, str):
        try:
            return float(value), None
        except OverflowError as error:
            raise RefusedError(f"{shown(value)} is too large") from error
    if spot.field.name == "count":
        count = _count(design, spot, value)
        if count is not None:
            return count
    bare = FILE_UNIT if kind.dimension is LENGTH_MM else kind.dimension.unit
    return replace(kind, bare=bare).read_measured(_bare(value), design.unit)


def _bare(value: str) -> float | str:
    """Return a bare number as one, anything else as it is."""
    try:
        return float(value) if len(value) < 60 else value
    except ValueError:
        return value


def _count(design: Design, spot: _Spot, value: str) -> tuple[Any, float | None] | None:
    """Return a count given in the system of the yarn; None for a bare number."""
    from wheelgeo.design.kinds import CountKind

    if not value.strip()[-1:].isalpha():
        return None
    count, half = CountKind().read_measured(value, design.unit)
    if count.system != spot.part.count.system:
        system = spot.part.count.system
        raise RefusedError(f"{shown(value)} is in another system than the file's", f"give {system}")
    return count.value, half


def _literal(text: str) -> Any:
    """Return a list or table written as in a file."""
    try:
        return tomllib.loads(f"x = {text}")["x"]
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as error:
        raise RefusedError(f"{shown(text)} cannot be read", "write it as in the file") from error


def _table(design: Design, spot: _Spot, kind: Any, value: Any) -> Any:
    """Return a table, or list of tables, as the design holds it; what it holds already stays."""
    owners = tuple(kind.owners().values()) if isinstance(kind, VariantKind) else (kind.owner,)
    if isinstance(value, owners):
        return value
    if isinstance(value, tuple) and all(isinstance(item, owners) for item in value):
        return value
    raw = [_as_raw(item) for item in value] if isinstance(value, list | tuple) else value
    reading = Reading(_root_of(spot.field.name, kind), design.unit)
    part = reading.file({spot.field.name: raw})
    if reading.uncertainties:
        raise RefusedError("an uncertainty cannot stand in a table", "set the number by itself")
    if reading.faults or part is UNKNOWN:
        name_of = names_in({})
        head = spot.full_key
        raise DesignError(tuple(
            Fault(head if len(place) < 2 else f"{head} {in_words(place[1:], name_of)}", says,
                  remedy, head)
            for place, says, remedy in reading.faults
        ))  # fmt: skip
    return part


def _as_raw(item: Any) -> Any:
    if isinstance(item, Stop):
        return item.pulley if item.turns == "with" else {"pulley": item.pulley, "turns": item.turns}
    return item


def _root_of(name: str, kind: Any) -> Form:
    """Return a form of one key, which reads one table by itself."""
    key = Key("", kind, name=name, attribute="value")
    return Form("", "", (key,), lambda value: value, lambda part: {"value": part})


def _with_uncertainties(design: Design, halves: Mapping[str, float | None]) -> Design:
    """Return the design with the uncertainties of what was set anew, and no others of these."""
    known = design.uncertainties
    gone = [key for key, half in halves.items() if half is None and key in known]
    new = {key: half for key, half in halves.items() if half is not None}
    if not gone and not new:
        return design
    kept = {key: half for key, half in known.items() if key not in gone}
    return replace(design, uncertainties={**kept, **new})


# --- shafts that move as one ---------------------------------------------------------------------

_SAME = 1e-6
"""Axes and slides closer than this are the same, mm."""


def move_as_one(design: Design, name: str) -> tuple[str, ...]:
    """Return the names of the shafts that slide as one with a shaft, its own among them."""
    shaft = design.shaft(name)
    return tuple(s.name for s in design.shafts if s.name == name or _shares_slide(s, shaft))


def _shares_slide(one: Shaft, other: Shaft) -> bool:
    a, b = one.slide, other.slide
    if a is None or b is None:
        return False
    apart = norm(cross(sub(one.at_mm, other.at_mm), other.axis))
    lean = norm(cross(one.axis, other.axis))
    ends = max(abs(a.from_mm - b.from_mm), abs(a.to_mm - b.to_mm), norm(sub(a.along, b.along)))
    return max(apart, lean, ends) < _SAME


def _along_with(design: Design, changed: Shaft, before: Shaft) -> Design:
    """Return the design with every shaft moved that slides with one that has moved."""
    assert changed.slide is not None
    travel = -changed.slide.from_mm
    shafts = tuple(
        slid(s, travel) if s.name != changed.name and _shares_slide(s, before) else s
        for s in design.shafts
    )
    return settled(replace(design, shafts=shafts))


# --- for searches --------------------------------------------------------------------------------


def changer(design: Design, key: str) -> Callable[[Design, float], Design]:
    """Return what sets one number anew, looked up once, for searches that change it many times.

    It holds the number to its own bounds; whether the wheel can exist is for the search to ask.

    Args:
        design: a design that has the number.
        key: the number's name.

    Returns:
        A function of a design with the same parts and a value; SearchError out of bounds.

    Raises:
        SearchError: no number has that name, or several have.
    """
    spot = _find(design, key)
    if spot.field.number is None:
        raise SearchError(f'"{key}" ({spot.field.means}) is no number')
    unit = spot.field.number.dimension.unit

    def change(other: Design, value: float) -> Design:
        part = next(p for name, p in spot.kind.parts(other) if name == spot.part_name)
        low, high = spot.field.range(other, part)
        if not low <= value <= high:
            says = f"it must lie between {low:g} and {high:g} {unit}".rstrip()
            raise SearchError(f'"{key}" cannot be {value:g}: {says}')
        return spot.put(other, float(value))

    return change
