"""``wheelgeo find``: solve a wheel backwards for any one of its numbers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from wheelgeo.units.quantity import INCHES
from wheelgeo_cli.arguments import Argument, Option
from wheelgeo_cli.common import (
    FileArgument,
    JsonOption,
    console,
    load,
    print_comments,
    print_json,
    save_new,
    table,
)

if TYPE_CHECKING:
    from wheelgeo import FindAnswer, Wheel
    from wheelgeo_cli.terminal import Terminal

Words = list[str] | None
Names = list[str] | None
Target = Path | None


def find(
    file: FileArgument,
    words: Annotated[
        Words,
        Argument(
            metavar="UNKNOWN for RESULT=VALUE",
            help="What may change and what it shall give: whorl.rim for ratio=150, or spindle.at.x "
            'for "second band.length=16 3/4 in". See --list for what there is.',
        ),
    ] = None,
    together: Annotated[
        Names,
        Option(
            "--with",
            metavar="NUMBER",
            help="A further number that always takes the same value, such as the travel of a "
            "second shaft on the same slide; may be repeated.",
        ),
    ] = None,
    everything: Annotated[
        bool, Option("--list", help="List every number that may change and every result.")
    ] = False,
    write: Annotated[
        Target, Option(metavar="FILE", help="Write the wheel, comments kept, to a new FILE.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Which number makes a result come out as wanted: a pulley for a ratio, a place for a band.

    A band that exists: spindle.at.x for "second band.length=425 mm". A groove for a pitch
    diameter: whorl.depth for whorl.pitch=6.5. A hand speed: drive.speed for spindle.speed=9000.
    A band for a place, the other way round: "second band.length" for spindle.at.x=380.
    A bare number is in the file's unit, and may tell how sure it is: "76 1/2 +- 1/4 in". Where
    there is no answer, the nearest is named.
    """
    wheel = load(file)
    if everything:
        _list(wheel, as_json)
        return
    unknown, result, value = _asked(words or [])
    answer = wheel.find(unknown, result, value, tuple(together or ()))
    comments = "" if write is None else save_new(answer.wheel, write)
    if as_json:
        print_json(answer.to_json())
        return
    out = console()
    _print(out, wheel, answer)
    for fault in answer.faults:
        out.print(f"  The wheel then has a fault: {fault.says}.")
    if write is not None:
        out.print(f"  Written to {write}")
        print_comments(out, comments)


def _asked(words: list[str]) -> tuple[str, str, str]:
    """Return unknown, result and value; SearchError where they are not all there."""
    from wheelgeo.errors import SearchError

    given = [word for word in words if word != "for"]
    if len(given) != 2 or "=" not in given[1]:
        raise SearchError(
            "say what may change and what it shall give, as in: whorl.rim for ratio=150 "
            "(quotes round names with spaces; --list shows what there is)"
        )
    result, _, value = given[1].rpartition("=")
    return given[0], result.strip(), value.strip()


def _print(out: Terminal, wheel: Wheel, answer: FindAnswer) -> None:
    def said(value: float, of: str) -> str:
        return say(value, of, wheel.design.unit)

    def said_half(value: float, of: str) -> str:
        return say(float(f"{value:.2g}"), of, wheel.design.unit)

    was = "not given" if answer.was is None else said(answer.was, answer.unit)
    before = "none" if answer.result_was is None else said(answer.result_was, answer.result_unit)
    out.print(wheel.title, style="bold")
    of_value, of_result = "", ""
    if answer.uncertainty is not None:
        if answer.asked_for_result:
            of_result = f" ± {said_half(answer.uncertainty, answer.result_unit)} (95 %)"
        else:
            of_value = f" ± {said_half(answer.uncertainty, answer.unit)} (95 %)"
    out.print(
        f"  {answer.unknown} = {said(answer.value, answer.unit)}{of_value} (now {was}): "
        f"{answer.means}"
    )
    reached = said(answer.reached, answer.result_unit)
    out.print(f"  gives {answer.result} = {reached}{of_result} (now {before})")
    for name in (answer.unknown, answer.result):
        if name.endswith(".cut_length"):
            joined = name.replace(".cut_length", ".cut_with_joint")
            out.print(f"  {name} is without the joint; what is cut is {joined}")
    if answer.others:
        others = ", ".join(said(value, answer.unit) for value in answer.others)
        out.print(f"  So would: {others}")


def say(value: float, unit: str, file_unit: str) -> str:
    """Return a number with its unit; lengths in mm and in inches.

    Inches come first where the file is in inches.
    """
    from wheelgeo.units import in_inches

    text = f"{value:.8g} {unit}".rstrip()
    if unit != "mm":
        return text
    inches = in_inches(value)
    return f"{inches} ({text})" if file_unit in INCHES else f"{text} ({inches})"


def _list(wheel: Wheel, as_json: bool) -> None:
    if as_json:
        from wheelgeo.as_json import to_json

        print_json({"numbers": to_json(wheel.inputs()), "results": to_json(wheel.results())})
        return
    out = console()
    for heading, numbers in (("May change", wheel.inputs()), ("Result", wheel.results())):
        shown = table(heading, ">now", "unit", "what it is")
        for one in numbers:
            # the sign or the dust of a zero is not worth telling
            value = 0.0 if one.value is not None and abs(one.value) < 5e-10 else one.value
            shown.add_row(one.key, "-" if value is None else f"{value:.6g}", one.unit, one.means)
        out.print(shown)
        out.print()
