"""Which amounts of a change are tried: growing steps, and where a finding that lessens leads."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator

GROWTH = 1.7
"""How many times as large an amount is from one trial to the next, so that a large one is met in
few trials."""
_FIRST, _LEAP = 3, 4
"""Beyond the first few steps an amount may become so many times as large where a finding lessens
as it grows."""
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
        if len(self.stays) < 2:
            return None
        (a, far), (b, near) = self.stays
        if near >= far:
            return None
        return b + max(1, math.ceil(near * (b - a) / (far - near)))

    def amounts(self, last: int) -> Iterator[int]:
        """Yield the amounts to try, in steps, up to the last that makes sense.

        They grow by more than half each time, so that a large change is met in few trials, or by as
        much as it takes until a finding that lessens is gone. The last stretch, too short for
        another growing step, is asked at its middle and its end.
        """
        below, here = 0, 1
        while here <= last:
            yield here
            below, here = here, max(here + 1, int(here * GROWTH))
            lead = self.leads_to()
            if lead is not None and below >= _FIRST and here < last:
                here = max(here, min(lead, _LEAP * below, last))
        for here in ((below + last) // 2, last):
            if here > below:
                yield here

    def within(self, below: int, here: int) -> int:
        """Return the amount to try between one at which it stays and one at which it is gone."""
        lead = self.leads_to() if self.follow > 0 else None
        if lead is None:
            return (below + here) // 2
        self.follow -= 1
        return min(max(lead, below + 1), here - 1)
