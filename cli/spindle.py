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
    if answer.plies > 1:
        out.print(f"  It spins one of the {answer.plies} strands: what follows is of that.")
    hangs = answer.kind == "drop"
    last = [">safety factor"] if hangs else []
    rows = table(">Nm", ">turns per metre", ">yarn of a flick", *last)
    wanted_nm = answer.wanted.count_nm
    others = [made for made in answer.other_counts if abs(made.count_nm / wanted_nm - 1.0) > 1e-6]
    for made in sorted((answer.wanted, *others), key=lambda made: made.count_nm):
        marked = "*" if made is answer.wanted else ""
        safety = [number(made.least_safety, 1)] if hangs else []
        rows.add_row(
            f"{marked}{made.count_nm:g}", number(made.turns_per_metre, 0),
            number(made.yarn_m, 2, " m") + (" +" if made.reaches_floor else ""), *safety,
        )  # fmt: skip
    out.print()
    out.print(rows)
    told = (
        "; the safety factor is strength of the weakest fibre over the weight of the spindle and "
        f"{answer.cop_g:g} g of yarn"
    )
    star = "* the wanted yarn; the others have its twist factor"
    out.labelled("  ", f"{star}{told if hangs else ''}.")
    if answer.reach_m is not None and any(made.reaches_floor for made in (answer.wanted, *others)):
        out.labelled("  ", (
            f"+ it comes to the floor when {answer.reach_m:g} m hang from the hand: stop it there, "
            "wind on, and flick again."
        ))
    out.print("  A spindle's point stabs: keep it away from faces, and lay it down point covered.")
