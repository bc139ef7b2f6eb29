"""What the file of a wheel says was measured of it, as observations for ``adjust``."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import chain

import numpy as np

from wheelgeo.check.band_uncertainty import with_usual_stretch
from wheelgeo.design.model import Design
from wheelgeo.design.possible import must_exist
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import DesignError, WheelError
from wheelgeo.numbers.agreeing import COVERAGE_FACTOR
from wheelgeo.numbers.inputs import changer, find_input, get, put
from wheelgeo.numbers.results import Result, number_of
from wheelgeo.numbers.tied import readings_of
from wheelgeo.numbers.uncertain import measured_as_one
from wheelgeo.tune.adjust import Floats1, ResultBefore, ValueBefore
from wheelgeo.tune.old_wheel_likely import (
    WHEEL_ROUND_MM,
    WHORL_ROUND_MM,
    girth_for_width,
    likely_instead,
    told_length,
    unlikely,
)
from wheelgeo.tune.old_wheel_slips import SLIPS, written_length
from wheelgeo.units import LENGTH_MM, LENGTH_UNITS


def known_groups(design: Design) -> list[tuple[str, ...]]:
    """Return the full keys of what was measured, those of one measurement together."""
    groups = measured_as_one(design)
    return [group for group in groups if find_input(design, group[0]).value is not None]


def values_before(design: Design) -> list[ValueBefore]:
    """Return the numbers that the file gives with an uncertainty, each measurement once."""
    found = []
    for key, *_ in known_groups(design):
        number, half = find_input(design, key), design.uncertainties[key]
        found.append(ValueBefore(number.key, get(design, key), half / COVERAGE_FACTOR))
    return found


def put_together(design: Design) -> Callable[[Design, Floats1], Design]:
    """Return what puts values into a wheel: what was measured as one moves by one amount."""
    moves = []
    for group in known_groups(design):
        first = get(design, group[0])
        moves.append([(changer(design, key), get(design, key) - first) for key in group])

    def put(wheel: Design, x: Floats1) -> Design:
        for group, value in zip(moves, x, strict=True):
            for change, more in group:
                wheel = change(wheel, float(value) + more)
        return wheel

    return put


Models = Callable[[list[Result]], Callable[[Floats1], Floats1]]
"""Makes a model, values to results, for any results; NaN for no wheel."""


def models_of(design: Design) -> Models:
    """Return what makes models of a wheel, whose values are those of ``values_before``."""
    put = put_together(design)
    # What was measured makes no result of a wheel, and reading it anew for each would take longest.
    bare = replace(design, measured=())

    def of(results: list[Result]) -> Callable[[Floats1], Floats1]:
        def model(x: Floats1) -> Floats1:
            try:
                # A changer asks a number's own bounds only: a rim may pass its groove's bottom.
                solution = solve_drive(must_exist(put(bare, x)))
            except WheelError:  # no such wheel: the adjustment steps back from there
                return np.full(len(results), np.nan)
            return np.array([number_of(result, solution) for result in results])

        return model

    return of


def results_before(design: Design) -> list[tuple[Result, ResultBefore]]:
    """Return the measured results; one that was measured twice is numbered."""
    return [
        (r.result, ResultBefore(r.name, r.value, r.half / COVERAGE_FACTOR))
        for r in readings_of(design)
    ]


def bands_of_unknown_stretch(design: Design, results: list[Result]) -> list[str]:
    """Return the bands whose stretch the file leaves out and a measured result depends on."""
    known = [number_of(r, solve_drive(design)) for r in results]
    found = []
    for band in design.bands:
        if band.stretch is not None:
            continue
        unsure, key = with_usual_stretch(design, [band.name]), f"band:{band.name}.stretch"
        moved = changer(unsure, key)(unsure, get(unsure, key) + unsure.uncertainties[key])
        other = solve_drive(moved)
        moved_to = [number_of(r, other) for r in results]
        # NaN, no such result, is no change where it was none before.
        if not np.array_equal(moved_to, known, equal_nan=True):
            found.append(band.name)
    return found


def notes_on(design: Design, named: list[tuple[Result, ResultBefore]]) -> Iterator[str]:
    """Say what was written twice, what tells nothing, and what no wheel in use is like."""
    seen: dict[tuple[str, float, float], str] = {}
    for result, before in named:
        same = (result.key, before.value, before.standard_uncertainty)
        if same in seen:
            yield (
                f"{before.name} is {seen[same]} once more, figure for figure: it counts as a "
                "second reading. If it is the same reading written twice, take one out"
            )
        seen.setdefault(same, before.name)
        if _tells_nothing(before):
            yield f"{before.name} is as unsure as it is large: it tells next to nothing"
    for name in untold(design):
        yield (
            f"{name} is as unsure as it is large: it tells next to nothing, and counts as not "
            "measured"
        )
    odd = unlikely(design)
    lost = [band.name for band in design.bands if band.name in solve_drive(design).pathless]
    meant = likely_instead(chain(_misread(design), _laid_round(design))) if odd or lost else ()
    ask = f"; did you mean {' or '.join(meant)}?" if meant else ": look at it once more"
    for finding in odd:
        yield f"{finding.says}{ask}"
    for name in lost if meant and not odd else ():
        yield f'no band "{name}" goes round what was measured{ask}'


def _misread(design: Design) -> Iterator[tuple[str, Design | None]]:
    """Yield the wheel with a slip of the pen or the tape undone in one measured length."""
    factor = LENGTH_UNITS[design.unit]
    for slip in SLIPS:
        for key in design.uncertainties:
            value = get(design, key)
            if find_input(design, key).quantity is not LENGTH_MM or value <= 0.0:
                continue
            written = written_length(f"{value / factor:.10g}", design.unit)
            if written is None:  # in metres, feet or yards, in which no tape is read
                continue
            for words, mm in slip(written, (design.unit,)):
                try:
                    yield f"{words} for {find_input(design, key).key}", put(design, {key: mm})
                except DesignError:  # there is no such wheel
                    continue


def _laid_round(design: Design) -> Iterator[tuple[str, Design | None]]:
    """Yield the wheel with one measured diameter taken for the girth that it may be."""
    for group in known_groups(design):
        of, _, field = group[0].partition(":")[2].rpartition(".")
        if field != "rim":
            continue
        driven = design.pulley(of).shaft != design.drive.shaft
        across = round(get(design, group[0]) / math.pi, 9)
        if across < (WHORL_ROUND_MM if driven else WHEEL_ROUND_MM):
            continue
        typed, then = (told_length(mm, design.unit) for mm in (get(design, group[0]), across))
        try:
            other = put(design, dict.fromkeys(group, across))
        except DesignError:  # there is no such wheel
            continue
        yield girth_for_width(typed, of, then), other


def untold_results(named: list[tuple[Result, ResultBefore]]) -> int:
    """Return how many of the measured results are as unsure as they are large."""
    return sum(_tells_nothing(before) for _, before in named)


def _tells_nothing(before: ResultBefore) -> bool:
    return COVERAGE_FACTOR * before.standard_uncertainty >= abs(before.value)


def untold(design: Design) -> list[str]:
    """Return what the file gives with an uncertainty as large as itself: as good as not measured.

    A place may be anything; what has a size is measured better than that.
    """
    found = []
    for key, *_ in known_groups(design):
        value = find_input(design, key)
        if value.value and design.uncertainties[key] >= abs(value.value) * (1.0 - 1e-6):
            found.append(value.key)
    return found
