"""``wheelgeo measure``: what the measurements of a wheel say together."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from wheelgeo_cli.arguments import Option
from wheelgeo_cli.common import (
    FileArgument,
    JsonOption,
    console,
    figures,
    length,
    load,
    number,
    print_json,
    save_new,
    table,
)

if TYPE_CHECKING:
    from wheelgeo import MeasureAnswer
    from wheelgeo.tune.adjust import Suspicion
    from wheelgeo_cli.terminal import Terminal

SAME_MM = 0.01
"""A length moved by less than this is told as it was: 6.35 mm is no 6.3 before and 6.4 after."""
WORTH_TELLING = 0.05
"""Part of a variance that is worth one more measurement."""

Target = Path | None


def measure(
    file: FileArgument,
    write: Annotated[
        Target,
        Option(metavar="FILE", help="Write the wheel with the values after to a new FILE."),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """What the measurements say together: values after, how sure, and what disagrees.

    Numbers of the file that have an uncertainty ("17 3/4 +- 1/8 in") and the results under
    [[measured]] are adjusted to one another by weighted least squares. Uncertainties are at 95 %.
    """
    from wheelgeo.errors import SearchError

    wheel = load(file)
    answer = wheel.measure()
    if write is not None and answer.disagree:
        raise SearchError(
            f"{', '.join(answer.disagree)}: measure again before the result is written; "
            "these measurements disagree"
        )
    if write is not None:
        save_new(answer.wheel, write)
    if as_json:
        print_json(answer.to_json())
        return
    out, unit = console(), wheel.design.unit
    out.print(wheel.title, style="bold")
    _print_values(out, answer, unit)
    _print_results(out, answer, unit)
    _print_verdict(out, answer, unit)
    if write is not None:
        told = (
            "the values and what was measured, as they fit together, each with the +- that it was "
            "read with: wheelgeo bands and measure tell of them what stands here"
        )
        if answer.simulated:
            told = (
                "the values with their simulated +-, without [[measured]], which they hold now. A "
                "file takes them as measured apart: its bands are told less sure than here"
            )
        out.labelled("", f"Written to {write}: {told}.")


def _print_values(out: Terminal, answer: MeasureAnswer, unit: str) -> None:
    rows = table("Value", ">before", ">after", ">+- at 95 %", ">normalised residual")
    for v in answer.values:
        rows.add_row(
            v.name,
            "not measured" if v.name in answer.untold else
            _figure(v.before, v.unit, unit, v.name),
            _figure(_settled(v.after, v.before, v.unit), v.unit, unit, v.name),
            _figure(v.uncertainty, v.unit, unit, v.name),
            number(v.normalised, 1),
        )  # fmt: skip
    out.print(rows)


def _settled(after: float, before: float, of: str) -> float:
    """Return a figure after: the one before where none but rounding would tell them apart."""
    return before if of == "mm" and abs(after - before) < SAME_MM else after


def _print_results(out: Terminal, answer: MeasureAnswer, unit: str) -> None:
    if answer.measured:
        rows = table("Measured", ">is", ">after", ">residual", ">normalised residual")
        for m in answer.measured:
            rows.add_row(
                m.what,
                _figure(m.is_, m.unit, unit, m.what),
                _figure(_settled(m.after, m.is_, m.unit), m.unit, unit, m.what),
                _figure(m.residual, m.unit, unit, m.what),
                number(m.normalised, 1),
            )
        out.print(rows)
    rows = table("After", ">is", ">+- at 95 %")
    for band in answer.bands:
        known, cut = band.length_uncertainty_mm, band.cut_length_uncertainty_mm
        rows.add_row(f"{band.name}, in place", length(band.length_mm, unit), length(known, unit))
        rows.add_row(
            f"{band.name}, cut with joint", length(band.cut_with_joint_mm, unit), length(cut, unit)
        )
    rows.add_row("ratio", number(answer.ratio, 2), number(answer.ratio_uncertainty, 2))
    out.print(rows)
    for band in answer.bands:
        if text := band.to_tie_by(partial(length, unit=unit)):
            out.labelled(f"  {band.name}: ", f"{band.joint}{text}.")


def _print_verdict(out: Terminal, answer: MeasureAnswer, unit: str) -> None:
    """Say what disagrees, what is not checked, what was simulated and what would help."""
    for note in answer.notes:
        out.labelled("Mind: ", note if note.endswith("?") else f"{note}.")
    if answer.spare == 0:
        out.print(
            "Too few measurements to check one another: every one is needed, so that none can "
            "disagree. Measure one thing more, such as a string round the band's path."
        )
    elif not answer.suspicions:
        out.print("No measurement disagrees with the others.")
    for one in answer.suspicions:
        names, off = ", ".join(one.names), f"normalised residual {figures(one.normalised, 3)}"
        if not one.names:
            out.print(
                "No wheel comes near these measurements together, whichever one of them is left "
                f"out ({off}): more than one is wrong. Measure everything once more."
            )
        elif len(one.names) > 1:
            lead = "One of these is wrong, and they cannot be told apart"
            out.print(f"{lead}: {names} ({off}).")
        else:
            sure = (
                "over 99.9 % sure that it is this"
                if one.sure > 0.999
                else f"{100.0 * one.sure:.0f} % sure that it is this"
            )
            out.print(f"Disagrees: {names} ({off}; {sure}).")
        # While another is wrong as well, nobody knows what the first should be.
        if one.names and one is answer.suspicions[-1]:
            _print_ways_out(out, answer, one, unit)
    if answer.suspicions:
        out.print("Until that is settled, the values, bands and ratio above are of no use.")
        return
    if answer.simulated:
        out.print("The formula is too rough here; simulated 95 % intervals:")
        told = [(v.name, v.low, v.high, v.unit) for v in answer.values]
        told += [(r.name, r.low, r.high, r.unit) for r in answer.results]
        for name, low, high, of in told:
            ends = f"{_figure(low, of, unit, name)} to {_figure(high, of, unit, name)}"
            out.labelled("  ", f"{name}: {'not known' if low is None else ends}")
    _print_helps(out, answer)


def _print_helps(out: Terminal, answer: MeasureAnswer) -> None:
    """Say what one more measurement would help most."""
    for result, value, part in answer.helps:
        if part < WORTH_TELLING:
            continue
        without = ""
        if result.endswith(".cut_length"):
            whole = result.removesuffix("length") + "with_joint"
            without = f" (without its joint; {whole}, with it, is as sure)"
        again = "itself" if value in answer.untold else "once more"
        out.print(
            f"For {result}{without}, measuring {value} {again} helps most: "
            f"+- then {100.0 * (1.0 - part) ** 0.5:.0f} % of now."
        )


def _print_ways_out(out: Terminal, answer: MeasureAnswer, one: Suspicion, unit: str) -> None:
    """Say what each suspect would have to be if it is the wrong one, the easiest to read first."""
    read = {v.name: (v.before, v.unit) for v in answer.values}
    read |= {m.what: (m.is_, m.unit) for m in answer.measured}
    told = []
    for name, error in zip(one.names, one.errors, strict=True):
        before, of = read[name]
        rank, how = _measured_again(name)
        now, was = (_figure(x, of, unit, name) for x in (before - error, before))
        told.append((rank, f"{name}, {how}: about {now} would agree with the rest, {was} was read"))
    lead = "Measure again" if len(told) == 1 else "Measure again, the easiest first"
    out.print(f"{lead}:")
    for _, text in sorted(told, key=lambda way: way[0]):
        out.labelled("  ", f"{text}.")


def _measured_again(name: str) -> tuple[int, str]:
    """Return how easily something is measured again, 0 the easiest, and how; common practice."""
    kind = name.rpartition(".")[2].partition(" (")[0]  # what was measured twice is numbered
    ways = (
        (("ratio", "speed"), "count the turns again"),
        (("x", "y", "z", "offset"), "measure the place again, middle to middle"),
        (("rim", "diameter"), "measure across again, two ways"),
        (("length", "cut_length", "cut_with_joint"), "lay the thread or the band again"),
        (("depth", "angle", "radius"), "press something soft into the groove and measure that"),
    )
    for rank, (kinds, how) in enumerate(ways):
        if kind in kinds:
            return rank, how
    return len(ways), "measure it again"


def _figure(value: float | None, of: str, unit: str, name: str) -> str:
    """Return a figure as the thing of that name is read."""
    kind = name.rpartition(".")[2]
    if value is not None and of == "mm" and kind == "diameter":
        # A cord or rod is bought by its own size: in 64ths 2.9 and 3.0 mm would seem far apart.
        return f"{value:.2f} mm ({value / 25.4:.3f} in)"
    if value is not None and kind in ("stretch", "slip") and not of:
        return f"{100.0 * value:.2f} %"
    if value is None or of == "mm":
        return length(value, unit)
    return f"{value:.4g} {of}".rstrip()
