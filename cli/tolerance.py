"""``wheelgeo tolerance``: how careful one must be."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Optional

import typer

from wheelgeo_cli.common import FileArgument, JsonOption, console, load, number, print_json, table

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rich.console import Console

    from wheelgeo.design.model import Design
    from wheelgeo.tune.tolerance import Tolerance

Names = Optional[list[str]]  # noqa: UP045 - typer reads the annotation when the program runs
Text = Optional[str]  # noqa: UP045

_SHOWN = 8


def tolerance(
    file: FileArgument,
    general: Annotated[
        str,
        typer.Option(
            "--class",
            metavar="f|m|c|v",
            help="General tolerances of ISO 2768-1: fine, medium, coarse or very coarse.",
        ),
    ] = "m",
    own: Annotated[
        Names,
        typer.Option(
            metavar="NUMBER=PLUS-MINUS",
            help='A tolerance of your own, as in whorl.rim=0.05 or "hub.depth=1/64 in"; may be '
            "repeated. wheelgeo find FILE --list shows the numbers.",
        ),
    ] = None,
    cord: Annotated[
        str, typer.Option(metavar="PART", help="Cord diameter, plus or minus, of itself.")
    ] = "5 %",
    slip: Annotated[
        str, typer.Option(metavar="PART", help="Slip, plus or minus, of itself.")
    ] = "50 %",
    wear: Annotated[
        str, typer.Option(metavar="PART", help="How much thinner a cord wears in its life.")
    ] = "0 %",
    growth: Annotated[
        str, typer.Option(metavar="PART", help="How much longer a band grows in its life.")
    ] = "0 %",
    twist_error: Annotated[
        Text,
        typer.Option(
            metavar="PART",
            help="Twist error to be kept; otherwise the design's limit (5 % where it sets none).",
        ),
    ] = None,
    coverage: Annotated[
        str, typer.Option(metavar="PART", help="Coverage probability of what is stated.")
    ] = "95 %",
    trials: Annotated[
        int, typer.Option(min=10_000, max=100_000_000, help="Wheels drawn for the ratio.")
    ] = 1_000_000,
    seed: Annotated[int, typer.Option(min=0, help="Start of the random numbers.")] = 1,
    as_json: JsonOption = False,
) -> None:
    """How far ratio, twist and bands may be off, what makes it, and how tight each size must be.

    Twice: by the law of propagation of uncertainty (GUM), and by drawing wheels at random. Limits
    count as evenly spread. Places of shafts are measured from the corner of the case, or from the
    driving shaft where there is no case.
    """
    from wheelgeo.tune.doubts import Allowed
    from wheelgeo.tune.iso2768 import check_class
    from wheelgeo.tune.spread import Drawing
    from wheelgeo.tune.tolerance import tolerance as work_out
    from wheelgeo.tune.tolerance_facts import tolerance_facts

    design = load(file)
    allowed = Allowed(
        check_class(general), _own(design, own or []),
        *(_part(text) for text in (cord, slip, wear, growth)),
    )  # fmt: skip
    wanted = None if twist_error is None else _part(twist_error)
    drawing = Drawing(trials=trials, seed=seed, coverage=_coverage(coverage))
    found = work_out(design, allowed, wanted, drawing)
    document = tolerance_facts(found)
    if as_json:
        print_json(document)
        return
    out = console()
    out.print(design.title, style="bold")
    _print_results(out, document)
    _print_shares(out, document["ratio"])
    _print_tightness(out, document["tightness"])
    _print_slides(out, document["bands"])
    _print_sources(out, found)


def _part(text: str) -> float:
    """Return a fraction that may be written as a percentage."""
    from wheelgeo.units import FRACTION, parse_quantity

    return parse_quantity(text, FRACTION, "")


def _coverage(text: str) -> float:
    from wheelgeo.errors import SearchError

    coverage = round(_part(text), 12)
    if not 0.5 <= coverage <= 0.99:
        raise SearchError(f"a coverage from 50 % to 99 % can be stated, not {100 * coverage:g} %")
    return coverage


def _own(design: Design, texts: list[str]) -> dict[str, float]:
    """Return one's own tolerances by key, in mm, degrees or as fractions."""
    from wheelgeo.errors import SearchError
    from wheelgeo.tune.parameters import find_parameter
    from wheelgeo_cli.find import read_number

    own: dict[str, float] = {}
    for text in texts:
        key, equals, value = text.rpartition("=")
        if not equals:
            raise SearchError(f'"{text}" is no tolerance; write it as whorl.rim=0.05')
        parameter = find_parameter(design, key)
        own[parameter.key] = read_number(value.strip(), parameter.quantity, design.unit, key)
    return own


def _print_results(out: Console, document: dict[str, Any]) -> None:
    percent = 100.0 * document["ratio"]["coverage_probability"]
    rows = table("Result", ">value", f">± ({percent:g} %)", ">standard", ">drawn from", ">to")
    results = list(_results(document))
    for name, scale, result in results:
        rows.add_row(name, *(number(scale * figure, 2) for figure in _figures(result)))
    out.print(rows)
    apart = [name for name, _, result in results if not result["monte_carlo"]["agrees"]]
    if apart:
        out.print(
            "  The wheels drawn do not bear out the law of propagation for these; go by the wheels "
            f"drawn: {'; '.join(name.rpartition(',')[0] or name for name in apart)}."
        )


def _results(document: dict[str, Any]) -> Iterator[tuple[str, float, dict[str, Any]]]:
    """Yield name with unit, factor to that unit, and result."""
    yield "ratio", 1.0, document["ratio"]
    if document["twist"] is not None:
        yield "twist, turns/m", 1.0, document["twist"]
    for band in document["bands"]:
        yield f"{band['name']}: length, mm", 1.0, band["length_mm"]
        yield f"{band['name']}: stretch, %", 100.0, band["stretch"]
        if band["tension_n"] is not None:
            yield f"{band['name']}: pull, N", 1.0, band["tension_n"]


def _figures(result: dict[str, Any]) -> tuple[float, ...]:
    drawn = result["monte_carlo"]
    return (
        result["value"], result["expanded_uncertainty"], result["standard_uncertainty"],
        drawn["from"], drawn["to"],
    )  # fmt: skip


def _print_shares(out: Console, ratio: dict[str, Any]) -> None:
    first = ratio["shares_by_part"][0]
    out.print()
    out.print(f"  {first['what']} makes {100 * first['share']:.0f} % of the ratio's doubt.")
    rows = table("What makes the ratio's doubt", ">share")
    for share in ratio["shares"][:_SHOWN]:
        rows.add_row(share["what"], f"{100 * share['share']:.1f} %")
    out.print(rows)


def _print_tightness(out: Console, tight: dict[str, Any]) -> None:
    wanted, now = 100 * tight["wanted_twist_error"], 100 * tight["twist_error"]
    out.print()
    head = f"  Twist comes out within {now:.1f} %; {wanted:.1f} % is wanted: "
    if tight["factor"] is None:
        out.print(f"{head}nothing that is made has a part in it.")
    elif tight["factor"] == 0.0:
        out.print(f"{head}cord and slip alone are too much.")
    elif tight["factor"] >= 1.0:
        out.print(f"{head}every size could be {tight['factor']:.1f} times as far off.")
    else:
        out.print(f"{head}hold every size to {tight['factor']:.2f} of its tolerance.")
    classes = ", ".join(f"{c['class']} {100 * c['twist_error']:.1f} %" for c in tight["classes"])
    out.print(f"  By class of general tolerance: {classes}.")
    rows = table("How tight each size must be", ">now ±", ">all alike ±", ">this one alone ±")
    for size in tight["dimensions"][:_SHOWN]:
        unit = f" {size['unit']}"
        rows.add_row(size["what"], *(number(size[k], 3, unit) for k in _COLUMNS))
    out.print(rows)
    out.print("  All alike: each makes the same part of the doubt. A dash: one alone cannot do it.")


_COLUMNS = ("tolerance", "shared", "alone")


def _print_slides(out: Console, bands: list[dict[str, Any]]) -> None:
    for band in bands:
        for slide in band["slides"]:
            verdict = "it has" if slide["enough"] else "but it has only"
            out.print(
                f"  {band['name']}: to take up its spread {slide['shaft']} must slide from "
                f"{slide['needs_from_mm']:.1f} to {slide['needs_to_mm']:.1f} mm; {verdict} "
                f"{slide['has_from_mm']:g} to {slide['has_to_mm']:g} mm."
            )
        if not band["slides"]:
            out.print(f"  {band['name']}: no slide takes up its spread; cut it to fit.")
        if band["slack_share"] > 0.0:
            out.print(f"  {band['name']}: slack on {100 * band['slack_share']:.1f} % of wheels.")


def _print_sources(out: Console, found: Tolerance) -> None:
    out.print()
    sources = "; ".join(dict.fromkeys(d.source for d in found.doubts))
    out.print(f"  Tolerances: {sources}.")
    for note in found.notes:
        out.print(f"  {note}.")
