"""Every number of a wheel by its name, as the front door tells it."""

from __future__ import annotations

from collections.abc import Callable

from wheelgeo.design.model import Design
from wheelgeo.drive.train import Solution
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.inputs import inputs, is_input, value_of
from wheelgeo.numbers.results import is_result, result_of, results


@dataclass(frozen=True)
class NamedNumber:
    """An input or result of a wheel.

    Attributes:
        key: its name.
        value: the number, in its unit; None where the wheel has none.
        unit: mm, deg, rpm, N, g, or empty for bare numbers and fractions.
        means: what it is, in plain words.
    """

    key: str
    value: float | None
    unit: str
    means: str


def named_inputs(design: Design) -> tuple[NamedNumber, ...]:
    """Return every number that may be put, in the order shafts, pulleys, bands, rest."""
    return tuple(NamedNumber(p.key, p.value, p.unit, p.means) for p in inputs(design))


def named_results(solution: Solution) -> tuple[NamedNumber, ...]:
    """Return every result that has a name: ratio, speeds, lengths, wraps, angles."""
    return tuple(
        NamedNumber(r.key, r.of(solution), r.unit, r.means) for r in results(solution.design)
    )


def value_named(design: Design, name: str, solved: Callable[[], Solution]) -> float | None:
    """Return an input or a result by its name; None where the wheel has no such number.

    Args:
        design: the wheel.
        name: the name; where an input and a result have it, the input's.
        solved: solves the wheel, where a result is asked for.

    Raises:
        DesignError: the wheel has no input and no result of that name, or several inputs.
    """
    if is_result(design, name) and not is_input(design, name):
        return result_of(solved(), name)
    value: float | None = value_of(design, name)
    return value
