"""What ``wheelgeo bands`` says without a file: the band of an old wheel from a few measurements."""

from __future__ import annotations

import math
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from wheelgeo.immutable import dataclass
from wheelgeo_cli.common import console, grouped, length, print_assumed, print_json, save_new
from wheelgeo_cli.old_wheel_asked import asked, is_enough

if TYPE_CHECKING:
    from wheelgeo import OldWheelAnswer
    from wheelgeo.check.answer import BandAnswer
    from wheelgeo.shop.paper import Paper
    from wheelgeo.tune.old_wheel import IfRound
    from wheelgeo.tune.staying_on import StayingOn
    from wheelgeo_cli.terminal import Terminal

@dataclass(frozen=True)
class Files:
    """What to write: the wheel as a design file, its card, and the card's paper."""

    save: Path | None
    card: Path | None
    paper: str

    def checked_paper(self) -> Paper:
        """Return the paper; SearchError where it is none."""
        from wheelgeo.errors import SearchError

        if self.paper == "A4":
            return "A4"
        if self.paper == "Letter":
            return "Letter"
        raise SearchError(f'no paper is called "{self.paper}": A4 or Letter')


def say_old_wheel(
    file: Path | None,
    told: Mapping[str, str],
    crossed: bool,
    files: Files,
    have: str | None,
    as_json: bool,
) -> None:
    """Print the band of an old wheel, or save the wheel."""
    import wheelgeo
    from wheelgeo.errors import SearchError

    if file is not None:
        raise SearchError("give a design file, or the measurements of an old wheel, not both")
    # A service starts without any standard input: then there is nobody to ask.
    asks = sys.stdin is not None and sys.stdin.isatty()
    if not is_enough(told) and asks and not as_json:
        try:
            told, crossed = asked(told, crossed)
        except EOFError:  # Ctrl-D
            says = "the answers ended before all was told: nothing is worked out"
            raise SearchError(says) from None
    elif not any(told.values()):
        raise SearchError(
            "nothing to go by: give a design file, or --wheel, --whorl, --apart and --cord"
        )
    answer = wheelgeo.old_wheel(**told, crossed=crossed)
    if answer.answer.bands[0].length_mm is None:
        from wheelgeo.units.written import told_in

        inches = answer.wheel.design.unit == "in"
        why = next(f.says for f in answer.answer.findings if f.rule == "no-path")
        why = told_in("; ".join(why.split("; ")[:2]), "in/64" if inches else "mm")
        raise SearchError(f"no band fits what was measured: {why}; measure the distance once more")
    if files.save is not None:
        save_new(wheelgeo.read(_untrue(told) + answer.wheel.to_toml()), files.save)
    if files.card is not None:
        from wheelgeo.old_wheels import save_card

        save_card(answer, files.card, files.checked_paper())
    if have is not None:
        from wheelgeo_cli.bands_to_have import say_bands_to_have

        say_bands_to_have(answer.wheel, None, have, as_json)
        return
    if as_json:
        print_json(answer.to_json())
        return
    _print(answer, answer.wheel.design.unit)
    for what, path in (("wheel", files.save), ("card", files.card)):
        if path is not None:
            console().print(f"The {what} is written to {path}.")


def _untrue(told: Mapping[str, str]) -> str:
    """Return, as comments for a file, what was measured that no key of a design file holds."""
    named = {"least": "least diameter of the oval rim", "wobble": "the rim moves sideways in all",
             "eccentric": "the rim moves in and out in all"}  # fmt: skip
    lines = [f"# {what}: {told[key]}" for key, what in named.items() if told.get(key)]
    if not lines:
        return ""
    head = "# Measured too, over a turn; wheelgeo bands --wobble and its like tell what it does:"
    return "\n".join((head, *lines, "", ""))


def _print(answer: OldWheelAnswer, unit: str) -> None:
    from wheelgeo.design.joints import CLOSED_RING
    from wheelgeo_cli.bands import print_joints
    from wheelgeo_cli.bands_to_have import RINGS_KNOWN, what_to_take
    from wheelgeo_cli.solve import sureness, thinning

    out, told = console(), answer.answer
    (band,) = told.bands

    assert told.ratio is not None
    assert band.length_mm is not None
    if band.joint == CLOSED_RING:
        take = what_to_take(band, answer.wheel, unit)
        out.print(f"{take[0].upper()}{take[1:]}.", style="bold")
        out.labelled("  ", RINGS_KNOWN)
        joint = "along its centre-line; "
    else:
        out.print(f"Cut the cord {length(band.cut_with_joint_mm, unit)} long.", style="bold")
        takes = length(band.joint_mm, unit) if band.joint_mm else "nothing"
        joint = f"and {takes} for the joint; "
    out.labelled(
        "  ",
        f"That is {length(band.cut_length_mm, unit)} {joint}"
        f"in place the band is {length(band.length_mm, unit)} long.",
    )
    if told.ratio < 1.0:
        out.labelled("  ", "Mind: the whorl is larger than the wheel. Are the two exchanged?")
    if (thins := thinning(band)) is not None:
        out.labelled("  ", f"The cord counts as {thins}.")
    how_sure = sureness(band, unit) or "how sure this is cannot be told"
    out.labelled("  ", how_sure[0].upper() + how_sure[1:])
    half = "" if told.ratio_uncertainty is None else f" ± {told.ratio_uncertainty:.2f}"
    out.labelled("  ", f"Ratio: {told.ratio:.2f}{half} turns of the spindle per turn of the wheel.")
    if answer.measured.fits:
        shaft = told.design.shafts[1]
        off = told.design.uncertainties.get(f"shaft:{shaft.name}.at.x")
        sure = "" if off is None else f" ± {length(off, unit)}"
        out.labelled("  ", "By the band that fits, axle and spindle are "
                     f"{length(shaft.at_mm[0], unit)}{sure} apart.")  # fmt: skip
    if answer.if_round is not None:
        _print_if_round(out, answer.if_round, unit)
    _print_tying(out, band, unit)
    print_joints(out, band, answer.wheel, unit)
    if answer.staying_on is not None:
        _print_staying_on(out, answer.staying_on, band.length_mm, unit)
    for finding in told.findings:
        if finding.level != "note":
            out.labelled(f"  {finding.level.upper()} ", f"{finding.says}.")
    turns = grouped(told.ratio * 60.0)
    out.labelled(
        "  ",
        f"At 60 turns of the wheel a minute the spindle makes {turns}. Keep fingers, hair and "
        "sleeves away from band and spindle.",
    )
    print_assumed(out, (*answer.assumed, *band.assumed), "it was not measured")


def _print_if_round(out: Terminal, found: IfRound, unit: str) -> None:
    """Say what comes out if the grooves that nobody looked into are round."""
    if found.length_mm is None or found.ratio is None:
        out.labelled("  ", "Look into the grooves: if they are round and no vees, no band fits.")
        return
    until = ""
    if found.ratio_low is not None and found.ratio_high is not None:
        until = (
            f" Until somebody has looked, the ratio may be anything from {found.ratio_low:.1f} to "
            f"{found.ratio_high:.1f}."
        )
    out.labelled(
        "  ",
        "All that is for vees, the cord held between their sides. Look into the grooves: if they "
        "are round, or so worn that the cord lies on the bottom, cut "
        f"{length(found.cut_with_joint_mm, unit)} (in place {length(found.length_mm, unit)}), and "
        f"the ratio is {found.ratio:.2f}: say --groove-shape round.{until}",
    )


def _print_tying(out: Terminal, band: BandAnswer, unit: str) -> None:
    """Say where on the slide to tie the band."""
    slide = band.slide
    if slide is None:
        return
    text = "Tie it with the spindle where you measured, taken as the middle of its slide."
    if slide.path_at_from_mm is not None:
        short = slide.path_at_from_mm / (1.0 + band.stretch) + band.joint_mm
        text += (
            " To have the whole slide for growth, tie it with the spindle at the end next to the "
            f"wheel and cut {length(short, unit)}."
        )
    out.labelled("  ", text)


def _print_staying_on(out: Terminal, found: StayingOn, length_mm: float, unit: str) -> None:
    """Say what an untrue wheel does to its band over a turn, and how far to shim or tilt."""
    low, high = found.length_mm
    if high - low > 0.05:
        out.labelled(
            "  ",
            f"Over a turn the path changes by {length(high - low, unit)}, "
            f"{100 * (high - low) / length_mm:.1f} % of its length, and the pull with it.",
        )
    for pulley in found.pulleys:
        catches = (
            "the groove is not known, so that nobody can say whether that holds"
            if pulley.catches_deg is None
            else f"it catches {pulley.catches_deg:.1f}°: "
            + ("the band stays on" if pulley.holds else "the band is THROWN")
        )
        spinning, back = (
            f"{least:.1f} to {most:.1f}°"
            for least, most in (pulley.spinning_deg, pulley.backing_off_deg)
        )
        out.labelled(
            "  ",
            f"At the {pulley.pulley} the band arrives {spinning} off, turned back {back}; "
            f"{catches}.",
        )
    if found.wobble_deg:
        shim = 100.0 * math.tan(math.radians(found.wobble_deg))
        out.labelled(
            "  ",
            f"To true the wobble: the wheel leans {found.wobble_deg:.2f}° on its axle. Mark where "
            "the rim stands furthest to one side; there the hub's hole wants a shim on that side, "
            f"{shim:.1f} mm for every 100 mm of the hub's length.",
        )
    if found.aside_deg:
        tilt = 100.0 * math.tan(math.radians(abs(found.aside_deg)))
        way = "away from" if found.aside_deg > 0.0 else "towards"
        out.labelled(
            "  ",
            "To bring the whorl into the wheel's plane: slide it along the spindle, or move the "
            f"axle's bearing on the side of the spindle's tip {way} the spindle, {tilt:.1f} mm for "
            "every 100 mm between the axle's bearings.",
        )
    if found.left_out:
        out.labelled("  ", f"Left out: {found.left_out}.")
