"""Wrong measurements looked for one at a time, and what one more measurement would bring.

See ``adjust``, whose page holds the glossary and the sources.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wheelgeo.errors import SearchError
from wheelgeo.tune.adjust import (
    Adjusted,
    Floats1,
    ResultBefore,
    ResultModel,
    Suspicion,
    ValueBefore,
    adjust,
)


def snoop(
    values: Sequence[ValueBefore], results: Sequence[ResultBefore], model: ResultModel
) -> tuple[Adjusted, tuple[Suspicion, ...]]:
    """Look for wrong observations, one at a time: the likeliest is left out and the rest adjusted.

    Args:
        values: as for ``adjust``.
        results: as for ``adjust``.
        model: as for ``adjust``.

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
        try:
            done = adjust(values, results, _only(model, tuple(keep)))
        except SearchError:
            if done is None:
                raise
            # Without its suspect the rest fits no wheel: what was found so far is all there is.
            return done, tuple(found)
        wrong = done.suspicion
        if wrong is None:
            return done, tuple(found)
        found.append(wrong)
        worst = wrong.names[0]
        if any(v.name == worst and v.standard_uncertainty is not None for v in values):
            values = [
                ValueBefore(v.name, v.value, None) if v.name == worst else v for v in values
            ]
        else:
            at = next(i for i, r in enumerate(results) if r.name == worst)
            del results[at], keep[at]


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
