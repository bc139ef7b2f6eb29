"""Within which limits one number of a wheel may move so that the wheel still exists."""

from __future__ import annotations

from collections.abc import Callable

from wheelgeo.design.model import Design
from wheelgeo.design.possible import faults
from wheelgeo.errors import Fault, SearchError
from wheelgeo.immutable import dataclass

FINE = 1e-9
"""A limit is found to this fraction of itself (and of one unit, for small numbers)."""


@dataclass(frozen=True)
class PossibleRange:
    """The values of a number round today's with which the wheel exists.

    Attributes:
        low: the least.
        high: the greatest.
        below: what keeps it from being less; empty where its own bounds do.
        above: what keeps it from being more; likewise.
    """

    low: float
    high: float
    below: tuple[Fault, ...] = ()
    above: tuple[Fault, ...] = ()


def possible_range(
    change: Callable[[float], Design], start: float, low: float, high: float
) -> PossibleRange:
    """Return how far a number can go down and up from a value before the wheel cannot exist.

    Args:
        change: returns the wheel with that value.
        start: a value with which it exists; where it does not, nothing is narrowed.
        low: the least that the number may be by its own bounds.
        high: the most.
    """
    if why_not(change, start):
        return PossibleRange(low, high)
    least, below = _edge(change, start, low)
    most, above = _edge(change, start, high)
    return PossibleRange(least, most, below, above)


def why_not(change: Callable[[float], Design], value: float) -> tuple[Fault, ...]:
    """Return why a number cannot have a value: it is out of its bounds, or no such wheel exists."""
    try:
        return faults(change(value))
    except SearchError as error:
        return (Fault("", str(error)),)


def _edge(
    change: Callable[[float], Design], start: float, end: float
) -> tuple[float, tuple[Fault, ...]]:
    """Return the last possible value between a possible one and an end, and what is beyond it."""
    why = why_not(change, end)
    if not why:
        return end, ()
    inside, outside = start, end
    step = 0.1 * max(abs(start), 1.0)
    # the end may be a kilometre away: steps that double find a near limit soon
    while step < abs(end - start):
        value = start + step if end > start else start - step
        beyond = why_not(change, value)
        if beyond:
            outside, why = value, beyond
            break
        inside, step = value, 2.0 * step
    while abs(outside - inside) > FINE * max(1.0, abs(inside)):
        middle = 0.5 * (inside + outside)
        beyond = why_not(change, middle)
        if beyond:
            outside, why = middle, beyond
        else:
            inside = middle
    return inside, why
