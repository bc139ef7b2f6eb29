"""Which of the rings and cut lengths at hand will do for a band, and where on the slide each sits.

Glossary: the *slack length* of a ring or cut is what its centre-line measures off the wheel, its
joint taken off; the *right* stretch is the range in which the cord's material is usually put on;
the *room left* is how much longer the band may grow before it hangs at the least right stretch
with the slide at its far end.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from wheelgeo.as_json import AsJson
from wheelgeo.built.as_built import build
from wheelgeo.built.band import BuiltBand
from wheelgeo.design.model import Design
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.tune.bands_at_hand import (
    RING_MATERIAL,
    BandAtHand,
    Fitted,
    TakenAs,
    belting_near,
    loop_or_cord,
    rings_near,
    with_cord,
    written,
)

BELTING = ("round belting", "belting")
MOST_RINGS = 6
"""So many of the standard rings that fit are told."""
NEAREST_RINGS = 2
"""Where fewer fit, the nearest are told, to show how far off they are."""
FAR_TOO_SMALL = 2.0
"""A ring stretched by more than so many times the greatest right stretch is no candidate; common
practice, no source."""
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
        taken_as: what it is: a ``loop``, joined already and measured once round; a ``cord``, a
            length to be joined; a ``ring``; or a cord off the ``reel``.
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
        lasts: whether the room left is enough for what such a band grows by.
        cut_for_room_mm: what to cut of it, joint included, so that it has the whole slide to grow
            on; None where it lasts as it is, does not fit, or is no cord to be cut.
        says: the verdict, in a few words.
    """

    name: str
    taken_as: TakenAs
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
    lasts: bool
    cut_for_room_mm: float | None
    says: str


@dataclass(frozen=True)
class BandsToHaveAnswer(AsJson):
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


def bands_to_have(
    design: Design, band: str, have: str | Sequence[str], unit: str = ""
) -> BandsToHaveAnswer:
    """Return what rings, cut lengths and cords off the reel do for a band.

    Args:
        design: the wheel.
        band: name of the band.
        have: with commas between them, or as a list: lengths as cut, joint included (``"72 in,
            1850 mm cord"``); bands that are joined, once round (``"76 in loop"``); ``"rings"`` for
            the standard rings of the band's thickness, ``"-264"`` for one of them, ``"7 1/2 in
            ring"`` for a ring told by its inside diameter; a cord that is sold by the metre (``"5
            mm polyurethane cord"``); ``"round belting"`` for such cord in the usual diameters next
            to the band's own.
        unit: of a bare number; that of the file where it is empty.

    Raises:
        SearchError: there is no such band, it has no path, or something cannot be read.
    """
    if band not in {b.name for b in design.bands}:
        known = ", ".join(f'"{b.name}"' for b in design.bands)
        raise SearchError(f'the wheel has no band "{band}"; it has {known}')
    if solve_drive(design).band(band).path is None:
        raise SearchError(f'band "{band}" has no path: mend that first (wheelgeo check)')
    own = Fitted.of(design, band)
    texts = [t.strip() for t in (have.split(",") if isinstance(have, str) else have) if t.strip()]
    if not texts:
        raise SearchError(
            'say what there is, as in "72 in, 73 in", "rings", "round belting", or '
            '"5 mm polyurethane cord"'
        )
    rings: list[BandToHave] = []
    found: list[BandToHave] = []
    for text in texts:
        said = loop_or_cord(text)[0].casefold()
        if said in BELTING:
            found += [_tried(c) for c in belting_near(own, design)]
        elif said == "rings":
            try:
                rings += _near_enough([_tried(c) for c in rings_near(design, band)])
            except SearchError as error:
                if len(texts) == 1:
                    raise
                found.append(_none_of(said, str(error), design, band))
        else:
            found.append(_tried(written(text, own, design, unit or design.unit)))
    fitting = sum(ring.fits for ring in rings)
    found += sorted(rings, key=_order)[: min(max(fitting, NEAREST_RINGS), MOST_RINGS)]
    found.sort(key=_order)
    told = own
    if found and all(b.material == found[0].material for b in found):
        told = Fitted.of(with_cord(design, band, found[0].material, None), band)
    usual = told.made.usual_stretch.value
    return BandsToHaveAnswer(
        band, told.made.material.value.name, usual.low, usual.high, usual.source,
        None if own.slide is None else own.slide.shaft, told.made.growth.in_all, tuple(found),
    )  # fmt: skip


def _near_enough(rings: list[BandToHave]) -> list[BandToHave]:
    """Return the rings without those that no hand would stretch on.

    Raises:
        SearchError: none is left.
    """
    near = [r for r in rings if _least_stretch(r) <= FAR_TOO_SMALL * r.stretch_to]
    if not near:
        last = min(rings, key=_least_stretch)
        raise SearchError(
            f"no standard ring known here comes near: the nearest, {last.name}, would be stretched "
            f"by {100.0 * _least_stretch(last):.0f} %"
        )
    return near


def _least_stretch(one: BandToHave) -> float:
    return min((at.stretch for at in (one.at_from, one.at_to) if at is not None), default=math.inf)


def _order(one: BandToHave) -> tuple[bool, bool, float]:
    right = 0.5 * (one.stretch_from + one.stretch_to)
    return not one.fits, not one.lasts, abs(_middle(one) - right)


def _middle(band: BandToHave) -> float:
    ends = [at.stretch for at in (band.at_from, band.at_to) if at is not None]
    return sum(ends) / len(ends) if ends else float("inf")


def _none_of(text: str, says: str, design: Design, band: str) -> BandToHave:
    """Return the row of what was asked for among others and does not exist."""
    made = build(with_cord(design, band, RING_MATERIAL, None)).bands[band]
    usual = made.usual_stretch.value
    return BandToHave(
        text, "ring", RING_MATERIAL, usual.low, usual.high, None, None, made.band.diameter_mm,
        None, None, None, None, None, None, False, False, None, says,
    )  # fmt: skip


def _tried(candidate: BandAtHand) -> BandToHave:
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
    lasts = room is not None and room >= on.made.growth.in_all
    return BandToHave(
        candidate.name, candidate.taken_as, on.made.material.value.name, right[0], right[1],
        slack + on.made.joint.value if reel and math.isfinite(slack) else None,
        slack if math.isfinite(slack) else None,
        candidate.section_mm, _thinned(on.made, candidate.section_mm, ends),
        low, high,
        None if tie is None else tie[0], None if tie is None else tie[1], room,
        tie is not None, lasts,
        _cut_for_room_mm(candidate, slack, ends) if tie is not None and not lasts else None,
        _verdict(candidate.taken_as, ends, right, tie is not None, lasts),
    )  # fmt: skip


def _cut_for_room_mm(candidate: BandAtHand, slack: float, ends: list[OnSlide]) -> float | None:
    """Return what to cut of a cord for the slide's near end, where that is shorter; or None.

    By its usual stretch, or, where it then still outgrows the slide, by the greatest right one.
    """
    if candidate.taken_as not in ("cord", "reel"):
        return None
    made = candidate.on.made
    right, paths = made.usual_stretch.value, [slack * (1.0 + e.stretch) for e in ends]
    grows = 1.0 + made.growth.in_all
    usual, tight = made.cut_length_mm(min(paths)), min(paths) / (1.0 + right.high)
    lasting = (s for s in (usual, tight) if max(paths) >= s * (1.0 + right.low) * grows)
    shorter = next(lasting, usual)
    return shorter + made.joint.value if shorter < slack - 1.0 else None


def _thinned(made: BuiltBand, section_mm: float, ends: list[OnSlide]) -> float | None:
    """Return the section under the mean stretch of both ends; a slack cord keeps its own."""
    if not ends:
        return None
    mean = sum(max(e.stretch, 0.0) for e in ends) / len(ends)
    return made.thinned_mm(section_mm, mean)


def _verdict(
    taken_as: TakenAs, ends: list[OnSlide], right: tuple[float, float], fits: bool, lasts: bool
) -> str:
    if not ends:
        return "no path on this slide"
    if fits and lasts:
        return "fits"
    if fits:
        then = "a shorter one lasts longer" if taken_as == "ring" else "shorten it then"
        return f"fits now, too long after some months: {then}"
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
