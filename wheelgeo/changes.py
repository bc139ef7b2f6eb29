"""Set values of a wheel anew by name, as ``Wheel.put`` does."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from wheelgeo.check.edits import Edit, apply_edits, place_of
from wheelgeo.design.model import Design
from wheelgeo.errors import DesignError, Fault, WheelError
from wheelgeo.numbers.results import is_result
from wheelgeo.numbers.typed import read_number
from wheelgeo.tune.parameters import find_parameter, is_parameter, replace


class as_fault_of:  # noqa: N801 - it reads as the word that it is
    """Turns an error of a name or a value into a DesignError that names it."""

    def __init__(self, name: str) -> None:
        self.name = name

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: Any, error: BaseException | None, trace: Any) -> None:
        if isinstance(error, WheelError) and not isinstance(error, DesignError):
            raise DesignError((Fault(self.name, str(error)),)) from error


def put_all(design: Design, changes: Mapping[str, Any]) -> Design:
    """Return a design with values set anew, in whatever order each can be set in."""
    waiting = list(changes)
    while waiting:
        faults: list[Fault] = []
        left: list[str] = []
        for name in waiting:
            try:
                with as_fault_of(name):
                    set_one = _put_number if is_parameter(design, name) else _put_other
                    design = set_one(design, name, changes[name])
            except DesignError as error:
                faults += error.faults
                left.append(name)
        if len(left) == len(waiting):
            raise DesignError(tuple(faults))
        waiting = left
    return design


def _put_number(design: Design, name: str, value: Any) -> Design:
    parameter = find_parameter(design, name)
    if isinstance(value, str):
        number = read_number(value, parameter.quantity, design.unit, name)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        number = float(value)
    else:
        raise DesignError((Fault(name, f"{value!r} is no number"),))
    return replace(design, name, number)


def _put_other(design: Design, name: str, value: Any) -> Design:
    """Set a text, choice, vector or route anew."""
    if is_result(design, name):
        says = f'"{name}" is a result, which follows from the rest'
        raise DesignError((Fault(name, says, "find what gives it with Wheel.find"),))
    try:
        place_of(design, name)
    except KeyError:
        find_parameter(design, name)  # says which names come near
    try:
        return apply_edits(design, [Edit(name, None, value)])
    except (TypeError, ValueError, AttributeError) as error:
        raise DesignError((Fault(name, f"it cannot be {value!r}"),)) from error
