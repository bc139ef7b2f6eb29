"""The answer to ``find``: the one number that gives a wanted result."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import field, replace
from typing import Any

from wheelgeo.as_json import NOT_IN_JSON, AsJson
from wheelgeo.check.band_uncertainty import with_usual_stretch
from wheelgeo.check.finding import Finding
from wheelgeo.check.report import check_design, check_whole
from wheelgeo.check.stood_before import stood_before
from wheelgeo.design.model import Design
from wheelgeo.drive.train import solve_drive
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.inputs import find_input, is_input
from wheelgeo.numbers.results import find_result, is_result
from wheelgeo.numbers.tied import settled_halves
from wheelgeo.numbers.typed import read_number
from wheelgeo.numbers.uncertain import parts_of
from wheelgeo.numbers.uncertain import together as together_in_squares
from wheelgeo.tune.find import Found, NoAnswer, find, given
from wheelgeo.units import LENGTH_MM, parse_measured
from wheelgeo.units.number_kinds import NUMBER
from wheelgeo.yarn.wheel_wind_on import wheel_wind_on


@dataclass(frozen=True)
class FindAnswer(AsJson):
    """Which number makes a result come out as wanted.

    Attributes:
        unknown: name of the number that may change.
        unit: its unit.
        was: what it was; None where the file is silent.
        value: what it must be.
        others: further values that do as well, the nearest to the old one first.
        result: name of the result.
        result_unit: its unit.
        result_was: what it was; None where there was none.
        wanted: what it should come to.
        uncertainty: half width at 95 % of what was asked for, the number or the result, from the
            file's uncertainties and that of what is given; None where neither has any.
        reached: what it comes to.
        new_faults: rules of the faults that the wheel then has and had not before.
        cannot_be_made: why such a wheel cannot exist; always empty, since none is offered that
            cannot.
        faults: those faults in full.
        means: what the number is, in plain words.
        asked_for_result: the number was given and the result asked for.
        wheel: the wheel with the answer in place.
    """

    unknown: str
    unit: str
    was: float | None
    value: float
    others: tuple[float, ...]
    result: str
    result_unit: str
    result_was: float | None
    wanted: float
    reached: float
    uncertainty: float | None
    new_faults: tuple[str, ...]
    cannot_be_made: tuple[str, ...]
    faults: tuple[Finding, ...] = field(repr=False, compare=False, metadata=NOT_IN_JSON)
    means: str = field(repr=False, compare=False, metadata=NOT_IN_JSON)
    asked_for_result: bool = field(repr=False, compare=False, metadata=NOT_IN_JSON)
    wheel: Any = field(repr=False, compare=False, metadata=NOT_IN_JSON)


def find_answer(
    design: Design,
    unknown: str,
    known: str,
    value: float | str,
    together: Sequence[str],
    as_wheel: Callable[[Design], Any],
) -> FindAnswer:
    """Solve for a number where a result is known, or for a result where a number is.

    Args:
        design: the wheel.
        unknown: what is looked for: an input, or a result where ``known`` is an input.
        known: what is given.
        value: what it shall come to: a number in its unit, or text as in the file.
        together: inputs that always take the same value as the unknown.
        as_wheel: makes the wheel of the changed design.

    Raises:
        SearchError: a name is unknown, the value cannot be read, or there is no answer.
    """
    if is_input(design, known) and is_result(design, unknown) and not is_result(design, known):
        parameter = find_input(design, known)
        number, half = _number(value, parameter.quantity, design, known)
        found = given(design, known, number, unknown)
        sure = _of_result(found, settled_halves(design), half)
        return _answer(design, found, sure, as_wheel, True)
    number, half = _number(value, find_result(design, known).quantity, design, known)
    found = find(design, unknown, known, number, together)
    return _answer(design, found, _of_value(design, found, half, together), as_wheel, False)


def _number(
    value: float | str, quantity: Any, design: Design, name: str
) -> tuple[float, float | None]:
    """Return a number and, where the text tells it, its half width."""
    if not isinstance(value, str):
        return value, None
    if "+-" in value or "±" in value:
        unit = design.unit if quantity is LENGTH_MM else (quantity or NUMBER).unit
        return parse_measured(value, quantity or NUMBER, unit)
    return read_number(value, quantity, design.unit, name), None


def _of_result(
    found: Found, halves: Mapping[str, float], half: float | None
) -> float | None:
    """Return the half width of a result, the given number as unsure as it was told."""
    design, key = found.design, found.unknown.full_key
    known = {k: h for k, h in halves.items() if k != key}
    if half is not None:
        known[key] = half
    if not known:
        return None
    # A stretch that the file leaves out is unsure beside what was measured, as `bands` says.
    design = with_usual_stretch(replace(design, uncertainties=known))
    return together_in_squares(parts_of(design, [found.target.key])[found.target.key])


def _of_value(
    design: Design, found: Found, half: float | None, together: Sequence[str]
) -> float | None:
    """Return the half width of a number that was looked for.

    What the result may be off, by the wanted value's own width and by all other numbers of the
    wheel, is sought once more at both ends: so a curve (a short band on a large wheel) is taken in.
    """
    if not design.uncertainties and half is None:
        return None
    own = {find_input(design, key).full_key for key in (found.unknown.key, *together)}
    unsure = with_usual_stretch(replace(found.design, uncertainties=settled_halves(design)))
    others = {k: h for k, h in unsure.uncertainties.items() if k not in own}
    if not others and half is None:
        return None
    key = found.target.key
    parts = parts_of(replace(unsure, uncertainties=others), [key])[key]
    off = together_in_squares(parts)
    if off is None:
        return None
    off = math.hypot(off, half or 0.0)
    ends = [_end(found, found.wanted + sign * off, together) for sign in (-1.0, 1.0)]
    known = [abs(end - found.value) for end in ends if end is not None]
    # One end may lie where no such wheel is: the other then stands for both.
    return sum(known) / len(known) if known else None


def _end(found: Found, wanted: float, together: Sequence[str]) -> float | None:
    try:
        return find(found.design, found.unknown.key, found.target.key, wanted, together).value
    except NoAnswer:
        return None


def _answer(
    design: Design,
    found: Found,
    uncertainty: float | None,
    as_wheel: Callable[[Design], Any],
    asked_for_result: bool,
) -> FindAnswer:
    # Of a flyer wheel only the check at work knows whether it turns as its ratio promises; other
    # wheels are spared it.
    check = check_whole if wheel_wind_on(solve_drive(design)) else check_design
    before = check(design).faults
    after = check(found.design).faults
    faults = tuple(f for f in after if not any(stood_before(f, known) for known in before))
    return FindAnswer(
        unknown=found.unknown.key,
        unit=found.unknown.unit,
        was=found.unknown.value,
        value=found.value,
        others=found.others,
        result=found.target.key,
        result_unit=found.target.unit,
        result_was=found.before,
        wanted=found.wanted,
        reached=found.reached,
        uncertainty=uncertainty,
        new_faults=tuple(f.rule for f in faults),
        cannot_be_made=(),
        faults=faults,
        means=found.unknown.means,
        asked_for_result=asked_for_result,
        wheel=as_wheel(found.design),
    )
