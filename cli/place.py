"""``wheelgeo place``: where a band arrives true, and what backing off asks instead."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Optional

import typer

from wheelgeo_cli.common import FileArgument, JsonOption, console, load, number, print_json, table

if TYPE_CHECKING:
    from rich.console import Console

    from wheelgeo.design.model import Design
    from wheelgeo.tune.place import Move, Placement, Placing

Write = Optional[tuple[int, Path]]  # noqa: UP045 - typer reads the annotation when the program runs

_RANGE = re.compile(r"^(?P<what>.*?)\s+from\s+(?P<low>\S.*?)\s+to\s+(?P<high>\S.*)$")
_ALONG = re.compile(r"^(?P<what>.*?)\s+along\s+(?P<x>[^,\s]+),\s*(?P<y>[^,\s]+),\s*(?P<z>[^,\s]+)$")


def place(
    file: FileArgument,
    band: Annotated[str, typer.Argument(metavar="BAND", help="Name of the band.")],
    move: Annotated[
        list[str],
        typer.Option(
            metavar="WHAT",
            help='What may move; give it once or twice. A number ("whorl.offset"), or a shaft and '
            'a direction ("spindle along 1,0,0"); with a range: "whorl.offset from -3 to 5".',
        ),
    ],
    write: Annotated[
        Write, typer.Option(metavar="N FILE", help="Write row N, comments kept, to a new FILE.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Where a band arrives in the mid-plane in spinning, and as nearly as can be in backing off.

    A band stays on a pulley when it arrives in the pulley's mid-plane. Turned back, the band runs
    the other way along the same path. Each row is a place of the shafts: the first is for
    spinning alone, the last for backing off alone.
    """
    from wheelgeo.design.library import write_new
    from wheelgeo.design.reader import read_text
    from wheelgeo.design.writer import rewrite_as
    from wheelgeo.errors import SearchError
    from wheelgeo.tune.place import place as search

    design = load(file)
    placing = search(design, band, [_move(design, text) for text in move])
    if write is not None:
        if not 1 <= write[0] <= len(placing.rows):
            raise SearchError(f"there is no row {write[0]}; there are {len(placing.rows)}")
        chosen = placing.rows[write[0] - 1].design
        write_new(write[1], rewrite_as(read_text(file), chosen))
    if as_json:
        print_json(_document(placing, move))
        return
    _print(console(), design, placing, move)
    if write is not None:
        console().print(f"Row {write[0]} written to {write[1]}.")


def _move(design: Design, text: str) -> Move:
    """Read what may move."""
    from wheelgeo.errors import SearchError
    from wheelgeo.tune.place import Move
    from wheelgeo.units import LENGTH_MM, parse_quantity
    from wheelgeo_cli.find import read_number

    what, low, high = text.strip(), -float("inf"), float("inf")
    if (found := _RANGE.match(what)) is not None:
        what = found["what"]
        low, high = (
            parse_quantity(_bare(found[end]), LENGTH_MM, design.unit) for end in ("low", "high")
        )
    if (found := _ALONG.match(what)) is None:
        return Move(what, None, low, high)
    x, y, z = (read_number(found[axis], None, design.unit, text) for axis in "xyz")
    if not all(abs(component) < float("inf") for component in (x, y, z)):
        raise SearchError(f'"{text}" has no direction')
    return Move(found["what"], (x, y, z), low, high)


def _bare(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


def _row(row: Placement) -> dict[str, Any]:
    return {
        "weight_of_backing_off": row.weight,
        "moves_mm": list(row.moves_mm),
        "arriving_deg": list(row.spinning_deg),
        "arriving_back_deg": list(row.backing_deg),
        "length_mm": row.length_mm,
    }


def _document(placing: Placing, moves: list[str]) -> dict[str, Any]:
    return {
        "band": placing.band,
        "pulleys": list(placing.pulleys),
        "catch_deg": list(placing.catch_deg),
        "moves": moves,
        "true": placing.true,
        "now": _row(placing.now),
        "rows": [_row(row) for row in placing.rows],
    }


def _print(out: Console, design: Design, placing: Placing, moves: list[str]) -> None:
    out.print(f"{design.title}: {placing.band}", style="bold")
    caught = [
        f"{name} {angle:.1f}°"
        for name, angle in zip(placing.pulleys, placing.catch_deg, strict=True)
        if angle is not None
    ]
    if caught:
        out.print(f"  The grooves' mouths catch a band up to: {', '.join(caught)}.")
    verdict = "arrives true" if placing.true else "cannot arrive true; row 1 is the nearest"
    out.print(
        f"  In spinning the band {verdict}. Angles of arrival, {' and '.join(placing.pulleys)}:"
    )
    rows = table(">No.", *(f">move {m}" for m in moves), ">spinning", ">backing off", ">length")
    for name, row in (("now", placing.now), *((str(i), r) for i, r in enumerate(placing.rows, 1))):
        moved = (number(round(m, 2) + 0.0, 2, " mm") for m in row.moves_mm)
        angles = (_angles(row.spinning_deg), _angles(row.backing_deg))
        rows.add_row(name, *moved, *angles, number(row.length_mm, 1, " mm"))
    out.print(rows)


def _angles(angles: tuple[float, ...]) -> str:
    return "  ".join(f"{round(angle, 2) + 0.0:.2f}°" for angle in angles)
