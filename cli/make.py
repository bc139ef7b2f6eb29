"""``wheelgeo make``: everything that goes to the bench, in one folder."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

from wheelgeo_cli.arguments import Option
from wheelgeo_cli.common import (
    FileArgument,
    JsonOption,
    console,
    count_line,
    load,
    print_assumed,
    print_findings,
    print_json,
    table,
)
from wheelgeo_cli.terminal import progress_line, share_bar

if TYPE_CHECKING:
    from wheelgeo import MakeAnswer
    from wheelgeo.shop.bench_set import Progress
    from wheelgeo_cli.terminal import Terminal


class Release(StrEnum):
    """Release of the DXF files."""

    R2010 = "R2010"
    R12 = "R12"


class Lengths(StrEnum):
    """How drawings and the shop sheet write lengths."""

    MM = "mm"
    INCH = "in"
    INCH_64 = "in/64"


def make(
    file: FileArgument,
    to: Annotated[
        str | None,
        Option("--to", metavar="FOLDER", help="Where to; outputs/<file name> if left out."),
    ] = None,
    only: Annotated[
        str | None,
        Option("--only", metavar="GROUPS", help="Groups to make, as in: dxf,tables."),
    ] = None,
    dxf: Annotated[
        Release, Option("--dxf", help="R12 for old machines and programs.")
    ] = Release.R2010,
    lengths: Annotated[
        Lengths,
        Option("--lengths", help="Lengths on drawings and shop sheet; in/64: nearest 1/64."),
    ] = Lengths.MM,
    force: Annotated[
        bool,
        Option("--force", help="Overwrite another wheel's set, and files that are not of a set."),
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Cut files, templates, drawings, solids, shop sheet and tables, in one folder.

    All of it is written, or nothing. A file that stands in the way and is not of an earlier
    run, or was changed since, is never overwritten without --force; nor is another wheel's set.
    """
    groups = None if only is None else tuple(g.strip() for g in only.split(",") if g.strip())
    wheel = load(file)
    with progress_bar() as progress:
        answer = wheel.make(
            to, only=groups, dxf=dxf.value, lengths=lengths.value, force=force, progress=progress
        )
    if as_json:
        print_json(answer.to_json())
    else:
        _say(console(), answer)


@contextmanager
def progress_bar() -> Iterator[Progress | None]:
    """Yield what moves a progress bar, on a terminal; None elsewhere."""
    with progress_line() as show:
        if show is None:
            yield None
        else:
            yield lambda what, done, total: show(f"{share_bar(done, total)} {what}")


def _say(out: Terminal, made: MakeAnswer) -> None:
    """Print what was written, and what is wrong before anything is cut."""
    checked = made.checked
    out.print(checked.title, style="bold")
    rows = table("File", "what it is")
    for file in made.files:
        rows.add_row(file.file, file.what)
    out.print(rows)
    out.print(f"{len(made.files)} files and index.json written to {made.folder}")
    if made.open_first:
        out.print(f"Open {made.open_first.file} first: {made.open_first.what}.")
    if made.removed:
        out.print(f"removed, since they are no longer made: {', '.join(made.removed)}")
    out.print(f"Check: {count_line(checked.findings)}.")
    if checked.faults:
        out.print("Do not cut before the faults are mended.", style="bold red")
        print_findings(out, checked.faults, checked.design.unit)
    print_assumed(out, checked.assumed, unit=checked.design.unit)
