"""``wheelgeo check``: every finding, with its source; exit status 1 where one is a fault."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from wheelgeo_cli.common import (
    FileArgument,
    JsonOption,
    console,
    count_line,
    load,
    print_findings,
    print_json,
    print_labelled,
)

if TYPE_CHECKING:
    from wheelgeo.check.finding import Finding
    from wheelgeo.check.report import Report
    from wheelgeo.design.model import Design


def check(
    file: FileArgument,
    apply: Annotated[
        int | None,
        typer.Option(
            metavar="N",
            min=1,
            help="Do what the remedy of finding N says, and check the wheel anew.",
        ),
    ] = None,
    write: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="With --apply: write that wheel, comments kept, to a new FILE."
        ),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Every finding on a wheel, with limit, remedy and source.

    Exit status: 0 no fault, 1 a finding is a fault, 2 the file is at fault, or there is no remedy
    to apply.
    """
    from wheelgeo.check.facts import facts
    from wheelgeo.check.report import check_whole

    if write is not None and apply is None:
        raise typer.BadParameter("it needs --apply N", param_hint="--write")
    design = load(file)
    report = check_whole(design)
    applied = None
    if apply is not None:
        applied, changed = _apply(report, apply)
        if write is not None:
            _write(file, write, changed)
        report = check_whole(changed)
    if as_json:
        done = {} if applied is None else {"applied": _applied_facts(applied)}
        print_json({**done, **facts(report)})
    else:
        _print(report, applied, apply, write)
    if report.faults:
        raise typer.Exit(1)


def _apply(report: Report, number: int) -> tuple[Finding, Design]:
    """Return a finding and the wheel on which its remedy was applied; SearchError for neither."""
    from wheelgeo.errors import SearchError

    if number > len(report.findings):
        has = count_line(report.findings)
        raise SearchError(f"there is no finding {number} to apply a remedy of: the check has {has}")
    finding = report.findings[number - 1]
    changed: Design | None = finding.remedy.apply()
    if changed is None:
        raise SearchError(
            f"finding {number}, {finding.rule}, has no remedy to apply, only advice: "
            f"{finding.remedy.says}"
        )
    return finding, changed


def _write(file: Path, target: Path, changed: Design) -> None:
    from wheelgeo.design.library import write_new
    from wheelgeo.design.reader import read_text
    from wheelgeo.design.writer import rewrite_as

    write_new(target, rewrite_as(read_text(file), changed))


def _applied_facts(finding: Finding) -> dict[str, object]:
    from wheelgeo.check.edits import edit_facts
    from wheelgeo.check.finding import finding_facts

    return {
        "finding": finding_facts(finding),
        "sound": finding.remedy.sound,
        "edits": [edit_facts(one) for one in finding.remedy.edits],
    }


def _print(
    report: Report, applied: Finding | None, number: int | None, written: Path | None
) -> None:
    from wheelgeo.check.edits import edit_facts
    from wheelgeo.check.every_rule import RULES

    out = console()
    out.print(report.design.title, style="bold")
    if applied is not None:
        print_labelled(out, f"  Finding {number}: ", f"{applied.rule}: {applied.says}.")
        for fact in map(edit_facts, applied.remedy.edits):
            change = f"{fact['key']}: {_value(fact['before'])} to {_value(fact['after'])}"
            print_labelled(out, "  Changed: ", change)
        if written is not None:
            print_labelled(out, "  Written: ", str(written))
    with_it = "" if applied is None else " with that"
    out.print(f"  {len(RULES)} checks{with_it}: {count_line(report.findings)}.")
    print_findings(out, report.findings, with_source=True, numbered=True)


def _value(value: object) -> str:
    return "not given" if value is None else str(value)
