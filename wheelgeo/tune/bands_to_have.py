"""Which of the rings and cut lengths at hand will do for a band, and where on the slide each sits.

Glossary: the *slack length* of a ring or cut is what its centre-line measures off the wheel, its
joint taken off; the *right* stretch is the range in which the cord's material is usually put on;
the *room left* is how much longer the band may grow before it hangs at the least right stretch
with the slide at its far end.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from wheelgeo.as_json import to_json
from wheelgeo.built.as_built import build
from wheelgeo.design.model import Design
from wheelgeo.design.rings import RINGS, stretched_cord_mm
from wheelgeo.drive.slides import length_on_slide, slide_range
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import SearchError
from wheelgeo.numbers.typed import read_number
from wheelgeo.units import LENGTH_MM

RING_MATERIAL = "nitrile ring"
MOST_RINGS = 6
"""Of the standard rings those are told that come nearest."""
_OF_ITS_RANGE = 1e-9


@dataclass(frozen=True, slots=True)
class OnSlide:
    """A band at one place of the slide: where, mm; its stretch, a fraction; its pull at rest, N."""

    travel_mm: float
    stretch: float
    pull_n: float


@dataclass(frozen=True, slots=True)
class BandToHave:
    """What a ring or cut length does on a wheel.

    Attributes:
        name: the ring's name, or the length as it was written.
        slack_length_mm: length of its centre-line, slack, its joint taken off.
        section_mm: diameter of its cord, slack.
        section_in_place_mm: the same as it is stretched on, mid-way of the slide: it thins, and the
            pitch diameters with it; None where there is no path.
        at_from: at the beginning of the slide's travel; None where there is no path.
        at_to: at its end likewise; the same place where nothing slides.
        tie_from_mm: where the stretch begins to be right, mm of travel; None where it never is.
        tie_to_mm: where it ends to be right; None likewise.
        room_left: how much it may still grow, as a fraction of its length; None likewise.
        fits: whether the stretch is right somewhere on the slide.
        says: the verdict, in a few words.
    """

    name: str
    slack_length_mm: float
    section_mm: float
    section_in_place_mm: float | None
    at_from: OnSlide | None
    at_to: OnSlide | None
    tie_from_mm: float | None
    tie_to_mm: float | None
    room_left: float | None
    fits: bool
    says: str


@dataclass(frozen=True, slots=True)
class BandsToHaveAnswer:
    """What the rings and lengths at hand do for one band of a wheel.

    Attributes:
        band: the band.
        material: the cord's material.
        stretch_from: least right stretch, a fraction.
        stretch_to: greatest.
        stretch_source: where that range comes from.
        slide: the shaft that slides; None where none does.
        growth: how much such a band grows in its first months and over the seasons, a fraction.
        bands: what each does; those that fit first, in the order of the middle of their stretch.
    """

    band: str
    material: str
    stretch_from: float
    stretch_to: float
    stretch_source: str
    slide: str | None
    growth: float
    bands: tuple[BandToHave, ...]

    def to_json(self) -> dict[str, Any]:
        """Return what the command prints with ``--json``."""
        document: dict[str, Any] = to_json(self)
        return document


@dataclass(frozen=True, slots=True)
class _Candidate:
    name: str
    slack_mm: float
    section_mm: float


def bands_to_have(design: Design, band: str, have: str | Sequence[str]) -> BandsToHaveAnswer:
    """Return what rings and cut lengths at hand do for a band.

    Args:
        design: the wheel.
        band: name of the band.
        have: ``"rings"`` for the standard rings of the band's thickness, or lengths as cut, joint
            included, with commas between them (``"72 in, 1850 mm"``), or a list of such.

    Raises:
        SearchError: there is no such band, it has no path, or a length cannot be read.
    """
    if band not in {b.name for b in design.bands}:
        known = ", ".join(f'"{b.name}"' for b in design.bands)
        raise SearchError(f'the wheel has no band "{band}"; it has {known}')
    solution = solve_drive(design)
    if solution.band(band).path is None:
        raise SearchError(f'band "{band}" has no path: mend that first (wheelgeo check)')
    rings = isinstance(have, str) and have.strip().casefold() == "rings"
    made = build(_of_rings(design, band) if rings else design).bands[band]
    usual = made.usual_stretch.value
    modulus = made.modulus.value.value
    slides = slide_range(solution, band)
    length_at = length_on_slide(solution, band)
    travel = (0.0, 0.0) if slides is None else (slides.from_mm, slides.to_mm)
    growth = made.growth.in_all
    cord_mm = made.band.diameter_mm
    found = [
        _tried(c, travel, length_at, (usual.low, usual.high), modulus)
        for c in (_near(cord_mm) if rings else _written(have, cord_mm, made.joint.value, design))
    ]
    found.sort(key=lambda b: (not b.fits, abs(_middle(b) - usual.value)))
    if rings:
        found = found[:MOST_RINGS]
    return BandsToHaveAnswer(
        band, made.material.value.name, usual.low, usual.high, usual.source,
        None if slides is None else slides.shaft, growth, tuple(found),
    )  # fmt: skip


def _of_rings(design: Design, band: str) -> Design:
    """Return the wheel with a nitrile ring as that band, which has no joint."""
    bands = (
        replace(b, material=RING_MATERIAL, joint_mm=0.0) if b.name == band else b
        for b in design.bands
    )
    return replace(design, bands=tuple(bands))


def _middle(band: BandToHave) -> float:
    ends = [at.stretch for at in (band.at_from, band.at_to) if at is not None]
    return sum(ends) / len(ends) if ends else float("inf")


def _near(cord_mm: float) -> list[_Candidate]:
    """Return the standard rings of about the cord's thickness."""
    near = [ring for ring in RINGS if abs(ring.section_mm - cord_mm) <= 0.25 * cord_mm]
    if not near:
        sections = ", ".join(f"{s:g}" for s in sorted({r.section_mm for r in RINGS}))
        raise SearchError(f"no standard ring is about {cord_mm:g} mm thick; they are {sections} mm")
    return [_Candidate(f"ring -{r.name}", r.slack_length_mm, r.section_mm) for r in near]


def _written(
    have: str | Sequence[str], cord_mm: float, joint_mm: float, design: Design
) -> list[_Candidate]:
    """Return the lengths that were written; a bare one is in the file's unit."""
    texts = [t.strip() for t in (have.split(",") if isinstance(have, str) else have)]
    read = []
    for text in texts:
        length = read_number(text, LENGTH_MM, design.unit, "a length")
        if length - joint_mm <= 0.0:
            raise SearchError(f'a band of "{text}" is no longer than its joint of {joint_mm:g} mm')
        read.append(_Candidate(text, length - joint_mm, cord_mm))
    if not read:
        raise SearchError('say what there is, as in "72 in, 73 in", or "rings"')
    return read


def _tried(
    candidate: _Candidate,
    travel: tuple[float, float],
    length_at: Callable[[float], float | None],
    right: tuple[float, float],
    modulus_mpa: float,
) -> BandToHave:
    """Return what one ring or length does."""
    stiffness_n = modulus_mpa * math.pi / 4.0 * candidate.section_mm**2

    def at(place: float) -> OnSlide | None:
        path = length_at(place)
        if path is None:
            return None
        stretch = path / candidate.slack_mm - 1.0
        return OnSlide(place, stretch, max(stretch, 0.0) * stiffness_n)

    low, high = at(travel[0]), at(travel[1])
    slack = candidate.slack_mm
    tie = _places(length_at, travel, slack * (1.0 + right[0]), slack * (1.0 + right[1]))
    ends = [e for e in (low, high) if e is not None]
    longest = max((slack * (1.0 + e.stretch) for e in ends), default=None)
    room = None if longest is None or tie is None else longest / (slack * (1.0 + right[0])) - 1.0
    return BandToHave(
        candidate.name, slack, candidate.section_mm, _thinned(candidate.section_mm, ends),
        low, high,
        None if tie is None else tie[0], None if tie is None else tie[1], room,
        tie is not None, _verdict(ends, right, tie is not None),
    )  # fmt: skip


def _thinned(section_mm: float, ends: list[OnSlide]) -> float | None:
    """Return the section under the mean stretch of both ends; a slack cord keeps its own."""
    if not ends:
        return None
    mean = sum(max(e.stretch, 0.0) for e in ends) / len(ends)
    return stretched_cord_mm(section_mm, mean)


def _verdict(ends: list[OnSlide], right: tuple[float, float], fits: bool) -> str:
    if not ends:
        return "no path on this slide"
    if fits:
        return "fits"
    if max(e.stretch for e in ends) < right[0]:
        return "too long: it hangs slack" if max(e.stretch for e in ends) <= 0 else "too long"
    return "too short: it would be pulled too hard"


def _places(
    length_at: Callable[[float], float | None],
    travel: tuple[float, float],
    shortest_mm: float,
    longest_mm: float,
) -> tuple[float, float] | None:
    """Return between which places of the slide the path lies within two lengths, or None.

    The path grows or shrinks steadily along a slide that is any use; where it does not, the part
    of the travel next to its longer end is told.
    """
    low, high = length_at(travel[0]), length_at(travel[1])
    if low is None or high is None:
        return None
    rising = high >= low
    begin, end = travel if rising else travel[::-1]
    least, most = min(low, high), max(low, high)
    if most < shortest_mm or least > longest_mm:
        return None

    def where(length: float) -> float:
        a, b = begin, end
        for _ in range(60):  # halving: the length is steady but has no simple inverse
            middle = 0.5 * (a + b)
            here = length_at(middle)
            if here is not None and here < length:
                a = middle
            else:
                b = middle
            if abs(b - a) <= _OF_ITS_RANGE * max(abs(travel[0]), abs(travel[1]), 1.0):
                break
        return 0.5 * (a + b)

    first = begin if least >= shortest_mm else where(shortest_mm)
    last = end if most <= longest_mm else where(longest_mm)
    return (min(first, last), max(first, last))
