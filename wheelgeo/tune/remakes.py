"""What can be remade in a wheel, and what each size of it does to the ratio.

Glossary: a *made part* is one turned or cut part: a pulley, or the two equal grooves of one wheel
that the same band meets twice, which are always made together. The *power path* is the chain of
bands from the hand to the spindle; each of its *links* multiplies the speed by the driving pitch
radius over the driven one, less the slip.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from wheelgeo.built.pulley import loose_pulley
from wheelgeo.design.model import Band, Design, Pulley
from wheelgeo.drive.train import Solution
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.nearest import nearest_keys
from wheelgeo.tune.makeable import Makeable

WALL_MM = 0.4
"""Least material between a groove's bottom and the bore, mm; common practice, no source."""
LARGEST_TIMES = 4.0
"""Without a case, no part is made larger than this times what it is."""


@dataclass(frozen=True)
class Link:
    """One band of the power path: its driving and its driven pulley."""

    band: str
    driving: str
    driven: str


@dataclass(frozen=True)
class Companion:
    """A bobbin's whorl that is made anew with the flyer's, so that the bobbin's lead stays.

    Attributes:
        pulley: its name.
        field: the number that changes.
        size_mm: what it is today.
        sizes_mm: what it becomes at each size of the part that it goes with.
    """

    pulley: str
    field: str
    size_mm: float
    sizes_mm: tuple[float, ...]


@dataclass(frozen=True)
class MadePart:
    """One part that can be made anew, with the sizes to try.

    Attributes:
        pulleys: the pulley; or all grooves of one wheel that are made together.
        field: the number that changes: ``rim``, or ``pitch`` where only that is known.
        size_mm: what it is today.
        sizes_mm: what it could be, rising; today's size is left out.
        radii_mm: for each pulley and band on it, companions too, the pitch radius at each of
            ``sizes_mm``.
        radii_now_mm: the same for today's size.
        companions: other parts that change with it.
    """

    pulleys: tuple[str, ...]
    field: str
    size_mm: float
    sizes_mm: tuple[float, ...]
    radii_mm: dict[tuple[str, str], tuple[float, ...]]
    radii_now_mm: dict[tuple[str, str], float]
    companions: tuple[Companion, ...] = ()

    @property
    def every_pulley(self) -> tuple[str, ...]:
        """Names of all pulleys that change."""
        return (*self.pulleys, *(c.pulley for c in self.companions))

    @property
    def name(self) -> str:
        """Name in messages."""
        return " + ".join(self.every_pulley)

    @property
    def count(self) -> int:
        """How many parts are made."""
        return 1 + len(self.companions)

    def made_in(self, size_mm: float) -> Iterator[tuple[str, str, float, float]]:
        """Yield pulley, field, size today and size then, mm, for one of ``sizes_mm``."""
        for name in self.pulleys:
            yield name, self.field, self.size_mm, size_mm
        index = self.sizes_mm.index(size_mm)
        for other in self.companions:
            yield other.pulley, other.field, other.size_mm, other.sizes_mm[index]


def power_path(solution: Solution, shaft: str | None = None) -> tuple[Link, ...]:
    """Return the links from the hand to a shaft, in that order; None: to the spindle."""
    links: list[Link] = []
    shaft = shaft or solution.drawn_by or solution.design.spindle.shaft
    while (by := solution.shaft(shaft).driven_by) is not None:
        motion = solution.band(by)
        if motion.driver is None:
            break
        pulleys = [solution.design.pulley(stop.pulley) for stop in motion.band.route]
        driven = next(p.name for p in pulleys if p.shaft == shaft)
        links.append(Link(by, pulleys[motion.driver].name, driven))
        shaft = pulleys[motion.driver].shaft
    return tuple(reversed(links))


def bobbins_own_band(solution: Solution) -> str | None:
    """Return the band that turns the bobbin beside the power path; None where there is none.

    Flyer and bobbin are then changed together, or nothing winds on.
    """
    bobbin = solution.design.spindle.bobbin
    by = None if bobbin is None else solution.shaft(bobbin).driven_by
    return None if by in {link.band for link in power_path(solution)} else by


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
    pairs = [_in_proportion(solution, part, makeable, allowed) for part in parts]
    return (*parts, *(pair for pair in pairs if pair is not None))


LEAD_KEPT = 0.25
"""A bobbin's lead that is off by no more than this fraction counts as kept: sizes that can be made
are never quite in proportion. Common practice, no source."""


def _in_proportion(
    solution: Solution, part: MadePart, makeable: Makeable, allowed: set[str]
) -> MadePart | None:
    """Return a part of the flyer's band with its counterpart of the bobbin's made in proportion.

    The bobbin's lead is what winds on, and it is the proportion of the two: a flyer's whorl that
    is made smaller alone would leave the bobbin behind. None where the bobbin has no band.
    """
    design = solution.design
    found = _counterpart(solution, part)
    if found is None or found[0].name not in allowed:
        return None
    other, power = found
    band = _bands_on(design, other)[0]
    size, radius = other.groove.size_mm, _radius(design, other, band)
    flyer_now = next(iter(part.radii_now_mm.values()))
    low, high = _range(design, other, size)
    there = makeable.between(low, max(high, size * part.sizes_mm[-1] / part.size_mm))
    flyer, bobbin = (
        solution.shaft(name).turns_without_slip or 0.0
        for name in (design.spindle.shaft, design.spindle.bobbin or "")
    )
    lead = bobbin / flyer - 1.0
    below = radius - 0.5 * size
    kept: list[tuple[int, float]] = []
    for index, times in enumerate(r / flyer_now for r in next(iter(part.radii_mm.values()))):
        near = _nearest(there, size + 2.0 * radius * (times - 1.0), default=size)
        grown = (0.5 * near + below) / radius
        then = bobbin / flyer * (grown / times) ** power - 1.0
        if near != size and abs(then - lead) <= LEAD_KEPT * abs(lead):
            kept.append((index, near))
    return _together_with(design, part, other, kept) if kept else None


def _nearest(rising: Sequence[float], wanted: float, default: float) -> float:
    at = bisect_left(rising, wanted)
    return min(rising[max(at - 1, 0) : at + 1], key=lambda s: abs(s - wanted), default=default)


def _together_with(
    design: Design, part: MadePart, other: Pulley, kept: Sequence[tuple[int, float]]
) -> MadePart:
    """Return a part at some of its sizes, with a companion in a size for each."""
    field, sizes = other.groove.size_name, tuple(size for _, size in kept)
    radii = {stop: tuple(r[i] for i, _ in kept) for stop, r in part.radii_mm.items()}
    radii_now = dict(part.radii_now_mm)
    for band in _bands_on(design, other):
        stop = other.name, band.name
        radii[stop] = _radii(design, other, band, sizes)
        radii_now[stop] = _radius(design, other, band)
    return replace(
        part,
        sizes_mm=tuple(part.sizes_mm[i] for i, _ in kept),
        radii_mm=radii,
        radii_now_mm=radii_now,
        companions=(Companion(other.name, field, other.groove.size_mm, sizes),),
    )


def _counterpart(solution: Solution, part: MadePart) -> tuple[Pulley, int] | None:
    """Return what is to the bobbin's band as a part is to the flyer's.

    With it the power to which its size stands in the bobbin's speed; None where there is none.
    """
    design = solution.design
    bobbin = design.spindle.bobbin
    by = None if bobbin is None else solution.shaft(bobbin).driven_by
    if by is None or solution.shaft(design.spindle.shaft).driven_by is None:
        return None
    motion = solution.band(by)
    route = [design.pulley(stop.pulley) for stop in motion.band.route]
    if design.pulley(part.pulleys[0]).shaft == design.spindle.shaft:
        return next(((p, -1) for p in route if p.shaft == bobbin), None)
    driving = None if motion.driver is None else route[motion.driver]
    last = power_path(solution)[-1]
    apart = driving is not None and last.band != by and driving.name not in part.pulleys
    return (driving, 1) if driving and apart and last.driving in part.pulleys else None


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
    sizes = {
        name: (field, then) for part, size in changes for name, field, _, then in part.made_in(size)
    }
    pulleys = tuple(resized(p, *sizes[p.name]) if p.name in sizes else p for p in design.pulleys)
    return replace(design, pulleys=pulleys)


def _part(design: Design, group: tuple[Pulley, ...], makeable: Makeable) -> MadePart:
    first = group[0]
    field, now = first.groove.size_name, first.groove.size_mm
    low, high = _range(design, first, now)
    sizes = tuple(s for s in makeable.between(low, high) if abs(s - now) > 1e-9)
    stops = [(p, band) for p in group for band in _bands_on(design, p)]
    radii = {(p.name, band.name): _radii(design, p, band, sizes) for p, band in stops}
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


def _radii(
    design: Design, pulley: Pulley, band: Band, sizes_mm: Sequence[float]
) -> tuple[float, ...]:
    """Return the pitch radius of a pulley at each of some sizes, the shape of its groove kept.

    How deep a cord seats hangs on the shape alone, so that the radius grows as half the size does.
    """
    below = _radius(design, pulley, band) - 0.5 * pulley.groove.size_mm
    return tuple(0.5 * size + below for size in sizes_mm)
