"""Wrong measurements looked for one at a time, and what one more measurement would bring.

See ``adjust``, whose page holds the glossary and the sources.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from wheelgeo.errors import SearchError
from wheelgeo.tune.adjust import (
    TWENTY_TO_ONE,
    Adjusted,
    Floats1,
    ResultBefore,
    ResultModel,
    Suspicion,
    ValueBefore,
    adjust,
)

GROSS = 30.0
"""Above this normalised residual the best fit is dragged so far off that slopes there tell nothing
of which observation dragged it: each is left out in turn instead, and the rest adjusted."""


def snoop(
    values: Sequence[ValueBefore],
    results: Sequence[ResultBefore],
    model: ResultModel,
    first: Adjusted | None = None,
) -> tuple[Adjusted, tuple[Suspicion, ...]]:
    """Look for wrong observations, one at a time: the likeliest is left out and the rest adjusted.

    Args:
        values: as for ``adjust``.
        results: as for ``adjust``.
        model: as for ``adjust``.
        first: what ``adjust`` made of them, if that is known.

    Returns:
        The adjustment without the likeliest of each suspicion, and the suspicions in the order
        in which they were found; the first adjustment and none where all agree.

    Raises:
        SearchError: as ``adjust``.
    """
    found: list[Suspicion] = []
    values, results, keep = list(values), list(results), list(range(len(results)))
    done: Adjusted | None = None
    while True:
        only = _only(model, tuple(keep))
        try:
            done = first if first is not None and not found else adjust(values, results, only)
        except SearchError:
            if done is None:
                raise
            # Without its suspect the rest fits no wheel: what was found so far is all there is.
            return done, tuple(found)
        wrong = done.suspicion
        if wrong is None:
            return done, tuple(found)
        if abs(wrong.normalised) > GROSS:
            wrong = _left_out(values, results, only, done, wrong)
        found.append(wrong)
        if not wrong.names:
            return done, tuple(found)
        worst = wrong.names[0]
        if any(v.name == worst and v.standard_uncertainty is not None for v in values):
            values = [
                ValueBefore(v.name, v.value, None) if v.name == worst else v for v in values
            ]
        else:
            at = next(i for i, r in enumerate(results) if r.name == worst)
            del results[at], keep[at]


def _left_out(
    values: Sequence[ValueBefore],
    results: Sequence[ResultBefore],
    model: ResultModel,
    done: Adjusted,
    told: Suspicion,
) -> Suspicion:
    """Return which observation disagrees by leaving each out and adjusting the rest.

    What is left of the weighted sum of squares without it is twice the logarithm of how likely it
    is to be the one, as in ``adjust``, but for the wheel itself and not for its slopes. Names none
    where no wheel is found whichever is left out.
    """
    tried: list[tuple[float, str, float]] = []
    for o in done.observations:
        fewer = [ValueBefore(v.name, v.value, None) if v.name == o.name else v for v in values]
        keep = tuple(i for i, r in enumerate(results) if r.name != o.name)
        rest = [results[i] for i in keep]
        try:
            without = adjust(fewer, rest, _only(model, keep))
        except SearchError:  # without it there is no best fit: it is not the one
            continue
        x = np.array([v.after for v in without.values])
        at = next((i for i, r in enumerate(results) if r.name == o.name), None)
        now = without.value(o.name).after if at is None else float(model(x)[at])
        tried.append((_square(without, fewer, rest), o.name, o.before - now))
    tried.sort()
    if not tried:
        return Suspicion((), told.normalised, 1.0, ())
    least = tried[0][0]
    likelihood = [math.exp(-0.5 * min(square - least, 1e3)) for square, _, _ in tried]
    named = [(name, error) for square, name, error in tried if square - least < TWENTY_TO_ONE]
    sure = sum(likelihood[: len(named)]) / sum(likelihood)
    size = math.copysign(math.sqrt(max(_square(done, values, results) - least, 0.0)), -tried[0][2])
    return Suspicion(tuple(n for n, _ in named), size, sure, tuple(e for _, e in named))


def _square(
    done: Adjusted, values: Sequence[ValueBefore], results: Sequence[ResultBefore]
) -> float:
    """Return the weighted sum of squares of an adjustment."""
    known = {v.name: v.standard_uncertainty for v in values}
    known |= {r.name: r.standard_uncertainty for r in results}
    return sum((o.residual / (known[o.name] or math.inf)) ** 2 for o in done.observations)


def _only(model: ResultModel, keep: tuple[int, ...]) -> ResultModel:
    """Return the model of some of the results."""
    return lambda x: np.asarray(model(x), dtype=float)[list(keep)]


def gain(adjusted: Adjusted, wanted: Floats1, slope: Floats1, standard_uncertainty: float) -> float:
    """Return by what part one more measurement would lower the variance of a wanted number.

    Args:
        adjusted: the adjustment so far, with every value known.
        wanted: slope of the wanted number by the values, shape (values,).
        slope: slope of the further measurement by the values, shape (values,).
        standard_uncertainty: of the further measurement.

    Returns:
        From 0 (no help) to 1 (the number would be known exactly).

    Raises:
        ValueError: a value is open, so that the variance has no bound.
    """
    if adjusted.unknown:
        raise ValueError("what cannot be known has no variance to be lowered")
    # The gain of a Kalman step: what the wanted number and the measurement have in common.
    common = float(wanted @ adjusted.covariance @ slope)
    own = float(slope @ adjusted.covariance @ slope) + standard_uncertainty**2
    before = float(wanted @ adjusted.covariance @ wanted)
    return common**2 / (own * before) if before > 0.0 else 0.0
