"""Results of many wheels at once that differ in what was measured of them, for simulation."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from wheelgeo.design.model import Design
from wheelgeo.drive.train import BandMotion, Solution, solve_drive
from wheelgeo.numbers.inputs import get
from wheelgeo.numbers.results import Result
from wheelgeo.tune.adjust import Floats1, ResultModel
from wheelgeo.tune.wheels_at_once import Cases, length_keys, length_of, ratio_keys, ratio_of

Rows = NDArray[np.float64]
_Column = Callable[[Cases], Floats1]
SAME = 1e-9
"""The columns must give the wheel that was adjusted to this part, or the slow way is taken."""


def rows_of(
    design: Design,
    groups: Sequence[Sequence[str]],
    wanted: Sequence[Result],
    one: ResultModel,
    at: Floats1,
) -> Callable[[Rows], Rows]:
    """Return a function of many wheels, (wheels, values), that gives their results.

    Ratio and band lengths are reckoned on arrays; any other result, or a number that arrays do not
    know, wheel by wheel.

    Args:
        design: the wheel.
        groups: full keys of the values; those of a group move by the same amount.
        wanted: the results, in the order of the columns.
        one: the same for one wheel.
        at: the values of a wheel that exists.
    """

    def slow(drawn: Rows) -> Rows:
        return np.array([one(x) for x in drawn])

    solution = solve_drive(design)
    keys = {key for group in groups for key in group}
    apart = [[get(design, key) - get(design, group[0]) for key in group] for group in groups]
    columns = [_column(solution, result.key, keys) for result in wanted]
    known = [column for column in columns if column is not None]
    if len(known) < len(columns):
        return slow

    def fast(drawn: Rows) -> Rows:
        varied = {
            key: column + more
            for group, column, off in zip(groups, drawn.T, apart, strict=True)
            for key, more in zip(group, off, strict=True)
        }
        cases = Cases(varied)
        made = [np.broadcast_to(column(cases), (len(drawn),)) for column in known]
        return np.stack(made, axis=1) if made else np.empty((len(drawn), 0))

    # Two ways to one wheel, a little beside the given one: where they part (arrays move what shares
    # a place as one, numbers may not) the slow way is right.
    beside = at + 1e-3 * np.maximum(np.abs(at), 1.0)
    trial = fast(beside[None, :])[0]
    return fast if np.allclose(trial, one(beside), rtol=SAME, atol=0.0) else slow


def _column(solution: Solution, key: str, values: set[str]) -> _Column | None:
    """Return a result as a function of cases; None where arrays do not know all that makes it."""
    if key == "ratio" and solution.ratio is not None:
        known = ratio_keys(solution)
        others = {k for m in solution.bands if m.path for k in length_keys(solution, m)}
        return ratio_of(solution) if values <= known | others | _stretches(solution) else None
    for motion in solution.bands:
        if key not in (f"{motion.band.name}.length", f"{motion.band.name}.cut_length"):
            continue
        seen = length_keys(solution, motion) | ratio_keys(solution) | _stretches(solution)
        if motion.path is None or not values <= seen:
            return None
        length = length_of(solution, motion)
        return length if key.endswith(".length") else _cut(solution, motion, length)
    return None


def _stretches(solution: Solution) -> set[str]:
    return {f"band:{motion.band.name}.stretch" for motion in solution.bands}


def _cut(solution: Solution, motion: BandMotion, length: _Column) -> _Column:
    own = solution.built.bands[motion.band.name].stretch.value
    key = f"band:{motion.band.name}.stretch"

    def cut(cases: Cases) -> Floats1:
        return np.asarray(length(cases) / (1.0 + cases.get(key, own)))

    return cut
