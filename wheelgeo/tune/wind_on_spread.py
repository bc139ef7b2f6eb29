"""What the uncertainties of a flyer wheel make of its wind-on: lead, take-in, slip, yarn's pull.

All from one set of wheels drawn at random, with the empty and with the full bobbin. The lead is a
difference of two whorls that are nearly alike: what is off in it is a far larger part of it than
of the whorls.

Where a whorl slips, the yarn's pull is what that whorl holds at the edge of slip. Each whorl's pull
on its band is a torque over its radius, and the pulls of the runs are linear in those forces; so
that the edge of slip is solved for all wheels at once, with the wraps and bearings of the design.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np

from wheelgeo.drive.band_order import driving_shaft
from wheelgeo.drive.load import BandLoad
from wheelgeo.drive.running import Loaded, load_wheel
from wheelgeo.drive.statics import pulls_under_load
from wheelgeo.drive.train import Solution
from wheelgeo.drive.yarn_hold import yarn_hold
from wheelgeo.immutable import dataclass
from wheelgeo.tune.band_spread import known_within
from wheelgeo.tune.montecarlo import agree, draw_outputs, summary
from wheelgeo.tune.result_spread import AGREE_DIGITS, Drawing, Spread, inputs_of, model_of
from wheelgeo.tune.size_tolerances import Uncertain
from wheelgeo.tune.uncertainty import Budget, propagate
from wheelgeo.tune.wheels_at_once import (
    Array,
    Cases,
    Number,
    cord_of,
    radius_of,
    seat_keys,
    turns_of,
)
from wheelgeo.yarn.wheel_wind_on import WheelWindOn, wheel_wind_on
from wheelgeo.yarn.wind_on import WindOn

RESULTS = {
    "lead": "", "take_in_mm_per_flyer_turn": "mm", "least_turns_per_metre": "per m",
    "slip_share": "", "yarn_pull_n": "N",
}  # fmt: skip
"""What is told of wind-on, with its unit; the lead is bobbin over flyer less 1."""


@dataclass(frozen=True)
class WindOnSpread:
    """How a flyer wheel winds on, with its uncertainties.

    Attributes:
        nominal: as the file has it.
        empty: each result of ``RESULTS`` with the bare bobbin; None where it has none.
        full: the same with the full one.
        lead_changes: share of the wheels drawn on which the other one leads; what else is drawn is
            of the others.
        too_slow: share of them that cannot take in as fast as the wanted twist asks, even full.
    """

    nominal: WheelWindOn
    empty: dict[str, Spread | None]
    full: dict[str, Spread | None]
    lead_changes: float
    too_slow: float


def wind_on_spread(
    solution: Solution, uncertain: Sequence[Uncertain], drawing: Drawing
) -> WindOnSpread | None:
    """Return how a wheel winds on with its uncertainties; None where it winds nothing on.

    Args:
        solution: the solved wheel.
        uncertain: every number that may be off.
        drawing: how wheels are drawn.
    """
    nominal = wheel_wind_on(solution)
    if nominal is None or nominal.leads == "neither":
        return None
    loaded = load_wheel(solution.design, solution)
    head = _Head(loaded, nominal)
    taking_part = [*(d for d in uncertain if d.key in head.keys), *head.figures]
    rows = [(size, what) for size in ("empty", "full") for what in RESULTS]
    known = [(size, what) for size, what in rows if head.has(getattr(nominal, size), what)]
    picked = [rows.index(row) for row in known]
    model = model_of(lambda cases: head.results(cases)[picked], taking_part)
    inputs = inputs_of(taking_part)
    budgets = propagate(model, inputs, drawing.coverage)
    outputs = draw_outputs(model, inputs, drawing.band_trials, drawing.seed, may_fail=True)
    first = known.index(("empty", "lead"))
    leads = np.sign(outputs[first]) == math.copysign(1.0, budgets[first].value)
    made = {
        row: _spread(row[1], budget, output[leads], drawing.coverage)
        for row, budget, output in zip(known, budgets, outputs, strict=True)
    }
    empty, full = ({what: made.get((size, what)) for what in RESULTS} for size in ("empty", "full"))
    slow = 0.0
    if (slip := ("full", "slip_share")) in made:
        slow = float(np.mean(outputs[known.index(slip)][leads] < 0.0))
    return WindOnSpread(nominal, empty, full, 1.0 - float(np.mean(leads)), slow)


def _spread(what: str, budget: Budget, row: Array, coverage: float) -> Spread:
    drawn = summary(row, coverage)
    return Spread(what, RESULTS[what], budget, drawn, agree(budget, drawn, AGREE_DIGITS))


class _Head:
    """Wind-on as a function of cases."""

    def __init__(self, loaded: Loaded, nominal: WheelWindOn) -> None:
        self.loaded = loaded
        self.wind_on = nominal
        solution, spindle = loaded.solution, loaded.design.spindle
        self.pair = spindle.shaft, spindle.bobbin or ""
        self.by_bands = nominal.empty.least_turns_per_metre is not None
        if self.by_bands:
            self.turns = [turns_of(solution, name) for name in self.pair]
        self.slipping = [
            _SlippingBand(loaded, band) for band in loaded.load.bands
            if loaded.load.whorl_slips and _drives(solution, band, self.pair)
        ]  # fmt: skip

    @property
    def keys(self) -> set[str]:
        """Full keys of the numbers that have a part in it."""
        design = self.loaded.design
        keys = {"bobbin:empty"}
        keys |= {f"drag:{i}.pull" for i in range(1, len(design.drags) + 1)}
        if not self.by_bands:
            return keys
        for band in design.bands:
            fields = ("diameter", "wear", "pull", "stretch")
            keys |= {f"band:{band.name}.{field}" for field in fields}
            for stop in band.route:
                keys |= seat_keys(design, design.pulley(stop.pulley))
        return keys

    @property
    def figures(self) -> list[Uncertain]:
        """What is known of the cords within a factor only."""
        found = [one for band in self.slipping for one in band.figures]
        return [one for one in found if one.tolerance > 0.0]

    def has(self, at: WindOn, what: str) -> bool:
        """Tell whether a result is to be had."""
        if what == "yarn_pull_n" and self.slipping:
            return True
        if what == "lead":
            return at.bobbin_turns_per_drive_turn is not None
        return getattr(at, what) is not None

    def results(self, cases: Cases) -> Array:
        """Return every result of empty and full bobbin, one a row; NaN where there is none."""
        count = max((len(column) for column in cases.values.values()), default=1)
        ahead = None
        if self.by_bands:
            flyer, bobbin = (turns(cases) for turns in self.turns)
            ahead = bobbin / flyer
        torque = self._torque_nm(cases)
        rows: list[Number] = []
        for at in (self.wind_on.empty, self.wind_on.full):
            bare = at is self.wind_on.empty
            wide = at.bobbin_diameter_mm
            diameter = cases.get("bobbin:empty", wide) if bare else wide
            rows += self._of(at, diameter, ahead, torque)
        return np.array([np.broadcast_to(row, (count,)) for row in rows])

    def _of(
        self, at: WindOn, diameter: Number, ahead: Number | None, torque: Number
    ) -> list[Number]:
        """Return the results at a diameter, in the order of ``RESULTS``."""
        asked = at.take_in_mm_per_flyer_turn
        if ahead is None:
            # The spinner lets in what the twist asks, whatever the wheel is like.
            toward = 1.0 if at.leads == "bobbin" else -1.0
            asked = math.nan if asked is None else asked
            lead = toward * asked / (math.pi * diameter)
            return [lead, asked, math.nan, math.nan, torque / (diameter / 2e3)]
        take_in = np.abs(ahead - 1.0) * math.pi * diameter
        wanted = math.nan
        if at.slip_share is not None and asked is not None:
            wanted = (1.0 - at.slip_share) * asked
        with np.errstate(divide="ignore"):  # a lead of just nothing: left out with those turned
            least, slip = 1000.0 / take_in, 1.0 - wanted / take_in
        return [np.abs(ahead) - 1.0, take_in, least, slip, torque / (diameter / 2e3)]

    def _torque_nm(self, cases: Cases) -> Number:
        """Return the torque of the yarn: a brake's, or that at which the first whorl slips."""
        if self.slipping:
            return np.minimum.reduce([band.torque_nm(cases) for band in self.slipping])
        if self.by_bands:
            return math.nan
        held = self.pair[1] if self.wind_on.by == "bobbin brake" else self.pair[0]
        torque: Number = 0.0
        for i, drag in enumerate(self.loaded.design.drags, start=1):
            if drag.shaft == held:
                torque = torque + cases.get(f"drag:{i}.pull", drag.pull_n) * drag.diameter_mm / 2e3
        return torque


def _drives(solution: Solution, band: BandLoad, pair: tuple[str, str]) -> bool:
    return any(solution.shaft(name).driven_by == band.rest.band.name for name in pair)


class _SlippingBand:
    """The torque of the yarn at which a band slips on flyer's or bobbin's whorl, by cases."""

    def __init__(self, loaded: Loaded, band: BandLoad) -> None:
        design, solution, rest = loaded.design, loaded.solution, band.rest
        self.band, self.loaded = band, loaded
        self.name = f"band:{rest.band.name}"
        pulleys = [design.pulley(stop.pulley) for stop in rest.band.route]
        self.stops = [p.shaft for p in pulleys]
        self.signs = yarn_hold(solution).signs
        self.whorls = [
            k for k, name in enumerate(self.stops)
            if name in self.signs and solution.shaft(name).driven_by == rest.band.name
        ]  # fmt: skip
        self.radius = {k: radius_of(design, pulleys[k], rest.band) for k in self.whorls}
        self.cord = cord_of(rest.band)
        # What one newton at each driven stop's groove adds to the pulls of the runs.
        source, radii = driving_shaft(solution, rest), [c.radius_mm / 1e3 for c in rest.contacts]
        self.response, self.own_nm = {}, {}
        for k, name in enumerate(self.stops):
            if name == source or name in self.stops[:k]:
                continue
            asked = {s: radii[k] * (s == name) for s in self.stops}
            self.response[k] = np.array(
                pulls_under_load(radii, self.stops, source, asked, rest.shares)
            )
            carried = loaded.load.shaft(name)
            takes = 0.0 if carried is None else carried.torque_nm - carried.yarn_nm
            self.own_nm[k] = takes if solution.shaft(name).driven_by == rest.band.name else 0.0

    @property
    def figures(self) -> list[Uncertain]:
        """Friction, and modulus where its stretch pulls the cord tight."""
        motion, design = self.band.rest.motion, self.loaded.design
        found = [known_within(design, motion, "friction")]
        if self.band.rest.held == "stretch":
            found.append(known_within(design, motion, "modulus"))
        return found

    def _net_n(self, cases: Cases) -> Number:
        """Return the pull that presses on the pulleys; the slide gives the band its stretch."""
        rest, band = self.band.rest, self.band.rest.band
        if rest.held != "stretch":
            pull = cases.get(f"{self.name}.pull", rest.rest_n or 0.0)
            return (rest.net_n or 0.0) + pull - (rest.rest_n or 0.0)
        stretch = rest.stretch or 0.0
        share = cases.get(f"{self.name}.stretch", stretch) / stretch
        section = (self.cord(cases) / band.diameter_mm) ** 2
        return (rest.rest_n or 0.0) * share * section * self._factor("modulus", cases) - (
            rest.centrifugal_n
        )

    def _factor(self, figure: Literal["modulus", "friction"], cases: Cases) -> Number:
        known = getattr(self.loaded.built.bands[self.band.rest.band.name], figure).value
        power = cases.get(f"{self.name}.{figure}", 0.0)
        return math.sqrt(known.high / known.low) ** power

    def _ratio(self, k: int, cases: Cases) -> Number:
        """Return the greatest tension ratio on a whorl; an angle that is off wedges otherwise."""
        contact = self.band.rest.contacts[k]
        sized = f"pulley:{contact.pulley}.angle"
        wedge: Number = contact.grip.wedge
        if sized in cases.values and contact.grip.contact == "flanks":
            wedge = 1.0 / np.sin(np.radians(cases.values[sized]) / 2.0)
        friction = contact.friction * self._factor("friction", cases)
        return np.exp(friction * wedge * math.radians(contact.wrap_deg))

    def torque_nm(self, cases: Cases) -> Number:
        """Return the least torque of the yarn at which a whorl slips, N m."""
        net = self._net_n(cases)
        still: Array = np.zeros((1, len(self.stops)))
        grows: Array = still
        for k, response in self.response.items():
            nominal = self.band.rest.contacts[k].radius_mm
            radius = (self.radius[k](cases) if k in self.radius else nominal) / 1e3
            over = np.atleast_1d(1.0 / radius)[:, None]
            sign = self.signs.get(self.stops[k], 0.0) if k in self.whorls else 0.0
            still = still + self.own_nm[k] * over * response
            grows = grows + sign * over * response
        least: Number = np.inf
        for k in self.whorls:
            ratio = self._ratio(k, cases)
            for tight, slack in ((k, k - 1), (k - 1, k)):
                slope = grows[:, tight] - ratio * grows[:, slack]
                held = net * (ratio - 1.0) - (still[:, tight] - ratio * still[:, slack])
                with np.errstate(divide="ignore", invalid="ignore"):
                    at = np.where(slope > 0.0, np.maximum(held, 0.0) / slope, np.inf)
                least = np.minimum(least, at)
        return least
