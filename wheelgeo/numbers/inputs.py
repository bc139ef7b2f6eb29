"""Every input of a wheel by a name that a person can type: read, and set anew.

A name is the part's name, a dot and the field's name: ``whorl.rim``, ``spindle.at.x``,
``second band.diameter``, ``drive.speed``, ``limits.wrap_deg``. A part's name may itself hold spaces
and dots. Where two parts of different kinds have the same name and a field of the same name, the
name alone would be ambiguous; then, and whenever one likes, the kind goes in front with a colon:
``shaft:spindle.diameter``, ``band:spindle.diameter``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from wheelgeo.design.model import Design, Shaft
from wheelgeo.design.possible import faults
from wheelgeo.errors import DesignError, Fault, SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.contradictions import ReadyValue, contradictions
from wheelgeo.numbers.named_parts import LISTED_KINDS, Spot, meant_by, shortest_key, spots_of
from wheelgeo.numbers.nearest import nearest_keys
from wheelgeo.numbers.typed_values import read_value
from wheelgeo.units import Dimension
from wheelgeo.units.kind import RefusedError
from wheelgeo.units.kinds import VectorKind
from wheelgeo.units.number_kinds import NUMBER
from wheelgeo.units.wording import shown


@dataclass(frozen=True)
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


def inputs(design: Design) -> tuple[NamedInput, ...]:
    """Return every number of a design that may be set, in the order shafts, pulleys, bands, rest.

    What ``put`` can set besides (texts, choices, vectors, routes, limits) is not listed.
    """
    spots = [s for s in spots_of(design, LISTED_KINDS) if s.field.listed and not _follows(s)]
    count: dict[str, int] = {}
    for spot in spots_of(design):
        count[spot.short_key] = count.get(spot.short_key, 0) + 1
    full = {spot.full_key for spot in spots}

    def key_of(spot: Spot) -> str:
        other = spot.short_key != spot.full_key and spot.short_key in full
        alone = count[spot.short_key] == 1 and not other
        return spot.short_key if alone else spot.full_key

    return tuple(_input(design, spot, key_of(spot)) for spot in spots)


def _input(design: Design, spot: Spot, key: str) -> NamedInput:
    number = spot.field.number
    assert number is not None
    low, high = spot.field.range(design, spot.part)
    quantity = None if number.dimension is NUMBER else number.dimension
    return NamedInput(
        key=key,
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
    return _input(design, spot, shortest_key(design, spot))


def is_input(design: Design, key: str) -> bool:
    """Tell whether exactly one number has that name."""
    meant = meant_by(design, key.strip())
    return len(meant) == 1 and meant[0].field.number is not None


def _find(design: Design, key: str) -> Spot:
    meant = meant_by(design, key.strip())
    if len(meant) == 1:
        return meant[0]
    if meant:
        which = " or ".join(f'"{spot.full_key}"' for spot in meant)
        raise SearchError(f'"{key}" may mean several numbers: write {which}')
    raise SearchError(_unknown(design, key.strip()))


def _unknown(design: Design, key: str) -> str:
    """Say that there is no such number; name the nearest, or what the named part has."""
    spots = list(spots_of(design))
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
            raise DesignError((Fault(self.name, error.says, error.remedy, self.name),)) from error


def asked_changes(name: str | Mapping[str, Any], value: Any) -> dict[str, Any]:
    """Return the inputs that shall change, of a name and a value or of names with values.

    Raises:
        DesignError: a value stands beside names that have theirs.
    """
    if isinstance(name, str):
        return {name: value}
    changes = dict(name)
    if value is not None:
        says = f"names with their values, {changes!r}, take no value beside them: {value!r}"
        raise DesignError((Fault("put", says),))
    return changes


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
    ready: list[ReadyValue] = []
    halves: dict[str, float | None] = {}
    for name, value in changes.items():
        try:
            with _AsFaultOf(name):
                spot = _input_to_put(design, name)
                plain, known = read_value(design, spot, value)
                ready.append(ReadyValue(name, spot, plain))
                halves |= {f"{spot.full_key}{tail}": half for tail, half in known.items()}
        except DesignError as error:
            found += error.faults
    if found:
        raise DesignError(tuple(found))
    ready.sort(key=lambda one: _rank(one.spot))
    steps = [design]
    for one in ready:
        steps.append(set_plainly(steps[-1], one.spot, one.plain))
    against = tuple(contradictions(ready, steps[1:]))
    if against:
        raise DesignError(against)
    design = steps[-1]
    design = _with_uncertainties(design, halves)
    wrong = (*_no_place_of_its_own(design, ready), *_idle(design, ready),
             *faults(design))  # fmt: skip
    if wrong:
        raise DesignError(wrong)
    return design


def _no_place_of_its_own(design: Design, ready: list[ReadyValue]) -> Iterator[Fault]:
    """Yield a fault for each place or axis set on a sleeve, which has those of the rod it is on."""
    for _, spot, plain in ready:
        now = spot.field.get(design, design.shaft(spot.part_name)) if _follows(spot) else plain
        if now != plain:
            under = spot.part.runs_on
            yield Fault(
                spot.short_key,
                f'shaft "{spot.part_name}" runs on "{under}" and stands where that stands',
                f"set {under}.{spot.field.name}",
            )


def _idle(design: Design, ready: list[ReadyValue]) -> Iterator[Fault]:
    """Yield a fault for each number set to another value on which nothing hangs."""
    for name, spot, plain in ready:
        if spot.kind.name != "pulley" or spot.field.number is None:
            continue
        was = spot.field.get(design, spot.part)
        now = _find(design, spot.full_key) if plain != was else spot
        if now.field.idle and plain != was:
            yield Fault(
                name, f"it changes nothing: {now.field.idle}",
                f"set {spot.part_name}.core, or build it another way", name,
            )


def _follows(spot: Spot) -> bool:
    """Tell whether a field is the place or direction of a sleeve, which the rod under it has."""
    sleeve = isinstance(spot.part, Shaft) and spot.part.runs_on is not None
    return sleeve and spot.field.name.startswith(_PLACED)


_PLACED = ("at", "axis", "lean", "slide", "travel")
"""How the names of a shaft's place and direction begin."""


def _input_to_put(design: Design, name: str) -> Spot:
    """Return where a name leads; SearchError where it is that of a result, or of nothing."""
    from wheelgeo.numbers.results import is_result

    try:
        return _find(design, name)
    except SearchError as error:
        if is_result(design, name):
            says = f'"{name}" is a result, which follows from the rest; find what gives it'
            raise SearchError(says) from error
        raise


def set_plainly(design: Design, spot: Spot, value: Any) -> Design:
    """Return the design with one value set, as the design holds it; whether it can exist is open.

    Args:
        design: the design.
        spot: the field, as the name of an input leads to it.
        value: the value; None takes an optional one out.
    """
    if not any(part is spot.part for _, part in spot.kind.parts(design)):
        spot = _find(design, spot.full_key)  # it stands in a part that was changed since
    kind = spot.field.kind
    if value is None and spot.field.optional:
        value = spot.field.default
    elif isinstance(kind, VectorKind):
        value = kind.whole(tuple(value))
    if spot.field.name == "diameter" and spot.kind.name == "shaft":
        bare = replace(design.shaft(spot.part_name), diameter_given=value is not None)
        design = spot.kind.swap(design, spot.part_name, bare)
    if spot.kind.name == "habits":
        given = design.habits.given - {spot.field.name}
        given |= set() if value is None else {spot.field.name}
        design = replace(design, habits=replace(design.habits, given=given))
    return spot.put(design, value)


def _rank(spot: Spot) -> int:
    """Return in which turn a value is set: tables and texts, numbers, then what hangs on them."""
    if spot.field.number is None:
        return 0
    return 2 if spot.field.name in ("pitch", "travel") or spot.field.name.startswith("lean") else 1


def _with_uncertainties(design: Design, halves: Mapping[str, float | None]) -> Design:
    """Return the design with the uncertainties of what was set anew, and no others of these."""
    known = design.uncertainties
    gone = [key for key, half in halves.items() if half is None and key in known]
    new = {key: half for key, half in halves.items() if half is not None}
    if not gone and not new:
        return design
    kept = {key: half for key, half in known.items() if key not in gone}
    return replace(design, uncertainties={**kept, **new})


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
    number = spot.field.number
    if number is None:
        raise SearchError(f'"{key}" ({spot.field.means}) is no number')
    if spot.field.idle:
        raise SearchError(f'"{key}" ({spot.field.means}) changes nothing: {spot.field.idle}')
    unit = number.dimension.unit

    def change(other: Design, value: float) -> Design:
        part = next(p for name, p in spot.kind.parts(other) if name == spot.part_name)
        low, high = spot.field.range(other, part)
        if not low <= value <= high:
            says = f"it must lie between {low:g} and {high:g} {unit}".rstrip()
            raise SearchError(f'"{key}" cannot be {value:g}: {says}')
        return spot.put(other, number.meant(float(value)))

    return change
