"""What can be remade in a wheel, and what each size of it does to the ratio.

Glossary: a *made part* is one turned or cut part: a pulley, or the two equal grooves of one wheel
that the same band meets twice, which are always made together. The *power path* is the chain of
bands from the hand to the spindle; each of its *links* multiplies the speed by the driving pitch
radius over the driven one, less the slip.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from wheelgeo.built.pulley import loose_pulley
from wheelgeo.design.model import Band, Design, Pulley
from wheelgeo.drive.train import Solution
from wheelgeo.errors import SearchError
from wheelgeo.numbers.nearest import nearest_keys
from wheelgeo.tune.makeable import Makeable

WALL_MM = 0.4
"""Least material between a groove's bottom and the bore, mm; common practice, no source."""
LARGEST_TIMES = 4.0
"""Without a case, no part is made larger than this times what it is."""


@dataclass(frozen=True, slots=True)
class Link:
    """One band of the power path: its driving and its driven pulley."""

    band: str
    driving: str
    driven: str


@dataclass(frozen=True, slots=True)
class MadePart:
    """One part that can be made anew, with the sizes to try.

    Attributes:
        pulleys: the pulley; or all grooves of one wheel that are made together.
        field: the number that changes: ``rim``, or ``pitch`` where only that is known.
        size_mm: what it is today.
        sizes_mm: what it could be, rising; today's size is left out.
        radii_mm: for each pulley and band on it, the pitch radius at each of ``sizes_mm``.
        radii_now_mm: the same for today's size.
    """

    pulleys: tuple[str, ...]
    field: str
    size_mm: float
    sizes_mm: tuple[float, ...]
    radii_mm: dict[tuple[str, str], tuple[float, ...]]
    radii_now_mm: dict[tuple[str, str], float]

    @property
    def name(self) -> str:
        """Name in messages."""
        return " + ".join(self.pulleys)


def power_path(solution: Solution) -> tuple[Link, ...]:
    """Return the links from the hand to the spindle, in that order."""
    links: list[Link] = []
    shaft = solution.drawn_by or solution.design.spindle.shaft
    while (by := solution.shaft(shaft).driven_by) is not None:
        motion = solution.band(by)
        if motion.driver is None:
            break
        pulleys = [solution.design.pulley(stop.pulley) for stop in motion.band.route]
        driven = next(p.name for p in pulleys if p.shaft == shaft)
        links.append(Link(by, pulleys[motion.driver].name, driven))
        shaft = pulleys[motion.driver].shaft
    return tuple(reversed(links))


def exponents(solution: Solution) -> dict[tuple[str, str], int]:
    """Return the power to which each pitch radius stands in the ratio, by (pulley, band)."""
    powers: dict[tuple[str, str], int] = {}
    for link in power_path(solution):
        for name, power in ((link.driving, 1), (link.driven, -1)):
            powers[name, link.band] = powers.get((name, link.band), 0) + power
    return powers


def made_parts(
    solution: Solution, makeable: Makeable, only: Iterable[str] = (), keep: Iterable[str] = ()
) -> tuple[MadePart, ...]:
    """Return the parts whose size changes the ratio, with the sizes that can be made.

    Args:
        solution: the wheel of today, solved.
        makeable: the sizes that can be made.
        only: names of the pulleys that may change; empty: all.
        keep: names of the pulleys that must stay.

    Raises:
        SearchError: a name is no pulley's, or no part that may change changes the ratio.
    """
    design = solution.design
    allowed = _allowed(design, tuple(only), tuple(keep))
    powers = exponents(solution)
    groups = _groups(design, {pulley for pulley, _ in powers})
    parts = [_part(design, g, makeable) for g in groups if all(p.name in allowed for p in g)]
    if not parts:
        names = ", ".join(f'"{p.name}"' for group in groups for p in group)
        raise SearchError(f"no pulley that may change has a part in the ratio; these have: {names}")
    return tuple(parts)


def _allowed(design: Design, only: tuple[str, ...], keep: tuple[str, ...]) -> set[str]:
    names = [p.name for p in design.pulleys]
    for name in (*only, *keep):
        if name not in names:
            near = nearest_keys(name, names)
            hint = f'did you mean "{near[0]}"? ' if near else ""
            raise SearchError(f'there is no pulley "{name}"; {hint}there are: {", ".join(names)}')
    return set(only or names) - set(keep)


def _groups(design: Design, powered: set[str]) -> list[tuple[Pulley, ...]]:
    """Return the pulleys of the power path, each with those that are made together with it."""
    groups: list[tuple[Pulley, ...]] = []
    for pulley in design.pulleys:
        if pulley.name in powered:
            groups.append(tuple(p for p in design.pulleys if _together(design, pulley, p)))
    return list(dict.fromkeys(groups))


def _together(design: Design, one: Pulley, other: Pulley) -> bool:
    if one.name == other.name:
        return True
    same = one.shaft == other.shaft and one.groove == other.groove
    return same and _bands_on(design, one) == _bands_on(design, other)


def _bands_on(design: Design, pulley: Pulley) -> list[Band]:
    return [b for b in design.bands if any(s.pulley == pulley.name for s in b.route)]


def resized(pulley: Pulley, field: str, size_mm: float) -> Pulley:
    """Return the pulley with another rim (or pitch) and the shape of its groove kept."""
    if field != pulley.groove.size_name:
        raise ValueError(f"a groove of this kind has no {field} to change")
    return replace(pulley, groove=pulley.groove.with_size(size_mm))


def with_sizes(design: Design, changes: Iterable[tuple[MadePart, float]]) -> Design:
    """Return the design with parts made in other sizes, mm."""
    sizes = {name: (part.field, size) for part, size in changes for name in part.pulleys}
    pulleys = tuple(resized(p, *sizes[p.name]) if p.name in sizes else p for p in design.pulleys)
    return replace(design, pulleys=pulleys)


def _part(design: Design, group: tuple[Pulley, ...], makeable: Makeable) -> MadePart:
    first = group[0]
    field, now = first.groove.size_name, first.groove.size_mm
    low, high = _range(design, first, now)
    sizes = tuple(s for s in makeable.between(low, high) if abs(s - now) > 1e-9)
    stops = [(p, band) for p in group for band in _bands_on(design, p)]
    radii = {
        (p.name, band.name): tuple(_radius(design, resized(p, field, s), band) for s in sizes)
        for p, band in stops
    }
    radii_now = {(p.name, band.name): _radius(design, p, band) for p, band in stops}
    return MadePart(tuple(p.name for p in group), field, now, sizes, radii, radii_now)


def _range(design: Design, pulley: Pulley, now: float) -> tuple[float, float]:
    """Return the least and the largest size worth trying; the findings judge them all."""
    bore = design.shaft(pulley.shaft).diameter_mm if pulley.bore_mm is None else pulley.bore_mm
    low = bore + 2.0 * (WALL_MM + pulley.groove.deep_mm)
    case = design.case
    high = LARGEST_TIMES * now if case is None else max(case.inside_mm)
    return min(low, now), max(high, now)


def _radius(design: Design, pulley: Pulley, band: Band) -> float:
    groove = loose_pulley(pulley, design.cord_on(pulley.name)).runs_in
    return groove.seat(band.diameter_mm).pitch_radius_mm
