"""``wheelgeo size``: the wheel that suits a brief best, and others that are good otherwise."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from wheelgeo_cli.common import INCHES, JsonOption, console, grouped, number, print_json, table
from wheelgeo_cli.terminal import progress_line, share_bar

if TYPE_CHECKING:
    from wheelgeo import SizeAnswer
    from wheelgeo.tune.size import Progress, Teller
    from wheelgeo_cli.terminal import Terminal


def size(
    brief: Annotated[Path, typer.Argument(metavar="BRIEF", help="The brief (TOML).")],
    wheels: Annotated[
        int | None, typer.Option(min=1, max=20, help="How many wheels; if left out, as in BRIEF.")
    ] = None,
    write: Annotated[
        Path | None,
        typer.Option("--write", metavar="FOLDER", help="Write a design file for each wheel."),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """The wheel that suits a brief best, proven, and others that are good otherwise.

    A brief says the case, the yarn, the hand, the cords at hand, the sizes that can be made and
    what matters most. Every combination is accounted for. Ctrl-C stops the search and shows the
    best so far, which then is not proven.
    """
    import wheelgeo
    from wheelgeo.tune.brief_file import read_brief
    from wheelgeo.tune.size_files import check_free, file_names, wheel_texts, write_folder

    if write is not None:  # that it can be written is asked before the long search
        check_free(write, file_names(wheels or read_brief(brief).wheels))
    with search_bar() as progress:
        answer = wheelgeo.size(brief, wheels, progress)
    written = () if write is None else write_folder(wheel_texts(answer.sizing), write)
    if as_json:
        print_json(answer.to_json())
        return
    out = console()
    _print(out, answer)
    if written:
        names = ", ".join(path.name for path in written)
        files = "design file" if len(written) == 1 else "design files"
        out.print(f"\n{len(written)} {files} written to {write}: {names}")


@contextmanager
def search_bar() -> Iterator[Teller | None]:
    """Yield what moves a progress bar, on a terminal; None elsewhere."""
    with progress_line() as show:
        if show is None:
            yield None
            return

        def tell(at: Progress) -> None:
            best = "no wheel yet" if at.best is None else f"best so far {at.best:.3f}"
            if at.best is None and at.in_the_way is not None:
                best += f": {at.in_the_way} is in the way"
            bar = share_bar(at.boxes_done, at.boxes)
            show(f"{bar} wheel {at.wheel} of {at.of}, {best}")

        yield tell


def _print(out: Terminal, answer: SizeAnswer) -> None:
    out.print(answer.title, style="bold")
    left = answer.combinations - answer.ruled_out
    out.print(
        f"  {grouped(answer.combinations)} combinations, all but {grouped(left)} ruled out by "
        f"bounds; {grouped(answer.checked)} wheel{'' if answer.checked == 1 else 's'} laid out and "
        "checked."
    )
    if answer.proven:
        out.print("  Proven: no other combination of these sizes and places suits better.")
    else:
        out.print("  NOT PROVEN: the search was stopped; there may be better ones.", style="yellow")
    unit = answer.sizing.brief.unit
    rows = table("No.", "best for", ">ratio", ">wrap", ">lead", ">slip margin", ">hand",
                 ">whirl margin", "rims" if unit in INCHES else "rims, mm")  # fmt: skip
    for index, wheel in enumerate(answer.wheels, start=1):
        rims = ", ".join(f"{p.name} {_rim(p.rim_mm, unit)}" for p in wheel.pulleys)
        rows.add_row(
            str(index), (wheel.matters or ("-",))[0], number(wheel.ratio, 2),
            number(wheel.least_wrap_deg, 0, "°"), number(wheel.largest_lead_deg, 1, "°"),
            number(wheel.slip_margin, 1, " ×"), number(wheel.hand_force_n, 1, " N"),
            number(wheel.whirl_margin, 2), rims,
        )  # fmt: skip
    out.print()
    out.print(rows)


def _rim(length_mm: float, unit: str) -> str:
    """Return a rim: inches where the brief is in inches, a bare number of mm otherwise."""
    from wheelgeo.units import format_inches

    return format_inches(length_mm) if unit in INCHES else f"{length_mm:g}"
