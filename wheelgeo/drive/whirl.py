"""The spindle as a turning beam: its critical speeds as the cop grows from empty to full.

The rod bends; pulleys and washers are discs upon it; the cop adds mass and moments of inertia
along its length but no stiffness, being soft. Bearings give way like springs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property

from wheelgeo.built.inertia import Inertia
from wheelgeo.built.kept import kept_with
from wheelgeo.built.shaft import BuiltBearing
from wheelgeo.built.spindle import BuiltSpindle
from wheelgeo.design.model import Section
from wheelgeo.drive.beam import Beam, Disc, Stretch, Support
from wheelgeo.drive.beam_speeds import lowest_speeds_rad_s, natural_frequencies_rad_s
from wheelgeo.drive.tension import End
from wheelgeo.immutable import dataclass

COP_STEPS = 9
"""Cops from empty to full at which the critical speeds are worked out."""
CRITICALS = 3
ELEMENTS = 16
"""Elements of the spindle's beam: its first two speeds are then exact to a part in 1e5."""
RPM = 30.0 / math.pi


@dataclass(frozen=True)
class CopPoint:
    """The spindle with so much yarn on it.

    Attributes:
        share: yarn on it over the yarn on a full spindle.
        mass_g: mass of the yarn.
        diameter_mm: diameter of the cop.
        critical_rpm: the lowest critical speeds, ascending.
    """

    share: float
    mass_g: float
    diameter_mm: float
    critical_rpm: tuple[float, ...]


@dataclass(frozen=True)
class Tap:
    """What the natural frequency of the file tells: how much stiffer its bearings are than usual.

    Attributes:
        factor: stiffness of the bearings whose stiffness the file does not give, over the usual;
            1 where no tap is given, or none of them fits it.
        trouble: why no stiffness of the bearings makes what was heard; empty where one does.
    """

    factor: float
    trouble: str


UNTAPPED = Tap(1.0, "")


@dataclass(frozen=True)
class Whirl:
    """Critical speeds of the spindle against its working speed.

    Attributes:
        spindle: the spindle as built.
        working_rpm: working speed, positive; None where the spindle is not driven.
        points: from the empty spindle to the full one.
        trouble: why there are no critical speeds; empty where there are.
        tap: what a tap that the file gives tells of its bearings.
    """

    spindle: BuiltSpindle
    working_rpm: float | None
    points: tuple[CopPoint, ...]
    trouble: str
    tap: Tap = UNTAPPED

    @cached_property
    def natural_hz(self) -> tuple[float, float] | None:
        """Lowest natural frequency at rest, Hz, empty and full: what a tap would sound.

        None where there is trouble.
        """
        if self.trouble:
            return None
        beams = spindle_beams(self.spindle, (0.0, 1.0), factor=self.tap.factor)
        empty, full = lowest_speeds_rad_s(beams, (False, False), CRITICALS, ELEMENTS)
        return empty[0] / (2.0 * math.pi), full[0] / (2.0 * math.pi)

    @property
    def margin(self) -> float | None:
        """Least distance of a critical speed from the working speed, as a fraction of it.

        0 where a critical speed passes the working speed as the cop grows; None where either is
        not known.
        """
        if not self.points or not self.working_rpm:
            return None
        return min(self._distance(k) for k in range(self._orders()))

    def _orders(self) -> int:
        return min(len(p.critical_rpm) for p in self.points)

    def _distance(self, order: int) -> float:
        assert self.working_rpm is not None
        away = [p.critical_rpm[order] / self.working_rpm - 1.0 for p in self.points]
        if min(away) < 0.0 < max(away):
            return 0.0
        return min(abs(a) for a in away)

    @property
    def passed(self) -> tuple[float, float] | None:
        """Range of the first critical speed, rpm, where it lies below the working speed."""
        if not self.points or not self.working_rpm:
            return None
        first = [p.critical_rpm[0] for p in self.points]
        return (min(first), max(first)) if min(first) < self.working_rpm else None


@dataclass(frozen=True)
class CriticalBounds:
    """Bounds of a spindle's critical speeds, whatever yarn is on it.

    Of a beam on which nothing is changed but that it is heavier every critical speed is lower
    (Rayleigh and Courant: the eigenvalues grow with the mass matrix). Yarn adds mass, and by its
    spin, in forward whirl, takes some away: a full cop without its spin is heavier than any, the
    spin of a full cop without its mass lighter.

    Attributes:
        least_rpm: of each order what it is at least.
        greatest_rpm: of each order what it is at most; of fewer orders where spin bears it up.
    """

    least_rpm: tuple[float, ...]
    greatest_rpm: tuple[float, ...]

    def clear_of(self, working_rpm: float, margin: float) -> bool:
        """Return whether every critical speed surely keeps that distance from a working speed.

        Args:
            working_rpm: the working speed, positive.
            margin: the distance, as a fraction of it.
        """
        for order in range(CRITICALS):
            if len(self.least_rpm) <= order:
                return False
            if self.least_rpm[order] > working_rpm * (1.0 + margin):
                return True  # and so are all further ones
            if len(self.greatest_rpm) <= order:
                return False
            if self.greatest_rpm[order] >= working_rpm * (1.0 - margin):
                return False
        return True


_MESH = 1e-3
"""By how much the bounds are wider: the nodes of the empty spindle's beam are others."""


def critical_bounds(spindle: BuiltSpindle) -> CriticalBounds | None:
    """Return bounds of a spindle's critical speeds, by two beams; None where it has none.

    Args:
        spindle: the spindle as built.
    """
    if whirl_trouble(spindle):
        return None
    return kept_with(spindle, "bounds", lambda: _bounds(spindle))


def _bounds(spindle: BuiltSpindle) -> CriticalBounds:
    (full,) = spindle_beams(spindle, (1.0,), factor=tap_of(spindle).factor)
    *rod, cop = full.stretches
    heavy = replace(cop, diametral_kg_m=0.0, polar_kg_m=0.0)
    beams = tuple(replace(full, stretches=(*rod, c)) for c in (heavy, replace(cop, mass_kg_m=0.0)))
    least, greatest = lowest_speeds_rad_s(beams, (True, True), CRITICALS, ELEMENTS)
    return CriticalBounds(
        tuple(w * RPM * (1.0 - _MESH) for w in least),
        tuple(w * RPM * (1.0 + _MESH) for w in greatest),
    )


def spindle_whirl(spindle: BuiltSpindle, speed_rpm: float | None) -> Whirl:
    """Return the critical speeds of a spindle.

    Args:
        spindle: the spindle as built.
        speed_rpm: signed working speed, or None where nothing drives it.
    """
    working = None if speed_rpm is None else abs(speed_rpm)
    trouble = whirl_trouble(spindle)
    if trouble:
        return Whirl(spindle, working, (), trouble)
    points = kept_with(spindle, "critical speeds", lambda: _points(spindle))
    return Whirl(spindle, working, points, "", tap_of(spindle))


def _points(spindle: BuiltSpindle) -> tuple[CopPoint, ...]:
    shares = [i / (COP_STEPS - 1) for i in range(COP_STEPS)]
    beams = spindle_beams(spindle, shares, factor=tap_of(spindle).factor)
    whirls = lowest_speeds_rad_s(beams, (True,) * len(beams), CRITICALS, ELEMENTS)
    return tuple(_point(spindle, w, s) for w, s in zip(whirls, shares, strict=True))


def whirl_trouble(spindle: BuiltSpindle) -> str:
    """Return why a spindle has no critical speeds; empty where it has."""
    if len({b.at_mm for b in spindle.bearings}) < 2:
        return "a spindle needs two bearings at two places; the file gives one"
    return ""


_TAP_FACTORS = (1e-3, 1e3)
"""Between which factors on the usual stiffness of bearings that is looked for which a tap tells."""


def tap_of(spindle: BuiltSpindle, end: End = "value") -> Tap:
    """Return how stiff a spindle's bearings are by the natural frequency that its file gives.

    The stiffer they are the higher it sounds, so that halving finds the one factor that fits. Rod
    and bearings are heard together: with a rod a little softer than usual the bearings would only
    be found a little stiffer, so that the rod is taken as usual.

    Args:
        spindle: the spindle as built.
        end: with the frequency, or with its least or its greatest within its uncertainty; where
            no bearings make that, but some make the frequency itself, those that come nearest.
    """
    return kept_with(spindle, ("tap", end), lambda: _tap_of(spindle, end))


def _tap_of(spindle: BuiltSpindle, end: End) -> Tap:
    heard = spindle.design.spindle.natural_frequency_hz
    if heard is None:
        return UNTAPPED
    low, high = (math.log(f) for f in _TAP_FACTORS)
    least, most = (_sounds_hz(spindle, x) for x in (low, high))
    if not least <= heard <= most:
        return Tap(1.0, f"whatever its bearings, it sounds between {least:.0f} and {most:.0f} Hz")
    half = spindle.design.uncertainties.get("spindle:natural_frequency", 0.0)
    heard += {"low": -half, "value": 0.0, "high": half}[end]
    while high - low > _TAP_SETTLED:
        middle = 0.5 * (low + high)
        short = _sounds_hz(spindle, middle) < heard
        low, high = (middle, high) if short else (low, middle)
    return Tap(math.exp(0.5 * (low + high)), "")


def _sounds_hz(spindle: BuiltSpindle, log_factor: float) -> float:
    (beam,) = spindle_beams(spindle, (0.0,), factor=math.exp(log_factor))
    return natural_frequencies_rad_s(beam, 1, ELEMENTS)[0] / (2.0 * math.pi)


_TAP_SETTLED = 1e-3
"""How near the logarithm of the factor is found; of the frequency it is less than half of that."""


def _point(spindle: BuiltSpindle, speeds: tuple[float, ...], share: float) -> CopPoint:
    critical = tuple(w * RPM for w in speeds)
    mass, diameter = share * spindle.cop.value.mass_g, spindle.cop_diameter_mm(share)
    return CopPoint(share, mass, diameter, critical)


def first_critical_rpm(spindle: BuiltSpindle, share: float) -> tuple[float, float] | None:
    """Return the range of the first critical speed of a spindle, rpm.

    The least of the softest bearings and rod and the heaviest rod, the greatest of the others;
    None where it is not held at two places.

    Args:
        spindle: the spindle as built.
        share: yarn on it over the yarn of a full cop, 0 to 1.
    """
    if whirl_trouble(spindle):
        return None
    return kept_with(spindle, ("first", share), lambda: _first_rpm(spindle, share))


def _first_rpm(spindle: BuiltSpindle, share: float) -> tuple[float, float]:
    beams = (_at_end(spindle, "low", share), _at_end(spindle, "high", share))
    soft, stiff = lowest_speeds_rad_s(beams, (True, True), 1, ELEMENTS)
    return soft[0] * RPM, stiff[0] * RPM


def _at_end(spindle: BuiltSpindle, end: End, share: float) -> Beam:
    """Return the spindle with so much yarn on it at one end of what is known of it."""
    tap = tap_of(spindle, end)
    heard = spindle.design.spindle.natural_frequency_hz is not None and not tap.trouble
    (beam,) = spindle_beams(spindle, (share,), "value" if heard else end, tap.factor)
    return beam


def spindle_beams(
    spindle: BuiltSpindle,
    shares: Sequence[float],
    end: End = "value",
    factor: float = 1.0,
) -> tuple[Beam, ...]:
    """Return the spindle with shares of a full cop as beams, places in m from its low end.

    Args:
        spindle: the spindle as built.
        shares: yarn on it over the yarn of a full cop, 0 to 1; a beam for each.
        end: as usual, or with the softest or the stiffest figures that are to be expected.
        factor: on the stiffness of bearings whose stiffness the file does not give.
    """
    modulus = getattr(spindle.modulus.value, end) * 1e6
    density = getattr(spindle.density.value, {"low": "high", "high": "low"}.get(end, end))
    low = spindle.reach.value[0]
    rod = tuple(_rod(s, low, modulus, density) for s in spindle.sections)
    discs = tuple(
        [_disc(p.pulley.offset_mm - low, p.inertia) for p in spindle.carries]
        + [_disc(w.washer.at_mm - low, w.inertia) for w in spindle.washers]
    )
    supports = tuple(
        Support((b.at_mm - low) / 1e3, 1e3 * _stiffness_n_mm(b, end, factor))
        for b in spindle.bearings
    )
    cops = ((_cop(spindle, share),) if share > 0.0 else () for share in shares)
    return tuple(Beam((*rod, *cop), supports, discs) for cop in cops)


def _stiffness_n_mm(bearing: BuiltBearing, end: str, factor: float) -> float:
    if bearing.stiffness.given:
        return bearing.stiffness.value
    stiffness: float = getattr(bearing.pair.value.stiffness_n_mm, end)
    return stiffness * factor


def _rod(section: Section, low: float, modulus: float, density: float) -> Stretch:
    d = section.diameter_mm / 1e3
    area, second = math.pi * d**2 / 4.0, math.pi * d**4 / 64.0
    return Stretch(
        (section.from_mm - low) / 1e3, (section.to_mm - low) / 1e3,
        modulus * second, density * area, density * second, 2.0 * density * second,
    )  # fmt: skip


def _cop(spindle: BuiltSpindle, share: float) -> Stretch:
    """Return the yarn as mass along the rod; its moments those of a hollow cylinder's slices."""
    cop, low = spindle.cop.value, spindle.reach.value[0]
    length = (cop.to_mm - cop.from_mm) / 1e3
    mass = share * cop.mass_g / 1e3 / length
    squares = (spindle.cop_bore_mm / 2e3) ** 2 + (spindle.cop_diameter_mm(share) / 2e3) ** 2
    start, stop = (cop.from_mm - low) / 1e3, (cop.to_mm - low) / 1e3
    return Stretch(start, stop, 0.0, mass, mass * squares / 4.0, mass * squares / 2.0)


def _disc(at_mm: float, solid: Inertia) -> Disc:
    return Disc(at_mm / 1e3, solid.mass_kg, solid.diametral_kg_m2, solid.polar_kg_m2)
