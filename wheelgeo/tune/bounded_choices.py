"""What the search for a brief needs of its combinations: boxes, each with a bound.

A *box* holds all combinations of one wheel rim and one accelerator rim: every cord, hub, whorl and
place. Costs fall as shafts stand further apart, so that a box's bound comes from its largest
distances; within a box, from the *front* of pairs of distances of which none beats another in
both. What the bounds do not rule out is worked out place by place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from wheelgeo.built.held import CRANK_MM
from wheelgeo.tune.brief import Brief, Choice, Matter
from wheelgeo.tune.wheel_from_choice import heights, parts_of

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

LIKE = 0.08
"""Rims that differ by less than this share of their size count as alike."""


class Group(NamedTuple):
    """All combinations that differ only in where the shafts stand: indices of rims and rows."""

    wheel: int
    accelerator: int
    row: int
    column: int


class Candidate(NamedTuple):
    """A combination, what it costs at least, and its group."""

    cost: float
    choice: Choice
    group: Group


PutOff = Callable[[Group, float], bool]
"""Asked of each group, with a bound of what is left of it, while it is worked out: leave the rest
for later?"""


class SizeBox(NamedTuple):
    """A box: a lower bound of its costs, and the indices of its large rims."""

    bound: float
    wheel: int
    accelerator: int


class Space(Protocol):
    """What a search needs of the combinations of a brief."""

    @property
    def combinations(self) -> int:
        """How many combinations there are."""

    @property
    def examined(self) -> int:
        """How many of them have been worked out one by one."""

    def boxes(self) -> list[SizeBox]:
        """Return all boxes, the lowest bound first."""

    def candidates(
        self, box: SizeBox, below: Callable[[], float], put_off: PutOff
    ) -> Iterator[Candidate]:
        """Yield the combinations of a box that cost less than ``below()`` says at that time."""

    def candidates_of(
        self, group: Group, below: Callable[[], float], put_off: PutOff
    ) -> Iterator[Candidate]:
        """Yield those of one group, for when it was put off."""


def shared_weights(weights: Mapping[Matter, float], bands: int) -> dict[Matter, float]:
    """Return the weights with those of means over the bands shared out."""
    return {m: w / bands if m in ("slip", "bend") else w for m, w in weights.items()}


def like(rims: Array | tuple[float, ...], rim: float) -> Flags:
    """Return which rims are alike to another."""
    result: Flags = np.abs(np.asarray(rims) / rim - 1.0) < LIKE
    return result


def too_tall(brief: Brief, choice: Choice, gap: float) -> bool:
    """Tell whether the layers of a choice are too high for the case."""
    high = heights(brief, parts_of(brief, choice))
    return max(high.top, high.crank + 0.5 * CRANK_MM) + gap > brief.inside_mm[2]
