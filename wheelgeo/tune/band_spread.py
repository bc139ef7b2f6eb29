"""What the uncertainties of a wheel make of its bands: length, stretch, pull, and slides."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Literal

import numpy as np

from wheelgeo.built.as_built import build
from wheelgeo.design.model import Design, Shaft
from wheelgeo.drive.train import BandMotion, Solution, solve_drive
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.inputs import changer
from wheelgeo.tune.montecarlo import agree, draw_outputs, summary
from wheelgeo.tune.result_spread import AGREE_DIGITS, Drawing, Spread, inputs_of, model_of
from wheelgeo.tune.size_tolerances import Uncertain
from wheelgeo.tune.uncertainty import propagate
from wheelgeo.tune.wheels_at_once import Array, Cases, cord_of, length_keys, length_of

_PROBE_MM = 0.01
_NO_SLOPE = 1e-3
"""A slide along which the path changes by less than this, mm per mm, takes up nothing."""


@dataclass(frozen=True)
class SlideNeed:
    """What a slide must take up so that a band has its stretch.

    Attributes:
        shaft: the shaft that slides; several on one axis are named with a plus between.
        from_mm: travel needed backwards from where the shaft stands, negative.
        to_mm: travel needed forwards.
        has_from_mm: what the slide has.
        has_to_mm: likewise.
    """

    shaft: str
    from_mm: float
    to_mm: float
    has_from_mm: float
    has_to_mm: float

    @property
    def enough(self) -> bool:
        """Whether the slide has the travel that is needed."""
        return self.has_from_mm <= self.from_mm and self.to_mm <= self.has_to_mm


@dataclass(frozen=True)
class BandSpread:
    """A band with its uncertainties.

    Attributes:
        name: the band.
        length: its path.
        stretch: its stretch once it is on, cut as drawn and no slide moved.
        tension: pull of each strand at rest by that stretch, N; None where something else than
            its stretch pulls it tight.
        slack_share: share of the wheels drawn on which it hangs slack.
        no_path_share: share of the wheels drawn on which it has no path; what else is drawn is of
            the others.
        slides: what each slide on which it hangs must take up.
    """

    name: str
    length: Spread
    stretch: Spread
    tension: Spread | None
    slack_share: float
    no_path_share: float
    slides: tuple[SlideNeed, ...]


def band_spread(
    solution: Solution, motion: BandMotion, uncertain: Sequence[Uncertain], drawing: Drawing
) -> BandSpread:
    """Return a band with its uncertainties; the band must have a path."""
    taking_part = _uncertain_of_band(solution, motion, uncertain)
    model, inputs = model_of(_band_results(solution, motion), taking_part), inputs_of(taking_part)
    try:
        budgets = propagate(model, inputs, drawing.coverage)
    except ValueError as error:
        raise SearchError(_all_but_none(motion)) from error
    outputs = draw_outputs(model, inputs, drawing.band_trials, drawing.seed, may_fail=True)
    standing = outputs[:, np.isfinite(outputs[0])]
    if standing.shape[1] < outputs.shape[1] / 2:
        raise SearchError(_all_but_none(motion))
    drawn = [summary(row, drawing.coverage) for row in standing]
    length, stretch, tension, missing = (
        Spread(what, unit, budget, simulation, agree(budget, simulation, AGREE_DIGITS))
        for (what, unit), budget, simulation in zip(_RESULTS, budgets, drawn, strict=True)
    )
    return BandSpread(
        motion.band.name,
        length,
        stretch,
        tension if motion.band.tension is None else None,
        float(np.mean(standing[1] <= 0.0)),
        1.0 - standing.shape[1] / outputs.shape[1],
        tuple(_slide_needs(solution, motion, missing)),
    )


def _all_but_none(motion: BandMotion) -> str:
    return (
        f'"{motion.band.name}" has a path as drawn, but its pulleys stand so close that within '
        "their tolerances it has none: move them apart"
    )


_RESULTS = (
    ("length", "mm"), ("stretch", ""), ("tension", "N"), ("path longer than the band wants", "mm"),
)  # fmt: skip


def _uncertain_of_band(
    solution: Solution, motion: BandMotion, uncertain: Sequence[Uncertain]
) -> list[Uncertain]:
    keys = length_keys(solution, motion)
    keys |= {f"band:{motion.band.name}.{name}" for name in ("cut_length", "stretch")}
    own = known_within(solution.design, motion, "modulus")
    return [*(d for d in uncertain if d.key in keys), *([own] if own.tolerance else [])]


def known_within(
    design: Design, motion: BandMotion, figure: Literal["modulus", "friction"]
) -> Uncertain:
    """Return by what power of its spread a figure of a cord is off, from -1 to 1.

    One known within a factor is spread evenly over the logarithm: no cord has less than none.
    """
    name = motion.band.name
    known = getattr(build(design).bands[name], figure).value
    power = 1.0 if known.high > known.low else 0.0
    return Uncertain(
        f"band:{name}.{figure}", f"{name}.{figure}", name, 0.0, power, "", known.source, made=False
    )


def _band_results(solution: Solution, motion: BandMotion) -> Callable[[Cases], Array]:
    """Return a function of cases: length, stretch, pull, and what the path is too long."""
    assert motion.path is not None
    band, name = motion.band, f"band:{motion.band.name}"
    made, length, cord = solution.built.bands[band.name], length_of(solution, motion), cord_of(band)
    figure, stretch = made.modulus.value, made.stretch.value
    within = math.sqrt(figure.high / figure.low)
    cut = made.cut_length_mm(motion.path.length_mm)

    def results(cases: Cases) -> Array:
        path = length(cases)
        made = cut * (1.0 + cases.get(f"{name}.cut_length", 0.0))
        felt = cases.get(f"{name}.stretch", stretch) - stretch
        on = path / made - 1.0 + felt
        section = math.pi / 4.0 * cord(cases) ** 2
        modulus = figure.value * within ** cases.get(f"{name}.modulus", 0.0)
        pull = modulus * section * np.maximum(on, 0.0)
        return np.stack([path, on, pull + 0.0 * path, path - made * (1.0 + stretch - felt)])

    return results


def _slide_needs(solution: Solution, motion: BandMotion, missing: Spread) -> list[SlideNeed]:
    """Return, for each slide on which a band hangs, the travel that gives the band its stretch.

    Where the path has come out too long the shaft goes to where it is shorter, and the other way
    round; the path's change per millimetre of travel is taken where the shaft stands.
    """
    design, needs = solution.design, []
    for shafts in _slides(design, motion):
        slide, slope = shafts[0].slide, _length_per_travel(design, motion.band.name, shafts)
        if slide is None or slope is None or abs(slope) < _NO_SLOPE:
            continue
        low, high = sorted(-end / slope for end in missing.drawn.symmetric)
        name = " + ".join(s.name for s in shafts)
        needs.append(SlideNeed(name, low, high, slide.from_mm, slide.to_mm))
    return needs


def _slides(design: Design, motion: BandMotion) -> list[list[Shaft]]:
    """Return the slides on which a band hangs: shafts on one axis and one slide move together."""
    on = {design.pulley(stop.pulley).shaft for stop in motion.band.route}
    groups: dict[object, list[Shaft]] = {}
    for shaft in design.shafts:
        if shaft.slide is not None:
            groups.setdefault((shaft.at_mm, shaft.axis, shaft.slide), []).append(shaft)
    return [shafts for shafts in groups.values() if any(s.name in on for s in shafts)]


def _length_per_travel(design: Design, band: str, shafts: Sequence[Shaft]) -> float | None:
    """Return by how much a band's path grows per millimetre of a slide's travel."""
    slide = shafts[0].slide
    assert slide is not None
    here = -slide.from_mm
    ends = (max(here - _PROBE_MM, 0.0), min(here + _PROBE_MM, slide.to_mm - slide.from_mm))
    first, last = (solve_drive(_slid(design, shafts, end)).band(band).path for end in ends)
    if first is None or last is None or ends[0] == ends[1]:
        return None
    return (last.length_mm - first.length_mm) / (ends[1] - ends[0])


def _slid(design: Design, shafts: Sequence[Shaft], travel_mm: float) -> Design:
    for shaft in shafts:
        design = changer(design, f"shaft:{shaft.name}.travel")(design, travel_mm)
    return design
