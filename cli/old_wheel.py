"""What ``wheelgeo bands`` says without a file: the band of an old wheel from a few measurements."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from wheelgeo.immutable import dataclass
from wheelgeo_cli.common import console, grouped, length, print_assumed, print_json, save_new
from wheelgeo_cli.old_wheel_asked import asked, is_enough

if TYPE_CHECKING:
    from wheelgeo import OldWheelAnswer
    from wheelgeo.shop.paper import Paper
    from wheelgeo.tune.bands_to_have import BandsToHaveAnswer
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
    from wheelgeo.errors import SearchError

    if file is not None:
        raise SearchError("give a design file, or the measurements of an old wheel, not both")
    # A service starts without any standard input: then there is nobody to ask.
    asks = sys.stdin is not None and sys.stdin.isatty()
    if not is_enough(told) and asks and not as_json:
        told, answer = _asked(told, crossed)
    elif not any(told.values()):
        raise SearchError(
            "nothing to go by: give a design file, or --wheel, --whorl, --apart and --cord"
        )
    else:
        answer = _reckoned(told, crossed)
    from wheelgeo_cli.bands_to_have import at_hand

    # Before anything is written: what is at hand may be told wrongly.
    found = None if have is None else at_hand(answer.wheel, None, have)
    _write(answer, told, files)
    if as_json:
        print_json((answer if found is None else found).to_json())
        return
    _print(answer, answer.wheel.design.unit, found)
    for what, path in (("wheel", files.save), ("card", files.card)):
        if path is not None:
            console().print(f"The {what} is written to {path}.")


def _write(answer: OldWheelAnswer, told: Mapping[str, str], files: Files) -> None:
    """Write the design file and the card, where they are wanted."""
    import wheelgeo

    if files.save is not None:
        text = _untrue(told) + _derived(told) + _assumed(answer) + answer.wheel.to_toml()
        save_new(wheelgeo.read(text), files.save)
    if files.card is not None:
        from wheelgeo.old_wheels import save_card

        save_card(answer, files.card, files.checked_paper())


def _asked(told: Mapping[str, str], crossed: bool) -> tuple[Mapping[str, str], OldWheelAnswer]:
    """Ask until the answers make a wheel with a band; return them, and what they make."""
    from wheelgeo.errors import DesignError, SearchError

    given: Mapping[str, str] = told
    kept: Mapping[str, str] = {}
    try:
        while True:
            told, crosses = asked(given, crossed, kept)
            try:
                return told, _reckoned(told, crosses)
            except DesignError as error:
                wrong = [str(fault) for fault in error.faults]
            for text in wrong:
                console().labelled("  ", f"{text}.")
            # All is asked once more, what was given with the command too: any of it may be wrong.
            given, crossed, kept = {}, False, {**told, "crossed": "y" if crosses else "n"}
    except EOFError:  # Ctrl-D
        says = "the answers ended before all was told: nothing is worked out"
        raise SearchError(says) from None


def _reckoned(told: Mapping[str, str], crossed: bool) -> OldWheelAnswer:
    """Return the band of an old wheel; an error where there is none."""
    import wheelgeo
    from wheelgeo.old_wheels import refuse_without_band

    answer = wheelgeo.old_wheel(**told, crossed=crossed)
    refuse_without_band(answer, lambda mm: length(mm, answer.wheel.design.unit))
    return answer


def _in_both(text: str, unit: str) -> str:
    """Return a sentence with its lengths in mm and in the fractions of a rule."""
    from wheelgeo.shop.old_wheel_words import as_said

    return as_said(text, lambda mm: length(mm, unit))


def _untrue(told: Mapping[str, str]) -> str:
    """Return, as comments for a file, what was measured that no key of a design file holds."""
    named = {"least": "least diameter of the oval rim", "wobble": "the rim moves sideways in all",
             "eccentric": "the rim moves in and out in all"}  # fmt: skip
    lines = [f"# {what}: {told[key]}" for key, what in named.items() if told.get(key)]
    if not lines:
        return ""
    head = "# Measured too, over a turn; wheelgeo bands --wobble and its like tell what it does:"
    return "\n".join((head, *lines, "", ""))


def _derived(told: Mapping[str, str]) -> str:
    """Return, as comments for a file, where a distance comes from that was not measured itself."""
    if text := told.get("fits"):
        lines = (
            f"# The distance of the axes is reckoned from a band that fits, {text}. While that",
            "# stands below under measured, it ties the distance to rims and stretch, and the",
            "# distance's own +- says only that nobody measured it: measure it, write it there.",
        )
    elif text := told.get("edge_to_edge"):
        lines = (
            f"# The distance of the axes is reckoned from the near edges of the rims, {text}.",
            "# Its +- hangs on the rims'; a file takes each as measured by itself, so that its",
            "# commands tell more or less +- than wheelgeo bands did.",
        )
    else:
        return ""
    return "\n".join((*lines, "", ""))


def _assumed(answer: OldWheelAnswer) -> str:
    """Return, as comments for a file, what was taken because it was not measured."""
    assumed = (*answer.assumed, *answer.answer.bands[0].assumed, *answer.assumed_in_file)
    lines = [f"# {a.what}: {a.taken} ({a.source})" for a in assumed]
    return "\n".join(("# Assumed, because it was not measured:", *lines, "", ""))


def _print_lengths(out: Terminal, answer: OldWheelAnswer, said: Callable[[float], str]) -> None:
    """Say what to cut, or which ring to take, and how long the band is in place."""
    from wheelgeo.design.joints import CLOSED_RING
    from wheelgeo.shop import old_wheel_words as words

    told, (band,) = answer.answer, answer.answer.bands
    assert band.cut_length_mm is not None
    assert band.length_mm is not None
    take, marks = words.to_take(band, told.design, said), ""
    if band.joint == CLOSED_RING:
        out.print(f"{take[0].upper()}{take[1:]}.", style="bold")
        out.labelled("  ", words.RINGS_KNOWN)
        joint = "along its centre-line; "
    else:
        assert band.cut_with_joint_mm is not None
        kind = words.joint_in(told.design, band.name)
        more = band.to_tie_by(said)
        out.print(f"Cut the cord {said(band.cut_with_joint_mm)} long{more}.", style="bold")
        takes = said(band.joint_mm) if band.joint_mm else "nothing"
        joint = f"and {takes} for the joint; "
        marks = words.marking(band, kind, said)
    out.labelled(
        "  ",
        f"That is {said(band.cut_length_mm)} {joint}"
        f"in place the band is {said(band.length_mm)} long. {marks}".rstrip(),
    )


def _print_cut(out: Terminal, answer: OldWheelAnswer, unit: str) -> None:
    """Say what to cut or take, what to mind of that, and how sure it is."""
    from wheelgeo.shop.old_wheel_oddities import mind
    from wheelgeo_cli.solve import sureness, thinning

    def said(mm: float) -> str:
        return length(mm, unit)

    (band,) = answer.answer.bands
    _print_lengths(out, answer, said)
    for text in mind(answer, said):
        out.labelled("  ", text)
    if (thins := thinning(band, unit)) is not None:
        out.labelled("  ", f"The cord counts as {thins}.")
    if not answer.too_unsure:  # else it is told what to measure again
        how_sure = sureness(band, unit) or "how sure this is cannot be told"
        out.labelled("  ", how_sure[0].upper() + how_sure[1:])


def _print_findings(out: Terminal, answer: OldWheelAnswer, unit: str) -> None:
    """Say what is wrong with the wheel as it was measured, and what a mouth may be."""
    from wheelgeo.tune.old_wheel_likely import UNLIKELY

    for finding in answer.answer.findings:
        if finding.rule == UNLIKELY:  # it is minded already
            continue
        if finding.level != "note" or finding.rule.startswith(("mouth-", "distances-")):
            out.labelled(f"  {finding.level.upper()} ", f"{_in_both(finding.says, unit)}.")


def _print(answer: OldWheelAnswer, unit: str, at_hand: BandsToHaveAnswer | None) -> None:
    """Say all of a wheel's band; beside bands at hand what to cut, and what is wrong."""
    from wheelgeo.shop import old_wheel_words as words
    from wheelgeo_cli.bands import print_joints

    def said(mm: float) -> str:
        return length(mm, unit)

    out, told = console(), answer.answer
    (band,) = told.bands

    assert told.ratio is not None
    assert band.length_mm is not None
    _print_cut(out, answer, unit)
    if at_hand is not None:
        from wheelgeo_cli.bands_to_have import print_bands_to_have

        print_bands_to_have(answer.wheel, at_hand)
        _print_findings(out, answer, unit)
        return
    if band.from_stretch_mm and not answer.too_unsure:
        out.labelled("  ", words.what_endangers_the_fit(told.design))
    for text in words.of_the_wheel(answer, said):
        out.labelled("  ", text)
    print_joints(out, band, answer.wheel, unit)
    if answer.staying_on is not None:
        for text in words.staying_on_words(answer.staying_on, band.length_mm, said, unit):
            out.labelled("  ", text)
    _print_findings(out, answer, unit)
    turns = grouped(told.ratio * 60.0)
    spindle = told.design.shafts[1].name
    out.labelled(
        "  ",
        f"At 60 turns of the wheel a minute the {spindle} makes {turns}. Keep fingers, hair and "
        "sleeves away from band and spindle.",
    )
    assumed = (*answer.assumed, *band.assumed)
    if unit == "in":  # who measures in inches is told in inches
        assumed = tuple(replace(a, taken=_in_both(a.taken, unit)) for a in assumed)
    print_assumed(out, assumed, "it was not measured")
