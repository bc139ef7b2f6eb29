"""What ``wheelgeo bands`` says without a file: the band of an old wheel from a few measurements."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from wheelgeo.immutable import dataclass
from wheelgeo_cli.common import console, length, print_assumed, print_json, save_new
from wheelgeo_cli.old_wheel_asked import asked, is_enough

if TYPE_CHECKING:
    from wheelgeo import OldWheelAnswer
    from wheelgeo.shop.old_wheel_told import OldWheelTold
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
        answer = _reckoned_as_typed(told, crossed)
    from wheelgeo.tune.old_wheel_file import not_in_file
    from wheelgeo_cli.bands_to_have import at_hand

    # Before anything is written: what is at hand may be told wrongly.
    found = None if have is None else at_hand(answer.wheel, None, have)
    _write(answer, files)
    if as_json:
        print_json((answer if found is None else found).to_json())
        return
    _print(answer, answer.wheel.design.unit, found)
    if files.save is not None and (unkept := not_in_file(answer.measured)):
        console().labelled("", unkept)
    for what, path in (("wheel", files.save), ("card", files.card)):
        if path is not None:
            console().print(f"The {what} is written to {path}.")


def _write(answer: OldWheelAnswer, files: Files) -> None:
    """Write the design file and the card, where they are wanted."""
    from wheelgeo.old_wheels import as_file

    if files.save is not None:
        save_new(as_file(answer), files.save)
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


def _reckoned_as_typed(told: Mapping[str, str], crossed: bool) -> OldWheelAnswer:
    """Return the band of an old wheel; what has no unit is refused with what to type instead."""
    from wheelgeo.errors import DesignError, Fault

    try:
        return _reckoned(told, crossed)
    except DesignError as error:
        bare = {} if told.get("unit") else _without_unit(told)
        if not bare:
            raise
        others = tuple(fault for fault in error.faults if fault.place not in bare)
        *first, last = (f"{name} {text}" for name, text in bare.items())
        named = f"{', '.join(first)} and {last} have" if first else f"{last} has"
        # What was typed, for the one who has it on the screen and not in mind; nobody guesses a
        # unit from the size of a number.
        typed = shlex.join(["wheelgeo", *sys.argv[1:]])
        says = f"{named} no unit. Once more, in inches:\n    {typed} --unit in"
        says += f"\n  or in millimetres:\n    {typed} --unit mm"
        raise DesignError((*others, Fault("", says)), error.source) from error


def _without_unit(told: Mapping[str, str]) -> dict[str, str]:
    """Return what lacks nothing but a unit, as typed, by the name of its option."""
    from wheelgeo.old_wheels import measurement_faults

    return {
        key.replace("_", "-"): text
        for key, text in told.items()
        if text and measurement_faults(key, text) and not measurement_faults(key, text, "mm")
    }


def _reckoned(told: Mapping[str, str], crossed: bool) -> OldWheelAnswer:
    """Return the band of an old wheel; an error where there is none."""
    import wheelgeo
    from wheelgeo.old_wheels import refuse_without_band

    answer = wheelgeo.old_wheel(**told, crossed=crossed)
    refuse_without_band(answer, lambda mm: length(mm, answer.wheel.design.unit))
    return answer


def _print(answer: OldWheelAnswer, unit: str, at_hand: BandsToHaveAnswer | None) -> None:
    """Say all of a wheel's band; beside bands at hand what to cut, and what is wrong."""
    from wheelgeo.shop.old_wheel_told import old_wheel_told

    out, told = console(), old_wheel_told(answer, lambda mm: length(mm, unit))
    for text in told.mind:
        out.labelled("", text)
    if told.doubted:  # before a cord is cut by it
        _print_wrong(out, told, "")
    out.print(told.take, style="bold")
    for text in told.cut:
        out.labelled("  ", text)
    if at_hand is not None:
        from wheelgeo_cli.bands_to_have import print_bands_to_have

        print_bands_to_have(answer.wheel, at_hand)
    else:
        for text in told.then:
            out.labelled("  ", text)
    if not told.doubted:
        _print_wrong(out, told, "  ")
    if at_hand is None:
        out.labelled("  ", told.last)
        print_assumed(out, told.assumed, "it was not measured")


def _print_wrong(out: Terminal, told: OldWheelTold, indent: str) -> None:
    for level, text in told.wrong:
        out.labelled(f"{indent}{level.upper()} ", text)
