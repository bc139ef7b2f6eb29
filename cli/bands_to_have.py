"""What ``wheelgeo bands FILE --have`` prints: which of the bands at hand will do, and where."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wheelgeo.units import format_inches
from wheelgeo_cli.common import INCHES, console, length, print_json, table

if TYPE_CHECKING:
    from wheelgeo.tune.bands_to_have import BandToHave, OnSlide
    from wheelgeo.wheel import Wheel


def say_bands_to_have(wheel: Wheel, band: str | None, have: str, as_json: bool) -> None:
    """Print what each of the bands at hand does on a wheel."""
    from wheelgeo.errors import SearchError

    names = [b.name for b in wheel.design.bands]
    if band is None and len(names) > 1:
        listed = ", ".join(f'"{name}"' for name in names)
        raise SearchError(f"the wheel has several bands: say which with --band ({listed})")
    answer = wheel.bands_to_have(band or names[0], have)
    if as_json:
        print_json(answer.to_json())
        return
    out, unit = console(), wheel.design.unit
    out.print(f"{wheel.title}: {answer.band}", style="bold")
    rows = table("Band", ">stretch", ">pull, N", ">tie it at", ">room", "verdict")
    for one in answer.bands:
        says = one.says
        if one.cut_with_joint_mm is not None:
            says += f": cut {length(one.cut_with_joint_mm, unit)}, joint included"
        rows.add_row(
            one.name, _range(one, "stretch"), _range(one, "pull"), _tie(one, unit),
            "-" if one.room_left is None else f"{100 * one.room_left:.1f} %", says,
        )  # fmt: skip
    out.print(rows)
    usual = {b.material: f"{100 * b.stretch_from:g} to {100 * b.stretch_to:g} %"
             for b in answer.bands}  # fmt: skip
    right = "; ".join(f"{material} by {stretch}" for material, stretch in usual.items())
    out.print(
        f"  Right stretch: {right} ({answer.stretch_source}). Stretch and pull are at the two ends "
        "of the slide; tie it where the slide stands at these places, counted as the file counts "
        "them. Room: how much the band may still grow."
    )
    if not any(one.fits for one in answer.bands):
        (own,) = (b for b in wheel.solve().bands if b.name == answer.band)
        out.print(
            f"  None of these fits. Of the {wheel.design.band(own.name).material} that it is made "
            f"for, cut {length(own.cut_with_joint_mm, unit)}, joint included."
        )
    from wheelgeo.design.joints import growth_of

    grows = "; ".join(f"{m} by about {100 * growth_of(m).in_all:g} %" for m in usual)
    out.print(
        f"  Growth in the first year: {grows} (common practice, no source): leave that much room."
    )


def _range(one: BandToHave, what: str) -> str:
    ends = [_figure(at, what) for at in (one.at_from, one.at_to) if at is not None]
    return " to ".join(dict.fromkeys(ends)) or "-"


def _figure(at: OnSlide, what: str) -> str:
    return f"{100 * at.stretch:.1f} %" if what == "stretch" else f"{at.pull_n:.1f}"


def _tie(one: BandToHave, unit: str) -> str:
    if one.tie_from_mm is None or one.tie_to_mm is None:
        return "-"
    if one.tie_from_mm == one.tie_to_mm:
        return "anywhere"
    if unit in INCHES:
        return f"{format_inches(one.tie_from_mm)} to {format_inches(one.tie_to_mm)}"
    return f"{one.tie_from_mm:.1f} to {one.tie_to_mm:.1f} mm"
