"""``wheelgeo retune``: what to change for another yarn, and first whether anything must change."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from wheelgeo.units.quantity import INCHES
from wheelgeo_cli.arguments import Option
from wheelgeo_cli.common import (
    FileArgument,
    JsonOption,
    console,
    in_own_unit,
    load,
    number,
    own_length,
    print_cannot_run,
    print_comments,
    print_json,
    quoted,
    save_new,
    table,
)
from wheelgeo_cli.solve import driver

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wheelgeo import RetuneAnswer
    from wheelgeo.design.model import Design
    from wheelgeo.tune.as_it_is import ChangeAnswer
    from wheelgeo.tune.retune_answer import NewBandAnswer, OptionAnswer
    from wheelgeo_cli.terminal import ScreenTable, Terminal

Text = str | None
Names = list[str] | None
Write = tuple[int, Path] | None
Figure = float | None


def retune(
    file: FileArgument,
    count: Annotated[
        Text, Option(metavar="COUNT", help='New count, such as "80 Nm".')
    ] = None,
    twist: Annotated[Text, Option(metavar="S|Z", help="New direction of twist.")] = None,
    turns_per_metre: Annotated[
        Text, Option(metavar="TWIST", help='New twist, turns per metre, or "20 tpi", "8 tpcm".')
    ] = None,
    draw: Annotated[
        Text, Option(metavar="LENGTH", help='New draw, such as "700 mm".')
    ] = None,
    hand_speed: Annotated[Text, Option(metavar="SPEED", help='Such as "50 rpm".')] = None,
    ratio: Annotated[Figure, Option(help="New ratio, whatever else is asked for.")] = None,
    step: Annotated[
        Text,
        Option(
            metavar="SIZES",
            help='Sizes that can be made: a step such as "0.5 mm" or "1/32 in", or the sizes at '
            'hand with commas between them: "6 mm, 8 mm, 3/8 in". Left out: 0.5 mm, in a file '
            "in inches 1/32 in.",
        ),
    ] = None,
    only: Annotated[
        Names, Option(metavar="PULLEY", help="Change only this pulley; may be repeated.")
    ] = None,
    keep: Annotated[
        Names, Option(metavar="PULLEY", help="Leave this pulley; may be repeated.")
    ] = None,
    whorls: Annotated[
        Text,
        Option(
            metavar="RIMS",
            help='Whorls that can be had, by their rims: "10, 12, 16 mm". Only the spindle\'s '
            "pulleys change then, and to these.",
        ),
    ] = None,
    most: Annotated[int, Option(min=1, max=200, help="Options to show at most.")] = 20,
    write: Annotated[
        Write, Option(metavar="N FILE", help="Write option N, comments kept, to a new FILE.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """What to change for another count, twist, draw, hand speed or ratio.

    Said first: what the spinner can do without touching the wheel. Then bands laid on other steps
    that the wheel has, and the ways to change one part or two: sound ones, then those with
    warnings, then, under a line, what cannot be built so; each by the work of making its parts,
    bands to remake, and how near the twist comes. A brake or band is set for the new yarn where its
    pull asks for it. Unless asked otherwise, the time of a draw is kept; a new count keeps the
    twist factor.
    """
    wheel = load(file)
    answer = wheel.retune(
        count=count, twist=twist, turns_per_metre=turns_per_metre, draw=draw,
        hand_speed=hand_speed, ratio=ratio, step=step, only=only or (), keep=keep or (),
        whorls=whorls, most=most,
    )  # fmt: skip
    comments = "" if write is None else save_new(answer.option(write[0]).wheel, write[1])
    if as_json:
        print_json(answer.to_json())
        return
    out, drive, unit = console(), wheel.design.drive, wheel.design.unit
    out.print(wheel.title, style="bold")
    print_cannot_run(out, answer)
    _print_need(out, answer)
    _print_without_change(out, answer, drive.by, unit)
    if (nearest := answer.nearest_step) is not None:
        out.labelled("  ", in_own_unit(f"Or {answer.step_in_words()}.", unit))
        if nearest.warnings:
            out.print(f"  It then warns of: {', '.join(nearest.warnings)}.")
    _print_options(out, answer, wheel.design, told_too="in" in (step or ""))
    _print_see_to(out, answer, unit)
    if write is not None:
        out.print(f"\nOption {write[0]} written to {write[1]}.")
        print_comments(out, comments)
        if faults := answer.option(write[0]).faults:
            out.print(
                f"It has faults: {', '.join(faults)}. Before you build it, "
                f"`wheelgeo check {quoted(write[1])}` says how to mend them."
            )


def _print_need(out: Terminal, answer: RetuneAnswer) -> None:
    from wheelgeo.tune.retune_answer import turns_in_words

    twist = "" if answer.twist_follows else turns_in_words(answer.turns_per_metre_wanted)
    wanted = f" for {twist} turns per metre" if twist else ""
    if answer.ratio_asked:
        wanted = f", with {twist} turns per metre" if twist else ""
    word = "wanted" if answer.ratio_asked else "needed"
    today = f"today {answer.ratio_now:.2f}{', if it ran' if answer.cannot_run else ''}"
    if answer.yarn_wanted:
        out.labelled("  Yarn: ", f"{answer.yarn_wanted}.")
    follows = answer.twist_in_words("per metre")
    tail = f". {follows}" if follows else ""
    out.labelled("  ", f"Ratio {word}{wanted}: {answer.ratio_needed:.2f} ({today}){tail}")


def _print_without_change(out: Terminal, answer: RetuneAnswer, by: str, unit: str) -> None:
    turned, way = driver(by), answer.without_change
    head = "You need not change the wheel" if way.enough else "Without changing the wheel"
    if answer.cannot_run:
        head = "Without changing it, if it ran"
    other = f"turn the {turned} the other way, and " if way.turn_the_other_way else ""
    out.labelled("  ", f"{head}: {other}{way.ways_in_words()}.")
    if way.drive_turns_per_draw is not None and way.draw_seconds is not None:
        slow = number(way.draw_seconds, 1, " s")
        times_told = f"{slow} at the same speed as now"
        if way.kept_up and not way.as_now:
            times_told = f"{number(way.turning_seconds, 1, ' s')} at that speed, {times_told}"
        turns = f"{way.drive_turns_per_draw:.2f} turns of the {turned}"
        out.labelled("  ", f"A draw takes {turns}, drafting alone: {times_told}.")
    told = [("the same speed", way.same_speed_faults, way.same_speed_warnings)]
    if way.kept_up and not way.as_now:
        told.insert(0, (way.hand_speed_in_words(), way.faults, way.warnings))
    if sets := way.settings_in_words():
        out.labelled("  ", in_own_unit(f"For its pull on the yarn {sets}.", unit))
    for speed, faults, warnings in told:
        if faults:
            out.print(f"  At {speed} the wheel has faults: {', '.join(faults)}.")
        if warnings:
            out.print(f"  At {speed} it warns of: {', '.join(warnings)}.")
    for finding in way.findings:
        if finding.rule == "too-few-fibres":
            says = in_own_unit(finding.says, unit)
            out.labelled("  ", f"{says[0].upper()}{says[1:]}.")
            break


def _print_options(out: Terminal, answer: RetuneAnswer, design: Design, told_too: bool) -> None:
    """Print the ways; ``told_too``: inches beside millimetres, the sizes at hand being so."""
    if not answer.options:
        if answer.without_change.enough:
            return
        out.print(
            "\nNo one or two parts of sizes that can be made bring the twist within its limit."
        )
        return
    numbered = list(enumerate(answer.options, start=1))
    sound = [one for one in numbered if not one[1].faults]
    if sound:
        out.print()
        out.print(_rows(answer, sound, design, told_too))
    shown = [one for one in numbered if one[1].faults and not answer.pathless(one[1])]
    if shown:
        head = "Cannot be built so" if sound else "None is without a fault"
        out.print(
            f"\n{head}. Write one (--write N FILE), and wheelgeo check FILE says how to mend it:\n"
        )
        out.print(_rows(answer, shown, design, told_too))
    if left := [(n, o) for n, o in numbered if answer.pathless(o)]:
        told = "; ".join(f"No. {n}, {', '.join(_words(c, design, told_too) for c in o.changes)}"
                         for n, o in left)
        out.labelled("  ", f"With these a band has no path: {told}.")
    out.print(
        "  Off: how much less or more than wanted ratio and twist then are. "
        "Work: of making the parts (common practice, no source). A new band: the length to cut, "
        "joint included. A kept one is told where its pull at rest changes by more than a fifth."
    )
    if answer.keeps_twist:
        out.print(
            "  Twist/m: of the same draft with each; one that is written keeps the twist asked for."
        )


def _print_see_to(out: Terminal, answer: RetuneAnswer, unit: str) -> None:
    """Say what each code means, by what it says of the first way that has it."""
    told: dict[str, str] = {}
    as_it_is = answer.without_change
    named = {
        *as_it_is.faults, *as_it_is.warnings, *as_it_is.same_speed_faults,
        *as_it_is.same_speed_warnings,
    }  # fmt: skip
    for finding in as_it_is.findings:
        if finding.rule in named - {"cadence", "too-few-fibres"}:
            told.setdefault(finding.rule, f"as it is: {finding.says}.")
    step = answer.nearest_step
    for finding in () if step is None else step.findings:
        if finding.level != "note":
            told.setdefault(finding.rule, f"on that step: {finding.says}.")
    for place, option in enumerate(answer.options, start=1):
        for finding in () if answer.pathless(option) else option.findings:
            if finding.level != "note":
                told.setdefault(finding.rule, f"No. {place}: {finding.says}.")
    if told:
        out.print("\nSee to:")
    for rule, says in told.items():
        out.labelled(f"  {rule}, ", in_own_unit(says, unit))


def _rows(
    answer: RetuneAnswer, options: Sequence[tuple[int, OptionAnswer]], design: Design,
    told_too: bool,
) -> ScreenTable:
    """Return a table of options, each with its number."""
    from wheelgeo.tune.labour import work_in_words

    rows = table("No.", "change", ">work", ">ratio", ">twist/m", ">off", "bands", "see to")
    for index, option in options:
        told = (*option.changes, *option.settings, *([option.lead] if option.lead else []))
        changes = [_words(c, design, told_too) for c in told]
        bands = [_band(b, "in" if told_too else design.unit) for b in option.bands]
        rows.add_row(
            str(index), "\n".join(changes), work_in_words(option.labour_hours) or "-",
            f"{option.ratio:.2f}", number(option.turns_per_metre, 0),
            answer.nearness_in_words(option) or "none",
            "\n".join(filter(None, bands)) or "all kept",
            "\n".join((*option.faults, *option.warnings)) or "nothing",
        )  # fmt: skip
    return rows


def _band(band: NewBandAnswer, unit: str) -> str:
    """Return what becomes of a band, in words; empty for one that stays as it is."""
    cut_mm = band.cut_with_joint_mm
    if cut_mm is None:
        return f"{band.name}: has no path"
    if band.remade:
        cut, reel = (
            own_length(mm, unit) for mm in (cut_mm, band.off_reel_mm or cut_mm)
        )
        return f"{band.name}: new, {cut}" + (f", {reel} off the reel" if reel != cut else "")
    return f"{band.name}: {band.pull_in_words()}" if band.pull_in_words() else ""


def _words(change: ChangeAnswer, design: Design, told_too: bool) -> str:
    """Return a change in words, lengths in the file's unit; a brake in grams too.

    Of a file in millimetres a length is told in inches as well where the sizes at hand are so.
    """
    from wheelgeo.check.finding import pull_in_words
    from wheelgeo.design.side_words import drive_seen_from
    from wheelgeo.units import in_inches
    from wheelgeo.units.written import thousands_apart, turned_length

    part, _, field = change.what.rpartition(".")
    unit = design.unit
    if field == "route":
        return f'{part}: over from "{change.from_}" to "{change.to}"'
    if isinstance(change.from_, str) or isinstance(change.to, str):
        seen = f", {drive_seen_from(design)}" if change.what == "drive.turns" else ""
        return f"{change.what}: {change.from_} to {change.to}{seen}"
    if change.unit == "N":
        return f"{change.what}: {change.from_:g} to {pull_in_words(change.to)}"
    if change.unit == "mm" and unit in INCHES:
        told = in_inches if field in _SET else turned_length("in/64")
        return f"{change.what}: {told(change.from_)} to {told(change.to)}"
    text = thousands_apart(f"{change.what}: {change.from_:g} to {change.to:g} {change.unit}")
    too = told_too and change.unit == "mm"
    return f"{text} ({turned_length('in/64')(change.to)})" if too else text


_SET = ("travel", "empty")
"""What a hand sets by a tape; all other lengths are turned."""
