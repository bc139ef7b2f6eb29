"""A number as it was typed or dragged on the page, and how far it can go."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from wheelgeo.design.model import Design
from wheelgeo.errors import DesignError, Fault
from wheelgeo.numbers.inputs import find_input, is_input
from wheelgeo.units import LENGTH_MM, with_unit
from wheelgeo.units.written import LengthUnit, bare_unit
from wheelgeo.wheel import Wheel

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
    is_length = find_input(design, key).quantity is LENGTH_MM
    return with_unit(value, bare_unit(unit)) if is_length else value


def farthest(
    wheel: Wheel, wanted: Mapping[str, Any]
) -> tuple[Wheel, dict[str, float], tuple[Fault, ...]]:
    """Return the wheel with numbers moved as far towards what is wanted as it can still exist.

    Args:
        wheel: the wheel from which the hand started.
        wanted: the numbers, in the library's own units.

    Returns:
        The wheel; the numbers that it has; and what keeps them from going on, nothing where they
        went all the way.

    Raises:
        DesignError: a name is none, or a value no number.
    """
    start = {key: value for key in wanted if _is_number(value := wheel.get(key))}
    ends = {key: value for key, value in wanted.items() if _is_number(value)}
    if not len(start) == len(ends) == len(wanted):
        return wheel.put(wanted), {}, ()  # a text or a choice has no way to go
    try:
        return wheel.put(ends), {k: float(v) for k, v in ends.items()}, ()
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
    return reached, _on_the_way(start, ends, inside), faults


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _on_the_way(
    start: Mapping[str, Any], ends: Mapping[str, float], part: float
) -> dict[str, float]:
    return {key: start[key] + part * (end - start[key]) for key, end in ends.items()}
