"""What ``wheelgeo bands`` says without a file: the band of an old wheel from a few measurements."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from wheelgeo_cli.common import console, grouped, length, print_assumed, print_json, save_new

if TYPE_CHECKING:
    from wheelgeo import OldWheelAnswer

SKETCH = """\
          ___wheel___                         whorl
        /             \\ -------------------- __
       |       o       |                     (o )      o  axle and spindle
        \\ ___________/  -------------------- --
               |<----------- apart ----------->|
"""

QUESTIONS = (
    ("wheel", "Diameter of the wheel's rim, outside"),
    ("groove", "Depth of its groove (Enter: a plain rim)"),
    ("whorl", "Diameter of the whorl, outside"),
    ("whorl_groove", "Depth of its groove (Enter: a plain rim)"),
    ("apart", "From the middle of the axle to the middle of the spindle"),
    ("cord", "The cord, as in: 3 mm cotton cord"),
)


def say_old_wheel(
    file: Path | None,
    told: Mapping[str, str],
    crossed: bool,
    save: Path | None,
    have: str | None,
    as_json: bool,
) -> None:
    """Print the band of an old wheel, or save the wheel."""
    import wheelgeo
    from wheelgeo.errors import SearchError

    if file is not None:
        raise SearchError("give a design file, or the measurements of an old wheel, not both")
    if not any(told.values()):
        if not sys.stdin.isatty():
            raise SearchError(
                "nothing to go by: give a design file, or --wheel, --whorl, --apart and --cord"
            )
        told, crossed = _asked()
    answer = wheelgeo.old_wheel(**told, crossed=crossed)
    if answer.answer.bands[0].length_mm is None:
        why = "; ".join(f.says for f in answer.answer.findings if f.rule == "no-path")
        raise SearchError(f"no band fits what was measured: {why}; measure the distance once more")
    if save is not None:
        save_new(answer.wheel, save)
    if have is not None:
        from wheelgeo_cli.bands_to_have import say_bands_to_have

        say_bands_to_have(answer.wheel, None, have, as_json)
        return
    if as_json:
        print_json(answer.to_json())
        return
    _print(answer, answer.wheel.design.unit)
    if save is not None:
        console().print(f"The wheel is written to {save}.")


def _asked() -> tuple[dict[str, str], bool]:
    """Ask for the measurements, one at a time."""
    out = console()
    out.print(SKETCH)
    out.print("Write lengths with their unit, as on the rule: 21 1/2 in, or 545 mm.")
    told = {}
    for key, question in QUESTIONS:
        told[key] = input(f"{question}: ").strip()
    crossed = input("Does the band cross? (y/N): ").strip().casefold().startswith("y")
    rest = ("girth", "whorl_girth", "edge_to_edge", "over_axles", "axle", "rod", "double", "slide")
    return {**dict.fromkeys(rest, ""), **told}, crossed


def _print(answer: OldWheelAnswer, unit: str) -> None:
    from wheelgeo_cli.bands import print_joints
    from wheelgeo_cli.solve import sureness

    out, told = console(), answer.answer
    (band,) = told.bands

    assert told.ratio is not None
    assert band.length_mm is not None
    out.print(f"Cut the cord {length(band.cut_with_joint_mm, unit)} long.", style="bold")
    out.labelled(
        "  ",
        f"That is {length(band.cut_length_mm, unit)} and {band.joint_mm:g} mm for the joint; in "
        f"place the band is {length(band.length_mm, unit)} long.",
    )
    how_sure = sureness(band, unit) or "how sure this is cannot be told"
    out.labelled("  ", how_sure[0].upper() + how_sure[1:])
    half = "" if told.ratio_uncertainty is None else f" ± {told.ratio_uncertainty:.2f}"
    out.labelled("  ", f"Ratio: {told.ratio:.2f}{half} turns of the spindle per turn of the wheel.")
    if band.slide is not None:
        out.labelled(
            "  ",
            "Tie it with the spindle where you measured, which is taken as the middle of its "
            "slide.",
        )
    print_joints(out, band, answer.wheel, unit)
    for finding in told.findings:
        if finding.level != "note":
            out.labelled(f"  {finding.level.upper()} ", f"{finding.says}.")
    turns = grouped(told.ratio * 60.0)
    out.labelled(
        "  ",
        f"At 60 turns of the wheel a minute the spindle makes {turns}. Keep fingers, hair and "
        "sleeves away from band and spindle.",
    )
    print_assumed(out, (*answer.assumed, *band.assumed))
