"""``wheelgeo tolerance``: how careful one must be."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from wheelgeo.tune.trials import FEWEST_TRIALS, MOST_TRIALS, TRIALS
from wheelgeo_cli.arguments import Option
from wheelgeo_cli.common import (
    FileArgument,
    JsonOption,
    console,
    load,
    number,
    print_cannot_run,
    print_json,
    table,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wheelgeo import ToleranceAnswer
    from wheelgeo.tune.tolerance_answer import (
        BandSpreadAnswer,
        SpreadAnswer,
        TightnessAnswer,
        UnevenAnswer,
        WindOnSpreadAnswer,
    )
    from wheelgeo_cli.terminal import Terminal

Names = list[str] | None
Text = str | None

_SHOWN = 8


def tolerance(
    file: FileArgument,
    general: Annotated[
        str,
        Option(
            "--class",
            metavar="f|m|c|v",
            help="General tolerances of ISO 2768-1: fine, medium, coarse or very coarse.",
        ),
    ] = "m",
    own: Annotated[
        Names,
        Option(
            metavar="NUMBER=PLUS-MINUS",
            help='A tolerance of your own, as in whorl.rim=0.05 or "hub.depth=1/64 in"; may be '
            "repeated. wheelgeo find FILE --list shows the numbers.",
        ),
    ] = None,
    cord: Annotated[
        str, Option(metavar="PART", help="Cord diameter, plus or minus, of itself.")
    ] = "5 %",
    slip: Annotated[
        str, Option(metavar="PART", help="Slip, plus or minus, of itself.")
    ] = "50 %",
    wear: Annotated[
        str, Option(metavar="PART", help="How much thinner a cord wears in its life.")
    ] = "0 %",
    growth: Annotated[
        str, Option(metavar="PART", help="How much longer a band grows in its life.")
    ] = "0 %",
    twist_error: Annotated[
        Text,
        Option(
            metavar="PART",
            help="Twist error to be kept; otherwise the design's limit (5 % where it sets none).",
        ),
    ] = None,
    coverage: Annotated[
        str, Option(metavar="PART", help="Coverage probability of what is stated.")
    ] = "95 %",
    trials: Annotated[
        int, Option(min=FEWEST_TRIALS, max=MOST_TRIALS, help="Wheels drawn for the ratio.")
    ] = TRIALS,
    seed: Annotated[int, Option(min=0, help="Start of the random numbers.")] = 1,
    as_json: JsonOption = False,
) -> None:
    """How far ratio, twist and bands may be off, what makes it, and how tight each size must be.

    Twice: by the law of propagation of uncertainty (GUM), and by drawing wheels at random. Limits
    count as evenly spread. Places of shafts are measured from the corner of the case, or from the
    driving shaft where there is no case.
    """
    wheel = load(file)
    answer = wheel.tolerance(
        general=general, own=_own(own or []), cord=cord, slip=slip, wear=wear, growth=growth,
        twist_error=twist_error, coverage=coverage, trials=trials, seed=seed,
    )  # fmt: skip
    if as_json:
        print_json(answer.to_json())
        return
    out = console()
    out.print(answer.title, style="bold")
    print_cannot_run(out, wheel.solve())
    _print_results(out, answer)
    _print_shares(out, answer.ratio)
    _print_tightness(out, answer.tightness, answer.ratio, answer.twist_growth)
    _print_uneven(out, answer.uneven)
    _print_slides(out, answer.bands)
    _print_wind_on(out, answer.wind_on)
    _print_sources(out, answer)


def _own(texts: list[str]) -> dict[str, str]:
    """Return one's own tolerances by name, as they were typed."""
    from wheelgeo.errors import SearchError

    own: dict[str, str] = {}
    for text in texts:
        key, equals, value = text.rpartition("=")
        if not equals:
            raise SearchError(f'"{text}" is no tolerance; write it as whorl.rim=0.05')
        own[key] = value.strip()
    return own


def _print_results(out: Terminal, answer: ToleranceAnswer) -> None:
    percent = 100.0 * answer.ratio.coverage_probability
    rows = table(
        "Result", ">value", f">± ({percent:g} %)", ">standard", ">simulated low", ">high"
    )
    results = list(_results(answer))
    for name, scale, result in results:
        rows.add_row(name, *(number(scale * figure, 2) for figure in _figures(result)))
    out.print(rows)
    apart = [name for name, _, result in results if not result.monte_carlo.agrees]
    if apart:
        names = "; ".join(name.rpartition(",")[0] or name for name in apart)
        out.print(f"  The formula is too rough for these, use the simulated range: {names}.")


def _results(answer: ToleranceAnswer) -> Iterator[tuple[str, float, SpreadAnswer]]:
    """Yield name with unit, factor to that unit, and result."""
    yield "ratio", 1.0, answer.ratio
    if answer.twist is not None:
        yield "twist, turns/m", 1.0, answer.twist
    for band in answer.bands:
        yield f"{band.name}: length, mm", 1.0, band.length_mm
        yield f"{band.name}: stretch, %", 100.0, band.stretch
        if band.tension_n is not None:
            yield f"{band.name}: pull, N", 1.0, band.tension_n
    if (wound := answer.wind_on) is not None:
        yield from _wind_on_results(wound)


_WOUND: tuple[tuple[str, str, str, float], ...] = (
    ("lead", "lead of the bobbin", "%", 100.0),
    ("take_in_mm_per_flyer_turn", "take-in", "mm a turn", 1.0),
    ("least_turns_per_metre", "least twist", "turns/m", 1.0),
    ("slip_share", "lead that must slip", "%", 100.0),
    ("yarn_pull_n", "yarn pull", "N", 1.0),
)


def _wind_on_results(wound: WindOnSpreadAnswer) -> Iterator[tuple[str, float, SpreadAnswer]]:
    """Yield what of wind-on is not sure, once where it is the same with the full bobbin."""
    for key, name, unit, scale in _WOUND:
        empty, full = getattr(wound.empty, key), getattr(wound.full, key)
        if empty is not None and full is not None and empty.value == full.value:
            if empty.standard_uncertainty > 0.0:
                yield f"{name}, {unit}", scale, empty
            continue
        for size, result in (("empty", empty), ("full", full)):
            if result is not None and result.standard_uncertainty > 0.0:
                yield f"{name}, bobbin {size}, {unit}", scale, result


def _print_wind_on(out: Terminal, wound: WindOnSpreadAnswer | None) -> None:
    if wound is None:
        return
    other = "flyer" if wound.leads == "bobbin" else "bobbin"
    if wound.lead_changes_share > 0.0:
        out.print(
            f"  On {100 * wound.lead_changes_share:.1f} % of wheels the {other} would lead instead "
            f"of the {wound.leads}: make their whorls more different."
        )
    if wound.too_slow_share > 0.0:
        out.print(
            f"  {100 * wound.too_slow_share:.1f} % of wheels cannot take in as fast as the twist "
            "asks."
        )
    if (pull := wound.empty.yarn_pull_n) is not None and pull.shares:
        first = pull.shares[0]
        out.print(
            f"  {first.what} makes {100 * first.share:.0f} % of the uncertainty of the yarn's "
            "pull; a cord's friction is taken within the range of its material."
        )


def _figures(result: SpreadAnswer) -> tuple[float, ...]:
    drawn = result.monte_carlo
    return (
        result.value, result.expanded_uncertainty, result.standard_uncertainty,
        drawn.from_, drawn.to,
    )  # fmt: skip


def _print_shares(out: Terminal, ratio: SpreadAnswer) -> None:
    out.print()
    if ratio.shares_by_part:
        first = ratio.shares_by_part[0]
        out.print(f"  {first.what} makes {100 * first.share:.0f} % of the ratio's uncertainty.")
    rows = table("What makes the ratio's uncertainty", ">share")
    for share in ratio.shares[:_SHOWN]:
        rows.add_row(share.what, f"{100 * share.share:.1f} %")
    out.print(rows)


def _print_tightness(
    out: Terminal, tight: TightnessAnswer, ratio: SpreadAnswer, growth: float
) -> None:
    wanted, now = 100 * tight.wanted_twist_error, 100 * tight.twist_error
    drawn = ratio.monte_carlo
    within = f"within {now:.1f} %"
    if not drawn.agrees:
        low, high = (100 * (end / ratio.value - 1.0) for end in (drawn.from_, drawn.to))
        within = f"from {low:.1f} % to {high:+.1f} % off, as simulated"
    out.print()
    head = f"  Twist comes out {within}; {wanted:.1f} % is wanted: "
    if tight.factor is None:
        out.print(f"{head}nothing that is made has a part in it.")
    elif tight.factor == 0.0:
        out.print(f"{head}cord and slip alone are too much.")
    elif tight.factor >= 1.0:
        out.print(f"{head}every size could be {tight.factor:.1f} times as far off.")
    else:
        out.print(f"{head}hold every size to {tight.factor:.2f} of its tolerance.")
    if growth:
        out.print(f"  From empty to full bobbin it grows by {100.0 * growth:.1f} % besides.")
    classes = ", ".join(f"{c.class_} {100 * c.twist_error:.1f} %" for c in tight.classes)
    out.print(f"  By class of general tolerance: {classes}.")
    rows = table(
        "How tight each size must be", ">tolerance now ±", ">so that each counts the same ±",
        ">if only this one ±",
    )  # fmt: skip
    for size in tight.dimensions[:_SHOWN]:
        now_all_one = (size.tolerance, size.shared, size.alone)
        rows.add_row(size.what, *(_allowed(value, size.unit) for value in now_all_one))
    out.print(rows)
    out.print(
        "  So that each counts the same: all of these together do it too, and each makes the same "
        "part of the uncertainty, so that some may be looser than now. A dash: this one alone "
        "cannot do it."
    )


def _allowed(value: float | None, unit: str) -> str:
    """Return a tolerance with its unit; an angle that may be off by a right angle may be any."""
    return "any" if unit == "deg" and (value or 0.0) >= 90.0 else number(value, 3, f" {unit}")


def _print_uneven(out: Terminal, uneven: UnevenAnswer | None) -> None:
    if uneven is None:
        return
    by = {"hand": uneven.hand, "draw": uneven.draw, "wheel": uneven.wheel}
    causes = {
        "hand": "turns of the hand miscounted", "draw": "draws of unequal length",
        "wheel": "slip that comes and goes",
    }  # fmt: skip
    rows = table("What makes the yarn uneven from draw to draw", ">twist off by, standard")
    for name, cause in causes.items():
        rows.add_row(f"{name}: {cause}", f"{100 * by[name]:.1f} %")
    rows.add_row("together", f"{100 * uneven.together:.1f} %")
    out.print()
    out.print(rows)
    out.print(
        f"  Most of it is the {uneven.most_by}'s. Sizes that are off make all yarn of this wheel "
        f"alike off, by {100 * uneven.wheel_lasting:.1f} %: that is not uneven. [habits] turns_off "
        "and draw_off say how steady you are."
    )
    out.print()


def _print_slides(out: Terminal, bands: tuple[BandSpreadAnswer, ...]) -> None:
    for band in bands:
        for slide in band.slides:
            verdict = "it has" if slide.enough else "but it has only"
            out.print(
                f"  {band.name}: to take up its spread {slide.shaft} must slide from "
                f"{number(slide.needs_from_mm)} to {number(slide.needs_to_mm)} mm; {verdict} "
                f"{slide.has_from_mm:g} to {slide.has_to_mm:g} mm."
            )
        if not band.slides:
            out.print(f"  {band.name}: no slide takes up its spread; cut it to fit.")
        if band.slack_share > 0.0:
            out.print(f"  {band.name}: slack on {100 * band.slack_share:.1f} % of wheels.")


def _print_sources(out: Terminal, answer: ToleranceAnswer) -> None:
    out.print()
    sources = "; ".join(dict.fromkeys(d.source for d in answer.dimensions))
    out.print(f"  Tolerances: {sources}.")
    for note in answer.notes:
        out.print(f"  {note}.")
