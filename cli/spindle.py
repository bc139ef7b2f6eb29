"""``wheelgeo spindle``: how a drop or support spindle spins, and what yarn it makes."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from wheelgeo_cli.arguments import Argument
from wheelgeo_cli.common import JsonOption, console, number, print_json, table


def spindle(
    file: Annotated[Path, Argument(metavar="FILE", help="The spindle (TOML).")],
    as_json: JsonOption = False,
) -> None:
    """How a spindle that the fingers turn spins: how fast, how long, how much yarn of a count.

    designs/spindles/ holds a drop spindle and a support spindle to start from.
    """
    import wheelgeo

    answer = wheelgeo.hand_spindle(file)
    if as_json:
        print_json(answer.to_json())
        return
    out = console()
    out.print(answer.title, style="bold")
    inertia = f"moment of inertia {answer.inertia_g_cm2:.1f} g cm²"
    out.labelled("  Weighs  ", f"{answer.mass_g:.0f} g; {inertia}")
    out.labelled(
        "  A flick ",
        f"{number(answer.start_rpm, 0)} rpm at the start, {answer.spins_s:.0f} s until it is too "
        f"slow, {number(answer.turns, 0)} turns",
    )
    if answer.bears is False:
        out.print("  The weakest such yarn does not bear it: take a lighter spindle.", style="red")
    hangs = answer.kind == "drop"
    last = [">safety factor"] if hangs else []
    rows = table(">Nm", ">turns per metre", ">yarn of a flick", *last)
    for made in sorted((answer.wanted, *answer.other_counts), key=lambda made: made.count_nm):
        marked = "*" if made is answer.wanted else ""
        safety = [number(made.least_safety, 1)] if hangs else []
        rows.add_row(
            f"{marked}{made.count_nm:g}", number(made.turns_per_metre, 0),
            number(made.yarn_m, 2, " m"), *safety,
        )  # fmt: skip
    out.print()
    out.print(rows)
    told = "; the safety factor is strength of the weakest fibre over the spindle's weight"
    out.print(f"  * the wanted yarn; the others have its twist factor{told if hangs else ''}.")
    out.print("  A spindle's point stabs: keep it away from faces, and lay it down point covered.")
