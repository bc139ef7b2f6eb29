"""Which amounts of a change are tried: growing steps, and where a finding that lessens leads."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator

GROWTH = 1.7
"""How many times as large an amount is from one trial to the next, so that a large one is met in
few trials."""
_LEAP = 8
"""An amount may become so many times as large where a finding lessens as it grows."""
_PASSING = 3.0
"""How many times as large an amount is from one trial to the next where the finding does not lessen
as it grows: it may be gone on the far side of something, which is not near."""
_EVEN = 1e-6
"""Of a step, by which two trials that lie on a line may lead too far."""
_FOLLOWED = 3
"""How often a finding that lessens is followed between two amounts before they are halved."""


@dataclasses.dataclass(slots=True)
class Lessening:
    """How a finding lessens as a change grows, and where that leads: the secant of two trials.

    Only which amount is tried next hangs on it: each that is named was tried, and the one below it.

    Attributes:
        stays: the last two amounts at which the finding stays, in steps, each with how far beyond
            its limit it is there.
        follow: how often it may still be followed; then amounts are halved.
    """

    stays: list[tuple[int, float]] = dataclasses.field(default_factory=list)
    follow: int = _FOLLOWED

    def at(self, steps: int, beyond: float | None) -> None:
        """Take in how far beyond its limit the finding is after a change; None: not known."""
        self.stays = [] if beyond is None else [*self.stays[-1:], (steps, beyond)]

    def leads_to(self) -> int | None:
        """Return the first amount at which it should be gone; None where it does not lessen."""
        edge = self.edge()
        return None if edge is None else max(self.stays[1][0] + 1, math.ceil(edge - _EVEN))

    def edge(self) -> float | None:
        """Return where it should just be gone, in steps and parts of one; None: not known."""
        if not self.lessens():
            return None
        (a, far), (b, near) = self.stays
        return b + near * (b - a) / (far - near)

    def lessens(self) -> bool | None:
        """Tell whether the finding lessens as the change grows; None where that is not known."""
        return self.stays[1][1] < self.stays[0][1] if len(self.stays) == 2 else None

    def next_to(self, here: int) -> int:
        """Return the amount to try after another, in steps, where nothing leads further."""
        growth = _PASSING if self.lessens() is False else GROWTH
        return max(here + 1, int(here * growth))

    def amounts(self, last: int) -> Iterator[int]:
        """Yield the amounts to try, in steps, up to the last that makes sense.

        They grow by more than half each time, so that a large change is met in few trials, or by as
        much as it takes until a finding that lessens is gone. The last stretch, too short for
        another growing step, is asked at its middle and its end. Where a leap ends in what makes no
        sense, what was leapt over is tried in growing steps.
        """
        below, here, leaps = 0, 1, True
        while here <= last:
            yield here
            if leaps and not self.stays and here > self.next_to(below):
                here, leaps = self.next_to(below), False
                continue
            below, here = here, self.next_to(here)
            lead = self.leads_to()
            if leaps and lead is not None and here < last:
                here = max(here, min(lead, _LEAP * below, last))
        for here in ((below + last) // 2, last):
            if here > below:
                yield here

    def within(self, below: int, here: int) -> int:
        """Return the amount to try between one at which it stays and one at which it is gone."""
        lead = self.leads_to() if self.follow > 0 else None
        if lead is None:
            return (below + here) // 2
        # Where it leads to what is known to do, one less is asked once: if that does too, halve.
        self.follow = 0 if lead >= here - 1 else self.follow - 1
        return min(max(lead, below + 1), here - 1)
