"""The ways of ``retune`` in words: what is made and set, what it takes, what comes of it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from wheelgeo.check.finding import Finding
from wheelgeo.design.drive_parts import COUNTED
from wheelgeo.design.model import Design
from wheelgeo.design.side_words import drive_seen_from
from wheelgeo.page.reading import Said
from wheelgeo.page.told import named, written
from wheelgeo.units.written import LengthUnit, grouped, grouped_as_set, told_in, turned_length

if TYPE_CHECKING:
    from wheelgeo.tune.as_it_is import AsItIsAnswer, ChangeAnswer
    from wheelgeo.tune.retune_answer import NewBandAnswer, OptionAnswer, RetuneAnswer


def as_it_is_told(
    answer: RetuneAnswer, way: AsItIsAnswer, design: Design, unit: LengthUnit
) -> Said:
    """Return one way to work with the wheel as it is: what to do, the time of a draw, what warns.

    Args:
        answer: what was answered.
        way: the way.
        design: the wheel of today.
        unit: how lengths are written.
    """
    turned, whole = COUNTED[design.drive.by], answer.without_change
    other = f"turn the {turned} the other way, and " if whole.turn_the_other_way else ""
    tells = []
    if whole.drive_turns_per_draw is not None and way.draw_seconds is not None:
        turns = f"{whole.drive_turns_per_draw:.2f} turns of the {turned}"
        tells.append(f"A draw takes {turns}, {way.draw_seconds:.1f} s, drafting alone.")
    tells += _by_hand(way.settings, unit)
    names = {*way.faults, *way.warnings, "too-few-fibres"}
    return {
        "does": [_sentence(f"{other}{way.says}")],
        "tells": tells,
        "by_hand": _by_hand(way.settings, unit),
        "see_to": _see_to((f for f in way.findings if f.rule in names), unit),
        "faulty": bool(way.faults),
        "pathless": False,
    }


def step_told(answer: RetuneAnswer, step: OptionAnswer, unit: LengthUnit) -> Said:
    """Return the step that comes nearest, on which the draft makes up the rest of the twist."""
    return {
        "does": [_sentence(told_in(answer.step_in_words(), unit))],
        "tells": [_sentence(_band(b, unit)) for b in step.bands],
        "by_hand": [],  # it is told with what is led
        "see_to": _see_to(step.findings, unit),
        "faulty": bool(step.faults),
        "pathless": False,
    }


def way_told(answer: RetuneAnswer, option: OptionAnswer, design: Design, unit: LengthUnit) -> Said:
    """Return one way to change the wheel: what to make and set, its work, bands and lead.

    Args:
        answer: what was answered.
        option: the way.
        design: the wheel of today.
        unit: how lengths are written.
    """
    from wheelgeo.tune.labour import work_in_words

    does = [_sentence(_change(c, design, unit)) for c in option.changes]
    pathless = answer.pathless(option)
    if pathless:
        return {"does": does, "tells": [], "by_hand": [], "see_to": [], "faulty": True,
                "pathless": True}  # fmt: skip
    twist = option.turns_per_metre
    gives = f"Ratio {option.ratio:.2f}"
    gives += "" if twist is None else f", {grouped(twist)} turns a metre"
    near = answer.nearness_in_words(option)
    gives += f", {near} than wanted" if near else ", as wanted"
    work = work_in_words(option.labour_hours)
    tells = [f"{gives}. Work: {work or 'none'}."]
    tells += [_sentence(_band(b, unit)) for b in option.bands]
    tells += _by_hand(option.settings, unit)
    if option.lead is not None:
        was, becomes = option.lead.from_, option.lead.to
        empty = "" if "neither" in (was, becomes) else ": wind the yarn off the bobbin before"
        tells.append(f"Lead: {was} to {becomes}{empty}.")
    return {
        "does": does, "tells": tells, "by_hand": _by_hand(option.settings, unit),
        "see_to": _see_to(option.findings, unit), "faulty": bool(option.faults), "pathless": False,
    }  # fmt: skip


def _see_to(found: Iterable[Finding], unit: LengthUnit) -> list[Said]:
    graver = (f for f in found if f.level != "note" or f.rule == "too-few-fibres")
    return [{"level": f.level, "says": told_in(f.says, unit)} for f in graver]


def _sentence(words: str) -> str:
    """Return words as a sentence."""
    return f"{words[:1].upper()}{words[1:]}."


def _by_hand(settings: tuple[ChangeAnswer, ...], unit: LengthUnit) -> list[str]:
    """Return what a spinner slides, slackens, tightens or pads, as one sentence; or nothing."""
    from wheelgeo.tune.as_it_is import set_in_words

    words = ", ".join(told_in(set_in_words(one), unit) for one in settings)
    return [f"By hand: {words}."] if words else []


def _band(band: NewBandAnswer, unit: LengthUnit) -> str:
    """Return what becomes of a band."""
    if band.cut_with_joint_mm is None:
        return f"{band.name} has no path"
    if band.remade:
        cut = written(band.cut_with_joint_mm, "mm", unit)
        return f"{band.name}: cut {cut}, joint included{_off_reel(band, unit)}"
    pull = band.pull_in_words()
    return f"{band.name} stays" + (f", its pull {pull}" if pull else "")


def _off_reel(band: NewBandAnswer, unit: LengthUnit) -> str:
    """Return what to take off the reel, where a joint is tied by more than is cut."""
    if band.off_reel_mm == band.cut_with_joint_mm:
        return ""
    return f", {written(band.off_reel_mm, 'mm', unit)} off the reel with the ends to tie by"


def _change(change: ChangeAnswer, design: Design, unit: LengthUnit) -> str:
    """Return what is made or led otherwise, by the names that the rings have."""
    part, _, field = change.what.rpartition(".")
    before, after = change.from_, change.to
    if isinstance(before, str) or isinstance(after, str):
        return _led(part, field, (str(before), str(after)), design)
    # on the rim of a small whorl the ratio hangs by tenths of a millimetre, and 64ths of an inch
    ends = [_made(end, unit) if change.unit == "mm" else written(end, change.unit, unit)
            for end in (before, after)]  # fmt: skip
    return f"{named(design, change.what)}: {ends[0]} to {ends[1]}"


def _made(length_mm: float, unit: LengthUnit) -> str:
    if unit != "mm":
        return turned_length(unit)(length_mm)
    return f"{grouped_as_set(round(length_mm, 2))} mm"


def _led(part: str, field: str, ends: tuple[str, str], design: Design) -> str:
    """Return a band led, or a drive turned, otherwise."""
    before, after = ends
    if field == "route":
        return f'{part} over from "{before}" to "{after}"'
    if field == "crossed":
        return f"{part}: {before} to {after}"
    if part == "drive":
        return f"turn the {COUNTED[design.drive.by]} {after}, {drive_seen_from(design)}"
    band, _, pulley = part.rpartition(".")
    return f"{band}: lead the other run over {pulley}"
