"""``wheelgeo retune``: what to change for another yarn, and first whether anything must change."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Optional

import typer

from wheelgeo_cli.common import (
    FileArgument,
    JsonOption,
    console,
    length,
    load,
    number,
    print_json,
    table,
)

if TYPE_CHECKING:
    from rich.console import Console

    from wheelgeo.design.model import Design
    from wheelgeo.tune.bandfit import BandFate
    from wheelgeo.tune.makeable import Makeable
    from wheelgeo.tune.retune import Change, Retuning
    from wheelgeo.tune.wish import Wish

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
    from wheelgeo.design.library import write_new
    from wheelgeo.design.reader import read_text
    from wheelgeo.tune.retune import Limits
    from wheelgeo.tune.retune import retune as search
    from wheelgeo.tune.retune_facts import option_text, retune_facts

    design = load(file)
    wish = _wish(design, count, twist, turns_per_metre, draw, hand_speed, ratio)
    limits = Limits(_sizes(design, step), tuple(only or ()), tuple(keep or ()), most)
    found = search(design, wish, limits)
    if write is not None:
        write_new(write[1], option_text(found, write[0], read_text(file)))
    if as_json:
        print_json(retune_facts(found))
        return
    out = console()
    out.print(design.title, style="bold")
    _print_need(out, found)
    _print_without_change(out, retune_facts(found)["without_change"], design.drive.by)
    _print_options(out, found, inches="in" in step or design.unit == "in")
    if write is not None:
        out.print(f"\nOption {write[0]} written to {write[1]}.")
        if faults := found.options[write[0] - 1].faults:
            out.print(
                f"It has faults: {', '.join(faults)}. Before you build it, wheelgeo check says how "
                "to mend them."
            )


def _wish(
    design: Design,
    count: str | None,
    twist: str | None,
    turns_per_metre: float | None,
    draw: str | None,
    hand_speed: str | None,
    ratio: float | None,
) -> Wish:
    """Return what is asked for, in mm and rpm; a bare length is in the file's unit."""
    from wheelgeo.design.fields import read_count
    from wheelgeo.errors import SearchError
    from wheelgeo.tune.wish import Wish
    from wheelgeo.units import LENGTH_MM, SPEED_RPM, parse_quantity

    if twist not in (None, "S", "Z"):
        raise SearchError(f'"{twist}" is no direction of twist; it is S or Z')
    return Wish(
        count=None if count is None else read_count(count),
        twist=twist,  # type: ignore[arg-type]
        turns_per_metre=turns_per_metre,
        draw_mm=None if draw is None else parse_quantity(draw, LENGTH_MM, design.unit),
        hand_rpm=None if hand_speed is None else parse_quantity(hand_speed, SPEED_RPM, "rpm"),
        ratio=ratio,
    )


def _sizes(design: Design, step: str) -> Makeable:
    from wheelgeo.tune.makeable import parse_makeable

    return parse_makeable(step, design.unit)


def _print_need(out: Console, found: Retuning) -> None:
    need = found.need
    twist = need.turns_per_metre
    wanted = "" if twist is None else f" for {twist:.0f} turns per metre"
    out.print(f"  Ratio needed{wanted}: {need.ratio_needed:.2f} (today {need.ratio_now:.2f})")


def _print_without_change(out: Console, way: dict[str, Any], driver: str) -> None:
    head = "Nothing need be changed" if way["enough"] else "Without changing the wheel"
    turned = f"turn the {driver} the other way, and " if way["turn_the_other_way"] else ""
    times = way["draw_times_longer"]
    slower = "" if times <= 1.0 else f", or draft {times:.2f} times slower at the same speed"
    out.print(f"  {head}: {turned}turn at {way['hand_speed_rpm']:.0f} rpm{slower}.")
    if way["drive_turns_per_draw"] is not None:
        seconds = number(way["draw_seconds"] / times, 1, " s")
        slow = number(way["draw_seconds"], 1, " s")
        out.print(
            f"  A draw takes {way['drive_turns_per_draw']:.2f} turns of the {driver}: {seconds} at "
            f"that speed, {slow} at the same speed as now."
        )
    if way["faults"]:
        out.print(f"  At that speed the wheel has faults: {', '.join(way['faults'])}.")


def _print_options(out: Console, found: Retuning, inches: bool) -> None:
    if not found.options:
        out.print(
            "\nNo one or two parts of sizes that can be made bring the twist within its limit."
        )
        return
    rows = table(">No.", "change", ">ratio", ">twist/m", "bands", "faults")
    for index, option in enumerate(found.options, start=1):
        changes = [_words(c, inches) for c in option.changes]
        settings = [_words(c, inches) for c in option.settings]
        bands = [_new_band(b, "in" if inches else "mm") for b in option.bands if b.remade]
        rows.add_row(
            str(index), "\n".join([*changes, *settings]), f"{option.ratio:.2f}",
            number(option.turns_per_metre, 0), "\n".join(bands) or "all kept",
            "\n".join(option.faults) or "none",
        )  # fmt: skip
    out.print()
    out.print(rows)
    sound = [str(i) for i, option in enumerate(found.options, start=1) if not option.faults]
    if sound:
        out.print(f"  Without a fault: {', '.join(sound)}.")
    else:
        out.print(
            "  None is without a fault. Write one (--write N FILE), and wheelgeo check FILE says "
            "how to mend it."
        )


def _new_band(band: BandFate, unit: str) -> str:
    if band.rest_mm is None:
        return f"{band.name}: has no path"
    return f"{band.name}: new, cut to {length(band.rest_mm, unit)} without its joint"


def _words(change: Change, inches: bool) -> str:
    """Return a change in words; lengths in inches too where sizes are in inches."""
    from wheelgeo.units import format_inches

    if isinstance(change.before, str) or isinstance(change.after, str):
        return f"{change.what}: {change.before} to {change.after}"
    text = f"{change.what}: {change.before:g} to {change.after:g} {change.unit}"
    return f"{text} ({format_inches(change.after)})" if inches else text
