"""What the file of a wheel says was measured of it, as observations for ``adjust``."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from wheelgeo.check.band_uncertainty import with_usual_stretch
from wheelgeo.design.model import Design
from wheelgeo.design.possible import must_exist
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import SearchError, WheelError
from wheelgeo.numbers.inputs import changer, find_input, get, is_input
from wheelgeo.numbers.results import Result, find_result, is_result, number_of
from wheelgeo.numbers.uncertain import measured_as_one
from wheelgeo.tune.adjust import COVERAGE_FACTOR, Floats1, ResultBefore, ValueBefore
from wheelgeo.units import LENGTH_MM, parse_measured
from wheelgeo.units.number_kinds import NUMBER


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

    def of(results: list[Result]) -> Callable[[Floats1], Floats1]:
        def model(x: Floats1) -> Floats1:
            try:
                # A changer asks a number's own bounds only: a rim may pass its groove's bottom.
                solution = solve_drive(must_exist(put(design, x)))
            except WheelError:  # no such wheel: the adjustment steps back from there
                return np.full(len(results), np.nan)
            return np.array([number_of(result, solution) for result in results])

        return model

    return of


def results_before(design: Design) -> list[tuple[Result, ResultBefore]]:
    """Return the measured results; one that was measured twice is numbered."""
    found: list[tuple[Result, ResultBefore]] = []
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
        before = sum(r.key == result.key for r, _ in found)
        name = f"{result.key} ({before + 1})" if before else result.key
        found.append((result, ResultBefore(name, value, half / COVERAGE_FACTOR)))
    return found


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
    """Say what was written twice, and what is so unsure that it tells nothing."""
    seen: dict[tuple[str, float, float], str] = {}
    for result, before in named:
        same = (result.key, before.value, before.standard_uncertainty)
        if same in seen:
            yield (
                f"{before.name} is {seen[same]} once more, figure for figure: it counts as a "
                "second reading. If it is the same reading written twice, take one out"
            )
        seen.setdefault(same, before.name)
        if COVERAGE_FACTOR * before.standard_uncertainty >= abs(before.value):
            yield f"{before.name} is as unsure as it is large: it tells next to nothing"
    for key, half in design.uncertainties.items():
        value = find_input(design, key)
        # A place may be anything; what has a size is measured better than that.
        if value.value and half >= abs(value.value):
            yield f"{value.key} is as unsure as it is large: it tells next to nothing"
