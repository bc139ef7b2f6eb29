"""The answer to ``tolerance``: how far ratio, twist and bands may be off, and what makes it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import field

from wheelgeo.as_json import NOT_IN_JSON, AsJson
from wheelgeo.check.answer_spinning import spinning_answer
from wheelgeo.design.model import Design
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.inputs import find_input
from wheelgeo.numbers.typed import read_number
from wheelgeo.tune.band_spread import BandSpread, SlideNeed
from wheelgeo.tune.iso2768 import check_class
from wheelgeo.tune.result_spread import Drawing, Spread
from wheelgeo.tune.size_tolerances import Allowed, Uncertain
from wheelgeo.tune.tightness import Allowance, Tightness
from wheelgeo.tune.tolerance import Tolerance, tolerance
from wheelgeo.tune.trials import FEWEST_TRIALS, MOST_TRIALS
from wheelgeo.tune.uncertainty import Contribution
from wheelgeo.tune.wind_on_spread import WindOnSpread
from wheelgeo.units import FRACTION, parse_quantity
from wheelgeo.yarn.cycle import TwistScatter
from wheelgeo.yarn.wheel_wind_on import wheel_wind_on

SHARE_SHOWN = 1e-12
"""Shares below this are rounding and are left out."""


@dataclass(frozen=True)
class ShareAnswer:
    """The share of a number, or of a part, in a result's variance."""

    what: str
    share: float


@dataclass(frozen=True)
class SimulatedAnswer:
    """What so many wheels drawn at random give, and whether that bears out the formula."""

    wheels: int
    mean: float
    standard_uncertainty: float
    from_: float
    to: float
    shortest_from: float
    shortest_to: float
    agrees: bool


@dataclass(frozen=True)
class SpreadAnswer:
    """A result with its uncertainty.

    Attributes:
        value: the result.
        unit: its unit.
        standard_uncertainty: by the law of propagation of uncertainty.
        expanded_uncertainty: plus or minus, at ``coverage_probability``.
        coverage: coverage factor.
        coverage_probability: the fraction of wheels within it.
        shares: of each number in the variance, the largest first.
        shares_by_part: of each pulley, shaft and band, the largest first.
        monte_carlo: the same by simulation.
    """

    value: float
    unit: str
    standard_uncertainty: float
    expanded_uncertainty: float
    coverage: float
    coverage_probability: float
    shares: tuple[ShareAnswer, ...]
    shares_by_part: tuple[ShareAnswer, ...]
    monte_carlo: SimulatedAnswer


@dataclass(frozen=True)
class SlideNeedAnswer:
    """How far a shaft must slide to take up a band's spread, and how far it can."""

    shaft: str
    needs_from_mm: float
    needs_to_mm: float
    has_from_mm: float
    has_to_mm: float
    enough: bool


@dataclass(frozen=True)
class BandSpreadAnswer:
    """How far a band may be off: its length, stretch and pull, and what slides take up."""

    name: str
    length_mm: SpreadAnswer
    stretch: SpreadAnswer
    tension_n: SpreadAnswer | None
    slack_share: float
    no_path_share: float
    slides: tuple[SlideNeedAnswer, ...]


@dataclass(frozen=True)
class DimensionAnswer:
    """A number that is off: plus or minus its tolerance, and where that comes from."""

    what: str
    part: str
    value: float
    tolerance: float
    unit: str
    source: str


@dataclass(frozen=True)
class ToleranceClassAnswer:
    """What a class of general tolerance would make of the twist."""

    class_: str
    twist_error: float
    enough: bool


@dataclass(frozen=True)
class TightnessAnswer:
    """How tight each size must be for the twist error that is wanted."""

    wanted_twist_error: float
    twist_error: float
    factor: float | None
    dimensions: tuple[Allowance, ...]
    classes: tuple[ToleranceClassAnswer, ...]


@dataclass(frozen=True)
class UnevenAnswer:
    """Who makes the yarn uneven: standard deviations of the twist, as fractions of it.

    Attributes:
        hand: from turns of the hand miscounted, from draw to draw.
        draw: from draws of unequal length.
        wheel: from slip that comes and goes.
        together: the three.
        most_by: the largest cause of unevenness: hand, draw or wheel.
        wheel_lasting: from sizes that are off: all yarn of one wheel alike, and so not uneven.
    """

    hand: float
    draw: float
    wheel: float
    together: float
    most_by: str
    wheel_lasting: float


@dataclass(frozen=True)
class WindOnSizeAnswer:
    """Wind-on with the bobbin empty or full, each result with its uncertainty, None without.

    Attributes:
        lead: turns of the bobbin over those of the flyer, less 1: above 0 the bobbin leads.
        take_in_mm_per_flyer_turn: yarn that goes in; with a brake what the twist asks.
        least_turns_per_metre: least twist that can come out; None with a brake.
        slip_share: part of the lead that must slip for the wanted twist; None likewise.
        yarn_pull_n: pull on the yarn: the brake's, or that of the whorl that slips.
    """

    lead: SpreadAnswer | None
    take_in_mm_per_flyer_turn: SpreadAnswer | None
    least_turns_per_metre: SpreadAnswer | None
    slip_share: SpreadAnswer | None
    yarn_pull_n: SpreadAnswer | None


@dataclass(frozen=True)
class WindOnSpreadAnswer:
    """How a flyer wheel takes yarn in, all from one set of wheels drawn.

    Attributes:
        leads: which of flyer and bobbin is faster, as the file has it.
        by: what makes them differ.
        empty: with the bare bobbin.
        full: with the full one.
        lead_changes_share: of wheels on which the other leads; the simulated ranges are of the
            others.
        too_slow_share: of wheels that cannot take in as fast as the twist asks, even full.
    """

    leads: str
    by: str
    empty: WindOnSizeAnswer
    full: WindOnSizeAnswer
    lead_changes_share: float
    too_slow_share: float


@dataclass(frozen=True)
class ToleranceAnswer(AsJson):
    """How careful one must be.

    Attributes:
        title: the wheel's title.
        class_: class of general tolerances (ISO 2768-1).
        ratio: spindle turns per turn of the hand.
        twist: turns per metre; None where the file does not say what is wanted.
        twist_growth: how much more twist the full bobbin has than the empty one, beside all that
            is off, as a fraction; 0 where the flyer is driven.
        bands: every band with a path.
        wind_on: how a flyer wheel takes yarn in; None of others, or where nothing is wound on.
        dimensions: every number that is off.
        tightness: how tight each size must be.
        uneven: hand and draw beside the wheel; None where twist or draw are not known.
        notes: what was taken where the file or the standard is silent.
        found: the whole result.
    """

    title: str
    class_: str
    ratio: SpreadAnswer
    twist: SpreadAnswer | None
    twist_growth: float
    bands: tuple[BandSpreadAnswer, ...]
    wind_on: WindOnSpreadAnswer | None
    dimensions: tuple[DimensionAnswer, ...]
    tightness: TightnessAnswer
    uneven: UnevenAnswer | None
    notes: tuple[str, ...]
    found: Tolerance = field(repr=False, compare=False, metadata=NOT_IN_JSON)


def read_part(value: float | str) -> float:
    """Return a fraction that may be written as a percentage; QuantityError where it is none."""
    return parse_quantity(value, FRACTION, "") if isinstance(value, str) else value


def read_allowed(
    design: Design, general: str, own: Mapping[str, float | str], parts: Iterable[float | str]
) -> Allowed:
    """Return what may be off: the class, one's own tolerances, and cord, slip, wear, growth."""
    tolerances: dict[str, float] = {}
    for key, value in own.items():
        parameter = find_input(design, key)
        tolerances[parameter.key] = (
            read_number(value, parameter.quantity, design.unit, key)
            if isinstance(value, str)
            else value
        )
    return Allowed(check_class(general), tolerances, *map(read_part, parts))


def read_drawing(coverage: float | str, trials: int, seed: int) -> Drawing:
    """Return how wheels are drawn; SearchError for a coverage or a number that cannot be had."""
    part = round(read_part(coverage), 12)
    if not 0.5 <= part <= 0.99:
        raise SearchError(f"a coverage from 50 % to 99 % can be stated, not {100 * part:g} %")
    if not FEWEST_TRIALS <= trials <= MOST_TRIALS:
        raise SearchError(f"{FEWEST_TRIALS} to {MOST_TRIALS} wheels can be drawn, not {trials}")
    if seed < 0:
        raise SearchError(f"seed: {seed} is not a whole number from 0 on")
    return Drawing(trials=trials, seed=seed, coverage=part)


def work_out(
    design: Design, allowed: Allowed, wanted_error: float | None, drawing: Drawing
) -> ToleranceAnswer:
    """Work out the uncertainties of a wheel, as ``wheelgeo.tune.tolerance`` does."""
    return tolerance_answer(tolerance(design, allowed, wanted_error, drawing))


def tolerance_answer(found: Tolerance) -> ToleranceAnswer:
    """Return what is to be told of the uncertainties of a wheel."""
    parts = {d.what: d.part for d in found.uncertain}
    ratio = _spread(found.ratio, parts)
    wound = wheel_wind_on(solve_drive(found.design))
    return ToleranceAnswer(
        title=found.design.title,
        class_=found.allowed.general,
        ratio=ratio,
        twist=None if found.twist is None else _spread(found.twist, parts),
        twist_growth=0.0 if wound is None else wound.twist_growth,
        bands=tuple(_band(b, parts) for b in found.bands),
        wind_on=None if found.wind_on is None else _wind_on(found.wind_on, parts),
        dimensions=tuple(_dimension(d) for d in found.uncertain),
        tightness=_tightness(found.tightness),
        uneven=_uneven(found.design, ratio),
        notes=tuple(found.notes),
        found=found,
    )


def _uneven(design: Design, ratio: SpreadAnswer) -> UnevenAnswer | None:
    """Return hand and draw beside the wheel, whose slip alone comes and goes."""
    spinning = spinning_answer(solve_drive(design))
    if spinning is None or spinning.scatter is None:
        return None
    off = ratio.standard_uncertainty / abs(ratio.value)
    slipping = math.fsum(s.share for s in ratio.shares if s.what.endswith(".slip"))
    by = TwistScatter(spinning.scatter.hand, spinning.scatter.draw, off * math.sqrt(slipping))
    lasting = off * math.sqrt(max(0.0, 1.0 - slipping))  # shares add to 1 but for rounding
    return UnevenAnswer(by.hand, by.draw, by.wheel, by.together, by.most_by, lasting)


def _spread(spread: Spread, parts: Mapping[str, str]) -> SpreadAnswer:
    budget, drawn = spread.budget, spread.drawn
    return SpreadAnswer(
        value=budget.value,
        unit=spread.unit,
        standard_uncertainty=budget.standard_uncertainty,
        expanded_uncertainty=budget.expanded_uncertainty,
        coverage=budget.coverage_factor,
        coverage_probability=budget.coverage_probability,
        shares=shares(spread),
        shares_by_part=shares_by_part(spread, parts),
        monte_carlo=SimulatedAnswer(
            drawn.trials, drawn.mean, drawn.standard_uncertainty, *drawn.symmetric,
            *drawn.shortest, spread.agree,
        ),
    )  # fmt: skip


def _taking_part(spread: Spread) -> list[Contribution]:
    taking_part = [c for c in spread.budget.contributions if c.share > SHARE_SHOWN]
    return sorted(taking_part, key=lambda c: -c.share)


def shares(spread: Spread) -> tuple[ShareAnswer, ...]:
    """Return the share of each number in a result's variance, the largest first."""
    return tuple(ShareAnswer(c.name, c.share) for c in _taking_part(spread))


def shares_by_part(spread: Spread, parts: Mapping[str, str]) -> tuple[ShareAnswer, ...]:
    """Return the share of each pulley, shaft and band, the largest first."""
    sums: dict[str, float] = {}
    for c in _taking_part(spread):
        part = parts.get(c.name, c.name)
        sums[part] = sums.get(part, 0.0) + c.share
    return tuple(ShareAnswer(what, sums[what]) for what in sorted(sums, key=lambda w: -sums[w]))


def _band(band: BandSpread, parts: Mapping[str, str]) -> BandSpreadAnswer:
    return BandSpreadAnswer(
        name=band.name,
        length_mm=_spread(band.length, parts),
        stretch=_spread(band.stretch, parts),
        tension_n=None if band.tension is None else _spread(band.tension, parts),
        slack_share=band.slack_share,
        no_path_share=band.no_path_share,
        slides=tuple(_slide(s) for s in band.slides),
    )


def _wind_on(found: WindOnSpread, parts: Mapping[str, str]) -> WindOnSpreadAnswer:
    empty, full = (
        WindOnSizeAnswer(**{
            what: None if spread is None else _spread(spread, parts)
            for what, spread in size.items()
        })
        for size in (found.empty, found.full)
    )  # fmt: skip
    nominal = found.nominal
    return WindOnSpreadAnswer(
        nominal.leads, nominal.by, empty, full, found.lead_changes, found.too_slow
    )


def _slide(need: SlideNeed) -> SlideNeedAnswer:
    return SlideNeedAnswer(
        need.shaft, need.from_mm, need.to_mm, need.has_from_mm, need.has_to_mm, need.enough
    )


def _dimension(one: Uncertain) -> DimensionAnswer:
    return DimensionAnswer(
        one.what, one.part, one.value, one.tolerance, one.unit, one.source
    )


def _tightness(tight: Tightness) -> TightnessAnswer:
    return TightnessAnswer(
        wanted_twist_error=tight.wanted_error,
        twist_error=tight.twist_error,
        factor=tight.factor,
        dimensions=tuple(tight.allowances),
        classes=tuple(
            ToleranceClassAnswer(c.letter, c.twist_error, c.enough) for c in tight.classes
        ),
    )
