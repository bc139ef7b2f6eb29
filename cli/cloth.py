"""``wheelgeo cloth``: yarn, weight and hours for a piece of cloth."""

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
    print_assumed,
    print_cannot_run,
    print_json,
)

if TYPE_CHECKING:
    from wheelgeo.cloths import ClothAnswer
    from wheelgeo_cli.terminal import Terminal

Text = str | None
File = Path | None


def cloth(
    warp: Annotated[
        str,
        Argument(
            metavar="WARP|FILE", help='Count of the warp: "40 Nm", or the wheel that spins it.'
        ),
    ],
    sett: Annotated[
        str, Option(metavar="ENDS", help='Ends to the centimetre, or "24 per cm", "60 epi".')
    ],
    weft: Annotated[Text, Option(metavar="COUNT", help="Count of the weft; as WARP.")] = None,
    picks: Annotated[
        Text, Option(metavar="PICKS", help='Picks likewise, as "23" or "58 ppi"; as the ends.')
    ] = None,
    length: Annotated[str, Option(metavar="LENGTH", help="Length of the cloth.")] = "1 m",
    width: Annotated[str, Option(metavar="LENGTH", help="Its width.")] = "1 m",
    crimp: Annotated[
        Text, Option(metavar="PART", help="How much longer the threads are than the cloth; 5 %.")
    ] = None,
    loom_waste: Annotated[
        Text, Option(metavar="LENGTH", help="Warp that cannot be woven off; none.")
    ] = None,
    waste: Annotated[Text, Option(metavar="PART", help="Part of all yarn lost; none.")] = None,
    wheel: Annotated[
        File, Option(metavar="FILE", help="The wheel that spins it, for the hours.")
    ] = None,
    fibre: Annotated[
        Text,
        Option(
            metavar="FIBRE",
            help="Of the warp, for its closest sett; if left out, the wheel's, or cotton.",
        ),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Yarn for a piece of cloth, its weight to the square metre, hanks and hours of spinning."""
    import wheelgeo
    from wheelgeo.design.file_kinds import read_count
    from wheelgeo.units import FRACTION, LENGTH_MM, parse_quantity
    from wheelgeo_cli.solve import driver

    warp, spun_on = count_of(warp)
    on = spun_on if wheel is None else load(wheel)
    metres = [
        None if text is None else parse_quantity(text, LENGTH_MM, "m") / 1000.0
        for text in (length, width, loom_waste)
    ]
    crimped, lost = (
        None if text is None else parse_quantity(text, FRACTION, "") for text in (crimp, waste)
    )
    answer = wheelgeo.cloth(
        warp, weft, ends_per_cm=sett, picks_per_cm=picks, length_m=metres[0] or 0.0,
        width_m=metres[1] or 0.0,
        warp_crimp=crimped, weft_crimp=crimped, loom_waste_m=metres[2], waste=lost,
        wheel=on, fibre=fibre,
    )  # fmt: skip
    if as_json:
        print_json(answer.to_json())
        return
    if on is not None:
        print_cannot_run(console(), on.solve())
    plied = any(read_count(text).plies > 1 for text in (warp, weft or warp))
    _print(console(), answer, plied, "hand" if on is None else driver(on.design.drive.by))


def _print(out: Terminal, answer: ClothAnswer, plied: bool, turned: str) -> None:
    from wheelgeo_cli.solve import hours

    hanks = f"{answer.metric_hanks} hank{'' if answer.metric_hanks == 1 else 's'} of 1 000 m"
    out.labelled(
        "  Yarn    ",
        f"{grouped(answer.together_m)} m ({hanks}), {answer.grams:.0f} g: warp "
        f"{grouped(answer.warp_m)} m, weft {grouped(answer.weft_m)} m",
    )
    if plied:
        left_out = "" if answer.counts_plying else " (what plying takes up left out)"
        out.labelled(
            "  Counts  ",
            f"warp {figures(answer.warp_nm)} Nm, weft {figures(answer.weft_nm)} Nm, all strands"
            f"{left_out}",
        )
    out.labelled("  Weight  ", f"{answer.grams_per_m2:.0f} g to the square metre, without finish")
    closest = answer.closest_sett_per_inch / 2.54
    sett = f"closest in plain weave: {closest:.1f} ends of it to the cm"
    if answer.too_close:
        sett += "; these ends and picks are more, and cannot be woven so in plain weave"
    out.labelled("  Sett    ", sett)
    if answer.hours is not None:
        turns = "" if answer.drive_turns is None else f"{grouped(answer.drive_turns)} turns"
        out.labelled(
            "  Spinning ",
            f"{hours(answer.hours)}, {turns} of the {turned}; what is plied is spun and plied",
        )
    print_assumed(out, answer.assumed, "it was not said")
