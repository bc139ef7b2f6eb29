"""``wheelgeo check``: every finding, with its source; exit status 1 where one is a fault."""

from __future__ import annotations

import typer

from wheelgeo_cli.common import (
    FileArgument,
    JsonOption,
    console,
    count_line,
    load,
    print_findings,
    print_json,
)


def check(file: FileArgument, as_json: JsonOption = False) -> None:
    """Every finding on a wheel, with limit, remedy and source.

    Exit status: 0 no fault, 1 a finding is a fault, 2 the file is at fault.
    """
    from wheelgeo.check.every_rule import RULES
    from wheelgeo.check.facts import facts
    from wheelgeo.check.report import check_whole

    report = check_whole(load(file))
    if as_json:
        print_json(facts(report))
    else:
        out = console()
        out.print(report.design.title, style="bold")
        out.print(f"  {len(RULES)} checks: {count_line(report.findings)}.")
        print_findings(out, report.findings, with_source=True)
    if report.faults:
        raise typer.Exit(1)
