"""``wheelgeo find``: solve a wheel backwards for any one of its numbers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Optional

import typer

from wheelgeo_cli.common import INCHES, FileArgument, JsonOption, console, load, print_json, table

if TYPE_CHECKING:
    from rich.console import Console

    from wheelgeo.design.model import Design
    from wheelgeo.tune.find import Found
    from wheelgeo.units import Dimension

Words = Optional[list[str]]  # noqa: UP045 - typer reads the annotation when the program runs
Names = Optional[list[str]]  # noqa: UP045
Target = Optional[Path]  # noqa: UP045


def find(
    file: FileArgument,
    words: Annotated[
        Words,
        typer.Argument(
            metavar="UNKNOWN for RESULT=VALUE",
            help="What may change and what it shall give: whorl.rim for ratio=150, or spindle.at.x "
            'for "second band.length=16 3/4 in". See --list for what there is.',
        ),
    ] = None,
    together: Annotated[
        Names,
        typer.Option(
            "--with",
            metavar="NUMBER",
            help="A further number that always takes the same value, such as the travel of a "
            "second shaft on the same slide; may be repeated.",
        ),
    ] = None,
    everything: Annotated[
        bool, typer.Option("--list", help="List every number that may change and every result.")
    ] = False,
    write: Annotated[
        Target, typer.Option(metavar="FILE", help="Write the wheel, comments kept, to a new FILE.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Which number makes a result come out as wanted: a pulley for a ratio, a place for a band.

    A band that exists: spindle.at.x for "second band.length=425 mm". A groove for a pitch
    diameter: whorl.depth for whorl.pitch=6.5. A hand speed: drive.speed for spindle.speed=9000.
    A band for a place, the other way round: "second band.length" for spindle.at.x=380.
    A bare number is in the file's unit. Where there is no answer, the nearest is named.
    """
    from wheelgeo.check.report import check_design
    from wheelgeo.design.library import write_new
    from wheelgeo.design.reader import read_text
    from wheelgeo.design.writer import rewrite_as

    design = load(file)
    if everything:
        _list(design, as_json)
        return
    found = _answer(design, *_asked(words or []), tuple(together or ()))
    before = {(f.rule, f.where) for f in check_design(design).faults}
    after = check_design(found.design).faults
    faults = [f for f in after if (f.rule, f.where) not in before]
    unmade = _cannot_be_made(found.design)
    if write is not None:
        write_new(write, rewrite_as(read_text(file), found.design))
    if as_json:
        names = {"new_faults": [f.rule for f in faults], "cannot_be_made": unmade}
        print_json({**_document(found), **names})
        return
    out = console()
    _print(out, design, found)
    for says in (*unmade, *(fault.says for fault in faults)):
        out.print(f"  The wheel then has a fault: {says}.")
    if write is not None:
        out.print(f"  Written to {write}.")


def _cannot_be_made(design: Design) -> list[str]:
    """Return what a design file with these numbers would be refused for."""
    from wheelgeo.design.reader import parse_design
    from wheelgeo.design.writer import design_to_toml
    from wheelgeo.errors import DesignError

    try:
        parse_design(design_to_toml(design))
    except DesignError as error:
        return [str(fault) for fault in error.faults]
    return []


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


def _answer(
    design: Design, unknown: str, known: str, value: str, together: tuple[str, ...]
) -> Found:
    """Solve for a number where a result is known, or for a result where a number is."""
    from wheelgeo.numbers.results import find_result, is_result
    from wheelgeo.tune.find import find, given
    from wheelgeo.tune.parameters import find_parameter, is_parameter

    if is_parameter(design, known) and is_result(design, unknown) and not is_result(design, known):
        parameter = find_parameter(design, known)
        number = read_number(value, parameter.quantity, design.unit, known)
        return given(design, known, number, unknown)
    quantity = find_result(design, known).quantity
    wanted = read_number(value, quantity, design.unit, known)
    return find(design, unknown, known, wanted, together)


def read_number(value: str, quantity: Dimension | None, length_unit: str, what: str) -> float:
    """Return a number that a person typed; a bare length is in the file's unit.

    Args:
        value: what was typed.
        quantity: the units in which it may be written; None: a bare number.
        length_unit: the file's unit of length.
        what: the number's key, for messages.

    Raises:
        SearchError: no number where a bare number is wanted.
        QuantityError: no quantity of that kind.
    """
    from wheelgeo.errors import SearchError
    from wheelgeo.units import LENGTH_MM, parse_quantity

    if quantity is not None:
        bare = length_unit if quantity is LENGTH_MM else quantity.unit
        return parse_quantity(_plain(value), quantity, bare)
    try:
        return float(value)
    except ValueError:
        raise SearchError(f'"{value}" is no number for {what}') from None


def _plain(value: str) -> float | str:
    """Return a bare number as one, anything else as it is."""
    try:
        return float(value)
    except ValueError:
        return value


def _document(found: Found) -> dict[str, object]:
    return {
        "unknown": found.unknown.key,
        "unit": found.unknown.unit,
        "was": found.unknown.value,
        "value": found.value,
        "others": list(found.others),
        "result": found.target.key,
        "result_unit": found.target.unit,
        "result_was": found.before,
        "wanted": found.wanted,
        "reached": found.reached,
    }


def _print(out: Console, design: Design, found: Found) -> None:
    unknown, target = found.unknown, found.target

    def said(value: float, of: str) -> str:
        return say(value, of, design.unit)

    was = "not given" if unknown.value is None else said(unknown.value, unknown.unit)
    before = "none" if found.before is None else said(found.before, target.unit)
    out.print(design.title, style="bold")
    out.print(f"  {unknown.key} = {said(found.value, unknown.unit)} (now {was}): {unknown.means}")
    out.print(f"  gives {target.key} = {said(found.reached, target.unit)} (now {before})")
    if found.others:
        others = ", ".join(said(value, unknown.unit) for value in found.others)
        out.print(f"  So would: {others}")


def say(value: float, unit: str, file_unit: str) -> str:
    """Return a number with its unit; lengths in mm and to the nearest 1/64 of an inch.

    Inches come first where the file is in inches.
    """
    from wheelgeo.units import format_inches

    text = f"{value:.8g} {unit}".rstrip()
    if unit != "mm":
        return text
    inches = format_inches(value)
    return f"{inches} ({text})" if file_unit in INCHES else f"{text} ({inches})"


def _plain_zero(value: float) -> float:
    """Return a number without the sign or the dust of a zero."""
    return 0.0 if abs(value) < 5e-10 else value


def _list(design: Design, as_json: bool) -> None:
    from wheelgeo.drive.train import solve_drive
    from wheelgeo.numbers.results import results
    from wheelgeo.tune.parameters import parameters

    solution = solve_drive(design)
    numbers = [(p.key, p.value, p.unit, p.means) for p in parameters(design)]
    found = [(t.key, t.of(solution), t.unit, t.means) for t in results(design)]
    if as_json:
        names = ("key", "value", "unit", "means")
        rows = {"numbers": numbers, "results": found}
        print_json({k: [dict(zip(names, r, strict=True)) for r in v] for k, v in rows.items()})
        return
    out = console()
    for heading, rows_of in (("May change", numbers), ("Result", found)):
        shown = table(heading, ">now", "unit", "what it is")
        for key, value, unit, means in rows_of:
            shown.add_row(key, "-" if value is None else f"{_plain_zero(value):.6g}", unit, means)
        out.print(shown)
        out.print()
