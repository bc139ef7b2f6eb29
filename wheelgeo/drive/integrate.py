"""Integrate ordinary differential equations that change their law at events.

The embedded Runge-Kutta pair 5(4) of Dormand and Prince (J. Comp. Appl. Math. 6, 1980), with the
step that reaches an event found by the secant rule on whole steps, so that the state at an event
is as exact as any other. A few equations in plain floats: faster than arrays for so few, and no
heavy library to load.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

State = tuple[float, ...]
Law = Callable[[float, State], Sequence[float]]

_C = (0.0, 1 / 5, 3 / 10, 4 / 5, 8 / 9, 1.0, 1.0)
_A: tuple[tuple[float, ...], ...] = (
    (),
    (1 / 5,),
    (3 / 40, 9 / 40),
    (44 / 45, -56 / 15, 32 / 9),
    (19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729),
    (9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656),
    (35 / 384, 0.0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84),
)
_ERROR = (71 / 57600, 0.0, -71 / 16695, 71 / 1920, -17253 / 339200, 22 / 525, -1 / 40)
_SHRINK, _GROW, _SAFE = 0.2, 5.0, 0.9
_BISECTIONS = 80


@dataclass(frozen=True, slots=True)
class StepTolerance:
    """How exact a step must be: relative, and absolute in the unit of each component."""

    relative: float = 1e-10
    absolute: float = 1e-13


def step(law: Law, t: float, y: State, h: float) -> tuple[State, State]:
    """Return the state after one step of fifth order, and the estimate of its error."""
    slopes: list[Sequence[float]] = []
    at = y
    for row, c in zip(_A, _C, strict=True):
        if row:
            at = tuple(
                v + h * sum(a * k[i] for a, k in zip(row, slopes, strict=True))
                for i, v in enumerate(y)
            )
        slopes.append(law(t + c * h, at))
    error = tuple(
        h * sum(e * k[i] for e, k in zip(_ERROR, slopes, strict=True)) for i in range(len(y))
    )
    return at, error


def size(error: State, before: State, after: State, tolerance: StepTolerance) -> float:
    """Return the largest error over what is allowed; a step is good at 1 or less."""
    return max(
        abs(e) / (tolerance.absolute + tolerance.relative * max(abs(a), abs(b)))
        for e, a, b in zip(error, before, after, strict=True)
    )


@dataclass(frozen=True, slots=True)
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
