"""What is at hand for a band, as somebody writes it: loops, lengths, standard rings, reels of cord.

Glossary: a *loop* is joined already and measured once round; a *cord* is a length to be joined,
which takes some of it; the *slack length* of either is what its centre-line measures off the wheel
once it is a band.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Literal

from wheelgeo.built.as_built import build
from wheelgeo.built.band import BuiltBand
from wheelgeo.design.joints import CLOSED_RING
from wheelgeo.design.materials import CORDS
from wheelgeo.design.model import Design
from wheelgeo.design.rings import RINGS, Ring, dash_number, ring_named
from wheelgeo.drive.slides import SlideRange, length_on_slide, slide_range
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.typed import read_number
from wheelgeo.units import LENGTH_MM, as_on_the_rule, with_unit

RING_MATERIAL = "nitrile ring"
BELTING_MATERIAL = "polyurethane cord"
BELTING_MM = (2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0)
"""Diameters in which round belting is usually sold by the metre; from memory."""

TakenAs = Literal["loop", "cord", "ring", "reel"]
_I_HAVE = re.compile(
    r"^(i have\s+)?((and|a|an|some|the)\s+)*((band|cord|loop)s?\s+(of\s+)?)?", re.IGNORECASE
)
"""How a length begins where somebody types a whole sentence."""
_AFTER = re.compile(r"\s*\b(loop|cord)s?$", re.IGNORECASE)
_ACROSS = re.compile(r"(.*\d.*?)\s+(?:o-?\s?)?ring", re.IGNORECASE)
"""A ring told by its inside diameter."""
_OFF_THE_REEL = re.compile(
    r",?\s*\b(?:as\s+)?(?:(?:cut|taken)\s+)?off\s+the\s+reel$", re.IGNORECASE
)
"""A cord told as it was cut, before it was tied."""


def loop_or_cord(text: str) -> tuple[str, TakenAs | None]:
    """Return the length in what was written, and what it is said to be: ``"76 in loop"``.

    Args:
        text: a length with what it is before or behind it, or by itself.

    Returns:
        The length as written, and "loop", "cord" or, said to be measured off the reel, "reel";
        None where that is not said.
    """
    if (cut := _OFF_THE_REEL.search(text.strip())) is not None:
        return loop_or_cord(text.strip()[: cut.start()])[0], "reel"
    before = _I_HAVE.match(text.strip())
    word = (before[4] or "").casefold() if before else ""
    rest = _I_HAVE.sub("", text.strip())
    if after := _AFTER.search(rest):
        word, rest = after[1].casefold(), _AFTER.sub("", rest)
    if word.startswith("loop"):
        return rest, "loop"
    return rest, "cord" if word.startswith("cord") else None


@dataclass(frozen=True)
class Fitted:
    """The wheel with a band of one cord: how that is made, and the path along the slide."""

    made: BuiltBand
    slide: SlideRange | None
    length_at: Callable[[float], float | None]

    @classmethod
    def of(cls, design: Design, band: str) -> Fitted:
        """Return the wheel as its file has that band."""
        solution = solve_drive(design)
        return cls(
            build(design).bands[band], slide_range(solution, band), length_on_slide(solution, band)
        )

    @property
    def travel(self) -> tuple[float, float]:
        """Both ends of the slide, mm; the same place where nothing slides."""
        return (0.0, 0.0) if self.slide is None else (self.slide.from_mm, self.slide.to_mm)


@dataclass(frozen=True)
class BandAtHand:
    """What is at hand.

    Attributes:
        name: as it was written, or the ring's.
        taken_as: what it is.
        slack_mm: its slack length; None off the reel: it is still to be cut.
        section_mm: diameter of its cord, slack.
        on: the wheel with it.
    """

    name: str
    taken_as: TakenAs
    slack_mm: float | None
    section_mm: float
    on: Fitted


def with_cord(design: Design, band: str, material: str, cord_mm: float | None) -> Design:
    """Return the wheel with another cord as that band, its joint as is usual for it."""
    bands = (
        b if b.name != band or (material == b.material and cord_mm is None)
        else replace(b, material=material, diameter_mm=cord_mm or b.diameter_mm, joint_mm=None,
                     joined=None, stretch=None)
        for b in design.bands
    )  # fmt: skip
    return replace(design, bands=tuple(bands))


def rings_near(design: Design, band: str) -> list[BandAtHand]:
    """Return the standard rings of about the cord's thickness, each thinned as it is put on.

    Raises:
        SearchError: none is about that thick.
    """
    cord_mm = build(design).bands[band].band.diameter_mm
    near = [ring for ring in RINGS if abs(ring.section_mm - cord_mm) <= 0.25 * cord_mm]
    if not near:
        sections = ", ".join(f"{s:g}" for s in sorted({r.section_mm for r in RINGS}))
        raise SearchError(
            f"no standard ring known here is about {cord_mm:g} mm thick; they are {sections} mm"
        )
    sizes = {ring.section_mm for ring in near}
    on = {size: _thinned_on(design, band, RING_MATERIAL, size) for size in sizes}
    return [
        BandAtHand(f"ring -{r.name}", "ring", r.slack_length_mm, r.section_mm, on[r.section_mm])
        for r in near
    ]


def belting_near(own: Fitted, design: Design) -> list[BandAtHand]:
    """Return the usual diameters of round belting on either side of the band's own."""
    cord_mm = own.made.band.diameter_mm
    below = [d for d in BELTING_MM if d <= cord_mm][-1:]
    above = [d for d in BELTING_MM if d > cord_mm][: 2 - len(below)]
    return [written(f"{d:g} mm {BELTING_MATERIAL}", own, design, "mm") for d in (*below, *above)]


def written(text: str, own: Fitted, design: Design, unit: str) -> BandAtHand:
    """Return what was written: a loop, a length of cord, or a cord that is sold by the metre.

    Args:
        text: as written.
        own: the wheel with its own band.
        design: the wheel.
        unit: of a bare number.

    Raises:
        SearchError: it is no length that a band may have.
    """
    text = as_on_the_rule(text)
    cords = [m.name for m in (*CORDS, *design.materials) if m.name != RING_MATERIAL]
    name = next((n for n in cords if text.casefold().endswith(n.casefold())), None)
    if name is not None:
        text = _I_HAVE.sub("", text)
        thick = with_unit(text[: -len(name)].strip(), unit)
        section = read_number(thick, LENGTH_MM, unit, "a thickness")
        if section <= 0.0:
            raise SearchError(f'"{text}" has no thickness')
        on = _thinned_on(design, own.made.name, name, section)
        return BandAtHand(f"{thick} {name}", "reel", None, section, on)
    if (ring := _ring_of(text, own, design, unit)) is not None:
        return ring
    bare, said = loop_or_cord(text)
    bare = with_unit(bare, unit)
    length, joint_mm = read_number(bare, LENGTH_MM, unit, "a length"), own.made.joint.value
    # What comes as a closed ring is a loop whatever is said of it.
    loop = said == "loop" or own.made.joint_kind.name == CLOSED_RING
    # A cord at hand is all there is: what the knot is tied by has to come out of it as well.
    tails_mm = own.made.joint_kind.tails_mm
    slack = length if loop else length - joint_mm - tails_mm
    if slack <= 0.0:
        tied = f" and the {tails_mm:g} mm that it is tied by" if tails_mm else ""
        than = "nothing" if loop else f"its joint of {joint_mm:g} mm{tied}"
        raise SearchError(f'a band of "{bare}" is no longer than {than}')
    return BandAtHand(bare, "loop" if loop else "cord", slack, own.made.band.diameter_mm, own)


def ring_told(text: str, section_mm: float, unit: str) -> Ring | None:
    """Return the ring in what was written; None where it is none.

    Args:
        text: a dash number ("-264", "AS568-264"), or an inside diameter, by which rings are sold:
            "7 1/2 in ring".
        section_mm: thickness of its cord, where it is told by its diameter.
        unit: of a bare number.

    Raises:
        SearchError: no ring of that number is known here, or the diameter cannot be read.
    """
    if (number := dash_number(text)) is not None:
        if (ring := ring_named(number)) is None:
            names = f"-{RINGS[0].name} to -{RINGS[-1].name}, with gaps"
            raise SearchError(f"no ring -{number} is known here; known are {names}")
        return ring
    if (across := _ACROSS.fullmatch(_I_HAVE.sub("", text.strip()))) is None:
        return None
    told = with_unit(across[1], unit)
    inside = read_number(told, LENGTH_MM, unit, "an inside diameter")
    if inside <= 0.0:
        raise SearchError(f'"{text}" has no inside diameter')
    return Ring(told, inside, section_mm, None, looked_up=False)


def _ring_of(text: str, own: Fitted, design: Design, unit: str) -> BandAtHand | None:
    """Return the ring that was written, thinned as it is put on; None where it is none."""
    ring = ring_told(text, own.made.bought_diameter_mm, unit)
    if ring is None:
        return None
    named = dash_number(text) is not None
    name = f"ring -{ring.name}" if named else f"ring, {ring.name} inside"
    on = _thinned_on(design, own.made.name, RING_MATERIAL, ring.section_mm)
    return BandAtHand(name, "ring", ring.slack_length_mm, ring.section_mm, on)


def _thinned_on(design: Design, band: str, material: str, section_mm: float) -> Fitted:
    """Return the wheel with a cord of a section as bought, thinned by its usual stretch."""
    made = build(with_cord(design, band, material, section_mm)).bands[band]
    thin = made.thinned_mm(section_mm, made.stretch.value)
    return Fitted.of(with_cord(design, band, material, thin), band)
