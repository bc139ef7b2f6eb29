"""Sizes that no spinning wheel has: slips of the pen and of the unit, and what was meant instead.

A wheel of such sizes can be, so that none is refused; but a tape read in the wrong unit, or a point
in the wrong place, makes a band that fits nothing, and nobody would know why.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TypeVar

from wheelgeo.check.finding import Finding, advice
from wheelgeo.design.materials import PRACTICE
from wheelgeo.design.model import Band, Design, Pulley
from wheelgeo.design.possible import faults
from wheelgeo.drive.train import solve_drive
from wheelgeo.geometry import vectors
from wheelgeo.geometry.tangent import parallel
from wheelgeo.units.in_full import figures, full
from wheelgeo.units.inches import in_inches
from wheelgeo.units.quantity import INCHES

UNLIKELY = "unlikely-size"
"""The rule's name."""
# All of these are common practice, no source; each leaves room for every wheel in use.
WHEEL_MM = (80.0, 1700.0)
"""Rims of wheels: a book charkha's to a great wheel's."""
WHORL_MM = (4.0, 200.0)
"""What a spindle or flyer carries."""
LEAST_RATIO, MOST_RATIO = 2.0, 250.0
"""Of one band."""
DEEPEST_MM, DEEPEST_PART = 25.0, 0.4
"""A groove is no deeper than that, nor than this part of its rim's diameter."""
FAR_APART = 4.0
"""Axes stand no farther apart than so many of the wheels; in use it is one or two."""
MEANT_APART = 2.5
"""What is guessed at stands no farther apart: a guess is at a wheel like most."""
MEANT_WHEEL_MM, MEANT_WHORL_MM = 1350.0, 8.0
"""What is guessed at is no wider than most great wheels are, nor has a whorl thinner than most."""
WHEEL_ROUND_MM, WHORL_ROUND_MM = 200.0, 20.0
"""Round a wheel or whorl less wide than that nobody lays a thread or tape instead of measuring it
across."""
TOUCHING_MM = 1e-6
"""Rims nearer than that touch."""
CORD_MM = (0.3, 12.0)
"""Thickness of a cord."""
MOST_MEANT = 3
"""So many guesses at what was meant are told."""


def unlikely(design: Design, far_apart: float = FAR_APART) -> tuple[Finding, ...]:
    """Return a warning for each size of a wheel, turned by hand or foot, that no such wheel has.

    Args:
        design: the wheel.
        far_apart: its axes stand no farther apart than so many of its largest pulley.
    """
    if design.drive.by == "motor":
        return ()
    return tuple(f for band in design.bands for f in _of_band(design, band, far_apart))


def _of_band(design: Design, band: Band, far_apart: float) -> Iterator[Finding]:
    pulleys = list(dict.fromkeys(stop.pulley for stop in band.route))
    driver, *others = (design.pulley(name) for name in pulleys)
    first = driver.shaft == design.drive.shaft
    driven = [p for p in others if p.shaft != driver.shaft]
    yield from _beyond(band.name, band.diameter_mm, CORD_MM, "its cord would be {} thick")
    for pulley in (driver, *others):
        yield from _of_groove(pulley)
    size = {p.name: p.groove.size_mm for p in (driver, *others)}
    if first:
        yield from _beyond(driver.name, size[driver.name], WHEEL_MM, "the wheel would be {} across")
    spindle = {design.spindle.shaft, design.spindle.bobbin}
    for name in (p.name for p in driven if p.shaft in spindle):
        yield from _beyond(name, size[name], WHORL_MM, "the whorl would be {} across")
    yield from _of_ratio(driver, driven, first)
    largest = max(size.values())
    at = {p.shaft: design.shaft(design.shaft(p.shaft).runs_on or p.shaft).at_mm for p in others}
    start = design.shaft(driver.shaft).at_mm
    apart = max((_distance(start, there) for there in at.values()), default=0.0)
    yield from _beyond(
        band.name, apart, (0.0, far_apart * largest),
        f"its shafts would stand {{}} apart, {apart / largest:.0f} times the wheel's diameter",
    )  # fmt: skip


def _of_groove(pulley: Pulley) -> Iterator[Finding]:
    deep = pulley.groove.deep_mm
    most = min(DEEPEST_MM, DEEPEST_PART * pulley.groove.size_mm)
    yield from _beyond(pulley.name, deep, (0.0, most), "its groove would be {} deep")


def _of_ratio(driver: Pulley, driven: list[Pulley], first: bool) -> Iterator[Finding]:
    if not first or not driven:
        return
    smallest = min(driven, key=lambda p: p.groove.size_mm)
    ratio = driver.groove.size_mm / smallest.groove.size_mm
    if LEAST_RATIO <= ratio <= MOST_RATIO:
        return
    times = figures(ratio)
    says = f'the spindle would turn only about {times} times for one turn of "{driver.name}"'
    if ratio < 1.0:
        says = f'it is larger than "{driver.name}", which drives it; the two may be exchanged'
    elif ratio > MOST_RATIO:
        says = f'the spindle would turn about {ratio:.0f} times for one turn of "{driver.name}"'
    limit = MOST_RATIO if ratio > MOST_RATIO else LEAST_RATIO
    yield _finding(smallest.name, ratio, limit, "", says)


def _distance(one: tuple[float, ...], other: tuple[float, ...]) -> float:
    return float(sum((a - b) ** 2 for a, b in zip(one, other, strict=True)) ** 0.5)


def _beyond(
    where: str, value_mm: float, range_mm: tuple[float, float], says: str
) -> Iterator[Finding]:
    low, high = range_mm
    if low <= value_mm <= high:
        return
    limit = low if value_mm < low else high
    yield _finding(where, value_mm, limit, "mm", says.format(f"{full(value_mm, 1)} mm"))


def _finding(where: str, value: float, limit: float, unit: str, says: str) -> Finding:
    return Finding(
        UNLIKELY, "warning", where, value, limit, unit,
        f'"{where}": {says}, and hardly any wheel is like that', PRACTICE,
        advice("look at what was written: is the point, and the unit, where it belongs?"),
    )  # fmt: skip


# --- what was meant -------------------------------------------------------------------------------


def told_length(mm: float, unit: str) -> str:
    """Return what a length would be, in the unit of whoever measured; ``unit``: of the file."""
    if unit in INCHES:
        return in_inches(mm)
    return f"{mm:.0f} mm" if mm >= 100.0 else f"{mm:.1f} mm"


def girth_for_width(typed: str, what: str, across: str) -> str:
    """Return the words for a girth that was written where a width was asked for."""
    return f"{typed} for the girth round the {what} (it is then {across} across)"


Guess = TypeVar("Guess")


def likely_instead(variants: Iterable[tuple[Guess, Design | None]]) -> tuple[Guess, ...]:
    """Return those variants of a wheel that can be and are like a wheel in use.

    Args:
        variants: what would have to be written, and the wheel with that; None where there is none.
    """
    found: list[Guess] = []
    for meant, design in variants:
        if design is None or meant in found or faults(design) or not _like_most(design):
            continue
        if all(band.path is not None for band in solve_drive(design).bands):
            found.append(meant)
        if len(found) == MOST_MEANT:
            break
    return tuple(found)


def _like_most(design: Design) -> bool:
    """Tell whether a wheel is like most in use: a guess is at no other."""
    if unlikely(design, MEANT_APART):
        return False
    for band in design.bands:
        driver, *others = (design.pulley(stop.pulley) for stop in band.route)
        if driver.shaft == design.drive.shaft and driver.groove.size_mm > MEANT_WHEEL_MM:
            return False
        if any(p.shaft == design.spindle.shaft and p.groove.size_mm < MEANT_WHORL_MM
               for p in others):  # fmt: skip
            return False
        if any(_stand_in_each_other(design, driver, other) for other in others):
            return False
    return True


def _stand_in_each_other(design: Design, one: Pulley, other: Pulley) -> bool:
    """Tell whether the rims of two pulleys touch, seen along their shafts, these being parallel.

    A band runs over both: they stand in one plane, or nearly so.
    """
    first, second = (
        design.shaft(design.shaft(p.shaft).runs_on or p.shaft) for p in (one, other)
    )
    axis = vectors.unit(first.axis)
    if first is second or not parallel(axis, vectors.unit(second.axis)):
        return False
    apart = vectors.norm(vectors.cross(vectors.sub(second.at_mm, first.at_mm), axis))
    return apart < 0.5 * (one.groove.size_mm + other.groove.size_mm) + TOUCHING_MM
