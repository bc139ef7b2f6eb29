"""``wheelgeo retune``: what to change for another yarn, and first whether anything must change."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Optional

import typer

from wheelgeo_cli.common import (
    INCHES,
    FileArgument,
    JsonOption,
    console,
    grouped,
    length,
    load,
    number,
    print_json,
    quoted,
    save_new,
    table,
)
from wheelgeo_cli.solve import driver

if TYPE_CHECKING:
    from wheelgeo import RetuneAnswer
    from wheelgeo.tune.retune_answer import ChangeAnswer, NewBandAnswer, WithoutChangeAnswer
    from wheelgeo_cli.terminal import Terminal

Text = Optional[str]  # noqa: UP045 - typer reads the annotation when the program runs
Names = Optional[list[str]]  # noqa: UP045
Write = Optional[tuple[int, Path]]  # noqa: UP045
Figure = Optional[float]  # noqa: UP045


def retune(
    file: FileArgument,
    count: Annotated[
        Text, typer.Option(metavar="COUNT", help='New count, such as "80 Nm".')
    ] = None,
    twist: Annotated[Text, typer.Option(metavar="S|Z", help="New direction of twist.")] = None,
    turns_per_metre: Annotated[Figure, typer.Option(help="New twist, turns per metre.")] = None,
    draw: Annotated[
        Text, typer.Option(metavar="LENGTH", help='New draw, such as "700 mm".')
    ] = None,
    hand_speed: Annotated[Text, typer.Option(metavar="SPEED", help='Such as "50 rpm".')] = None,
    ratio: Annotated[Figure, typer.Option(help="New ratio, whatever else is asked for.")] = None,
    step: Annotated[
        str,
        typer.Option(
            metavar="SIZES",
            help='Sizes that can be made: a step such as "0.5 mm" or "1/32 in", or the sizes at '
            'hand with commas between them: "6 mm, 8 mm, 3/8 in".',
        ),
    ] = "0.5 mm",
    only: Annotated[
        Names, typer.Option(metavar="PULLEY", help="Change only this pulley; may be repeated.")
    ] = None,
    keep: Annotated[
        Names, typer.Option(metavar="PULLEY", help="Leave this pulley; may be repeated.")
    ] = None,
    most: Annotated[int, typer.Option(min=1, max=200, help="Options to show at most.")] = 20,
    write: Annotated[
        Write, typer.Option(metavar="N FILE", help="Write option N, comments kept, to a new FILE.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """What to change for another count, twist, draw, hand speed or ratio.

    Said first: what the spinner can do without touching the wheel. Then every way to change one
    part, then two, ranked by parts to make, bands to remake, and how near the twist comes. Unless
    asked otherwise, the time of a draw is kept; a new count keeps the twist factor.
    """
    wheel = load(file)
    answer = wheel.retune(
        count=count, twist=twist, turns_per_metre=turns_per_metre, draw=draw,
        hand_speed=hand_speed, ratio=ratio, step=step, only=only or (), keep=keep or (), most=most,
    )  # fmt: skip
    if write is not None:
        save_new(answer.option(write[0]).wheel, write[1])
    if as_json:
        print_json(answer.to_json())
        return
    out, drive = console(), wheel.design.drive
    out.print(wheel.title, style="bold")
    _print_need(out, answer)
    _print_without_change(out, answer.without_change, drive.by)
    _print_options(out, answer, inches="in" in step or wheel.design.unit in INCHES)
    if write is not None:
        out.print(f"\nOption {write[0]} written to {write[1]}.")
        if faults := answer.option(write[0]).faults:
            out.print(
                f"It has faults: {', '.join(faults)}. Before you build it, "
                f"`wheelgeo check {quoted(write[1])}` says how to mend them."
            )


def _print_need(out: Terminal, answer: RetuneAnswer) -> None:
    twist = answer.turns_per_metre_wanted
    wanted = "" if twist is None else f" for {grouped(twist)} turns per metre"
    out.print(f"  Ratio needed{wanted}: {answer.ratio_needed:.2f} (today {answer.ratio_now:.2f})")


def _print_without_change(out: Terminal, way: WithoutChangeAnswer, by: str) -> None:
    turned = driver(by)
    head = "You need not change the wheel" if way.enough else "Without changing the wheel"
    other = f"turn the {turned} the other way, and " if way.turn_the_other_way else ""
    times = way.draw_times_longer
    slower = "" if times <= 1.0 else f", or draft {times:.2f} times slower at the same speed"
    out.print(f"  {head}: {other}turn at {way.hand_speed_rpm:.0f} rpm{slower}.")
    if way.drive_turns_per_draw is not None and way.draw_seconds is not None:
        seconds = number(way.draw_seconds / times, 1, " s")
        slow = number(way.draw_seconds, 1, " s")
        out.print(
            f"  A draw takes {way.drive_turns_per_draw:.2f} turns of the {turned}: {seconds} at "
            f"that speed, {slow} at the same speed as now."
        )
    if way.faults:
        out.print(f"  At that speed the wheel has faults: {', '.join(way.faults)}.")


def _print_options(out: Terminal, answer: RetuneAnswer, inches: bool) -> None:
    if not answer.options:
        out.print(
            "\nNo one or two parts of sizes that can be made bring the twist within its limit."
        )
        return
    rows = table("No.", "change", ">ratio", ">twist/m", "bands", "faults")
    for index, option in enumerate(answer.options, start=1):
        changes = [_words(c, inches) for c in (*option.changes, *option.settings)]
        bands = [_new_band(b, "in" if inches else "mm") for b in option.bands if b.remade]
        rows.add_row(
            str(index), "\n".join(changes), f"{option.ratio:.2f}",
            number(option.turns_per_metre, 0), "\n".join(bands) or "all kept",
            "\n".join(option.faults) or "none",
        )  # fmt: skip
    out.print()
    out.print(rows)
    sound = [str(i) for i, option in enumerate(answer.options, start=1) if not option.faults]
    if sound:
        out.print(f"  Without a fault: {', '.join(sound)}.")
    else:
        out.print(
            "  None is without a fault. Write one (--write N FILE), and wheelgeo check FILE says "
            "how to mend it."
        )


def _new_band(band: NewBandAnswer, unit: str) -> str:
    if band.cut_length_mm is None:
        return f"{band.name}: has no path"
    return f"{band.name}: new, cut to {length(band.cut_length_mm, unit)} without its joint"


def _words(change: ChangeAnswer, inches: bool) -> str:
    """Return a change in words; lengths in inches too where sizes are in inches."""
    from wheelgeo.units import format_inches

    if isinstance(change.from_, str) or isinstance(change.to, str):
        return f"{change.what}: {change.from_} to {change.to}"
    text = f"{change.what}: {change.from_:g} to {change.to:g} {change.unit}"
    return f"{text} ({format_inches(change.to)})" if inches else text
