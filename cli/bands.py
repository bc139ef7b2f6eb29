"""``wheelgeo bands``: every band in full, for the one who cuts, joins and fits it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Optional

import typer

from wheelgeo_cli.common import (
    FileArgument,
    JsonOption,
    console,
    length,
    load,
    number,
    print_assumed,
    print_json,
    table,
)

if TYPE_CHECKING:
    from wheelgeo.check.answer import BandAnswer
    from wheelgeo_cli.terminal import Terminal


def bands(
    file: FileArgument,
    have: Annotated[
        Optional[str],  # noqa: UP045 - typer reads the annotation when the program runs
        typer.Option(
            metavar="LENGTHS",
            help='Bands at hand, as cut: "72 in, 73 in, 1850 mm"; or "rings": standard rings. What '
            "each does on this wheel, and where on the slide to tie it.",
        ),
    ] = None,
    band: Annotated[
        Optional[str],  # noqa: UP045
        typer.Option(metavar="BAND", help="With --have: for which band; needed if there are two."),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Band lengths, runs, wraps and the angles at which each band arrives and leaves.

    Lengths are of the cord's centre-line. An angle is positive along the pulley's axis.
    """
    from wheelgeo_cli.solve import print_bands

    wheel = load(file)
    if have is not None:
        from wheelgeo_cli.bands_to_have import say_bands_to_have

        say_bands_to_have(wheel, band, have, as_json)
        return
    answer = wheel.bands()
    if as_json:
        print_json(answer.to_json())
        return
    out, unit = console(), wheel.design.unit
    out.print(answer.title, style="bold")
    print_bands(out, answer.bands, unit)
    for one in answer.bands:
        _print_band(out, one, unit)
    out.print()
    out.print(
        "An angle is off the pulley's mid-plane: positive where the run heads along its axis."
    )
    print_assumed(out, (a for one in answer.bands for a in one.assumed))


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
        ends = (length(at, unit) for at in (slide.path_at_from_mm, slide.path_at_to_mm))
        out.print(
            f"  {slide.shaft} slides from {slide.from_mm:g} to {slide.to_mm:g} mm: the band is "
            f"then {' to '.join(ends)} long."
        )
