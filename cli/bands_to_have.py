"""What ``wheelgeo bands FILE --have`` prints: which of the bands at hand will do, and where."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wheelgeo_cli.common import console, length, own_length, table

if TYPE_CHECKING:
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
    from wheelgeo.shop.bands_to_have_words import tie_it, told_below, verdict
    from wheelgeo.shop.old_wheel_words import bored_size, joint_in

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
            tie_it(one, lambda mm: own_length(mm, unit)) or "-",
            "-" if one.room_left is None else f"{100 * one.room_left:.1f} %",
            verdict(one, joint, said),
        )  # fmt: skip
    out.print(rows)
    for line in told_below(answer, made, wheel.design, said):
        out.labelled("  ", line)


def _range(one: BandToHave, what: str) -> str:
    ends = [_figure(at, what) for at in (one.at_from, one.at_to) if at is not None]
    return " to ".join(dict.fromkeys(ends)) or "-"


def _figure(at: OnSlide, what: str) -> str:
    return f"{100 * at.stretch:.1f} %" if what == "stretch" else f"{at.pull_n:.1f}"
