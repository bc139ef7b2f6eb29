"""Changes that a remedy of the running rules may name: pulls, grooves, speeds, the spindle."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from wheelgeo.check.changes import Change, Way, only, with_band, with_pulley
from wheelgeo.check.finding import plain
from wheelgeo.design.materials import CORDS, Figure, find_material
from wheelgeo.design.model import Band, Design, RoundGroove, Tensioner, VeeGroove
from wheelgeo.drive.tension import RestBand
from wheelgeo.geometry.extents import running_groove
from wheelgeo.geometry.grooves import seat

_STEP = 0.001
"""Step in which a stretch is changed, as a fraction."""
_PRACTICAL_ANGLE_DEG = 40.0
_LEAST_ANGLE_DEG = 30.0


def usual_stretch(design: Design, band: Band) -> Figure | None:
    """Return the usual installed stretch of a band's cord, or None where it is not known."""
    material = find_material(band.material, design.materials)
    return None if material is None else material.stretch


def tighter(design: Design, rest: RestBand) -> Iterator[Way]:
    """Yield the way to pull a band tighter: more stretch, a heavier weight, a stronger spring."""
    if rest.held == "stretch":
        usual = usual_stretch(design, rest.band)
        most = 0.0 if usual is None else usual.high - (rest.stretch or 0.0)
        yield _stretch(design, rest, 1.0, most)
    elif rest.band.tension is not None:
        yield _pull(design, rest.band, rest.band.tension, 1.0)


def slacker(design: Design, rest: RestBand) -> Iterator[Way]:
    """Yield the way to pull a band less."""
    if rest.held == "stretch":
        yield _stretch(design, rest, -1.0, (rest.stretch or 0.0) - _STEP)
    elif rest.band.tension is not None:
        yield _pull(design, rest.band, rest.band.tension, -1.0)


def _stretch(design: Design, rest: RestBand, sign: float, most: float) -> Way:
    band, start = rest.band, rest.stretch or 0.0

    def make(amount: float) -> Change:
        stretch = round(start + sign * amount, 4)
        says = f'stretch "{band.name}" to {plain(100 * stretch, 1)} %'
        return Change(says, with_band(design, replace(band, stretch=stretch)))

    return Way(make, most, _STEP)


def _pull(design: Design, band: Band, tension: Tensioner, sign: float) -> Way:
    most = 9.0 * tension.pull_n if sign > 0.0 else 0.95 * tension.pull_n

    def make(amount: float) -> Change:
        pull = round(tension.pull_n + sign * amount, 2)
        says = f'pull "{band.name}" with {plain(pull)} N ({tension.kind})'
        changed = replace(band, tension=replace(tension, pull_n=pull))
        return Change(says, with_band(design, changed))

    return Way(make, most, 0.1)


def measured_pull(design: Design, band: Band, least_n: float) -> Way:
    """Pull a band until its strand, measured, has a pull of at least ``least_n``."""
    start = math.floor(10.0 * least_n) / 10.0

    def make(amount: float) -> Change:
        pull = round(start + amount, 1)
        says = (
            f'measure a strand of "{band.name}" and pull it to {plain(pull, 1)} N '
            f'(tension = {{ measured = "{plain(pull, 1)} N" }})'
        )
        changed = replace(band, tension=Tensioner("measured", pull))
        return Change(says, with_band(design, changed))

    return Way(make, 9.0 * least_n + 0.1, 0.1)


def sharper_vee(design: Design, name: str) -> Iterator[Way]:
    """Yield the way to make a pulley's groove grip harder: a narrower vee, or a vee at all.

    The new groove keeps the pitch diameter: the rim is chosen so that the cord's centre-line lies
    where it lay, and the ratio stays.
    """
    pulley, cord = design.pulley(name), design.cord_on(name)
    groove = pulley.groove
    if pulley.build == "layers" or cord == 0.0:
        return
    if isinstance(groove, VeeGroove) and groove.angle_deg > _LEAST_ANGLE_DEG:
        start, most = groove.angle_deg, groove.angle_deg - _LEAST_ANGLE_DEG
    elif isinstance(groove, RoundGroove):
        start, most = _PRACTICAL_ANGLE_DEG, _PRACTICAL_ANGLE_DEG - _LEAST_ANGLE_DEG
    else:
        return

    def make(amount: float) -> Change:
        angle = start - amount if isinstance(groove, VeeGroove) else start - amount + 1.0
        vee = vee_at_pitch(design, name, angle)
        says = (
            f'cut the groove of "{name}" as a vee of {plain(angle)}°, rim {plain(vee.rim_mm)} mm, '
            f"depth {plain(vee.depth_mm)} mm, bottom 0"
        )
        return Change(says, with_pulley(design, name, groove=vee))

    yield Way(make, most, 1.0)


def vee_at_pitch(design: Design, name: str, angle_deg: float) -> VeeGroove:
    """Return a sharp vee in which a pulley's cord lies flush with the rim, at the same pitch."""
    cord = design.cord_on(name)
    pitch = seat(running_groove(design.pulley(name), cord), cord).pitch_diameter_mm
    height = 0.5 * cord / math.sin(math.radians(angle_deg) / 2.0)
    depth = round(height + 0.5 * cord, 2)
    return VeeGroove(round(pitch + 2.0 * (depth - height), 3), depth, round(angle_deg, 1), 0.0)


def other_cord(design: Design, band: Band) -> Iterator[Way]:
    """Yield the ways to take another cord of the same thickness, at its usual stretch."""
    for cord in CORDS:
        if cord.name == band.material or cord.stretch is None:
            continue
        stretch = cord.stretch.value
        says = f'take {cord.name} for "{band.name}", stretched {plain(100 * stretch, 1)} %'
        changed = replace(band, material=cord.name, stretch=stretch, tension=None)
        yield only(says, with_band(design, changed))


def slower_hand(design: Design) -> Way:
    """Turn the wheel slower."""
    drive = design.drive

    def make(amount: float) -> Change | None:
        speed = round(drive.speed_rpm - amount, 1)
        if speed < 5.0:
            return None
        says = f"turn the {drive.by} at {plain(speed)} rpm (the spindle slows with it)"
        return Change(says, replace(design, drive=replace(drive, speed_rpm=speed)))

    return Way(make, drive.speed_rpm, 1.0)


def longer_throw(design: Design) -> Iterator[Way]:
    """Yield the way to lengthen the throw of the crank."""
    drive = design.drive
    radius = drive.radius_mm
    if radius is None:
        return

    def make(amount: float) -> Change:
        longer = round(radius + amount, 1)
        says = f"lengthen the throw of the {drive.by} to {plain(longer)} mm"
        return Change(says, replace(design, drive=replace(drive, radius_mm=longer)))

    yield Way(make, 2.0 * radius, 1.0)


def thicker_spindle(design: Design) -> Way:
    """Take a thicker rod for the spindle."""
    shaft = design.shaft(design.spindle.shaft)

    def make(amount: float) -> Change:
        diameter = round(shaft.diameter_mm + amount, 2)
        says = f"take a rod of {plain(diameter)} mm for the spindle"
        return Change(says, _with_spindle_shaft(design, diameter_mm=diameter))

    return Way(make, 2.0 * shaft.diameter_mm, 0.5)


def shorter_spindle(design: Design) -> Iterator[Way]:
    """Yield the way to let the tip stand out less, its cop moved in with it."""
    shaft, cop = design.shaft(design.spindle.shaft), design.spindle.cop
    if shaft.ends_mm is None:
        return
    low, high = min(shaft.ends_mm), max(shaft.ends_mm)
    front = max((b.at_mm for b in design.spindle.bearings), default=low)

    def make(amount: float) -> Change | None:
        tip = round(high - amount, 1)
        if tip < front + 30.0:
            return None
        changed = _with_spindle_shaft(design, ends_mm=(low, tip))
        says = f"cut the spindle to end at {plain(tip)} mm"
        if cop is not None:
            moved = replace(cop, from_mm=round(cop.from_mm - amount, 1),
                            to_mm=round(cop.to_mm - amount, 1))  # fmt: skip
            if moved.from_mm < front:
                return None
            changed = replace(changed, spindle=replace(changed.spindle, cop=moved))
            says += f" and wind the cop from {plain(moved.from_mm)} to {plain(moved.to_mm)} mm"
        return Change(says, changed)

    yield Way(make, high - low, 1.0)


def _with_spindle_shaft(
    design: Design, diameter_mm: float | None = None, ends_mm: tuple[float, float] | None = None
) -> Design:
    name = design.spindle.shaft
    old = design.shaft(name)
    new = replace(
        old,
        diameter_mm=old.diameter_mm if diameter_mm is None else diameter_mm,
        ends_mm=old.ends_mm if ends_mm is None else ends_mm,
    )
    return replace(design, shafts=tuple(new if s.name == name else s for s in design.shafts))


def truer_bore(design: Design, within_mm: float) -> Way:
    """Bore a pulley true within a limit, written with two digits and rounded down."""
    digits = 1 - math.floor(math.log10(within_mm))
    true = round(math.floor(within_mm * 10.0**digits * (1.0 + 1e-12)) / 10.0**digits, digits)
    words = f"bore it true within {plain(true, max(digits, 0))} mm"
    says = f"{words} (bore_eccentricity_mm under [limits])"
    limits = {**design.limits, "bore_eccentricity_mm": true}
    return only(says, replace(design, limits=limits))


def other_wheel_material(design: Design, name: str) -> Iterator[Way]:
    """Yield the ways to make a pulley of another material."""
    for material in ("beech", "plywood", "aluminium"):
        says = f'make "{name}" of {material}'
        yield only(says, with_pulley(design, name, material=material))
