"""One way to give a wheel another twist, with what it takes and what is found of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from wheelgeo.check.finding import Finding
from wheelgeo.design.model import Design
from wheelgeo.immutable import dataclass
from wheelgeo.tune.bandfit import BandFate
from wheelgeo.tune.rule_check import fault_rules, warning_rules
from wheelgeo.yarn.wind_on import Leads

Rank = tuple[int, int, bool, float, int, int, float]


@dataclass(frozen=True)
class Change:
    """One thing that is not as it was; numbers have a unit, words have none."""

    what: str
    before: float | str
    after: float | str
    unit: str


@dataclass(frozen=True)
class Option:
    """One way to get the twist.

    Attributes:
        changes: what is made or led otherwise.
        settings: what is only set otherwise: shafts slid along their slides, brakes and bands
            eased or tightened.
        parts: how many parts must be made.
        labour_h: hours of making them, 0 of what is bought; common practice, no source.
        ratio: spindle turns per turn of the hand, slip included.
        turns_per_metre: the twist that comes out with the spinner's rhythm kept, or None.
        error: by what fraction twist and ratio are off.
        bands: what becomes of each band.
        findings: every fault and warning of the changed wheel, and the notes that come with them.
        design: the changed wheel.
        lead: which of flyer and bobbin is faster before and after, where that changes: the yarn
            on the bobbin must then be wound off before.
    """

    changes: tuple[Change, ...]
    settings: tuple[Change, ...]
    parts: int
    labour_h: float
    ratio: float
    turns_per_metre: float | None
    error: float
    bands: tuple[BandFate, ...]
    findings: tuple[Finding, ...]
    design: Design
    lead: tuple[Leads, Leads] | None = None

    @property
    def faults(self) -> tuple[str, ...]:
        """Rules of the findings that forbid building it, each once."""
        return fault_rules(self.findings)

    @property
    def remade(self) -> int:
        """How many bands must be made anew."""
        return sum(b.remade for b in self.bands)

    @property
    def warnings(self) -> tuple[str, ...]:
        """Rules of the findings that warn, each once."""
        return warning_rules(self.findings)

    @property
    def rank(self) -> Rank:
        """What options are ranked by.

        Faults, warnings, a lead that changes, hours of making, parts made, bands remade, twist
        error.
        """
        work = (self.labour_h, self.parts, self.remade)
        lead = self.lead is not None
        return (*soundness(self.findings), lead, *work, round(self.error, 12))


def soundness(findings: Sequence[Finding]) -> tuple[int, int]:
    """Return how many rules find faults, and how many warn."""
    return len(fault_rules(findings)), len(warning_rules(findings))


def merged(settings: Iterable[Change]) -> tuple[Change, ...]:
    """Return settings with each thing once: as it was first, and as it is set last."""
    told: dict[str, Change] = {}
    for one in settings:
        first = told.get(one.what, one)
        told[one.what] = Change(one.what, first.before, one.after, one.unit)
    return tuple(one for one in told.values() if one.before != one.after)


SAME_TWIST = 0.01
"""Twists this fraction apart are the same to a spinner, whose own turns scatter more; common
practice, no source."""


def spares_a_part(other: Option, option: Option) -> bool:
    """Tell whether another option does as well with fewer of the same parts made.

    To lay a band on a step that is there is no making.
    """
    made = {what for what in _made(other) if not what.endswith(".route")}
    if other.parts >= option.parts or not made <= set(_made(option)):
        return False
    no_worse = other.rank[:3] <= option.rank[:3] and other.remade <= option.remade
    return no_worse and other.error <= option.error + SAME_TWIST


def alike(one: Option, other: Option) -> bool:
    """Tell whether two ways change the same to sizes no spinner tells apart, as soundly."""
    if one.rank[:6] != other.rank[:6] or _made(one) != _made(other):
        return False
    return all(
        a.after == b.after if isinstance(a.after, str) or isinstance(b.after, str)
        else abs(a.after / b.after - 1.0) <= 2.0 * SAME_TWIST
        for a, b in zip(one.changes, other.changes, strict=True)
    )


def _made(option: Option) -> list[str]:
    return [c.what for c in option.changes]
