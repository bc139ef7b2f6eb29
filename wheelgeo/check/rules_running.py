"""Rules on a wheel under a hand: pulls, what cords bear, and slip."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from wheelgeo.check.adjustments import Adjustment, larger_rim, move_apart, only
from wheelgeo.check.adjustments_running import (
    measured_pull,
    other_cord,
    sharper_vee,
    slacker,
    tighter,
    usual_stretch,
)
from wheelgeo.check.finding import Certainty, Finding, Level, Looking, Mend, advice
from wheelgeo.check.pull_of_yarn import aimed_pull, rounder_whorl
from wheelgeo.check.pulls_to_measure import settled_by_pull
from wheelgeo.check.remedies import mend
from wheelgeo.check.wheel_under_check import Find, WheelUnderCheck
from wheelgeo.design.limits import LIMITS
from wheelgeo.design.materials import find_material
from wheelgeo.design.model import Band
from wheelgeo.drive.load import BandLoad, StopLoad
from wheelgeo.drive.tension import RestBand
from wheelgeo.units.in_full import plain

BELT_EQUATION = "belt equation, friction with the wedge of the groove over the true wrap"
SLIPS_AT = 1.0
"""Slip margin at which a band slips."""
_BREAKS_AT = 1.0


def mend_running(
    wheel: WheelUnderCheck, find: Find, ways: Iterable[Adjustment], otherwise: str, tells: str = ""
) -> Mend:
    """Return what looks for the smallest changes that mend a finding and let no band slip."""
    return mend(wheel, find, ways, otherwise, (slip, pull_unknown), lambda _: tells)


def how_sure(*at_ends: bool) -> Certainty:
    """Return how sure a finding is that holds as usual, from what it is at both ends."""
    return "sure" if all(at_ends) else "likely"


def settle(certainty: Certainty, band: str) -> str:
    """Return what to measure where a finding is not sure."""
    return "" if certainty == "sure" else settled_by_pull(band)


def pull_unknown(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say which band's pull cannot be computed, and why."""
    for rest in wheel.loaded.rest:
        if rest.rest_n is None:
            where = f'band "{rest.band.name}"'
            yield Finding(
                "pull-unknown", "fault", where, None, None, "N",
                f"{where}: its pull cannot be computed, because {rest.trouble}",
                "balance of the shaft that slides",
                advice(
                    "give its stretch instead, or let a shaft on its route slide so that it "
                    "tightens"
                ),
            )  # fmt: skip


def stretch_unusual(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where a cord is stretched more than its material is usually."""
    for rest in wheel.loaded.rest:
        usual = usual_stretch(wheel.design, rest.band)
        if usual is None or rest.stretch is None or rest.stretch <= usual.high:
            continue
        where = f'band "{rest.band.name}"'
        yield Finding(
            "stretch", "warning", where, 100 * rest.stretch, 100 * usual.high, "%",
            f"{where} is stretched {plain(100 * rest.stretch, 1)} %; {rest.band.material} is "
            f"put on with {plain(100 * usual.low, 1)} to {plain(100 * usual.high, 1)} %",
            usual.source,
            mend_running(
                wheel, stretch_unusual, slacker(wheel.design, rest),
                f"stretch it {plain(100 * usual.high, 1)} % or less",
            ),
        )  # fmt: skip


def cord_strained(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where a cord's greatest stress comes too near its strength."""
    limit = max(wheel.limit("cord_strength_factor"), _BREAKS_AT)
    for load in wheel.loaded.load.bands:
        material = find_material(load.rest.band.material, wheel.design.materials)
        strength = None if material is None else material.strength_mpa
        tight = max(load.pulls_n)
        if strength is None or tight <= 0.0:
            continue
        # a band breaks where it is joined
        joint = wheel.solution.built.bands[load.rest.band.name].joint_kind
        factor = joint.strength * strength.value * load.rest.section_mm2 / tight
        if factor >= limit:
            continue
        name, breaks = load.rest.band.name, factor < _BREAKS_AT
        level: Level = "fault" if breaks else "warning"
        wants = _BREAKS_AT if breaks else limit
        where, pulls = f'band "{name}"', wheel.ranges.tight_n(name) or (tight, tight)
        most = joint.strength * strength.high * load.rest.section_mm2
        certainty = how_sure(most / pulls[0] < wants)
        held = "it breaks" if breaks else f"practice wants {plain(limit, 1)}"
        yield Finding(
            "cord-strength", level, where, factor, wants, "",
            f"{where} carries up to {plain(tight, 1)} N: its safety factor against breaking at its "
            f"joint ({joint.name}) is {plain(factor, 1)}, and {held}",
            LIMITS["cord_strength_factor"].source,
            mend_running(
                wheel, cord_strained, slacker(wheel.design, load.rest),
                "pull it less, or take a thicker cord",
            ),
            certainty, settle(certainty, name),
        )  # fmt: skip


def slip(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where a band slips at working speed, or is near it."""
    limit = max(wheel.limit("slip_margin"), SLIPS_AT)
    for load in wheel.loaded.load.bands:
        stop = weakest(load)
        if stop is None or stop.margin is None or stop.margin >= limit:
            continue
        slips = stop.margin < SLIPS_AT
        level: Level = "fault" if slips else "warning"
        where, wants = f'band "{load.rest.band.name}"', SLIPS_AT if slips else limit
        best = wheel.ranges.greatest_margin(load.rest.band.name)
        certainty = how_sure(best is not None and best < wants)
        yield Finding(
            "slip", level, where, stop.margin, wants, "",
            _slip_says(load, stop, slips),
            BELT_EQUATION,
            mend_running(
                wheel, slip, more_grip(wheel, load, stop),
                "pull the band tighter, or take less load off it",
            ),
            certainty, settle(certainty, load.rest.band.name),
        )  # fmt: skip


def slip_doubtful(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Note where a band holds as its material usually is, but would slip at the worst."""
    limit = max(wheel.limit("slip_margin"), SLIPS_AT)
    for load in wheel.loaded.load.bands:
        usual, least = load.margin, load.least_margin
        if usual is None or least is None or usual < limit or least >= SLIPS_AT:
            continue
        rest, where = load.rest, f'band "{load.rest.band.name}"'
        yield Finding(
            "slip-doubtful", "note", where, least, SLIPS_AT, "",
            f"{where} has a slip margin of {plain(usual)} with a cord as usual, but only "
            f"{plain(least)} with the softest and smoothest {rest.band.material} (load at which "
            "it slips over the load that it carries)",
            "spread of modulus and friction in the table of materials",
            _measured(wheel, rest, usual / limit),
            "possible", settled_by_pull(rest.band.name),
        )  # fmt: skip


def _measured(wheel: WheelUnderCheck, rest: RestBand, share: float) -> Mend:
    """Return what asks to measure a band's pull, and how much is needed at work and in starting.

    Args:
        wheel: the wheel.
        rest: the band at rest.
        share: its slip margin at work over the one wanted.
    """

    def look(finding: Finding) -> Looking:
        needed = (rest.rest_n or 0.0) / _share(wheel, rest.band.name, share)
        mend = mend_running(
            wheel, slip_doubtful, [measured_pull(wheel.design, rest.band, needed)],
            f"measure the pull of a strand on the wheel: {plain(needed, 1)} N are needed",
        )  # fmt: skip
        return (yield from mend(finding))

    return look


def _share(wheel: WheelUnderCheck, band: str, at_work: float) -> float:
    """Return a band's slip margin over the one wanted, at work or in starting where that is less.

    Args:
        wheel: the wheel.
        band: the band's name.
        at_work: that at work.
    """
    wanted = wheel.limit("start_slip_margin")
    if wheel.start_bounds is not None:
        least = [m for name, m in wheel.start_bounds.margins if name == band and m is not None]
        if min(least, default=math.inf) / wanted >= at_work:
            return at_work
    margins = [k.margin for k in wheel.begun.links if k.band == band and k.margin]
    return min(at_work, min(margins, default=math.inf) / wanted)


def _slip_says(load: BandLoad, stop: StopLoad, slips: bool) -> str:
    verb = "slips" if slips else "is near slipping"
    margin = stop.margin or 0.0
    net = load.rest.net_n or 0.0
    if net <= 0.0:
        return (
            f'band "{load.rest.band.name}" holds nothing at speed: its pull of '
            f"{plain(load.rest.rest_n or 0.0)} N is no more than the centrifugal "
            f"{plain(load.rest.centrifugal_n)} N"
        )
    return (
        f'band "{load.rest.band.name}" {verb} on "{stop.pulley}": with {plain(net)} N in each '
        f"strand its slip margin is {plain(margin)} (load at which it slips over the load that it "
        "carries)"
    )


def weakest(load: BandLoad) -> StopLoad | None:
    """Return the pulley on which a band slips first; None where no margin is known."""
    stops = [s for s in load.stops if s.margin is not None]
    return min(stops, key=lambda s: s.margin or 0.0, default=None)


def more_grip(wheel: WheelUnderCheck, load: BandLoad, stop: StopLoad) -> Iterator[Adjustment]:
    """Yield what makes a band hold: pull, wedge, another cord, wrap, a larger pulley.

    Where it drives a whorl that slips as wind-on asks, the load is what that whorl holds: cut round
    it holds less, which no more pull of the same band gives.
    """
    design, band = wheel.design, load.rest.band
    if (whorl := whorl_that_slips(wheel, band)) and (rounder := rounder_whorl(design, whorl)):
        yield only(*rounder)
        yield from aimed_pull(design, rounder)
    yield from tighter(design, load.rest)
    yield from sharper_vee(design, stop.pulley)
    yield from other_cord(design, band)
    here = design.pulley(stop.pulley).shaft
    for other in dict.fromkeys(design.pulley(s.pulley).shaft for s in band.route):
        if other != here:
            yield from move_apart(design, here, other)
    yield from larger_rim(design, stop.pulley)


def whorl_that_slips(wheel: WheelUnderCheck, band: Band) -> str | None:
    """Return the whorl of a band that slips as wind-on asks; None of others."""
    shaft, names = wheel.loaded.load.whorl_slips, (stop.pulley for stop in band.route)
    return next((name for name in names if wheel.design.pulley(name).shaft == shaft), None)
