"""Whether measured results agree with the numbers of their file, without adjusting anything.

To first order a reading is off by the parts that the file's numbers have in it and by its own
error. With A the parts (readings, numbers), all at 95 %, H the readings' half widths and d what
they are off, C = A A' + H H' is the covariance of d. The normalised residual of an observation with
the column a of A, or of H, is a' C^-1 d / sqrt(a' C^-1 a): that of the adjustment, by condition
equations (K.-R. Koch, Parameter estimation and hypothesis testing in linear models, from memory).
"""

from __future__ import annotations

import math

from wheelgeo.design.model import Design
from wheelgeo.drive.train import solve_drive
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.results import number_of
from wheelgeo.numbers.tied import FITS, MeasuredReading, readings_of
from wheelgeo.numbers.uncertain import parts_of

COVERAGE_FACTOR = 1.959964
"""Of 95 % of a normal distribution (JCGM 100:2008, table G.1); the uncertainties are taken as
known, so that no t distribution comes in."""
DISAGREES = 3.0
"""An observation disagrees where its normalised residual is larger than this."""

FINEST = 1e-6
"""No reading is taken as finer than this part of itself: nobody reads so, and C stays regular."""


@dataclass(frozen=True)
class Agreement:
    """How far measured results are off what the file's numbers make of them.

    Attributes:
        reading: the one that is furthest off, over how well it and the numbers are known.
        made: what the numbers make of that, in its unit.
        normalised: the largest normalised residual, without sign, of all readings and numbers.
        fits: whether the numbers give every reading, as those of an adjusted file do.
    """

    reading: MeasuredReading
    made: float
    normalised: float
    fits: bool

    @property
    def disagrees(self) -> bool:
        """Whether one of the measurements must be wrong."""
        return self.normalised > DISAGREES


def agreement_of(design: Design) -> Agreement | None:
    """Return how measured results agree with the numbers of their file.

    Args:
        design: the wheel, with the uncertainty of every number that was not measured exactly.

    Returns:
        None where nothing is to be compared: no number is uncertain, or no such result exists.

    Raises:
        SearchError: an entry names no result, cannot be, or says nothing of how well it was read.
        QuantityError: it cannot be read as what the result is.
    """
    import numpy as np

    readings = readings_of(design) if design.uncertainties else []
    if not readings:
        return None
    solution, parts = solve_drive(design), parts_of(design, [r.result.key for r in readings], True)
    known, made, rows = [], [], []
    for reading in readings:
        own, value = list(parts[reading.result.key].values()), number_of(reading.result, solution)
        row = [part for part in own if part is not None]
        if len(row) == len(own) and math.isfinite(value):
            known.append(reading)
            made.append(value)
            rows.append(row)
    if not known:
        return None
    off = np.array([r.value for r in known]) - np.array(made)
    half = np.array([max(r.half, FINEST * abs(r.value)) for r in known])
    # Scaled by how well each was read, lengths and ratios weigh alike in the inverse.
    columns = np.hstack([np.array(rows) / half[:, None], np.eye(len(known))])
    inverse = np.linalg.inv(columns @ columns.T)
    spread = np.sqrt(np.einsum("ij,ik,kj->j", columns, inverse, columns))
    moves = spread > 0.0  # a number that no reading hangs on is checked by none
    shares = np.abs(columns.T @ inverse @ (off / half))[moves] / spread[moves]
    alone = np.abs(off / half) / np.linalg.norm(columns, axis=1)
    worst = int(np.argmax(alone))
    return Agreement(
        known[worst], made[worst], COVERAGE_FACTOR * float(shares.max()),
        bool(np.all(np.abs(off) <= FITS * half)),
    )  # fmt: skip
