"""What ``wheelgeo bands FILE --have`` prints: which of the bands at hand will do, and where."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wheelgeo.units import in_inches
from wheelgeo.units.quantity import INCHES
from wheelgeo_cli.common import console, length, table

if TYPE_CHECKING:
    from wheelgeo.design.joints import Joint
    from wheelgeo.tune.bands_to_have import BandsToHaveAnswer, BandToHave, OnSlide
    from wheelgeo.wheel import Wheel


def at_hand(wheel: Wheel, band: str | None, have: str) -> BandsToHaveAnswer:
    """Return what each of the bands at hand does on a wheel."""
    from wheelgeo.errors import SearchError

    names = [b.name for b in wheel.design.bands]
    if band is None and len(names) > 1:
        listed = ", ".join(f'"{name}"' for name in names)
        raise SearchError(f"the wheel has several bands: say which with --band ({listed})")
    return wheel.bands_to_have(band or names[0], have)


def print_bands_to_have(wheel: Wheel, answer: BandsToHaveAnswer) -> None:
    """Print what each of the bands at hand does on a wheel."""
    from wheelgeo.shop.old_wheel_words import RINGS_KNOWN, bored_size, joint_in, to_take

    def said(mm: float) -> str:
        return length(mm, unit)

    out, unit = console(), wheel.design.unit
    out.print(f"{wheel.title}: {answer.band}", style="bold")
    rows = table("Band", "taken as", ">stretch", ">pull, N", ">tie it", ">room", "verdict")
    (made,) = (b for b in wheel.solve().bands if b.name == answer.band)
    joint = joint_in(wheel.design, answer.band)
    tied = f", {length(joint.spare_mm, unit)} at each end to tie by" if joint.spare_mm else ""
    takes = f"cord to join, {length(made.joint_mm, unit)} of it in the joint{tied}"
    taken = {"cord": takes, "loop": "loop, once round", "ring": "ring", "reel": "off the reel"}
    for one in answer.bands:
        what = taken[one.taken_as]
        if one.taken_as == "ring" and one.slack_length_mm is not None:
            inside = one.slack_length_mm / math.pi - one.section_mm
            what = f"ring {bored_size((inside, one.section_mm), unit)}"
        rows.add_row(
            one.name, what, _range(one, "stretch"), _range(one, "pull"),
            _tie(one, unit),
            "-" if one.room_left is None else f"{100 * one.room_left:.1f} %",
            _says(one, unit, joint),
        )  # fmt: skip
    out.print(rows)
    usual = {b.material: f"{100 * b.stretch_from:g} to {100 * b.stretch_to:g} %"
             for b in answer.bands}  # fmt: skip
    right = "; ".join(f"{material} by {stretch}" for material, stretch in usual.items())
    says = f"Right stretch: {right} ({answer.stretch_source})."
    if answer.slide is not None:
        says += (
            " Stretch and pull are at the two ends of the slide; tie it where the slide stands "
            "between these places, nearer to the band's other pulley or farther from it than it "
            "stands, as measured or in the file."
        )
    says += " Room: how much the band may still grow."
    if any(one.taken_as == "cord" for one in answer.bands):
        says += ' A band that is joined already is told as a loop: "76 in loop".'
    out.labelled("  ", says)
    if not any(one.fits for one in answer.bands):
        material = wheel.design.band(made.name).material
        out.labelled("  ", f"None of these fits. Of the {material} that it is made for, "
                     f"{to_take(made, wheel.design, said)}.")  # fmt: skip
    if any(one.taken_as == "ring" for one in answer.bands):
        out.labelled("  ", RINGS_KNOWN)
    from wheelgeo.design.joints import growth_of

    grows = "; ".join(f"{m} by about {100 * growth_of(m).in_all:g} %" for m in usual)
    out.print(
        f"  Growth in the first year: {grows} (common practice, no source): leave that much room."
    )


def _says(one: BandToHave, unit: str, joint: Joint) -> str:
    """Return the verdict, and what to cut; ``joint``: of the wheel's own cord."""
    says = one.says
    if one.cut_with_joint_mm is not None:
        says = f"cut {length(one.cut_with_joint_mm, unit)}, joint included: {says}"
    if one.cut_for_room_mm is not None:
        near = "" if one.at_from == one.at_to else " and tie it at the slide's near end"
        more = "" if one.taken_as == "reel" else joint.to_tie_by(
            one.cut_for_room_mm, lambda mm: length(mm, unit)
        )
        says += f", or cut {length(one.cut_for_room_mm, unit)} now, joint included{more},{near}"
    return says.rstrip(",")


def _range(one: BandToHave, what: str) -> str:
    ends = [_figure(at, what) for at in (one.at_from, one.at_to) if at is not None]
    return " to ".join(dict.fromkeys(ends)) or "-"


def _figure(at: OnSlide, what: str) -> str:
    return f"{100 * at.stretch:.1f} %" if what == "stretch" else f"{at.pull_n:.1f}"


def _tie(one: BandToHave, unit: str) -> str:
    """Return between which places of the slide to tie it, nearer to the wheel and farther."""
    if one.tie_from_mm is None or one.tie_to_mm is None:
        return "-"
    if one.at_from == one.at_to:
        return "as it stands"
    # Which way the travel is counted is the file's affair; a longer path is farther away.
    rising = one.at_from is None or one.at_to is None or one.at_to.stretch >= one.at_from.stretch
    near, far = (one.tie_from_mm, one.tie_to_mm) if rising else (-one.tie_to_mm, -one.tie_from_mm)
    return f"{_place(near, unit)} to {_place(far, unit)}"


def _place(farther_mm: float, unit: str) -> str:
    """Return a place of the slide against where it was measured."""
    size = abs(farther_mm)
    said = in_inches(size) if unit in INCHES else f"{size:.1f} mm"
    if said in ("0 in", "0.0 mm"):
        return "as it stands"
    return f"{said} {'farther' if farther_mm > 0.0 else 'nearer'}"
