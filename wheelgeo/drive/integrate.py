"""Integrate ordinary differential equations that change their law at events.

The embedded Runge-Kutta pair 5(4) of Dormand and Prince (J. Comp. Appl. Math. 6, 1980), with the
step that reaches an event found by the secant rule on whole steps, so that the state at an event
is as exact as any other. A few equations in plain floats: faster than arrays for so few, and no
heavy library to load.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from wheelgeo.immutable import dataclass

State = tuple[float, ...]
Law = Callable[[float, State], Sequence[float]]

_SHRINK, _GROW, _SAFE = 0.2, 5.0, 0.9
_BISECTIONS = 80


@dataclass(frozen=True)
class StepTolerance:
    """How exact a step must be: relative, and absolute in the unit of each component."""

    relative: float = 1e-10
    absolute: float = 1e-13


def step(law: Law, t: float, y: State, h: float) -> tuple[State, State]:
    """Return the state after one step of fifth order, and the estimate of its error.

    The rows of the tableau are written out: for a few equations a loop over a table of them takes
    twice the time.
    """
    k1 = law(t, y)
    at = tuple([v + h * (1 / 5 * a) for v, a in zip(y, k1, strict=True)])
    k2 = law(t + 1 / 5 * h, at)
    at = tuple([v + h * (3 / 40 * a + 9 / 40 * b) for v, a, b in zip(y, k1, k2, strict=True)])
    k3 = law(t + 3 / 10 * h, at)
    at = tuple(
        [
            v + h * (44 / 45 * a - 56 / 15 * b + 32 / 9 * c)
            for v, a, b, c in zip(y, k1, k2, k3, strict=True)
        ]
    )
    k4 = law(t + 4 / 5 * h, at)
    at = tuple(
        [
            v + h * (19372 / 6561 * a - 25360 / 2187 * b + 64448 / 6561 * c - 212 / 729 * d)
            for v, a, b, c, d in zip(y, k1, k2, k3, k4, strict=True)
        ]
    )
    k5 = law(t + 8 / 9 * h, at)
    at = tuple(
        [
            v
            + h
            * (9017 / 3168 * a - 355 / 33 * b + 46732 / 5247 * c + 49 / 176 * d - 5103 / 18656 * e)
            for v, a, b, c, d, e in zip(y, k1, k2, k3, k4, k5, strict=True)
        ]
    )
    k6 = law(t + h, at)
    after = tuple(
        [
            v
            + h * (35 / 384 * a + 500 / 1113 * c + 125 / 192 * d - 2187 / 6784 * e + 11 / 84 * f)
            for v, a, c, d, e, f in zip(y, k1, k3, k4, k5, k6, strict=True)
        ]
    )
    k7 = law(t + h, after)
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
    return after, error


def size(error: State, before: State, after: State, tolerance: StepTolerance) -> float:
    """Return the largest error over what is allowed; a step is good at 1 or less."""
    return max(
        abs(e) / (tolerance.absolute + tolerance.relative * max(abs(a), abs(b)))
        for e, a, b in zip(error, before, after, strict=True)
    )


@dataclass(frozen=True)
class Advance:
    """One good step: where it led, the step to try next, and the event that it stopped at."""

    t: float
    state: State
    next_h: float
    event: int | None


def advance(
    law: Law,
    t: float,
    y: State,
    h: float,
    events: Sequence[Callable[[float, State], float]],
    tolerance: StepTolerance,
) -> Advance:
    """Take one good step, shortened to the first event.

    Args:
        law: slopes of the state.
        t: time.
        y: state.
        h: step to try.
        events: functions that are positive until their event and negative after it. One that is
            not positive now does not count.
        tolerance: how exact.
    """
    while True:
        after, error = step(law, t, y, h)
        wrong = size(error, y, after, tolerance)
        if wrong <= 1.0:
            break
        h *= max(_SHRINK, _SAFE * wrong**-0.2)
    factor = _GROW if wrong == 0.0 else min(_GROW, max(_SHRINK, _SAFE * wrong**-0.2))
    fired = [i for i, e in enumerate(events) if e(t, y) > 0.0 >= e(t + h, after)]
    if not fired:
        return Advance(t + h, after, h * factor, None)
    found = [(_time_of(law, t, y, h, events[i]), i) for i in fired]
    short, first = min(found)
    state, _ = step(law, t, y, short)
    return Advance(t + short, state, h * factor, first)


def _time_of(
    law: Law, t: float, y: State, h: float, event: Callable[[float, State], float]
) -> float:
    """Return the step that ends at an event, on its far side, by false position (Illinois)."""
    low, high = 0.0, h
    at_low, at_high = event(t, y), event(t + h, step(law, t, y, h)[0])
    for _ in range(_BISECTIONS):
        if at_high == 0.0 or high - low <= 1e-15 * h + 1e-300:
            break
        middle = high - at_high * (high - low) / (at_high - at_low)
        if not low < middle < high:
            middle = 0.5 * (low + high)
        value = event(t + middle, step(law, t, y, middle)[0])
        if value > 0.0:
            low, at_low, at_high = middle, value, at_high / 2.0
        else:
            high, at_high, at_low = middle, value, at_low / 2.0
    return high
