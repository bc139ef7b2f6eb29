"""What the page says of a wheel: numbers beside what they were, and what is wrong."""

from __future__ import annotations

import time
from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from wheelgeo.built.assumed import Assumption
from wheelgeo.check.answer import Answer
from wheelgeo.check.edits import place_of
from wheelgeo.check.finding import Finding, Remedy
from wheelgeo.check.told_together import told_ways
from wheelgeo.design.drive_parts import COUNTED
from wheelgeo.design.model import Design
from wheelgeo.design.side_words import drive_seen_from
from wheelgeo.numbers.named_parts import meant_by
from wheelgeo.numbers.results import find_result
from wheelgeo.page.pointing import parts_of
from wheelgeo.units.in_full import figures
from wheelgeo.units.written import (
    MM_PER_INCH,
    LengthUnit,
    bought_length,
    grouped,
    grouped_as_set,
    length_with_unit,
    told_in,
    turned_length,
)
from wheelgeo.wheel import Wheel

if TYPE_CHECKING:
    from wheelgeo.check.answer_run import RunningAnswer
    from wheelgeo.yarn.head_at_work import FlyerAtWork

Told = dict[str, Any]
Row = tuple[str, str, float | None, str, str]
"""Name, what it is called, value, unit, meaning."""

_BEYOND = 1e12
_SLIPS = "must slip"
"""What stands in place of a slip margin where one whorl must slip for the yarn to be drawn in."""
_AT_REST, _LIMIT = ".rest", "_limit"
"""Ends of the names of numbers that are so whether the wheel runs or not."""
_LIMB = {"crank": "hand", "treadle": "foot", "motor": "motor", "hand": "hand"}


def numbers(answer: Answer, was: Answer, unit: LengthUnit) -> list[Told]:
    """Return the numbers that speeds and paths give, each with what it was.

    Args:
        answer: the wheel as it is.
        was: the wheel as it was before.
        unit: how lengths are written.
    """
    told = _beside(_turning(answer), _turning(was), unit)
    for row in told:
        _would(row, answer)
    told += _beside(_to_cut(answer), _to_cut(was), unit)
    now, before = _how_sure(answer), _how_sure(was)
    for row in told:
        for text, sure in (("text", now), ("was_text", before)):
            if (half := sure.get(row["key"])) is not None:
                row[text] += f" ± {written(half, row['unit'], unit)}"
    return told


def _how_sure(answer: Answer) -> dict[str, float | None]:
    """Return the half widths at 95 % of what is told, of a wheel that was measured."""
    cuts = {f"{b.name}.cut_with_joint": b.cut_length_uncertainty_mm for b in answer.bands}
    return {"ratio": answer.ratio_uncertainty, **cuts}


def mechanics(run: RunningAnswer, was: RunningAnswer, unit: LengthUnit) -> list[Told]:
    """Return the numbers of a wheel under a hand, each with what it was.

    None of an old wheel: they hang on bearings, rods and weights that nobody measured.
    """
    told = _beside(_dynamic(run), _dynamic(was), unit)
    for row in told:
        if not row["key"].endswith((_AT_REST, _LIMIT)):
            _would(row, run.solved)
    return told


def _would(row: Told, answer: Answer) -> None:
    """Tell of a number that hangs on the wheel running that it would be so, where it cannot."""
    row["would"] = bool(answer.pathless) and row["value"] is not None
    if row["would"]:
        row["name"] += " (if it ran)"


def _beside(rows: Iterable[Row], before: Iterable[Row], unit: LengthUnit) -> list[Told]:
    """Return numbers of two wheels beside each other, and after them what only the other has."""
    old, told = {row[0]: row for row in before}, []
    for key, name, value, kind, means in rows:
        _, name_was, value_was, kind_was, _ = old.pop(key, (key, name, None, kind, ""))
        told.append({
            "key": key, "name": name if name == name_was else f"{name} / {name_was}",
            "value": value, "unit": kind, "means": means, "text": written(value, kind, unit),
            "was": value_was, "was_text": written(value_was, kind_was, unit),
        })  # fmt: skip
    for key, name, value, kind, means in old.values():
        told.append({
            "key": key, "name": name, "value": None, "unit": kind, "means": means,
            "text": written(None, "", unit), "was": value, "was_text": written(value, kind, unit),
        })  # fmt: skip
    return told


def _turning(answer: Answer) -> Iterator[Row]:
    spindle = answer.design.spindle.shaft
    by = COUNTED[answer.design.drive.by]
    yield ("ratio", "ratio", answer.ratio, "", f"spindle turns per turn of the {by}")
    for key, name in (("bobbin_ratio", "ratio of the bobbin"), ("bobbin_gain", "bobbin gains")):
        if key in answer:
            yield key, name, answer[key], "", find_result(answer.design, key).means
    speed = answer[f"{spindle}.speed"]
    # Called alike on every wheel, so that two wheels stand beside each other.
    yield ("spindle.speed", "spindle", None if speed is None else abs(speed), "rpm",
           "speed of the spindle at the working speed of the drive")  # fmt: skip
    twist = answer.twist
    yield ("drive.turns_per_metre", f"turns of the {by} a metre", twist.drive_turns_per_metre, "",
           f"turns of the {by} that twist a metre of yarn")  # fmt: skip
    yield ("drive.turns_per_draw", f"turns of the {by} a draw", twist.drive_turns_per_draw, "",
           f"turns of the {by} that twist one draw")  # fmt: skip


def _to_cut(answer: Answer) -> Iterator[Row]:
    for band in answer.bands:
        yield (f"{band.name}.cut_with_joint", f"{band.name}, to cut", band.cut_with_joint_mm, "mm",
               "length of cord to cut for the band, its joint included")  # fmt: skip
        if band.off_reel_mm != band.cut_with_joint_mm:
            yield (f"{band.name}.off_reel", f"{band.name}, off the reel", band.off_reel_mm, "mm",
                   "the same with the ends that its knot is tied by")  # fmt: skip
        taken = band.take_up
        yield (f"{band.name}.take_up", f"{band.name}, take-up left",
               None if taken is None else taken.room_mm, "mm",
               "by how much it may grow until it hangs slack: what slide and stretch take up")


def _dynamic(run: RunningAnswer) -> Iterator[Row]:
    if run.solved.design.shop.old_wheel:
        return
    load = run.load
    limb = _LIMB[load.by]
    yield ("run.effort", f"pull of the {limb}", load.force_n, "N",
           f"force that the {limb} keeps up at the working speed")  # fmt: skip
    if load.force_limit_n is not None:
        yield (f"run.effort{_LIMIT}", f"a {limb} keeps up", load.force_limit_n, "N",
               f"force that a {limb} can keep up for long")  # fmt: skip
    held = "" if run.flyer is None else _held_by(run.flyer)
    for size in () if run.flyer is None else ("empty", "full"):
        yield (f"run.yarn.{size}", f"pull on the yarn, {size} bobbin",
               getattr(run.flyer, size).yarn_pull_n, "N",
               f"what draws the yarn in with the {size} bobbin: {held}")  # fmt: skip
    for band in run.tension:
        yield (f"run.{band.name}{_AT_REST}", f"{band.name}, pull at rest", band.rest_n, "N",
               "pull in the band when nothing turns")  # fmt: skip
        slips = band.margin is None and run.flyer is not None and run.flyer.full.slips is not None
        yield (f"run.{band.name}.margin", f"{band.name}, slip margin", band.margin,
               _SLIPS if slips else "x",
               f"none: {held}, as winding on asks" if slips
               else "load at which the band slips over the working load")  # fmt: skip
    yield ("run.start", "up to speed in", run.start.time_s, "s", "time from rest to full speed")


def _held_by(flyer: FlyerAtWork) -> str:
    """Return what pulls the yarn in."""
    slips = flyer.full.slips
    return "the brake" if slips is None else f"the band slips on the {slips}'s whorl"


def results(wheel: Wheel, unit: LengthUnit) -> list[Told]:
    """Return every result that has a name, and what it is."""
    return [
        {"key": r.key, "means": r.means, "value": r.value, "text": written(r.value, r.unit, unit)}
        for r in wheel.results()
    ]


def twist_line(answer: Answer, back: bool = False) -> str:
    """Return the twist in words: S or Z, and whether it is the one that is wanted.

    Args:
        answer: the wheel.
        back: whether it is turned the other way, which turns spindle and twist round with it.
    """
    twist = answer.twist
    if twist.direction is None:
        return "no twist: the spindle is not driven"
    if back:
        made = "S" if twist.direction == "Z" else "Z"
        turns = "clockwise" if made == "Z" else "counter-clockwise"  # ISO 2, as the yarn sees it
        return f"turned back: {made} twist, the spindle {turns} as seen from the yarn"
    per_metre = twist.turns_per_metre
    amount = "" if per_metre is None else f", {grouped(per_metre)} turns per metre"
    if answer.design.shop.old_wheel:  # which way it is turned nobody was asked
        amount += f", with the wheel turned {answer.design.drive.turns}, "
        amount += drive_seen_from(answer.design)
    if twist.wanted in (None, twist.direction):
        return f"{twist.direction} twist{amount}"
    return f"{twist.direction} twist, but {twist.wanted} is wanted{amount}"


def winding_on(answer: Answer) -> str:
    """Return how a flyer wheel winds on, in words; empty for others."""
    return "" if answer.wind_on is None else f"Winding on: {answer.wind_on.says}"


def written(value: float | None, kind: str, unit: LengthUnit) -> str:
    """Return a number as the page writes it, with its unit; a dash where there is none."""
    if value is None:
        return kind if kind == _SLIPS else "–"
    if kind == "mm":
        return length_with_unit(unit)(value)
    return _with_unit(grouped(value, _digits(value, kind)), kind)


_DIGITS = {"rpm": 0, "deg": 1, "x": 1}
"""So many decimals tell a result, by its unit; of others two, or none beyond a thousand."""


def _digits(value: float, kind: str) -> int:
    return _DIGITS.get(kind, 2 if abs(value) < 1000.0 else 0)


def _with_unit(told: str, kind: str) -> str:
    return f"{told}°" if kind == "deg" else f"{told} {'×' if kind == 'x' else kind}".rstrip()


def _as_set(value: float, kind: str) -> str:
    """Return a number that was set with as many decimals as it has: typed again it is the same."""
    return _with_unit(grouped_as_set(value, _digits(value, kind)), kind)


def in_short(value: float, kind: str) -> str:
    """Return a number that was set in four figures or more: 30 tpi as 1 181 per m."""
    return _with_unit(grouped_as_set(value, within=_IN_SHORT), kind)


_IN_SHORT = 1e-4


def in_digits(value: float, kind: str, digits: int, unit: LengthUnit) -> str:
    """Return a number with so many decimals; a length has them in the unit of the page."""
    if kind == "mm" and unit != "mm":
        value, kind = value / MM_PER_INCH, "in"
    return _with_unit(grouped(value, digits), kind)


_BOUGHT = {"shaft": ("diameter",), "band": ("diameter",), "pulley": ("core", "cheek")}
"""Rods, cords and sheet, by kind of part and field."""


def input_text(part: str, field: str, value: float | None, kind: str, unit: LengthUnit) -> str:
    """Return a number that can be set as the shop sheet writes it; empty where there is none.

    Args:
        part: the kind of its part.
        field: its name within the part.
        value: the number.
        kind: its unit.
        unit: how lengths are written; what is bought is told as it is asked for.
    """
    if value is None:
        return ""
    if kind == "mm" and field in _BOUGHT.get(part, ()):
        return bought_length(unit)(value)
    if kind == "mm" and part == "pulley":
        return turned_length(unit)(value)
    return written(value, kind, unit) if kind == "mm" else _as_set(value, kind)


def with_half(text: str, half: float | None, kind: str, unit: LengthUnit) -> str:
    """Return the text of a number with the half width at 95 % of it, as it may be typed again.

    Args:
        text: the number with its unit.
        half: the half width; None where the number is not known to be measured.
        kind: its unit.
        unit: how lengths are written.
    """
    if half is None or not text:
        return text
    # Typed again it must come back: three figures of it, and nothing in brackets.
    if kind == "mm":
        sure = turned_length(unit)(half) if unit == "in/64" else (
            f"{figures(half / MM_PER_INCH, 3)} in" if unit == "in"
            else f"{figures(half, 3)} mm")  # fmt: skip
        return f"{text.partition(' (')[0]} ± {sure}"
    return f"{text} ± {figures(half, 3)} {kind}".rstrip()


def findings(found: Iterable[Finding], design: Design, unit: LengthUnit) -> list[Told]:
    """Return findings in the order given, each with the parts that it speaks of."""
    return [
        {
            "rule": f.rule, "level": f.level, "where": f.where,
            "says": told_in(f.says, unit), "value": f.value, "limit": f.limit,
            "unit": f.unit, "source": f.source,
            "parts": parts_of(f, design),
        }
        for f in found
    ]  # fmt: skip


def assumed(found: Iterable[Assumption], unit: LengthUnit) -> list[Told]:
    """Return what was assumed, each once, its lengths in the unit of the page."""
    return [
        {"what": a.what, "taken": told_in(a.taken, unit), "source": a.source}
        for a in dict.fromkeys(found)
    ]


def named(design: Design, key: str) -> str:
    """Return a number's name as its ring says it: "hub, diameter of the rim"."""
    meant = meant_by(design, key)
    if len(meant) != 1:
        return key
    (spot,) = meant
    part = f"{spot.kind.name} {spot.part_name}" if spot.kind.counted else spot.part_name
    return f"{part or spot.kind.name}, {spot.field.means}"


def with_remedies(
    found: Sequence[Finding], design: Design, unit: LengthUnit, seconds: float,
    wanted: Collection[int] | None = None,
) -> list[Told]:  # fmt: skip
    """Return findings as ``findings`` tells them, each with its remedy and the ways to try.

    Args:
        found: the findings.
        design: the wheel.
        unit: how lengths are written.
        seconds: how long remedies are looked for that are not known yet; the findings that are
            left then are marked ``later``, and gone on with when they are asked for once more.
        wanted: places in the list of those to be looked for; None: all.
    """
    end = time.perf_counter() + seconds
    for number, finding in enumerate(found):
        if wanted is None or number in wanted:
            finding.look_for_remedy(end - time.perf_counter())
    full = []
    told = told_ways(found, look=False)
    for finding, row, lines in zip(found, findings(found, design, unit), told, strict=True):
        if not finding.look_for_remedy(0.0):
            full.append({**row, "remedy": "", "lines": [], "ways": [], "later": True})
            continue
        to_try = ways_to_try(finding)
        full.append({
            **row, "remedy": told_in(finding.remedy.says, unit),
            "lines": [
                {
                    "says": told_in(line.says, unit),
                    "way": to_try.index(line.way) if line.way in to_try else None,
                }
                for line in lines
            ],
            "ways": [{"says": told_in(way.says, unit)} for way in to_try],
        })  # fmt: skip
    return full


def ways_to_try(finding: Finding) -> list[Remedy]:
    """Return the ways that change the wheel.

    One that sets a limit anew, such as how true a cop is wound, is for the spinner's hand: with it
    the finding would only fall silent.
    """
    return [
        way for way in finding.remedy.ways
        if way.design is not None
        and all(place_of(way.design, edit.key).kind != "limits" for edit in way.edits)
    ]  # fmt: skip


def plain_value(value: object) -> object:
    """Return what was typed as ``put`` takes it: text, a number, yes or no, or None.

    Raises:
        TypeError: it is something else, or a number beyond all wheels.
    """
    if value is None or isinstance(value, str | bool):
        return value
    if isinstance(value, int | float) and abs(value) < _BEYOND:
        return float(value)
    raise TypeError("a value is a text, a number, yes or no")

