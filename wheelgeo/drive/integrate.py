"""Integrate ordinary differential equations that change their law at events.

The embedded Runge-Kutta pair 5(4) of Dormand and Prince (J. Comp. Appl. Math. 6, 1980), with the
step that reaches an event found by the secant rule on whole steps, so that the state at an event
is as exact as any other. A few equations in plain floats: faster than arrays for so few, and no
heavy library to load.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from wheelgeo.immutable import dataclass

State = tuple[float, ...]
Known = tuple[Sequence[float], Any]
"""What a law gives at one time and state: the slopes of the state, and whatever else it finds on
its way there (forces), for the events and for whoever follows the steps."""
Law = Callable[[float, State], Known]
Event = Callable[[State, Any], float]
"""Is positive until its event and negative after it; takes the state and what the law finds."""

_SHRINK, _GROW, _SAFE = 0.2, 5.0, 0.9
_TRIES = 80
_CLOSE = 1e-14
"""How near an event's step is found, as a part of the whole one."""


@dataclass(frozen=True)
class StepTolerance:
    """How exact a step must be: relative, and absolute in the unit of each component."""

    relative: float = 1e-10
    absolute: float = 1e-13


def step(
    law: Law, t: float, y: State, h: float, first: Sequence[float]
) -> tuple[State, State, Known]:
    """Return the state after one step of fifth order, the estimate of its error, and the law there.

    The rows of the tableau are written out: for a few equations a loop over a table of them takes
    twice the time.

    Args:
        law: slopes of the state.
        t: time.
        y: state.
        h: the step.
        first: slopes at its beginning, which the step before has found at its end.
    """
    k1 = first
    at = tuple([v + h * (1 / 5 * a) for v, a in zip(y, k1, strict=True)])
    k2, _ = law(t + 1 / 5 * h, at)
    at = tuple([v + h * (3 / 40 * a + 9 / 40 * b) for v, a, b in zip(y, k1, k2, strict=True)])
    k3, _ = law(t + 3 / 10 * h, at)
    at = tuple(
        [
            v + h * (44 / 45 * a - 56 / 15 * b + 32 / 9 * c)
            for v, a, b, c in zip(y, k1, k2, k3, strict=True)
        ]
    )
    k4, _ = law(t + 4 / 5 * h, at)
    at = tuple(
        [
            v + h * (19372 / 6561 * a - 25360 / 2187 * b + 64448 / 6561 * c - 212 / 729 * d)
            for v, a, b, c, d in zip(y, k1, k2, k3, k4, strict=True)
        ]
    )
    k5, _ = law(t + 8 / 9 * h, at)
    at = tuple(
        [
            v
            + h
            * (9017 / 3168 * a - 355 / 33 * b + 46732 / 5247 * c + 49 / 176 * d - 5103 / 18656 * e)
            for v, a, b, c, d, e in zip(y, k1, k2, k3, k4, k5, strict=True)
        ]
    )
    k6, _ = law(t + h, at)
    after = tuple(
        [
            v
            + h * (35 / 384 * a + 500 / 1113 * c + 125 / 192 * d - 2187 / 6784 * e + 11 / 84 * f)
            for v, a, c, d, e, f in zip(y, k1, k3, k4, k5, k6, strict=True)
        ]
    )
    known = law(t + h, after)
    k7 = known[0]
    error = tuple(
        [
            h
            * (
                71 / 57600 * a
                - 71 / 16695 * c
                + 71 / 1920 * d
                - 17253 / 339200 * e
                + 22 / 525 * f
                - 1 / 40 * g
            )
            for a, c, d, e, f, g in zip(k1, k3, k4, k5, k6, k7, strict=True)
        ]
    )
    return after, error, known


def size(error: State, before: State, after: State, tolerance: StepTolerance) -> float:
    """Return the largest error over what is allowed; a step is good at 1 or less."""
    return max(
        abs(e) / (tolerance.absolute + tolerance.relative * max(abs(a), abs(b)))
        for e, a, b in zip(error, before, after, strict=True)
    )


@dataclass(frozen=True)
class Advance:
    """One good step.

    Attributes:
        t: the time that it led to.
        state: the state there.
        known: what the law gives there.
        next_h: the step to try next.
        event: number of the event that it stopped at; None where it met none.
    """

    t: float
    state: State
    known: Known
    next_h: float
    event: int | None


def advance(
    law: Law,
    t: float,
    y: State,
    h: float,
    events: Sequence[Event],
    tolerance: StepTolerance,
    known: Known,
) -> Advance:
    """Take one good step, shortened to the first event.

    Args:
        law: slopes of the state.
        t: time.
        y: state.
        h: step to try.
        events: what may happen; one that is not positive now does not count.
        tolerance: how exact.
        known: what the law gives now.
    """
    slopes, told = known
    while True:
        after, error, end = step(law, t, y, h, slopes)
        wrong = size(error, y, after, tolerance)
        if wrong <= 1.0:
            break
        h *= max(_SHRINK, _SAFE * wrong**-0.2)
    factor = _GROW if wrong == 0.0 else min(_GROW, max(_SHRINK, _SAFE * wrong**-0.2))
    gaps = [(event(y, told), event(after, end[1])) for event in events]
    fired = [i for i, (begins, ends) in enumerate(gaps) if begins > 0.0 >= ends]
    if not fired:
        return Advance(t + h, after, end, h * factor, None)

    tried = {h: (after, end)}

    def gap_after(short: float, i: int) -> float:
        state, _, there = step(law, t, y, short, slopes)
        tried[short] = state, there
        return events[i](state, there[1])

    found = [(_time_of(partial(gap_after, i=i), h, gaps[i]), i) for i in fired]
    short, first = min(found)
    state, there = tried[short]
    return Advance(t + short, state, there, h * factor, first)


def _time_of(gap_after: Callable[[float], float], h: float, ends: tuple[float, float]) -> float:
    """Return the step that ends at an event, on its far side.

    By the secant through the last two tries, which the bracket keeps from straying (Dekker's
    rule). Once it has settled it is set a little past where it points, so that the other side of
    the bracket closes too.

    Args:
        gap_after: the event's function after a step so long.
        h: the whole step.
        ends: that function at its beginning, positive, and at its end.
    """
    low, high = 0.0, h
    at_low, at_high = ends
    near, last = (low, at_low), (high, at_high)
    for _ in range(_TRIES):
        if at_high == 0.0 or high - low <= _CLOSE * h:
            break
        (x, at_x), (before, at_before) = last, near
        way = -at_x * (x - before) / (at_x - at_before) if at_x != at_before else 0.0
        past = 0.5 * _CLOSE * h if at_x > 0.0 else -0.5 * _CLOSE * h
        trial = x + (way if abs(way) > abs(past) else past)
        if not low < trial < high:
            trial = 0.5 * (low + high)
        near, last = last, (trial, gap_after(trial))
        if last[1] > 0.0:
            low, at_low = last
        else:
            high, at_high = last
    return high
