"""Kinds of change that a remedy may try on pulls, cords, speeds and rods."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from wheelgeo.check.adjustments import Adjustment, Edits, a_size, by_steps, only, thicker_rod
from wheelgeo.check.edits import edit
from wheelgeo.design.limits import limit_value
from wheelgeo.design.material import Figure
from wheelgeo.design.materials import CORDS, find_material
from wheelgeo.design.model import Band, Design, Tensioner
from wheelgeo.drive.tension import RestBand
from wheelgeo.geometry.groove import sharp_vee

_STEP = 0.001
"""Step in which a stretch is changed, as a fraction."""
_LEAST_ANGLE_DEG = 30.0
_EASY_RPM = 60.0
"""A rhythm that foot and hand keep up, one turn a second (common practice, no source)."""
_LEAST_YARN_MM = 6.0
"""A full cop is at least so much thicker than its rod."""


def usual_stretch(design: Design, band: Band) -> Figure | None:
    """Return the usual installed stretch of a band's cord, or None where it is not known."""
    material = find_material(band.material, design.materials)
    return None if material is None else material.stretch


def tighter(design: Design, rest: RestBand) -> Iterator[Adjustment]:
    """Yield the way to pull a band tighter: more stretch, a heavier weight, a stronger spring."""
    if rest.held == "stretch":
        usual = usual_stretch(design, rest.band)
        most = 0.0 if usual is None else usual.high - (rest.stretch or 0.0)
        yield _stretch(design, rest, 1.0, most)
    elif rest.band.tension is not None:
        yield _pull(design, rest.band, rest.band.tension, 1.0)


def slacker(design: Design, rest: RestBand) -> Iterator[Adjustment]:
    """Yield the way to pull a band less."""
    if rest.held == "stretch":
        yield _stretch(design, rest, -1.0, (rest.stretch or 0.0) - _STEP)
    elif rest.band.tension is not None:
        yield _pull(design, rest.band, rest.band.tension, -1.0)


def _stretch(design: Design, rest: RestBand, sign: float, most: float) -> Adjustment:
    start = rest.stretch or 0.0
    return by_steps(design, ("band", rest.band.name, "stretch"), start, sign, most, _STEP, digits=4)


def _pull(design: Design, band: Band, tension: Tensioner, sign: float) -> Adjustment:
    most = 9.0 * tension.pull_n if sign > 0.0 else 0.95 * tension.pull_n
    return by_steps(design, ("band", band.name, "pull"), tension.pull_n, sign, most)


def eased_brakes(design: Design) -> Iterator[Adjustment]:
    """Yield the way to ease each brake, no further than it still draws in on the full bobbin."""
    draws_in = _least_brake_nm(design)
    for number, drag in enumerate(design.drags, start=1):
        others = sum(d.pull_n * d.diameter_mm for d in design.drags if d is not drag) / 2e3
        # In hundredths, rounded up: the last of the steps is the least that still draws in.
        least = max(math.ceil(2e5 * (draws_in - others) / drag.diameter_mm - 1e-6), 1) / 100.0
        where, most = ("drag", str(number), "pull"), drag.pull_n - least
        yield by_steps(design, where, drag.pull_n, -1.0, most, 0.01, least=least)


def tightened_brakes(design: Design) -> Iterator[Adjustment]:
    """Yield the way to tighten each brake until it draws in on the full bobbin."""
    for number, drag in enumerate(design.drags, start=1):
        enough = _least_brake_nm(design) * 2e3 / drag.diameter_mm
        where = ("drag", str(number), "pull")
        yield by_steps(design, where, drag.pull_n, 1.0, 2.0 * enough, 0.01)


def _least_brake_nm(design: Design) -> float:
    """Return the torque of a brake that just draws in on the full bobbin; 0 where none is known."""
    full = 0.0 if design.bobbin is None else design.bobbin.full_mm
    return limit_value("yarn_pull_n", design.limits) * full / 2e3


def measured_pull(design: Design, band: Band, least_n: float) -> Adjustment:
    """Pull a band until its strand, measured, has a pull of at least ``least_n``."""
    start = math.floor(10.0 * least_n) / 10.0

    def edits(amount: float) -> Edits:
        tension = Tensioner("measured", round(start + amount, 1))
        return (edit(design, "band", band.name, "tension", tension),)

    return Adjustment(edits, 9.0 * least_n + 0.1)


def measured_at(design: Design, pulls_n: Mapping[str, float]) -> Adjustment:
    """Put bands on with such pulls of a strand, measured."""
    return only(
        *(
            edit(design, "band", name, "tension", Tensioner("measured", pull))
            for name, pull in pulls_n.items()
        )
    )


def sharper_vee(design: Design, name: str) -> Iterator[Adjustment]:
    """Yield the way to make a pulley's groove grip harder: a narrower vee, or a vee at all.

    The new groove keeps the pitch diameter: the rim is chosen so that the cord's centre-line lies
    where it lay, and the ratio stays. Grooves of one wheel that are alike are cut alike.
    """
    pulley, cord = design.pulley(name), design.cord_on(name)
    groove = pulley.groove
    if pulley.build == "layers" or cord == 0.0:
        return
    start = groove.sharpens_from_deg
    if start is None or start <= _LEAST_ANGLE_DEG:
        return
    pitch = groove.seat(cord).pitch_diameter_mm

    alike = [
        each.name for each in design.pulleys_on(pulley.shaft)
        if each.groove == groove and design.cord_on(each.name) == cord
    ]  # fmt: skip

    def edits(amount: float) -> Edits:
        vee = sharp_vee(pitch, start - amount, cord)
        return tuple(edit(design, "pulley", each, "groove", vee) for each in alike)

    yield Adjustment(edits, start - _LEAST_ANGLE_DEG, 1.0)


def other_cord(design: Design, band: Band) -> Iterator[Adjustment]:
    """Yield the ways to take another cord of the same thickness, at its usual stretch."""
    for cord in CORDS:
        if cord.name == band.material or cord.stretch is None:
            continue
        edits: Edits = (
            edit(design, "band", band.name, "material", cord.name),
            edit(design, "band", band.name, "stretch", cord.stretch.value),
        )
        if band.tension is not None:
            edits += (edit(design, "band", band.name, "tension", None),)
        yield only(*edits)


def slower_hand(design: Design) -> Adjustment:
    """Turn the wheel slower."""
    speed = design.drive.speed_rpm
    return by_steps(design, ("drive", "", "speed"), speed, -1.0, speed, 1.0, digits=1, least=5.0)


def quicker(design: Design) -> Adjustment:
    """Turn the wheel quicker, to half as fast again or an easy rhythm at most."""
    speed = design.drive.speed_rpm
    where = ("drive", "", "speed")
    most = max(0.5 * speed, _EASY_RPM - speed)
    return by_steps(design, where, speed, 1.0, most, 1.0, digits=1)


def shorter_throw(design: Design) -> Iterator[Adjustment]:
    """Yield the way to shorten the throw of a crank or treadle."""
    radius = design.drive.radius_mm
    if radius is not None:
        least = 0.25 * radius
        yield a_size(by_steps(
            design, ("drive", "", "radius"), radius, -1.0, radius, 1.0, digits=1, least=least
        ))  # fmt: skip


def longer_throw(design: Design) -> Iterator[Adjustment]:
    """Yield the way to lengthen the throw of the crank."""
    radius = design.drive.radius_mm
    if radius is not None:
        place = ("drive", "", "radius")
        yield a_size(by_steps(design, place, radius, 1.0, 2.0 * radius, 1.0, digits=1))


def usual_throws(design: Design) -> Iterator[Adjustment]:
    """Yield throws that cranks have, the shortest first (common practice, no source)."""
    for throw in (20.0, 40.0, 65.0, 100.0, 150.0):
        yield by_steps(design, ("drive", "", "radius"), 0.0, 1.0, throw, throw, digits=1)


def thicker_spindle(design: Design) -> Adjustment:
    """Take a thicker rod for the spindle."""
    return thicker_rod(design, design.spindle.shaft, 3.0)


def shorter_spindle(design: Design) -> Iterator[Adjustment]:
    """Yield the way to let the tip stand out less, its cop moved in with it."""
    shaft, cop = design.shaft(design.spindle.shaft), design.spindle.cop
    if shaft.ends_mm is None:
        return
    low, high = min(shaft.ends_mm), max(shaft.ends_mm)
    front = max((b.at_mm for b in design.spindle.bearings), default=low)

    def edits(amount: float) -> Edits | None:
        tip = round(high - amount, 1)
        if tip < front + 30.0:
            return None
        shorter = edit(design, "shaft", shaft.name, "ends", (low, tip))
        if cop is None:
            return (shorter,)
        start, stop = round(cop.from_mm - amount, 1), round(cop.to_mm - amount, 1)
        if start < front:
            return None
        return (
            shorter, edit(design, "cop", "", "from", start), edit(design, "cop", "", "to", stop)
        )  # fmt: skip

    yield Adjustment(edits, high - low, 1.0)


def lesser_cop(design: Design) -> Iterator[Adjustment]:
    """Yield the way to wind less yarn on the spindle: a thinner cop, of so much less mass."""
    cop, rod = design.spindle.cop, design.shaft(design.spindle.shaft).diameter_mm
    if cop is None:
        return

    def edits(amount: float) -> Edits | None:
        thick = round(cop.diameter_mm - amount, 1)
        if thick < rod + _LEAST_YARN_MM:
            return None
        # the yarn of a cop goes with the room round the rod
        share = (thick**2 - rod**2) / (cop.diameter_mm**2 - rod**2)
        return (
            edit(design, "cop", "", "diameter", thick),
            edit(design, "cop", "", "mass", round(cop.mass_g * share, 1)),
        )

    yield Adjustment(edits, cop.diameter_mm, 0.5)


def other_wheel_material(design: Design, name: str) -> Iterator[Adjustment]:
    """Yield the ways to make a pulley of another material."""
    for material in ("beech", "plywood", "aluminium"):
        yield only(edit(design, "pulley", name, "material", material))
