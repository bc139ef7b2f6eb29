"""``wheelgeo hank``: a hank, the reel for it, and the count that its weight gives."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from wheelgeo_cli.arguments import Argument, Option
from wheelgeo_cli.common import (
    JsonOption,
    console,
    count_of,
    figures,
    grouped,
    load,
    print_cannot_run,
    print_json,
)

if TYPE_CHECKING:
    from wheelgeo.hanks import HankAnswer
    from wheelgeo_cli.terminal import Terminal

Text = str | None
File = Path | None

FAST_RPM = 120.0
"""Speed of a reel beyond which nobody keeps yarn on it; common practice, no source."""


def hank(
    count: Annotated[
        Text,
        Argument(
            metavar="[COUNT|FILE]", help='The count, such as "40 Nm", or the wheel that spins it.'
        ),
    ] = None,
    turns: Annotated[int, Option(min=1, max=1_000_000, help="Turns of the reel.")] = 200,
    girth: Annotated[
        str, Option("--round", metavar="LENGTH", help="Way once about the bare reel.")
    ] = "1 m",
    lanes: Annotated[
        str, Option(metavar="LENGTH", help="Width over which the yarn is laid.")
    ] = "30 mm",
    arms: Annotated[int, Option(min=2, max=60, help="Arms of the reel.")] = 4,
    peg: Annotated[str, Option(metavar="LENGTH", help="Diameter of a peg.")] = "12 mm",
    weighed: Annotated[
        Text,
        Option(
            metavar="MASS",
            help='What the hank weighs: "5.1 g", "2 1/4 oz" or "5.1 +- 0.1 g"; without +- its last '
            "digit says how well the scale tells it.",
        ),
    ] = None,
    moisture: Annotated[
        Text,
        Option(
            metavar="PART",
            help="Water in it over its dry mass when weighed; left out: the commercial regain.",
        ),
    ] = None,
    fibre: Annotated[
        Text,
        Option(
            metavar="FIBRE",
            help="cotton, wool, flax, hemp or silk; left out: the wheel's, else cotton.",
        ),
    ] = None,
    standard: Annotated[
        str, Option(metavar="NAME", help="Standard of the commercial regain.")
    ] = "ASTM D1909",
    wheel: Annotated[
        File, Option(metavar="FILE", help="The wheel whose shaft turns the reel.")
    ] = None,
    shaft: Annotated[
        Text,
        Option(
            metavar="NAME", help="That shaft; left out: one between drive and spindle, else the "
            "driving one.",
        ),
    ] = None,
    cut: Annotated[
        File, Option(metavar="FILE", help="Write an arm of the reel as a new cut file, DXF.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """A hank as it is really wound, the reel to cut for it, and the count from its weight.

    Each layer lies over the one below, so that a hank is longer than turns times girth. Five
    bunches of 200 turns of a 1 m reel are a metric hank of 1 000 m.
    """
    import wheelgeo
    from wheelgeo.units import FRACTION, LENGTH_MM, parse_quantity

    count, spun_on = (None, None) if count is None else count_of(count)
    if fibre is None:
        yarn = None if spun_on is None else spun_on.design.yarn
        fibre = "cotton" if yarn is None else yarn.fibre
    on = spun_on if wheel is None else load(wheel)
    answer = wheelgeo.hank(
        count,
        turns=turns,
        round_mm=parse_quantity(girth, LENGTH_MM, "mm"),
        lanes_mm=parse_quantity(lanes, LENGTH_MM, "mm"),
        arms=arms,
        peg_mm=parse_quantity(peg, LENGTH_MM, "mm"),
        weighed_g=weighed,
        regain_now=None if moisture is None else parse_quantity(moisture, FRACTION, ""),
        fibre=fibre,
        standard=standard,
        wheel=on,
        shaft=shaft,
    )
    if cut is not None:
        from wheelgeo.design.whole_file import write_new

        write_new(cut, answer.arm_dxf())
    if as_json:
        print_json(answer.to_json())
        return
    if on is not None:
        print_cannot_run(console(), on.solve())
    _print(console(), answer)
    if cut is not None:
        console().print(f"\nAn arm of the reel written to {cut}.")


_LEFT_OUT = " (what plying takes up left out)"


def _print(out: Terminal, answer: HankAnswer) -> None:
    out.print(f"A hank of {answer.turns} turns of {answer.round_mm / 1e3:g} m", style="bold")
    if answer.weighed is not None:
        told = answer.weighed
        most = max(
            ("the weighing", told.by_mass), ("the length", told.by_length),
            ("the moisture", told.by_moisture), key=lambda part: part[1],
        )  # fmt: skip
        out.labelled(
            "  Count   ",
            f"{figures(told.count_nm, 3)} ± {figures(told.uncertainty_nm, 2)} Nm, "
            f"{figures(told.count_tex)} ± {figures(told.uncertainty_tex, 2)} tex (95 %, at the "
            f"commercial regain); most of that is {most[0]}",
        )
        out.labelled(
            "  Weighed ",
            f"{figures(told.mass_g)} ± {figures(2.0 * told.mass_off_g, 2)} g (95 %): "
            f"{told.mass_off_by}",
        )
        if answer.plies > 1:
            out.labelled(
                "  Strands ",
                f"that is the plied yarn: each of its {answer.plies} strands is "
                f"{figures(answer.plies * told.count_nm, 3)} Nm{_LEFT_OUT}",
            )
        if answer.expected_nm is not None:
            out.labelled("  Wanted  ", f"{figures(answer.expected_nm)} Nm")
    elif answer.plies > 1 and answer.expected_nm is not None:
        left_out = "" if answer.counts_plying else _LEFT_OUT
        out.labelled(
            "  Count   ",
            f"{figures(answer.expected_nm)} Nm, {answer.plies} strands together{left_out}",
        )
    if answer.length_m is None:
        out.labelled("  Length  ", f"{answer.nominal_m:.1f} m, and what the layers add")
    else:
        over = 100.0 * (answer.length_m / answer.nominal_m - 1.0)
        out.labelled(
            "  Length  ",
            f"{answer.length_m:.2f} m really wound, {over:.2f} % more than {answer.nominal_m:g} m, "
            f"in {answer.layers} layer{'' if answer.layers == 1 else 's'}",
        )
        regain = "" if answer.weighed is None else " at the commercial regain"
        out.labelled("  Weight  ", f"{answer.mass_g:.2f} g{regain}")
    reel = answer.reel
    out.labelled(
        "  Reel    ",
        f"{reel.arms} arms; pegs of {reel.peg_diameter_mm:g} mm, their middles {reel.radius_mm:.1f}"
        f" mm from the axis; arms {reel.arm_mm:.0f} mm long from the axis, pegs {reel.peg_mm:.0f} "
        "mm",
    )
    out.labelled(
        "  Off     ",
        f"to take the hank off one peg slides in by {reel.slides_mm:.0f} mm in a slot of its arm: "
        f"once about is then {reel.slack_mm:.0f} mm shorter",
    )
    if (on := answer.on_wheel) is not None:
        other = "" if on.wound_by > 0 else "; it turns the other way than the hand"
        slowly = f"; turn slowly, at spinning speed it would turn at {grouped(on.reel_rpm)} rpm"
        out.labelled(
            "  Wheel   ",
            f'the reel on the shaft "{on.shaft}" takes {on.drive_turns:.1f} turns of the hand'
            f"{other}{slowly if on.reel_rpm > FAST_RPM else ''}",
        )
