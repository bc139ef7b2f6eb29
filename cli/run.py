"""``wheelgeo run``: whether a wheel works under a hand, as a sheet for the bench."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from wheelgeo_cli.common import (
    FileArgument,
    JsonOption,
    console,
    load,
    number,
    print_findings,
    print_json,
    print_labelled,
    table,
)

if TYPE_CHECKING:
    from rich.console import Console

PlotOption = Annotated[
    Path | None,
    typer.Option(
        "--plot", metavar="FOLDER",
        help="Draw the start and the critical speeds into this folder (PNG).",
    ),
]  # fmt: skip


def run(file: FileArgument, as_json: JsonOption = False, plot: PlotOption = None) -> None:
    """Whether it runs: pulls, slip, effort, start, spindle, balance and rims.

    Everything that the file leaves out is taken as usual, and listed at the end.
    """
    from wheelgeo.check.facts_running import running_facts
    from wheelgeo.check.report import put_under_check, run_report

    report = run_report(put_under_check(load(file)))
    written = [] if plot is None else _plots(report.running, plot)
    document = running_facts(report)
    if as_json:
        print_json(document)
        return
    out = console()
    out.print(document["title"], style="bold")
    for part in (_effort, _bands, _start, _spindle, _parts):
        part(out, document)
        out.print()
    if report.findings:
        print_findings(out, report.findings)
    else:
        out.print("Nothing found wrong.")
    _assumed(out, document["assumed"])
    for path in written:
        out.print(f"Drawn: {path}")


def _plots(running: Any, folder: Path) -> list[Path]:
    from wheelgeo.shop.plots import write_plots

    return write_plots(running, folder)


def _effort(out: Console, document: dict[str, Any]) -> None:
    load = document["load"]
    limb = {"crank": "hand", "treadle": "foot", "motor": "motor"}[load["by"]]
    if load["torque_nm"] is None:
        out.print("  The effort cannot be computed, because a band's pull is not known.")
        return
    parts = [f"{load['torque_nm']:.3f} N m", f"{load['power_w']:.1f} W"]
    if load["force_n"] is not None:
        when = " while it pushes" if load["by"] == "treadle" else ""
        parts.insert(0, f"{load['force_n']:.1f} N{when}")
    out.print(f"  The {load['by']} asks of the {limb}: {', '.join(parts)}.")
    if load["force_limit_n"] is not None:
        out.print(
            f"  A {limb} keeps up {load['force_limit_n']:g} N and {load['power_limit_w']:g} W."
        )
    if load["spindle_speed_rpm"] is not None:
        out.print(f"  The spindle turns at {load['spindle_speed_rpm']:.0f} rpm under this load.")
    out.print()
    rows = table("Shaft", ">on bearings", ">bearings", ">air", ">yarn", ">bands on", ">in all")
    for shaft in load["shafts"]:
        torques = (shaft[f"{k}_nm"] for k in ("bearing", "air", "yarn", "driven", "torque"))
        rows.add_row(
            shaft["name"], number(shaft["bearing_force_n"], 1, " N"),
            *(f"{1000 * t:.2f}" for t in torques),
        )  # fmt: skip
    out.print(rows)
    out.print("  Torques in mN m: what turns each shaft, and where it goes.")


def _bands(out: Console, document: dict[str, Any]) -> None:
    rows = table(
        "Band", "on", ">pull at rest", ">wrap", ">grip ratio", ">slips at", ">at worst", ">in start"
    )
    for band in document["tension"]:
        for index, stop in enumerate(band["pulleys"]):
            first = index == 0
            rows.add_row(
                band["name"] if first else "", stop["name"],
                number(band["rest_n"], 2, " N") if first else "",
                number(stop["wrap_deg"], 0, "°"), number(stop["grip_ratio"], 2),
                _times(stop["margin"]), _times(stop["least_margin"]), _times(stop["start_margin"]),
            )  # fmt: skip
    out.print(rows)
    print_labelled(
        out, "  ",
        "Grip ratio: how many times the slack side's pull the tight side's may be. Slips at: so "
        "many times the load at working speed; at worst, with the softest and smoothest cord that "
        "its material may be; and of the hardest moment of the start.",
    )  # fmt: skip


def _times(margin: float | None) -> str:
    return "-" if margin is None else f"{margin:.2f} x"


def _start(out: Console, document: dict[str, Any]) -> None:
    start = document["start"]
    if start["torque_nm"] is None:
        out.print("  Start: cannot be worked out.")
        return
    if start["time_s"] is None:
        out.print("  Start: the wheel does not come up to speed.")
    else:
        energy = start["energy"]
        out.print(
            f"  Start: {start['time_s']:.1f} s to speed, {energy['hand_j']:.1f} J of work, "
            f"{energy['kinetic_j']:.1f} J of it in motion."
        )
    for band in start["bands"]:
        if band["slips"]:
            out.print(
                f"  {band['name']} slips for {band['slip_s']:.1f} s and turns "
                f"{band['slip_j']:.1f} J into heat."
            )


def _spindle(out: Console, document: dict[str, Any]) -> None:
    spindle = document["spindle"]
    if not spindle["cop"]:
        out.print("  Spindle: its critical speeds cannot be computed.")
        return
    out.print(
        f"  Spindle: works at {number(spindle['speed_rpm'], 0)} rpm; a tap sounds "
        f"{spindle['natural_empty_hz']:.0f} Hz empty, {spindle['natural_full_hz']:.0f} Hz full."
    )
    rows = table("Yarn on it", ">cop", ">first critical", ">second critical")
    for point in spindle["cop"][::2]:
        speeds = [f"{rpm:.0f} rpm" for rpm in point["critical_rpm"][:2]]
        rows.add_row(
            f"{point['mass_g']:.1f} g", f"{point['diameter_mm']:.1f} mm",
            *speeds, *["-"] * (2 - len(speeds)),
        )  # fmt: skip
    out.print(rows)


def _parts(out: Console, document: dict[str, Any]) -> None:
    rows = table(
        "Pulley", ">speed", ">bore true to", ">rim", ">stress at twice", ">strength over it"
    )
    for true, rim in zip(document["balance"], document["rim"], strict=True):
        rows.add_row(
            true["name"], f"{true['speed_rpm']:.0f} rpm",
            f"{true['permissible_eccentricity_mm']:.2g} mm", f"{rim['speed_m_s']:.1f} m/s",
            f"{rim['stress_at_twice_mpa']:.2g} MPa", _factor(rim["factor_at_twice"]),
        )  # fmt: skip
    out.print(rows)
    if document["balance"]:
        grade = document["balance"][0]["grade_mm_s"]
        out.print(f"  Bores: for balance grade G {grade:g} (ISO 21940-11).")
    print_labelled(
        out, "  ",
        "Stress at twice: in the rim, at twice its working speed. Strength over it: how many times "
        "that stress the material bears, wood across its grain.",
    )  # fmt: skip
    out.print("  Keep hair, sleeves and children away from bands, rims and the spindle's point.")


def _factor(factor: float | None) -> str:
    if factor is None:
        return "-"
    return "over 1000" if factor > 1000.0 else f"{factor:.0f}"


def _assumed(out: Console, assumed: list[dict[str, Any]]) -> None:
    if not assumed:
        return
    out.print("\nTaken, since the file does not say:")
    for item in assumed:
        text = f"{item['what']}: {item['taken']} ({item['source']})"
        print_labelled(out, "  ", text)
