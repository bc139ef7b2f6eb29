"""A number as it was typed or dragged on the page, and how far it can go."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from wheelgeo.design.model import Design
from wheelgeo.errors import DesignError, Fault
from wheelgeo.numbers.inputs import find_input, is_input
from wheelgeo.numbers.named_parts import meant_by
from wheelgeo.units import LENGTH_MM, with_unit
from wheelgeo.units.written import LengthUnit, bare_unit, told_in
from wheelgeo.wheel import Wheel

_ALSO = re.compile(r"(?<=[a-z]) \([\d ./]+ [a-z]+\)$")
_APART = re.compile(r"(?<![\d./])\d{1,3}(?:[ \u00a0]\d{3})+(?![\d/])")
"""A number with its thousands set apart, as the page writes it: "3 818.8 mm"."""
_HALVINGS = 20
"""A drag of a metre is then stopped within a thousandth of a millimetre of the limit."""


def typed(design: Design, key: str, value: Any, unit: LengthUnit) -> Any:
    """Return what was typed as ``put`` takes it: a bare length is in the unit of the page.

    Args:
        design: the wheel.
        key: the number's name.
        value: what was typed, or a number in the library's own units.
        unit: how the page writes lengths.
    """
    if not isinstance(value, str) or not is_input(design, key):
        return value
    if find_input(design, key).unit:
        value = _APART.sub(lambda found: re.sub(r"\s", "", found[0]), value)
    is_length = find_input(design, key).quantity is LENGTH_MM
    # "3.5 mm (0.138 in)", as the page writes what is bought, is 3.5 mm
    return with_unit(_ALSO.sub("", value), bare_unit(unit)) if is_length else value


def put_on(wheel: Wheel, changes: Mapping[str, Any]) -> Wheel:
    """Return the wheel with values set anew, each as sure as it was where nothing is said of that.

    A hand that draws a rim, or types it bare, says nothing of how well it is known.

    Args:
        wheel: the wheel.
        changes: new values by name, as ``put`` takes them.

    Raises:
        DesignError: as of ``put``.
    """
    return _as_sure(wheel, wheel.put(changes), changes)


def _as_sure(was: Wheel, now: Wheel, changes: Mapping[str, Any]) -> Wheel:
    """Return the wheel with the half widths of what was set bare, or set to what it was."""
    bare = {spot.full_key for key, value in changes.items() if value is not None
            for spot in meant_by(was.design, key.strip())}  # fmt: skip
    known = now.design.uncertainties
    kept = {
        key: half for key, half in was.design.uncertainties.items()
        if key not in known and is_input(now.design, key)
        and (key in bare or find_input(now.design, key).value == find_input(was.design, key).value)
    }  # fmt: skip
    if not kept:
        return now
    return now.with_design(replace(now.design, uncertainties={**known, **kept}))


def with_its_like(design: Design, changes: Mapping[str, Any]) -> dict[str, Any]:
    """Return changes of a groove with those of the grooves of one body with it.

    The wheel of a double band has two grooves in one rim: one lathe cut both. They are told by
    lying on one shaft, under one band, with the same sizes.

    Args:
        design: the wheel.
        changes: new values by name.
    """
    told = {spot.full_key for key in changes for spot in meant_by(design, key.strip())}
    full = dict(changes)
    for key, value in changes.items():
        spots = meant_by(design, key.strip())
        if len(spots) != 1 or spots[0].kind.name != "pulley":
            continue
        (spot,) = spots
        name = spot.field.name
        if name in ("groove", "pitch", *spot.part.groove.sizes()):
            keys = (f"pulley:{other}.{name}" for other in _of_one_body(design, spot.part_name))
            full |= {like: value for like in keys if like not in told}
    return full


def _of_one_body(design: Design, name: str) -> list[str]:
    """Return the other grooves of the body that a groove is cut into."""
    pulley = design.pulley(name)
    under = [s.pulley for b in design.bands if any(s.pulley == name for s in b.route)
             for s in b.route]  # fmt: skip
    return [
        other.name for other in design.pulleys_on(pulley.shaft)
        if other.name != name and other.name in under and other.groove == pulley.groove
    ]


def farthest(
    wheel: Wheel, wanted: Mapping[str, Any], unit: LengthUnit = "mm"
) -> tuple[Wheel, dict[str, float], tuple[Fault, ...]]:
    """Return the wheel with numbers moved as far towards what is wanted as it can still exist.

    Args:
        wheel: the wheel from which the hand started.
        wanted: the numbers, in the library's own units.
        unit: how what keeps them from going on tells lengths.

    Returns:
        The wheel; the numbers that it has, those stopped on the way in hundredths of a millimetre,
        as fine as a workshop measures; and what keeps them from going on, nothing where they went
        all the way.

    Raises:
        DesignError: a name is none, or a value no number.
    """
    start: dict[str, Any] = {k: now for k in wanted if _is_number(now := wheel.get(k))}
    ends = {key: value for key, value in wanted.items() if _is_number(value)}
    if not len(start) == len(ends) == len(wanted):
        return put_on(wheel, wanted), {}, ()  # a text or a choice has no way to go
    try:
        return put_on(wheel, ends), {k: float(v) for k, v in ends.items()}, ()
    except DesignError as error:
        faults = error.faults
    # All numbers go the same part of their way, so that a shaft stops on the line it was drawn on.
    inside, outside, reached = 0.0, 1.0, wheel
    for _ in range(_HALVINGS):
        part = 0.5 * (inside + outside)
        try:
            reached = wheel.put(_on_the_way(start, ends, part))
            inside = part
        except DesignError as error:
            outside, faults = part, error.faults
    stopped = _on_the_way(start, ends, inside)
    # The limit itself is mostly a round number; else the last round one before it.
    for digits in (_to_nearest, _to_inside):
        try:
            short = {key: digits(value, start[key]) for key, value in stopped.items()}
            reached, stopped = wheel.put(short), short
            break
        except DesignError:
            continue
    why = _why(wheel, start, stopped, faults)
    reached = _as_sure(wheel, reached, stopped)
    return reached, stopped, tuple(replace(w, says=told_in(w.says, unit)) for w in why)


def _to_nearest(value: float, _: float) -> float:
    return round(value, 2) + 0.0  # nothing is told as -0


def _to_inside(value: float, start: float) -> float:
    return (math.floor if value > start else math.ceil)(100.0 * value) / 100.0 + 0.0


def _why(
    wheel: Wheel, start: Mapping[str, float], stopped: Mapping[str, float],
    faults: tuple[Fault, ...],
) -> tuple[Fault, ...]:
    """Return what keeps numbers from going on: the end of their own range, or what a step tells."""
    ended = []
    for key, value in stopped.items():
        one = find_input(wheel.design, key)
        if min(abs(value - one.low), abs(value - one.high)) < _END_MM:
            what, at = f"the {one.means} goes no further than", f"{value:g} {one.unit}".rstrip()
            if one.field == "travel":
                what, at = f"the slide of {one.part} ends,", f"{at} from its start"
            ended.append(Fault(key, f"{what} {at}", "", key))
    if ended:
        return tuple(ended)
    step = {key: round(value + math.copysign(_STEP_MM, value - start[key]), 2)
            for key, value in stopped.items() if abs(value - start[key]) > _END_MM}  # fmt: skip
    try:
        wheel.put({**stopped, **step})
    except DesignError as error:
        return error.faults
    return faults


_END_MM = 0.015
"""Nearer to the end of its range than this a rounded number is told to be at it."""
_STEP_MM = 0.02
"""Past a limit that was rounded to a hundredth, so that a fault names no longer number."""


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _on_the_way(
    start: Mapping[str, Any], ends: Mapping[str, float], part: float
) -> dict[str, float]:
    return {key: start[key] + part * (end - start[key]) for key, end in ends.items()}
