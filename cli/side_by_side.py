"""Several wheels side by side: what ``wheelgeo solve A B`` prints."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from wheelgeo_cli.common import (
    console,
    count_line,
    grouped,
    length,
    print_cannot_run,
    print_findings,
    table,
)

if TYPE_CHECKING:
    from wheelgeo import Answer
    from wheelgeo_cli.terminal import Terminal


def print_side_by_side(files: list[Path], answers: list[Answer]) -> None:
    """Print what a person needs first of several wheels, a column for each.

    Of two wheels a last column says by how much the second differs from the first.
    """
    out = console()
    names = [f.stem for f in files]
    if len(set(names)) < len(names):
        names = [str(f) for f in files]
    for name, answer in zip(names, answers, strict=True):
        out.labelled(f"{name}: ", answer.title)
        print_cannot_run(out, answer)
    out.print()
    differ = [">second against first"] if len(answers) == 2 else []
    rows = table("", *(f">{n}" for n in names), *differ)
    for label, value, digits, unit in _NUMBERS:
        values = [value(a) for a in answers]
        if any(v is not None for v in values):
            shown = ["-" if v is None else f"{grouped(v, digits)}{unit}" for v in values]
            rows.add_row(label, *shown, *([_against(values)] if differ else []))
    for label, words in _WORDS:
        said = [words(a) for a in answers]
        if any(said):
            rows.add_row(label, *(s or "-" for s in said), *([""] if differ else []))
    out.print(rows)
    out.print()
    _print_bands(out, names, answers)
    for name, answer in zip(names, answers, strict=True):
        if answer.findings:
            out.print()
            out.print(f"{name}:", style="bold")
            print_findings(out, answer.findings, answer.design.unit)
    out.print("Next: `wheelgeo check FILE` also checks slip, effort and vibration of each.")


def _print_bands(out: Terminal, names: list[str], answers: list[Answer]) -> None:
    """Print the bands of every wheel: two wheels rarely have the same."""
    rows = table("Wheel", "band to cut", ">cut, joint included", ">in place", ">stretch")
    for name, answer in zip(names, answers, strict=True):
        for index, band in enumerate(answer.bands):
            unit = answer.design.unit
            rows.add_row(
                "" if index else name, band.name, length(band.cut_with_joint_mm, unit),
                length(band.length_mm, unit), f"{100 * band.stretch:g} %",
            )  # fmt: skip
    out.print(rows)
    for name, answer in zip(names, answers, strict=True):
        unit = answer.design.unit
        for band in answer.bands:
            if text := band.to_tie_by(partial(length, unit=unit)):
                out.labelled(f"  {name}, {band.name}: ", f"{band.joint}{text}.")


def _against(values: list[float | None]) -> str:
    first, second = values
    if first is None or second is None or first == 0.0:
        return "-"
    change = 100.0 * (second / first - 1.0)
    return "the same" if abs(change) < 0.05 else f"{change:+.1f} %"


def _metres_per_hour(answer: Answer) -> float | None:
    spinning = None if answer.yarn is None else answer.yarn.spinning
    return None if spinning is None else spinning.metres_per_hour


def _hank_hours(answer: Answer) -> float | None:
    spinning = None if answer.yarn is None else answer.yarn.spinning
    return None if spinning is None else spinning.metric_hank.hours


_NUMBERS: tuple[tuple[str, Callable[[Answer], float | None], int, str], ...] = (
    ("ratio", lambda a: a.ratio, 2, ""),
    ("± (95 %)", lambda a: a.ratio_uncertainty, 2, ""),
    ("spindle speed", lambda a: a.spindle.speed_rpm, 0, " rpm"),
    ("drive speed", lambda a: a.design.drive.speed_rpm, 0, " rpm"),
    ("twist wanted", lambda a: a.twist.turns_per_metre, 0, " per metre"),
    ("drive turns a metre", lambda a: a.twist.drive_turns_per_metre, 2, ""),
    ("drive turns a draw", lambda a: a.twist.drive_turns_per_draw, 2, ""),
    ("yarn an hour", _metres_per_hour, 0, " m"),
    ("a hank of 1 000 m", _hank_hours, 1, " h"),
    (
        "least twist, empty",
        lambda a: None if a.wind_on is None else a.wind_on.empty.least_turns_per_metre,
        0, " per metre",
    ),
    (
        "least twist, full",
        lambda a: None if a.wind_on is None else a.wind_on.full.least_turns_per_metre,
        0, " per metre",
    ),
    (
        "brake's pull, empty",
        lambda a: None if a.wind_on is None else a.wind_on.empty.yarn_pull_n, 2, " N",
    ),
    (
        "brake's pull, full",
        lambda a: None if a.wind_on is None else a.wind_on.full.yarn_pull_n, 2, " N",
    ),
)  # fmt: skip


def _count(answer: Answer) -> str:
    yarn = answer.design.yarn
    return "" if yarn is None else f"{yarn.count.value:g} {yarn.count.system}"


_WORDS: tuple[tuple[str, Callable[[Answer], str]], ...] = (
    ("yarn", _count),
    ("twist", lambda a: a.twist.direction or ""),
    ("leads", lambda a: "" if a.wind_on is None else f"{a.wind_on.leads} ({a.wind_on.by})"),
    ("found", lambda a: count_line(a.findings)),
)
