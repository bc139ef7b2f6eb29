"""``wheelgeo solve``: what a person needs first, in the order in which they need it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wheelgeo_cli.common import (
    FileArgument,
    JsonOption,
    console,
    length,
    load,
    number,
    print_findings,
    print_json,
    print_labelled,
    table,
)

if TYPE_CHECKING:
    from rich.console import Console

    from wheelgeo.check.report import Report


def solve(file: FileArgument, as_json: JsonOption = False) -> None:
    """Ratio, spindle speed, twist, turns of the hand, bands to cut, and what is wrong.

    Start here. The speed of the spindle is the one at the hand speed that the file gives.
    """
    from wheelgeo.check.facts import facts
    from wheelgeo.check.report import check_design

    report = check_design(load(file))
    document = facts(report)
    if as_json:
        print_json(document)
        return
    out = console()
    out.print(report.design.title, style="bold")
    for label, text in summary(report, document):
        print_labelled(out, f"  {label:<9}", text)
    out.print()
    print_bands(out, document, report.design.unit)
    out.print()
    if report.findings:
        print_findings(out, report.findings)
    else:
        out.print("Nothing found wrong with shapes, places and speeds.")
    print_labelled(out, "  Next: ", "wheelgeo check FILE asks also whether it will run.")


def summary(report: Report, document: dict[str, Any]) -> list[tuple[str, str]]:
    """Return the lines that a person needs first, each with its label."""
    lines = [
        ("Ratio", _ratio(report, document)),
        ("Spindle", _spindle(report, document)),
        ("Twist", _twist(document["twist"]) + _factor(report)),
        (_limb(report), _hand(report, document["twist"])),
    ]
    yarn = document["yarn"]
    return lines if yarn is None else [*lines, ("Yarn", _yarn(yarn))]


def _driver(report: Report) -> str:
    """Return what a person counts the turns of; a treadle makes its wheel turn once a stroke."""
    return {"crank": "crank", "treadle": "wheel", "motor": "motor"}[report.design.drive.by]


def _limb(report: Report) -> str:
    return {"crank": "Hand", "treadle": "Foot", "motor": "Motor"}[report.design.drive.by]


def _ratio(report: Report, document: dict[str, Any]) -> str:
    ratio, ideal = document["ratio"], document["ratio_without_slip"]
    if ratio is None:
        return "cannot be computed, because the spindle is not driven"
    text = f"{ratio:.2f} spindle turns per turn of the {_driver(report)}"
    return text if abs(ideal - ratio) < 5e-3 else f"{text} ({ideal:.2f} if no band slips)"


def _spindle(report: Report, document: dict[str, Any]) -> str:
    speed = document["spindle"]["speed_rpm"]
    if speed is None:
        return "does not turn"
    return (
        f"{speed:.0f} rpm, {document['spindle']['turns']} as seen from the yarn, at "
        f"{report.design.drive.speed_rpm:g} rpm of the {_driver(report)}"
    )


def _twist(twist: dict[str, Any]) -> str:
    direction, wanted, per_metre = twist["direction"], twist["wanted"], twist["turns_per_metre"]
    amount = "" if per_metre is None else f", {per_metre:.0f} turns per metre wanted"
    if direction is None:
        return f"none{amount}"
    if wanted is None:
        return f"{direction} (the file does not say which is wanted)"
    verdict = "as wanted" if direction == wanted else f"but {wanted} is wanted"
    return f"{direction}, {verdict}{amount}"


def _factor(report: Report) -> str:
    """Say how a twist factor was read, since it means different things with different counts."""
    from wheelgeo.yarn.twist import factor_in_words

    words = None if report.design.yarn is None else factor_in_words(report.design.yarn)
    return "" if words is None else f" ({words})"


def _hand(report: Report, twist: dict[str, Any]) -> str:
    per_metre, per_draw = twist["drive_turns_per_metre"], twist["drive_turns_per_draw"]
    if per_metre is None:
        return f"turns of the {_driver(report)} per metre need a [yarn] table with its twist"
    text = f"{per_metre:.2f} turns of the {_driver(report)} per metre of yarn"
    yarn = report.design.yarn
    if per_draw is None or yarn is None or yarn.draw_mm is None:
        return text
    return f"{per_draw:.2f} turns of the {_driver(report)} per draw of {yarn.draw_mm:g} mm; {text}"


def _yarn(yarn: dict[str, Any]) -> str:
    """Say the count in the four systems of a design file, and what a full cop holds."""
    counts = " = ".join(f"{c['value']:.4g} {c['system']}" for c in yarn["counts"][:4])
    cop = yarn["full_cop"]
    return counts if cop is None else f"{counts}; a full cop holds {cop['length_m']:.0f} m"


def print_bands(out: Console, document: dict[str, Any], unit: str) -> None:
    """Print the bands to cut; ``unit`` is that of the design file."""
    rows = table("Band to cut", ">cut length", ">length in place", ">stretch", ">speed")
    for band in document["bands"]:
        rows.add_row(
            band["name"],
            length(band["cut_length_mm"], unit),
            length(band["length_mm"], unit),
            f"{100 * band['stretch']:g} %",
            number(band["speed_m_s"], 2, " m/s"),
        )
    out.print(rows)
    out.print("  Cut length is without the joint: add what your knot, splice or weld takes.")
