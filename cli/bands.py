"""``wheelgeo bands``: every band in full, for the one who cuts, joins and fits it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from wheelgeo_cli.arguments import Argument, Option
from wheelgeo_cli.common import (
    JsonOption,
    console,
    length,
    load,
    number,
    own_length,
    print_assumed,
    print_findings,
    print_json,
    table,
)

if TYPE_CHECKING:
    from wheelgeo import Wheel
    from wheelgeo.check.answer_parts import BandAnswer
    from wheelgeo_cli.terminal import Terminal


def _measure(means: str) -> Any:
    """Return an option that takes a length as it is written on the rule."""
    return Option(metavar="LENGTH", help=means)


def bands(
    file: Annotated[
        Path | None,
        Argument(
            metavar="[FILE]", help="The design file of a wheel; without it, the options below."
        ),
    ] = None,
    wheel: Annotated[str, _measure("Diameter of the wheel\'s rim, outside.")] = "",
    girth: Annotated[
        str, _measure("Or the girth of a thin thread laid in the wheel\'s groove.")
    ] = "",
    groove: Annotated[str, _measure("Depth of the wheel\'s groove; none: a plain rim.")] = "",
    groove_shape: Annotated[
        str,
        Option(
            metavar="SHAPE",
            help="Shape of the grooves: vee, the cord between their sides; round or worn, the cord "
            "on the bottom. Of a girth: in a vee the thread lay in its point.",
        ),
    ] = "",
    mouth: Annotated[str, _measure("Width of the wheel\'s groove at the rim, lip to lip.")] = "",
    whorl: Annotated[str, _measure("Diameter of the whorl, outside.")] = "",
    whorl_girth: Annotated[
        str, _measure("Or the girth of a thin thread laid in the whorl\'s groove.")
    ] = "",
    whorl_groove: Annotated[str, _measure("Depth of the whorl\'s groove.")] = "",
    whorl_shape: Annotated[
        str,
        Option(metavar="SHAPE", help="Shape of the whorl's groove, if it is another, or unknown."),
    ] = "",
    whorl_mouth: Annotated[
        str, _measure("Width of the whorl\'s groove at the rim, lip to lip.")
    ] = "",
    apart: Annotated[str, _measure("From the middle of the axle to that of the spindle.")] = "",
    edge_to_edge: Annotated[str, _measure("Or between the near edges of the two rims.")] = "",
    over_axles: Annotated[str, _measure("Or over both axles, far side to far side.")] = "",
    fits: Annotated[
        str,
        Option(
            metavar="BAND",
            help='Or a band of this cord that fits: "75 1/8 in loop" once round, "76 in cord" '
            'untied, its joint in it; "84 in off the reel" before it was tied. Measured off the '
            "wheel, slack.",
        ),
    ] = "",
    axle: Annotated[str, _measure("With --over-axles: diameter of the axle.")] = "",
    rod: Annotated[str, _measure("With --over-axles: diameter of the spindle.")] = "",
    cord: Annotated[
        str, Option(metavar="CORD", help='The cord: "3 mm cotton cord".')
    ] = "",
    joint: Annotated[
        str,
        Option(
            metavar="JOINT",
            help='How its ends are joined ("splice", "knot"), or the length of cord that it takes.',
        ),
    ] = "",
    crossed: Annotated[bool, Option("--crossed", help="The band crosses.")] = False,
    double: Annotated[
        str, _measure("One band twice round, also over the bobbin: diameter of that whorl.")
    ] = "",
    grooves_apart: Annotated[
        str, _measure("With --double: from the middle of the wheel's one groove to the other's.")
    ] = "",
    whorls_apart: Annotated[
        str, _measure("With --double: from the flyer's whorl to the bobbin's, middle to middle.")
    ] = "",
    slide: Annotated[str, _measure("How far the spindle can be slid, in all.")] = "",
    least: Annotated[
        str, _measure("Least diameter of an oval rim; --wheel is then its greatest.")
    ] = "",
    wobble: Annotated[
        str, _measure("How far the rim moves sideways over a turn, in all.")
    ] = "",
    eccentric: Annotated[
        str, _measure("How far the rim moves in and out over a turn, in all.")
    ] = "",
    aside: Annotated[
        str, _measure("How far the whorl's groove stands aside of the wheel's, towards the tip.")
    ] = "",
    driven: Annotated[
        str,
        Option(metavar="BY", help="What turns the wheel: hand (on its rim), crank, foot or motor."),
    ] = "",
    unit: Annotated[
        str, Option(metavar="mm|cm|in", help="Unit of lengths that are written without one.")
    ] = "",
    save: Annotated[
        Path | None,
        Option(metavar="FILE", help="Write the old wheel as a design file."),
    ] = None,
    card: Annotated[
        Path | None,
        Option(
            metavar="FILE",
            help="Write a card to hang by the bench (.pdf, .html), of a FILE a page for each band, "
            "with a paper strip to measure whorls and grooves by.",
        ),
    ] = None,
    paper: Annotated[str, Option(metavar="A4|Letter", help="Paper of the card.")] = "A4",
    have: Annotated[
        str | None,
        Option(
            metavar="LENGTHS",
            help='Bands at hand: "72 in, 1850 mm" as cut, "76 in loop" joined already; "rings": '
            'standard rings, "-264" one of them, "7 1/2 in ring" one by '
            'its inside; "round belting": such cord by the metre. What each does on this '
            "wheel, and where on the slide to tie it.",
        ),
    ] = None,
    band: Annotated[
        str | None,
        Option(metavar="BAND", help="With --have: for which band; needed if there are two."),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """The bands of a wheel: of a design file, or of an old wheel from a few measurements.

    Without a file: --wheel "21 1/2 in" --groove "1/4 in" --whorl "1 3/8 in" --whorl-groove
    "3/16 in" --apart "17 3/4 in" --cord "3 mm cotton cord". A measurement may tell how sure it is:
    "21 1/2 +- 1/8 in". Without anything, on a terminal, it asks. Lengths are of the cord's
    centre-line. An angle is positive along the pulley's axis.
    """
    from wheelgeo.errors import SearchError
    from wheelgeo.shop.band_words import joint_and_growth
    from wheelgeo_cli.solve import print_bands

    told = {
        "wheel": wheel, "girth": girth, "groove": groove, "groove_shape": groove_shape,
        "mouth": mouth, "whorl_mouth": whorl_mouth,
        "whorl": whorl, "whorl_girth": whorl_girth, "whorl_groove": whorl_groove,
        "whorl_shape": whorl_shape, "apart": apart, "edge_to_edge": edge_to_edge,
        "over_axles": over_axles, "fits": fits, "axle": axle, "rod": rod,
        "cord": cord, "joint": joint, "double": double,
        "grooves_apart": grooves_apart, "whorls_apart": whorls_apart, "slide": slide,
        "least": least, "wobble": wobble, "eccentric": eccentric, "aside": aside,
        "driven": driven, "unit": unit,
    }  # fmt: skip
    if file is None or any(told.values()) or crossed:
        from wheelgeo_cli.old_wheel import Files, say_old_wheel

        say_old_wheel(file, told, crossed, Files(save, card, paper), have, as_json)
        return
    if save is not None:
        raise SearchError("--save is for an old wheel measured here, without a FILE")
    loaded = load(file)
    if have is not None:
        from wheelgeo_cli.bands_to_have import at_hand, print_bands_to_have

        found = at_hand(loaded, band, have)
        _save_cards(loaded, card, paper, as_json)
        if as_json:
            print_json(found.to_json())
            return
        print_bands_to_have(loaded, found)
        for finding in loaded.solve().findings:  # it stays wrong with every band
            if finding.level == "fault":
                console().labelled("  FAULT ", f"{finding.says}.")
        return
    answer = loaded.bands()
    _save_cards(loaded, card, paper, as_json)
    if as_json:
        print_json(answer.to_json())
        return
    out, unit = console(), loaded.design.unit
    out.print(answer.title, style="bold")
    print_bands(out, answer.bands, unit)
    print_findings(out, answer.findings, unit)
    for one in answer.bands:
        _print_band(out, one, unit)
        for text in joint_and_growth(one, loaded.design, lambda mm: length(mm, unit)):
            out.labelled("  ", text)
    out.print()
    out.print(
        "An angle is off the pulley's mid-plane: positive where the run heads along its axis."
    )
    print_assumed(out, (a for one in answer.bands for a in one.assumed), unit=unit)


def _save_cards(wheel: Wheel, target: Path | None, paper: str, silent: bool) -> None:
    """Write the cards of a wheel's bands, a page for each, where they are wanted."""
    if target is None:
        return
    from wheelgeo.old_wheels import save_band_cards
    from wheelgeo_cli.old_wheel import Files

    save_band_cards(wheel.solve(), target, Files(None, target, paper).checked_paper())
    if not silent:
        console().print(f"The cards are written to {target}.")


def _print_band(out: Terminal, band: BandAnswer, unit: str) -> None:
    out.print()
    speed = "" if band.speed_m_s is None else f", runs at {band.speed_m_s:.2f} m/s"
    out.print(f"{band.name}{speed}", style="bold")
    if band.length_mm is None:
        out.print("  has no path: see `wheelgeo check`")
        return
    stops = table("Pulley", ">pitch diameter", ">wrap", ">arrives at", ">leaves at")
    for stop in band.pulleys:
        stops.add_row(
            stop.name,
            length(stop.pitch_diameter_mm, unit, 2),
            number(stop.wrap_deg, 1, "°"),
            number(stop.arriving_deg, 2, "°"),
            number(stop.leaving_deg, 2, "°"),
        )
    out.print(stops)
    runs = table("Run from", "to", ">length")
    for run in band.runs:
        runs.add_row(run.from_, run.to, length(run.length_mm, unit))
    out.print(runs)
    if band.slide is not None:
        slide = band.slide
        travel = (own_length(at, unit) for at in (slide.from_mm, slide.to_mm))
        ends = (length(at, unit) for at in (slide.path_at_from_mm, slide.path_at_to_mm))
        out.print(
            f"  {slide.shaft} slides from {' to '.join(travel)}: the band is then "
            f"{' to '.join(ends)} long."
        )
