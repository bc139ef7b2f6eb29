"""What the file of a wheel says was measured of it, as observations for ``adjust``."""

from __future__ import annotations

from collections.abc import Iterator

from wheelgeo.design.model import Design
from wheelgeo.errors import SearchError
from wheelgeo.numbers.inputs import find_input
from wheelgeo.numbers.results import Result, find_result
from wheelgeo.tune.adjust import COVERAGE_FACTOR, ResultBefore, ValueBefore
from wheelgeo.units import LENGTH_MM, parse_measured
from wheelgeo.units.number_kinds import NUMBER


def values_before(design: Design) -> list[ValueBefore]:
    """Return the numbers that the file gives with an uncertainty."""
    found = []
    for key, half in design.uncertainties.items():
        number = find_input(design, key)
        if number.value is not None:
            found.append(ValueBefore(number.key, number.value, half / COVERAGE_FACTOR))
    return found


def results_before(design: Design) -> list[tuple[Result, ResultBefore]]:
    """Return the measured results; one that was measured twice is numbered."""
    found: list[tuple[Result, ResultBefore]] = []
    for one in design.measured:
        result = find_result(design, one.what)
        bare = design.unit if result.unit == "mm" else result.unit
        value, half = parse_measured(one.is_, result.quantity or NUMBER, bare)
        if half is None:
            raise SearchError(
                f'"{one.what}" was measured without saying how well: '
                'write it as "76 1/2 +- 1/4 in"'
            )
        if result.quantity is LENGTH_MM and value <= 0.0:
            raise SearchError(f'"{one.what}" was measured as {one.is_}: a length is more than 0')
        before = sum(r.key == result.key for r, _ in found)
        name = f"{result.key} ({before + 1})" if before else result.key
        found.append((result, ResultBefore(name, value, half / COVERAGE_FACTOR)))
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
