"""Sizes that no spinning wheel has: slips of the pen and of the unit, and what was meant instead.

A wheel of such sizes can be, so that none is refused; but a tape read in the wrong unit, or a point
in the wrong place, makes a band that fits nothing, and nobody would know why.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from wheelgeo.check.finding import Finding, advice
from wheelgeo.design.materials import PRACTICE
from wheelgeo.design.model import Band, Design, Pulley
from wheelgeo.design.possible import faults
from wheelgeo.drive.train import solve_drive
from wheelgeo.units import as_on_the_rule, format_inches, with_unit
from wheelgeo.units.quantity import LENGTH_UNITS

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
CORD_MM = (0.3, 12.0)
"""Thickness of a cord."""
MOST_MEANT = 3
"""So many guesses at what was meant are told."""


def unlikely(design: Design) -> tuple[Finding, ...]:
    """Return a warning for each size of a wheel, turned by hand or foot, that no such wheel has."""
    if design.drive.by == "motor":
        return ()
    return tuple(f for band in design.bands for f in _of_band(design, band))


def _of_band(design: Design, band: Band) -> Iterator[Finding]:
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
        band.name, apart, (0.0, FAR_APART * largest),
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
    says = f'the spindle would turn only about {ratio:.2g} times for one turn of "{driver.name}"'
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
    told = f"{value_mm:.1f}".removesuffix(".0")
    limit = low if value_mm < low else high
    yield _finding(where, value_mm, limit, "mm", says.format(f"{told} mm"))


def _finding(where: str, value: float, limit: float, unit: str, says: str) -> Finding:
    return Finding(
        UNLIKELY, "warning", where, value, limit, unit,
        f'"{where}": {says}, and hardly any wheel is like that', PRACTICE,
        advice("look at what was written: is the point, and the unit, where it belongs?"),
    )  # fmt: skip


# --- what was meant -------------------------------------------------------------------------------


def likely_instead(variants: Iterable[tuple[str, Design | None]]) -> tuple[str, ...]:
    """Return the words of those variants of a wheel that can be and are like a wheel in use.

    Args:
        variants: what would have to be written, and the wheel with that; None where there is none.
    """
    found: list[str] = []
    for words, design in variants:
        if design is None or words in found or faults(design) or unlikely(design):
            continue
        if all(band.path is not None for band in solve_drive(design).bands):
            found.append(words)
        if len(found) == MOST_MEANT:
            break
    return tuple(found)


def misread(mm: float, unit: str) -> Mapping[str, float]:
    """Return what a length may have been meant as: a slip of the point, or of the unit.

    Args:
        mm: the length as it was read.
        unit: the unit in which it was written.

    Returns:
        The lengths as they would be written, and each in mm.
    """
    factor = LENGTH_UNITS.get(unit, 1.0)
    meant = {_written(mm * part, unit): mm * part for part in (0.1, 10.0)}
    for other in ("mm", "cm", "in"):
        if other != unit:
            there = mm / factor * LENGTH_UNITS[other]
            meant.setdefault(f"{mm / factor:.6g} {other}", there)
    return meant


def _written(mm: float, unit: str) -> str:
    sixteenths = 16.0 * mm / LENGTH_UNITS["in"]
    if unit == "in" and abs(sixteenths - round(sixteenths)) < 1e-6:
        return format_inches(mm, 16)
    return f"{mm / LENGTH_UNITS.get(unit, 1.0):.6g} {unit if unit in LENGTH_UNITS else 'mm'}"


def unit_of(text: str, bare_unit: str) -> str:
    """Return the unit in which a length is written: "mm", "cm" or "in"."""
    text = with_unit(as_on_the_rule(text), bare_unit)
    if any(mark in text for mark in ("in", '"', "'", "ft", "″", "′")):
        return "in"
    return "cm" if "cm" in text else "mm"
