"""``wheelgeo size``: the wheel that suits a brief best, and others that are good otherwise."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from time import monotonic as time_now
from typing import TYPE_CHECKING, Annotated

from wheelgeo.units.quantity import INCHES
from wheelgeo_cli.arguments import Argument, Option
from wheelgeo_cli.common import JsonOption, console, grouped, number, print_json, table
from wheelgeo_cli.terminal import progress_line, share_bar

if TYPE_CHECKING:
    from wheelgeo import SizeAnswer
    from wheelgeo.tune.size import Progress, Teller
    from wheelgeo.tune.size_answer import SizedWheelAnswer
    from wheelgeo_cli.terminal import Terminal


def size(
    brief: Annotated[Path, Argument(metavar="BRIEF", help="The brief (TOML).")],
    wheels: Annotated[
        int | None, Option(min=1, max=20, help="How many wheels; if left out, as in BRIEF.")
    ] = None,
    write: Annotated[
        Path | None,
        Option("--write", metavar="FOLDER", help="Write a design file for each wheel."),
    ] = None,
    time: Annotated[
        float | None,
        Option(metavar="SECONDS", help="Search no longer than this; if left out, 45."),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """The wheel that suits a brief best, proven, and others that are good otherwise.

    A brief says the case, the yarn, the hand, the cords at hand, the sizes that can be made and
    what matters most. Every combination is accounted for: fewest warnings first, then what
    matters. When the time is up, or at Ctrl-C, the best so far is shown, which then is not proven.
    """
    import wheelgeo
    from wheelgeo.tune.brief_file import read_brief
    from wheelgeo.tune.size_files import check_free, file_names, wheel_texts, write_folder

    if write is not None:  # that it can be written is asked before the long search
        check_free(write, file_names(wheels or read_brief(brief).wheels))
    with search_bar() as progress:
        answer = wheelgeo.size(brief, wheels, progress, time)
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
def search_bar() -> Iterator[Teller]:
    """Yield what shows how far a search is: a bar on a terminal, a line now and then elsewhere."""
    with progress_line() as line:
        show = line or _now_and_then()

        def tell(at: Progress) -> None:
            best = "no wheel yet" if at.best is None else f"best so far {at.best:.3f}"
            if at.best is None and at.in_the_way is not None:
                best += f": {at.in_the_way} is in the way"
            bar = share_bar(at.boxes_done, at.boxes)
            show(f"{bar} wheel {at.wheel} of {at.of}, {best}")

        yield tell


EVERY_S = 10.0
"""Where there is no terminal a search tells how far it is this often, a line on standard error."""


def _now_and_then() -> Callable[[str], None]:
    """Return what writes a line on standard error, but not more often than every few seconds."""
    last = time_now()

    def show(text: str) -> None:
        nonlocal last
        if sys.stderr is not None and time_now() - last >= EVERY_S:
            last = time_now()
            sys.stderr.write(text.split(" ", 1)[1] + "\n")
            sys.stderr.flush()

    return show


def _print(out: Terminal, answer: SizeAnswer) -> None:
    out.print(answer.title, style="bold")
    left = answer.combinations - answer.ruled_out
    out.print(
        f"  {grouped(answer.combinations)} combinations, all but {grouped(left)} ruled out by "
        f"bounds; {grouped(answer.checked)} wheel{'' if answer.checked == 1 else 's'} laid out and "
        "checked."
    )
    if answer.proven:
        out.print(
            "  Proven: no other combination of these sizes and places has fewer warnings, or as "
            f"few and suits better. This leaves out {answer.excludes}."
        )
    else:
        out.print(f"  {_stopped(answer)}", style="yellow")
    unit = answer.sizing.brief.unit
    rows = table("No.", "best for", ">ratio", ">wrap", ">lead", ">slip margin", ">hand",
                 ">whirl margin", "rims" if unit in INCHES else "rims, mm", "see to")  # fmt: skip
    for index, wheel in enumerate(answer.wheels, start=1):
        rims = ", ".join(f"{p.name} {_rim(p.rim_mm, unit)}" for p in wheel.pulleys)
        rows.add_row(
            str(index), (wheel.matters or ("-",))[0], number(wheel.ratio, 2),
            number(wheel.least_wrap_deg, 0, "°"), number(wheel.largest_lead_deg, 1, "°"),
            _slip(wheel), number(wheel.hand_force_n, 1, " N"),
            number(wheel.whirl_margin, 2), rims,
            _see_to(wheel),
        )  # fmt: skip
    out.print()
    out.print(rows)


def _slip(wheel: SizedWheelAnswer) -> str:
    """Return the slip margin as usual, and at the worst where that is known."""
    usual = number(wheel.slip_margin, 1, " ×")
    worst = wheel.slip_margin_worst
    return usual if worst is None else f"{usual}, {number(worst, 1)} with the softest cords"


def _see_to(wheel: SizedWheelAnswer) -> str:
    """Return its faults and warnings, and what it has of notes."""
    grave = (*wheel.faults, *wheel.warnings)
    notes = [rule for rule in wheel.findings if rule not in grave]
    told = f"{', '.join(grave)}; " if grave else ""
    counted = f"{len(notes)} note{'' if len(notes) == 1 else 's'}: {', '.join(notes)}"
    return f"{told}{counted}" if notes else ", ".join(grave) or "nothing"


def _stopped(answer: SizeAnswer) -> str:
    """Say what a search that was stopped leaves open."""
    first = answer.wheels[0]
    longer = "a longer search (--time SECONDS) may find more"
    if first.faults:
        from wheelgeo.tune.sized_wheels import nearest_says

        near = nearest_says(answer.sizing.wheels[0])
        return f"Stopped before a wheel without a fault was found; {longer}. Of those tried, {near}"
    if first.proven:
        return f"Stopped, the first wheel proven, not all of the others; {longer}."
    own = f"(this one's is {first.cost:.2f})"
    if first.gap is None:
        says = "how much less another could cost is not known"
        return f"Stopped, not proven: {says} {own}; {longer}."
    lower = f"a cost lower by {first.gap:.2f} at most"
    could = "fewer warnings" if first.gap >= 100.0 else lower
    return f"Stopped, not proven: another wheel could have {could} {own}; {longer}."


def _rim(length_mm: float, unit: str) -> str:
    """Return a rim: inches where the brief is in inches, a bare number of mm otherwise."""
    from wheelgeo.units.written import turned_length

    return turned_length("in/64")(length_mm) if unit in INCHES else f"{length_mm:g}"
