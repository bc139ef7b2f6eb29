"""``wheelgeo place``: where a band arrives true, and what backing off asks instead."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from wheelgeo_cli.arguments import Argument, Option
from wheelgeo_cli.common import (
    FileArgument,
    JsonOption,
    console,
    in_own_unit,
    load,
    number,
    print_comments,
    print_json,
    save_new,
    table,
)

if TYPE_CHECKING:
    from wheelgeo import PlaceAnswer
    from wheelgeo.wheel import Wheel
    from wheelgeo_cli.terminal import Terminal

Write = tuple[int, Path] | None


def place(
    file: FileArgument,
    band: Annotated[str, Argument(metavar="BAND", help="Name of the band.")],
    move: Annotated[
        list[str] | None,
        Option(
            metavar="WHAT",
            help='What may move; give it once or twice, or not at all: what helps most. A number '
            '("whorl.offset"), or a shaft and a direction ("spindle along 1,0,0"); with a range: '
            '"whorl.offset from -3 to 5".',
        ),
    ] = None,
    write: Annotated[
        Write, Option(metavar="N FILE", help="Write row N, comments kept, to a new FILE.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Where a band arrives in the mid-plane in spinning, and as nearly as can be in backing off.

    A band stays on a pulley when it arrives in the pulley's mid-plane. Turned back, the band runs
    the other way along the same path. Each row is a place of the shafts: the first is for
    spinning alone, the last for backing off alone.
    """
    from wheelgeo.errors import SearchError

    wheel = load(file)
    answer = wheel.place(band, *([move] if move else []))
    comments = ""
    if write is not None:
        if not 1 <= write[0] <= len(answer.rows):
            raise SearchError(f"there is no row {write[0]}; there are {len(answer.rows)}")
        comments = save_new(answer.rows[write[0] - 1].wheel, write[1])
    if as_json:
        print_json(answer.to_json())
        return
    out = console()
    _print(out, wheel, answer)
    if write is not None:
        out.print(f"Row {write[0]} written to {write[1]}.")
        print_comments(out, comments)


def _print(out: Terminal, wheel: Wheel, answer: PlaceAnswer) -> None:
    out.print(f"{wheel.title}: {answer.band}", style="bold")
    caught = [
        f"{name} {angle:.1f}°"
        for name, angle in zip(answer.pulleys, answer.catch_deg, strict=True)
        if angle is not None
    ]
    if caught:
        out.print(f"  The grooves' mouths catch a band up to: {', '.join(caught)}.")
    if answer.true_already:
        out.print("  It arrives true as it is, in spinning and in backing off: nothing need move.")
        return
    if answer.stays_on:
        out.print(
            "  Every pulley catches it as it is, in spinning and in backing off: it stays on, and "
            "nothing need move for that."
        )
    for one in answer.left_out:
        out.labelled("  ", f"Left out: {in_own_unit(one, wheel.design.unit)}.")
    helps = [str(n) for n, row in enumerate(answer.rows, 1) if row.helps]
    nearest = "; row 1 is the nearest" if helps else ""
    verdict = "arrives true" if answer.true else f"cannot arrive true{nearest}"
    pulleys = " and ".join(answer.pulleys)
    out.print(f"  In spinning the band {verdict}. Angles of arrival, {pulleys}:")
    moves = (f">move {move}" for move in answer.moves)
    rows = table("No.", *moves, ">spinning", ">backing off", ">length")
    numbered = [("now", answer.now), *((str(i), r) for i, r in enumerate(answer.rows, 1))]
    for name, row in numbered:
        rows.add_row(
            name, *(_in_unit(move, 2, wheel) for move in row.moves_mm),
            _angles(row.arriving_deg), _angles(row.arriving_back_deg),
            _in_unit(row.length_mm, 1, wheel),
        )  # fmt: skip
    out.print(rows)
    for no, row in numbered[1:]:
        if row.faults:
            more = f", and {len(row.faults) - 1} more" if row.faults[1:] else ""
            fault = in_own_unit(row.faults[0], wheel.design.unit)
            out.labelled("  ", f"Row {no} is no help, by a fault: {fault}{more}.")
    if not helps:
        out.print(f"  No place of {' and '.join(answer.moves)} helps: leave it where it is.")
    elif len(answer.rows) == 1:
        out.print("  One place is the best for both, spinning and backing off.")
    else:
        out.print(f"  Of help: row {', '.join(helps)}.")


def _in_unit(length_mm: float | None, digits: int, wheel: Wheel) -> str:
    """Return a length in the file's unit, inches as a tape shows them; ``digits`` in mm."""
    from wheelgeo.units import in_inches
    from wheelgeo.units.quantity import INCHES, in_file_unit

    if length_mm is None:
        return number(None)
    unit = wheel.design.unit
    if unit in INCHES:
        return in_inches(length_mm)
    return number(*in_file_unit(length_mm, unit, digits), f" {unit}")


def _angles(angles: tuple[float, ...]) -> str:
    return "  ".join(number(angle, 2, "°") for angle in angles)
