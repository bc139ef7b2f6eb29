"""The best fit of what was measured of a wheel, or which measurement there can be none with."""

from __future__ import annotations

import numpy as np

from wheelgeo.design.model import Design
from wheelgeo.errors import SearchError
from wheelgeo.numbers.results import Result
from wheelgeo.tune.adjust import Adjusted, ResultBefore, ValueBefore, adjust
from wheelgeo.tune.measurements import Models, models_of, results_before, values_before
from wheelgeo.units import in_inches
from wheelgeo.units.quantity import INCHES

HOPELESS = 10.0
"""So many standard uncertainties of foretelling off, no adjusting makes measurements agree."""


def adjusted(
    design: Design,
    values: list[ValueBefore],
    named: list[tuple[Result, ResultBefore]],
    of: Models,
) -> Adjusted:
    """Return the adjustment of what was measured of a wheel.

    Args:
        design: the wheel.
        values: its numbers with an uncertainty.
        named: its measured results.
        of: makes its models.

    Raises:
        SearchError: there is none; names what must be wrong: without it there is one.
    """
    def best(some: list[tuple[Result, ResultBefore]]) -> Adjusted:
        return adjust(values, [before for _, before in some], of([result for result, _ in some]))

    try:
        return best(named)
    except SearchError as error:
        wrong = []
        for i, (result, before) in enumerate(named):
            try:
                rest = best(named[:i] + named[i + 1 :])
            except SearchError:  # the others contradict one another without it too
                continue
            x = np.array([v.after for v in rest.values])
            by_others = float(of([result])(x)[0])
            wrong.append(
                f"{before.name} = {_said(before.value, result, design)} (by the others "
                f"{_said(by_others, result, design)})"
            )
        if not wrong:
            names = ", ".join(before.name for _, before in named)
            raise SearchError(f"{error}: {names or 'the values'}") from error
        raise SearchError(
            f"no wheel comes near these measurements together; {' or '.join(wrong)} must be wrong: "
            "measure it again"
        ) from error


def agree(design: Design) -> bool:
    """Tell whether the measurements of a wheel agree with one another."""
    named, values = results_before(design), values_before(design)
    model = models_of(design)([result for result, _ in named])
    x, off = np.array([v.value for v in values]), np.array([b.value for _, b in named])
    spread = np.array([v.standard_uncertainty for v in values], dtype=float)
    foretold = model(x)
    parts = np.array([model(x + row) - foretold for row in np.diag(spread)])
    own = np.array([b.standard_uncertainty for _, b in named])
    # How far each result is off what the values foretell, before anything is adjusted: no bend of
    # the curves makes up for that much. NaN, no such wheel, is no more than not known.
    if np.any(np.abs(off - foretold) > HOPELESS * np.sqrt(np.sum(parts**2, axis=0) + own**2)):
        return False
    try:
        return not adjust(values, [b for _, b in named], model).suspicion
    except SearchError:  # no wheel of that kind comes near them
        return False


def _said(value: float, result: Result, design: Design) -> str:
    """Return a result with its unit, a length in that of the file."""
    if result.unit == "mm" and design.unit in INCHES:
        return in_inches(value)
    return f"{value:.5g} {result.unit}".rstrip()
