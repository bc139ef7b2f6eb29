"""The spindle as a turning beam: its critical speeds as the cop grows from empty to full.

The rod bends; pulleys and washers are discs upon it; the cop adds mass and moments of inertia
along its length but no stiffness, being soft. Bearings give way like springs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from wheelgeo.design.model import Bearing, Cop, Design, Section, Shaft
from wheelgeo.drive.assume import (
    USUAL_WASHER,
    Notes,
    bearing_pair,
    figure_of,
    material_of,
    pulley_density,
    shaft_figure,
)
from wheelgeo.drive.beam import (
    Beam,
    Disc,
    Stretch,
    Support,
    critical_speeds_rad_s,
    natural_frequencies_rad_s,
)
from wheelgeo.drive.inertia import Inertia, cylinder, pulley_inertia
from wheelgeo.geometry.extents import shaft_ends_mm

COP_STEPS = 9
"""Cops from empty to full at which the critical speeds are worked out."""
CRITICALS = 3
ELEMENTS = 16
"""Elements of the spindle's beam: its first two speeds are then exact to a part in 1e5."""
RPM = 30.0 / math.pi

USUAL_TIP_MM = 120.0
USUAL_TAIL_MM = 10.0
USUAL_COP_LENGTH_MM = 60.0
USUAL_COP_DIAMETER_MM = 25.0
YARN_DENSITY_KG_M3 = 400.0
"""Density of yarn as wound on by hand; common practice, no source."""
_PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class SpindleLayout:
    """The spindle as it is taken for the beam, mm along its axis from the shaft's ``at``.

    Attributes:
        ends_mm: the two ends of the rod, lower first.
        sections: stretches of the rod, end to end.
        bearings: the bearings, all with a stiffness.
        cop: the full cop.
    """

    ends_mm: tuple[float, float]
    sections: tuple[Section, ...]
    bearings: tuple[Bearing, ...]
    cop: Cop


@dataclass(frozen=True, slots=True)
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


@dataclass(frozen=True, slots=True)
class Whirl:
    """Critical speeds of the spindle against its working speed.

    Attributes:
        layout: the spindle as it was taken.
        working_rpm: working speed, positive; None where the spindle is not driven.
        points: from the empty spindle to the full one.
        natural_hz: lowest natural frequency at rest, empty and full: what a tap would sound; None
            where there is trouble.
        trouble: why there are no critical speeds; empty where there are.
    """

    layout: SpindleLayout
    working_rpm: float | None
    points: tuple[CopPoint, ...]
    natural_hz: tuple[float, float] | None
    trouble: str

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


def spindle_whirl(design: Design, speed_rpm: float | None, notes: Notes) -> Whirl:
    """Return the critical speeds of a wheel's spindle.

    Args:
        design: the wheel.
        speed_rpm: signed working speed, or None where nothing drives the spindle.
        notes: where assumptions are noted.
    """
    layout = spindle_layout(design, notes)
    working = None if speed_rpm is None else abs(speed_rpm)
    if len({b.at_mm for b in layout.bearings}) < 2:
        trouble = "a spindle needs two bearings at two places; the file gives one"
        return Whirl(layout, working, (), None, trouble)
    shares = [i / (COP_STEPS - 1) for i in range(COP_STEPS)]
    beams = [spindle_beam(design, layout, share, notes) for share in shares]
    points = tuple(_point(layout, b, s) for b, s in zip(beams, shares, strict=True))
    natural = (_natural_hz(beams[0]), _natural_hz(beams[-1]))
    return Whirl(layout, working, points, natural, "")


def _natural_hz(beam: Beam) -> float:
    return natural_frequencies_rad_s(beam, 1, ELEMENTS)[0] / (2.0 * math.pi)


def _point(layout: SpindleLayout, beam: Beam, share: float) -> CopPoint:
    critical = tuple(w * RPM for w in critical_speeds_rad_s(beam, CRITICALS, ELEMENTS))
    return CopPoint(share, share * layout.cop.mass_g, cop_diameter_mm(layout, share), critical)


def spindle_layout(design: Design, notes: Notes) -> SpindleLayout:
    """Return the spindle as the beam takes it, with a note for whatever the file leaves out."""
    shaft = design.shaft(design.spindle.shaft)
    bearings = _bearings(design, shaft, notes)
    ends = _ends(design, shaft, bearings, notes)
    cop = design.spindle.cop or _usual_cop(shaft, ends, bearings, design, notes)
    ends = _reaching(design, shaft, ends, cop, notes)
    return SpindleLayout(ends, _sections(design, shaft, ends), bearings, cop)


def _reaching(
    design: Design, shaft: Shaft, ends: tuple[float, float], cop: Cop, notes: Notes
) -> tuple[float, float]:
    """Return the ends of a rod that reaches all that stands on it."""
    places = [p.offset_mm for p in design.pulleys_on(shaft.name)]
    places += [w.at_mm for w in design.spindle.washers]
    low, high = min(ends[0], cop.from_mm, *places), max(ends[1], cop.to_mm, *places)
    if (low, high) != ends:
        notes.note(
            "reach of the spindle", f"{low:g} mm to {high:g} mm",
            f"the rod ends at {ends[0]:g} mm and {ends[1]:g} mm, short of what stands on it",
        )  # fmt: skip
    return low, high


def _bearings(design: Design, shaft: Shaft, notes: Notes) -> tuple[Bearing, ...]:
    given = design.spindle.bearings or _usual_bearings(design, shaft, notes)
    return tuple(_stiff(b, notes) for b in given)


def _stiff(bearing: Bearing, notes: Notes) -> Bearing:
    if bearing.stiffness_n_mm is not None:
        return bearing
    place = f"the spindle at {bearing.at_mm:g} mm"
    figure = bearing_pair(bearing.kind, place, notes).stiffness_n_mm
    notes.note(f"stiffness of the {bearing.kind} bearings", f"{figure.value:g} N/mm", figure.source)
    return Bearing(bearing.at_mm, bearing.kind, figure.value)


def _usual_bearings(design: Design, shaft: Shaft, notes: Notes) -> tuple[Bearing, ...]:
    """Return a bearing close to either side of the pulleys on the spindle."""
    offsets = [p.offset_mm for p in design.pulleys_on(shaft.name)] or [0.0]
    gap = 2.0 * shaft.diameter_mm + 5.0
    low, high = min(offsets) - gap, max(offsets) + gap
    notes.note(
        "bearings of the spindle", f"brass at {low:g} mm and {high:g} mm, astride its pulleys",
        _PRACTICE,
    )  # fmt: skip
    return (Bearing(low, "brass"), Bearing(high, "brass"))


def _ends(
    design: Design, shaft: Shaft, bearings: tuple[Bearing, ...], notes: Notes
) -> tuple[float, float]:
    places = [b.at_mm for b in bearings]
    low, high = shaft_ends_mm(design, shaft)
    if shaft.ends_mm is not None:
        return min(low, *places), max(high, *places)
    back = min(low, min(places) - USUAL_TAIL_MM)
    beyond = max(places) + USUAL_TIP_MM if design.spindle.cop is None else high
    front = max(high, beyond, *places)
    notes.note("ends of the spindle", f"{back:g} mm to {front:g} mm", _PRACTICE)
    return back, front


def _usual_cop(
    shaft: Shaft, ends: tuple[float, float], bearings: tuple[Bearing, ...], design: Design,
    notes: Notes,
) -> Cop:  # fmt: skip
    """Return a cop between the foremost thing on the spindle and its tip."""
    washers = [w.at_mm for w in design.spindle.washers]
    hindmost = min(max(b.at_mm for b in bearings) + 5.0, ends[1])
    start = max([hindmost, *(w for w in washers if w < ends[1] - USUAL_COP_LENGTH_MM)])
    stop = min(start + USUAL_COP_LENGTH_MM, ends[1])
    if stop <= start:
        start, stop = ends
    area = math.pi / 4.0 * (USUAL_COP_DIAMETER_MM**2 - shaft.diameter_mm**2)
    mass = max(YARN_DENSITY_KG_M3 * 1e-6 * area * (stop - start), 0.0)
    notes.note(
        "the full cop",
        f"{start:g} mm to {stop:g} mm, {USUAL_COP_DIAMETER_MM:g} mm thick, {mass:.1f} g",
        _PRACTICE,
    )
    return Cop(start, stop, USUAL_COP_DIAMETER_MM, mass)


def _sections(design: Design, shaft: Shaft, ends: tuple[float, float]) -> tuple[Section, ...]:
    """Return the rod end to end: the file's sections, and the shaft's diameter between them."""
    low, high = ends
    filled: list[Section] = []
    for s in sorted(design.spindle.sections, key=lambda s: min(s.from_mm, s.to_mm)):
        start, stop = max(min(s.from_mm, s.to_mm), low), min(max(s.from_mm, s.to_mm), high)
        if start > low:
            filled.append(Section(low, start, shaft.diameter_mm))
        if stop > start:
            filled.append(Section(start, stop, s.diameter_mm))
        low = max(low, stop)
    if high > low:
        filled.append(Section(low, high, shaft.diameter_mm))
    return tuple(filled)


def cop_diameter_mm(layout: SpindleLayout, share: float) -> float:
    """Return the diameter of a cop that holds that share of the full one's yarn, mm."""
    inside = rod_diameter_mm(layout, 0.5 * (layout.cop.from_mm + layout.cop.to_mm))
    outside = max(layout.cop.diameter_mm, inside)
    return math.sqrt(inside**2 + share * (outside**2 - inside**2))


def rod_diameter_mm(layout: SpindleLayout, place_mm: float) -> float:
    """Return the diameter of the rod at a place along it, mm."""
    for section in layout.sections:
        if section.from_mm <= place_mm <= section.to_mm:
            return section.diameter_mm
    return layout.sections[-1].diameter_mm


def spindle_beam(design: Design, layout: SpindleLayout, share: float, notes: Notes) -> Beam:
    """Return the spindle with that share of a full cop as a beam, places in m from its low end.

    Args:
        design: the wheel.
        layout: the spindle as it is taken.
        share: yarn on it over the yarn of a full cop, 0 to 1.
        notes: where assumptions are noted.
    """
    shaft = design.shaft(design.spindle.shaft)
    modulus = shaft_figure(shaft, "modulus_mpa", design, notes) * 1e6
    density = shaft_figure(shaft, "density_kg_m3", design, notes)
    low = layout.ends_mm[0]
    rod = [_rod(s, low, modulus, density) for s in layout.sections]
    cop = [] if share == 0.0 else [_cop(layout, share)]
    discs = [*_pulley_discs(design, shaft, low, notes), *_washer_discs(design, layout, notes)]
    supports = tuple(
        Support((b.at_mm - low) / 1e3, 1e3 * (b.stiffness_n_mm or 0.0)) for b in layout.bearings
    )
    return Beam((*rod, *cop), supports, tuple(discs))


def _rod(section: Section, low: float, modulus: float, density: float) -> Stretch:
    d = section.diameter_mm / 1e3
    area, second = math.pi * d**2 / 4.0, math.pi * d**4 / 64.0
    return Stretch(
        (section.from_mm - low) / 1e3, (section.to_mm - low) / 1e3,
        modulus * second, density * area, density * second, 2.0 * density * second,
    )  # fmt: skip


def _cop(layout: SpindleLayout, share: float) -> Stretch:
    """Return the yarn as mass along the rod; its moments those of a hollow cylinder's slices."""
    cop, low = layout.cop, layout.ends_mm[0]
    length = (cop.to_mm - cop.from_mm) / 1e3
    mass = share * cop.mass_g / 1e3 / length
    inside = rod_diameter_mm(layout, 0.5 * (cop.from_mm + cop.to_mm)) / 2e3
    squares = inside**2 + (cop_diameter_mm(layout, share) / 2e3) ** 2
    start, stop = (cop.from_mm - low) / 1e3, (cop.to_mm - low) / 1e3
    return Stretch(start, stop, 0.0, mass, mass * squares / 4.0, mass * squares / 2.0)


def _pulley_discs(design: Design, shaft: Shaft, low: float, notes: Notes) -> list[Disc]:
    discs = []
    for pulley in design.pulleys_on(shaft.name):
        density = pulley_density(pulley, design, notes)
        solid = pulley_inertia(pulley, design.cord_on(pulley.name), density, shaft.diameter_mm)
        discs.append(_disc(pulley.offset_mm - low, solid))
    return discs


def _washer_discs(design: Design, layout: SpindleLayout, notes: Notes) -> list[Disc]:
    discs = []
    for washer in design.spindle.washers:
        material = material_of(washer.material, USUAL_WASHER, "the washers", design, notes)
        density = figure_of(material, "density_kg_m3", USUAL_WASHER, notes).value
        bore = rod_diameter_mm(layout, washer.at_mm)
        solid = cylinder(washer.diameter_mm, washer.thickness_mm, density, bore)
        discs.append(_disc(washer.at_mm - layout.ends_mm[0], solid))
    return discs


def _disc(at_mm: float, solid: Inertia) -> Disc:
    return Disc(at_mm / 1e3, solid.mass_kg, solid.diametral_kg_m2, solid.polar_kg_m2)
