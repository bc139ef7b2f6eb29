"""The answer to ``find``: the one number that gives a wanted result."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from wheelgeo.as_json import NOT_IN_JSON, to_json
from wheelgeo.check.finding import Finding
from wheelgeo.check.report import check_design
from wheelgeo.design.model import Design
from wheelgeo.numbers.inputs import find_input, is_input
from wheelgeo.numbers.results import find_result, is_result
from wheelgeo.numbers.typed import read_number
from wheelgeo.tune.find import Found, find, given


@dataclass(frozen=True)
class FindAnswer:
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
        reached: what it comes to.
        new_faults: rules of the faults that the wheel then has and had not before.
        cannot_be_made: why such a wheel cannot exist; always empty, since none is offered that
            cannot.
        faults: those faults in full.
        means: what the number is, in plain words.
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
    new_faults: tuple[str, ...]
    cannot_be_made: tuple[str, ...]
    faults: tuple[Finding, ...] = field(repr=False, compare=False, metadata=NOT_IN_JSON)
    means: str = field(repr=False, compare=False, metadata=NOT_IN_JSON)
    wheel: Any = field(repr=False, compare=False, metadata=NOT_IN_JSON)

    def to_json(self) -> dict[str, Any]:
        """Return what the command prints with ``--json``."""
        document: dict[str, Any] = to_json(self)
        return document


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
        number = _number(value, parameter.quantity, design, known)
        found = given(design, known, number, unknown)
    else:
        number = _number(value, find_result(design, known).quantity, design, known)
        found = find(design, unknown, known, number, together)
    return _answer(design, found, as_wheel)


def _number(value: float | str, quantity: Any, design: Design, name: str) -> float:
    return read_number(value, quantity, design.unit, name) if isinstance(value, str) else value


def _answer(design: Design, found: Found, as_wheel: Callable[[Design], Any]) -> FindAnswer:
    before = {(f.rule, f.where) for f in check_design(design).faults}
    after = check_design(found.design).faults
    faults = tuple(f for f in after if (f.rule, f.where) not in before)
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
        new_faults=tuple(f.rule for f in faults),
        cannot_be_made=(),
        faults=faults,
        means=found.unknown.means,
        wheel=as_wheel(found.design),
    )
