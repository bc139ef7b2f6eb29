"""Which of the rings and cut lengths at hand will do for a band, and where on the slide each sits.

Glossary: the *slack length* of a ring or cut is what its centre-line measures off the wheel, its
joint taken off; the *right* stretch is the range in which the cord's material is usually put on;
the *room left* is how much longer the band may grow before it hangs at the least right stretch
with the slide at its far end.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from wheelgeo.as_json import to_json
from wheelgeo.built.as_built import build
from wheelgeo.built.band import BuiltBand
from wheelgeo.design.materials import CORDS
from wheelgeo.design.model import Design
from wheelgeo.design.rings import RINGS, stretched_cord_mm
from wheelgeo.drive.slides import SlideRange, length_on_slide, slide_range
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.typed import read_number
from wheelgeo.units import LENGTH_MM

RING_MATERIAL = "nitrile ring"
BELTING = ("round belting", "belting")
BELTING_MATERIAL = "polyurethane cord"
BELTING_MM = (2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0)
"""Diameters in which round belting is usually sold by the metre; from memory."""
MOST_RINGS = 6
"""So many of the standard rings that fit are told."""
NEAREST_RINGS = 2
"""Where fewer fit, the nearest are told, to show how far off they are."""
_I_HAVE = re.compile(r"^(i have\s+)?((and|a|an|some|the)\s+)*((band|cord)s?\s+(of\s+)?)?", re.I)
"""How a length begins where somebody types a whole sentence."""
_OF_ITS_RANGE = 1e-9


@dataclass(frozen=True)
class OnSlide:
    """A band at one place of the slide: where, mm; its stretch, a fraction; its pull at rest, N."""

    travel_mm: float
    stretch: float
    pull_n: float


@dataclass(frozen=True)
class BandToHave:
    """What a ring or cut length does on a wheel.

    Attributes:
        name: the ring's name, or the length or cord as it was written.
        material: of its cord.
        stretch_from: least right stretch of that, a fraction.
        stretch_to: greatest.
        cut_with_joint_mm: what to cut of a cord off the reel; None for what has a length.
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
    material: str
    stretch_from: float
    stretch_to: float
    cut_with_joint_mm: float | None
    slack_length_mm: float | None
    section_mm: float
    section_in_place_mm: float | None
    at_from: OnSlide | None
    at_to: OnSlide | None
    tie_from_mm: float | None
    tie_to_mm: float | None
    room_left: float | None
    fits: bool
    says: str


@dataclass(frozen=True)
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


@dataclass(frozen=True)
class _Candidate:
    """What is at hand: its slack length, its joint taken off; None: off the reel, to be cut."""

    name: str
    slack_mm: float | None
    section_mm: float
    on: _Fitted


@dataclass(frozen=True)
class _Fitted:
    """The wheel with a band of one cord: how that is made, and the path along the slide."""

    made: BuiltBand
    slide: SlideRange | None
    length_at: Callable[[float], float | None]

    @classmethod
    def of(cls, design: Design, band: str) -> _Fitted:
        solution = solve_drive(design)
        return cls(
            build(design).bands[band], slide_range(solution, band), length_on_slide(solution, band)
        )

    @property
    def travel(self) -> tuple[float, float]:
        """Both ends of the slide, mm; the same place where nothing slides."""
        return (0.0, 0.0) if self.slide is None else (self.slide.from_mm, self.slide.to_mm)


def bands_to_have(design: Design, band: str, have: str | Sequence[str]) -> BandsToHaveAnswer:
    """Return what rings, cut lengths and cords off the reel do for a band.

    Args:
        design: the wheel.
        band: name of the band.
        have: with commas between them, or as a list: lengths as cut, joint included (``"72 in,
            1850 mm"``); ``"rings"`` for the standard rings of the band's thickness; a cord that is
            sold by the metre (``"5 mm polyurethane cord"``); ``"round belting"`` for such cord in
            the usual diameters next to the band's own.

    Raises:
        SearchError: there is no such band, it has no path, or something cannot be read.
    """
    if band not in {b.name for b in design.bands}:
        known = ", ".join(f'"{b.name}"' for b in design.bands)
        raise SearchError(f'the wheel has no band "{band}"; it has {known}')
    if solve_drive(design).band(band).path is None:
        raise SearchError(f'band "{band}" has no path: mend that first (wheelgeo check)')
    own = _Fitted.of(design, band)
    texts = [_I_HAVE.sub("", t.strip())
             for t in (have.split(",") if isinstance(have, str) else have)]  # fmt: skip
    texts = [t for t in texts if t]
    if not texts:
        raise SearchError(
            'say what there is, as in "72 in, 73 in", "rings", "round belting", or '
            '"5 mm polyurethane cord"'
        )
    rings: list[BandToHave] = []
    found: list[BandToHave] = []
    for text in texts:
        if text.casefold() in BELTING:
            found += [_tried(c) for c in _belting(own, design)]
        elif text.casefold() == "rings":
            try:
                rings += [_tried(c) for c in _near(design, band)]
            except SearchError as error:
                if len(texts) == 1:
                    raise
                found.append(_none_of(text, str(error), design, band))
        else:
            found.append(_tried(_written(text, own, design)))
    fitting = sum(ring.fits for ring in rings)
    found += sorted(rings, key=_order)[: min(max(fitting, NEAREST_RINGS), MOST_RINGS)]
    found.sort(key=_order)
    told = own
    if found and all(b.material == found[0].material for b in found):
        told = _Fitted.of(_with_cord(design, band, found[0].material, None), band)
    usual = told.made.usual_stretch.value
    return BandsToHaveAnswer(
        band, told.made.material.value.name, usual.low, usual.high, usual.source,
        None if own.slide is None else own.slide.shaft, told.made.growth.in_all, tuple(found),
    )  # fmt: skip


def _order(one: BandToHave) -> tuple[bool, float]:
    return not one.fits, abs(_middle(one) - 0.5 * (one.stretch_from + one.stretch_to))


def _with_cord(design: Design, band: str, material: str, cord_mm: float | None) -> Design:
    """Return the wheel with another cord as that band, its joint as is usual for it."""
    bands = (
        b if b.name != band or (material == b.material and cord_mm is None)
        else replace(b, material=material, diameter_mm=cord_mm or b.diameter_mm, joint_mm=None,
                     joined=None, stretch=None)
        for b in design.bands
    )  # fmt: skip
    return replace(design, bands=tuple(bands))


def _middle(band: BandToHave) -> float:
    ends = [at.stretch for at in (band.at_from, band.at_to) if at is not None]
    return sum(ends) / len(ends) if ends else float("inf")


def _near(design: Design, band: str) -> list[_Candidate]:
    """Return the standard rings of about the cord's thickness, each thinned as it is put on."""
    cord_mm = build(design).bands[band].band.diameter_mm
    near = [ring for ring in RINGS if abs(ring.section_mm - cord_mm) <= 0.25 * cord_mm]
    if not near:
        sections = ", ".join(f"{s:g}" for s in sorted({r.section_mm for r in RINGS}))
        raise SearchError(f"no standard ring is about {cord_mm:g} mm thick; they are {sections} mm")
    sizes = {ring.section_mm for ring in near}
    on = {size: _thinned_on(design, band, RING_MATERIAL, size) for size in sizes}
    return [
        _Candidate(f"ring -{r.name}", r.slack_length_mm, r.section_mm, on[r.section_mm])
        for r in near
    ]


def _belting(own: _Fitted, design: Design) -> list[_Candidate]:
    """Return the usual diameters of round belting on either side of the band's own."""
    cord_mm = own.made.band.diameter_mm
    below = [d for d in BELTING_MM if d <= cord_mm][-1:]
    above = [d for d in BELTING_MM if d > cord_mm][: 2 - len(below)]
    return [_written(f"{d:g} mm {BELTING_MATERIAL}", own, design) for d in (*below, *above)]


def _none_of(text: str, says: str, design: Design, band: str) -> BandToHave:
    """Return the row of what was asked for among others and does not exist."""
    made = build(_with_cord(design, band, RING_MATERIAL, None)).bands[band]
    usual = made.usual_stretch.value
    return BandToHave(
        text, RING_MATERIAL, usual.low, usual.high, None, None, made.band.diameter_mm,
        None, None, None, None, None, None, False, says,
    )  # fmt: skip


def _thinned_on(design: Design, band: str, material: str, section_mm: float) -> _Fitted:
    """Return the wheel with a cord of a section as bought, thinned by its usual stretch."""
    usual = build(_with_cord(design, band, material, section_mm)).bands[band].stretch.value
    thin = stretched_cord_mm(section_mm, usual)
    return _Fitted.of(_with_cord(design, band, material, thin), band)


def _written(text: str, own: _Fitted, design: Design) -> _Candidate:
    """Return what was written: a length as cut, in the file's unit where bare, or a cord."""
    cords = [m.name for m in (*CORDS, *design.materials) if m.name != RING_MATERIAL]
    name = next((n for n in cords if text.casefold().endswith(n.casefold())), None)
    if name is not None:
        section = read_number(text[: -len(name)].strip(), LENGTH_MM, design.unit, "a thickness")
        if section <= 0.0:
            raise SearchError(f'"{text}" has no thickness')
        return _Candidate(
            text, None, section, _thinned_on(design, own.made.name, name, section)
        )
    length, joint_mm = read_number(text, LENGTH_MM, design.unit, "a length"), own.made.joint.value
    if length - joint_mm <= 0.0:
        raise SearchError(f'a band of "{text}" is no longer than its joint of {joint_mm:g} mm')
    return _Candidate(text, length - joint_mm, own.made.band.diameter_mm, own)


def _tried(candidate: _Candidate) -> BandToHave:
    """Return what one ring, length or cord off the reel does."""
    on, length_at, travel = candidate.on, candidate.on.length_at, candidate.on.travel
    usual = on.made.usual_stretch.value
    right = usual.low, usual.high
    stiffness_n = on.made.modulus.value.value * math.pi / 4.0 * candidate.section_mm**2
    reel = candidate.slack_mm is None
    slack = candidate.slack_mm or 0.0
    if reel:
        # Off the reel it is cut for the middle of the slide, where it can be let out and taken up.
        middle = length_at(0.5 * (travel[0] + travel[1]))
        slack = math.inf if middle is None else on.made.cut_length_mm(middle)

    def at(place: float) -> OnSlide | None:
        path = length_at(place)
        if path is None:
            return None
        stretch = path / slack - 1.0
        return OnSlide(place, stretch, max(stretch, 0.0) * stiffness_n)

    low, high = at(travel[0]), at(travel[1])
    tie = _places(length_at, travel, slack * (1.0 + right[0]), slack * (1.0 + right[1]))
    ends = [e for e in (low, high) if e is not None]
    longest = max((slack * (1.0 + e.stretch) for e in ends), default=None)
    room = None if longest is None or tie is None else longest / (slack * (1.0 + right[0])) - 1.0
    return BandToHave(
        candidate.name, on.made.material.value.name, right[0], right[1],
        slack + on.made.joint.value if reel and math.isfinite(slack) else None,
        slack if math.isfinite(slack) else None,
        candidate.section_mm, _thinned(candidate.section_mm, ends),
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
