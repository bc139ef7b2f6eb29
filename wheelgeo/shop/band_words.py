"""What is said of a band that is cut: how sure, how thick to buy, how it is joined, how it grows.

``said`` writes a length in mm for who reads it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from wheelgeo.check.answer_parts import BandAnswer
from wheelgeo.design.joints import CLOSED_RING, growth_of, joint_of, joints_of
from wheelgeo.design.model import Design
from wheelgeo.units.inches import in_inches_alike
from wheelgeo.units.quantity import INCHES
from wheelgeo.units.written import MM_PER_INCH, in_both

Said = Callable[[float], str]
_NOTHING_MM = 0.05
"""A part of what is unsure that is told as none: no tape shows it."""


def how_sure(band: BandAnswer, unit: str) -> str | None:
    """Say how sure a band's lengths are, its two parts told apart; None: nothing was measured.

    Args:
        band: the band.
        unit: of the wheel's file.
    """
    in_place, cut = band.length_uncertainty_mm, band.cut_length_uncertainty_mm
    if in_place is None and cut is None:
        return None

    two = () if stretch_known(band) else (band.from_measuring_mm, band.from_stretch_mm)
    halves = (cut, *two, in_place)
    inch = in_inches_alike(half for half in halves if half is not None)

    def known(mm: float | None) -> str:
        return "-" if mm is None else in_both(mm, unit, inch=inch)

    parts = (
        f"of that, from measuring ± {known(band.from_measuring_mm)}, from the cord's stretch ± "
        f"{known(band.from_stretch_mm)} (their squares add up)"
    )
    if stretch_known(band):
        parts = "all of it from measuring"
    return f"how sure (95 %): cut ± {known(cut)}; {parts}. In place ± {known(in_place)}."


def stretch_known(band: BandAnswer) -> bool:
    """Tell whether a band's stretch makes nothing unsure: a cord like it is known to fit."""
    return band.from_stretch_mm is not None and band.from_stretch_mm < _NOTHING_MM


def thinning(band: BandAnswer, unit: str) -> str | None:
    """Say how thick a cord to buy that thins as it is stretched; None where it hardly does.

    Args:
        band: the band.
        unit: of the wheel's file.
    """
    if band.solution is None:
        return None
    cord = band.solution.design.band(band.name)
    if band.bought_diameter_mm < 1.01 * cord.diameter_mm:
        return None
    return (
        f"{_thick(cord.diameter_mm, unit)} thick as it lies, stretched; buy {cord.material} "
        f"{_thick(band.bought_diameter_mm, unit)} thick"
    )


def _thick(mm: float, unit: str) -> str:
    """Return a cord's thickness: a 64th of an inch is too coarse for it."""
    return f"{mm / MM_PER_INCH:.3f} in ({mm:.2f} mm)" if unit in INCHES else f"{mm:.2f} mm"


def joint_and_growth(band: BandAnswer, design: Design, said: Said) -> Iterator[str]:
    """Say how a band is joined, what else would do, and how it grows.

    Args:
        band: the band.
        design: its wheel.
        said: writes a length.
    """
    from wheelgeo.built.as_built import build

    cord = design.band(band.name)
    chosen = joint_of(cord.material, cord.joined)
    others = [joint for joint in joints_of(cord.material) if joint != chosen]
    if chosen.name == CLOSED_RING:
        yield f"{chosen.made} {chosen.caution}"
    else:
        yield (
            f"Joint: {chosen.name}, takes {said(band.joint_mm)}, {100 * chosen.strength:.0f} % as "
            f"strong as plain cord. {chosen.made} {chosen.caution}"
        )
    if others:
        told = "; ".join(
            f"{j.name}: takes {said(mm) if mm else 'nothing'}, {100 * j.strength:.0f} %"
            for j in others for mm in (j.taken_mm(cord.diameter_mm),)
        )
        yield f"Or {told}."
    growth = growth_of(cord.material)
    if band.length_mm is None or band.cut_length_mm is None:
        return
    creep, season = (said(part * band.length_mm) for part in (growth.creep, growth.season))
    # It may grow until it hangs at the least right stretch at the far end.
    least = build(design).bands[band.name].least_stretch
    ends = (band.slide.path_at_from_mm, band.slide.path_at_to_mm) if band.slide else ()
    longest = max((end for end in ends if end), default=band.length_mm)
    room = longest / (band.cut_length_mm * (1.0 + least)) - 1.0
    takes = "Nothing slides"
    if band.slide is not None:
        more = said(longest - band.length_mm)
        takes = f"From here to the slide's far end it takes up {more}"
    later = "it will have to be shortened and joined anew"
    if chosen.name == CLOSED_RING:
        later = "a smaller ring will be needed"
    enough = "enough" if room >= growth.in_all else f"not enough, {later}"
    takes += f", and the stretch may fall to {100.0 * least:g} %: {enough}."
    air = f"{season} more with the seasons" if growth.season else "nothing with the seasons"
    yield (
        f"Growth: about {creep} in its first months, {air}; {growth.says} ({growth.source}). "
        f"{takes}"
    )
