"""What the shop sheet says of one wheel, taken from its facts, its parts and its drawing."""

from __future__ import annotations

from collections.abc import Mapping

from wheelgeo.built.as_built import build
from wheelgeo.built.assumed import each_once
from wheelgeo.check.answer import Answer
from wheelgeo.check.answer_yarn import YarnAnswer
from wheelgeo.check.finding import Finding
from wheelgeo.design.drive_parts import COUNTED
from wheelgeo.design.model import Design, Vector
from wheelgeo.design.side_words import drive_seen_from, seen_from
from wheelgeo.drawing.drive_drawing import view_figure
from wheelgeo.drawing.whorl_close import whorl_figure
from wheelgeo.drive.fixing import FixedPulley
from wheelgeo.drive.train import Solution
from wheelgeo.shop.cautions import cautions
from wheelgeo.shop.fixing_words import fixing_reason, fixing_words
from wheelgeo.shop.general_drawing import general_figures, numbered
from wheelgeo.shop.needed import needed_sizes
from wheelgeo.shop.part_figures import part_blocks
from wheelgeo.shop.parts import held_on_rods
from wheelgeo.shop.section import wheels
from wheelgeo.shop.sheet import (
    Block,
    Heading,
    Listing,
    Notice,
    Pairs,
    Paragraph,
    Picture,
    Sheet,
    Table,
)
from wheelgeo.shop.sheet_cut import Lengths, cut_list, drilling, grooves
from wheelgeo.shop.sheet_order import order
from wheelgeo.shop.sheet_shopping import shopping
from wheelgeo.shop.sheet_words import by_stages, joining
from wheelgeo.shop.tables import BandRow, band_rows, renewing, with_sure
from wheelgeo.units.in_full import figures
from wheelgeo.units.written import (
    LengthUnit,
    bought_length,
    length_with_unit,
    told_in,
    turned_length,
    unit_note,
)
from wheelgeo.yarn.winders import BUNCH_TURNS, HANK_BUNCHES, HANK_M, REEL_ROUND_MM

COLUMN_MM = 180.0
"""Width of the drawing on the sheet, mm."""
UNKNOWN = "not known"


def shop_sheet(answer: Answer, unit: LengthUnit = "mm") -> Sheet:
    """Return the shop sheet of a wheel.

    Args:
        answer: the checked wheel.
        unit: how lengths are written.

    Raises:
        OutputError: a band has no path.
        ShapeError: a part cannot be made as asked.
    """
    design, solution = answer.design, answer.solution
    held = held_on_rods(design)
    blocks = [
        Notice("Cautions: read before cutting and before turning", cautions(design)),
        *_drawing(solution, unit),
        *_general(solution),
        *_facts(answer, unit),
        *_findings(answer.findings, unit),
        *cut_list(solution, unit),
        *part_blocks(design, unit, COLUMN_MM),
        *grooves(design, unit),
        *_tolerances(solution, unit),
        *_fixings(held, unit),
        *shopping(solution, held, band_rows(solution), unit),
        *drilling(design, unit),
        *_bands(solution, unit),
        *order(answer, unit),
        *_acceptance(answer),
        *_how_to_read(design, unit),
    ]
    return Sheet(f"{design.title}: shop sheet", _lead(answer, turned_by(design)), tuple(blocks))


def turned_by(design: Design) -> str:
    """Return what a person counts the turns of; a treadle makes its wheel turn once a stroke."""
    return COUNTED[design.drive.by]


def _lead(answer: Answer, turned: str) -> str:
    """Return the most important in one sentence."""
    ratio, twist, speed = answer.ratio, answer.twist, answer.spindle.speed_rpm
    parts = [f"{_number(ratio, 1)} spindle turns per turn of the {turned}"]
    if speed is not None:
        parts.append(f"spindle speed {_number(speed, 0)} rpm")
    if twist.direction is not None:
        wanted = twist.wanted
        match = "" if wanted is None else (", as wanted" if wanted == twist.direction else "")
        other = f", but {wanted} is wanted" if wanted not in (None, twist.direction) else match
        parts.append(f"twist {twist.direction}{other}")
    faults = len(answer.faults)
    if faults:
        parts.append(f"{faults} fault{'s' if faults > 1 else ''} found: do not build it yet")
    return "; ".join(parts) + "."


def _number(value: float | None, decimals: int = 2) -> str:
    return UNKNOWN if value is None else f"{value:,.{decimals}f}".replace(",", "\N{THIN SPACE}")


def _drawing(solution: Solution, unit: LengthUnit) -> list[Block]:
    blocks: list[Block] = [Heading("The drive")]
    heights = {"plan": 110.0, "side": 110.0, "isometric": 110.0}
    for which, tallest in heights.items():
        figure = view_figure(solution, which, unit, COLUMN_MM, tallest)  # type: ignore[arg-type]
        caption = f"{figure.title.rpartition(': ')[2]}. Lengths in {unit_note(unit)}."
        if which == "isometric":
            caption = "Isometric view; arrows show travel of bands and rotation of shafts."
        blocks.append(Picture(figure, caption))
    close = whorl_figure(solution)
    if close is not None:
        blocks.append(Picture(close, "The last band close by, as it must lie, and the other way."))
    return blocks


def _general(solution: Solution) -> list[Block]:
    """Return every body of the wheel as built in outline, and what the numbers are."""
    named = "; ".join(f"{number} {body.name}" for number, body in numbered(solution))
    pictures = [Picture(f, f"{f.title.capitalize()}.") for f in general_figures(solution)]
    return [Heading("Every part in its place"), *pictures, Paragraph(f"Numbers: {named}.")]


def _facts(answer: Answer, unit: LengthUnit) -> list[Block]:
    twist, spindle, drive = answer.twist, answer.spindle, answer.design.drive
    sense, turned = spindle.turns or UNKNOWN, turned_by(answer.design)
    rows = [
        ("Turned by", f"{drive.by}, {_number(drive.speed_rpm, 0)} rpm, {drive.turns}, "
         f"{drive_seen_from(answer.design)}"),
        (
            "Ratio",
            f"{with_sure(_number(answer.ratio), answer.ratio_uncertainty, _number)} "
            f"({_number(answer.ratio_without_slip)} without slip)",
        ),
        (
            "Spindle",
            f"{_number(spindle.speed_rpm, 0)} rpm, {sense} seen from the yarn",
        ),
        ("Twist", f"{twist.direction or UNKNOWN}; wanted: {twist.wanted or 'not stated'}"),
        ("Twist wanted, turns per metre", _number(twist.turns_per_metre, 0)),
        (f"Turns of the {turned} per metre of yarn", _number(twist.drive_turns_per_metre)),
        (f"Turns of the {turned} per draw", _number(twist.drive_turns_per_draw)),
        *([] if answer.wind_on is None else [("Wind-on", answer.wind_on.says)]),
        *((f"Band on {s.whorls}", told_in(s.says, unit)) for s in answer.whorl_steps),
        *_yarn(answer.yarn, answer.design.spindle.kind == "flyer"),
    ]
    shafts = tuple(
        (
            s.name,
            _size(s.speed_rpm, 0),
            _size(s.turns_per_drive_turn, 3),
            _sense(s.speed_rpm, answer.design.shaft(s.name).axis),
        )
        for s in answer.shafts
    )
    head = ("Shaft", "Speed, rpm", f"Turns per turn of the {turned}", "Turns")
    return [Heading("Facts"), Pairs(tuple(rows)), Table("Shafts", head, shafts, (3, 2, 2, 3))]


def _yarn(yarn: YarnAnswer | None, flyer: bool) -> list[tuple[str, str]]:
    """Return what is to be known of the yarn, a hank of it and a full cop."""
    if yarn is None:
        return []
    counts = ", ".join(
        f"{_number(c.value, 0) if c.value >= 1e4 else f'{c.value:.4g}'} {c.system}"
        for c in yarn.counts
    )
    if yarn.plies > 1:
        counts = f"{yarn.plies} plies, each {counts}"
    reeled = f"{HANK_BUNCHES} bunches of {BUNCH_TURNS} turns of a {REEL_ROUND_MM / 1e3:g} m reel"
    grams = yarn.metric_hank_g
    grams_told = _number(grams, 0) if grams >= 100.0 else f"{figures(grams, 3)}"
    hank = f"{_number(HANK_M, 0)} m ({reeled}) weigh {grams_told} g"
    rows = [("Count of the yarn", counts), ("A metric hank", hank)]
    if yarn.fibres is not None:
        section = f"{yarn.fibres.in_section:.0f}; it takes {yarn.fibres.least:.0f}"
        rows.append(("Fibres side by side in a strand", section))
    if (plied := yarn.plied) is not None:
        turns = f"{_number(plied.turns_per_metre, 0)} turns per metre {plied.direction}"
        rows.append(("Plied", f"{turns}; comes to {plied.count:.4g} {plied.system}"))
    spinning = yarn.spinning
    if spinning is not None:
        per_hour = f"{_number(spinning.metres_per_hour, 0)}, joins and winding on counted"
        rows.append(("Metres in an hour", per_hour))
        hank = f"{_number(spinning.metric_hank.hours, 1)} h"
        rows.append(("Time for a metric hank", hank))
        if spinning.plying is not None:
            whole = f"{_number(spinning.plying.metric_hank.hours, 1)} h, spun and plied"
            rows.append(("Time for a plied hank", whole))
    cop, what = yarn.full_cop, "bobbin" if flyer else "cop"
    if cop is not None:
        holds = f"{_number(cop.length_m, 0)} m, {_number(cop.metric_hanks)} metric hanks"
        plied_on = yarn.full_cop_plied
        if plied_on is not None:
            holds += f" of one strand; or {_number(plied_on.length_m, 0)} m plied"
        rows.append((f"A full {what} holds", holds))
    if (many := yarn.bobbins_to_ply) is not None:
        one = "; the lists have one: make the others like it" if flyer else ""
        rows.append((f"To ply takes {many} {what}s", f"{many - 1} to ply from, one to ply on{one}"))
    return rows


def _size(value: float | None, decimals: int) -> str:
    """Return a number without its sign; the next column says which way round."""
    return _number(None if value is None else abs(value), decimals)


def _sense(speed: float | None, axis: Vector) -> str:
    if speed is None:
        return UNKNOWN
    return f"{'counter-clockwise' if speed > 0.0 else 'clockwise'}, {seen_from(axis)}"


def _findings(found: tuple[Finding, ...], unit: LengthUnit) -> list[Block]:
    if not found:
        return [Heading("Findings"), Paragraph("Nothing was found amiss.")]
    rows = tuple(
        (f.level, f.where, told_in(f.says, unit), told_in(f.remedy.says, unit), f.source)
        for f in found
    )
    head = ("Level", "Where", "Finding", "Remedy", "Source")
    caption = f"{len(rows)} finding{'s' if len(rows) > 1 else ''}"
    return [Heading("Findings"), Table(caption, head, rows, (1.2, 2, 4, 3.5, 2.2))]


def _tolerances(solution: Solution, unit: LengthUnit) -> list[Block]:
    """Return how close every size must be that has a part in the ratio, the weightiest first."""
    turned, bought = turned_length(unit, 2), bought_length(unit)
    rows = tuple(
        (
            size.what,
            f"{size.value:g}°" if size.unit == "deg" else (
                bought if size.what.endswith(".diameter") else turned)(size.value),
            f"± {figures(size.within)}°" if size.unit == "deg" else told_in(
                f"± {figures(size.within)} mm", unit, fits=True),
            "critical: measure it" if size.critical else "",
        )
        for size in needed_sizes(solution).values()
    )  # fmt: skip
    caption = "How close each size must be for the twist wanted; all others as ISO 2768-1, medium"
    return [Table(caption, ("Size", "Drawn", "Within", ""), rows, (3, 2, 2, 3))] if rows else []


def _fixings(held: Mapping[str, FixedPulley], unit: LengthUnit) -> list[Block]:
    """Return how every pulley is held on its rod."""
    bought = bought_length(unit)
    rows = tuple(
        (
            ", ".join(one.piece),
            f"{bought(one.pulley.shaft.diameter_mm)} {one.pulley.shaft.name}",
            told_in(fixing_words(one), unit, fits=True),
            told_in(fixing_reason(one), unit, fits=True),
        )
        for name, one in held.items()
        if name == one.piece[0]
    )
    head = ("Fixed pulley", "On the rod", "How it is fixed", "Why that will do")
    return [Table("How each pulley sits on its rod", head, rows, (2, 2, 5, 4))]


def _bands(solution: Solution, unit: LengthUnit) -> list[Block]:
    lengths = length_with_unit(unit, 1)
    cords = bought_length(unit)
    made = band_rows(solution)
    rows = tuple(_band_row(row, lengths, cords) for row in made)
    head = ("Band", "Cord", "Over", "In place", "Stretch", "Cut", "Joint", "Cut with joint")
    caption = "Bands: cut length is measured slack, before the band is stretched on"
    if any(half is not None for row in made for half in row.halves_mm):
        caption += "; ± is how sure it is, at 95 %"
    joints = dict.fromkeys((b.band.material, b.joint_kind) for b in solution.built.bands.values())
    advice = tuple(f"{material}: {joining(joint)}" for material, joint in joints)
    return [
        Heading("Bands"),
        Table(caption, head, rows, (2.4, 3, 4, 2, 1.7, 2, 1.8, 2.2)),
        Listing((*advice, *renewing(solution.design))),
    ]


def _band_row(row: BandRow, lengths: Lengths, cords: Lengths) -> tuple[str, ...]:
    band, (in_place, cut) = row.band, row.halves_mm
    return (
        band.name,
        f"{band.material}, {cords(band.diameter_mm)}",
        " → ".join(stop.pulley for stop in band.route),
        with_sure(lengths(row.path_mm), in_place, lengths),
        _assumed(f"{100.0 * row.told.stretch:.1f} %", row.told.stretch_assumed),
        with_sure(lengths(row.cut_mm), cut, lengths),
        _assumed(lengths(row.told.joint_mm), row.told.joint_assumed),
        with_sure(lengths(row.with_joint_mm), cut, lengths),
    )


def _assumed(text: str, assumed: bool) -> str:
    """Return a value with a word where it is not the file's."""
    return f"{text}, assumed" if assumed else text


def _acceptance(answer: Answer) -> list[Block]:
    """Return the test at the end: what must come out, as numbers that can be counted."""
    ratio, turned = answer.ratio_without_slip, turned_by(answer.design)
    lines = [f"Turn the {turned} by hand, bands on: it goes smoothly all the way round, with no "
             "tight place."]  # fmt: skip
    spindle = "spindle" if answer.design.spindle.kind == "tip" else "flyer"
    if ratio is not None:
        turns = next((n for n in (1, 2, 5, 10, 20) if abs(ratio) * n >= 20.0), 50)
        wanted = abs(ratio) * turns
        lines.append(
            f"Mark the {spindle} with a thread. {turns} slow turn{'s' if turns > 1 else ''} of the "
            f"{turned} must turn it {wanted:.1f} times, within {0.05 * wanted:.1f}: fewer, and a "
            f"band slips or a whorl is too large.{by_stages(answer.solution, turned)}"
        )
    tip = answer.design.spindle.kind == "tip"
    quick = "Back off ten turns quickly" if tip else "Start and stop quickly ten times"
    lines.append(
        f"{quick}: no band may leave its groove, and no pulley creep on its rod "
        "(pencil marks across hub and rod stay in line)."
    )
    yarn = answer.yarn
    if yarn is not None and yarn.metres_per_hour is not None:
        lines.append(
            f"Spin for ten minutes: a practised hand has about {yarn.metres_per_hour / 6.0:.0f} m "
            "at most (drafting alone), a beginner a quarter of that."
        )
    return [Heading("Acceptance test"), Listing(tuple(lines), boxes=True)]


def _units(unit: LengthUnit) -> str:
    """Return how lengths on the sheet are written."""
    fine = ", as turned and bored sizes and those in notes are" if unit == "in/64" else ""
    own = "" if unit == "mm" else "; what is bought by its metric size has that size first"
    return f"Lengths on this sheet are in {unit_note(unit)}{fine}{own}."


def _how_to_read(design: Design, unit: LengthUnit) -> list[Block]:
    taken: dict[tuple[str, str], list[str]] = {}
    made = build(design).pulleys.values()
    for a in each_once(a for p in made for a in p.material.assumed):
        taken.setdefault((a.taken, a.source), []).append(a.what)
    assumed = [
        f"{', '.join(what)}: {name} taken ({why})." for (name, why), what in taken.items()
    ]
    said = [note for wheel in wheels(design) for note in wheel.notes]
    lines = [
        _units(unit),
        "Masses come from the exact section and the usual density of the material.",
        *(told_in(line, unit, fits=True) for line in dict.fromkeys([*assumed, *said])),
    ]
    return [Heading("What was assumed"), Listing(tuple(lines))]
