"""``wheelgeo yarn``: what is to be known of a yarn, and what spinning it takes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from wheelgeo_cli.arguments import Argument, Option
from wheelgeo_cli.common import (
    JsonOption,
    console,
    figures,
    grouped,
    load,
    number,
    print_assumed,
    print_cannot_run,
    print_json,
    table,
)

if TYPE_CHECKING:
    from wheelgeo.check.answer_spinning import SpinningAnswer
    from wheelgeo.check.answer_yarn import PliedAnswer, TogetherAnswer, YarnAnswer
    from wheelgeo_cli.terminal import Terminal

Text = str | None


def yarn(
    of: Annotated[
        str,
        Argument(
            metavar="COUNT|FILE", help='A count, such as "40 Nm" or "2/28 Nm", or a design file.'
        ),
    ],
    fibre: Annotated[
        str, Option(metavar="FIBRE", help="cotton, wool, flax, hemp or silk.")
    ] = "cotton",
    twist: Annotated[str, Option(metavar="S|Z", help="Direction of the twist.")] = "Z",
    turns_per_metre: Annotated[
        Text, Option(metavar="TWIST", help='Its twist, turns per metre, or "20 tpi", "8 tpcm".')
    ] = None,
    fineness: Annotated[
        Text,
        Option(
            metavar="SIZE", help='Of its fibres: "21 um", "4.2 micronaire", "1.7 dtex", "170 mtex".'
        ),
    ] = None,
    method: Annotated[
        str,
        Option(metavar="WAY", help="How it is spun: hand, combed ring, carded ring, rotor."),
    ] = "hand",
    as_json: JsonOption = False,
) -> None:
    """What is to be known of a yarn: counts, fibres, twist, thickness, plies.

    With a design file also what spinning it takes on that wheel: turns and seconds of each part of
    a draw, metres in an hour, hours for a hank and for 100 g, and who makes it uneven.
    """
    import wheelgeo
    from wheelgeo.errors import QuantityError

    path, turned, written, solved = Path(of), "hand", None, None
    if path.suffix == ".toml" or path.is_file():
        wheel = load(path)
        solved, turned = wheel.solve(), wheel.design.drive.by
        found = solved.yarn
        if found is None:
            raise QuantityError(f"{of} has no [yarn] table")
    else:
        written = " ".join(of.split())
        found = wheelgeo.yarn_facts(
            of, fibre=fibre, twist=twist, turns_per_metre=turns_per_metre,  # type: ignore[arg-type]
            fineness=fineness, method=method,
        )  # fmt: skip
    if as_json:
        from wheelgeo.as_json import to_json

        print_json(to_json(found))
        return
    out = console()
    _print(out, found, written)
    if found.spinning is not None:
        if solved is not None:
            print_cannot_run(out, solved)
        _print_spinning(out, found.spinning, turned)
        print_assumed(out, found.spinning.assumed)


def _print(out: Terminal, yarn: YarnAnswer, written: str | None) -> None:
    count = f"{figures(yarn.counts[0].value)} {yarn.counts[0].system}"
    if yarn.plies > 1:
        count = f"{yarn.plies} plies of {count}"
    elif written is not None:
        count = written
    out.print(f"{count}, {yarn.fibre}", style="bold")
    if yarn.together is not None:
        _print_together(out, yarn.together, yarn.plied)
    counts = ", ".join(f"{figures(c.value)} {c.system}" for c in yarn.counts)
    out.labelled("  Count     ", counts)
    low, high = yarn.wraps_on_a_ruler
    thick = (
        f"{yarn.diameter_mm:.3f} mm, {yarn.wraps_per_inch:.0f} wraps to the inch as densely as "
        f"spun cotton lies; laid loosely on a ruler, as spinners count, {low:.0f} (lofty) to "
        f"{high:.0f} (smooth)"
    )
    out.labelled("  Thickness ", thick)
    hundred = grouped(yarn.metres_per_100_g)
    hank = figures(yarn.metric_hank_g, 3)
    out.labelled("  Weight    ", f"100 g are {hundred} m; 1 000 m weigh {hank} g")
    if yarn.strength_n is not None:
        low, high = yarn.strength_n
        bears = f"{figures(low, 2)} to {figures(high, 2)} N"
        out.labelled("  Bears     ", f"{bears} a strand; a thin place much less")
    if yarn.twist_angle_deg is not None and yarn.contraction is not None:
        shorter = 100.0 * (1.0 - 1.0 / yarn.contraction)
        out.labelled(
            "  Twist     ",
            f"its outer fibres lie at {yarn.twist_angle_deg:.0f}°; twisting takes {shorter:.1f} % "
            "of the length",
        )
    uses = [f"{u.use} {grouped(u.least_turns_per_metre)} to {grouped(u.most_turns_per_metre)}"
            for u in yarn.usual_twist]  # fmt: skip
    if uses:
        out.labelled("  Usual     ", f"{', '.join(uses)} turns per metre (common practice)")
    if yarn.fibres is not None:
        fibres = yarn.fibres
        enough = "enough" if fibres.in_section >= fibres.least else "TOO FEW"
        out.labelled(
            "  Fibres    ",
            f"{fibres.in_section:.0f} side by side, {enough}: it takes {fibres.least:.0f}; the "
            f"finest that these fibres spin is {figures(fibres.finest_count_nm, 3)} Nm",
        )


def _print_together(out: Terminal, together: TogetherAnswer, plied: PliedAnswer | None) -> None:
    """Print the yarn of all strands, before what is told of each of them."""
    out.labelled("  Together  ", (
        f"{figures(together.count)} {together.system}: 100 g are "
        f"{grouped(together.metres_per_100_g)} m; {together.diameter_mm:.3f} mm, "
        f"{together.wraps_per_inch:.0f} wraps to the inch"
        + ("" if together.counts_plying else " (what plying takes up is not known without a twist)")
    ))
    if plied is not None:
        out.labelled("  Plied     ", plied_says(plied))
    out.print("Each strand", style="bold")


def plied_says(plied: PliedAnswer) -> str:
    """Say how the strands are plied, and what comes of it."""
    change = 100.0 * (plied.length_share - 1.0)
    grown = f"{abs(change):.1f} % {'longer' if change > 0.0 else 'shorter'} than its singles"
    low, high, laid = plied.balance_from, plied.balance_to, plied.turns_per_metre
    balance = " (at the angle of its strands; hang a loop of it: balanced, it hangs open)"
    if low is not None and high is not None:
        balance = f" (balanced: {low:.0f} to {high:.0f})"
        if not low <= laid <= high:
            balance = f" (balanced it would have {low:.0f} to {high:.0f})"
    return (
        f"{plied.plies} strands, {plied.direction}, {laid:.0f} turns per metre{balance}; "
        f"{figures(plied.count)} {plied.system}, {grown}; each strand keeps "
        f"{plied.strand_turns_per_metre:.0f} turns per metre"
    )


def _print_spinning(out: Terminal, spinning: SpinningAnswer, by: str) -> None:
    from wheelgeo_cli.solve import driver, hours, spinning_says

    out.labelled("  Spinning  ", spinning_says(spinning, driver(by)))
    if spinning.steps:
        rows = table("Part of a draw", f">turns of the {driver(by)}", ">seconds")
        for step in spinning.steps:
            rows.add_row(step.name, number(step.drive_turns, 2), number(step.seconds, 1))
        out.print()
        out.print(rows)
    if spinning.cop:
        rows = table(">Cop, mm", f">turns of the {driver(by)}, a draw", ">seconds", ">m an hour")
        for row in spinning.cop:
            rows.add_row(
                number(row.cop_diameter_mm), number(row.drive_turns, 2),
                number(row.draw_seconds), number(row.metres_per_hour, 0),
            )  # fmt: skip
        out.print()
        out.print(rows)
    if (plying := spinning.plying) is not None:
        whole = plying.metric_hank
        out.labelled(
            "  Plying    ",
            f"turn the other way, {plying.direction}: {plying.drive_turns_per_metre:.2f} turns of "
            f"the {driver(by)} per metre, {grouped(plying.metres_per_hour)} m an hour; a hank of "
            f"1 000 m plied takes {grouped(plying.strands_m)} m of singles, {hours(whole.hours)} "
            f"and {grouped(whole.drive_turns)} turns in all",
        )
    if (off := spinning.scatter) is not None:
        out.print(
            f"  From draw to draw the twist scatters by {100 * off.together:.0f} % (standard "
            f"deviation): {100 * off.hand:.0f} % from the turns of the hand, {100 * off.draw:.0f} "
            f"% from the length of the draw. Most of it is the {off.most_by}'s."
        )
