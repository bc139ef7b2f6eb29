"""``wheelgeo solve``: what a person needs first, in the order in which they need it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from wheelgeo_cli.arguments import Argument
from wheelgeo_cli.common import (
    FileArgument,
    JsonOption,
    console,
    figures,
    grouped,
    length,
    load,
    number,
    own_length,
    print_assumed,
    print_cannot_run,
    print_findings,
    print_json,
    quoted,
    table,
)

if TYPE_CHECKING:
    from wheelgeo import Answer
    from wheelgeo.check.answer_parts import BandAnswer, TwistAnswer
    from wheelgeo.check.answer_spinning import SpinningAnswer
    from wheelgeo.check.answer_yarn import YarnAnswer
    from wheelgeo.yarn.whorl_steps import WhorlPair
    from wheelgeo.yarn.whorl_travel import WhorlStep
    from wheelgeo_cli.terminal import Terminal


OthersArgument = Annotated[
    list[Path] | None,
    Argument(metavar="FILES", help="Other wheels, any number, laid beside the first."),
]


def solve(
    file: FileArgument, others: OthersArgument = None, as_json: JsonOption = False
) -> None:
    """Ratio, spindle speed, twist, turns of the hand, bands to cut, and what is wrong.

    Start here. The speed of the spindle is the one at the hand speed that the file gives. Of
    several files the wheels are laid side by side; with --json as a list under "wheels".
    """
    if others:
        _beside_each_other([file, *others], as_json)
        return
    answer = load(file).solve()
    if as_json:
        print_json(answer.to_json())
        return
    out = console()
    out.print(answer.title, style="bold")
    print_cannot_run(out, answer)
    for label, text in summary(answer):
        out.labelled(f"  {label:<9}", text)
    out.print()
    print_bands(out, answer.bands, answer.design.unit)
    out.print()
    if answer.whorl_pairs:
        _print_whorls(out, answer.whorl_pairs)
        out.print()
    if answer.whorl_steps:
        _print_steps(out, answer.whorl_steps, answer.design.unit)
        out.print()
    if answer.findings:
        print_findings(out, answer.findings, answer.design.unit)
    else:
        out.print("Nothing found wrong with shapes, places and speeds.")
    print_assumed(out, answer.assumed, unit=answer.design.unit)
    more = f"`wheelgeo check {quoted(file)}` also checks slip, effort and vibration."
    out.labelled("Next: ", more)


def _beside_each_other(files: list[Path], as_json: bool) -> None:
    """Print several wheels side by side."""
    answers = [load(file).solve() for file in files]
    if as_json:
        print_json({"format": 1, "wheels": [answer.to_json() for answer in answers]})
        return
    from wheelgeo_cli.side_by_side import print_side_by_side

    print_side_by_side(files, answers)


def summary(answer: Answer) -> list[tuple[str, str]]:
    """Return the lines that a person needs first, each with its label."""
    lines = [
        ("Ratio", _ratio(answer)),
        *_bobbin(answer),
        ("Spindle", _spindle(answer)),
        ("Twist", _twist(answer.twist) + _factor(answer)),
        *_at_the_band(answer.twist),
        (_limb(answer), _hand(answer)),
    ]
    if answer.yarn is not None:
        lines.append(("Yarn", _yarn(answer.yarn, answer.design.spindle.kind)))
        if answer.yarn.plied is not None:
            from wheelgeo_cli.yarn import plied_says

            lines.append(("Plied", plied_says(answer.yarn.plied)))
        if answer.yarn.spinning is not None:
            turned = driver(answer.design.drive.by)
            lines.append(("Spinning", spinning_says(answer.yarn.spinning, turned)))
    if answer.wind_on is not None:
        lines.append(("Wind-on", answer.wind_on.says))
    return lines


def _print_whorls(out: Terminal, pairs: tuple[WhorlPair, ...]) -> None:
    """Print the steps of flyer's and bobbin's whorls side by side."""
    rows = table(
        "Flyer on", "bobbin on", ">flyer turns", ">bobbin turns", "leads", ">least twist, empty",
        ">full",
    )
    for pair in pairs:
        least = pair.least_turns_per_metre_empty, pair.least_turns_per_metre_full
        rows.add_row(
            pair.flyer_whorl + (" (now)" if pair.in_use else ""), pair.bobbin_whorl,
            f"{pair.flyer_turns_per_drive_turn:.2f}", f"{pair.bobbin_turns_per_drive_turn:.2f}",
            pair.leads, *("-" if x is None else f"{x:.0f}/m" for x in least),
        )
    out.print(rows)


def _print_steps(out: Terminal, steps: tuple[WhorlStep, ...], unit: str) -> None:
    """Print what each step of the whorls gives, and how far its shaft is then slid."""
    rows = table("Band on", ">ratio", ">slide at", "today's band")
    for step in steps:
        travel = "-"
        if step.travel_mm is not None:
            travel = own_length(step.travel_mm, unit)
        rows.add_row(
            step.whorls + (" (now)" if step.in_use else ""), number(step.ratio, 2), travel,
            "serves" if step.band_serves else "does not serve",
        )
    out.print(rows)


def _at_the_band(twist: TwistAnswer) -> list[tuple[str, str]]:
    """Say how the last band lies, by which a person sees the twist; and how it might."""
    if twist.at_the_band is None:
        return []
    other = twist.laid_other_way
    return [("Band", twist.at_the_band)] + ([] if other is None else [("", other.says)])


def driver(by: str) -> str:
    """Return what a person counts the turns of."""
    from wheelgeo.design.drive_parts import COUNTED

    return COUNTED[by]


def _limb(answer: Answer) -> str:
    return {"treadle": "Foot", "motor": "Motor"}.get(answer.design.drive.by, "Hand")


def _ratio(answer: Answer) -> str:
    ratio, ideal = answer.ratio, answer.ratio_without_slip
    if ratio is None or ideal is None:
        return "cannot be computed, because the spindle is not driven"
    half = answer.ratio_uncertainty
    spread = "" if half is None else f" ± {half:.2f} (95 %)"
    text = f"{ratio:.2f}{spread} spindle turns per turn of the {driver(answer.design.drive.by)}"
    if answer.wind_on is not None and answer.wind_on.by == "flyer brake":
        ends = answer.wind_on.empty, answer.wind_on.full
        empty, full = (at.flyer_turns_per_drive_turn for at in ends)
        text += f" with the empty bobbin, {ratio * full / empty:.2f} with the full one"
    return text if abs(ideal - ratio) < 5e-3 else f"{text} ({ideal:.2f} if no band slips)"


def _bobbin(answer: Answer) -> list[tuple[str, str]]:
    """Return how a bobbin that is led by a band turns, as long as nothing slips."""
    if "bobbin_gain" not in answer:
        return []
    turns, gain = answer["bobbin_ratio"], answer["bobbin_gain"]
    if turns is None or gain is None:
        return []
    by = driver(answer.design.drive.by)
    gains = "gains" if gain > 0.0 else "loses"
    return [("Bobbin", f"{turns:.2f} turns per turn of the {by}, held by no yarn: it {gains} "
             f"{abs(gain):.2f} on the flyer")]  # fmt: skip


def _spindle(answer: Answer) -> str:
    drive, speed = answer.design.drive, answer.spindle.speed_rpm
    if speed is None:
        return "does not turn"
    return (
        f"{grouped(speed)} rpm, {answer.spindle.turns} as seen from the yarn, at "
        f"{drive.speed_rpm:g} rpm of the {driver(drive.by)}"
    )


def _twist(twist: TwistAnswer) -> str:
    per_metre = twist.turns_per_metre
    amount = "" if per_metre is None else f", {grouped(per_metre)} turns per metre wanted"
    if twist.direction is None:
        return f"none{amount}"
    if twist.wanted is None:
        return f"{twist.direction} (the file does not say which is wanted)"
    same = twist.direction == twist.wanted
    verdict = "as wanted" if same else f"but {twist.wanted} is wanted"
    return f"{twist.direction}, {verdict}{amount}"


def _factor(answer: Answer) -> str:
    """Say how a twist factor was read, since it means different things with different counts."""
    from wheelgeo.design.twist import factor_in_words

    yarn = answer.design.yarn
    words = None if yarn is None else factor_in_words(yarn)
    return "" if words is None else f" ({words})"


def _hand(answer: Answer) -> str:
    twist, turned = answer.twist, driver(answer.design.drive.by)
    per_metre, per_draw = twist.drive_turns_per_metre, twist.drive_turns_per_draw
    if per_metre is None:
        return f"turns of the {turned} per metre need a [yarn] table with its twist"
    half = twist.drive_turns_per_metre_uncertainty
    spread = "" if half is None else f" ± {half:.2f} (95 %)"
    text = f"{per_metre:.2f}{spread} turns of the {turned} per metre of yarn"
    yarn = answer.design.yarn
    if per_draw is None or yarn is None or yarn.draw_mm is None:
        return text
    draw = f"{per_draw:.2f} turns of the {turned} per draw of {grouped(yarn.draw_mm)} mm"
    return f"{draw}; {text}"


def _yarn(yarn: YarnAnswer, kind: str) -> str:
    """Say the count in the four systems of a design file, and what a full cop or bobbin holds."""
    counts = " = ".join(f"{figures(c.value)} {c.system}" for c in yarn.counts[:4])
    plies = "" if yarn.plies == 1 else f"{yarn.plies} plies of "
    cop = yarn.full_cop
    full = "bobbin" if kind == "flyer" else "cop"
    holds = "" if cop is None else f"; a full {full} holds about {grouped(cop.length_m)} m"
    if yarn.full_cop_plied is not None:
        holds += f" of one strand, or {grouped(yarn.full_cop_plied.length_m)} m plied"
    if (many := yarn.bobbins_to_ply) is not None:
        holds += f"; to ply takes {many} {full}s: {many - 1} to ply from, one to ply on"
    return f"{plies}{counts}{holds}"


def spinning_says(spinning: SpinningAnswer, turned: str) -> str:
    """Say what spinning takes, all of the cycle counted."""
    hank, grams = spinning.metric_hank, spinning.per_100_g
    draw = "" if spinning.draw_seconds is None else f", a draw in {spinning.draw_seconds:.1f} s"
    return (
        f"{grouped(spinning.metres_per_hour)} m an hour{draw}; a hank of 1 000 m takes "
        f"{hours(hank.hours)} and {grouped(hank.drive_turns)} turns of the {turned}, 100 g "
        f"{hours(grams.hours)}"
    )


def hours(value: float) -> str:
    """Return a time in hours and minutes."""
    minutes = round(60.0 * value)
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes >= 60 else f"{minutes} min"


def print_bands(out: Terminal, bands: tuple[BandAnswer, ...], unit: str) -> None:
    """Print the bands to cut; ``unit`` is that of the design file."""
    from wheelgeo.shop import band_words

    def said(mm: float) -> str:
        return length(mm, unit)

    rows = table("Band to cut", ">cut, joint included", ">without joint", ">in place", ">stretch")
    for band in bands:
        rows.add_row(
            band.name,
            length(band.cut_with_joint_mm, unit),
            length(band.cut_length_mm, unit),
            length(band.length_mm, unit),
            f"{figures(100 * band.stretch, 3)} %",
        )
    out.print(rows)
    for band in bands:
        if (text := band_words.how_sure(band, unit)) is not None:
            out.labelled(f"  {band.name}: ", text)
        if (text := band_words.thinning(band, unit)) is not None:
            out.labelled(f"  {band.name}: ", text)
        if text := band.to_tie_by(said):
            out.labelled(f"  {band.name}: ", f"{band.joint}{text}.")
