"""Measured results that hang together with the numbers of their file.

A file whose numbers give just what its ``[[measured]]`` say was adjusted: what a number may be off
is then tied to what the others may be (a band that fits ties the distance of the axes to its
stretch). To first order the errors of all are unit normal, and a result is a sum of *parts*, one
for each of them. That a reading fits leaves of a result with parts q, the reading having parts a
and half width h: q - g a, and g h of the reading's own error, g = q.a / (a.a + h^2). This is the
covariance of a least-squares adjustment, reading by reading (K.-R. Koch, Parameter estimation and
hypothesis testing in linear models, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from wheelgeo.design.model import Design
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import QuantityError, SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.inputs import is_input
from wheelgeo.numbers.results import Result, find_result, is_result, number_of
from wheelgeo.numbers.uncertain import Parts, measured_as_one, parts_of, together
from wheelgeo.units import LENGTH_MM, parse_measured
from wheelgeo.units.number_kinds import NUMBER
from wheelgeo.units.quantity import INCHES, Dimension
from wheelgeo.units.written import MM_PER_INCH

FITS = 0.02
"""A reading fits where the file's numbers give it to this part of its half width."""


@dataclass(frozen=True)
class MeasuredReading:
    """A measured result, as it was read.

    Attributes:
        name: its key; numbered where it was measured more than once.
        result: the result.
        value: what was read, in its unit.
        half: half width at 95 %.
    """

    name: str
    result: Result
    value: float
    half: float


def readings_of(design: Design) -> list[MeasuredReading]:
    """Return the measured results of a file; one that was measured twice is numbered.

    Raises:
        SearchError: an entry names no result, cannot be, or says nothing of how well it was read.
        QuantityError: it cannot be read as what the result is.
    """
    found: list[MeasuredReading] = []
    for one in design.measured:
        if is_input(design, one.what) and not is_result(design, one.what):
            raise SearchError(
                f'"{one.what}" is a number of the file: write there how sure it is, as in '
                '"21 1/2 +- 1/8 in"; [[measured]] is for results (wheelgeo find --list)'
            )
        try:
            result = find_result(design, one.what)
        except SearchError as error:
            said = str(error).removeprefix("a search cannot aim at ")
            raise SearchError(f"[[measured]]: there is no result {said}") from error
        bare = design.unit if result.unit == "mm" else result.unit
        value, half = parse_measured(one.is_, result.quantity or NUMBER, bare)
        if half is None:
            raise SearchError(
                f'"{one.what}" was measured without saying how well: '
                'write it as "76 1/2 +- 1/4 in"'
            )
        if (result.quantity is LENGTH_MM or result.key == "ratio") and value <= 0.0:
            what = "a ratio" if result.key == "ratio" else "a length"
            raise SearchError(f'"{one.what}" was measured as {one.is_}: {what} is more than 0')
        before = sum(r.result.key == result.key for r in found)
        name = f"{result.key} ({before + 1})" if before else result.key
        found.append(MeasuredReading(name, result, value, half))
    return found


def written_reading(value: float, half: float, of: Dimension | None, unit: str) -> str:
    """Return a measured result as a file has it.

    Args:
        value: the value, in the unit of its kind.
        half: half width at 95 %.
        of: its kind; None: a bare number.
        unit: of the file's lengths.
    """
    own = "" if of is None else of.unit
    if of is LENGTH_MM and unit in INCHES:
        value, half, own = value / MM_PER_INCH, half / MM_PER_INCH, "in"
    return f"{value:.9g} +- {half:.5g} {own}".rstrip()


def tied(design: Design) -> list[MeasuredReading]:
    """Return the readings that a file's numbers fit; none where they do not fit every one.

    An entry that cannot be used ties nothing: ``measure`` says what is wrong with it.
    """
    if not design.measured or not design.uncertainties:
        return []
    try:
        readings = readings_of(design)
    except (QuantityError, SearchError):
        return []  # told where it matters, by ``measure``
    solution = solve_drive(design)
    off = [abs(number_of(r.result, solution) - r.value) for r in readings]  # NaN fits nothing
    return readings if all(o <= FITS * r.half for o, r in zip(off, readings, strict=True)) else []


def tied_parts_of(design: Design, names: Sequence[str]) -> dict[str, Parts]:
    """Return ``parts_of`` results, what is tied to measured results told with that.

    Args:
        design: the wheel.
        names: names of results.

    Returns:
        For each result the parts, in its own unit, at 95 %: of each measured number by its full
        name, and where readings fit of each of these by its name.

    Raises:
        SearchError: there is no result of a name.
    """
    readings = tied(design)
    if not readings:
        return parts_of(design, names)
    keys = [r.result.key for r in readings]
    parts = parts_of(design, [*dict.fromkeys([*names, *keys])], near=True)
    rows = _conditioned([parts[name] for name in names], [parts[key] for key in keys], readings)
    return dict(zip(names, rows, strict=True))


def _conditioned(
    wanted: Sequence[Parts], measured: Sequence[Parts], readings: Sequence[MeasuredReading]
) -> list[Parts]:
    """Return the parts of what is wanted once each reading is known to fit."""
    rows = [dict(parts) for parts in (*measured, *wanted)]
    for i, reading in enumerate(readings):
        own = dict(rows[i])
        size = math.fsum(a * a for a in own.values() if a is not None) + reading.half**2
        if any(a is None for a in own.values()) or size <= 0.0:
            # Where moving a number makes no such result, nobody knows what it ties; what hangs on
            # none, and was read finer than numbers are held, ties nothing.
            continue
        for row in rows:
            gain = math.fsum(a * (row.get(key) or 0.0) for key, a in own.items() if a) / size
            for key, a in own.items():
                before = row.get(key, 0.0)
                row[key] = None if before is None else before - gain * (a or 0.0)
            row[f"measured:{reading.name}"] = gain * reading.half
    return [*rows[len(measured) :]]


def settled_halves(design: Design) -> dict[str, float]:
    """Return the half widths of a file's numbers, each by itself, with what readings tell of them.

    What they are tied by is lost: for a wheel that is no longer the one that was measured.
    """
    readings = tied(design)
    if not readings:
        return dict(design.uncertainties)
    groups = [group for group in measured_as_one(design) if group[0] in design.uncertainties]
    parts = parts_of(design, [r.result.key for r in readings], near=True)
    own: list[Parts] = [{group[0]: design.uncertainties[group[0]]} for group in groups]
    after = _conditioned(own, [parts[r.result.key] for r in readings], readings)
    halves = dict(design.uncertainties)
    for group, row in zip(groups, after, strict=True):
        half = together(row)
        assert half is not None  # the parts of a number itself are known
        halves |= {key: float(f"{half:.5g}") for key in group if key in halves}
    return halves


def of_changed(before: Design, after: Design) -> Design:
    """Return a changed wheel, with what was measured of the one before where that no longer fits.

    Who changes a wheel changes what its band would measure: the readings go, and what they told of
    its numbers stays with these. Numbers put with an uncertainty are measurements, no change of the
    wheel: then the readings stay, to be adjusted with them.
    """
    if not before.measured or after.measured != before.measured:
        return after
    told = any(before.uncertainties.get(k) != half for k, half in after.uncertainties.items())
    if told or not tied(before) or tied(after):
        return after
    known = settled_halves(before)
    halves = {key: known[key] for key in after.uncertainties}
    return replace(after, uncertainties=halves, measured=())
