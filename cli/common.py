"""What every command shares: reading the file, how numbers are written, printing, JSON."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from wheelgeo.units import in_inches
from wheelgeo.units.quantity import INCHES
from wheelgeo.units.written import grouped as grouped  # noqa: PLC0414 - every command takes it from here
from wheelgeo.units.written import in_both, told_in
from wheelgeo_cli.arguments import Argument, Option
from wheelgeo_cli.terminal import ScreenTable, Terminal, told

if TYPE_CHECKING:
    from wheelgeo import Answer, Finding, RetuneAnswer, Wheel
    from wheelgeo.built.assumed import Assumption

FileArgument = Annotated[
    Path, Argument(metavar="FILE", help="The design file of a wheel (TOML).")
]
JsonOption = Annotated[
    bool, Option("--json", help="Print one JSON document and nothing else.")
]

LEVEL_STYLE = {"fault": "bold red", "warning": "yellow", "note": "cyan"}


def console() -> Terminal:
    """Return where people read."""
    return Terminal()


def table(*headings: str) -> ScreenTable:
    """Return a table; a heading that starts with ``>`` stands over numbers, set right."""
    return ScreenTable(headings)


def load(file: Path) -> Wheel:
    """Read a design file; DesignError where it is at fault."""
    import wheelgeo

    return wheelgeo.load(file)


def count_of(word: str) -> tuple[str, Wheel | None]:
    """Return the count that a word says, and the wheel where the word is its design file's name.

    Raises:
        QuantityError: the wheel's file names no yarn.
    """
    from wheelgeo.errors import QuantityError

    path = Path(word)
    if path.suffix != ".toml" and not path.is_file():
        return word, None
    wheel = load(path)
    yarn = wheel.design.yarn
    if yarn is None:
        raise QuantityError(f"{word} has no [yarn] table")
    plies = "" if yarn.count.plies == 1 else f"{yarn.count.plies} x "
    return f"{plies}{yarn.count.value!r} {yarn.count.system}", wheel


def quoted(file: Path) -> str:
    """Return a file's name as it is typed at a shell."""
    import shlex

    return shlex.quote(str(file))


def save_new(wheel: Wheel, target: Path) -> str:
    """Write a wheel to a new file, never over another one; OutputError where it cannot be.

    Returns:
        What is to be said of the comments that it keeps; empty where that is nothing.
    """
    from wheelgeo.design.comments import comments_in_words
    from wheelgeo.design.whole_file import write_new

    text = wheel.to_toml()
    write_new(target, text)
    return comments_in_words(wheel.text, text)


def print_comments(out: Terminal, words: str) -> None:
    """Print what is to be said of comments that a written file keeps."""
    if words:
        out.labelled("  ", f"{words}.")


def print_json(document: Any) -> None:
    """Print one JSON document; a number that is not finite is a mistake of ours, and raises."""
    text = json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False)
    with told(sys.stdout):
        sys.stdout.flush()
        sys.stdout.buffer.write((text + "\n").encode("utf-8"))


def figures(value: float, digits: int = 4) -> str:
    """Return a number as findings write it; of more places than figures, its thousands set apart.

    Example: ``figures(1333.3)`` is ``"1333"``, ``figures(13333.3)`` is ``"13 330"``.
    """
    from wheelgeo.units.in_full import figures as as_in_findings

    text = as_in_findings(value, digits)
    return grouped(float(text)) if abs(float(text)) >= 10.0**digits else text


def number(value: float | None, digits: int = 1, unit: str = "") -> str:
    """Return a number with its unit; a dash where there is none."""
    return "-" if value is None else f"{grouped(value, digits)}{unit}"


def length(value_mm: float | None, unit: str = "mm", digits: int = 1) -> str:
    """Return a length in millimetres and in inches; a dash for none.

    The unit of the person's file comes first.
    """
    return "-" if value_mm is None else in_both(value_mm, unit, digits)


def own_length(length_mm: float, unit: str) -> str:
    """Return a length in the unit of a file alone: inches, or millimetres to a tenth."""
    return in_inches(length_mm) if unit in INCHES else f"{grouped(length_mm, 1)} mm"


def print_findings(
    out: Terminal, findings: tuple[Finding, ...], unit: str, with_source: bool = False,
    numbered: bool = False,
) -> None:  # fmt: skip
    """Print findings, each with its level, sentence and remedy, numbered for ``--apply``.

    Lengths are told in the unit of the person's file, where that is inches.
    """
    from wheelgeo.check.told_together import begin_with, told_ways

    told = told_ways(findings, look=True, numbered=numbered)
    for i, (finding, ways) in enumerate(zip(findings, told, strict=True), start=1):
        lead = f"{i:>2} " if numbered else ""
        hang = " " * (len(lead) + 9)
        label = f"{lead}{finding.level.upper():<9}"
        says = f"{finding.rule}: {in_own_unit(finding.says, unit)}."
        out.labelled(label, says, LEVEL_STYLE[finding.level])
        for label, way in zip(("Remedy: ", *(["    or: "] * len(ways))), ways, strict=False):
            out.labelled(f"{hang}{label}", f"{in_own_unit(way.says, unit)}.")
        if finding.certainty == "likely":
            sure = f"likely, within what is known; to be sure, measure {finding.settled_by}"
            out.labelled(f"{hang}How sure: ", f"{sure}.")
        if with_source and finding.source:
            out.labelled(f"{hang}Source: ", f"{finding.source}.", "dim")
    if numbered and (begin := begin_with(findings)):
        out.print()
        out.print(f"{begin}.")


def in_own_unit(words: str, unit: str) -> str:
    """Return a sentence in the unit of a file, where that is inches."""
    return told_in(words, "in/64" if unit in INCHES else "mm")


def print_cannot_run(out: Terminal, answer: Answer | RetuneAnswer) -> None:
    """Say before any speed that a wheel cannot run, where a band has no path; else nothing."""
    if answer.cannot_run:
        out.labelled("  Cannot run: ", f"{answer.cannot_run}.", LEVEL_STYLE["fault"])


def count_line(findings: tuple[Finding, ...]) -> str:
    """Return how many findings there are of each level, in words."""
    counts = {level: sum(f.level == level for f in findings) for level in LEVEL_STYLE}
    parts = [f"{n} {level}{'' if n == 1 else 's'}" for level, n in counts.items() if n]
    return ", ".join(parts) or "nothing found wrong"


def print_assumed(
    out: Terminal, assumed: Iterable[Assumption], why: str = "the file does not say",
    unit: str = "mm",
) -> None:  # fmt: skip
    """Print what was assumed; every command says it in this way, and in the file's inches."""
    found = list(dict.fromkeys(assumed))
    if not found:
        return
    out.print()
    out.print(f"Assumed, because {why}:")
    for item in found:
        out.labelled("  ", f"{item.what}: {in_own_unit(item.taken, unit)} ({item.source})")
