"""What the measurements of a wheel say together: its measured numbers and results, adjusted.

The numbers that the file gives with an uncertainty are values, the entries of ``[[measured]]`` are
results; every other number is taken as exact. See ``adjust``, whose page holds the glossary.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import field, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from wheelgeo.as_json import NOT_IN_JSON, AsJson
from wheelgeo.check.answer_parts import BandAnswer
from wheelgeo.check.band_uncertainty import (
    BandUncertainty,
    assumed_stretch_mm,
    with_usual_stretch,
)
from wheelgeo.design.model import Design, Measurement
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.agreeing import COVERAGE_FACTOR
from wheelgeo.numbers.inputs import find_input, get, put
from wheelgeo.numbers.results import Result, find_result
from wheelgeo.numbers.tied import readings_of, written_reading
from wheelgeo.tune.adjust import (
    Adjusted,
    Floats1,
    ResultBefore,
    Suspicion,
    ValueBefore,
)
from wheelgeo.tune.groove_suspects import grooves_to_look_into
from wheelgeo.tune.measured_at_once import rows_of
from wheelgeo.tune.measured_fit import adjusted, agree
from wheelgeo.tune.measurements import (
    Models,
    bands_of_unknown_stretch,
    known_groups,
    models_of,
    notes_on,
    put_together,
    results_before,
    untold,
    untold_results,
    values_before,
)
from wheelgeo.tune.old_wheel_reading import usual_reading_mm
from wheelgeo.tune.posterior import simulated_values
from wheelgeo.tune.snooping import gain, snoop

if TYPE_CHECKING:
    from wheelgeo.wheel import Wheel

ROUGH = 0.3
"""A straight line is too rough where, at the end of the 95 % interval, an observation is off it by
more than this many of its standard uncertainties."""


@dataclass(frozen=True)
class MeasuredValue:
    """A number of the file, before and after.

    Attributes:
        name: its name.
        unit: its unit.
        before: as the file has it.
        after: the best fit.
        uncertainty: half the width of its interval at 95 %; None where that is not known.
        low: lower end of the interval; where straight lines are too rough, the simulated one.
        high: its upper end.
        normalised: its normalised residual; None where nothing checks it.
    """

    name: str
    unit: str
    before: float
    after: float
    uncertainty: float | None
    low: float | None
    high: float | None
    normalised: float | None


@dataclass(frozen=True)
class MeasuredResult:
    """A measured result: as measured, and as the values after have it."""

    what: str
    unit: str
    is_: float
    after: float
    residual: float
    normalised: float | None


@dataclass(frozen=True)
class MeasuredInterval:
    """A result of the wheel after with its interval at 95 %, in its unit; None: not known.

    ``low`` and ``high`` are simulated where straight lines are too rough.
    """

    name: str
    unit: str
    after: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class MeasureAnswer(AsJson):
    """What the measurements say together.

    Attributes:
        values: every number that the file gives with an uncertainty.
        measured: every entry of ``[[measured]]``.
        disagree: names of what disagrees, and of what cannot be told from it.
        bands: the bands of the wheel after, as ``solve`` has them, with their uncertainties.
        ratio: ratio of the wheel after.
        ratio_uncertainty: half width at 95 %; None where it is not known.
        spare: measurements beyond those that are needed; with 0 nothing checks anything.
        simulated: values whose interval was simulated, straight lines being too rough there.
        helps: what to measure once more, and by what part that lowers the variance of the bands.
        untold: values that the file gives as unsure as they are large: as good as not measured.
        results: ratio and lengths of the wheel after, each with its interval.
        notes: what was written twice, and what is too unsure to tell anything.
        suspicions: what may be wrong, in the order found.
        wheel: the wheel with the values after, and what was measured as they have it.
    """

    values: tuple[MeasuredValue, ...]
    measured: tuple[MeasuredResult, ...]
    disagree: tuple[str, ...]
    bands: tuple[BandAnswer, ...]
    ratio: float | None
    ratio_uncertainty: float | None
    spare: int
    simulated: tuple[str, ...]
    helps: tuple[tuple[str, str, float], ...]
    untold: tuple[str, ...]
    results: tuple[MeasuredInterval, ...]
    notes: tuple[str, ...]
    suspicions: tuple[Suspicion, ...] = field(metadata=NOT_IN_JSON)
    wheel: Wheel = field(repr=False, compare=False, metadata=NOT_IN_JSON)


def measure(wheel: Wheel) -> MeasureAnswer:
    """Adjust what was measured of a wheel.

    Args:
        wheel: its file gives some numbers, or results, with their uncertainty.

    Raises:
        SearchError: nothing, or nothing with an uncertainty, was measured; a result of that name
            does not exist; or no wheel fits the measurements.
    """
    design = wheel.design
    named = results_before(design)
    values = values_before(design)
    if not values:
        raise SearchError(
            "no number of the file has an uncertainty, so that nothing can be adjusted: "
            'write what was measured as "17 3/4 +- 1/8 in"'
        )
    stretched = bands_of_unknown_stretch(design, [result for result, _ in named])
    if stretched:
        design = with_usual_stretch(design, stretched)
        wheel, values = wheel.with_design(design), values_before(design)
    results = [before for _, before in named]
    of = models_of(design)
    model = of([result for result, _ in named])
    done = adjusted(design, values, named, of)
    wrong = snoop(values, results, model, done)[1] if done.suspicion else ()
    answer = _answer(wheel, done, named, wrong, of, values)
    usual = tuple(
        f"the stretch of {name} was not measured: the usual one with its range was taken beside "
        "what was, and adjusted with it"
        for name in stretched
    )
    shapes = grooves_to_look_into(design, agree) if wrong else ()
    return replace(answer, notes=(*answer.notes, *usual, *shapes))


def _answer(
    wheel: Wheel,
    done: Adjusted,
    named: list[tuple[Result, ResultBefore]],
    wrong: tuple[Suspicion, ...],
    of: Models,
    before: list[ValueBefore],
) -> MeasureAnswer:
    design = wheel.design
    units = {v.name: find_input(design, v.name).unit for v in done.values}
    observed = {o.name: o for o in done.observations}
    x = np.array([v.after for v in done.values])
    model = of([result for result, _ in named])
    # Where something disagrees nobody is to trust an interval: none is worth simulating.
    rough = () if wrong else _rough(done, model, x)
    wanted = _wanted(design)
    slopes = _slopes(of(wanted), x)
    low, high = _ends(done)
    spread = COVERAGE_FACTOR * np.sqrt(np.einsum("ij,jk,ik->i", slopes, done.covariance, slopes))
    made = of(wanted)(x)
    ends = np.stack([made - spread, made + spread], axis=1)
    if rough:
        every = [result for result, _ in named] + wanted
        at_once = rows_of(
            put_together(design)(design, x), known_groups(design), every, of(every), x
        )
        drawn = (
            None if done.unknown
            else simulated_values(before, [r for _, r in named], model, done, at_once=at_once)
        )  # fmt: skip
        none: list[float | None] = [None] * len(done.values)
        low, high = (none, none) if drawn is None else (list(drawn.low), list(drawn.high))
        ends = np.full_like(ends, np.nan)
        if drawn is not None:
            ends = np.stack([drawn.wanted_low, drawn.wanted_high], axis=1)
    values = tuple(
        MeasuredValue(v.name, units[v.name], v.before, v.after, _half(a, b), a, b,
                      observed[v.name].normalised)
        for v, a, b in zip(done.values, low, high, strict=True)
    )  # fmt: skip
    results = []
    for result, measured in named:
        o = observed[measured.name]
        results.append(
            MeasuredResult(o.name, result.unit, o.before, o.after, o.residual, o.normalised)
        )
    after = wheel.with_design(_after(design, values, results, bool(rough)))
    solved = after.solve()
    halves = 0.5 * (ends[:, 1] - ends[:, 0])
    for i, b in enumerate(solved.bands):
        # A stretch that was assumed comes to the cut length, which knows nothing of it.
        more = _of_assumed_stretch(b)
        ends[2 * i + 1] = made[2 * i + 1] + np.array([-1.0, 1.0]) * np.hypot(
            ends[2 * i + 1] - made[2 * i + 1], more
        )
    return MeasureAnswer(
        values=values,
        measured=tuple(results),
        disagree=tuple(dict.fromkeys(name for w in wrong for name in w.names)),
        bands=tuple(
            _with_uncertainty(b, halves[2 * i], halves[2 * i + 1])
            for i, b in enumerate(solved.bands)
        ),
        ratio=solved.ratio,
        ratio_uncertainty=_finite(halves[-1]),
        results=tuple(
            MeasuredInterval(r.key, r.unit, _finite(m), _finite(a), _finite(b))
            for r, m, (a, b) in zip(wanted, made, ends, strict=True)
        ),
        notes=tuple(notes_on(design, named)),
        spare=max(done.spare - len(untold(design)) - untold_results(named), 0),
        simulated=rough,
        helps=tuple(_helps(done, wanted, slopes, _read_again(done, design, units))),
        untold=tuple(untold(design)),
        suspicions=wrong,
        wheel=after,
    )


def _ends(done: Adjusted) -> tuple[list[float | None], list[float | None]]:
    """Return both ends of the values' intervals by straight lines."""
    known = [(v.after, v.uncertainty) for v in done.values]
    return (
        [None if u is None else after - u for after, u in known],
        [None if u is None else after + u for after, u in known],
    )


def _half(low: float | None, high: float | None) -> float | None:
    return None if low is None or high is None else float(0.5 * (high - low))


def _after(
    design: Design,
    values: Sequence[MeasuredValue],
    results: Sequence[MeasuredResult],
    rough: bool,
) -> Design:
    """Return the wheel with the values after.

    Each value and each result keeps the uncertainty that it was read with, so that adjusting them
    anew finds the same values, as sure and tied to one another as they are now. Where straight
    lines are too rough for that the values take their simulated uncertainties, and the results,
    which would count twice beside these, go.
    """
    changes = {}
    for group, value in zip(known_groups(design), values, strict=True):
        for key in group:
            now = value.after + get(design, key) - get(design, group[0])
            half = value.uncertainty if rough else design.uncertainties[group[0]]
            sure = "" if half is None or key not in design.uncertainties else f" +- {half:.5g}"
            changes[key] = f"{now:.9g}{sure} {value.unit}".rstrip()
    kept = () if rough else tuple(
        Measurement(one.what, written_reading(after.after, r.half, r.result.quantity, design.unit))
        for one, r, after in zip(design.measured, readings_of(design), results, strict=True)
    )  # fmt: skip
    return replace(put(design, changes), measured=kept)


def _wanted(design: Design) -> list[Result]:
    """Return what is told of the wheel after: both lengths of every band, then the ratio."""
    lengths = [f"{b.name}.{what}" for b in design.bands for what in ("length", "cut_length")]
    return [find_result(design, name) for name in [*lengths, "ratio"]]


def _with_uncertainty(band: BandAnswer, length: float, cut: float) -> BandAnswer:
    """Return a band with the uncertainties, mm, of its length and its cut length.

    ``cut`` is from what was measured; a stretch that was assumed comes to it. A stretch that was
    measured is in it already, and not told apart: adjusting ties it to the others.
    """
    known, stretch = _finite(cut), _of_assumed_stretch(band)
    both = BandUncertainty(_finite(length), known, stretch)
    return replace(
        band, length_uncertainty_mm=both.length_mm, cut_length_uncertainty_mm=both.cut_length_mm,
        from_measuring_mm=known, from_stretch_mm=stretch,
    )  # fmt: skip


def _of_assumed_stretch(band: BandAnswer) -> float:
    known = None if band.solution is None else assumed_stretch_mm(band.solution, band.name)
    return known or 0.0


def _finite(number: float) -> float | None:
    return float(number) if np.isfinite(number) else None


def _slopes(model: Callable[[Floats1], Floats1], x: Floats1) -> Any:
    """Return derivatives by central differences, (results, values)."""
    columns = []
    for i in range(len(x)):
        move = np.zeros_like(x)
        move[i] = 6e-6 * max(abs(x[i]), 1.0)  # the cube root of the rounding error, as in adjust
        columns.append((model(x + move) - model(x - move)) / (2.0 * move[i]))
    return np.stack(columns, axis=1)


def _rough(done: Adjusted, model: Callable[[Floats1], Floats1], x: Floats1) -> tuple[str, ...]:
    """Return the values at the ends of whose interval the wheel leaves the straight line.

    Each end is tried with the other values moved as they then most likely are.
    """
    count = len(done.values)
    here, slopes = model(x), done.slopes[count:]
    spread = np.sqrt(np.diag(done.covariance))
    curved = []
    for i, value in enumerate(done.values):
        step = COVERAGE_FACTOR * done.covariance[:, i] / spread[i]
        ends = [model(x + sign * step) - here - sign * (slopes @ step) for sign in (1.0, -1.0)]
        scale = np.sqrt(np.einsum("ij,jk,ik->i", slopes, done.covariance, slopes))
        if any(not np.all(np.abs(off) <= ROUGH * scale + 1e-9) for off in ends):
            curved.append(value.name)
    return tuple(curved)


def _helps(
    done: Adjusted, wanted: list[Result], slopes: Any, spread: Sequence[float]
) -> list[tuple[str, str, float]]:
    """Return, for each band and the ratio, which value to measure once more, so well each."""
    if done.unknown:
        return []
    found = []
    for result, row in zip(wanted, slopes, strict=True):
        gains = []
        for i, value in enumerate(done.values):
            own = np.zeros(len(done.values))
            own[i] = 1.0
            if np.all(np.isfinite(row)):
                gains.append((gain(done, row, own, spread[i]), value.name))
        if gains and max(gains)[0] > 0.0:
            most, name = max(gains)
            found.append((result.key, name, most))
    return found


def _read_again(done: Adjusted, design: Design, units: Mapping[str, str]) -> list[float]:
    """Return the standard uncertainty with which each value would be measured once more.

    As well as before; what was as good as not measured, as a length is usually read.
    """
    known = [design.uncertainties[group[0]] for group in known_groups(design)]
    guessed = set(untold(design))
    return [
        (usual_reading_mm(abs(v.after)) if v.name in guessed and units[v.name] == "mm" else half)
        / COVERAGE_FACTOR
        for v, half in zip(done.values, known, strict=True)
    ]
