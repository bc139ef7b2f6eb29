"""``wheelgeo run``: whether a wheel works under a hand, as a sheet for the bench."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from wheelgeo_cli.arguments import Option
from wheelgeo_cli.common import (
    FileArgument,
    JsonOption,
    console,
    figures,
    grouped,
    load,
    number,
    print_assumed,
    print_cannot_run,
    print_findings,
    print_json,
    table,
)

if TYPE_CHECKING:
    from wheelgeo import RunningAnswer
    from wheelgeo.check.answer_driver import DriverAnswer
    from wheelgeo.check.answer_run import (
        CopShakeAnswer,
        CrankAnswer,
        LoadAnswer,
        StartAnswer,
        WhirlAnswer,
    )
    from wheelgeo.design.model import Design
    from wheelgeo.yarn.head_at_work import FlyerAtWork
    from wheelgeo_cli.terminal import Terminal

PlotOption = Annotated[
    Path | None,
    Option(
        "--plot", metavar="FOLDER",
        help="Draw the start and the critical speeds into this folder (PNG).",
    ),
]  # fmt: skip


def run(file: FileArgument, as_json: JsonOption = False, plot: PlotOption = None) -> None:
    """Whether it runs: pulls, slip, effort, start, spindle, balance and rims.

    Everything that the file leaves out is taken as usual, and listed at the end.
    """
    answer = load(file).run()
    written = [] if plot is None else _plots(answer, plot)
    if as_json:
        print_json(answer.to_json())
        return
    out = console()
    out.print(answer.title, style="bold")
    print_cannot_run(out, answer.solved)
    _effort(out, answer.load, answer.solved.design)
    _within(out, answer)
    out.print()
    if answer.flyer is not None:
        wind_on = answer.solved.wind_on
        _flyer(out, answer.flyer, "" if wind_on is None else wind_on.by)
    _bands(out, answer)
    out.print()
    _start(out, answer.start)
    out.print()
    flyer = answer.solved.design.spindle.kind == "flyer"
    _spindle(out, answer.spindle, "bobbin" if flyer else "cop")
    out.print()
    _pulleys(out, answer)
    out.print()
    if answer.findings:
        print_findings(out, answer.findings, answer.solved.design.unit)
    else:
        out.print("Nothing found wrong.")
    print_assumed(out, answer.assumed, unit=answer.solved.design.unit)
    for path in written:
        out.print(f"Drawn: {path}")


def _plots(answer: RunningAnswer, folder: Path) -> list[Path]:
    from wheelgeo.drawing.plots import write_plots

    return write_plots(answer.running, folder)


def _driver(out: Terminal, driver: DriverAnswer, seen: str) -> None:
    """Print how what is pushed by strokes is carried through its turn."""
    text = (
        f"Driven for {100 * driver.driven_share:.0f} % of each turn; mean torque arm "
        f"{driver.mean_arm_mm:.0f} mm, greatest {driver.peak_arm_mm:.0f} mm"
    )
    if driver.peak_torque_nm is not None:
        text += f" ({driver.peak_torque_nm:.2f} N m at the best angle)"
    if driver.least_inertia_kg_m2 is not None:
        text += (
            f". It must carry itself over {driver.longest_idle_deg:.0f}°: "
            f"{figures(driver.least_inertia_kg_m2, 3)} kg m² would just do, it has "
            f"{figures(driver.inertia_kg_m2, 3)}"
        )
    out.labelled("  ", f"{text}.")
    treadle = driver.treadle
    if treadle is not None:
        dead = " and ".join(f"{angle:.0f}°" for angle in treadle.dead_points_deg)
        out.labelled("  ", (
            f"The treadle rocks {treadle.swing_deg:.1f}°, the foot goes "
            f"{treadle.foot_stroke_mm:.0f} mm and is lifted {treadle.foot_lift_mm:.0f} mm; "
            f"dead points with the crank at {dead or 'none'} (counter-clockwise from the right, "
            f"{seen})."
        ))


def _effort(out: Terminal, load: LoadAnswer, design: Design) -> None:
    from wheelgeo.design.side_words import drive_seen_from

    limb = {"treadle": "foot", "motor": "motor"}.get(load.by, "hand")
    if load.torque_nm is None:
        out.print(
            f"  What is needed at the {load.by} cannot be computed; the findings say why."
        )
        return
    parts = [
        f"{load.torque_nm:.3f} N m{within(load.torque_range_nm, 3)}",
        number(load.power_w, 1, " W") + within(load.power_range_w, 1),
    ]
    if load.force_n is not None:
        when = " while it pushes" if load.by == "treadle" else ""
        parts.insert(0, f"{load.force_n:.1f} N{within(load.force_range_n, 1)}{when}")
    out.print(f"  Needed at the {load.by}: {', '.join(parts)}.")
    if load.force_limit_n is not None and load.power_limit_w is not None:
        out.print(
            f"  A {limb} can keep up {load.force_limit_n:g} N and {load.power_limit_w:g} W."
        )
    if load.driver is not None and load.driver.driven_share < 1.0:
        _driver(out, load.driver, drive_seen_from(design))
    if load.crank is not None:
        out.labelled("  ", _crank(load.crank, load.torque_nm))
    if load.spindle_speed_rpm is not None:
        out.print(f"  The spindle turns at {grouped(load.spindle_speed_rpm)} rpm under this load.")
    out.print()
    rows = table(
        "Shaft", ">bearing load", ">range", ">in bearings", ">in bending",
        ">in air", ">in yarn", ">to next shaft", ">total",
    )  # fmt: skip
    for shaft in load.shafts:
        torques = (
            shaft.bearing_nm, shaft.bending_nm, shaft.air_nm, shaft.yarn_nm, shaft.driven_nm,
            shaft.torque_nm,
        )  # fmt: skip
        rows.add_row(
            shaft.name, number(shaft.bearing_force_n, 1, " N"),
            within(shaft.bearing_range_n, 0).strip(" ()"),
            *(number(None if t is None else 1000 * t, 2) for t in torques),
        )  # fmt: skip
    out.print(rows)
    drawn = any((shaft.yarn_nm or 0.0) < 0.0 for shaft in load.shafts)
    out.labelled("  ", (
        "Torques in mN m: what turns each shaft (total), and where it goes."
        + (" Below 0 in yarn: the yarn draws that shaft on." if drawn else "")
    ))
    for shaft in load.shafts:
        if shaft.turns_on in {other.name for other in load.shafts}:
            out.labelled("  ", (
                f"{shaft.name} turns on the rod of {shaft.turns_on}: there it rubs at the "
                "difference of their speeds, which holds the faster back and draws the slower on."
            ))


def _crank(crank: CrankAnswer, torque_nm: float) -> str:
    """Return what the crank's own mass does."""
    text = (
        f"The crank weighs {crank.mass_g:.0f} g and shakes its shaft with "
        f"{figures(crank.force_n, 2)} N as it goes round"
    )
    if crank.weight_nm > 0.01 * torque_nm:
        text += (
            f"; falling and rising it turns the wheel on and holds it back with up to "
            f"{figures(crank.weight_nm, 2)} N m"
        )
    return f"{text}."


def _flyer(out: Terminal, work: FlyerAtWork, by: str) -> None:
    """Print what flyer and bobbin do, and where the power of the whole wheel goes."""
    rows = table(
        "Bobbin", ">over the yarn", ">flyer", ">bobbin", "slips", ">yarn pull", ">yarn in",
        ">lost in slip", ">in the brake",
    )  # fmt: skip
    for name, head in (("empty", work.empty), ("full", work.full)):
        rows.add_row(
            name, number(head.bobbin_diameter_mm, 0, " mm"), number(head.flyer_rpm, 0, " rpm"),
            number(head.bobbin_rpm, 0, " rpm"), "-" if head.slips is None else head.slips,
            number(head.yarn_pull_n, 2, " N"), number(60.0 * head.take_in_m_s, 2, " m/min"),
            number(head.slip_w, 2, " W"), number(head.brake_w, 2, " W"),
        )  # fmt: skip
    out.print(rows)
    # What turns with a braked part is held by its brake: its bearings and its air are in that pull.
    arms = {
        "flyer brake": "the drag of the braked flyer's arms is in the brake's pull",
        "bobbin brake": "the flyer's arms included; the braked bobbin's is in the brake's pull",
    }.get(by, "the flyer's arms included")
    out.labelled("  ", (
        f"Of {work.power_w:.2f} W with the full bobbin: yarn {work.yarn_w:.2f}, brakes "
        f"{work.brake_w:.2f}, bearings {work.bearing_w:.2f}, bending of the cords "
        f"{work.bending_w:.2f}, air {work.air_w:.2f} ({arms}), slip of all bands "
        f"{work.slip_w:.2f} W."
    ))
    if work.full.slips is not None:
        out.labelled("  ", (
            f"As tight as the band is, the {work.full.slips}'s whorl slips all the time: what it "
            f"holds pulls the yarn with {work.empty.yarn_pull_n:.1f} N (empty) to "
            f"{work.full.yarn_pull_n:.1f} N (full). Slacken the band to be drawn in more gently."
        ))
    out.print()


def within(ends: tuple[float, float] | None, digits: int) -> str:
    """Return a range in brackets, with a blank before it; nothing where there is none."""
    if ends is None or f"{ends[0]:.{digits}f}" == f"{ends[1]:.{digits}f}":
        return ""
    return f" ({grouped(ends[0], digits)} to {grouped(ends[1], digits)})"


def _within(out: Terminal, answer: RunningAnswer) -> None:
    """Say what the ranges in brackets are."""
    if answer.known:
        figures = ", ".join(
            f"{k.what} {k.low:g} to {k.high:g}{f' {k.unit}' if k.unit else ''}"
            for k in answer.known
        )
        out.labelled(
            "  ",
            "Ranges: least with all that is soft and smooth, greatest with all that is stiff and "
            f"rough together ({figures}). Measure the pull of a strand with a spring balance "
            "(tension.measured of the band), or tap the bare spindle (natural_frequency under "
            "[spindle]), and they narrow.",
        )


def _bands(out: Terminal, answer: RunningAnswer) -> None:
    rows = table(
        "Band", "on", ">pull at rest", ">wrap", ">tension ratio", ">slip margin", ">at worst",
        ">in start",
    )  # fmt: skip
    winds = answer.flyer is not None and answer.flyer.full.slips is not None
    for band in answer.tension:
        for index, stop in enumerate(band.pulleys):
            pull = number(band.rest_n, 2, " N") if index == 0 else ""
            rows.add_row(
                band.name if index == 0 else "", stop.name, pull,
                number(stop.wrap_deg, 0, "°"), number(stop.grip_ratio, 2),
                times(stop.margin), times(stop.least_margin), times(stop.start_margin),
            )  # fmt: skip
    out.print(rows)
    for band in answer.tension:
        if band.rest_n is not None and band.tight_n is not None and band.stress_mpa is not None:
            out.labelled(
                "  ",
                f"{band.name}: {band.rest_n:.1f} N{within(band.rest_range_n, 1)} in a strand at "
                f"rest, at most {band.tight_n:.1f} N{within(band.tight_range_n, 1)} at work: "
                f"stress {figures(band.stress_mpa, 2)} MPa{within(band.stress_range_mpa, 1)}.",
            )
    out.labelled(
        "  ",
        "Tension ratio: the greatest T1/T2, tight side over slack side, before the band slips. "
        "Slip margin: load at which it slips ÷ working load; at worst, with the softest and "
        "smoothest cord that its material may be; in start, at its hardest moment."
        + (" A dash where a whorl slips as wind-on asks: that one lets go first." if winds else ""),
    )


def times(margin: float | None) -> str:
    """Return a margin as a factor; a dash for none."""
    return "-" if margin is None else f"{grouped(margin, 1)} ×"


def _start(out: Terminal, start: StartAnswer) -> None:
    if start.torque_nm is None:
        out.print("  The start cannot be computed; the findings say why.")
        return
    if start.time_s is None or start.energy is None:
        out.print("  The wheel does not come up to speed.")
    else:
        least, most = start.time_range_s or (start.time_s, start.time_s)
        ends = (
            f" ({least:.1f} s to not at all)" if most is None else within((least, most), 1)
        )
        out.print(
            f"  Full speed in {start.time_s:.1f} s{ends}; {start.energy.hand_j:.1f} J put in, "
            f"{start.energy.kinetic_j:.1f} J stored in the moving parts."
        )
    for band in start.bands:
        if band.slips:
            out.print(
                f"  {band.name} slips for {band.slip_s:.1f} s and turns {band.slip_j:.1f} J into "
                "heat."
            )


def _spindle(out: Terminal, spindle: WhirlAnswer, what: str) -> None:
    if not spindle.cop or spindle.natural_empty_hz is None or spindle.natural_full_hz is None:
        out.print("  The spindle's critical speeds cannot be computed; the findings say why.")
        return
    out.print(
        f"  Spindle: works at {number(spindle.speed_rpm, 0)} rpm; natural frequency "
        f"{spindle.natural_empty_hz:.0f} Hz bare (tap it and listen), "
        f"{spindle.natural_full_hz:.0f} Hz full."
    )
    bare, full = (
        within(ends, 0).strip(" ()")
        for ends in (spindle.critical_empty_range_rpm, spindle.critical_full_range_rpm)
    )
    if bare and full:
        out.print(f"  Range of its first critical speed: {bare} rpm bare, {full} rpm full.")
    rows = table("Yarn on it", ">across", ">first critical", ">second critical")
    for point in spindle.cop[::2]:
        speeds = [f"{grouped(rpm)} rpm" for rpm in point.critical_rpm[:2]]
        rows.add_row(
            f"{point.mass_g:.1f} g", f"{point.diameter_mm:.1f} mm",
            *speeds, *["-"] * (2 - len(speeds)),
        )  # fmt: skip
    out.print(rows)
    _cop_shake(out, spindle.cop_shake, what)


def _cop_shake(out: Terminal, shake: CopShakeAnswer | None, what: str) -> None:
    """Print what a cop off centre does."""
    if shake is None:
        return
    text = (
        f"A full {what} of {shake.mass_g:.1f} g, {shake.eccentricity_mm:g} mm off centre, pulls "
        f"with {figures(shake.force_n, 2)} N as it goes round"
    )
    if shake.bearings and shake.tip_mm is not None:
        forces = " and ".join(f"{figures(b.force_n, 2)} N" for b in shake.bearings)
        end, off = "orifice" if what == "bobbin" else "tip", max(shake.tip_mm, 0.01)
        text += f"; on the rod as it bends that shakes the bearings with up to {forces}, and the "
        less = "less than " if off > shake.tip_mm else ""
        text += f"{end} runs round {less}{figures(off, 2)} mm off its axis"
    out.labelled("  ", f"{text}.")


def _pulleys(out: Terminal, answer: RunningAnswer) -> None:
    rows = table(
        "Pulley", ">speed", ">bore true to", ">rim", ">rim stress at 2 × speed", ">safety factor"
    )
    for true, rim in zip(answer.balance, answer.rim, strict=True):
        rows.add_row(
            true.name, f"{grouped(true.speed_rpm)} rpm",
            f"{figures(true.permissible_eccentricity_mm, 2)} mm", f"{rim.speed_m_s:.1f} m/s",
            f"{figures(rim.stress_at_twice_mpa, 2)} MPa", _factor(rim.factor_at_twice),
        )  # fmt: skip
    out.print(rows)
    if answer.balance:
        grade = answer.balance[0].grade_mm_s
        out.print(f"  Bores: for balance grade G {grade:g} (ISO 21940-11).")
    out.labelled(
        "  ",
        "Safety factor: strength of the material, wood across its grain, ÷ rim stress at twice "
        "the working speed.",
    )
    out.print("  Keep hair, sleeves and children away from bands, rims and the spindle's point.")


def _factor(factor: float | None) -> str:
    if factor is None:
        return "-"
    return "over 1 000" if factor > 1000.0 else f"{factor:.0f}"
