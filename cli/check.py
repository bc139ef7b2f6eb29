"""``wheelgeo check``: every finding, with its source; exit status 1 where one is a fault."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from wheelgeo_cli.arguments import MisusedError, Option
from wheelgeo_cli.common import (
    FileArgument,
    JsonOption,
    console,
    count_line,
    in_own_unit,
    load,
    print_assumed,
    print_comments,
    print_findings,
    print_json,
    quoted,
    save_new,
)

if TYPE_CHECKING:
    from wheelgeo import Answer, Finding, Wheel
    from wheelgeo.design.model import Design


def check(
    file: FileArgument,
    apply: Annotated[
        int | None,
        Option(
            metavar="N",
            min=1,
            help="Do what the remedy of finding N says, and check the wheel anew.",
        ),
    ] = None,
    write: Annotated[
        Path | None,
        Option(
            metavar="FILE", help="With --apply: write that wheel, comments kept, to a new FILE."
        ),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Every finding on a wheel, with limit, remedy and source.

    Exit status: 0 no fault, 1 a finding is a fault, 2 the file is at fault, or there is no remedy
    to apply.
    """
    if write is not None and apply is None:
        raise MisusedError("--write: it needs --apply N")
    wheel = load(file)
    answer = wheel.check()
    applied, comments = None, ""
    if apply is not None:
        applied, changed = _apply(answer, apply)
        if write is not None:
            comments = save_new(changed, write)
        answer = changed.check()
    if as_json:
        done = {} if applied is None else {"applied": _applied(applied)}
        print_json({**done, **answer.to_json()})
    else:
        _print(file, answer, applied, apply, write, wheel.design, comments)
    if answer.faults:
        sys.exit(1)


def _apply(answer: Answer, number: int) -> tuple[Finding, Wheel]:
    """Return a finding and the wheel on which its remedy was applied; SearchError for neither."""
    from wheelgeo.errors import SearchError

    if number > len(answer.findings):
        has = count_line(answer.findings)
        raise SearchError(f"there is no finding {number} to apply a remedy of: the check has {has}")
    finding = answer.findings[number - 1]
    changed: Wheel | None = finding.remedy.apply()
    if changed is None:
        raise SearchError(
            f"finding {number}, {finding.rule}, has no remedy to apply, only advice: "
            f"{in_own_unit(finding.remedy.says, answer.design.unit)}"
        )
    return finding, changed


def _applied(finding: Finding) -> dict[str, object]:
    from wheelgeo.as_json import to_json
    from wheelgeo.check.edits import as_in_file

    return {
        "finding": to_json(finding),
        "sound": finding.remedy.sound,
        "edits": [to_json(as_in_file(one)) for one in finding.remedy.edits],
    }


def _print(
    file: Path, answer: Answer, applied: Finding | None, number: int | None, written: Path | None,
    today: Design, comments: str,
) -> None:
    """Print the answer; where a remedy was applied, first what it changed on the wheel of today."""
    from wheelgeo.check.change_words import change_in_words
    from wheelgeo.check.every_rule import RULES

    out = console()
    out.print(answer.title, style="bold")
    if applied is not None:
        says = in_own_unit(applied.says, answer.design.unit)
        out.labelled(f"  Finding {number}: ", f"{applied.rule}: {says}.")
        for one in applied.remedy.edits:
            change = in_own_unit(change_in_words(today, one), today.unit)
            out.labelled("  Changed: ", f"{one.key}: {change}")
        if written is None:
            out.labelled("  Not written: ", "--write NEW.toml keeps the wheel changed so.")
        else:
            out.labelled("  Written: ", str(written))
            print_comments(out, comments)
    with_it = "" if applied is None else " with that"
    asked = sum(rule.asked_of(answer.design) for rule in RULES)
    out.print(f"  {asked} checks{with_it}: {count_line(answer.findings)}.")
    print_findings(out, answer.findings, answer.design.unit, with_source=True, numbered=True)
    print_assumed(out, answer.assumed, unit=answer.design.unit)
    if applied is not None and written is None:
        return  # what stands above is of no file yet
    more = f"`wheelgeo run {quoted(written or file)}` gives the figures, and all that they assume."
    out.labelled("Next: ", more)
