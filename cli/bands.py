"""``wheelgeo bands``: every band in full, for the one who cuts, joins and fits it."""

from __future__ import annotations

from wheelgeo_cli.common import (
    FileArgument,
    JsonOption,
    console,
    length,
    load,
    number,
    print_json,
    table,
)


def bands(file: FileArgument, as_json: JsonOption = False) -> None:
    """Band lengths, runs, wraps and the angles at which each band arrives and leaves.

    Lengths are of the cord's centre-line. An angle is positive along the pulley's axis.
    """
    from wheelgeo.check.facts import facts
    from wheelgeo.check.report import check_design
    from wheelgeo_cli.solve import print_bands

    report = check_design(load(file))
    document = facts(report)
    if as_json:
        print_json({"title": document["title"], "bands": document["bands"]})
        return
    out = console()
    out.print(report.design.title, style="bold")
    print_bands(out, document, report.design.unit)
    for band in document["bands"]:
        out.print()
        out.print(f"{band['name']}", style="bold")
        if band["length_mm"] is None:
            out.print("  has no path: see `wheelgeo check`")
            continue
        rows = table("Pulley", ">pitch diameter", ">wrap", ">arrives at", ">leaves at")
        for stop in band["pulleys"]:
            rows.add_row(
                stop["name"],
                length(stop["pitch_diameter_mm"], report.design.unit, 2),
                number(stop["wrap_deg"], 1, "°"),
                number(stop["arriving_deg"], 2, "°"),
                number(stop["leaving_deg"], 2, "°"),
            )
        out.print(rows)
        runs = table("Run from", "to", ">length")
        for run in band["runs"]:
            runs.add_row(run["from"], run["to"], length(run["length_mm"], report.design.unit))
        out.print(runs)
    out.print()
    out.print(
        "An angle is off the pulley's mid-plane: positive where the run heads along its axis."
    )
