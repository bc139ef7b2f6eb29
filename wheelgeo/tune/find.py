"""Solve a wheel backwards: which number makes a result come out as it is wanted."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial

from wheelgeo.design.model import Design
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import SearchError
from wheelgeo.geometry.golden import least
from wheelgeo.geometry.vectors import norm, sub
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.inputs import NamedInput, changer, find_input, put
from wheelgeo.numbers.possible_range import PossibleRange, possible_range, why_not
from wheelgeo.numbers.results import Result, find_result, number_of
from wheelgeo.tune.roots import roots_between, with_edges

EXACT = 1e-9
"""An answer reaches what is wanted to this fraction of it (and of one unit, for small numbers)."""

_NEAR = (-4.0, -1.0)
_FAR = (-1.0, 3.0)
"""Powers of ten of the unknown's scale within which to look first, and then."""
_PER_DECADE = 6
_EVEN_STEPS = 24
_MOST_OTHERS = 4


class NoAnswer(SearchError):  # noqa: N818 - it says what it is
    """No value of the unknown gives what is wanted.

    Attributes:
        nearest: the value that comes nearest; None where none gives any number at all.
        reached: what it gives; None likewise.
    """

    def __init__(self, message: str, nearest: float | None, reached: float | None) -> None:
        self.nearest = nearest
        self.reached = reached
        super().__init__(message)


@dataclass(frozen=True)
class Found:
    """An answer.

    Attributes:
        unknown: the number that was looked for, as it was before.
        value: what it must be.
        target: what was aimed at.
        wanted: what it should come to.
        before: what it was before; None where there was none.
        reached: what it comes to.
        design: the wheel with the answer in place.
        others: further values that do as well, the nearest to the old value first.
    """

    unknown: NamedInput
    value: float
    target: Result
    wanted: float
    before: float | None
    reached: float
    design: Design
    others: tuple[float, ...]


def find(
    design: Design, unknown: str, target: str, wanted: float, together: Sequence[str] = ()
) -> Found:
    """Find the value of one number of a design that makes a result come out as wanted.

    Where several values do, the one nearest to today's is taken.

    Args:
        design: the wheel.
        unknown: key of the number that may change (see ``wheelgeo.numbers.inputs``).
        target: key of the result (see ``wheelgeo.numbers.results``).
        wanted: what the result should be, in the target's unit; angles signed, degrees.
        together: keys of further numbers that always take the same value as the unknown, such as
            the travel of a second shaft on the same slide.

    Returns:
        The answer, exact to 1e-9.

    Raises:
        NoAnswer: there is none; says why, and the nearest there is.
        SearchError: a key is unknown, the wanted value is not a finite number, or the unknown has
            no way to go (a slide without travel, an axis that cannot lean further).
    """
    aim, parameter = find_result(design, target), find_input(design, unknown)
    if not math.isfinite(wanted):
        raise SearchError(f'"{target}" cannot come to {wanted}')
    if parameter.low == parameter.high:
        only = _say(parameter.low, parameter.unit)
        raise SearchError(f'"{parameter.key}" ({parameter.means}) has no way to go from {only}')
    changes = tuple(changer(design, key) for key in (parameter.key, *together))
    start = _start(parameter)
    changed = partial(_changed, design, changes)
    limits = possible_range(changed, start, parameter.low, parameter.high)
    parameter = replace(parameter, low=limits.low, high=limits.high)
    search = _FindSearch(
        design, parameter.key, changes, aim, wanted, limits, tuple(together)
    )
    misses: dict[float, float] = {}
    for places in (_near(design, parameter), _far(design, parameter)):
        misses |= {place: search.miss(place) for place in places if place not in misses}
        xs = sorted(misses)
        answers = roots_between(search.miss, xs, [misses[x] for x in xs], search.tolerance)
        if answers:
            best, *others = sorted(answers, key=lambda x: abs(x - start))
            return _found(search, parameter, best, others)
    if _constant(misses.values()):
        raise _no_part(search, parameter, misses[start])
    raise _no_answer(search, parameter, xs, [misses[x] for x in xs])


def given(design: Design, key: str, value: float, result: str) -> Found:
    """Return what a result comes to with another number in the design: a band for a position.

    Args:
        design: the wheel.
        key: key of the number that is given (see ``wheelgeo.numbers.inputs``).
        value: what it is to be, in its unit.
        result: key of the result that is asked for (see ``wheelgeo.numbers.results``).

    Returns:
        The number given as ``unknown`` and ``value``, the result as ``reached``.

    Raises:
        NoAnswer: with that number the wheel has no such result.
        SearchError: a key is unknown.
        DesignError: with that number the wheel cannot exist.
    """
    aim, parameter = find_result(design, result), find_input(design, key)
    changed = put(design, {parameter.key: value})
    reached = aim.of(solve_drive(changed))
    if reached is None:
        said = _say(value, parameter.unit)
        raise NoAnswer(f'with "{key}" at {said} there is no {aim.key} ({aim.means})', None, None)
    before = aim.of(solve_drive(design))
    return Found(parameter, value, aim, reached, before, reached, changed, ())


def _found(
    search: _FindSearch, parameter: NamedInput, best: float, others: Sequence[float]
) -> Found:
    solved = search.changed(best)
    apart = [x for x in others if abs(x - best) > 1e-6 * max(1.0, abs(best))]
    return Found(
        parameter, best, search.target, search.wanted,
        before=search.target.of(solve_drive(search.design)),
        reached=number_of(search.target, solve_drive(solved)),
        design=solved,
        others=tuple(apart[:_MOST_OTHERS]),
    )  # fmt: skip


def _constant(misses: Iterable[float]) -> bool:
    """Tell whether the unknown has no part in what is aimed at."""
    first, *others = misses
    return all(abs(miss - first) <= 1e-12 * max(1.0, abs(first)) for miss in others)


def _no_part(search: _FindSearch, parameter: NamedInput, miss: float) -> NoAnswer:
    reached = search.wanted + miss
    stays = f"it stays {_say(reached, search.target.unit)}"
    says = f'"{parameter.key}" has no part in it; {stays}'
    if search.together:
        others = " and ".join(f'"{key}"' for key in search.together)
        says = f'changed together with {others}, "{parameter.key}" has no part in it; {stays}'
    return NoAnswer(f"{search.head}: {says}", _start(parameter), reached)


@dataclass(frozen=True)
class _FindSearch:
    """By how much a value of the unknown misses what is wanted."""

    design: Design
    key: str
    changes: tuple[Callable[[Design, float], Design], ...]
    target: Result
    wanted: float
    limits: PossibleRange
    together: tuple[str, ...]

    @property
    def tolerance(self) -> float:
        """How far from what is wanted an answer may be."""
        return EXACT * max(1.0, abs(self.wanted))

    @property
    def head(self) -> str:
        """How every "there is none" begins."""
        wanted = _say(self.wanted, self.target.unit)
        return f'no value of "{self.key}" brings "{self.target.key}" to {wanted}'

    def changed(self, value: float) -> Design:
        """Return the design with that value in place."""
        return _changed(self.design, self.changes, value)

    def reached(self, value: float) -> float:
        """Return what a value gives; NaN where no such wheel can exist, or has no such number."""
        if why_not(self.changed, value):
            return math.nan
        return number_of(self.target, solve_drive(self.changed(value)))

    def miss(self, value: float) -> float:
        """Return what a value gives less what is wanted."""
        return self.reached(value) - self.wanted


def _changed(
    design: Design, changes: Sequence[Callable[[Design, float], Design]], value: float
) -> Design:
    for change in changes:
        design = change(design, value)
    return design


_DISTANT = 1e5
"""An end of a range further off than this is no end that a search comes to."""


def _is_near(end: float) -> bool:
    return abs(end) < _DISTANT


def _start(parameter: NamedInput) -> float:
    """Return today's value; where the design is silent, a place well inside the range."""
    if parameter.value is not None:
        return parameter.value
    low, high = parameter.low, parameter.high
    if not _is_near(low):
        return 0.0
    return low + 0.5 * (high - low) if _is_near(high) else low + 1.0


def _near(design: Design, parameter: NamedInput) -> list[float]:
    """Return places close to today's value, today's own first."""
    return _around(design, parameter, *_NEAR)


def _far(design: Design, parameter: NamedInput) -> list[float]:
    """Return places far from today's value and close to the ends of the range."""
    start, low, high = _start(parameter), parameter.low, parameter.high
    shares = [10.0 ** (-i / _PER_DECADE) for i in range(1, 4 * _PER_DECADE)]
    places = _around(design, parameter, *_FAR)
    if _is_near(low):
        places += [low, *(low + (start - low) * share for share in shares)]
    if _is_near(high):
        places += [high, *(high - (high - start) * share for share in shares)]
    if _is_near(low) and _is_near(high):
        places += [low + (high - low) * i / _EVEN_STEPS for i in range(1, _EVEN_STEPS)]
    return _allowed(parameter, places)


def _around(design: Design, parameter: NamedInput, first: float, last: float) -> list[float]:
    """Return places on both sides of today's value, between two powers of ten of its scale."""
    start, low = _start(parameter), parameter.low
    scale = max(abs(start), start - low) if _is_near(low) else _size_mm(design)
    count = round((last - first) * _PER_DECADE)
    steps = [scale * 10.0 ** (first + i / _PER_DECADE) for i in range(count + 1)]
    places = [start, *(start + side * step for side in (-1.0, 1.0) for step in steps)]
    return _allowed(parameter, places)


def _allowed(parameter: NamedInput, places: Sequence[float]) -> list[float]:
    return [place for place in places if parameter.low <= place <= parameter.high]


def _size_mm(design: Design) -> float:
    """Return how far the drive reaches, mm."""
    first = design.shafts[0].at_mm
    apart = max(norm(sub(s.at_mm, first)) for s in design.shafts)
    return max(apart, 1.0)


def _no_answer(
    search: _FindSearch, parameter: NamedInput, places: Sequence[float], misses: Sequence[float]
) -> NoAnswer:
    """Say why there is no answer, and what comes nearest."""
    xs, ys = with_edges(search.miss, places, misses)
    known = [i for i, miss in enumerate(ys) if not math.isnan(miss)]
    if not known:
        return NoAnswer(f"{search.head}: none gives any ({search.target.means})", None, None)
    nearest = _nearest(search, xs, ys, min(known, key=lambda i: abs(ys[i])))
    reached = search.reached(nearest)
    return NoAnswer(
        f"{search.head}: the nearest is {_say(reached, search.target.unit)}, "
        f"at {_say(nearest, parameter.unit)}{_why(search, parameter, nearest)}",
        nearest, reached,
    )  # fmt: skip


def _nearest(search: _FindSearch, xs: Sequence[float], ys: Sequence[float], best: int) -> float:
    """Return the place at or beside the best one looked at where the least is missing."""
    tried = {xs[best]: abs(ys[best])}
    for other in (best - 1, best + 1):
        if 0 <= other < len(xs) and not math.isnan(ys[other]):
            low, high = sorted((xs[best], xs[other]))
            place = least(lambda x: abs(search.miss(x)), low, high)
            tried[place] = abs(search.miss(place))
    return min(tried, key=lambda place: tried[place])


def _why(search: _FindSearch, parameter: NamedInput, nearest: float) -> str:
    """Say which end of its range stops the unknown, where one does, and what is beyond it."""
    limits = search.limits
    ends = ((limits.low, "less", limits.below), (limits.high, "more", limits.above))
    for end, what, beyond in ends:
        if _is_near(end) and abs(nearest - end) <= 1e-3 * max(1.0, abs(end)):
            least = _say(end, parameter.unit)
            head = f"{parameter.means}: it cannot be {what} than {least}"
            why = (f", such a wheel cannot exist: {f.place}: {f.says}" for f in beyond[:1])
            return f" ({head}{''.join(why)})"
    return ""


def _say(value: float, unit: str) -> str:
    return f"{value:.6g} {unit}".rstrip()
